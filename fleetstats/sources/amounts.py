"""Amounts of money and plain numbers as shops write them: currency signs, thousands, negatives, words in place of a figure."""

from __future__ import annotations

import re
import unicodedata

from fleetstats.sources.cell import Fault, Parse

SIGNS = {"$": ("USD", "CAD", "AUD", "NZD"), "us$": ("USD",), "a$": ("AUD",), "au$": ("AUD",), "nz$": ("NZD",), "c$": ("CAD",), "ca$": ("CAD",),
         "£": ("GBP",), "€": ("EUR",)}
SIGN = re.compile(r"us\$|au?\$|nz\$|ca?\$|\$|£|€|\b(?:usd|cad|aud|nzd|gbp|eur|chf|sek|nok|dkk)\b")
WARRANTY = re.compile(r"\b(?:under )?(?:warr(?:anty|ty)?|wty|war|guarantee|garantie|gtie|in guarantee|sous garantie)\b")
FREE = frozenset({"n/c", "nc", "no charge", "no chg", "free", "foc", "f.o.c.", "free of charge", "sans frais", "s/f", "gratuit", "incl", "included", "inclus",
                  "goodwill"})


def pays_warranty(value: object) -> bool:
    """Whether a cell for money says that a warranty paid."""
    return isinstance(value, str) and WARRANTY.search(_plain(value)) is not None


def amount_parser(decimal: str, thousands: str, currency: str | None = None) -> Parse:
    """A parser of amounts; currency: ISO code of the file, against which signs are held.

    Negatives: -5, 5-, (5), 5 CR. 'warranty' gives nothing (see `pays_warranty`), 'n/c' and its like give 0.
    A mark in the wrong place is a fault: '1.234,50' is not read as 1.234.
    """
    number = number_parser(decimal, thousands)

    def parse(value: object) -> object:
        if not isinstance(value, str):
            return number(value)
        text = _plain(value)
        if text in FREE:
            return 0.0
        if pays_warranty(text):
            return None
        sign = SIGN.search(text)
        if sign and currency and currency not in SIGNS.get(sign[0], (sign[0].upper(),)):
            return Fault(what=f"an amount in another currency than the file's {currency}", wanted=f"an amount in {currency}")
        return number(SIGN.sub("", text).strip())
    return parse


def number_parser(decimal: str, thousands: str) -> Parse:
    """A parser of numbers with one decimal mark and at most one thousands mark, which must part groups of three."""
    point = re.escape(decimal)
    group = f"(?:\\d{{1,3}}(?:{re.escape(thousands)}\\d{{3}})+|\\d+)" if thousands else r"\d+"
    shape = re.compile(f"(?:{group})?(?:{point}\\d*)?")

    def parse(value: object) -> object:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            return Fault(what="this is no number", wanted="a number")
        if not isinstance(value, str):
            return float(value)
        text, negative = _sign(_plain(value))
        if not shape.fullmatch(text) or not any(letter.isdigit() for letter in text):
            return Fault(what="not read as a number", wanted=f"a number like {1234:d}{decimal}50")
        digits = text.replace(thousands, "") if thousands else text
        size = float(digits.replace(decimal, "."))
        return -size if negative else size
    return parse


def _plain(text: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", text).lower().replace("\u2019", "'").replace("\u2212", "-").split())


def _sign(text: str) -> tuple[str, bool]:
    if text.startswith("(") and text.endswith(")"):
        return text[1:-1].strip(), True
    if text.endswith("cr"):
        return text[:-2].strip(), True
    if text.startswith("-") or text.endswith("-"):
        return text.strip("-").strip(), True
    return text.removeprefix("+"), False
