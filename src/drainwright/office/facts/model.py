"""The fields of a form, made from the job's model: what each is called, how it is written, what it may be."""

from __future__ import annotations

import datetime
import types
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from functools import cache
from typing import Annotated, Any, Literal, TypeAlias, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from drainwright.job.values import Basis, Fact, Level, Place
from drainwright.office.facts.words import HELP, LABELS, NAMES
from drainwright.quantities import parse, write
from drainwright.quantities.writing import System

Kind: TypeAlias = Literal["quantity", "level", "place", "text", "long", "choice", "truth", "number", "day"]
TIMES = ((31557600.0, "yr"), (172800.0, "days"), (3600.0, "h"), (60.0, "min"), (1.0, "s"))  # [s]
MOST_SHORT = 500  # longer texts have an entry of several lines


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One thing that is typed or chosen."""

    key: str
    label: str
    kind: Kind
    hint: str = ""
    quantity: str = ""  # kind of quantity: "length"
    example: str = ""
    choices: tuple[str, ...] = ()
    fact: bool = False  # it has a mark of how it is known
    many: bool = False  # several, one on a line
    required: bool = False
    default: Any = None  # what the model takes where it is left out


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields that belong together; ``words``: instead of them one of these may stand."""

    key: str
    label: str
    hint: str
    members: tuple[Node, ...]
    optional: bool = False
    words: tuple[str, ...] = ()
    usual: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """Entries of one sort."""

    key: str
    label: str
    hint: str
    one: str  # what one of them is called
    entry: tuple[Node, ...]
    required: bool = False


Node: TypeAlias = Field | Group | Listed


@cache
def nodes_of(model: type[BaseModel], within: str = "") -> tuple[Node, ...]:
    """The fields of a record of the model.

    Parameters
    ----------
    model : type
        The record.
    within : str
        Its path among the forms, without names and numbers of entries: ``house.walls``.

    Returns
    -------
    tuple of Node
        In the order of the model.
    """
    return tuple(_node(name, field, within) for name, field in model.model_fields.items())


def _node(name: str, field: FieldInfo, within: str) -> Node:
    key = field.alias or name
    path = f"{within}.{key}" if within else key
    label, hint = label_of(path), HELP.get(path, "") or _sentence(field.description or "")
    annotation, optional = _bare(field.annotation)
    required = field.is_required()
    default = None if required else field.get_default(call_default_factory=True)
    if get_origin(annotation) is tuple:
        inner, more = _stripped(get_args(annotation)[0])
        if _is_record(inner):
            return Listed(
                key=key, label=label, hint=hint, one=NAMES.get(path, label.removesuffix("s").lower()),
                entry=nodes_of(inner, path), required=required,
            )  # fmt: skip
        return replace(_field(key, label, hint, inner, more), many=True, required=required, default=default or None)
    if _is_record(annotation):
        words = _words_of(field.annotation)
        group = Group(key=key, label=label, hint=hint, members=nodes_of(annotation, path), optional=optional)
        return replace(group, words=words, usual=str(default)) if words else group
    fact = isinstance(annotation, type) and issubclass(annotation, Fact)
    inner, metadata = _inside(annotation, field.metadata)
    return replace(_field(key, label, hint, inner, metadata), fact=fact, required=required, default=default)


def _field(key: str, label: str, hint: str, inner: Any, metadata: Sequence[Any]) -> Field:
    for one in metadata:
        told = getattr(one, "json_schema", None)
        if isinstance(told, Mapping) and " with its unit" in str(told.get("description")):
            quantity = str(told["description"]).partition(" with its unit")[0]
            example = str(told["examples"][0])
            return Field(key=key, label=label, hint=hint, kind="quantity", quantity=quantity, example=example)
    kind: Kind = "text"
    choices: tuple[str, ...] = ()
    if get_origin(inner) is Literal:
        kind, choices = "choice", tuple(map(str, get_args(inner)))
    elif isinstance(inner, type) and issubclass(inner, StrEnum):
        kind, choices = "choice", tuple(map(str, inner))
    elif inner is Level:
        kind = "level"
    elif inner is Place:
        kind = "place"
    elif inner is bool:
        kind = "truth"
    elif inner in (int, float, Decimal):
        kind = "number"
    elif inner is datetime.date:
        kind = "day"
    elif any((getattr(one, "max_length", None) or 0) > MOST_SHORT for one in metadata):
        kind = "long"
    return Field(key=key, label=label, hint=hint, kind=kind, choices=choices)


def _inside(annotation: Any, metadata: Sequence[Any]) -> tuple[Any, Sequence[Any]]:
    """Of a fact its value; of all else itself."""
    if isinstance(annotation, type) and issubclass(annotation, Fact):
        value = annotation.model_fields["value"]
        return value.annotation, value.metadata
    inner, more = _stripped(annotation)
    return inner, (*metadata, *more)


def _bare(annotation: Any) -> tuple[Any, bool]:
    """An annotation without ``None`` and words that may stand in a record's place; and whether it may be left out."""
    if get_origin(annotation) in (Union, types.UnionType):
        inner = [one for one in get_args(annotation) if one is not types.NoneType]
        records = [one for one in inner if _is_record(_stripped(one)[0])]
        return (_stripped(records[0])[0] if records else inner[0]), True
    return annotation, False


def _words_of(annotation: Any) -> tuple[str, ...]:
    if get_origin(annotation) not in (Union, types.UnionType):
        return ()
    inner = (_stripped(one)[0] for one in get_args(annotation))
    return tuple(str(word) for one in inner if get_origin(one) is Literal for word in get_args(one))


def _stripped(annotation: Any) -> tuple[Any, tuple[Any, ...]]:
    if get_origin(annotation) is Annotated:
        inner, *metadata = get_args(annotation)
        return inner, tuple(metadata)
    return annotation, ()


def _is_record(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel) and not issubclass(
        annotation, Fact | Level | Place
    )  # fmt: skip


def label_of(path: str) -> str:
    """What a part is called in plain words."""
    key = path.rpartition(".")[2]
    return LABELS.get(path) or LABELS.get(f"*.{key}") or f"{key[:1].upper()}{key[1:]}".replace("_", " ")


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}" if text else ""


def usual_of(field: Field, units: System) -> str:
    """What is taken where a field is left out, in the job's units; empty where nothing is."""
    default = field.default
    mark = ""
    if isinstance(default, Fact):
        mark, default = f", {default.basis}", default.value
    if default is None or default == "" or default == ():
        return ""
    return f"{_said(field, default, units)}{mark}"


def _said(field: Field, value: Any, units: System) -> str:
    if isinstance(value, tuple):
        return ", ".join(_said(field, one, units) for one in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field.quantity and isinstance(value, int | float):
        return _written(float(value), field.quantity, units)
    if isinstance(value, Level | Place):
        return str(value.model_dump())
    return f"{value:g}" if isinstance(value, float) else str(value)


def _written(value: float, quantity: str, units: System) -> str:
    """A quantity for people; times in the unit that one would say."""
    if quantity != "time" or value <= 0.0:
        return write(value, quantity, units)
    size, unit = next((one for one in TIMES if value >= one[0]), TIMES[-1])
    return f"{value / size:.4g} {unit}"


def example_of(field: Field, units: System) -> str:
    """How a field is written, by an example in the job's units."""
    if field.kind == "quantity":
        if units == "US" or field.quantity in ("time", "angle", "rate", "fraction", "current", "charge"):
            return field.example
        return _written(parse(field.example, field.quantity), field.quantity, units)
    us = units == "US"
    match field.kind:
        case "level":
            return "96.40 ft, 3 ft 2 in below A, or at A" if us else "29.40 m, 0.95 m below A, or at A"
        case "place":
            return "A, or 12 ft, 30 ft (east, north)" if us else "A, or 3.6 m, 9.1 m (east, north)"
        case "day":
            return "2026-03-02"
    return ""


BASES: Mapping[str, str] = {
    Basis.MEASURED: "measured here",
    Basis.MAPPED: "read from a map, table or record",
    Basis.STATED: "told, nobody said how it is known",
    Basis.ASSUMED: "assumed, nobody checked",
}

__all__ = [
    "BASES",
    "TIMES",
    "Field",
    "Group",
    "Kind",
    "Listed",
    "Node",
    "example_of",
    "label_of",
    "nodes_of",
    "usual_of",
]
