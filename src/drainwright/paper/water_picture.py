"""For the customer: this house cut through, where its water comes from, and where it will go."""

from __future__ import annotations

from dataclasses import replace

from drainwright.build.wording import BASIS_WORDS
from drainwright.design import Design
from drainwright.field.words import least_sure
from drainwright.findings.places import listed
from drainwright.paper.frame import Draft, Paper, papers, words
from drainwright.paper.measure import READ, fit, text_width, wrap
from drainwright.paper.sheet import Arc, Circle, Mark, Picture, Point, Polygon, Polyline, TextMark
from drainwright.paper.symbols import arrow, box, concrete, earth, line, stone, water_mark
from drainwright.paper.water_ways import Way, pumped_to, totals, unlifted_leaders, water_ways
from drainwright.paper.wording import Wording
from drainwright.quantities import percent
from drainwright.water.model import Cause

NAME = "your-water"
TABLE = 47.0  # height of the figures under the picture [mm]
PICTURE = (190.0, 80.0)  # width and height that it is drawn at [mm]
GRADE = 42.0  # height of the ground in it [mm]
STEEPEST = 34.0  # most depth that is drawn [mm]
LARGEST = 26.0  # a metre of depth is drawn no larger [mm]
SOURCES = {Cause.ROOF: "rain on the roof", Cause.YARD: "rain on the yard", Cause.GROUND: "water in the ground"}
BOX = 8.5  # height of the box under a grate [mm]
OPEN = ("daylight", "pop-up emitter", "neighbour")  # kinds of outlet where the water comes out on the ground
PLACES = {
    "street": "street", "storm line": "street's storm line", "daylight": "out on the ground",
    "pop-up emitter": "lid in the lawn", "dry well": "dry well", "infiltration trench": "stone trench",
    "sanitary sewer": "sewer", "neighbour": "the next lot",
}  # fmt: skip


def water_draft(design: Design, paper: Paper | None = None) -> Draft:
    """The picture and its figures.

    Parameters
    ----------
    design : Design
        The designed job.
    paper : Paper, optional
        A leaf for a page within a document; left out: the small paper of the place.

    Returns
    -------
    Draft
        ``your-water``. Depths below the ground are in proportion to each other; all else is a picture.
    """
    sheet = papers(design.job.units)[0] if paper is None else paper
    left, bottom, right, top = sheet.inner
    wide, tall = PICTURE[0], PICTURE[1] + TABLE
    size = min((right - left) / wide, (top - bottom) / tall)
    x, y = (left + right - size * wide) / 2, (bottom + top - size * tall) / 2
    drawn = [*_Picture(design).marks(), *_figures(design, 0.0, -3.0, wide)]
    moved = [_placed(mark, size, (x, y + size * TABLE)) for mark in drawn]
    return Draft(
        name=NAME, title="Where your water goes", scale="a picture, not to scale", paper=sheet, marks=tuple(moved),
        description="The house cut through, with rain, drains, pump and outlet, and the water of the design rain.",
    )  # fmt: skip


def _placed(mark: Mark, size: float, to: Point) -> Mark:
    """A mark of the picture on the sheet, ``size`` times as large."""

    def there(point: Point) -> Point:
        return (to[0] + size * point[0], to[1] + size * point[1])

    match mark:
        case Polyline() | Polygon():
            return replace(mark, points=tuple(map(there, mark.points)))
        case Circle() | Arc():
            return replace(mark, centre=there(mark.centre), radius=size * mark.radius)
        case TextMark():
            return replace(mark, at=there(mark.at), size=size * mark.size)
        case Picture():
            raise TypeError("expected drawn marks, found a photograph")


class _Picture:
    """Draws the house from left to right: yard, house, basin, outlet."""

    WALL, OTHER = 62.0, 112.0  # outside faces of the house [mm]
    GRATE, BASIN, OUT = 27.0, 128.0, 168.0  # middles [mm]

    def __init__(self, design: Design) -> None:
        self.design = design
        self.word = Wording(design.job.units)
        self.ways = water_ways(design)
        site, system = design.site, design.system
        self.totals = totals(self.ways)
        grounds = [run.stations[0].ground for run in system.runs if run.stations]
        grounds += [wall.ground_start for wall in site.walls]
        self.ground = max(sum(grounds) / len(grounds), site.floor + 0.05) if grounds else site.floor + 0.15
        self.footing = min((wall.footing_bottom for wall in site.walls), default=site.floor - 0.3)
        lows = [self.footing, *(station.floor for station in system.stations), *(soak.bottom for soak in system.soaks)]
        self.per_metre = min(LARGEST, STEEPEST / max(self.ground - min(lows), 0.3))

    def y(self, level: float) -> float:
        """Height in the picture. [mm]"""
        return max(1.5, GRADE + (level - self.ground) * self.per_metre)

    def marks(self) -> list[Mark]:
        """All of it, in the picture's own millimetres."""
        return [*self._sky(), *self._soil(), *self._house(), *self._drains(), *self._basin(), *self._outlet()]

    def _sky(self) -> list[Mark]:
        marks: list[Mark] = []
        for column in range(34):
            for row in range(3):
                x, y = 8.0 + column * 5.3 + 1.7 * row, 77.5 - 4.0 * row
                marks.append(line("rain drop", (x, y), (x - 0.8, y - 2.0)))
        return marks

    @property
    def downhill(self) -> bool:
        """Whether all runs out by gravity where the ground is low."""
        kinds = {point.name: point.kind for point in self.design.job.works.discharge}
        return not self.design.system.stations and kinds.get(self.design.system.discharge) in OPEN

    def _top(self) -> list[Point]:
        """The ground from left to right; it falls to an outlet that gravity reaches. [mm]"""
        if not self.downhill:
            return [(0.0, GRADE), (PICTURE[0], GRADE)]
        low = self._takes()[1] - 1.4
        return [(0.0, GRADE), (self.OUT - 22.0, GRADE), (self.OUT - 6.0, low), (PICTURE[0], low - 0.6)]

    def _soil(self) -> list[Mark]:
        wide = PICTURE[0]
        top = self._top()
        marks: list[Mark] = [Polygon(layer="soil", points=((0.0, 0.0), *top, (wide, 0.0)))]
        level = self.design.site.water_table
        if level is not None and level < self.ground and GRADE + (level - self.ground) * self.per_metre > 2.0:
            y = self.y(level)
            far = wide if not self.downhill or y <= top[-1][1] else self.OUT - 22.0
            marks += [box("water fill", 0.0, 0.0, far, y), line("water table", (0.0, y), (far, y))]
            marks += water_mark((6.0, y), 2.0)
            marks.append(words("text water", (3.0, 1.6), "ground water as it stands in the wet season", 2.2))
        else:
            text = "ground water: height not known" if level is None else "ground water lies deeper than shown"
            marks.append(words("text water", (3.0, 1.6), text, 2.2))
        return marks

    def _house(self) -> list[Mark]:
        design, a, b = self.design, self.WALL, self.OTHER
        floor, foot = self.y(design.site.floor), self.y(self.footing)
        top, peak = 58.0, 69.0
        room = "crawl space" if design.job.house.floor_kind == "crawl space" else "lowest floor"
        marks: list[Mark] = [*earth(((0.0, GRADE), (a, GRADE))), *earth(((b, GRADE), *self._top()[1:]))]
        marks.append(box("backfill", a, min(floor, GRADE), b, top))
        for x in (a, b - 3.0):
            marks += concrete(((x, foot + 2.0), (x + 3.0, foot + 2.0), (x + 3.0, top), (x, top)))
            marks += concrete(((x - 1.5, foot), (x + 4.5, foot), (x + 4.5, foot + 2.0), (x - 1.5, foot + 2.0)))
        if room == "crawl space":
            marks.append(line("ground", (a + 3.0, floor), (b - 3.0, floor)))
        else:
            marks += concrete(((a + 3.0, floor - 1.4), (b - 3.0, floor - 1.4), (b - 3.0, floor), (a + 3.0, floor)))
        marks.append(Polygon(layer="house", points=((a - 3.0, top), (b + 3.0, top), ((a + b) / 2, peak))))
        marks.append(words("text soft", ((a + b) / 2, floor + 2.0), room, 2.3, "middle"))
        marks += self._callout(((a + b) / 2, top + 3.4), Cause.ROOF)
        return marks

    def _callout(self, at: Point, cause: Cause) -> list[Mark]:
        flow = self.totals[cause]
        if flow <= 0:
            return []
        return [
            words("text water", (at[0], at[1]), self.word.flow(flow), 2.8, "middle", "semibold"),
            words("text", (at[0], at[1] - 2.6), SOURCES[cause], 2.1, "middle"),
        ]

    def _takes(self) -> Point:
        """Where the pipes come together: the basin, or the outlet. [mm]"""
        if self.design.system.by_house:
            station = self.design.system.by_house[0]
            return (self.BASIN - 5.0, min(self.y(station.lowest_inlet) + 1.0, GRADE - 4.0))
        drains = [run for run in self.design.system.runs if run.duty == "footing drain"]
        low = min((self.y(run.invert_lower) for run in drains), default=GRADE - 8.0)
        return (self.OUT - 6.0, max(min(low - 0.5, GRADE - 8.0), 6.0))

    def _drains(self) -> list[Mark]:
        system, marks = self.design.system, list[Mark]()
        duties = {run.duty for run in system.runs if not run.pressure}
        end = self._takes()
        b = self.OTHER
        if self.totals[Cause.YARD] > 0 or "yard drain" in duties:
            marks += self._callout((self.GRATE, GRADE + 14.0), Cause.YARD)
            marks += arrow("curve", (self.GRATE, GRADE + 9.6), (self.GRATE, GRADE + 2.6))
        if "yard drain" in duties:
            y = GRADE - 6.0
            marks += [
                box("shell", self.GRATE - 2.5, GRADE - BOX, self.GRATE + 2.5, GRADE),
                *(line("axis", (self.GRATE + dx, GRADE - 0.9), (self.GRATE + dx, GRADE)) for dx in (-1.5, 0.0, 1.5)),
                line("yard drain", (self.GRATE + 2.5, y), (self.WALL - 6.0, y - 1.0)),
                words("text", (self.GRATE + 4.0, y + 1.6), "yard drain", 2.1),
            ]
            marks += arrow("curve", (self.WALL - 8.0, y - 0.95), (self.WALL - 4.5, y - 1.05))
        if self.totals[Cause.ROOF] > 0:
            x = b + 3.6
            marks.append(line("leader", (x, 58.0), (x, GRADE - 3.0 if "leader" in duties else GRADE)))
            marks += arrow("curve", (x + 1.8, 54.0), (x + 1.8, 46.0))
            if system.stations and (free := unlifted_leaders(self.design)):
                marks.append(line("leader", (x, GRADE - 3.0), (x + 0.4, GRADE - 5.0)))
                marks.append(words("text water", (x + 2.6, GRADE + 5.0), fit(f"to {listed(free)}", 24.0, 2.1), 2.1))
            elif "leader" in duties and system.stations:
                marks.append(line("leader", (x, GRADE - 3.0), (end[0], max(end[1], GRADE - 4.4))))
            elif "leader" in duties:
                marks.append(line("leader", (x, GRADE - 3.0), (x + 0.4, GRADE - 5.0)))
        if "footing drain" in duties:
            drains = [run for run in system.runs if run.duty == "footing drain"]
            y = self.y(sum((run.invert_upper + run.invert_lower) / 2 for run in drains) / len(drains)) + 1.3
            for x in (self.WALL - 4.6, b + 4.6):
                marks += stone(((x - 2.8, y - 2.2), (x + 2.8, y - 2.2), (x + 2.8, y + 3.6), (x - 2.8, y + 3.6)), 1.3)
                marks += [
                    Circle(layer="pipe", centre=(x, y), radius=1.3),
                    Circle(layer="pipe void", centre=(x, y), radius=1.0),
                ]
            marks.append(line("footing drain", (b + 5.9, y), (end[0], min(y, end[1]))))
            x, low = self.WALL - 12.0, min(y, GRADE - BOX - 4.0) if "yard drain" in duties else y  # under its box
            far = x - text_width(SOURCES[Cause.GROUND], READ) - 0.6
            marks.append(box("mask", far, low - 2.4, x + 0.3, low + 3.4))
            marks.append(
                words("text water", (x, low + 1.0), self.word.flow(self.totals[Cause.GROUND]), 2.8, "end", "semibold")
            )
            marks.append(words("text", (x, low - 1.6), SOURCES[Cause.GROUND], 2.1, "end"))
            marks += arrow("curve", (x + 0.8, low + 0.6), (self.WALL - 7.8, y + 0.2))
        return marks

    def _basin(self) -> list[Mark]:
        stations = self.design.system.by_house
        if not stations:
            return []
        station, x = stations[0], self.BASIN
        floor, rim = self.y(station.floor), GRADE + 1.0
        level = min(self.y(station.on), rim - 4.0)
        pump = min(7.0, 0.3 * (rim - floor))
        marks: list[Mark] = [
            box("shell", x - 5.0, floor, x + 5.0, rim),
            box("water fill", x - 4.7, floor, x + 4.7, max(level, floor + 2.0)),
            box("fitting", x - 5.8, rim, x + 5.8, rim + 0.9),
            Polygon(
                layer="pump",
                points=(
                    (x - 3.0, floor + 0.5),
                    (x + 1.2, floor + 0.5),
                    (x + 0.4, floor + pump),
                    (x - 2.2, floor + pump),
                ),
            ),
            line("discharge line", (x + 2.2, floor + 1.4), (x + 2.2, GRADE - 4.0), (self.OUT - 6.0, GRADE - 4.0)),
        ]
        marks += arrow("curve", (x + 2.2, GRADE - 14.0), (x + 2.2, GRADE - 7.0))
        marks += arrow("curve", (x + 20.0, GRADE - 6.0), (x + 27.0, GRADE - 6.0))
        many = len(stations) > 1
        name = f"{len(stations)} basins with pumps" if many else "basin with pump"
        marks.append(words("text", (x + 8.0, GRADE - 16.0), name, 2.3, weight="semibold"))
        if station.reaches:
            two = station.second_on is not None
            each = "each pump: " if many or two else ""
            flow = self.word.flow(station.operating_flow)
            lifts = f"at the house {flow}" if many else f"{each}{flow}"
            marks.append(words("text", (x + 8.0, GRADE - 19.0), f"lifts {lifts}" if not each or many else lifts, 2.1))
        else:
            marks.append(words("text warning", (x + 8.0, GRADE - 19.0), "its pump lifts no water: not settled", 2.1))
        return marks

    def _outlet(self) -> list[Mark]:
        system, x = self.design.system, self.OUT
        kinds = {point.name: point.kind for point in self.design.job.works.discharge}
        ends = pumped_to(self.design) or system.ways_out
        kind = kinds.get(system.discharge if system.discharge in ends else ends[0], "")
        marks: list[Mark] = []
        if not system.stations:
            end = self._takes()
            if self.totals[Cause.YARD] > 0 or self.totals[Cause.ROOF] > 0:
                marks.append(line("yard drain", (self.OTHER + 4.0, GRADE - 5.0), end))
            marks += arrow("curve", (140.0, end[1] - 3.0), (148.0, end[1] - 3.0))
        if kind in ("dry well", "infiltration trench"):
            foot = min((self.y(soak.bottom) for soak in system.soaks), default=GRADE - 20.0)
            marks += stone(((x - 6.0, foot), (x + 14.0, foot), (x + 14.0, GRADE - 5.0), (x - 6.0, GRADE - 5.0)), 2.0)
            for dx in (-2.0, 4.0, 10.0):
                marks += arrow("curve", (x + dx, foot + 0.5), (x + dx, foot - 4.0))
        elif kind in ("street", "storm line", "sanitary sewer"):
            marks += [
                box("concrete", x + 2.0, GRADE - 2.6, x + 3.6, GRADE + 0.6),
                box("bar dark", x + 3.6, GRADE - 2.6, PICTURE[0], GRADE - 1.4),
            ]
            if kind != "street":
                middle = (x + 10.0, GRADE - 11.0)
                marks += [
                    line("discharge line", (x - 6.0, GRADE - 4.0 if system.stations else self._takes()[1]), middle),
                    Circle(layer="pipe", centre=middle, radius=3.0),
                    Circle(layer="pipe void", centre=middle, radius=2.4),
                ]
            else:
                start = (x - 6.0, GRADE - 4.0 if system.stations else self._takes()[1])
                marks.append(line("discharge line", start, (x + 2.0, GRADE - 1.6)))
        else:
            foot = self._top()[-1][1] if self.downhill else GRADE
            if system.stations:
                bend = ((x - 6.0, GRADE - 4.0), (x - 1.0, GRADE - 4.0), (x + 3.0, GRADE + 0.4))
                marks.append(line("discharge line", *bend))
            near, far = x - 5.0, x + 8.0
            marks += stone(((near, foot - 1.0), (far, foot - 1.0), (far, foot + 0.4), (near, foot + 0.4)), 1.1)
        marks.append(words("text", (x + 4.0, GRADE + 5.6), PLACES.get(kind, "way out"), 2.3, "middle", "semibold"))
        marks.append(words("text soft", (x + 4.0, GRADE + 3.0), fit(f"at {listed(ends)}", 30.0, READ), READ, "middle"))
        return marks


def _sentence(way: Way, design: Design) -> str:
    kinds = {point.name: point.kind for point in design.job.works.discharge}
    lifted = pumped_to(design)
    out = PLACES.get(kinds.get(lifted[0], ""), "way out") if lifted else ""
    return {
        "pumped": f"to the pump, then to {listed(lifted)} ({out})",
        "soaks away": f"into the stone at {way.name}, to soak away",
        "by gravity": f"downhill by its own weight to {listed(way.name.split(', '))}",
        "own line": f"own lines ({way.name}): not part of these works",
    }[way.kind]


def _figures(design: Design, left: float, top: float, width: float) -> list[Mark]:
    """Two tables side by side, a bar for each share, and a few words."""
    word, ways = Wording(design.job.units), water_ways(design)
    whole = sum(way.flow for way in ways)
    causes = totals(ways)
    half = (width - 6.0) / 2
    rows = []
    for cause in (cause for cause in Cause if causes[cause] > 0):
        marked = [item.basis for item in design.inflows.contributions if item.cause is cause and item.flow > 0]
        rows.append((SOURCES[cause], causes[cause], BASIS_WORDS[least_sure(*marked)]))
    marks = _shares("Where it comes from, in the design rain", rows, whole, word, left, top, half)
    out = [(_sentence(way, design), way.flow, BASIS_WORDS[way.basis]) for way in ways]
    marks += _shares("Where it goes", out, whole, word, left + half + 6.0, top, half)
    y = top - 8.0 - 7.4 * max(len(rows), len(out), 1)
    for row in wrap(_storm_words(design), width, READ):
        marks.append(words("text", (left, y), row, 2.2))
        y -= 2.9
    return marks


def _shares(
    title: str, rows: list[tuple[str, float, str]], whole: float, word: Wording, left: float, top: float, width: float
) -> list[Mark]:
    marks: list[Mark] = [words("text", (left, top - 2.4), title, 2.7, weight="semibold")]
    y = top - 5.4
    for name, flow, basis in rows:
        share = flow / whole if whole > 0 else 0.0
        figure = f"{word.flow(flow)}, {'under 1 %' if 0.0 < share < 0.005 else percent(share)}"
        marks.append(words("text", (left, y - 1.8), fit(name, width - 44.0, READ), READ))
        marks.append(words("text soft", (left + width - 22.0, y - 1.8), basis, 2.0, "end"))
        marks.append(words("text water", (left + width, y - 1.8), figure, 2.2, "end", "semibold"))
        marks.append(box("bar dry", left, y - 5.0, left + width, y - 2.9))
        if share > 0.001:
            marks.append(box("bar dark", left, y - 5.0, left + share * width, y - 2.9))
        y -= 7.4
    if not rows:
        marks.append(words("text soft", (left, y - 1.8), "no water is entered in this job", 2.2))
    return marks


def _storm_words(design: Design) -> str:
    """What the tested storm did, with everything in order, and what the picture is."""
    case = design.storm.case("sound")
    text = "The figures are flows in the heaviest minutes of the rain that each part is designed for. "
    if case is None:
        pass
    elif case.time_to_slab is not None:
        text += "In the tested storm water REACHES THE FLOOR even with all in order: see the checks. "
    elif case.undecided:
        text += "In the tested storm no water reached the floor while it was followed, but it still rose. "
    else:
        text += "In the tested storm, with all in order, no water reached the floor. "
    text += "Depths below the ground are in proportion; the rest is a picture. "
    return text + "A word beside a figure says how it is known: assumed figures may turn out otherwise."


__all__ = ["NAME", "water_draft"]
