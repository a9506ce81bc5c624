"""Checks of the discharge line: relief hole, high and low places, frost, what runs back, surge, floats by the tape."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import each_station
from drainwright.job.values import Basis
from drainwright.quantities import percent, write
from drainwright.system.lift.float_marks import FloatMark
from drainwright.system.lift.line_details import SWING_DELAY
from drainwright.system.model import LiftStation

LEAK_SHARE = 0.10  # of the pump's flow that a relief hole may take, common practice, no source [-]
AIR_DEEP = 0.05  # a high place that stands less above the line beside it passes its air on, common practice [m]
LEVEL = 0.0015  # no dip of more than half of what a cut sheet prints, 0.01 ft, is passed over [m]
STAYS = 0.004  # water in low places that is worth telling, a gallon [m³]
STARTS_MORE = 1.25  # starts with the water that runs back over starts without, common practice, no source [-]
SLAM_SPEED = 0.5  # a swing check that shuts on faster water slams, common practice, no source [m/s]
SUCTION = 1.0  # head below the air's that a line at a high place should not see, common practice, no source [m]


def _where(station: LiftStation) -> str:
    return f"works.runs.{station.discharge_run}"


def _pressure(case: Case, value: float) -> str:
    return write(value, "pressure", case.job.units, "psi" if case.job.units == "US" else "kPa", 0)


def _amount(case: Case, value: float) -> str:
    """Write a small volume of water, no less than it is."""
    us = case.job.units == "US"
    small = value < (0.0378 if us else 0.01)
    return write(value, "volume", case.job.units, "gal" if us else "L", 1 if small else 0)


@rule("LFT-20", "Flow through the relief hole", "hydraulics_text")
@each_station
def leak(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """The hole squirts part of what the pump lifts back into the basin."""
    line = station.line
    if line is None or line.relief is None:
        return
    relief = line.relief
    wanted = station.inflow
    figure = f"{case.flow(relief.leak)}, {percent(relief.share, 1)} of the pump's flow"
    limit = f"{percent(LEAK_SHARE)} or less, and {case.flow(wanted)} left for the inflow"
    text = (
        f"Through the relief hole {case.flow(relief.leak)} squirt while the pump runs, under {case.length(relief.head)} of head; "
        f"{case.flow(relief.net_flow)} go up the line."
    )
    if relief.share > LEAK_SHARE:
        yield caution(
            where, text, figure=figure, limit=limit, advice="Drill a smaller hole, as the pump's sheet says.",
            basis=Basis.ASSUMED,
        )  # fmt: skip
    elif relief.net_flow < wanted <= station.operating_flow:
        yield caution(
            where, f"{text} That is less than the {case.flow(wanted)} of the design rain.", figure=figure, limit=limit,
            advice="Take the next pump, or drill the smallest hole that its sheet allows.", basis=Basis.ASSUMED,
        )  # fmt: skip
    else:
        yield ok(where, text, figure=figure, limit=limit, basis=Basis.ASSUMED)


@rule("LFT-21", "High places of the discharge line", "hydraulics_text")
@each_station
def high(case: Case, station: LiftStation, _: str) -> Iterator[Outcome]:
    """Air gathers at a high place; beyond the highest one the line runs on by itself, part full or as a siphon."""
    line = station.line
    if line is None:
        return
    limit = "no high place between its ends"
    tops = [item for item in line.highs if item.by >= AIR_DEEP]
    beyond = line.beyond
    onward = ""
    if beyond is not None and beyond.part_full:
        onward = f" Beyond its highest place it falls {case.length(beyond.fall)} and runs part full at {case.speed(beyond.velocity)}."
    elif beyond is not None:
        onward = f" Beyond its highest place it falls {case.length(beyond.fall)} and runs full."
    if beyond is not None and beyond.suction > SUCTION:
        yield caution(
            _where(station),
            f"{line.name} siphons: at its highest place the water hangs {case.length(beyond.suction)} below the air's pressure.",
            figure=f"{case.length(beyond.suction)} of suction",
            limit=f"{case.length(SUCTION)} or less",
            advice="Set an air valve at its highest place, or end it in an air gap: else it draws the water out of traps and "
            "lets dirty water back.",
        )
    elif tops:
        top = max(tops, key=lambda item: item.by)
        yield caution(
            _where(station),
            f"{line.name} has a high place {case.length(top.distance)} from the basin, {case.small(top.by)} above the line beside "
            f"it: air gathers there and narrows it.{onward}",
            figure=f"{len(tops)} between its ends",
            limit=limit,
            advice="Lay it rising all the way, or set an air valve at the high place.",
        )
    else:
        yield ok(_where(station), f"No air is caught in {line.name}.{onward}", figure="none", limit=limit)


@rule("LFT-22", "Low places of the discharge line", "common_practice")
@each_station
def low(case: Case, station: LiftStation, _: str) -> Iterator[Outcome]:
    """Water and silt stay in a low place after each run."""
    line = station.line
    if line is None:
        return
    limit = "no low place between its ends"
    sag, where = _sag(case, line.name)
    if line.lows and line.lows_volume > STAYS:
        deepest = max(line.lows, key=lambda item: item.by)
        yield caution(
            _where(station),
            f"{line.name} has a low place {case.length(deepest.distance)} from the basin: {_amount(case, line.lows_volume)} stay in "
            "it after each run, and silt settles there.",
            figure=f"{_amount(case, line.lows_volume)}, {case.small(deepest.by)} deep",
            limit=limit,
            advice="Lay it with one grade to its end; where the ground forces the dip, put a cleanout with a drain plug there.",
        )
    elif sag > LEVEL:
        yield ok(
            _where(station),
            f"{line.name} dips {case.small(sag)} below one grade {case.length(where)} from the basin: "
            f"{_amount(case, STAYS)} or less stay in it, no more than is worth a cleanout.",
            figure=f"{case.small(sag)} deep",
            limit=limit,
        )
    else:
        yield ok(_where(station), f"No water is trapped in {line.name}.", figure="none", limit=limit)


def _sag(case: Case, name: str) -> tuple[float, float]:
    """How far a line's inverts, as the cut sheet prints them, lie below the lower of the sills beside, and where [m]."""
    stations = case.system.run(name).stations
    inverts = [station.invert for station in stations]
    return max(
        (min(max(inverts[: index + 1]), max(inverts[index:])) - station.invert, station.distance)
        for index, station in enumerate(stations)
    )


@rule("LFT-23", "Frost in the discharge line", "common_practice")
@each_station
def frost(case: Case, station: LiftStation, _: str) -> Iterator[Outcome]:
    """Water that stays within reach of frost freezes, and the pump then works against a plug."""
    line, depth = station.line, case.job.rules.frost_depth
    if line is None or depth.value <= 0.0:
        return
    stays = line.standing
    where = _where(station)
    empties = (
        f"{case.length(line.drains.out)} of it empty to its end, {case.length(line.drains.back)} fall to the basin"
    )
    limit = f"none of it above {case.length(depth.value)}, the depth of frost"
    if stays.frozen <= 0.0:
        held = (
            f"{line.name} runs empty after each run: no water stays in it to freeze."
            if stays.volume <= 0.0
            else f"The {_amount(case, stays.volume)} that stay in {line.name} lie below frost."
        )
        yield ok(where, held, figure=f"none; {empties}", limit=limit, basis=depth.basis)
        return
    more = line.drains.opened_factor
    cost = "the pump would then never rest" if not isfinite(more) else f"the pump then starts {more:.2f} times as often"
    yield caution(
        where,
        f"{case.length(stays.frozen)} of {line.name} hold water within reach of frost; with it frozen the pump works against its "
        f"shut-off pressure, {_pressure(case, line.surge.dead_head)}.",
        figure=f"{case.length(stays.frozen)} with water; {empties}",
        limit=limit,
        advice=f"Lay it below frost or falling to its end all the way, with a relief outside the wall. Let back into the basin, "
        f"{_amount(case, line.drains.if_opened)} return after each run: {cost}.",
        basis=depth.basis,
    )


@rule("LFT-24", "Starts from water that runs back", "mil_hdbk_1005")
@each_station
def starts_again(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """What runs back fills the band again and starts the pump sooner."""
    line = station.line
    if line is None:
        return
    factor, volume = line.drains.starts_factor, _amount(case, line.drains.volume)
    limit = f"{STARTS_MORE:.2f} times the starts or less"
    if not isfinite(factor):
        yield fails(
            where,
            f"After each run {volume} come back, more than lie between the floats: the pump starts itself again and never rests.",
            figure="it never rests",
            limit=limit,
            advice="Fit a check valve close to the pump.",
        )
        return
    figure = f"{factor:.2f} times the starts, {volume} back after each run"
    if factor > STARTS_MORE:
        yield caution(
            where,
            f"After each run {volume} come back, so the pump starts {factor:.2f} times as often.",
            figure=figure,
            limit=limit,
            advice="Fit a check valve close to the pump, or set the floats farther apart.",
        )
    else:
        yield ok(where, "What runs back hardly starts the pump sooner.", figure=figure, limit=limit)


@rule("LFT-25", "Surge when the flow stops", "buried_pipe")
@each_station
def surge(case: Case, station: LiftStation, _: str) -> Iterator[Outcome]:
    """Even a sudden stop of all the flow stays below what the pipe bears."""
    line = station.line
    if line is None or not station.reaches:
        return
    found = line.surge
    total = found.working + found.sudden
    figure = f"{_pressure(case, total)}, {_pressure(case, found.sudden)} of it surge"
    text = (
        f"A sudden stop of {case.speed(found.stopped)} raises the pressure in {line.name} by {_pressure(case, found.sudden)}; a "
        f"stop counts as sudden within {found.critical_time:.2f} s."
    )
    if found.rating is None:
        yield caution(
            _where(station),
            f"{text} Its pipe is no pressure pipe.",
            figure=figure,
            limit="a pipe with a pressure rating",
            advice="Lay Schedule 40 pressure pipe with glued joints.",
        )
    elif total <= found.rating:
        yield ok(_where(station), text, figure=figure, limit=f"{_pressure(case, found.rating)} or less")
    else:
        yield fails(
            _where(station),
            f"{text} That is more than the pipe bears.",
            figure=figure,
            limit=f"{_pressure(case, found.rating)} or less",
            advice="Lay a larger discharge line, so that the water moves slower.",
        )


@rule("LFT-26", "Slam of the check valve", "common_practice")
@each_station
def slam(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """When the pump stops the water turns; a swing check that shuts late stops it with a bang."""
    line = station.line
    if line is None or not any(item.kind == "swing_check" for item in line.fittings):
        return
    found = line.surge
    figure = f"{case.speed(found.reverse_velocity)} backwards, {_pressure(case, found.slam)}"
    limit = f"{case.speed(SLAM_SPEED)} backwards or less"
    if found.reverse_velocity <= SLAM_SPEED:
        text = "A swing check valve shuts softly enough here."
        yield ok(where, text, figure=figure, limit=limit, basis=Basis.ASSUMED)
    else:
        yield caution(
            where,
            f"When the pump stops, {case.length(found.column)} of water turn in the pipe; until a swing check valve has shut, "
            f"about {SWING_DELAY:g} s, they run back at up to {case.speed(found.reverse_velocity)}: it slams with up to "
            f"{_pressure(case, found.slam)}, which is heard in the house.",
            figure=figure,
            limit=limit,
            advice="Take a check valve that a spring shuts, in the upright riser, with rubber sleeves and the riser strapped.",
            basis=Basis.ASSUMED,
        )


@rule("LFT-27", "Pressure with the line shut", "astm_d1785")
@each_station
def dead_head(case: Case, station: LiftStation, _: str) -> Iterator[Outcome]:
    """A frozen or clogged line brings the pump's whole pressure on pipe and joints."""
    line = station.line
    if line is None or line.surge.rating is None:
        return
    shut, rating = line.surge.dead_head, line.surge.rating
    figure, limit = _pressure(case, shut), f"{_pressure(case, rating)} or less"
    if shut <= rating:
        text = f"{line.name} bears the pump's pressure even when it is shut."
        yield ok(_where(station), text, figure=figure, limit=limit)
    else:
        yield fails(
            _where(station),
            f"{line.name} does not bear the pump's pressure with its end shut.",
            figure=figure,
            limit=limit,
            advice="Lay pipe of a higher rating.",
        )


def _tape(case: Case, mark: FloatMark) -> str:
    """One float by the tape: above the floor, below the rim, below the lowest pipe."""
    pipe = (
        f"{case.small(mark.below_inlet)} below the lowest pipe"
        if mark.below_inlet >= 0
        else f"{case.small(-mark.below_inlet)} above the lowest pipe"
    )
    return f"{mark.name} {case.small(mark.above_floor)} above the floor, {case.small(mark.below_rim)} below the rim, {pipe}"


@rule("LFT-28", "Floats by the tape", "common_practice")
@each_station
def by_tape(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Each float on a mark of the tape, so that rounding fails nothing."""
    line = station.line
    if line is None:
        return
    floats = line.floats
    said = "; ".join(_tape(case, mark) for mark in floats.marks)
    figure = (
        f"{_amount(case, floats.band_volume)} from off to on, {_amount(case, floats.alarm_volume)} from on to alarm, "
        f"{_amount(case, floats.reserve_volume)} from on to the lowest pipe"
    )
    heights = [mark.above_floor for mark in floats.marks]
    limit = "off, on, second on, alarm in this order; on below the lowest pipe"
    on = floats.of("on")
    wrong = heights != sorted(set(heights)) or on is None or on.below_inlet < -1e-9
    if wrong:
        yield caution(
            where,
            f"The floats stand too close or too high: {said}.",
            figure=figure,
            limit=limit,
            advice="Set on below the lowest pipe and the alarm over it; a deeper basin gives the room.",
        )
    else:
        whose = "" if len(case.system.stations) == 1 else f" of {station.name}"
        yield ok(where, f"Set the floats{whose} by tape: {said}.", figure=figure, limit=limit)


@rule("LFT-29", "Room for a tethered float", "common_practice")
@each_station
def tether(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A float on a cord swings free of wall and pump."""
    line = station.line
    if line is None or line.floats.tether is None or line.floats.tether_room is None:
        return
    cord, room = line.floats.tether, line.floats.tether_room
    figure = f"{case.small(cord)} of free cord"
    limit = f"{case.small(max(room, 0.0))} or less in a basin {case.small(station.inside_diameter)} wide"
    if cord <= room:
        yield ok(
            where,
            f"Tie the float half way between off and on with {case.small(cord)} of free cord; it turns over 45 degrees above and "
            "below its tie.",
            figure=figure,
            limit=limit,
            basis=Basis.ASSUMED,
        )
    else:
        yield fails(
            where,
            f"The float needs {case.small(cord)} of free cord and would catch on the basin's wall.",
            figure=figure,
            limit=limit,
            advice="Take a float on a rod that can be set, or a wider basin.",
            basis=Basis.ASSUMED,
        )


__all__ = ["AIR_DEEP", "LEAK_SHARE", "SLAM_SPEED"]
