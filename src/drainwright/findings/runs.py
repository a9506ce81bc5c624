"""Checks of the runs: grade, cover, capacity, what may flow into what."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.field.words import least_sure
from drainwright.findings.footing_room import held_by_footing, more_fall
from drainwright.findings.grading import LEVELS, choose, in_conflict
from drainwright.findings.network import told_and_proven
from drainwright.findings.outlet import SURFACE
from drainwright.findings.places import counted, leads_to, listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import each_station
from drainwright.job.values import Basis
from drainwright.quantities import percent
from drainwright.system.fittings import BETWEEN
from drainwright.system.grading.site import driven
from drainwright.system.model import LiftStation, SizedRun, Station
from drainwright.system.outlets.ends import bare_length
from drainwright.system.trade import fall_words, pipe_words
from drainwright.water.model import Cause

OUTLET_REACH = 3.0  # a pipe comes out of the ground over this length before a surface discharge [m]


def _where(run: SizedRun) -> str:
    return f"works.runs.{run.name}"


def _opens_from(case: Case, run: SizedRun) -> float:
    """Distance from which a run may come out of the ground: before a surface discharge only [m]."""
    kinds = {item.name: item.kind for item in case.job.works.discharge}
    return run.length - OUTLET_REACH if kinds.get(run.lower) in SURFACE else run.length


def _buried(case: Case, run: SizedRun) -> tuple[Station, ...]:
    """The stations that must lie in the ground: not the end at a surface discharge, nor the downspout's foot."""
    first = 1 if run.duty == "leader" and len(run.stations) > 2 else 0
    ends = _opens_from(case, run) + 1e-9
    return tuple(station for station in run.stations[first:] if station.distance <= ends) or run.stations[:1]


def _in_the_air(case: Case, run: SizedRun) -> tuple[Station, ...]:
    """The stations before a surface discharge that do not even lie on the ground."""
    ends = _opens_from(case, run)
    return tuple(
        station
        for station in run.stations
        if station.distance > ends + 1e-9 and station.invert > station.ground + run.pipe.outside
    )


def _gravity(case: Case) -> Iterator[SizedRun]:
    return (run for run in case.system.runs if not run.pressure)


def _flow_basis(case: Case, run: SizedRun) -> Basis:
    """What a run's design flow rests on: the rain, and for ground water the soil."""
    marks = [Basis.MEASURED]
    if run.flows.get(Cause.ROOF, 0.0) + run.flows.get(Cause.YARD, 0.0) > 0:
        marks.append(case.job.rain.basis)
    if run.flows.get(Cause.GROUND, 0.0) > 0:
        marks.append(case.inflows.conductivity_basis)
    return least_sure(*marks)


@rule("NET-01", "Grade", "common_practice")
def grade(case: Case) -> Iterator[Outcome]:
    """Every gravity run falls at the minimum grade or more, all along."""
    wanted, least = case.job.criteria.minimum_grade, case.job.criteria.least_grade
    for run in _gravity(case):
        flattest = run.flattest
        part = " in part" if run.grade - flattest > 1e-5 else ""
        figure, limit = f"{case.grade(flattest)}{part}", f"{case.grade(wanted)} or more"
        if flattest >= wanted * (1 - 1e-6):
            figure = fall_words(run, case.job.units)
            yield ok(_where(run), f"{run.name} falls {figure}.", figure=figure, limit=limit)
        elif flattest >= least * (1 - 1e-6):
            yield caution(
                _where(run),
                f"{run.name} falls only {figure}.",
                figure=figure,
                limit=limit,
                advice="Lay it with a laser, check every stick, and say on the plan that it is flat.",
            )
        else:
            way = f"rises against the flow{part}" if flattest < 0 else f"falls only {figure}"
            yield fails(
                _where(run),
                f"{run.name} {way}: water and silt will stand in it.",
                figure=figure,
                limit=limit,
                advice=choose(run.name) if in_conflict(case, run.name, LEVELS) else more_fall(case, run),
            )


@rule("NET-02", "Cover", "common_practice")
def cover(case: Case) -> Iterator[Outcome]:
    """Every pipe keeps its cover, and more of it where cars drive."""
    criteria = case.job.criteria
    for run in case.system.runs:
        places = (*_buried(case, run), *_in_the_air(case, run))
        wheels = driven(case.site, [station.at for station in places])
        asked = [max(criteria.minimum_cover, criteria.traffic_cover if bears else 0.0) for bears in wheels]
        worst = min(range(len(places)), key=lambda number: places[number].cover - asked[number])
        least, needed = places[worst].cover, asked[worst]
        under = " under the wheels of cars" if wheels[worst] else ""
        figure = case.length(least) if least >= 0 else f"{case.length(-least)} above the ground"
        limit = f"{case.length(needed)} or more{under}"
        if least >= needed - 1e-6:
            yield ok(_where(run), f"{run.name} has its cover.", figure=figure, limit=limit)
        elif least > 0:
            bare = bare_length(run)
            end = f"; its crown stands out of the ground along its last {case.length(bare)}" if bare > 0.0 else ""
            at = " before its end" if bare > 0.0 else " at its shallowest"
            yield caution(
                _where(run),
                f"{run.name} has only {figure} over it{under or at}{end}.",
                figure=figure,
                limit=limit,
                advice="Use thick-walled pipe there, keep wheels off it, and mark it on the plan.",
            )
        else:
            yield fails(
                _where(run),
                f"{run.name} comes out of the ground.",
                figure=figure,
                limit=limit,
                advice="End it where it meets the surface: the footing beside it keeps it from going lower."
                if held_by_footing(case, run)
                else "Lower it, or end it where it meets the surface.",
            )


@rule("NET-03", "Capacity at the design flow", "manning_1891")
def capacity(case: Case) -> Iterator[Outcome]:
    """A gravity run carries its design flow without running full."""
    most = case.job.criteria.maximum_fill
    for run in _gravity(case):
        figure = f"{case.flow(run.flow)}, {percent(run.fill)} deep"
        limit = f"{case.flow(run.capacity)} full, {percent(most)} deep"
        basis = _flow_basis(case, run)
        if run.flow > run.capacity:
            yield fails(
                _where(run),
                f"{run.name} must carry {case.flow(run.flow)} but runs full at {case.flow(run.capacity)}.",
                figure=figure,
                limit=limit,
                advice="Take the next size, or give it more fall.",
                basis=basis,
            )
        elif run.fill > most + 1e-6:
            yield caution(
                _where(run),
                f"{run.name} runs {percent(run.fill)} deep.",
                figure=figure,
                limit=limit,
                advice="Take the next size: a pipe nearly full has no room for leaves.",
                basis=basis,
            )
        else:
            yield ok(_where(run), f"{run.name} carries its water.", figure=figure, limit=limit, basis=basis)


@rule("NET-04", "Water surface", "hec22")
def water_surface(case: Case) -> Iterator[Outcome]:
    """At the design flow water stays below the ground along every run."""
    for run in _gravity(case):
        room = min(station.ground - station.water for station in _buried(case, run))
        figure = f"{case.length(abs(room))} {'below' if room >= 0 else 'above'} the ground"
        basis = _flow_basis(case, run)
        if room < 0:
            yield fails(
                _where(run),
                f"At the design flow the water in {run.name} stands above the ground.",
                figure=figure,
                limit="below the ground",
                advice=f"Take a larger pipe{', lower it,' * (not held_by_footing(case, run))} or lower the water it runs into.",
                basis=basis,
            )
        elif run.surcharged:
            yield caution(
                _where(run),
                f"{run.name} runs under pressure at the design flow.",
                figure=figure,
                limit="within the pipe",
                advice="Glue its joints, or take the next size.",
                basis=basis,
            )
        else:
            text = f"Water stays inside {run.name}."
            yield ok(_where(run), text, figure=figure, limit="within the pipe", basis=basis)


@rule("NET-05", "Inlet against the pump's start", "sump_extension")
@each_station
def inlet_levels(case: Case, station: LiftStation, _: str) -> Iterator[Outcome]:
    """No pipe and no grate may lie below the level at which the pump starts."""
    for run in _gravity(case):
        if run.lower == station.name:
            figure, limit = case.level(run.invert_lower), f"above {case.level(station.on)}"
            if run.invert_lower > station.on:
                yield ok(_where(run), f"{run.name} enters above the pump's start.", figure=figure, limit=limit)
            else:
                yield fails(
                    _where(run),
                    f"{run.name} enters the basin below the level at which the pump starts: it always stands in water.",
                    figure=figure,
                    limit=limit,
                    advice="Lower the basin or the floats, or raise the pipe.",
                )
    for node in case.system.nodes.values():
        if node.kind == "inlet" and node.rim <= station.on and leads_to(case.system, node.name, station.name):
            yield fails(
                f"works.inlets.{node.name}",
                f"The grate of {node.name} lies below the level at which the pump starts: the basin would empty through it.",
                figure=case.level(node.rim),
                limit=f"above {case.level(station.on)}",
                advice="Move the inlet or lower the floats.",
            )


@rule("NET-06", "Roof water into a footing drain", "irc_r405")
def roof_into_footing(case: Case) -> Iterator[Outcome]:
    """Roof water belongs in a solid pipe of its own."""
    for run in _gravity(case):
        if run.duty != "footing drain":
            continue
        roof = run.flows.get(Cause.ROOF, 0.0)
        if roof > 0 and told_and_proven(case):
            yield caution(
                _where(run),
                f"Roof water ({case.flow(roof)}) runs into the footing drain {run.name}, as the job says: it is shown not "
                "to reach the floor (NET-32), yet it wets the footing through the holes and brings silt.",
                figure=f"{case.flow(roof)} of roof water",
                limit="no roof water, unless told so and proven",
                advice="Flush this drain each year from its cleanouts, and keep leaves out at the gutters.",
                basis=case.water_basis,
            )
        elif roof > 0:
            yield fails(
                _where(run),
                f"Roof water ({case.flow(roof)}) runs into the perforated footing drain {run.name}: in a storm it leaves "
                "through the holes at the footing, and silt blocks the drain.",
                figure=f"{case.flow(roof)} of roof water",
                limit="no roof water",
                advice="Lay a separate solid pipe for the roof water, in the same trench if you like, to the basin or outlet.",
            )
        else:
            yield ok(_where(run), f"No roof water runs into {run.name}.", figure="none of it", limit="no roof water")


@rule("NET-07", "Yard water into a footing drain", "common_practice")
def yard_into_footing(case: Case) -> Iterator[Outcome]:
    """Surface water with its leaves and sand belongs in a solid pipe too."""
    for run in _gravity(case):
        yard = run.flows.get(Cause.YARD, 0.0)
        if run.duty == "footing drain" and yard > 0:
            yield fails(
                _where(run),
                f"Surface water ({case.flow(yard)}) runs into the perforated footing drain {run.name}.",
                figure=f"{case.flow(yard)} of yard water",
                limit="no yard water",
                advice="Lay a separate solid pipe for the inlet.",
            )


@rule("NET-08", "No smaller pipe downstream", "common_practice")
def never_smaller(case: Case) -> Iterator[Outcome]:
    """A gravity pipe never narrows on its way down."""
    for run in _gravity(case):
        for upper in _gravity(case):
            if run.duty == "overflow" or upper.duty == "overflow":
                continue
            if upper.lower == run.upper and upper.pipe.inside > run.pipe.inside * 1.03:
                yield fails(
                    _where(run),
                    f"{upper.name} ({pipe_words(upper.pipe, case.job.units)}) runs into the smaller {run.name} "
                    f"({pipe_words(run.pipe, case.job.units)}): debris lodges there.",
                    figure=f"{case.small(run.pipe.inside)} inside",
                    limit=f"{case.small(upper.pipe.inside)} or more, within 3 %",
                    advice=f"Lay {run.name} as large as {upper.name}.",
                )


@rule("NET-09", "Cleanouts", "plumbing_cleanouts")
def cleanouts(case: Case) -> Iterator[Outcome]:
    """A footing drain can be flushed from its upper end; a solid line is opened at sharp turns and every 100 ft."""
    chosen = {run.name: run for run in case.job.works.runs}
    for run in _gravity(case):
        if run.duty != "footing drain":
            yield from _line_cleanouts(case, run)
            continue
        here = chosen.get(run.name)
        if case.system.nodes[run.upper].kind == "inlet" or (here is not None and here.cleanout):
            yield ok(_where(run), f"{run.name} can be flushed from its upper end.", figure="cleanout", limit="cleanout")
        else:
            yield caution(
                _where(run),
                f"{run.name} has no cleanout at its upper end.",
                figure="none",
                limit="one at each upper end",
                advice=f"Add a riser with a cap {_places(case, run)}; in ten years someone must be able to flush this "
                "drain.",
            )


def _places(case: Case, run: SizedRun) -> str:
    """Where a run's cleanouts belong, in words."""
    found = [place for place in case.system.cleanouts if place.run == run.name]
    words = [
        "at its upper end" if place.why == "upper end" else f"at {case.length(place.distance)} from its upper end"
        for place in found
    ]
    return listed(words) if words else "at its upper end"


def _line_cleanouts(case: Case, run: SizedRun) -> Iterator[Outcome]:
    """Cleanouts of a solid line: those it has, or those that are proposed."""
    places = [place for place in case.system.cleanouts if place.run == run.name and place.why != "upper end"]
    if not places:
        return
    limit = f"one at each turn of more than 45 degrees, and every {case.length(BETWEEN)}"
    figure = f"{counted(len(places), 'cleanout')} {'fitted' if places[0].fitted else 'wanted'}"
    if places[0].fitted:
        text = f"{run.name} has its cleanouts {_places(case, run)}."
        yield ok(_where(run), text, figure=figure, limit=limit)
    else:
        yield caution(
            _where(run),
            f"{run.name} cannot be cleaned behind its sharp turns or over its length.",
            figure=figure,
            limit=limit,
            advice=f"Set a cleanout on a tee {_places(case, run)} (say so with 'cleanout: true').",
        )


@rule("NET-10", "Pipe for its duty", "irc_ch33")
def pipe_for_duty(case: Case) -> Iterator[Outcome]:
    """Perforated pipe at the footing only, pressure pipe under the pump, at least 4 in for a footing drain."""
    for run in case.system.runs:
        key = pipe_words(run.pipe, case.job.units)
        if run.pressure and run.pipe.family != "Schedule 40":
            yield fails(
                _where(run),
                f"{run.name} runs under the pump's pressure in {key}, which is not a pressure pipe.",
                figure=key,
                limit="Schedule 40, glued",
                advice="Lay the discharge line in glued Schedule 40.",
            )
        elif run.duty in ("leader", "discharge line") and run.pipe.perforated:
            yield fails(
                _where(run),
                f"{run.name} is a {run.duty} in perforated pipe: it gives its water back to the ground beside the house.",
                figure=key,
                limit="solid pipe",
                advice="Use solid pipe.",
            )
        elif run.duty == "footing drain" and not run.pipe.perforated:
            yield fails(
                _where(run),
                f"{run.name} is a footing drain in solid pipe: ground water cannot enter it.",
                figure=key,
                limit="perforated pipe",
                advice="Use perforated pipe, holes down, in clean stone.",
            )
        elif run.duty == "footing drain" and run.pipe.inside < 0.095:
            yield fails(
                _where(run),
                f"{run.name} is smaller than the 4 in that a subsoil drain needs.",
                figure=key,
                limit="4 in",
                advice="Use 4 in pipe or larger.",
            )
        else:
            yield ok(
                _where(run), f"{run.name} has pipe for its duty, {run.duty}.", figure=key, limit="pipe for its duty"
            )


@rule("NET-13", "Self-cleaning speed", "common_practice")
def self_cleaning(case: Case) -> Iterator[Outcome]:
    """Solid yard pipes carry their sand along at the design flow."""
    least = 0.6096
    for run in _gravity(case):
        if run.duty not in ("yard drain", "leader") or run.flow <= 0:
            continue
        figure, limit = case.speed(run.velocity), f"{case.speed(least)} or more"
        basis = _flow_basis(case, run)
        if run.velocity >= least:
            yield ok(_where(run), f"{run.name} keeps itself clean.", figure=figure, limit=limit, basis=basis)
        else:
            yield caution(
                _where(run),
                f"Water in {run.name} moves at only {figure} even in the design rain; sand will settle.",
                figure=figure,
                limit=limit,
                advice="Give it more fall, or flush it every year.",
                basis=basis,
            )
