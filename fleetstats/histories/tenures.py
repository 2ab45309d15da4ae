"""Tenures: stays with population, ages, verdict of the bench and named faults, as `tables.TENURES` declares them."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.histories.ages import Ages, ages
from fleetstats.histories.bench_join import join_tests, known_tests
from fleetstats.histories.come_backs import come_backs
from fleetstats.histories.known import years_between
from fleetstats.histories.named_faults import named_faults
from fleetstats.histories.observation import failure_days, last_working_before, working_days
from fleetstats.histories.stays import stays
from fleetstats.histories.windows import depot_on
from fleetstats.records import Fleet
from fleetstats.records.keys import numbered
from fleetstats.records.serials import READ, how_known

CARRIED = ["tenure_id", "vehicle_id", "serial", "installed", "ended", "ending", "symptom", "shop", "installed_by", "ended_by"]


def tenures(fleet: Fleet, vehicles: pd.DataFrame, visits: pd.DataFrame) -> tuple[pd.DataFrame, int]:
    """The tenures known at as_of, and the number of bench tests that name no removal."""
    as_of, windows = pd.Timestamp(fleet.settings.as_of), fleet.settings.windows
    table = _with_serials(stays(vehicles, visits, as_of))
    table["tenure_id"] = numbered(table["vehicle_id"] + ":" + table["installed"].dt.strftime("%Y-%m-%d"))
    table["ended_by_released"] = table["ended_by"].map(visits.set_index("visit_id")["fitted_on"])
    verdicts, unjoined = join_tests(table, known_tests(fleet.bench_tests, as_of))
    condemned = table["ending"] == "condemned"
    out = table[CARRIED].assign(symptom_group=table["group"], serial_basis=_basis(table, fleet.lineage), faults=named_faults(table))
    out = out.join(verdicts[condemned]).join(_lives(table, fleet, vehicles, visits, windows.same_fault_days))
    out["depot"] = depot_on(fleet, vehicles, table["vehicle_id"], table["ended"])
    out = out.assign(**_of_vehicle(vehicles, table["vehicle_id"]))
    ends = table[condemned].rename(columns={"ended_by_released": "released"})
    out["come_back"] = come_backs(ends, visits, vehicles, fleet.sightings, windows.comeback_days).reindex(out.index)
    out.loc[~(condemned | (out["ending"] == "planned") | (out["ending"] == "other")), ["symptom", "symptom_group", "shop"]] = pd.NA
    return tables.TENURES.check(out[list(tables.TENURES.columns)]), unjoined


def _with_serials(table: pd.DataFrame) -> pd.DataFrame:
    return table.assign(serial=table["fitted_serial"].fillna(table["removed_serial"]))


def _basis(table: pd.DataFrame, lineage: pd.DataFrame) -> pd.Series:
    """How each serial is known: read, from the chain, or confusion of letters."""
    how = how_known(lineage)
    fitted = table["installed_by"].map(how["fitted"]).where(table["fitted_serial"].notna())
    removed = table["ended_by"].map(how["removed"]).where(table["fitted_serial"].isna())
    return fitted.astype("string").fillna(removed.astype("string")).fillna(READ).where(table["serial"].notna())


def _of_vehicle(vehicles: pd.DataFrame, who: pd.Series) -> dict[str, pd.Series]:
    known = vehicles.set_index("vehicle_id")
    zone = who.map(known["climate_zone"].str.strip().str.lower())
    return {"size_l": who.map(known["refrigerator_size_l"]), "hot": (zone == "hot").astype("boolean").where(zone.notna())}


def _lives(table: pd.DataFrame, fleet: Fleet, vehicles: pd.DataFrame, visits: pd.DataFrame, same_fault_days: int) -> pd.DataFrame:
    """Ages in years: when fitted, entered, ended, last good, watched to; population and detection.

    A stay whose age is unknown has entered_years equal to ended_years: it counts in the audit and gives no life.
    """
    age = ages(table)
    known = vehicles.set_index("vehicle_id")
    begin, end = table["vehicle_id"].map(known["from"]), table["vehicle_id"].map(known["to"])
    failed, detection = failure_days(table, visits, same_fault_days)
    working = working_days(fleet, visits)
    last = _last_day(table, fleet, working, failed, end)
    good = last_working_before(working, table["vehicle_id"], last, allow_same=False).where(detection.reindex(table.index) == "inspection", last)
    installed = table["installed"]
    ended = _age_at(age, installed, last)
    entered = np.minimum(_age_at(age, installed, begin.where(begin > installed, installed)), ended)
    entered = np.where(age.known, entered, ended)
    last_good = np.clip(_age_at(age, installed, good.fillna(installed)), entered, ended)
    return pd.DataFrame({
        "origin": age.origin, "unit_age_at_installed_years": age.years, "entered_years": entered, "ended_years": ended, "last_good_years": last_good,
        "watched_to_years": _age_at(age, installed, end), "detection": detection.reindex(table.index),
    }, index=table.index)


def _age_at(age: Ages, installed: pd.Series, day: pd.Series) -> np.ndarray:
    at: np.ndarray = age.years + years_between(installed, day).clip(lower=0).to_numpy()
    return at


def _last_day(table: pd.DataFrame, fleet: Fleet, working: pd.DataFrame, failed: pd.Series, end: pd.Series) -> pd.Series:
    """The day that closes a life: the failure's first complaint, a removal's own day, or the last day known to work.

    Vehicles with sightings are known to work until the last one, the others until their records end.
    """
    lasting = table["ending"].isin(["in service", "left fleet"])
    close = table["ended"].where(table["ended"] <= end, end)
    seen = last_working_before(working, table["vehicle_id"], close, allow_same=True)
    seen = seen.where(seen >= table["installed"], table["installed"])
    sighted = table["vehicle_id"].isin(fleet.sightings["vehicle_id"])
    close = close.where(~sighted, seen)
    day = failed.reindex(table.index)
    return day.fillna(close.where(lasting, table["ended"])).astype("datetime64[s]")
