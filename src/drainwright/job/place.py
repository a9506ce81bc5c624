"""The rules of the place, and rain: what the location demands and gives. Each rule carries its source and date."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from drainwright.job.values import (
    Amount,
    Basis,
    Count,
    Day,
    Duration,
    Fact,
    Fraction,
    Length,
    Number,
    Period,
    PositiveSize,
    RainDepth,
    Record,
    ShortText,
    Size,
    Text,
    si,
)
from drainwright.job.works import OutletKind

Standing = Literal["allowed", "permit needed", "forbidden", "unknown"]
Seal = Literal["yes", "no", "not known"]


class OutletRule(Record):
    """What the place says of one way out."""

    kind: OutletKind
    standing: Fact[Standing]
    boundary_setback: Length | None = None
    note: ShortText = ""


class PlaceRule(Record):
    """One thing that the place demands or wants asked, in its own words; a person ticks it."""

    demand: Text = Field(min_length=1)
    about: Literal["outlet", "digging", "electricity", "trees", "boundary", "other"] = "outlet"
    source: ShortText = ""
    date: Day | None = Field(default=None, description="on which it was looked up")
    met: bool | None = Field(default=None, description="left out: not yet known")


class Rules(Record):
    """What the place demands. Defaults are the usual values, marked assumed until someone looks them up."""

    name: ShortText = ""
    code_edition: Fact[ShortText] = Field(default=Fact(value="IRC 2021", basis=Basis.ASSUMED))
    locate_notice: Fact[Count] = Field(default=Fact(value=3, basis=Basis.ASSUMED), description="working days")
    ticket_life: Fact[Count] = Field(default=Fact(value=15, basis=Basis.ASSUMED), description="working days")
    tolerance_zone: Fact[PositiveSize] = Field(
        default=Fact(value=si(0.6096), basis=Basis.ASSUMED),
        description="each side of the marked line's outside",
    )
    outlets: tuple[OutletRule, ...] = ()
    boundary_setback: Fact[Length] = Field(default=Fact(value=si(1.524), basis=Basis.ASSUMED))
    house_setback: Fact[Length] = Field(default=Fact(value=si(3.048), basis=Basis.ASSUMED))
    frost_depth: Fact[Size] = Field(default=Fact(value=si(0.0), basis=Basis.ASSUMED))
    deposit_fraction: Fact[Fraction] = Field(default=Fact(value=0.333, basis=Basis.ASSUMED))
    deposit_cap: Fact[Amount] | None = Field(default=None, description="in the job's currency")
    payments_follow_work: Fact[bool] = Field(
        default=Fact(value=True, basis=Basis.ASSUMED),
        description="whether nothing but the deposit may be paid ahead of the work that stands",
    )
    cancellation_days: Fact[Count] = Field(default=Fact(value=3, basis=Basis.ASSUMED), description="business days")
    house_foundation_letters: Fact[bool] = Field(
        default=Fact(value=True, basis=Basis.ASSUMED),
        description="whether OSHA's 1995 letters on house foundations are followed here (a state plan may differ)",
    )
    root_zone_per_diameter: Fact[Number] = Field(
        default=Fact(value=18.0, basis=Basis.ASSUMED),
        description="critical root radius over trunk diameter (1.5 ft per in is 18)",
    )
    water_sewer_separation: Fact[Size] = Field(default=Fact(value=si(0.4572), basis=Basis.ASSUMED))
    soak_house_setback: Fact[Length] = Field(default=Fact(value=si(3.048), basis=Basis.ASSUMED))
    soak_boundary_setback: Fact[Length] = Field(default=Fact(value=si(1.524), basis=Basis.ASSUMED))
    soak_above_water: Fact[Length] = Field(
        default=Fact(value=si(0.6096), basis=Basis.ASSUMED), description="bottom of a soakaway over the high water"
    )
    open_trench_inspection: Fact[bool] = Field(
        default=Fact(value=False, basis=Basis.ASSUMED),
        description="whether the place looks at drains in the open trench before they are covered",
    )
    professional_seal: Fact[Seal] = Field(
        default=Fact(value="not known", basis=Basis.ASSUMED),
        description="whether the place wants a licensed professional's seal on the drawings of such work",
    )
    checklist: tuple[PlaceRule, ...] = Field(default=(), max_length=60)


class RainRow(Record):
    """Depths for one duration, one for each return period of the table."""

    duration: Duration
    depths: tuple[RainDepth, ...] = Field(min_length=1)
    low: tuple[RainDepth, ...] = Field(default=(), description="lower bounds (90 %), where the table gives them")
    high: tuple[RainDepth, ...] = Field(default=(), description="upper bounds (90 %), where the table gives them")


class Rain(Record):
    """The rain of the place: a depth-duration-frequency table in the job or in a file beside it."""

    source: ShortText = ""
    basis: Basis = Basis.STATED
    return_periods: tuple[Period, ...] = ()
    table: tuple[RainRow, ...] = ()
    file: ShortText | None = Field(default=None, description="a depth table as NOAA Atlas 14 serves it (CSV)")
    spread: Fraction | None = Field(
        default=None, description="a depth may lie so much above or below the table; left out: bounds, or by the basis"
    )
    distribution: Literal["nested", "type I", "type IA", "type II", "type III", "block"] = "nested"

    @model_validator(mode="after")
    def _one_table(self) -> Rain:
        if bool(self.table) == (self.file is not None):
            raise ValueError("expected either a 'table' with 'return_periods', or a 'file'")
        many = len(self.return_periods)
        for number, row in enumerate(self.table):
            if len(row.depths) != many:
                found = f"{len(row.depths)} depths in row {number} of 'table'"
                raise ValueError(f"found {found}: expected {many}, one for each return period")
            for name, bounds, sign in (("low", row.low, 1.0), ("high", row.high, -1.0)):
                if bounds and len(bounds) != many:
                    raise ValueError(f"found {len(bounds)} bounds '{name}' in row {number} of 'table': expected {many}")
                if any(bound <= 0.0 for bound in bounds):
                    raise ValueError(f"found a '{name}' of zero in row {number} of 'table': expected bounds above zero")
                if any(sign * bound > sign * depth for bound, depth in zip(bounds, row.depths, strict=False)):
                    raise ValueError(
                        f"found a '{name}' beyond its depth in row {number} of 'table': expected low <= depth <= high"
                    )
        return self


__all__ = ["OutletRule", "PlaceRule", "Rain", "RainRow", "Rules", "Standing"]
