"""How complete the fields of each source are, and whether they get better or worse."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd

from fleetstats.records.fleet import Fleet
from fleetstats.records.serials import CHAIN
from fleetstats.records.sourced import sourced
from fleetstats.records.standing import billed, closed

Wanted = Callable[[pd.DataFrame], pd.Series]


def _always(frame: pd.DataFrame) -> pd.Series:
    return pd.Series(True, index=frame.index)


def _unit_out(visits: pd.DataFrame) -> pd.Series:
    return visits["removal_reason"].notna()


def _unit_in(visits: pd.DataFrame) -> pd.Series:
    return visits["fitted_kind"].notna()


FIELDS: dict[str, dict[str, Wanted]] = {
    "vehicles": dict.fromkeys(("built", "in_service", "depot", "climate_zone", "refrigerator_size_l", "first_cooling_unit_serial"), _always),
    "visits": {
        **dict.fromkeys(("vehicle_id", "document", "date_in"), _always), "date_out": closed,
        **dict.fromkeys(("symptom", "called_item", "action"), _always), "removed_serial": _unit_out, "fitted_serial": _unit_in, "fitted_origin": _unit_in,
        "money": closed, **dict.fromkeys(("payer", "labour_hours"), closed), "technician": _always,
    },
    "bench_tests": dict.fromkeys(("serial", "tested_on", "outcome", "received_from", "sender_symptom", "why_tested"), _always),
}
"""Fields whose completeness is counted, and among which records each is wanted: a serial only where a unit came out or went in."""


def completeness(fleet: Fleet) -> pd.DataFrame:
    """One row per table, source, field and year: table, source, field, year (missing where the table has no date), wanted, filled.

    wanted: records of the source in which the field should stand; filled: those in which it does. `money`: any amount of the visit.
    `fitted_origin` counts as filled where it is not 'unknown', a serial where it was written: not where the vehicle's chain gave it.
    """
    parts = [_of_field(records, table, field, wanted)
             for table, fields in FIELDS.items() for records in [as_written(sourced(fleet, table), fleet)] for field, wanted in fields.items()]
    return pd.concat([part for part in parts if len(part)] or parts[:1], ignore_index=True)


def as_written(records: pd.DataFrame, fleet: Fleet) -> pd.DataFrame:
    """The records with the serials that nobody wrote, but the chain of the vehicle gave, taken out again."""
    if "removed_serial" not in records:
        return records
    told = fleet.lineage[fleet.lineage["table"].eq("visits") & fleet.lineage["reason"].str.contains(CHAIN, regex=False).fillna(False)]
    for column in ("removed_serial", "fitted_serial"):
        inferred = told[told["reason"].str.contains(f"{column.removesuffix('_serial')} serial: {CHAIN}", regex=False)]["record_id"]
        records = records.assign(**{column: records[column].mask(records["visit_id"].isin(inferred))})
    return records


def _of_field(records: pd.DataFrame, table: str, field: str, wanted: Wanted) -> pd.DataFrame:
    rows = records[wanted(records).fillna(False).astype(bool) & records["source"].notna()]
    counted = pd.DataFrame({"source": rows["source"], "year": rows["day"].dt.year.astype("Int64"), "filled": _filled(rows, field)})
    by = counted.groupby(["source", "year"], dropna=False)["filled"].agg(wanted="size", filled="sum").reset_index()
    return by.assign(table=table, field=field)[["table", "source", "field", "year", "wanted", "filled"]].astype(
        {"table": "string", "source": "string", "field": "string", "wanted": "int64", "filled": "int64"})


def _filled(rows: pd.DataFrame, field: str) -> pd.Series:
    if field == "money":
        return billed(rows)
    return rows[field].notna() & (rows[field].ne("unknown").fillna(False) if field == "fitted_origin" else True)


def by_source(yearly: pd.DataFrame) -> pd.DataFrame:
    """The years together: table, source, field, wanted, filled, share, and trend.

    trend: share in the later half of the years less share in the earlier half, missing with fewer than four years or 20 records in either half.
    """
    keys = ["table", "source", "field"]
    total = yearly.groupby(keys, sort=False)[["wanted", "filled"]].sum().reset_index()
    years = yearly.dropna(subset="year")
    span = years.groupby(keys)["year"].agg(["min", "max"]).reset_index()
    placed = years.merge(span, on=keys)
    late = (placed["year"] > (placed["min"] + placed["max"]) // 2)
    halves = [placed[part].groupby(keys)[["wanted", "filled"]].sum().reset_index() for part in (~late, late)]
    both = halves[0].merge(halves[1], on=keys, suffixes=("_early", "_late")).merge(span, on=keys)
    told = total.merge(both, on=keys, how="left")
    enough = (told["wanted_early"] >= FEWEST) & (told["wanted_late"] >= FEWEST) & (told["max"] - told["min"] >= 3).fillna(False).astype(bool)
    trend = told["filled_late"] / told["wanted_late"] - told["filled_early"] / told["wanted_early"]
    return total.assign(share=total["filled"] / total["wanted"], trend=trend.where(enough).to_numpy("float64"))


FEWEST = 20
"""Records in each half of the years from which a trend is told."""
