"""A drain's cross-section: does its stone keep the soil back, which fabric, do its openings let the water in."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from drainwright.field.words import least_sure
from drainwright.hydraulics.filters import (
    Category,
    FilterBand,
    base_category,
    filter_d15_least,
    filter_d15_most,
    opening_ratio_least,
    terzaghi_band,
)
from drainwright.hydraulics.geotextile import (
    NO_100,
    NO_FABRIC_FINES,
    fabric_class,
    fabric_flow,
    fabric_opening_most,
)
from drainwright.hydraulics.openflow import full_flow
from drainwright.hydraulics.openings import perforation_inflow
from drainwright.hydraulics.stone_flow import ergun_velocity, perforation_head
from drainwright.job.model import Job
from drainwright.job.values import Basis
from drainwright.job.works import Cloth
from drainwright.system.grains import SoilGrains, StoneGrains, soil_grains, stone_grains
from drainwright.system.model import Pipe, SizedRun
from drainwright.water.model import Inflows
from drainwright.worksheet import place, quiet

UNBLOCKED = 0.5  # share of the openings that is open in an aged drain [-]
UNCLOGGED = 0.1  # share of a fabric's flow that is left after years, common practice, no source [-]
FABRIC_HEAD = 0.05  # head that may be lost in the fabric, common practice, no source [m]
SLEEVE_GRAIN = 0.02  # size of the aggregate in a wrapped drain's sleeve, common practice, no source [m]
SLEEVE_VOIDS = 0.40  # of that sleeve, common practice, no source [-]

Keeper = Literal["the stone", "a fabric", "sand"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FabricAsked:
    """What a fabric between this soil and the stone must be, and what the job's fabric is."""

    by_class: float  # largest opening O95 by the soil's fines, AASHTO M 288 [m]
    by_grains: float  # largest opening by d85, FHWA [m]
    opening_least: float  # no finer, or it clogs [m]
    opening_most: float  # that counts: cohesive soil by its class, other soil by the stricter [m]
    permittivity_least: float  # AASHTO M 288 [1/s]
    passes: float  # that the fabric lets in of each metre of drain, nine tenths clogged [m²/s]
    fits: bool  # False: what would keep the soil back is finer than what clogs
    given: Cloth | None

    @property
    def opening(self) -> float | None:
        """Opening of the job's fabric [m]."""
        return None if self.given is None else self.given.opening.value

    @property
    def permittivity(self) -> float | None:
        """Permittivity of the job's fabric; None where its sheet does not say [1/s]."""
        return None if self.given is None or self.given.permittivity is None else self.given.permittivity.value

    @property
    def basis(self) -> Basis:
        """How the fabric is known."""
        return Basis.ASSUMED if self.given is None else self.given.opening.basis


@dataclass(frozen=True, slots=True, kw_only=True)
class Inlets:
    """The pipe's openings: against the stone, and what they let in with half of them blocked."""

    shape: Literal["hole", "slot"]
    size: float  # diameter of a hole, width of a slot [m]
    ratio: float  # the stone's least D85 over that size; infinite where an aggregate sleeve has none known [-]
    ratio_least: float  # [-]
    area: float  # of each metre of pipe [m²/m]
    length: float  # of the run [m]
    seepage: float  # design inflow of this run through its openings [m³/s]
    peak: float  # its upper bound, with the design rain straight down the loose fill over it [m³/s]
    head_design: float  # water in the stone up to the crown, over the lowest third of the pipe [m]
    head_peak: float  # water up to the stone's top [m]
    capacity_design: float  # [m³/s]
    capacity_peak: float  # [m³/s]
    basis: Basis  # of the inflow

    def speed(self, flow: float) -> float:
        """Velocity through the openings that are not blocked [m/s]."""
        open_area = self.area * self.length * UNBLOCKED
        return flow / open_area if open_area > 0.0 else 0.0

    def head_needed(self, flow: float) -> float:
        """Head that the openings need for a flow [m]."""
        if self.area <= 0.0 or self.length <= 0.0:
            return 0.0
        with quiet():
            return float(perforation_head(flow / self.length, self.area, UNBLOCKED))


@dataclass(frozen=True, slots=True, kw_only=True)
class WrappedFlow:
    """A pipe in a sleeve of aggregate: the voids beside it as a second way for the water."""

    voids_area: float  # of the sleeve [m²]
    sleeve_flow: float  # along the sleeve, full, at the run's fall [m³/s]
    pipe_flow: float  # in the pipe, full, at that fall [m³/s]
    equivalent_area: float  # pipe of its own kind that would carry both [m²]
    storage: float  # water that the sleeve's voids hold over the run [m³]

    @property
    def gain(self) -> float:
        """What the sleeve adds to the pipe's flow [-]."""
        return self.sleeve_flow / self.pipe_flow if self.pipe_flow > 0.0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainSection:
    """A perforated run in cross-section."""

    run: str
    soil: SoilGrains
    stone: StoneGrains | None  # None: a wrapped drain brings its own aggregate
    category: Category  # of the soil, NEH 633 ch. 26
    d15_most: float  # of stone that keeps the soil back, NEH 633 ch. 26 [m]
    d15_least: float  # of stone that drains it, 4 d15 [m]
    terzaghi: FilterBand
    fabric: FabricAsked
    inlets: Inlets
    wrapped: WrappedFlow | None

    @property
    def stone_filters(self) -> bool:
        """Whether even the coarsest stone of its kind keeps the soil back by itself."""
        return self.stone is not None and self.stone.d15[1] <= self.d15_most

    @property
    def stone_drains(self) -> bool:
        """Whether even the finest stone of its kind drains the soil."""
        return self.stone is None or self.stone.d15[0] >= self.d15_least

    @property
    def keeper(self) -> Keeper:
        """What should stand between soil and stone."""
        if self.stone_filters:
            return "the stone"
        sure = self.fabric.fits and self.soil.fines < NO_FABRIC_FINES and not self.soil.dispersive
        return "a fabric" if sure else "sand"


def asked_fabric(soil: SoilGrains, cloth: Cloth | None, height: float) -> FabricAsked:
    """What a fabric against a soil must be.

    Parameters
    ----------
    soil : SoilGrains
        The soil beside the drain.
    cloth : Cloth, optional
        The job's fabric; without one it is taken as non-woven.
    height : float
        Of the stone: the side that the soil's water comes through. [m]

    Returns
    -------
    FabricAsked
        Largest and least opening, least permittivity, and what it lets through.
    """
    by_class, permittivity = fabric_class(soil.fines)
    woven = cloth is not None and cloth.woven
    by_grains = fabric_opening_most(soil.d85, soil.fines, soil.uniformity, woven)
    cohesive = soil.plastic and soil.fines > 0.5
    most = by_class if cohesive else min(by_class, by_grains)
    sheet = None if cloth is None or cloth.permittivity is None else cloth.permittivity.value
    through = float(fabric_flow(permittivity if sheet is None else sheet, FABRIC_HEAD, UNCLOGGED)) * height
    return FabricAsked(
        by_class=by_class,
        by_grains=by_grains,
        opening_least=NO_100,
        opening_most=max(most, NO_100),
        permittivity_least=permittivity,
        passes=through,
        fits=most >= NO_100,
        given=cloth,
    )


def wrapped_flow(pipe: Pipe, grade: float, length: float) -> WrappedFlow:
    """Flow along a wrapped drain, its pipe and the voids of its sleeve together.

    Parameters
    ----------
    pipe : Pipe
        With an aggregate sleeve round it.
    grade : float
        Fall of the run; none or a rise carries nothing. [-]
    length : float
        Of the run. [m]
    """
    fall = max(grade, 0.0)
    sleeve = math.pi / 4.0 * (pipe.envelope**2 - pipe.outside**2)
    beside = sleeve * float(ergun_velocity(fall, SLEEVE_GRAIN, SLEEVE_VOIDS))
    inside = float(full_flow(pipe.inside, fall, pipe.manning))
    own = math.pi / 4.0 * pipe.inside**2
    # a like pipe's flow goes with area to the power 4/3 (Manning)
    larger = own * ((inside + beside) / inside) ** 0.75 if inside > 0.0 else own
    return WrappedFlow(
        voids_area=sleeve * SLEEVE_VOIDS,
        sleeve_flow=beside,
        pipe_flow=inside,
        equivalent_area=larger,
        storage=sleeve * SLEEVE_VOIDS * length,
    )


def inlets_of(run: SizedRun, stone: StoneGrains | None, inflows: Inflows, width: float) -> Inlets:
    """The openings of a run, its inflow and what they let in.

    Parameters
    ----------
    run : SizedRun
        A perforated run.
    stone : StoneGrains, optional
        Round it; None in a sleeve of its own.
    inflows : Inflows
        Of the job.
    width : float
        Of the loose fill over the run. [m]
    """
    pipe, length = run.pipe, run.length
    own = [item for item in inflows.contributions if item.entry == run.name and item.flow > 0.0]
    seepage = sum(item.flow for item in own)
    rain = max((item.intensity for item in inflows.contributions), default=0.0)
    peak = sum(max(item.flow, item.high or 0.0) for item in own) + rain * width * length
    over = run.stone_over if stone is not None else max(pipe.envelope - pipe.outside, 0.0) / 2.0
    low, high = 0.75 * pipe.inside, 0.75 * pipe.inside + over
    return Inlets(
        shape=pipe.opening_shape,
        size=pipe.opening,
        ratio=stone.d85[0] / pipe.opening if stone is not None and pipe.opening > 0.0 else math.inf,
        ratio_least=opening_ratio_least(pipe.opening_shape),
        area=pipe.perforation_area,
        length=length,
        seepage=seepage,
        peak=peak,
        head_design=low,
        head_peak=high,
        capacity_design=float(perforation_inflow(length, pipe.perforation_area, low, UNBLOCKED)),
        capacity_peak=float(perforation_inflow(length, pipe.perforation_area, high, UNBLOCKED)),
        basis=least_sure(Basis.MEASURED, *(item.basis for item in own)),
    )


def drain_sections(job: Job, inflows: Inflows, runs: Iterable[SizedRun]) -> Mapping[str, DrainSection]:
    """The cross-section of every perforated run, by the run's name; its formulas are recorded under the run.

    Parameters
    ----------
    job : Job
        Its ground, stone and cloth.
    inflows : Inflows
        What comes in through the openings.
    runs : iterable of SizedRun
        Sized and graded.
    """
    soil, given = soil_grains(job.ground), stone_grains(job.works.stone)
    found = {}
    for run in runs:
        if not run.pipe.perforated or run.pressure:
            continue
        wrapped = run.pipe.envelope > 0.0
        stone = None if wrapped or run.stone_width <= 0.0 else given
        with place(f"runs.{run.name}", "stone and fabric"):
            most = filter_d15_most(soil.d85, soil.fines, soil.dispersive)
            least = float(filter_d15_least(soil.d15, 4.0))
            height = run.stone_under + run.pipe.outside + run.stone_over if stone is not None else run.pipe.envelope
            found[run.name] = DrainSection(
                run=run.name,
                soil=soil,
                stone=stone,
                category=base_category(soil.fines),
                d15_most=most,
                d15_least=least,
                terzaghi=terzaghi_band(soil.d15, soil.d50, soil.d85),
                fabric=asked_fabric(soil, job.works.cloth, height),
                inlets=inlets_of(run, stone, inflows, run.stone_width or job.criteria.trench_width),
                wrapped=wrapped_flow(run.pipe, run.flattest, run.length) if wrapped else None,
            )
    return found


__all__ = [
    "DrainSection", "FabricAsked", "Inlets", "Keeper", "WrappedFlow", "asked_fabric", "drain_sections", "inlets_of",
    "wrapped_flow",
]  # fmt: skip
