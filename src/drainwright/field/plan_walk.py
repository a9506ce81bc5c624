"""A walk that misses: which side or turn, put right, would let it close and fit the rest of the survey."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from drainwright.errors import JobError
from drainwright.field.model import Slip
from drainwright.field.plan_adjust import AdjustedPlan
from drainwright.field.plan_network import Measure
from drainwright.field.plan_slips import ALIKE, SOUND, apart, name_of, readings, say, suspicious
from drainwright.field.traverse import close_walk
from drainwright.field.words import Units
from drainwright.job.survey import Perimeter, Survey

NEARLY = {"turn": math.radians(10.0), "leg": 0.15}  # a reading so near to what the others say was meant [rad, m]


def _ways(walk: Perimeter, units: Units) -> Iterator[tuple[Measure, float]]:
    """Each turn with its sign changed or off by a right angle, each side as long as closes the walk best."""
    corners = [walk.start, *(leg.to for leg in walk.legs), walk.legs[0].to]
    for n, leg in enumerate(walk.legs):
        if leg.turn is not None:
            turn = Measure(where=f"survey.perimeter.legs[{n}].turn", kind="turn",
                           ends=(corners[n], leg.to, corners[n + 2]), value=leg.turn, error=1.0)  # fmt: skip
            for value in {round(one.value, 9): one.value for one in readings(turn, units)}.values():
                yield turn, value
    turns = [leg.turn for leg in walk.legs[:-1] if leg.turn is not None]
    azimuths = [walk.bearing + math.fsum(turns[:n]) for n in range(len(walk.legs))]
    _, east, north = close_walk((0.0, 0.0), azimuths, [leg.length for leg in walk.legs], False)
    for n, (leg, azimuth) in enumerate(zip(walk.legs, azimuths, strict=True)):
        side = Measure(where=f"survey.perimeter.legs[{n}]", kind="leg", ends=(corners[n], leg.to), value=leg.length,
                       error=1.0)  # fmt: skip
        length = leg.length - east * math.sin(azimuth) - north * math.cos(azimuth)
        if length > 0.0:
            yield side, length


def _mended(survey: Survey, where: str, value: float) -> Survey:
    walk = survey.perimeter
    assert walk is not None
    number = int(where.partition("[")[2].partition("]")[0])
    part = "turn" if where.endswith(".turn") else "length"
    legs = list(walk.legs)
    legs[number] = legs[number].model_copy(update={part: value})
    return survey.model_copy(update={"perimeter": walk.model_copy(update={"legs": tuple(legs)})})


def _judged(measure: Measure, value: float, plan: AdjustedPlan, units: Units) -> tuple[float, Slip] | None:
    """What stands for a mended walk: the misfit of the rest, and the slip; None where the rest do not agree."""
    network = plan.network
    if network is None or network.variance_factor is None or network.variance_factor > SOUND:
        return None
    seen = network.observations
    if suspicious([one.redundancy for one in seen], [one.standardised for one in seen]):
        return None
    mended = next(one for one in seen if one.where == measure.where)
    says = mended.measured + mended.residual  # what the others make of it
    near = [one for one in readings(measure, units) if abs(apart(one.value, says, measure)) <= NEARLY[measure.kind]]
    best = min(near, key=lambda one: abs(apart(one.value, says, measure)), default=None)
    if measure.kind == "turn" and (best is None or abs(apart(best.value, value, measure)) > 1e-6):
        return None  # the others ask for another turn than was tried
    written = say(measure.value, measure, units)
    meant = f"{say(says if best is None else best.value, measure, units)} instead of {written}"
    off, about = apart(measure.value, says, measure), "about " if best is None else ""
    return network.variance_factor * network.redundancy, Slip(
        where=measure.where, kind="misread" if best is None else best.kind, size=off, meant=meant,
        strength=abs(off) / NEARLY[measure.kind],
        message=f"The walk closes, and fits the rest, with {name_of(measure)} {about}{meant}.",
    )  # fmt: skip


def walk_slips(survey: Survey, trial: Callable[[Survey, str], AdjustedPlan], units: Units = "US") -> tuple[Slip, ...]:
    """Name the sides and turns that explain a walk which misses.

    Parameters
    ----------
    survey : Survey
        Its walk misses its start, or its turns a full circle.
    trial : callable
        Adjusts the plan of a mended survey, leaving the measurement at a path out; raises ``JobError`` where that
        fails.
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
    for measure, value in _ways(walk, units):
        try:
            plan = trial(_mended(survey, measure.where, value), measure.where)
        except JobError:
            continue
        slip = _judged(measure, value, plan, units)
        if slip is not None:
            found.append(slip)
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
