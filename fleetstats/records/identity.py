"""Identities across all tables: vehicle numbers of the register, one spelling per serial."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.distinct import distinct
from fleetstats.records.draft import Draft
from fleetstats.records.inferred import NOT_SURE, identities, left_apart, left_empty
from fleetstats.records.plates import by_plate
from fleetstats.records.serials import KnownSerials, known_serials, role_of
from fleetstats.records.set_aside import set_aside
from fleetstats.records.spelling import runs
from fleetstats.records.stacking import spread, stacked, texts
from fleetstats.records.vehicle_numbers import STRANGER, match_vehicles, own_register

SERIAL_COLUMNS = (
    ("vehicles", "first_cooling_unit_serial"), ("visits", "removed_serial"), ("visits", "fitted_serial"), ("bench_tests", "serial"),
    ("reconditionings", "serial"), ("unit_moves", "serial"),
)
VEHICLE_TABLES = ("vehicles", "assignments", "visits", "bench_tests", "sightings")
SPELLING_ONLY = ("", "written otherwise", STRANGER)
"""How a number may differ without a score of its own: its letters and digits are the register's, or it is nobody's."""


def name_vehicles(drafts: Mapping[str, Draft]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Give every row the register's vehicle number.

    Returns rows of `rejects`, one per file and number that is not in it, and rows of `identities` for numbers not written literally.
    The register may spell a number in several ways, but numbers in which dashes part the digits otherwise ('T1-01', 'T10-1')
    are two vehicles. Without a register the spellings of one number are brought to the commonest one, and nothing is reported.
    """
    register = drafts["vehicles"].rows
    met = distinct([drafts[name].rows["vehicle_id"] for name in VEHICLE_TABLES])
    places = dict(zip(VEHICLE_TABLES, met.places, strict=True))
    registered = met.counts([places["vehicles"]])
    known = own_register(met.texts, registered, runs) if registered.any() else own_register(met.texts, met.counts(met.places))
    found = match_vehicles(met.texts, known, _vins(register))
    marked = register.assign(vehicle_id=spread(texts(found["vehicle_id"]), places["vehicles"]))
    told, inferred = [tables.REJECTS.empty()], [tables.IDENTITIES.empty()]
    for name, place in places.items():
        problems, read = _name_table(drafts[name], place, found, marked)
        told += problems
        inferred += read
    return stacked(told), stacked(inferred)


def _vins(register: pd.DataFrame) -> dict[str, str]:
    known = register[["vehicle_id", "vin"]].dropna()
    return dict(zip(known["vehicle_id"], known["vin"], strict=True))


def _name_table(draft: Draft, place: np.ndarray, found: pd.DataFrame, register: pd.DataFrame) -> tuple[list[pd.DataFrame], list[pd.DataFrame]]:
    """Name the vehicles of one table. place: of each row in `found`, of `match_vehicles`, -1 for none."""
    written = draft.rows["vehicle_id"]
    plates = by_plate(draft.rows, found.index, register)
    draft.rows["vehicle_id"] = spread(texts(found["vehicle_id"]), place)
    how = texts(found["how"])
    named = np.flatnonzero((how != "") & (how != STRANGER)).tolist()
    _note(draft, {at: f"vehicle read as {found.index[at]} ({how[at]})" for at in named}, place)
    stranger = np.append(how == STRANGER, False)[place] & ~draft.rows.index.isin(plates.index)
    draft.note(pd.Series(stranger, index=written.index), "vehicle not in the register")
    scored = ~np.isin(how, SPELLING_ONLY)
    scores = dict(zip(found.index[scored], found["match"][scored], strict=True))
    at = np.flatnonzero(np.append(scored, False)[place])
    problems, seen = _name_by_plate(draft, written, plates)
    inferred = identities(draft.rows.iloc[at], draft.table.name, "vehicle_id", written.iloc[at], draft.rows["vehicle_id"].iloc[at], scores)
    return [_strangers(draft.rows[stranger], found["match"]), problems], [inferred, seen]


def _note(draft: Draft, notes: Mapping[int, str], place: np.ndarray) -> None:
    """Tell at the rows what there is to tell of the text at their place."""
    noted = np.isin(place, list(notes))
    told = np.full(len(place), None, dtype=object)
    told[noted] = [notes[at] for at in place[noted]]
    draft.note(pd.Series(noted, index=draft.rows.index), pd.Series(told, index=draft.rows.index, dtype=object))


def _name_by_plate(draft: Draft, written: pd.Series, plates: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The rows named by a plate given their vehicle; what two vehicles had at once is left empty where the table allows it."""
    if plates.empty:
        return tables.REJECTS.empty(), tables.IDENTITIES.empty()
    sure = plates["vehicle_id"].notna()
    named = plates["vehicle_id"] if draft.table.columns["vehicle_id"].nullable else plates["vehicle_id"].fillna(written[plates.index])
    where = draft.rows.index.isin(plates.index)
    draft.rows["vehicle_id"] = draft.rows["vehicle_id"].mask(where, named.reindex(draft.rows.index)).astype("string")
    draft.note(pd.Series(where, index=written.index) & sure.reindex(written.index, fill_value=False), "vehicle known by its number plate")
    parts = []
    for one in plates["match"].unique():
        rows = draft.rows.loc[plates.index[plates["match"] == one]]
        said = written[rows.index]
        parts.append(identities(rows, draft.table.name, "vehicle_id", said, plates["vehicle_id"][rows.index], dict.fromkeys(said.unique(), one)))
    seen = stacked(parts)
    wanted, remedy = "one vehicle that had this plate on that day", "Give the periods of the vehicles in the register, or the vehicle's number in the file."
    if not draft.table.columns["vehicle_id"].nullable:
        return left_apart(seen, wanted, remedy), seen
    unsure = plates.index[~sure]
    return left_empty(draft.rows.loc[unsure], "vehicle_id", written[unsure], plates["match"][unsure], NOT_SURE, wanted, remedy), seen


def _strangers(rows: pd.DataFrame, matches: pd.Series) -> pd.DataFrame:
    first = rows[~rows.duplicated(["file", "vehicle_id"])]
    unsure = [matches.get(text) for text in first["vehicle_id"]]
    what = ["the vehicle is not in the register; the row was kept" if one is None
            else f"the vehicle is not in the register, several could be meant ({one.reasons}, score {one.score:.2f}); the row was kept" for one in unsure]
    return tables.REJECTS.conform(first[["file", "sheet", "row"]].assign(
        column="vehicle_id", scope="remark", what=pd.array(what, dtype="string"), found=first["vehicle_id"],
        wanted="a number of the vehicle register", remedy="Add the vehicle to the register, or mend the number in the file.",
    ).reset_index(drop=True))


def name_serials(drafts: Mapping[str, Draft]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Bring the serials of all tables to one spelling per unit, and set aside in visits what is no unit's number.

    The row tells where letters or zeros were mended. Returns rows of `rejects` and of `identities`.
    """
    met = distinct([drafts[name].rows[column] for name, column in SERIAL_COLUMNS])
    known = known_serials(met.texts, met.counts(met.places[:1]), met.counts(met.places[1:]))
    places = dict(zip(SERIAL_COLUMNS, met.places, strict=True))
    inferred = [tables.IDENTITIES.empty(), *(_name_column(drafts[name], column, place, known) for (name, column), place in places.items())]
    apart = left_apart(stacked(inferred), "a serial of one unit alone", "Mend the serial in the file; the vehicle's chain may still tell it.")
    aside, seen = set_aside(drafts, {where: known.units(place) for where, place in places.items()}, known)
    return stacked([apart, aside]), stacked([*inferred, seen])


def _name_column(draft: Draft, column: str, place: np.ndarray, known: KnownSerials) -> pd.DataFrame:
    """Name the units of one column. place: of each row in the texts of `known`, -1 for none."""
    text = draft.rows[column]
    draft.rows[column] = spread(known.texts, known.units(place))
    at = np.flatnonzero(np.isin(place, list(known.matches)))
    scored = {int(one): known.matches[int(one)] for one in np.unique(place[at])}
    mended = [one for one, score in scored.items() if score.sure]
    _note(draft, {one: f"{role_of(column)}serial: {known.how(one)}, read as {known.texts[one]}" for one in mended}, place)
    read = draft.rows[column].iloc[at].where(np.isin(place[at], mended))
    return identities(draft.rows.iloc[at], draft.table.name, column, text.iloc[at], read, {known.texts[one]: score for one, score in scored.items()})


def counted_elsewhere(drafts: Mapping[str, Draft]) -> Counter[str]:
    """How often each serial stands in other tables than visits."""
    return Counter(text for name, column in SERIAL_COLUMNS if name != "visits" for text in drafts[name].rows[column].dropna().tolist())
