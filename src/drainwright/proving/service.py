"""A job in service: how often it wants a visit, how its pumps drift, when each should be replaced."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from drainwright.design import Design
from drainwright.errors import Problem
from drainwright.job.firm_book import unknown_key
from drainwright.job.service import FULL, ServiceDocument, Trouble, Visit
from drainwright.proving.drift import drift
from drainwright.system.lift.season import switch_cycles
from drainwright.system.model import LiftStation

USUAL, LEAST, MOST = 12, 3, 24  # months from visit to visit; common practice, no source
HALF = 6  # months where roots, sand or leaves are to be reckoned with; common practice, no source
LEAF_REACH = 9.144  # a tree within 30 ft sheds into a grate; common practice, no source [m]
SANDY = ("sand", "loamy sand", "sandy loam")  # soils that are washed into drains; common practice, no source
READ_WITHIN = 0.03  # of a flow by drawdown, where nothing is said [-]
DAY = 86400.0  # [s]
MONTH = 30.4375 * DAY  # [s]
FAR = datetime.date(2100, 1, 1)  # later dates are not told


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """How often a visit is due, and why."""

    months: int
    why: tuple[str, ...]
    next: datetime.date


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpDrift:
    """A pump's flow over the visits."""

    basin: str
    readings: int  # since it was new
    limit: float  # flow at which it is replaced: what the design asks of it [m³/s]
    last: float | None  # by the line, at the last visit; None: fewer than three readings [m³/s]
    band: float | None  # half of its band [m³/s]
    slope: float | None  # [m³/s in a year]
    earliest: datetime.date | None  # None: not before 2100, or not told
    likely: datetime.date | None
    latest: datetime.date | None
    rough: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchWear:
    """A pump's starts, and the date of its switch's last one."""

    basin: str
    starts: int
    lasts: int  # starts of its switch, by the pump's sheet or assumed
    a_day: float  # between the last two counts, or since it was new
    worn_out: datetime.date | None  # None: not before 2100


@dataclass(frozen=True, slots=True, kw_only=True)
class SiltDue:
    """When a catch basin is to be emptied."""

    inlet: str
    a_year: float  # [m]
    lies: float  # in it since the last visit that tells of it [m]
    overdue: bool  # more lies in it than may
    due: datetime.date | None  # None: not before 2100


@dataclass(frozen=True, slots=True, kw_only=True)
class Serviced:
    """What the visits show."""

    interval: Interval
    pumps: tuple[PumpDrift, ...]
    switches: tuple[SwitchWear, ...]
    silt: tuple[SiltDue, ...]


def serviced(design: Design, document: ServiceDocument) -> Serviced:
    """Read the visits to a job.

    Parameters
    ----------
    design : Design
        As designed, or as built.
    document : ServiceDocument
        The visits.

    Returns
    -------
    Serviced
        Dates lie on or after the last visit.

    Raises
    ------
    JobError
        If the record is another job's or names what the job does not have.
    """
    problems = tuple(_problems(design, document))
    if problems:
        raise document.refused(problems)
    visits, began = document.service.visits, document.service.in_service
    return Serviced(
        interval=_interval(design, visits),
        pumps=tuple(_pump(station, visits) for station in design.system.by_house),
        switches=tuple(one for station in design.system.by_house for one in _switch(station, visits, began)),
        silt=tuple(_silt(design, visits, began)),
    )


def _problems(design: Design, document: ServiceDocument) -> Iterator[Problem]:
    service = document.service
    if design.job.number and service.job != design.job.number:
        yield Problem(
            where="job", found=repr(service.job), expected=repr(design.job.number), hint="this is another job's record"
        )
    stations = [station.name for station in design.system.stations]
    inlets = [inlet.name for inlet in design.job.works.inlets]
    for number, visit in enumerate(service.visits):
        where = f"visits[{number}]"
        yield from _unknown(f"{where}.basins", "basin", (one.basin for one in visit.basins), stations)
        yield from _unknown(f"{where}.silt", "inlet", (one.inlet for one in visit.silt), inlets)
        for place, name in enumerate(visit.emptied or ()):
            if name not in inlets:
                yield unknown_key(f"{where}.emptied[{place}]", name, inlets, "an inlet of the job")
        for place, name in enumerate(visit.new_pump):
            if name not in stations:
                yield unknown_key(f"{where}.new_pump[{place}]", name, stations, "a basin of the job")


def _unknown(where: str, key: str, names: Iterable[str], known: Sequence[str]) -> Iterator[Problem]:
    for number, name in enumerate(names):
        if name not in known:
            yield unknown_key(
                f"{where}[{number}].{key}", name, known, f"one of the job's ({', '.join(known) or 'none'})"
            )


def expected_troubles(design: Design) -> dict[Trouble, str]:
    """What the site lets expect in its pipes, each with why."""
    found: dict[Trouble, str] = {}
    trees = list(dict.fromkeys(cut.tree for cut in design.build.dig.roots))
    if trees:
        found["roots"] = f"roots of {', '.join(trees)} reach the lines"
    texture = design.job.ground.texture.value
    holed = [run.name for run in design.system.runs if run.pipe.perforated]
    if texture in SANDY and holed:
        found["sand"] = f"{texture} washes into {', '.join(holed)}"
    grates = [node for node in design.system.nodes.values() if node.kind == "inlet"]
    shed = [
        tree.tree.name
        for tree in design.site.trees
        if tree.tree.keep and any(math.dist(tree.at, node.at) <= LEAF_REACH for node in grates)
    ]
    if shed:
        found["leaves"] = f"{', '.join(shed)} shed into the grates"
    return found


def _interval(design: Design, visits: Sequence[Visit]) -> Interval:
    """By the site; halved where the last two visits found the same, doubled where the last three found nothing."""
    expected = expected_troubles(design)
    months, why = (HALF, list(expected.values())) if expected else (USUAL, ["nothing on the site asks for more"])
    if len(visits) >= 2 and (again := sorted(set(visits[-1].found) & set(visits[-2].found))):
        months = max(months // 2, LEAST)
        why.append(f"{', '.join(again)} at the last two visits")
    elif len(visits) >= 3 and not any(visit.found for visit in visits[-3:]):
        months = min(months * 2, MOST)
        why.append("nothing found at the last three visits")
    after = visits[-1].on + datetime.timedelta(days=round(months * MONTH / DAY))
    return Interval(months=months, why=tuple(why), next=after)


def _pump(station: LiftStation, visits: Sequence[Visit]) -> PumpDrift:
    """The pump's flow since it was new, as a straight line, to the date at which it no longer carries the design's."""
    since = max((number for number, visit in enumerate(visits) if station.name in visit.new_pump), default=0)
    read = [
        (visit.on, one.flow, one.flow_within or READ_WITHIN * one.flow)
        for visit in visits[since:]
        for one in visit.basins
        if one.basin == station.name and one.flow is not None
    ]
    if len(read) < 3:
        return PumpDrift(
            basin=station.name, readings=len(read), limit=station.inflow, last=None, band=None, slope=None,
            earliest=None, likely=None, latest=None, rough=False,
        )  # fmt: skip
    first = read[0][0]
    seconds = [(on - first).days * DAY for on, _, _ in read]
    found = drift(seconds, [flow for _, flow, _ in read], [error for _, _, error in read], station.inflow)
    return PumpDrift(
        basin=station.name, readings=len(read), limit=station.inflow, last=found.last, band=found.last_band,
        slope=found.slope * 365.25 * DAY, earliest=_date(first, found.earliest), likely=_date(first, found.likely),
        latest=_date(first, found.latest), rough=found.rough,
    )  # fmt: skip


def _switch(station: LiftStation, visits: Sequence[Visit], began: datetime.date) -> Iterator[SwitchWear]:
    """Starts since the pump was new; its switch lasts as its sheet says, or as is assumed."""
    since = max((number for number, visit in enumerate(visits) if station.name in visit.new_pump), default=-1)
    new = began if since < 0 else visits[since].on
    counts = [
        (visit.on, one.starts)
        for visit in visits[since + 1 :]
        for one in visit.basins
        if one.basin == station.name and one.starts is not None
    ]
    if not counts:
        return
    before = counts[-2] if len(counts) > 1 else (new, 0)
    on, starts = counts[-1]
    a_day = max(starts - before[1], 0) / max((on - before[0]).days, 1)
    lasts = switch_cycles(station.pump)
    left = (lasts - starts) / a_day if a_day > 0.0 else math.inf
    worn_out = _date(on, max(left, 0.0) * DAY)
    yield SwitchWear(basin=station.name, starts=starts, lasts=lasts, a_day=a_day, worn_out=worn_out)


def _silt(design: Design, visits: Sequence[Visit], began: datetime.date) -> Iterator[SiltDue]:
    """Silt a year by what came between the visits; what was not emptied goes on lying there."""
    days = [began, *(visit.on for visit in visits)]
    for inlet in design.job.works.inlets:
        came = spent = lies = 0.0
        last, read = None, False
        for (before, on), visit in zip(pairwise(days), visits, strict=True):
            found = max((one.depth for one in visit.silt if one.inlet == inlet.name), default=None)
            if found is not None:
                start = before if last is None else last
                came, spent = came + max(found - lies, 0.0), spent + (on - start).days / 365.25
                lies, last, read = found, on, True
            if inlet.name in visit.emptied if visit.emptied is not None else found is not None:
                lies, last = 0.0, on
        if last is None or not read or spent <= 0.0:
            continue
        a_year, room = came / spent, FULL * inlet.sump_depth - lies
        years = max(room, 0.0) / a_year if a_year > 0.0 else 0.0 if room < 0.0 else math.inf
        yield SiltDue(
            inlet=inlet.name, a_year=a_year, lies=lies, overdue=room < 0.0, due=_date(last, years * 365.25 * DAY)
        )  # fmt: skip


def _date(first: datetime.date, seconds: float) -> datetime.date | None:
    """A day so long after another; None where it is past ``FAR``."""
    if not seconds < (FAR - first).days * DAY:
        return None
    return first + datetime.timedelta(days=round(seconds / DAY))


__all__ = ["Interval", "PumpDrift", "Serviced", "SiltDue", "SwitchWear", "expected_troubles", "serviced"]
