"""Checks of the pumps: worn, in pairs, on a battery, in the wet season, at the ends of their curves."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from drainwright.findings.lift import INCH, sheet_basis
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import basin_of, each_station
from drainwright.job.values import Basis
from drainwright.quantities import percent
from drainwright.sources import cite
from drainwright.system.lift.season import PUMP_YEARS
from drainwright.system.model import LiftStation

LITTLE_GAIN = 0.25  # of a second pump on one line, common practice, no source [-]
BUSY = 0.5  # share of a day that a pump may run in the wet season, common practice, no source [-]
NEAR_END = 0.95  # of the sheet's last flow [-]
NEAR_SHUTOFF = 0.1  # of the sheet's last flow: the pump churns the water that it holds, common practice [-]
SPARE_HEAD = 1.1  # worn shutoff head over the lift, common practice, no source [-]
SOLIDS = 0.5 * INCH  # that sump pumps usually pass [m]
SWITCH_SOURCE = "switch_cycles"
LONG = 50.0  # of a switch's life: beyond it nothing is told but that [years]
BEHIND_SCREEN = 0.25 * INCH  # what a screen lets through, common practice, no source [m]


def starts_words(count: float) -> str:
    """``70 starts``, or ``less than one start``."""
    return f"{count:.0f} start{'' if round(count) == 1 else 's'}" if count >= 1 else "less than one start"


@rule("LFT-30", "The pump when it is worn", "common_practice")
@each_station
def worn(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A pump loses head over the years; what it then delivers must still meet the peak inflow.

    Where even the new pump does not, the rule of its duty says so, and this one is silent.
    """
    study = station.study
    if study is None or station.operating_flow < station.inflow or not station.reaches:
        return
    figure, limit = case.flow(study.worn_flow), f"{case.flow(station.inflow)}, the peak inflow"
    lost = f"with {percent(study.wear)} of its head lost"
    if study.worn_flow >= station.inflow * (1 - 1e-6):
        text = f"Worn, {lost}, the pump still lifts {figure}: no less than the peak inflow."
        yield ok(where, text, figure=figure, limit=limit, basis=Basis.ASSUMED)
    else:
        yield caution(
            where,
            f"Worn, {lost}, the pump lifts {figure}, and {case.flow(station.inflow)} come at most.",
            figure=figure,
            limit=limit,
            advice="Take the next pump or a larger discharge line, or time a bucket test each year and replace the pump "
            "when it has fallen so far.",
            basis=Basis.ASSUMED,
        )


@rule("LFT-31", "The second pump alone", "common_practice")
@each_station
def standby(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A standby pump is there for the day on which the first one fails."""
    pair = None if station.study is None else station.study.pair
    if pair is None:
        return
    figure, limit = case.flow(pair.second_flow), f"{case.flow(station.inflow)}, the peak inflow"
    if pair.second_flow >= station.inflow * (1 - 1e-6) and pair.second_flow > 0.0:
        text = f"The second pump alone lifts {figure}: enough for the peak inflow."
        yield ok(where, text, figure=figure, limit=limit, basis=case.water_basis)
    elif pair.second_flow > 0.0:
        ground = "but not" if pair.second_flow < station.inflow_ground else "and"
        yield caution(
            where,
            f"The second pump alone lifts {figure} of the {case.flow(station.inflow)} that come at most, {ground} the ground "
            f"water's {case.flow(station.inflow_ground)} with it.",
            figure=figure,
            limit=limit,
            advice="Take a second pump like the first, and let an alarm call when the first one fails.",
            basis=case.water_basis,
        )
    else:
        yield fails(
            where,
            "The second pump does not reach: its greatest head is below the lift.",
            figure=case.length(pair.second.curve.shutoff),
            limit=f"more than {case.length(station.static_head)}",
            advice="Take a second pump with more head, best one like the first.",
            basis=sheet_basis(station),
        )


@rule("LFT-32", "Both pumps on one line", "ttu_3305")
@each_station
def both(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Two pumps on one discharge line give less than twice the flow of one: the line's losses grow with the flow."""
    pair = None if station.study is None else station.study.pair
    if pair is None or pair.both_flow <= 0.0:
        return
    alone = max(station.operating_flow, pair.second_flow)
    wanted = case.job.criteria.pump_margin * station.inflow
    figure = f"{case.flow(pair.both_flow)} together, {case.flow(alone)} the stronger alone"
    limit = f"{percent(LITTLE_GAIN)} more, where both are counted on"
    text = f"Both pumps together lift {case.flow(pair.both_flow)}, {percent(pair.gain)} more than the stronger alone"
    if pair.gain < LITTLE_GAIN and wanted > alone * (1 + 1e-6):
        yield caution(
            where,
            f"{text}: their common line takes the rest. One alone does not lift the {case.flow(wanted)} wanted.",
            figure=figure,
            limit=limit,
            advice="Lay a larger discharge line, or one for each pump; or take a stronger pump.",
            basis=sheet_basis(station),
        )
    else:
        use = "the second is there as standby" if wanted <= alone * (1 + 1e-6) else "both are needed in the design rain"
        yield ok(where, f"{text}; {use}.", figure=figure, limit=limit, basis=sheet_basis(station))


@rule("LFT-33", "The battery unit at its real head", "battery_rule")
@each_station
def battery(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """What a battery unit delivers at this lift, and for how long; its label shows the flow at no lift."""
    unit = None if station.study is None else station.study.unit
    if unit is None:
        return
    pump = "The battery unit's pump" if unit.own_pump else "The pump on the battery"
    cut = case.job.criteria.power_cut
    if not unit.reaches:
        yield fails(
            where,
            f"{pump} does not reach: its greatest head is {case.length(unit.pump.curve.shutoff)}.",
            figure=case.length(unit.pump.curve.shutoff),
            limit=f"more than {case.length(station.static_head)}",
            advice="Take a unit with more head.",
            basis=Basis.STATED,
        )
        return
    wet = next((hours for hours in unit.hours if hours.water == "wet season"), None)
    if wet is None:  # no current is entered: the rule of the power cut says so
        return
    ranged = station.study is not None and station.study.season.ranged
    high = ", at the high end of its range," if ranged else ""
    lasts = "as long as it holds its charge" if isinf(wet.seconds) else case.hours(wet.seconds)
    figure = f"{case.flow(unit.flow)} at this lift; {lasts} in the wet season"
    limit = f"{case.flow(wet.inflow)} for {case.hours(cut)}"
    told = f"{pump} lifts {case.flow(unit.flow)} here, of {case.flow(unit.open_flow)} at the end of its sheet"
    if wet.keeps_up and wet.seconds >= cut:
        text = f"{told}; with the wet season's ground water{high} the battery lasts {lasts}."
        yield ok(where, text, figure=figure, limit=limit, basis=Basis.STATED)
    elif not wet.keeps_up:
        yield caution(
            where,
            f"{told}: less than the {case.flow(wet.inflow)} of the wet season{high.rstrip(',')}.",
            figure=figure,
            limit=limit,
            advice="Take a stronger battery unit, by its flow at this head.",
            basis=Basis.STATED,
        )
    else:
        yield caution(
            where,
            f"{told}; with the wet season's ground water{high} the battery lasts {lasts} of a power cut of {case.hours(cut)}.",
            figure=figure,
            limit=limit,
            advice="Take more capacity, or a second battery.",
            basis=Basis.STATED,
        )


@rule("LFT-34", "Run time in the wet season", "common_practice")
@each_station
def wet_season(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """How much of a day the pump runs while ground water stands at its seasonal high and no rain falls."""
    if station.study is None or not station.reaches:
        return
    season = station.study.season
    figure = f"{case.hours(season.run_time)} and {starts_words(season.starts)} a day"
    limit = f"{percent(BUSY)} of the day"
    high = (
        f" at the high end of its range (likely {case.flow(season.likely)}, as designed for)" if season.ranged else ""
    )
    brings = f"At its seasonal high ground water brings {case.flow(season.inflow)}{high} without any rain"
    basis = case.inflows.conductivity_basis
    if season.share >= 1.0:
        yield fails(
            where,
            f"{brings}, more than the pump lifts: it never stops.",
            figure="24 h a day",
            limit=limit,
            advice="Take a larger pump, and look for what feeds the water: a leak, a spring, a high canal.",
            basis=basis,
        )
    elif season.share > BUSY:
        yield caution(
            where,
            f"{brings}: the pump runs {case.hours(season.run_time)} of the day, and wears out in few years.",
            figure=figure,
            limit=limit,
            advice="Take a pump made for continuous duty, and keep a second one ready.",
            basis=basis,
        )
    else:
        yield ok(
            where, f"{brings}: the pump runs {case.hours(season.run_time)} of the day.",
            figure=figure, limit=limit, basis=basis,
        )  # fmt: skip


@rule("LFT-35", "The ends of the pump's curve", "common_practice")
@each_station
def ends(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """At the end of its curve a pump overloads or cavitates; close to its greatest head it churns and heats the water."""
    if not station.reaches:
        return
    last = station.pump.curve.runout
    share = station.operating_flow / last
    figure = f"{case.flow(station.operating_flow)}, {percent(share)} of the sheet's last flow"
    limit = f"{percent(NEAR_SHUTOFF)} to {percent(NEAR_END)} of {case.flow(last)}"
    basis = sheet_basis(station)
    if share > NEAR_END + 1e-9:
        yield caution(
            where,
            f"The pump works at the end of its curve: beyond {case.flow(last)} its sheet says nothing, and the motor may be "
            "overloaded.",
            figure=figure,
            limit=limit,
            advice="Take a pump for less head and more flow, or throttle the line with a valve; ask its maker.",
            basis=basis,
        )
    elif share < NEAR_SHUTOFF - 1e-9:
        yield caution(
            where,
            "The pump works close to its greatest head: it churns the water that it holds, and a little wear stops it.",
            figure=figure,
            limit=limit,
            advice="Take a pump with more head.",
            basis=basis,
        )
    else:
        yield ok(where, "The pump works well within its curve.", figure=figure, limit=limit, basis=basis)


@rule("LFT-36", "Solids through the pump", "sump_solids")
@each_station
def solids(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Grit and stone that come with yard water must pass the pump, or be kept out of the basin."""
    basin = basin_of(case, station.name)
    screened = basin is None or basin.screened
    wanted = BEHIND_SCREEN if screened else SOLIDS
    passes = station.pump.solids
    limit = f"{case.small(wanted)} or more" + (" behind a screen" if screened else ", since nothing screens the basin")
    figure = "the sheet does not say" if passes is None else case.small(passes)
    if passes is None and screened:
        text = "The pump's sheet does not say what it passes; the basin is screened."
        yield ok(where, text, figure=figure, limit=limit, basis=Basis.ASSUMED)
    elif passes is None:
        yield caution(
            where,
            "The pump's sheet does not say what solids it passes, and nothing screens the basin.",
            figure=figure,
            limit=limit,
            advice="Look it up on the sheet, and put a screen or a basin with a sump before this one.",
            basis=Basis.ASSUMED,
        )
    elif passes >= wanted - 1e-9:
        yield ok(where, "The pump passes what may come to it.", figure=figure, limit=limit, basis=sheet_basis(station))
    else:
        yield caution(
            where,
            f"The pump passes {case.small(passes)} only" + (", even behind a screen." if screened else ", unscreened."),
            figure=figure,
            limit=limit,
            advice="Take a pump that passes more, or screen the basin finer and clean the screen after each storm."
            if screened
            else "Screen the basin, or take a pump that passes more.",
            basis=sheet_basis(station),
        )


@rule("LFT-37", "Head to spare over the lift", "common_practice")
@each_station
def spare_head(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A pump whose greatest head is little above the lift stops lifting as it wears, or when the way out stands in water."""
    study = station.study
    if study is None or not station.reaches:
        return
    lift, most = station.static_head, study.worn_shutoff
    figure = f"{case.length(most)} when worn"
    limit = f"{case.length(SPARE_HEAD * max(lift, 0.0))}, {SPARE_HEAD:g} times the lift of {case.length(lift)}"
    basis = sheet_basis(station)
    if most >= SPARE_HEAD * lift - 1e-9:
        yield ok(
            where, "The pump keeps head to spare over the lift, worn as well.", figure=figure, limit=limit, basis=basis
        )
    elif most > lift:
        yield caution(
            where,
            f"Worn, the pump reaches {case.length(most)}; the lift from the lowest water is {case.length(lift)}.",
            figure=figure,
            limit=limit,
            advice="Take a pump with more head.",
            basis=basis,
        )
    else:
        yield fails(
            where,
            f"Worn, the pump reaches {case.length(most)}, not the {case.length(lift)} of lift: it will run and lift nothing.",
            figure=figure,
            limit=limit,
            advice="Take a pump with more head.",
            basis=basis,
        )


@rule("LFT-45", "Life of the pump's switch", SWITCH_SOURCE)
@each_station
def switch_wear(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Starts in a year by the likely ground water, beside those that the float's switch lasts.

    Every start is counted on one switch; rain adds to them for hours only.
    """
    if station.study is None or not station.reaches:
        return
    season, least = station.study.season, PUMP_YEARS[0]
    if isinf(season.likely_years):
        return
    pump = station.pump
    stated = pump.switch_starts is not None
    brings = (
        f"The likely ground water of a wet season of {season.days:.0f} days (assumed) makes "
        f"{starts_words(season.likely_starts * season.days)} a year"
    )
    lasts = f"{season.cycles:,} starts {'by its sheet' if stated else '(assumed)'}"
    worn = f"a switch that lasts {lasts} is worn out after {years_words(season.likely_years)}"
    figure, limit = years_words(season.likely_years), f"{least} years, when a pump is due to be replaced"
    basis = sheet_basis(station) if stated else Basis.ASSUMED
    if season.likely_years >= least:
        yield ok(where, f"{brings}; {worn}.", figure=figure, limit=limit, basis=basis)
    else:
        part = "the pump, whose float is built in," if pump.float_kind == "integral" else "the float's switch"
        yield caution(
            where,
            f"{brings}: {worn}, before the pump is due. Twice the water, or a high water table all year, wears it sooner.",
            figure=figure,
            limit=limit,
            advice=f"Set the floats farther apart or take a wider basin, let two pumps take turns, or replace {part} in "
            "that time.",
            basis=basis,
        )


def years_words(years: float) -> str:
    """``about 5 years``, ``more than 50 years``, ``less than a year``: rounded down, for a switch that wears."""
    if years > LONG:
        return f"more than {LONG:.0f} years"
    whole = int(years)
    return "less than a year" if whole < 1 else f"about {whole} year{'s' if whole > 1 else ''}"


def switch_life(station: LiftStation) -> str:
    """Years until the float's switch has made the starts that it lasts; empty where it hardly starts."""
    season = None if station.study is None else station.study.season
    if season is None or season.cycles_years > LONG:
        return ""
    known = (
        f"the usual highest class of endurance ({cite(SWITCH_SOURCE)})"
        if station.pump.switch_starts is None
        else "as its sheet says"
    )
    return (
        f"at that rate its switch has made {season.cycles:,} starts, {known}, after {years_words(season.cycles_years)}"
    )


__all__ = ["BUSY", "LITTLE_GAIN", "starts_words", "switch_life", "years_words"]
