"""A first profile of a file from its own headings and values; what cannot be known is left open for a person."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from fleetstats.errors import InputRefused, Problem
from fleetstats.sources.candidates import Candidate, column_lines, match_columns
from fleetstats.sources.cell import Fault
from fleetstats.sources.columns import Readers, shown
from fleetstats.sources.compressed import inner_name, unpacked
from fleetstats.sources.dates import NUMBERS, SYSTEM_REMEDY, ZONE_REMEDY, DateCount, date_parser
from fleetstats.sources.evidence import AMOUNT, TAXED, currency_columns, currency_seen, days_seen, furniture_lines, tax_stated
from fleetstats.sources.guesses import guess_table
from fleetstats.sources.hours import MOST_HOURS, count_points
from fleetstats.sources.layout_guess import guess_layout, lowest_headings
from fleetstats.sources.money_columns import money_columns
from fleetstats.sources.profile import Format
from fleetstats.sources.raw_sheet import RawSheet
from fleetstats.sources.readers import read_bytes, read_sheets
from fleetstats.sources.seen import Seen, columns_seen, date_counts
from fleetstats.tables import INPUT_TABLES
from fleetstats.vocabulary import load_vocabulary

MONEY = frozenset(name for table in INPUT_TABLES.values() for name in money_columns(table))
MINUTES = re.compile(r"(?i)\bmin(?:s|utes?|uten)?\b")


@dataclass(frozen=True, kw_only=True)
class Draft:
    """What a file shows of itself."""

    file: str
    stem: str
    layout: Format
    sheets: list[RawSheet] = field(repr=False)
    columns: dict[str, Seen] = field(repr=False)
    dates: dict[str, DateCount]
    table: str
    matched: dict[str, Candidate]

    @property
    def mapped(self) -> dict[str, str]:
        """Heading -> column, of those that were matched."""
        return {heading: candidate.name for heading, candidate in self.matched.items() if candidate.taken}


def draft_profile(path: str | Path) -> str:
    """A commented TOML profile of a file, to be finished by a person: the guesses stand as comments, open points as 'write here'.

    Raises InputRefused where the file is missing, empty or broken.
    """
    path = Path(path)
    packed = read_bytes(path)
    data = unpacked(packed, path.name)
    layout = guess_layout(data, inner_name(path.name, packed))
    sheets = [sheet for sheet in read_sheets(data, path.name, layout) if sheet.headings]
    if not sheets:
        raise InputRefused(Problem(what="no sheet of this workbook holds anything", file=path.name, remedy="Name a filled workbook."))
    return "\n".join(_lines(_draft(path, layout, sheets, lowest_headings(data, path.name, layout, sheets)))) + "\n"


def _draft(path: Path, layout: Format, sheets: list[RawSheet], lowest: dict[str, str]) -> Draft:
    columns = columns_seen(sheets)
    dates = date_counts(columns)
    orders = {count.order for count in dates.values()} - {None}
    decimal, thousands, _ = _marks(columns)
    seen = {"decimal": decimal, "thousands": thousands, "date_order": orders.pop() if len(orders) == 1 else None,
            "hours_unit": "minutes" if any(MINUTES.search(heading) for heading in columns) else "hours"}
    layout = layout.model_copy(update=seen)
    table = guess_table(list(dict.fromkeys([*lowest.values(), *columns])))
    # what is open is no reason to doubt a heading
    settled = {"date_order": layout.date_order or "dmy", "hours_point": "decimal", "date_system": "1900", "time_zone": "UTC"}
    matched = match_columns(columns, table, layout.model_copy(update=settled), Readers(key=b"draft", vocabulary=load_vocabulary()), lowest)
    return Draft(file=path.name, stem=path.stem, layout=layout, sheets=sheets, columns=columns, dates=dates, table=table, matched=matched)


def _lines(draft: Draft) -> Iterator[str]:
    yield f"# Draft of a profile for {draft.file}. Guesses are comments; finish the lines marked 'write here', then put it into profiles/."
    yield f"# Then look at what it makes of the file: fleetstats check --profile profiles/{draft.stem}.toml"
    yield f"files = [{json.dumps(draft.file, ensure_ascii=False)}]"
    yield f'table = "{draft.table}"        # guessed from the headings; one of: {", ".join(INPUT_TABLES)}'
    yield "mixed = false            # true if most rows are about other work"
    yield "reporting_days = 0       # days after which a row becomes known, where the file does not say"
    yield from _format_lines(draft)
    yield from _date_lines(draft)
    yield from _day_lines(draft)
    yield from _hours_lines(draft)
    if money_columns(INPUT_TABLES[draft.table]):
        yield from _money_lines(draft)
    yield "\n[columns]"
    yield from column_lines(draft.columns, draft.table, draft.matched)
    maker = next((name for name in ("shop", "bench") if name in INPUT_TABLES[draft.table].columns and draft.table != "shops"), None)
    if maker and maker not in draft.mapped.values():
        yield "\n[constants]"
        yield f'# {maker} = {json.dumps(draft.stem, ensure_ascii=False)}   # name of the {maker}{" as in shops.csv" if maker == "shop" else ""}: write here'
    yield from furniture_lines(draft.sheets)
    yield from _coverage_lines(draft)


def _format_lines(draft: Draft) -> Iterator[str]:
    layout = draft.layout
    yield "\n[format]"
    yield f'kind = "{layout.kind}"'
    if layout.kind == "csv":
        yield f"delimiter = {json.dumps(layout.delimiter)}"
    if layout.kind in ("csv", "fixed"):
        yield f'encoding = "{(layout.encoding or "utf-8").replace("_", "-")}"        # guessed; look at words with accents'
    if layout.kind in ("xlsx", "xls", "ods"):
        yield f"sheets = {json.dumps([sheet.sheet for sheet in draft.sheets], ensure_ascii=False)}        # take out those that hold no records"
    if layout.kind == "json":
        yield f"records = {json.dumps(layout.records, ensure_ascii=False)}             # path to the list of records; a list within them gives a row each"
    if layout.query is not None:
        yield f"query = {json.dumps(layout.query, ensure_ascii=False)}        # the longest table: narrow it to what is wanted"
    if layout.kind in ("csv", "fixed", "xlsx", "xls", "ods"):
        yield f"header_row = {layout.header_row}"
    if layout.heading_rows > 1:
        yield f"heading_rows = {layout.heading_rows}         # rows that make up the headings, joined from above; guessed from merged cells"
    if layout.positions:
        yield "# places of the cells, counted from 1: every line that was looked at leaves the gaps between them blank"
        yield from (f"positions.{json.dumps(heading, ensure_ascii=False)} = [{first}, {last}]" for heading, (first, last) in layout.positions.items())
    yield _mark_line(draft)
    yield f"thousands = {json.dumps(layout.thousands)}"


def _mark_line(draft: Draft) -> str:
    _, _, (commas, points) = _marks(draft.columns)
    return f'decimal = "{draft.layout.decimal}"            # {commas} values end in a comma and one or two digits, {points} in a point'


def _marks(columns: dict[str, Seen]) -> tuple[str, str, tuple[int, int]]:
    """Decimal mark and mark of thousands as they look, and how many values speak for a comma and for a point."""
    texts = [value.strip() for seen in columns.values() for value in seen.looked_at if isinstance(value, str) and AMOUNT.match(value.strip())]
    texts = [text for text in texts if not NUMBERS.fullmatch(text)]
    commas = sum(bool(re.search(r",\d{1,2}\D*$", text)) for text in texts)
    points = sum(bool(re.search(r"\.\d{1,2}\D*$", text)) for text in texts)
    mark = "," if commas > points else "."
    pointed = any(re.search(r"\d\.\d{3}(?:\D|$)", text) for text in texts)
    return mark, ("." if pointed else " ") if mark == "," else ",", (commas, points)


def _date_lines(draft: Draft) -> Iterator[str]:
    for heading, count in draft.dates.items():
        yield f"# {shown(heading)}: {count.values} values; {count.only_dmy} can only be day-month-year, {count.only_mdy} can only be month-day-year"
    orders = {count.order for count in draft.dates.values()} - {None}
    if draft.layout.date_order:
        yield f'date_order = "{draft.layout.date_order}"'
    elif draft.dates:
        both = next((value for count in draft.dates.values() for value in count.open_values), None)
        why = "columns of this file contradict each other" if len(orders) > 1 else "not proved by the values"
        yield f'# date_order = "..."     # {why}{_two_readings(both)}: write here, "dmy" or "mdy"'


def _day_lines(draft: Draft) -> Iterator[str]:
    """What is open of bare numbers of days and of moments with a time zone, with the first value that is left empty for it."""
    parse = date_parser(draft.layout.date_order or "dmy", of_cells=draft.sheets[0].date_system)
    kinds = INPUT_TABLES[draft.table].columns
    days = [heading for heading, name in draft.mapped.items() if name in kinds and kinds[name].kind == "date"]
    for key, remedy in (("date_system", SYSTEM_REMEDY), ("time_zone", ZONE_REMEDY)):
        met = [(heading, value, fault) for heading in days for value in draft.columns[heading].looked_at
               if isinstance(fault := parse(value), Fault) and fault.remedy == remedy]
        if met:
            heading, value, fault = met[0]
            yield f"# {key} = \"...\"    # {len(met)} values of {shown(heading)} and the like, e.g. '{shown(value)}': {fault.what}: write here"


def _two_readings(value: str | None) -> str:
    """An example of a date that both orders read."""
    found = NUMBERS.fullmatch(value.strip().lower()) if value else None
    if value is None or found is None:
        return ""
    return f": '{shown(value)}' is day {int(found[1])} of month {int(found[2])} (dmy), or day {int(found[2])} of month {int(found[1])} (mdy)"


def _hours_lines(draft: Draft) -> Iterator[str]:
    heading = next((heading for heading, name in draft.mapped.items() if name == "labour_hours"), None)
    if draft.layout.hours_unit == "minutes":
        yield 'hours_unit = "minutes"   # guessed from a heading'
    if heading is None:
        return
    values = draft.columns[heading].looked_at
    long = sum(_number(value) > MOST_HOURS for value in values)
    if draft.layout.hours_unit == "hours" and long:
        yield f'# hours_unit = "minutes"  # {long} of {len(values)} values of {shown(heading)} are above {MOST_HOURS:g}: write here if the file counts minutes'
    points = count_points(values)
    if draft.layout.hours_unit == "hours" and points.proved:
        yield f'hours_point = "decimal"  # {points.no_minutes} of {points.values} values with two digits behind the mark can be no minutes, as 1.75'
    elif points.values:
        proof = f"{points.no_minutes} of {points.values} values can be no minutes" if points.no_minutes else "not proved by the values"
        yield f'# hours_point = "..."    # {proof}: is 1.30 1.3 h ("decimal") or 1 h 30 min ("minutes")? write here'


def _number(value: object) -> float:
    try:
        return float(str(value).replace(",", "."))
    except ValueError:
        return 0.0


def _money_lines(draft: Draft) -> Iterator[str]:
    columns = draft.columns
    seen = [*currency_columns(columns), *currency_seen(columns)]
    taxes = [shown(heading) for heading in columns if TAXED.search(heading)]
    yield "\n[money]"
    if seen:
        yield f'# currency = "..."       # seen: {"; ".join(seen)}: write here (ISO 4217)'
    else:
        yield '# currency = "..."       # not stated in the file: write here (ISO 4217)'
    stated = {shown(heading): tax for heading in columns if _holds_money(draft.matched[heading]) and (tax := tax_stated(heading))}
    said = [*taxes, *(heading for heading in stated if heading not in taxes)]
    evidence = f" (seen in headings: {', '.join(said)})" if said else ""
    tax = next(iter(stated.values())) if len(set(stated.values())) == 1 else "..."
    yield f'# tax = "{tax}"            # "net", or "gross" with tax_rate = 0.20{evidence}: write here'
    if taxes:
        yield f"# tax_column = {json.dumps(taxes[0], ensure_ascii=False)}   # instead of tax, where a column says it row by row; then also:"
        yield '# tax_values = { "..." = "gross", "..." = "net" }'


def _holds_money(found: Candidate) -> bool:
    return found.looks == "amounts or numbers" or found.name in MONEY


def _coverage_lines(draft: Draft) -> Iterator[str]:
    first, last, where = days_seen(draft.columns, draft.mapped, draft.layout, draft.sheets[0].date_system)
    told = f"; seen in {where}: {first} to {last}" if first else ""
    yield f"\n# [coverage]            # first and last day whose work this file holds, if you know them{told}: write here"
    yield f"# from = {first or '2016-01-01'}"
    yield f"# to = {last or '2025-12-31'}"
