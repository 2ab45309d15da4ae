"""The figures of the page: each drawn once, as inline SVG with its words and the line that says what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from fleetstats import figures
from fleetstats.report.quarterly import OpenVisit, Quarterly


@dataclass(frozen=True)
class Drawing:
    """An inline SVG element and the caption below it."""

    svg: str
    caption: str


def drawings(quarterly: Quarterly) -> dict[str, Drawing | list[Drawing]]:
    """Place on the page -> drawing; a place whose question cannot be answered has none."""
    made: dict[str, Drawing | list[Drawing]] = {"spend": _spend(quarterly)}
    for name, drawing in {
        "new": _survival(quarterly, "new"), "reconditioned": _survival(quarterly, "reconditioned"), "shops": _shops(quarterly),
        "options": _options(quarterly), "data": _data(quarterly),
    }.items():
        if drawing is not None:
            made[name] = drawing
    return made


def _source(quarterly: Quarterly) -> str:
    span = f"{quarterly.period[0]} to {quarterly.period[1]}" if quarterly.period else f"known by {quarterly.as_of}"
    return f"Source: records of {quarterly.fleet}, {span}"


def _survival(quarterly: Quarterly, origin: str) -> Drawing | None:
    curves = [curve for basis in ("as_recorded", "corrected") for curve in quarterly.curves if curve.origin == origin and curve.basis == basis]
    if not curves:
        return None
    n = quarterly.counts.get(f"tenures_{origin}", 0)
    method = "; ".join(f"{curve.basis.replace('_', ' ')}: {curve.method}" for curve in curves)
    note = f"{_source(quarterly)}; n = {n:,.0f} stays of units; {100 * quarterly.level:g} % band. {method}."
    ax = figures.survival(curves, note=note, ax=figures.page_axes(4.3))
    title = f"How long {origin} cooling units last"
    rest = ": as the records stand, and with needless removals taken out" if curves[-1].basis == "corrected" else ", as the records stand"
    return Drawing(figures.svg(ax, f"survival-{origin}", title, figures.survival_alt(curves)), f"{title}{rest}.")


def _shops(quarterly: Quarterly) -> Drawing | None:
    funnel = quarterly.audit.funnel if quarterly.audit is not None else None
    if funnel is None:
        return None
    tested = sum(point.tested for point in funnel.points)
    note = f"{_source(quarterly)}; n = {tested} units with a definite bench verdict; verdicts as they are, exact binomial limits around all shops together."
    ax = figures.shop_funnel(funnel, note=note, ax=figures.page_axes(3.9))
    title = "Do shops differ by more than chance?"
    return Drawing(figures.svg(ax, "shops-drawing", title, figures.shop_funnel_alt(funnel)), f"{title} Dots outside their grey bar do.")


def _options(quarterly: Quarterly) -> Drawing | None:
    visit = _example(quarterly.open_visits)
    if visit is None or visit.decision is None:
        return None
    decision = visit.decision
    priced = sum(line.cost is not None for line in decision.options)
    note = (f"Prices and calendar of the project; {priced} options priced, cost to the planned exit, "
            f"{100 * quarterly.level:g} % interval over the doubt of lives and evidence.")
    ax = figures.option_costs(decision, note=note, ax=figures.page_axes(1.5 + 0.28 * priced))
    title = f"What each option costs: vehicle {visit.vehicle_id}"
    caption = f"{title}, visit {visit.visit_id}, as one example. {decision.headline}"
    return Drawing(figures.svg(ax, "options-drawing", title, figures.option_costs_alt(decision)), caption)


def _example(visits: tuple[OpenVisit, ...]) -> OpenVisit | None:
    """The visit in which money decides most: several options priced, the gate not closed, the cause as doubtful as may be."""
    eligible = [v for v in visits if v.decision is not None and v.gate_state != "closed" and sum(o.cost is not None for o in v.decision.options) > 1]
    return min(eligible, key=_certainty, default=None)


def _certainty(visit: OpenVisit) -> float:
    known = visit.decision.probability_true_failure if visit.decision is not None else None
    return 0.5 if known is None or known.estimate is None else abs(known.estimate - 0.5)


def _spend(quarterly: Quarterly) -> list[Drawing]:
    made = []
    for place, (basis, rows) in enumerate(quarterly.spend.groupby("price_basis")):
        if rows["quarter"].nunique() < 2:
            continue
        note = f"{_source(quarterly)}; n = {int(rows['visits'].sum()):,} visits with an amount, paid by the fleet; pale and hatched: not covered whole."
        ax = figures.spend_by_quarter(rows, str(basis), note=note, ax=figures.page_axes(3.1))
        title = f"Spend on refrigerator visits by quarter, {basis}"
        made.append(Drawing(figures.svg(ax, f"spend-{place}", title, figures.spend_by_quarter_alt(rows, str(basis))), f"{title}."))
    return made


def _data(quarterly: Quarterly) -> Drawing | None:
    if quarterly.files.empty:
        return None
    note = f"n = {int(quarterly.files['rows_read'].sum()):,} rows in {len(quarterly.files)} files; in brackets the rows of each."
    ax = figures.data_quality(quarterly.files, note=note, ax=figures.page_axes(1.4 + 0.25 * len(quarterly.files)))
    title = "What became of the rows"
    return Drawing(figures.svg(ax, "data-drawing", title, figures.data_quality_alt(quarterly.files)), f"{title} of every file.")
