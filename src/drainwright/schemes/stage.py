"""The schemes of a job: laid out, designed, compared, explained."""

from __future__ import annotations

from dataclasses import replace

from drainwright.design import Design, design
from drainwright.errors import stage
from drainwright.job.cross import cross_check
from drainwright.job.model import Job
from drainwright.schemes.base import Base, base_of, placed_basin
from drainwright.schemes.comparing import compared, ways_of
from drainwright.schemes.differing import Made, most_different, same
from drainwright.schemes.draft import Draft
from drainwright.schemes.joining import overfull_joins
from drainwright.schemes.kinds import lay
from drainwright.schemes.model import TITLES, Key, Laid, Missing, Scheme, SchemeSet
from drainwright.schemes.words import explained, rankings, shared, verdict
from drainwright.schemes.working import against, drains_fail, helps, overflow_fails
from drainwright.system.outlets.soak_sizing import APART
from drainwright.system.yard.basin_hole import hole_of
from drainwright.system.yard.basin_spot import in_wedge

TRIALS = 5  # to place a basin clear of footings and a soakaway with room for its size, at most
AS_DRAWN = "The runs of the job, as they are drawn."
PARTLY_DRAWN = "The runs of the job as they are drawn; what they leave open as the design leads it away by itself."
FEW = 3  # schemes, with the job as drawn: with fewer, dry wells are tried beside a trench
KINDS: tuple[Key, ...] = ("gravity", "split", "apart", "soak", "pumped", "wells")


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
        Four at most, in the order as drawn, gravity, split, apart, soak, wells, pumped; what is missing and why; the
        order under each stated criterion. Equal jobs give equal sets.

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
    found: list[Made] = []
    broken: list[Made] = []
    missing: list[Missing] = []
    if job.works.runs:
        drawn = Laid(key="as-drawn", draft=Draft(), summary=AS_DRAWN if anew else PARTLY_DRAWN, asks=())
        found.append(_with_figures(drawn, job, design(job)))
    for key in KINDS:
        if key == "wells" and len(found) >= FEW:
            continue
        one = _made(job, base, key)
        if isinstance(one, Missing):
            if not any(one.why in other.why for other in missing if key == "wells" and other.key == "soak"):
                missing.append(one)
        elif one.fault:
            broken.append(one)
            if key == "gravity" and drains_fail(one.laid, one.design):
                base = replace(base, drains_fall=False)  # so that no other kind counts on it
        elif why := same(one, found, anew=base.draft.redraw):
            missing.append(_missing(key, why))
        else:
            found.append(one)
    if all(one.fault for one in found):  # none works: those that were laid out are shown for what they are
        for one in broken:
            why = same(one, found, anew=base.draft.redraw)
            if why:
                missing.append(_missing(one.laid.key, why))
            else:
                found.append(one)
        broken = []
    missing += [_missing(one.laid.key, f"laid out, it does not work: {one.fault}") for one in broken]
    missing.sort(key=lambda item: KINDS.index(item.key))
    found, dropped = most_different(found)
    missing += dropped
    figures = {one.laid.key: one.figures for one in found}
    units = job.units
    explanations = explained(figures, units)
    return SchemeSet(
        job=job,
        redraw=anew,
        schemes=tuple(_scheme(one, *explanations[one.laid.key]) for one in found),
        missing=tuple(missing),
        rankings=rankings(figures, units),
        verdict=verdict(figures, units, [one.laid.key for one in found if one.fault]),
        common=shared(figures, units),
        notes=base.notes,
        refused=tuple(_scheme(one, (), ()) for one in broken),
    )


def _missing(key: Key, why: str) -> Missing:
    return Missing(key=key, title=TITLES[key], why=why)


def _scheme(one: Made, pros: tuple[str, ...], cons: tuple[str, ...]) -> Scheme:
    return Scheme(
        key=one.laid.key,
        title=TITLES[one.laid.key],
        summary=one.laid.summary,
        job=one.job,
        draft=one.laid.draft,
        design=one.design,
        comparison=one.figures,
        pros=pros,
        cons=cons,
        asks=one.laid.asks,
        fault=one.fault,
        helps=helps(one.laid, one.design) if one.fault else (),
    )


def _made(job: Job, base: Base, key: Key) -> Made | Missing:
    """A scheme of one kind, designed; or why it cannot be laid out."""
    with stage("schemes"):
        laid = lay(base, key)
    if isinstance(laid, Missing):
        return laid
    return _with_figures(*_designed(job, base, laid))


def _with_figures(laid: Laid, job: Job, result: Design) -> Made:
    figures = compared(result)
    fault = against(laid, result, figures)
    return Made(laid=laid, job=job, design=result, figures=figures, ways=ways_of(result), fault=fault)


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
    """The lot with basins clear of footings, no join to too small a pipe, room for the soakaway; None: all is well."""
    found = base
    station = result.system.station_named(base.basin)
    if base.basin_free and station is not None and in_wedge(base.site, station.at, hole := hole_of(base.site, station)):
        found = replace(found, basin_at=placed_basin(base.site, base.chains, base.yard, hole))
    for words in laid.draft.more_basins:
        more = result.system.station_named(str(words["name"]))
        if more is not None and in_wedge(base.site, more.at, hole := hole_of(base.site, more)):
            found = replace(found, rain_hole=hole)
    joins = {str(words["to"]) for words in laid.draft.runs} & set(base.network.spots)
    if full := overfull_joins(base, result.system, sorted(joins)) - base.closed:
        found = replace(found, closed=base.closed | full)
    if base.spills and laid.draft.discharge and overflow_fails(result):
        found = replace(found, spills=False)
    own = {str(words["name"]) for words in laid.draft.discharge}
    for soak in result.system.soaks:
        row = (soak.count - 1) * (soak.width + APART)
        if soak.name in own and soak.kind == "infiltration trench" and soak.length > base.trench + 1e-6:
            found = replace(found, trench=soak.length)
        elif soak.name in own and soak.kind == "dry well" and row > base.wells + 1e-6:
            found = replace(found, wells=row)
    return None if found is base else found


__all__ = ["KINDS", "schemes"]
