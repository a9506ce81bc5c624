"""What grates let pass, from grate to grate: reckoned from ground and grates alone, before any pipe is known."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from drainwright.system.flows import Causes, summed
from drainwright.system.surface.water_model import CarriedTo
from drainwright.water.model import Cause

NOTHING = 1e-9  # less than this runs nowhere [m³/s]
Group: TypeAlias = tuple[str, ...]  # grates over one pond, by name
Way: TypeAlias = tuple[CarriedTo, str]  # where water runs to, and its name


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """Water over one grate."""

    comes: Causes  # over the ground, with what other grates let pass [m³/s]
    received: float  # of that, what other grates let pass [m³/s]
    takes: Causes  # [m³/s]
    carried: float  # that runs on [m³/s]
    to: CarriedTo | None  # None: nothing runs on
    name: str  # of the grate, side, walls or low spot that it runs to; empty where not known

    @property
    def flow(self) -> float:
        """All that comes [m³/s]."""
        return sum(self.comes.values())


def pass_on(own: Mapping[str, Causes], most: Mapping[str, float], follow: Callable[[Group], Way]) -> dict[str, Passed]:
    """What each grate takes, and what runs on to the next.

    Parameters
    ----------
    own : mapping
        Flow of each cause that comes to each grate over the ground of its own. [m³/s]
    most : mapping
        The most that each takes at the depth that its ground holds. [m³/s]
    follow : callable
        Where water goes that leaves a grate; for several grates, where it goes that leaves all of them.

    Returns
    -------
    mapping
        By the grate's name. What is taken and what leaves the grates for good is all that comes, cause by cause: a
        grate takes of each cause the share that it takes of all.

    Notes
    -----
    Grates between which water would run in a ring stand in one pond: what one of them cannot take the others take if
    they can, and the rest leaves them all together.
    """
    groups: list[Group] = [(name,) for name in own]
    while True:
        found, onward = _settled(groups, own, most, follow)
        ring = _ring(onward)
        if not ring:
            return found
        one = tuple(sorted(name for group in ring for name in group))
        groups = [*(group for group in groups if group not in ring), one]


def _settled(
    groups: Sequence[Group], own: Mapping[str, Causes], most: Mapping[str, float], follow: Callable[[Group], Way]
) -> tuple[dict[str, Passed], dict[Group, Group]]:
    """The water over all grates once what runs on has come where it goes; and which groups it runs between."""
    home = {name: group for group in groups for name in group}
    arrived: dict[str, Causes] = {name: summed() for name in own}
    found: dict[str, Passed] = {}
    onward: dict[Group, Group] = {}
    for _ in range(len(groups) + 1):  # a chain of all groups is settled by then
        coming: dict[str, Causes] = {name: summed() for name in own}
        for group in groups:
            left, way = _over_pond(group, own, arrived, most, follow, found)
            if way is not None and way[0] == "inlet" and home.get(way[1], group) != group:
                coming[way[1]] = summed(coming[way[1]], left)
                onward[group] = home[way[1]]
        if coming == arrived:
            break
        arrived = coming
    return found, onward


def _over_pond(
    group: Group,
    own: Mapping[str, Causes],
    arrived: Mapping[str, Causes],
    most: Mapping[str, float],
    follow: Callable[[Group], Way],
    found: dict[str, Passed],
) -> tuple[Causes, Way | None]:
    """Let the grates of one pond take what they can; what leaves the pond, and where it goes."""

    def spare(name: str) -> float:
        return most[name] - sum(summed(own[name], arrived[name]).values())

    left: Causes = summed()
    way: Way | None = None
    ordered = sorted(group, key=lambda name: (spare(name), name))  # the fullest first: the others have room for it
    for number, name in enumerate(ordered):
        received = sum(arrived[name].values()) + sum(left.values())
        comes = summed(own[name], arrived[name], left)
        flow = sum(comes.values())
        taken = flow if flow - most[name] <= NOTHING else most[name]
        takes = dict(comes) if taken == flow else {cause: part * taken / flow for cause, part in comes.items()}
        left = {cause: comes[cause] - takes[cause] for cause in Cause}
        way = None
        if taken < flow:
            way = follow(group) if number == len(ordered) - 1 else ("inlet", ordered[number + 1])
        to, where = (None, "") if way is None else way
        found[name] = Passed(comes=comes, received=received, takes=takes, carried=flow - taken, to=to, name=where)
    return left, way


def _ring(onward: Mapping[Group, Group]) -> list[Group]:
    """Groups between which water runs in a ring; none where it does not."""
    for start in onward:
        path = [start]
        while (here := onward.get(path[-1])) is not None:
            if here in path:
                return path[path.index(here) :]
            path.append(here)
    return []


__all__ = ["Group", "Passed", "Way", "pass_on"]
