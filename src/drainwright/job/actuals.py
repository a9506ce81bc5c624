"""What a job really took: hours by task, loads, purchases, days lost, written by hand when it is done."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from drainwright.errors import JobError, Problem
from drainwright.job.explain import record_of
from drainwright.job.forms import or_plain
from drainwright.job.loading import MOST_PROBLEMS, Spot, decode, load, placed, read_bytes
from drainwright.job.values import Count, Day, Fraction, Money, Number, Record, ShortText, Text, no_boolean

OTHER = "other"  # the task of work that no plan had
WEATHER_FORM = "weather_days: [2026-12-11] or weather_days: [{date: 2026-12-11, what: rain}]"
LOST = ("days_lost", "lost_days", "lost", "weather", "weather_lost", "rain_days")
NOUN = "a file of actuals"
Hours = Annotated[float, BeforeValidator(no_boolean), Field(gt=0, le=5000)]
Times = Annotated[float, BeforeValidator(no_boolean), Field(ge=0.05, le=20)]
Amount = Annotated[Number, Field(gt=0)]


class WorkDone(Record):
    """Hours at one task, in all or of one day."""

    task: ShortText = Field(min_length=1, description="key of the task in the plan, or 'other'")
    hours: Hours = Field(description="person-hours")
    done: Times | None = Field(default=None, description="what was done over what was planned")
    day: Day | None = None
    what: ShortText = Field(default="", description="of other work: what it was")
    note: Text = ""

    @model_validator(mode="after")
    def _told(self) -> WorkDone:
        if self.task == OTHER and not self.what:
            raise ValueError("found other work without 'what': expected a word of what it was")
        if self.task == OTHER and self.done is not None:
            raise ValueError("found 'done' at other work: expected none, since nothing was planned of it")
        return self


class Purchase(Record):
    """One thing bought, hired or paid for."""

    item: ShortText | None = Field(default=None, min_length=1, description="key of the price book")
    what: ShortText = Field(default="", description="of a thing that the price book does not have")
    quantity: Amount = Field(description="in the price book's unit of the item")
    price: Money = Field(description="paid for each unit, without tax")
    date: Day
    supplier: ShortText = ""
    note: Text = ""

    @model_validator(mode="after")
    def _told(self) -> Purchase:
        if (self.item is None) == (not self.what):
            both = "both 'item' and 'what'" if self.what else "neither 'item' nor 'what'"
            raise ValueError(f"found {both}: expected one of them")
        return self


class WeatherDay(Record):
    """A day on which nobody could work: its date alone, or a mapping that says what it was."""

    date: Day
    what: ShortText = ""

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: object) -> object:
        return data if isinstance(data, dict | WeatherDay) or data is None else {"date": data}

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        return or_plain(schema, handler, "date")


class Actuals(Record):
    """What one job took."""

    schema_version: Literal[1]
    job: ShortText = Field(min_length=1, description="the job's number")
    finished: Day
    invented: bool = Field(default=False, description="an example")
    hours_within: Fraction = Field(default=0.1, le=1, description="how far noted hours may be off: standard error")
    work: tuple[WorkDone, ...] = Field(default=(), max_length=2000)
    loads: Count | None = Field(default=None, description="trailer loads of spoil")
    purchases: tuple[Purchase, ...] = Field(default=(), max_length=2000)
    weather_days: tuple[WeatherDay, ...] = Field(default=(), max_length=200)
    notes: Text = ""

    @model_validator(mode="before")
    @classmethod
    def _days_by_date(cls, data: object) -> object:
        if isinstance(data, dict):
            wrong = next((key for key in data if key in LOST), None)
            if wrong is not None:
                raise ValueError(f"found {wrong!r}: expected days lost by their dates, as {WEATHER_FORM}")
            days = data.get("weather_days", ())
            if not isinstance(days, list | tuple):
                raise ValueError(f"found 'weather_days' as {days!r}: expected {WEATHER_FORM}")
        return data


@dataclass(frozen=True, slots=True, kw_only=True)
class ActualsDocument:
    """Actuals with the places of their parts."""

    actuals: Actuals
    name: str  # file name for errors
    spots: Mapping[str, Spot]

    @property
    def digest(self) -> str:
        """SHA-256 of what the actuals say: the same whatever their comments and layout."""
        return hashlib.sha256(self.actuals.model_dump_json().encode()).hexdigest()

    def refused(self, problems: tuple[Problem, ...]) -> JobError:
        """The problems of a later stage, with file and line."""
        return JobError(placed(problems, self.name, self.spots)[:MOST_PROBLEMS])


def read_actuals(path: str | Path) -> ActualsDocument:
    """Read a file of actuals, YAML or (by its ending) JSON.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    path = Path(path)
    return read_actuals_text(decode(read_bytes(path, f"{NOUN} (.yaml or .json)"), str(path)), str(path))


def read_actuals_text(text: str, name: str = "actuals.yaml") -> ActualsDocument:
    """Read actuals from text; ``name`` is what the errors call it.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    loaded = load(text, name, NOUN, "job")
    actuals = record_of(Actuals, loaded, name)
    document = ActualsDocument(actuals=actuals, name=name, spots=loaded.spots)
    problems = tuple(_problems(actuals))
    if problems:
        raise document.refused(problems)
    return document


def _problems(actuals: Actuals) -> Iterator[Problem]:
    seen: dict[str, int] = {}
    late = f"a day up to 'finished', {actuals.finished.isoformat()}"
    for number, work in enumerate(actuals.work):
        where = f"work[{number}]"
        if work.day is not None and work.day > actuals.finished:
            yield Problem(where=f"{where}.day", found=work.day.isoformat(), expected=late)
        if work.done is not None:
            if work.task in seen:
                yield Problem(
                    where=f"{where}.done",
                    found=f"'done' of {work.task!r} again",
                    expected="it once for each task, for the whole of it",
                    hint=f"the first is work[{seen[work.task]}]",
                )
            seen.setdefault(work.task, number)
    for number, day in enumerate(actuals.weather_days):
        if day.date > actuals.finished:
            yield Problem(where=f"weather_days[{number}].date", found=day.date.isoformat(), expected=late)
    if not actuals.work and not actuals.purchases and actuals.loads is None:
        yield Problem(where="", found="neither work, loads nor purchases", expected="something that the job took")


__all__ = ["OTHER", "Actuals", "ActualsDocument", "Purchase", "WorkDone", "read_actuals", "read_actuals_text"]
