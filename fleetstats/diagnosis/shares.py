"""Results of the audit: what share of the condemned units was healthy, overall, by shop, by sender."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from fleetstats.results import Estimate, Result


@dataclass(frozen=True, kw_only=True)
class CauseDraws(Result):
    """Draws of the cause of every condemned tenure, anchored at the bench.

    tenure_ids: (n,) ids of the condemned tenures, in the order of the columns below.
    shops: (n,) shop that condemned each. tested: (n,) has a definite verdict. no_fault: (n,) that verdict was 'healthy'.
    needless: (n_draws, n) True where the unit is drawn healthy; (0, n) when not anchored.
    probability_needless: (n,) mean of the chances behind the draws; NaN when not anchored.
    anchored: at least 10 definite verdicts. odds_tested: odds of a true fault among tested over untested units (1: testing tells nothing).
    method: how the draws were made, in words. seed: of the draws.
    """

    tenure_ids: np.ndarray = field(repr=False, compare=False)
    shops: np.ndarray = field(repr=False, compare=False)
    tested: np.ndarray = field(repr=False, compare=False)
    no_fault: np.ndarray = field(repr=False, compare=False)
    needless: np.ndarray = field(repr=False, compare=False)
    probability_needless: np.ndarray = field(repr=False, compare=False)
    anchored: bool
    odds_tested: float
    method: str
    seed: int

    @property
    def n_draws(self) -> int:
        """Number of draws; 0 when not anchored."""
        return int(self.needless.shape[0])

    @property
    def benching(self) -> np.ndarray:
        """(n,) True where the condemning shop has at least one definite verdict."""
        return np.isin(self.shops, np.unique(self.shops[self.tested]))

    def table(self) -> pd.DataFrame:
        """One row per condemned tenure: tenure_id, shop, tested, no_fault, probability_needless."""
        return pd.DataFrame({
            "tenure_id": self.tenure_ids, "shop": self.shops, "tested": self.tested, "no_fault": self.no_fault,
            "probability_needless": self.probability_needless,
        })

    def to_dict(self) -> dict[str, Any]:
        """Everything but the single draws."""
        return {"method": self.method, "anchored": self.anchored, "n_draws": self.n_draws, "seed": self.seed, "odds_tested": self.odds_tested,
                "units": self.table().to_dict("records"), "cautions": list(self.cautions)}


@dataclass(frozen=True, kw_only=True)
class Bounds:
    """Lowest and highest share the verdicts allow, whatever the untested units are; no sampling error in it."""

    lower: float
    upper: float


@dataclass(frozen=True, kw_only=True)
class ShareIf:
    """The share under one named assumption, e.g. 'the bench is right in 90 of 100 cases'."""

    assumption: str
    value: float
    share: Estimate


@dataclass(frozen=True, kw_only=True)
class NeedlessShare:
    """Share of condemned units that were healthy.

    tested_only: no-fault verdicts over verdicts, nothing corrected. corrected: shops that bench (the headline);
    corrected_all_shops: all; both None without an anchor. bounds: see Bounds, all shops. method: of the corrected ones.
    """

    tested_only: Estimate | None
    corrected: Estimate | None
    corrected_all_shops: Estimate | None
    method: str
    bounds: Bounds


@dataclass(frozen=True, kw_only=True)
class ShopShare:
    """One shop: counts, corrected share, and what its own bench counts alone allow.

    by_bench: from its verdicts alone with the bench at 0.90 and at 0.99, the wider ends of both; None without verdicts or an anchor.
    note: 'no tests at this shop; borrowed', or empty.
    """

    shop: str
    condemned: int
    tested: int
    no_fault: int
    corrected: Estimate | None
    by_bench: Estimate | None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class FunnelPoint:
    """One shop in the funnel: share of no-fault among its verdicts and exact binomial limits around the pooled share.

    place: 'within', 'above' or 'below' the limits.
    """

    shop: str
    tested: int
    no_fault: int
    share: float
    limit_lower: float
    limit_upper: float
    place: str


@dataclass(frozen=True, kw_only=True)
class Funnel:
    """All shops with verdicts, the pooled share they are held against, and the content of the limits."""

    pooled: float
    level: float
    points: tuple[FunnelPoint, ...]


@dataclass(frozen=True, kw_only=True)
class RemovalAudit(Result):
    """How many of the condemned units were healthy.

    condemned: units removed because they were said to be at fault. tested: those with a definite verdict. no_fault: healthy by it.
    condemned_never_benched: condemned by shops without any verdict. anchored: at least 10 verdicts.
    by_bench_accuracy: headline with the bench at 0.90 and 0.99. by_odds_tested: with odds of a true fault among tested
    over untested at 1/2, 1, 2. by_prior: under the flat prior, where the grid was used. funnel: shops side by side; None without an anchor.
    scenarios: shares to reckon with when nothing is anchored (assumptions, not estimates; no interval).
    unjoined_bench_tests: bench tests, with a verdict or without, of no condemned unit we know.
    """

    condemned: int
    tested: int
    no_fault: int
    condemned_never_benched: int
    anchored: bool
    needless_share: NeedlessShare
    by_shop: tuple[ShopShare, ...]
    by_bench_accuracy: tuple[ShareIf, ...]
    by_odds_tested: tuple[ShareIf, ...]
    by_prior: tuple[ShareIf, ...]
    scenarios: tuple[ShareIf, ...]
    funnel: Funnel | None
    unjoined_bench_tests: int = 0

    def table(self) -> pd.DataFrame:
        """One row per shop: shop, condemned, tested, no_fault, estimate, lower, upper, note."""
        return pd.DataFrame([_row(row.shop, row) for row in self.by_shop], columns=["shop", *_ROW])


@dataclass(frozen=True, kw_only=True)
class SenderShare:
    """One sender to the bench: cores received, cores with a definite verdict, no fault among them, corrected share of all cores."""

    sender: str
    cores: int
    tested: int
    no_fault: int
    corrected: Estimate | None


@dataclass(frozen=True, kw_only=True)
class SenderAudit(Result):
    """From a bench log alone: of the cores sent to this bench, how many were healthy. Says nothing of units never sent.

    tested_only: share of the tested cores; corrected: of all cores, both as in NeedlessShare; by_bench_accuracy: corrected with the bench at 0.90 and 0.99.
    """

    population: str
    cores: int
    tested: int
    no_fault: int
    tested_only: Estimate | None
    corrected: Estimate | None
    bounds: Bounds
    by_sender: tuple[SenderShare, ...]
    by_bench_accuracy: tuple[ShareIf, ...]

    def table(self) -> pd.DataFrame:
        """One row per sender: sender, cores, tested, no_fault, estimate, lower, upper."""
        rows = [{"sender": row.sender, "cores": row.cores, "tested": row.tested, "no_fault": row.no_fault, **_ends(row.corrected)} for row in self.by_sender]
        return pd.DataFrame(rows, columns=["sender", "cores", "tested", "no_fault", "estimate", "lower", "upper"])


_ROW = ("condemned", "tested", "no_fault", "estimate", "lower", "upper", "note")


def _row(name: str, row: ShopShare) -> dict[str, Any]:
    return {"shop": name, "condemned": row.condemned, "tested": row.tested, "no_fault": row.no_fault, **_ends(row.corrected), "note": row.note}


def _ends(estimate: Estimate | None) -> dict[str, float | None]:
    if estimate is None:
        return {"estimate": None, "lower": None, "upper": None}
    return {"estimate": estimate.estimate, "lower": estimate.lower, "upper": estimate.upper}
