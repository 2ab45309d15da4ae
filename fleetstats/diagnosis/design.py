"""From condemned tenures to the columns of the logistic model: what is known of a unit besides its bench verdict."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

CENTRE_YEARS = 4.5
FEWEST_IN_A_SIZE = 10
LEVEL_SD = 2.5
"""Spread of the level's prior (logit): hardly felt, but where all verdicts are alike a free level would run away."""


@dataclass(frozen=True, kw_only=True)
class Design:
    """Columns of the logistic model and their normal priors; shops stand apart, as codes.

    matrix: (n, p). prior_mean, prior_sd: (p,). names: (p,). shop: (n,) codes in order of appearance.
    shop_names: by code.
    """

    matrix: np.ndarray
    prior_mean: np.ndarray
    prior_sd: np.ndarray
    names: tuple[str, ...]
    shop: np.ndarray
    shop_names: np.ndarray


def design(condemned: pd.DataFrame) -> Design:
    """Columns of condemned tenures (rows of tables.TENURES, in the order given).

    Symptom against 'no cooling', origin against new, log age centred at 4.5 years, their product, size against the commonest,
    heat, inspection, come-back against none. Columns that do not vary are left out; the priors are planning values of ours.
    """
    columns = [*_symptoms(condemned), *_age_and_origin(condemned), *_sizes(condemned), *_flags(condemned)]
    kept = [("level", np.ones(len(condemned)), 0.0, LEVEL_SD)] + [c for c in columns if np.ptp(c[1]) > 0]
    shop, names = pd.factorize(shop_labels(condemned))
    return Design(
        matrix=np.column_stack([c[1] for c in kept]), prior_mean=np.array([c[2] for c in kept]), prior_sd=np.array([c[3] for c in kept]),
        names=tuple(c[0] for c in kept), shop=shop, shop_names=np.asarray(names, dtype=str),
    )


def shop_labels(condemned: pd.DataFrame) -> np.ndarray:
    """(n,) names of the condemning shops; 'unknown' where missing."""
    return condemned["shop"].fillna("unknown").to_numpy(dtype=str)


_Columns = list[tuple[str, np.ndarray, float, float]]


def _symptoms(rows: pd.DataFrame) -> _Columns:
    group = rows["symptom_group"].fillna("unknown")
    means = {"leak": 3.0, "weak": 0.0, "other": 0.0, "unknown": 0.0}
    return [(f"symptom {name}", (group == name).to_numpy(float), mean, 1.5) for name, mean in means.items()]


def _age_and_origin(rows: pd.DataFrame) -> _Columns:
    age = np.log(np.maximum(rows["ended_years"].to_numpy(float), 0.02) / CENTRE_YEARS)
    reconditioned, unknown = ((rows["origin"] == name).to_numpy(float) for name in ("reconditioned", "unknown"))
    return [("reconditioned", reconditioned, 0.0, 1.5), ("origin unknown", unknown, 0.0, 1.5),
            ("log age", age, 0.0, 1.5), ("reconditioned x log age", reconditioned * age, 0.0, 1.5)]


def _sizes(rows: pd.DataFrame) -> _Columns:
    size = rows["size_l"].round().astype("string").fillna("unknown")
    counts = size.value_counts(sort=False)
    order = counts.sort_values(ascending=False, kind="stable")
    named = [name for name in order.index[1:] if order[name] >= FEWEST_IN_A_SIZE]
    rest = size.isin([name for name in order.index[1:] if order[name] < FEWEST_IN_A_SIZE]).to_numpy(float)
    return [*((f"size {name}", (size == name).to_numpy(float), 0.0, 1.5) for name in named), ("rare size", rest, 0.0, 1.5)]


def _flags(rows: pd.DataFrame) -> _Columns:
    back = rows["come_back"].fillna("not observable")
    return [
        ("hot", rows["hot"].fillna(False).to_numpy(bool).astype(float), 0.0, 1.5),
        ("inspection", (rows["detection"] == "inspection").fillna(False).to_numpy(bool).astype(float), 0.0, 1.5),
        ("came back", (back == "yes").to_numpy(bool).astype(float), -2.0, 2.5),
        ("come-back unknown", (back == "not observable").to_numpy(bool).astype(float), 0.0, 1.5),
    ]
