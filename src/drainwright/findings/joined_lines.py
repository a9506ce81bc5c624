"""Check of the lines there already that the job's ways out join."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.system.model import JoinedCapacity


@rule("OUT-06", "Capacity of the line that is joined", "manning_1891")
def joined(case: Case) -> Iterator[Outcome]:
    """The line that the pumped flow joins must carry it together with what else it takes; so must one joined elsewhere."""
    if case.system.joined is not None:
        yield from _carries(case, case.system.discharge, case.system.joined, case.system.second_pump_more)
    for outlet, line in case.system.joints.items():
        yield from _carries(case, outlet, line, None)


def _carries(case: Case, outlet: str, line: JoinedCapacity, more: float | None) -> Iterator[Outcome]:
    """Whether a line carries all; ``more`` is what a second pump brings beside the first, None: nothing is pumped. [m³/s]"""
    where = f"works.discharge.{outlet}.joins"
    figure, limit = case.flow(line.load), case.flow(line.capacity)
    parts = f"{'from here' if more is None else 'pumped'} {case.flow(line.pumped)}"
    if line.shared:
        parts += f", from here at {listed(line.shared)} too {case.flow(line.beside)}"
    parts += f", roof {case.flow(line.roof)}"
    if line.other > 0:
        parts += f", other {case.flow(line.other)}"
    if line.load > line.capacity:
        yield fails(
            where,
            f"The line that is joined ({line.name}) runs full at {limit}, but takes {figure} at once ({parts}).",
            figure=figure,
            limit=limit,
            advice="Give this water its own line, take the roof water elsewhere, or lay the joined line larger.",
            basis=line.basis,
        )
    elif more and line.load + more > line.capacity:
        yield caution(
            where,
            f"The line that is joined ({line.name}) carries it all with one pump ({parts}), but runs full when both run: they "
            f"bring {case.flow(more)} more.",
            figure=case.flow(line.load + more),
            limit=limit,
            advice="Let the second pump be a standby that cannot run beside the first, or give it a line of its own.",
            basis=line.basis,
        )
    elif line.load > 0.9 * line.capacity:
        yield caution(
            where,
            f"The line that is joined ({line.name}) is nearly full {'' if more is None else 'when the pump runs '}in the design "
            f"rain ({parts}).",
            figure=figure,
            limit=limit,
            advice="Check its fall and inside with a camera before it is relied on.",
            basis=line.basis,
        )
    else:
        text = f"The line that is joined ({line.name}) carries it all ({parts})."
        yield ok(where, text, figure=figure, limit=limit, basis=line.basis)


__all__ = ["joined"]
