"""What the job leans on without having measured it: every value with its mark, in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from pydantic import BaseModel

from drainwright.job.model import Job
from drainwright.job.values import Basis, Fact
from drainwright.quantities import Kind, System, parse, write

SURENESS = (Basis.ASSUMED, Basis.STATED)
_STYLES: dict[System, dict[Kind, str]] = {
    "US": {Kind.SPEED: "ft/day"},
    "SI": {Kind.SPEED: "m/day"},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """A value that was not measured or mapped."""

    what: str
    value: str
    basis: Basis
    source: str


def leaned_on(job: Job) -> tuple[Marked, ...]:
    """Values of the job that are assumed, then those that are only stated.

    Parameters
    ----------
    job : Job
        The job document.

    Returns
    -------
    tuple of Marked
        In the job's units. The rain table and the points of the survey are among them.
    """
    found = list(_walk(job, "", job.units))
    if job.rain.basis in SURENESS:
        source = job.rain.source or job.rain.file or ""
        found.append(
            Marked(what="rain table", value=f"{len(job.rain.table)} durations", basis=job.rain.basis, source=source)
        )
    found += [
        Marked(what=f"place of point {point.name}", value="", basis=point.basis, source=point.note)
        for point in job.survey.points
        if point.basis in SURENESS
    ]
    found += [
        Marked(what=f"{line.name}: depth", value="unknown", basis=Basis.ASSUMED, source="")
        for line in job.utilities
        if line.depth is None
    ]
    return tuple(sorted(found, key=lambda item: SURENESS.index(item.basis)))


def gathered(items: tuple[Marked, ...]) -> tuple[Marked, ...]:
    """The same value of several walls, lines or areas in one line: ``footing thickness: wall north, wall rear``."""
    groups: dict[tuple[str, str, Basis, str], list[Marked]] = {}
    for item in items:
        what = item.what.rpartition(": ")[2]
        groups.setdefault((what, item.value, item.basis, item.source), []).append(item)
    return tuple(
        group[0] if len(group) == 1 else replace(group[0], what=f"{what}: {', '.join(_where(item) for item in group)}")
        for (what, *_), group in groups.items()
    )


def _where(item: Marked) -> str:
    return item.what.rpartition(": ")[0]


def _walk(value: object, where: str, units: System) -> Iterator[Marked]:
    if isinstance(value, Fact):
        if value.basis in SURENESS:
            text = _text(value, units)
            yield Marked(
                what=_PLAIN.get(where.strip(), where.strip()),
                value=text,
                basis=value.basis,
                source=value.source or value.note,
            )
        return
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            words = name.strip("_").replace("_", " ")
            yield from _walk(getattr(value, name), _join(where, words), units)
    elif isinstance(value, (list, tuple)):
        for number, item in enumerate(value, start=1):
            name = getattr(item, "name", None) or getattr(item, "kind", None) or str(number)
            yield from _walk(item, f"{where} {name}", units)


_PLAIN = {  # how people say what the job document calls otherwise
    "ground: barrier": "bottom of the water-bearing soil",
    "ground: conductivity": "how fast the soil lets water through",
    "ground: osha type": "soil type for trench safety",
    "ground: recharge": "rain that soaks in all season",
    "ground: texture": "kind of soil",
    "ground: unit weight": "weight of the soil",
    "rules: boundary setback": "outlet's distance from the boundary",
    "rules: cancellation days": "business days to cancel in",
    "rules: code edition": "edition of the building code",
    "rules: deposit fraction": "largest deposit, of the total",
    "rules: deposit cap": "largest deposit",
    "rules: frost depth": "depth of frost",
    "rules: house foundation letters": "OSHA's 1995 letters on house foundations are followed",
    "rules: house setback": "outlet's distance from the house",
    "rules: locate notice": "working days of notice before digging",
    "rules: professional seal": "whether drawings need a licensed professional's seal",
    "rules: root zone per diameter": "reach of a tree's roots, in trunk diameters",
    "rules: ticket life": "working days that a locate ticket lives",
    "rules: tolerance zone": "width dug by hand beside a buried line's mark",
    "rules: water sewer separation": "gap between water and sewer lines",
}
_SHORT = {
    "house": "",
    "works": "",
    "rules": "rules",
    "walls": "wall",
    "utilities": "",
    "yards": "yard",
    "roofs": "roof",
}


def _join(where: str, name: str) -> str:
    part = _SHORT.get(name, name)
    return ": ".join(text for text in (where, part) if text)


def _text(fact: Fact[Any], units: System) -> str:
    """The value as the job would write it, in its units."""
    written = fact.model_dump(mode="json")["value"]
    if isinstance(written, bool):
        return "yes" if written else "no"
    if not isinstance(written, str):
        return f"{written:g}" if isinstance(written, (int, float)) else str(written)
    if written.startswith("at "):
        return written  # level with a point
    head, *tail = written.split(" above ") if " above " in written else written.split(" below ")
    kind = _kind(fact)
    if kind is None:
        return written
    side = written.removeprefix(head)
    style = _STYLES[units].get(kind)
    return write(parse(head, kind), kind, units, style) + side if not tail or side else written


def _kind(fact: Fact[Any]) -> Kind | None:
    """The kind of quantity that a fact's value is, told by its schema."""
    from drainwright.job.values import Level

    if isinstance(fact.value, Level):
        return Kind.LENGTH
    for note in type(fact).model_fields["value"].metadata:
        words = getattr(note, "json_schema", None)
        if isinstance(words, dict) and " with its unit" in str(words.get("description", "")):
            return Kind(str(words["description"]).split()[0])
    return None


__all__ = ["Marked", "gathered", "leaned_on"]
