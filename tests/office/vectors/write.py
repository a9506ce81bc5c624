"""Writes what the yard's arithmetic in the browser is held against: the office's own answers, floats by their repr.

Run as ``python -m tests.office.vectors.write`` after a change of units, of reading or of the reductions; the tests
fail until that is done.
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, get_args

from drainwright.errors import JobError
from drainwright.field.levels import reduce_book
from drainwright.field.ties import TiesMissError, fix_by_ties
from drainwright.field.traverse import WalkMissError, reduce_walk
from drainwright.job.moisture import TESTS, Sign, Spot, When
from drainwright.job.site import Utility, UtilityKind
from drainwright.job.survey import LevelRow, Perimeter
from drainwright.quantities import Kind, QuantityError, parse, write
from drainwright.quantities.units import ABOUT, CASED, COMPOUND, RATIO, SIGNED, UNITS
from drainwright.quantities.writing import STYLES

HERE = Path(__file__).parent
UNITS_FILE = HERE.parents[2] / "frontend" / "src" / "yard" / "units.json"
FOOT = 0.3048

READ_AS_WRITTEN = (
    "42 ft 6 in", "42'-6\"", "42' - 6\"", "42 ft -6 in", "5½″", "5 ½ in", "5 1/2 in", "5-1/2 in", "1/8 in", "12.95 m",
    "1,500 ft", "1,50 ft", "1,5 m", "3 ft 14 in", "3.5 ft 2 in", "6 in 3 ft", "3 ft 2", "-3 ft 2 in", "+3 ft", "−3 ft",
    "3 fet", "3 Metre", "3 METRES", "12", "", "  ", "- ", "3 gpm", "3 ft extra", "3..5 ft", "3.5.2 ft", "1/0 in",
    "1.5/2 in", "5 3/2 in", "5.0 1/2 in", "1e3 mm", "1E-3 km", "1e400 m", "1e99999 m", ".5 ft", "5. ft", "5.ft",
    "3 ft 2 in -", "3 ft-", "x", "'", "3 ''", "3''", "42′ 6″", "42’ 6”", "0 ft", "-0 ft", "3\u00a0ft", "3\u2009m",
    "9" * 70 + " mm", "9" * 81, "2 in 1/2", "7 ft 0 in", "4 yd 2 ft 11 7/8 in", "1 mi 3 in", "3 ft 2 ft", "10 sq ft",
    "0.1 m", "0.30000000000000004 m", "1.7976931348623157e308 m", "2e308 m", "5e-324 m", "2.4e-324 m", "3 İn",
    "3 \x07m", "3 ft\n", "3 k\\m", "it's \"3\" ft", "3 ²", "4 m2", "three ft", "3,000,000 mm", "3,00,000 mm",
    "⅛ in", "2⅛ in", "²/₃ ft", "42.5 ft.", "42 ft. 6 in.", "3 millimeter", "3 milimeter", "3 inchs", "3 foots",
    "100 yards", "1'", '1"', "1'1\"",
)  # fmt: skip
OTHERS: dict[Kind, tuple[str, ...]] = {
    Kind.GRADE: (
        "1/8 in/ft", "1 %", "1:100", "2:1", "0:100", "1:0", "-1:100", "1 in 100", "1 in/ft", "1/4 in per ft",
        "1.5 : 90", "2 percent", "1/4\"/ft", "-2 %", "0.02", "2 ft/ft", "1/8 in/fot", "1/8 in", "0.5 in / ft",
        "1,000:2,000", "1 in  100",
    ),
    Kind.ANGLE: ("90 deg", "-90 deg", "89°59'30\"", "12° 30'", "1.57 rad", "90", "90 degres", "359.99 °", "-0.5 rad"),
    Kind.TIME: ("1 h 30 min", "15 min", "24 hr", "10 yr", "-3 s", "2 weeks 3 days", "1 month"),
    Kind.FLOW: ("45 gpm", "0.1 cfs", "2.8 L/s", "3 gal/min", "3 cu. ft. per sec", "5 gal/mni", "-3 gpm", "4 m³/h"),
    Kind.INTENSITY: ("2.5 in/h", "64 mm/h", "2.5 in per hour", "2.5 in"),
    Kind.FRACTION: ("40 %", "0.4", "1", "1.5", "140 %", "-3 %"),
    Kind.TEMPERATURE: ("50 °F", "10 °C", "-40 F", "300 K", "50 degF", "50"),
    Kind.VOLUME: ("3 yd3", "18 gal", "2.3 m^3", "2 cu yd", "3 CY", "4 mL", "4 ml", "4 ML"),
    Kind.AREA: ("1,500 ft2", "1500 sq. ft.", "2 acres", "140 m²", "1500 sqft", "3 ha"),
    Kind.PRESSURE: ("1,500 psf", "1.5 tsf", "72 kPa", "2 Mpa", "3 mpa", "20 psi"),
    Kind.MASS: ("85 lb", "5 lb 4 oz", "2 tons", "2 t", "2 T"),
}  # fmt: skip


def _number(dice: random.Random) -> str:
    return dice.choice(
        (
            lambda: str(dice.randrange(200)),
            lambda: f"{dice.uniform(0, 500):.{dice.randrange(1, 7)}f}",
            lambda: repr(dice.uniform(0, 500)),
            lambda: f"{dice.randrange(40)} {dice.randrange(1, 16)}/{dice.choice((2, 3, 4, 8, 16, 32))}",
            lambda: f"{dice.randrange(1, 16)}/{dice.choice((2, 3, 4, 7, 8, 16))}",
            lambda: f"{dice.uniform(1, 9):.3f}e{dice.randrange(-12, 12)}",
            lambda: f"{dice.randrange(10**9):,}",
        )
    )()


def _texts(kind: Kind, dice: random.Random, count: int) -> Iterator[str]:
    """Made texts: right ones of every spelling, compound ones, and some with a slip of the pen."""
    known = list(UNITS[kind]) or ["in/h", "mm/h"]
    for name in known:
        yield f"{_number(dice)} {name}"
    for _ in range(count):
        text = f"{_number(dice)}{dice.choice(('', ' '))}{dice.choice(known)}"
        if kind in COMPOUND and dice.random() < 0.5:
            text = f"{dice.randrange(90)} {dice.choice(known)} {text}"
        if dice.random() < 0.3:
            at = dice.randrange(len(text))
            text = text[:at] + dice.choice("-+ ./,x'\"5e") + text[at + dice.randrange(2) :]
        yield dice.choice(("", "", "-", " ")) + text


def _read(kind: Kind, text: str) -> dict[str, Any]:
    try:
        return {"kind": kind.value, "text": text, "value": repr(parse(text, kind))}
    except QuantityError as error:
        return {"kind": kind.value, "text": text, "found": error.found, "expected": error.expected, "hint": error.hint}


def readings() -> list[dict[str, Any]]:
    """Texts, and what each is read as or why it is refused."""
    dice = random.Random(20)
    found = [_read(Kind.LENGTH, text) for text in (*READ_AS_WRITTEN, *_texts(Kind.LENGTH, dice, 300))]
    for kind in Kind:
        if kind is not Kind.LENGTH:
            found += [_read(kind, text) for text in (*OTHERS.get(kind, ()), *_texts(kind, dice, 30))]
    return found


def writings() -> list[dict[str, Any]]:
    """Values, and how they are written."""
    dice = random.Random(21)
    plain = (0.0, -0.0, 0.125, 0.0015875, 1e-5, -1e-5, 12.954, -0.0001, 304.8, 1e9, 0.3048 * 2.005, 9.995e-4, 999.5)
    return [
        {"value": repr(value), "kind": kind.value, "system": system, "style": style, "digits": digits,
         "text": write(value, kind, system, style, digits)}
        for system, styles in STYLES.items()
        for kind in (Kind.LENGTH, Kind.GRADE, Kind.ANGLE, Kind.SPEED, Kind.VOLUME, Kind.TEMPERATURE)
        for style, how in styles[kind].items()
        for value in (*plain, *(dice.uniform(-50, 50) * 10.0 ** dice.randrange(-5, 4) for _ in range(4)))
        for digits in ((None,) if how.label == "ft" and how.parts else (None, 3))
    ]  # fmt: skip


def _made_book(dice: random.Random) -> dict[str, Any]:
    """A book as it is kept in the yard: one or two sections, some with lengths, some with a point read twice."""
    benchmarks = {"BM": 30.48}
    rows: list[dict[str, Any]] = []
    turns, level, lengths = dice.randrange(4), 30.48, dice.random() < 0.5
    slip = dice.choice((0.0, 0.0, 0.003, -0.02, 0.15))

    def reading(low: float, high: float) -> float:
        return round(dice.uniform(low, high) / FOOT, 2) * FOOT

    def length() -> dict[str, float]:
        return {"distance": round(dice.uniform(5, 60), 1)} if lengths and dice.random() < 0.97 else {}

    mark = "BM"
    for number in range(turns + 1):
        back = reading(0.3, 3.0)
        if number == 0:
            rows.append({"point": mark, "backsight": back, **length()})
        else:
            rows[-1]["backsight"] = back
        height = level + back
        for n in range(dice.randrange(4)):
            name = "P0" if dice.random() < 0.12 else f"P{number}{n}"
            rows.append({"point": name, "intermediate": reading(0.2, 3.2)})
        if number < turns:
            fore = reading(0.3, 3.0)
            rows.append({"point": f"TP{number + 1}", "foresight": fore, **length()})
            level, mark = height - fore, f"TP{number + 1}"
        elif dice.random() < 0.85:
            rows.append({"point": "BM", "foresight": round((height - 30.48 + slip) / FOOT, 2) * FOOT, **length()})
            if dice.random() < 0.3:
                rows.append({"point": "BM", "backsight": reading(0.3, 3.0)})
                rows.append({"point": "E9", "intermediate": reading(0.3, 3.0)})
    if dice.random() < 0.3:
        del rows[dice.randrange(len(rows))]
    if dice.random() < 0.2:
        rows[dice.randrange(len(rows))]["point"] = "Q1"
    return {"rows": rows, "benchmarks": benchmarks, "known": {"DOOR": 31.0} if dice.random() < 0.2 else {}}


def _exact(value: Any) -> Any:
    """Floats by their repr, all the way down."""
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, dict):
        return {key: _exact(one) for key, one in value.items()}
    return [_exact(one) for one in value] if isinstance(value, list | tuple) else value


def _reduced(book: dict[str, Any]) -> dict[str, Any]:
    shown = ("backsight", "intermediate", "foresight", "distance")
    rows = [
        LevelRow(point=row["point"], **{key: f"{row[key]!r} m" for key in shown if key in row}) for row in book["rows"]
    ]
    try:
        found = reduce_book(rows, book["benchmarks"], book["known"]).book
    except JobError as error:
        told = [{"where": one.where, "found": one.found, "expected": one.expected} for one in error.problems]
        return {"book": _exact(book), "problems": told}
    proportional = found.method == "proportional"
    lines = [
        {"point": line.point, "instrument": line.instrument_height, "level": line.level,
         "adjusted": line.adjusted if proportional else None}
        for line in found.lines
    ]  # fmt: skip
    return {
        "book": _exact(book),
        "reduced": _exact(
            {"lines": lines, "misclosure": found.misclosure, "allowable": found.allowable, "set_ups": found.set_ups,
             "arithmetic": found.arithmetic, "redundancy": found.redundancy, "proportional": proportional}
        ),
    }  # fmt: skip


def books() -> list[dict[str, Any]]:
    """Level books, and what they are reduced to or why they cannot be followed."""
    dice = random.Random(22)
    return [_reduced(_made_book(dice)) for _ in range(200)]


def _tied(dice: random.Random) -> dict[str, Any]:
    """A point by two, three or four ties: taped well, with a slip, or from points in one line."""
    tape, count = 0.01, dice.choice((2, 2, 3, 3, 4))
    spot = (dice.uniform(-20, 20), dice.uniform(-20, 20))
    line = dice.random() < 0.25
    anchors = [(dice.uniform(-15, 15), 0.0 if line else dice.uniform(-15, 15)) for _ in range(count)]
    slip = dice.choice((0.0, 0.0, 0.0, 0.5, 20.0))
    distances = [round(math.dist(spot, anchor) + dice.uniform(-2, 2) * tape, 4) for anchor in anchors]
    distances[0] += slip
    if dice.random() < 0.1:  # a tangent: the circles just miss
        distances[:2] = [round(math.dist(anchors[0], anchors[1]) / 2 - 0.001, 4)] * 2
    given = {"anchors": anchors, "distances": distances, "tape": tape}
    try:
        found = fix_by_ties(anchors, distances, tape)
    except TiesMissError as error:
        return _exact(given | {"gap": error.gap, "pair": [error.first, error.second]})
    fixes = [
        {"at": fix.at, "residual": fix.residual, "standard_error": fix.standard_error, "misfit": fix.misfit,
         "angle": fix.angle, "weak": fix.weak}
        for fix in found
    ]  # fmt: skip
    return _exact(given | {"fixes": fixes})


def ties() -> list[dict[str, Any]]:
    """Ties, and the places that fit them or why none does."""
    dice = random.Random(23)
    return [_tied(dice) for _ in range(200)]


def _walked(dice: random.Random) -> dict[str, Any]:
    """A walk round a house of right angles with a wing, read to the inch and the degree, now and then with a slip."""
    a, b, c, d = (dice.uniform(3, 15) for _ in range(4))
    way = dice.choice((1, -1))
    lengths = [a + b, c, a, d, b, c + d]
    turns = [90.0, 90.0, -90.0, 90.0, 90.0, 90.0]
    lengths = [round((length + dice.uniform(-0.02, 0.02)) / 0.0254) * 0.0254 for length in lengths]
    turns = [math.radians(way * (turn + dice.choice((0.0, 0.0, 0.5, -1.0)))) for turn in turns]
    if dice.random() < 0.1:
        turns[dice.randrange(6)] *= -1
    if dice.random() < 0.2:
        lengths[dice.randrange(6)] += 8.0
    legs = [{"to": "BCDEFA"[n], "length": lengths[n], "turn": turns[n]} for n in range(6)]
    if dice.random() < 0.3:
        del legs[-1]["turn"]
    walk = {"start": "A", "at": [dice.uniform(-5, 5), 2.0], "bearing": dice.uniform(0, 6), "legs": legs,
            "adjust": dice.random() < 0.8}  # fmt: skip
    at = walk["at"]
    units = {"length": "m", "turn": "rad"}
    spoken = [{key: f"{one!r} {units[key]}" if key in units else one for key, one in leg.items()} for leg in legs]
    shown = {"start": "A", "bearing": f"{walk['bearing']!r} rad", "legs": spoken, "adjust": walk["adjust"]}
    perimeter = Perimeter.model_validate(shown)
    try:
        corners, closure, _ = reduce_walk(perimeter, (at[0], at[1]))
    except WalkMissError as error:
        return _exact({"walk": walk, "found": error.problems[0].found, "hint": error.problems[0].hint})
    found = {"corners": corners, "perimeter": closure.perimeter, "east": closure.closure_east,
             "north": closure.closure_north, "angular": closure.angular_misclosure}  # fmt: skip
    return _exact({"walk": walk, "walked": found})


def walks() -> list[dict[str, Any]]:
    """Walks, and their corners and closure or why they cannot be laid out."""
    dice = random.Random(24)
    return [_walked(dice) for _ in range(100)]


def _pair(value: Fraction) -> list[str]:
    return [str(value.numerator), str(value.denominator)]


def units() -> dict[str, Any]:
    """The table of units as the browser has it: numerators and denominators of factor and offset."""
    kinds = {
        kind.value: {
            **ABOUT[kind]._asdict(),
            "signed": kind in SIGNED,
            "compound": kind in COMPOUND,
            "ratio": [one.value for one in RATIO[kind]] if kind in RATIO else None,
            "units": {name: _pair(unit.factor) + _pair(unit.offset) for name, unit in UNITS[kind].items()},
            "styles": {
                system: {name: style._asdict() for name, style in STYLES[system][kind].items()} for system in STYLES
            },
        }
        for kind in Kind
    }
    return json.loads(json.dumps({"kinds": kinds, "cased": sorted(CASED)}))


def choices() -> dict[str, Any]:
    """What the yard pages offer to choose from: the words that the job model knows."""
    return {
        "when": list(get_args(When)), "sign": list(get_args(Sign)), "spot": list(get_args(Spot)),
        "tests": {kind: list(results) for kind, results in TESTS.items()}, "utility": list(get_args(UtilityKind)),
        "located": list(get_args(Utility.model_fields["located_by"].annotation)),
    }  # fmt: skip


MAKERS: dict[Path, Callable[[], Any]] = {
    UNITS_FILE: units,
    UNITS_FILE.parent / "job" / "choices.json": choices,
    HERE / "readings.json": readings,
    HERE / "writings.json": writings,
    HERE / "books.json": books,
    HERE / "ties.json": ties,
    HERE / "walks.json": walks,
}


def text_of(content: Any) -> str:
    """JSON with an entry a line."""
    if isinstance(content, Sequence):
        return "[\n" + ",\n".join(json.dumps(one, ensure_ascii=True, allow_nan=False) for one in content) + "\n]\n"
    return json.dumps(content, ensure_ascii=True, indent=1) + "\n"


if __name__ == "__main__":
    for path, make in MAKERS.items():
        path.write_text(text_of(make()), encoding="utf-8")
