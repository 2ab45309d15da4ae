"""What is missing in the records, and what each gap costs, in words."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from fleetstats.records.completeness import as_written
from fleetstats.records.exchange import is_exchange, opened
from fleetstats.records.facts import contradicted, without_total
from fleetstats.records.fleet import Fleet
from fleetstats.records.standing import billed, closed, left_hanging, why_not_open


@dataclass(frozen=True, kw_only=True)
class Gap:
    """One kind of gap: `count` of `of` records have it. what: the sentence without its numbers. cost: what cannot be said for it. remedy: what to do."""

    name: str
    count: int
    of: int
    what: str
    cost: str
    remedy: str

    @property
    def sentence(self) -> str:
        """'62 of 211 removals have no serial: their bench results cannot be joined.'"""
        return f"{self.count:,} of {self.of:,} {self.what}: {self.cost}."


def find_gaps(fleet: Fleet) -> tuple[Gap, ...]:
    """The gaps that cost an answer, those that touch the largest share first; kinds without a record are left out."""
    found = [gap for gap in (*_of_vehicles(fleet), *_of_units(fleet), *_of_visits(fleet), *_of_tests(fleet)) if gap.count]
    return tuple(sorted(found, key=lambda gap: (-gap.count / gap.of, gap.name)))


def _of_vehicles(fleet: Fleet) -> list[Gap]:
    register = fleet.vehicles
    met = fleet.visits["vehicle_id"].dropna().drop_duplicates()
    return [
        Gap(name="vehicle without a first day", count=int(register[["built", "in_service"]].isna().all(axis=1).sum()), of=len(register),
            what="vehicles of the register have neither a day built nor a day in service", cost="their first units have no age and enter no life",
            remedy="Fill built or in_service in the vehicle register."),
        Gap(name="vehicle not in the register", count=int((~met.isin(register["vehicle_id"])).sum()), of=len(met),
            what="vehicles of the visits stand in no register", cost="the age of their units and their time in the fleet are unknown",
            remedy="Add them to the register, or mend the spelling of their numbers."),
    ]


def _of_units(fleet: Fleet) -> list[Gap]:
    exchanges = as_written(fleet.visits[is_exchange(fleet.visits)], fleet)
    lost = fleet.visits["removal_reason"].notna() & fleet.visits["removed_serial"].isna()
    out, into = exchanges[exchanges["removal_reason"].notna()], exchanges[exchanges["fitted_kind"].notna()]
    unknown = into["fitted_origin"].isna() | into["fitted_origin"].eq("unknown")
    return [
        Gap(name="removal without a serial", count=int(lost.sum()), of=len(out), what="removals have no serial", cost="their bench results cannot be joined",
            remedy="Write the serial of the cooling unit taken out on the order."),
        Gap(name="serial from the chain", count=int(out["removed_serial"].isna().sum() - lost.sum()), of=len(out),
            what="removals do not name the unit taken out; the one that sat in the vehicle was taken for it",
            cost="an exchange nobody recorded would go unseen there", remedy="Write the serial of the cooling unit taken out on the order."),
        Gap(name="fitted unit without a serial", count=int(into["fitted_serial"].isna().sum()), of=len(into), what="units fitted have no serial written",
            cost="they cannot be followed into another vehicle or to the bench", remedy="Write the serial of the cooling unit put in on the order."),
        Gap(name="origin unknown", count=int(unknown.sum()), of=len(into), what="units fitted are called neither new nor reconditioned",
            cost="they belong to no population of lives", remedy="Add a column for the origin, or teach the words the shop uses for it."),
        Gap(name="removal without a day", count=int(opened(out).isna().sum()), of=len(out), what="removals have no day", cost="they end no life",
            remedy="Fill the day the vehicle came in or was released."),
    ]


def _of_visits(fleet: Fleet) -> list[Gap]:
    visits = fleet.visits
    over = visits[closed(visits)]
    silent = visits[["symptom", "called_item", "action"]].isna().all(axis=1)
    return [
        Gap(name="visit without a vehicle", count=int(visits["vehicle_id"].isna().sum()), of=len(visits), what="visits name no vehicle",
            cost="they belong to no history", remedy="Fill the vehicle's number."),
        Gap(name="visit not understood", count=int(silent.sum()), of=len(visits), what="visits say neither complaint nor item nor action that is understood",
            cost="they count as visits and tell nothing of faults", remedy="Run `fleetstats list unknown` and teach the commonest words."),
        Gap(name="visit without a release", count=int(over["date_out"].isna().sum()), of=len(over), what="closed visits have no day of release",
            cost="days out of service and come-backs are counted from the day they began", remedy="Fill the day of release."),
        Gap(name="visit neither over nor open", count=len(left_hanging(visits, fleet.settings)), of=len(visits), what="visits are not taken as open",
            cost=why_not_open(fleet.settings), remedy="Fill the day of release, or map a column to status: open, closed."),
        Gap(name="visit without money", count=int((~billed(over)).sum()), of=len(over), what="closed visits have no amount",
            cost="the spend of their quarters is too low", remedy="Add the column of amounts, with currency and tax, to the profile."),
        Gap(name="total not stated", count=int(without_total(visits).sum()), of=int(billed(visits).sum()), what="visits with an amount state no total",
            cost="the sum of the parts stated was taken, and what no part holds is missing in the spend",
            remedy="Map the column of the total to total_cost; where the parts are all of the bill there is nothing to do."),
        Gap(name="total contradicted", count=int(contradicted(visits, fleet.lineage).sum()), of=int(visits["total_cost"].notna().sum()),
            what="totals do not fit the parts stated beside them", cost="the total was taken, and one of the two is wrong",
            remedy="`fleetstats explain VISIT` shows both; hold them against the bill and mend the file."),
        Gap(name="visit without a payer", count=int(over["payer"].isna().sum()), of=len(over), what="closed visits do not say who paid",
            cost="they count as paid by the fleet", remedy="Add the column of the payer, or set it under [constants]."),
    ]


def _of_tests(fleet: Fleet) -> list[Gap]:
    tests = fleet.bench_tests
    visits = fleet.visits
    serials = pd.concat([visits["removed_serial"], visits["fitted_serial"], fleet.vehicles["first_cooling_unit_serial"]]).dropna()
    joined = tests["serial"].isin(serials) | tests["visit_id"].isin(visits["visit_id"]) | tests["vehicle_id"].isin(visits["vehicle_id"].dropna())
    return [
        Gap(name="bench test without a unit", count=int((~joined).sum()), of=len(tests), what="bench tests name no unit, visit or vehicle of the records",
            cost="their verdicts count for their sender only", remedy="Write the serial, or the order that removed the unit, into the bench log."),
        Gap(name="bench test without a verdict", count=int(tests["outcome"].isna().sum()), of=len(tests), what="bench tests have no verdict that is understood",
            cost="they count as not tested", remedy="Run `fleetstats list unknown`, or map the words under [values.outcome]."),
        Gap(name="reason of a test unknown", count=int(tests["why_tested"].isna().sum()), of=len(tests), what="bench tests do not say why the unit was tested",
            cost="whether the tested are like the untested rests on an assumption", remedy="Add why_tested, and draw some cores at random."),
    ]
