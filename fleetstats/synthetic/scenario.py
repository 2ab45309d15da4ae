"""The parameters of the invented fleet: `scenario.toml`, whose comments say why each value was chosen."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Literal

from pydantic import Field

from fleetstats.documents import Document, read_document

Group = Literal["leak", "no cooling", "weak", "other"]
Share = float


class Window(Document):
    """First and last day of the records."""

    from_: dt.date = Field(alias="from")
    to: dt.date


class FleetPlan(Document):
    """How many vehicles, when they come and how long they stay."""

    vehicles: int = Field(ge=1)
    first_acquired: dt.date
    last_acquired: dt.date
    used_share: Share
    used_age_years: tuple[float, float]
    stay_years: tuple[float, float]
    build_lag_days: tuple[int, int]
    sold_weak_share: Share
    sold_weak_after_years: float


class Size(Document):
    """One refrigerator size and the life law of its units; scale_years is the median of a lognormal law."""

    letter: str
    litres: float
    share: Share
    law: Literal["weibull", "lognormal"]
    scale_years: float
    shape: float
    log_ratio: float
    price_factor: float


class Life(Document):
    """What changes the life of a unit beside its size."""

    hot_log_ratio: float
    reconditioned_log_ratio: float
    reconditioned_shape: float
    early_share: Share
    early_mean_years: float
    symptoms: dict[Group, Share]


class Outside(Document):
    """Faults outside the unit, and how they are mistaken for a fault of the unit."""

    rate: float
    age_slope: float
    inspection_mass: float
    symptoms: dict[Group, Share]
    age_bands_years: tuple[float, float]
    age_factors: tuple[float, float, float]
    hot_factor: float
    stall_share: Share
    persists: Share
    other_rate: float
    periodic_share: Share


class VisitPlan(Document):
    """What happens at and after a visit."""

    missed: Share
    missed_gap_days: tuple[int, int]
    repeat: Share
    fit_trouble: Share
    day_three: Share
    comeback_mean_days: float
    stay_component_days: tuple[int, int]
    stay_swap_days: tuple[int, int]
    backorder: Share
    backorder_mean_days: float
    open_at_end: int
    suspect: Share
    deny: Share
    reading: Share
    glued: Share
    warranty: Share
    renter: Share


class BenchPlan(Document):
    """What a bench sees, and which cores it is given."""

    sensitivity: Share
    specificity: Share
    inconclusive: Share
    restarted: Share
    leak_logit: float
    weak_logit: float
    reconditioned_logit: float
    lag_days: tuple[int, int]
    names_vehicle: Share
    outside_faulty: Share
    outside_senders: float


class Fitting(Document):
    """What is fitted for a condemned unit and what becomes of the core."""

    shelf: Share
    whole_refrigerator: Share
    put_back: Share
    own_reconditioned: Share
    recondition_core: Share
    rebuild_passes: Share
    unknown_origin: Share


class Planned(Document):
    """Exchanges that are no verdict on the unit."""

    age_policy_years: float
    age_policy_share: Share
    recall_made: tuple[int, int]
    recall_season: int
    recall_share: Share
    upgrade_rate: float
    request_rate: float
    body_rate: float


class Depot(Document):
    """A depot: its season as two month-day texts, and the day from which records about it exist."""

    name: str
    country: str
    climate: str
    season: tuple[str, str]
    records_from: dt.date
    share: Share

    @property
    def hot(self) -> bool:
        """Whether the climate shortens lives."""
        return self.climate == "hot"


class Improvement(Document):
    """From `year` on the shop's misjudgements are multiplied by `factor`."""

    year: int
    factor: float


class Shop(Document):
    """A workshop: whom it serves, how it judges, what it benches and fits.

    lists_open_after_days: its lists hold the day a line was sent, and open orders this many days after the vehicle came in.
    """

    name: str
    own: bool
    country: str
    currency: str
    tax: Literal["net", "gross"]
    tax_rate: float = 0.0
    serves: tuple[str, ...]
    opens: dt.date | None = None
    covers_to: dt.date | None = None
    weight: float
    misjudge: Share
    improves: Improvement | None = None
    bench: Literal["most", "some", "doubtful", "none"]
    bench_name: str | None = None
    better: bool
    sends_on: Share
    reconditions: bool
    origins: dict[Literal["new", "reconditioned"], Share]
    rate_per_hour: float
    reporting_days: int
    lists_open_after_days: int | None = None


class BenchShares(Document):
    """Shares of cores tested, by the habit of the shop; `rest` is what a doubtful-only shop tests of the others."""

    most: Share
    some: Share
    doubtful: Share
    rest: Share
    none: Share


class Diseases(Document):
    """How often each disease of records is planted; see the comments of scenario.toml for the base of each share."""

    duplicate_within: Share
    overlap_days: int
    resubmitted: Share
    split: Share
    sublet: Share
    swapped_serials: Share
    missing_removed: Share
    missing_fitted: Share
    letter_for_digit: Share
    closed_before_opened: Share
    default_date: Share
    warranty_word: Share
    hours_written: Share
    personal: Share
    corrected: Share
    bench_without_serial: Share
    tyre_rows: float


class Scenario(Document):
    """The whole of scenario.toml."""

    window: Window
    fleet: FleetPlan
    sizes: tuple[Size, ...]
    life: Life
    outside: Outside
    visits: VisitPlan
    bench: BenchPlan
    fitting: Fitting
    planned: Planned
    depots: tuple[Depot, ...]
    shops: tuple[Shop, ...]
    bench_shares: BenchShares
    diseases: Diseases

    def covers_from(self, shop: Shop) -> dt.date:
        """First day of the shop's records: the latest of the window, its opening and the depots it serves."""
        days = [depot.records_from for depot in self.depots if depot.name in shop.serves]
        return max([self.window.from_, *days, *([shop.opens] if shop.opens else [])])

    def covers_to(self, shop: Shop) -> dt.date:
        """Last day of the shop's records."""
        return min(self.window.to, shop.covers_to or self.window.to)


def read_scenario(path: Path) -> Scenario:
    """The scenario of a TOML file. Raises InputRefused with place and remedy where it does not add up."""
    return read_document(path, Scenario)
