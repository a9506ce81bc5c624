"""A walk that misses: which side or turn, put right, would let it close and fit the rest of the survey."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from drainwright.errors import JobError
from drainwright.field.model import Slip
from drainwright.field.plan_adjust import AdjustedPlan
from drainwright.field.plan_network import Measure
from drainwright.field.plan_slips import ALIKE, SOUND, name_of, readings, suspicious
from drainwright.field.traverse import close_walk
from drainwright.field.words import Units, degrees, fine
from drainwright.job.survey import Perimeter, Survey


def _turned(walk: Perimeter, units: Units) -> Iterator[tuple[Measure, float, str, str]]:
    """Each turn with its sign changed, or off by a right angle: the measure, its value, kind, what was meant."""
    corners = [walk.start, *(leg.to for leg in walk.legs), walk.legs[0].to]
    for n, leg in enumerate(walk.legs):
        if leg.turn is None:
            continue
        turn = Measure(where=f"survey.perimeter.legs[{n}].turn", kind="turn",
                       ends=(corners[n], leg.to, corners[n + 2]), value=leg.turn, error=1.0)  # fmt: skip
        seen = set()
        for one in readings(turn, units):
            if round(one.value, 9) not in seen:
                seen.add(round(one.value, 9))
                yield turn, one.value, one.kind, f"{one.text} instead of {degrees(leg.turn)}"


def _stretched(walk: Perimeter, units: Units) -> Iterator[tuple[Measure, float, str, str]]:
    """Each side as long as closes the walk best."""
    turns = [leg.turn for leg in walk.legs[:-1] if leg.turn is not None]
    azimuths = [walk.bearing + math.fsum(turns[:n]) for n in range(len(walk.legs))]
    _, east, north = close_walk((0.0, 0.0), azimuths, [leg.length for leg in walk.legs], False)
    before = walk.start
    for n, (leg, azimuth) in enumerate(zip(walk.legs, azimuths, strict=True)):
        side = Measure(
            where=f"survey.perimeter.legs[{n}]", kind="leg", ends=(before, leg.to), value=leg.length, error=1.0
        )
        before = leg.to
        length = leg.length - east * math.sin(azimuth) - north * math.cos(azimuth)
        if length <= 0.0:
            continue
        near = min(readings(side, units), key=lambda one: abs(one.value - length))
        fits = abs(near.value - length) < 0.1 * abs(length - leg.length)
        told = fine(near.value if fits else length, units)
        yield (
            side,
            length,
            near.kind if fits else "misread",
            f"{'' if fits else 'about '}{told} instead of {fine(leg.length, units)}",
        )


def _mended(survey: Survey, where: str, value: float) -> Survey:
    walk = survey.perimeter
    assert walk is not None
    number = int(where.partition("[")[2].partition("]")[0])
    part = "turn" if where.endswith(".turn") else "length"
    legs = list(walk.legs)
    legs[number] = legs[number].model_copy(update={part: value})
    return survey.model_copy(update={"perimeter": walk.model_copy(update={"legs": tuple(legs)})})


def walk_slips(survey: Survey, trial: Callable[[Survey], AdjustedPlan], units: Units = "US") -> tuple[Slip, ...]:
    """Name the sides and turns that explain a walk which misses.

    Parameters
    ----------
    survey : Survey
        Its walk misses its start, or its turns a full circle.
    trial : callable
        Adjusts the plan of a mended survey; raises ``JobError`` where that fails.
    units : {"US", "SI"}
        Of the job.

    Returns
    -------
    tuple of Slip
        One slip, its rivals in it; empty where no single side or turn explains the gap.
    """
    walk = survey.perimeter
    if walk is None:
        return ()
    found: list[tuple[float, Slip]] = []
    for measure, value, kind, meant in (*_turned(walk, units), *_stretched(walk, units)):
        try:
            plan = trial(_mended(survey, measure.where, value))
        except JobError:
            continue
        if plan.network is None or plan.network.variance_factor is None or plan.network.variance_factor > SOUND:
            continue
        seen = plan.network.observations
        if suspicious([one.redundancy for one in seen], [one.standardised for one in seen]):
            continue
        misfit = plan.network.variance_factor * plan.network.redundancy
        off = measure.value - value
        accuracy = survey.turn_accuracy if measure.kind == "turn" else survey.tape_accuracy
        name = name_of(measure)
        found.append((misfit, Slip(
            where=measure.where, kind=kind, size=off, meant=meant, strength=abs(off) / accuracy,
            message=f"The walk closes with {name} put right: {meant} ({kind}).",
        )))  # fmt: skip
    if not found:
        return ()
    found.sort(key=lambda one: one[0])
    least, first = found[0]
    others = [slip for misfit, slip in found[1:] if misfit <= least + ALIKE and slip.where != first.where]
    if others:
        told = "; ".join(f"{slip.where}, {slip.meant}" for slip in others)
        first = replace(first, message=f"{first.message} So it does with {told}.",
                        rivals=tuple(dict.fromkeys(slip.where for slip in others)))  # fmt: skip
    return (first,)


__all__ = ["walk_slips"]
