"""The page: the result in a template that ships with the package, everything escaped, nothing undefined."""

from __future__ import annotations

import dataclasses
import re
from functools import cache
from typing import Any

import jinja2
from markupsafe import Markup, escape

from fleetstats.figures import words
from fleetstats.life import GroupRate
from fleetstats.report.drawings import drawings
from fleetstats.report.prose import paragraphs, population_cautions, sensitivities
from fleetstats.report.quarterly import Quarterly
from fleetstats.report.summary import summary_lines
from fleetstats.results import Estimate, plain
from fleetstats.safety import read_cautions, read_hazards

SECTIONS = {
    "answers": "What your data can answer", "audit": "Units condemned, units failed", "lives": "How long units last",
    "next-year": "The next four quarters", "waiting": "Open visits and decisions waiting", "spend": "Spend by quarter",
    "data": "What became of the rows", "cautions": "Cautions", "methods": "Methods and definitions", "inputs": "Inputs",
}
WITHIN = {"shops": "audit", "senders": "audit"}
"""Parts of a section that sentences point to."""

LISTED = 20
FORMS = {
    "percent": words.percent, "years": words.years, "count": words.count, "amount": words.amount,
    "number": lambda value: f"{value:.1f}", "units": lambda value: f"{value:.1f}".removesuffix(".0"),
    "ratio": lambda value: f"{value:.2f}", "rate": lambda value: f"{value:.3f}",
}


def html(quarterly: Quarterly) -> str:
    """The whole report as one HTML document without script and without any outside address."""
    return _environment().get_template("quarterly.html.j2").render(_context(quarterly))


@cache
def _environment() -> jinja2.Environment:
    made = jinja2.Environment(
        loader=jinja2.PackageLoader("fleetstats.report"), autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True,
    )
    made.filters.update(with_interval=_with_interval, percent=words.percent, amount=words.amount, counted=words.counted, dates=_dates)
    return made


def _with_interval(estimate: Estimate | None, form: str, missing: str = "cannot say") -> str:
    return words.with_interval(estimate, FORMS[form], missing)


def _dates(text: str) -> Markup:
    """The text with its ISO dates kept on one line."""
    return Markup(re.sub(r"\d{4}-\d{2}-\d{2}", r'<span class="d">\g<0></span>', str(escape(text))))


def _context(q: Quarterly) -> dict[str, Any]:
    numbers = {section: place for place, section in enumerate(SECTIONS, 1)}
    return {
        "q": q, "style": Markup(_source("style.css")), "records": dict(summary_lines(q))["Records"], "paragraphs": paragraphs(q),
        "sections": SECTIONS | {part: SECTIONS[whole] for part, whole in WITHIN.items()}, "contents": SECTIONS,
        "numbers": numbers | {part: numbers[whole] for part, whole in WITHIN.items()},
        "heading": lambda section: f"{numbers[section]}. {SECTIONS[section]}", "level": f"{100 * q.level:g} %", "reason": q.reasons.get,
        "drawings": {"new": None, "reconditioned": None, "shops": None, "options": None, "data": None, **_marked(drawings(q))},
        "life_cautions": [f"{who}: {text}" for who, text in population_cautions(q.lives)] if q.lives is not None else [], "rate_tables": _rate_tables(q),
        "year_tables": {str(basis): rows.tail(4).to_dict("records") for basis, rows in q.spend_by_year.groupby("price_basis")},
        "spend_tables": {str(basis): rows.tail(8).to_dict("records") for basis, rows in q.spend.groupby("price_basis")},
        "files": plain(q.files), "rejects": plain(q.rejects.head(LISTED)), "unknown": plain(q.unknown.head(LISTED)),
        "stop_cautions": [caution.text for caution in read_cautions() if caution.about in ("leak", "heat", "gas", "co")],
        "cautions": read_cautions(), "hazards": read_hazards(),
        "sensitivities": sensitivities(q.audit) if q.audit is not None else (),
        "audit_method": f"Here: {q.audit.needless_share.method}." if q.audit is not None else "",
        "inputs": sorted(q.inputs.inputs.items()) if q.inputs is not None else [],
    }


def _source(name: str) -> str:
    loader = _environment().loader
    assert loader is not None
    return loader.get_source(_environment(), name)[0]


def _marked(made: dict[str, Any]) -> dict[str, Any]:
    """The drawings with their SVG marked as safe: it was written here, its words are escaped."""
    return {name: [_mark(d) for d in drawn] if isinstance(drawn, list) else _mark(drawn) for name, drawn in made.items()}


def _mark(drawing: Any) -> Any:
    return dataclasses.replace(drawing, svg=Markup(drawing.svg))


def _litres(rate: GroupRate) -> float:
    return float(rate.group) if rate.group.isdigit() else 0.0


def _rate_tables(q: Quarterly) -> list[tuple[str, tuple[Any, ...]]]:
    tables = []
    if q.needless_rates is not None:
        title = "Needless removals per vehicle and year, by shop over the vehicles of the depots it serves"
        tables.append((title, (q.needless_rates.overall, *q.needless_rates.by_shop)))
    if q.outside_rates is not None:
        title = "Complaints about cooling from outside the unit, by size of refrigerator in litres"
        tables.append((title, (q.outside_rates.overall, *sorted(q.outside_rates.by_size, key=_litres))))
    return tables
