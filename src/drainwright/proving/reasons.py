"""Why a pump's flow is not the expected one: each reason worked out on the design's own pump and line."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from drainwright.job.works import Basin
from drainwright.proving.duty import Duty, duty_of
from drainwright.proving.model import Reason
from drainwright.proving.words import Words
from drainwright.quantities import percent
from drainwright.system.catalogue import PRESSURE_PIPES
from drainwright.system.lift.duty import worn
from drainwright.system.model import LiftStation, SizedRun
from drainwright.system.trade import pipe_words

MODEL = 0.05  # standard error of a sheet's curve with the losses of a line; common practice, no source [-]
FITS = 2.0  # a reason whose flow lies within so many standard errors fits [-]
NOTHING = 0.10  # of the expected flow: less is as good as none; common practice, no source [-]
BROKEN = 0.6  # of its head: a pump that lost more is no worn one; common practice, no source [-]
CHOKED = 200.0  # K of a valve or check valve that is as good as shut [-]
VALVES = ((0.9, "three quarters open"), (4.5, "half open"), (24.0, "a quarter open"))  # K of a gate valve [-]
VALVE_SOURCE = "perry_6"
HOLES = (0.00635, 0.009525, 0.0127)  # relief holes larger than the usual, 1/4 to 1/2 in [m]
STEPS = 40  # of a bisection [-]


def reasons(
    station: LiftStation,
    run: SizedRun,
    basin: Basin | None,
    *,
    level: float,
    expected: float,
    found: float,
    band: float,
    squirts: bool | None,
    words: Words,
) -> tuple[Reason, ...]:
    """What may stand behind a flow, ranked by how well its own figure agrees with the readings.

    Parameters
    ----------
    station : LiftStation
        As designed.
    run : SizedRun
        Its discharge line.
    basin : Basin or None
        Of the job.
    level : float
        Of the test's middle. [m]
    expected, found, band : float
        Flow out of the basin at that level: as designed, as read, and half of its band. [m³/s]
    squirts : bool or None
        Whether the relief hole was seen to squirt; None: nobody looked.
    words : Words
        Of the job's units.

    Returns
    -------
    tuple of Reason
        Those that fit first: of a fixed figure by how near it comes, then those that can be set to give any flow.
        The rest, which do not fit, are told with the flow that they would give.
    """
    error = ((band / 1.96) ** 2 + (MODEL * expected) ** 2) ** 0.5
    duty = duty_of(station, run, basin)
    listed = (
        tuple(_less(duty, station, run, basin, level, found, expected, words))
        if found < expected
        else tuple(_more(duty, station, run, basin, level, words))
    )
    nothing = found + band < NOTHING * expected
    judged = []
    for key, said, flow in listed:
        off = 0.0 if flow is None else abs(flow - found) / error
        judged.append(Reason(key=key, said=said, flow=flow, fits=off <= FITS, off=off))
    order = {"air lock": 0 if nothing and squirts is not True else 3, "shut": 1 if nothing else 3}
    judged.sort(key=lambda one: (not one.fits, order.get(one.key, 1 if one.flow is not None else 2), one.off))
    return tuple(judged)


def _less(
    duty: Duty,
    station: LiftStation,
    run: SizedRun,
    basin: Basin | None,
    level: float,
    found: float,
    expected: float,
    words: Words,
) -> Iterator[tuple[str, str, float | None]]:
    """Reasons of too little flow: key, words, and the flow that each gives (None: any)."""
    yield (
        "air lock",
        "Air is caught under the check valve (relief hole blocked or not drilled): the pump runs and lifts nothing.",
        0.0,
    )
    yield "shut", "A valve is shut, the check valve is fitted the wrong way round, or the line is blocked.", 0.0
    smaller = [pipe for pipe in PRESSURE_PIPES if pipe.inside < run.pipe.inside - 1e-6]
    if smaller:
        flow = duty_of(station, run, basin, smaller[-1]).leaves(level)
        size = pipe_words(smaller[-1], words.units)
        yield "smaller line", f"A line of the next smaller size ({size}) gives {words.flow(flow)}.", flow
    for coefficient, how in VALVES:
        flow = _choked(duty, coefficient).leaves(level)
        yield f"valve {how}", f"A gate valve {how} gives {words.flow(flow)}.", flow
    for hole in HOLES:
        if duty.hole_in_basin and hole > duty.hole + 1e-6:
            flow = replace(duty, hole=hole).leaves(level)
            size = words.small(hole)
            yield f"hole {size}", f"A relief hole of {size} throws back so much that {words.flow(flow)} are left.", flow
    lost = _solve(lambda share: _worn(duty, share).leaves(level), found, 0.0, BROKEN)
    if lost is not None:
        yield "wear", f"A pump that lost {percent(lost)} of its head gives this (worn, or clogged at its inlet).", None
    else:
        flow = _worn(duty, BROKEN).leaves(level)
        yield (
            "wear",
            f"A pump that lost {percent(BROKEN)} of its head, the most that was tried, still gives {words.flow(flow)}.",
            flow,
        )
    more = _solve(lambda k: _choked(duty, k).leaves(level), found, 0.0, CHOKED)
    if more is not None:
        yield (
            "choked",
            f"Losses of K = {more:.1f} more than designed give this: a check valve that sticks, a choked line.",
            None,
        )


def _more(
    duty: Duty, station: LiftStation, run: SizedRun, basin: Basin | None, level: float, words: Words
) -> Iterator[tuple[str, str, float | None]]:
    """Reasons of more flow than designed."""
    larger = [pipe for pipe in PRESSURE_PIPES if pipe.inside > run.pipe.inside + 1e-6]
    if larger:
        flow = duty_of(station, run, basin, larger[0]).leaves(level)
        size = pipe_words(larger[0], words.units)
        yield "larger line", f"A line of the next larger size ({size}) gives {words.flow(flow)}.", flow
    if duty.hole > 0.0:
        flow = replace(duty, hole=0.0).leaves(level)
        yield "no hole", f"Without a relief hole it gives {words.flow(flow)}: look whether it is drilled.", flow
    flow = replace(duty, static=duty.static - 0.3048).leaves(level)
    yield "less lift", f"A line that lies {words.small(0.3048)} lower gives {words.flow(flow)}.", flow
    yield "other pump", "Another pump than the one of the sheet may be fitted.", None
    yield "area", "The basin may be narrower than taken: measure its inside width at the readings.", None


def _choked(duty: Duty, more: float) -> Duty:
    return replace(duty, pipe=replace(duty.pipe, loss_coefficient=duty.pipe.loss_coefficient + more))


def _worn(duty: Duty, share: float) -> Duty:
    return replace(duty, curve=worn(duty.curve, share))


def _solve(flow: Callable[[float], float], wanted: float, low: float, high: float) -> float | None:
    """Where a falling flow comes down to the wanted one; None where it does not within the ends."""
    if not flow(low) >= wanted >= flow(high):
        return None
    for _ in range(STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if flow(middle) > wanted else (low, middle)
    return (low + high) / 2.0


__all__ = ["NOTHING", "VALVE_SOURCE", "reasons"]
