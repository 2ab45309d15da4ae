from collections import defaultdict

import pytest

from fleetstats.errors import InputRefused
from fleetstats.vocabulary import load_vocabulary
from fleetstats.vocabulary.entries import shipped_entries, shipped_language
from fleetstats.vocabulary.words import normal_form, split_words

ENTRIES = shipped_entries()
KINDS = ("phrases", "suspected", "ruled_out", "passed", "failed")


def _cases() -> list[tuple[str, str]]:
    return [(code, phrase) for code, (_, entry) in ENTRIES.items() for phrase in entry.phrases if "@" not in phrase and "#" not in phrase]


def test_every_shipped_phrase_is_recognised_as_its_code():
    """A phrase alone gives its code, or a finding or action on its item; fewer than one in fifty may need its neighbours (e.g. 'on and off')."""
    vocabulary = load_vocabulary()
    lost = []
    for code, phrase in _cases():
        codes = vocabulary.read(phrase).codes()
        if code not in codes and code not in {vocabulary.item(other) for other in codes}:
            lost.append((code, phrase))
    assert len(lost) <= 0.02 * len(_cases()), lost
    assert len(_cases()) > 700


def test_no_phrase_stands_for_two_codes():
    """After normalising, a phrase belongs to one code: which of two wins would be chance."""
    sequencer = load_vocabulary().matcher.sequencer
    owners: dict[tuple[str, ...], set[str]] = defaultdict(set)
    for code, (_, entry) in ENTRIES.items():
        for kind in KINDS:
            for phrase in getattr(entry, kind):
                owners[sequencer.phrase(phrase)].add(code)
    assert {words: codes for words, codes in owners.items() if len(codes) > 1 or not words} == {}


def test_no_word_belongs_to_two_classes():
    """A variant stands under one term."""
    owners: dict[str, set[str]] = defaultdict(set)
    for name, variants in shipped_language().terms.items():
        for variant in variants:
            owners[" ".join(word.form for word in split_words(variant))].add(name)
    assert {words: names for words, names in owners.items() if len(names) > 1} == {}


def test_references_between_codes_hold():
    """Items, checks, symptoms and classes named in an entry exist, and every complaint has a group."""
    terms = set(shipped_language().terms)
    for code, (facet, entry) in ENTRIES.items():
        assert entry.item is None or ENTRIES[entry.item][0] == "item", code
        assert entry.check is None or ENTRIES[entry.check][0] == "check", code
        assert entry.symptom is None or ENTRIES[entry.symptom][0] == "symptom", code
        assert set(entry.with_words) <= terms, code
        assert all(ENTRIES[item][0] == "item" for item in entry.with_items), code
        assert (entry.group is not None) == (facet == "symptom"), code
        assert entry.definition.endswith("."), code


@pytest.mark.parametrize(("word", "form"), [("ammonnia", "amonia"), ("won't", "wont"), ("off", "off"), ("Kaputt".lower(), "kaput")])
def test_doubled_letters_count_once_from_four_letters_on(word: str, form: str):
    """Short words keep theirs: 'off' is not 'of'."""
    assert normal_form(word) == form


def test_digits_are_parted_from_units_and_stops_from_abbreviations():
    """'64ohm' is two words, 'repl. cu' one sentence, 'ok. cu bad' two."""
    assert [word.form for word in split_words("64ohm 2,7kpa")] == ["64", "ohm", "2.7", "kpa"]
    assert {word.sentence for word in split_words("repl. cu", frozenset({"repl"}))} == {0}
    assert {word.sentence for word in split_words("gurgles. cu bad")} == {0, 1}


def test_a_taught_phrase_wins_over_a_shipped_one(tmp_path):
    """'cu ok' taught as a bad unit is one from then on, though shipped as a sound one; the shipped vocabulary stays as it was."""
    path = tmp_path / "words.toml"
    path.write_text('[words.FND_CU_BAD]\nphrases = ["cu ok"]\n', encoding="utf-8")
    assert load_vocabulary(path).read("cu ok").codes("finding") == ["FND_CU_BAD"]
    assert load_vocabulary().read("cu ok").codes("finding") == ["FND_CU_OK"]


def test_taught_words_without_phrases_or_with_strange_keys_are_refused(tmp_path):
    """A typo in words.toml is told with the nearest key."""
    path = tmp_path / "words.toml"
    path.write_text('[words.FND_CU_BAD]\nphrase = ["cu crook"]\n', encoding="utf-8")
    with pytest.raises(InputRefused, match='phrases'):
        load_vocabulary(path)


@pytest.mark.parametrize(("words", "told"), [
    ('phrases = ["crook"]\n', r"below the code that they mean: \[words.CODE\]"), ('[CU_BOILER]\nphrases = ["pot"]\n', r"\[words.CU_BOILER\]"),
    ('[words]\nphrases = ["crook"]\n', "below the code"),
    ('[words.FND_VENT_BLOCKED]\nphrases = ["stuck"]\n', "no code of the vocabulary. Run 'fleetstats dictionary'"),
    ('[words.FND_CU_LEEK]\nphrases = ["stuck"]\n', 'Perhaps "FND_CU_LEAK"'),
])
def test_words_in_the_wrong_place_and_unknown_codes_are_told_with_what_to_do(tmp_path, words: str, told: str):
    """The place of phrases is named; a code of another item is never suggested by its spelling."""
    path = tmp_path / "words.toml"
    path.write_text(words, encoding="utf-8")
    with pytest.raises(InputRefused, match=told):
        load_vocabulary(path)


def test_a_taught_item_word_takes_effect(tmp_path):
    """'boiler' near 'hot' is a water heater as shipped; taught as the unit's boiler it is that everywhere, and makes findings and actions."""
    path = tmp_path / "words.toml"
    path.write_text('[words.CU_BOILER]\nphrases = ["boiler"]\n[words.HE_AC]\nphrases = ["hot stick"]\n', encoding="utf-8")
    taught = load_vocabulary(path)
    assert "CU" not in {load_vocabulary().item(code) for code in load_vocabulary().read("boiler at hot tap leaking").codes()}
    assert taught.read("boiler at hot tap").codes("item") == ["CU_BOILER"]
    assert "FND_HE_OPEN" in taught.read("hot stick open").codes()
    assert "ACT_HE_REPL" in taught.read("replaced hot stick").codes()
