"""The ways out of a designed system: its soakaways, and the ends of its pipes in the open."""

from __future__ import annotations

from dataclasses import replace

from drainwright.field.model import Site
from drainwright.system.model import System
from drainwright.system.outlets.ends import pipe_ends
from drainwright.system.outlets.outfalls import outfalls
from drainwright.system.outlets.soakaways import soakaways
from drainwright.water.model import Inflows


def with_ways_out(site: Site, inflows: Inflows, system: System) -> System:
    """The system with what becomes of its water where it leaves.

    Parameters
    ----------
    site, inflows, system : Site, Inflows, System
        The site, what comes, and the system as laid out.

    Returns
    -------
    System
        The same, with ``soaks``, ``outfalls`` and ``ends``, and the notes of the soakaways.

    Raises
    ------
    JobError
        If the overflow of a soakaway names no other discharge point.
    """
    soaks = soakaways(site, inflows, system)
    notes = (*system.notes, *(note for soak in soaks for note in soak.notes))
    falls, ends = outfalls(site, inflows, system), pipe_ends(site, system)
    return replace(system, soaks=soaks, outfalls=falls, ends=ends, notes=notes)


__all__ = ["with_ways_out"]
