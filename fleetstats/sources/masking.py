"""Personal data: masked before anything is kept; technicians become keyed pseudonyms."""

from __future__ import annotations

import hashlib
import hmac
import os
import re
import secrets
from pathlib import Path

E_MAIL = re.compile(r"(?<![\w.+-])[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
PHONE = re.compile(r"""
    (?<![\w.,/$£€-])
    (?: \+\d{1,3}[\s.-]?(?:\(?\d{1,5}\)?[\s.-]?)(?:\d{2,5}[\s.-]?){1,4}\d          # +44 20 7946 0123
      | (?:1[\s.-])?\(?\d{3}\)?[\s.-]?\d{3}[\s.-]\d{4}                             # (416) 555-0123, 1-800-555-0199
      | \d{3}-\d{4}                                                                # 555-0123
      | \(?0\d{1,4}\)?[\s.-]\d{3,4}[\s.-]?\d{3,4}                                  # 020 7946 0123, 0491 570 156
      | 0\d{4}[\s.-]\d{5,6}                                                        # 07700 900123
      | \(0\d\)[\s.-]?\d{4}[\s.-]?\d{4}                                            # (02) 5550 1234
      | 1[38]00[\s.-]?\d{3}[\s.-]?\d{3}                                            # 1800 160 401
      | 0\d{9,10} | 1?\d{10}                                                       # written without a gap
    ) (?![\w/-])""", re.VERBOSE)
CALL = re.compile(r"(?i)\b((?:tel|phone|ph|call|cell|mob|mobile|tél|appeler|téléphone)\b[\s.:#]*(?:no\.?\s*)?)(\+?\(?\d[\d\s().-]{5,}\d)")
PLATE = re.compile(r"(?i)\b((?:number |licen[cs]e )?plate|rego|reg(?:istration)?(?: no\.?)?|plaque|immatriculation|immat)\b"
                   r"(\s*[:#]?\s*)([A-Z0-9]{1,7}(?:[ -][A-Z0-9]{2,4})?)\b")
READING = re.compile(r"(?i)\d+ ?-?(?:in|wc|mb|mbar|kpa|psi|pa|v|ok)\b")
PLATE_SHAPE = re.compile(r"\b[A-Z]{2}\d{2} ?[A-Z]{3}\b")


def mask(text: str) -> str:
    """The text with e-mail addresses, phone numbers and number plates replaced by [e-mail], [phone] and [plate]."""
    text = E_MAIL.sub("[e-mail]", text)
    text = CALL.sub(r"\1[phone]", text)
    text = PHONE.sub("[phone]", text)
    return PLATE_SHAPE.sub("[plate]", PLATE.sub(_plate, text))


def _plate(found: re.Match[str]) -> str:
    """A plate has five characters or more, letters and digits; 'reg' may as well be a regulator with a reading behind it."""
    letters = re.sub(r"[ -]", "", found[3])
    plate = len(letters) >= 5 and any(sign.isdigit() for sign in letters) and any(sign.isalpha() for sign in letters) and not READING.match(found[3])
    return f"{found[1]}{found[2]}[plate]" if plate else found[0]


def pseudonym_key(path: Path) -> bytes:
    """The project's key of 32 bytes, made on first use and readable by its owner only."""
    try:
        handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    except FileExistsError:
        return bytes.fromhex(path.read_text(encoding="ascii").strip())
    with os.fdopen(handle, "w", encoding="ascii") as file:
        key = secrets.token_bytes(32)
        file.write(key.hex() + "\n")
    return key


def pseudonym(name: str, key: bytes) -> str:
    """The pseudonym of a technician: T- and 8 hexadecimal digits of HMAC-SHA256 over the name in lower case, blanks collapsed."""
    plain = " ".join(name.lower().split())
    return f"T-{hmac.new(key, plain.encode(), hashlib.sha256).hexdigest()[:8]}"
