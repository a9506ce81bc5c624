"""What could not be kept, in words with numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from drainwright.field.words import Units, fine
from drainwright.quantities import write
from drainwright.system.grading.model import Near
from drainwright.system.grading.solve import GradedLine, GravityLine, Relaxed
from drainwright.system.trade import pipe_words

JUST = 0.0254  # a gap that is wider than asked by less than this is held by the buried line [m]
TOLD = 0.1524  # depth that is worth a line of its own, 6 in; common practice, no source [m]
PASSED = (
    "{line} keeps {wanted} below the {name}, which is live: at most {deeper} of its depth there is for that (a bound: "
    "other conditions may hold it down too), and what drains on from it lies deeper too. What the room costs tells "
    "'drainwright whatif' with a smaller criteria.utility_clearance; only the line's owner can allow it."
)
BY_PRICE = "More would cost more depth and pipe than it is worth."
BY_NO_GRADE = "No grade that keeps the other conditions leaves more, at any price."


def percent(grade: float, units: Units) -> str:
    """A grade as a person reads it."""
    return write(grade, "grade", units, "%", 2)


def conflict(relaxed: Relaxed, line: GravityLine, found: GradedLine, units: Units) -> str:
    """One condition that gave way, said so that it can be acted on."""
    name = line.name
    least = 0.001 if units == "SI" else 0.0003048  # as far as it is written
    amount = fine(relaxed.amount, units) if relaxed.amount >= 0.5 * least else f"less than {fine(least, units)}"
    flattest = min(found.grades)
    grade = percent(flattest, units)
    wanted = percent(line.minimum_grade, units)
    match relaxed.kind:
        case "grade":
            return f"{name}: falls {grade} where {wanted} is wanted; there is {amount} too little fall for it."
        case "flat":
            flat = percent(line.least_grade, units)
            return f"{name}: falls {grade}, less than the least grade {flat}; another {amount} of fall is missing."
        case "uphill":
            return f"{name}: its ends are set so that it would rise with the flow, by {amount} in all."
        case "cover":
            return f"{name}: lies {amount} shallower than the cover asked for."
        case "bare":
            return f"{name}: would come out of the ground, by {amount}."
        case "size":
            return f"{name}: its pipe ({pipe_words(found.pipe, units)}) is smaller than one that drains into it."
        case "capacity":
            fill = write(line.maximum_fill, "fraction", units)
            return (
                f"{name}: {pipe_words(found.pipe, units)} at {grade} runs fuller than {fill} at the design flow; it"
                f" would need {amount} more fall."
            )
        case "drop":
            return f"{name}: leaves its catch basin with {amount} less fall through the body than asked."
        case "crown":
            return f"{name}: its top lies {amount} above that of a smaller pipe that drains into it."
        case "freeboard":
            return f"{name}: the water where it starts stands {amount} nearer to the grate than asked, by figures."
        case "steep":
            return f"{name}: falls {amount} more than the greatest grade allows."
        case "basin":
            return f"{name}: comes {amount} lower than the basin of the given height takes."
        case "utility":
            return f"{name}: cannot pass above or below a buried line; {amount} of room is missing."
        case "clearance":
            return f"{name}: lies {amount} higher below the floor than the criteria ask."
        case "overflow":
            return f"{name}: leaves its place {amount} below the top of the line that should run first."
        case "bed":
            return f"{name}: has {amount} less stone under it than asked, so that the digging stays above the footing."
        case "footing":
            return f"{name}: its trench goes {amount} into the ground that bears the footing."
        case "junction":
            return f"{name}: starts {amount} above a line that drains into it."
        case "outlet":
            return f"{name}: ends {amount} off the invert of its discharge point."


def given_up(near: Sequence[Near], units: Units) -> tuple[str, ...]:
    """Room to buried lines that was given up for its price, and room that no grade keeps."""
    unit, digits = ("in", 1) if units == "US" else ("mm", 0)

    def room(value: float) -> str:
        return write(value, "length", units, unit, digits)

    found = []
    for dear, why in ((True, BY_PRICE), (False, BY_NO_GRADE)):
        here = [item for item in near if item.dear is dear]
        said = "; ".join(f"{item.line} {room(item.gap)} of {room(item.wanted)} to the {item.other}" for item in here)
        if here:
            found.append(f"Less room above or below buried lines than asked: {said}. {why}")
    return tuple(found)


def passed_under(line: GravityLine, graded: GradedLine, units: Units) -> tuple[str, ...]:
    """Live buried lines under which a line keeps just the gap asked for, and how much of its depth there is for that.

    Parameters
    ----------
    line : GravityLine
        As it was asked for.
    graded : GradedLine
        As it was found.
    units : Units
        Of the words.

    Returns
    -------
    tuple of str
        None where the ground's cover asks for as much depth, or where the gap is wider than what is asked: something
        else holds the pipe down there. Cover alone is the measure: without the buried line the pipe may still lie
        lower than that, for a fall further on.
    """
    unit, digits = ("in", 0) if units == "US" else ("mm", 0)

    def room(value: float) -> str:
        return write(value, "length", units, unit, digits)

    found: dict[str, tuple[float, str]] = {}
    for obstacle in line.obstacles:
        for at, top in obstacle.places if obstacle.held else ():
            invert = float(np.interp(at, graded.knots, graded.inverts))
            crown = invert + graded.pipe.inside + graded.pipe.wall
            gap, wanted = top - obstacle.diameter - crown, obstacle.gaps[-1]
            here = min(range(len(line.distances)), key=lambda index: abs(line.distances[index] - at))
            cover = line.cover_at(here) if line.covered[here] else 0.0
            deeper = float(np.interp(at, line.distances, line.grounds)) - cover - crown
            name = obstacle.name.removesuffix(" beside it")
            if wanted <= gap + 1e-6 and gap < wanted + JUST and deeper > found.get(name, (TOLD, ""))[0]:
                found[name] = deeper, PASSED.format(line=line.name, wanted=room(wanted), name=name, deeper=room(deeper))
    return tuple(said for _, said in found.values())


__all__ = ["conflict", "given_up", "passed_under", "percent"]
