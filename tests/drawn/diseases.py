"""Diseases of service records, planted in rows at drawn rates. Common practice, no source."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Callable, Mapping

from tests.drawn.layout import Layout
from tests.drawn.rows import Row
from tests.drawn.wording import Writer

RATES = {
    "copy": 0.02, "estimate": 0.02, "payer split": 0.02, "resubmission": 0.015, "triple": 0.03,
    "confused serial": 0.03, "lost zeros": 0.3, "swapped serials": 0.015, "missing serial": 0.05, "refrigerator's serial": 0.02,
    "default date": 0.01, "impossible date": 0.005, "ditto": 0.02, "misread hours": 0.005,
}
"""Share of the rows concerned; each fleet draws its own between 0.4 and 1.6 of it."""

LOOK_ALIKE = {"0": "O", "1": "I", "5": "S", "8": "B", "2": "Z", "6": "G", "B": "8"}
NOTHING = ("", "", "n/a", "-", "unk", "?", "none", "not legible")
DESK = "Front desk"
EXTRA = ("copy", "estimate", "payer split", "resubmission", "report", "roadside")
"""Kinds of rows that repeat an event."""


class Plague:
    """The diseases of one fleet."""

    def __init__(self, dice: random.Random, layouts: Mapping[str, Layout], writers: Mapping[str, Writer]) -> None:
        self.dice, self.layouts, self.writers = dice, layouts, writers
        self.rates = {name: rate * dice.uniform(0.4, 1.6) for name, rate in RATES.items()}

    def strikes(self, name: str) -> bool:
        """Whether the disease befalls a row."""
        return self.dice.random() < self.rates[name]

    def repeat(self, rows: list[Row]) -> list[Row]:
        """Further rows of the events of `rows`; at most one kind for an event."""
        kinds: dict[str, Callable[[Row], list[Row]]] = {
            "copy": self._copy, "estimate": self._estimate, "payer split": self._split, "resubmission": self._resubmission, "triple": self._triple}
        more: list[Row] = []
        for row in rows:
            name = next((name for name in kinds if self.strikes(name)), None)
            if name:
                more += kinds[name](row)
        return more

    def _copy(self, row: Row) -> list[Row]:
        return [row.again("copy")]

    def _estimate(self, row: Row) -> list[Row]:
        if row.visit is None or not {"status", "parts_cost", "reported_on"} & set(self.layouts[row.shop].headings):
            return []
        factor = self.dice.choice((0.8, 0.9, 1.15))
        sums = {name: round(row.cells[name] * factor, 2) for name in ("parts_cost", "labour_cost", "other_cost")}
        return [row.again("estimate", **sums, total_cost=round(sum(sums.values()), 2), status="open", date_out=None, reported_on=row.visit.opened_on)]

    def _split(self, row: Row) -> list[Row]:
        """Parts to one payer, labour to another."""
        columns = self.layouts[row.shop].headings
        if not row.cells["parts_cost"] or "payer" not in columns:
            return []
        parts, rest = row.cells["parts_cost"], round(row.cells["total_cost"] - row.cells["parts_cost"], 2)
        row.cells |= {"labour_cost": 0.0, "other_cost": 0.0, "total_cost": parts, "payer": "warranty", "labour_hours": None}
        row.planted.append("payer split")
        assert row.visit is not None
        mine = {"parts_cost": 0.0, "labour_cost": row.visit.labour, "other_cost": row.visit.other, "total_cost": rest, "payer": "fleet"}
        return [row.again("payer split", **mine, labour_hours=row.visit.tenths)]

    def _resubmission(self, row: Row) -> list[Row]:
        return [row.again("resubmission", document=f"{row.cells['document']}{self.dice.choice(('W', 'R', '-2'))}", payer="warranty",
                          reported_on=row.cells["reported_on"] + dt.timedelta(days=self.dice.randrange(10, 60)))]

    def _triple(self, row: Row) -> list[Row]:
        """The renter's call at the desk and, where the fleet has one, the roadside van that could not help."""
        visit = row.visit
        if visit is None or visit.detection != "in use" or visit.event == "planned" or visit.come_back_of is not None or DESK not in self.layouts:
            return []
        called = visit.opened_on - dt.timedelta(days=self.dice.randrange(1, 6))
        if visit.released_before is not None and called <= visit.released_before:
            return []
        visit.complaint_on = called
        row.cells["complaint_on"] = called
        writer, desk = self.writers[DESK], self.layouts[DESK]
        text = desk.cased(writer.hurried(writer.say("symptoms", visit.symptom)))
        report = Row(DESK, called, "report", {"opened_on": called, "vehicle_id": visit.vehicle.vehicle_id, "note": text, "contact": "hirer"}, visit)
        roadside = self.layouts.get("Roadside van")
        if roadside is None or row.shop == "Roadside van" or self.dice.random() < 0.4:
            return [report]
        seen = called + dt.timedelta(days=self.dice.choice((0, 1)))
        van = self.writers["Roadside van"]
        said = roadside.cased(f"{van.say('items', 'FRIDGE')}: {van.say('symptoms', visit.symptom)}")
        cells = {"document": f"9{visit.document}", "vehicle_id": visit.vehicle.vehicle_id, "complaint_on": called, "opened_on": seen, "date_in": seen,
                 "complaint_text": said, "note": said, "item_text": "Call-out", "status": "open",
                 "technician": "tech a", "reported_on": seen + dt.timedelta(days=2)}
        return [report, Row("Roadside van", seen, "roadside", cells, visit)]

    def infect(self, row: Row) -> None:
        """Spoil cells of a row."""
        columns = self.layouts[row.shop].headings
        if row.cells.get("removed_serial") and "removed_serial" in columns and row.kind != "copy":
            self._serials(row)
        if self.strikes("default date") and "date_in" in columns and "opened_on" in columns:
            self._spoil(row, "opened_on", self.dice.choice((dt.date(1900, 1, 1), dt.date(1970, 1, 1))), "default date")
        elif self.strikes("impossible date") and "complaint_on" in columns:
            self._spoil(row, "complaint_on", "31/31/2021", "impossible date")
        elif self.strikes("misread hours") and "labour_hours" in columns:
            self._spoil(row, "labour_hours", self.dice.choice(("10-12", "see card")), "misread hours")

    def _spoil(self, row: Row, column: str, value: object, name: str) -> None:
        row.cells[column] = value
        row.planted.append(name)

    def _serials(self, row: Row) -> None:
        removed, fitted, visit = row.cells["removed_serial"], row.cells["fitted_serial"], row.visit
        assert visit is not None
        if self.strikes("swapped serials"):
            row.cells |= {"removed_serial": fitted, "fitted_serial": removed}
            row.planted.append("swapped serials")
            return
        for column in ("removed_serial", "fitted_serial"):
            text = str(row.cells[column])
            if self.strikes("missing serial"):
                self._spoil(row, column, self.dice.choice(NOTHING), f"missing {column}")
            elif self.strikes("refrigerator's serial"):
                self._spoil(row, column, visit.vehicle.refrigerator, f"refrigerator's {column}")
            elif text.startswith("0") and self.strikes("lost zeros"):
                self._spoil(row, column, text.lstrip("0"), f"lost zeros {column}")
            elif self.strikes("confused serial"):
                places = [place for place, sign in enumerate(text) if sign in LOOK_ALIKE]
                if places:
                    place = self.dice.choice(places)
                    self._spoil(row, column, f"{text[:place]}{LOOK_ALIKE[text[place]]}{text[place + 1:]}", f"confused {column}")
