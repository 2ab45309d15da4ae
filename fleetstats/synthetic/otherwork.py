"""Jobs of a vehicle workshop that have nothing to do with the refrigerator."""

from __future__ import annotations

from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.rows import Row
from fleetstats.synthetic.seasons import date, day
from fleetstats.synthetic.wording import other_work
from fleetstats.synthetic.world import World

SHOP = "Canal vehicle workshop"


def other_rows(world: World, stream: Stream, beside: int) -> list[Row]:
    """Lines about other work, `tyre_rows` for each of the `beside` refrigerator lines; a reader sets them aside."""
    shop = next(each for each in world.scenario.shops if each.name == SHOP)
    first, last = day(world.scenario.covers_from(shop)), day(world.scenario.covers_to(shop))
    vans = [vehicle for vehicle in world.vehicles if vehicle.depot.name in shop.serves and vehicle.survey is not None]
    if not vans:
        return []
    count = int(beside * world.scenario.diseases.tyre_rows)
    return [_row(world, stream, stream.pick(vans).vehicle_id, int(stream.between(first, last - shop.reporting_days)), number) for number in range(count)]


def _row(world: World, stream: Stream, vehicle: str, came: int, number: int) -> Row:
    groups = other_work()
    group = stream.pick(list(groups))
    hours, parts = round(stream.between(0.3, 4.0), 1), round(stream.between(0, 400), 2)
    labour = round(hours * 62.0 * 1.2, 2)
    return Row({
        "document": f"J{60000 + number}", "vehicle_id": vehicle, "date_in": date(came), "date_out": date(came + stream.whole(0, 2)), "item_text": group,
        "complaint_text": stream.pick(groups[group]), "labour_hours": hours, "parts_cost": parts, "labour_cost": labour, "total_cost": round(parts + labour, 2),
        "payer": "fleet",
    }, None, "set aside", float(came))
