"""What a question returns: an estimate with its interval and method, and the base of every result."""

from __future__ import annotations

import hashlib
import html
import json
import math
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

import numpy as np
import pandas as pd

SCHEMA_VERSION = 1
"""Additions to a result's JSON keep this number; a changed or removed key raises it."""


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """A number with its doubt.

    estimate: the point, or None where only an interval may be said. lower, upper: ends of the interval,
    None where an end is not known. level: probability content (0.90 unless asked otherwise).
    method: how point and interval were made. unit: "years", "share", "USD 2025-12", ...
    """

    estimate: float | None
    lower: float | None
    upper: float | None
    level: float
    method: str
    unit: str

    def to_dict(self) -> dict[str, Any]:
        """The six fields; what is not a finite number becomes None."""
        return {
            "estimate": _finite(self.estimate), "lower": _finite(self.lower), "upper": _finite(self.upper),
            "level": self.level, "method": self.method, "unit": self.unit,
        }


@dataclass(frozen=True, kw_only=True)
class Fingerprint:
    """Which inputs a result was made from: name -> sha256 of the content, and the seed of its draws."""

    inputs: dict[str, str]
    seed: int | None = None


@dataclass(frozen=True, kw_only=True)
class Result:
    """Base of every result: frozen, shows itself as a small table, turns itself into JSON.

    cautions: sentences a reader must see beside the numbers.
    inputs: the fingerprint of the data, None for a result computed from bare numbers.
    """

    cautions: tuple[str, ...] = ()
    inputs: Fingerprint | None = None

    def table(self) -> pd.DataFrame:
        """The result as a tidy table, one row per number."""
        rows = [{"quantity": f.name, **getattr(self, f.name).to_dict()} for f in fields(self) if isinstance(getattr(self, f.name), Estimate)]
        return pd.DataFrame(rows)

    def to_dict(self) -> dict[str, Any]:
        """All fields as plain numbers, text, lists and dicts: JSON without NaN."""
        return {f.name: plain(getattr(self, f.name)) for f in fields(self)}

    def _repr_html_(self) -> str:
        notes = "".join(f"<li>{html.escape(text)}</li>" for text in self.cautions)
        frame = self.table().astype(object)
        table: str = frame.where(frame.notna(), "").to_html(index=False, float_format=_shown)
        return f"{table}<ul>{notes}</ul>" if notes else table


def plain(value: Any) -> Any:
    """`value` as JSON can hold it: dates ISO, numbers as numbers, missing and infinite as None."""
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, int):
        return value
    if isinstance(value, float):
        return _finite(value)
    if hasattr(value, "to_dict") and not isinstance(value, pd.DataFrame | pd.Series):
        return value.to_dict()
    if is_dataclass(value):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    return _plain_container(value)


def _plain_container(value: Any) -> Any:
    if isinstance(value, pd.DataFrame):
        return [plain(row) for row in value.to_dict("records")]
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, np.ndarray | pd.Series):
        return [plain(item) for item in value.tolist()]
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(item) for item in value]
    if value is pd.NaT or value is pd.NA:
        return None
    if hasattr(value, "isoformat"):
        return str(value.isoformat())[:10]
    return str(value)


def _shown(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def content_sha256(frame: pd.DataFrame) -> str:
    """Fingerprint of a table's content: the same rows in any order give the same text."""
    text = frame.to_csv(index=False, date_format="%Y-%m-%d").splitlines()
    return hashlib.sha256(json.dumps([text[0], sorted(text[1:])]).encode()).hexdigest()


def _finite(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(value)
