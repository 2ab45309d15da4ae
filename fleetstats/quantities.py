"""Units at the door: what people write to SI, by one table.

Factors: NIST Special Publication 811 (2008), Guide for the Use of the International System of Units, appendix B.8 and B.9.
"""

from __future__ import annotations

INCH_OF_WATER_PA = 249.082
"""Inch of water at 39.2 degF (4 degC): NIST SP 811 gives 2.490 82 E+02 Pa."""

FACTORS: dict[str, tuple[float, str]] = {
    "pa": (1.0, "Pa"), "kpa": (1e3, "Pa"), "mbar": (100.0, "Pa"), "bar": (1e5, "Pa"), "psi": (6894.757, "Pa"),
    "inwc": (INCH_OF_WATER_PA, "Pa"), "inhg": (3386.389, "Pa"),
    "ohm": (1.0, "ohm"), "kiloohm": (1e3, "ohm"), "watt": (1.0, "W"), "kilowatt": (1e3, "W"), "btu_per_hour": (0.2930711, "W"),
    "volt": (1.0, "V"), "mv": (1e-3, "V"), "amp": (1.0, "A"), "milliamp": (1e-3, "A"),
    "litre": (1e-3, "m3"), "cu_ft": (0.02831685, "m3"), "us_gallon": (0.003785412, "m3"),
    "second": (1.0, "s"), "minute": (60.0, "s"), "hour": (3600.0, "s"), "day": (86400.0, "s"),
}
"""Unit -> (factor to SI, SI unit).

As printed there: psi 6.894 757 E+03, inHg at 32 degF 3.386 389 E+03, ft3 2.831 685 E-02, US gallon 3.785 412 E-03, Btu(IT)/h 2.930 711 E-01.
"""

ZERO_CELSIUS_F = 32.0
DEGF_PER_DEGC = 1.8


def to_si(value: float, unit: str) -> tuple[float, str]:
    """A reading in SI (temperatures in degC), with the name of that unit. Raises KeyError for an unknown unit."""
    if unit == "degc":
        return float(value), "degC"
    if unit == "degf":
        return celsius(value), "degC"
    factor, si = FACTORS[unit]
    return float(value) * factor, si


def celsius(reading: float) -> float:
    """A temperature reading in degF as degC (NIST SP 811: t/degC = (t/degF - 32)/1.8)."""
    return (float(reading) - ZERO_CELSIUS_F) / DEGF_PER_DEGC


def kelvin_difference(difference: float) -> float:
    """A temperature difference in degF as K: a difference has no zero to shift."""
    return float(difference) / DEGF_PER_DEGC


def litres(cubic_feet: float) -> float:
    """A volume in cubic feet as litres."""
    return cubic_feet * FACTORS["cu_ft"][0] / FACTORS["litre"][0]


def resistance(volts: float, watts: float) -> float:
    """Resistance (ohm) of a heater of that power at that voltage: R = V^2 / P. Raises ValueError unless both are positive."""
    if volts <= 0 or watts <= 0:
        raise ValueError("voltage and power must be positive")
    return volts**2 / watts


def current(volts: float, watts: float) -> float:
    """Current (A) drawn: I = P / V. Raises ValueError unless the voltage is positive."""
    if volts <= 0:
        raise ValueError("voltage must be positive")
    return watts / volts
