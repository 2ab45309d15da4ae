"""The sheet for one unit: the worked example to the digit, the gate before everything, and refusals."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetstats.decision import OPTIONS, Case, Rates, decide
from fleetstats.decision.cases import Sale
from fleetstats.decision.hazards import assumed_hazards, hazards_for
from fleetstats.decision.prices import Core, Defer
from fleetstats.decision.readings import CHECKS
from fleetstats.errors import InputRefused
from tests.decision.worked import CASE, MONEY, PRICES, SETTINGS, calendar, lives, rates

STAYS_IN = ("remedy", "verify", "defer")


def sheet(case=CASE, *, prices=PRICES, margin=120.0, life=None, probability=.55, n_draws=50, **other):
    return decide(case, prices, calendar(margin), life or lives(), rates(), SETTINGS, probability=probability, n_draws=n_draws, **other)


def test_worked_example_to_the_digit():
    """A June case with five years to go and p = .55, worked by two independent computations: every column and every expected cost."""
    found = {line.option: line for line in sheet().options}
    wanted = {
        "exchange_reconditioned": (2569.270827, 2825.270827, 2684.470827), "exchange_new": (2893.152912, 3149.152912, 3008.352912),
        "recondition_own": (3975.270827, 4231.270827, 4090.470827), "replace_refrigerator": (4775.152912, 4775.152912, 4775.152912),
        "remedy": (3011.270827, 1336.872882, 2257.791752), "verify": (2933.370827, 1827.712677, 2435.824659),
    }
    for option, (failed, healthy, cost) in wanted.items():
        line = found[option]
        assert (line.if_failed, line.if_healthy, line.cost.estimate) == pytest.approx((failed, healthy, cost), abs=2e-6), option


def test_now_and_later_add_up():
    """The two parts add up to the cost. Now, by hand for June (a day out 96): reconditioned 650 + 480 + 90 - 100 + 5 days = 1600, and with a
    sound unit the outside fault at 40 + 120 + 1 day = 256; verify first 150 + 2 days = 342 and what follows each result."""
    lines = {line.option: line for line in sheet(CASE.model_copy(update={
        "sale": Sale(**MONEY, sale_value=20_000, planned_exit_value=10_000, margin_per_month=500)})).options}
    assert all(line.now + line.later == pytest.approx(line.cost.estimate) for line in lines.values() if line.cost)
    exchange, again = 1600.0, 90 + 96.0
    assert lines["exchange_reconditioned"].now == pytest.approx(exchange + .45 * 256)
    failed, healthy = 256 + again + exchange, 256 + (1 - PRICES.remedy[0].p_right) * (256 + again)
    assert lines["remedy"].now == pytest.approx(.55 * failed + .45 * healthy)
    verified = 342 + .55 * (.95 * exchange + .05 * failed) + .45 * (.9 * healthy + .1 * (exchange + 256))
    assert lines["verify"].now == pytest.approx(verified)
    assert lines["sell"].now == pytest.approx(-20_000)


def test_worked_example_choice():
    """Remedy is best; knowing is worth 243.10; the choice changes at .771032 to the reconditioned exchange: worked by two independent computations."""
    found = sheet()
    assert found.recommended == "remedy"
    assert found.evpi == pytest.approx(243.1, abs=1e-5)
    assert [(t.below, t.above) for t in found.thresholds] == [("remedy", "exchange_reconditioned")]
    assert found.thresholds[0].value == pytest.approx(.771032, abs=1e-6)
    assert found.clear_difference
    assert found.anchored


def test_keys_of_the_json():
    """What other programs read: the keys promised, every option in order, an estimate with its six fields, no NaN."""
    data = sheet().to_dict()
    assert {"probability_true_failure", "gate_state", "gate_finding", "options", "recommended", "thresholds"} <= set(data)
    assert [line["option"] for line in data["options"]] == list(OPTIONS)
    assert set(data["options"][0]["cost"]) == {"estimate", "lower", "upper", "level", "method", "unit"}
    assert {"p_best", "regret"} <= set(data["options"][0])
    assert data["probability_true_failure"]["estimate"] == pytest.approx(.55)


@settings(max_examples=15, deadline=None)
@given(st.floats(.01, .99), st.sampled_from([{"symptom": "SYM_AMMONIA"}, {"findings": {"C01": "fail"}}, {"recall_open": True}]))
def test_closed_gate_removes_options_whatever_the_probability(p, fact):
    """A closed gate takes remedy, verify in the vehicle and defer away before any arithmetic; a small probability does not bring them back."""
    found = sheet(CASE.model_copy(update=fact), probability=p, n_draws=20)
    lines = {line.option: line for line in found.options}
    assert found.gate_state == "closed"
    assert all(lines[option].status == "removed by the gate" and lines[option].cost is None for option in STAYS_IN)
    assert found.recommended not in STAYS_IN
    assert found.first_step.startswith("Heat off")
    assert found.checks == ()


@pytest.mark.parametrize("symptom", ["SYM_LPSMELL", "SYM_COALARM", "SYM_BADFLAME"])
def test_gas_side_decides_nothing_about_the_unit(symptom):
    """Fuel gas or carbon monoxide: no option is advised, none that keeps the appliance running stands, the limits are printed."""
    found = sheet(CASE.model_copy(update={"symptom": symptom}))
    lines = {line.option: line for line in found.options}
    assert found.recommended is None
    assert found.headline.startswith("Off hire. Gas side first")
    assert all(lines[option].status == "removed by the gate" for option in STAYS_IN)
    assert (found.evpi, found.thresholds, found.clear_difference) == (None, (), False)
    assert "carbon monoxide" in " ".join(found.cautions)
    beside = sheet(CASE.model_copy(update={"symptom": symptom, "findings": {"C01": "fail"}}))
    assert beside.recommended == "exchange_reconditioned"
    assert beside.headline.startswith("Off hire. Gas side first")


@pytest.mark.parametrize(("symptom", "findings", "named"), [
    ("SYM_NOCOOL", {"C01": "pass"}, None), ("SYM_NOCOOL", {"C01": "pass", "C09": "fail"}, "mains heat"), ("SYM_NOLIGHT", {"C01": "pass"}, "gas heat"),
    ("SYM_FLAMEOUT", {"C01": "pass"}, "gas heat"), ("SYM_NOCOOL_LP", {"C01": "pass"}, "gas heat"), ("SYM_NOCOOL_AC", {"C01": "pass"}, "mains heat"),
    ("SYM_DOOR", {"C01": "pass"}, "gasket"), ("SYM_FROST", {"C01": "pass"}, "gasket"), ("SYM_NOCOOL_AC", {"C01": "pass", "C09": "pass"}, None),
])
def test_outside_fault_is_named_only_by_complaint_or_finding(symptom, findings, named):
    """Nothing points anywhere: no fault is named; a weak element, a flame, a door name theirs; a good element takes the name back."""
    said = sheet(CASE.model_copy(update={"symptom": symptom, "findings": findings}), probability=.1).headline
    assert f"most likely the {named}" in said if named else said.startswith("Look for the outside fault first")


def test_unchecked_gate_comes_first():
    """Where nobody has looked, that is the first step, the options that leave the unit running wait for it, and the sheet says what holds else."""
    found = sheet(CASE.model_copy(update={"findings": {}}))
    lines = {line.option: line for line in found.options}
    assert found.gate_state == "not checked"
    assert "C01" in found.first_step
    assert lines["remedy"].status == "only after C01 is clear"
    assert found.recommended == "remedy"
    assert found.recommended_if_closed == "exchange_reconditioned"


def test_missing_price_is_seen():
    """An option without a price stays on the list as not priced, with the reason; without any prices the evidence is still given."""
    less = PRICES.model_copy(update={"price": [row for row in PRICES.price if row.option != "exchange_new"]})
    line = next(line for line in sheet(prices=less).options if line.option == "exchange_new")
    assert (line.status, line.cost) == ("not priced", None)
    assert line.reason
    bare = decide(CASE, None, None, lives(), rates(), SETTINGS, n_draws=50)
    assert {line.status for line in bare.options} == {"not priced"}
    assert bare.recommended is None
    assert 0 < bare.probability_true_failure.estimate < 1
    assert not bare.anchored


def test_no_money_on_assumed_lives():
    """Records that carry no corrected life: the evidence is given on assumed values that are named, no cost is."""
    found = decide(CASE.model_copy(update={"findings": {}}), PRICES, calendar(), None, Rates(), SETTINGS, n_draws=50)
    assert {line.status for line in found.options} == {"not priced"}
    assert any("assumed, no source" in text for text in found.assumptions)
    said = [*found.assumptions, *found.cautions, *{line.reason for line in found.options}]
    assert sum("no cost is built" in text for text in said) == 1, "said once"
    assert found.headline.startswith("Look and smell at the rear (C01) first; if nothing is found: remedy the outside fault first (not priced)")
    assert found.probability_true_failure.estimate == pytest.approx(.207048, abs=1e-6)


def test_sell_needs_all_three_values():
    """Selling is not offered on a sale value alone; with all three it costs the margin and exit value forgone less the sale."""
    assert next(line for line in sheet().options if line.option == "sell").status == "not priced"
    sale = Sale(**MONEY, sale_value=20_000, planned_exit_value=10_000, margin_per_month=500)
    line = next(line for line in sheet(CASE.model_copy(update={"sale": sale})).options if line.option == "sell")
    discount = 1.04 ** -((np.arange(60) + .5) / 12)
    assert line.cost.estimate == pytest.approx(-20_000 + 500 * discount.sum() + 10_000 * 1.04**-5)


def test_defer_waits_for_the_quiet_season():
    """With refunds priced, waiting from June is on the list and cheaper than reconditioning in June; in the cheapest month it is not offered."""
    priced = PRICES.model_copy(update={"defer": Defer(**MONEY, refund_share=.05)})
    june = {line.option: line for line in sheet(prices=priced).options}
    assert june["defer"].cost.estimate < june["recondition_own"].cost.estimate
    assert june["defer"].if_healthy > june["defer"].if_failed, "the outside fault is still to be mended"
    rows = [row.model_copy(update={"cures_outside": 1.0}) if row.option == "recondition_own" else row for row in priced.price]
    cured = {line.option: line for line in sheet(prices=priced.model_copy(update={"price": rows})).options}
    assert cured["defer"].if_healthy == pytest.approx(cured["defer"].if_failed), "unless the swap mends it by accident"
    january = CASE.model_copy(update={"date": CASE.date.replace(month=1), "planned_exit": CASE.date.replace(year=2030, month=1)})
    assert next(line for line in sheet(january, prices=priced).options if line.option == "defer").status == "not priced"


def test_depot_without_calendar_is_a_lower_bound_and_says_so():
    """No rental calendar: a day counts as 0, every cost falls, and the sheet says that these are lower bounds."""
    elsewhere = sheet(CASE.model_copy(update={"depot": "Elsewhere"}))
    assert any("lower bounds" in text for text in elsewhere.assumptions)
    here = {line.option: line.cost.estimate for line in sheet().options if line.cost}
    assert all(line.cost.estimate < here[line.option] for line in elsewhere.options if line.cost)


def test_spare_on_the_shelf_shortens_the_wait():
    """A unit on the shelf makes its exchange cheaper and moves nothing else."""
    rows = [row.model_copy(update={"p_in_stock": .3, "lead_days_out": 20.0}) if row.option == "exchange_reconditioned" else row for row in PRICES.price]
    slow = PRICES.model_copy(update={"price": rows})
    without, with_spare = sheet(prices=slow), sheet(CASE.model_copy(update={"shelf": {"exchange_reconditioned": 1}}), prices=slow)
    at = OPTIONS.index("exchange_reconditioned")
    assert with_spare.options[at].cost.estimate < without.options[at].cost.estimate
    assert with_spare.options[OPTIONS.index("exchange_new")].cost.estimate == pytest.approx(without.options[OPTIONS.index("exchange_new")].cost.estimate)


def test_empty_shelf_means_the_unit_must_be_ordered():
    """None on the shelf: 20 days out of service in June (margin 120, .8 rented), 5 with one there, 15 days or 1440 apart."""
    rows = [row.model_copy(update={"p_in_stock": .3, "lead_days_out": 20.0}) if row.option == "exchange_reconditioned" else row for row in PRICES.price]
    slow, at = PRICES.model_copy(update={"price": rows}), OPTIONS.index("exchange_reconditioned")
    none, one = (sheet(CASE.model_copy(update={"shelf": {"exchange_reconditioned": n}}), prices=slow).options[at].cost.estimate for n in (0, 1))
    assert none - one == pytest.approx(15 * 96)


def test_warranty_of_a_used_unit_runs_from_today():
    """A used unit of 5 years under 12 months' warranty: its credit lowers the cost by the price times the chance of failing in each
    of the first twelve months, discounted to the middle of the month (needless removals compete; written out here)."""
    used = next(row for row in PRICES.price if row.option == "exchange_new").model_copy(
        update={"option": "exchange_used_tested", "unit_price": 300.0, "fitted_age_years": 5.0, "warranty_months": 12.0})
    at, costs = OPTIONS.index("exchange_used_tested"), []
    for months in (12.0, 0.0):
        prices = PRICES.model_copy(update={"price": [*PRICES.price, used.model_copy(update={"warranty_months": months})]})
        costs.append(sheet(prices=prices).options[at].if_failed)
    edges = ((5 + np.arange(13) / 12) / 14) ** 1.8 + .0625 * np.arange(13) / 12
    alive = np.exp(edges[0] - edges)
    failed = -np.diff(alive) * (np.diff(edges) - .0625 / 12) / np.diff(edges)
    assert costs[1] - costs[0] == pytest.approx(300 * (failed * 1.04 ** -((np.arange(12) + .5) / 12)).sum(), rel=1e-6)


def test_used_unit_keeps_its_age_where_no_fresh_one_is_priced():
    """With only used units on the list an older one costs more to the exit; its age is not forgotten."""
    used = PRICES.price[0].model_copy(update={"option": "exchange_used_tested", "life": "new", "warranty_months": 0.0})
    at, costs = OPTIONS.index("exchange_used_tested"), []
    for age in (0.0, 8.0):
        prices = PRICES.model_copy(update={"price": [PRICES.price[0], used.model_copy(update={"fitted_age_years": age})]})
        costs.append(sheet(prices=prices).options[at].if_failed)
    assert costs[1] > costs[0] + 100


def test_present_unit_under_warranty_is_said():
    """A unit of one year is taken to carry the warranty that new units carry today (2 years); the sheet says so, and is silent for an old one."""
    young, old = (sheet(CASE.model_copy(update={"unit_age_years": age})) for age in (1.0, 6.0))
    assert any("warranty" in text for text in young.assumptions)
    assert not any("warranty" in text for text in old.assumptions)


def test_certain_failure_makes_remedy_an_exchange_and_a_second_visit():
    """Limiting case p = 1: remedy costs the best exchange plus the remedy and the return in vain (256 + 186 here)."""
    lines = {line.option: line for line in sheet().options}
    assert lines["remedy"].if_failed - lines["exchange_reconditioned"].if_failed == pytest.approx(256 + 186)


def test_prior_of_the_worked_example():
    """Before any finding the probability is that of two competing hazards at the age: .207048 by hand; for a condemned unit h_F/(h_F + h_N)."""
    case = Case.model_validate({**CASE.model_dump(), "findings": {}})
    found = decide(case, None, None, lives(), rates(), SETTINGS, n_draws=50)
    assert found.evidence.prior_probability == pytest.approx(.207048, abs=1e-6)
    condemned = decide(case.model_copy(update={"condemned": True}), None, None, lives(), rates(), SETTINGS, n_draws=50)
    assert condemned.evidence.prior_probability == pytest.approx(.065277 / (.065277 + .0625), abs=1e-5)
    overnight = case.model_copy(update={"condemned": True, "last_good": case.date.replace(month=5, day=31)})
    found = decide(overnight, None, None, lives(), rates(), SETTINGS, n_draws=50)
    assert found.evidence.prior_probability == pytest.approx(condemned.evidence.prior_probability, abs=1e-3), "the same rival over a short gap"


def test_warranty_is_said_before_paying():
    """A unit of six months is younger than the 24 months of a new one's price row: claim first, also where no exit is known and nothing priced."""
    young = CASE.model_copy(update={"unit_age_years": .5})
    for case in (young, young.model_copy(update={"planned_exit": None})):
        assert any("6 months old; its warranty may still run: claim before paying" in text for text in sheet(case).cautions)
    assert not any("claim before paying" in text for text in sheet().cautions)
    assert not any("claim" in text for text in sheet(young.model_copy(update={"origin": "reconditioned", "unit_age_years": 1.5})).cautions), "12 months only"


def test_leaking_core_is_not_benched():
    """With the core's bench priced it is on the list, and withheld when signs of a leak close the gate: the plain exchange stays."""
    priced = PRICES.model_copy(update={
        "core": Core(**MONEY, bench_cost=10, healthy_value=400),
        "price": [row.model_copy(update={"unit_price": 100.0}) if row.option == "exchange_reconditioned" else row for row in PRICES.price],
    })
    at = OPTIONS.index("exchange_reconditioned_bench_core")
    assert sheet(prices=priced).options[at].status == "priced"
    leaking = sheet(CASE.model_copy(update={"findings": {"C01": "fail"}}), prices=priced)
    assert (leaking.options[at].status, leaking.options[at].reason) == ("removed by the gate", "a leaking core is not run on a bench")
    assert leaking.recommended == "exchange_reconditioned"
    assert sheet(CASE.model_copy(update={"findings": {}}), prices=priced).recommended_if_closed == "exchange_reconditioned"


@settings(max_examples=15, deadline=None)
@given(st.dictionaries(st.sampled_from(CHECKS), st.sampled_from(["pass", "fail", "done"])))
def test_every_recorded_finding_is_seen(findings):
    """Each recorded check stands in the waterfall or among the unused with a reason, never in both."""
    found = decide(CASE.model_copy(update={"findings": findings}), None, None, lives(), rates(), SETTINGS, n_draws=10).evidence
    weighed = {check for step in found.steps for check in step.check.split("+")}
    unused = {line.check: line for line in found.unused}
    assert set(findings) <= weighed | set(unused)
    assert all(line.reason and line.outcome == findings[line.check] for line in found.unused)
    assert not any(findings[check] != "done" for check in weighed & set(unused))


def test_same_seed_same_sheet():
    """The same seed gives the same digits; another one moves the interval only."""
    first, again, other = (sheet(life=lives(.2), probability=None, seed=seed) for seed in (1, 1, 2))
    assert first.to_dict() == again.to_dict()
    assert first.probability_true_failure.lower != other.probability_true_failure.lower
    assert first.probability_true_failure.estimate == pytest.approx(other.probability_true_failure.estimate)


def test_draws_spread_with_the_doubt_of_the_life():
    """Row 0 of the hazards is the point; the others spread as the model's parameters do, and a rate as its interval."""
    rng = np.random.default_rng(3)
    found = hazards_for(lives(.2), rates(.4), size_l=150, hot=False, n=4001, rng=rng)
    h = found.failure["new"](np.array([5.0]))[:, 0]
    assert h[0] == pytest.approx((5 / 14) ** 1.8)
    assert found.outside[0] == pytest.approx(.25)
    assert np.std(found.outside[1:]) == pytest.approx(.25 * .4 / 1.645, rel=.06)
    assert len(assumed_hazards(5).outside) == 5


def test_certainty_from_outside_is_refused():
    """A probability of exactly 1 is no number to weigh: refused with the remedy."""
    with pytest.raises(InputRefused, match="Record the proof"):
        sheet(probability=1.0)
