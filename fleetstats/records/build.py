"""From the files read to the records of the store: every step in its order."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pandas as pd

from fleetstats import tables
from fleetstats.records.accept import in_order, told_by_sources
from fleetstats.records.bench_serials import mend_bench_serials
from fleetstats.records.check_records import astray, checks_from_texts, unite_checks
from fleetstats.records.draft import Draft
from fleetstats.records.identity import counted_elsewhere, name_serials, name_vehicles
from fleetstats.records.inferred import in_place
from fleetstats.records.ledger import account, read_fates
from fleetstats.records.money_read import money_account
from fleetstats.records.plain_tables import settle_bench_tests, settle_plain
from fleetstats.records.supersede import refuse_circles
from fleetstats.records.visit_records import VisitRecords, named_visits, settle_visits
from fleetstats.settings import Settings
from fleetstats.sources import SourceFile
from fleetstats.sources.unknown import joined_unknown

PLAIN = ("vehicles", "shops", "assignments", "reconditionings", "unit_moves", "sightings")


@dataclass(frozen=True, kw_only=True)
class Records:
    """Canonical tables by name (files, rejects and lineage among them) and the texts not recognised."""

    frames: dict[str, pd.DataFrame]
    unknown: pd.DataFrame


def build_records(files: list[SourceFile], settings: Settings) -> Records:
    """The records of `files`, whatever their order.

    Raises InputRefused when the account of a file does not add up, or sources correct each other in a circle.
    """
    files = sorted(files, key=lambda file: (file.file, file.table))
    corrects = {file.source: file.corrects for file in files if file.corrects}
    refuse_circles(corrects)
    drafts = {name: Draft.of(files, table, corrects) for name, table in tables.INPUT_TABLES.items()}
    # the drafts hold the rows now: of the files only the account is still needed
    files = [replace(file, rows=file.rows[[]]) for file in files]
    strangers, vehicles_read = name_vehicles(drafts)
    strange_serials, serials_read = name_serials(drafts)
    disordered = in_order(drafts["visits"].rows)
    frames, visits = _settle(drafts, files, settings)
    frames["identities"] = in_place([vehicles_read, serials_read, visits.identities, frames.pop("bench_serials")])
    frames["payments"], frames["money_read"] = visits.payments, money_account(drafts["visits"].rows, visits.outcome)
    lineage = [draft.lineage(visits.inferred if name == "visits" else None) for name, draft in drafts.items()]
    frames["lineage"] = tables.LINEAGE.check(pd.concat([*lineage, *read_fates(files)], ignore_index=True))
    frames["files"] = account(files, frames["lineage"])
    rejects = [told_by_sources(files), *(told for draft in drafts.values() for told in draft.rejects), disordered, strangers, strange_serials]
    frames["rejects"] = tables.REJECTS.check(pd.concat(rejects, ignore_index=True).sort_values(["file", "sheet", "row", "column"], ignore_index=True))
    return Records(frames=frames, unknown=joined_unknown(file.unknown for file in files))


def _settle(drafts: dict[str, Draft], files: list[SourceFile], settings: Settings) -> tuple[dict[str, pd.DataFrame], VisitRecords]:
    frames = {name: settle_plain(drafts[name]) for name in PLAIN}
    units = frames["vehicles"].dropna(subset="first_cooling_unit_serial")
    first = dict(zip(units["vehicle_id"], units["first_cooling_unit_serial"], strict=True))
    settled = settle_visits(drafts["visits"], first, counted_elsewhere(drafts), settings.windows.duplicate_days)
    frames["visits"] = settled.visits
    for name in ("checks", "cases", "bench_tests"):
        rows = drafts[name].rows
        rows["visit_id"] = named_visits(rows["visit_id"], rows.get("received_from"), drafts["visits"])
    frames["bench_serials"] = mend_bench_serials(drafts["bench_tests"], frames["visits"])
    for name in ("checks", "cases"):
        drafts[name].rejects.append(astray(drafts[name], frames["visits"]))
    frames["bench_tests"] = settle_bench_tests(drafts["bench_tests"])
    frames["cases"] = settle_plain(drafts["cases"])
    frames["checks"] = unite_checks([settle_plain(drafts["checks"]), checks_from_texts(files, drafts["visits"])])
    return frames, settled
