"""Invented level books of house lots, sound or with one planted blunder. Knows nothing of how blunders are sought.

The ground is an even slope of 1 to 6 % with mounds and hollows 8 to 20 m in radius and, on three lots in ten, a
terrace of 0.2 to 0.6 m. Half of the walls have ground that has settled by up to 5 cm. Bumps and hollows reach 2 to 3
cm up and down from shot to shot, all heights between as likely. The rod is read with a standard error of 1.5 mm and
booked to 0.01 ft (metric books to 1 mm). Shots stand 2 m apart or more, outside the house; 2 to 5 set-ups go round it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from random import Random

from drainwright.job.survey import LevelRow

FOOT = 0.3048
LEAST = 0.25 * FOOT  # no planted blunder is smaller [m]
ROD = 7.6  # no rod is longer [m]
ROUGHER = False  # set it: the 2 to 3 cm are a standard deviation
KINDS = ("foot", "decimetre", "inches as tenths", "tenths as inches", "digits", "sign", "set-up", "turning sight")


@dataclass
class Line:
    point: str
    back: float | None = None  # as read [booking units]
    between: float | None = None
    fore: float | None = None


@dataclass
class Yard:
    """One visit: what was booked, where the shots are, what was planted."""

    metric: bool
    lines: list[Line] = field(default_factory=list)
    places: dict[str, tuple[float, float]] = field(default_factory=dict)
    heights: list[float] = field(default_factory=list)  # true heights of instrument [m]
    outline: list[tuple[float, float]] = field(default_factory=list)  # of the house [m]
    set_up_of: list[int] = field(default_factory=list)  # of each line's shot
    kind: str = ""
    planted: int | None = None  # row, from 0
    size: float = 0.0  # booked less meant [m]

    @property
    def unit(self) -> float:
        return 1.0 if self.metric else FOOT

    def rows(self) -> list[LevelRow]:
        name = "m" if self.metric else "ft"
        digits = 3 if self.metric else 2
        return [
            LevelRow.model_validate({"point": line.point} | {
                key: f"{value:.{digits}f} {name}"
                for key, value in (("backsight", line.back), ("intermediate", line.between), ("foresight", line.fore))
                if value is not None
            })
            for line in self.lines
        ]  # fmt: skip


def _ground(dice: Random, wide: float, deep: float):
    """Level of the ground by place, without its small unevenness."""
    grade, way = dice.uniform(0.01, 0.06), dice.uniform(0.0, 2.0 * math.pi)
    mounds = [
        (dice.uniform(0, wide), dice.uniform(0, deep), dice.uniform(8.0, 20.0), dice.uniform(-0.2, 0.2))
        for _ in range(dice.randint(2, 5))
    ]
    terrace = dice.random() < 0.3
    edge, drop = dice.uniform(0.3, 0.7) * deep, dice.uniform(0.2, 0.6) * dice.choice((-1.0, 1.0))

    def level(east: float, north: float) -> float:
        height = 30.0 + grade * (east * math.cos(way) + north * math.sin(way))
        height += sum(top * math.exp(-((east - e) ** 2 + (north - n) ** 2) / (2 * r * r)) for e, n, r, top in mounds)
        return height + (drop if terrace and north > edge else 0.0)

    return level, (edge if terrace else None)


def _shots(dice: Random, count: int, house: tuple[float, ...], wide: float, deep: float, edge: float | None):
    """Places of the shots: at the walls, in pairs above and below a terrace, the rest strewn over the yard."""
    west, east, south, north = house
    found: list[tuple[float, float]] = []
    for e, n in ((west, south), (east, south), (east, north), (west, north)):
        found.append((e + math.copysign(0.1, e - wide / 2), n + math.copysign(0.1, n - deep / 2)))
    found += [(wide / 2, south - 0.3), (wide / 2, north + 0.3), (west - 0.3, deep / 2), (east + 0.3, deep / 2)]
    if edge is not None:
        for part in (0.1, 0.25, 0.75, 0.9):
            found += [(part * wide, edge - 0.4), (part * wide, edge + 0.4)]
    tries = 0
    while len(found) < count and tries < 20000:
        tries += 1
        place = (dice.uniform(0, wide), dice.uniform(0, deep))
        if house[0] < place[0] < house[1] and house[2] < place[1] < house[3]:
            continue
        if all(math.dist(place, other) >= 2.0 for other in found):
            found.append(place)
    return found


def _walk(dice: Random, metric: bool) -> Yard | None:
    """One sound book; None where the rod is too short."""
    yard = Yard(metric)
    wide, deep = dice.uniform(18.0, 30.0), dice.uniform(25.0, 40.0)
    level, edge = _ground(dice, wide, deep)
    rough = dice.uniform(0.02, 0.03)
    count, set_ups = dice.randint(25, 60), dice.randint(2, 5)
    house = (0.3 * wide, 0.7 * wide, 0.35 * deep, 0.65 * deep)
    yard.outline = [(house[0], house[2]), (house[1], house[2]), (house[1], house[3]), (house[0], house[3])]
    shots = _shots(dice, count, house, wide, deep, edge)
    settled = {place: dice.uniform(0.0, 0.05) for place in shots[4:8] if dice.random() < 0.5}
    middle = (wide / 2, deep / 2)
    first = dice.uniform(0.0, 2.0 * math.pi)

    def sector(place: tuple[float, float]) -> int:
        angle = (math.atan2(place[1] - middle[1], place[0] - middle[0]) - first) % (2.0 * math.pi)
        return int(angle / (2.0 * math.pi) * set_ups)

    def booked(reading: float) -> float:
        return round((reading + dice.gauss(0.0, 0.0015)) / yard.unit, 3 if metric else 2)

    known = 30.48 if not metric else 30.0
    mark, name = known, "BM"
    datum = known - level(*middle)  # the ground near the benchmark's level
    number = 0
    for stand in range(set_ups):
        angle = first + (stand + 0.5) / set_ups * 2.0 * math.pi
        at = (middle[0] + 0.4 * wide * math.cos(angle), middle[1] + 0.4 * deep * math.sin(angle))
        height = level(*at) + datum + dice.uniform(1.2, 1.7)
        yard.heights.append(height)
        line = yard.lines[-1] if stand else Line("BM")
        if not stand:
            yard.lines.append(line)
            yard.set_up_of.append(0)
        line.back = booked(height - mark)
        for place in [one for one in shots if sector(one) == stand]:
            number += 1
            yard.places[f"G{number}"] = place
            true = level(*place) + datum - settled.get(place, 0.0)
            true += dice.gauss(0.0, rough) if ROUGHER else dice.uniform(-rough, rough)
            yard.lines.append(Line(f"G{number}", between=booked(height - true)))
            yard.set_up_of.append(stand)
        if stand == 0:
            yard.lines.append(Line("SILL", between=booked(dice.uniform(0.3, 1.2))))
            yard.set_up_of.append(stand)
        if stand < set_ups - 1:
            angle += math.pi / set_ups
            turn = (middle[0] + 0.45 * wide * math.cos(angle), middle[1] + 0.45 * deep * math.sin(angle))
            mark, name = level(*turn) + datum + 0.1, f"TP{stand + 1}"
        else:
            mark, name = known, "BM"
        yard.lines.append(Line(name, fore=booked(height - mark)))
        yard.set_up_of.append(stand)
    top = 4.0 / yard.unit
    readings = [value for line in yard.lines for value in (line.back, line.between, line.fore) if value is not None]
    return yard if all(0.2 < value < top for value in readings) else None


def _exchange(text: str, dice: Random) -> str:
    spots = [n for n, letter in enumerate(text) if letter.isdigit()]
    n = dice.randrange(len(spots) - 1)
    letters = list(text)
    letters[spots[n]], letters[spots[n + 1]] = letters[spots[n + 1]], letters[spots[n]]
    return "".join(letters)


def _blunder(dice: Random, yard: Yard, kind: str) -> bool:
    """Plant one; False where this book offers no line for it."""
    ground = [n for n, line in enumerate(yard.lines) if line.between is not None and line.point in yard.places]
    dice.shuffle(ground)
    if kind == "turning sight":
        turns = [(n, key) for n, line in enumerate(yard.lines) for key in ("back", "fore") if getattr(line, key)]
        row, key = dice.choice(turns)
        steps = (0.1, 0.2, 0.5, 1.0) if yard.metric else (0.3, 0.5, 1.0, 1.0, 2.0)
        wrong = dice.choice(steps) * dice.choice((-1.0, 1.0))
        setattr(yard.lines[row], key, getattr(yard.lines[row], key) + wrong)
        yard.planted, yard.size = row, wrong * yard.unit
        return True
    for row in ground:
        line = yard.lines[row]
        meant = line.between or 0.0
        whole, rest = int(meant), meant - int(meant)
        wrong = None
        if kind == "foot":
            wrong = meant + dice.choice((-1.0, 1.0))
        elif kind == "decimetre":
            wrong = meant + dice.choice((-0.1, 0.1))
        elif kind == "inches as tenths" and round(rest * 12) in (10, 11):
            wrong = float(f"{whole}.{round(rest * 12)}")
        elif kind == "tenths as inches" and 0.094 < rest < 0.116:
            wrong = round(whole + round(rest * 100) / 12, 2)
        elif kind == "digits":
            wrong = float(_exchange(f"{meant:.{3 if yard.metric else 2}f}", dice))
        elif kind == "sign":
            wrong = -meant
        elif kind == "set-up":
            return _misplace(dice, yard)
        if wrong is not None and abs(wrong - meant) * yard.unit >= LEAST and wrong * yard.unit < ROD:
            line.between = wrong
            yard.planted, yard.size = row, (wrong - meant) * yard.unit
            return True
    return False


def _misplace(dice: Random, yard: Yard) -> bool:
    """Book a shot that was read beside a turning point on that point's other side."""
    turns = [n for n, line in enumerate(yard.lines) if line.fore is not None and line.back is not None]
    dice.shuffle(turns)
    for turn in turns:
        after = yard.set_up_of[turn] + 1
        step = yard.heights[after] - yard.heights[after - 1]
        if abs(step) < LEAST:
            continue
        late = dice.random() < 0.5  # read before the turning point, booked after it
        row = turn - 1 if late else turn + 1
        if yard.lines[row].point not in yard.places:
            continue
        yard.lines[row], yard.lines[turn] = yard.lines[turn], yard.lines[row]
        yard.planted, yard.size = turn, -step if late else step
        return True
    return False


def sound_book(seed: int) -> Yard:
    """A book without a blunder."""
    dice = Random(f"sound {seed}")
    while (yard := _walk(dice, metric=seed % 4 == 3)) is None:
        pass
    return yard


def book_with_blunder(seed: int) -> Yard:
    """A book with one blunder; the kinds take turns."""
    kind = KINDS[seed % len(KINDS)]
    dice = Random(f"blunder {seed}")
    metric = kind == "decimetre" or (kind in ("digits", "sign", "set-up", "turning sight") and seed // 8 % 4 == 3)
    while True:
        yard = _walk(dice, metric)
        if yard is not None and _blunder(dice, yard, kind):
            yard.kind = kind
            return yard
