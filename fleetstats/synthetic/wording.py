"""Sentences as the shops write them, from the lists of wording.toml."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from fleetstats.documents import read_toml
from fleetstats.synthetic.draws import Stream

REGIONS = {"US": "us", "GB": "uk", "AU": "au", "CA": "us"}


@cache
def _lists() -> dict[str, Any]:
    return read_toml(Path(__file__).with_name("wording.toml"))


def choices(region: str, place: str, key: str) -> list[str]:
    """Every wording of a key in one place of the text; French stands alone, English regions add to the common list."""
    own = _lists()[region].get(place, {}).get(key, [])
    common = [] if region == "fr" else _lists()["any"].get(place, {}).get(key, [])
    return [*common, *own]


def phrase(stream: Stream, region: str, place: str, key: str) -> str:
    """One wording of the key."""
    return stream.pick(choices(region, place, key))


def other_work() -> dict[str, list[str]]:
    """Job groups of a vehicle workshop and their wordings, none about the refrigerator."""
    groups: dict[str, list[str]] = _lists()["other"]["work"]
    return groups
