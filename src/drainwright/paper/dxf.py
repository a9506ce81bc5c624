"""Write a design, or a site by itself, as DXF: in feet or metres, runs, buried lines and contours with their levels."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from drainwright.design import Design
from drainwright.field.model import Plan, Site
from drainwright.field.terrain_model import Contour, LowSpot
from drainwright.job.site import UtilityKind
from drainwright.job.works import Duty
from drainwright.paper.joined_marks import KIND, joined_words
from drainwright.paper.sheet import clean
from drainwright.paper.wording import Wording
from drainwright.quantities import System
from drainwright.system.model import SizedRun
from drainwright.system.trade import pipe_words

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

FEET, METRES = 2, 6  # $INSUNITS
TEXT = 0.16  # height of texts [m]

# layer: colour index, line type, line weight [1/100 mm]
_DUTIES: Mapping[Duty, tuple[str, int, str, int]] = {
    "footing drain": ("DRAIN-FOOTING", 150, "DASHED", 70),
    "yard drain": ("DRAIN-YARD", 150, "CONTINUOUS", 50),
    "leader": ("DRAIN-LEADER", 140, "DASHDOT", 35),
    "discharge line": ("DRAIN-DISCHARGE", 154, "DIVIDE", 70),
    "overflow": ("DRAIN-OVERFLOW", 150, "DOT", 35),
}
# the uniform colour code: red 1, yellow 2, orange 30, blue 5, purple 200, green 3, pink 221, white 7
_UTILITIES: Mapping[UtilityKind, tuple[str, int]] = {
    "water": ("UTIL-WATER", 5),
    "reclaimed": ("UTIL-RECLAIMED", 200),
    "irrigation": ("UTIL-IRRIGATION", 200),
    "irrigation control": ("UTIL-IRRIGATION-CONTROL", 200),
    "electric": ("UTIL-ELECTRIC", 1),
    "gas": ("UTIL-GAS", 2),
    "communication": ("UTIL-COMMUNICATION", 30),
    "sewer": ("UTIL-SEWER", 3),
    "septic": ("UTIL-SEPTIC", 3),
    "storm drain": ("UTIL-STORM", 3),
    "low voltage lighting": ("UTIL-LIGHTING", 1),
    "pool": ("UTIL-POOL", 5),
    "propane": ("UTIL-PROPANE", 2),
    "oil": ("UTIL-OIL", 2),
}
_OTHERS: Mapping[str, tuple[int, str, int]] = {
    "HOUSE": (7, "CONTINUOUS", 50),
    "WALL-COATED": (7, "CONTINUOUS", 100),
    "FOOTING-BOTTOM": (8, "CENTER", 25),
    "BOUNDARY": (7, "PHANTOM", 30),
    "NODE": (7, "CONTINUOUS", 35),
    "BASIN": (154, "CONTINUOUS", 50),
    "SURVEY-POINT": (221, "CONTINUOUS", 18),
    "SHOT": (221, "CONTINUOUS", 13),
    "CONTOUR": (33, "CONTINUOUS", 13),
    "CONTOUR-INDEX": (33, "CONTINUOUS", 30),
    "LOW-SPOT": (140, "CONTINUOUS", 25),
    "DRAINED-TO-INLET": (94, "DASHED", 18),
    "NEXT-SHOT": (221, "CONTINUOUS", 35),
    "TREE": (94, "CONTINUOUS", 25),
    "TREE-ROOTS": (94, "DASHED", 18),
    "CROSSING": (1, "CONTINUOUS", 25),
    "SHAPED-GROUND": (64, "CONTINUOUS", 25),
    "SHAPED-LEVEL": (64, "CONTINUOUS", 18),
    "TEXT": (7, "CONTINUOUS", 18),
}


def safe_text(text: str) -> str:
    """Text without the sequences that DXF reads as codes."""
    return clean(text).replace("%%", "% %").replace("^", "'").replace("\\", "/")


class Model:
    """A drawing in feet or metres; all arguments are SI."""

    def __init__(self, units: System) -> None:
        import ezdxf

        self.units: System = units
        self.factor = 1 / 0.3048 if units == "US" else 1.0
        self.doc: Drawing = ezdxf.new("R2010", setup=["linetypes"], units=FEET if units == "US" else METRES)  # type: ignore[attr-defined]
        self.doc.header["$MEASUREMENT"] = 0 if units == "US" else 1
        self.doc.header["$LWDISPLAY"] = 1
        self.doc.header["$LTSCALE"] = 0.3 * self.factor
        self.space: Modelspace = self.doc.modelspace()
        for name, (colour, linetype, weight) in _OTHERS.items():
            self.layer(name, colour, linetype, weight)

    def layer(self, name: str, colour: int, linetype: str, weight: int) -> None:
        """Make sure of a layer."""
        if name not in self.doc.layers:
            self.doc.layers.add(name, color=colour, linetype=linetype, lineweight=weight)

    def at(self, place: Iterable[float]) -> tuple[float, ...]:
        """A place in the drawing's unit."""
        return tuple(value * self.factor for value in place)

    def path(self, layer: str, places: Iterable[Plan], closed: bool = False) -> None:
        """A line in plan."""
        self.space.add_lwpolyline([self.at(place) for place in places], close=closed, dxfattribs={"layer": layer})

    def contours(self, contours: Iterable[Contour], shift: Plan = (0.0, 0.0)) -> None:
        """Each line flat at its level."""
        for contour in contours:
            layer = "CONTOUR-INDEX" if contour.index else "CONTOUR"
            for line in contour.lines:
                closed = len(line) > 2 and line[0] == line[-1]
                places = [self.at((e + shift[0], n + shift[1])) for e, n in (line[:-1] if closed else line)]
                attributes = {"layer": layer, "elevation": contour.level * self.factor}
                self.space.add_lwpolyline(places, close=closed, dxfattribs=attributes)

    def low_spots(self, spots: Iterable[LowSpot], shift: Plan = (0.0, 0.0)) -> None:
        """Edges of the water when it is full, and the depth at the bottom."""
        word = Wording(self.units)
        for spot in spots:
            for ring in spot.rings:
                places = [self.at((e + shift[0], n + shift[1])) for e, n in ring]
                attributes = {"layer": "LOW-SPOT", "elevation": spot.spill_level * self.factor}
                self.space.add_lwpolyline(places, close=True, dxfattribs=attributes)
            at = (spot.at[0] + shift[0], spot.at[1] + shift[1], spot.bottom)
            self.text(at, f"{spot.name}, {word.small(spot.depth)} deep", layer="LOW-SPOT")

    def point(self, at: tuple[float, float, float], text: str) -> None:
        """A surveyed point with its name."""
        self.space.add_point(self.at(at), dxfattribs={"layer": "SURVEY-POINT"})
        self.text((at[0] + 0.1, at[1] + 0.1, at[2]), text, 0.7 * TEXT, layer="SURVEY-POINT")

    def path_3d(self, layer: str, places: Iterable[tuple[float, float, float]]) -> None:
        """A line in space."""
        self.space.add_polyline3d([self.at(place) for place in places], dxfattribs={"layer": layer})

    def circle(self, layer: str, centre: tuple[float, float, float], radius: float) -> None:
        """A level circle."""
        self.space.add_circle(self.at(centre), radius * self.factor, dxfattribs={"layer": layer})

    def text(
        self, place: tuple[float, float, float], text: str, size: float = TEXT, turn: float = 0.0, layer: str = "TEXT"
    ) -> None:
        """One line of text."""
        shown = safe_text(text)
        if shown:
            attributes = {"layer": layer, "insert": self.at(place), "rotation": math.degrees(turn)}
            self.space.add_text(shown, height=size * self.factor, dxfattribs=attributes)


def run_line(run: SizedRun) -> tuple[tuple[float, float, float], ...]:
    """A run's line along its inverts: east, north, level. [m]"""
    if len(run.stations) > 1:
        return tuple((*station.at, station.invert) for station in run.stations)
    return ((*run.route[0], run.invert_upper), (*run.route[-1], run.invert_lower))


def to_dxf(design: Design) -> str:
    """The design as a DXF document (R2010), plan coordinates east and north, levels as heights.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    str
        The document in feet or metres by the job's units (``$INSUNITS``); the same for equal designs. Runs are
        3D polylines along their inverts, buried lines along their tops; layers by duty and by kind of line.
    """

    def draw(model: Model) -> None:
        _ground(design.site, model)
        _buried(design.site, model)
        _crossings(design, model)
        _works(design, model)

    return written(design.job.units, draw)


def site_to_dxf(site: Site) -> str:
    """The same of a site alone, before anything is designed."""

    def draw(model: Model) -> None:
        _ground(site, model)
        _buried(site, model)

    return written(site.job.units, draw)


def written(units: System, draw: Callable[[Model], None]) -> str:
    """The text of a drawing, the same for equal drawings: no clock and no random ids in it."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        model = Model(units)
        draw(model)
        stream = io.StringIO()
        model.doc.classes.add_required_classes(model.doc.dxfversion)
        classes = model.doc.classes.classes  # out of a set, in an order that differs from run to run
        named = sorted(classes.items(), key=lambda item: item[0])
        classes.clear()
        classes.update(named)
        model.doc.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return stream.getvalue()


def _ground(site: Site, model: Model) -> None:
    word = Wording(model.units)
    if site.terrain is not None:
        model.contours(site.terrain.contours)
        model.low_spots(site.terrain.low_spots)
        for area in site.terrain.drained:
            for ring in area.rings if area.kind == "inlet" else ():
                model.path("DRAINED-TO-INLET", ring, closed=True)
        for number, shot in enumerate(site.terrain.next_shots, start=1):
            model.circle("NEXT-SHOT", (*shot.at, 0.0), 0.2)
            model.text((shot.at[0] + 0.3, shot.at[1], 0.0), f"next shot {number}", layer="NEXT-SHOT")
    model.path("HOUSE", site.outline, closed=True)
    if len(site.boundary) > 1:
        model.path("BOUNDARY", site.boundary, closed=True)
    for wall in site.walls:
        if wall.wall.open_and_coat:
            model.path("WALL-COATED", (wall.start, wall.end))
        model.path_3d("FOOTING-BOTTOM", ((*wall.start, wall.footing_bottom), (*wall.end, wall.footing_bottom)))
    for strip in site.shaped:
        model.path("SHAPED-GROUND", strip.outline, closed=True)
        for item, edge in zip(strip.sections, strip.edges(), strict=True):
            model.path_3d("SHAPED-LEVEL", ((*item.foot, item.wall_level), (*edge, item.edge_level)))
    for tree in site.trees:
        model.circle("TREE", (*tree.at, 0.0), tree.tree.trunk_diameter / 2)
        if tree.root_radius > 0:
            model.circle("TREE-ROOTS", (*tree.at, 0.0), tree.root_radius)
        model.text((tree.at[0] + 0.4, tree.at[1], 0.0), tree.tree.name)
    for point in site.points.values():
        if math.isfinite(point.east) and math.isfinite(point.north):
            level = 0.0 if point.level is None else point.level
            name = point.name if point.level is None else f"{point.name} {word.level_number(point.level)}"
            model.point((point.east, point.north, level), name)
    for name, plan, height in zip(site.surface.names, site.surface.plan.tolist(), site.surface.levels, strict=True):
        if name and name not in site.points:  # of a shot set: so many that a name to each would hide the rest
            model.space.add_point(model.at((*plan, float(height))), dxfattribs={"layer": "SHOT"})


def _buried(site: Site, model: Model) -> None:
    word = Wording(model.units)
    for item in site.utilities:
        layer, colour = _UTILITIES[item.utility.kind]
        model.layer(layer, colour, "DASHED", 35)
        model.path_3d(layer, tuple((*at, top) for at, top in zip(item.route, item.top, strict=True)))
        at = item.route[0]
        depth = item.utility.depth
        told = "depth unknown" if depth is None else f"top {word.small(depth.value)} down, {depth.basis}"
        text = f"{item.utility.name}, {item.utility.kind}, {told}"
        model.text((at[0] + 0.15, at[1] + 0.15, item.top[0]), text, layer=layer)
    for line in site.joined:
        layer, colour = _UTILITIES[KIND]
        model.layer(layer, colour, "DASHED", 35)
        model.path(layer, line.route)
        model.text((line.route[0][0] + 0.15, line.route[0][1] + 0.15, 0.0), ", ".join(joined_words(line)), layer=layer)


def _crossings(design: Design, model: Model) -> None:
    for crossing in design.build.dig.crossings:
        known = crossing.utility_top is not None
        level = crossing.utility_top if crossing.utility_top is not None else design.site.surface.level(*crossing.at)
        model.circle("CROSSING", (*crossing.at, level), 0.1)
        mark = crossing.mark if known else f"{crossing.mark} depth unknown"
        model.text((crossing.at[0] + 0.12, crossing.at[1], level), mark, layer="CROSSING")


def _works(design: Design, model: Model) -> None:
    word = Wording(design.job.units)
    for run in design.system.runs:
        layer, colour, linetype, weight = _DUTIES[run.duty]
        model.layer(layer, colour, linetype, weight)
        line = run_line(run)
        model.path_3d(layer, line)
        middle = line[len(line) // 2 - 1], line[len(line) // 2]
        turn = math.atan2(middle[1][1] - middle[0][1], middle[1][0] - middle[0][0])
        if not -math.pi / 2 < turn <= math.pi / 2:
            turn -= math.copysign(math.pi, turn)
        at: Any = tuple((a + b) / 2 for a, b in zip(*middle, strict=True))
        fall = word.falls(run)
        pipe = pipe_words(run.pipe, design.job.units)
        model.text(at, f"{run.name} {pipe}, {word.length(run.length)}, {fall}", turn=turn, layer=layer)
    for node in design.system.nodes.values():
        radius = 0.12
        layer = "NODE"
        if (station := design.system.station_named(node.name)) is not None:
            radius, layer = station.inside_diameter / 2, "BASIN"
        model.circle(layer, (*node.at, node.rim), radius)
        text = f"{node.name} rim {word.level_number(node.rim)} invert {word.level_number(node.invert)}"
        model.text((node.at[0] + radius + 0.1, node.at[1] - 0.25, node.rim), text)


__all__ = ["Model", "run_line", "safe_text", "site_to_dxf", "to_dxf", "written"]
