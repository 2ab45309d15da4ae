"""Measured values in a piece of text: where its numbers stand and which check each belongs to, and the check once a number is known."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Literal, NamedTuple

from fleetstats.quantities import to_si
from fleetstats.vocabulary import Vocabulary

NUMBER = r"(?P<number>-?[0-9]{1,6}(?:[.,][0-9]{1,6})?|-?[.,][0-9]{1,6})"
UNIT = (
    r"(?:(?P<kiloohm>k\s?(?:ohms?|Ω|r)|kohms?)|(?P<ohm>ohms?|Ω|r)"
    r"|(?P<inwc>in\.?\s?w\.?c\.?|\"\s?w\.?c\.?|w\.?c\.?|inwc|iwc|\"|”)|(?P<mbar>mbar|mb)|(?P<kpa>kpa)|(?P<psi>psi)"
    r"|(?P<mv>mv)|(?P<volt>v(?:ac|dc|ca|cc|olts?)?)|(?P<watt>w(?:atts?)?)|(?P<amp>a(?:mps?)?)"
    r"|(?P<degf>°?\s?f|deg\s?f|℉)|(?P<degc>°?\s?c|deg\s?c|℃))(?![\w/])"
)
READING = re.compile(rf"(?i)(?<![\w.,/-]){NUMBER}\s?{UNIT}")
RANGE = re.compile(rf"(?i)(?<![\w.,/-])(?P<least>[0-9]{{1,6}}(?:[.,][0-9]{{1,6}})?)\s?(?:-|–|to|à|bis)\s?{NUMBER}\s?{UNIT}")
BARE_PRESSURE = re.compile(rf"(?i)\b(?:lp|gas|gaz)?\s?(?:press(?:ure|ion)?|pres)\.?\s(?:[a-z]+\s){{0,2}}?{NUMBER}(?![\w.,/])")
BOX_AND_FREEZER = re.compile(
    r"(?i)\b(?:box|fridge|frig|refer|ref|cabinet)\s(?:at\s)?(-?[0-9]{1,3})\b.{0,12}?\b(?:frz|freezer|frzr)\s(?:at\s)?(-?[0-9]{1,3})\b"
    r"|\b(-?[0-9]{1,3})\s(?:box|fridge|frig)\W{1,4}(-?[0-9]{1,3})\s(?:frz|freezer|frzr)"
)
OPEN_CIRCUIT = re.compile(r"(?i)(?<![\w.])(?:[o0]\.?l\.?|open line)(?![\w/])")
RESISTOR = re.compile(r"(?i)(?P<low>(?:12\s?v(?:olt)?|dc)\s(?:heating\s)?(?:elem|heater|htr)|élément (?:12\s?v|cc))"
                      r"|(?P<mains>elem|élém|heat(?:er|ing)? (?:rod|cart))|(?P<sensor>therm(?:ist|is)|sens[eo]r|sonde|ntc|probe|capteur)")
MAINS_NAMED = re.compile(r"(?i)\bmains\b|\bac\b|[0-9]{3}\s?v")
MEASURED_AT = re.compile(r"(?i)(?P<ambient>\bamb|outside|dehors|\bext)|(?P<pattern>boiler|absorb|condens|\bfins?\b|flue)|(?P<freezer>freezer|\bfrzr?\b|congél)"
                         r"|(?P<box>\bbox|fridge|frig|refer|cabinet)")
MAY_MEASURE = re.compile(r"(?i)[0-9]|(?<![\w.])(?:o\.?l\.?|open line)(?![\w/])")
"""What a piece must hold for anything to be measured in it."""

HOURS_RUN = re.compile(r"(?i)(?<![0-9])([0-9]{1,4}(?:[.,][0-9]{1,4})?)\s?(?:h|hrs?|hours?|heures?)\b")
NAMES_A_PART = re.compile(
    r"(?i)[\s-]*(?:(?:dc|ac)\s)?(?:sup?ply|suppl|feed|elem|élém|heat|heiz|htr|rod\b|fuse|fan|in\b|input|line|side|mode|system|socket|outlet|batt|lead"
    r"|low\b|high\b|spannung|versorgung|betrieb|\d)"
)
"""What stands behind a rated voltage that names a part or a supply ('12v supply 12.4v'), and is no measurement itself."""

MEASURED_VOLTS = r"\bat\b|=|@|read|meas|mesur|only|get|volts?\b\s?at|volts\s|suppl|drop|load|under|à\b|alim|spannung|(?<!on )\bmains\b"
STOPS = re.compile(r"[;|]|[,.](?!\d)|\s-\s")
"""Where a clause ends; a comma or point within a number ends none."""

NOMINAL_VOLTS = (12.0, 24.0, 110.0, 115.0, 120.0, 220.0, 230.0, 240.0)
BESIDE = 18
"""Signs on either side of a number in which a word says what was measured."""

MAINS = ((108.0, 132.0), (207.0, 253.0))
"""120 V and 230 V, each within 10 % (common practice, no source)."""

LEAST_OHM_OF_MAINS = 20.0
"""Less than any mains element has: at 120 V it would draw 720 W (Ohm's law), more than twice what these elements are rated (common practice, no source)."""

PRESSURES = ("inwc", "mbar", "kpa", "psi")
PLAUSIBLE = (200.0, 20_000.0)
"""Pressures in Pa that a gas line of an appliance may have."""


class Check(NamedTuple):
    """One check done: code, outcome, value in SI, its unit, ambient in degC, hours since heat was switched on."""

    check: str
    outcome: str
    value: float | None = None
    unit: str | None = None
    ambient: float | None = None
    elapsed_hours: float | None = None


class Measure(NamedTuple):
    """What a number (or two) measures, as far as the words around it tell.

    shape: one number with its unit, a range, a pressure without a unit, a box and a freezer without one, hours run, or an open circuit, which has no
    number. named: the part it belongs to, "either" where an element may be the low-voltage one of the clause before; behind: one named only behind it,
    which counts where no sentence before names any. low: its clause speaks of the low voltage. element: of an element. rated: a voltage that tells nothing
    where it is one by which parts are named.
    """

    shape: Literal["one", "range", "bare", "box", "hours", "open"]
    unit: str = ""
    named: str | None = None
    behind: str | None = None
    low: bool = False
    element: bool = False
    rated: bool = False

    @property
    def open(self) -> bool:
        """Whether what stands before its sentence may name its part."""
        return self.named is None and self.unit in ("ohm", "degf", "degc")


class Spot(NamedTuple):
    """A measure and where its numbers stand in the piece, as (start, end)."""

    measure: Measure
    places: tuple[tuple[int, int], ...]


@lru_cache(maxsize=200_000)
def spots(piece: str) -> tuple[Spot, ...]:
    """Everything measured in a piece of text; which digits its numbers have makes no difference."""
    return tuple(_spots(piece)) if MAY_MEASURE.search(piece) else ()


@lru_cache(maxsize=10_000)
def last_named(piece: str, unit: str) -> str | None:
    """The part that a piece names last among those that a number with this unit may belong to."""
    parts = [part.lastgroup for part in (RESISTOR if unit == "ohm" else MEASURED_AT).finditer(piece)]
    return parts[-1] if parts else None


def check_of(measure: Measure, numbers: tuple[str, ...], vocabulary: Vocabulary) -> Check | None:
    """The check that numbers of a measure report; None where they are nominal or tell nothing."""
    values = [float(number.replace(",", ".")) for number in numbers]
    if measure.shape == "open":
        return Check("C10" if measure.low else "C09", "fail")
    if measure.shape == "hours":
        return Check("C17", "done", elapsed_hours=values[0])
    if measure.shape == "bare":
        unit = "inwc" if 5 <= values[0] <= 18 else "mbar" if values[0] > 18 else "kpa"
        return _valued("C11", *to_si(values[0], unit), vocabulary)
    if measure.shape == "box":
        scale = _scale(*values)
        return _valued("C17", *to_si(values[0], scale), vocabulary) if scale else Check("C17", "done")
    check = _code(measure, values[0])
    if check is None:
        return None
    ends = [_valued(check, *to_si(value, measure.unit), vocabulary) for value in values]
    if len(ends) == 1:
        return ends[0]
    # two ends were written: no one value, passed or failed where both are
    return Check(check, ends[0].outcome if len({end.outcome for end in ends}) == 1 else "done")


def _spots(text: str) -> Iterator[Spot]:
    if (found := OPEN_CIRCUIT.search(text)) and _near(text, found, r"elem|élém|heater|htr|rod|ohm|reads"):
        yield Spot(Measure("open", low=_near(text, found, r"12\s?v|dc")), ())
    ranges = list(RANGE.finditer(text))
    single = RANGE.sub(lambda ends: " " * len(ends[0]), text) if ranges else text
    for found in READING.finditer(single):
        yield Spot(_measure("one", text, found), (found.span("number"),))
    for found in ranges:
        yield Spot(_measure("range", text, found), (found.span("least"), found.span("number")))
    if found := BARE_PRESSURE.search(text):
        yield Spot(Measure("bare"), (found.span("number"),))
    if found := BOX_AND_FREEZER.search(text):
        box, freezer = (group for group in range(1, 5) if found[group] is not None)
        yield Spot(Measure("box"), (found.span(box), found.span(freezer)))


def _measure(shape: Literal["one", "range"], text: str, found: re.Match[str]) -> Measure:
    unit = str(found.lastgroup)
    if unit == "ohm":
        named, behind = _named(text, found, RESISTOR)
        named = "either" if named == "mains" and _follows_low(text, found) else named
        return Measure(shape, unit, named, behind, low=re.search(r"(?i)12\s?v|dc\b", _clause(text, found)) is not None)
    if unit == "volt":
        rated = NAMES_A_PART.match(text[found.end():]) is not None or not _measured(text, found)
        return Measure(shape, unit, rated=rated, element=re.search("(?i)elem|élém", _clause(text, found)) is not None)
    return Measure(shape, unit, *_named(text, found, MEASURED_AT)) if unit in ("degf", "degc") else Measure(shape, unit)


def _code(measure: Measure, value: float) -> str | None:
    """The check that a number with its unit belongs to, by the words beside it; None where it is a nominal value or nothing measured."""
    unit, named = measure.unit, measure.named or measure.behind
    if unit in ("ohm", "kiloohm"):
        if unit == "kiloohm" or named == "sensor":
            return "C15"
        low = named == "low" or (named == "either" and value < LEAST_OHM_OF_MAINS) or (named is None and measure.low)
        return "C10" if low else "C09"
    if unit in ("watt", "amp"):
        return "C09"
    if unit in PRESSURES:
        return "C11" if PLAUSIBLE[0] <= to_si(value, unit)[0] <= PLAUSIBLE[1] else None
    if unit == "mv":
        return "C13"
    if unit == "volt":
        if value in NOMINAL_VOLTS and measure.rated:
            return None
        return "C08" if value > 40 else "C10" if measure.element else "C07"
    return {"ambient": "C04", "pattern": "C19", "freezer": None}.get(named or "", "C17")


def _scale(box: float, freezer: float) -> str | None:
    """Scale of two temperatures without a unit, where only one is likely: a cold box is 30 to 60 degF with the freezer well below, or -5 to 15 degC
    (common practice, no source)."""
    if 30 <= box <= 60 and freezer <= box - 10:
        return "degf"
    return "degc" if -5 <= box <= 15 and freezer <= box else None


def _measured(text: str, found: re.Match[str]) -> bool:
    """Whether a voltage that is also a rated one was measured: words beside it say so, or its clause says nothing else."""
    return _near(text, found, MEASURED_VOLTS) or _clause(text, found).strip() == found[0].strip()


def _clause(text: str, found: re.Match[str]) -> str:
    """The clause in which a number stands."""
    start = max((stop.end() for stop in STOPS.finditer(text, 0, found.start())), default=0)
    stop = STOPS.search(text, found.end())
    return text[start:stop.start() if stop else len(text)]


def _follows_low(text: str, found: re.Match[str]) -> bool:
    """Whether a clause that names a plain element stands directly behind one of the low-voltage element, which has no resistance of its own there:
    '12 v element open, elem 0 ohm'."""
    before = [0, *(stop.end() for stop in STOPS.finditer(text, 0, found.start()))][-2:]
    if len(before) < 2 or MAINS_NAMED.search(own := _clause(text, found)) or not RESISTOR.search(own):
        return False
    clause = text[before[0]:before[1]]
    return {part.lastgroup for part in RESISTOR.finditer(clause)} == {"low"} and not any(one["ohm"] for one in READING.finditer(clause))


def _named(text: str, found: re.Match[str], parts: re.Pattern[str]) -> tuple[str | None, str | None]:
    """What a number belongs to: the one part named in its clause, else the part named last before it; and the first behind it up to a stop."""
    own = {part.lastgroup for part in parts.finditer(_clause(text, found))}
    if len(own) == 1:
        return own.pop(), None
    before = list(parts.finditer(text[:found.start()]))
    behind = parts.search(re.split(r"[;,.|]", text[found.end():found.end() + BESIDE])[0])
    return before[-1].lastgroup if before else None, behind.lastgroup if behind else None


def _near(text: str, found: re.Match[str], words: str) -> bool:
    beside = text[max(0, found.start() - BESIDE):found.start()] + " " + text[found.end():found.end() + BESIDE]
    return re.search(rf"(?i){words}", beside) is not None


def _valued(check: str, value: float, unit: str, vocabulary: Vocabulary) -> Check:
    """The check with its value; passed or failed where limits are known, else done."""
    entry = vocabulary.entries[check][1]
    if check == "C08":
        outcome = "pass" if any(low <= value <= high for low, high in MAINS) else "fail"
    elif entry.low is None and entry.high is None:
        outcome = "done"
    else:
        outcome = "pass" if (entry.low is None or value >= entry.low) and (entry.high is None or value <= entry.high) else "fail"
    return Check(check, outcome, value, unit)
