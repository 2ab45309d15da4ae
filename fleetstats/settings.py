"""A user's project folder: where things lie in it, and what `fleetstats.toml` says."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from pydantic import Field, field_validator

from fleetstats.documents import Document, read_document
from fleetstats.errors import InputRefused, Problem

SETTINGS_FILE = "fleetstats.toml"
DEFAULT_SEED = 20260101


class Windows(Document):
    """Lengths in days, named once; see the tables' meaning for their use."""

    duplicate_days: int = Field(14, ge=0, description="two rows of one event lie within this")
    comeback_days: int = Field(30, ge=1, description="a complaint after a release within this is a come-back")
    same_fault_days: int = Field(90, ge=1, description="a repeated complaint within this is the same fault")


class Bench(Document):
    """What is known of a bench from units tested twice: four counts; all zero means nothing is known."""

    faulty_called_faulty: float = Field(0, ge=0)
    faulty_called_healthy: float = Field(0, ge=0)
    healthy_called_healthy: float = Field(0, ge=0)
    healthy_called_faulty: float = Field(0, ge=0)

    def sensitivity(self) -> tuple[float, float]:
        """Beta parameters of P(fault confirmed | needs replacing): counts + 1/2 each, or (18, 1) without counts."""
        return _beta(self.faulty_called_faulty, self.faulty_called_healthy)

    def specificity(self) -> tuple[float, float]:
        """Beta parameters of P(no fault found | healthy): counts + 1/2 each, or (18, 1) without counts."""
        return _beta(self.healthy_called_healthy, self.healthy_called_faulty)


def _beta(right: float, wrong: float) -> tuple[float, float]:
    return (right + 0.5, wrong + 0.5) if right + wrong > 0 else (18.0, 1.0)


class Settings(Document):
    """`fleetstats.toml`: everything that may change a number and is not in a data file."""

    as_of: dt.date = Field(description="facts known by this day are used, no later ones")
    fleet: str = Field("the fleet", description="name printed on the report")
    currency: str = Field("USD", pattern="^[A-Z]{3}$", description="ISO 4217 code of the report")
    price_month: str | None = Field(None, pattern=r"^\d{4}-(0[1-9]|1[0-2])$", description="constant-money month; default: the month of as_of")
    fiscal_year_starts: int = Field(1, ge=1, le=12, description="month in which the fiscal year begins")
    level: float = Field(0.90, gt=0, lt=1, description="content of two-sided intervals")
    seed: int = Field(DEFAULT_SEED, ge=0, description="seed of all draws")
    real_rate: float = Field(0.0, ge=-0.05, le=0.25, description="real discount rate per year")
    windows: Windows = Windows()
    bench: dict[str, Bench] = Field(default_factory=dict, description="per bench name: counts of double tests")

    @field_validator("as_of", mode="before")
    @classmethod
    def _a_day(cls, value: object) -> object:
        if isinstance(value, str):
            return dt.date.fromisoformat(value)
        return value

    @property
    def money_month(self) -> str:
        """The month whose money everything is stated in, YYYY-MM."""
        return self.price_month or f"{self.as_of:%Y-%m}"

    @property
    def quarter(self) -> str:
        """The calendar quarter of as_of, YYYY-Qn."""
        return f"{self.as_of.year}-Q{(self.as_of.month - 1) // 3 + 1}"


@dataclass(frozen=True)
class Project:
    """A project folder. Paths may not exist yet; nothing is read before it is asked for."""

    folder: Path

    @cached_property
    def settings(self) -> Settings:
        """The content of fleetstats.toml. Raises InputRefused where it is missing or wrong."""
        return read_document(self.folder / SETTINGS_FILE, Settings)

    @property
    def raw(self) -> Path:
        """Folder of the shops' files."""
        return self.folder / "raw"

    @property
    def profiles(self) -> Path:
        """Folder of the source profiles."""
        return self.folder / "profiles"

    @property
    def store(self) -> Path:
        """The DuckDB file."""
        return self.folder / "store.duckdb"

    @property
    def partitions(self) -> Path:
        """What was read from each raw file, kept for the next import; may be deleted at any time."""
        return self.folder / ".partitions"

    @property
    def out(self) -> Path:
        """Folder of what is written for people."""
        return self.folder / "out"

    @property
    def words(self) -> Path:
        """Words taught by the user: vocabulary entries of this project."""
        return self.folder / "words.toml"

    @property
    def prices(self) -> Path:
        """What an option costs today."""
        return self.folder / "prices.toml"

    @property
    def calendar(self) -> Path:
        """The rental calendar."""
        return self.folder / "calendar.toml"

    @property
    def money(self) -> Path:
        """Dated exchange rates and the price index."""
        return self.folder / "money.toml"

    @property
    def control(self) -> Path:
        """Control totals: what the user's own ledger says of a file."""
        return self.folder / "control.toml"

    @property
    def key(self) -> Path:
        """Key of the pseudonyms; readable by its owner only."""
        return self.folder / ".pseudonyms.key"


def open_project(folder: str | Path = ".") -> Project:
    """The project of `folder`: that folder, or the nearest one upwards that holds fleetstats.toml.

    Raises InputRefused when there is none.
    """
    start = Path(folder).resolve()
    for candidate in (start, *start.parents):
        if (candidate / SETTINGS_FILE).is_file():
            return Project(candidate)
    remedy = f"Write {SETTINGS_FILE} there with one line, as_of = 2026-01-31, or name the folder with --project."
    raise InputRefused(Problem(what=f"no {SETTINGS_FILE} in this folder or above it", found=start.name, remedy=remedy))
