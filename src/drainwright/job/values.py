"""The values a job document is made of: quantities, facts with their basis, levels and places.

Every quantity is written with its unit (``42 ft 6 in``, ``1/8 in/ft``) and held as an SI float.
"""

from __future__ import annotations

import datetime
import re
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any, Generic, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    StringConstraints,
    ValidationInfo,
    WithJsonSchema,
    model_serializer,
    model_validator,
)

from drainwright.job.limits import MOST, bounded
from drainwright.quantities import QuantityError, exact, parse, parse_amount, parse_money
from drainwright.quantities.units import ABOUT, Kind


class Record(BaseModel):
    """A part of the job document: frozen, and strict about unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=True, allow_inf_nan=False)


def _quantity(kind: str, example: str, most: str, low: float | None = None, low_open: bool = False) -> Any:
    def read(value: object) -> float:
        if isinstance(value, float) and isinstance(value, _Internal):
            return float(value)
        number = parse(value, kind)
        about = ABOUT[Kind(kind)]
        if low is not None and (number < low or (low_open and number <= low)):
            rule = "above zero" if low_open else "zero or more"
            raise QuantityError(repr(value), f"{about.phrase}, {rule}, like {about.example}")
        return bounded(number, value, kind, most)

    return (
        BeforeValidator(read),
        PlainSerializer(lambda value: exact(value, kind), return_type=str, when_used="json"),
        WithJsonSchema(
            {
                "type": ["string", "number"] if kind == "fraction" else "string",
                "description": f"{kind} with its unit, at most {MOST[most].text}",
                "examples": [example],
            }
        ),
    )


class _Internal(float):
    """A default that is already SI, so that it is not read as a bare number."""


def si(value: float) -> Any:
    """Mark a schema default as an SI value (a bare number in a document stays an error)."""
    return _Internal(value)


Length = Annotated[float, *_quantity("length", "42 ft 6 in", "length", 0.0)]
PositiveLength = Annotated[float, *_quantity("length", "42 ft 6 in", "length", 0.0, low_open=True)]
Size = Annotated[float, *_quantity("length", "2 ft 6 in", "size", 0.0)]
PositiveSize = Annotated[float, *_quantity("length", "2 ft 6 in", "size", 0.0, low_open=True)]
Position = Annotated[float, *_quantity("length", "-3 ft 2 in", "position")]  # a level or coordinate: may be negative
Distance = Annotated[float, *_quantity("length", "-3 ft 2 in", "length")]  # may be negative
Reading = Annotated[float, *_quantity("length", "4.90 ft", "rod")]  # negative: a rod held upside down
Accuracy = Annotated[float, *_quantity("length", "1/4 in", "accuracy", 0.0, low_open=True)]
TurnAccuracy = Annotated[float, *_quantity("angle", "0.5 deg", "turn", 0.0, low_open=True)]
RainDepth = Annotated[float, *_quantity("length", "2.5 in", "rain", 0.0)]
Area = Annotated[float, *_quantity("area", "1,200 ft2", "area", 0.0, low_open=True)]
Round = Annotated[float, *_quantity("volume", "3.5 ft3", "round", 0.0, low_open=True)]
LoadVolume = Annotated[float, *_quantity("volume", "5 yd3", "load", 0.0, low_open=True)]
Payload = Annotated[float, *_quantity("mass", "7000 lb", "payload", 0.0, low_open=True)]
Flow = Annotated[float, *_quantity("flow", "45 gpm", "flow", 0.0)]
Intensity = Annotated[float, *_quantity("intensity", "2.5 in/h", "intensity", 0.0)]
Speed = Annotated[float, *_quantity("speed", "3 ft/s", "speed", 0.0, low_open=True)]
Conductivity = Annotated[float, *_quantity("speed", "2 ft/day", "conductivity", 0.0, low_open=True)]
Grade = Annotated[float, *_quantity("grade", "1/8 in/ft", "grade", 0.0)]
Angle = Annotated[float, *_quantity("angle", "90 deg", "angle")]
Period = Annotated[float, *_quantity("time", "10 yr", "period", 0.0, low_open=True)]
Duration = Annotated[float, *_quantity("time", "15 min", "span", 0.0, low_open=True)]
Elapsed = Annotated[float, *_quantity("time", "30 s", "span", 0.0)]
StormDuration = Annotated[float, *_quantity("time", "6 h", "storm", 0.0, low_open=True)]
Mass = Annotated[float, *_quantity("mass", "3500 lb", "mass", 0.0)]
Density = Annotated[float, *_quantity("density", "110 pcf", "density", 0.0, low_open=True)]
Power = Annotated[float, *_quantity("power", "1/2 hp", "power", 0.0, low_open=True)]
Fraction = Annotated[float, *_quantity("fraction", "40 %", "fraction", 0.0)]
Current = Annotated[float, *_quantity("current", "9 A", "current", 0.0)]
Charge = Annotated[float, *_quantity("charge", "100 Ah", "charge", 0.0, low_open=True)]
Rate = Annotated[float, *_quantity("rate", "10 /h", "rate", 0.0, low_open=True)]

Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9_.-]{0,23}$")]
Label = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9 ._-]{0,39}$")]
Text = Annotated[str, StringConstraints(max_length=5000)]
ShortText = Annotated[str, StringConstraints(max_length=200)]


def no_boolean(value: object) -> object:
    """Refuse true and false where a number is wanted."""
    if isinstance(value, bool):
        raise ValueError(f"found {str(value).lower()}: expected a number")
    return value


def _read_day(value: object) -> object:
    rule = "expected a date between 1900 and 2100, written like 2024-06-03"
    text = str(value)[:40]
    if isinstance(value, str):
        try:
            value = datetime.date.fromisoformat(text.strip())
        except ValueError:
            raise ValueError(f"found {text!r}: {rule}") from None
    if not isinstance(value, datetime.date) or isinstance(value, datetime.datetime):
        raise ValueError(f"found {text!r}: {rule}")
    if not 1900 <= value.year <= 2100:
        raise ValueError(f"found {value.isoformat()}: {rule}")
    return value


MOST_PORT = 8  # no pump for a basin at a house has a wider outlet: common practice, no source [in]


def _port(text: str) -> str:
    """A nominal size as the catalogue of pipes writes it: ``1-1/2 in``."""
    match = re.fullmatch(r"(\d{1,2})?[ -]?(?:(?<![^ -])([1-9]\d?)/([1-9]\d?))? ?(?:in|\")", text.strip())
    whole, over, under = match.groups(default="") if match else ("", "", "")
    inches = int(whole or 0) + (int(over) / int(under) if over else 0.0)
    if not 0.25 <= inches <= MOST_PORT or (over and int(over) >= int(under)):
        raise ValueError(f"found {text[:40]!r}: expected a nominal size in inches up to {MOST_PORT}, like '1-1/2 in'")
    return f"{'-'.join(part for part in (whole, over and f'{over}/{under}') if part)} in"


PortSize = Annotated[ShortText, AfterValidator(_port)]
Count = Annotated[int, BeforeValidator(no_boolean), Field(ge=0, le=10_000)]
Starts = Annotated[int, BeforeValidator(no_boolean), Field(ge=0, le=100_000_000)]
Number = Annotated[float, BeforeValidator(no_boolean), Field(ge=0, le=1e9)]
Day = Annotated[datetime.date, BeforeValidator(_read_day)]


def _read_money(value: object) -> object:
    if isinstance(value, str):
        return parse_money(value) if "$" in value else parse_amount(value)
    return no_boolean(value)


Money = Annotated[Decimal, BeforeValidator(_read_money), Field(ge=0, le=10_000_000)]
Amount = Annotated[float, BeforeValidator(_read_money), Field(ge=0, le=1e9)]  # money that enters as a float


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


LEVEL_WORDS = frozenset({"floor", "ground", "footing"})  # what a level may refer to beside points

T = TypeVar("T")
_MARK = re.compile(
    r"(?P<value>.*[^\s,;(])(?:\s*[,;]\s*|\s+|\s*(?P<open>\())(?P<basis>measured|mapped|stated|assumed)(?(open)\))",
    re.IGNORECASE,
)


class Fact(Record, Generic[T]):
    """A value with its basis: ``2 ft/day, assumed``, or a mapping with ``value``, ``basis``, ``source``, ``date``.

    ``low`` and ``high`` may say between which the true value probably lies (in nine cases of ten).
    """

    value: T
    low: T | None = None
    high: T | None = None
    basis: Basis = Basis.STATED
    source: ShortText = ""
    date: Day | None = None
    note: Text = ""

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: object) -> object:
        if isinstance(data, Fact | dict):
            return data
        if isinstance(data, str) and len(data) <= 200 and (match := _MARK.fullmatch(data.strip())):
            return {"value": match["value"].strip(), "basis": match["basis"].lower()}
        return {"value": data}

    @model_validator(mode="after")
    def _ordered(self) -> Fact[T]:
        for name, end, sign in (("low", self.low, 1.0), ("high", self.high, -1.0)):
            value, bound = _number_in(self.value), _number_in(end)
            if isinstance(self.value, Level) and isinstance(end, Level) and end.reference != self.value.reference:
                raise ValueError(f"expected '{name}' from the same place as the value, or all of them as elevations")
            if end is not None and (value is None or bound is None):
                raise ValueError(f"expected no '{name}' beside a value that is not a number")
            if value is not None and bound is not None and sign * bound > sign * value:
                side = "above" if name == "low" else "below"
                raise ValueError(f"found a '{name}' {side} the value itself: expected low, value and high in order")
        return self

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        """Describe the three written forms: the value, the value with its mark, and the mapping."""
        described: dict[str, Any] = handler(schema)
        definition = handler.resolve_ref_schema(described)
        mapping = dict(definition)
        marked = {"type": "string", "pattern": r"[\s,;(](measured|mapped|stated|assumed)\)?$"}
        definition.clear()
        definition["anyOf"] = [mapping["properties"]["value"], marked, mapping]
        return described


def _number_in(value: object) -> float | None:
    """The number of a quantity, or of a level's offset; None where there is none."""
    if isinstance(value, Level):
        return value.offset
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


_NAME = r"[A-Za-z][A-Za-z0-9_.-]{0,23}"
_LEVEL = re.compile(rf"(?P<offset>.+?)\s+(?P<side>above|below)\s+(?P<reference>{_NAME})", re.IGNORECASE)
_AT = re.compile(rf"at\s+(?P<reference>{_NAME})", re.IGNORECASE)
_KNOWN_HOW = re.compile(r",\s*(measured|mapped|stated|assumed)\s*$", re.IGNORECASE)
_LEVEL_WORDS = "a level, like '96.40 ft', '3 ft 2 in below A' or 'at A'"


class Level(Record):
    """A height: an elevation (``96.40 ft``), or an offset from a named level (``3 ft 2 in below A``).

    The reference is a surveyed point with a level, or the word ``floor`` (the lowest floor), ``ground``
    (the ground surface at that very place) or ``footing`` (bottom of the nearest footing).
    """

    offset: float  # elevation, or height above the reference (negative below) [m]
    reference: str | None = None

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: object, info: ValidationInfo) -> object:
        if isinstance(data, Level) or (isinstance(data, dict) and not info.context):  # built in code, already SI
            return data
        if not isinstance(data, str):
            if isinstance(data, int | float):
                parse(data, "length")  # refuses, and says which unit to add
            raise QuantityError(_kind_of(data), _LEVEL_WORDS)
        text = data.strip()
        if match := _AT.fullmatch(text):
            return {"offset": 0.0, "reference": match["reference"]}
        if len(text) <= 120 and (match := _LEVEL.fullmatch(text)):
            offset = parse(match["offset"], "length")
            if offset < 0:
                raise QuantityError(repr(data), _LEVEL_WORDS, "leave out the minus sign: 'below' says it")
            bounded(offset, match["offset"], "length", "offset")
            sign = 1.0 if match["side"].lower() == "above" else -1.0
            return {"offset": sign * offset, "reference": match["reference"]}
        if _KNOWN_HOW.search(text):
            raise QuantityError(repr(data[:60]), _LEVEL_WORDS, "leave out how it is known: this key has none")
        if re.match(r"at\b|.*\b(above|below)\b", text, re.IGNORECASE):
            raise QuantityError(repr(data[:60]), _LEVEL_WORDS, "name one point, or floor, ground or footing")
        return {"offset": bounded(parse(data, "length"), data, "length", "position")}

    @model_serializer(mode="plain")
    def _write(self) -> str:
        if self.reference is None:
            return exact(self.offset, "length")
        if not self.offset:
            return f"at {self.reference}"
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


def _kind_of(data: object) -> str:
    """Name what was found where a text is wanted."""
    if data is None:
        return "nothing"
    for kind, word in ((dict, "a mapping"), (list, "a list"), (tuple, "a list"), (str, "a text")):
        if isinstance(data, kind):
            return word
    return str(data)[:60]


class Place(Record):
    """A position in plan: the name of a surveyed point, or coordinates ``12 ft, 30 ft`` (east, north)."""

    name: str | None = None
    east: float | None = None  # [m]
    north: float | None = None  # [m]

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: object, info: ValidationInfo) -> object:
        if isinstance(data, Place) or (isinstance(data, dict) and not info.context):  # built in code, already SI
            return data
        if isinstance(data, str) and len(data) <= 120:
            if re.fullmatch(_NAME, data.strip()):
                return {"name": data.strip()}
            if data.count(",") == 1:
                data = data.split(",")
        if isinstance(data, list | tuple) and len(data) == 2:
            parts = [part.strip() if isinstance(part, str) else part for part in data]
            east, north = (bounded(parse(part, "length"), part, "length", "position") for part in parts)
            return {"east": east, "north": north}
        found = repr(data[:60]) if isinstance(data, str) else _kind_of(data)
        raise QuantityError(found, "a point's name, or 'east, north' with units, like 'A' or '12 ft, 30 ft'")

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
    "LEVEL_WORDS", "Accuracy", "Amount", "Angle", "Area", "Basis", "Charge", "Conductivity", "Count", "Current", "Day",
    "Density",
    "Distance", "Duration", "Elapsed", "Fact", "Flow", "Fraction", "Grade", "Intensity", "Label", "Length", "Level",
    "LoadVolume",
    "Mass", "Money", "Name", "Number", "Payload", "Period", "Place", "PortSize", "Position", "PositiveLength",
    "PositiveSize", "Power", "RainDepth", "Rate", "Reading",
    "Record", "Round", "ShortText", "Size", "Speed", "Starts", "StormDuration", "Text", "TurnAccuracy", "no_boolean",
    "si",
]  # fmt: skip
