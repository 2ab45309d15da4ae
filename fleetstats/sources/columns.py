"""One column of a file to one canonical column: value maps, parsing of distinct values, allowed words and limits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

import numpy as np
import pandas as pd

from fleetstats.errors import Problem
from fleetstats.sources.amounts import amount_parser, number_parser
from fleetstats.sources.cell import Fault, Parse, Parsed, Plain, distinct, parsed, unless_missing
from fleetstats.sources.codes import CODED, code_parser
from fleetstats.sources.dates import COMPACT, count_dates, date_parser, only_midnights
from fleetstats.sources.hours import count_points, hours_parser
from fleetstats.sources.masking import CALL, E_MAIL, PHONE, mask, pseudonym
from fleetstats.sources.payers import one_payer
from fleetstats.sources.plain_values import plain_amounts, plain_dates, plain_identifiers, plain_serials
from fleetstats.sources.profile import Profile
from fleetstats.sources.serials import serial_parser
from fleetstats.sources.vehicle_marks import keyed_plate, masked_vin, vehicle_name
from fleetstats.tables import VEHICLES
from fleetstats.tables.column import DTYPES, Column
from fleetstats.vocabulary import Vocabulary

SERIALS = ("serial", "removed_serial", "fitted_serial", "first_cooling_unit_serial")
IDENTIFIERS = (*SERIALS, "vehicle_id", "visit_id", "bench_test_id", "case_id", "document", "technician")
"""Columns kept as they are unless they hold an e-mail address or a number to call; every other text is masked."""

TRUE = ("yes", "y", "true", "1", "oui", "o", "vrai", "t")
FALSE = ("no", "n", "false", "0", "non", "faux", "f")
LONGEST_FOUND = 60
LEFT_EMPTY = "Write one of these into the cell; it was left empty."


@dataclass(kw_only=True)
class Address:
    """Where cells stand, to make their faults into Problems. name: canonical column."""

    file: str
    sheet: str | None
    heading: str
    name: str
    problems: list[Problem] = field(default_factory=list)

    def report(self, read: Parsed, faults: Mapping[int, Fault], rows: pd.Index) -> None:
        """A Problem for every row whose value has a fault; the value found is masked, once for all rows that hold it."""
        if not faults:
            return
        found = {code: shown(read.values[code]) for code in faults}
        for place in np.flatnonzero(np.isin(read.codes, list(faults))).tolist():
            code = int(read.codes[place])
            fault = faults[code]
            self.problems.append(Problem(what=fault.what, found=found[code], wanted=fault.wanted, remedy=fault.remedy, file=self.file, sheet=self.sheet,
                                         row=int(rows[place]), column=self.heading, field=self.name))


@dataclass(frozen=True, kw_only=True)
class Readers:
    """What some columns are read with: the key of pseudonyms, the vocabulary of codes, and what the workbook counts bare numbers of days from."""

    key: bytes
    vocabulary: Vocabulary
    date_system: str | None = None


def shown(value: object) -> str:
    """A cell's value as it may be shown: masked, at most 60 characters."""
    return _cut(mask(" ".join(str(value)[:10 * LONGEST_FOUND].split())))


def shown_in(value: object, name: str | None) -> str:
    """A cell's value as it may be shown under a column of ours: an identifier as it is kept, every other masked."""
    text = plain_text(value)
    if name not in IDENTIFIERS or name == "technician" or _holds_contact(text):
        return shown(text)
    return _cut(" ".join((vehicle_name(text) if name == "vehicle_id" else text).split()))


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_FOUND else text[:LONGEST_FOUND - 1] + "…"


def typed_column(values: pd.Series, name: str, profile: Profile, readers: Readers, address: Address) -> pd.Series:
    """The cells of one column with the canonical dtype; what cannot be read is empty and reported at `address`."""
    column = profile.canonical.columns.get(name) or VEHICLES.columns[name]
    mapped = profile.values.get(name, {})
    read = parsed(values, _mapped(_parser(name, column, profile, readers, values), mapped), None if mapped else _plain_reader(name, column, profile))
    address.report(read, read.faults, values.index)
    if column.kind == "date" and readers.date_system:
        address.problems += told_days(read, values.index, profile.format.date_system, readers.date_system, address)
    typed = _within(conformed(read.meanings, column.kind), read, column, address, values.index)
    return pd.Series(typed.take(read.codes, allow_fill=True), index=values.index)


def conformed(values: Sequence[object], kind: str) -> Any:
    """Values, None where empty, as an array with the dtype of a kind of column."""
    if kind == "date":
        return pd.Series(pd.to_datetime(pd.Series(list(values), dtype=object))).astype("datetime64[s]").array
    return pd.array(cast(Any, list(values)), dtype=cast(Any, DTYPES[kind]))


def fold(text: object) -> str:
    """A cell's text as value maps compare it: lower case, blanks collapsed."""
    return " ".join(plain_text(text).lower().split())


def plain_text(value: object) -> str:
    """A cell as text; whole numbers of a workbook without '.0'."""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return " ".join(str(value).split())


def _mapped(parse: Parse, values: dict[str, str | float | bool]) -> Parse:
    targets = {fold(text): target for text, target in values.items()}
    plain = unless_missing(parse)
    return lambda value: parse(targets[fold(value)]) if fold(value) in targets else plain(value)


def _parser(name: str, column: Column, profile: Profile, readers: Readers, values: pd.Series) -> Parse:
    layout = profile.format
    if column.kind == "date":
        return _dates(profile, values, readers.date_system)
    if name == "labour_hours":
        return hours_parser(layout.hours_unit, "decimal" if profile.of_own_headings else layout.hours_point, count_points(distinct(values)[1]))
    if column.kind == "float" and column.unit == "money of price_basis":
        return amount_parser(layout.decimal, layout.thousands, profile.money.currency)
    if column.kind in ("float", "int"):
        return number_parser(layout.decimal, layout.thousands)
    if column.kind == "bool":
        return _bool
    if column.values:
        words = _one_of(column.values, LEFT_EMPTY if profile.of_own_headings else f"Add it to [values.{name}] of the profile; the cell was left empty.")
        return one_payer(words, {*column.values, *profile.values.get(name, {})}) if name == "payer" else words
    if name in CODED:
        return code_parser(name, readers.vocabulary)
    if name in SERIALS:
        return _without_contact(serial_parser())
    if name == "vin":
        return lambda value: masked_vin(plain_text(value)) or Fault(what="no vehicle identification number", wanted="17 signs, or the last 8 or 6 of them")
    if name == "plate":
        return lambda value: keyed_plate(plain_text(value), readers.key)
    if name == "vehicle_id":
        return _without_contact(lambda value: vehicle_name(plain_text(value)))
    if name == "technician":
        return lambda value: pseudonym(plain_text(value), readers.key)
    return _without_contact(plain_text) if name in IDENTIFIERS else lambda value: mask(plain_text(value))


def told_days(read: Parsed, rows: pd.Index, stated: str | None, of_workbook: str, address: Address) -> list[Problem]:
    """That numbers of a column were read as days counted from a year that the profile does not state, or states otherwise than the workbook."""
    numbers = [place for place, value in enumerate(read.values)
               if type(value) in (int, float) and read.meanings[place] is not None and not COMPACT.fullmatch(str(value))]
    held = rows[np.isin(read.codes, numbers)]
    if stated == of_workbook or not len(held):
        return []
    told = f"as the profile says and the workbook, which counts from {of_workbook}, does not" if stated else "as the workbook says"
    return [Problem(what=f"{len(held):,} {'cell holds a bare number' if len(held) == 1 else 'cells hold bare numbers'}, read as days counted from "
                         f"{stated or of_workbook}, {told}", file=address.file, sheet=address.sheet, row=int(held[0]), column=address.heading,
                    remedy=f'Look at a few of the days; set date_system = "{of_workbook}" under [format] of the profile, or format the cells as dates.')]


def _dates(profile: Profile, values: pd.Series, of_cells: str | None) -> Parse:
    """A parser of the dates of one column; without an order, what its other values prove is told beside an ambiguous one."""
    layout = profile.format
    seen = None if layout.date_order else count_dates(distinct(values)[1])
    midnights = layout.time_zone is not None and only_midnights(distinct(values)[1])
    parse = date_parser(layout.date_order, date_system=layout.date_system, of_cells=of_cells, time_zone=layout.time_zone, midnights=midnights,
                        covered=(profile.coverage.first, profile.coverage.last), seen=seen)
    return _iso(parse) if profile.of_own_headings and layout.date_order is None else parse


def _plain_reader(name: str, column: Column, profile: Profile) -> Plain | None:
    """What reads the plain values of a column all at a time, where most of them are different."""
    if column.kind == "float" and column.unit == "money of price_basis":
        return plain_amounts(profile.format.decimal, profile.format.thousands, profile.money.currency)
    if column.kind == "date":
        return plain_dates(profile.format.date_order)
    if name in SERIALS:
        return plain_serials
    return plain_identifiers if name in IDENTIFIERS and name != "technician" and not column.values else None


def _without_contact(parse: Parse) -> Parse:
    """An identifier is kept as it is, but never one that holds an e-mail address or a number to call: one behind a word such as 'tel', or written with a plus
    or an area in brackets. Bare digits may be a number of the shop's own, and are."""
    def parsed(value: object) -> object:
        if _holds_contact(plain_text(value)):
            return Fault(what="an address or a number of a person where an identifier is wanted", wanted="a number of the fleet, the shop or the unit")
        return parse(value)
    return parsed


def _holds_contact(text: str) -> bool:
    return bool(E_MAIL.search(text) or CALL.search(text) or (text[:1] in ("+", "(") and PHONE.match(text)))


def _iso(parse: Parse) -> Parse:
    """Dates of a file without a profile: what is not clear is to be written as ISO dates."""
    def parsed(value: object) -> object:
        date = parse(value)
        return replace(date, remedy="Write the date as year-month-day, e.g. 2021-03-14; the cell was left empty.") if isinstance(date, Fault) else date
    return parsed


def _bool(value: object) -> object:
    text = fold(value)
    if text in TRUE or text in FALSE:
        return text in TRUE
    return Fault(what="neither yes nor no", wanted="yes or no")


def _one_of(words: tuple[str, ...], remedy: str) -> Parse:
    known = {word.lower(): word for word in words}
    wanted = f"one of: {', '.join(words)}"
    return lambda value: known.get(fold(value)) or Fault(what="a word that is not known here", wanted=wanted, remedy=remedy)


def _within(typed: Any, read: Parsed, column: Column, address: Address, rows: pd.Index) -> Any:
    """The distinct meanings without those out of the column's limits; the rows that hold these are reported."""
    for limit, bad in _limits(typed, column):
        if bad.any():
            fault = Fault(what="a number out of its range", wanted=f"{limit}{' ' + column.unit if column.unit else ''}")
            address.report(read, dict.fromkeys(np.flatnonzero(bad).tolist(), fault), rows)
            typed = pd.Series(typed).mask(bad).array
    return typed


def _limits(typed: Any, column: Column) -> Iterator[tuple[str, np.ndarray]]:
    numbers = pd.Series(typed)
    if column.low is not None:
        yield f"at least {column.low:g}", (numbers < column.low).fillna(False).to_numpy(dtype=bool)
    if column.high is not None:
        yield f"at most {column.high:g}", (numbers > column.high).fillna(False).to_numpy(dtype=bool)
