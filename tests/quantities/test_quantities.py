import pytest

from fleetstats.quantities import celsius, current, kelvin_difference, litres, resistance, to_si


def test_temperature_readings_and_differences():
    """NIST SP 811 (2008) B.8: t/degC = (t/degF - 32)/1.8, but a difference of 1 degF is 1/1.8 K without a shift; 43 degF is 6.1 degC and 28 degF
    apart is 15.6 K."""
    assert celsius(43) == pytest.approx(6.111, abs=1e-3)
    assert celsius(-40) == pytest.approx(-40)
    assert celsius(59) == pytest.approx(15)
    assert kelvin_difference(28) == pytest.approx(15.556, abs=1e-3)
    assert to_si(32, "degf") == (0.0, "degC")


@pytest.mark.parametrize(("value", "unit", "pascal"), [
    (1, "psi", 6894.757), (1, "inwc", 249.082), (1, "inhg", 3386.389), (30, "mbar", 3000.0), (2.75, "kpa", 2750.0), (11, "inwc", 2739.902),
])
def test_pressures(value: float, unit: str, pascal: float):
    """NIST SP 811 (2008) B.8: psi 6.894 757 E+03, inch of water at 39.2 degF 2.490 82 E+02, inch of mercury at 32 degF 3.386 389 E+03 Pa; 11 in w.c.
    by hand."""
    assert to_si(value, unit) == (pytest.approx(pascal, rel=1e-9), "Pa")


def test_volumes():
    """NIST SP 811 (2008) B.8: cubic foot 2.831 685 E-02 m3, US gallon 3.785 412 E-03 m3; 2 to 18 cu ft are 57 to 510 litres."""
    assert litres(1) == pytest.approx(28.31685)
    assert (round(litres(2)), round(litres(18))) == (57, 510)
    assert to_si(1, "us_gallon")[0] == pytest.approx(3.785412e-3)


@pytest.mark.parametrize(("volts", "watts", "ohm", "ampere"), [(120, 225, 64, 1.88), (120, 420, 34, 3.50), (230, 125, 423, 0.54), (12, 175, 0.82, 14.6)])
def test_heaters_by_ohm_s_law(volts: float, watts: float, ohm: float, ampere: float):
    """R = V^2/P and I = P/V: 225 W at 120 V is 64 ohm and 1.88 A, and the like, worked by hand and rounded as printed."""
    assert resistance(volts, watts) == pytest.approx(ohm, rel=0.01)
    assert current(volts, watts) == pytest.approx(ampere, rel=0.01)



def test_what_cannot_be_is_refused():
    """An unknown unit, and a heater without power, have no value."""
    with pytest.raises(KeyError):
        to_si(1, "furlong")
    with pytest.raises(ValueError, match="positive"):
        resistance(120, 0)
