"""The lines there already that outlets join, on the plan."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.field.model import SiteJoined
from drainwright.job.site import UtilityKind
from drainwright.paper.frame import View
from drainwright.paper.label import Frame
from drainwright.paper.looks import UTILITY, utility_layer
from drainwright.paper.plan_marks import SECOND, Drawn, clip, longest, middle
from drainwright.paper.sheet import Point, Polyline

SHOWN = 2.0  # of the line, either way of the joint [m]
KIND: UtilityKind = "storm drain"  # a line that takes rain has its colour and letters


def joined_words(item: SiteJoined) -> tuple[str, str]:
    """``existing 4 in line`` and ``route assumed``."""
    name = item.line.name if "existing" in item.line.name.lower() else f"existing: {item.line.name}"
    return name, f"route {item.line.route_basis.value}"


def near_joint(item: SiteJoined) -> list[Point]:
    """How far the plan must show a line that is joined: beyond the joint both ways, where its route is told. [m]"""
    import shapely

    shown = shapely.LineString(item.route).intersection(shapely.Point(item.at).buffer(SHOWN))
    return [(float(east), float(north)) for east, north in shapely.get_coordinates(shown)]


def joined_marks(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """Each existing line with its name, drawn as a buried line."""
    letters, _, _ = UTILITY[KIND]
    layer = utility_layer(KIND)
    for item in design.site.joined:
        pieces = clip([view(place) for place in item.route], window)
        drawn.marks += [Polyline(layer=layer, points=piece) for piece in pieces]
        if pieces:
            path = longest(pieces)
            name, route = joined_words(item)
            drawn.label(
                SECOND, f"{letters}  {name}", route, at=middle(path), path=path, layer=f"text {layer}", size=2.0,
                strong=True, clear=0.3,
            )  # fmt: skip


__all__ = ["KIND", "joined_marks", "joined_words", "near_joint"]
