"""Serials of bench logs one sign from the unit that the visit or vehicle they name gave up."""

from __future__ import annotations

import pandas as pd

from fleetstats import tables
from fleetstats.records import scoring
from fleetstats.records.draft import Draft
from fleetstats.records.inferred import identities
from fleetstats.records.kinship import SIGN
from fleetstats.records.scoring import CONFUSION, Match, match
from fleetstats.records.serials import LOST_ZEROS, MISREAD
from fleetstats.records.spelling import folded, loose, normal, one_sign_apart
from fleetstats.records.stacking import stacked, texts


def mend_bench_serials(draft: Draft, visits: pd.DataFrame) -> pd.DataFrame:
    """Read a serial that no visit removed as the one its own visit, or its vehicle alone, gave up, where they differ by what people misread.

    draft: of bench tests, with identifiers of visits. visits: records. A serial that stands elsewhere too, or that is near two
    removed from the vehicle, is left as it is. Returns rows of `identities`.
    """
    rows = draft.rows[["serial", "visit_id", "vehicle_id"]].dropna(subset="serial")
    met = rows["serial"].isin(visits["removed_serial"]) | rows["serial"].isin(visits["fitted_serial"])
    astray = rows[~met & ~rows["serial"].duplicated(keep=False)]
    named = visits["visit_id"].isin(astray["visit_id"].dropna()) | visits["vehicle_id"].isin(astray["vehicle_id"].dropna())
    removed = visits.loc[(named & visits["removed_serial"].notna()).to_numpy(bool), ["visit_id", "vehicle_id", "removed_serial"]]
    of_visit = dict(zip(removed["visit_id"], removed["removed_serial"], strict=True))
    of_vehicle = {str(vehicle): sorted(set(serials)) for vehicle, serials in removed.groupby("vehicle_id")["removed_serial"]}
    parts = [tables.IDENTITIES.empty()]
    for at, serial, visit, vehicle in zip(astray.index, *(texts(astray[name]) for name in astray), strict=True):
        near = [of_visit[visit]] if visit in of_visit else of_vehicle.get(vehicle, [])
        found = [(other, how, score) for other in near for how, score in _near(serial, other) if score.sure]
        if len(found) == 1:
            parts.append(_read(draft, at, serial, *found[0]))
    return stacked(parts)


def _near(written: str, other: str) -> list[tuple[str, Match]]:
    """How a serial is another misread, and the score, where it is."""
    if folded(written) == folded(other):
        return [(CONFUSION, match([scoring.CONFUSION, scoring.CHAIN]))]
    if loose(written) == loose(other):
        return [(LOST_ZEROS, match([scoring.ZEROS, scoring.CHAIN]))]
    sign = one_sign_apart(normal(written), normal(other))
    return [(MISREAD, match([SIGN[sign], scoring.CHAIN, scoring.NOWHERE]))] if sign else []


def _read(draft: Draft, at: object, written: str, serial: str, how: str, score: Match) -> pd.DataFrame:
    here = pd.Series(draft.rows.index == at, index=draft.rows.index)
    row = draft.rows[here]
    was, reads = (pd.Series(text, index=row.index, dtype="string") for text in (written, serial))
    draft.rows["serial"] = draft.rows["serial"].mask(here, serial)
    draft.note(here, f"serial: {how}, read as {written}")
    return identities(row, "bench_tests", "serial", was, reads, {written: score})
