"""A season's pump counts and rain at a job in service."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from drainwright.errors import JobError, Problem
from drainwright.job.explain import record_of
from drainwright.job.forms import or_listed
from drainwright.job.loading import MOST_PROBLEMS, Spot, decode, load, placed, read_bytes
from drainwright.job.values import Area, Day, Name, PositiveLength, RainDepth, Record, ShortText, no_boolean

NOUN = "a record of a season"
TRIPLE = "a date, its rain and the pump's starts, like [2027-03-01, 0.35 in, 14]"
Starts = Annotated[int, BeforeValidator(no_boolean), Field(ge=0, le=5000)]


class OneDay(Record):
    """One day: ``[2027-03-01, 0.35 in, 14]``."""

    on: Day
    rain: RainDepth
    starts: Starts

    @model_validator(mode="before")
    @classmethod
    def _listed(cls, data: object) -> object:
        if isinstance(data, list | tuple):
            if len(data) != 3:
                raise ValueError(f"found {len(data)} values: expected {TRIPLE}")
            return dict(zip(("on", "rain", "starts"), data, strict=True))
        return data

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        return or_listed(schema, handler)


class Season(Record):
    """Counts and rain of days that follow each other."""

    schema_version: Literal[1]
    job: ShortText = Field(min_length=1, description="the job's number")
    basin: Name
    invented: bool = Field(default=False, description="an example")
    direct_area: Area | None = Field(default=None, description="roof and paving led to the basin; left out: none")
    reach: PositiveLength | None = Field(
        default=None, description="from the drain to where the water table is left alone; left out: the design's"
    )
    days: tuple[OneDay, ...] = Field(min_length=20, max_length=1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonDocument:
    """A record with the places of its parts."""

    season: Season
    name: str  # file name for errors
    spots: Mapping[str, Spot]

    def refused(self, problems: tuple[Problem, ...]) -> JobError:
        """The problems of a later stage, with file and line."""
        return JobError(placed(problems, self.name, self.spots)[:MOST_PROBLEMS])


def read_season(path: str | Path) -> SeasonDocument:
    """Read a season, YAML or (by its ending) JSON.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    path = Path(path)
    return read_season_text(decode(read_bytes(path, f"{NOUN} (.yaml or .json)"), str(path)), str(path))


def read_season_text(text: str, name: str = "season.yaml") -> SeasonDocument:
    """Read a season from text; ``name`` is what the errors call it.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    loaded = load(text, name, NOUN, "job")
    season = record_of(Season, loaded, name)
    document = SeasonDocument(season=season, name=name, spots=loaded.spots)
    problems = tuple(
        Problem(where=f"days[{number}]", found=after.on.isoformat(), expected=f"the day after {before.on.isoformat()}")
        for number, (before, after) in enumerate(pairwise(season.days), start=1)
        if (after.on - before.on).days != 1
    )
    if problems:
        raise document.refused(problems)
    return document


__all__ = ["OneDay", "Season", "SeasonDocument", "read_season", "read_season_text"]
