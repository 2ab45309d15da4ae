"""Numbers measured at a visit: drawn in the units of the region, with the value in SI of exactly what is written."""

from __future__ import annotations

import random

from tests.drawn.facts import Reading, Visit

INCH_WATER_PA = 249.08891
"""Pascal per inch of water column at 4 degC."""

PSI_UNITS = {"wc": INCH_WATER_PA, "mbar": 100.0, "kpa": 1000.0}
PRESSURE = {"us": "wc", "ca": "wc", "uk": "mbar", "au": "kpa", "fr": "kpa", "de": "mbar"}
USUAL = {"wc": (9.0, 12.5, 1), "mbar": (26.0, 31.0, 0), "kpa": (2.3, 3.0, 2)}
VOLTS = {"us": 118, "ca": 118, "fr": 118, "uk": 238, "au": 241, "de": 230}
OHMS = {118: (40, 130), 238: (200, 450), 241: (200, 450), 230: (200, 450)}

SAID = {
    ("C11", "wc"): ("lp press {n}{g}wc", "lp pressure {n} in wc", "gas pressure {n}\" wc", "{n} in w.c. lp pressure", "press at fridge {n}{g}wc"),
    ("C11", "mbar"): ("gas pressure {n}{g}mbar", "gas press {n}{g}mb", "{n}{g}mbar running pressure", "pressure {n} mbar"),
    ("C11", "kpa"): ("gas pressure {n}{g}kpa", "gas {n} kpa", "pressure {n}{g}kpa running"),
    ("C09", "ohm"): ("element {n}{g}ohm", "elem {n} ohms", "{n} ohm element", "element reads {n}{g}ohms", "ac elem {n}{g}ohm"),
    ("C07", "v"): ("12v supply {n}{g}v", "dc at board {n}v", "{n} vdc at fridge", "12v in {n}{g}v"),
    ("C08", "v"): ("{n}v at element", "{n} vac at element", "mains {n}{g}v", "ac volts {n}{g}v", "{n}{g}vac"),
    ("C13", "mv"): ("t/c {n}{g}mv", "thermocouple {n} mv", "tc output {n}{g}mv"),
    ("C04", "f"): ("ambient {n}{g}f", "amb {n} deg f", "ambient temp {n}f"),
    ("C04", "c"): ("ambient {n}{g}c", "amb {n} deg c", "ambient temp {n}{g}c"),
}
FRENCH = {"C11": "pression de gaz {n} kpa", "C09": "résistance {n} ohms", "C07": "alimentation 12v {n} v", "C08": "{n} vca à l'élément"}
GERMAN = {"C11": "gasdruck {n} mbar", "C09": "heizpatrone {n} ohm", "C07": "12v-spannung {n} v", "C08": "netzspannung {n} v"}


def draw_readings(dice: random.Random, visit: Visit, region: str) -> None:
    """Give the visit none to three readings of different checks."""
    if visit.event in ("planned", "sent on") or dice.random() < 0.6:
        return
    foreign = region in ("fr", "de")
    checks = dice.sample(["C11", "C09", "C07", "C08"] if foreign else ["C11", "C09", "C07", "C08", "C13", "C04"], dice.choice((1, 1, 2, 3)))
    visit.readings = [_draw(dice, check, region) for check in checks if not (check == "C09" and visit.item in ("HE_AC", "HE_DC"))]


def _draw(dice: random.Random, check: str, region: str) -> Reading:
    mains = VOLTS[region]
    if check == "C11":
        unit = PRESSURE[region]
        low, high, digits = USUAL[unit]
        return _reading(check, dice.uniform(low, high), digits, unit, PSI_UNITS[unit], "Pa")
    if check == "C09":
        return _reading(check, dice.uniform(*OHMS[mains]), 0, "ohm", 1.0, "ohm")
    if check == "C07":
        return _reading(check, dice.uniform(11.2, 13.9), 1, "v", 1.0, "V")
    if check == "C08":
        return _reading(check, mains + dice.randrange(-8, 6), 0, "v", 1.0, "V")
    if check == "C13":
        return _reading(check, dice.uniform(9, 28), 0, "mv", 0.001, "V")
    warm = dice.uniform(15, 41)
    if region == "us":
        reading = _reading(check, warm * 1.8 + 32, 0, "f", 1.0, "degC")
        reading.value = (reading.value - 32) / 1.8
        return reading
    return _reading(check, warm, 0, "c", 1.0, "degC")


def _reading(check: str, number: float, digits: int, unit: str, factor: float, si: str) -> Reading:
    text = f"{number:.{digits}f}"
    return Reading(check, text, unit, float(text) * factor, si)


def said(dice: random.Random, reading: Reading, region: str, decimal: str) -> str:
    """The reading in words, its unit apart or glued to the number."""
    number = reading.number.replace(".", decimal)
    if region in ("fr", "de"):
        return (FRENCH if region == "fr" else GERMAN)[reading.check].format(n=number)
    template = dice.choice(SAID[reading.check, reading.unit])
    return template.format(n=number, g="" if dice.random() < 0.4 else " ")
