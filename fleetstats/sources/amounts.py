"""Amounts of money and plain numbers as shops write them: currency signs, thousands, negatives, words in place of a figure."""

from __future__ import annotations

import math
import re
import unicodedata

from fleetstats.sources.cell import Fault, Parse

SIGNS = {"$": ("USD", "CAD", "AUD", "NZD"), "us$": ("USD",), "a$": ("AUD",), "au$": ("AUD",), "nz$": ("NZD",), "c$": ("CAD",), "ca$": ("CAD",),
         "£": ("GBP",), "€": ("EUR",)}
SIGN = re.compile(r"us\$|au?\$|nz\$|ca?\$|\$|£|€|\b(?:usd|cad|aud|nzd|gbp|eur|chf|sek|nok|dkk)(?![a-z])")
WARRANTY = re.compile(r"\b(?:under )?(?:warr(?:anty|ty)?|wty|war|guarantee|garantie|gtie|in guarantee|sous garantie)\b")
FREE = frozenset({"n/c", "nc", "no charge", "no chg", "free", "foc", "f.o.c.", "free of charge", "sans frais", "s/f", "gratuit",
                  "goodwill", "kulanz", "kostenlos", "nil charge"})
ELSEWHERE = frozenset({"incl", "incl.", "included", "inclus", "inbegriffen"})
"""The amount stands in another cell of the bill."""

FRENCH = re.compile(r"(-|\()?\d{1,3}(?: ?\d{3})*,\d{2} ?\$\)?")
"""An amount with a decimal comma and the dollar sign behind it, as French lines of a Canadian shop write it: no other reading."""

DEBIT_CREDIT = re.compile(r"(.*\d)\s*(cr|dr)\.?")
LONGEST = 40
"""Signs of a cell for money; what is longer is a text."""


def pays_warranty(value: object) -> bool:
    """Whether a cell for money says that a warranty paid."""
    return isinstance(value, str) and WARRANTY.search(_plain(value[:LONGEST])) is not None


def amount_parser(decimal: str, thousands: str, currency: str | None = None) -> Parse:
    """A parser of amounts; currency: ISO code of the file, against which signs are held.

    Negatives (a credit, such as a core's): -5, 5-, (5), 5 CR. 'warranty' gives nothing (see `pays_warranty`), or the amount beside it; 'n/c' and its like
    give 0. A mark in the wrong place is a fault: '1.234,50' is not read as 1.234. A sum in another currency, a share, a range or a guess is one too.
    """
    number = number_parser(decimal, thousands)

    def parse(value: object) -> object:
        if not isinstance(value, str):
            return number(value)
        text = _plain(value)
        if text in FREE:
            return 0.0
        if text in ELSEWHERE:
            return None
        if pays_warranty(text):
            text = WARRANTY.sub("", text).strip(" ,;:-/")
            if not text:
                return None
        signs = SIGN.findall(text)
        if any(currency not in SIGNS.get(sign, (sign.upper(),)) for sign in signs if currency):
            return Fault(what=f"an amount in another currency than the file's {currency}", wanted=f"an amount in {currency}")
        if FRENCH.fullmatch(text):
            return FRENCH_NUMBER(text.replace("$", ""))
        return number(SIGN.sub("", text).strip())
    return parse


def number_parser(decimal: str, thousands: str) -> Parse:
    """A parser of numbers with one decimal mark and at most one thousands mark, which must part groups of three."""
    point = re.escape(decimal)
    group = f"(?:[0-9]{{1,3}}(?:{re.escape(thousands)}[0-9]{{3}})+|[0-9]+)" if thousands else "[0-9]+"
    shape = re.compile(f"(?:{group})?(?:{point}[0-9]*)?")
    wanted = f"a number like 1234{decimal}50"

    def parse(value: object) -> object:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            return Fault(what="this is no number", wanted="a number")
        if not isinstance(value, str):
            return float(value) if _finite(value) else Fault(what="this is no number", wanted="a number")
        text, negative = _sign(_plain(value))
        if len(text) > LONGEST or not shape.fullmatch(text) or not any(letter.isdigit() for letter in text):
            return Fault(what=_what_else(text), wanted=wanted)
        digits = text.replace(thousands, "") if thousands else text
        size = float(digits.replace(decimal, "."))
        return -size if negative else size
    return parse


FRENCH_NUMBER = number_parser(",", " ")


def _finite(value: float) -> bool:
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def _plain(text: str) -> str:
    folded = unicodedata.normalize("NFKC", text).lower().replace("\u2019", "'").replace("\u2212", "-").replace("\u2013", "-")
    return " ".join(folded.split())


def _sign(text: str) -> tuple[str, bool]:
    if text.startswith("(") and text.endswith(")"):
        return text[1:-1].strip(), True
    if found := DEBIT_CREDIT.fullmatch(text):
        return found[1].strip(), found[2] == "cr"
    if text.startswith("-") != text.endswith("-"):
        return text.removeprefix("-").removesuffix("-").strip(), True
    return text.removeprefix("+"), False


def _what_else(text: str) -> str:
    """In a few words what a cell holds that is not one number."""
    if text.endswith("%"):
        return "a percentage, not a number"
    if re.match(r"[\d., ]+(?:-|to|bis|à|/|\+|x|\*)\s*\d", text):
        return "two numbers in one cell"
    if re.match(r"(?:~|ca\.? |approx|about|env|est)|.*\?$", text) and any(sign.isdigit() for sign in text):
        return "a guess, not a number"
    return "not read as a number" if any(sign.isdigit() for sign in text) else "words in place of a number"
