"""The gate before any arithmetic: closed by a finding, clear when someone has looked, else not checked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

import pandas as pd

from fleetstats.documents import Document, read_document

LOOK_AND_SMELL = "C01"
GAS_SIDE = ("gas", "co")
"""Stops of the fuel gas and its flame: a licensed person makes that side safe, whatever the cooling unit is worth."""


class _Stop(Document):
    kind: Literal["symptom", "check", "finding", "observation", "recall"]
    code: str
    words: str
    about: Literal["leak", "heat", "gas", "co"]
    definition: str = ""
    source: str = "common practice, no source"


class _Stops(Document):
    stop: list[_Stop]


@cache
def _stops() -> tuple[_Stop, ...]:
    return tuple(read_document(Path(__file__).with_name("stops.toml"), _Stops).stop)


OBSERVATIONS = tuple(stop.code for stop in _stops() if stop.kind == "observation")
"""Words a case may record that close the gate."""


@dataclass(frozen=True, kw_only=True)
class Gate:
    """State of the gate.

    state: "closed", "clear" or "not checked". finding: what closed it, or what a recorded exclusion says it was.
    about: matters whose cautions belong beside it ("leak", "heat", "gas" for escaping fuel gas, "co" for carbon monoxide).
    """

    state: Literal["closed", "clear", "not checked"]
    finding: str = ""
    about: tuple[str, ...] = ()

    @property
    def gas_side(self) -> bool:
        """Closed by fuel gas or carbon monoxide, among other things or alone."""
        return self.state == "closed" and not set(self.about).isdisjoint(GAS_SIDE)

    @property
    def gas_side_only(self) -> bool:
        """Closed by fuel gas or carbon monoxide alone: nothing is said against the cooling unit."""
        return self.gas_side and set(self.about) <= set(GAS_SIDE)


def gate(
    *, symptom: str | None = None, checks: Mapping[str, str] | None = None, finding: str | None = None, observations: Iterable[str] = (),
    recall_open: bool = False, exclusion: str | None = None,
) -> Gate:
    """The gate of one unit.

    symptom: complaint code. checks: check code -> "pass", "fail" or "done". finding: code of what the shop named.
    observations: words of OBSERVATIONS. exclusion: what the finding was instead, as recorded by a person ("cleaning fluid spilt"), or, for
    fuel gas, soot and carbon monoxide, how the gas side was made safe. It alone lifts a stop, but never an open recall, and never signs of
    two matters together (a leak, overheating, the gas side): one explanation does not hold for both. What is not a sign of a leak, once
    lifted, leaves the look and smell (C01) to be done.
    """
    done = dict(checks or {})
    met = [stop for stop in _stops() if _is_met(stop, symptom, done, finding, set(observations), recall_open)]
    about = tuple(dict.fromkeys(stop.about for stop in met))
    sides = {"gas side" if matter in GAS_SIDE else matter for matter in about}
    looked = done.get(LOOK_AND_SMELL) == "pass"
    if exclusion and len(sides) == 1 and all(stop.kind != "recall" for stop in met):
        how = "made safe" if sides == {"gas side"} else "excluded"
        return Gate(state="clear" if looked or about == ("leak",) else "not checked", finding=f"{_words(met)}; {how}: {exclusion}")
    if met:
        return Gate(state="closed", finding=_words(met), about=about)
    return Gate(state="clear", finding="looked and smelt (C01), nothing found") if looked else Gate(state="not checked")


def _words(met: list[_Stop]) -> str:
    return "; ".join(stop.words for stop in met)


def _is_met(
    stop: _Stop, symptom: str | None, checks: dict[str, str], finding: str | None, observations: set[str | None], recall_open: bool,
) -> bool:
    if stop.kind == "check":
        return checks.get(stop.code) == "fail"
    if stop.kind == "recall":
        return recall_open
    met = {"symptom": {symptom}, "finding": {finding}, "observation": observations}[stop.kind]
    return stop.code in met


def gates(visits: pd.DataFrame, checks: pd.DataFrame, vehicles: pd.DataFrame) -> pd.DataFrame:
    """The gate of each visit: columns visit_id, vehicle_id, gate_state, gate_finding; rows and index as in `visits`.

    visits, checks, vehicles: canonical tables (symptom, called_mode and certainty; outcome of C01; recall_open are used).
    A mode the text rules out ('no leak') closes nothing.
    """
    stated = visits["certainty"].fillna("stated").ne("ruled out")
    looked = checks[checks["check"] == LOOK_AND_SMELL].drop_duplicates("visit_id").set_index("visit_id")["outcome"]
    recalled = vehicles.set_index("vehicle_id")["recall_open"].fillna(False).astype(bool)
    recalled = recalled[~recalled.index.duplicated()]
    facts = pd.DataFrame({
        "symptom": visits["symptom"].astype("string").fillna(""),
        "finding": visits["called_mode"].astype("string").where(stated).fillna(""),
        "looked": visits["visit_id"].map(looked).astype("string").fillna(""),
        "recall": visits["vehicle_id"].map(recalled).astype("boolean").fillna(False).astype(bool),
    }, index=visits.index)
    kinds = facts.drop_duplicates().copy()
    found = [_of_facts(str(k.symptom), str(k.finding), str(k.looked), bool(k.recall)) for k in kinds.itertuples()]
    kinds["gate_state"], kinds["gate_finding"] = [g.state for g in found], [g.finding for g in found]
    joined = facts.merge(kinds, how="left", on=list(facts.columns))
    return pd.DataFrame({
        "visit_id": visits["visit_id"], "vehicle_id": visits["vehicle_id"],
        "gate_state": joined["gate_state"].to_numpy(), "gate_finding": joined["gate_finding"].to_numpy(),
    }, index=visits.index).astype("string")


def _of_facts(symptom: str, finding: str, looked: str, recall: bool) -> Gate:
    return gate(symptom=symptom, checks={LOOK_AND_SMELL: looked} if looked else {}, finding=finding, recall_open=recall)
