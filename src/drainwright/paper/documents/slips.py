"""Measurements that the others contradict, told where somebody would otherwise build on them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from drainwright.design import Design
from drainwright.field.model import Plan, Slip
from drainwright.paper.documents.blocks import Block, Notice
from drainwright.paper.documents.say import Say, joined

NEAR = 0.003  # a place so near to a point of the survey is that point [m]
MOST_RIVALS = 4
_PATH = re.compile(r"survey\.(points|tapes|level_book|perimeter)(?:\[(\d+)\])?")


def slip_title(design: Design) -> str:
    """``One measurement contradicts the others``."""
    count = len(design.site.slips)
    return (
        "One measurement contradicts the others" if count == 1 else f"{count} measurements contradict the others"
    )  # fmt: skip


def slip_words(design: Design, slip: Slip) -> str:
    """A slip with what was probably meant and what else would explain it."""
    parts = [slip.message]
    if slip.meant and slip.meant not in slip.message:
        parts.append(f"Probably meant: {slip.meant}.")
    if slip.rivals:
        say = Say(design.job.units)
        rivals = joined([say.place(rival) for rival in slip.rivals[:MOST_RIVALS]], "or")
        parts.append(f"The same misfit would come from {rivals}.")
    return " ".join(parts)


def touches_all(design: Design, slip: Slip) -> bool:
    """Whether all that is taped from the house or levelled after it hangs on a slip.

    So do a side or a turn of the walk, a corner of the house, and a reading that carries the levels on.
    """
    survey = design.job.survey
    for kind, number in _paths(slip):
        if kind == "perimeter":
            return True
        if kind == "level_book" and number is not None and number < len(survey.level_book):
            row = survey.level_book[number]
            if row.backsight is not None or row.foresight is not None:
                return True
    corners = {_place(corner) for corner in design.site.outline}
    points = design.site.points
    return any(
        _place((points[name].east, points[name].north)) in corners
        for name in _points(design, slip, levels=False)
        if name in points
    )


def hangs_on(design: Design, slip: Slip, at: Plan) -> bool:
    """Whether a place of the works is a point that a slip moves in plan or in level."""
    points = design.site.points
    return any(
        math.dist((points[name].east, points[name].north), at) < NEAR
        for name in _points(design, slip, levels=True)
        if name in points and math.isfinite(points[name].east)
    )


def hung_places(design: Design, slip: Slip) -> tuple[str, ...]:
    """Names of the works' nodes that stand on a point of a slip."""
    return tuple(node.name for node in design.system.nodes.values() if hangs_on(design, slip, node.at))


def crew_slips(design: Design) -> tuple[Block, ...]:
    """For the crew, before the first shovel: what to measure again, and what hangs on it."""
    slips, title = design.site.slips, slip_title(design)
    if not slips:
        return ()
    items = []
    for slip in slips:
        hung = hung_places(design, slip)
        if touches_all(design, slip):
            bears = "All that is set out hangs on it."
        else:
            bears = f"On it hangs {joined(hung)}." if hung else "No place of the works stands on it by itself."
        items.append(f"{slip_words(design, slip)} {bears}")
    return (
        Notice(
            tone="fails", title=f"Measure again before setting out: {title[0].lower()}{title[1:]}",
            text="The sheets in this packet still use what was written down. If the new figure is another one, stop "
            "and call: the design is made anew before anything is set out by it.",
            items=tuple(items),
        ),
    )  # fmt: skip


def customer_slips(design: Design) -> tuple[Block, ...]:
    """For the customer, in one line."""
    count = len(design.site.slips)
    if not count:
        return ()
    one = count == 1
    return (
        Notice(
            tone="caution",
            title="We measure again before work starts",
            text=f"{'One of our measurements does' if one else f'{count} of our measurements do'} not agree with the "
            f"others. We take {'it' if one else 'them'} again before anything is set out; places, levels and the price "
            "may change with what we find.",
        ),
    )


def _paths(slip: Slip) -> Iterable[tuple[str, int | None]]:
    for where in (slip.where, *slip.rivals):
        match = _PATH.match(where)
        if match:
            yield match[1], None if match[2] is None else int(match[2])


def _points(design: Design, slip: Slip, *, levels: bool) -> set[str]:
    """Points that a slip may move: its own, and those that were taped from them."""
    survey = design.job.survey
    moved: set[str] = set()
    only_level: set[str] = set()
    for kind, number in _paths(slip):
        if kind == "points" and number is not None and number < len(survey.points):
            moved.add(survey.points[number].name)
        elif kind == "tapes" and number is not None and number < len(survey.tapes):
            moved |= {survey.tapes[number].from_, survey.tapes[number].to}
        elif kind == "level_book" and number is not None and number < len(survey.level_book):
            only_level.add(survey.level_book[number].point)
    grew = True
    while grew:
        more = {
            point.name
            for point in survey.points
            if point.name not in moved and moved & {*(tie.from_ for tie in point.ties), *(point.along or ())}
        }
        moved |= more
        grew = bool(more)
    return moved | only_level if levels else moved


def _place(at: Plan) -> tuple[float, float]:
    return (round(at[0], 6), round(at[1], 6))


__all__ = ["crew_slips", "customer_slips", "hangs_on", "hung_places", "slip_title", "slip_words", "touches_all"]
