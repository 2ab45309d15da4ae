"""Paired timing: the thing measured and its peer take turns in one run, and only their ratio is judged."""

import json
import statistics
import time
from collections.abc import Callable


def paired_ratio(ours: Callable[[], object], peer: Callable[[], object], rounds: int = 7) -> float:
    """Median over rounds of time(ours) / time(peer), the two run in turn after one unmeasured call each."""
    ours(), peer()
    return statistics.median(_seconds(ours) / _seconds(peer) for _ in range(rounds))


def _seconds(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def report(name: str, ratio: float, target: float, **more: object) -> None:
    """The closing line of every benchmark: one JSON object; met means ratio <= target."""
    print(json.dumps({"name": name, "ratio": round(ratio, 3), "target": target, "met": ratio <= target, **more}))
