"""Checks of a drain in cross-section: soil against stone and fabric."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, isfinite

from drainwright.field.words import Units, least_sure
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.hydraulics.geotextile import NO_FABRIC_FINES
from drainwright.job.values import Basis
from drainwright.quantities import percent, write
from drainwright.system.drain_section import DrainSection, FabricAsked
from drainwright.system.model import SizedRun

INCH = 0.0254
BED_AROUND = 6 * INCH  # beside and over a drain: UFC 3-270-04 [m]
CONCRETE_SAND = "a layer of concrete sand (ASTM C33) between soil and stone"

#: Sieves by number: their openings [mm], coarsest first.
SIEVES = (
    (4, 4.75), (8, 2.36), (10, 2.0), (16, 1.18), (20, 0.85), (30, 0.6), (40, 0.425), (50, 0.3), (60, 0.25),
    (70, 0.212), (80, 0.18), (100, 0.15), (120, 0.125), (140, 0.106), (200, 0.075),
)  # fmt: skip


def grain(case: Case, size: float) -> str:
    """Write a grain's size or a fabric's opening."""
    return _size(size, case.job.units)


def _size(size: float, units: Units) -> str:
    if units == "SI":
        return f"{size * 1000:.{2 if size < 0.0095 else 0}f} mm"
    return f"{size / INCH:.{4 if size < 0.001 else 2}f} in"


def opening(case: Case, size: float) -> str:
    """Write a fabric's opening, with the sieve that is meant."""
    return _opening(size, case.job.units)


def _opening(size: float, units: Units) -> str:
    number = min(SIEVES, key=lambda row: abs(row[1] / 1000.0 - size))
    near = abs(number[1] / 1000.0 / size - 1.0) < 0.05
    return _size(size, units) + (f" (No. {number[0]} sieve)" if near else "")


def asked_words(asked: FabricAsked, units: Units) -> str:
    """Which fabric to buy: the job's own by its name, or what its data sheet must say."""
    if asked.given is not None:
        return f"{asked.given.name}, as the job names it"
    most, least = _opening(asked.opening_most, units), _opening(asked.opening_least, units)
    size = f"{most} or finer, not under {least}" if asked.opening_most > asked.opening_least * 1.001 else most
    through = write(asked.permittivity_least, "rate", units, "/s")
    return f"non-woven, apparent opening {size}, permittivity {through} or more"


def permittivity(case: Case, value: float) -> str:
    """Write a permittivity."""
    return write(value, "rate", case.job.units, "/s")


def sections(case: Case) -> Iterator[tuple[SizedRun, DrainSection]]:
    """Perforated runs with their sections."""
    for run in case.system.runs:
        section = case.system.sections.get(run.name)
        if section is not None:
            yield run, section


def _where(run: SizedRun) -> str:
    return f"works.runs.{run.name}"


def _soil(section: DrainSection) -> str:
    return f"soil with {percent(section.soil.fines)} of fines"


def _basis(section: DrainSection) -> Basis:
    stone = section.soil.basis if section.stone is None else section.stone.basis
    return least_sure(section.soil.basis, stone)


@rule("NET-11", "Fabric for this soil", "neh_633_26")
def fabric(case: Case) -> Iterator[Outcome]:
    """Sandy and silty soil washes into open stone."""
    texture = case.job.ground.texture
    for run, section in sections(case):
        if run.duty != "footing drain" or run.stone_width <= 0 or section.stone is None:
            continue
        coarse, most = grain(case, section.stone.d15[1]), grain(case, section.d15_most)
        asked = f"fabric of {opening(case, section.fabric.opening_most)} or finer"
        limit = f"non-woven fabric round the stone where its D15 is over {most}"
        if texture.value == "clay" and run.fabric:
            yield caution(
                _where(run),
                "Nearly pure clay can seal a fabric; few fines move in it.",
                figure=asked,
                limit="judged by the soil",
                advice="Use a non-woven fabric of open weave, wrapped round the stone and not round the pipe.",
                basis=texture.basis,
            )
        elif run.fabric:
            text = f"Fabric round the stone keeps {texture.value} out."
            yield ok(_where(run), text, figure=asked, limit=limit, basis=texture.basis)
        elif section.stone_filters:
            text = f"The stone keeps {texture.value} out without a fabric: its D15 is {coarse} at most."
            yield ok(_where(run), text, figure="no fabric", limit=limit, basis=_basis(section))
        else:
            why = (
                "few fines move in it, but the code asks for a membrane over the stone"
                if texture.value == "clay"
                else f"fines will wash into the stone, and from under the footing; its D15 is up to {coarse}, where {most} would do"
            )
            yield caution(
                _where(run),
                f"No fabric in {texture.value}: {why}.",
                figure="no fabric",
                limit=limit,
                advice=f"Wrap the stone in non-woven {asked}, with {case.small(0.3048)} overlaps.",
                basis=texture.basis,
            )


@rule("BED-01", "Stone as a filter", "neh_633_26")
def filters(case: Case) -> Iterator[Outcome]:
    """Stone keeps a soil back only where its fine grains are small against the soil's coarse ones."""
    for run, section in sections(case):
        stone = section.stone
        if stone is None:
            continue
        size, most = grain(case, stone.d15[1]), grain(case, section.d15_most)
        figure = f"{stone.name}, D15 {size} at most"
        limit = (
            f"D15 {most} or less for {_soil(section)} (category {section.category}); by Terzaghi's ratios "
            f"{grain(case, section.terzaghi.d15_most)}"
        )
        basis = _basis(section)
        if section.stone_filters:
            text = f"The stone round {run.name} keeps this soil back by itself."
            yield ok(_where(run), text, figure=figure, limit=limit, basis=basis)
        elif run.fabric:
            text = f"The stone round {run.name} is too coarse to keep this soil back; the fabric round it must."
            yield ok(_where(run), text, figure=figure, limit=limit, basis=basis)
        else:
            severity = caution if section.soil.basis is Basis.ASSUMED or section.soil.plastic else fails
            yield severity(
                _where(run),
                f"Nothing keeps the soil out of the stone round {run.name}: 15 % of the stone is finer than {size} at best, "
                f"where {most} would do.",
                figure=figure,
                limit=limit,
                advice=f"Wrap the stone in fabric of {opening(case, section.fabric.opening_most)} or finer."
                if section.keeper == "a fabric"
                else f"Lay {CONCRETE_SAND}.",
                basis=basis,
            )


@rule("BED-02", "Stone drains the soil", "neh_633_26")
def drains(case: Case) -> Iterator[Outcome]:
    """Stone must be clearly more pervious than the soil: its D15 four to five times the soil's."""
    for run, section in sections(case):
        stone = section.stone
        if stone is None:
            continue
        figure = f"D15 {grain(case, stone.d15[0])}"
        limit = f"D15 {grain(case, section.d15_least)} or more"
        if section.stone_drains:
            text = f"The stone round {run.name} lets the soil's water through freely."
            yield ok(_where(run), text, figure=figure, limit=limit, basis=_basis(section))
        else:
            yield fails(
                _where(run),
                f"The stone round {run.name} is hardly more pervious than the soil: water stays in the soil.",
                figure=figure,
                limit=limit,
                advice="Take washed stone without fines, such as No. 57.",
                basis=_basis(section),
            )


@rule("BED-03", "Opening of the fabric", "aashto_m288")
def fabric_opening(case: Case) -> Iterator[Outcome]:
    """A fabric's openings: small enough to hold the soil, no smaller, or they clog."""
    for run, section in sections(case):
        asked = section.fabric
        if not run.fabric or section.stone is None:
            continue
        most, least = opening(case, asked.opening_most), opening(case, asked.opening_least)
        limit = f"{least} to {most}" if asked.opening_most > asked.opening_least else most
        basis = least_sure(section.soil.basis, asked.basis)
        if asked.opening is None:
            yield ok(
                _where(run),
                f"Ask for a non-woven fabric whose apparent opening is {most} or finer, but not finer than {least}.",
                figure="no fabric chosen yet",
                limit=limit,
                basis=basis,
            )
            continue
        name = "" if asked.given is None else f"{asked.given.name}, "
        figure = f"{name}apparent opening {opening(case, asked.opening)}"
        if asked.opening > asked.opening_most * 1.001:
            severity = caution if section.soil.basis is Basis.ASSUMED else fails
            yield severity(
                _where(run),
                f"The fabric's opening, {opening(case, asked.opening)}, lets this soil through.",
                figure=figure,
                limit=limit,
                advice=f"Take a fabric of {most} or finer.",
                basis=basis,
            )
        elif asked.opening < asked.opening_least * 0.999:
            yield caution(
                _where(run),
                f"The fabric's opening, {opening(case, asked.opening)}, is so fine that the soil's fines will clog it.",
                figure=figure,
                limit=limit,
                advice=f"Take a fabric of {least} or somewhat coarser.",
                basis=basis,
            )
        else:
            text = f"The fabric round {run.name} holds this soil and does not clog easily."
            yield ok(_where(run), text, figure=figure, limit=limit, basis=basis)


@rule("BED-04", "Water through the fabric", "aashto_m288")
def fabric_water(case: Case) -> Iterator[Outcome]:
    """A fabric passes the water even when nine tenths of it have clogged."""
    for run, section in sections(case):
        asked = section.fabric
        if not run.fabric or section.stone is None:
            continue
        limit = f"permittivity {permittivity(case, asked.permittivity_least)} or more"
        share = asked.passes * run.length / section.inlets.seepage if section.inlets.seepage > 0.0 else inf
        told = f"; clogged to a tenth it passes {share:.0f} times the seepage" if isfinite(share) else ""
        basis = least_sure(section.soil.basis, asked.basis)
        if asked.permittivity is None:
            yield ok(
                _where(run),
                f"Ask for a permittivity of {permittivity(case, asked.permittivity_least)} or more{told}.",
                figure="no permittivity known yet",
                limit=limit,
                basis=basis,
            )
        elif asked.permittivity < asked.permittivity_least * 0.999 or share < 1.0:
            yield caution(
                _where(run),
                f"The fabric's permittivity, {permittivity(case, asked.permittivity)}, is low for this soil{told}.",
                figure=f"permittivity {permittivity(case, asked.permittivity)}",
                limit=limit,
                advice="Take a more open, non-woven fabric.",
                basis=basis,
            )
        else:
            yield ok(
                _where(run),
                f"The fabric round {run.name} lets enough water in{told}.",
                figure=f"permittivity {permittivity(case, asked.permittivity)}",
                limit=limit,
                basis=basis,
            )


@rule("BED-05", "Fabric against very fine soil", "ufc_3_270_04")
def very_fine(case: Case) -> Iterator[Outcome]:
    """Fabric alone is not to face soil that is nearly all fines: too fine an opening clogs, a wider one leaks."""
    for run, section in sections(case):
        if not run.fabric or section.stone is None or section.stone_filters:
            continue
        figure, limit = f"{percent(section.soil.fines)} of fines", f"less than {percent(NO_FABRIC_FINES)} of fines"
        if section.soil.fines >= NO_FABRIC_FINES or not section.fabric.fits:
            why = (
                "it is nearly all fines"
                if section.soil.fines >= NO_FABRIC_FINES
                else "what would hold its grains clogs, and they do not cling together"
            )
            yield caution(
                _where(run),
                f"Fabric alone is not the thing against this soil: {why}.",
                figure=figure,
                limit=limit,
                advice=f"Lay {CONCRETE_SAND}, {case.small(BED_AROUND)} thick, and the fabric over the top of the stone only, "
                "where the code asks for it.",
                basis=section.soil.basis,
            )
        else:
            text = f"The soil beside {run.name} is not too fine for a fabric."
            yield ok(_where(run), text, figure=figure, limit=limit, basis=section.soil.basis)


@rule("BED-06", "Clay that goes into suspension", "neh_633_26")
def dispersive(case: Case) -> Iterator[Outcome]:
    """Dispersive clay passes fabric and stone alike."""
    for run, section in sections(case):
        if case.job.ground.grading is None:
            continue
        limit = "a clay whose crumbs stay whole in still water"
        if section.soil.dispersive:
            yield fails(
                _where(run),
                "The clay is dispersive: its grains go into suspension and pass stone and fabric.",
                figure="dispersive clay",
                limit=limit,
                advice=f"Have a soils engineer choose the filter; sand with D15 of {grain(case, section.d15_most)} or less is the "
                "usual one.",
                basis=section.soil.basis,
            )
        else:
            text = "The soil is not dispersive."
            yield ok(_where(run), text, figure="not dispersive", limit=limit, basis=section.soil.basis)


__all__ = ["grain", "opening", "permittivity", "sections"]
