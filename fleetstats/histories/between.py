"""What happened to a unit besides its stays: visits it stayed in for, moves, and where it is now."""

from __future__ import annotations

import pandas as pd

from fleetstats.records import Fleet

Event = tuple[pd.Timestamp, int, str]
"""Day, place among the sentences of one day, sentence."""


def said_at(visit: pd.Series | None) -> str:
    """What was said and done at a visit in the words of its texts: ": 'no cooling either mode', called 'blocked', done 'repl cu'"."""
    if visit is None:
        return ""
    sure = "" if pd.isna(visit["certainty"]) or visit["certainty"] == "stated" else f" ({visit['certainty']})"
    parts = [
        "" if pd.isna(visit["symptom_words"]) else f"'{visit['symptom_words']}'",
        "" if pd.isna(visit["called_words"]) else f"called '{visit['called_words']}'{sure}",
        "" if pd.isna(visit["action_words"]) else f"done '{visit['action_words']}'",
    ]
    said = ", ".join(part for part in parts if part)
    return f": {said}" if said else ""


def stayed_in(fleet: Fleet, stays: pd.DataFrame) -> list[Event]:
    """The visits at which the unit of a stay stayed in its vehicle."""
    exchanges = set(pd.concat([stays["installed_by"], stays["ended_by"]]).dropna())
    visits = fleet.visits[fleet.visits["vehicle_id"].isin(stays["vehicle_id"]) & ~fleet.visits["visit_id"].isin(exchanges)]
    days = visits["date_in"].fillna(visits["opened_on"]).fillna(visits["date_out"]).fillna(visits["complaint_on"])
    met: dict[str, Event] = {}
    for _, stay in stays.iterrows():
        during = (visits["vehicle_id"] == stay["vehicle_id"]).fillna(False) & (days >= stay["installed"])
        if stay["ending"] != "in service":  # what came after the end of the watch is told as well, open visits among it
            during &= days <= stay["ended"]
        for place, visit in visits[during.astype(bool)].iterrows():
            where = "" if pd.isna(visit["shop"]) else f" at {visit['shop']}"
            met[visit["visit_id"]] = (days[place], 1, f"{visit['vehicle_id']}{where}{said_at(visit)}; the unit stayed in (visit {visit['visit_id']})")
    return list(met.values())


def moves_of(fleet: Fleet, serial: str) -> list[Event]:
    """Where the unit went outside of vehicles."""
    moves = fleet.unit_moves[(fleet.unit_moves["serial"] == serial).fillna(False).astype(bool)]
    return [(row["date"], 2, f"{serial}{_from_to(row)}: {_or(row['state'], 'moved')} (unit_moves)") for _, row in moves.iterrows()]


def _from_to(row: pd.Series) -> str:
    return "".join(f" {word} {row[word]}" for word in ("from", "to") if pd.notna(row[word]))


def _or(value: object, otherwise: str) -> str:
    return otherwise if pd.isna(value) else str(value)  # type: ignore[call-overload]


def whereabouts(stays: pd.DataFrame, events: list[Event], serial: str) -> str:
    """One sentence on where the unit is: in a vehicle, or what was last heard of it."""
    own = stays[(stays["serial"] == serial).fillna(False).astype(bool)]
    if own.empty:
        return ""
    last = own.sort_values("ended").iloc[-1]
    if last["ending"] == "in service":
        return f"Now: in service in {last['vehicle_id']}."
    if last["ending"] == "left fleet":
        return f"Now: left the fleet with {last['vehicle_id']} on {last['ended']:%Y-%m-%d}."
    heard = max(day for day, _, _ in events)
    return f"Now: in no vehicle of these records; last heard of on {heard:%Y-%m-%d}."
