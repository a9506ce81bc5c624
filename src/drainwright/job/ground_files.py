"""Ground that others measured: files of shots, grids and clouds, and pictures to lay under the plan."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, StringConstraints, model_validator

from drainwright.job.values import (
    Basis,
    Label,
    Name,
    Place,
    Position,
    PositiveSize,
    Record,
    ShortText,
    Size,
    no_boolean,
    si,
)

FileNumber = Annotated[float, BeforeValidator(no_boolean), Field(ge=-1e9, le=1e9)]
FileUnit = Literal["m", "ft", "US survey ft"]
Column = Literal["P", "N", "E", "Z", "D", "-"]  # point, north, east, level, code; "-" is passed over
MOST_SHOTS = 6000  # in one job, all sets together; a file with more is thinned
Picture = Annotated[str, StringConstraints(pattern=r"^data:image/(png|jpeg);base64,[A-Za-z0-9+/=]+$")]


class KnownPlace(Record):
    """One place in two systems: of the job, and of a file."""

    at: Place
    in_file: tuple[FileNumber, FileNumber] = Field(
        description="east and north as the file gives them; of a picture, pixels to the right and down from its corner"
    )


class ShotSet(Record):
    """Ground shots that others took: in a file beside the job, or written out as east, north, level."""

    name: Label
    file: ShortText | None = Field(default=None, description="points CSV, GeoJSON, GeoTIFF or ASCII grid, LAS or LAZ")
    unit: FileUnit | None = Field(default=None, description="of the file's plan; left out where the file says it")
    level_unit: FileUnit | None = Field(default=None, description="of the file's levels; left out: as its plan")
    columns: tuple[Column, ...] = Field(default=(), description="of a CSV without headings; left out: P, N, E, Z, D")
    codes: tuple[ShortText, ...] = Field(default=(), description="D codes that are ground; left out: all")
    known: tuple[KnownPlace, ...] = Field(
        default=(), max_length=20, description="two or more; left out: the file is in the job's own coordinates"
    )
    level_shift: Position = Field(
        default=si(0.0), description="added to the file's levels, to hang them on the benchmark"
    )
    spacing: PositiveSize | None = Field(default=None, description="thin to one shot in each square of this side")
    within: Size | None = Field(default=None, description="leave out shots farther than this from the house")
    basis: Basis = Basis.MEASURED
    source: ShortText = ""
    shots: tuple[tuple[Position, Position, Position], ...] = Field(default=(), max_length=MOST_SHOTS)
    shot_names: tuple[ShortText, ...] = Field(
        default=(), max_length=MOST_SHOTS, description="of the shots, in their order, as the file names them"
    )

    @model_validator(mode="after")
    def _one_way(self) -> ShotSet:
        if (self.file is None) == (not self.shots):
            raise ValueError("expected either a 'file' or 'shots'")
        if self.shot_names and len(self.shot_names) != len(self.shots):
            raise ValueError(
                f"found {len(self.shot_names)} in 'shot_names' of {len(self.shots)} shots: expected one each"
            )
        if self.shots and self.known and self.unit is None:
            raise ValueError("expected a 'unit' for 'in_file' of the known places, beside 'shots'")
        if len(self.known) == 1:
            raise ValueError("found one place in 'known': expected two or more, or none")
        return self


class Breakline(Record):
    """A line over the ground, along levelled points, that no triangle crosses."""

    name: Label
    kind: Literal["wall", "kerb", "swale", "ridge", "edge"] = "edge"
    points: tuple[Name, ...] = Field(min_length=2, max_length=200)
    drop: Size = Field(
        default=si(0.0), description="how much lower the ground stands on the right, walking along the points"
    )


class Backdrop(Record):
    """A scaled photo or plat under the plan, laid in by known points."""

    file: ShortText | None = None
    known: tuple[KnownPlace, ...] = Field(min_length=2, max_length=20)
    picture: Picture | None = Field(default=None, description="the file's content, once it has been read")
    note: ShortText = ""

    @model_validator(mode="after")
    def _one_way(self) -> Backdrop:
        if (self.file is None) == (self.picture is None):
            raise ValueError("expected either a 'file' or a 'picture'")
        return self


__all__ = [
    "MOST_SHOTS", "Backdrop", "Breakline", "Column", "FileUnit", "KnownPlace", "ShotSet",
]  # fmt: skip
