"""A raw sheet to typed rows of one canonical table, as the profile says."""

from __future__ import annotations

import difflib
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.amounts import pays_warranty
from fleetstats.sources.cell import distinct
from fleetstats.sources.columns import Address, Readers, conformed, plain_text, typed_column
from fleetstats.sources.ditto import fill_dittos
from fleetstats.sources.endless import refuse_endless_texts
from fleetstats.sources.furniture import fates, part_furniture
from fleetstats.sources.headings import unfilled
from fleetstats.sources.masking import listed, mask
from fleetstats.sources.money_columns import money_columns, settle_money, tax_of_rows
from fleetstats.sources.plain_values import worth_a_look
from fleetstats.sources.profile import OPEN, TEXT_COLUMNS, TEXT_TABLES, Profile
from fleetstats.sources.raw_sheet import RawSheet, categorical
from fleetstats.sources.text import RowTexts, read_texts
from fleetstats.sources.text_checks import CHECK_COLUMNS
from fleetstats.sources.unknown import UNKNOWN_COLUMNS, empty_unknown
from fleetstats.sources.vehicle_marks import MARKS
from fleetstats.tables import Table
from fleetstats.vocabulary import Vocabulary

MADE_LATER = {"visits": ("visit_id",), "bench_tests": ("bench_test_id",)}
"""Identifiers that a file need not have: they are made from document or address when records are joined."""

NAMING = ("shop", "contact", "technician", "vehicle_id", "payer", "price_basis", *MARKS)
"""Columns of a visit that name someone or something, and by themselves tell of no visit."""
SAYS_NOTHING = "the row says nothing of a visit"

KNOWN_WHEN = {"visits": ("date_out", "date_in", "opened_on"), "bench_tests": ("tested_on", "received_on")}


@dataclass(frozen=True, kw_only=True)
class TypedSheet:
    """Typed rows of one sheet, and what became of the others (see SourceFile)."""

    rows_read: int
    rows: pd.DataFrame = field(repr=False)
    checks: pd.DataFrame = field(repr=False)
    fates: pd.DataFrame = field(repr=False)
    problems: tuple[Problem, ...] = field(repr=False)
    unknown: pd.DataFrame = field(repr=False)


def typed_sheet(raw: RawSheet, profile: Profile, file: str, vocabulary: Vocabulary, key: bytes) -> TypedSheet:
    """The rows of a sheet typed. Raises InputRefused for a heading of the profile that the file does not have."""
    _need_headings(raw, profile, file)
    cells, gone = part_furniture(raw, profile, file)
    cells, doubtful, problems = _doubtful(cells, raw)
    untold = unfilled(cells, raw, file)
    cells, endless = refuse_endless_texts(cells, raw, profile, file)
    dittos = fill_dittos(cells, raw, profile, file)
    cells = dittos.cells
    texts = read_texts(_texts(cells, profile), vocabulary, table=profile.table, mixed=profile.mixed) if profile.table in TEXT_TABLES else None
    aside = texts.aside if texts is not None and profile.mixed else pd.Series(False, index=cells.index)
    fate_parts = [gone, doubtful, fates(raw.sheet, cells.index[aside], "set aside", "not about the refrigerator")]
    cells = cells[~aside] if aside.any() else cells
    cells, silent, nothing_said = _silent(cells, raw, profile, file)
    rows, cell_problems = _columns(cells, raw, profile, file, Readers(key=key, vocabulary=vocabulary, date_system=raw.date_system))
    rows, checks, unknown = _from_texts(rows, texts, profile, raw.sheet)
    rows, money_problems = settle_money(rows, profile, file, tax_of_rows(cells, profile)) if "price_basis" in rows else (rows, [])
    rows = _known_when(rows, profile)
    kept, refused, refusals = _refused(rows, profile, raw, file)
    rows = kept.assign(file=file, sheet=raw.sheet, row=kept.index).astype({"file": "string", "sheet": "string", "row": "Int64"})
    if dittos.inferred:
        rows = rows.assign(inferred=dittos.told(rows))
    return TypedSheet(rows_read=raw.rows_read, rows=rows.reset_index(drop=True), checks=checks, unknown=unknown,
                      fates=pd.concat([*fate_parts, silent, refused], ignore_index=True),
                      problems=(*raw.notes, *untold, *problems, *endless, *dittos.problems, *nothing_said, *cell_problems, *money_problems, *refusals))


def missing_headings(raw: RawSheet, profile: Profile) -> list[str]:
    """Headings of a profile that a sheet does not have."""
    wanted = [heading for heading, name in profile.columns.items() if name not in OPEN] + ([profile.money.tax_column] if profile.money.tax_column else [])
    return [heading for heading in wanted if _plain(heading) not in raw.headings]


def _need_headings(raw: RawSheet, profile: Profile, file: str) -> None:
    missing = missing_headings(raw, profile)
    if missing and raw.headings:
        raise InputRefused(_missing(heading, raw, file) for heading in missing)


def _missing(heading: str, raw: RawSheet, file: str) -> Problem:
    near = difflib.get_close_matches(_plain(heading), raw.headings, n=1, cutoff=0.5)
    remedy = f'The nearest heading is "{mask(near[0])}": mend [columns] of the profile.' if near else "Mend [columns], or header_row, of the profile."
    return Problem(what=f"there is no column '{heading}'", file=file, sheet=raw.sheet, wanted=f"one of: {listed(raw.headings)}", remedy=remedy)


def _plain(heading: str) -> str:
    return " ".join(heading.split())


def _doubtful(cells: pd.DataFrame, raw: RawSheet) -> tuple[pd.DataFrame, pd.DataFrame, list[Problem]]:
    """The rows whose cells could be told apart, and the others refused."""
    why = {int(problem.row or 0): problem for problem in raw.doubtful}
    rows = cells.index[cells.index.isin(list(why))]
    return cells.drop(index=rows) if len(rows) else cells, fates(raw.sheet, rows, "rejected", [why[row].what for row in rows]), [why[row] for row in rows]


def _silent(cells: pd.DataFrame, raw: RawSheet, profile: Profile, file: str) -> tuple[pd.DataFrame, pd.DataFrame, list[Problem]]:
    """The rows of visits that say something beside who and where, and the others refused: a signature below the totals is no visit."""
    telling = [_plain(heading) for heading, name in profile.columns.items() if name not in NAMING and _plain(heading) in cells]
    if profile.table != "visits" or not telling:
        return cells, fates(raw.sheet, [], "rejected", []), []
    silent = np.ones(len(cells), dtype=bool)
    for heading in telling:
        silent &= cells[heading].isna().to_numpy(bool)
    rows = cells.index[silent]
    problems = [Problem(what=SAYS_NOTHING, wanted="a date, a document, a text or an amount", file=file, sheet=raw.sheet, row=int(row),
                        remedy="The row was refused; if it is one, fill it in the file, else name it under [furniture] of the profile.") for row in rows]
    return cells[~silent] if len(rows) else cells, fates(raw.sheet, rows, "rejected", SAYS_NOTHING), problems


def _texts(cells: pd.DataFrame, profile: Profile) -> pd.DataFrame:
    """The free texts of the rows, one column per helper column in use; a mapped note alone serves as the only text."""
    used = [name for name in TEXT_COLUMNS if name in profile.columns.values()]
    wanted = used or [name for name in ("note",) if name in profile.columns.values()]
    return pd.DataFrame({name: _joined(cells, profile, name) for name in wanted}, index=cells.index)


def _joined(cells: pd.DataFrame, profile: Profile, name: str) -> pd.Series:
    parts = [_plain_texts(cells[_plain(heading)]) for heading, target in profile.columns.items() if target == name]
    text = parts[0]
    for part in parts[1:]:
        one, two = text.astype("string").fillna(""), part.astype("string").fillna("")
        text = one.where(two == "", one.where(one == "", one + " / ") + two)
    return text


def _plain_texts(column: pd.Series) -> pd.Series:
    """The cells as texts (categorical), each distinct value made one once."""
    codes, values = distinct(column)
    texts = np.array(values, dtype=object)
    for place in worth_a_look(values, r"^\s|\s$|\s\s|[\t\r\f\v]"):
        texts[place] = plain_text(values[place])
    places, found = pd.factorize(texts)
    return pd.Series(categorical(np.append(places, -1)[codes], found), index=column.index)


def _columns(cells: pd.DataFrame, raw: RawSheet, profile: Profile, file: str, readers: Readers) -> tuple[pd.DataFrame, list[Problem]]:
    """Every mapped and constant column typed, the others empty."""
    table, problems = profile.canonical, []
    typed: dict[str, pd.Series] = {}
    for heading, name in profile.columns.items():
        if name in table.columns or name in MARKS:
            address = Address(file=file, sheet=raw.sheet, heading=_plain(heading), name=name)
            typed[name] = typed_column(cells[_plain(heading)], name, profile, readers, address)
            problems += address.problems
    if "payer" in table.columns:
        typed["payer"] = _warranty(cells, profile, typed.get("payer"))
    for name, value in profile.constants.items():
        typed[name] = pd.Series(conformed([value], table.columns[name].kind).repeat(len(cells)), index=cells.index)
    _name_by_marks(typed, table)
    return table.conform(pd.DataFrame(typed, index=cells.index)), problems


def _name_by_marks(typed: dict[str, pd.Series], table: Table) -> None:
    """Vehicles without a number named by VIN or plate, in tables that have no columns for these; `records` finds the number."""
    for name in MARKS:
        if name in typed and name not in table.columns:
            mark = typed.pop(name)
            typed["vehicle_id"] = typed["vehicle_id"].fillna(mark) if "vehicle_id" in typed else mark


def _warranty(cells: pd.DataFrame, profile: Profile, payer: pd.Series | None) -> pd.Series:
    """Who paid, with 'warranty' written in a money cell read as what it says."""
    payer = pd.Series(pd.NA, index=cells.index, dtype="string") if payer is None else payer
    for heading, name in profile.columns.items():
        if name in money_columns(profile.canonical):
            codes, values = distinct(cells[_plain(heading)])
            telling = [place for place in worth_a_look(values, "[A-Za-z]") if pays_warranty(values[place])]
            if telling:
                payer = payer.mask(payer.isna() & np.isin(codes, telling), "warranty")
    return payer


def _from_texts(rows: pd.DataFrame, texts: RowTexts | None, profile: Profile, sheet: str | None) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """Fields that the file has no column for, or left empty, filled from the texts."""
    if texts is None:
        return rows, pd.DataFrame({name: pd.Series(dtype=dtype) for name, dtype in CHECK_COLUMNS.items()}), empty_unknown()
    own = {*profile.columns.values(), *profile.constants}
    fields = texts.fields.loc[rows.index]
    if "removal_reason" in own and "removal_reason" in fields:
        # the column says of every row whether a unit came out; what was fitted then is the texts' to tell
        stayed = rows["removal_reason"].isna()
        fields = fields.drop(columns="removal_reason").assign(fitted_kind=fields["fitted_kind"].mask(stayed))
    filled = {name: rows[name].fillna(fields[name]) for name in fields.columns}
    checks = texts.checks[texts.checks["row"].isin(rows.index)]
    return rows.assign(**filled), checks.assign(sheet=sheet).astype(CHECK_COLUMNS), texts.unknown(rows.index).assign(sheet=sheet).astype(UNKNOWN_COLUMNS)


def _known_when(rows: pd.DataFrame, profile: Profile) -> pd.DataFrame:
    """`reported_on`, where the file does not say: the last date of the row and the source's usual delay."""
    if profile.table not in KNOWN_WHEN:
        return rows
    last = pd.Series(pd.NaT, index=rows.index, dtype="datetime64[s]")
    for name in KNOWN_WHEN[profile.table]:
        last = last.fillna(rows[name])
    late = (last + pd.Timedelta(days=profile.reporting_days)).astype("datetime64[s]")
    return rows.assign(reported_on=rows["reported_on"].fillna(late))


def _refused(rows: pd.DataFrame, profile: Profile, raw: RawSheet, file: str) -> tuple[pd.DataFrame, pd.DataFrame, list[Problem]]:
    """Rows without what their table must have."""
    table = profile.canonical
    needed = [name for name, column in table.columns.items() if (not column.nullable or name in table.key) and name not in MADE_LATER.get(table.name, ())]
    lacks = pd.Series(pd.NA, index=rows.index, dtype="string")
    for name in needed:
        lacks = lacks.mask(lacks.isna() & rows[name].isna(), name)
    bad = lacks[lacks.notna()]
    problems = [Problem(what=f"the row has no {name}", wanted=table.columns[name].meaning, file=file, sheet=raw.sheet, row=int(str(row)), column=name,
                        remedy="The row was refused; mend it in the file.") for row, name in bad.items()]
    return rows[lacks.isna()], fates(raw.sheet, bad.index, "rejected", [f"no {name}" for name in bad]), problems
