"""A small fleet whose truth is known, for the tests of diagnosis and life. Shares no code with the estimators; every value is invented."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import pandas as pd

from fleetstats import tables
from fleetstats.histories import Histories
from fleetstats.settings import Settings

WINDOW = 7.9
AS_OF = dt.date(2025, 11, 25)
SEASON = (0.2, 0.9)
SETTINGS = Settings(as_of=AS_OF)


@dataclass(frozen=True)
class Truth:
    """What generated the fleet; hot and small cars only shift log life."""

    shape_new: float = 1.9
    shape_reconditioned: float = 1.6
    scale: float = 13.0
    reconditioned: float = -0.30
    large: float = -0.15
    hot: float = -0.25
    early: float = 0.06
    needless: float = 0.018
    tested: tuple[float, float] = (0.15, 0.80)
    sensitivity: float = 0.97
    specificity: float = 0.98
    untested_shops: int = 0


@dataclass(frozen=True)
class Simulated:
    """Histories, the true cause of every condemned tenure by id, and true log B10/B50 by origin over the units in service."""

    histories: Histories
    needless: dict[str, bool]
    quantiles: dict[tuple[str, float], float]


def simulate(vehicles: int, seed: int, truth: Truth | None = None, shops: int = 8) -> Simulated:
    """A fleet of `vehicles`, about 1.6 tenures each."""
    truth, rng = truth or Truth(), np.random.default_rng(seed)
    fleet = _Fleet(rng, truth, shops)
    rows = [row for v in range(vehicles) for row in fleet.vehicle(v)]
    frame = pd.DataFrame(rows)
    frame = frame[frame["ended_years"] > frame["entered_years"]].reset_index(drop=True)
    condemned = frame["ending"] == "condemned"
    needless = dict(zip(frame.loc[condemned, "tenure_id"], frame.loc[condemned, "_needless"].astype(bool), strict=True))
    histories = histories_of(frame.drop(columns=["_needless"]))
    return Simulated(histories=histories, needless=needless, quantiles=_quantiles(histories.tenures, truth))


def histories_of(frame: pd.DataFrame, **more: pd.DataFrame) -> Histories:
    """Histories from rows of tenures (missing columns empty), component_events, exposure."""
    return Histories(
        tenures=tables.TENURES.check(frame), component_events=more.get("component_events", tables.COMPONENT_EVENTS.empty()),
        exposure=more.get("exposure", tables.EXPOSURE.empty()), n_unjoined_bench_tests=0, summary={},
    )


class _Fleet:
    def __init__(self, rng: np.random.Generator, truth: Truth, shops: int) -> None:
        self.rng, self.truth = rng, truth
        self.level = np.exp(0.5 * rng.standard_normal(shops) - 0.125)
        self.tested = rng.uniform(*truth.tested, shops)
        self.tested[: truth.untested_shops] = 0.0
        self.weight = np.arange(2, shops + 2) / np.arange(2, shops + 2).sum()
        self.starts = rng.integers(0, 4, shops) + SEASON[0]

    def vehicle(self, number: int) -> list[dict[str, object]]:
        """All tenures of one vehicle."""
        rng = self.rng
        shop = int(rng.choice(len(self.weight), p=self.weight))
        begin = rng.uniform(-7, WINDOW)
        end = min(begin + rng.uniform(4, 13), WINDOW)
        large, hot = rng.random() < 0.4, rng.random() < 0.3
        rows, at, origin = [], begin, "new"
        while at < end - 0.01:
            row, at = self._tenure(number, len(rows), shop, at, end, origin, large, hot)
            entered = max(0.0, self.starts[shop] - row["_installed"])
            rows.append({**{k: v for k, v in row.items() if k != "_installed"}, "entered_years": entered})
            origin = "reconditioned" if rng.random() < 0.45 else "new"
        return rows

    def _life(self, origin: str, large: bool, hot: bool) -> float:
        t, rec = self.truth, origin == "reconditioned"
        log_scale = np.log(t.scale) + rec * t.reconditioned + large * t.large + hot * t.hot
        life = np.exp(log_scale) * self.rng.weibull(t.shape_reconditioned if rec else t.shape_new)
        return float(min(life, self.rng.exponential(0.2)) if rec and self.rng.random() < t.early else life)

    def _needless_at(self, at: float, end: float, rate: float) -> tuple[float, bool]:
        """Calendar time of a needless removal in season or at a spring inspection (True), or `end`."""
        left, now = self.rng.exponential(), at
        while now < end:
            year, part = np.floor(now), now - np.floor(now)
            if part < SEASON[0]:
                now = year + SEASON[0]
                left -= self._band(now - at) * rate * 0.3
                if left <= 0:
                    return now, True
                part = SEASON[0]
            if part < SEASON[1]:
                step = min(0.1, SEASON[1] - part + 1e-9)
                left -= self._band(now - at) * rate * step
                now += step
                if left <= 0:
                    return now, False
            else:
                now = year + 1.0
        return end, False

    @staticmethod
    def _band(age: float) -> float:
        return 1.0 if age < 3 else 1.3 if age < 7 else 1.8

    def _tenure(self, number: int, k: int, shop: int, at: float, end: float, origin: str, large: bool, hot: bool) -> tuple[dict[str, object], float]:
        failed_at = at + self._life(origin, large, hot)
        part, good = failed_at % 1.0, failed_at
        inspection = not SEASON[0] <= part <= SEASON[1]
        if inspection:
            good = np.floor(failed_at) + SEASON[1] - (part < SEASON[0])
            failed_at = np.floor(failed_at) + SEASON[0] + (part > SEASON[1])
            good = min(max(good, at), failed_at)
        needless_at, at_inspection = self._needless_at(at, end, self.truth.needless * self.level[shop] * (1.5 if hot else 1.0))
        stop = min(failed_at, needless_at, end)
        row: dict[str, object] = {
            "tenure_id": f"v{number:05d}:{k}", "vehicle_id": f"v{number:05d}", "origin": origin, "installed": _day(at), "ended": _day(stop), "_installed": at,
            "unit_age_at_installed_years": 0.0, "ended_years": stop - at, "last_good_years": stop - at, "shop": f"shop {shop}", "depot": f"depot {shop}",
            "size_l": 190.0 if large else 110.0, "hot": hot, "ending": "in service" if stop >= WINDOW else "left fleet", "_needless": False,
        }
        if stop >= end:
            if inspection and failed_at >= end:
                row["ended_years"] = row["last_good_years"] = min(stop, good if good > at else stop) - at
            return row, end
        failed = failed_at <= needless_at
        row |= {"ending": "condemned", "_needless": not failed, **self._evidence(shop, failed, origin)}
        row["detection"] = "inspection" if (inspection if failed else at_inspection) else "in use"
        if failed:
            row["last_good_years"] = good - at
        elif at_inspection:
            row["last_good_years"] = max(0.0, np.floor(stop) - 1 + SEASON[1] - at)
        return row, stop

    def _evidence(self, shop: int, failed: bool, origin: str) -> dict[str, object]:
        rng, t = self.rng, self.truth
        symptom = str(rng.choice(["leak", "no cooling", "weak", "other"], p=[0.22, 0.45, 0.25, 0.08] if failed else [0.01, 0.35, 0.44, 0.20]))
        back = "not observable" if rng.random() < 0.15 else "yes" if rng.random() < (0.04 if failed else 0.33) else "no"
        out: dict[str, object] = {"symptom_group": symptom, "come_back": back}
        p = self.tested[shop]
        if p > 0:
            odds = p / (1 - p) * np.exp(-0.8 * (symptom == "leak") + 0.5 * (symptom == "weak") + 0.5 * (origin == "reconditioned"))
            if rng.random() < odds / (1 + odds):
                right = rng.random() < (t.sensitivity if failed else t.specificity)
                verdict = "fault confirmed" if failed == right else "no fault found"
                out |= {"bench": "the bench", "bench_outcome": "inconclusive" if rng.random() < 0.05 else verdict}
        return out


def _day(years: float) -> pd.Timestamp:
    return pd.Timestamp("2018-01-01") + pd.Timedelta(days=round(years * 365.25))


def _quantiles(tenures: pd.DataFrame, truth: Truth) -> dict[tuple[str, float], float]:
    """True ages at which 10 % and 50 % fail, averaged over the units in service, by bisection."""
    serving = tenures[tenures["ending"] == "in service"]
    shift = np.where(serving["size_l"] > 150, truth.large, 0.0) + np.where(serving["hot"].to_numpy(bool), truth.hot, 0.0)
    out = {}
    for origin in ("new", "reconditioned"):
        rec = origin == "reconditioned"
        shape, scale = (truth.shape_reconditioned if rec else truth.shape_new), truth.scale * np.exp(shift + rec * truth.reconditioned)
        for share in (0.1, 0.5):
            low, high = 1e-3, 100.0
            for _ in range(60):
                age = (low + high) / 2
                early = truth.early * (1 - np.exp(-age / 0.2)) if rec else 0.0
                failed = 1 - (np.exp(-((age / scale) ** shape))).mean() * (1 - early)
                low, high = (age, high) if failed < share else (low, age)
            out[origin, share] = (low + high) / 2
    return out
