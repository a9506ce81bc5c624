"""Checks of the pump: its duty, its starts, its floats, its piping."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import basin_of, each_station
from drainwright.job.values import Basis
from drainwright.quantities import percent, write
from drainwright.system.model import LiftStation
from drainwright.system.trade import nominal_words

INCH = 0.0254


def sheet_basis(station: LiftStation) -> Basis:
    """How the pump's curve is known: by its sheet, or as a generic pump that nobody has bought yet."""
    return Basis.STATED if station.pump.chosen_by != "design" else Basis.ASSUMED


def real_starts(station: LiftStation) -> float:
    """Most starts that inflows up to the design inflow give: fewer than at half the pump's rate where that never comes.

    [1/s]
    """
    return station.starts if station.inflow >= station.operating_flow / 2 else station.starts_design


@rule("LFT-01", "The pump's duty against the storm", "sump_extension")
@each_station
def duty(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """What the pump delivers at this lift and length, not what its label says."""
    if not station.reaches:
        return
    wanted = station.inflow * case.job.criteria.pump_margin
    figure = case.flow(station.operating_flow)
    limit = f"{case.flow(wanted)} ({case.job.criteria.pump_margin:g} x the peak inflow {case.flow(station.inflow)})"
    label, basis = "", case.water_basis
    if station.pump.label_power is not None:
        label = f", whatever its label of {write(station.pump.label_power, 'power', case.job.units)} promises"
    if station.operating_flow >= wanted * (1 - 1e-6):
        text = "The pump takes the design rain with its margin."
        yield ok(where, text, figure=figure, limit=limit, basis=basis)
    elif station.operating_flow >= station.inflow:
        yield caution(
            where,
            f"The pump delivers {figure} here{label}: above the peak inflow, but without the margin wanted for wear.",
            figure=figure,
            limit=limit,
            basis=basis,
            advice="Take the next pump, a larger discharge line, or lead roof water elsewhere.",
        )
    else:
        yield fails(
            where,
            f"The pump delivers {figure} at this lift and length{label}; the design rain brings {case.flow(station.inflow)}.",
            figure=figure,
            limit=limit,
            basis=basis,
            advice="Take a pump whose curve passes through the wanted flow at this head, or keep roof water out of the basin.",
        )


@rule("LFT-02", "The pump reaches the outlet", "ttu_3305")
@each_station
def reaches(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A pump whose greatest head is below the lift moves nothing."""
    most = float(station.pump.curve.shutoff)
    figure, limit = f"{case.length(most)} of head", f"more than {case.length(station.static_head)}"
    if station.reaches:
        text = "The pump lifts the water to the way out."
        yield ok(where, text, figure=figure, limit=limit, basis=sheet_basis(station))
    else:
        yield fails(
            where,
            f"The pump's greatest head is {case.length(most)}; the water must be lifted {case.length(station.static_head)}.",
            figure=figure,
            limit=limit,
            advice="Take a pump with more head.",
            basis=sheet_basis(station),
        )


@rule("LFT-03", "Starts per hour", "mil_hdbk_1005")
@each_station
def starts(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Starts as they really are, from the volume between the floats.

    The worst inflow is half of what the pump delivers. Where the design rain brings less, its own starts are judged,
    and the worst is told.
    """
    if not station.reaches:
        return
    most, sheet = case.job.criteria.maximum_starts, station.pump.starts_limit
    lowest = min(most, sheet)
    worst = f"{station.starts * 3600:.0f} times an hour"
    if station.inflow >= station.operating_flow:
        rain = "it never stops in the design rain"
    else:
        rain = f"in the design rain {station.starts_design * 3600:.0f}"
    figure = f"{station.starts * 3600:.0f} an hour at the worst inflow ({rain})"
    limit = f"{most * 3600:.0f} an hour" + (f", {sheet * 3600:.0f} by the pump's sheet" if sheet != most else "")
    wanted = case.volume(station.operating_flow / (4 * lowest))
    advice = f"Give it {wanted} between the floats: set them farther apart, or take a wider basin."
    slack = 1 + 1e-6
    if station.starts <= lowest * slack:
        yield ok(where, "The pump starts seldom enough.", figure=figure, limit=limit, basis=sheet_basis(station))
    elif real_starts(station) > sheet * slack:
        yield fails(
            where,
            f"The pump would start {worst} at the worst inflow: only {case.volume(station.band_volume)} lie between its "
            "floats.",
            figure=figure,
            limit=limit,
            advice=advice,
            basis=sheet_basis(station),
        )
    elif real_starts(station) > most * slack:
        yield caution(
            where,
            f"The pump would start {worst} when water comes at half its rate; its sheet allows {sheet * 3600:.0f}.",
            figure=figure,
            limit=limit,
            advice=advice,
            basis=sheet_basis(station),
        )
    else:
        yield caution(
            where,
            f"The pump would start {worst} if water came at half its rate, which the design rain does not bring.",
            figure=figure,
            limit=limit,
            advice=f"Let it be, or give it {wanted} between the floats.",
            basis=case.water_basis,
        )


@rule("LFT-04", "Integral float in a narrow basin", "cycle_rules")
@each_station
def integral_float(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """An integral float's band is fixed; a deeper basin does not widen it."""
    band, least, width = station.on - station.off, 6 * INCH, 24 * INCH
    figure = (
        f"{case.small(band)} in a basin {case.small(station.inside_diameter)} wide, {case.volume(station.band_volume)}"
    )
    limit = f"{case.small(least)} or more, in a basin {case.small(width)} wide or more"
    if station.pump.float_kind != "integral":
        yield ok(where, "The float levels can be set.", figure=figure, limit="a float that can be set")
        return
    narrow = station.inside_diameter < width - 1e-6
    if band < least - 1e-9 or narrow:
        severity = fails if real_starts(station) > case.job.criteria.maximum_starts * (1 + 1e-6) else caution
        wider = f", and a basin {case.small(width)} wide or more" if narrow else ""
        yield severity(
            where,
            f"The pump's own float works over {case.small(band)} only, in a basin {case.small(station.inside_diameter)} "
            f"wide: {case.volume(station.band_volume)} a run. Digging the basin deeper will not change that.",
            figure=figure,
            limit=limit,
            advice=f"Use a wide-angle or an adjustable float{wider}.",
        )
    else:
        yield ok(where, "The integral float's band is wide enough here.", figure=figure, limit=limit)


@rule("LFT-05", "Length of one run", "cycle_rules")
@each_station
def run_time(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A pump should run a minute at a time; its shortest runs are those with little inflow."""
    if not station.reaches:
        return
    seconds = station.band_volume / station.operating_flow
    least = case.job.criteria.minimum_run
    figure, limit = f"{seconds:.0f} s with little inflow", f"{least:.0f} s or more"
    if seconds >= least * (1 - 1e-6):
        yield ok(where, "The pump runs long enough at a time.", figure=figure, limit=limit, basis=sheet_basis(station))
    else:
        wanted = case.volume(station.operating_flow * least)
        yield caution(
            where,
            f"The pump empties its band in {seconds:.0f} s.",
            figure=figure,
            limit=limit,
            advice=f"Give it {wanted} between the floats: set them farther apart, or take a wider basin.",
            basis=sheet_basis(station),
        )


@rule("LFT-06", "Speed in the discharge line", "common_practice")
@each_station
def discharge_speed(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Fast enough to carry grit and shut the check valve, slow enough not to waste head."""
    if not station.reaches:
        return
    low, high = case.job.criteria.minimum_velocity, case.job.criteria.maximum_velocity
    figure, limit = case.speed(station.velocity), f"{case.speed(low)} to {case.speed(high)}"
    where = f"works.runs.{station.discharge_run}"
    if station.velocity < low:
        yield fails(
            where,
            f"Water moves at {figure} in the discharge line: grit stays in it and the check valve chatters.",
            figure=figure,
            limit=limit,
            advice="Lay a smaller discharge line.",
        )
    elif station.velocity > high:
        yield fails(
            where,
            f"Water moves at {figure} in the discharge line: most of the pump's head is lost in it.",
            figure=figure,
            limit=limit,
            advice="Lay a larger discharge line.",
        )
    else:
        yield ok(where, "The speed in the discharge line is right.", figure=figure, limit=limit)


@rule("LFT-07", "Check valve", "chicago_plumbing")
@each_station
def check_valve(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Each pump has its check valve."""
    basin = basin_of(case, station.name)
    if basin is not None and not basin.check_valve:
        yield fails(
            where,
            "No check valve is fitted: after each run the line empties into the basin, and the pump lifts the same water "
            "again.",
            figure="no check valve",
            limit="a full-flow check valve",
            advice="Fit one on a union, where a hand reaches it.",
        )
    else:
        yield ok(where, "A check valve is fitted.", figure="a check valve", limit="a full-flow check valve")


@rule("LFT-08", "Relief hole", "common_practice")
@each_station
def relief_hole(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A 3/16 in hole above the pump's port and below the check valve lets trapped air out."""
    basin = basin_of(case, station.name)
    size = 0.1875 * INCH if basin is None else basin.relief_hole
    place = "below the check valve" if basin is None else basin.relief_hole_place
    usual = case.bore("3/16", "5")
    limit = f"{case.bore('1/8 to 1/4', '3 to 6')}, above the pump's port, below the check valve, inside the basin"
    if size is None:
        yield fails(
            where,
            "No relief hole: air caught under the check valve can keep the pump from lifting.",
            figure="no hole",
            limit=limit,
            advice=f"Drill {usual} just above the pump's port, aimed down at 45 degrees into the basin; squirting is normal.",
        )
    elif place != "below the check valve":
        yield fails(
            where,
            f"The relief hole lies {place}: there it "
            + (
                "sprays water onto the ground whenever the pump runs."
                if place == "outside the basin"
                else "lets no air out of the pump, and empties the line into the basin after each run."
            ),
            figure=place,
            limit=limit,
            advice=f"Close it and drill {usual} just above the pump's port, inside the basin, aimed down.",
        )
    elif not 0.124 * INCH <= size <= 0.251 * INCH:
        shown = write(size, "length", case.job.units, "in" if case.job.units == "US" else "mm", 2)
        yield caution(
            where,
            f"A relief hole of {shown} is out of the usual range.",
            figure=shown,
            limit=limit,
            advice=f"Follow the pump's sheet; {usual} is usual.",
        )
    else:
        yield ok(where, "The relief hole is in its place.", figure=place, limit=limit)


@rule("LFT-14", "Water that drains back", "common_practice")
@each_station
def drain_back(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """What comes back after a run is pumped again in the next."""
    share = station.drain_back / station.band_volume
    figure = f"{case.volume(station.drain_back)} of {case.volume(station.band_volume)} between the floats"
    limit = "a quarter of it or less"
    if share <= 0.25:
        yield ok(where, "Little water drains back after a run.", figure=figure, limit=limit)
    else:
        basin = basin_of(case, station.name)
        holed = basin is not None and basin.check_valve and basin.relief_hole_place == "above the check valve"
        yield fails(
            where,
            f"{percent(share)} of each run's water comes back when the pump stops.",
            figure=figure,
            limit=limit,
            advice="Close the hole above the check valve."
            if holed
            else "Fit a check valve close to the pump, and more volume between the floats.",
        )


@rule("LFT-17", "Discharge line not smaller than the pump's port", "chicago_plumbing")
@each_station
def port(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """The line is at least as large as the pump's own discharge."""
    run = case.system.run(station.discharge_run)
    size = nominal_inches(station.pump.discharge_size)
    laid = nominal_inches(run.pipe.nominal)
    if not (isfinite(size) and isfinite(laid)):
        return
    where = f"works.runs.{run.name}"
    line, outlet = (nominal_words(text, case.job.units) for text in (run.pipe.nominal, station.pump.discharge_size))
    if laid >= size - 1e-9:
        yield ok(
            where,
            "The line is as large as the pump's port.",
            figure=line,
            limit=outlet,
        )
    else:
        yield fails(
            where,
            f"The discharge line ({line}) is smaller than the pump's port ({outlet}).",
            figure=line,
            limit=outlet,
            advice="Lay the line in the port's size or larger.",
        )


def nominal_inches(text: str) -> float:
    """Read a nominal size such as ``1-1/2 in``; not a number where it cannot be read."""
    from drainwright.quantities import QuantityError, parse

    try:
        return parse(text, "length") / INCH
    except QuantityError:
        return float("nan")


__all__ = ["INCH", "nominal_inches", "real_starts", "sheet_basis"]
