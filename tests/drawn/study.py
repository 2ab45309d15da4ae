"""Drawn fleets one after the other through import and measurement, and the figures of all of them together."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

import pandas as pd
from joblib import Parallel, delayed

from fleetstats.records import import_files, load_fleet
from fleetstats.settings import open_project
from tests.drawn.fleet import KINDS, draw_fleet
from tests.drawn.measure import Measured, measure
from tests.drawn.wording import BOOK

TARGETS = {
    "account: files": 1.0, "account: rows": 1.0, "events: recall": 0.97, "events: precision": 0.97, "chains": 0.98,
    "duplicates: recall": 0.98, "duplicates: precision": 0.99, "come-backs kept": 1.0, "readings: recall": 0.99, "readings: precision": 0.99,
}
"""The least share of each figure, over all fleets of a study."""


def measured(seed: int, *, vehicles: int, kinds: Mapping[str, float] = KINDS, book: str = BOOK) -> Measured:
    """Draw, import and measure the fleet of a seed."""
    with tempfile.TemporaryDirectory() as folder:
        truth = draw_fleet(Path(folder), seed, vehicles=vehicles, kinds=kinds, book=book)
        project = open_project(folder)
        import_files(project)
        return measure(truth, load_fleet(project))


def study(seeds: Iterable[int], *, vehicles: int, book: str = BOOK, jobs: int = 2) -> pd.DataFrame:
    """One row per seed and figure: seed, figure, right, of. The number of jobs changes no digit."""
    wanted = list(seeds)
    results = Parallel(n_jobs=jobs)(delayed(measured)(seed, vehicles=vehicles, book=book) for seed in wanted)
    return pd.DataFrame([
        {"seed": seed, "figure": name, "right": right, "of": of}
        for seed, result in zip(wanted, results, strict=True) for name, (right, of) in result.counts.items()
    ])


def summary(rows: pd.DataFrame) -> pd.DataFrame:
    """Per figure: right and of over all fleets, the share, and the lowest share of a fleet."""
    each = rows.assign(share=rows["right"] / rows["of"].where(rows["of"] > 0))
    table = each.groupby("figure", sort=False).agg(right=("right", "sum"), of=("of", "sum"), lowest=("share", "min"))
    table.insert(2, "share", (table["right"] / table["of"].where(table["of"] > 0)).fillna(1.0))
    return table.reset_index()
