"""Basins: the drain-down test reduced and judged, floats and alarm as they were found."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from drainwright.design import Design
from drainwright.errors import InputError, JobError, Problem
from drainwright.hydraulics.drawdown import Drawdown, Readings, drawdown
from drainwright.job.proof import BasinTest, BuiltBasin, ProofDocument
from drainwright.proving.duty import expected_table, on_main, over_the_valve
from drainwright.proving.model import BasinProof, Reason, Row, Verdict, with_area
from drainwright.proving.reasons import reasons
from drainwright.proving.words import Words
from drainwright.quantities import percent
from drainwright.system.model import LiftStation

LEAST, MOST = 0.90, 1.15  # of the expected flow: a pump as designed; common practice, no source [-]
LEAK = 1e-3 / 60  # a litre a minute back through a check valve is a leak; common practice, no source [m³/s]
SHOWN = 0.010  # a rise that tape and eye do not miss; common practice, no source [m]
FLOAT = 0.0254  # a float that acts within an inch is set as designed; common practice, no source [m]
SURE_BAND = 0.15  # of the expected flow: a wider band tells nothing; common practice, no source [-]


def proof_of(design: Design, station: LiftStation, document: ProofDocument, number: int, words: Words) -> BasinProof:
    """A basin's test reduced.

    Parameters
    ----------
    design : Design
        The job as designed.
    station : LiftStation
        The basin's.
    document : ProofDocument
        The record.
    number : int
        Of the basin's test in it.
    words : Words
        Of the job's units.

    Returns
    -------
    BasinProof
        With the reasons of a flow that is not the expected one.

    Raises
    ------
    JobError
        If readings cannot be: outside the basin, or fewer than the unknowns.
    """
    proof = document.proof
    test = proof.basins[number]
    built = built_basin(document, station.name)
    rim, floor, diameter = station.rim, station.floor, station.inside_diameter
    if built is not None:
        diameter = diameter if built.diameter is None else built.diameter
        floor = floor if built.depth is None else rim - built.depth
    run = design.system.run(station.discharge_run)
    basin = design.job.works.basin_named(station.name)
    area = math.pi / 4.0 * (diameter**2 - run.pipe.outside**2)  # the riser stands in it
    read = tuple(
        Readings(
            stretch=one.while_,
            times=tuple(look.time for look in one.readings),
            levels=tuple(rim - look.tape if test.tape_from == "rim" else floor + look.tape for look in one.readings),
        )
        for one in test.stretches
    )
    _within(document, number, test, read, floor, rim)
    levels, flows = expected_table(design.system, station, basin)
    returns = over_the_valve(station, run)

    def reduced(most: float) -> Drawdown:
        return drawdown(
            read, area=area, expected=lambda at: np.interp(at, levels, flows), returns=most,
            level_error=test.tape_within, time_error=test.watch_within,
        )  # fmt: skip

    try:
        found = reduced(returns)
        free = reduced(math.inf)
    except InputError as error:
        said = str(error)
        raise document.refused(
            (
                Problem(
                    where=f"basins[{number}].stretches", found=said,
                    expected="readings from which the pump's flow can be told",
                    hint="read the pumping water six times or more, and twice or more with the pump off",
                ),
            )
        ) from None  # fmt: skip
    share = 2.0 * proof.as_built.diameter_within / diameter
    why: tuple[Reason, ...] = ()
    flow = found.pumped.flow
    band = with_area(flow, found.pumped.band, share)
    told = band <= SURE_BAND * found.expected
    if told and not on_main(design.system, station) and not LEAST <= flow / found.expected <= MOST:
        why = reasons(
            station, run, basin, level=found.level, expected=found.expected, found=flow, band=band,
            squirts=test.relief_squirts, words=words,
        )  # fmt: skip
    return BasinProof(
        name=station.name, drawdown=found, area=area, area_share=share, expected=found.expected, returns=returns,
        free=free, reasons=why,
    )  # fmt: skip


def built_basin(document: ProofDocument, name: str) -> BuiltBasin | None:
    """A basin as it stands; None where nothing of it was measured."""
    return next((one for one in document.proof.as_built.basins if one.basin == name), None)


def _within(
    document: ProofDocument, number: int, test: BasinTest, read: tuple[Readings, ...], floor: float, rim: float
) -> None:
    problems = []
    for place, one in enumerate(read):
        for look, level in enumerate(one.levels):
            if not floor - FLOAT <= level <= rim + FLOAT:
                side = "below the basin's floor" if level < floor else "above its rim"
                problems.append(
                    Problem(
                        where=f"basins[{number}].stretches[{place}].readings[{look}]",
                        found=f"a level {side}", expected=f"a length from the {test.tape_from} within the basin",
                        hint="tape_from says where the tape's zero was: rim or floor",
                    )
                )  # fmt: skip
    if problems:
        raise JobError(document.refused(tuple(problems)).problems)


def basin_rows(design: Design, station: LiftStation, test: BasinTest, proof: BasinProof, words: Words) -> Iterator[Row]:
    """What a basin's test shows, judged."""
    yield _flow_row(station, proof, words)
    yield _inflow_row(station, proof, words)
    yield _back_row(station, proof, words)
    if test.relief_squirts is not None:
        seen = test.relief_squirts
        said = "" if seen else "Without it air can lock the pump. Unplug the pump, then open the hole."
        yield Row(
            where=station.name, what="Relief hole squirts while it pumps", found="yes" if seen else "no", wanted="yes",
            verdict="pass" if seen else "not", said=said,
        )  # fmt: skip
    yield _alarm_row(station, test)


def _flow_row(station: LiftStation, proof: BasinProof, words: Words) -> Row:
    found, expected, band = proof.drawdown.pumped, proof.expected, proof.band
    beyond = station.pump.curve.runout <= expected * 1.001
    verdict: Verdict
    if not band <= SURE_BAND * expected:
        verdict = "cannot tell"
        said = "The readings are too few or too rough: read every 10 s while it pumps, over half the basin's depth."
    elif found.flow - band >= LEAST * expected and (beyond or found.flow + band <= MOST * expected):
        verdict, said = "pass", ""
    elif found.flow + band < LEAST * expected or (not beyond and found.flow - band > MOST * expected):
        verdict = "not"
        likely = [one.said for one in proof.reasons if one.fits]
        said = " ".join(likely[:2]) or "None of the reasons that were worked out gives this flow: look at the readings."
    else:
        verdict, said = "cannot tell", "The band lies across the limit: measure again, longer or with a finer tape."
    if (slip := proof.drawdown.slip) is not None:
        off = f"{words.small(abs(slip.off))} {'higher' if slip.off > 0.0 else 'lower'}"
        said = (
            f"{said} Reading {slip.reading + 1} of stretch {slip.stretch + 1} has the water {off} than all others tell "
            "and was left out: look whether it was noted wrongly."
        ).strip()
    if proof.drawdown.rough:
        said = f"{said} The readings scatter more than tape and watch should; the band is widened by it.".strip()
    return Row(
        where=station.name, what="Pump's flow by drawdown", found=_with_band(found.flow, band, words),
        wanted=f"{words.flow(LEAST * expected)} or more; expected {words.flow(expected)}",
        verdict=verdict, said=said,
        figures={"found": found.flow, "band": band, "expected": expected, "level": proof.drawdown.level},
    )  # fmt: skip


def _inflow_row(station: LiftStation, proof: BasinProof, words: Words) -> Row:
    """Whether it carries the water that it was designed for."""
    found, band, wanted = proof.drawdown.pumped.flow, proof.band, station.inflow
    verdict: Verdict = "cannot tell"
    if math.isfinite(band) and band <= SURE_BAND * proof.expected:
        verdict = "pass" if found - band >= wanted else "not" if found + band < wanted else "cannot tell"
    return Row(
        where=station.name, what="Carries the water it was designed for", found=_with_band(found, band, words),
        wanted=f"{words.flow(wanted)} or more", verdict=verdict,
        said="" if verdict == "pass" else "Below this the water rises in the design storm while the pump runs."
        if verdict == "not" else "",
        figures={"found": found, "band": band, "wanted": wanted},
    )  # fmt: skip


def _back_row(station: LiftStation, proof: BasinProof, words: Words) -> Row:
    """What comes back through the check valve."""
    back, band = proof.drawdown.back, proof.back_band
    rise = proof.returns / proof.area
    what, wanted = "Comes back through the check valve", f"less than {words.flow(LEAK)}"
    figures = {"found": back.flow, "band": band, "limit": LEAK, "returns": proof.returns}
    if rise < SHOWN and proof.free.back.flow - proof.free_band > 0.0:
        return _rises_faster(station, proof, words, what, wanted)
    if rise < SHOWN:
        return Row(
            where=station.name, what=what, found=f"{words.volume(proof.returns)} at most",
            wanted=f"less than {words.volume(SHOWN * proof.area)}, which nobody sees", verdict="pass", figures=figures,
            said="By the line's shape, not by the test: it falls away from the basin, and only the riser over the "
            "valve could empty.",
        )  # fmt: skip
    verdict: Verdict
    if back.flow + band <= LEAK:
        verdict = "pass"
        said = f"A small leak. {_cost(station, proof, words)}" if back.flow - band > 0.0 else ""
    elif back.flow - band > LEAK:
        verdict = "not"
        said = (
            f"The check valve leaks: up to {words.volume(proof.returns)} come back after each run and are pumped "
            f"again. {_cost(station, proof, words)}"
        )
    else:
        verdict = "cannot tell"
        said = (
            "No level was read with the line full and the pump off."
            if math.isinf(back.band)
            else "The band lies across the limit: read for five minutes with the pump off, from half a minute after it "
            "stops, and as long before the first start."
        )
    return Row(
        where=station.name, what=what, found=_with_band(back.flow, band, words), wanted=wanted, verdict=verdict,
        said=said, figures=figures,
    )  # fmt: skip


def _rises_faster(station: LiftStation, proof: BasinProof, words: Words, what: str, wanted: str) -> Row:
    """The water rises faster after a stop than before, though by its shape the line has hardly any to give back."""
    free, before = proof.free.back.flow, max(proof.free.inflow.flow, 0.0)
    times = f"{(before + free) / before:.1f} times as fast as" if before > 0.1 * free else "much faster than"
    leaks = free - proof.free_band > LEAK
    said = (
        f"{'Likely a leak' if leaks else 'Perhaps a leak'}: after the stop the water rises {times} before the first "
        f"start, {words.flow(before + free)} against {words.flow(before)}, though by the line's shape no more than "
        f"{words.volume(proof.returns)} could come back. Either the check valve leaks and the line holds water (it "
        "does not fall as drawn, or its end stands under water), or more ground water runs in once the stone is drawn "
        "down. Shut the line or take it off above the valve, and read the rise again: what stays is ground water."
    )
    return Row(
        where=station.name, what=what, found=_with_band(free, proof.free_band, words), wanted=wanted,
        verdict="not" if leaks else "cannot tell", said=said,
        figures={"found": free, "band": proof.free_band, "limit": LEAK, "returns": proof.returns, "before": before},
    )  # fmt: skip


def _cost(station: LiftStation, proof: BasinProof, words: Words) -> str:
    """What a leak does to the basin, as the eye sees it and as the pump feels it."""
    rise = min(proof.drawdown.back.flow * 3600.0, proof.returns) / proof.area
    share = proof.returns / station.band_volume
    cost = (
        "enough to start the pump again with no water coming in"
        if share >= 1.0
        else f"{percent(share)} of what lies between its floats, which costs up to {percent(share / (1.0 - share))} "
        "more starts for the same water"
    )
    return f"In the hour after a stop the water rises {words.small(rise)} by it; all of it is {cost}."


def _alarm_row(station: LiftStation, test: BasinTest) -> Row:
    told = {True: "it sounds", False: "silent", None: "not tried"}[test.alarm_sounds]
    verdicts: dict[bool | None, Verdict] = {True: "pass", False: "not", None: "not done"}
    return Row(
        where=station.name, what="Alarm sounds when its float is lifted", found=told, wanted="it sounds",
        verdict=verdicts[test.alarm_sounds],
    )  # fmt: skip


def float_rows(station: LiftStation, built: BuiltBasin, words: Words) -> Iterator[Row]:
    """Floats as they were found beside those of the design."""
    wanted = {name: level - station.floor for name, level in station.float_levels.items()}
    named = {"on": "Pump starts at", "off": "Pump stops at", "alarm": "Alarm sounds at"}
    for name, what in named.items():
        height = getattr(built, name)
        if height is None:
            yield Row(where=station.name, what=what, found="not measured", wanted=words.small(wanted[name]),
                      verdict="not done")  # fmt: skip
            continue
        near = abs(height - wanted[name]) <= FLOAT + 1e-9
        yield Row(
            where=station.name, what=what, found=words.small(height),
            wanted=f"{words.small(wanted[name])}, within {words.small(FLOAT)}", verdict="pass" if near else "not",
            said="" if near else "Unplug the pump, then set the float; above the inside floor.",
            figures={"found": height, "wanted": wanted[name]},
        )  # fmt: skip


def share_words(found: Drawdown) -> str:
    """The found flow over the expected one."""
    return percent(found.pumped.flow / found.expected)


def _with_band(flow: float, band: float, words: Words) -> str:
    return words.flow_band(flow, band) if math.isfinite(band) else "nothing read that bears on it"


__all__ = ["LEAK", "LEAST", "MOST", "basin_rows", "built_basin", "float_rows", "proof_of", "share_words"]
