"""Checks of water that leaves in the open, and of what the place must be asked."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.field.words import least_sure
from drainwright.findings.place_checks import DEFERS, place_checks
from drainwright.findings.places import counted
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.quantities import percent
from drainwright.sources import cite
from drainwright.system.outlets.outfall_model import GroundWay, Outfall
from drainwright.system.outlets.outfalls import velocity_source

MUCH_BACK = 0.10  # share that soaks in near the house from which it is told; common practice, no source [-]
WIDE = 1.2  # of water along a kerb, into the way of feet and bicycles; common practice, no source [m]


def about(case: Case, value: float) -> str:
    """A length over the ground, no finer than it is known: to half a foot or a tenth of a metre."""
    step = 0.1524 if case.job.units == "US" else 0.1
    return f"about {case.length(round(value / step) * step)}"


def nears_house(case: Case, way: GroundWay) -> bool:
    """Whether water comes nearer to the house on its way than it was let out, nearer than the place wants it."""
    return way.nearest_house < min(case.job.rules.house_setback.value, way.starts_from_house) - 1e-6


def soaks_near(way: GroundWay) -> bool:
    """Whether much of the water soaks in near the house."""
    return way.soaked_near >= MUCH_BACK


def _where(fall: Outfall) -> str:
    return f"works.discharge.{fall.name}"


@rule("OUT-20", "What the place must be asked", "common_practice")
def asked(case: Case) -> Iterator[Outcome]:
    """Every demand of the place is met, or still open; a person ticks it."""
    checks = place_checks(case)
    limit = "each asked and answered before the contract is signed"
    for item in checks:
        if item.met is False:
            yield fails(
                "rules",
                f"Not met: {item.demand}.",
                figure="not met",
                limit=limit,
                advice=f"Change the plan, or settle it with the authority first. {DEFERS}",
                basis=item.basis,
            )
    still = [item for item in checks if item.met is None]
    if still:
        shown = "; ".join(item.demand for item in still[:3])
        more = f"; and {counted(len(still) - 3, 'more thing')}, as listed in the proposal" if len(still) > 3 else ""
        yield caution(
            "rules",
            f"{counted(len(still), 'thing')} must still be asked of the place: {shown}{more}.",
            figure=f"{len(still)} of {len(checks)} open",
            limit=limit,
            advice=f"Ask, write the answer and its date under rules.checklist, and tick it there. {DEFERS}",
            basis=least_sure(*(item.basis for item in still)),
        )
    elif all(item.met for item in checks):
        text = "All that the place demands is asked and met."
        yield ok("rules", text, figure=f"{counted(len(checks), 'thing')} met", limit=limit, basis=Basis.STATED)


@rule("OUT-21", "Scour where the water comes out", "scs_tp61")
def scour(case: Case) -> Iterator[Outcome]:
    """The water leaves no faster than the ground bears, or falls on an apron of stone."""
    for fall in case.system.outfalls:
        if fall.allowed == float("inf"):
            text = f"{fall.name} lets out on {fall.surface}, which its water does not scour."
            yield ok(_where(fall), text, figure=case.speed(fall.velocity), limit="any speed", basis=fall.basis)
            continue
        figure = f"{case.speed(fall.velocity)} at {case.flow(fall.flow)}"
        limit = f"{case.speed(fall.allowed)} on {fall.surface}"
        basis = least_sure(fall.basis, fall.surface_basis)
        if not fall.scours:
            text = f"The water leaves {fall.name} slowly enough for the ground there."
            yield ok(_where(fall), text, figure=figure, limit=limit, basis=basis)
        elif fall.apron_given is not None and fall.apron_given >= fall.apron - 1e-6:
            text = f"The water leaves {fall.name} fast, on to {case.length(fall.apron_given)} of stone."
            wanted = f"{limit}, or {case.length(fall.apron)} of stone"
            yield ok(_where(fall), text, figure=figure, limit=wanted, basis=basis)
        else:
            short = fall.apron_given is not None
            size = case.small(fall.stone)
            source = cite(velocity_source(fall.surface, fall.ground_slope))
            yield caution(
                _where(fall),
                f"The water leaves {fall.name} fast enough to scour {fall.surface}"
                f"{', and the apron that is planned is too short' if short else ''}.",
                figure=figure,
                limit=limit,
                advice=f"Lay an apron of stone of {size} and larger over fabric, {case.length(fall.apron)} long, "
                f"{case.length(fall.apron_width)} wide at its far end, {case.small(fall.apron_thickness)} thick, level; or let "
                f"the water out through a larger pipe. What the ground bears: {source}.",
                basis=basis,
            )


@rule("OUT-22", "Where the water goes on", "manning_1891")
def goes_on(case: Case) -> Iterator[Outcome]:
    """How near the water comes to the house again, what of it soaks in there, and where it leaves the lot."""
    for fall in case.system.outfalls:
        way = fall.way
        if way is None:
            continue
        needed = case.job.rules.house_setback
        near = nears_house(case, way)
        figure = (
            f"followed {about(case, way.length)}, {case.length(abs(way.fall))} {'down' if way.fall >= 0 else 'up'}; nearest "
            f"to the house {about(case, way.nearest_house)}; {percent(way.soaked)} soaks in on the lot"
        )
        limit = (
            f"{case.length(needed.value)} or more from the house, less than {100 * MUCH_BACK:.0f} % soaking in nearer"
        )
        if near and soaks_near(way):
            yield fails(
                _where(fall),
                f"Water let out at {fall.name} comes back toward the house, and {percent(way.soaked_near)} of it soaks in "
                "there: much of that seeps to the drain again.",
                figure=figure,
                limit=limit,
                advice="Let it out where the ground falls away from the house all along, or carry it on in a pipe.",
                basis=Basis.ASSUMED,
            )
        elif near or soaks_near(way):
            yield caution(
                _where(fall),
                f"Water let out at {fall.name} {'comes back near the house on its way' if near else 'soaks in near the house'}: "
                f"{percent(way.soaked_near)} of it soaks in there, and may come back as seepage.",
                figure=figure,
                limit=limit,
                advice="Carry the line farther, or shape a shallow swale that leads it away.",
                basis=Basis.ASSUMED,
            )
        elif way.leaves_after is not None and fall.kind != "street":
            yield caution(
                _where(fall),
                f"Water let out at {fall.name} leaves the lot after {about(case, way.leaves_after)}, over the {way.to}, "
                f"gathered in a stream {about(case, way.width)} wide.",
                figure=figure,
                limit="spread as the ground spread it before, or with the neighbour's consent",
                advice="Spread it along a level lip of stone before the boundary, or carry it to a storm line; ask the place what "
                "it says of concentrated flow on to other land.",
                basis=Basis.ASSUMED,
            )
        else:
            text = f"Water let out at {fall.name} goes away from the house, as far as the ground is known."
            yield ok(_where(fall), text, figure=figure, limit=limit, basis=Basis.ASSUMED)


@rule("OUT-23", "Water along the kerb", "hec22")
def kerb(case: Case) -> Iterator[Outcome]:
    """How wide the water of this job alone stands along the kerb, and whether it can freeze there."""
    for fall in case.system.outfalls:
        if fall.spread is None:
            continue
        figure = f"{about(case, fall.spread)} wide at {case.flow(fall.flow)}, this job's water alone"
        limit = f"{case.length(WIDE)} or less, on a street of 1 % fall and 2 % across (assumed)"
        frost = case.job.rules.frost_depth.value > 0.0
        if fall.spread > WIDE or frost:
            why = (
                "stands far into the street"
                if fall.spread > WIDE
                else "can freeze along the kerb when the pump runs in frost"
            )
            yield caution(
                _where(fall),
                f"The water let out at {fall.name} {why}.",
                figure=figure,
                limit=limit,
                advice="Ask the street's owner before the kerb is cored; where a storm line lies in the street, ask to join it.",
                basis=Basis.ASSUMED,
            )
        else:
            text = f"The water let out at {fall.name} keeps close to the kerb."
            yield ok(_where(fall), text, figure=figure, limit=limit, basis=Basis.ASSUMED)


@rule("OUT-25", "A way out for overflows alone", "common_practice")
def overflow_alone(case: Case) -> Iterator[Outcome]:
    """Where a place wants the rain kept on the lot, only what a soakaway cannot take may leave."""
    for point in case.job.works.discharge:
        if not point.overflow_only:
            continue
        led = [run.name for run in case.system.runs if run.lower == point.name and run.duty != "overflow"]
        where, limit = f"works.discharge.{point.name}", "only what another way out cannot take"
        basis = point.permission.basis
        if led:
            yield fails(
                where,
                f"{' and '.join(led)} {'leads' if len(led) == 1 else 'lead'} water to {point.name} always; it may take"
                " an overflow only.",
                figure=f"led there by {', '.join(led)}",
                limit=limit,
                advice="Lead it to the way out that the place wants used first, and give that one its overflow.",
                basis=basis,
            )
        elif any(run.lower == point.name for run in case.system.runs):
            yield ok(where, f"{point.name} gets an overflow only.", figure="overflow only", limit=limit, basis=basis)


__all__ = ["MUCH_BACK", "about", "nears_house", "soaks_near"]
