"""The whole job, stage by stage: ``design(job)``."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from drainwright.build.model import Build
from drainwright.errors import stage
from drainwright.field.model import Site
from drainwright.findings.model import Answer, Finding, Severity
from drainwright.job.model import Job
from drainwright.kept import Kept, keeping
from drainwright.storm.model import StormTest
from drainwright.system.model import System
from drainwright.water.model import Inflows
from drainwright.water.moisture_model import MoistureSources
from drainwright.worksheet import Step

if TYPE_CHECKING:
    from drainwright.build.remedies import PricedPrevention, RemedyCost
    from drainwright.findings.place_checks import PlaceCheck
    from drainwright.storm.failures.remedy import Remedy
    from drainwright.water.flow_net import FlowNet


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """A job, designed. Same job in, same design out, to the last digit."""

    job: Job
    site: Site
    inflows: Inflows
    system: System
    storm: StormTest
    build: Build
    findings: tuple[Finding, ...]
    answers: tuple[Answer, ...]
    moisture: MoistureSources
    steps: tuple[Step, ...]  # the worksheet
    checks: tuple[PlaceCheck, ...] = ()  # what the place demands or must be asked
    kept: Kept = field(default_factory=Kept, repr=False, compare=False)  # for the next design that is like it

    @property
    def sound(self) -> bool:
        """Whether no finding fails."""
        return all(finding.severity is not Severity.FAILS for finding in self.findings)


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A job, laid out and graded: how it is built, what it costs and how it stands in a storm are not known yet."""

    job: Job
    site: Site
    inflows: Inflows
    system: System
    moisture: MoistureSources
    laying: tuple[Step, ...]  # of the worksheet
    kept: Kept = field(default_factory=Kept, repr=False, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A job, designed but for its storm test: nothing of it is proven yet."""

    job: Job
    site: Site
    inflows: Inflows
    system: System
    build: Build  # hangs on no storm
    moisture: MoistureSources
    laying: tuple[Step, ...]  # of the worksheet, ahead of the storm's
    building: tuple[Step, ...]  # after the storm's
    kept: Kept = field(default_factory=Kept, repr=False, compare=False)


def lay(job: Job, like: Laid | Begun | Design | None = None) -> Laid:
    """Carry a job as far as its lines lie and have their grades: the first answer, within a part of the time.

    Parameters
    ----------
    job : Job
        A validated job document; files that it names have been read.
    like : Laid, Begun or Design, optional
        As ``design`` takes it.

    Returns
    -------
    Laid
        What ``design`` gives of the same job, as far as it goes.

    Raises
    ------
    JobError
        If the job cannot be computed with.
    StageError
        If a stage breaks down on it; names the stage.
    """
    from drainwright.worksheet import worksheet

    with keeping(None if like is None else like.kept) as kept, worksheet() as laying:
        site, water, moisture, system = _laid_out(job)
    return Laid(
        job=job, site=site, inflows=water, system=system, moisture=moisture, laying=tuple(laying), kept=kept
    )  # fmt: skip


def begin(job: Job, like: Begun | Design | None = None) -> Begun:
    """Carry a job through all stages that need no storm, as ``lay`` and ``build_on`` do one after the other.

    Parameters
    ----------
    job : Job
        A validated job document; files that it names have been read.
    like : Begun or Design, optional
        As ``design`` takes it.

    Returns
    -------
    Begun
        What ``design`` gives of the same job, as far as it goes.

    Raises
    ------
    JobError, StageError
        As ``lay``.
    """
    return build_on(lay(job, like), like)


def build_on(laid: Laid, like: Begun | Design | None = None) -> Begun:
    """How what is laid out is built, and what it costs.

    Parameters
    ----------
    laid : Laid
        From ``lay``.
    like : Begun or Design, optional
        As ``design`` takes it.

    Returns
    -------
    Begun
        What ``design`` gives of the same job, but for its storm.

    Raises
    ------
    JobError, StageError
        As ``lay``.
    """
    from drainwright.build import build_side
    from drainwright.worksheet import worksheet

    with keeping(None if like is None else like.kept, laid.kept), worksheet() as building, stage("dig and price"):
        built = build_side(laid.site, laid.system)
    return Begun(
        job=laid.job, site=laid.site, inflows=laid.inflows, system=laid.system, build=built, moisture=laid.moisture,
        laying=laid.laying, building=tuple(building), kept=laid.kept,
    )  # fmt: skip


def finish(begun: Begun, like: Design | None = None) -> Design:
    """Run the storm test on what is begun, and judge the whole.

    Parameters
    ----------
    begun : Begun
        From ``begin``.
    like : Design, optional
        As ``design`` takes it.

    Returns
    -------
    Design
        The same as ``design`` gives of that job.

    Raises
    ------
    JobError, StageError
        As ``design``.
    """
    from drainwright.findings import answer, asked_of_the_place, judge
    from drainwright.storm import storm_test
    from drainwright.worksheet import worksheet

    site, water, system, built, moisture = begun.site, begun.inflows, begun.system, begun.build, begun.moisture
    with keeping(None if like is None else like.kept, begun.kept):
        with worksheet() as storming, stage("storm test"):
            storm = storm_test(site, water, system)
        with worksheet() as judging:
            with stage("checks"):
                findings = judge(site, water, system, storm, built, moisture)
                checks = asked_of_the_place(site, water, system, storm, built, moisture)
            with stage("answers"):
                answers = answer(site, water, system, storm, built, moisture, findings)
    return Design(
        job=begun.job,
        site=site,
        inflows=water,
        system=system,
        storm=storm,
        build=built,
        findings=findings,
        answers=answers,
        moisture=moisture,
        steps=(*begun.laying, *storming, *begun.building, *judging),
        checks=checks,
        kept=begun.kept,
    )


def design(job: Job, like: Design | None = None) -> Design:
    """Carry a job through all stages.

    Parameters
    ----------
    job : Job
        A validated job document; files that it names have been read (see ``drainwright.job.read_job``).
    like : Design, optional
        Of a job that this one is made from by changes. What the changes do not touch is taken from there; the design
        is the same without it, to the last digit, and takes longer.

    Returns
    -------
    Design
        Site, inflows, system, storm test, build side, findings, answers and worksheet.

    Raises
    ------
    JobError
        If the job cannot be computed with (a point without a level where one is needed, a loop of runs).
    StageError
        If a stage breaks down on it; names the stage.
    """
    return finish(begin(job, like), like)


class _LaidOut(NamedTuple):
    """What is built, before anything tests or prices it."""

    site: Site
    water: Inflows
    moisture: MoistureSources
    system: System


def _laid_out(job: Job) -> _LaidOut:
    from drainwright.field import surveyed
    from drainwright.system import lay_out
    from drainwright.system.drain_levels import drain_levels
    from drainwright.system.flows import drain_runs
    from drainwright.water import inflows
    from drainwright.water.footing_drains import with_drains, with_runs
    from drainwright.water.ground_lines import with_graded_drains
    from drainwright.water.moisture import moisture_sources

    with stage("survey"):
        site = surveyed(job)
    with stage("water"):
        water = inflows(site)
        moisture = moisture_sources(site, water)
    with stage("system"):
        system = lay_out(site, water)
        drains = drain_runs(system.runs)
        water = with_drains(site, water, drains)
        water = with_graded_drains(with_runs(site, drains), water, drain_levels(site, system))
    return _LaidOut(site, water, moisture, system)


def flow_nets(design: Design) -> tuple[FlowNet, ...]:
    """The flow net at each footing drain that groundwater comes to; a tenth of a second each, so only when asked for.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of FlowNet
        In the order of the runs; empty where no groundwater comes.
    """
    from drainwright.system.flows import drain_runs
    from drainwright.water.flow_net import flow_nets as nets
    from drainwright.water.footing_drains import with_runs

    return nets(with_runs(design.site, drain_runs(design.system.runs)), design.inflows)


def remedies(design: Design, key: str | None = None) -> tuple[PricedPrevention, ...]:
    """What would prevent the harm of each failure, with its cost: the storm run again, so only when asked for.

    Parameters
    ----------
    design : Design
        The designed job.
    key : str, optional
        Of one case of the storm test.

    Returns
    -------
    tuple of PricedPrevention
        One for each failure that does harm, its remedies cheapest first.
    """
    from drainwright.build.remedies import priced
    from drainwright.storm.failures.prevention import prevented

    with keeping(design.kept):
        found = prevented(design.site, design.inflows, design.system, design.storm, key)
    costs: dict[Remedy, RemedyCost] = {}

    def cost(remedy: Remedy) -> RemedyCost:
        if remedy not in costs:
            costs[remedy] = remedy_cost(design, remedy)
        return costs[remedy]

    return tuple(priced(one, cost) for one in found)


def remedy_cost(design: Design, remedy: Remedy) -> RemedyCost:
    """What a remedy costs on top of a designed job.

    Parameters
    ----------
    design : Design
        The designed job.
    remedy : Remedy
        With its place and size.

    Returns
    -------
    RemedyCost
        Of what the job document can say, the price of the job designed with it less that of the job as it is, to the
        cent that of the same choice in an offer: material, labour, hire, overhead, contingency, profit and tax. Of
        anything else, its parts and hours by the price book with the same shares.
    """
    from drainwright.build import build_side
    from drainwright.build.remedies import RemedyCost, cost_of
    from drainwright.job.changes import changed_job
    from drainwright.job.writing import to_json
    from drainwright.storm.failures.as_change import as_change
    from drainwright.worksheet import quiet

    changes = as_change(remedy, design.site, design.system)
    if changes is None:
        return cost_of(remedy, design.site, design.system)
    with quiet(), keeping(design.kept):
        laid = _laid_out(changed_job(to_json(design.job), changes))
        with stage("dig and price"):
            built = build_side(laid.site, laid.system)
    more = built.price.total - design.build.price.total
    return RemedyCost(
        total=max(more, Decimal("0.00")), yearly=False, currency=built.price.currency, invented=built.price.invented
    )


__all__ = ["Begun", "Design", "begin", "design", "finish", "flow_nets", "remedies", "remedy_cost"]
