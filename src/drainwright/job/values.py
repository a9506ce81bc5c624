"""The values a job document is made of: quantities, facts with their basis, levels and places.

Every quantity is written with its unit (``42 ft 6 in``, ``1/8 in/ft``) and held as an SI float.
"""

from __future__ import annotations

import datetime
import re
from enum import StrEnum
from typing import Annotated, Any, Generic, TypeVar

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    PlainSerializer,
    StringConstraints,
    WithJsonSchema,
    model_serializer,
    model_validator,
)

from drainwright.quantities import exact, parse


class Record(BaseModel):
    """A part of the job document: frozen, and strict about unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=True)


def _quantity(kind: str, example: str, low: float | None = None, low_open: bool = False) -> Any:
    def read(value: object) -> float:
        if isinstance(value, float) and isinstance(value, _Internal):
            return float(value)
        number = parse(value, kind)
        if low is not None and (number < low or (low_open and number <= low)):
            rule = "above zero" if low_open else "zero or more"
            raise ValueError(f"found {value!r}: expected a {kind} {rule}")
        return number

    return (
        BeforeValidator(read),
        PlainSerializer(lambda value: exact(value, kind), return_type=str, when_used="json"),
        WithJsonSchema({"type": "string", "description": f"{kind} with its unit", "examples": [example]}),
    )


class _Internal(float):
    """A default that is already SI, so that it is not read as a bare number."""


def si(value: float) -> Any:
    """Mark a schema default as an SI value (a bare number in a document stays an error)."""
    return _Internal(value)


Length = Annotated[float, *_quantity("length", "42 ft 6 in", 0.0)]
PositiveLength = Annotated[float, *_quantity("length", "42 ft 6 in", 0.0, low_open=True)]
Distance = Annotated[float, *_quantity("length", "-3 ft 2 in")]  # may be negative
Area = Annotated[float, *_quantity("area", "1,200 ft2", 0.0, low_open=True)]
Volume = Annotated[float, *_quantity("volume", "3 yd3", 0.0, low_open=True)]
Flow = Annotated[float, *_quantity("flow", "45 gpm", 0.0)]
Intensity = Annotated[float, *_quantity("intensity", "2.5 in/h", 0.0)]
Speed = Annotated[float, *_quantity("speed", "2 ft/day", 0.0, low_open=True)]
Grade = Annotated[float, *_quantity("grade", "1/8 in/ft", 0.0)]
Angle = Annotated[float, *_quantity("angle", "90 deg")]
Duration = Annotated[float, *_quantity("time", "15 min", 0.0, low_open=True)]
Mass = Annotated[float, *_quantity("mass", "3500 lb", 0.0)]
Density = Annotated[float, *_quantity("density", "110 pcf", 0.0, low_open=True)]
Power = Annotated[float, *_quantity("power", "1/2 hp", 0.0, low_open=True)]
Fraction = Annotated[float, *_quantity("fraction", "40 %", 0.0)]
Current = Annotated[float, *_quantity("current", "9 A", 0.0)]
Charge = Annotated[float, *_quantity("charge", "100 Ah", 0.0, low_open=True)]
Rate = Annotated[float, *_quantity("rate", "10 /h", 0.0)]

Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9_.-]{0,23}$")]
Label = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9 ._-]{0,39}$")]
Text = Annotated[str, StringConstraints(max_length=5000)]
ShortText = Annotated[str, StringConstraints(max_length=200)]


class Basis(StrEnum):
    """How a value is known. The mark travels to every figure that leans on it."""

    MEASURED = "measured"  # on this site, in this visit or a test
    MAPPED = "mapped"  # from a published map, table or record for this place
    STATED = "stated"  # written in the job without saying how it is known
    ASSUMED = "assumed"  # nobody checked

    @property
    def is_sure(self) -> bool:
        """Whether the value was measured here."""
        return self is Basis.MEASURED


T = TypeVar("T")
_MARK = re.compile(r"^(?P<value>.*?)[,;]?\s*\(?\b(?P<basis>measured|mapped|stated|assumed)\)?$", re.IGNORECASE)


class Fact(Record, Generic[T]):
    """A value with its basis: ``2 ft/day, assumed``, or a mapping with ``value``, ``basis``, ``source``, ``date``."""

    value: T
    basis: Basis = Basis.STATED
    source: ShortText = ""
    date: datetime.date | None = None
    note: Text = ""

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: object) -> object:
        if isinstance(data, Fact) or (isinstance(data, dict) and "value" in data):
            return data
        if isinstance(data, str) and len(data) <= 200 and (match := _MARK.match(data.strip())):
            return {"value": match["value"].strip(), "basis": match["basis"].lower()}
        return {"value": data}


_LEVEL = re.compile(r"^(?P<offset>.+?)\s+(?P<side>above|below)\s+(?P<reference>[A-Za-z][A-Za-z0-9_.-]{0,23})$")


class Level(Record):
    """A height: an elevation (``96.40 ft``), or an offset from a named level (``3 ft 2 in below A``).

    The reference is a surveyed point with a level, or the word ``floor`` (the lowest floor), ``ground``
    (the ground surface at that very place) or ``footing`` (bottom of the nearest footing).
    """

    offset: float  # elevation, or height above the reference (negative below) [m]
    reference: str | None = None

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: object) -> object:
        if isinstance(data, Level) or (isinstance(data, dict) and "offset" in data):
            return data
        if isinstance(data, dict):
            raise ValueError("expected a level such as '96.40 ft' or '3 ft 2 in below A'")
        if isinstance(data, str) and data.strip().lower().startswith("at "):
            return {"offset": 0.0, "reference": data.strip()[3:].strip()}
        if isinstance(data, str) and len(data) <= 120 and (match := _LEVEL.match(data.strip())):
            sign = 1.0 if match["side"] == "above" else -1.0
            return {"offset": sign * parse(match["offset"], "length"), "reference": match["reference"]}
        return {"offset": parse(data, "length")}

    @model_serializer(mode="plain")
    def _write(self) -> str:
        if self.reference is None:
            return exact(self.offset, "length")
        side = "below" if self.offset < 0 else "above"
        return f"{exact(abs(self.offset), 'length')} {side} {self.reference}"

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        """Describe the written form."""
        return {
            "type": "string",
            "description": "elevation, or offset above or below a named point, 'floor', 'ground' or 'footing'",
            "examples": ["96.40 ft", "3 ft 2 in below A", "2 in above floor", "at P7"],
        }


class Place(Record):
    """A position in plan: the name of a surveyed point, or coordinates ``12 ft, 30 ft`` (east, north)."""

    name: str | None = None
    east: float | None = None  # [m]
    north: float | None = None  # [m]

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: object) -> object:
        if isinstance(data, (Place, dict)):
            return data
        if isinstance(data, (list, tuple)) and len(data) == 2:
            return {"east": parse(data[0], "length"), "north": parse(data[1], "length")}
        if not isinstance(data, str) or len(data) > 120:
            raise ValueError(f"found {str(data)[:60]!r}: expected a point's name or 'east, north' with units")
        if "," in data:
            east, _, north = data.partition(",")
            return {"east": parse(east, "length"), "north": parse(north, "length")}
        if not re.fullmatch(r"[A-Za-z][A-Za-z0-9_.-]{0,23}", data.strip()):
            raise ValueError(f"found {data!r}: expected a point's name or 'east, north' with units")
        return {"name": data.strip()}

    @model_serializer(mode="plain")
    def _write(self) -> str:
        if self.name is not None:
            return self.name
        return f"{exact(self.east or 0.0, 'length')}, {exact(self.north or 0.0, 'length')}"

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        """Describe the written form."""
        return {
            "anyOf": [
                {"type": "string"},
                {"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2},
            ],
            "description": "name of a surveyed point, or 'east, north' with units",
            "examples": ["A", "12 ft, 30 ft"],
        }


__all__ = [
    "Angle", "Area", "Basis", "Charge", "Current", "Density", "Distance", "Duration", "Fact", "Flow", "Fraction",
    "Grade", "Intensity", "Label", "Length", "Level", "Mass", "Name", "Place", "PositiveLength", "Power", "Rate", "Record",
    "ShortText", "Speed", "Text", "Volume", "si",
]  # fmt: skip
