"""The first question: is there a lawful way out, and does gravity reach it?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from drainwright.field.model import Plan, Site, SiteWall
from drainwright.field.places import resolve_level
from drainwright.job.at_odds import SOAKS
from drainwright.job.place import Rules
from drainwright.job.values import Basis
from drainwright.job.works import Criteria, Discharge
from drainwright.system.model import GravityVerdict
from drainwright.system.network import Network, Spot
from drainwright.system.outlets.ends import lid_level
from drainwright.system.ways import RoundHouse, beside_walls, distance, route_length
from drainwright.worksheet import Card, catalogued, place, quiet

Lawful: TypeAlias = Literal["allowed", "permit needed", "permit granted", "forbidden", "unknown"]

ALWAYS_FORBIDDEN = ("sanitary sewer", "neighbour")  # for storm and ground water, nearly everywhere
PIPE_HEIGHT = 0.1071  # outside of a 4 in drain pipe, to place an invert under its cover [m]
_ORDER: tuple[Lawful, ...] = ("permit granted", "allowed", "permit needed", "unknown")


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where water stands that has to find its way, and how high a pipe could take it up there."""

    name: str
    ends: tuple[Plan, ...]  # where it may leave: the nearer is used [m]
    invert: float  # highest invert there [m]
    discharge: str | None  # the discharge point to which the job's own runs already lead it
    drain: bool = False  # a footing drain beside a wall


@catalogued(
    Card(
        title="Highest invert at which gravity water arrives",
        symbol="z",
        expression="invert - length * grade",
        units={"invert": "m", "length": "m", "grade": "m/m", "result": "m"},
        source="geometry",
    )
)
def arrival_level(invert: float, length: float, grade: float) -> float:
    """Invert at the end of a pipe of even grade.

    Parameters
    ----------
    invert : float
        Where it starts. [m]
    length : float
        In plan. [m]
    grade : float
        Fall over length. [m/m]

    Returns
    -------
    float
        Where it ends. [m]
    """
    return invert - length * grade


def lawfulness(discharge: Discharge, rules: Rules) -> tuple[Lawful, Basis]:
    """Whether water may leave at a discharge point, and how that is known.

    A sanitary sewer and the neighbour's land are always forbidden. What was found out for this very point comes
    before the rule of the place, but a permission without a permit does not undo a rule that forbids.
    """
    said = discharge.permission
    rule = next((outlet.standing for outlet in rules.outlets if outlet.kind == discharge.kind), None)
    if discharge.kind in ALWAYS_FORBIDDEN:
        return "forbidden", said.basis if said.value == "forbidden" else Basis.MAPPED
    if said.value == "not asked":
        return ("unknown", Basis.ASSUMED) if rule is None else (rule.value, rule.basis)
    if said.value == "allowed" and rule is not None and rule.value == "forbidden":
        return "forbidden", rule.basis
    return said.value, said.basis


def drain_ceiling(site: Site) -> float:
    """Highest invert of a footing drain: below the floor's underside by the criteria's clearance [m]."""
    thickness = 0.0 if site.job.house.floor_kind == "crawl space" else site.job.house.floor_thickness
    return site.floor - thickness - site.job.criteria.drain_below_floor


def drained_chains(site: Site, network: Network) -> tuple[tuple[SiteWall, ...], ...]:
    """Runs of neighbouring walls that need a footing drain and have none in the job.

    Where the job gives any footing drain, its choice of walls stands and there are none.
    """
    if any(line.duty == "footing drain" for line in network.lines):
        return ()
    chains: list[list[SiteWall]] = []
    for wall in site.walls:
        if not (wall.wall.open_and_coat or wall.wall.wet):
            continue
        joined = [wall]
        for chain in list(chains):  # at either end of what is joined so far, turned so that the two meet
            for near in (chain, chain[::-1]):
                if _touch(near[-1], joined[0]):
                    joined = [*near, *joined]
                elif _touch(joined[-1], near[0]):
                    joined = [*joined, *near]
                else:
                    continue
                chains.remove(chain)
                break
        chains.append(joined)
    return tuple(tuple(chain) for chain in chains)


def _touch(a: SiteWall, b: SiteWall) -> bool:
    return any(distance(p, q) < 0.01 for p in (a.start, a.end) for q in (b.start, b.end))


def sources(site: Site, network: Network, chains: Sequence[Sequence[SiteWall]], offset: float) -> tuple[Source, ...]:
    """Every place that water must be led away from, with the highest invert a pipe could leave it at."""
    criteria = site.job.criteria
    ends = {spot.name for spot in network.spots.values() if spot.kind == "discharge"}
    found = []

    def leads(name: str) -> str | None:
        end = network.end(name)
        return end if end in ends else None

    for line in network.lines:
        if line.duty == "footing drain":
            grade = criteria.minimum_grade if line.grade is None else line.grade
            upper = drain_ceiling(site) if line.invert_upper is None else line.invert_upper
            lower = upper - line.length * grade if line.invert_lower is None else line.invert_lower
            found.append(
                Source(
                    name=line.name, ends=(line.route[-1],), invert=lower, discharge=leads(line.lower),
                    drain=bool(line.walls),
                )
            )  # fmt: skip
    for chain in chains:
        route = beside_walls(chain, offset)
        fall = route_length(route) * criteria.minimum_grade
        name = "+".join(wall.name for wall in chain)
        ends_of = (route[0], route[-1])
        found.append(Source(name=name, ends=ends_of, invert=drain_ceiling(site) - fall, discharge=None))
    splash = {downspout.name for downspout in site.job.downspouts if downspout.ends == "splash"}
    joined = {name for point in site.job.works.discharge if point.joins for name in point.joins.other_roof}
    for spot in network.spots.values():
        if spot.kind in ("inlet", "downspout") and spot.name not in splash | joined:
            invert = min(spot.rim, spot.ground) - criteria.minimum_cover - PIPE_HEIGHT
            found.append(Source(name=spot.name, ends=(spot.at,), invert=invert, discharge=leads(spot.name)))
    return tuple(found)


def verdict_on(
    site: Site, discharge: Discharge, index: int, spot: Spot, waters: Sequence[Source], house: RoundHouse
) -> GravityVerdict:
    """Whether gravity brings all the water to a discharge point: the hardest of its sources decides.

    The length used is the shortest way round the house, so that "no" is certain and "yes" is for the grading to
    confirm. Water that the job's runs lead to another discharge point does not count here; which footing drains of it
    this one's level would take is told beside.
    """
    criteria: Criteria = site.job.criteria
    where = f"works.discharge[{index}]"
    available = resolve_level(site, discharge.invert, spot.at, f"{where}.invert")
    tailwater = available
    if discharge.tailwater is not None:
        tailwater = max(available, resolve_level(site, discharge.tailwater, spot.at, f"{where}.tailwater"))
    lid = lid_level(discharge, spot.ground)
    tailwater = tailwater if lid is None else max(tailwater, lid)
    lawful, basis = lawfulness(discharge, site.job.rules)
    needed, length = spot.ground, 0.0
    hardest: Source | None = None
    for water in waters:
        if water.discharge in (None, discharge.name):
            way = min(route_length(house.way(end, spot.at)) for end in water.ends)
            with quiet():
                arrives = arrival_level(water.invert, way, criteria.minimum_grade)
            if arrives < needed or hardest is None:
                needed, length, hardest = arrives, way, water
    if hardest is not None:
        with place(where, f"gravity from {hardest.name}"):
            needed = arrival_level(hardest.invert, length, criteria.minimum_grade)
    drains, drains_at = list[str](), math.inf
    for water in waters:
        if water.drain and water.discharge not in (None, discharge.name) and discharge.kind not in SOAKS:
            way = min(route_length(house.way(end, spot.at)) for end in water.ends)
            with place(where, f"gravity from {water.name}, led elsewhere"):
                arrives = arrival_level(water.invert, way, criteria.minimum_grade)
            if arrives >= tailwater:
                drains.append(water.name)
                drains_at = min(drains_at, arrives)
    return GravityVerdict(
        discharge=discharge.name,
        kind=discharge.kind,
        lawful=lawful,
        lawful_basis=basis,
        needed=needed,
        available=available,
        reaches=needed >= tailwater,
        length=length,
        lacks="" if needed >= tailwater else "level" if needed < available else "free water",
        drains=tuple(drains),
        drains_at=drains_at if drains else 0.0,
    )


def best_way_out(verdicts: Sequence[GravityVerdict], used: Sequence[str]) -> GravityVerdict:
    """The discharge point to use: lawful before unlawful, one that the job's runs lead to, reached, nearer.

    Parameters
    ----------
    verdicts : sequence of GravityVerdict
        All discharge points.
    used : sequence of str
        Discharge points to which the job's own runs lead; the job's choice is kept.

    Returns
    -------
    GravityVerdict
        The one to design for. The findings speak where it is not lawful.
    """

    def rank(verdict: GravityVerdict) -> tuple[bool, bool, bool, int, float]:
        order = _ORDER.index(verdict.lawful) if verdict.lawful in _ORDER else len(_ORDER)
        lawful = verdict.lawful != "forbidden"
        return (bool(used) and verdict.discharge not in used, not lawful, not verdict.reaches, order, verdict.length)

    return min(verdicts, key=rank)


__all__ = [
    "ALWAYS_FORBIDDEN", "Source", "best_way_out", "drain_ceiling", "drained_chains", "lawfulness", "sources",
    "verdict_on",
]  # fmt: skip
