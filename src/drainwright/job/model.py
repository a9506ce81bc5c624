"""The job document as a whole."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from drainwright.job.firm import Crew, Customer, Equipment, Firm, FirmPipe, PriceBook
from drainwright.job.locates import Locates
from drainwright.job.moisture import MoistureTest
from drainwright.job.offer import Offer
from drainwright.job.place import Rain, Rules
from drainwright.job.site import (
    Downspout,
    Ground,
    House,
    Property,
    RoofArea,
    Symptom,
    Tree,
    Utility,
    UtilityKind,
    YardArea,
)
from drainwright.job.survey import Survey
from drainwright.job.values import Day, Record, ShortText, Text
from drainwright.job.works import Criteria, Pump, Works

SCHEMA_VERSION = 1


class Job(Record):
    """One property's work."""

    schema_version: Literal[1]
    title: ShortText = Field(min_length=1)
    number: ShortText = ""
    date: Day | None = Field(default=None, description="of the visit")
    units: Literal["US", "SI"] = "US"
    demonstration: bool = Field(default=False, description="an invented job: the papers say so")
    firm: Firm = Firm()
    customer: Customer = Customer()
    property: Property = Property()
    symptoms: tuple[Symptom, ...] = ()
    moisture_tests: tuple[MoistureTest, ...] = ()
    survey: Survey
    house: House
    ground: Ground
    rain: Rain
    roofs: tuple[RoofArea, ...] = ()
    downspouts: tuple[Downspout, ...] = ()
    yards: tuple[YardArea, ...] = ()
    utilities: tuple[Utility, ...] = ()
    utilities_absent: tuple[UtilityKind, ...] = Field(default=(), description="asked about, and not on this lot")
    locates: Locates = Locates()
    trees: tuple[Tree, ...] = ()
    works: Works
    pumps: tuple[Pump, ...] = Field(
        default=(), max_length=200, description="the firm's own, by data sheet; a design chooses from these first"
    )
    pumps_file: ShortText | None = Field(default=None, description="more of them, in a CSV file beside the job")
    pipes: tuple[FirmPipe, ...] = Field(
        default=(), max_length=100, description="that the firm lays; a design chooses among these"
    )
    pipes_file: ShortText | None = Field(default=None, description="more of them, in a CSV file beside the job")
    criteria: Criteria = Criteria()
    rules: Rules = Rules()
    crew: Crew = Crew()
    equipment: Equipment = Equipment()
    price_book: PriceBook = PriceBook()
    offer: Offer = Offer()
    notes: Text = ""


__all__ = ["SCHEMA_VERSION", "Job"]
