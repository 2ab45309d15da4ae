"""One regenerated fleet through the whole way: files written, imported, followed, estimated, and held against its truth."""

import json
import tempfile
from pathlib import Path

import pandas as pd
from joblib import Parallel, delayed

from fleetstats.diagnosis import audit_removals, draw_causes
from fleetstats.histories import build_histories
from fleetstats.life import estimate_life
from fleetstats.records import import_files, load_fleet
from fleetstats.results import Estimate
from fleetstats.settings import open_project
from fleetstats.synthetic import write_demo

FEW = 20
"""A shop with at least this many verdicts must agree with its own bench."""


def study_fleet(seed: int) -> list[dict[str, object]]:
    """Rows (seed, quantity, truth, estimate, lower, upper, inside) of the fleet of this seed; inside is None where an end was withheld."""
    with tempfile.TemporaryDirectory() as folder:
        write_demo(Path(folder), seed=seed)
        project = open_project(folder)
        import_files(project)
        fleet = load_fleet(project)
        truth = json.loads((Path(folder) / "truth.json").read_text(encoding="utf-8"))
    histories = build_histories(fleet)
    causes = draw_causes(histories, fleet.settings, seed=seed)
    audit = audit_removals(histories, causes, fleet.bench_tests, fleet.settings)
    lives = estimate_life(histories, causes, fleet.settings)
    shares, life = truth["needless_share"], truth["lives"]
    rows = [
        _row(seed, "share, shops that bench", shares["benching_shops"], audit.needless_share.corrected),
        _row(seed, "share, all shops", shares["all_shops"], audit.needless_share.corrected_all_shops),
    ]
    for population in lives.populations:
        for name in ("b10_years", "b50_years"):
            rows.append(_row(seed, f"{name}, {population.origin}, {population.basis}", life[population.origin][name], getattr(population, name)))
    units = pd.DataFrame(truth["units"]).groupby("shop")["needless"].mean()
    return rows + [_anchor(seed, shop, float(units[shop.shop])) for shop in audit.by_shop if shop.tested >= FEW]


def study(seeds: range, jobs: int = 2) -> pd.DataFrame:
    """All rows of these seeds; the number of jobs changes no digit."""
    parts = Parallel(n_jobs=jobs, verbose=5)(delayed(study_fleet)(seed) for seed in seeds)
    return pd.DataFrame([row for part in parts for row in part])


def summary(rows: pd.DataFrame) -> pd.DataFrame:
    """Per quantity: fleets, those with both ends said, intervals that hold the truth, median truth and estimate, median relative error."""
    numbers = rows.astype({"estimate": float, "truth": float})
    groups = numbers.assign(error=numbers["estimate"] / numbers["truth"] - 1).groupby("quantity")
    return groups.agg(
        fleets=("inside", "size"), said=("inside", "count"), inside=("inside", "sum"),
        truth=("truth", "median"), estimate=("estimate", "median"), error=("error", "median"),
    ).round(3).reset_index()


def _row(seed: int, quantity: str, truth: float, found: Estimate | None) -> dict[str, object]:
    if found is None or found.lower is None or found.upper is None:
        return {"seed": seed, "quantity": quantity, "truth": truth, "estimate": None, "lower": None, "upper": None, "inside": None}
    inside = found.lower <= truth <= found.upper
    return {"seed": seed, "quantity": quantity, "truth": truth, "estimate": found.estimate, "lower": found.lower, "upper": found.upper, "inside": inside}


def _anchor(seed: int, shop: object, true_share: float) -> dict[str, object]:
    """The share of a well-benched shop against the interval of its own bench counts."""
    bench, share = shop.by_bench, shop.corrected.estimate
    return {"seed": seed, "quantity": "shop against its own bench", "truth": None, "estimate": share, "lower": bench.lower, "upper": bench.upper,
            "inside": bench.lower <= share <= bench.upper, "shop": shop.shop, "condemned": shop.condemned, "tested": shop.tested, "no_fault": shop.no_fault,
            "true_share": true_share}
