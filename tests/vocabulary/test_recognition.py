from pathlib import Path

import pytest

from fleetstats.vocabulary import definition, load_vocabulary, symptom_group

VOCABULARY = load_vocabulary()


def found(text: str) -> dict[str, str]:
    """Code -> certainty of everything found in a text."""
    return {match.code: match.certainty for match in VOCABULARY.read(text).matches}


@pytest.mark.parametrize(("text", "code"), [
    # United States
    ("Refer inop on both LP and shore power", "SYM_NOCOOL"), ("customer states refrigerator does not cool on electric, works fine on propane", "SYM_NOCOOL_AC"),
    ("RV refer quit cooling", "SYM_NOCOOL"), ("replaced defective control board", "ACT_CT_BOARD"), ("cleaned mud dauber nest from burner tube",
    "ACT_LP_SERVICE"),
    ("cooling unit is plugged up", "FND_CU_BLOCK"), ("installed remanufactured cooling unit", "ACT_CU_SWAP_RECON"), ("heating element tests open",
    "FND_HE_OPEN"),
    # United Kingdom
    ("fridge won't work on hook-up", "SYM_NOCOOL_AC"), ("3 way fridge not working on 12v when driving", "SYM_NOCOOL_DC"), ("winter covers left on vents",
    "FND_VN_VENT"),
    ("fitted reconditioned cooling unit", "ACT_CU_SWAP_RECON"), ("thermocouple duff, replaced thermocouple", "ACT_LP_TC"),
    ("habitation check, no faults", "ACT_INSPECT"),
    # Australia and New Zealand
    ("fridge no good on gas", "SYM_NOCOOL_LP"), ("cooling unit stuffed", "FND_CU_BAD"), ("trips the safety switch on 240", "SYM_TRIP"),
    ("changed out cooling unit for a good used one", "ACT_CU_SWAP_USED"),
    # Canada, in two languages
    ("Le frigo ne refroidit plus", "SYM_NOCOOL"), ("ne refroidit pas au gaz", "SYM_NOCOOL_LP"), ("odeur d'ammoniac dans le véhicule", "SYM_AMMONIA"),
    ("poudre jaune derrière le frigo", "SYM_RESIDUE"), ("unité de refroidissement remplacée", "ACT_CU_SWAP"), ("élément chauffant grillé", "FND_HE_OPEN"),
    ("brûleur encrassé, nettoyé", "FND_LP_BURNER"), ("posé une unité de refroidissement neuve", "ACT_CU_SWAP_NEW"),
    ("congélateur froid mais frigo chaud", "SYM_BOXWARM"),
    ("thermistance défectueuse", "FND_CT_SENSOR"), ("fuite d'ammoniac", "FND_CU_LEAK"), ("mise en service printemps", "ACT_INSPECT"),
])
def test_what_the_trade_says_in_its_countries(text: str, code: str):
    """Phrasings that stand in no list of the vocabulary as they are (common practice, no source) are found as stated."""
    assert found(text).get(code) == "stated"


@pytest.mark.parametrize("text", [
    "cooling unit leking", "amonia smell", "ammonnia smel strong ammonia", "absorbtion unit blokced", "elemnt open", "thermistr faulty", "rplcd burner",
    "refridgerator not cooling",
])
def test_misspellings_of_the_workshop(text: str):
    """One edit in a word of six letters or more, doubled letters, dropped vowels."""
    assert {VOCABULARY.facet(code) for code in found(text)} & {"finding", "symptom", "action"}


@pytest.mark.parametrize(("text", "denied"), [
    ("no leak", "FND_CU_LEAK"), ("no sign of leak or ammonia smell", "SYM_AMMONIA"), ("neg ammonia", "SYM_AMMONIA"), ("not cu", "FND_CU_BAD"), ("r/o cu",
    "FND_CU_BAD"),
    ("cu ruled out", "FND_CU_BAD"), ("cu ok", "FND_CU_BAD"), ("pas de fuite", "FND_CU_LEAK"), ("aucune odeur d'ammoniac", "SYM_AMMONIA"),
    ("did not replace cu", "ACT_CU_SWAP"),
    ("cu not leaking", "FND_CU_LEAK"), ("leak not found", "FND_CU_LEAK"), ("cooling unit not at fault", "FND_CU_BAD"),
    ("no need to replace cooling unit", "ACT_CU_SWAP"),
    ("sans fuite", "FND_CU_LEAK"), ("never leaked", "FND_CU_LEAK"),
])
def test_denied_is_never_stated(text: str, denied: str):
    """A finding that is denied is absent or ruled out."""
    assert found(text).get(denied, "ruled out") == "ruled out"


@pytest.mark.parametrize(("text", "code"), [
    ("?cu", "FND_CU_BAD"), ("cu?", "FND_CU_BAD"), ("poss cu", "FND_CU_BAD"), ("poss cu leak", "FND_CU_LEAK"), ("susp cooling unit", "FND_CU_BAD"),
    ("prob cu", "FND_CU_BAD"),
    ("needs cu", "FND_CU_BAD"), ("rec new cu", "FND_CU_BAD"), ("could be cooling unit, watch", "FND_CU_BAD"), ("possible unité de refroidissement",
    "FND_CU_BAD"),
    ("recommended to replace cooling unit", "ACT_CU_SWAP"), ("cooling unit replacement quoted", "ACT_CU_SWAP"), ("awaiting approval to replace fridge",
    "ACT_FRIDGE_REPL"),
    ("unité de refroidissement à remplacer", "FND_CU_BAD"), ("maybe element open", "FND_HE_OPEN"), ("fridge needs replacing", "ACT_FRIDGE_REPL"),
])
def test_doubt_and_advice_are_suspicions(text: str, code: str):
    """What is supposed, quoted, advised or waited for is not stated."""
    certainties = found(text)
    assert certainties.get(code) == "suspected"
    assert not [c for c, certainty in certainties.items() if c.startswith(("FND_CU", "ACT_CU_SWAP", "ACT_FRIDGE")) and certainty == "stated"]


@pytest.mark.parametrize("text", ["not sure whether it is the cu", "not certain cu is bad", "unsure if leak"])
def test_not_sure_is_a_doubt_and_no_denial(text: str):
    """The 'not' of 'not sure' denies the certainty, not the fault."""
    assert set(found(text).values()) == {"suspected"}


@pytest.mark.parametrize("text", ["water leak under fridge door", "drain hose leaking into fridge", "fridge leaks water on floor", "fuite d'eau dans le frigo"])
def test_water_that_leaks_is_no_leak_of_the_unit(text: str):
    """Thawed water on the floor is another complaint; taken for the unit's charge it would close the gate and condemn a healthy unit."""
    assert "FND_CU_LEAK" not in found(text)
    assert found(text)["SYM_WATER"] == "stated"


@pytest.mark.parametrize("text", ["coolant leak at radiator", "tyre leaking", "sink tap leaking, fridge ok"])
def test_what_leaks_on_the_vehicle_is_no_leak_of_the_unit(text: str):
    """Coolant, tyres and taps leak too."""
    assert "FND_CU_LEAK" not in found(text)


@pytest.mark.parametrize("text", ["boiler overheated", "burnt paint on boiler", "cooling unit overheated"])
def test_signs_of_overheating_count_as_scorching(text: str):
    """Evidence of overheating stops a unit, so it has to be read."""
    assert found(text)["SYM_FIRE"] == "stated"


def test_an_exchange_in_french_does_not_say_what_was_fitted():
    """'échangée' is 'replaced'; only 'échange standard' is a reconditioned unit."""
    assert "ACT_CU_SWAP" in found("unité de refroidissement échangée")
    assert "ACT_CU_SWAP_NEW" in found("unité de refroidissement neuve échangée")


@pytest.mark.parametrize(("text", "action", "certainty"), [
    ("element open, replaced", "ACT_HE_REPL", "stated"), ("cu blocked, replaced", "ACT_CU_SWAP", "stated"), ("fan dead, replaced, cools fine", "ACT_FN_REPL",
    "stated"), ("poss cu bad, replaced", "ACT_CU_SWAP", "suspected"), ("cu ok, replaced", "ACT_CU_SWAP", None), ("no leak, replaced", "ACT_CU_SWAP", None),
    ("leak ruled out, replaced", "ACT_CU_SWAP", None), ("cu bad, replaced the fuse", "ACT_CU_SWAP", None),
])
def test_replaced_alone_behind_a_comma_is_what_stood_before_it(text: str, action: str, certainty: str | None):
    """'element open, replaced' replaces the element; with something else named behind the comma, or a denial before it, it does not."""
    assert found(text).get(action) == certainty


def test_denial_ends_at_a_comma_and_at_but():
    """'no leak, cu blocked' and 'not the element but the board bad': the second is stated."""
    assert found("no leak, cu blocked")["FND_CU_BLOCK"] == "stated"
    assert found("not the element but board bad")["FND_CT_BOARD"] == "stated"
    assert found("no leak found cu bad")["FND_CU_BAD"] == "stated"


def test_an_earlier_repair_is_not_this_one():
    """'replaced last year' tells of another visit: inferred, not stated."""
    assert found("cu replaced last year elsewhere")["ACT_CU_SWAP"] == "inferred"


@pytest.mark.parametrize("text", [
    "6 cu ft fridge", "cu ft of storage", "cu states not cold", "cu pipe kinked", "cu. ft. 8", "cu wire repaired",
])
def test_cu_is_not_always_the_cooling_unit(text: str):
    """A number before it, 'ft', 'states', 'pipe' behind it: cubic, customer, copper."""
    assert "CU" not in {VOCABULARY.item(code) for code in found(text)}


@pytest.mark.parametrize(("text", "present", "absent"), [
    ("ac not cold, roof ac compressor noisy", "VEH_CABAIR", "SYM_NOCOOL_AC"), ("fridge not cooling on ac", "SYM_NOCOOL_AC", "VEH_CABAIR"),
    ("gas strut replaced", "VEH_STEER", "LP_VALVE"), ("fridge not working on gas", "SYM_NOCOOL_LP", "VEH_ENGINE"), ("core plug leaking", "VEH_ENGINE", "CU"),
    ("core returned", "ACT_CORE_RETURN", "VEH_ENGINE"), ("window regulator replaced", "VEH_BODY", "ACT_LP_REG"), ("reg low", "FND_LP_PLOW", "VEH_ADMIN"),
])
def test_ac_gas_core_and_reg_by_their_neighbours(text: str, present: str, absent: str):
    """Mains or air conditioner, LP gas or a strut, an exchange core or a plug, a pressure regulator or a window's."""
    codes = found(text)
    assert present in codes
    assert absent not in codes


def test_places_are_those_of_the_text():
    """The span of a match is the words it was read from, accents and blanks included."""
    text = "Vérifié: l'unité de refroidissement  fuit, élément ok"
    match = next(match for match in VOCABULARY.read(text).matches if match.code == "FND_CU_LEAK")
    assert text[match.start:match.end] == "l'unité de refroidissement  fuit"[2:]


def test_an_adjective_is_no_appliance():
    """'new fridge element' is an element; 'new fridge' is a refrigerator."""
    assert "ACT_FRIDGE_REPL" not in found("fitted new fridge element")
    assert found("fitted new fridge element")["ACT_HE_REPL"] == "stated"
    assert found("fitted new fridge")["ACT_FRIDGE_REPL"] == "stated"


def test_recognising_many_texts_reads_each_once_and_keeps_order():
    """The table names the place in the input; missing texts give nothing."""
    recognised = VOCABULARY.recognise(["cu bad", None, "elem open", "cu bad"])
    assert len(recognised.texts) == 2
    assert recognised.table()[["text", "code"]].to_numpy().tolist() == [[0, "FND_CU_BAD"], [2, "FND_HE_OPEN"], [3, "FND_CU_BAD"]]
    assert recognised[1].matches == ()


def test_unknown_words_are_told():
    """Runs of words that nobody knows; numbers, masked places and ordinary words are left out."""
    assert VOCABULARY.read("cu bad, fizzwhack gromble, call [phone] 12").unmatched == ("fizzwhack gromble",)


def test_groups_of_complaints():
    """Leak signs, no cooling, weak cooling and the rest."""
    assert [symptom_group(code) for code in ("SYM_AMMONIA", "SYM_RESIDUE", "SYM_NOCOOL_AC", "SYM_BOXWARM", "SYM_GURGLE")] == ["leak", "leak",
        "no cooling", "weak", "other"]
    assert "ammonia" in definition("SYM_AMMONIA").lower()


@pytest.mark.parametrize("text", [
    "gas smell near fridge, regulator leaking, replaced", "leak at gas valve", "leaking gas hose", "fridge ok, hose leaking",
    "cu checked, leak found at regulator",
    "flue rusted through", "water at gasket, leaking", "Gas valve checked. Leak found.",
])
def test_a_leak_belongs_to_what_is_named_beside_it(text: str):
    """Regulators, hoses, valves and seals leak too; such a leak must condemn no cooling unit and take none out."""
    assert not [code for code in found(text) if code.startswith(("FND_CU", "ACT_CU"))]


@pytest.mark.parametrize("text", [
    "leak found", "cu checked, leak found", "ammonia smell, leak found", "elem 64 ohm ok, leak confirmed",
    "regulator ok. cooling unit leaking", "regulator checked, cu leaking",
])
def test_a_leak_without_another_name_stays_the_units(text: str):
    """Nothing else that leaks is named nearer than the unit."""
    assert found(text)["FND_CU_LEAK"] == "stated"


def test_a_gas_smell_is_lp_gas_without_a_word_of_ammonia():
    """'gas smell inside fridge' is fuel gas; 'smell inside fridge' alone and an ammonia smell stay signs of a leak."""
    for text in ("gas smell near fridge, regulator leaking, replaced", "gas smell inside fridge", "forte odeur de gaz derrière le frigo"):
        assert "SYM_LPSMELL" in found(text)
        assert "SYM_AMMONIA" not in found(text)
    assert "SYM_AMMONIA" in found("strong smell inside fridge")
    assert found("gas smell near fridge, regulator leaking, replaced")["ACT_LP_REG"] == "stated"


def test_a_later_denial_takes_a_finding_back():
    """What was said first and not found on looking is ruled out; after a new unit was fitted a passed check says nothing of the old one."""
    assert found("cooling unit leaking, checked, no leak found. thermostat replaced")["FND_CU_LEAK"] == "ruled out"
    assert found("cu leaking. on test cu not leaking")["FND_CU_LEAK"] == "ruled out"
    assert found("cu leaking, replaced cu, no leak found")["FND_CU_LEAK"] == "stated"
    assert found("elem open, replaced elem, 64 ohm ok")["FND_HE_OPEN"] == "stated"


def test_what_a_customer_says_was_found_is_a_suspicion():
    """The finding of a customer is none; a complaint stays a complaint."""
    assert found("customer says cooling unit leaking")["FND_CU_LEAK"] == "suspected"
    assert found("cust states cooling unit bad")["FND_CU_BAD"] == "suspected"
    assert found("customer says fridge not cooling")["SYM_NOCOOL"] == "stated"


def test_a_dead_panel_is_no_failure_to_cool():
    """'dead, no lights' says that nothing lights up, not that heat makes no cold."""
    assert set(found("dead, no lights")) == {"SYM_PANEL"}
    assert "SYM_NOCOOL" in found("fridge dead")


@pytest.mark.parametrize(("text", "code"), [
    ("cooling pack replaced with new pack", "ACT_CU_SWAP_NEW"), ("passed to another workshop", "ACT_SENT_ON"), ("passed on to Hill workshop", "ACT_SENT_ON"),
    ("sent to main workshop", "ACT_SENT_ON"), ("referred to another workshop", "ACT_SENT_ON"), ("box warm", "SYM_BOXWARM"), ("warm", "SYM_WEAK"),
    ("fridge running warm", "SYM_WEAK"),
])
def test_short_phrases_of_the_counter(text: str, code: str):
    """Common practice, no source."""
    assert found(text)[code] == "stated"


def test_a_quoted_unit_that_was_declined_is_a_suspicion_and_no_removal():
    """Nothing was done: the unit is thought bad, and the work was declined."""
    codes = found("quoted for new cooling unit, customer declined")
    assert codes["FND_CU_BAD"] == "suspected"
    assert codes["OUT_DECLINED"] == "stated"
    assert "stated" not in {certainty for code, certainty in codes.items() if code.startswith("ACT_CU")}


@pytest.mark.parametrize("text", [
    "leaving fridge at depot", "worker checked fridge", "tried the fridge 20 times", "fired up the fridge", "serial noted", "ceiling fan",
    "handed over, healthy margin",
    "1 of 3 shelves ok", "customer paying, saying nothing", "plugging it in",
])
def test_another_word_is_no_slip(text: str):
    """A word that is one letter away from one of the trade is taken for it only where a slip is likely: not at its beginning or end, not for any letter."""
    assert not [match for match in VOCABULARY.read(text).matches if match.facet in ("finding", "symptom")]


@pytest.mark.parametrize(("written", "code"), [
    ("propain not working, elec ok", "SYM_NOCOOL_LP"), ("gaskit torn", "FND_CB_GASKET"), ("ignitr faulty", "FND_LP_SPARK"),
    ("thermestet faulty", "FND_CT_TSTAT"),
    ("thermostst faulty", "FND_CT_TSTAT"), ("12v elemnt open", "FND_DC_OPEN"),
])
def test_vowels_keys_and_letters_too_many(written: str, code: str):
    """Wrong vowels, a neighbouring key, a letter left out or doubled."""
    assert found(written).get(code) == "stated"


@pytest.mark.parametrize(("taught", "text"), [
    ("smell at fridge vent", "smell at fridge vent, cust says"), ("door seal w/ bill, latch and load", "checked door seal w/ bill, latch and load"),
    ("warr. knocked on head", "warr. knocked on head"),
])
def test_taught_phrases_are_found_as_they_were_written(taught: str, text: str, tmp_path: Path):
    """With a word that only says where a part sits, over a comma, and with an abbreviation nobody knew."""
    words = tmp_path / "words.toml"
    words.write_text(f'[words.OUT_REPEAT]\nphrases = ["{taught}"]\n', encoding="utf-8")
    assert load_vocabulary(words).read(text).codes("outcome") == ["OUT_REPEAT"]
