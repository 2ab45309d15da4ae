"""A text to words with their places: lower case, no accents, digits parted from units, doubled letters collapsed."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import NamedTuple

TOKEN = re.compile(r"""
      [a-z]+(?:['/&+][a-z]+)*                       # words, t/c, c&s, r+r, won't; first, since they are most
    | \[[a-z-]+\]                                   # a masked place
    | (?<![\w.,])-?\d+(?:[.,]\d+)?(?=\s?["”])|-?\d+(?:[.,]\d+)?      # numbers
    | @[a-z_]+                                      # names of terms, in the vocabulary's own phrases
    | [?"#] | [.;:!|,\n(){}=>-] | /
    """, re.VERBOSE)
ELISION = re.compile(r"^(?:d|l|n|s|j|c|qu|m|t)'(?=[a-z]{2})")
KEPT_SLASH = re.compile(r"[a-z]/[a-z]{1,2}|w/o")
KEPT_SIGN = re.compile(r"[a-z][&+][a-z]")
STRONG = frozenset(".;!|\n")
SOFT = frozenset(",:(){}=>-/")
DOUBLED = re.compile(r"([a-z])\1")
SHORTEST_COLLAPSED = 4


class Word(NamedTuple):
    """A word in its normal form, or the name of a term; start and end in the text; sentence and part count its stops and commas."""

    form: str
    start: int
    end: int
    sentence: int
    part: int


def plain(text: str) -> str:
    """Lower case without accents, one sign for each sign of the text so that places stay true."""
    return text.lower() if text.isascii() else "".join(_plain_sign(sign) for sign in text)


def _plain_sign(sign: str) -> str:
    if sign.isascii():
        return sign.lower()
    if sign in "’‘´`":
        return "'"
    if sign in "“”″":
        return '"'
    if sign in "Ωω":
        return "r"
    base = unicodedata.normalize("NFKD", sign)[0].lower()
    return base if len(base) == 1 and base.isascii() else " "


class Scanned(NamedTuple):
    """The words of a text, and how many sentences and parts ended in it."""

    words: list[Word]
    sentences: int
    parts: int


def split_words(text: str, abbreviations: frozenset[str] = frozenset()) -> list[Word]:
    """The words of a text. A full stop after one of the abbreviations, or inside a number, ends no sentence."""
    return scan(text, abbreviations).words


def scan(text: str, abbreviations: frozenset[str]) -> Scanned:
    """The words of a text with its stops counted, see `split_words`."""
    words: list[Word] = []
    sentence = part = 0
    low = plain(text)
    for found in TOKEN.finditer(low):
        token = found[0]
        if token in STRONG:
            ends = token != "." or _ends_sentence(words, low, found, abbreviations)
            sentence, part = sentence + ends, part + ends
        elif token in SOFT:
            after_blank = low[found.start() - 1:found.start()].isspace()
            sentence += token == "/" and after_blank
            part += token not in "-/" or after_blank
        elif not token.startswith("["):
            start = found.start()
            words += [Word(form, start + first, start + last, sentence, part) for form, first, last in _forms(token)]
    return Scanned(words, sentence, part)


def _ends_sentence(words: list[Word], low: str, stop: re.Match[str], abbreviations: frozenset[str]) -> bool:
    """A full stop ends no sentence directly behind an abbreviation, or with a sign directly behind it."""
    joined = bool(words) and words[-1].end == stop.start()
    return not (joined and (words[-1].form in abbreviations or not low[stop.end():stop.end() + 1].isspace()))


@lru_cache(maxsize=65536)
def _forms(token: str) -> tuple[tuple[str, int, int], ...]:
    """The words of a token in their normal form, each with its start and end in the token."""
    if token[0] == "@" or not token[0].isalpha():
        return ((token.replace(",", "."), 0, len(token)),)
    start = 0
    if elision := ELISION.match(token):
        token, start = token[elision.end():], elision.end()
    if ("/" in token and not KEPT_SLASH.fullmatch(token)) or (("&" in token or "+" in token) and not KEPT_SIGN.fullmatch(token)):
        forms, place = [], start
        for piece in re.split(r"([/&+])", token):
            if piece not in "/&+":
                forms.append((normal_form(piece), place, place + len(piece)))
            place += len(piece)
        return tuple(forms)
    return ((normal_form(token), start, start + len(token)),)


@lru_cache(maxsize=65536)
def normal_form(word: str) -> str:
    """A word without apostrophes; from four letters on a doubled letter counts once (ammonia, amonia)."""
    word = word.replace("'", "")
    return DOUBLED.sub(r"\1", word) if len(word) >= SHORTEST_COLLAPSED else word


def skeleton(word: str) -> str:
    """The consonants of a word: how 'rplcd' is compared with 'replaced'."""
    return word[0] + re.sub(r"[aeiouy]", "", word[1:])
