"""Units at the door against NIST SP 811 and the laws of Ohm and Joule."""

import pytest

from fleetstats.quantities import FACTORS, celsius, current, kelvin_difference, litres, resistance, to_si


@pytest.mark.parametrize(("unit", "pascal"), [("inwc", 249.082), ("inhg", 3386.389), ("psi", 6894.757), ("mbar", 100.0)])
def test_pressure_units_as_printed(unit, pascal):
    """NIST SP 811 (2008), appendix B.8: inch of water at 39.2 F 2.490 82 E+02 Pa, inch of mercury 3.386 389 E+03, psi 6.894 757 E+03."""
    assert to_si(1, unit) == (pytest.approx(pascal, abs=6e-4), "Pa")


def test_pressure_units_from_their_definitions():
    """Inch of water from 0.0254 m, standard gravity and 999.972 kg/m3; psi from pound, inch and gravity; inch of mercury from 13 595.1 kg/m3."""
    gravity, inch = 9.80665, 0.0254
    assert FACTORS["inwc"][0] == pytest.approx(inch * gravity * 999.972, rel=1e-6)
    assert FACTORS["psi"][0] == pytest.approx(0.45359237 * gravity / inch**2, rel=1e-6)
    assert FACTORS["inhg"][0] == pytest.approx(inch * 13595.1 * gravity, rel=1e-6)


def test_eleven_inches_of_water_are_twenty_seven_millibar():
    """The running pressure of LP gas in North America, 11 in w.c., is 27.4 mbar (arithmetic from NIST SP 811; the 11 in is common practice, no source)."""
    assert to_si(11, "inwc")[0] / to_si(1, "mbar")[0] == pytest.approx(27.39901, rel=1e-5)


@pytest.mark.parametrize(("fahrenheit", "expected"), [(-40, -40.0), (0, -17.77777778), (32, 0.0), (50, 10.0), (98.6, 37.0), (212, 100.0)])
def test_temperature_readings(fahrenheit, expected):
    """NIST SP 811 (2008), appendix B: t/C = (t/F - 32)/1.8."""
    assert celsius(fahrenheit) == pytest.approx(expected, abs=1e-6)


def test_a_temperature_difference_has_no_zero_to_shift():
    """A difference of 10 F is 5.56 K, a reading of 10 F is -12.2 C (NIST SP 811, appendix B)."""
    assert kelvin_difference(10) == pytest.approx(5.555555556, abs=1e-9)
    assert celsius(10) == pytest.approx(-12.2222, abs=1e-4)


@pytest.mark.parametrize(("volts", "watts", "ohms"), [(120, 225, 64.0), (120, 300, 48.0), (120, 325, 44.30769231), (230, 135, 391.8518519), (12, 125, 1.152)])
def test_resistance_of_an_element(volts, watts, ohms):
    """Ohm's and Joule's laws, R = V^2 / P; a service page on elements lists the first pair, 225 W and 64 ohm."""
    assert resistance(volts, watts) == pytest.approx(ohms, rel=1e-9)


def test_current_of_an_element():
    """Joule's law, I = P / V: 225 W at 120 V draw 1.875 A."""
    assert current(120, 225) == pytest.approx(1.875, rel=1e-9)


def test_volumes_as_printed():
    """NIST SP 811 (2008), appendix B.8: cubic foot 2.831 685 E-02 m3, US gallon 3.785 412 E-03 m3; the exact definitions are 0.3048^3 m3 and 231 in^3."""
    assert litres(1) == pytest.approx(0.3048**3 * 1000, rel=1e-6)
    assert FACTORS["us_gallon"][0] * 1000 == pytest.approx(231 * 0.0254**3 * 1000, rel=1e-6)
    assert (round(litres(1), 5), FACTORS["us_gallon"][0]) == (28.31685, 0.003785412)


def test_heat_as_printed():
    """NIST SP 811 (2008), appendix B.8: Btu(IT) per hour 2.930 711 E-01 W, from 1055.055 852 62 J per Btu and 3600 s per hour."""
    assert to_si(1, "btu_per_hour") == (pytest.approx(1055.05585262 / 3600, abs=5e-8), "W")
