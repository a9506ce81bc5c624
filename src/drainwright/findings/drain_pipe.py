"""Checks of a drain's pipe in its stone: openings, bed, sleeve, wall."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from drainwright.field.words import least_sure
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stone import BED_AROUND, INCH, grain, sections
from drainwright.job.values import Basis
from drainwright.quantities import percent
from drainwright.system.model import SizedRun

BED_UNDER = 2 * INCH  # IRC R405.1 [m]
SCREEN_SPEED = 0.03  # through openings, from memory: 0.1 ft/s in well screens [m/s]
LEAST_HEAD = 0.25 * INCH  # less than this is not worth a figure [m]
DIPS = 0.01  # flatter than this a corrugated pipe's dips hold water, common practice, no source [-]


def _where(run: SizedRun) -> str:
    return f"works.runs.{run.name}"


@rule("BED-07", "Openings against the stone", "ufc_3_270_04")
def openings(case: Case) -> Iterator[Outcome]:
    """The stone must not fall into the pipe's holes or wedge in its slots."""
    for run, section in sections(case):
        inlets, stone = section.inlets, section.stone
        if stone is None or inlets.size <= 0.0:
            continue
        word = "slots" if inlets.shape == "slot" else "holes"
        figure = f"D85 {inlets.ratio:.1f} times the {word} of {case.small(inlets.size)}"
        limit = f"{inlets.ratio_least:.1f} times or more"
        if inlets.ratio >= inlets.ratio_least:
            text = f"The stone does not fall into the {word} of {run.name}."
            yield ok(_where(run), text, figure=figure, limit=limit, basis=stone.basis)
        else:
            yield fails(
                _where(run),
                f"The stone round {run.name} falls into its {word}: 85 % of it is finer than {grain(case, stone.d85[0])}.",
                figure=figure,
                limit=limit,
                advice="Take coarser stone, or pipe with finer slots.",
                basis=stone.basis,
            )


@rule("BED-08", "Inflow through the openings", "perforated_orifice")
def inflow(case: Case) -> Iterator[Outcome]:
    """Half clogged, the openings still take the seepage, and a storm's water straight down the loose fill."""
    for run, section in sections(case):
        inlets = section.inlets
        figure = f"{case.flow(inlets.peak)} at most, {case.flow(inlets.seepage)} of it steady"
        limit = f"{case.flow(inlets.capacity_peak)} with half of the openings blocked"
        basis = least_sure(inlets.basis, case.job.rain.basis)
        needed = inlets.head_needed(inlets.peak)
        head = case.small(needed) if needed >= LEAST_HEAD else f"less than {case.small(LEAST_HEAD)}"
        if inlets.peak <= inlets.capacity_design:
            yield ok(
                _where(run),
                f"The openings of {run.name} take in the worst inflow under {head} of water, half of them blocked.",
                figure=figure,
                limit=limit,
                basis=basis,
            )
        elif inlets.seepage <= inlets.capacity_design and inlets.peak <= inlets.capacity_peak:
            yield caution(
                _where(run),
                f"In a storm water stands {head} deep over the openings of {run.name} before they take it in.",
                figure=figure,
                limit=limit,
                advice="Take pipe with more openings, or keep yard water off the loose fill.",
                basis=basis,
            )
        else:
            yield fails(
                _where(run),
                f"The openings of {run.name} cannot take in what comes to it.",
                figure=figure,
                limit=limit,
                advice="Take pipe with more openings, or a second drain.",
                basis=basis,
            )


@rule("BED-09", "Speed through the openings", "common_practice")
def speed(case: Case) -> Iterator[Outcome]:
    """Slow water leaves the fines where they lie."""
    for run, section in sections(case):
        inlets = section.inlets
        if inlets.seepage <= 0.0:
            continue
        steady, storm = inlets.speed(inlets.seepage), inlets.speed(inlets.peak)
        figure = f"{case.speed(steady)} steady, {case.speed(storm)} in a storm"
        limit = f"{case.speed(SCREEN_SPEED)} or less, steady"
        if steady <= SCREEN_SPEED:
            text = f"Water enters {run.name} slowly enough to leave the fines behind."
            yield ok(_where(run), text, figure=figure, limit=limit, basis=inlets.basis)
        else:
            yield caution(
                _where(run),
                f"Water enters {run.name} at {case.speed(steady)}: it carries fines in, if any reach the openings.",
                figure=figure,
                limit=limit,
                advice="Take pipe with more openings, wash the stone, and flush the drain yearly.",
                basis=inlets.basis,
            )


@rule("BED-10", "Stone under, beside and over the drain", "irc_r405")
def bed(case: Case) -> Iterator[Outcome]:
    """Holes look down into clean stone: without a bed they lie in mud, which washes in."""
    for run, section in sections(case):
        if section.stone is None:
            continue
        side = (run.stone_width - run.pipe.outside) / 2.0
        figure = f"{case.small(run.stone_under)} under, {case.small(side)} beside, {case.small(run.stone_over)} over"
        around = case.small(BED_AROUND)
        limit = f"{case.small(BED_UNDER)} under, {around} beside and over"
        if run.stone_under < BED_UNDER - 1e-4:
            yield fails(
                _where(run),
                f"Only {case.small(run.stone_under)} of stone lie under {run.name}: holes that look down lie in the soil and wash it in.",
                figure=figure,
                limit=limit,
                advice=f"Dig {case.small(BED_UNDER - run.stone_under)} deeper and bed it in stone; holes up would keep water standing in "
                "the trench as high as they sit.",
            )
        elif min(side, run.stone_over) < BED_AROUND - 1e-4:
            yield caution(
                _where(run),
                f"The stone round {run.name} is thin.",
                figure=figure,
                limit=limit,
                advice="Widen the stone, or lay it with a spacer so that the pipe stays in its middle.",
            )
        else:
            text = f"{run.name} lies in enough stone: its holes look down, and it drains to the pipe's lowest level."
            yield ok(_where(run), text, figure=figure, limit=limit)


@rule("BED-11", "Flow in a wrapped drain", "ergun_1952")
def wrapped(case: Case) -> Iterator[Outcome]:
    """The sleeve's voids store water, and carry little of it."""
    for run, section in sections(case):
        sleeve = section.wrapped
        if sleeve is None:
            continue
        total = sleeve.sleeve_flow + sleeve.pipe_flow
        figure = f"{case.flow(total)}, {case.flow(sleeve.sleeve_flow)} of it beside the pipe"
        limit = f"{case.flow(run.flow)} at the design flow"
        text = (
            f"At its fall {run.name} carries {case.flow(sleeve.pipe_flow)} in the pipe; the voids of its sleeve add "
            f"{percent(sleeve.gain)} and hold {case.volume(sleeve.storage)}"
        )
        basis = least_sure(Basis.ASSUMED, section.inlets.basis)
        if total >= run.flow and total > 0.0:
            yield ok(_where(run), f"{text}.", figure=figure, limit=limit, basis=basis)
        else:
            yield fails(
                _where(run),
                f"{text}: less than the {case.flow(run.flow)} that come.",
                figure=figure,
                limit=limit,
                advice="Give it more fall, or lay pipe in stone.",
                basis=basis,
            )


@rule("BED-12", "Corrugated or smooth for this fall", "common_practice")
def wall(case: Case) -> Iterator[Outcome]:
    """Corrugated pipe follows every dip of its bed; on a flat fall the dips hold water and silt."""
    for run, _ in sections(case):
        single = run.pipe.family in ("corrugated single wall", "wrapped aggregate")
        figure = f"{'corrugated' if single else 'smooth'} inside, falls {case.grade(run.flattest)}"
        limit = f"corrugated at {case.grade(DIPS)} or more, smooth below"
        if single and run.flattest < DIPS:
            yield caution(
                _where(run),
                f"{run.name} is corrugated and falls only {case.grade(run.flattest)}: it dips between its supports, and silt stays in "
                "the dips.",
                figure=figure,
                limit=limit,
                advice="Lay smooth pipe, or give it more fall.",
            )
        elif single:
            text = f"{run.name} falls enough for corrugated pipe, which carries less than smooth pipe of its size."
            yield ok(_where(run), text, figure=figure, limit=limit)
        else:
            text = f"{run.name} is smooth inside: it holds its grade and can be flushed."
            yield ok(_where(run), text, figure=figure, limit=limit)


def drain_words(case: Case) -> str:
    """What the openings of the drains take in, at the worst of them."""
    found = [section.inlets for _, section in sections(case) if section.inlets.peak > 0.0 and section.inlets.area > 0.0]
    if not found:
        return ""
    worst = min(found, key=lambda item: item.capacity_design / item.peak)
    times = worst.capacity_design / worst.peak
    word = "slots" if worst.shape == "slot" else "holes"
    stone = ""
    if isfinite(worst.ratio):
        stone = f"The stone's coarse grains are {worst.ratio:.1f} times its {word} of {case.small(worst.size)}. "
    slow = worst.speed(worst.seepage) <= SCREEN_SPEED
    how = "slowly enough to leave the fines behind" if slow else "so fast that it carries fines in"
    return (
        f"{stone}Half blocked, the {word} let in {times:.1f} times the worst inflow of a storm; the steady seepage enters "
        f"{how}."
    )


__all__ = ["drain_words"]
