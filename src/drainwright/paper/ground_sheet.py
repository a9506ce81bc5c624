"""The ground by itself as a sheet: shots, contours, low spots, and which way it falls."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.field.ground_study import GroundStudy
from drainwright.paper.frame import (
    GAP,
    MARGIN,
    STRIP,
    Block,
    Column,
    Paper,
    Scale,
    View,
    papers,
    paragraph,
    stacked,
    table,
    words,
)
from drainwright.paper.ground_marks import Drawn as Contoured
from drainwright.paper.ground_marks import (
    area_words,
    contour_labels,
    contour_marks,
    ground_scale,
    interval_words,
    volume_words,
    water_marks,
)
from drainwright.paper.label import Frame, Label, Obstacle, place_labels
from drainwright.paper.measure import READ, fit, rectangle
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, Sheet, TextMark
from drainwright.paper.symbols import arrow, box, hatch, line, north_arrow, scale_bar
from drainwright.paper.wording import Wording
from drainwright.quantities import System, write

PANEL = 78.0  # width of the panel [mm]
SMALL_ENOUGH = 250.0  # the small paper will do where its scale is at least 1 to this
MOST_ROWS = 14  # low spots in the table
MOST_NAMED = 12  # low spots named in the drawing
LABELLED = 90  # so many shots, and each gets its level written beside it
ARROW = 5.0  # length of an arrow [mm]
DOT = 0.28  # radius of a shot [mm]


def ground_sheet(study: GroundStudy, units: System) -> Sheet:
    """Draw the study.

    Parameters
    ----------
    study : GroundStudy
        The ground.
    units : {"US", "SI"}
        Of paper and figures.

    Returns
    -------
    Sheet
        ``ground``: to scale, north up, with its figures beside it. Equal studies give equal sheets.
    """
    paper, scale, view, window = _setting(study, units)
    marks: list[Mark] = []
    for spot in study.standing:
        marks += water_marks(spot, view)
    for spot in study.low_spots:
        if spot not in study.standing:
            marks += [Polygon(layer="low spot part", points=tuple(view(at) for at in ring)) for ring in spot.rings]
    lines = [(contour, tuple(view(at) for at in path)) for contour in study.contours for path in contour.lines]
    marks += contour_marks(lines)
    if study.building:
        house = tuple(view(at) for at in study.building)
        marks += [Polygon(layer="house", points=house), *hatch("house hatch", house, 3.4)]
    radius = DOT if len(study.shots) <= 1500 else 0.6 * DOT
    places = [view((float(east), float(north))) for east, north in study.shots.plan - study.origin]
    marks += [Circle(layer="shot", centre=at, radius=radius) for at in places]
    falls: list[Obstacle] = []
    for one in study.arrows:
        east, north = view(one.at)
        tip = (east + ARROW * one.towards[0], north + ARROW * one.towards[1])
        if all(window[n] < tip[n] < window[n + 2] for n in (0, 1)):
            marks += arrow("fall", (east, north), tip, "fall", 1.3)
            falls.append(Obstacle(points=((east, north), tip), weight=2.0))
    labels = _labels(study, view, lines, places, units)
    placement = place_labels(
        labels,
        frame=(window[0] + 0.5, window[1] + 0.5, window[2] - 0.5, window[3] - 0.5),
        lines=[*falls, *(Obstacle(points=path, weight=1.0 if c.index else 0.4) for c, path in lines)],
        blocked=[rectangle(at, -0.5, 0.5, -0.5, 0.5) for at in places] if len(places) <= LABELLED else (),
    )
    marks += [*placement.marks(), box("rule open", *window), *_panel(study, units, paper, scale, window)]
    title = fit(f"Ground: {study.title}", 120.0, 3.4, "semibold")
    return Sheet(
        name="ground",
        title=f"Ground: {study.title}",
        scale=scale.words,
        width=paper.width,
        height=paper.height,
        description=f"Plan of the ground with {len(study.shots)} shots, contours every "
        f"{interval_words(study.interval, units)} and {len(study.standing)} low spots.",
        marks=(*marks, *_strip(paper, scale, title)),
    )


def _setting(study: GroundStudy, units: System) -> tuple[Paper, Scale, View, Frame]:
    low, high = study.surface.plan.min(axis=0), study.surface.plan.max(axis=0)
    wide, tall = (max(float(size), 1.0) for size in high - low)
    for paper in papers(units):
        left, bottom, right, top = paper.inner
        window = (left, bottom, right - PANEL - 5.0, top)
        scale = ground_scale(units, wide, tall, (window[2] - window[0] - 10.0, window[3] - window[1] - 10.0))
        if scale.ratio <= SMALL_ENOUGH:
            break
    origin = (float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2)
    middle = ((window[0] + window[2]) / 2, (window[1] + window[3]) / 2)
    return paper, scale, View(across=scale, up=scale, origin=origin, at=middle), window


def _labels(
    study: GroundStudy, view: View, lines: Sequence[Contoured], places: Sequence[Point],
    units: System,
) -> list[Label]:  # fmt: skip
    word = Wording(units)
    found = []
    for number, spot in enumerate(study.standing[:MOST_NAMED], start=1):
        found.append(
            Label(lines=(f"low {number}", f"{word.small(spot.depth)} deep"), at=view(spot.at), layer="text water",
                  size=2.2, strong=True, clear=0.6)
        )  # fmt: skip
    found += contour_labels(lines, study.interval, units)
    if len(places) <= LABELLED:
        for at, level in zip(places, study.shots.level, strict=True):
            found.append(
                Label(lines=(word.level_number(float(level)),), at=at, layer="text soft", size=1.7, clear=0.5,
                      leader=False, droppable=True)
            )  # fmt: skip
    return found


def _panel(study: GroundStudy, units: System, paper: Paper, scale: Scale, window: Frame) -> list[Mark]:
    left, right, top = window[2] + 5.0, paper.inner[2], paper.inner[3]
    word = Wording(units)
    marks: list[Mark] = [
        *north_arrow((left + 7.0, top - 9.0), 10.0, 0.0),
        words("text", (left + 18.0, top - 3.4), scale.words, 2.5, weight="semibold"),
    ]
    steps = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000)
    room = right - left - 34.0
    step = max((n for n in steps if scale.on_paper(word.from_distance(n)) * 4 <= room), default=1)
    lengths = [scale.on_paper(word.from_distance(n * step)) for n in range(5)]
    marks += scale_bar(
        (left + 18.0, top - 12.0), lengths, [*(f"{n * step}" for n in range(4)), f"{4 * step} {word.level_unit}"]
    )
    y = top - 20.0
    blocks: list[Block] = [
        table("The ground", (Column("", 0.46), Column("", 0.54)), summary(study, units), 2.1),
        _spots(study, units),
        stacked("Read this first", [paragraph(text, 2.1) for text in remarks(study, units)]),
    ]
    for block in blocks:  # few rows each: all of them are drawn
        drawn, y = block(left, y, right - left)
        marks += drawn
        y -= 2.6
    return marks


def summary(study: GroundStudy, units: System) -> list[tuple[str, str]]:
    """The figures of the ground, each with its words."""
    word = Wording(units)
    unit = "ft" if units == "US" else "m"
    thinned = f" of {study.read:,}" if study.read > len(study.shots) else ""
    rows = [
        ("shots", f"{len(study.shots):,}{thinned}"),
        ("area within the shots", area_words(study.area, units)),
        ("lowest to highest", f"{word.level_number(study.lowest)} to {word.level(study.highest)}"),
        ("relief", write(study.relief, "length", units, unit, 2)),
        ("contours every", interval_words(study.interval, units)),
    ]
    if study.spacing is not None:
        rows.append(("one shot in each square of", write(study.spacing, "length", units, unit, 1)))
    return rows


def spot_rows(study: GroundStudy, units: System, most: int = MOST_ROWS) -> list[tuple[str, ...]]:
    """Low spots: name in the drawing, depth, area, volume, level at which it spills, and whether it is sure."""
    word = Wording(units)
    return [
        (
            f"low {number}", word.small(spot.depth), area_words(spot.area, units), volume_words(spot.volume, units),
            word.level_number(spot.spill_level), "" if spot.sure else "?",
        )
        for number, spot in enumerate(study.standing[:most], start=1)
    ]  # fmt: skip


def _spots(study: GroundStudy, units: System) -> Block:
    least = Wording(units).small(study.least_depth)
    if not study.standing:
        return stacked("Low spots", [paragraph(f"None deeper than {least}.", 2.1)])
    more = len(study.standing) - MOST_ROWS
    columns = (Column("", 0.14), Column("deep", 0.18, "end"), Column("area", 0.2, "end"), Column("holds", 0.2, "end"),
               Column("spills at", 0.2, "end"), Column("", 0.06, "end"))  # fmt: skip
    body = table("Low spots, full", columns, spot_rows(study, units), 2.0)
    foot = [f"and {more} less deep, down to {least}."] if more > 0 else []
    if any(not spot.sure for spot in study.standing[:MOST_ROWS]):
        foot.append("?: may be a gap between the shots.")

    def draw(left: float, top: float, width: float) -> tuple[list[Mark], float]:
        marks, y = body(left, top, width)
        for text in foot:
            more_marks, y = paragraph(text, 2.0, "text soft")(left, y, width)
            marks += more_marks
        return marks, y

    return draw


def remarks(study: GroundStudy, units: System) -> list[str]:
    """What the reader must know of these figures."""
    said = [*study.notes]
    left = [f"{count:,} {reason}" for reason, count in study.shots.dropped.items()]
    if left:
        said.append(f"Left out: {', '.join(left)}.")
    said.append(
        "Between the shots the ground is taken as straight. "
        + ("Other buildings, kerbs" if study.building else "Buildings, kerbs")
        + " and walls without shots are not in it."
    )
    if any(study.origin):
        unit = 0.3048 if units == "US" else 1.0
        east, north = (f"{value / unit:,.0f}" for value in study.origin)
        said.append(f"South-west corner near east {east}, north {north} {'ft' if units == 'US' else 'm'} of the file.")
    return said


def _strip(paper: Paper, scale: Scale, title: str) -> list[Mark]:
    left, right, bottom = MARGIN, paper.width - MARGIN, MARGIN
    top = bottom + STRIP
    middle = right - PANEL - GAP
    return [
        box("frame", left, bottom, right, paper.height - MARGIN),
        line("frame", (left, top), (right, top)),
        line("rule", (middle, bottom), (middle, top)),
        TextMark(layer="text soft", at=(left + 2.2, top - 3.4), text="Ground from files", size=READ),
        TextMark(layer="text", at=(left + 2.2, top - 8.0), text=title, size=3.4, weight="semibold"),
        TextMark(
            layer="text soft", at=(left + 2.2, top - 12.4), size=READ,
            text="Not a boundary survey. Check levels at the house before anything is built on them.",
        ),
        TextMark(layer="text soft", at=(middle + 2.2, top - 3.4), text="Scale", size=READ),
        TextMark(layer="text", at=(middle + 2.2, top - 8.0), text=scale.words, size=3.2, weight="semibold"),
        TextMark(
            layer="text soft", at=(middle + 2.2, top - 12.4), size=READ, text=f"printed on {paper.name}, not resized"
        ),
    ]  # fmt: skip


__all__ = ["ground_sheet", "remarks", "spot_rows", "summary"]
