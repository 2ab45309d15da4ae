import pytest

from fleetstats.sources.readings import Check
from fleetstats.vocabulary import load_vocabulary
from tests.sources.told import checks_told

VOCABULARY = load_vocabulary()


def checks(text: str) -> dict[str, Check]:
    """Checks by code that a text of work reports."""
    return checks_told({"correction_text": text}, VOCABULARY)


@pytest.mark.parametrize(("text", "code", "value", "unit"), [
    ("elem 64ohm", "C09", 64, "ohm"), ("elem 64 r", "C09", 64, "ohm"), ("element 64Ω", "C09", 64, "ohm"), ("12v element 1.2 ohm", "C10", 1.2, "ohm"),
    ("thermistor 8.5 kohm", "C15", 8500, "ohm"), ("thermistor out of range, elem 62ohm; repl thermistor", "C09", 62, "ohm"),
    ("lp press 11wc", "C11", 2739.9, "Pa"), ('gas 11"', "C11", 2739.9, "Pa"), ("27mb", "C11", 2700, "Pa"), ("press 2.7kpa", "C11", 2700, "Pa"),
    ("2,75 kPa", "C11", 2750, "Pa"),
    ("lp press 11", "C11", 2739.9, "Pa"), ("board 12.4v", "C07", 12.4, "V"), ("12,4v at board", "C07", 12.4, "V"), ("118v at elem", "C08", 118, "V"),
    ("box 38f", "C17", 3.33, "degC"), ("fridge 3c after a night", "C17", 3, "degC"), ("tc 18mv", "C13", 0.018, "V"), ("225w at elem", "C09", 225, "W"),
    ("36 box 2 frz", "C17", 2.22, "degC"),
    ("12v supply 12.4v", "C07", 12.4, "V"), ("12v in 13.3v, element reads 438ohms", "C07", 13.3, "V"), ("alimentation 12v 12,7 v", "C07", 12.7, "V"),
    ("12v supply 12.0 v", "C07", 12, "V"), ("mains 240v, t/c 25 mv", "C08", 240, "V"), ("burner rusty, 230vac; cleaned", "C08", 230, "V"),
    ("112 vca à l'élément", "C08", 112, "V"),
    ("12v element 11.8v", "C10", 11.8, "V"), ("12.8v at board, 384 ohm element", "C09", 384, "ohm"), ("temp sensor wrong, 268 ohm element", "C09", 268, "ohm"),
    ("12v-spannung 11,8 v, heizpatrone 300 ohm", "C09", 300, "ohm"), ("elem checked, 62 ohm", "C09", 62, "ohm"),
])
def test_glued_readings_reach_their_check_in_si(text: str, code: str, value: float, unit: str):
    """11 in w.c. is 2739.9 Pa (249.082 Pa each, NIST SP 811), 38 degF is 3.33 degC; the words near and the unit say which check it is."""
    check = checks(text)[code]
    assert check.value == pytest.approx(value, rel=2e-3)
    assert check.unit == unit


@pytest.mark.parametrize(("text", "code", "outcome"), [
    ("elem OL", "C09", "fail"), ("elem reads 0L", "C09", "fail"), ("9wc", "C11", "fail"), ("11 wc", "C11", "pass"), ("30mb ok", "C11", "pass"), ("3 kpa",
    "C11", "pass"),
    ("board 9.1v", "C07", "fail"), ("12.6v", "C07", "pass"), ("98v at elem", "C08", "fail"), ("230v at elem", "C08", "pass"), ("box 50f", "C17", "fail"),
    ("box 38f", "C17", "pass"),
    ("no smell, no residue", "C01", "pass"), ("yellow powder at boiler", "C01", "fail"), ("pas de fuite", "C01", "pass"), ("not level", "C03", "fail"),
    ("gasket torn", "C05", "fail"),
    ("vent blocked", "C06", "fail"), ("flue blocked", "C12", "fail"), ("blue flame", "C12", "pass"), ("run test 24h ok", "C17", "pass"),
    ("run test 24h, still warm", "C17", "fail"),
    ("run test", "C17", "done"), ("burped", "C20", "done"), ("stalled, restarted after burp", "C20", "pass"), ("boiler hot absorber cold", "C19", "fail"),
    ("hotwired elem", "C16", "done"),
])
def test_outcomes_of_checks(text: str, code: str, outcome: str):
    """Limits: 10 to 15 in w.c., 9.6 to 15 V, 108 to 132 or 207 to 253 V, box at or below 6.1 degC (43 degF); words where there is no number."""
    assert checks(text)[code].outcome == outcome


@pytest.mark.parametrize(("text", "code", "outcome"), [("gas 10-12wc", "C11", "pass"), ("lp 7 to 9 wc", "C11", "fail"), ("8-12wc", "C11", "done"),
    ("elem 60-64 ohm", "C09", "done"), ("box 36-38f", "C17", "pass")])
def test_a_range_of_readings_has_no_one_value(text: str, code: str, outcome: str):
    """Both ends are held against the limits; the value is null, and where the ends disagree so is the verdict."""
    check = checks(text)[code]
    assert (check.outcome, check.value) == (outcome, None)


@pytest.mark.parametrize(("text", "code", "value"), [
    ("12 V element open, elem 0 ohm", "C10", 0), ("12v element ok, elem 64 ohm", "C09", 64), ("12 V element open, mains elem 0 ohm", "C09", 0),
    ("12v elem 1.2 ohm, elem 64 ohm", "C09", 64), ("12v elem 1.2 ohm, elem 8 ohm", "C09", 8), ("elem open, elem 0 ohm", "C09", 0),
    ("12v supply 12.4v, elem 0 ohm", "C09", 0),
])
def test_an_element_without_a_name_behind_the_low_voltage_one_is_that_one_where_it_can_be(text: str, code: str, value: float):
    """At 20 ohm or more it is of the mains: Ohm's law gives less than 8 W at 12 V, and 720 W at 120 V for 20 ohm."""
    assert {name: check.value for name, check in checks(text).items() if check.unit == "ohm"}[code] == value


@pytest.mark.parametrize(("text", "celsius"), [("36 box 2 frz", 2.22), ("box 38 freezer -2", 3.33), ("box 4 frz -18", 4), ("box 25 frz 5", None),
    ("box 35 frz 30", None)])
def test_temperatures_without_a_unit(text: str, celsius: float | None):
    """Only where one scale alone makes sense of both numbers; a warm box at 25 may be either, and has no value."""
    check = checks(text)["C17"]
    assert check.value == (None if celsius is None else pytest.approx(celsius, abs=0.01))


@pytest.mark.parametrize("text", ["12v element fitted", "no good on 240v", "works on 110v", "replaced fuse 10a board", "3 fans fitted", "low 12v supply",
                                  "no 12 volt supply", "12v low at fridge", "120v element reads open", "restored 12v feed", "not working on mains 240v"])
def test_nominal_values_are_no_readings(text: str):
    """12 V, 110 V and 240 V name a supply, not a measurement."""
    assert [check for check in checks(text).values() if check.unit == "V"] == []


def test_two_sources_compared():
    """Good on gas, not on mains: the comparison of sources was made and speaks for the unit (C18)."""
    assert checks_told({"complaint_text": "ok gas not elec"}, VOCABULARY)["C18"].outcome == "pass"


def test_the_run_time_stands_with_the_run_test():
    """Hours since heat was switched on, and the ambient named in the text."""
    check = checks("ran 24 h, amb 90f, box 40f")["C17"]
    assert check.elapsed_hours == 24
    assert check.ambient == pytest.approx(32.2, abs=0.05)
    assert check.value == pytest.approx(4.44, abs=0.01)
