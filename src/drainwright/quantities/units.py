"""The kinds of quantity, and their units as exact fractions of the unit used inside."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from drainwright.errors import InputError

# Exact by definition: the international yard and pound agreement of 1959, the US gallon of 231 cubic
# inches, the standard acceleration of gravity of 1901 (NIST SP 811, Appendix B; from memory).
INCH = Fraction("0.0254")  # m
POUND = Fraction("0.45359237")  # kg
GALLON = 231 * INCH**3  # m³, US liquid gallon
GRAVITY = Fraction("9.80665")  # m/s²

# Derived from those, still exact.
FOOT = 12 * INCH  # m
YARD = 3 * FOOT  # m
MILE = 5280 * FOOT  # m, international
ACRE = 43560 * FOOT**2  # m², of international feet; the survey acre is 4 parts in a million larger
TON = 2000 * POUND  # kg, US short ton
POUND_FORCE = POUND * GRAVITY  # N
HORSEPOWER = 550 * FOOT * POUND_FORCE  # W, mechanical (745.70 W), not the electrical 746 W

MINUTE = Fraction(60)  # s
HOUR = 60 * MINUTE  # s
DAY = 24 * HOUR  # s
YEAR = Fraction("365.25") * DAY  # s, Julian year, as design lives and return periods are counted
DEGREE = Fraction(math.pi) / 180  # rad, the float nearest to pi taken as exact
LITRE = Fraction(1, 1000)  # m³


class Kind(StrEnum):
    """What a quantity measures; the comment gives the unit of its float inside."""

    LENGTH = "length"  # m
    AREA = "area"  # m²
    VOLUME = "volume"  # m³
    FLOW = "flow"  # m³/s
    INTENSITY = "intensity"  # m/s, depth of rain per time
    GRADE = "grade"  # m/m, rise over run
    ANGLE = "angle"  # rad
    TIME = "time"  # s
    SPEED = "speed"  # m/s, also the conductivity of soil
    MASS = "mass"  # kg
    DENSITY = "density"  # kg/m³
    PRESSURE = "pressure"  # Pa, also stress
    POWER = "power"  # W
    TEMPERATURE = "temperature"  # °C
    FRACTION = "fraction"  # 1
    CURRENT = "current"  # A
    CHARGE = "charge"  # Ah, as batteries are rated; not coulombs
    VOLTAGE = "voltage"  # V
    ENERGY = "energy"  # Wh, as batteries are rated; not joules
    RATE = "rate"  # 1/s, events per time
    INFLOW = "inflow"  # m²/s, flow per length of trench or wall


class Unit(NamedTuple):
    """A unit: the value inside is ``(number + offset) * factor``."""

    factor: Fraction
    offset: Fraction = Fraction(0)


class About(NamedTuple):
    """How a kind is spoken of in errors, and saved."""

    phrase: str  # "a length"
    base: str  # the unit with factor one
    usual: tuple[str, ...]  # units offered for a bare number
    example: str  # texts that are accepted


ABOUT: Mapping[Kind, About] = {
    Kind.LENGTH: About("a length", "m", ("ft", "m"), "'42 ft 6 in' or '12.95 m'"),
    Kind.AREA: About("an area", "m2", ("ft2", "m2"), "'1,500 ft2' or '140 m2'"),
    Kind.VOLUME: About("a volume", "m3", ("yd3", "gal", "m3"), "'3 yd3', '18 gal' or '2.3 m3'"),
    Kind.FLOW: About("a flow", "m3/s", ("gpm", "L/s"), "'45 gpm' or '2.8 L/s'"),
    Kind.INTENSITY: About("a rain intensity", "m/s", ("in/h", "mm/h"), "'2.5 in/h' or '64 mm/h'"),
    Kind.GRADE: About("a grade", "m/m", ("%", "in/ft", "m/m"), "'1 %', '1/8 in/ft' or '1:100'"),
    Kind.ANGLE: About("an angle", "rad", ("deg", "rad"), "'90 deg' or '1.57 rad'"),
    Kind.TIME: About("a time", "s", ("min", "h", "yr"), "'15 min', '24 h' or '10 yr'"),
    Kind.SPEED: About("a speed", "m/s", ("ft/s", "ft/day", "m/s"), "'3 ft/s', '2 ft/day' or '1e-5 m/s'"),
    Kind.MASS: About("a mass", "kg", ("lb", "kg"), "'85 lb' or '40 kg'"),
    Kind.DENSITY: About("a density", "kg/m3", ("pcf", "kg/m3"), "'110 pcf' or '1,760 kg/m3'"),
    Kind.PRESSURE: About("a pressure", "Pa", ("psf", "psi", "kPa"), "'1,500 psf', '1.5 tsf' or '72 kPa'"),
    Kind.POWER: About("a power", "W", ("hp", "W"), "'1/2 hp' or '370 W'"),
    Kind.TEMPERATURE: About("a temperature", "°C", ("°F", "°C"), "'50 °F' or '10 °C'"),
    Kind.FRACTION: About("a fraction", "", ("%",), "'40 %' or '0.4'"),
    Kind.CURRENT: About("a current", "A", ("A",), "'9.5 A'"),
    Kind.CHARGE: About("a charge", "Ah", ("Ah",), "'75 Ah'"),
    Kind.VOLTAGE: About("a voltage", "V", ("V",), "'120 V'"),
    Kind.ENERGY: About("an energy", "Wh", ("Wh", "kWh"), "'900 Wh' or '0.9 kWh'"),
    Kind.RATE: About("a rate", "/s", ("/h", "/day"), "'8 /h'"),
    Kind.INFLOW: About("an inflow per length", "m2/s", ("gpm/ft", "L/s/m"), "'0.5 gpm/ft' or '0.1 L/s/m'"),
}

SIGNED = frozenset({Kind.LENGTH, Kind.GRADE, Kind.ANGLE, Kind.TEMPERATURE})  # may stand below zero
COMPOUND = frozenset({Kind.LENGTH, Kind.ANGLE, Kind.TIME, Kind.MASS})  # "42 ft 6 in", "1 h 30 min"
RATIO: Mapping[Kind, tuple[Kind, Kind]] = {  # kinds whose units are also one unit over another
    Kind.FLOW: (Kind.VOLUME, Kind.TIME),
    Kind.INTENSITY: (Kind.LENGTH, Kind.TIME),
    Kind.SPEED: (Kind.LENGTH, Kind.TIME),
    Kind.GRADE: (Kind.LENGTH, Kind.LENGTH),
    Kind.DENSITY: (Kind.MASS, Kind.VOLUME),
    Kind.INFLOW: (Kind.FLOW, Kind.LENGTH),
}
CASED = frozenset({"mL", "ml", "t", "MPa", "mA", "mAh", "mV"})  # another case would be another unit


def _named(names: Mapping[str, Fraction]) -> dict[str, Unit]:
    return {name: Unit(factor) for spaced, factor in names.items() for name in spaced.split(",")}


_ONE = Fraction(1)
_LENGTH = {
    "m,metre,metres,meter,meters": _ONE,
    "mm,millimetre,millimetres,millimeter,millimeters": _ONE / 1000,
    "cm,centimetre,centimetres,centimeter,centimeters": _ONE / 100,
    "km,kilometre,kilometres,kilometer,kilometers": _ONE * 1000,
    "in,inch,inches": INCH,
    "ft,foot,feet": FOOT,
    "yd,yds,yard,yards": YARD,
    "mi,mile,miles": MILE,
}
_TIME = {
    "s,sec,secs,second,seconds": _ONE,
    "min,mins,minute,minutes": MINUTE,
    "h,hr,hrs,hour,hours": HOUR,
    "d,day,days": DAY,
    "wk,week,weeks": 7 * DAY,
    "month,months": YEAR / 12,
    "yr,yrs,year,years": YEAR,
}


def _powers(power: int, *words: str) -> dict[str, Fraction]:
    """Give the areas (2) or volumes (3) of the lengths: ``ft2``, ``sq ft``, ``square ft``."""
    return {
        text: factor**power
        for names, factor in _LENGTH.items()
        for name in names.split(",")
        for text in (f"{name}{power}", *(f"{word} {name}" for word in words))
    }


UNITS: Mapping[Kind, Mapping[str, Unit]] = {
    Kind.LENGTH: _named(_LENGTH | {"'": FOOT, '"': INCH}),
    Kind.AREA: _named(
        _powers(2, "sq", "square") | {"sf,sqft": FOOT**2, "acre,acres": ACRE, "ha,hectare,hectares": _ONE * 10000}
    ),
    Kind.VOLUME: _named(
        _powers(3, "cu", "cubic")
        | {"cf,cuft": FOOT**3, "cy,cuyd": YARD**3, "gal,gals,gallon,gallons": GALLON}
        | {"L,litre,litres,liter,liters": LITRE, "mL,ml,millilitre,milliliter": LITRE / 1000}
    ),
    Kind.FLOW: _named(
        {"gpm": GALLON / MINUTE, "gph": GALLON / HOUR, "gpd": GALLON / DAY}
        | {"cfs": FOOT**3, "cfm": FOOT**3 / MINUTE, "lps": LITRE, "lpm": LITRE / MINUTE}
    ),
    Kind.INTENSITY: {},
    Kind.SPEED: _named({"fps": FOOT, "mph": MILE / HOUR}),
    Kind.GRADE: _named({"%,percent": _ONE / 100}),
    Kind.ANGLE: _named(
        {"rad,radian,radians": _ONE, "°,deg,degree,degrees": DEGREE}
        | {"',arcmin": DEGREE / 60, '",arcsec': DEGREE / 3600}
    ),
    Kind.TIME: _named(_TIME),
    Kind.MASS: _named(
        {"kg,kilogram,kilograms": _ONE, "g,gram,grams": _ONE / 1000, "t,tonne,tonnes": _ONE * 1000}
        | {"lb,lbs,pound,pounds": POUND, "oz,ounce,ounces": POUND / 16, "ton,tons,short ton,short tons": TON}
    ),
    Kind.DENSITY: _named({"pcf": POUND / FOOT**3}),
    Kind.PRESSURE: _named(
        {"Pa,N/m2": _ONE, "kPa,kN/m2": _ONE * 1000, "MPa,N/mm2": _ONE * 10**6, "bar": _ONE * 10**5}
        | {"psi,lb/in2,lbf/in2,lb/sq in": POUND_FORCE / INCH**2}
        | {"psf,lb/ft2,lbf/ft2,lb/sq ft": POUND_FORCE / FOOT**2}
        | {"ksf": 1000 * POUND_FORCE / FOOT**2}
        | {"tsf,ton/ft2,tons/ft2,ton/sq ft,tons/sq ft": 2000 * POUND_FORCE / FOOT**2}
    ),
    Kind.POWER: _named({"W,watt,watts": _ONE, "kW,kilowatt,kilowatts": _ONE * 1000, "hp": HORSEPOWER}),
    Kind.TEMPERATURE: {
        **dict.fromkeys(("°C", "C", "degC", "deg C", "° C"), Unit(_ONE)),
        **dict.fromkeys(("°F", "F", "degF", "deg F", "° F"), Unit(Fraction(5, 9), Fraction(-32))),
        "K": Unit(_ONE, Fraction("-273.15")),
    },
    Kind.FRACTION: _named({"%,percent": _ONE / 100}),
    Kind.CURRENT: _named({"A,amp,amps,ampere,amperes": _ONE, "mA": _ONE / 1000}),
    Kind.CHARGE: _named({"Ah,A h,amp h,amp hour,amp hours": _ONE, "mAh": _ONE / 1000}),
    Kind.VOLTAGE: _named({"V,volt,volts,VAC,VDC": _ONE, "mV": _ONE / 1000, "kV": _ONE * 1000}),
    Kind.ENERGY: _named({"Wh,W h": _ONE, "kWh,kW h": _ONE * 1000, "J": _ONE / 3600, "kJ": Fraction(1000, 3600)}),
    Kind.RATE: {f"/{name}": Unit(1 / unit.factor) for name, unit in _named(_TIME).items()},
    Kind.INFLOW: _named({"m2/s": _ONE}),
}
_FOLDED = {
    kind: {name.lower(): unit for name, unit in names.items() if name not in CASED} for kind, names in UNITS.items()
}
_SUPERSCRIPTS = str.maketrans({"²": "2", "³": "3", "^": None, ".": None})


def as_kind(kind: Kind | str) -> Kind:
    """Give the kind of that name, or raise ``InputError``."""
    try:
        return Kind(kind)
    except ValueError:
        raise InputError(f"kind = {kind!r}: expected one of {', '.join(Kind)}") from None


def tidy(spelling: str) -> str:
    """Bring the spelling of a unit to the form of the table: ``cu. yd. per  h`` is ``cu yd/h``."""
    plain = re.sub(r"\bper\b", "/", spelling.translate(_SUPERSCRIPTS), flags=re.IGNORECASE)
    return "/".join(" ".join(part.split()) for part in plain.split("/"))


def find(kind: Kind, spelling: str) -> Unit | None:
    """Look up a tidied spelling among the units of ``kind``; ``None`` if it is not one of them."""
    named = UNITS[kind].get(spelling) or _FOLDED[kind].get("" if spelling in CASED else spelling.lower())
    if named or kind not in RATIO or "/" not in spelling:
        return named
    above, below = spelling.rsplit("/", 1)
    top, bottom = find(RATIO[kind][0], above), find(RATIO[kind][1], below)
    return Unit(top.factor / bottom.factor) if top and bottom else None


def kinds_of(spelling: str) -> list[Kind]:
    """List the kinds that know a tidied spelling."""
    return [kind for kind in Kind if find(kind, spelling)]
