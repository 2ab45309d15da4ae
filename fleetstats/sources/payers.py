"""Who paid: one payer in a cell, or a fault; a split is never given to one of them."""

from __future__ import annotations

import re
from collections.abc import Iterable

from fleetstats.sources.cell import Fault, Parse

SHARE = re.compile(r"\d{1,3} ?%|\b\d{1,2} ?/ ?\d{1,2}\b|\b(?:split|shared|half|moitié|halb)\b")
REMEDY = "Give each payer a row of its own with what it paid; the cell was left empty."


def one_payer(parse: Parse, words: Iterable[str]) -> Parse:
    """The parser of payers, with a cell that names several of `words`, or shares of a bill, told as such where it cannot be read as one."""
    known = [re.compile(rf"(?i)(?<!\w){re.escape(word.strip())}(?!\w)") for word in words if word.strip()]

    def parsed(value: object) -> object:
        payer = parse(value)
        text = " ".join(str(value)[:200].lower().split())
        if isinstance(payer, Fault) and (sum(word.search(text) is not None for word in known) > 1 or SHARE.search(text)):
            return Fault(what="several payers in one cell", wanted=payer.wanted, remedy=REMEDY)
        return payer
    return parsed
