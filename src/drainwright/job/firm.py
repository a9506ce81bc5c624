"""The firm's side: who does it, with what, and at which prices."""

from __future__ import annotations

from typing import Annotated, Literal
from urllib.parse import urlsplit

from pydantic import AfterValidator, BeforeValidator, Field, StringConstraints, model_validator

from drainwright.job.accent import PLAIN_ACCENT, dark_enough
from drainwright.job.firm_book import FirmBook, PaidHours
from drainwright.job.values import (
    Count,
    Day,
    Fraction,
    LoadVolume,
    Money,
    Number,
    Payload,
    PositiveSize,
    Record,
    Round,
    ShortText,
    Text,
    si,
)

Accent = Annotated[str, BeforeValidator(dark_enough), Field(pattern=r"^#[0-9a-fA-F]{6}$")]
Logo = Annotated[str, StringConstraints(max_length=300_000)]
LostShare = Annotated[Fraction, Field(le=0.9)]
NUMBER = "{number}"  # stands for the job's number in the address of its page


def _page(text: str) -> str:
    """The address of a job's page: https, a host, and the number once in what follows it."""
    if not text:
        return text
    wrong = f"found {text[:60]!r}: expected an address like 'https://jobs.example/{NUMBER}'"
    try:
        parts = urlsplit(text)
        host, port = parts.hostname, parts.port
    except ValueError:
        raise ValueError(wrong) from None
    rest = text.replace(NUMBER, "", 1)
    plain = text.isascii() and text.isprintable() and not set(rest) & set(' {}<>"\\^`|')
    if parts.scheme != "https" or not host or port == 0 or "@" in parts.netloc or NUMBER in parts.netloc:
        raise ValueError(wrong)
    if not plain or rest == text:
        raise ValueError(wrong)
    return text


class FirmWords(Record):
    """What the papers say of the contractor: in the job, or in a file that serves all of its jobs."""

    name: ShortText = ""
    address: ShortText = ""
    phone: ShortText = ""
    email: ShortText = ""
    licence: ShortText = ""
    insurance: ShortText = ""
    warranty: Text = ""
    terms: Text = ""
    exclusions: tuple[Text, ...] = Field(default=(), max_length=30, description="what this firm never includes")
    cancellation: Text = Field(default="", description="wording of the notice of cancellation, looked over by a lawyer")
    logo: Logo = Field(default="", description="a PNG, JPEG or SVG file beside the job")
    colour: Accent = Field(default=PLAIN_ACCENT, description="of headings, as #rrggbb; dark enough on white")
    job_page: Annotated[ShortText, AfterValidator(_page)] = Field(
        default="",
        description="address of a job's page, with {number} for the job's number; the handover paper opens it by a "
        "code",
    )


class FirmFile(FirmWords):
    """The settings of a firm as a document of its own."""

    schema_version: Literal[1]
    name: ShortText = Field(min_length=1)


class Firm(FirmWords):
    """The contractor, as the papers name it."""

    file: ShortText | None = Field(default=None, description="the firm's settings, a YAML file beside the job")


class Customer(Record):
    """Whom the work is for."""

    name: ShortText = ""
    phone: ShortText = ""
    email: ShortText = ""
    address: ShortText = ""
    budget: Money | None = None


Weekday = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]


class BookedVisit(Record):
    """Somebody who is not of the crew and comes on a day that is agreed."""

    who: Literal["inspector", "electrician", "electrical inspector", "customer", "line's owner"] = Field(
        description="who comes; a line's owner to the digging that meets that line"
    )
    on: Day = Field(description="the agreed day, on or after 'crew.start'")
    line: ShortText = Field(default="", description="of the line's owner: the buried line's name")

    @model_validator(mode="after")
    def _whose(self) -> BookedVisit:
        if (self.who == "line's owner") != bool(self.line):
            raise ValueError(f"found {self.who!r} and the line {self.line!r}: expected a line for its owner alone")
        return self


class Crew(Record):
    """The people, the day, and the days on which they work."""

    size: Count = Field(default=4, ge=1, le=30)
    hours_per_day: Number = Field(default=8.0, gt=0, le=16)
    start: Day | None = None
    week: tuple[Weekday, ...] = Field(
        default=("Mon", "Tue", "Wed", "Thu", "Fri"), min_length=1, max_length=7, description="days that are worked"
    )
    holidays: tuple[Day, ...] = Field(default=(), max_length=60, description="days off within the week")
    rain_days: tuple[Day, ...] = Field(
        default=(), max_length=60, description="days with rain in the forecast: nobody digs or coats then"
    )
    lost_days: tuple[LostShare, ...] = Field(
        default=(),
        max_length=12,
        description="share of working days lost to weather, January to December; left out: 15 %, assumed",
    )
    visits: tuple[BookedVisit, ...] = Field(
        default=(), max_length=20, description="of others on agreed days: what waits for them starts no earlier"
    )

    @model_validator(mode="after")
    def _whole_year(self) -> Crew:
        if len(self.lost_days) not in (0, 12):
            raise ValueError(f"found {len(self.lost_days)} shares in 'lost_days': expected 12, January to December")
        if len(set(self.week)) != len(self.week):
            raise ValueError("found a day twice in 'week': expected each day once")
        return self


class Equipment(Record):
    """What digs and carries: a machine is used where it is set here, and hired unless the firm owns it."""

    barrow: Round = Field(default=si(0.0991), description="soil that one round carries (3.5 ft3)")
    trailer_volume: LoadVolume = Field(default=si(3.8228), description="heaped loose (5 yd3)")
    trailer_payload: Payload = Field(default=si(3175.0), description="what it may lawfully carry (7,000 lb)")
    trailer_full: bool = Field(default=False, description="fill to the volume (true), or stop at the payload (false)")
    excavator: bool = Field(default=False, description="a small excavator digs what may be dug by machine")
    carrier: bool = Field(default=False, description="a powered barrow carries spoil and stone")
    owned: tuple[Literal["excavator", "carrier", "shields", "paving saw", "paving breaker"], ...] = Field(
        default=(), max_length=5, description="machines of the firm's own; others are hired by the day"
    )
    lacks: tuple[
        Literal[
            "laser", "pipe saw", "hole saw", "drill", "drill bit", "tamper", "barrow", "spade", "ladder", "mixer",
            "trench pump", "plate compactor", "wet-film gauge", "thread tape",
        ],
        ...,
    ] = Field(
        default=(), max_length=14,
        description="common tools that the firm has not: hired by the day; hole saws, gauges and tape bought",
    )  # fmt: skip

    @model_validator(mode="after")
    def _takes_a_round(self) -> Equipment:
        if self.trailer_volume < self.barrow:
            raise ValueError("found a trailer smaller than one round of the barrow: expected one that takes a round")
        return self


class FirmPipe(Record):
    """A pipe that the firm lays: one of the catalogue, as the firm buys it and drills for it."""

    pipe: ShortText = Field(description="catalogue key: 'd3034 4 in'")
    lengths: tuple[PositiveSize, ...] = Field(
        default=(), max_length=6, description="sticks that the firm buys; left out: all that are sold"
    )
    hole: PositiveSize | None = Field(
        default=None, description="the firm's hole saw for it through a basin's wall; left out: the common one"
    )


class PriceBook(Record):
    """The firm's own prices and rates: its book in a file, and single ones by key that outrank the book."""

    file: ShortText | None = Field(default=None, description="the firm's price book, a YAML file beside the job")
    book: FirmBook | None = Field(default=None, description="the book itself, where it is not in a file")
    prices: dict[ShortText, Money] = Field(default_factory=dict, description="per unit of the item, by key")
    rates: dict[ShortText, Number] = Field(default_factory=dict, description="production rates, by key")
    labour: Money | None = Field(default=None, description="wage per hour before burden")
    burden: Fraction | None = None
    least_paid_hours: PaidHours | None = Field(
        default=None, description="hours paid at least to each person on each day; 0: what is worked; left out: 4"
    )
    travel_hours: PaidHours | None = Field(
        default=None, description="hours to the job and back, paid to each person on each day; left out: 0.5"
    )
    overhead: Fraction | None = Field(default=None, description="of direct cost")
    profit_margin: Fraction | None = Field(default=None, description="of the price, not of the cost")
    contingency: Fraction | None = None
    sales_tax: Fraction | None = None
    dated: Day | None = Field(default=None, description="of the prices and rates given here")

    @model_validator(mode="after")
    def _one_book(self) -> PriceBook:
        if self.file is not None and self.book is not None:
            raise ValueError("found both 'file' and 'book': expected one of them")
        return self


__all__ = ["Crew", "Customer", "Equipment", "Firm", "FirmFile", "FirmPipe", "FirmWords", "PriceBook"]
