"""What was measured when a job was done: basins pumped down by tape and clock, hoses at the inlets, levels re-shot."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, model_validator

from drainwright.errors import JobError, Problem
from drainwright.job.explain import record_of
from drainwright.job.forms import or_listed
from drainwright.job.loading import MOST_PROBLEMS, Spot, decode, load, placed, read_bytes
from drainwright.job.values import (
    Accuracy,
    Count,
    Current,
    Day,
    Duration,
    Elapsed,
    Fraction,
    Length,
    Level,
    Name,
    Place,
    PositiveLength,
    PositiveSize,
    Record,
    Round,
    ShortText,
    Size,
    Text,
    si,
)

NOUN = "a record of what was proven"
INCH = 0.0254  # exact [m]
PAIR = "a time and a length, like [30 s, 41 1/4 in]"


class TapeReading(Record):
    """One look at the tape: ``[30 s, 41 1/4 in]``."""

    time: Elapsed
    tape: Size

    @model_validator(mode="before")
    @classmethod
    def _pair(cls, data: object) -> object:
        if isinstance(data, list | tuple):
            if len(data) != 2:
                raise ValueError(f"found {len(data)} values: expected {PAIR}")
            return {"time": data[0], "tape": data[1]}
        return data

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        return or_listed(schema, handler)


class Stretch(Record):
    """Readings while one thing went on."""

    while_: Literal["shut", "pumping", "open"] = Field(
        alias="while",
        description="shut: pump off, nothing can come back (before the first start, or a valve closed); pumping; open: "
        "pump off after a run, the line full",
    )
    readings: tuple[TapeReading, ...] = Field(min_length=2, max_length=500)

    @model_validator(mode="after")
    def _rising(self) -> Stretch:
        times = [one.time for one in self.readings]
        for number, (before, after) in enumerate(pairwise(times), start=1):
            if after <= before:
                raise ValueError(f"found reading {number + 1} no later than the one before: expected rising times")
        return self


class BasinTest(Record):
    """A basin filled and pumped down."""

    basin: Name
    tape_from: Literal["rim", "floor"] = Field(default="rim", description="the tape's zero: lengths down, or up")
    stretches: tuple[Stretch, ...] = Field(min_length=1, max_length=20)
    tape_within: Accuracy = Field(default=si(INCH / 16), description="standard error of one reading")
    watch_within: Elapsed = Field(default=si(0.5), description="standard error of one time")
    relief_squirts: bool | None = Field(default=None, description="water squirts from the relief hole while it pumps")
    alarm_sounds: bool | None = None
    current: Current | None = Field(default=None, description="drawn while it pumps, by the electrician's meter")
    note: Text = ""


class HoseTest(Record):
    """A hose run into an inlet or downspout."""

    inlet: Name
    bucket: Round
    fills: tuple[Duration, ...] = Field(min_length=1, max_length=20, description="to fill it from the hose, each time")
    out_fills: tuple[Duration, ...] = Field(
        default=(), max_length=20, description="to fill the same bucket where the water comes out, once it is steady"
    )
    came: bool = Field(description="water was seen running in at the basin, or out at the end")
    backed_up: bool = Field(default=False, description="water stood over the grate or came out at a joint")
    note: Text = ""


class BuiltRun(Record):
    """Inverts of a run as they were shot before it was covered."""

    run: Name
    upper: Level
    lower: Level


class BuiltBasin(Record):
    """A basin as it stands; what is left out is as designed."""

    basin: Name
    rim: Level | None = None
    diameter: PositiveSize | None = None
    depth: PositiveSize | None = None
    on: Size | None = Field(default=None, description="above the basin's floor, as all floats")
    off: Size | None = None
    alarm: Size | None = None


class BuiltPlace(Record):
    """Where an inlet, a basin or the discharge point really came to lie."""

    name: Name
    at: Place | None = None
    invert: Level | None = Field(default=None, description="of a discharge point")


class GroundShot(Record):
    """Finished ground beside a wall."""

    wall: Name
    near: Level = Field(description="at the wall")
    far: Level
    out: PositiveLength = Field(default=si(3.048), description="from the wall to the far shot; 10 ft")
    along: Length | None = Field(default=None, description="along the wall from its first corner")


class Built(Record):
    """What was measured of the finished work."""

    rod_within: Accuracy = Field(default=si(0.003048), description="standard error of one level; 0.01 ft")
    diameter_within: Accuracy = Field(default=si(INCH / 8), description="standard error of a basin's inside diameter")
    runs: tuple[BuiltRun, ...] = Field(default=(), max_length=100)
    basins: tuple[BuiltBasin, ...] = Field(default=(), max_length=6)
    places: tuple[BuiltPlace, ...] = Field(default=(), max_length=100)
    ground: tuple[GroundShot, ...] = Field(default=(), max_length=200)


class Photo(Record):
    """The photograph of one checkpoint of the crew's packet."""

    checkpoint: Count = Field(ge=1, description="number in the crew's packet")
    file: ShortText = Field(min_length=1, description="beside this record")


class Signed(Record):
    """Who signed."""

    name: ShortText = Field(min_length=1)
    role: ShortText = ""
    on: Day


class Proof(Record):
    """What was measured of one finished job."""

    schema_version: Literal[1]
    job: ShortText = Field(min_length=1, description="the job's number")
    on: Day
    by: ShortText = ""
    invented: bool = Field(default=False, description="an example")
    basins: tuple[BasinTest, ...] = Field(default=(), max_length=12)
    bucket_within: Fraction = Field(default=0.03, le=0.5, description="how far a bucket's mark may be off")
    hoses: tuple[HoseTest, ...] = Field(default=(), max_length=60)
    as_built: Built = Built()
    photos: tuple[Photo, ...] = Field(default=(), max_length=400)
    signed: tuple[Signed, ...] = Field(default=(), max_length=10)
    notes: Text = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofDocument:
    """A record with the places of its parts."""

    proof: Proof
    name: str  # file name for errors
    spots: Mapping[str, Spot]

    def refused(self, problems: tuple[Problem, ...]) -> JobError:
        """The problems of a later stage, with file and line."""
        return JobError(placed(problems, self.name, self.spots)[:MOST_PROBLEMS])


def read_proof(path: str | Path) -> ProofDocument:
    """Read a record, YAML or (by its ending) JSON; each photograph that it names must lie beside it.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    path = Path(path)
    document = read_proof_text(decode(read_bytes(path, f"{NOUN} (.yaml or .json)"), str(path)), str(path))
    problems = tuple(_missing(document.proof, path.parent))
    if problems:
        raise document.refused(problems)
    return document


def read_proof_text(text: str, name: str = "proof.yaml") -> ProofDocument:
    """Read a record from text; ``name`` is what the errors call it.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    loaded = load(text, name, NOUN, "job")
    proof = record_of(Proof, loaded, name)
    document = ProofDocument(proof=proof, name=name, spots=loaded.spots)
    problems = tuple(_problems(proof))
    if problems:
        raise document.refused(problems)
    return document


def _problems(proof: Proof) -> Iterator[Problem]:
    lists = {
        "hoses": [one.inlet for one in proof.hoses],
        "as_built.runs": [one.run for one in proof.as_built.runs],
        "as_built.basins": [one.basin for one in proof.as_built.basins],
        "as_built.places": [one.name for one in proof.as_built.places],
        "basins": [one.basin for one in proof.basins],
    }
    for where, names in lists.items():
        for number, name in enumerate(names):
            if name in names[:number]:
                yield Problem(
                    where=f"{where}[{number}]", found=f"{name!r} again", expected="each once",
                    hint=f"the first is {where}[{names.index(name)}]",
                )  # fmt: skip
    for number, test in enumerate(proof.basins):
        if all(one.while_ != "pumping" for one in test.stretches):
            yield Problem(
                where=f"basins[{number}].stretches", found="no stretch while it pumped", expected="one or more of them"
            )
    for number, one in enumerate(proof.signed):
        if one.on < proof.on:
            day = proof.on.isoformat()
            yield Problem(where=f"signed[{number}].on", found=one.on.isoformat(), expected=f"a day from {day} on")


def _missing(proof: Proof, folder: Path) -> Iterator[Problem]:
    for number, photo in enumerate(proof.photos):
        inside = not Path(photo.file).is_absolute() and ".." not in Path(photo.file).parts
        if not inside or not (folder / photo.file).is_file():
            yield Problem(
                where=f"photos[{number}].file",
                found=repr(photo.file),
                expected="a file beside this record, or below it",
            )


__all__ = [
    "BasinTest", "Built", "BuiltBasin", "BuiltPlace", "BuiltRun", "GroundShot", "HoseTest", "Photo", "Proof",
    "ProofDocument", "Signed", "Stretch", "TapeReading", "read_proof", "read_proof_text",
]  # fmt: skip
