"""Checks of the water surface: freeboard, back pressure, what grates let pass, stone, level runs, leaders."""

from __future__ import annotations

import math
from collections.abc import Iterator

from drainwright.field.words import least_sure
from drainwright.findings.footing_room import TIGHT, room_below
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.quantities import percent
from drainwright.system.drain_levels import BESIDE
from drainwright.system.model import SizedRun
from drainwright.system.surface.water_model import GrateWater
from drainwright.water.ground_lines import off_wall

LEVEL = 0.001  # a run that falls less than this over its length is level: 1 mm in a metre [-]
OVERLOADED = 0.98  # of its capacity: beyond, a run is full by itself [-]


def _inlet(name: str) -> str:
    return f"works.inlets.{name}"


def _out_of(case: Case, name: str) -> SizedRun | None:
    """The gravity run that carries the water of a place on."""
    return next(
        (run for run in case.system.runs if run.upper == name and not run.pressure and run.duty != "overflow"), None
    )


@rule("NET-20", "Freeboard at grates and junctions", "hec22")
def freeboard(case: Case) -> Iterator[Outcome]:
    """At the design flow water stays well below every grate and junction."""
    wanted = case.job.criteria.grate_freeboard
    for name, water in case.system.water.items():
        node = case.system.nodes.get(name)
        if node is None or node.kind not in ("inlet", "junction"):
            continue
        out = _out_of(case, name)
        where = _inlet(name) if node.kind == "inlet" else f"works.runs.{out.name}" if out is not None else "works.runs"
        what = f"the grate of {name}" if node.kind == "inlet" else f"the ground at {name}"
        lost = max(water.losses.items(), key=lambda item: item[1], default=("", 0.0))
        figure = f"{case.small(abs(water.freeboard))} {'below' if water.freeboard >= 0 else 'above'}"
        limit = f"{case.small(wanted)} below, or more"
        if water.freeboard < 0:
            yield fails(
                where,
                f"At the design flow water would stand {case.small(-water.freeboard)} above {what}: it comes out there.",
                figure=figure,
                limit=limit,
                advice=_lower(case, out, wanted - water.freeboard, lost),
                basis=case.water_basis,
            )
        elif water.freeboard < wanted - 1e-6:
            yield caution(
                where,
                f"At the design flow water stands only {case.small(water.freeboard)} below {what}.",
                figure=figure,
                limit=limit,
                advice=_lower(case, out, wanted - water.freeboard, lost),
                basis=case.water_basis,
            )
        else:
            text = f"Water stays {case.small(water.freeboard)} below {what}."
            yield ok(where, text, figure=figure, limit=limit, basis=case.water_basis)


def _lower(case: Case, out: SizedRun | None, by: float, lost: tuple[str, float]) -> str:
    """How to bring the water down by so much."""
    pipe = "the pipe below it" if out is None else out.name
    text = f"Lower the water by {case.small(by)}: take the next size for {pipe}, or lower what it runs into."
    if lost[1] >= 0.25 * by and lost[1] > 0.01:
        text = (
            text[:-1]
            + f"; of its height {case.small(lost[1])} are lost at the place itself ({lost[0]}), which an easier"
            " way through would save."
        )
    return text


@rule("NET-21", "Held full from downstream", "hec22")
def held_full(case: Case) -> Iterator[Outcome]:
    """A run that has room for its own flow should not stand full because of the water that it runs into."""
    for run in case.system.runs:
        if run.pressure or run.flow <= 0:
            continue
        crown = run.invert_lower + run.pipe.inside
        above = run.tail - crown
        below = next((other for other in case.system.runs if other.upper == run.lower and not other.pressure), None)
        figure = f"{case.length(run.full_length)} of it full"
        if run.surcharged and run.flow < OVERLOADED * run.capacity and above > 1e-6:
            full = below is not None and below.surcharged
            by = f"by {below.name}, which is full" if below is not None and full else f"by the water at {run.lower}"
            yield caution(
                f"works.runs.{run.name}",
                f"{run.name} could carry its {case.flow(run.flow)} part full, but is held full over "
                f"{case.length(run.full_length)} {by}: the water stands {case.small(above)} over its crown there.",
                figure=figure,
                limit="room for air all along",
                advice=(
                    f"Take the next size for {below.name}"
                    + (f", or lower it by {case.small(above)}." if room_below(case.site, below) >= above else ".")
                    if below is not None
                    else f"Let it enter {case.small(above)} higher, or glue its joints: it stands under pressure."
                ),
                basis=case.water_basis,
            )
        elif not run.surcharged:
            text = f"Nothing downstream holds {run.name} full."
            yield ok(f"works.runs.{run.name}", text, figure=figure, limit="room for air all along")


@rule("NET-22", "What a grate lets pass", "txdot")
def carry_over(case: Case) -> Iterator[Outcome]:
    """What a grate does not take at the depth that the ground holds over it runs on: to the next, off the lot, or in."""
    for name, water in case.system.water.items():
        grate = water.grate
        if grate is None or grate.flow <= 0.0:
            continue
        figure, limit = f"{case.flow(grate.carried)} runs on", f"all of {case.flow(grate.flow)} taken"
        basis = least_sure(case.water_basis, Basis.MEASURED if grate.head_known else Basis.ASSUMED)
        if grate.carried <= 0.0:
            depth = case.small(grate.wanted)
            text = f"The grate of {name} takes its {case.flow(grate.flow)} with {depth} of water over it."
            yield ok(_inlet(name), text, figure=figure, limit=limit, basis=basis)
            continue
        blamed = (
            f"water from below stands {case.small(-water.freeboard)} over it"
            if water.freeboard < 0
            else f"the ground holds only {case.small(grate.head)} over it"
        )
        said = (
            f"The grate of {name} takes {case.flow(grate.takes)} of {case.flow(grate.flow)}, for {blamed} "
            f"(with {percent(case.job.criteria.grate_clogging)} of it clogged); {case.flow(grate.carried)} runs on "
        )
        wider = _wider(case, grate, drowned=water.freeboard < 0)
        if grate.to == "house":
            yield fails(
                _inlet(name), said + f"to the house ({grate.name}).", figure=figure, limit=limit,
                advice=wider + " Until then shape the ground so that it runs past the house.", basis=basis,
            )  # fmt: skip
        elif grate.to == "inlet":
            other = case.system.water.get(grate.name)
            copes = other is not None and other.grate is not None and other.grate.carried <= 0.0
            end = f"to {grate.name}, which {'takes it too' if copes else 'cannot take it either'}"
            end += _sized(case, other.grate) if other is not None and other.grate is not None else "."
            yield caution(_inlet(name), said + end, figure=figure, limit=limit, advice=wider, basis=basis)
        else:
            ends = {"off the lot": f"off the lot over the {grate.name}.", "low spot": f"to {grate.name}."}
            text = ends.get(str(grate.to), "to where no shots tell.")
            yield caution(_inlet(name), said + text, figure=figure, limit=limit, advice=wider, basis=basis)


def more_percent(share: float) -> str:
    """So much more, rounded up, for what is short by a little is short: ``4 %`` of 0.032. [-]"""
    return percent(math.ceil(share * 100.0 - 1e-9) / 100.0)


def _sized(case: Case, other: GrateWater) -> str:
    """Whether the pipe below a grate was sized for what comes to it from others."""
    if other.received <= other.counted + 1e-6:
        return "; the pipe below it is sized for that."
    return f"; {case.flow(other.received)} comes there so, {case.flow(other.counted)} was counted on when its pipe was sized."


def _wider(case: Case, grate: GrateWater, drowned: bool) -> str:
    """What would let a grate take all."""
    if drowned:
        return "Lower the water in its pipe first: a larger grate takes nothing while water stands over it."
    if grate.takes <= 0.0:
        return "Set the grate lower than the ground round it, or move it to the lowest place."
    times = grate.flow / grate.takes
    opening = f"{times:.1f} times the opening" if times >= 2.0 else f"{more_percent(times - 1.0)} more opening"
    deep = case.small(grate.wanted)
    if deep == case.small(grate.head):
        deep = f"{case.some(grate.wanted - grate.head)} more, {deep} in all,"
    return f"Fit a grate with {opening}, or shape the ground so that {deep} of water can stand over it."


@rule("NET-23", "Water in the stone against the floor", "irc_r405")
def stone_water(case: Case) -> Iterator[Outcome]:
    """At the design flow the water in a drain's stone stays below the floor that it is there to keep dry."""
    floor = case.floor_underside
    for run in case.system.runs:
        if run.duty != "footing drain" or not run.stone_water:
            continue
        walls = [wall for wall in case.site.walls if wall.name in run.walls]
        near = [
            level
            for level, station in zip(run.stone_water, run.stations, strict=True)
            if not walls or any(off_wall(wall, station.at) <= BESIDE for wall in walls)
        ]
        if not near:
            continue
        highest = max(near)
        room = floor - highest
        apart = case.small(0.0) if room == 0.0 else case.some(abs(room))
        figure = f"{apart} {'below' if room >= 0 else 'above'} the {case.floor_name}"
        limit = f"below the {case.floor_name}"
        basis = least_sure(case.site.floor_basis, case.inflows.conductivity_basis)
        aside = (
            f", {case.flow(run.stone_flow)} of its flow going through the stone beside the full pipe"
            if run.stone_flow > 0.02 * run.flow
            else ""
        )
        if room < 0:
            yield fails(
                f"works.runs.{run.name}",
                f"At the design flow water stands in the stone of {run.name} {apart} above the "
                f"{case.floor_name}{aside}.",
                figure=figure,
                limit=limit,
                advice=_stone_advice(case, run, -room),
                basis=basis,
            )
        elif run.surcharged or run.stone_flow > 0.0:
            yield caution(
                f"works.runs.{run.name}",
                f"Water stands in the stone of {run.name} over its full pipe, {apart} below the "
                f"{case.floor_name}{aside}.",
                figure=figure,
                limit=limit,
                advice=_stone_advice(case, run, 0.0),
                basis=basis,
            )
        else:
            text = f"Water in the stone of {run.name} stays {apart} below the {case.floor_name}."
            yield ok(f"works.runs.{run.name}", text, figure=figure, limit=limit, basis=basis)


def _stone_advice(case: Case, run: SizedRun, by: float) -> str:
    down = f" by {case.some(by)}" if by > 0.0 else ""
    if run.flow < OVERLOADED * run.capacity:
        drain = f", or lower the drain{down}" if room_below(case.site, run) >= max(by, TIGHT) else ""
        return f"Lower the water that it runs into{down}{drain}: its own pipe is large enough."
    return f"Take the next size of pipe: {run.name} must carry {case.flow(run.flow)} and is full at {case.flow(run.capacity)}."


@rule("NET-24", "A run that parts its flow", "chow_1959")
def parted(case: Case) -> Iterator[Outcome]:
    """A level run with a way out at both ends lets part of its water out at the upper one."""
    for run in case.system.runs:
        if run.pressure or run.flow <= 0:
            continue
        where = f"works.runs.{run.name}"
        parts = case.system.parted.get(run.name)
        if parts is not None:
            share = parts.back / (parts.back + parts.on)
            figure, limit = f"{percent(share)} turns back", "all goes on to its lower end"
            if share > 0.01:
                yield caution(
                    where,
                    f"{run.name} parts its water {case.length(parts.distance)} from its upper end: {case.flow(parts.back)} "
                    f"turns back and leaves by {parts.over}, {case.flow(parts.on)} goes on to {run.lower}.",
                    figure=figure,
                    limit=limit,
                    advice=f"Raise the sill of {parts.over} by {case.small(max(parts.level - parts.sill, 0.0025))} or more, "
                    "give the run a fall, or make sure that both ends may take it.",
                    basis=case.water_basis,
                )
            else:
                yield ok(where, f"All the water of {run.name} goes on to {run.lower}.", figure=figure, limit=limit)
        elif abs(run.grade) < LEVEL:
            fall = max(run.stations[0].water - run.stations[-1].water, 0.0)
            yield caution(
                where,
                f"{run.name} is laid level; its water falls {case.small(fall)} over {case.length(run.length)} all the "
                f"same, so it stands {case.small(max(run.stations[0].water - run.stations[0].invert, 0.0))} deep at its "
                "upper end.",
                figure=f"{case.small(fall)} of fall in the water",
                limit="a fall in the pipe",
                advice=f"Give it {case.small(case.job.criteria.minimum_grade * run.length)} of fall, or count on silt.",
                basis=case.water_basis,
            )


@rule("NET-25", "Leader under head", "hydraulics_text")
def leader_head(case: Case) -> Iterator[Outcome]:
    """A downspout's leader carries its water without letting any out of an open joint at the ground."""
    for name, water in case.system.water.items():
        leader = water.leader
        out = _out_of(case, name)
        if leader is None or out is None or leader.flow <= 0.0:
            continue
        where = f"works.runs.{out.name}"
        figure = f"{case.flow(leader.flow)} of roof water"
        limit = f"{case.flow(leader.to_foot)} full, with water up to the ground"
        above = water.level - leader.foot
        if above > 0.0:
            more = (
                f"With sealed joints up to the gutter it would carry {case.flow(leader.to_gutter)}"
                if leader.to_gutter >= leader.flow
                else f"Even sealed up to the gutter it carries only {case.flow(leader.to_gutter)}"
            )
            yield fails(
                where,
                f"At the design flow water would stand {case.small(above)} above the ground in the downspout at {name}: it "
                "comes out at the open joint, beside the wall.",
                figure=figure,
                limit=limit,
                advice=f"Take the next size for {out.name}. {more} (gutter taken {case.length(2.4384)} up).",
                basis=case.water_basis,
            )
        elif leader.standing > 0.0:
            yield caution(
                where,
                f"Water stands {case.small(leader.standing)} over the pipe in the downspout at {name}, "
                f"{case.small(-above)} below the open joint at the ground.",
                figure=figure,
                limit=limit,
                advice=f"Glue the joints of {out.name} and its elbow, or take the next size.",
                basis=case.water_basis,
            )
        else:
            text = f"The leader at {name} runs part full; full it would carry {case.flow(leader.to_foot)}."
            yield ok(where, text, figure=figure, limit=limit, basis=case.water_basis)
