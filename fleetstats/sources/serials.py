"""Serial numbers: as written, and in the form by which they are compared."""

from __future__ import annotations

import re

SEPARATORS = re.compile(r"[\s\-_./#]+")
LABEL = re.compile(r"^(?:S/?N|SER(?:IAL)?(?: NO)?|NO|N°)[ .:#]*(?=[A-Z]*\d)")


def normal_serial(text: str) -> str:
    """A serial in upper case without spaces, dashes, dots and a label such as 'S/N'; letters and digits stay as they were written."""
    return SEPARATORS.sub("", LABEL.sub("", text.strip().upper()))
