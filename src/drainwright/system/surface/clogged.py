"""What enters the network with clogged grates: what one lets pass comes in at the next, and is designed for there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from drainwright.field.model import Site
from drainwright.quantities import percent, write
from drainwright.system.flows import Causes
from drainwright.system.network import Network
from drainwright.system.surface.carry_over import Group, Passed, Way
from drainwright.system.surface.grates import Grated, grate_of, passed_by, runs_on


@dataclass(frozen=True, slots=True, kw_only=True)
class Clogged:
    """What enters with the grates clogged as the criteria say, reckoned before any pipe is known."""

    entries: Mapping[str, Causes]  # all entries, those of the grates as they take it [m³/s]
    passed: Mapping[str, Passed]  # by the grates' names
    follow: Callable[[Group], Way]  # where water runs to that leaves a grate

    def notes(self, site: Site) -> tuple[str, ...]:
        """What runs on from grate to grate, in words, and what is sized for it."""
        units = site.job.units
        clogging = site.job.criteria.grate_clogging
        said = []
        for name, item in self.passed.items():
            if item.to != "inlet":
                continue
            takes, flow = write(sum(item.takes.values()), "flow", units), write(item.flow, "flow", units)
            text = (
                f"{name}: with {percent(clogging)} of its grate clogged it takes {takes} of {flow}; "
                f"{write(item.carried, 'flow', units)} runs on to {item.name}, and what leads on from {item.name} is "
                "sized for what its grate takes of that."
            )
            own = item.flow - item.received
            if own > sum(item.takes.values()):
                text += (
                    f" The pipe below {name} is sized for all of {write(own, 'flow', units)} that comes to it first, "
                    "for its grate may be clean."
                )
            said.append(text)
        return tuple(said)


def with_clogged_grates(site: Site, network: Network, at: Mapping[str, Causes]) -> Clogged:
    """What enters where grates take no more than their ground and their clogging allow.

    Parameters
    ----------
    site : Site
        With the ground's shape and the criteria.
    network : Network
        Complete.
    at : mapping
        What comes to each entry. [m³/s]

    Returns
    -------
    Clogged
        Water below a grate does not stand in its way here: whether it does is judged when the pipes are known.
    """
    inlets = {inlet.name: inlet for inlet in site.job.works.inlets}
    grated = {}
    for name, spot in network.spots.items():
        grate = grate_of(inlets.get(name)) if spot.kind == "inlet" and network.leaving(name) is not None else None
        if grate is not None:
            grated[name] = Grated(grate=grate, at=spot.at, rim=spot.rim, comes=at.get(name, {}))
    follow = runs_on(site, {name: item.at for name, item in grated.items()})
    passed = passed_by(site, grated, follow)
    return Clogged(entries={**at, **{name: item.takes for name, item in passed.items()}}, passed=passed, follow=follow)


__all__ = ["Clogged", "with_clogged_grates"]
