"""Serials mended by what sits in the vehicle."""

import pandas as pd

from fleetstats import tables
from fleetstats.records.chains import SWAPPED, follow_chains


def _chain(*exchanges: tuple[str | None, str | None, str], first: str | None = "A1") -> pd.DataFrame:
    rows = [
        {"visit_id": f"v{n}", "vehicle_id": "C-1", "date_in": f"201{n}-05-01", "fitted_kind": "unit",
         "removed_serial": out, "fitted_serial": put, "fitted_origin": origin}
        for n, (out, put, origin) in enumerate(exchanges)
    ]
    visits = tables.VISITS.conform(pd.DataFrame(rows))
    return follow_chains(visits, {"C-1": first} if first else {})


def _pairs(chain: pd.DataFrame) -> list[tuple[str | None, str | None]]:
    plain = chain[["removed_serial", "fitted_serial"]].astype(object).where(chain[["removed_serial", "fitted_serial"]].notna(), None)
    return list(plain.itertuples(index=False, name=None))


def test_a_missing_removed_serial_is_the_one_that_sits_in_the_vehicle() -> None:
    """A1 sits in C-1; the first exchange fits A2 without naming what came out, the second names neither: A1 and A2 came out."""
    chain = _chain((None, "A2", "new"), (None, "A3", "new"))
    assert _pairs(chain) == [("A1", "A2"), ("A2", "A3")]
    assert chain["reason"].tolist() == ["removed serial: from the chain"] * 2


def test_a_missing_fitted_serial_is_the_one_removed_next() -> None:
    """The first exchange does not name what it fitted, the next takes out A2: A2 was fitted."""
    assert _pairs(_chain(("A1", None, "new"), ("A2", "A3", "new"))) == [("A1", "A2"), ("A2", "A3")]


def test_a_missing_fitted_serial_stays_missing_where_nothing_tells() -> None:
    """After the last exchange nothing was removed: nothing is guessed."""
    assert _pairs(_chain(("A1", None, "new"))) == [("A1", None)]


def test_columns_in_each_others_place_are_put_right() -> None:
    """A1 sits in C-1, so a row that 'fitted A1, removed A2' has its columns swapped."""
    chain = _chain(("A2", "A1", "new"), ("A2", "A3", "new"))
    assert _pairs(chain) == [("A1", "A2"), ("A2", "A3")]
    assert chain["reason"].tolist() == [SWAPPED, ""]


def test_a_swap_shows_by_the_next_removal_where_the_first_unit_is_unknown() -> None:
    """Nobody knows the first serial; row 1 'removed A2, fitted A1' and row 2 removes A2: A2 had been fitted."""
    assert _pairs(_chain(("A2", "A1", "new"), ("A2", "A3", "new"), first=None)) == [("A1", "A2"), ("A2", "A3")]


def test_a_missing_fitted_serial_is_found_behind_a_swapped_row() -> None:
    """Row 2 is swapped (it 'removed A3', and row 3 removes A3 again): what row 1 fitted is the other serial of row 2, A2."""
    assert _pairs(_chain(("A1", None, "new"), ("A3", "A2", "new"), ("A3", "A4", "new"))) == [("A1", "A2"), ("A2", "A3"), ("A3", "A4")]


def test_a_confused_letter_is_mended_by_the_chain() -> None:
    """B1 and 81 may both be known in the fleet; B1 sits in C-1, so the removed '81' is B1."""
    chain = _chain(("81", "A2", "new"), first="B1")
    assert _pairs(chain) == [("B1", "A2")]
    assert chain["reason"].tolist() == ["removed serial: confusion of letters, read as 81"]


def test_the_own_unit_goes_back_under_its_own_serial() -> None:
    """'Own unit reconditioned' without serials: A1 came out and A1 went in; A1 written in both columns is no swap either."""
    assert _pairs(_chain((None, None, "own unit reconditioned"))) == [("A1", "A1")]
    assert _pairs(_chain(("A1", "A1", "own unit put back"))) == [("A1", "A1")]


def test_a_unit_nobody_expected_is_kept_as_written() -> None:
    """A1 sits in C-1 but X9 is removed: the history has a jump, the serials stay as written."""
    assert _pairs(_chain(("X9", "A3", "new"))) == [("X9", "A3")]


def test_an_exchange_never_took_out_what_it_put_in() -> None:
    """K6000 out, K7000 in; the next row takes K6000 out again, one sign from what sits there: both exchanges keep the units they name."""
    told = _chain(("K6000", "K7000", "new"), ("K6000", "K9111", "new"), first="K6000")
    assert _pairs(told) == [("K6000", "K7000"), ("K6000", "K9111")]
