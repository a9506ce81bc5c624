"""Groundwater of footing drains: of those that the job names, and of those that the layout proposes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from drainwright.field.model import Site
from drainwright.job.works import Run
from drainwright.water.check import ground_check
from drainwright.water.ground import Ground, drain_inflow, ground_of, seepage_into
from drainwright.water.ground_lines import ground_lines
from drainwright.water.model import Cause, Contribution, Inflows, Seepage
from drainwright.water.uncertainty import with_bands
from drainwright.worksheet import place


def drains_water(
    site: Site, ground: Ground, drains: Sequence[Run]
) -> tuple[list[Seepage], list[Contribution], list[str]]:
    """Seepage into each drain, the same as design flows, and notes on what was assumed.

    Parameters
    ----------
    site : Site
        The surveyed site.
    ground : Ground
        As ``ground_of`` gives it.
    drains : sequence of Run
        With the duty of a footing drain.

    Returns
    -------
    list of Seepage, list of Contribution, list of str
        In the order of the drains.

    Raises
    ------
    JobError
        If a run names a wall or place that does not exist.
    """
    notes: list[str] = [*ground.notes] if drains else []
    seepage, contributions = [], []
    for run in drains:
        found, said = seepage_into(site, ground, run)
        notes += said
        seepage.append(found)
        with place(f"runs.{run.name}", "groundwater"):
            flow = drain_inflow(found.per_length, found.length)
        contributions.append(
            Contribution(
                entry=run.name, cause=Cause.GROUND, source=run.name, flow=flow, area=0.0, coefficient=0.0,
                time=0.0, intensity=0.0, return_period=0.0, basis=found.basis,
            )
        )  # fmt: skip
    return seepage, contributions, notes


def with_runs(site: Site, runs: Sequence[Run]) -> Site:
    """The site as if its job named these runs too; those that it names already stay as they are."""
    works = site.job.works
    known = {run.name for run in works.runs}
    added = tuple(run for run in runs if run.name not in known)
    if not added:
        return site
    works = works.model_copy(update={"runs": (*works.runs, *added)})
    return replace(site, job=site.job.model_copy(update={"works": works}))


def with_drains(site: Site, inflows: Inflows, drains: Sequence[Run]) -> Inflows:
    """The inflows with the groundwater of footing drains that the job leaves out and the layout proposes.

    Parameters
    ----------
    site : Site
        The surveyed site.
    inflows : Inflows
        As ``water.inflows`` gives them.
    drains : sequence of Run
        The proposed drains; those whose seepage is known already are passed over.

    Returns
    -------
    Inflows
        What ``water.inflows`` gives for a job that names the same drains.

    Raises
    ------
    JobError
        If a run names a wall or place that does not exist.
    """
    known = {item.run for item in inflows.seepage}
    added = [run for run in drains if run.name not in known]
    if not added:
        return inflows
    ground = ground_of(site)
    seepage, contributions, notes = drains_water(site, ground, added)
    together = (*inflows.seepage, *seepage)
    flows = (*inflows.contributions, *contributions)
    before = ground_check(site, inflows.contributions)  # of fewer drains
    notes = [*(note for note in inflows.notes if note not in before), *notes, *ground_check(site, flows)]
    water = replace(
        inflows,
        contributions=flows,
        seepage=together,
        notes=tuple(dict.fromkeys(notes)),
        ground_lines=ground_lines(with_runs(site, added), ground, together),
    )
    return with_bands(site, water)


__all__ = ["drains_water", "with_drains", "with_runs"]
