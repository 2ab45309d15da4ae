"""What a visit looks like on paper: number, technician, hours, money, readings, sentences."""

from __future__ import annotations

from fleetstats.synthetic.codes import PARTS_PRICE, UNIT_PRICE
from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.scenario import Scenario
from fleetstats.synthetic.things import Reading, Visit, price_level
from fleetstats.synthetic.wording import REGIONS, phrase

TECHNICIANS = {
    "Harbour workshop": ("Quillfern", "Brasswren", "Ambervane"), "Plateau workshop": ("Flintreed", "Cobblefinch"), "Roadside van": ("Sandthrush",),
    "Millpond workshop": ("Willowjib", "Pewterlark", "Mossquay"), "Canal vehicle workshop": ("Tarnowl", "Gravelbee"),
    "Redfield workshop": ("Saltgimbal", "Ochrefen"), "Lakeside workshop": ("Kelpwhistle",), "Atelier Portage": ("Brumesapin", "Galetnoir"),
    "Hilltop workshop": ("Fernsprocket", "Cedarkettle"),
}
"""Code names of technicians: words no person is called by."""

PREFIX = {
    "Harbour workshop": "H", "Plateau workshop": "P", "Roadside van": "R", "Millpond workshop": "N", "Canal vehicle workshop": "C",
    "Redfield workshop": "F", "Lakeside workshop": "L", "Atelier Portage": "A", "Hilltop workshop": "T",
}
"""First letter of a shop's order numbers."""

INCH_WATER_PA = 249.08891
ELEMENT_OHM = {95: {"US": 115, "GB": 423, "AU": 423, "CA": 115}, 150: {"US": 64, "GB": 302, "AU": 302, "CA": 64},
               230: {"US": 44, "GB": 235, "AU": 235, "CA": 44}}
"""Cold resistance of the mains element: square of the mains voltage over the rated watts."""


def region_of(visit: Visit) -> str:
    """The way of writing of the visit's shop."""
    return "fr" if visit.shop.name == "Atelier Portage" else REGIONS[visit.shop.country]


def describe(scenario: Scenario, stream: Stream, visits: list[Visit]) -> None:
    """Fill in what the shops write about each visit, in the order of the visits."""
    for visit in visits:
        visit.technician = stream.pick(TECHNICIANS[visit.shop.name])
        visit.document = f"{PREFIX[visit.shop.name]}{20000 + visit.number * 3 + stream.whole(0, 2)}"
        _money(scenario, stream, visit)
        _doubts(scenario, stream, visit)
        _sentences(stream, visit)


def _money(scenario: Scenario, stream: Stream, visit: Visit) -> None:
    mark = stream.u()
    plan = scenario.visits
    visit.payer = "warranty" if mark < plan.warranty else "renter" if mark < plan.warranty + plan.renter else "fleet"
    spread = stream.between(0.85, 1.2)
    if visit.kind == "swapped":
        price = UNIT_PRICE[visit.fitted_origin or "unknown"] * visit.vehicle.size.price_factor * (1.9 if visit.whole else 1.0)
        visit.hours = round(stream.between(2.5, 5.0) * visit.vehicle.size.price_factor, 1)
    else:
        price = PARTS_PRICE[visit.item] if visit.kind == "repaired" else 0.0
        visit.hours = round(stream.between(0.4, 2.2), 1)
    visit.parts = round(price_level(price * spread, visit.date_out), 2)
    visit.other = round(stream.between(20, 90), 2) if visit.kind == "swapped" and not visit.shop.own else 0.0


def _doubts(scenario: Scenario, stream: Stream, visit: Visit) -> None:
    plan, mark = scenario.visits, stream.u()
    cooling = visit.kind == "repaired" and visit.group in ("no cooling", "weak", "other") and visit.item != "CU_FIT"
    visit.suspect = cooling and mark < plan.suspect
    visit.deny = cooling and not visit.suspect and mark < plan.suspect + plan.deny
    has_reading, glued, which = stream.chance(plan.reading), stream.chance(plan.glued), stream.u()
    if has_reading and visit.group in ("no cooling", "weak") and visit.item not in ("HE_AC", "LP_REG", "EL_WIRE") and region_of(visit) != "fr":
        visit.readings.append(_element(stream, visit, glued) if which < 0.5 else _pressure(stream, visit, glued))


def _element(stream: Stream, visit: Visit, glued: bool) -> Reading:
    ohm = ELEMENT_OHM[int(visit.vehicle.size.litres)][visit.shop.country] + stream.whole(-2, 2)
    return Reading("C09", f"elem {ohm}{'' if glued else ' '}ohm", glued, float(ohm), "ohm")


def _pressure(stream: Stream, visit: Visit, glued: bool) -> Reading:
    gap = "" if glued else " "
    if visit.shop.country in ("US", "CA"):
        inches = stream.whole(10, 12)
        return Reading("C11", f"lp press {inches}{gap}wc", glued, inches * INCH_WATER_PA, "Pa")
    if visit.shop.country == "GB":
        millibar = stream.whole(27, 32)
        return Reading("C11", f"gas press {millibar}{gap}mbar", glued, millibar * 100.0, "Pa")
    kilopascal = 2.6 + 0.05 * stream.whole(0, 6)
    return Reading("C11", f"gas press {kilopascal:.2f}{gap}kpa", glued, round(kilopascal, 2) * 1000.0, "Pa")


def _sentences(stream: Stream, visit: Visit) -> None:
    region = region_of(visit)
    visit.complaint_text = phrase(stream, region, "complaint", visit.symptom or "NONE")
    if visit.detection == "inspection":
        visit.complaint_text = f"{phrase(stream, region, 'extra', 'found')}, {visit.complaint_text}"
    cause, done = _cause_key(stream, visit), _done_key(visit)
    visit.cause_text = phrase(stream, region, "cause", cause) if cause else ""
    visit.correction_text = phrase(stream, region, "done", done)
    if visit.suspect:
        visit.cause_text, visit.correction_text = phrase(stream, region, "extra", "suspect"), phrase(stream, region, "done", "MISSED")
    if visit.kind == "swapped" and visit.reason in ("age policy", "recall", "request", "upgrade"):
        visit.complaint_text = phrase(stream, region, "extra", visit.reason)
    _remarks(stream, visit, region)


def _remarks(stream: Stream, visit: Visit, region: str) -> None:
    remarks = [visit.cause_text, *(reading.text for reading in visit.readings)]
    if visit.deny:
        remarks.append(phrase(stream, region, "extra", "deny"))
    if visit.kind == "nothing found":
        remarks.append(phrase(stream, region, "extra", "periodic"))
    visit.cause_text = ", ".join(remark for remark in remarks if remark)
    after = phrase(stream, region, "extra", "after")
    if visit.kind in ("repaired", "swapped") and after and not visit.suspect:
        visit.correction_text = f"{visit.correction_text}, {after}"


def _cause_key(stream: Stream, visit: Visit) -> str:
    if visit.condemned:
        if visit.group == "leak":
            return "LEAK"
        if visit.fitted_origin == "own unit put back":
            return "UNSURE"
        return stream.weighted({"BLOCK": 0.35, "BAD": 0.65}) if visit.group == "no cooling" else stream.weighted({"WEAK": 0.5, "BAD": 0.5})
    if visit.cause == "body":
        return stream.pick(("LINER", "DOOR"))
    if visit.kind in ("sent on", "missed"):
        return "UNSURE"
    return visit.item if visit.kind == "repaired" else ""


def _done_key(visit: Visit) -> str:
    if visit.kind == "swapped":
        return "WHOLE" if visit.whole and visit.condemned else "FRIDGE" if visit.whole else visit.fitted_origin or "unknown"
    return {"sent on": "SENT_ON", "missed": "MISSED", "nothing found": "NONE"}.get(visit.kind, visit.item)
