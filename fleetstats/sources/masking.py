"""Personal data: masked before anything is kept; technicians become keyed pseudonyms."""

from __future__ import annotations

import hashlib
import hmac
import os
import re
import secrets
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute

from fleetstats.vocabulary import load_vocabulary

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
DOCUMENT = re.compile(r"(?i)\b(?:order|ro|wo|po|job|inv(?:oice)?|docket|claim|ref|s/n|sn|serial|part|auftrag|rechnung|beleg|facture|bon)\b"
                      r"[\s.:#]*(?:(?:no|nr|n°|number)\b[\s.:#]*)?\Z")
"""Words directly before bare digits that make them the number of a paper or a part."""

BEFORE = 30
"""Signs before a number in which such a word is looked for."""

CALL = re.compile(r"(?i)\b((?:tel|phone|ph|call|cell|mob|mobile|tél|appeler|téléphone)\b[\s.:#]*(?:no\.?\s*)?)(\+?\(?\d[\d\s().-]{5,}\d)")
PLATE = re.compile(r"(?i)(?<!cold )\b((?:number |licen[cs]e )?plate|rego|reg(?:istration)?(?: no\b\.?)?|tag|plaque|immatriculation|immat|kennzeichen)\b"
                   r"(\.?\s*[:#]?\s*)(\d{2,3}-[A-Z]{1,2}-\d{1,6}|[A-Z0-9]{1,7}(?:[ -][A-Z0-9]{2,4}){0,2})(?![\w-])")
SURE = ("plate", "rego", "tag", "plaque", "immat", "kennzeichen")
"""Words of a plate that are no part of a refrigerator; 'reg' may be a regulator."""

READING = re.compile(r"(?i)\d+ ?-?(?:in|wc|mb|mbar|kpa|psi|pa|v|ok)\b")
NO_NAMES = frozenset(re.findall(r"\w+", """
    customer cust client renter hirer guest owner driver depot shop workshop office dealer branch desk reception the a an him her them back again before
    after when first on at in if for ahead us me we you he she they please tomorrow today noon tech technician mechanic manager service parts warranty
    fridge refer refrigerator freezer cooling unit cu gas lp propane element burner board fan vent door thermostat regulator boiler flue
    monday tuesday wednesday thursday friday saturday sunday january february march april may june july august september october november december
    unit van coach rig vehicle hour day week quote invoice terminal connector main spec manual instruction and to about with made need left not
    want wanted advise advised request requested refuse refused decline declined complain complained mention mentioned notice noticed think thought believe
    claim claimed told state stated explain explained insist insisted brought came picked dropped returned rang rung phoned paid asked agreed accepted
    ha had could did doe wa wil support name code number detail initial bulletin house area pack bag use fault error damage handover pickup
    good goodwill ongoing pending urgent temporary permanent intermittent aftermarket genuine refurbished estimate estimated courtesy twice once again
    done complete completed nearside offside kitchen bathroom bedroom roof floor internal external note photo picture attached
    """))
"""Words behind 'call', 'ring', 'customer', before 'says' or alone in brackets that name no person; without the s at their end."""

SURNAME = r"[A-ZÀ-Þ](?:['’][A-ZÀ-Þ])?[a-zà-ÿ]+(?:[A-ZÀ-Þ][a-zà-ÿ]+)?"
HYPHENED = rf"{SURNAME}(?:-{SURNAME})*"
PERSON = rf"{HYPHENED}(?: {HYPHENED})?"
TITLED = re.compile(rf"\b((?i:mr|mrs|ms|miss|mme|herr|frau|attn|attention|spoke (?:to|with)|ask for|asked for)\b\.?:?\s+)({PERSON})")
ADDRESSED = re.compile(rf"\b((?i:ring|call|phone|per|contact|appeler)\s+)({PERSON})")
RUNG = re.compile(r"\b((?:ring|ask for|asked for|spoke to|spoke with)\s+)([a-z]{3,})\b")
CALLED = re.compile(r"(?<![\w-])([A-ZÀ-Þ][a-zà-ÿ'’-]+ [A-ZÀ-Þ][a-zà-ÿ'’-]+)(?= (?:called|says|said|rang|phoned|reports|states)\b)")
SPEAKER = re.compile(rf"\b((?i:renter|customer|cust|hirer|guest|client|owner|driver|tech|technician|mechanic|fitter)\b\.?(:?)\s+)({PERSON})(?!\w|['’]t\b)")
SPEAKS = re.compile(r"(?i)[\s,]*(?:says|said|called|rang|phoned|reports|states|told)\b|\s*[:,;|]|\s+-\s|\s*$")
"""What stands behind a name that a colon parts from the word before it; a word that begins what the customer says has none of these behind it."""

SIGNED = re.compile(rf"(?<=\w)([ ]?\()({SURNAME})(?=\)\s*(?:$|[.,;|/\n]))")
VOWEL = re.compile("(?i)[aeiouyà-öø-ÿ]")
LETTERS = re.compile(r"(?<![\[\w])[^\W\d_]{3,}")
GERMAN = re.compile(r"""(?ix)\b(?:der|das|dem|und|ist|nicht|kein\w*|mit|bei|auf|vom|zum|zur|wurde|wird|neue?[nrs]?|nach|ohne|durch|noch|auch
    |ersetzt|getauscht|erneuert|gereinigt|geprüft|gewechselt|eingebaut|ausgebaut|bestellt|undicht|defekt|kalt|kühl\w*|läuft|kunde|mieter)\b""")
"""Words of German, in which every noun stands capitalised."""

PLATE_SHAPE = re.compile(r"\b[A-Z]{2}\d{2} ?[A-Z]{3}\b")
BLANKS = r"\s\pZ\x0b\x1c-\x1f\x85"
"""Blanks as Python's patterns know them, for a class of RE2, whose own are fewer."""

PERSONAL = "|".join((
    rf"(?i:@|\+\p{{Nd}}|\p{{Nd}}[\p{{Nd}}{BLANKS}().-]{{5,}}\p{{Nd}}|[A-Z]{{2}}\p{{Nd}}{{2}} ?[A-Z]{{3}})",
    r"(?i:\b(?:plate|reg|tag|plaque|immat|kennzeichen))",
    rf"\b(?i:mr|mrs|ms|miss|mme|herr|frau|attn|attention|spoke (?:to|with)|asked for|ask for|ring|call|phone|per|contact|appeler)\b\.?:?[{BLANKS}]+"
    r"[A-ZÀ-Þ]['’a-zà-ÿ]",
    rf"\b(?:ring|asked for|ask for|spoke to|spoke with)[{BLANKS}]+[a-z]",
    r"[A-ZÀ-Þ][a-zà-ÿ'’-]+ [A-ZÀ-Þ][a-zà-ÿ'’-]+ (?:called|says|said|rang|phoned|reports|states)",
    rf"\b(?i:renter|customer|cust|hirer|guest|client|owner|driver|tech|technician|mechanic|fitter)\b\.?:?[{BLANKS}]+[A-ZÀ-Þ]['’a-zà-ÿ]",
    r"\([A-ZÀ-Þ](?:['’][A-ZÀ-Þ])?[a-zà-ÿ]+(?:[A-ZÀ-Þ][a-zà-ÿ]+)?\)",
))
"""What every text holds in which one of the patterns above finds something, for Arrow's search: one pass spares nearly all texts the others."""


def mask_all(texts: Sequence[str]) -> list[str]:
    """Every text as `mask` gives it."""
    masked = list(texts)
    for place in np.flatnonzero(may_be_personal(masked)).tolist():
        masked[place] = mask(masked[place])
    return masked


def may_be_personal(texts: Sequence[str]) -> np.ndarray:
    """Whether each text has to be looked at by `mask`."""
    found: np.ndarray = pa.compute.match_substring_regex(pa.array(texts, pa.string()), PERSONAL).to_numpy(zero_copy_only=False)
    return found


def mask(text: str) -> str:
    """The text with e-mail addresses, phone numbers, number plates and names of persons as [e-mail], [phone], [plate] and [name].

    A name is known by the word before it ('ask for', 'Mrs', 'ring') or, two capitalised words, by the one behind ('called', 'says'). Where capitals are
    rare, so is a capitalised word nobody knows behind 'customer', 'tech' and the like, or alone in brackets at the end of a clause: 'seal fitted (Jory)'.
    """
    text = E_MAIL.sub("[e-mail]", text)
    text = CALL.sub(r"\1[phone]", text)
    text = PHONE.sub(lambda found: found[0] if found[0].isdigit() and DOCUMENT.search(text, max(0, found.start() - BEFORE), found.start()) else "[phone]", text)
    text = PLATE_SHAPE.sub("[plate]", PLATE.sub(_plate, text))
    for pattern in (TITLED, ADDRESSED, RUNG):
        text = pattern.sub(_name, text)
    text = CALLED.sub(lambda found: found[0] if _known(found[0]) else "[name]", text)
    return SIGNED.sub(_signed, SPEAKER.sub(_speaker, text))


def stands_as_name(word: str, text: str) -> bool:
    """Whether a text that is not German and in which capitals are rare holds the word capitalised, and only so, within a sentence."""
    met = list(re.finditer(rf"(?i)(?<!\w){re.escape(word)}(?!\w)", text))
    return bool(met) and all(found[0].istitle() and re.search(r"[a-z0-9,)] \Z|\w \(\Z", text[:found.start()]) and _few_capitals(found) for found in met)


def listed(headings: Sequence[str], most: int = 12) -> str:
    """The first headings of a file for an error text, masked: where the wrong row was taken for the headings they are cells."""
    return ", ".join(mask(heading) for heading in headings[:most])


def _plate(found: re.Match[str]) -> str:
    """Digits make a plate; behind 'reg', which may be a regulator with a reading, letters and five characters as well. Plain words do not belong to it."""
    first, *more = re.split(r"(?=[ -])", found[3])
    plate = first
    for part in more:
        if part[1:].islower():
            break
        plate += part
    letters = re.sub(r"[ -]", "", plate)
    digits, words = any(sign.isdigit() for sign in letters), any(sign.isalpha() for sign in letters)
    sure = found[1].lower().endswith(SURE) or found[1].lower() == "immatriculation"
    whole = digits and not READING.match(plate) and (len(letters) >= 3 if sure else words and len(letters) >= 5 and not first.islower())
    return f"{found[1]}{found[2]}[plate]{found[3][len(plate):]}" if whole else found[0]


def _name(found: re.Match[str]) -> str:
    """A word of the trade or of the counter behind 'call' or 'ring' is no name."""
    return found[0] if _known(found[2]) else f"{found[1]}[name]"


def _speaker(found: re.Match[str]) -> str:
    """Behind 'customer' and the like: the words nobody knows up to the first that is known; behind a colon only where something says it is a name."""
    names = found[3].split(" ")
    if _common(names[0]) or not _few_capitals(found) or (found[2] and not SPEAKS.match(found.string, found.end())):
        return found[0]
    rest = "" if len(names) == 1 or not _common(names[1]) else f" {names[1]}"
    return f"{found[1]}[name]{rest}"


def _signed(found: re.Match[str]) -> str:
    """A name in brackets behind what was done."""
    return found[0] if _common(found[2]) or not _few_capitals(found) else f"{found[1]}[name]"


def _common(word: str) -> bool:
    """Whether a word is the vocabulary's, ordinary, one of the counter or an abbreviation, just as it is written: a slip may as well be a name ('Walter')."""
    return any(VOWEL.search(part) is None or _known(part) or load_vocabulary().holds(part) for part in word.split("-"))


def _few_capitals(found: re.Match[str]) -> bool:
    """Whether a text is not German, and beside the words found more of its words begin small than with a capital; one all in capitals says nothing."""
    text = found.string
    words = [*LETTERS.findall(text[:found.start()]), *LETTERS.findall(text[found.end():])]
    small = sum(word.islower() for word in words) + found[0][0].islower()
    return small > 0 and small >= sum(word.istitle() for word in words) and GERMAN.search(text) is None


def _known(words: str) -> bool:
    return any(word.lower().rstrip("s") in NO_NAMES for word in words.split())


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
