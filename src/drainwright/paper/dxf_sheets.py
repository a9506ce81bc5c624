"""Profiles and sections as DXF: what is drawn to scale on the sheets, put back to its true size in feet or metres."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Literal, TypeAlias

from drainwright.paper.dxf import Model, safe_text, written
from drainwright.paper.looks import LOOKS, Look
from drainwright.paper.measure import CAP
from drainwright.paper.sheet import Arc, Circle, Mark, Picture, Point, Polygon, Polyline, ScaledPart, Sheet, TextMark
from drainwright.quantities import System

Kind: TypeAlias = Literal["profiles", "sections"]
KINDS: tuple[Kind, ...] = ("profiles", "sections")

BARE = frozenset({"mask", "band"})  # only keep ground clear under texts on paper
WEIGHTS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120)  # of the format [1/100 mm]
BETWEEN = 15.0  # parts, on paper [mm]
TITLE = 4.0  # letters of a part's title, on paper [mm]


def sheets_to_dxf(sheets: Iterable[Sheet], units: System, kind: Kind) -> str:
    """The profiles, or the sections, of a set of drawings as a DXF document (R2010).

    Parameters
    ----------
    sheets : iterable of Sheet
        The drawings; those without a part to scale are passed over.
    units : str
        ``US`` for feet, ``SI`` for metres; ``$INSUNITS`` says which.
    kind : str
        ``profiles``, or ``sections`` for all else that is drawn to scale: trenches, basins, their holes, outlets,
        walls, soakaways and flow nets.

    Returns
    -------
    str
        The document: each part at its true size, one below another, under a title that says by how much heights
        are exaggerated. Layers are those of the sheets, fills on layers of their own. Not rounded: a length in it
        is the model's but for the last digits of a double.
    """

    def draw(model: Model) -> None:
        foot = 0.0
        for part, marks in scaled_parts(sheets, kind):
            foot = _part(model, part, marks, foot)

    return written(units, draw)


def scaled_parts(sheets: Iterable[Sheet], kind: Kind) -> list[tuple[ScaledPart, tuple[Mark, ...]]]:
    """What is drawn to scale on the profiles, or on the other sheets, with its marks."""
    return [
        (part, sheet.marks[part.first : part.end])
        for sheet in sheets
        if (kind == "profiles") == sheet.name.startswith("profiles")
        for part in sheet.scaled
    ]


def _places(marks: Sequence[Mark]) -> Iterator[Point]:
    for mark in marks:
        match mark:
            case Polyline() | Polygon():
                yield from mark.points
            case Circle() | Arc():
                x, y = mark.centre
                yield from ((x - mark.radius, y - mark.radius), (x + mark.radius, y + mark.radius))
            case TextMark():
                yield mark.at
            case Picture():
                pass


def _part(model: Model, part: ScaledPart, marks: Sequence[Mark], top: float) -> float:
    """Draw a part below a height and say where it ends. [m]"""
    share = part.ratio / 1000
    places = list(_places(marks))
    left, high, low = min(x for x, _ in places), max(y for _, y in places), min(y for _, y in places)
    head = top - (TITLE + 4.0) * share

    def at(place: Point) -> Point:
        return ((place[0] - left) * share, head + (place[1] - high) * share)

    size = "true size" if part.heights < 1.001 else f"lengths true, heights drawn {part.heights:.6g} times"
    model.layer("TITLE", 7, "CONTINUOUS", 35)
    model.text((0.0, top - TITLE * share, 0.0), f"{part.title}: {size}", TITLE * CAP * share, layer="TITLE")
    for mark in marks:
        if mark.layer not in BARE:
            _draw(model, mark, at, share)
    return head - (high - low + BETWEEN) * share


def _draw(model: Model, mark: Mark, at: Callable[[Point], Point], share: float) -> None:
    look = LOOKS[mark.layer]
    match mark:
        case Polyline():
            model.path(_layer(model, mark.layer, look), [at(place) for place in mark.points])
        case Polygon():
            ring = [at(place) for place in mark.points]
            if look.fill is not None:
                _fill(model, mark.layer, look.fill, [(*place, 0.0) for place in ring])
            if look.ink is not None:
                model.path(_layer(model, mark.layer, look), ring, closed=True)
        case Circle():
            x, y = at(mark.centre)
            radius = mark.radius * share
            if look.fill is not None:
                _fill(model, mark.layer, look.fill, [(x - radius, y, 1.0), (x + radius, y, 1.0)])
            if look.ink is not None:
                model.circle(_layer(model, mark.layer, look), (x, y, 0.0), radius)
        case Arc():
            start = math.degrees(mark.start)
            model.space.add_arc(
                model.at(at(mark.centre)), mark.radius * share * model.factor, start,
                start + math.degrees(mark.sweep), dxfattribs={"layer": _layer(model, mark.layer, look)},
            )  # fmt: skip
        case TextMark():
            _text(model, mark, _layer(model, mark.layer, look), at(mark.at), CAP * mark.size * share)
        case Picture():
            pass


def _text(model: Model, mark: TextMark, layer: str, place: Point, height: float) -> None:
    from ezdxf.enums import TextEntityAlignment

    sides = {
        "start": TextEntityAlignment.LEFT, "middle": TextEntityAlignment.CENTER, "end": TextEntityAlignment.RIGHT,
    }  # fmt: skip
    shown = safe_text(mark.text)
    if shown:
        attributes = {"layer": layer, "rotation": math.degrees(mark.rotation)}
        text = model.space.add_text(shown, height=height * model.factor, dxfattribs=attributes)
        text.set_placement(model.at(place), align=sides[mark.anchor])


def _fill(model: Model, name: str, colour: str, ring: Sequence[tuple[float, float, float]]) -> None:
    """A filled area from corners with their bulges."""
    layer = f"{_trade(name)}-FILL"
    if layer not in model.doc.layers:
        model.doc.layers.add(layer, color=7, true_color=int(colour[1:], 16))
    hatch = model.space.add_hatch(color=256, dxfattribs={"layer": layer})
    hatch.paths.add_polyline_path([(*model.at(place[:2]), place[2]) for place in ring], is_closed=True)


def _trade(name: str) -> str:
    return name.upper().replace(" ", "-")


def _layer(model: Model, name: str, look: Look) -> str:
    """The layer of a sheet's layer, made on its first use."""
    layer = _trade(name)
    if layer not in model.doc.layers:
        line = "CONTINUOUS" if not look.dash else "DASHED" if len(look.dash) == 2 else "DASHDOT"
        weight = min(WEIGHTS, key=lambda known: abs(known - 100 * look.width))
        colour = int((look.ink or "#000000")[1:], 16)
        model.doc.layers.add(layer, color=7, true_color=colour, linetype=line, lineweight=weight)
    return layer


__all__ = ["KINDS", "Kind", "scaled_parts", "sheets_to_dxf"]
