"""The prices, calendar, money and cases that the demo ships: all are read, priced and told apart."""

import datetime as dt
from pathlib import Path

import pandas as pd
import pytest

from fleetstats.decision import decide, read_calendar, read_case, read_prices
from fleetstats.money import read_money
from fleetstats.settings import open_project
from tests.decision.worked import lives, rates

DEMO = Path(__file__).parents[2] / "synthetic_data"
CASES = sorted((DEMO / "cases").glob("*.toml"))


def sheet(name: str, **change: object):
    project = open_project(DEMO)
    money = read_money(project.money)
    prices, calendar = read_prices(project.prices, project.settings, money), read_calendar(project.calendar, project.settings, money)
    case = read_case(DEMO / "cases" / f"{name}.toml").model_copy(update=change)
    return decide(case, prices, calendar, lives(.1), rates(.2), project.settings, money=money, n_draws=100)


def test_six_cases():
    """Six examples are shipped."""
    assert len(CASES) == 6


@pytest.mark.parametrize("name", [path.stem for path in CASES])
def test_each_case_gets_a_whole_sheet(name):
    """Every option is priced or says why not; the probability has an interval; something is recommended."""
    found = sheet(name)
    assert found.recommended is not None
    assert all(line.reason for line in found.options if line.status in ("not priced", "removed by the gate"))
    assert found.probability_true_failure.lower < found.probability_true_failure.estimate < found.probability_true_failure.upper
    assert found.price_basis == "USD 2025-12 net"


def test_what_the_cases_show():
    """A smell closes the gate; half the heat with good cooling on gas is remedied; where nobody looked, that comes
    first. A blocked unit in the quiet season may be sent out and reconditioned; the same in July is exchanged from the shelf."""
    smell, half, winter, after = (sheet(name) for name in ("leak_smell", "half_heat", "winter_spare", "after_exchange"))
    assert smell.gate_state == "closed"
    assert half.recommended == "remedy"
    assert half.probability_true_failure.estimate < .1
    assert winter.recommended == "recondition_own"
    assert sheet("winter_spare", date=dt.date(2026, 7, 12)).recommended.startswith("exchange_reconditioned")
    assert winter.probability_true_failure.estimate > .8
    assert after.gate_state == "not checked"


def test_money_covers_every_month_of_the_window():
    """Each currency of the shops has a rate in every month from 2015-01 to 2025-12, and the index too."""
    money = read_money(DEMO / "money.toml")
    months = [f"{month:%Y-%m}" for month in pd.date_range("2015-01-01", "2025-12-01", freq="MS")]
    for currency in ("USD", "GBP", "AUD", "NZD", "CAD"):
        assert (money.convert([1.0] * len(months), currency, months, to="USD", at="2025-12") > 0).all()


def test_calendar_has_every_depot_of_the_scenario():
    """The depots are those of the vehicle register."""
    project = open_project(DEMO)
    calendar = read_calendar(project.calendar, project.settings, read_money(project.money))
    register = pd.read_csv(project.raw / "vehicle_register.csv")
    assert set(register["Depot"].dropna()) <= set(calendar["depot"])
