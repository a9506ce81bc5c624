"""Read a study file: what to run, how it varies, which rain, which figures to keep."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import (
    Discriminator,
    Field,
    Tag,
    ValidationError,
    ValidationInfo,
    field_validator,
    model_validator,
)

from drainwright.errors import InputError, JobError, Problem
from drainwright.job.beside import file_beside
from drainwright.job.changes import changed_job
from drainwright.job.explain import problems_of
from drainwright.job.loading import Spot, decode, join, load, nearest, read_bytes, short
from drainwright.job.model import Job
from drainwright.job.names import near
from drainwright.job.reading import read_document
from drainwright.job.schema import described
from drainwright.job.values import Length, Record, ShortText
from drainwright.job.writing import to_json
from drainwright.studies.figures import names_of_kind
from drainwright.studies.model import Run, Study, digest, run_key
from drainwright.studies.rains import Stretch, made_years, record_years
from drainwright.studies.varying import count_of, range_of, rows_of

if TYPE_CHECKING:
    from drainwright.storm.years.model import SpellRain

MOST_RUNS = 1_000_000
MOST_TRIED = 200  # changes tried on a job before the study starts; of the rest a run tells what is wrong
_YEARS = re.compile(r"(\d{4})\s+to\s+(\d{4})")


class Made(Record):
    """Rain that a process makes, fitted to the job's rain table."""

    seed: int = Field(ge=0, le=2**31)
    years: int = Field(ge=1, le=1_000)
    yearly_depth: Length | None = None


class RainChoice(Record):
    """One rain, or a run of years of rain."""

    return_period: ShortText | None = None
    duration: ShortText | None = None
    distribution: ShortText | None = None
    record: ShortText | None = Field(default=None, description="a rain record (CSV) beside the study")
    unit: Literal["in", "mm"] | None = None
    years: tuple[int, ...] | ShortText = ()
    made: Made | None = None

    @field_validator("return_period", "duration", mode="before")
    @classmethod
    def _with_unit(cls, value: object, info: ValidationInfo) -> object:
        if isinstance(value, int | float) and not isinstance(value, bool):
            unit = "yr" if info.field_name == "return_period" else "h"
            raise ValueError(f"expected a number with its unit, like '{value:g} {unit}'")
        return value

    @model_validator(mode="after")
    def _one_kind(self) -> RainChoice:
        table = bool(self.return_period or self.distribution)
        if table + (self.record is not None) + (self.made is not None) > 1 or not self.model_fields_set:
            raise ValueError("expected one of 'return_period' (with 'distribution'), 'record' or 'made'")
        if self.duration and (self.record or self.made):
            raise ValueError("expected 'duration' only with a 'return_period': a year of rain is stepped through")
        if self.record is None and (self.unit or self.years):
            raise ValueError("expected 'unit' and 'years' only with a 'record'")
        return self


def _form(value: object) -> str:
    """Which form of a value is meant, so that only that form's faults are told."""
    return {bool: "truth", int: "whole", float: "number", list: "list", dict: "mapping"}.get(type(value), "text")


Scalar = Annotated[
    Annotated[str, Tag("text")]
    | Annotated[int, Tag("whole")]
    | Annotated[float, Tag("number")]
    | Annotated[bool, Tag("truth")],
    Discriminator(lambda value: form if (form := _form(value)) in ("truth", "whole", "number") else "text"),
]
Axis = Annotated[
    Annotated[list[Scalar], Field(min_length=1), Tag("list")] | Annotated[str, Tag("text")],
    Discriminator(lambda value: "text" if isinstance(value, str) else "list"),
]
Variety = Annotated[
    Annotated[dict[str, Axis], Tag("mapping")] | Annotated[list[dict[str, Scalar]], Tag("list")],
    Discriminator(lambda value: "list" if _form(value) == "list" else "mapping"),
]


class StudyFile(Record):
    """The study as it is written."""

    study: ShortText = Field(min_length=1)
    kind: Literal["storm", "design"] = "storm"
    jobs: tuple[ShortText, ...] = Field(min_length=1)
    vary: Variety = Field(default_factory=dict)
    sample: Annotated[int, Field(ge=1, le=MOST_RUNS)] | None = None
    seed: int = Field(default=0, ge=0, le=2**31)
    rain: tuple[RainChoice, ...] = ()
    keep: tuple[ShortText, ...] = ()


def study_schema() -> dict[str, Any]:
    """The JSON Schema of a study."""
    return described(StudyFile, "study", "study")


def read_study(path: str | Path) -> Study:
    """Read a study file (YAML, or JSON by its ending) and all that it names.

    Parameters
    ----------
    path : str | Path
        The file. Jobs and rain records are looked for beside it or below.

    Returns
    -------
    Study
        Its runs, numbered and keyed.

    Raises
    ------
    JobError
        Lists what is wrong, with lines.
    """
    path = Path(path)
    name = str(path)
    try:
        loaded = load(decode(read_bytes(path), name), name)
    except JobError as error:
        raise JobError(tuple(_of_a_study(problem) for problem in error.problems)) from None
    try:
        written = StudyFile.model_validate(loaded.record)
    except ValidationError as error:
        raise JobError(problems_of(error, StudyFile, loaded.record, name, loaded.spots)) from None
    try:
        return _study(written, path.parent)
    except JobError as error:
        raise JobError(tuple(_placed(problem, name, loaded.spots) for problem in error.problems)) from None


def _of_a_study(problem: Problem) -> Problem:
    """What is wrong with a document as such, in the words of a study: the reader speaks of jobs."""
    if not problem.expected.startswith("a job"):
        return problem
    expected = problem.expected.replace("a job", "a study", 1).replace("'title: ...'", "'study: ...'")
    return replace(problem, expected=expected, hint="begin with: study: its title" if problem.hint else "")


def _study(written: StudyFile, folder: Path) -> Study:
    problems = [*_own_faults(written)]
    jobs: list[Job] = []
    for number, name in enumerate(written.jobs):
        try:
            jobs.append(read_document(file_beside(name, folder, f"jobs[{number}]", "job.yaml", "a job file")).job)
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(tuple(problems))
    texts = [to_json(job) for job in jobs]
    keys = [digest(text) for text in texts]
    for number, key in enumerate(keys):
        if key in keys[:number]:
            same = written.jobs[keys.index(key)]
            raise _fault(f"jobs[{number}]", f"the same job as {same!r}", "each job once")
    rows = rows_of(written.vary, written.sample, written.seed)
    for name, text in zip(written.jobs, texts, strict=True):
        problems += _tried(written, text, name)
    if problems:
        raise JobError(tuple(problems))
    runs: list[Run] = []
    stretches: dict[str, SpellRain] = {}
    for job, key in zip(jobs, keys, strict=True):
        rains = _rains(written, job, folder, stretches)
        if len(jobs) * len(rows) * len(rains) > MOST_RUNS:
            raise _fault("rain", f"{len(jobs) * len(rows) * len(rains):,} runs", f"at most {MOST_RUNS:,}")
        runs += [
            Run(number=0, job=key, changes=row, rain=rain, key=run_key(written.kind, key, row, rain))
            for row in rows
            for rain in rains
        ]
    return Study(
        title=written.study,
        kind=written.kind,
        jobs=dict(zip(keys, texts, strict=True)),
        job_names=dict(zip(keys, written.jobs, strict=True)),
        runs=tuple(replace(run, number=number) for number, run in enumerate(runs, start=1)),
        keep=written.keep,
        seed=written.seed if written.sample else None,
        rains=stretches,
    )


def _own_faults(written: StudyFile) -> Iterator[Problem]:
    """What is at odds within the study file."""
    known = names_of_kind(written.kind)
    for number, name in enumerate(written.keep):
        if name.split(": ")[0] not in known:
            yield Problem(where=f"keep[{number}]", found=repr(name), expected="a figure", hint=near(name, known))
    if len(set(written.jobs)) < len(written.jobs):
        yield Problem(where="jobs", found="a job that stands twice", expected="each job once")
    ranges = 0
    if isinstance(written.vary, dict):
        for key, value in written.vary.items():
            if isinstance(value, str):
                ranges += 1
                try:
                    range_of(value)
                except InputError as error:
                    found, _, expected = str(error).removeprefix("found ").partition(": expected ")
                    yield Problem(where=join("vary", key), found=found, expected=f"a list of values, or {expected}")
    if ranges and not written.sample:
        yield Problem(where="vary", found="a range, but no 'sample'", expected="'sample: 100', how many to draw")
    if written.sample and not ranges:
        yield Problem(
            where="sample", found="a sample, but no range under 'vary'", expected="'KEY: 18 in to 30 in' there"
        )
    if count_of(written.vary, written.sample) > MOST_RUNS:
        yield Problem(where="vary", found="too many runs", expected=f"at most {MOST_RUNS:,}")
    fitted = [key for key in _varied(written) if key.startswith("rain.") and key != "rain.distribution"]
    for number, rain in enumerate(written.rain):
        if rain.made and fitted:
            yield Problem(
                where=f"rain[{number}]",
                found=f"rain made to the job's table, while {fitted[0]!r} varies",
                expected="a study for each table, or rain of a record",
            )
        if written.kind == "design" and (rain.record or rain.made):
            yield Problem(
                where=f"rain[{number}]",
                found="a year of rain in a study of designs",
                expected="'return_period'; years of rain go with 'kind: storm'",
            )


def _varied(written: StudyFile) -> Iterator[str]:
    for row in [written.vary] if isinstance(written.vary, dict) else written.vary:
        yield from row


def _tried(written: StudyFile, text: str, job: str) -> Iterator[Problem]:
    """Each change tried alone on a job (rows as a whole); what the job would refuse, at its place in the study."""
    trials: list[tuple[str, dict[str, Any]]] = []
    if isinstance(written.vary, dict):
        for key, value in written.vary.items():
            if isinstance(value, str):
                trials += [(join("vary", key), {key: range_of(value).at(share)}) for share in (0.0, 1.0)]
            else:
                trials += [(join(join("vary", key), n), {key: one}) for n, one in enumerate(value)]
    else:
        trials += [(f"vary[{number}]", dict(row)) for number, row in enumerate(written.vary)]
    places = {"return_period": "criteria.storm_return_period", "duration": "criteria.storm_duration"}
    places["distribution"] = "rain.distribution"
    for number, rain in enumerate(written.rain):
        told = {key: value for name, key in places.items() if (value := getattr(rain, name)) is not None}
        if told:
            trials.append((f"rain[{number}]", told))
    for where, changes in trials[:MOST_TRIED]:
        try:
            changed_job(text, changes)
        except JobError as error:
            problem = error.problems[0]
            last = next((key for key in changes if problem.where.startswith(key)), "")
            at = join(where, last) if where.startswith("vary[") and last else where
            part = "" if problem.where in changes else f" (at {problem.where} of {job})"
            yield Problem(where=at, found=problem.found + part, expected=problem.expected, hint=problem.hint)


def _rains(written: StudyFile, job: Job, folder: Path, stretches: dict[str, SpellRain]) -> list[dict[str, Any]]:
    """What each rain of the study is to a run of a job; years of rain are put with the stretches."""
    found: list[dict[str, Any]] = []
    for number, choice in enumerate(written.rain):
        where = f"rain[{number}]"
        new: list[Stretch] = []
        try:
            if choice.record is not None:
                path = file_beside(choice.record, folder, f"{where}.record", "rain.csv", "a 'return_period'")
                new = record_years(path, choice.unit, _years(choice.years, f"{where}.years"))
            elif choice.made is not None:
                made = choice.made
                new = [made_years(job, made.seed, made.years, made.yearly_depth)]
            else:
                found.append(
                    choice.model_dump(include={"return_period", "duration", "distribution"}, exclude_none=True)
                )
        except InputError as error:
            words, _, expected = str(error).partition("; expected ")
            raise _fault(where, words, expected or "rain that can be used") from None
        for stretch in new:
            stretches[stretch.key] = stretch.rain
            found += stretch.years
    return found or [{}]


def _years(years: tuple[int, ...] | str, where: str) -> tuple[int, ...]:
    if not isinstance(years, str):
        return years
    match = _YEARS.fullmatch(years.strip())
    if years.strip() == "all":
        return ()
    if match is None or int(match[1]) > int(match[2]):
        raise _fault(where, short(years), "'all', '1990 to 1999' or a list of years")
    return tuple(range(int(match[1]), int(match[2]) + 1))


def _fault(where: str, found: str, expected: str) -> JobError:
    return JobError((Problem(where=where, found=found, expected=expected),))


def _placed(problem: Problem, name: str, spots: Mapping[str, Spot]) -> Problem:
    if problem.file and problem.file != name:
        return problem
    spot = spots.get(nearest(problem.where, spots))
    line, column = (spot.line, spot.column) if spot else (None, None)
    return replace(problem, file=name, line=line, column=column)


__all__ = ["MOST_RUNS", "StudyFile", "read_study", "study_schema"]
