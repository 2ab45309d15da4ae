"""`Histories`: tenures of units, faults outside them, and time under observation."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from fleetstats.results import Result


@dataclass(frozen=True, kw_only=True)
class Histories(Result):
    """What the records say happened, as far as it was known at `as_of`.

    tenures, component_events, exposure: frames declared in `fleetstats.tables`.
    n_unjoined_bench_tests: tests of units as received that name no removal the records know.
    summary: counts for 'what your data can answer': vehicles, visits, condemned (and in the year before as_of), tested, unjoined_bench_tests,
    tenures, tenures_new, tenures_reconditioned, tenures_unknown, vehicles_with_sightings, vehicle_years.
    notes: what was assumed or left out, one sentence each, with counts.
    """

    tenures: pd.DataFrame
    component_events: pd.DataFrame
    exposure: pd.DataFrame
    n_unjoined_bench_tests: int
    summary: dict[str, float]
    notes: tuple[str, ...] = ()

    def table(self) -> pd.DataFrame:
        """The counts of `summary`, columns quantity and count."""
        return pd.DataFrame({"quantity": list(self.summary), "count": list(self.summary.values())})
