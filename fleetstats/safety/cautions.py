"""Hazards with their limits and sources, and the sentences printed beside advice; the text stands in cautions.toml."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import Field, model_validator

from fleetstats.documents import Document, read_document

About = Literal["always", "leak", "unit", "gas", "co", "electric", "heat", "test", "food"]


class Hazard(Document):
    """One limit. basis "memory": generally known, not looked up again."""

    code: str
    subject: str
    limit: str
    source: str
    basis: Literal["published", "memory"]


class Caution(Document):
    """One sentence to print, when (`about`), and the hazards (codes) whose limits belong to it."""

    about: About
    text: str
    hazards: list[str]


class _Touches(Document):
    """checks: recorded with whatever outcome, or advised; failed: those that count only when failed."""

    checks: list[str] = Field(default_factory=list)
    failed: list[str] = Field(default_factory=list)
    symptoms: list[str] = Field(default_factory=list)
    findings: list[str] = Field(default_factory=list)


class _File(Document):
    hazard: list[Hazard]
    caution: list[Caution]
    touches: dict[About, _Touches]

    @model_validator(mode="after")
    def _hazards_exist(self) -> _File:
        known = {hazard.code for hazard in self.hazard}
        for caution in self.caution:
            if missing := set(caution.hazards) - known:
                raise ValueError(f"no hazard {sorted(missing)}")
        return self


@cache
def _file() -> _File:
    return read_document(Path(__file__).with_name("cautions.toml"), _File)


def read_hazards() -> tuple[Hazard, ...]:
    """Every hazard with its limit and source."""
    return tuple(_file().hazard)


def read_cautions() -> tuple[Caution, ...]:
    """Every caution."""
    return tuple(_file().caution)


def caution_texts(*about: str) -> tuple[str, ...]:
    """The cautions about these matters, limits and sources included, one sentence each; what holds always comes first.

    about: "leak", "unit", "gas", "co", "electric", "heat", "test", "food".
    """
    return tuple(_with_limits(caution) for caution in _file().caution if caution.about in ("always", *about))


def matters_of(*, symptom: str | None = None, checks: Mapping[str, str] | None = None, advised: Iterable[str] = (), finding: str | None = None) -> set[str]:
    """The matters that a case touches by its complaint, its checks (code -> outcome), those advised next and what the shop named."""
    done = dict(checks or {})
    touched, failed = {*done, *advised}, {check for check, outcome in done.items() if outcome == "fail"}
    return {
        matter for matter, by in _file().touches.items()
        if touched & set(by.checks) or failed & set(by.failed) or symptom in by.symptoms or (finding or "").startswith(tuple(by.findings))
    }


def _with_limits(caution: Caution) -> str:
    limits = [f"{hazard.subject}: {hazard.limit} [{_source(hazard)}]" for hazard in _file().hazard if hazard.code in caution.hazards]
    return f"{caution.text} ({'; '.join(limits)})" if limits else caution.text


def _source(hazard: Hazard) -> str:
    return f"{hazard.source}; from memory" if hazard.basis == "memory" and "memory" not in hazard.source else hazard.source
