"""Checks and measured values in free text: '64ohm', '11wc', 'elem OL', 'no smell' to rows of `checks` in SI units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from fleetstats.quantities import to_si
from fleetstats.sources.judge import ONE_SOURCE, working_texts
from fleetstats.vocabulary import Match, Recognition, Vocabulary

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
MEASURED_AT = re.compile(r"(?i)(?P<ambient>\bamb|outside|dehors|\bext)|(?P<pattern>boiler|absorb|condens|\bfins?\b|flue)|(?P<freezer>freezer|\bfrzr?\b|congél)"
                         r"|(?P<box>\bbox|fridge|frig|refer|cabinet)")
MEASURED = re.compile(r"(?i)[0-9]|(?<![\w.])(?:o\.?l\.?|open line)(?![\w/])")
"""What a text must hold for a value to be read from it."""

HOURS_RUN = re.compile(r"(?i)(?<![0-9])([0-9]{1,4}(?:[.,][0-9]{1,4})?)\s?(?:h|hrs?|hours?|heures?)\b")
GOOD = re.compile(r"(?i)[\s,:-]*(?:ok|good|fine|pass(?:ed)?|bon|correct)\b")
GOING = frozenset({"@ok", "@work"})
ENERGIES = frozenset({"@ac", "@lp", "@dc", "@power"})
SOURCES = GOING | ENERGIES
"""Classes of words that tell of one source of energy beside another."""

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

SENTENCE = 400
"""Signs before and behind a number in which the part is looked for that it belongs to."""

RANK = {"fail": 0, "pass": 1, "done": 2}
MAINS = ((108.0, 132.0), (207.0, 253.0))
"""120 V and 230 V, each within 10 % (common practice, no source)."""


class Check(NamedTuple):
    """One check done: code, outcome, value in SI, its unit, ambient in degC, hours since heat was switched on."""

    check: str
    outcome: str
    value: float | None = None
    unit: str | None = None
    ambient: float | None = None
    elapsed_hours: float | None = None


def read_checks(texts: Mapping[str, Recognition], vocabulary: Vocabulary, known: dict[str, list[Check]] | None = None) -> list[Check]:
    """The checks that the texts of one visit report, one per code: a failed one counts before a passed one, a value is kept with it.

    known: what each text was found to report by itself, kept by the caller from one visit to the next.
    """
    known = {} if known is None else known
    found: list[Check] = []
    for text in working_texts(texts):
        if text.text not in known:
            known[text.text] = [*_from_words(text, vocabulary), *_from_numbers(text.text, vocabulary)]
        found += known[text.text]
    sources = [match for text in texts.values() for match in text.matches if match.code in ONE_SOURCE and GOING & text.terms and _two_sources(text)]
    found += [Check("C18", "pass")] if sources else []
    if not found:
        return []
    ambient = next((check.value for check in found if check.check == "C04"), None)
    codes = sorted({check.check for check in found})
    return [_one([check for check in found if check.check == code], ambient if code == "C17" else None) for code in codes]


def _two_sources(text: Recognition) -> bool:
    return len(ENERGIES & text.terms) > 1


def _one(checks: list[Check], ambient: float | None) -> Check:
    worst = min(checks, key=lambda check: RANK[check.outcome])
    valued = next((check for check in checks if check.value is not None), worst)
    hours = next((check.elapsed_hours for check in checks if check.elapsed_hours is not None), None)
    return worst._replace(value=valued.value, unit=valued.unit, ambient=ambient, elapsed_hours=hours)


def _from_words(text: Recognition, vocabulary: Vocabulary) -> Iterator[Check]:
    cools = any(match.code == "OUT_OK" and match.certainty == "stated" for match in text.matches)
    warm = any(match.code == "OUT_FAIL" for match in text.matches)
    for match in text.matches:
        check, outcome = _of_match(match, vocabulary)
        if check is None or match.certainty not in ("stated", "inferred"):
            continue
        if check == "C17" and outcome == "done":
            outcome = "fail" if warm else "pass" if cools or GOOD.match(text.text[match.end:]) else "done"
        yield Check(check, str(outcome), elapsed_hours=_hours(text.text[match.start:match.end + 6]) if check == "C17" else None)


def _of_match(match: Match, vocabulary: Vocabulary) -> tuple[str | None, str | None]:
    if match.facet in ("pass", "fail"):
        return match.code, match.facet
    if match.code in ("SYM_AMMONIA", "SYM_RESIDUE"):
        return "C01", "fail"
    entry = vocabulary.entries[match.code][1]
    return entry.check, entry.outcome


def _hours(text: str) -> float | None:
    found = HOURS_RUN.search(text)
    return float(found[1].replace(",", ".")) if found else None


def _from_numbers(text: str, vocabulary: Vocabulary) -> Iterator[Check]:
    if not MEASURED.search(text):
        return
    if (found := OPEN_CIRCUIT.search(text)) and (_near(text, found, r"elem|élém|heater|htr|rod|ohm|reads")):
        yield Check("C10" if _near(text, found, r"12\s?v|dc") else "C09", "fail")
    ranges = list(RANGE.finditer(text))
    single = RANGE.sub(lambda ends: " " * len(ends[0]), text) if ranges else text
    for found in READING.finditer(single):
        unit = str(found.lastgroup)
        value = float(found["number"].replace(",", "."))
        check = _check_of(unit, value, text, found)
        if check:
            yield _valued(check, *to_si(value, unit), vocabulary)
    yield from _from_ranges(text, ranges, vocabulary)
    if found := BARE_PRESSURE.search(text):
        value = float(found["number"].replace(",", "."))
        yield _valued("C11", *to_si(value, "inwc" if 5 <= value <= 18 else "mbar" if value > 18 else "kpa"), vocabulary)
    if found := BOX_AND_FREEZER.search(text):
        box, freezer = (int(number) for number in found.groups() if number is not None)
        scale = _scale(box, freezer)
        yield _valued("C17", *to_si(box, scale), vocabulary) if scale else Check("C17", "done")


def _from_ranges(text: str, ranges: Iterable[re.Match[str]], vocabulary: Vocabulary) -> Iterator[Check]:
    """Checks of which two ends were written ('10-12wc'): no one value; passed or failed where both ends are."""
    for found in ranges:
        unit = str(found.lastgroup)
        ends = [float(found[name].replace(",", ".")) for name in ("least", "number")]
        check = _check_of(unit, ends[0], text, found)
        if check:
            outcomes = {_valued(check, *to_si(end, unit), vocabulary).outcome for end in ends}
            yield Check(check, outcomes.pop() if len(outcomes) == 1 else "done")


def _scale(box: int, freezer: int) -> str | None:
    """Scale of two temperatures without a unit, where only one is likely: a cold box is 30 to 60 degF with the freezer well below, or -5 to 15 degC
    (common practice, no source)."""
    if 30 <= box <= 60 and freezer <= box - 10:
        return "degf"
    return "degc" if -5 <= box <= 15 and freezer <= box else None


def _check_of(unit: str, value: float, text: str, found: re.Match[str]) -> str | None:
    """The check that a number with its unit belongs to, by the words beside it; None where it is a nominal value or nothing measured."""
    if unit in ("ohm", "kiloohm"):
        named = _named(text, found, RESISTOR)
        if unit == "kiloohm" or named == "sensor":
            return "C15"
        return "C10" if named == "low" or (named is None and re.search(r"(?i)12\s?v|dc\b", _clause(text, found))) else "C09"
    if unit in ("watt", "amp"):
        return "C09"
    if unit in ("inwc", "mbar", "kpa", "psi"):
        return "C11" if _plausible_pressure(to_si(value, unit)[0]) else None
    if unit == "mv":
        return "C13"
    if unit == "volt":
        if value in NOMINAL_VOLTS and (NAMES_A_PART.match(text[found.end():]) or not _measured(text, found)):
            return None
        return "C08" if value > 40 else "C10" if re.search("(?i)elem|élém", _clause(text, found)) else "C07"
    return {"ambient": "C04", "pattern": "C19", "freezer": None}.get(_named(text, found, MEASURED_AT) or "", "C17")


def _measured(text: str, found: re.Match[str]) -> bool:
    """Whether a voltage that is also a rated one was measured: words beside it say so, or its clause says nothing else."""
    return _near(text, found, MEASURED_VOLTS) or _clause(text, found).strip() == found[0].strip()


def _clause(text: str, found: re.Match[str]) -> str:
    """The clause in which a number stands."""
    first, last = max(0, found.start() - SENTENCE), found.end() + SENTENCE
    start = max((stop.end() for stop in STOPS.finditer(text, first, found.start())), default=first)
    stop = STOPS.search(text, found.end(), last)
    return text[start:stop.start() if stop else last]


def _named(text: str, found: re.Match[str], parts: re.Pattern[str]) -> str | None:
    """What a number belongs to: the one part named in its clause, else the part named last before it in its sentence, else the first behind it up to a stop."""
    own = {part.lastgroup for part in parts.finditer(_clause(text, found))}
    if len(own) == 1:
        return own.pop()
    before = list(parts.finditer(text[max(0, found.start() - SENTENCE):found.start()].rpartition(";")[2]))
    behind = parts.search(re.split(r"[;,.|]", text[found.end():found.end() + BESIDE])[0])
    named = before[-1] if before else behind
    return named.lastgroup if named else None


def _plausible_pressure(pascal: float) -> bool:
    return 200 <= pascal <= 20_000


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
