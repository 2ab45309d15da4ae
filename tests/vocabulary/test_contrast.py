"""What works and what does not, said in one breath (common practice, no source)."""

import pytest

from fleetstats.vocabulary import load_vocabulary
from fleetstats.vocabulary.entries import shipped_entries, shipped_language

VOCABULARY = load_vocabulary()
COMPLAINTS = {"SYM_NOCOOL", "SYM_NOCOOL_AC", "SYM_NOCOOL_LP", "SYM_NOCOOL_DC", "SYM_BOXWARM", "SYM_WEAK"}
SOURCES = {"SYM_NOCOOL_AC": "electric", "SYM_NOCOOL_LP": "gas", "SYM_NOCOOL_DC": "12v"}


def complaints(text: str) -> set[str]:
    """Complaints about cold that a text states."""
    return {match.code for match in VOCABULARY.read(text).matches if match.certainty == "stated"} & COMPLAINTS


@pytest.mark.parametrize("code", SOURCES)
@pytest.mark.parametrize("pattern", [
    "works on {good} not on {bad}", "works on {good}, not {bad}", "{good} ok, {bad} dead", "{bad} dead {good} ok", "{bad} dead, {good} ok",
    "ok on {good} but {bad} not",
    "not cooling on {bad}, fine on {good}", "{good} works but {bad} does not", "no cold on {bad} but {good} is fine", "{good} fine nothing on {bad}",
    "geht auf {good} aber nicht auf {bad}", "fonctionne sur {good} mais pas sur {bad}", "{bad} doesn't work, {good} works", "won't cool on {bad}",
    "kühlt auf {bad} nicht",
])
def test_the_source_that_does_not_cool(code: str, pattern: str):
    """However the two are ordered, the complaint is about the source that is said not to work."""
    for good in {*SOURCES.values()} - {SOURCES[code]}:
        assert complaints(pattern.format(good=good, bad=SOURCES[code])) == {code}


@pytest.mark.parametrize("text", [
    "not cooling on gas or electric", "gas and electric both dead", "wont cool on electric, gas or 12v", "gas, mains, not working",
])
def test_two_sources_that_fail_are_no_cooling_at_all(text: str):
    """Nothing is left that works."""
    assert complaints(text) == {"SYM_NOCOOL"}


def test_what_is_not_understood_of_two_sources_accuses_neither():
    """'Cooling' alone is no state that the rule knows: nothing is read, rather than one source."""
    assert complaints("neither gas nor mains cooling") == set()


@pytest.mark.parametrize(("text", "code"), [("works only on gas", "SYM_NOCOOL_AC"), ("runs on electric only", "SYM_NOCOOL_LP")])
def test_the_only_source_that_works_accuses_the_other(text: str, code: str):
    """Of mains and gas."""
    assert complaints(text) == {code}


@pytest.mark.parametrize("text", [
    "not cooling, gas bottle empty", "works on gas and electric", "not working on gas, works on gas", "gas pressure ok, element dead", "no gas, mains lead ok",
])
def test_what_compares_no_sources_accuses_none(text: str):
    """A bottle, a lead or an element is no source of energy; nor does a contradiction tell anything."""
    assert not complaints(text) & set(SOURCES)


@pytest.mark.parametrize("text", [
    "freezer cold, fridge warm", "freezer hard as a brick but salad wilting", "milk sour but ice cream solid", "top ok bottom not",
    "food compartment warm, freezer ok",
    "freezer at -18 but box wont get below 12", "freezer fine but fridge at 14", "congélateur dur, lait chaud", "Gefrierfach hart, Milch sauer",
])
def test_a_cold_freezer_above_warm_food(text: str):
    """Told by the compartments or by what lies in them."""
    assert complaints(text) == {"SYM_BOXWARM"}


@pytest.mark.parametrize("text", ["freezer soft, milk warm", "freezer -18, fridge 4", "fridge ok freezer warm", "freezer cold, fridge cold"])
def test_other_states_of_the_compartments(text: str):
    """Both warm, both cold, or the freezer the warmer one: not this complaint."""
    assert "SYM_BOXWARM" not in complaints(text)


def test_weak_cooling_is_not_said_of_a_refrigerator_whose_freezer_is_cold():
    """What is warm then is understood as the compartment's, or not at all."""
    assert complaints("freezer frozen solid, contents of crisper tray slowly warming") == set()
    assert complaints("contents of crisper tray slowly warming") == {"SYM_WEAK"}


def test_the_codes_of_comparisons_exist():
    """Of the verdicts and of what they exclude; and every subject named in a verdict is one."""
    for contrast in shipped_language().contrast:
        named = {name for verdict in contrast.verdicts for name in (*verdict.unwell, *verdict.well, *verdict.unless, *filter(None, [verdict.only]))}
        codes = {verdict.code for verdict in contrast.verdicts} | {code for excluded in contrast.excluded.values() for code in excluded}
        assert named <= set(contrast.subjects)
        assert set(contrast.excluded) <= set(contrast.subjects)
        assert codes <= set(shipped_entries())
