"""Faults of a history, by name: overlap, gap, jump, teleport."""

from __future__ import annotations

import pandas as pd


def named_faults(stays: pd.DataFrame) -> pd.Series:
    """Faults of each stay, joined by ';', missing for none. stays: in order of vehicle and installation.

    overlap: a unit was removed before it was fitted, by the days written. gap: the visit it began with took a unit out and
    names nothing that went in. jump: the serial removed is not the one fitted. teleport: its serial was in another vehicle
    at the same time.
    """
    jump = stays["fitted_serial"].notna() & stays["removed_serial"].notna() & (stays["fitted_serial"] != stays["removed_serial"])
    flags = {"overlap": stays["overlap"], "gap": stays["nothing_named"], "jump": jump.fillna(False), "teleport": _teleports(stays)}
    text = pd.Series("", index=stays.index, dtype="string")
    for name, flag in flags.items():
        text = text + pd.Series(f"{name};", index=stays.index, dtype="string").where(flag.astype(bool), "")
    return text.str.rstrip(";").replace("", pd.NA)


def _teleports(stays: pd.DataFrame) -> pd.Series:
    """True for stays of one serial in two vehicles that share days; each is held against all others of its serial."""
    known = stays[["serial", "vehicle_id", "installed", "ended"]].dropna(subset="serial")
    vehicles = known.groupby("serial")["vehicle_id"].transform("nunique")
    several = known[vehicles > 1].reset_index(names="stay")
    pairs = several.merge(several, on="serial", suffixes=("", "_other"))
    shared = (pairs["installed"] < pairs["ended_other"]) & (pairs["installed_other"] < pairs["ended"]) & (pairs["vehicle_id"] != pairs["vehicle_id_other"])
    return pd.Series(stays.index.isin(pairs.loc[shared.fillna(False).astype(bool), "stay"]), index=stays.index)
