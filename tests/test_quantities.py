"""Quantities: every factor against pint, the accepted and the refused texts, and the way back."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.quantities import (
    Kind,
    QuantityError,
    convert,
    exact,
    height_beside,
    parse,
    parse_money,
    styles,
    unit_label,
    write,
)
from drainwright.quantities.units import ABOUT, SIGNED, UNITS, as_kind, find, tidy
from drainwright.quantities.writing import STYLES, System

# One spelling of every unit, and the same unit for pint. Pint's acre is of survey feet, so it is spelt
# out here in international feet; both are in use, and differ by 4 parts in a million.
PINT: dict[Kind, dict[str, str]] = {
    Kind.LENGTH: {
        **{name: name for name in ("m", "mm", "cm", "km", "inch", "foot", "yard", "mile")},
        "'": "foot",
        '"': "inch",
    },
    Kind.AREA: {
        **{f"{u}2": f"{u}**2" for u in ("m", "mm", "cm", "km", "inch", "foot", "yard", "mile")},
        "acre": "43560*foot**2",
        "ha": "hectare",
        "sq ft": "foot**2",
    },
    Kind.VOLUME: {
        **{f"{u}3": f"{u}**3" for u in ("m", "mm", "cm", "km", "inch", "foot", "yard", "mile")},
        "gal": "US_liquid_gallon",
        "L": "liter",
        "mL": "milliliter",
        "cy": "yard**3",
    },
    Kind.FLOW: {
        "gpm": "gallon/minute",
        "gph": "gallon/hour",
        "gpd": "gallon/day",
        "cfs": "foot**3/second",
        "cfm": "foot**3/minute",
        "lps": "liter/second",
        "lpm": "liter/minute",
        "m3/s": "m**3/s",
        "L/min": "liter/minute",
    },
    Kind.INTENSITY: {"in/h": "inch/hour", "mm/h": "mm/hour", "in/day": "inch/day"},
    Kind.SPEED: {
        "fps": "foot/second",
        "mph": "mile/hour",
        "ft/day": "foot/day",
        "cm/s": "cm/s",
        "m/d": "m/day",
    },
    Kind.GRADE: {"%": "0.01", "in/ft": "inch/foot", "mm/m": "mm/m", "m/m": "m/m"},
    Kind.ANGLE: {"rad": "radian", "deg": "degree", "'": "arcminute", '"': "arcsecond"},
    Kind.TIME: {name: name for name in ("second", "minute", "hour", "day", "week", "month", "year")},
    Kind.MASS: {
        "kg": "kg",
        "g": "gram",
        "t": "metric_ton",
        "lb": "pound",
        "oz": "ounce",
        "ton": "short_ton",
    },
    Kind.DENSITY: {"pcf": "pound/foot**3", "lb/yd3": "pound/yard**3", "kg/m3": "kg/m**3", "t/m3": "tonne/m**3"},
    Kind.PRESSURE: {
        "Pa": "pascal",
        "kPa": "kilopascal",
        "MPa": "megapascal",
        "bar": "bar",
        "psi": "psi",
        "psf": "force_pound/foot**2",
        "ksf": "1000*force_pound/foot**2",
        "tsf": "2000*force_pound/foot**2",
        "lb/in2": "force_pound/inch**2",
    },
    Kind.POWER: {"W": "watt", "kW": "kilowatt", "hp": "horsepower"},
    Kind.FRACTION: {"%": "0.01"},
    Kind.CURRENT: {"A": "ampere", "mA": "milliampere"},
    Kind.CHARGE: {"Ah": "ampere*hour", "mAh": "milliampere*hour"},
    Kind.VOLTAGE: {"V": "volt", "mV": "millivolt", "kV": "kilovolt"},
    Kind.ENERGY: {"Wh": "watt*hour", "kWh": "kilowatt*hour", "J": "joule", "kJ": "kilojoule"},
    Kind.RATE: {f"/{name}": f"1/{name}" for name in ("second", "minute", "hour", "day", "week", "month", "year")},
    Kind.INFLOW: {"m2/s": "m**2/s", "gpm/ft": "gallon/minute/foot", "L/s/m": "liter/second/m"},
}
INSIDE = {kind: about.base.replace("2", "**2").replace("3", "**3") for kind, about in ABOUT.items()}
INSIDE |= {Kind.FRACTION: "1", Kind.RATE: "1/s", Kind.CHARGE: "ampere*hour", Kind.ENERGY: "watt*hour"}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[Any]:
    return pint.UnitRegistry()


@pytest.mark.parametrize("kind", PINT)
def test_every_factor_is_that_of_pint(kind: Kind, registry: pint.UnitRegistry[Any]) -> None:
    inside: Any = registry.Quantity(registry.parse_expression(INSIDE[kind]))
    for name, expression in PINT[kind].items():
        outside: Any = registry.Quantity(registry.parse_expression(expression))
        expected = float((outside / inside).to("dimensionless").magnitude)
        unit = find(kind, tidy(name))
        assert unit is not None, name
        assert float(unit.factor) == pytest.approx(expected, rel=1e-12), name


@pytest.mark.parametrize("kind", PINT)
def test_no_unit_escapes_the_comparison_with_pint(kind: Kind) -> None:
    compared = {find(kind, name) for name in PINT[kind]}
    assert set(UNITS[kind].values()) <= compared


@pytest.mark.parametrize("degrees", [-40.0, 0.0, 32.0, 50.0, 212.0])
def test_temperatures_are_those_of_pint(degrees: float, registry: pint.UnitRegistry[Any]) -> None:
    expected = registry.Quantity(degrees, "degF").to("degC").magnitude
    assert parse(f"{degrees} °F", Kind.TEMPERATURE) == pytest.approx(expected, abs=1e-9)
    expected = registry.Quantity(degrees, "kelvin").to("degC").magnitude
    assert parse(f"{degrees} K", Kind.TEMPERATURE) == pytest.approx(expected, abs=1e-9)


def test_every_kind_is_compared() -> None:
    assert set(PINT) | {Kind.TEMPERATURE} == set(Kind) == set(ABOUT)


GPM = 231 * 0.0254**3 / 60  # m³/s
ACCEPTED: list[tuple[str, Kind, float]] = [
    ("42 ft 6 in", Kind.LENGTH, 12.954),
    ("42'-6\"", Kind.LENGTH, 12.954),
    ("42' - 6\"", Kind.LENGTH, 12.954),
    ("42'6\"", Kind.LENGTH, 12.954),
    ("42′ 6″", Kind.LENGTH, 12.954),
    ("42’6”", Kind.LENGTH, 12.954),
    ("42' 6''", Kind.LENGTH, 12.954),
    ("42' 6 1/2\"", Kind.LENGTH, 12.9667),
    ("42'-6 1/2\"", Kind.LENGTH, 12.9667),
    ("42ft6in", Kind.LENGTH, 12.954),
    ("42 FT 6 IN", Kind.LENGTH, 12.954),
    ("42 feet 6 inches", Kind.LENGTH, 12.954),
    ("42 ft. 6 in.", Kind.LENGTH, 12.954),
    ("42.5 ft", Kind.LENGTH, 12.954),
    ("5 1/2 in", Kind.LENGTH, 0.1397),
    ("5-1/2 in", Kind.LENGTH, 0.1397),
    ("5½ in", Kind.LENGTH, 0.1397),
    ("5 ½ in", Kind.LENGTH, 0.1397),
    ("½ in", Kind.LENGTH, 0.0127),
    ("3/4 in", Kind.LENGTH, 0.01905),
    (".5 in", Kind.LENGTH, 0.0127),
    ("5. in", Kind.LENGTH, 0.127),
    ("0.3 m", Kind.LENGTH, 0.3),
    ("300 mm", Kind.LENGTH, 0.3),
    ("300mm", Kind.LENGTH, 0.3),
    ("  300   mm  ", Kind.LENGTH, 0.3),
    ("-1.2 ft", Kind.LENGTH, -0.36576),
    ("−1.2 ft", Kind.LENGTH, -0.36576),
    ("-3 ft 2 in", Kind.LENGTH, -0.9652),
    ("+3 ft 2 in", Kind.LENGTH, 0.9652),
    ("1,500 ft", Kind.LENGTH, 457.2),
    ("1e2 ft", Kind.LENGTH, 30.48),
    ("2 yd 1 ft 3 in", Kind.LENGTH, 2.2098),
    ("0 ft", Kind.LENGTH, 0.0),
    ("1,500 ft2", Kind.AREA, 139.35456),
    ("1500 sq ft", Kind.AREA, 139.35456),
    ("1500 sq. ft.", Kind.AREA, 139.35456),
    ("1500 ft²", Kind.AREA, 139.35456),
    ("1500 ft^2", Kind.AREA, 139.35456),
    ("1500 SF", Kind.AREA, 139.35456),
    ("0.25 acre", Kind.AREA, 1011.7141056),
    ("3 yd3", Kind.VOLUME, 2.293664573952),
    ("3 cu yd", Kind.VOLUME, 2.293664573952),
    ("3 yd³", Kind.VOLUME, 2.293664573952),
    ("3 cy", Kind.VOLUME, 2.293664573952),
    ("18 gal", Kind.VOLUME, 18 * 231 * 0.0254**3),
    ("20 L", Kind.VOLUME, 0.02),
    ("45 gpm", Kind.FLOW, 45 * GPM),
    ("45 GPM", Kind.FLOW, 45 * GPM),
    ("45 gal/min", Kind.FLOW, 45 * GPM),
    ("45 gallons per minute", Kind.FLOW, 45 * GPM),
    ("2 L/s", Kind.FLOW, 0.002),
    ("2 l / s", Kind.FLOW, 0.002),
    ("1 cu ft/s", Kind.FLOW, 0.028316846592),
    ("2.5 in/h", Kind.INTENSITY, 0.0635 / 3600),
    ("2.5 in per hour", Kind.INTENSITY, 0.0635 / 3600),
    ('2.5"/hr', Kind.INTENSITY, 0.0635 / 3600),
    ("12 mm/h", Kind.INTENSITY, 0.012 / 3600),
    ("1/8 in/ft", Kind.GRADE, 1 / 96),
    ("1/8 in per ft", Kind.GRADE, 1 / 96),
    ("⅛ in/ft", Kind.GRADE, 1 / 96),
    ('1/8" per foot', Kind.GRADE, 1 / 96),
    ("1.5 %", Kind.GRADE, 0.015),
    ("1.5%", Kind.GRADE, 0.015),
    ("-0.5 %", Kind.GRADE, -0.005),
    ("1:100", Kind.GRADE, 0.01),
    ("1 : 80", Kind.GRADE, 0.0125),
    ("0.01 m/m", Kind.GRADE, 0.01),
    ("90 deg", Kind.ANGLE, math.pi / 2),
    ("90°", Kind.ANGLE, math.pi / 2),
    ("1.57 rad", Kind.ANGLE, 1.57),
    ("45° 30'", Kind.ANGLE, math.radians(45.5)),
    ("45°30'36\"", Kind.ANGLE, math.radians(45.51)),
    ("24 h", Kind.TIME, 86400.0),
    ("15 min", Kind.TIME, 900.0),
    ("1 h 30 min", Kind.TIME, 5400.0),
    ("10 yr", Kind.TIME, 315576000.0),
    ("10 years", Kind.TIME, 315576000.0),
    ("2 ft/day", Kind.SPEED, 0.6096 / 86400),
    ("1e-5 m/s", Kind.SPEED, 1e-5),
    ("3 in/h", Kind.SPEED, 0.0762 / 3600),
    ("0.001 cm/s", Kind.SPEED, 1e-5),
    ("0.864 m/d", Kind.SPEED, 1e-5),
    ("85 lb", Kind.MASS, 38.55535145),
    ("1 ton", Kind.MASS, 907.18474),
    ("1 t", Kind.MASS, 1000.0),
    ("110 pcf", Kind.DENSITY, 110 * 0.45359237 / 0.3048**3),
    ("110 lb/ft3", Kind.DENSITY, 110 * 0.45359237 / 0.3048**3),
    ("2,970 lb/yd3", Kind.DENSITY, 110 * 0.45359237 / 0.3048**3),
    ("1760 kg/m³", Kind.DENSITY, 1760.0),
    ("1.5 tsf", Kind.PRESSURE, 3000 * 0.45359237 * 9.80665 / 0.3048**2),
    ("3000 psf", Kind.PRESSURE, 3000 * 0.45359237 * 9.80665 / 0.3048**2),
    ("72 kPa", Kind.PRESSURE, 72000.0),
    ("2 MPa", Kind.PRESSURE, 2e6),
    ("1/2 hp", Kind.POWER, 372.849935791),
    ("370 w", Kind.POWER, 370.0),
    ("50 °F", Kind.TEMPERATURE, 10.0),
    ("-40 F", Kind.TEMPERATURE, -40.0),
    ("14 degF", Kind.TEMPERATURE, -10.0),
    ("-10 °C", Kind.TEMPERATURE, -10.0),
    ("40 %", Kind.FRACTION, 0.4),
    ("0.4", Kind.FRACTION, 0.4),
    ("1/4", Kind.FRACTION, 0.25),
    ("120 %", Kind.FRACTION, 1.2),
    ("9.5 A", Kind.CURRENT, 9.5),
    ("75 Ah", Kind.CHARGE, 75.0),
    ("120 V", Kind.VOLTAGE, 120.0),
    ("0.9 kWh", Kind.ENERGY, 900.0),
    ("8 /h", Kind.RATE, 8 / 3600),
    ("8 per hour", Kind.RATE, 8 / 3600),
    ("0.5 gpm/ft", Kind.INFLOW, 0.5 * GPM / 0.3048),
    ("0.1 L/s/m", Kind.INFLOW, 1e-4),
]


@pytest.mark.parametrize(("text", "kind", "expected"), ACCEPTED)
def test_accepted(text: str, kind: Kind, expected: float) -> None:
    assert parse(text, kind) == pytest.approx(expected, rel=1e-9, abs=1e-12)
    assert parse(text, str(kind)) == parse(text, kind)


def test_a_decimal_text_gives_the_nearest_float() -> None:
    assert parse("300 mm", Kind.LENGTH) == 0.3
    assert parse("42 ft 6 in", Kind.LENGTH) == 12.954
    assert parse("0.1 L/s/m", Kind.INFLOW) == 0.0001


@pytest.mark.parametrize(("value", "expected"), [(0.4, 0.4), (0, 0.0), (1, 1.0)])
def test_a_bare_number_may_be_a_fraction(value: float, expected: float) -> None:
    assert parse(value, Kind.FRACTION) == expected


REFUSED: list[tuple[object, Kind, str]] = [  # the last stands in what was found or in the hint
    (42, Kind.LENGTH, "write '42 ft' (or '42 m')"),
    (42.5, Kind.LENGTH, "write '42.5 ft'"),
    ("42", Kind.LENGTH, "write '42 ft' (or '42 m')"),
    ("5 1/2", Kind.LENGTH, "write '5 1/2 ft'"),
    (45, Kind.FLOW, "write '45 gpm' (or '45 L/s')"),
    (8, Kind.RATE, "write '8 /h'"),
    (0.01, Kind.GRADE, "write '0.01 %'"),
    (40, Kind.FRACTION, "write '40 %'"),
    ("40", Kind.FRACTION, "write '40 %'"),
    (True, Kind.LENGTH, "True"),
    (True, Kind.FRACTION, "True"),
    (None, Kind.LENGTH, "None"),
    ([42], Kind.LENGTH, "a list"),
    (float("nan"), Kind.LENGTH, "not a finite number"),
    (float("nan"), Kind.FRACTION, "not a finite number"),
    (float("inf"), Kind.LENGTH, "not a finite number"),
    (10**4000, Kind.LENGTH, "very large"),
    ("", Kind.LENGTH, "nothing to read"),
    ("-", Kind.LENGTH, "nothing to read"),
    ("ft", Kind.LENGTH, "start with a number"),
    ("nan ft", Kind.LENGTH, "start with a number"),
    ("inf ft", Kind.LENGTH, "start with a number"),
    ("--3 ft", Kind.LENGTH, "start with a number"),
    ("5 gpm", Kind.LENGTH, "'gpm' measures a flow; a length is wanted"),
    ("42 ft3", Kind.LENGTH, "a volume"),
    ("3 ft", Kind.FLOW, "a length"),
    ("3 in/h", Kind.LENGTH, "a rain intensity or a speed"),
    ("1 %", Kind.LENGTH, "a grade or a fraction"),
    ("42 fete", Kind.LENGTH, "did you mean '42 feet'?"),
    ("3 inc", Kind.LENGTH, "did you mean '3 inch'?"),
    ("45 gpmm", Kind.FLOW, "did you mean '45 gpm'?"),
    ("45 galons/min", Kind.FLOW, "did you mean '45 gallons/min'?"),
    ("2 in/huor", Kind.INTENSITY, "did you mean '2 in/hour'?"),
    ("3 xyzzy", Kind.LENGTH, "use one of: ft, m"),
    ("5.5.2 ft", Kind.LENGTH, "one decimal point"),
    ("1,5 m", Kind.LENGTH, "write 1.5 with a point"),
    ("15,00 ft", Kind.LENGTH, "commas every three digits"),
    ("1e999 ft", Kind.LENGTH, "not a finite number"),
    ("1e308 km", Kind.LENGTH, "not a finite number"),
    ("1e99999999999 ft", Kind.LENGTH, "not a finite number"),
    ("1e-99999999999 ft", Kind.LENGTH, "not a finite number"),
    ("1/0 in", Kind.LENGTH, "division by zero"),
    ("5 1/0 in", Kind.LENGTH, "division by zero"),
    ("5.5 1/2 in", Kind.LENGTH, "before a fraction stands a whole number"),
    ("5 9/8 in", Kind.LENGTH, "the fraction is below one"),
    ("0.5/2 in", Kind.LENGTH, "whole numbers"),
    ("42' 6", Kind.LENGTH, "give the unit of the last number, 6"),
    ("42.5 ft 6 in", Kind.LENGTH, "only the last part"),
    ("6 in 42 ft", Kind.LENGTH, "smaller units after larger"),
    ("6 ft 6 ft", Kind.LENGTH, "smaller units after larger"),
    ("3 ft 14 in", Kind.LENGTH, "carry"),
    ("3 ft-", Kind.LENGTH, "dash"),
    ("3 ft -", Kind.LENGTH, "use digits"),
    ("1 ft -2 in", Kind.LENGTH, "use digits"),
    ("3 ft, 2 in", Kind.LENGTH, "use digits"),
    ("3 gpm 2 gph", Kind.FLOW, "smaller units after larger"),
    ("1 in 100", Kind.GRADE, "write '1:100'"),
    ("2:1", Kind.GRADE, "rise to run"),
    ("1:0", Kind.GRADE, "rise to run"),
    ("1:100", Kind.LENGTH, "cannot read from ':100'"),
    ("-5 ft2", Kind.AREA, "never below zero"),
    ("-0.5", Kind.FRACTION, "never below zero"),
    ("3 mpa", Kind.PRESSURE, "unknown unit 'mpa'"),
    ("3 ML", Kind.VOLUME, "unknown unit 'ML'"),
    ("٣ ft", Kind.LENGTH, "start with a number"),
    ("3²  ft", Kind.LENGTH, "unknown unit"),
    ("9" * 81, Kind.LENGTH, "at most 80 characters"),
    ("N 45 deg", Kind.ANGLE, "start with a number"),
]


@pytest.mark.parametrize(("text", "kind", "word"), REFUSED)
def test_refused(text: object, kind: Kind, word: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(text, kind)
    error = caught.value
    assert word in f"{error.found} | {error.hint}"
    assert error.expected.startswith(ABOUT[kind].phrase)
    assert error.hint
    assert len(error.found) < 130
    assert isinstance(error, InputError)


def test_the_offered_texts_are_accepted() -> None:
    for kind, about in ABOUT.items():
        for text in about.example.split("'")[1::2]:
            parse(text, kind)
        for unit in about.usual:
            parse(f"0.5 {unit}", kind)


def test_an_unknown_kind_or_style_is_named() -> None:
    with pytest.raises(InputError, match="kind = 'money'"):
        parse("3 ft", "money")
    with pytest.raises(InputError, match="expected one of ft-in, ft, in"):
        write(1.0, Kind.LENGTH, "US", "m")
    with pytest.raises(InputError, match="'US' or 'SI'"):
        write(1.0, Kind.LENGTH, "metric")  # type: ignore[arg-type]
    with pytest.raises(InputError, match="finite"):
        write(math.nan, Kind.LENGTH, "US")
    with pytest.raises(InputError, match="digits"):
        write(1.0, Kind.LENGTH, "US", "ft-in", digits=2)
    with pytest.raises(InputError, match="digits"):
        write(1.0, Kind.LENGTH, "US", "ft", digits=-1)
    with pytest.raises(InputError, match="zero or more"):
        exact(-1.0, Kind.VOLUME)


WRITTEN = [
    (12.954, Kind.LENGTH, "US", None, None, "42 ft 6 in"),
    (0.1397, Kind.LENGTH, "US", None, None, "5 1/2 in"),
    (3.6576 - 1e-4, Kind.LENGTH, "US", None, None, "12 ft"),
    (3.6576 - 0.003175, Kind.LENGTH, "US", None, None, "11 ft 11 7/8 in"),
    (0.0, Kind.LENGTH, "US", None, None, "0 in"),
    (-1e-6, Kind.LENGTH, "US", None, None, "0 in"),
    (-0.9652, Kind.LENGTH, "US", None, None, "-3 ft 2 in"),
    (-0.01, Kind.LENGTH, "US", None, None, "-3/8 in"),
    (457.2, Kind.LENGTH, "US", None, None, "1,500 ft"),
    (12.954, Kind.LENGTH, "US", "ft", None, "42.50 ft"),
    (-1e-9, Kind.LENGTH, "US", "ft", None, "0.00 ft"),
    (-0.36576, Kind.LENGTH, "US", "ft", None, "-1.20 ft"),
    (0.1397, Kind.LENGTH, "US", "in", None, "5 1/2 in"),
    (-0.1397, Kind.LENGTH, "US", "in", None, "-5 1/2 in"),
    (0.1, Kind.LENGTH, "US", "in", 2, "3.94 in"),
    (12.954, Kind.LENGTH, "SI", None, None, "12.95 m"),
    (0.1, Kind.LENGTH, "SI", "mm", None, "100 mm"),
    (45 * GPM, Kind.FLOW, "US", None, None, "45.0 gpm"),
    (0.00284, Kind.FLOW, "SI", None, None, "2.84 L/s"),
    (0.0635 / 3600, Kind.INTENSITY, "US", None, None, "2.50 in/h"),
    (1 / 96, Kind.GRADE, "US", None, None, "1.04 %"),
    (1 / 96, Kind.GRADE, "US", "in/ft", None, "1/8 in/ft"),
    (-1 / 96, Kind.GRADE, "US", "in/ft", None, "-1/8 in/ft"),
    (139.35456, Kind.AREA, "US", None, None, "1,500 ft²"),
    (2.293664573952, Kind.VOLUME, "US", None, None, "3.0 yd³"),
    (1e-5, Kind.SPEED, "SI", None, None, "1.00e-05 m/s"),
    (0.6096 / 86400, Kind.SPEED, "US", "ft/day", None, "2.00 ft/day"),
    (0.0, Kind.SPEED, "US", "ft/day", None, "0 ft/day"),
    (38.55535145, Kind.MASS, "US", None, None, "85 lb"),
    (1762.03, Kind.DENSITY, "US", None, None, "110 pcf"),
    (10.0, Kind.TEMPERATURE, "US", None, None, "50 °F"),
    (math.pi / 2, Kind.ANGLE, "US", None, None, "90.0°"),
    (0.4, Kind.FRACTION, "SI", None, None, "40 %"),
    (8 / 3600, Kind.RATE, "US", None, None, "8.0 /h"),
]


@pytest.mark.parametrize(("value", "kind", "system", "style", "digits", "text"), WRITTEN)
def test_written(value: float, kind: Kind, system: str, style: str | None, digits: int | None, text: str) -> None:
    assert write(value, kind, system, style, digits) == text  # type: ignore[arg-type]


EVERY_STYLE = [(s, k, name) for s, kinds in STYLES.items() for k in Kind for name in kinds[k]]


@pytest.mark.parametrize(("system", "kind", "style"), EVERY_STYLE)
def test_a_label_is_a_unit_and_convert_agrees_with_parse(system: str, kind: Kind, style: str) -> None:
    label = unit_label(kind, system, style)  # type: ignore[arg-type]
    assert convert(parse(f"0.75 {label}", kind), kind, system, style) == pytest.approx(0.75, rel=1e-9)  # type: ignore[arg-type]
    assert style in styles(kind, system)  # type: ignore[arg-type]


@settings(max_examples=400, deadline=None)
@given(
    st.sampled_from(Kind),
    st.floats(allow_nan=False, allow_infinity=False),
)
def test_saved_values_come_back_to_the_last_digit(kind: Kind, value: float) -> None:
    value = value if kind in SIGNED else abs(value)
    assert parse(exact(value, kind), kind) == value


@settings(max_examples=400, deadline=None)
@given(st.sampled_from(EVERY_STYLE), st.floats(-1e6, 1e6), st.integers(0, 6))
def test_written_values_come_back_within_the_rounding(
    choice: tuple[str, Kind, str], number: float, digits: int
) -> None:
    system, kind, style = choice
    chosen = STYLES[system][kind][style]  # type: ignore[index]
    number = number if kind in SIGNED else abs(number)
    unit = find(kind, tidy(chosen.label))
    assert unit is not None
    value = float((Fraction(number) + unit.offset) * unit.factor)
    text = write(value, kind, system, style, None if chosen.parts else digits)  # type: ignore[arg-type]
    half = 0.5 / (chosen.parts * (12 if style == "ft-in" else 1)) if chosen.parts else 0.5 * 10.0**-digits
    back = convert(parse(text, kind), kind, system, style)  # type: ignore[arg-type]
    assert back == pytest.approx(number, rel=1e-12, abs=half + 1e-9)
    assert not text.startswith("-0 ")


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(EVERY_STYLE), st.floats(1e-9, 1e6))
def test_three_figures_are_kept_where_no_decimals_are_set(choice: tuple[str, Kind, str], number: float) -> None:
    system, kind, style = choice
    if STYLES[system][kind][style][1:] != (None, 0):  # type: ignore[index]
        kind, system, style = Kind.SPEED, "US", "ft/day"
    value = parse(f"{number!r} {unit_label(kind, system, style)}", kind)  # type: ignore[arg-type]
    back = parse(write(value, kind, system, style), kind)  # type: ignore[arg-type]
    assert back == pytest.approx(value, rel=5.001e-3)


@settings(max_examples=300, deadline=None)
@given(st.floats(-300.0, 300.0))
def test_feet_and_inches_never_hold_a_whole_foot_of_inches(value: float) -> None:
    text = write(value, Kind.LENGTH, "US")
    inches = text.split("ft")[-1].split()
    assert "12" not in inches
    assert abs(parse(text, Kind.LENGTH) - value) <= 0.0254 / 16 + 1e-12


@settings(max_examples=500, deadline=None)
@given(
    st.sampled_from(Kind),
    st.one_of(st.text(max_size=90), st.text("0123456789.,/-+:eE'\"½²³ ftinm%°h", max_size=80)),
)
def test_any_text_is_read_or_refused_with_a_reason(kind: Kind, text: str) -> None:
    try:
        value = parse(text, kind)
    except QuantityError as error:
        assert error.hint  # noqa: PT017
    else:
        assert math.isfinite(value)
        assert value >= 0 or kind in SIGNED or kind is Kind.TEMPERATURE


@pytest.mark.parametrize("text", ["1" * 80, "1," * 40, "1 " * 40, "1/" * 40, " " * 79 + "x", "ft2" * 26, "'" * 80])
def test_hostile_text_is_refused(text: str) -> None:
    for kind in Kind:
        with pytest.raises(QuantityError):
            parse(text, kind)


@pytest.mark.parametrize(
    ("text", "expected"),
    [("$12.50", "12.50"), ("12.50 USD", "12.50"), ("$1,250", "1250"), ("$ 0.125", "0.125"), ("3 dollars", "3")],
)
def test_money_is_exact(text: str, expected: str) -> None:
    assert parse_money(text) == Decimal(expected)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (12.5, "write '$12.5'"),
        ("12.50", "write '$12.50'"),
        ("-$5", "dollar sign"),
        ("€5", "dollar sign"),
        ("$1e5", "dollar sign"),
        ("$12,50", "cents after a point"),
        ("$1.23456", "four decimals"),
        (True, "dollar sign"),
        (None, "dollar sign"),
        ("$" + "9" * 90, "dollar sign"),
    ],
)
def test_money_refused(text: object, word: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_money(text)
    assert word in caught.value.hint


def test_a_height_that_would_be_written_as_nothing_is_level() -> None:
    """Customers read "0 in over the bottom of the footing"."""

    def inches(value: float) -> str:
        return write(value, "length", "US", "in")

    assert height_beside(0.0254, inches) == "1 in over"
    assert height_beside(-0.0254, inches) == "1 in below"
    assert height_beside(-0.0254, inches, "above", "under") == "1 in under"
    for least in (0.0, 0.001, -0.001):  # less than half an eighth
        assert height_beside(least, inches) == "level with"
    assert height_beside(0.001, lambda value: write(value, "length", "SI", "mm", 0)) == "1 mm over"


@given(
    st.floats(-1e9, 1e9), st.sampled_from(["length", "flow", "volume", "temperature"]), st.sampled_from(["US", "SI"])
)
def test_a_number_is_converted_exactly_and_rounded_once(value: float, kind: str, system: System) -> None:
    """By fractions of the standard library, which keep all digits."""
    unit = find(as_kind(kind), tidy(unit_label(kind, system)))
    assert unit is not None
    number = Fraction(value) / unit.factor - unit.offset
    assert convert(value, kind, system) == float(number)
    parts = Fraction(value) / Fraction("0.0254") * 8
    eighths = write(value, "length", "US", "in")
    whole, _, part = eighths.removesuffix(" in").removeprefix("-").rpartition(" ")
    told = Fraction(whole or 0) + Fraction(part)
    assert (-told if eighths.startswith("-") else told) * 8 == round(parts)
