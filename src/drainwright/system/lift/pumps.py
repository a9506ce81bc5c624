"""Pumps: those of the job and of the firm by their sheets, and generic ones for a job that names none.

The generic curves are of our own making, in the range of common submersible pumps. No data sheet stands behind them; a
paper that uses one says so, and the pump bought must be held to its own sheet.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from drainwright.hydraulics.pump import PumpCurve
from drainwright.job.works import Pump
from drainwright.system.model import PumpChoice

HORSEPOWER = 745.6998715822702  # mechanical [W]
GALLON_PER_MINUTE = 6.30901964e-5  # US [m³/s]
FOOT, INCH = 0.3048, 0.0254  # [m]
DEFAULT_STARTS = 10 / 3600.0  # dealers' rule 6 to 10 starts an hour; where no sheet says otherwise [1/s]
INTEGRAL_BAND = 0.1397  # on less off of an integral float, 4-1/2 to 6-1/2 in seen: 5-1/2 in [m]
WIDE_BAND = 0.254  # shortest practical swing of a tethered wide-angle float, common practice [m]
SETTABLE_FLOAT = 60.0  # what an adjustable float adds to the cost of an integral one [proxy]
COST_OF_LABEL = ((93.2, 150.0), (248.6, 230.0), (372.8, 320.0), (559.3, 480.0), (745.7, 650.0), (1491.4, 1250.0))
SHEET_ENDS_HIGH = 0.25  # a sheet whose last head is above this share of its shutoff leaves out the end of the curve [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class GenericPump:
    """An invented pump of the catalogue."""

    choice: PumpChoice
    cost: float  # only to rank alternatives; the price book has the price [proxy]
    price_key: str  # item of the price book


@dataclass(frozen=True, slots=True, kw_only=True)
class GenericUnit:
    """An invented battery unit: a pump of direct current."""

    choice: PumpChoice
    volts: float  # [V]
    current: float  # drawn at the battery while it runs [A]


# label, kind, power [hp], flows [gpm], heads [ft], discharge, largest solids [in], cost proxy
_ROWS: tuple[tuple[str, str, float, tuple[float, ...], tuple[float, ...], str, float, float], ...] = (
    ("1/6 hp", "", 1.0 / 6.0, (0.0, 8.0, 16.0, 24.0, 32.0), (18.0, 15.0, 11.0, 6.0, 1.0), "1-1/4 in", 0.375, 150.0),
    ("1/4 hp", "", 0.25, (0.0, 10.0, 20.0, 30.0, 40.0), (21.0, 18.5, 14.5, 9.0, 1.5), "1-1/2 in", 0.5, 180.0),
    ("1/3 hp", "", 1.0 / 3.0, (0.0, 15.0, 30.0, 40.0, 52.0), (25.0, 21.5, 15.5, 10.0, 1.5), "1-1/2 in", 0.5, 230.0),
    ("1/2 hp", "", 0.5, (0.0, 20.0, 40.0, 60.0, 75.0), (33.0, 28.5, 21.0, 11.0, 1.5), "1-1/2 in", 0.5, 320.0),
    ("3/4 hp", "", 0.75, (0.0, 25.0, 50.0, 75.0, 100.0), (42.0, 37.0, 28.5, 16.5, 2.0), "2 in", 0.5, 480.0),
    ("1 hp", "", 1.0, (0.0, 30.0, 60.0, 90.0, 125.0), (52.0, 46.0, 36.0, 23.0, 2.0), "2 in", 0.75, 650.0),
    ("1-1/2 hp", "", 1.5, (0.0, 40.0, 80.0, 120.0, 160.0), (58.0, 51.0, 39.0, 24.0, 2.5), "2 in", 0.75, 980.0),
    ("2 hp", "", 2.0, (0.0, 50.0, 100.0, 150.0, 200.0), (66.0, 57.0, 43.0, 27.0, 3.0), "3 in", 0.75, 1250.0),
    ("1/2 hp", " high-flow", 0.5, (0.0, 40.0, 70.0, 100.0, 125.0), (20.0, 16.5, 12.0, 6.5, 1.5), "2 in", 0.75, 430.0),
    ("1 hp", " high-flow", 1.0, (0.0, 60.0, 120.0, 180.0, 230.0), (29.0, 25.0, 17.5, 9.5, 2.0), "3 in", 0.75, 850.0),
    ("2 hp", " high-flow", 2.0, (0.0, 100.0, 200.0, 300.0, 380.0), (36.0, 30.0, 21.0, 12.0, 2.5), "3 in", 1.0, 1500.0),
    (
        "1/2 hp",
        " high-head",
        0.5,
        (0.0, 8.0, 16.0, 24.0, 30.0),
        (60.0, 54.0, 43.0, 27.0, 5.0),
        "1-1/4 in",
        0.125,
        520.0,
    ),
    ("1 hp", " high-head", 1.0, (0.0, 10.0, 20.0, 30.0, 40.0), (95.0, 86.0, 70.0, 45.0, 8.0), "1-1/4 in", 0.125, 880.0),
)
# current [A], flows [gpm], heads [ft], discharge: of 12 V units, low flow at any head that matters
_UNITS: tuple[tuple[float, tuple[float, ...], tuple[float, ...], str], ...] = (
    (9.0, (0.0, 6.0, 12.0, 18.0, 24.0), (14.0, 12.0, 9.0, 5.0, 0.5), "1-1/4 in"),
    (16.0, (0.0, 9.0, 18.0, 27.0, 36.0), (18.0, 15.5, 11.5, 6.5, 0.5), "1-1/2 in"),
    (28.0, (0.0, 13.0, 26.0, 39.0, 52.0), (24.0, 21.0, 15.5, 8.5, 1.0), "1-1/2 in"),
)


def _curve(flows: Iterable[float], heads: Iterable[float]) -> PumpCurve:
    return PumpCurve(
        flows=tuple(flow * GALLON_PER_MINUTE for flow in flows), heads=tuple(head * FOOT for head in heads)
    )


def _generic() -> tuple[GenericPump, ...]:
    pumps = []
    for label, kind, power, flows, heads, size, solids, cost in _ROWS:
        for float_kind, band, extra in (("integral", INTEGRAL_BAND, 0.0), ("adjustable", None, SETTABLE_FLOAT)):
            choice = PumpChoice(
                name=f"generic {label}{kind}, {float_kind} float",
                curve=_curve(flows, heads),
                label_power=power * HORSEPOWER,
                float_kind="integral" if float_kind == "integral" else "adjustable",
                float_band=band,
                minimum_depth=0.0762,
                discharge_size=size,
                starts_limit=DEFAULT_STARTS,
                chosen_by="design",
                solids=solids * INCH,
            )
            key = f"pump.{label.replace(' ', '')}.{float_kind}"
            pumps.append(GenericPump(choice=choice, cost=cost + extra, price_key=key))
    return tuple(pumps)


def _units() -> tuple[GenericUnit, ...]:
    return tuple(
        GenericUnit(
            choice=PumpChoice(
                name=f"generic 12 V unit, {current:g} A",
                curve=_curve(flows, heads),
                label_power=None,
                float_kind="adjustable",
                float_band=None,
                minimum_depth=0.0762,
                discharge_size=size,
                starts_limit=DEFAULT_STARTS,
                chosen_by="design",
                solids=0.375 * INCH,
                input_power=12.0 * current,
            ),
            volts=12.0,
            current=current,
        )
        for current, flows, heads, size in _UNITS
    )


#: The invented pumps: the common kind by power, then high-flow and high-head ones.
GENERIC_PUMPS: tuple[GenericPump, ...] = _generic()
#: Invented battery units, the weakest first; the currents within what is seen of such units (8 to 40 A).
GENERIC_UNITS: tuple[GenericUnit, ...] = _units()


def pump_of_job(pump: Pump) -> PumpChoice:
    """A pump of the job document, by its data sheet, as the design uses it.

    Parameters
    ----------
    pump : Pump
        The job's pump. Points are put in order of flow; a sheet whose first point is not at zero flow keeps its
        first head as the shutoff head.

    Returns
    -------
    PumpChoice
        The pump, ``chosen_by`` the job.

    Raises
    ------
    InputError
        If the points do not make a curve: heads must fall as the flow rises.
    """
    points = sorted((point.flow, point.head) for point in pump.curve)
    if points[0][0] > 0.0:
        points.insert(0, (0.0, points[0][1] * 1.000001))
    band = pump.float_band
    if band is None and pump.float_kind == "integral":
        band = INTEGRAL_BAND
    return PumpChoice(
        name=pump.name,
        curve=PumpCurve(flows=tuple(flow for flow, _ in points), heads=tuple(head for _, head in points)),
        label_power=pump.label_power,
        float_kind=pump.float_kind,
        float_band=band,
        minimum_depth=pump.minimum_depth,
        discharge_size=pump.discharge_size,
        starts_limit=pump.starts_limit if pump.starts_limit is not None else DEFAULT_STARTS,
        chosen_by="job",
        solids=pump.solids,
        input_power=pump.input_power,
        price=pump.price,
        switch_starts=pump.switch_starts,
    )


def pump_cost(pump: Pump) -> float:
    """What a firm's pump counts for when pumps are ranked: its price, else that of its label or of its curve [proxy].

    The proxy of a sheet without price or label is that of the label which such a curve usually bears: twice the most
    that it does to the water (common practice, no source).
    """
    import numpy as np

    if pump.price is not None:
        return float(pump.price)
    power = float(pump.label_power or 2.0 * max(9806.65 * point.flow * point.head for point in pump.curve))
    labels, costs = zip(*COST_OF_LABEL, strict=True)
    extra = SETTABLE_FLOAT if pump.float_kind != "integral" else 0.0
    between = float(np.interp(power, labels, costs))
    return between * max(power / float(labels[-1]), 1.0) + extra


def sheet_notes(pump: Pump) -> tuple[str, ...]:
    """What is thin about a pump's data sheet, in words: no shutoff head, two points only, an end that is left out."""
    flows = sorted({point.flow for point in pump.curve})
    heads = sorted({point.head for point in pump.curve})
    notes = []
    if flows[0] > 0.0:
        notes.append("the pump's sheet gives no shutoff head; its highest head is taken for it.")
    if len(flows) == 2:
        notes.append("the pump's sheet has two points only; a straight line is taken between them, real curves bend.")
    if heads[0] > SHEET_ENDS_HIGH * heads[-1]:
        notes.append("the pump's sheet ends well above no head; flows beyond its last point are not known.")
    return tuple(notes)


__all__ = [
    "DEFAULT_STARTS", "GENERIC_PUMPS", "GENERIC_UNITS", "INTEGRAL_BAND", "WIDE_BAND", "GenericPump", "GenericUnit",
    "pump_cost", "pump_of_job", "sheet_notes",
]  # fmt: skip
