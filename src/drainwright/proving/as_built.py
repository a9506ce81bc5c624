"""The job as built: what was measured takes the place of what was designed, and all of it is worked out anew."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from drainwright.design import Design, design
from drainwright.errors import JobError, Problem
from drainwright.field.places import resolve_place
from drainwright.findings.model import Finding, Severity
from drainwright.job.changes import changed_job
from drainwright.job.proof import BuiltBasin, BuiltPlace, ProofDocument
from drainwright.job.writing import to_json
from drainwright.offer.difference import difference
from drainwright.offer.model import Difference
from drainwright.proving.lines import level_of
from drainwright.proving.model import Proven, Row
from drainwright.proving.words import Words
from drainwright.quantities import exact
from drainwright.storm.failures.as_change import basin_key
from drainwright.system.model import LiftStation, PumpChoice

LEVEL_APART = 0.0127  # a level that is half an inch off is told; common practice, no source [m]
SURE = 1.96  # standard errors of the rod within which a level is as designed [-]
PLACE_APART = 0.1524  # a place that is six inches off is told; common practice, no source [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One measured figure that is not as designed."""

    where: str
    what: str
    designed: str
    built: str
    off: float  # built less designed; of a place, its distance [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class AsBuilt:
    """A job as built, beside the same job as designed."""

    design: Design  # with what was measured
    moved: tuple[Moved, ...]  # those far enough off to be told
    difference: Difference  # from designed to built
    unmeasured: tuple[str, ...]  # runs that are taken as designed

    @property
    def regraded(self) -> tuple[tuple[Finding, Finding], ...]:
        """Checks that fail or warn in both, with another severity: other figures alone do not matter."""
        return tuple((one, two) for one, two in self.difference.otherwise if one.severity is not two.severity)


def as_built(base: Design, document: ProofDocument) -> AsBuilt | None:
    """Work a job out anew with the inverts, heights and places that were measured.

    Parameters
    ----------
    base : Design
        As designed.
    document : ProofDocument
        What was measured.

    Returns
    -------
    AsBuilt or None
        None where neither runs, basins nor places were measured. Every choice of the design is held (pipe, inverts,
        basin, floats, pump), so that all that differs comes of the measurements alone. A run of which the rod can
        tell neither invert from the designed one is taken as designed; else both are taken as they were shot.

    Raises
    ------
    JobError
        If something measured is not in the job document but was laid out by the design, or the job cannot be computed
        with as it was measured.
    """
    built = document.proof.as_built
    if not (built.runs or built.basins or built.places):
        return None
    problems = tuple(_problems(base, document))
    if problems:
        raise document.refused(problems)
    text = to_json(base.job)
    held = _held(base)
    measured = dict(_measured(base, document))
    before = design(changed_job(text, held), base)
    try:
        after = design(changed_job(text, {**held, **measured}), before)
    except JobError as error:
        raise document.refused(
            tuple(
                Problem(where="as_built", found=one.found, expected=one.expected, hint=one.hint)
                for one in error.problems
            )
        ) from None
    shot = {one.run for one in built.runs}
    return AsBuilt(
        design=after,
        moved=tuple(_moved(base, document)),
        difference=difference(before, after),
        unmeasured=tuple(run.name for run in base.system.runs if not run.pressure and run.name not in shot),
    )


def with_built(found: Proven, built: AsBuilt | None) -> Proven:
    """The proof with a row for each check that the job fails as it was built: with one nothing may be signed off.

    Parameters
    ----------
    found : Proven
        What the measurements show each by itself.
    built : AsBuilt or None
        The job worked out anew with them; None where nothing of it was measured.

    Returns
    -------
    Proven
        The same where no check fails.
    """
    failing = () if built is None else [item for item in built.design.findings if item.severity is Severity.FAILS]
    rows = tuple(
        Row(where=item.where, what=f"as built, {item.id} {item.title}", found=item.figure, wanted=item.limit,
            verdict="not", said=item.message)
        for item in failing
    )  # fmt: skip
    return replace(found, rows=(*found.rows, *rows))


def _held(base: Design) -> dict[str, Any]:
    """The design's own choices, so that none is made anew."""
    found: dict[str, Any] = {}
    named = {run.name for run in base.job.works.runs}
    for run in base.system.runs:
        if run.name not in named:
            continue
        key = f"works.runs.{run.name}"
        found[f"{key}.pipe"] = run.pipe.key
        if not run.pressure:
            found[f"{key}.grade"] = None
            found[f"{key}.invert_from"] = exact(run.invert_upper, "length")
            found[f"{key}.invert_to"] = exact(run.invert_lower, "length")
    for station in base.system.stations:
        place = basin_key(base.site, station.name)
        if place is None:
            continue
        found[f"{place}.rim"] = exact(station.rim, "length")
        found |= _sizes(place, station)
        if station.pump.chosen_by != "job":
            found[f"{place}.pump"] = _pump(station.pump)
    return found


def _sizes(place: str, station: LiftStation) -> dict[str, Any]:
    heights = {"diameter": station.inside_diameter, "depth": station.depth}
    heights |= {name: getattr(station, name) - station.floor for name in ("off", "on", "alarm")}
    return {f"{place}.{name}": exact(height, "length") for name, height in heights.items()}


def _pump(pump: PumpChoice) -> dict[str, Any]:
    points = zip(pump.curve.flows, pump.curve.heads, strict=True)
    told: dict[str, Any] = {
        "name": pump.name,
        "curve": [{"flow": exact(flow, "flow"), "head": exact(head, "length")} for flow, head in points],
        "float_kind": pump.float_kind,
        "minimum_depth": exact(pump.minimum_depth, "length"),
        "discharge_size": pump.discharge_size,
        "starts_limit": exact(pump.starts_limit, "rate"),
    }
    for name, kind in (
        ("label_power", "power"),
        ("float_band", "length"),
        ("solids", "length"),
        ("input_power", "power"),
    ):
        value = getattr(pump, name)
        if value is not None:
            told[name] = exact(value, kind)
    if pump.switch_starts is not None:
        told["switch_starts"] = pump.switch_starts
    return told


def _measured(base: Design, document: ProofDocument) -> Iterator[tuple[str, Any]]:
    built = document.proof.as_built
    for number, shot in enumerate(built.runs):
        run = base.system.run(shot.run)
        upper, lower = _inverts(base, document, number)
        ends = (("from", upper, run.invert_upper), ("to", lower, run.invert_lower))
        if any(abs(found - wanted) > SURE * built.rod_within for _, found, wanted in ends):
            for key, found, _ in ends:  # both, or the grade is of neither the drawing nor the rod
                yield f"works.runs.{shot.run}.invert_{key}", exact(found, "length")
    for number, one in enumerate(built.basins):
        place = basin_key(base.site, one.basin)
        for name in ("diameter", "depth", "on", "off", "alarm"):
            if (value := getattr(one, name)) is not None:
                yield f"{place}.{name}", exact(value, "length")
        if one.rim is not None:
            yield f"{place}.rim", exact(_rim(base, document, one, number), "length")
    for number, spot in enumerate(built.places):
        place = _place_key(base, spot)
        if spot.at is not None:
            at = resolve_place(base.site, spot.at, f"as_built.places[{number}].at")
            yield f"{place}.at", [exact(at[0], "length"), exact(at[1], "length")]
        if spot.invert is not None:
            where = f"as_built.places[{number}].invert"
            yield f"{place}.invert", exact(level_of(base, document, spot.invert, None, where), "length")


def _inverts(base: Design, document: ProofDocument, number: int) -> tuple[float, float]:
    shot = document.proof.as_built.runs[number]
    route = base.system.run(shot.run).route
    return (
        level_of(base, document, shot.upper, route[0], f"as_built.runs[{number}].upper"),
        level_of(base, document, shot.lower, route[-1], f"as_built.runs[{number}].lower"),
    )


def _rim(base: Design, document: ProofDocument, one: BuiltBasin, number: int) -> float:
    assert one.rim is not None
    at = base.system.nodes[one.basin].at
    return level_of(base, document, one.rim, at, f"as_built.basins[{number}].rim")


def _place_key(base: Design, spot: BuiltPlace) -> str | None:
    """Where a place stands in the job document; None where it cannot be moved by itself."""
    works = base.job.works
    if any(inlet.name == spot.name for inlet in works.inlets):
        return f"works.inlets.{spot.name}"
    if any(point.name == spot.name for point in works.discharge):
        return f"works.discharge.{spot.name}"
    return basin_key(base.site, spot.name)


def _problems(base: Design, document: ProofDocument) -> Iterator[Problem]:
    built = document.proof.as_built
    own = {run.name for run in base.job.works.runs}
    for number, shot in enumerate(built.runs):
        if shot.run not in own:
            yield Problem(
                where=f"as_built.runs[{number}].run", found=f"{shot.run!r}, which the design laid out itself",
                expected="a run of the job document", hint="write the run into the job as it was built",
            )  # fmt: skip
    for number, one in enumerate(built.basins):
        if basin_key(base.site, one.basin) is None:
            yield Problem(
                where=f"as_built.basins[{number}].basin", found=f"{one.basin!r}, which the design placed itself",
                expected="a basin of the job document", hint="write the basin into the job as it was built",
            )  # fmt: skip
    ends = {point.name for point in base.job.works.discharge}
    for number, spot in enumerate(built.places):
        where = f"as_built.places[{number}]"
        if _place_key(base, spot) is None:
            yield Problem(
                where=f"{where}.name", found=repr(spot.name),
                expected="an inlet, a basin or a discharge point of the job",
                hint="another point moves with its shots in the job document",
            )  # fmt: skip
        if spot.invert is not None and spot.name not in ends:
            yield Problem(
                where=f"{where}.invert", found="an invert of no discharge point",
                expected="inverts of runs under as_built.runs",
            )  # fmt: skip


def _moved(base: Design, document: ProofDocument) -> Iterator[Moved]:
    """What was measured far enough from its design to be told."""
    words, built = Words(base.job.units), document.proof.as_built
    for number, shot in enumerate(built.runs):
        run = base.system.run(shot.run)
        ends = zip(("upper invert", "lower invert"), (run.invert_upper, run.invert_lower),
                   _inverts(base, document, number), strict=True)  # fmt: skip
        for what, wanted, found in ends:
            if abs(found - wanted) > LEVEL_APART:
                yield Moved(where=f"run {shot.run}", what=what, designed=words.level(wanted), built=words.level(found),
                            off=found - wanted)  # fmt: skip
    for number, one in enumerate(built.basins):
        station = base.system.station_named(one.basin)
        assert station is not None
        heights: Mapping[str, float] = {
            "diameter": station.inside_diameter, "depth": station.depth,
            **{name: station.float_levels[name] - station.floor for name in ("on", "off", "alarm")},
        }  # fmt: skip
        for what, wanted in heights.items():
            height = getattr(one, what)
            if height is not None and abs(height - wanted) > LEVEL_APART:
                yield Moved(where=f"basin {one.basin}", what=what, designed=words.small(wanted),
                            built=words.small(height), off=height - wanted)  # fmt: skip
        if one.rim is not None and abs(found := _rim(base, document, one, number) - station.rim) > LEVEL_APART:
            yield Moved(where=f"basin {one.basin}", what="rim", designed=words.level(station.rim),
                        built=words.level(station.rim + found), off=found)  # fmt: skip
    for number, spot in enumerate(built.places):
        if spot.at is not None:
            at, wanted_at = (
                resolve_place(base.site, spot.at, f"as_built.places[{number}].at"),
                base.system.nodes[spot.name].at,
            )
            off = ((at[0] - wanted_at[0]) ** 2 + (at[1] - wanted_at[1]) ** 2) ** 0.5
            if off > PLACE_APART:
                yield Moved(where=spot.name, what="place", designed="", built=f"{words.small(off)} away", off=off)


__all__ = ["AsBuilt", "Moved", "as_built", "with_built"]
