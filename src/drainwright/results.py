"""A design as plain data, for JSON: every result, in SI, with the names the records use."""

from __future__ import annotations

import dataclasses
import datetime
import json
import math
from collections.abc import Mapping
from decimal import Decimal
from enum import Enum
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from pydantic import BaseModel

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.proving.as_built import AsBuilt
    from drainwright.proving.model import Proven

UNITS = (
    "SI throughout: lengths and levels in m, areas m², volumes m³, flows m³/s, speeds and rain m/s, times s, "
    "masses kg, forces N, angles rad, rates 1/s; grades, fractions and ratios are numbers; money is a decimal text."
)

_AS_THEY_ARE = frozenset((str, int, bool, type(None)))


def plain(value: object) -> Any:
    """Turn records, arrays and decimals into what JSON can hold.

    Parameters
    ----------
    value : object
        A dataclass, pydantic model, mapping, sequence, array, number, text or ``None``. A dataclass's private
        fields (a leading underscore) are its workings, not results, and are left out.

    Returns
    -------
    Any
        Dicts, lists, texts, finite numbers, booleans or ``None`` (which also stands for a number that is not finite).

    Raises
    ------
    TypeError
        If a value of another kind is met: nothing is dropped in silence.
    """
    kind: type = type(value)
    if kind in _AS_THEY_ARE or (isinstance(value, (str, int)) and not isinstance(value, Enum)):
        return value
    if isinstance(value, (float, np.floating)):
        return float(value) if math.isfinite(value) else None
    names = _public(kind)
    if names is not None:
        return {name: plain(getattr(value, name)) for name in names}
    if isinstance(value, Mapping):
        return {str(plain(key)): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [plain(item) for item in value]
    if isinstance(value, np.ndarray):
        listed = value.tolist()
        whole = value.dtype.kind in "fiub" and bool(np.all(np.isfinite(value)))
        return listed if whole else plain(listed)
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, np.integer):
        return int(value)
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, (datetime.date, datetime.datetime)):
        return value.isoformat()
    if isinstance(value, BaseModel):
        return _without_none(value.model_dump(mode="json", by_alias=True))
    raise TypeError(f"{kind.__name__} has no plain form")


def _without_none(value: object) -> object:
    """Plain values without the keys that hold nothing; a word that is written for None stays, as a hole that is dry."""
    if isinstance(value, dict):
        return {key: _without_none(item) for key, item in value.items() if item is not None}
    return [_without_none(item) for item in value] if isinstance(value, list) else value


@cache
def _public(kind: type) -> tuple[str, ...] | None:
    """The fields of a record that are results; None for what is no record."""
    if not dataclasses.is_dataclass(kind):
        return None
    return tuple(field.name for field in dataclasses.fields(kind) if not field.name.startswith("_"))


def design_to_plain(design: Design) -> dict[str, Any]:
    """Every result of a design as plain data.

    The job stands once, at the top; the site's copy of it is left out. Worksheet steps are given as the
    worksheet writes them.
    """
    from drainwright import __version__
    from drainwright.worksheet import step_to_dict

    site = plain(dataclasses.replace(design.site, job=None))  # type: ignore[arg-type]
    del site["job"]
    return {
        "drainwright": __version__,
        "units": UNITS,
        "sound": design.sound,
        "job": plain(design.job),
        "site": site,
        "inflows": plain(design.inflows),
        "moisture": plain(design.moisture),
        "system": plain(design.system),
        "storm": plain(design.storm),
        "build": plain(design.build),
        "findings": plain(design.findings),
        "answers": plain(design.answers),
        "place_checks": plain(design.checks),
        "worksheet": [plain(step_to_dict(step)) for step in design.steps],
    }


def proven_to_plain(found: Proven, built: AsBuilt | None) -> dict[str, Any]:
    """What a finished job's proof shows, as plain data; ``as_built`` is null where nothing was measured anew."""
    told = None if built is None else {
        "moved": plain(built.moved), "difference": plain(built.difference), "unmeasured": plain(built.unmeasured)
    }  # fmt: skip
    return {"whole": found.whole, **plain(found), "as_built": told}


def indented(value: Any, depth: int = 0) -> str:
    """Plain data as JSON with one blank for each depth, as ``json.dumps`` with ``indent=1`` writes it, but faster.

    Parameters
    ----------
    value : Any
        From ``plain``: its keys are texts.
    depth : int
        How deep it stands.

    Returns
    -------
    str
        Without a line's end after it.

    Raises
    ------
    ValueError
        If a number is not finite.
    """
    if not isinstance(value, (dict, list)) or not value:
        return _flat(0).encode(value)
    parts, ends = (value.values(), "{}") if isinstance(value, dict) else (value, "[]")
    line = "\n" + " " * (depth + 1)
    if not any(isinstance(part, (dict, list)) for part in parts):
        inside = _flat(depth + 1).encode(value)[1:-1]
    elif isinstance(value, dict):
        encode = _flat(0).encode
        inside = f",{line}".join(f"{encode(name)}: {indented(part, depth + 1)}" for name, part in value.items())
    else:
        inside = f",{line}".join(indented(part, depth + 1) for part in value)
    return f"{ends[0]}{line}{inside}{line[:-1]}{ends[1]}"


@cache
def _flat(depth: int) -> json.JSONEncoder:
    """Writes what holds nothing deeper in one go, which is what makes it fast."""
    return json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",\n" + " " * depth, ": "))


__all__ = ["UNITS", "design_to_plain", "indented", "plain", "proven_to_plain"]
