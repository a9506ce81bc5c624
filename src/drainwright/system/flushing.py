"""From where a gravity line is flushed: its own cleanouts, or the first thing that opens above it."""

from __future__ import annotations

from drainwright.system.model import System

OPENS = ("inlet", "downspout")


def flushed_from(system: System, name: str) -> str:
    """``through its cleanouts``, ``from CB3``, ``through the cleanouts of YD3`` or ``from its upper end``.

    Parameters
    ----------
    system : System
        With its cleanouts placed.
    name : str
        A gravity run of it.

    Returns
    -------
    str
        The nearest way in, up the water; of several as near, the first drawn.
    """
    fitted = {place.run for place in system.cleanouts if place.fitted}
    if name in fitted:
        return "through its cleanouts"
    here, seen = [system.run(name).upper], set[str]()
    while here:
        for node in here:
            if system.nodes[node].kind in OPENS:
                return f"from {node}"
        seen.update(here)
        above = [run for run in system.runs if run.lower in here and not run.pressure]
        if clean := next((run.name for run in above if run.name in fitted), None):
            return f"through the cleanouts of {clean}"
        here = [run.upper for run in above if run.upper not in seen]
    return "from its upper end"


__all__ = ["flushed_from"]
