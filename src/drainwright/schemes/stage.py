"""The schemes of a job: laid out, designed, compared, explained."""

from __future__ import annotations

from dataclasses import replace

from drainwright.design import Design, design
from drainwright.errors import stage
from drainwright.job.cross import cross_check
from drainwright.job.model import Job
from drainwright.schemes.base import Base, base_of, placed_basin
from drainwright.schemes.comparing import compared, ends_of
from drainwright.schemes.draft import Draft
from drainwright.schemes.kinds import Laid, lay
from drainwright.schemes.model import TITLES, Key, Missing, Scheme, SchemeSet
from drainwright.schemes.words import against, explained, rankings, shared, verdict
from drainwright.system.basin_spot import hole_of, in_wedge

TRIALS = 3  # to place a basin clear of footings, at most
AS_DRAWN = "The runs of the job, as they are drawn."
PARTLY_DRAWN = "The runs of the job as they are drawn; what they leave open as the design leads it away by itself."
KINDS: tuple[Key, ...] = ("gravity", "split", "soak", "pumped")


def schemes(job: Job, *, redraw: bool = False) -> SchemeSet:
    """Two to four really different ways to drain one lot, each designed and compared; the person picks.

    Parameters
    ----------
    job : Job
        A validated job. Its own runs stay as they are; what it leaves out is proposed, for each scheme in its way.
        Where they leave nothing out, the job as drawn is the reference and the schemes beside it are laid out anew.
    redraw : bool
        Lay out all but discharge points, inlets and walls anew though the job leaves something open; the job as drawn
        stays beside it for reference.

    Returns
    -------
    SchemeSet
        The schemes in the order as drawn, gravity, split, soak, pumped; what is missing and why; the order under each
        stated criterion. Equal jobs give equal sets.

    Raises
    ------
    JobError
        If the job cannot be computed with.
    StageError
        If a stage breaks down on it.

    Notes
    -----
    Each scheme is a job document: ``design(scheme.job)`` gives its figures again.
    """
    with stage("schemes"):
        base = base_of(job, redraw=redraw)
        anew = redraw or (base.complete and bool(job.works.runs))
        if anew and not redraw:
            base = base_of(job, redraw=True)
    found: list[tuple[Laid, Job, Design]] = []
    missing: list[Missing] = []
    if job.works.runs:
        drawn = Laid(key="as-drawn", draft=Draft(), summary=AS_DRAWN if anew else PARTLY_DRAWN, asks=())
        found.append((drawn, job, design(job)))
    for key in KINDS:
        with stage("schemes"):
            laid = lay(base, key)
        if isinstance(laid, Missing):
            missing.append(laid)
            continue
        laid, taken, result = _designed(job, base, laid)
        if (why := against(laid, result)) or (why := _same(result, found)):
            missing.append(Missing(key=key, title=TITLES[key], why=why))
            continue
        found.append((laid, taken, result))
    figures = {laid.key: compared(result) for laid, _, result in found}
    units = job.units
    explanations = explained(figures, units)
    made = tuple(
        Scheme(
            key=laid.key,
            title=TITLES[laid.key],
            summary=laid.summary,
            job=taken,
            draft=laid.draft,
            design=result,
            comparison=figures[laid.key],
            pros=explanations[laid.key][0],
            cons=explanations[laid.key][1],
            asks=laid.asks,
        )
        for laid, taken, result in found
    )
    return SchemeSet(
        job=job,
        redraw=anew,
        schemes=made,
        missing=tuple(missing),
        rankings=rankings(figures, units),
        verdict=verdict(figures, units),
        common=shared(figures, units),
        notes=base.notes,
    )


def _designed(job: Job, base: Base, laid: Laid) -> tuple[Laid, Job, Design]:
    """A scheme designed; once more where the basin as designed stands in the ground that carries a footing."""
    for trial in range(TRIALS):
        taken = laid.draft.applied(job)
        with stage("schemes"):
            cross_check(taken)
        result = design(taken)
        better = _better_base(base, laid, result)
        if better is None or trial == TRIALS - 1:
            break
        with stage("schemes"):
            again = lay(better, laid.key)
        base = better
        if isinstance(again, Missing):
            break
        laid = again
    return laid, taken, result


def _better_base(base: Base, laid: Laid, result: Design) -> Base | None:
    """The lot with a basin clear of footings, or room for the trench as designed; None where all is well."""
    found = base
    station = result.system.station_named(base.basin)
    if base.basin_free and station is not None and in_wedge(base.site, station.at, hole := hole_of(station)):
        found = replace(found, basin_at=placed_basin(base.site, base.chains, base.yard, hole))
    own = {str(words["name"]) for words in laid.draft.discharge}
    longest = max((soak.length for soak in result.system.soaks if soak.name in own), default=0.0)
    if longest > base.trench + 1e-6:
        found = replace(found, trench=longest)
    return None if found is base else found


def _same(result: Design, found: list[tuple[Laid, Job, Design]]) -> str:
    """The scheme that does the same: the same ends, lifted or not alike. The job as drawn does not count."""
    ends = ends_of(result)
    for laid, _, other in found:
        if laid.key != "as-drawn" and ends_of(other) == ends:
            return f"the same in effect as '{TITLES[laid.key].lower()}': the same water leaves in the same way"
    return ""


__all__ = ["KINDS", "schemes"]
