"""Reading by pieces with what was read kept gives what reading a text at once gives."""

import random

import numpy as np
import pytest

from fleetstats.vocabulary import load_vocabulary, matcher
from fleetstats.vocabulary.entries import shipped_entries, shipped_language
from fleetstats.vocabulary.match import Match
from fleetstats.vocabulary.matcher import Matcher
from fleetstats.vocabulary.naming import taken_back
from fleetstats.vocabulary.pieces import Splitter

VOCABULARY = load_vocabulary()
STOPS = [". ", ", ", "; ", " / ", ".", " - ", "\n", "! ", "? ", " | ", ": ", " repl. ", " elem. ", ", w/o. "]
FILLERS = ["12,5", "-4", "118", "240", "12 v", "30mb", "9 wc", "Österr.", "REPL'D", "é", "unit", "it", "not", "no", "or", "ni", "replaced", "leak", "leaking",
           "regulator", "valve", "fridge", "checked", "64ohm", "5°C", "7²", "[phone]", "cu", "ok", "l'unité", "fuite", "10-12", '11"', "3/4"]


def _texts(count: int) -> list[str]:
    """Texts composed of shipped phrases, fillers, numbers and stops in any order."""
    draw = random.Random(20260101)
    phrases = [phrase.replace("@", "") for _, entry in shipped_entries().values() for phrase in (*entry.phrases, *entry.unnamed, *entry.ruled_out)]
    return ["".join(draw.choice([draw.choice(phrases), draw.choice(FILLERS)]) + draw.choice([*STOPS, " ", " ", " "]) for _ in range(draw.randint(1, 9)))
            for _ in range(count)]


def test_pieces_give_what_the_whole_text_gives():
    """3,000 composed texts: the same codes, certainties, places, classes of words and unknown words as the matcher on the whole text."""
    for text in _texts(3000):
        whole, read = VOCABULARY.matcher.read(text), VOCABULARY.read(text)
        assert read.matches == taken_back(whole.matches, VOCABULARY.entries), text
        assert (read.terms, read.free_terms, read.unmatched) == (whole.terms, whole.free_terms, whole.unmatched), text


def test_texts_of_one_meaning_hold_the_same_codes():
    """Equal numbers of `meanings`: equal codes and certainties in the same order; the words of a match are those of its place."""
    texts = _texts(800)
    recognised = VOCABULARY.recognise(texts)
    meanings = recognised.meanings(frozenset({"@fridge"}))
    said: dict[int, list[tuple[str, str]]] = {}
    for code, text in enumerate(recognised.texts):
        matches = VOCABULARY.read(text).matches
        assert said.setdefault(meanings[code], [(match.code, match.certainty) for match in matches]) == [(match.code, match.certainty) for match in matches]
        numbers = np.arange(len(matches))
        assert recognised.words(np.full(len(matches), code), numbers) == [text[match.start:match.end] for match in matches]
    assert len(said) > 400


def test_numbers_without_a_meaning_are_read_once():
    """'element 64 ohm' and 'element 59 ohm' are one piece; '110' is a voltage and stays."""
    splitter = Splitter(frozenset({"repl"}), frozenset({"110", "8"}))
    one, two, _ = splitter(["Element 64 ohm", "element 59 ohm", ""]).words
    assert one == two
    for text in ("dead on 110", "110–120 v", "–110v", "£110"):
        assert splitter([text]).words == [text]
    split = splitter(["", "repl. cu. ok; leak 3.5 wc", "a\x01b; c"])
    assert split.starts.tolist() == [0, 0, 9, 13, 0, 4]
    assert split.first.tolist() == [0, 1, 4, 6]


@pytest.mark.parametrize(("text", "codes"), [("Gas valve checked. Leak found.", []), ("Leak found. Gas valve checked.", ["FND_CU_LEAK"])])
def test_what_another_sentence_names_counts(text: str, codes: list[str]):
    """A leak without a name goes to the valve named before it, not to one named behind."""
    assert [match.code for match in VOCABULARY.read(text).matches if isinstance(match, Match) and match.code == "FND_CU_LEAK"] == codes


def test_chunks_between_commas_give_what_the_piece_gives(monkeypatch: pytest.MonkeyPatch):
    """3,000 composed texts with many commas: read chunk by chunk, and by a vocabulary that takes every piece as one chunk."""
    texts = [text.replace(". ", ", ").replace("; ", ", ") for text in _texts(3000)]
    chunked = [VOCABULARY.matcher.read(text) for text in texts]
    monkeypatch.setattr(matcher, "parted", lambda text: [text])
    whole = Matcher(shipped_entries(), shipped_language())
    assert chunked == [whole.read(text) for text in texts]
