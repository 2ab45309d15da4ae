"""Cases: readings become pass or fail by named limits, and what cannot be is refused with file, field and remedy."""

import datetime as dt
import tomllib
from pathlib import Path

import pytest

from fleetstats import vocabulary
from fleetstats.decision import case_from_visit, read_case
from fleetstats.decision.readings import limits
from fleetstats.errors import InputRefused

HEAD = 'name = "x"\ndate = 2025-06-01\nunit_age_years = 4.0\norigin = "new"\nplanned_exit = 2028-06-01\n'


def write(tmp_path, text):
    path = tmp_path / "half_heat.toml"
    path.write_text(HEAD + text, encoding="utf-8")
    return path


@pytest.mark.parametrize(("finding", "outcome"), [
    ('C09 = {value = 225, unit = "W", rated = 225}', "pass"), ('C09 = {value = 140, unit = "W", rated = 225}', "fail"),
    ('C09 = {value = 70.4, unit = "ohm", rated = 64}', "pass"), ('C09 = {value = 80, unit = "ohm", rated = 64}', "fail"),
    ('C11 = {value = 11, unit = "in w.c."}', "pass"), ('C11 = {value = 27.4, unit = "mbar"}', "pass"), ('C11 = {value = 1.5, unit = "kPa"}', "fail"),
    ('C17 = {value = 43, unit = "degF"}', "pass"), ('C17 = {value = 12.0, unit = "degC"}', "fail"), ('C03 = {value = 3.0, unit = "deg"}', "pass"),
    ('C19 = "fail"', "fail"), ('C02 = "done"', "done"), ('C15 = {value = 9.1, unit = "kohm", outcome = "pass"}', "pass"),
])
def test_reading_becomes_pass_or_fail(tmp_path, finding, outcome):
    """Hand arithmetic of each limit: +-10 % of the rated value, 11 in water column = 2.74 kPa = 27.4 mbar, 43 F = 6.1 C."""
    case = read_case(write(tmp_path, f"[findings]\n{finding}\n"))
    assert list(case.outcomes().values()) == [outcome]


@pytest.mark.parametrize(("finding", "field", "what"), [
    ('C09 = {value = -64, unit = "ohm", rated = 64}', "findings.C09", "impossible reading"),
    ('C17 = {value = 400, unit = "degC"}', "findings.C17", "impossible reading"),
    ('C17 = {value = 4, outcome = "fail", unit = "degC"}', "findings.C17", "contradict"),
    ('C31 = "pass"', "findings.C31", "unknown check"), ('C09 = {value = 64, unit = "ohm"}', "findings.C09", "no rated value"),
    ('C11 = {value = 11}', "findings.C11", "unit of the reading"), ('C15 = {value = 9.1, unit = "kohm"}', "findings.C15", "no limit is known"),
    ('C09 = "maybe"', "findings.C09", "maybe"),
])
def test_what_cannot_be_is_refused(tmp_path, finding, field, what):
    """The refusal names the case file, the field and what to do; nothing is computed from such a case."""
    with pytest.raises(InputRefused, match=what) as caught:
        read_case(write(tmp_path, f"[findings]\n{finding}\n"))
    said = str(caught.value)
    assert "half_heat.toml" in said
    assert field in said
    assert caught.value.problems[0].remedy


@pytest.mark.parametrize(("text", "what"), [
    ("installed = 2024-01-01\n", "either unit_age_years or installed"), ("last_good = 2026-01-01\n", "lies after the day"),
    ('orgin = "new"\n', 'nearest known key is "origin"'), ('[gate]\nobservations = ["scorched"]\n', "unknown observation"),
    ('[gate]\nexclusion = "cleaning fluid"\n', "excluded_by"), ("[sale]\nsale_value = 1500\n", "planned_exit_value"),
])
def test_contradictory_case_is_refused(tmp_path, text, what):
    """Two ages, a last good day in the future, a typing error, an exclusion nobody answers for, half a sale: each named."""
    with pytest.raises(InputRefused) as caught:
        read_case(write(tmp_path, text))
    assert any(what in str(problem) for problem in caught.value.problems)


@pytest.mark.parametrize(("text", "said"), [
    ('symptom = "SYM_FOO"\n', "the nearest known one is SYM_"), ('symptom = "SYM_NOCOOLS"\n', "the nearest known one is SYM_NOCOOL"),
    ('symptom = "FND_CU_LEAK"\n', "unknown code of a complaint"), ('called_mode = "FND_CU_LEEK"\n', "the nearest known one is FND_CU_LEAK"),
    ('origin = "old"\n', '"new", "reconditioned" or "unknown"'), ('[findings]\nC09 = "maybe"\n', 'neither an outcome ("pass", "fail", "done")'),
    ('[findings]\nC09 = 12\n', "nor a reading"), ('[findings]\nC09 = {value = "x"}\n', "'findings.C09.value': "),
    ('[findings]\nC09 = {valu = 3}\n', 'nearest known key is "value"'),
    ('[sale]\ncurrency = "usd"\nprice_month = "2025"\nsale_value = 1\nplanned_exit_value = 1\nmargin_per_month = 1\n', "three capital letters"),
])
def test_refusals_are_plain_words(tmp_path, text, said):
    """Unknown codes come back with the nearest known one; no message shows a type of the program or a pattern."""
    path = tmp_path / "case.toml"
    path.write_text(HEAD.replace('origin = "new"\n', "") + text, encoding="utf-8")
    with pytest.raises(InputRefused) as caught:
        read_case(path)
    problems = " ".join(str(problem) for problem in caught.value.problems)
    assert said in problems
    assert not any(word in problems for word in ("literal[", "Reading", "pattern", "^", "Value error"))


def test_unknown_complaint_of_a_visit_is_refused():
    """A code that no vocabulary has, from a file of the user's own, is refused as an input like any other."""
    fleet, histories = small_store()
    fleet.visits["symptom"] = "SYM_FOO"
    with pytest.raises(InputRefused, match="nearest known one"):
        case_from_visit(fleet, histories, "Harbour workshop:1")


def test_every_limit_has_its_source():
    """No limit without a word on where it is from."""
    assert all(limit.source for limit in limits().values())


def test_limits_agree_with_those_of_the_vocabulary():
    """A reading found in a text and one given in a case are judged alike: same low and high where both know the check (there in SI)."""
    path = Path(vocabulary.__file__).with_name("checks.toml")
    texts = {check: entry for check, entry in tomllib.loads(path.read_text(encoding="utf-8")).items() if "low" in entry or "high" in entry}
    factor = {"C11": 1e-3, "C13": 1e3}
    assert {"C07", "C11", "C13", "C17"} <= set(texts)
    for check, entry in texts.items():
        for end in ("low", "high"):
            if end in entry:
                assert getattr(limits()[check], end) == pytest.approx(entry[end] * factor.get(check, 1.0), abs=.03), check


def test_exit_before_the_case_is_refused(tmp_path):
    """A planned exit in the past is no plan."""
    path = tmp_path / "late.toml"
    path.write_text(HEAD.replace("2028-06-01", "2024-06-01"), encoding="utf-8")
    with pytest.raises(InputRefused, match="lies before the day of the case"):
        read_case(path)


def test_case_of_a_visit():
    """A visit of the store becomes a case: age from the tenure it ended, exit from the register, checks from the table, gate from the mode."""
    fleet, histories = small_store()
    case = case_from_visit(fleet, histories, "Harbour workshop:1")
    assert case.condemned
    assert case.age_years == pytest.approx(5.0, abs=.01)
    assert case.planned_exit == dt.date(2028, 3, 31)
    assert case.outcomes() == {"C01": "pass", "C17": "fail"}
    assert (case.depot, case.origin, case.size_l) == ("Harbour", "new", 150.0)
    assert case.safety_gate().state == "clear"
    with pytest.raises(InputRefused, match="no such visit"):
        case_from_visit(fleet, histories, "Harbour workshop:2")


def small_store():
    """One vehicle, one condemned unit, two checks, as the rooms before hand them over."""
    from types import SimpleNamespace

    import pandas as pd

    from fleetstats import tables

    day = pd.Timestamp("2025-01-01")
    visits = tables.VISITS.conform(pd.DataFrame({
        "visit_id": ["Harbour workshop:1"], "shop": ["Harbour workshop"], "vehicle_id": ["V1"], "date_in": [day], "symptom": ["SYM_NOCOOL"],
        "called_mode": ["FND_CU_BAD"], "removal_reason": ["fault of the unit"],
    }))
    checks = tables.CHECKS.conform(pd.DataFrame({"visit_id": ["Harbour workshop:1"] * 2, "check": ["C01", "C17"], "outcome": ["pass", "fail"]}))
    vehicles = tables.VEHICLES.conform(pd.DataFrame({"vehicle_id": ["V1"], "planned_exit": [pd.Timestamp("2028-03-31")], "depot": ["Harbour"]}))
    tenures = tables.TENURES.conform(pd.DataFrame({
        "tenure_id": ["V1 2020-01-01"], "vehicle_id": ["V1"], "origin": ["new"], "installed": [pd.Timestamp("2020-01-01")], "ended": [day],
        "unit_age_at_installed_years": [0.0], "entered_years": [0.0], "ended_years": [5.0], "last_good_years": [5.0], "ending": ["condemned"],
        "size_l": [150.0], "depot": ["Harbour"], "ended_by": ["Harbour workshop:1"],
    }))
    return SimpleNamespace(visits=visits, checks=checks, vehicles=vehicles), SimpleNamespace(tenures=tenures)
