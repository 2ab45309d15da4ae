"""truth.json: what an honest reader of raw/ should find. Only tests read it."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import numpy as np

from fleetstats.results import plain
from fleetstats.synthetic.details import TECHNICIANS
from fleetstats.synthetic.diseases import plain_serial
from fleetstats.synthetic.laws import survival
from fleetstats.synthetic.rows import Row, event_name
from fleetstats.synthetic.seasons import date
from fleetstats.synthetic.things import Visit
from fleetstats.synthetic.world import World


def truth_of(world: World, seed: int, visits: list[Visit], lines: list[Row]) -> dict[str, Any]:
    """The truth: shares, lives, condemned units, planted diseases, the fate of every line, personal strings.

    visits: those recorded by the end. lines: every line written, with its address.
    """
    condemned = [visit for visit in visits if visit.condemned and visit.date_out <= world.end]
    end = world.scenario.window.to
    return {
        "seed": seed, "last_quarter": f"{end.year}-Q{(end.month - 1) // 3 + 1}",
        "needless_share": {"benching_shops": _share(_benching(world, condemned)), "all_shops": _share(condemned)},
        "lives": {origin: life_quantiles(world, reconditioned=origin == "reconditioned") for origin in ("new", "reconditioned")},
        "counts": {"visits": len(visits), "condemned": len(condemned), "needless": sum(visit.needless for visit in condemned)},
        "units": [_unit(visit) for visit in condemned],
        "planted": _planted(lines), "rows": _fates(lines), "personal": _personal(lines),
    }


def _benching(world: World, condemned: list[Visit]) -> list[Visit]:
    """Condemned units of shops with at least one verdict on a core of theirs."""
    numbers = {visit.number for visit in condemned}
    verdicts = [test for test in world.bench_tests if test.reported <= world.end and test.outcome != "inconclusive"]
    shops = {test.sender for test in verdicts if test.visit and test.visit.number in numbers}
    return [visit for visit in condemned if visit.shop.name in shops]


def _share(condemned: list[Visit]) -> float | None:
    return sum(visit.needless for visit in condemned) / len(condemned) if condemned else None


def life_quantiles(world: World, *, reconditioned: bool) -> dict[str, float]:
    """Ages by which 10 % and 50 % would have failed under the true laws, survival averaged over all vehicles in service at the end."""
    years = np.linspace(0.0, 80.0, 16001)
    here = [vehicle for vehicle in world.vehicles if vehicle.survey is not None and (vehicle.left is None or vehicle.left > world.end)]
    kinds: dict[tuple[str, bool], int] = defaultdict(int)
    for vehicle in here:
        kinds[vehicle.size.letter, vehicle.depot.hot] += 1
    sizes = {size.letter: size for size in world.scenario.sizes}
    curve = sum(count * survival(years, sizes[letter], world.scenario.life, hot=hot, reconditioned=reconditioned) for (letter, hot), count in kinds.items())
    failed = 1.0 - np.asarray(curve) / max(1, len(here))
    return {name: round(float(np.interp(share, failed, years)), 4) for name, share in (("b10_years", 0.1), ("b50_years", 0.5))}


def _unit(visit: Visit) -> dict[str, Any]:
    assert visit.removed is not None
    assert visit.fitted is not None
    return {
        "event": event_name(visit), "vehicle": visit.vehicle.vehicle_id, "date": date(visit.date_in).isoformat(), "released": date(visit.date_out).isoformat(),
        "shop": visit.shop.name, "needless": visit.needless, "stalled": visit.cause == "stall", "origin": visit.removed.origin,
        "age_years": round(visit.unit_age_years, 3), "removed": plain_serial(visit.removed.serial), "fitted": plain_serial(visit.fitted.serial),
    }


def _planted(lines: list[Row]) -> dict[str, Any]:
    found: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for line in lines:
        for disease, expected in line.diseases:
            found[disease].append({"file": line.file, "sheet": line.sheet, "row": line.number, **{key: plain(value) for key, value in expected.items()}})
    return {disease: {"count": len(rows), "rows": rows} for disease, rows in sorted(found.items())}


def _fates(lines: list[Row]) -> dict[str, list[list[Any]]]:
    files: dict[str, list[list[Any]]] = defaultdict(list)
    for line in sorted(lines, key=lambda line: (line.file, line.sheet or "", line.number)):
        files[line.file].append([line.number, line.sheet, line.event, line.fate])
    return dict(files)


def _personal(lines: list[Row]) -> list[str]:
    contacts = {text for line in lines for disease, expected in line.diseases if disease == "personal" for text in expected["strings"]}
    return sorted(contacts | {name for names in TECHNICIANS.values() for name in names})
