"""Generic pumps for a job that names none: curves of our own making, in the range of common submersible pumps.

No data sheet stands behind them; a paper that uses one says so, and the pump bought must be held to its own sheet.
"""

from __future__ import annotations

from dataclasses import dataclass

from drainwright.hydraulics.pump import PumpCurve
from drainwright.job.works import Pump
from drainwright.system.model import PumpChoice

HORSEPOWER = 745.6998715822702  # mechanical [W]
GALLON_PER_MINUTE = 6.30901964e-5  # US [m³/s]
FOOT = 0.3048  # [m]
DEFAULT_STARTS = 10 / 3600.0  # dealers' rule 6 to 10 starts an hour; where no sheet says otherwise [1/s]
INTEGRAL_BAND = 0.1397  # on less off of an integral float, 4-1/2 to 6-1/2 in seen: 5-1/2 in [m]
WIDE_BAND = 0.254  # shortest practical swing of a tethered wide-angle float, common practice [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class GenericPump:
    """An invented pump of the catalogue."""

    choice: PumpChoice
    cost: float  # only to rank alternatives; the price book has the price [proxy]
    price_key: str  # item of the price book


# name, label [hp], flows [gpm], heads [ft], discharge, cost proxy
_ROWS: tuple[tuple[str, float, tuple[float, ...], tuple[float, ...], str, float], ...] = (
    ("1/4 hp", 0.25, (0.0, 10.0, 20.0, 30.0, 40.0), (21.0, 18.5, 14.5, 9.0, 1.5), "1-1/2 in", 180.0),
    ("1/3 hp", 1.0 / 3.0, (0.0, 15.0, 30.0, 40.0, 52.0), (25.0, 21.5, 15.5, 10.0, 1.5), "1-1/2 in", 230.0),
    ("1/2 hp", 0.5, (0.0, 20.0, 40.0, 60.0, 75.0), (33.0, 28.5, 21.0, 11.0, 1.5), "1-1/2 in", 320.0),
    ("3/4 hp", 0.75, (0.0, 25.0, 50.0, 75.0, 100.0), (42.0, 37.0, 28.5, 16.5, 2.0), "2 in", 480.0),
    ("1 hp", 1.0, (0.0, 30.0, 60.0, 90.0, 125.0), (52.0, 46.0, 36.0, 23.0, 2.0), "2 in", 650.0),
)


def _generic() -> tuple[GenericPump, ...]:
    pumps = []
    for name, label, flows, heads, size, cost in _ROWS:
        curve = PumpCurve(
            flows=tuple(flow * GALLON_PER_MINUTE for flow in flows), heads=tuple(head * FOOT for head in heads)
        )
        for kind, band, extra in (("integral", INTEGRAL_BAND, 0.0), ("adjustable", None, 60.0)):
            choice = PumpChoice(
                name=f"generic {name}, {kind} float",
                curve=curve,
                label_power=label * HORSEPOWER,
                float_kind="integral" if kind == "integral" else "adjustable",
                float_band=band,
                minimum_depth=0.0762,
                discharge_size=size,
                starts_limit=DEFAULT_STARTS,
                chosen_by="design",
            )
            pumps.append(
                GenericPump(choice=choice, cost=cost + extra, price_key=f"pump.{name.replace(' ', '')}.{kind}")
            )
    return tuple(pumps)


#: The invented pumps, cheapest of a size first.
GENERIC_PUMPS: tuple[GenericPump, ...] = _generic()


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
    )


__all__ = [
    "DEFAULT_STARTS", "GENERIC_PUMPS", "INTEGRAL_BAND", "WIDE_BAND", "GenericPump", "pump_of_job",
]  # fmt: skip
