"""Tokens that mean one thing or another by what stands beside them: each rule with a counter-example (common practice, no source)."""

import pytest

from fleetstats.vocabulary import load_vocabulary

VOCABULARY = load_vocabulary()


def stated(text: str) -> set[str]:
    """Codes that a text makes an event of, and the items they are about."""
    codes = {match.code for match in VOCABULARY.read(text).matches if match.certainty in ("stated", "inferred")}
    return codes | {item for code in codes if (item := VOCABULARY.item(code))}


@pytest.mark.parametrize(("text", "present", "absent"), [
    ("cu leaking", "CU", "VEH_ADMIN"), ("8 cu ft box", None, "CU"), ("cu says warm", None, "CU"),
    ("no cool on ac", "SYM_NOCOOL_AC", "VEH_CABAIR"), ("cab ac regas", "VEH_CABAIR", "EL_AC"),
    ("change out cu", "ACT_CU_SWAP", "SYM_COALARM"), ("c/o cu", "ACT_CU_SWAP", "SYM_COALARM"), ("co alarm going off", "SYM_COALARM", "ACT_CU_SWAP"),
    ("no cool on lp", "SYM_NOCOOL_LP", "FND_LP_PLOW"), ("lp press low", "FND_LP_PLOW", "SYM_NOCOOL_LP"),
    ("t/c weak", "FND_LP_TC", "VEH_CLUTCH"), ("t/c lockup trans", None, "LP_FLAMESENSE"),
    ("burner on gas", "LP_BURNER", "VEH_ENGINE"), ("gas pump unleaded", None, "LP_REG"), ("cu regassed", "ACT_CU_RECON", "SYM_NOCOOL_LP"),
    ("reg frozen", "FND_LP_PLOW", "VEH_ADMIN"), ("new reg plate", None, "ACT_LP_REG"),
    ("ref not cooling", "SYM_NOCOOL", None), ("our ref 12345", None, "FRIDGE"),
    ("core returned", "ACT_CORE_RETURN", "VEH_ENGINE"), ("heater core leaking", None, "CU"),
    ("r&r cu", "ACT_CU_SWAP", None), ("elem o/c", "FND_HE_OPEN", None), ("cu u/s", "FND_CU_BAD", None),
    ("fridge n/c on 110", "SYM_NOCOOL_AC", None), ("n/c to cust", None, "SYM_NOCOOL"),
    ("prob cu", None, "FND_CU_BAD"), ("the prob is cu leaking", "FND_CU_LEAK", None),
    ("no sign of ammonia leak on unit", None, "FND_CU_LEAK"), ("not the cooling unit", None, "SYM_NOCOOL"),
    ("board tested ok", None, "FND_NFF"), ("all tested ok", "FND_NFF", None),
    ("Kühlaggregat undicht", "FND_CU_LEAK", None), ("Kühlaggregat nicht undicht", None, "FND_CU_LEAK"),
    ("vermutlich Kühlaggregat defekt", None, "FND_CU_BAD"), ("kühlt nicht auf 230 V, auf Gas ok", "SYM_NOCOOL_AC", "SYM_NOCOOL_LP"),
    ("wasp nest in flue", "FND_VN_FLUE", "FND_LP_BURNER"), ("mud dauber nest", "FND_LP_BURNER", "FND_VN_FLUE"),
])
def test_by_what_stands_beside(text: str, present: str | None, absent: str | None):
    """The one reading is there, the other is not."""
    found = stated(text)
    assert present is None or present in found
    assert absent is None or absent not in found


@pytest.mark.parametrize(("written", "word"), [("wroks on elec not gas", "SYM_NOCOOL_LP"), ("cu lost chrge", "FND_CU_LEAK"), ("frdg not coolng", "SYM_NOCOOL"),
                                               ("r/r cooling unti", "ACT_CU_SWAP"), ("elemnt opne", "FND_HE_OPEN")])
def test_letters_swapped_or_left_out(written: str, word: str):
    """Two letters swapped in short words, vowels left out, one edit in long ones."""
    assert word in stated(written)


@pytest.mark.parametrize("text", ["form filled", "trial run", "wire and weir", "gird"])
def test_ordinary_words_are_not_bent_to_the_trade(text: str):
    """No finding is made of words that only look alike."""
    assert not {code for code in stated(text) if code.startswith("FND")}


@pytest.mark.parametrize(("text", "code"), [
    ("element probly open", "FND_HE_OPEN"), ("guessing its a bad element", "FND_HE_OPEN"), ("cannot rule out cooling unit leak", "FND_CU_LEAK"),
    ("element open, not sure", "FND_HE_OPEN"), ("leak at cu, think it is slow", "FND_CU_LEAK"), ("poss leak in cu, leaking at boiler", "FND_CU_LEAK"),
    ("doubt it is a cu leak", "FND_CU_LEAK"),
])
def test_doubt_in_other_words_and_behind_a_comma(text: str, code: str):
    """A suspicion, however it is spelled and wherever it stands."""
    assert {match.certainty for match in VOCABULARY.read(text).matches if match.code == code} == {"suspected"}


@pytest.mark.parametrize(("text", "code"), [
    ("poss leak in cu, leak found at boiler", "FND_CU_LEAK"), ("element open, think about a new fridge", "FND_HE_OPEN"),
    ("no doubt cu is leaking", "FND_CU_LEAK"),
])
def test_what_is_no_doubt(text: str, code: str):
    """What was found after all, a thought about something else, and a doubt that is denied."""
    assert code in stated(text)


@pytest.mark.parametrize(("text", "code"), [
    ("letting warm air in", "SYM_WEAK"), ("buttons dead", "SYM_NOCOOL"), ("intermittent cooling", "OUT_OK"), ("wont run on cold mornings", "SYM_NOCOOL"),
    ("gas mode lights but never gets cold", "SYM_NOCOOL"), ("cu not blocked", "FND_EL_AC"), ("238 v at element terminals", "FND_HE_SHORT"),
    ("1/2 bubble off", "SYM_WEAK"), ("ammonia smells", "ACT_SENT_ON"), ("passed leak test", "ACT_SENT_ON"), ("in good working order", "ACT_PART_ORDER"),
    ("full of warm beer", "OUT_UNECONOMIC"), ("voltage down to 98 v", "OUT_OK"), ("engine stalled", "FND_CU_STALL"),
])
def test_thin_evidence_says_nothing(text: str, code: str):
    """A word that may mean something else is left unknown rather than read wrongly."""
    assert code not in stated(text)


@pytest.mark.parametrize(("text", "code"), [
    ("warm", "SYM_WEAK"), ("cust says dead", "SYM_NOCOOL"), ("replaced board, working", "OUT_OK"), ("sent to specialist", "ACT_SENT_ON"),
    ("passed on to other shop", "ACT_SENT_ON"), ("board on order", "ACT_PART_ORDER"),
])
def test_the_same_words_where_they_are_clear(text: str, code: str):
    """Alone, beside what was done or who says it, or with their little words."""
    assert code in stated(text)
