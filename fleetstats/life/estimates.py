"""Lives of new and reconditioned units, as recorded and corrected, with everything that may not be said left out and named."""

from __future__ import annotations

import numpy as np
import pandas as pd

from fleetstats.diagnosis import CauseDraws
from fleetstats.errors import CannotAnswer
from fleetstats.histories import Histories
from fleetstats.life.bands import mix_of
from fleetstats.life.corrected import FEWEST_FAILURES, expected_failures, failed_draws, fit_draws
from fleetstats.life.lives import LifeEstimates, LifePopulation
from fleetstats.life.model import FailureModel
from fleetstats.life.poisson import poisson_rate
from fleetstats.life.regression import LifeRows, life_rows
from fleetstats.life.reporting import corrected_population, recorded_populations, without_interval
from fleetstats.results import Estimate
from fleetstats.settings import Settings

SCENARIOS = (0.1, 0.3, 0.5)
FEWEST_IN_A_DRAW = 5
"""A single draw of the causes with fewer true failures than this cannot be fitted."""

N_CONDITIONAL = 5
"""Draws fitted for a conditional result, which has no interval."""


def estimate_life(histories: Histories, causes: CauseDraws, settings: Settings) -> LifeEstimates:
    """Lives by origin: as recorded (every condemned unit failed) and corrected (true failures by `causes`).

    causes: of `draw_causes` with the same histories. Assumes that removal for other reasons says nothing of the remaining life,
    given age and covariates. Corrected lives need anchored causes and 10 expected failures; without, the result names what is refused
    and gives conditional lives under stated shares, points only.
    """
    tenures = histories.tenures
    recorded, refused = recorded_populations(tenures, settings.level)
    rows = life_rows(tenures, causes)
    corrected = _Corrected(rows, causes, in_service(tenures), settings)
    more, model = corrected.populations(refused)
    return LifeEstimates(
        populations=(*more, *recorded), conditional=corrected.conditional(), failure_rate=corrected.rate() if model is None else None,
        removal_rate=None if more or recorded else corrected.removal_rate(), model=model, refused=tuple(refused),
        anchored=causes.anchored, unplaced=_unplaced(tenures), cautions=_cautions(tenures),
    )


def in_service(tenures: pd.DataFrame) -> pd.DataFrame:
    """Tenures of units in service at as_of; all tenures where there is none (their covariates are the mix that lives are averaged over)."""
    serving = tenures[tenures["ending"] == "in service"]
    return serving if len(serving) else tenures


def _unplaced(tenures: pd.DataFrame) -> int:
    """Tenures that no life can use, because their age when it matters or their origin is not known."""
    return int(((tenures["origin"] == "unknown") | (tenures["entered_years"] >= tenures["ended_years"])).sum())


def _cautions(tenures: pd.DataFrame) -> tuple[str, ...]:
    notes = []
    unknown = int((tenures["origin"] == "unknown").sum())
    if unknown:
        notes.append(f"{unknown} of {len(tenures)} tenures are of units whose origin is not known; lives by origin leave them out.")
    unseen = int((tenures["entered_years"] >= tenures["ended_years"]).sum())
    if unseen:
        notes.append(f"{unseen} tenures ended before they came under observation and are left out of the lives.")
    return tuple(notes)


class _Corrected:
    """The corrected lives of one fleet and what must be refused."""

    def __init__(self, rows: LifeRows, causes: CauseDraws, serving: pd.DataFrame, settings: Settings) -> None:
        self.rows, self.causes, self.serving, self.level = rows, causes, serving, settings.level
        self.failed = failed_draws(rows, causes)
        self.rng = np.random.default_rng(np.random.SeedSequence([causes.seed, 1]))

    def populations(self, refused: list[str]) -> tuple[list[LifePopulation], FailureModel | None]:
        """Corrected populations and the model; reasons for what is missing go to `refused`."""
        if not self.causes.anchored:
            refused.append("Corrected life: fewer than 10 bench verdicts; only the lives under assumed shares are given.")
            return [], None
        if not len(self.rows.entry):
            refused.append("Corrected life: no unit of known origin and age was under observation.")
            return [], None
        expected = sum(expected_failures(self.rows, self.failed).values())
        if expected < FEWEST_FAILURES:
            refused.append(f"Corrected life: about {expected:.0f} true failures, at least {FEWEST_FAILURES} are needed; a rate is given instead.")
            return [], None
        if self.failed.sum(axis=1).min() < FEWEST_IN_A_DRAW:
            refused.append("Corrected life: the verdicts leave open whether hardly any unit failed; a rate is given instead.")
            return [], None
        try:
            model = fit_draws(self.rows, self.failed)
        except CannotAnswer as error:
            refused.append(f"Corrected life: {error.problems[0]}")
            return [], None
        return self._of(model, self.failed), model

    def _of(self, model: FailureModel, failed: np.ndarray) -> list[LifePopulation]:
        counts = expected_failures(self.rows, failed)
        present = {"new": bool((self.rows.reconditioned == 0).any()), "reconditioned": bool((self.rows.reconditioned > 0).any())}
        return [corrected_population(model, mix_of(self.serving, o), o, counts[o], self.level) for o in ("new", "reconditioned") if present[o]]

    def conditional(self) -> tuple[LifePopulation, ...]:
        """Lives under 'if': bounds where anchored, assumed shares where not; points only."""
        made: list[LifePopulation] = []
        for assumption, failed in self._assumed().items():
            if failed.sum() < FEWEST_FAILURES * len(failed) or failed.sum(axis=1).min() < FEWEST_IN_A_DRAW:
                continue
            try:
                model = fit_draws(self.rows, failed)
            except CannotAnswer:
                continue
            made += [without_interval(p, assumption) for p in self._of(model, failed)]
        return tuple(made)

    def _assumed(self) -> dict[str, np.ndarray]:
        rows, causes = self.rows, self.causes
        if causes.anchored:
            tested = np.isin(rows.tenure_ids, causes.tenure_ids[causes.tested])
            base = self.failed[:N_CONDITIONAL]
            return {"if every condemned unit that nobody tested had failed": base | (rows.condemned & ~tested),
                    "if every condemned unit that nobody tested was healthy": base & tested}
        chance = self.rng.random((N_CONDITIONAL, len(rows.entry)))
        return {f"if {100 * share:.0f} % of the condemned units were healthy, whichever": rows.condemned & (chance >= share) for share in SCENARIOS}

    def rate(self) -> Estimate | None:
        """True failures per unit-year (Poisson, over the draws), where causes are anchored but no life is given."""
        return self._per_year(self.failed.sum(axis=1), "true failures per unit-year") if self.causes.anchored else None

    def removal_rate(self) -> Estimate | None:
        """Condemned units per unit-year (Poisson): what can be said without any life."""
        return self._per_year(np.array([int(self.rows.condemned.sum())]), "condemned units per unit-year")

    def _per_year(self, counts: np.ndarray, unit: str) -> Estimate | None:
        exposure = float((self.rows.exit - self.rows.entry).sum())
        return poisson_rate(counts, exposure, self.level, self.rng, unit) if exposure > 0 else None
