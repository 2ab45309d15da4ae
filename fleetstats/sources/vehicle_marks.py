"""Plates and VINs: kept only so that the same one can be told again, the plate keyed, the VIN without its first nine signs."""

from __future__ import annotations

import hashlib
import hmac
import re

from fleetstats.sources.vin import NEVER, is_vin, mended_vin

MARKS = ("vin", "plate")
"""Columns a profile may name beside `vehicle_id`, for files that know the vehicle by them."""
VIN_MARK = re.compile(r"VIN\*([A-Z0-9]{8})(?:/([A-Z0-9]{8}))?")
PLATE_MARK = re.compile(r"PLATE-[0-9a-f]{10}")
TAIL = 8
_NOT_ALNUM = re.compile(r"[^A-Z0-9]")


def masked_vin(text: str) -> str | None:
    """`VIN*` and the last eight signs; behind a stroke those that the check digit mends, where they differ. None where it is no VIN.

    Letters that no VIN has are read for their digits. Eight signs, or six, are taken as the end of one.
    """
    plain = _NOT_ALNUM.sub("", text.upper())
    if is_vin(plain):
        tail, mended = plain.translate(NEVER)[-TAIL:], mended_vin(plain)
        return f"VIN*{tail}" + (f"/{mended[-TAIL:]}" if mended and mended[-TAIL:] != tail else "")
    return plain.translate(NEVER) if len(plain) in (6, TAIL) and any(sign.isdigit() for sign in plain) else None


def keyed_plate(text: str, key: bytes) -> str | None:
    """`PLATE-` and ten hexadecimal digits of HMAC-SHA256 over the plate in upper case without blanks and dashes; None where nothing is left."""
    plain = _NOT_ALNUM.sub("", text.upper())
    return f"PLATE-{hmac.new(key, plain.encode(), hashlib.sha256).hexdigest()[:10]}" if plain else None


def vehicle_name(text: str) -> str:
    """A vehicle's number as it is, a VIN masked."""
    plain = _NOT_ALNUM.sub("", text.upper())
    return (masked_vin(text) or text) if is_vin(plain) else text
