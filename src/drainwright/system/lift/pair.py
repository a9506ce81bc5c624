"""Two pumps on one discharge line: each alone, both together, and taking turns."""

from __future__ import annotations

from drainwright.hydraulics.pump import PumpCurve, operating_point_parallel
from drainwright.hydraulics.wetwell import most_starts_per_hour, starts_per_hour
from drainwright.system.lift.duty import at_level
from drainwright.system.lift.pressure_line import PressureLine
from drainwright.system.lift.pump_model import PumpPair
from drainwright.system.model import PumpChoice

STEPS = 120  # between the heads of a curve that two pumps share [-]


def together(first: PumpCurve, second: PumpCurve) -> PumpCurve:
    """The curve of two pumps side by side: at each head their flows added.

    Parameters
    ----------
    first, second : PumpCurve
        Each behind its own check valve; one too weak for a head gives nothing there.

    Returns
    -------
    PumpCurve
        From the greater shutoff head down to the lower of their last heads; one whose sheet ends before keeps its
        last flow.

    Examples
    --------
    >>> one = PumpCurve(flows=(0.0, 0.002), heads=(9.0, 1.0))
    >>> round(together(one, one).flow(5.0) / one.flow(5.0), 6)
    2.0
    """
    if first == second:
        return first.scaled(flow_ratio=2.0)
    high, low = max(first.shutoff, second.shutoff), min(first.heads[-1], second.heads[-1])
    known = {*first.heads, *second.heads, *(low + (high - low) * step / STEPS for step in range(STEPS + 1))}
    heads = sorted((head for head in known if low <= head <= high), reverse=True)
    heads = [head for head, above in zip(heads[1:], heads, strict=False) if above - head > 1e-6 * high]
    flows = [0.0, *(first.flow(head) + second.flow(head) for head in heads)]
    return PumpCurve(flows=tuple(flows), heads=(high, *heads))


def pump_pair(
    first: PumpChoice,
    second: PumpChoice,
    line: PressureLine,
    level: float,
    floor: float,
    volume: float,
    inflow: float,
) -> PumpPair:
    """Lead and standby on one line, each behind its own check valve.

    Parameters
    ----------
    first, second : PumpChoice
        The pumps; the same one twice for a pair of one make.
    line : PressureLine
        The discharge line that they share.
    level, floor : float
        Water in the basin and its floor. [m]
    volume : float
        Between on and off. [m³]
    inflow : float
        Design inflow. [m³/s]

    Returns
    -------
    PumpPair
        Flows alone and together. Where the pumps take turns each makes half of the starts (US Army EI 11C201 halves
        the volume for two alternating identical pumps); with two makes the starts are those of the stronger.
    """
    alone = [at_level(pump.curve, line, level, floor).flow for pump in (first, second)]
    both = operating_point_parallel((first.curve, second.curve), line.curve(level, floor, pumps=2))
    most = max(alone)
    starts = design = 0.0
    if most > 0.0 and volume > 0.0:
        starts = float(most_starts_per_hour(volume, most)) / 3600.0
        design = float(starts_per_hour(volume, most, inflow)) / 3600.0
    return PumpPair(
        second=second,
        alike=first.curve == second.curve,
        second_flow=alone[1],
        both_flow=both.flow,
        both_head=both.head,
        flows=(both.flows[0], both.flows[1]),
        gain=both.flow / most - 1.0 if most > 0.0 else 0.0,
        starts_each=starts / 2.0,
        starts_each_design=design / 2.0,
    )


__all__ = ["pump_pair", "together"]
