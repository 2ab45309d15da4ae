"""Identities across all tables: vehicle numbers of the register, one spelling per serial."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.draft import Draft
from fleetstats.records.foreign import foreign_serials
from fleetstats.records.inferred import identities, left_apart
from fleetstats.records.plates import by_plate
from fleetstats.records.serials import KnownSerials, known_serials
from fleetstats.records.spelling import runs
from fleetstats.records.stacking import stacked, texts
from fleetstats.records.vehicle_numbers import STRANGER, match_vehicles, own_register

SERIAL_COLUMNS = {
    "vehicles": ("first_cooling_unit_serial",), "visits": ("removed_serial", "fitted_serial"), "bench_tests": ("serial",),
    "reconditionings": ("serial",), "unit_moves": ("serial",),
}
VEHICLE_TABLES = ("vehicles", "assignments", "visits", "bench_tests", "sightings")
SPELLING_ONLY = ("", "written otherwise", STRANGER)
"""How a number may differ without a score of its own: its letters and digits are the register's, or it is nobody's."""
NO_UNIT = "no cooling unit's number, set aside"


def name_vehicles(drafts: Mapping[str, Draft]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Give every row the register's vehicle number.

    Returns rows of `rejects`, one per file and number that is not in it, and rows of `identities` for numbers not written literally.
    The register may spell a number in several ways, but numbers in which dashes part the digits otherwise ('T1-01', 'T10-1')
    are two vehicles. Without a register the spellings of one number are brought to the commonest one, and nothing is reported.
    """
    register = drafts["vehicles"].rows
    registered = register["vehicle_id"].dropna()
    columns = [drafts[name].rows["vehicle_id"].dropna() for name in VEHICLE_TABLES]
    everyone = {text for column in columns for text in texts(column.drop_duplicates())}
    known = own_register(registered, runs) if len(registered) else own_register(pd.concat(columns, ignore_index=True))
    found = match_vehicles(everyone, known, _vins(register))
    marked = register.assign(vehicle_id=register["vehicle_id"].map(found["vehicle_id"]))
    told, inferred = [tables.REJECTS.empty()], [tables.IDENTITIES.empty()]
    for name in VEHICLE_TABLES:
        problems, read = _name_table(drafts[name], found, marked)
        told += problems
        inferred += read
    return stacked(told), stacked(inferred)


def _vins(register: pd.DataFrame) -> dict[str, str]:
    known = register[["vehicle_id", "vin"]].dropna()
    return dict(zip(known["vehicle_id"], known["vin"], strict=True))


def _name_table(draft: Draft, found: pd.DataFrame, register: pd.DataFrame) -> tuple[list[pd.DataFrame], list[pd.DataFrame]]:
    written = draft.rows["vehicle_id"]
    place, distinct = pd.factorize(written)
    known = found.reindex(distinct)
    plates = by_plate(draft.rows, texts(distinct.to_series()).tolist(), register)
    draft.rows["vehicle_id"] = _spread(known["vehicle_id"], place)
    how = texts(known["how"])
    notes = [None if way in ("", STRANGER) else f"vehicle read as {text} ({way})" for text, way in zip(distinct, how, strict=True)]
    _note(draft, notes, place)
    stranger = np.append(how == STRANGER, False)[place] & ~draft.rows.index.isin(plates.index)
    draft.note(pd.Series(stranger, index=written.index), "vehicle not in the register")
    scored = {text: one for text, way, one in zip(distinct, how, known["match"], strict=True) if way not in SPELLING_ONLY}
    problems, seen = _name_by_plate(draft, written, plates)
    inferred = identities(draft.rows, draft.table.name, "vehicle_id", written, draft.rows["vehicle_id"], scored)
    return [_strangers(draft.rows[stranger], found["match"]), problems], [inferred, seen]


def _spread(known: pd.Series, place: np.ndarray) -> pd.Series:
    """What is known of each distinct text at the rows that have it: `place` in `known`, -1 for none."""
    return pd.Series(pd.array(np.array([*texts(known), None], dtype=object)[place], dtype="string"))


def _note(draft: Draft, notes: Sequence[str | None], place: np.ndarray) -> None:
    """Tell at the rows what there is to tell of their distinct text, None for nothing."""
    told = np.array([*notes, None], dtype=object)
    noted = np.array([note is not None for note in told], dtype=bool)[place]
    draft.note(pd.Series(noted, index=draft.rows.index), pd.Series(told[place], index=draft.rows.index, dtype=object))


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
    remedy = "Give the periods of the vehicles in the register, or the vehicle's number in the file."
    return left_apart(seen, "one vehicle that had this plate on that day", remedy), seen


def _strangers(rows: pd.DataFrame, matches: pd.Series) -> pd.DataFrame:
    first = rows[~rows.duplicated(["file", "vehicle_id"])]
    unsure = [matches.get(text) for text in first["vehicle_id"]]
    what = ["the vehicle is not in the register; the row was kept" if one is None
            else f"the vehicle is not in the register, several could be meant ({one.reasons}, score {one.score:.2f}); the row was kept" for one in unsure]
    return tables.REJECTS.conform(first[["file", "sheet", "row"]].assign(
        column="vehicle_id", scope="cell", what=pd.array(what, dtype="string"), found=first["vehicle_id"],
        wanted="a number of the vehicle register", remedy="Add the vehicle to the register, or mend the number in the file.",
    ).reset_index(drop=True))


def name_serials(drafts: Mapping[str, Draft]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Bring the serials of all tables to one spelling per unit, and set aside in visits what is no unit's number.

    The row tells where letters or zeros were mended. Returns rows of `rejects` and of `identities`.
    """
    written = {name: pd.concat([drafts[name].rows[column] for column in columns]) for name, columns in SERIAL_COLUMNS.items()}
    known = known_serials(written["vehicles"], pd.concat([serials for name, serials in written.items() if name != "vehicles"], ignore_index=True))
    inferred = [tables.IDENTITIES.empty()]
    for name, columns in SERIAL_COLUMNS.items():
        inferred += [_name_column(drafts[name], column, known) for column in columns]
    apart = left_apart(stacked(inferred), "a serial of one unit alone", "Mend the serial in the file; the vehicle's chain may still tell it.")
    aside, seen = _set_aside(drafts)
    return stacked([apart, aside]), stacked([*inferred, seen])


def _name_column(draft: Draft, column: str, known: KnownSerials) -> pd.DataFrame:
    text = draft.rows[column]
    place, distinct = pd.factorize(text)
    draft.rows[column] = _spread(pd.Series([known.spelled.get(one) for one in distinct], dtype=object), place)
    mended = {one for one in distinct if one in known.matches and known.matches[one].sure}
    _note(draft, [f"{_role(column)}serial: {known.how(one)}, read as {one}" if one in mended else None for one in distinct], place)
    read = draft.rows[column]
    return identities(draft.rows, draft.table.name, column, text, read.where(text.isin(mended)), known.matches) if known.matches else tables.IDENTITIES.empty()


def _role(column: str) -> str:
    return "" if column == "serial" else column.removesuffix("_serial").replace("_cooling_unit", "") + " "


def _set_aside(drafts: Mapping[str, Draft]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Numbers in a unit's column of visits that are no unit's: the cell emptied, noted at the row and told."""
    draft = drafts["visits"]
    named = (draft.rows["removed_serial"].notna() | draft.rows["fitted_serial"].notna()).to_numpy(bool)
    rows = draft.rows[["vehicle_id", "removed_serial", "fitted_serial", "complaint_on", "opened_on", "date_in", "date_out"]][named]
    units = drafts["vehicles"].rows[["vehicle_id", "first_cooling_unit_serial"]].dropna().drop_duplicates("vehicle_id", keep="last")
    first = dict(zip(units["vehicle_id"], units["first_cooling_unit_serial"], strict=True))
    strange = {text: one for text, one in foreign_serials(rows, set(counted_elsewhere(drafts)), first).items() if one.sure}
    seen = [tables.IDENTITIES.empty()]
    for column in SERIAL_COLUMNS["visits"]:
        text = draft.rows[column]
        hit = text.isin(list(strange))
        if hit.any():
            nothing = pd.Series(pd.NA, index=text.index, dtype="string")
            seen.append(identities(draft.rows, "visits", column, text, nothing, strange))
            draft.note(hit, f"{_role(column)}serial: {NO_UNIT}: " + text.fillna(""))
            draft.rows[column] = text.mask(hit)
    return _told_aside(stacked(seen)), stacked(seen)


def _told_aside(seen: pd.DataFrame) -> pd.DataFrame:
    score = seen["score"].map("{:.2f}".format).astype("string")
    return tables.REJECTS.conform(seen[["file", "sheet", "row", "column"]].assign(
        scope="cell", found=seen["written"],
        what="not taken for a unit's serial, the refrigerator's or its model's: " + seen["reasons"] + " (score " + score + ")",
        wanted="the serial of the cooling unit", remedy="Write the cooling unit's own serial; the cell was left empty and the vehicle's chain may tell it.",
    ))


def counted_elsewhere(drafts: Mapping[str, Draft]) -> Counter[str]:
    """How often each serial stands in other tables than visits."""
    columns: Iterable[pd.Series] = (drafts[name].rows[column] for name in SERIAL_COLUMNS if name != "visits" for column in SERIAL_COLUMNS[name])
    counts: Counter[str] = Counter()
    for column in columns:
        counts.update({str(text): int(count) for text, count in column.dropna().value_counts().items()})
    return counts
