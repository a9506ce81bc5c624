"""Greatest values: each kind has one, slips are refused there, and what a lot may hold passes."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import TypeAdapter, ValidationError

from drainwright.errors import JobError
from drainwright.job import read_text, values
from drainwright.job.limits import MOST, bounded
from drainwright.job.values import Level, Place
from drainwright.quantities import QuantityError, parse

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")
DOCUMENT = {"document": True}

# Type, the greatest value that passes, one that does not.
BOUNDS = [
    ("Length", "1 km", "1001 m"), ("PositiveLength", "1 km", "4000 ft"), ("Distance", "-1 km", "-1001 m"),
    ("Size", "100 m", "400 ft"), ("PositiveSize", "100 m", "101 m"), ("Position", "-10 km", "-10001 m"),
    ("Reading", "25 ft", "25.1 ft"), ("Reading", "-7.62 m", "-7.7 m"), ("RainDepth", "10 m", "1e30 in"),
    ("Area", "100000 m2", "1e30 ft2"), ("Area", "1,000,000 ft2", "1e8 ft2"),
    ("Flow", "1 m3/s", "16000 gpm"), ("Intensity", "1000 mm/h", "1001 mm/h"), ("Speed", "20 m/s", "21 m/s"),
    ("Conductivity", "0.1 m/s", "0.11 m/s"), ("Grade", "200 %", "201 %"), ("Angle", "-720 deg", "721 deg"),
    ("Period", "1000 yr", "1001 yr"), ("Duration", "60 days", "61 days"), ("StormDuration", "10 days", "11 days"),
    ("Round", "70 ft3", "900 ft3"), ("LoadVolume", "40 m3", "60 yd3"), ("Payload", "40 t", "90,000 lb"),
    ("Mass", "1000 t", "1001 t"),
    ("Density", "10000 kg/m3", "10001 kg/m3"),
    ("Power", "100 kW", "101 kW"), ("Fraction", "100 %", "101 %"),
    ("Accuracy", "1 m", "1.1 m"), ("TurnAccuracy", "45 deg", "46 deg"),
    ("Current", "1000 A", "1001 A"), ("Charge", "100000 Ah", "100001 Ah"), ("Rate", "3600 /h", "3601 /h"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "fits", "beyond"), BOUNDS)
def test_the_greatest_value_passes_and_more_is_refused(name: str, fits: str, beyond: str) -> None:
    adapter = TypeAdapter(getattr(values, name))
    assert adapter.validate_python(fits)
    with pytest.raises(ValidationError, match=r"found .*; expected .* of at most [0-9]"):
        adapter.validate_python(beyond)


def test_each_bound_is_tried() -> None:
    used = {key for key in MOST if key != "offset"}
    assert len({name for name, *_ in BOUNDS} - {"PositiveLength", "Distance", "PositiveSize"}) == len(used)


@pytest.mark.parametrize("most", MOST.values(), ids=MOST.keys())
def test_the_words_name_the_value_that_is_used(most: object) -> None:
    value, text, _ = most  # type: ignore[misc]
    written = [part.strip("() ") for part in text.split("(")]
    kinds = ["length", "area", "volume", "flow", "intensity", "speed", "grade", "angle", "time", "mass", "density",
             "power", "fraction", "current", "charge", "rate"]  # fmt: skip
    for part in written:
        read = []
        for kind in kinds:
            try:
                read.append(parse(part, kind))
            except QuantityError:
                continue
        assert any(found == pytest.approx(value, rel=0.02) for found in read), (part, read)


@pytest.mark.parametrize(
    ("written", "meant"),
    [("49.0 ft", "4.90 ft"), ("495 ft", "4.95 ft"), ("1495 m", "1.495 m"), ("-76.3 ft", "-7.63 ft"), ("26'", "2.6'")],
)
def test_a_reading_whose_point_has_slipped_is_put_right(written: str, meant: str) -> None:
    with pytest.raises(QuantityError) as caught:
        bounded(parse(written, "length"), written, "length", "rod")
    assert caught.value.hint.endswith(f"was {meant} meant?")


def test_a_reading_in_two_units_has_no_guess() -> None:
    with pytest.raises(QuantityError) as caught:
        bounded(30.0, "98 ft 5 in", "length", "rod")
    assert caught.value.hint == "a rod is no longer than 25 ft"


@pytest.mark.parametrize("written", ["12 km, 0 m", "0 m, -12 km", ["1e30 ft", "0 ft"]])
def test_a_place_beyond_reach_is_refused(written: object) -> None:
    with pytest.raises(ValidationError, match="a level or a coordinate of at most"):
        Place.model_validate(written, context=DOCUMENT)


@pytest.mark.parametrize("written", ["12 km", "-12 km", "101 m above A", "1e30 ft below floor"])
def test_a_level_beyond_reach_is_refused(written: str) -> None:
    with pytest.raises(ValidationError, match="of at most"):
        Level.model_validate(written, context=DOCUMENT)


@pytest.mark.parametrize(("east", "told"), [("6500 ft", False), ("6600 ft", True), ("-6600 ft", True)])
def test_the_lot_fits_in_a_square(east: str, told: bool) -> None:
    text = SMALL.replace('at: "60 ft, -20 ft"', f'at: "{east}, -20 ft"')
    if not told:
        assert read_text(text).job.works.discharge[0].at.east is not None
        return
    with pytest.raises(JobError) as caught:
        read_text(text)
    assert [problem.where for problem in caught.value.problems] == ["works.discharge[0].at"]


def test_a_walk_that_leaves_the_square_is_told_once() -> None:
    text = SMALL.replace("{name: B, east: 40 ft,", "{name: B, east: 9000 ft,")
    with pytest.raises(JobError) as caught:
        read_text(text)
    assert "survey.points[1]" in [problem.where for problem in caught.value.problems]
