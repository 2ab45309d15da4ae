"""Bytes to text: a mark at the start, then strict UTF-8, then the few encodings that shops' programs write; a profile that states one decides."""

from __future__ import annotations

import codecs
import re
from collections import Counter
from dataclasses import dataclass

from fleetstats.errors import InputRefused, Problem

WORKBOOK_MARK = b"PK\x03\x04"
MARKS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
CANDIDATES = ("cp1252", "cp850")
"""Encodings of one byte a sign in which North American and Western European office programs and terminals write (common practice, no source)."""

EVERYDAY = frozenset("àâäáãåæçèéêëîïíìñôöóòõøœùûüúÿßÀÂÄÅÆÇÈÉÊËÎÏÑÔÖØŒÙÛÜ£€§°½¼¾²³µ±·–—‘’“”…«»®™©¿¡º\u00a0")
"""Signs beyond ASCII that notes in English, French, German and their neighbours hold. Capitals with the accents of Spanish and Portuguese are left out:
under the wrong candidate the common small letters turn into them."""

SURE = 3
"""Signs beyond ASCII that must speak for one candidate alone before it is taken."""

PROBE = 1 << 16
SIGN_BEYOND = re.compile(rb"[\x80-\xff]")


@dataclass(frozen=True, kw_only=True)
class Found:
    """The encoding a text is read with (a codec's name), and what is to be told about it; `told` is None where it was stated or is beyond doubt."""

    codec: str
    told: Problem | None = None


def decode(data: bytes, file: str, encoding: str | None) -> str:
    """The bytes as text, without a mark; encoding: what the profile states, or None.

    Raises InputRefused where they are not in that encoding or in none that can be told, naming the line; also for a workbook and for NUL signs.
    """
    return decoded(data, file, find_encoding(data, file, encoding), encoding)


def decoded(data: bytes, file: str, found: Found, encoding: str | None) -> str:
    """The bytes as text in the encoding found. Raises InputRefused as `decode`."""
    try:
        text = data.decode(found.codec)
    except UnicodeDecodeError as error:
        raise InputRefused(_wrong(data, file, encoding or found.codec, error.start)) from None
    text = text.removeprefix("\ufeff")
    if "\0" in text:
        place = text.index("\0")
        remedy = f"{_hint(data, encoding)} under [format] of its profile, or ask the sender for a whole file."
        raise InputRefused(Problem(what="a sign without meaning (NUL) stands in the text", file=file, row=text[:place].count("\n") + 1, remedy=remedy))
    return text


def find_encoding(data: bytes, file: str, encoding: str | None) -> Found:
    """The codec to read the bytes with. Raises InputRefused where the stated one contradicts the bytes, and where none can be told."""
    if data.startswith(WORKBOOK_MARK):
        raise InputRefused(Problem(what="this is a workbook, not a text file", file=file, remedy='Set kind = "xlsx" under [format] of its profile.'))
    marked = next((codec for mark, codec in MARKS if data.startswith(mark)), None)
    if encoding is not None:
        return _stated(data, file, encoding, marked)
    if marked is not None:
        return Found(codec=marked)
    if is_utf8(data) and not _without_mark(data):
        return Found(codec="utf-8")
    return _candidate(data, file)


def is_utf8(data: bytes) -> bool:
    """Whether the bytes are valid UTF-8."""
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def guess_encoding(data: bytes) -> str | None:
    """The likely encoding of a text that is not UTF-8 among the usual ones, for a person to judge; None where none fits."""
    wide = next((codec for mark, codec in MARKS if data.startswith(mark)), None) or _without_mark(data)
    if wide:
        return "utf-16" if wide.startswith("utf-16") else "utf-8"
    fitting = _weighed(data)
    return max(CANDIDATES, key=lambda codec: fitting.get(codec, -1.0)) if fitting else None


def _stated(data: bytes, file: str, encoding: str, marked: str | None) -> Found:
    name = codecs.lookup(encoding).name
    if name in ("utf-8", "utf-8-sig"):
        return Found(codec="utf-8-sig")
    if name == "utf-16":
        wide = marked if marked and marked.startswith("utf-16") else _without_mark(data)
        if wide is None:
            raise InputRefused(Problem(what=f"the order of the bytes of {encoding} cannot be told", file=file,
                                       remedy='Set encoding = "utf-16-le" or "utf-16-be" under [format] of its profile, or take another encoding.'))
        return Found(codec=wide)
    if not data.isascii() and is_utf8(data):
        # Letters with accents form valid UTF-8 sequences by chance only; reading them in another encoding would garble them in silence.
        raise InputRefused(Problem(what=f"the file is UTF-8, not {encoding}", file=file, remedy='Set encoding = "utf-8" under [format] of its profile.'))
    return Found(codec=encoding)


def _without_mark(data: bytes) -> str | None:
    """UTF-16 without a mark: in a text of Western letters every other byte is zero, and the line breaks show on which side."""
    probe = data[:PROBE]
    even, odd = probe[0::2].count(0), probe[1::2].count(0)
    half = len(probe) // 2
    if len(data) % 2 or half == 0 or max(even, odd) < 0.7 * half or min(even, odd) > 0.02 * half:
        return None
    return "utf-16-le" if odd > even else "utf-16-be"


def _candidate(data: bytes, file: str) -> Found:
    wide = _without_mark(data)
    if wide:
        return Found(codec=wide, told=_told("utf-16", file))
    weighed = _weighed(data)
    sure = [codec for codec, share in weighed.items() if share == 1.0]
    if len(sure) == 1 and len(SIGN_BEYOND.findall(data)) >= SURE:
        return Found(codec=sure[0], told=_told(sure[0], file))
    position = _not_utf8_at(data)
    raise InputRefused(_wrong(data, file, "utf-8", position))


def _weighed(data: bytes) -> dict[str, float]:
    """Per candidate that can read the bytes: the share of signs beyond ASCII that notes usually hold."""
    signs = Counter(SIGN_BEYOND.findall(data))
    shares: dict[str, float] = {}
    for codec in CANDIDATES:
        try:
            usual = sum(count for sign, count in signs.items() if sign.decode(codec) in EVERYDAY)
        except UnicodeDecodeError:
            continue
        shares[codec] = usual / signs.total() if signs else 0.0
    return shares


def _told(codec: str, file: str) -> Problem:
    return Problem(what=f"the encoding is not stated; the file was read as {codec}, the only usual one that gives words", file=file,
                   remedy=f'Look at words with accents; where they are right, set encoding = "{codec}" under [format] of its profile.')


def _not_utf8_at(data: bytes) -> int:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError as error:
        return error.start
    return 0


def _wrong(data: bytes, file: str, encoding: str, position: int) -> Problem:
    return Problem(what=f"not {encoding} text at byte {position + 1}", file=file, row=data[:position].count(b"\n") + 1,
                   wanted=f"text in {encoding}", remedy=f"{_hint(data, encoding)} under [format] of its profile.")


def _hint(data: bytes, encoding: str | None) -> str:
    guess = guess_encoding(data) if not is_utf8(data) or _without_mark(data) else None
    known = guess is not None and (encoding is None or codecs.lookup(guess) != codecs.lookup(encoding))
    return f'It looks like {guess}: set encoding = "{guess}"' if known else "Ask the sender for its encoding and set encoding"
