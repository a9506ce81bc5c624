"""Values of a job document: facts with their mark, levels, places, dates, money."""

from __future__ import annotations

import datetime
from decimal import Decimal

import pytest
from pydantic import TypeAdapter, ValidationError

from drainwright.job.firm import Crew, PriceBook
from drainwright.job.values import Amount, Basis, Day, Fact, Fraction, Length, Level, Place, Record, Speed

FEET = 0.3048  # m, exact by definition
DOCUMENT = {"document": True}


@pytest.mark.parametrize(
    ("text", "value", "basis"),
    [
        ("2 ft/day, assumed", "2 ft/day", Basis.ASSUMED),
        ("2 ft/day; mapped", "2 ft/day", Basis.MAPPED),
        ("2 ft/day (measured)", "2 ft/day", Basis.MEASURED),
        ("2 ft/day(measured)", "2 ft/day", Basis.MEASURED),
        ("2 ft/day  ,  Measured ", "2 ft/day", Basis.MEASURED),
        ("loam assumed", "loam", Basis.ASSUMED),
        ("2 ft/day", "2 ft/day", Basis.STATED),
        ("assumed", "assumed", Basis.STATED),  # a mark alone is no value
        (", assumed", ", assumed", Basis.STATED),
        ("unassumed", "unassumed", Basis.STATED),  # only whole words
        ("not-measured", "not-measured", Basis.STATED),
        ("2 ft (assumed", "2 ft (assumed", Basis.STATED),
        ("2 ft assumed)", "2 ft assumed)", Basis.STATED),
        ("assumed, measured", "assumed", Basis.MEASURED),
        ("a (b), stated", "a (b)", Basis.STATED),
    ],
)
def test_mark_behind_a_value(text: str, value: str, basis: Basis) -> None:
    fact = Fact[str].model_validate(text, context=DOCUMENT)
    assert (fact.value, fact.basis) == (value, basis)


def test_fact_written_out() -> None:
    written = {"value": "2 ft/day", "basis": "mapped", "source": "soil survey", "date": "2024-05-02"}
    fact = Fact[Speed].model_validate(written, context=DOCUMENT)
    assert fact.value == pytest.approx(2 * FEET / 86400, rel=1e-15)
    assert (fact.basis, fact.source, fact.date) == (Basis.MAPPED, "soil survey", datetime.date(2024, 5, 2))


@pytest.mark.parametrize("wrong", [{"basis": "mapped"}, {"valu": "3 ft"}, {}, ["3 ft"], None])
def test_fact_without_a_value(wrong: object) -> None:
    with pytest.raises(ValidationError):
        Fact[Length].model_validate(wrong, context=DOCUMENT)


@pytest.mark.parametrize(
    ("text", "offset", "reference"),
    [
        ("96.40 ft", 96.40 * FEET, None),
        ("-3 ft 2 in", -38 / 12 * FEET, None),
        ("3 ft 2 in below A", -38 / 12 * FEET, "A"),
        ("2 in above floor", 2 / 12 * FEET, "floor"),
        ("1 ft Below P1.a", -FEET, "P1.a"),
        ("0.5 m below ground", -0.5, "ground"),
        ("at A", 0.0, "A"),
        ("At footing", 0.0, "footing"),
        ("  at  FLOOR ", 0.0, "FLOOR"),  # a point may be called so
    ],
)
def test_level(text: str, offset: float, reference: str | None) -> None:
    level = Level.model_validate(text, context=DOCUMENT)
    assert level.reference == reference
    assert level.offset == pytest.approx(offset, abs=1e-12)
    assert Level.model_validate(level.model_dump(mode="json"), context=DOCUMENT) == level


def test_a_level_at_a_point_is_written_so() -> None:
    """An assumption read "0 in above SLAB"."""
    assert Level.model_validate("at SLAB", context=DOCUMENT).model_dump(mode="json") == "at SLAB"
    assert Level.model_validate("0 ft above SLAB", context=DOCUMENT).model_dump(mode="json") == "at SLAB"


@pytest.mark.parametrize(
    "wrong",
    [
        "3 ft below", "below A", "3 ft below A B", "at", "at A B", "3 below A", "-3 ft below A", "3 ft under A",
        "3 ft below 9", 3, 3.5, True, None, [], {"offset": 3.0}, "", "x" * 500, "3 gpm below A",
    ],
)  # fmt: skip
def test_level_refused(wrong: object) -> None:
    with pytest.raises(ValidationError):
        Level.model_validate(wrong, context=DOCUMENT)


@pytest.mark.parametrize("wrong", ["3.1 ft below SCB, measured", "96.4 ft, assumed", "at A, mapped"])
def test_a_level_that_carries_no_mark_says_so(wrong: str) -> None:
    """A line above takes the mark (a fact does); the error did not say that this one does not."""
    with pytest.raises(ValidationError, match="leave out how it is known"):
        Level.model_validate(wrong, context=DOCUMENT)


def test_fact_of_a_level_with_both_marks() -> None:
    fact = Fact[Level].model_validate("3 ft below A, measured", context=DOCUMENT)
    assert (fact.value.reference, fact.basis) == ("A", Basis.MEASURED)
    assert fact.value.offset == pytest.approx(-3 * FEET, rel=1e-15)


@pytest.mark.parametrize("written", ["12 ft, -30 ft", "12 ft,-30 ft", ["12 ft", "-30 ft"]])
def test_place_by_coordinates(written: object) -> None:
    place = Place.model_validate(written, context=DOCUMENT)
    assert (place.name, place.east, place.north) == (None, pytest.approx(12 * FEET), pytest.approx(-30 * FEET))
    assert Place.model_validate(place.model_dump(mode="json"), context=DOCUMENT) == place


@pytest.mark.parametrize(
    "wrong",
    ["12 ft", "12, 30", "12 ft, 30 ft, 1 ft", "9A", "", 3, None, {"name": "A"}, {"east": 3.0}, ["12 ft"], "A B"],
)
def test_place_refused(wrong: object) -> None:
    with pytest.raises(ValidationError):
        Place.model_validate(wrong, context=DOCUMENT)


class _Values(Record):
    day: Day | None = None
    part: Fraction = 0.5


@pytest.mark.parametrize("wrong", [20240502, 0, True, "2024-5-2", "2 May 2024", "1899-12-31", "2101-01-01", 1.5])
def test_day_refused(wrong: object) -> None:
    with pytest.raises(ValidationError):
        _Values.model_validate({"day": wrong})


@pytest.mark.parametrize("wrong", ["101 %", 1.01, -0.1, "-4 %", True, float("nan")])
def test_fraction_refused(wrong: object) -> None:
    with pytest.raises(ValidationError):
        _Values.model_validate({"part": wrong})


@pytest.mark.parametrize("wrong", [True, "four", 3.5, 0, 31, float("inf")])
def test_count_refused(wrong: object) -> None:
    with pytest.raises(ValidationError):
        Crew.model_validate({"size": wrong})


def test_money_with_and_without_its_sign() -> None:
    book = PriceBook.model_validate({"prices": {"stone": "$42.50", "pipe": 1.35, "wrap": "3.10"}})
    assert dict(book.prices) == {"stone": Decimal("42.50"), "pipe": Decimal("1.35"), "wrap": Decimal("3.10")}
    book = PriceBook.model_validate({"prices": {"stone": "1,064.00", "pipe": "1,064,000", "wrap": "$1,064"}})
    assert dict(book.prices) == {"stone": Decimal("1064.00"), "pipe": Decimal(1064000), "wrap": Decimal(1064)}
    for wrong in (True, "NaN", "1,064", "1,06.00", "64,00", "£64", "64 EUR", "$1.2.3", "-$4", float("inf")):
        with pytest.raises(ValidationError):
            PriceBook.model_validate({"labour": wrong})


def test_money_that_enters_as_a_float_is_read_as_money() -> None:
    assert TypeAdapter(Amount).validate_python("1,064.50") == 1064.5
    assert TypeAdapter(Amount).validate_python(180) == 180.0
    with pytest.raises(ValidationError, match="without its currency"):
        TypeAdapter(Amount).validate_python("180 EUR")
