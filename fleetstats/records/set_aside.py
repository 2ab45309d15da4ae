"""Numbers set aside: what stands in a unit's column of visits and is no unit's number."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.records.distinct import distinct
from fleetstats.records.draft import Draft
from fleetstats.records.foreign import DAYS, SERIALS, foreign_serials
from fleetstats.records.inferred import identities, left_empty
from fleetstats.records.scoring import Match
from fleetstats.records.serials import KnownSerials, role_of
from fleetstats.records.stacking import stacked

NO_UNIT = "no cooling unit's number, set aside"
NO_SERIAL = "not taken for a unit's serial, the refrigerator's or its model's"
REMEDY = "Write the cooling unit's own serial; the cell was left empty and the vehicle's chain may tell it."


def set_aside(drafts: Mapping[str, Draft], units: Mapping[tuple[str, str], np.ndarray], known: KnownSerials) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Empty the cells of visits that hold no unit's number, note it at the row and tell it.

    units: per table and column of serials, named by `known`, the place of the serial of each row in its texts, -1 for none.
    Returns rows of `rejects` and of `identities`.
    """
    rows, first_units = _exchanges(drafts, units)
    sure = np.zeros(len(known.texts), dtype=bool)
    for (table, _), places in units.items():
        sure[places[places >= 0]] |= table != "visits"
    strange = {place: one for place, one in foreign_serials(rows, first_units, sure, known.forms).items() if one.sure}
    emptied = [_emptied(drafts["visits"], column, units["visits", column], strange, known.texts) for column in SERIALS]
    return stacked([told for told, _ in emptied]), stacked([seen for _, seen in emptied])


def _exchanges(drafts: Mapping[str, Draft], units: Mapping[tuple[str, str], np.ndarray]) -> tuple[pd.DataFrame, np.ndarray]:
    """Visits that name a serial, vehicles and units as numbers, and per vehicle the unit it came with, -1 where unknown."""
    visits, register = drafts["visits"].rows, drafts["vehicles"].rows
    named = np.flatnonzero(np.logical_or(*(units["visits", column] >= 0 for column in SERIALS)))
    vehicles = distinct([visits["vehicle_id"].iloc[named], register["vehicle_id"]])
    said = {day: visits[day].iloc[named] for day in DAYS} | {column: units["visits", column][named] for column in SERIALS}
    first_units = np.full(len(vehicles.texts), -1, dtype=np.int64)
    vehicle, unit = vehicles.places[1], units["vehicles", "first_cooling_unit_serial"]
    known = (vehicle >= 0) & (unit >= 0)
    # of several rows of one vehicle the last one stays
    first_units[vehicle[known]] = unit[known]
    return pd.DataFrame(said | {"vehicle_id": vehicles.places[0]}), first_units


def _emptied(draft: Draft, column: str, units: np.ndarray, strange: Mapping[int, Match], serials: np.ndarray) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Take from a column what is no unit; rows of `rejects`, one per cell, and of `identities`."""
    text, hit = draft.rows[column], np.isin(units, list(strange))
    if not hit.any():
        return tables.REJECTS.empty(), tables.IDENTITIES.empty()
    rows, written = draft.rows[hit], text[hit]
    draft.note(pd.Series(hit, index=text.index), f"{role_of(column)}serial: {NO_UNIT}: " + text.fillna(""))
    draft.rows[column] = text.mask(hit)
    nothing = pd.Series(pd.NA, index=written.index, dtype="string")
    matches = {serials[place]: one for place, one in strange.items()}
    told = left_empty(rows, column, written, [strange[unit] for unit in units[hit].tolist()], NO_SERIAL, "the serial of the cooling unit", REMEDY)
    return told, identities(rows, "visits", column, written, nothing, matches)
