"""Write a sheet as SVG: text stays text, nothing is fetched, equal sheets give equal bytes."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import groupby
from xml.sax.saxutils import escape, quoteattr

from drainwright.paper.looks import LOOKS, Look
from drainwright.paper.measure import text_width
from drainwright.paper.sheet import FONT, Arc, Circle, Mark, Picture, Point, Polygon, Polyline, Sheet, TextMark, clean

HELD = 12.0  # texts from this width on are held to it [mm]


def _number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _shape_style(look: Look) -> str:
    parts = [f'fill="{look.fill}"' if look.fill else 'fill="none"']
    if look.fill and look.opacity < 1:
        parts.append(f'fill-opacity="{_number(look.opacity)}"')
    if look.ink and look.width:
        parts.append(f'stroke="{look.ink}" stroke-width="{_number(look.width)}" stroke-linejoin="round"')
        if look.dash:
            parts.append(f'stroke-dasharray="{" ".join(map(_number, look.dash))}"')
        if look.round:
            parts.append('stroke-linecap="round"')
    return " ".join(parts)


def _points(points: tuple[Point, ...], height: float) -> str:
    return " ".join(f"{_number(x)},{_number(height - y)}" for x, y in points)


def _text(mark: TextMark, look: Look, height: float) -> str:
    x, y = _number(mark.at[0]), _number(height - mark.at[1])
    style = f'font-size="{_number(mark.size)}" fill="{look.ink or "#000000"}"'
    if mark.anchor != "start":
        style += f' text-anchor="{mark.anchor}"'
    if mark.weight == "semibold":
        style += ' font-weight="600"'
    width = text_width(clean(mark.text), mark.size, mark.weight)
    if width >= HELD:  # whatever font is at hand, the words keep the room that they were laid out in
        style += f' textLength="{_number(width)}" lengthAdjust="spacingAndGlyphs"'
    if mark.rotation:
        style += f' transform="rotate({_number(-math.degrees(mark.rotation))} {x} {y})"'
    return f'<text x="{x}" y="{y}" {style}>{escape(clean(mark.text))}</text>'


def _picture(mark: Picture, height: float) -> str:
    left, bottom, right, top = mark.window
    room = (
        f'x="{_number(left)}" y="{_number(height - top)}" width="{_number(right - left)}" '
        f'height="{_number(top - bottom)}"'
    )
    place = f"translate({_number(mark.corner[0])} {_number(height - mark.corner[1])})"
    turned = f"{place} rotate({_number(-math.degrees(mark.turn))})"
    keep = "xMidYMid meet" if mark.in_shape else "none"
    size = f'width="{_number(mark.width)}" height="{_number(mark.height)}" preserveAspectRatio="{keep}"'
    name = f"window-of-{mark.layer.replace(' ', '-')}"
    return (
        f'<clipPath id="{name}"><rect {room}/></clipPath>'
        f'<g clip-path="url(#{name})" opacity="{_number(LOOKS[mark.layer].opacity)}">'
        f'<image {size} transform="{turned}" href={quoteattr(mark.data)}/></g>'
    )


def _shape(mark: Mark, height: float) -> str:
    match mark:
        case Polyline():
            return f'<polyline fill="none" points="{_points(mark.points, height)}"/>'
        case Polygon():
            return f'<polygon points="{_points(mark.points, height)}"/>'
        case Circle():
            x, y = mark.centre
            return f'<circle cx="{_number(x)}" cy="{_number(height - y)}" r="{_number(mark.radius)}"/>'
        case Arc():
            ends = [
                (mark.centre[0] + mark.radius * math.cos(turn), height - mark.centre[1] - mark.radius * math.sin(turn))
                for turn in (mark.start, mark.start + mark.sweep)
            ]
            (x0, y0), (x1, y1) = ends
            large = 1 if mark.sweep > math.pi else 0
            radius = _number(mark.radius)
            return (
                f'<path fill="none" d="M{_number(x0)},{_number(y0)} '
                f'A{radius},{radius} 0 {large} 0 {_number(x1)},{_number(y1)}"/>'
            )
        case TextMark():
            return _text(mark, LOOKS[mark.layer], height)
        case Picture():
            return _picture(mark, height)


def to_svg(sheet: Sheet) -> str:
    """The sheet as an SVG document in millimetres.

    Parameters
    ----------
    sheet : Sheet
        The sheet; every layer of its marks is one of ``looks.LOOKS``.

    Returns
    -------
    str
        UTF-8 text without an XML declaration, the same for equal sheets.
    """
    width, height = _number(sheet.width), _number(sheet.height)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" font-family={quoteattr(FONT + ", sans-serif")} role="img">',
        f"<title>{escape(clean(sheet.title))}</title>",
        f"<desc>{escape(clean(sheet.description))}</desc>",
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>',
    ]
    for (layer, is_text), marks in groupby(sheet.marks, key=lambda mark: (mark.layer, isinstance(mark, TextMark))):
        name = quoteattr(layer.replace(" ", "-"))
        look = replace(LOOKS[layer], ink=sheet.accent) if layer == "accent" else LOOKS[layer]
        lines.append(f"<g class={name}>" if is_text else f"<g class={name} {_shape_style(look)}>")
        lines.extend(_shape(mark, sheet.height) for mark in marks)
        lines.append("</g>")
    lines.append("</svg>")
    return "\n".join(lines) + "\n"


__all__ = ["to_svg"]
