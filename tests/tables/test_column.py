"""The declared tables and the check at the door."""

import pandas as pd
import pytest

from fleetstats.errors import InputRefused
from fleetstats.tables import BENCH_TESTS, CALENDAR, TABLES, TENURES, VISITS
from fleetstats.tables.column import DTYPES, SQL_TYPES


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda table: table.name)
def test_every_declaration_is_complete(table):
    """Each column has a known kind and a meaning, numbers name their unit or are counts, and the key is declared."""
    assert set(table.key) <= set(table.columns)
    for name, column in table.columns.items():
        assert column.kind in DTYPES.keys() & SQL_TYPES.keys()
        assert column.meaning, name
        if column.kind == "float" and table.name != "checks":
            assert column.unit, f"{table.name}.{name} is a number without a unit"


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda table: table.name)
def test_an_empty_frame_passes_its_own_door_with_the_declared_dtypes(table):
    """The empty frame, the cast and the check come from one declaration, so they agree."""
    checked = table.check(table.empty())
    assert {name: str(dtype) for name, dtype in checked.dtypes.items()} == {n: DTYPES[c.kind] for n, c in table.columns.items()}


def test_money_tables_carry_a_price_basis():
    """A column of money never stands without the column that says which money."""
    for table in TABLES.values():
        if any(column.unit.startswith("money of price_basis") for column in table.columns.values()):
            assert "price_basis" in table.columns, table.name


def test_every_broken_rule_is_found_with_its_row():
    """Two faults planted in two rows, and a key that stands twice, come back as three faults with row labels."""
    frame = VISITS.conform(pd.DataFrame({"visit_id": ["a", "b", "b"], "status": ["closed", "shut", "open"], "labour_hours": [1.0, 2.0, -3.0]}, index=[7, 8, 9]))
    faults = VISITS.faults(frame)
    assert sorted(zip(faults["row"], faults["column"], strict=True)) == [(8, "status"), (9, "labour_hours"), (9, "visit_id")]


def test_a_price_basis_must_name_currency_month_and_tax():
    """ISO 4217 code, month and net or gross; anything else is refused at the door."""
    row = {"depot": ["D"], "month": [1], "share_rented": [0.5], "daily_margin": [90.0], "substitutable_share": [0.0]}
    CALENDAR.check(pd.DataFrame(row | {"price_basis": ["EUR 2026-01 net"]}))
    for basis in ("EUR", "EUR 2026-13 net", "euro 2026-01 net", None):
        with pytest.raises(InputRefused):
            CALENDAR.check(pd.DataFrame(row | {"price_basis": [basis]}))


def test_an_undeclared_column_is_refused_and_names_the_known_ones():
    """Nothing slips through a door unnamed."""
    with pytest.raises(InputRefused, match="no column 'colour'"):
        BENCH_TESTS.check(pd.DataFrame({"bench_test_id": ["1"], "colour": ["red"]}))


def test_a_value_of_the_wrong_kind_is_an_error_with_a_remedy():
    """Text where a number is declared is not turned into nothing."""
    with pytest.raises(InputRefused, match="Give numbers as numbers"):
        TENURES.conform(pd.DataFrame({"tenure_id": ["x"], "size_l": ["big"]}))
