"""Diseases of service records, planted in the lines of visits at known rates; a line carries at most one of them."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.personal import contact
from fleetstats.synthetic.rows import Row, Value, event_name
from fleetstats.synthetic.scenario import Diseases, Scenario
from fleetstats.synthetic.seasons import date, day

WRITES_HOURS = ("Plateau workshop", "Lakeside workshop", "Canal vehicle workshop", "Atelier Portage", "Roadside van")
HAS_CONTACT = ("Harbour workshop", "Redfield workshop", "Atelier Portage")
CANONICAL = ("Hilltop workshop",)
DEFAULT_DAY_IN = {"Harbour workshop": "complaint_on", "Millpond workshop": "opened_on", "Lakeside workshop": "opened_on", "Roadside van": "opened_on"}


def plain_serial(serial: str) -> str:
    """A serial as it is compared: without the dash."""
    return serial.replace("-", "")


def _shop(row: Row) -> str:
    assert row.visit is not None
    return row.visit.shop.name


def _clean(rows: list[Row]) -> Iterator[Row]:
    return (row for row in rows if not row.diseases and row.values.get("status") == "closed")


def _swaps(rows: list[Row]) -> list[Row]:
    """Clean lines with two different serials."""
    return [row for row in _clean(rows) if row.values.get("removed_serial") and row.values["removed_serial"] != row.values["fitted_serial"]]


def plant(scenario: Scenario, stream: Stream, rows: list[Row]) -> list[Row]:
    """The lines with their diseases; lines that come anew (duplicates and the like) included."""
    plan = scenario.diseases
    note_natural(rows)
    _serials(plan, stream, rows)
    _dates(plan, stream, rows)
    _money(plan, stream, rows)
    extra = [*_repeated(plan, stream, rows), *_sublet(scenario, stream, rows)]
    _personal(plan, stream, rows)
    return sorted([*rows, *extra], key=lambda row: row.sort)


def note_natural(rows: list[Row]) -> None:
    """What the simulation itself put into the texts and the order of visits: come-backs, negations, suspicions, glued readings."""
    released = {(row.visit.vehicle.vehicle_id, row.visit.date_out) for row in rows if row.visit}
    for row in rows:
        visit = row.visit
        if visit is None or row.values["status"] != "closed":
            continue
        if visit.comeback_gap is not None and (visit.vehicle.vehicle_id, visit.opened - visit.comeback_gap) in released:
            row.plant("comeback_day_three" if visit.comeback_gap == 3 else "comeback", fate="accepted", event=row.event)
        if visit.suspect:
            row.plant("suspicion", certainty="suspected", condemned=False)
        if visit.deny or visit.kind == "nothing found":
            row.plant("negation", condemned=False, leak=False)
        for reading in visit.readings:
            if reading.glued and _shop(row) not in CANONICAL:
                row.plant("glued_reading", check=reading.check, value=round(reading.value, 2), unit=reading.unit)


def _serials(plan: Diseases, stream: Stream, rows: list[Row]) -> None:
    later: dict[str, list[Row]] = defaultdict(list)
    for row in sorted(_swaps(rows), key=lambda row: row.sort):
        later[str(row.values["vehicle_id"])].append(row)
    for line in later.values():
        for row, following in pairwise(line):
            if not row.diseases and row.values["fitted_serial"] == following.values["removed_serial"] and stream.chance(plan.missing_fitted):
                row.plant("missing_serial", column="fitted_serial", serial=plain_serial(str(row.values["fitted_serial"])))
                following.plant("names_missing_serial", serial=plain_serial(str(row.values["fitted_serial"])))
                row.values["fitted_serial"] = None
    for row in _swaps(rows):
        mark, removed, fitted = stream.u(), str(row.values["removed_serial"]), str(row.values["fitted_serial"])
        if mark < plan.swapped_serials:
            row.values |= {"removed_serial": fitted, "fitted_serial": removed}
            row.plant("swapped_serials", removed_serial=plain_serial(removed), fitted_serial=plain_serial(fitted))
        elif mark < plan.swapped_serials + plan.missing_removed:
            row.values["removed_serial"] = None
            row.plant("missing_serial", column="removed_serial", serial=plain_serial(removed))
        elif mark < plan.swapped_serials + plan.missing_removed + plan.letter_for_digit and confused(removed) != removed:
            row.values["removed_serial"] = confused(removed)
            row.plant("letter_for_digit", column="removed_serial", serial=plain_serial(removed))


def confused(serial: str) -> str:
    """The serial with the letter O for its first 0, or the letter I for its first 1."""
    return serial.replace("0", "O", 1) if "0" in serial else serial.replace("1", "I", 1)


def _dates(plan: Diseases, stream: Stream, rows: list[Row]) -> None:
    for row in _clean(rows):
        mark, shop = stream.u(), _shop(row)
        came = row.values["date_in"]
        if mark < plan.closed_before_opened and isinstance(came, dt.date):
            row.values["date_out"] = date(day(came) - stream.whole(20, 300))
            row.plant("closed_before_opened", column="date_out", value=None, fate="accepted")
        elif mark < plan.closed_before_opened + plan.default_date and shop in DEFAULT_DAY_IN and row.values.get(DEFAULT_DAY_IN[shop]):
            row.values[DEFAULT_DAY_IN[shop]] = dt.date(1900, 1, 1)
            row.plant("default_date", column=DEFAULT_DAY_IN[shop], value=None, fate="accepted")


def _money(plan: Diseases, stream: Stream, rows: list[Row]) -> None:
    for row in _clean(rows):
        shop = _shop(row)
        if shop in CANONICAL:
            continue
        if row.values["payer"] == "warranty" and stream.chance(plan.warranty_word):
            row.values |= {"parts_cost": None, "labour_cost": None, "other_cost": None, "total_cost": "garantie" if shop == "Atelier Portage" else "warranty"}
            row.plant("warranty_word", column="total_cost", value=None, payer="warranty")
        elif shop in WRITES_HOURS and stream.chance(plan.hours_written):
            text, hours = written_hours(stream, row.amount("labour_hours"))
            row.values["labour_hours"] = text
            row.plant("hours_written", column="labour_hours", hours=hours)


def written_hours(stream: Stream, hours: float) -> tuple[str, float]:
    """Hours rounded to a quarter, in one of the ways people write them, and the number meant."""
    quarters = max(1, round(hours * 4))
    whole, rest = divmod(quarters, 4)
    fraction = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}[rest]
    ways = [f"{whole}:{rest * 15:02d}", f"{whole}h{rest * 15:02d}", f"{quarters * 15}m", f"{whole or ''} {fraction}".strip() if rest else f"{whole}:00"]
    return stream.pick(ways), quarters / 4


def _repeated(plan: Diseases, stream: Stream, rows: list[Row]) -> list[Row]:
    extra: list[Row] = []
    last = max((row.sort for row in rows), default=0.0)
    limits = (plan.duplicate_within, plan.duplicate_within + plan.resubmitted, plan.duplicate_within + plan.resubmitted + plan.split)
    for row in list(_clean(rows)):
        mark = stream.u()
        if mark < limits[0]:
            extra.append(_again(row, "duplicate_within", 0.0))
        elif limits[0] <= mark < limits[1] and row.values["payer"] == "fleet" and row.sort + 40 < last:
            extra.append(_again(row, "resubmitted", 30.0, payer="warranty"))
        elif limits[1] <= mark < limits[2] and _shop(row) != "Roadside van" and row.visit and row.visit.date_out > row.visit.date_in:
            extra.append(_split(row))
    return extra


def _again(row: Row, disease: str, later: float, **changes: Value) -> Row:
    again = row.copy(**changes)
    again.fate, again.sort = "merged", row.sort + later
    row.plant(f"{disease}_first", fate="accepted", event=row.event)
    again.plant(disease, fate="merged", event=row.event)
    return again


def _split(row: Row) -> Row:
    parts, labour, total = (row.amount(name) for name in ("parts_cost", "labour_cost", "total_cost"))
    blank: dict[str, Value] = dict.fromkeys(("removed_serial", "fitted_serial", "fitted_origin", "fitted_kind", "removal_reason"))
    payer = "fleet" if row.values["payer"] == "warranty" else "warranty"
    second = row.copy(parts_cost=None, other_cost=None, total_cost=round(labour, 2), cause_text="", correction_text="see other line", payer=payer, **blank)
    second.fate = "merged"
    row.values |= {"labour_cost": None, "labour_hours": None, "total_cost": round(total - labour, 2)}
    assert row.visit is not None
    net = round(total / (1.0 + row.visit.shop.tax_rate), 2)
    row.plant("split_first", fate="accepted", event=row.event, total_cost=net)
    second.plant("split", fate="merged", event=row.event, total_cost=net, parts_cost=round(parts / (1.0 + row.visit.shop.tax_rate), 2))
    return second


def _sublet(scenario: Scenario, stream: Stream, rows: list[Row]) -> list[Row]:
    """Orders of a second shop opened while the vehicle is still with the first one."""
    extra = []
    for row in list(_clean(rows)):
        visit = row.visit
        assert visit is not None
        others = [shop for shop in scenario.shops if visit.vehicle.depot.name in shop.serves and shop is not visit.shop and shop.name not in CANONICAL]
        if visit.date_out - visit.date_in < 2 or not others or not stream.chance(scenario.diseases.sublet * 3):
            continue
        shop = stream.pick(others)
        if not day(scenario.covers_from(shop)) <= visit.opened or visit.date_out + shop.reporting_days > day(scenario.window.to):
            continue
        extra.append(_second_order(stream, row, shop.name, shop.rate_per_hour))
    return extra


def _second_order(stream: Stream, row: Row, shop: str, rate: float) -> Row:
    visit = row.visit
    assert visit is not None
    came, hours = visit.date_in + 1, round(stream.between(0.5, 1.5), 1)
    complaint, done = ("frigo, pour un autre atelier", "diagnostic") if shop == "Atelier Portage" else ("fridge, for other shop", "diag")
    values: dict[str, Value] = {
        "document": f"X{30000 + visit.number}", "vehicle_id": row.values["vehicle_id"], "shop": shop, "opened_on": date(came), "date_in": date(came),
        "date_out": date(visit.date_out - 1), "detection": "in use", "status": "closed", "payer": "fleet", "labour_hours": hours,
        "labour_cost": round(hours * rate, 2), "total_cost": round(hours * rate, 2),
        "complaint_text": complaint, "correction_text": done,
    }
    second = Row(values, event_name(visit), "merged", float(visit.date_out - 1), part=shop)
    row.plant("sublet_first", fate="accepted", event=row.event)
    second.plant("sublet", fate="merged", event=row.event)
    return second


def _personal(plan: Diseases, stream: Stream, rows: list[Row]) -> None:
    for row in rows:
        if row.visit is None or _shop(row) in CANONICAL or row.fate != "accepted" or not stream.chance(plan.personal):
            continue
        text, strings = contact(stream, row.visit)
        if _shop(row) in HAS_CONTACT and stream.chance(0.5):
            row.values["contact"] = text
        else:
            row.values["complaint_text"] = f"{row.values['complaint_text']}, {text}"
        row.plant("personal", strings=strings)
