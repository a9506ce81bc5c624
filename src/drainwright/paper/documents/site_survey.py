"""How the site was measured: closures, checks, and how well each point is known."""

from __future__ import annotations

import math

from drainwright.design import Design
from drainwright.field.model import PlanObservation, Site, SitePoint
from drainwright.field.words import fine
from drainwright.paper.documents.blocks import Block, Bullets, Column, Facts, Heading, Keep, Paragraph, Row, Table
from drainwright.paper.documents.say import Say
from drainwright.quantities import System, write

IN_LEVEL = 1.96  # standard errors that hold 95 % of levels
IN_PLAN = math.sqrt(-2.0 * math.log(0.05))  # of an ellipse that holds 95 % of places: 2.45
HARDLY = 0.02  # redundancy below which a slip hardly shows [-]
MOST_NAMES = 14
METHODS = {"proportional": "misclosure shared out along the book", "least squares": "by least squares"}
WAYS = {
    "corner": "walk", "ties": "ties", "along": "along a line", "coordinates": "coordinates", "level only": "level only",
}  # fmt: skip
KINDS = {
    "leg": "legs", "turn": "turns", "tie": "ties", "tape": "tapes", "along": "distances along", "offset": "offsets",
}  # fmt: skip


def survey_part(design: Design) -> tuple[Block, ...]:
    """Part 1 of the paper of the site."""
    site = design.site
    return (
        Keep(
            blocks=(
                Heading(text="1. How the site was measured"),
                Facts(items=_closures(site, design), columns=1),
            )
        ),
        *_points(design),
        *_hardly(site),
        *_notes(site),
    )


def _closures(site: Site, design: Design) -> tuple[tuple[str, str], ...]:
    units, say = design.job.units, Say(design.job.units)
    book, walk, net = site.level_book, site.traverse, site.network
    rows: list[tuple[str, str]] = []
    if book is None:
        rows.append(("Level book", "none: levels are given with the points, and nothing checks them"))
    else:
        ups = "one set-up" if book.set_ups == 1 else f"{book.set_ups} set-ups"
        if book.misclosure is None or book.allowable is None:
            rows.append(("Level book", f"{ups}, does not return to a benchmark: nothing checks it"))
        else:
            verdict = "closes" if book.closes else "does NOT close"
            rows.append(
                ("Level book", f"{ups}, {verdict}: off by {_apart(book.misclosure, units)}, allowed "
                 f"{_apart(book.allowable, units)}")
            )  # fmt: skip
        rows.append(("Levels adjusted", f"{METHODS[book.method]}; {_more(book.redundancy, 'reading')}"))
        error = "not told: too few checks" if book.reading_error is None else f"± {fine(book.reading_error, units)}"
        rows.append(("One reading of the rod", f"{error} (standard error that the checks show)"))
    if walk is None:
        rows.append(("Walk round the house", "none: corners are given by coordinates"))
    else:
        text = f"{say.length(walk.perimeter)}, gap at its end {say.small(walk.misclosure)}"
        if walk.misclosure > 0.0:
            text += f" (1 in {walk.perimeter / walk.misclosure:,.0f})"
        rows.append(("Walk round the house", text + (", shared out" if walk.adjusted else "")))
        if walk.angular_misclosure is not None:
            angle = write(abs(walk.angular_misclosure), "angle", "SI", "deg", 2)
            rows.append(("Sum of its turns", f"off by {angle}"))
    if net is not None:
        text = f"{len(net.observations)} measurements adjusted together; {_more(net.redundancy, 'measurement')}"
        if net.variance_factor is not None:
            text += f"; misfits {_times(math.sqrt(net.variance_factor))} as large as tapes of this kind leave"
        rows.append(("Plan", text))
        worst = _worst(net.observations)
        if worst is not None:
            rows.append(
                (
                    "Largest misfit",
                    f"{_called(worst)}: {_size(worst, say)}, {abs(worst.standardised):.1f} standard errors",
                )
            )
    rows.append(
        ("Slips", "none suspected" if not site.slips else f"{len(site.slips)} suspected: see the box on the first page")
    )
    return tuple(rows)


def _apart(value: float, units: System) -> str:
    """A small difference of levels, to a thousandth of a foot or a tenth of a millimetre."""
    return write(abs(value), "length", units, *(("ft", 3) if units == "US" else ("mm", 1)))


def _more(count: int, what: str) -> str:
    return (
        f"no {what} more than it takes: nothing checks them" if count == 0
        else f"one {what} more than it takes" if count == 1 else f"{count} {what}s more than it takes"
    )  # fmt: skip


def _times(ratio: float) -> str:
    return f"{ratio:.2f} times" if ratio < 1.0 else f"{ratio:.1f} times"


def _worst(observations: tuple[PlanObservation, ...]) -> PlanObservation | None:
    checked = [item for item in observations if item.redundancy >= HARDLY]
    return max(checked, key=lambda item: abs(item.standardised), default=None)


def _called(item: PlanObservation) -> str:
    """``turn A–B–C``, ``tie A–W1``."""
    return f"{item.kind} {'–'.join(item.ends)}"


def _size(item: PlanObservation, say: Say) -> str:
    if item.kind == "turn":
        return write(abs(item.residual), "angle", "SI", "deg", 2)
    return say.small(abs(item.residual))


def _points(design: Design) -> tuple[Block, ...]:
    say, units = Say(design.job.units), design.job.units
    points = [point for point in design.site.points.values() if point.ellipse is not None or point.way == "corner"]
    others = [point for point in design.site.points.values() if point not in points and point.way != "level only"]
    blocks: list[Block] = []
    if points:
        unit = "in" if say.us else "mm"
        weak = any(point.weak for point in points)
        columns = (
            Column(head="Point", width=1), Column(head="Fixed by", width=1.5),
            Column(head="Level", width=1.3, align="right"),
            Column(head=f"± level, {'ft' if say.us else 'm'}", width=1.2, align="right"),
            Column(head=f"± place, {unit}", width=1.4, align="right"),
            Column(head="long axis", width=1.1, align="right"),
            *((Column(head="", width=2.2),) if weak else ()),
        )  # fmt: skip
        rows: list[Row] = [
            (
                point.name, WAYS[point.way], "–" if point.level is None else say.level_number(point.level),
                _level_error(point, units), *_ellipse(point, say),
                *((("ties cross at a poor angle" if point.weak else ""),) if weak else ()),
            )
            for point in points
        ]  # fmt: skip
        blocks += [
            Heading(text="How well each point is known", level=2),
            Paragraph(
                text="Within ± the true value lies nineteen times of twenty: in level from the benchmark, in plan half "
                "the axes of the 95 % ellipse about the first corner of the walk. The long axis is told clockwise from "
                "north.",
                style="soft",
            ),
            Table(columns=columns, rows=tuple(rows), size=0.84),
        ]
    if others:
        errors = [point.level_error for point in others if point.level_error is not None]
        names = [point.name for point in others]
        listed = f"{', '.join(names[:MOST_NAMES])}{_and_more(len(names))}"
        text = f"Given by coordinates, so that nothing checks their place: {listed}."
        if errors:
            text += f" Their levels are known to ± {fine(IN_LEVEL * max(errors), units)}."
        blocks.append(Paragraph(text=text, style="soft"))
    return tuple(blocks)


def _level_error(point: SitePoint, units: str) -> str:
    if point.level_error is None or point.level is None:
        return "not checked" if point.level is not None else "–"
    return f"{IN_LEVEL * point.level_error / (0.3048 if units == 'US' else 1.0):.3f}"


def _ellipse(point: SitePoint, say: Say) -> tuple[str, str]:
    if point.ellipse is None:
        return ("starts here" if point.way == "corner" else "–", "–")
    unit = 0.0254 if say.us else 0.001
    long, short = (IN_PLAN * half / unit for half in (point.ellipse.major, point.ellipse.minor))
    digits = 1 if say.us else 0
    axis = "–" if long < 1.01 * short else f"{round(math.degrees(point.ellipse.bearing)) % 180}°"
    return (f"{long:.{digits}f} × {short:.{digits}f}", axis)


def _and_more(count: int) -> str:
    return f" and {count - MOST_NAMES} more" if count > MOST_NAMES else ""


def _hardly(site: Site) -> tuple[Block, ...]:
    """Measurements whose slip would not show."""
    if site.network is None:
        return ()
    found: dict[str, list[str]] = {}
    for item in site.network.observations:
        if item.redundancy < HARDLY:
            found.setdefault(item.kind, []).append("–".join(item.ends))
    if not found:
        return ()
    parts = [f"{KINDS[kind]} {', '.join(ends[:MOST_NAMES])}{_and_more(len(ends))}" for kind, ends in found.items()]
    return (
        Paragraph(
            text=f"A slip in one of these would pass unseen: {'; '.join(parts)}. A diagonal or "
            "a third tie would check them.",
            style="soft",
        ),
    )


def _notes(site: Site) -> tuple[Block, ...]:
    if not site.notes:
        return ()
    return (Heading(text="What nothing checks, and what was assumed", level=2), Bullets(items=site.notes))


__all__ = ["survey_part"]
