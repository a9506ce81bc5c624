"""What the place must be asked before work begins: its own demands, and those that follow from the job.

Never legal advice: each item is a question for the local authority, ticked off by a person. An item of
``rules.checklist`` whose demand holds an item's key word ("one-call", "electrical permit") stands in its place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from drainwright.build.model import Crossing, DigPlan
from drainwright.build.visits import new_circuits
from drainwright.field.model import Site
from drainwright.field.points import inside
from drainwright.findings.places import counted, listed
from drainwright.findings.rules import Case
from drainwright.job.place import PlaceRule
from drainwright.job.values import Basis
from drainwright.system.model import SizedRun
from drainwright.system.outlets.soakaways import last_run

About = Literal["outlet", "digging", "electricity", "trees", "boundary", "other"]
DEFERS = "The local authority decides. This list only says what to ask; it is no legal advice."


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceCheck:
    """One thing that the place demands, or that must be asked."""

    demand: str
    about: About
    key: str  # word in a demand of the job's own list that stands in its place; empty for one of that list
    source: str
    date: date | None  # on which it was looked up
    met: bool | None  # None: not yet known
    basis: Basis


def place_checks(case: Case) -> tuple[PlaceCheck, ...]:
    """The place's own demands first, then those that follow from the job.

    Parameters
    ----------
    case : Case
        The designed job.

    Returns
    -------
    tuple of PlaceCheck
        In an order in which they may be asked.
    """
    own = tuple(_own(item) for item in case.job.rules.checklist)
    said = " ".join(item.demand.lower() for item in own)
    return (*own, *(item for item in _following(case) if item.key not in said))


def _own(item: PlaceRule) -> PlaceCheck:
    return PlaceCheck(
        demand=item.demand.strip().rstrip("."), about=item.about, key="", source=item.source, date=item.date,
        met=item.met, basis=Basis.MAPPED if item.source else Basis.STATED,
    )  # fmt: skip


def _asked(
    demand: str,
    about: About,
    key: str,
    *,
    met: bool | None = None,
    source: str = "",
    when: date | None = None,
    basis: Basis = Basis.ASSUMED,
) -> PlaceCheck:
    return PlaceCheck(demand=demand, about=about, key=key, source=source, date=when, met=met, basis=basis)


def _following(case: Case) -> Iterator[PlaceCheck]:
    """What follows from the job."""
    yield from _outlets(case)
    yield from _boundary(case)
    days = case.job.rules.locate_notice
    yield _asked(
        f"One-call ticket taken out {counted(days.value, 'working day')} before digging, and answered for every line",
        "digging",
        "one-call",
        source=days.source,
        when=days.date,
        basis=days.basis,
    )
    if any(item.protection != "none" for item in case.build.dig.trenches):
        yield _asked(
            "Building or drainage permit for a dig beside a house, and who inspects it before it is closed",
            "digging",
            "drainage permit",
        )
    stations = case.system.stations
    if stations:
        yield _asked(
            f"Whether the circuit that is there for {listed([item.name for item in stations])} must be inspected or needs a "
            "permit, and its check by a licensed electrician"
            if new_circuits(case.site, case.system) == 0
            else f"Electrical permit and inspection for the circuit of {listed([item.name for item in stations])}, by a licensed "
            "electrician",
            "electricity",
            "electrical permit",
        )
    yield from _water_lines(case)
    yield from _living(case)
    seal = case.job.rules.professional_seal
    if seal.value != "no":
        demand = "Whether drawings of this work need a licensed professional's seal"
        if seal.value == "yes":
            demand = "A licensed professional's seal on the permit set"
        yield _asked(demand, "other", "professional's seal", source=seal.source, when=seal.date, basis=seal.basis)


def _outlets(case: Case) -> Iterator[PlaceCheck]:
    for point in case.job.works.discharge:
        if last_run(case.system, point.name) is None:
            continue
        verdict = next((item for item in case.system.gravity if item.discharge == point.name), None)
        word = "unknown" if verdict is None else verdict.lawful
        granted = {"allowed": True, "permit granted": True, "forbidden": False}.get(word)
        yield _asked(
            f"Leave to let water out at {point.name} ({point.kind}), in writing",
            "outlet",
            f"leave for {point.name.lower()}",
            met=granted,
            source=point.permission.source,
            when=point.permission.date,
            basis=Basis.ASSUMED if verdict is None else verdict.lawful_basis,
        )
        if point.kind == "sanitary sewer":
            yield _asked(
                f"No storm or ground water into a sanitary sewer; {point.name} is one", "outlet", "sanitary", met=False
            )
        if point.kind == "street":
            yield _asked(f"Street opening or kerb core permit for {point.name}", "outlet", "street opening")
            yield _asked(
                f"Whether water from {point.name} may run over a walk or along the kerb in frost", "outlet", "frost"
            )
        if point.joins is None and point.kind == "storm line" and not point.air_gap:
            yield _asked(
                f"How {point.name} joins its storm line: the line's pipe, outside diameter, fall and depth, and the fitting "
                f"with its angle (a wye at 45 degrees between two flexible couplings is usual). Nobody has told the line "
                f"(works.discharge.{point.name}.joins), so no joint is ordered and no sheet of it drawn",
                "outlet",
                "joint",
            )
        if point.joins is None and point.kind == "storm line" and point.air_gap:
            yield _asked(
                f"How the receiver's pipe at {point.name} comes to its storm line: place, level, size and fitting. Nobody "
                "has told it: neither that pipe nor its joint is in the price",
                "outlet",
                "receiver's pipe",
            )
        if point.joins is not None:
            yield _asked(
                f"The owner of the line that is joined ({point.joins.name}) agrees, and says how the joint is made",
                "outlet",
                "owner of the line",
            )
    for soak in case.system.soaks:
        if soak.kind == "dry well":
            yield _asked(
                f"Whether {soak.name} must be registered as an injection well: some places count a pit that is deeper than "
                "it is wide",
                "outlet",
                "injection well",
            )


def _boundary(case: Case) -> Iterator[PlaceCheck]:
    ring = case.site.boundary
    if len(ring) >= 3:
        over = [
            run.name for run in case.system.runs if any(not inside(ring, station.at) for station in run.stations[1:-1])
        ]
        if over:
            yield _asked(
                f"Encroachment permit or easement for {listed(over)}, which leaves the lot", "boundary", "encroachment"
            )
    leaving = [fall.name for fall in case.system.outfalls if fall.way is not None and fall.way.leaves_after is not None]
    if leaving:
        yield _asked(
            f"Water let out at {listed(leaving)} runs on over the boundary: what the place says of concentrated flow on to "
            "other land, and the neighbour's consent",
            "boundary",
            "neighbour",
        )


def near_water(site: Site, dig: DigPlan, runs: Sequence[SizedRun]) -> tuple[Crossing, ...]:
    """Where a new pipe crosses a water line closer than the place's distance of the two."""
    apart, names = site.job.rules.water_sewer_separation.value, {run.name for run in runs}
    return tuple(
        item
        for item in dig.crossings
        if item.run in names
        and item.kind == "water"
        and item.crossing
        and item.clearance is not None
        and 0.0 <= item.clearance < apart
    )


def _water_lines(case: Case) -> Iterator[PlaceCheck]:
    apart = case.job.rules.water_sewer_separation
    for item in near_water(case.site, case.build.dig, case.system.runs):
        at_least = max(item.clearance_least, 0.0)
        yield _asked(
            f"Whether {item.run} may cross the {item.utility} {case.small(max(item.clearance or 0.0, 0.0))} apart "
            f"({case.small(at_least)} where its depth is as badly known as it may be): some places ask for "
            f"{case.small(apart.value)}, a sleeve, or that no joint lies near",
            "digging",
            "water line",
            source=apart.source,
            when=apart.date,
            basis=apart.basis,
        )


def _living(case: Case) -> Iterator[PlaceCheck]:
    removed = [tree.name for tree in case.job.trees if not tree.keep]
    cut = [root.tree for root in case.build.dig.roots]
    if removed or cut:
        what = [
            *([f"felling {listed(removed)}"] if removed else []),
            *([f"cutting roots of {listed(cut)}"] if cut else []),
        ]
        yield _asked(f"Tree permit for {' and '.join(what)}", "trees", "tree permit")
    kinds = {item.kind for item in case.job.property.protected}
    if kinds & {"well", "septic field", "septic tank"}:
        yield _asked("The health department's distances from wells and septic systems", "other", "health department")
    near = dict.fromkeys(name for trench in case.build.dig.trenches for name, kind in trench.stands if kind == "fence")
    near |= dict.fromkeys(name for _, name, kind in case.build.dig.spared if kind == "fence")
    for name in near:
        yield _asked(
            f"Leave in writing of whoever owns the {name}, to brace it or take it out beside the dig", "other", "fence"
        )
    if "wetland" in kinds:
        yield _asked("Whether work or water near the wetland needs a permit", "other", "wetland")


__all__ = ["DEFERS", "About", "PlaceCheck", "near_water", "place_checks"]
