"""Serials as written, brought to one spelling per unit."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from fleetstats.records.spelling import folded, normal, pattern

CHAIN = "from the chain"
CONFUSION = "confusion of letters"
READ = "read"
SUPPORT = 0.1
"""A spelling whose pattern of letters and digits is below this share of the commonest one in its class is a misreading."""


@dataclass(frozen=True)
class KnownSerials:
    """The serials of a fleet. spelled: text as written -> serial; misread: texts whose letters were taken for others."""

    spelled: dict[str, str]
    misread: frozenset[str]

    def resolve(self, written: pd.Series) -> tuple[pd.Series, pd.Series]:
        """Serials in their one spelling, and where a confusion of letters was mended (boolean)."""
        return written.map(self.spelled).astype("string"), written.isin(self.misread)


def known_serials(register: pd.Series, others: pd.Series) -> KnownSerials:
    """One spelling per unit from every serial met, `register` first.

    Texts that differ only in case, spaces and dashes are one serial. Texts that differ in letters read for digits are one
    serial only where one of them alone is known: by the commonest pattern of letters and digits, or by the register.
    Where two of them are, each stays; the chain of the vehicle decides (see `chains`).
    """
    forms = _forms(register, others)
    classes = forms.groupby("fold")["form"].transform("size")
    mapping = dict(zip(forms["form"], forms["form"], strict=True))
    for _, rows in forms[classes > 1].groupby("fold"):
        known = _known(rows)
        if known is not None:
            mapping |= dict.fromkeys(rows["form"], known)
    display = dict(zip(forms["form"], forms["display"], strict=True))
    texts = sorted(set(register.dropna()) | set(others.dropna()))
    spelled = {text: display[mapping[normal(text)]] for text in texts if normal(text)}
    return KnownSerials(spelled, frozenset(text for text in spelled if mapping[normal(text)] != normal(text)))


def _forms(register: pd.Series, others: pd.Series) -> pd.DataFrame:
    """One row per normal form: form, fold, display, registered, support (how many forms share its pattern)."""
    parts = [pd.DataFrame({"text": part.dropna().astype("string"), "registered": flag}) for part, flag in ((register, True), (others, False))]
    written = pd.concat(parts, ignore_index=True).groupby(["text", "registered"], as_index=False).size()
    written["form"] = written["text"].map(normal)
    written = written[written["form"] != ""].sort_values(["registered", "size", "text"], ascending=[False, False, True])
    first = written.drop_duplicates("form")
    forms = pd.DataFrame({"form": first["form"], "display": first["text"], "registered": first["registered"]}).reset_index(drop=True)
    forms["fold"] = forms["form"].map(folded)
    shape = forms["form"].map(pattern)
    return forms.assign(support=shape.groupby(shape).transform("size") if len(forms) else 0).sort_values("form")


def _known(rows: pd.DataFrame) -> str | None:
    """The one spelling of a class that is known, or None where none or several are."""
    usual = rows[rows["support"] >= SUPPORT * rows["support"].max()]
    if len(usual) > 1:
        usual = usual[usual["registered"]]
    return str(usual["form"].iloc[0]) if len(usual) == 1 else None


def how_known(lineage: pd.DataFrame) -> pd.DataFrame:
    """How serials of visits were inferred, told by the reasons of `lineage`: index visit_id, columns removed and fitted, missing where read."""
    told = lineage[(lineage["table"] == "visits") & (lineage["fate"] == "accepted") & lineage["reason"].notna()]
    found = {role: told["reason"].str.extract(rf"{role} serial: ({CHAIN}|{CONFUSION})", expand=False) for role in ("removed", "fitted")}
    return pd.DataFrame(found).set_axis(told["record_id"])
