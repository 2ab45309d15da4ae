"""Why rows were merged: one declared word each, counted per file."""

from collections.abc import Callable
from typing import Any

import pytest

from fleetstats.records import Fleet, merge_reasons
from fleetstats.records.build import Records
from fleetstats.records.reasons import MERGE_CODES
from fleetstats.settings import Settings
from fleetstats.sources import SourceFile

Build = Callable[..., Records]
Make = Callable[..., SourceFile]
USD = "USD 2020-05 net"
ORDER: dict[str, Any] = {
    "vehicle_id": "C-1", "shop": "North", "document": "R-7", "opened_on": "2020-05-01", "date_in": "2020-05-01", "date_out": "2020-05-05",
    "status": "closed", "payer": "fleet", "total_cost": 300.0, "price_basis": USD, "reported_on": "2020-05-06",
}
CALL = {"vehicle_id": "C-1", "shop": "Desk", "complaint_on": "2020-04-30", "symptom": "SYM_WEAK"}
SECOND: list[tuple[str, dict[str, Any], str]] = [
    ("exact copy", ORDER, "exact copy"),
    ("exact copy", ORDER | {"reported_on": "2020-06-30"}, "exact copy"),
    ("estimate and invoice", ORDER | {"total_cost": 280.0, "reported_on": "2020-05-02", "status": "open", "date_out": None},
     "estimate and invoice: vehicle, document, opening day, shop agree"),
    ("payer split", ORDER | {"total_cost": 200.0, "payer": "insurer"}, "payer split: vehicle, document, opening day, shop agree"),
    ("warranty resubmission", ORDER | {"payer": "warranty", "document": "R7-W"}, "warranty resubmission: vehicle, amount, opening day, shop agree"),
    ("renter, roadside and return", CALL, "renter, roadside and return: vehicle agrees"),
    ("transfer between branches", ORDER | {"shop": "South", "vehicle_id": None, "date_out": None, "document": "r7"},
     "transfer between branches: document, amount, opening day agree"),
    ("same document", ORDER | {"note": "seen again"}, "same document: vehicle, document, amount, opening day, shop agree"),
    ("same stay", ORDER | {"shop": "South", "document": "9", "opened_on": "2020-05-02", "date_in": "2020-05-02", "total_cost": 40.0},
     "same stay: vehicle agrees"),
]


@pytest.mark.parametrize(("code", "second", "reason"), SECOND)
def test_every_code_has_its_row_and_says_what_agreed(build: Build, file: Make, code: str, second: dict[str, Any], reason: str) -> None:
    """An order and a second row of the named kind are one visit; the merged row's reason begins with the code and names what agrees."""
    records = build(file("a.csv", [ORDER]), file("b.csv", [second]))
    lineage = records.frames["lineage"]
    assert lineage["fate"].tolist() == ["accepted", "merged"]
    assert lineage["reason"].iloc[1] == reason
    assert reason.split(":")[0] == code


def test_the_rows_of_a_copied_file_say_so(build: Build, file: Make) -> None:
    """The same bytes under two names: the rows of the second are those of a copied file, one without day and vehicle included."""
    rows = [ORDER, {"shop": "North", "note": "fridge"}]
    records = build(file("a.csv", rows, sha256="one"), file("b.csv", rows, sha256="one"))
    assert records.frames["lineage"].set_index("file").loc["b.csv", "reason"].tolist() == ["copied file"] * 2


def test_reasons_are_counted_and_add_up_to_the_account(build: Build, file: Make) -> None:
    """Two copies, a split and a repeated vehicle: counted per file and code; per file the counts sum to `merged` of the account."""
    visits = [ORDER, ORDER, ORDER, ORDER | {"total_cost": 200.0, "payer": "insurer"}]
    records = build(file("r.csv", [{"vehicle_id": "C-1"}, {"vehicle_id": "C-1", "depot": "Hill"}], "vehicles"), file("a.csv", visits))
    counted = merge_reasons(Fleet.from_tables(records.frames, Settings(as_of="2025-12-31")))
    assert counted[["table", "file", "code", "rows"]].to_numpy().tolist() == [
        ["vehicles", "r.csv", "same key", 1], ["visits", "a.csv", "exact copy", 2], ["visits", "a.csv", "payer split", 1],
    ]
    assert counted["meaning"].tolist() == [MERGE_CODES[code] for code in counted["code"]]
    merged = records.frames["files"].set_index("file")["merged"]
    assert counted.groupby("file")["rows"].sum().to_dict() == merged[merged > 0].to_dict()


def test_every_merged_row_of_the_demo_has_a_code(demo_fleet: Fleet) -> None:
    """The counts of the demo sum to the merged rows of its account, file by file; copies, splits and resubmissions are among them."""
    counted = merge_reasons(demo_fleet)
    merged = demo_fleet.files.set_index("file")["merged"]
    assert counted.groupby("file")["rows"].sum().to_dict() == merged[merged > 0].to_dict()
    assert {"exact copy", "payer split", "warranty resubmission", "same stay"} <= set(counted["code"])
