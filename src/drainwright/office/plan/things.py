"""The things of a job's document that stand on the plan, each with the path by which it is changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias, get_args

from pydantic import ValidationError

from drainwright.job.site import Surface, UtilityKind
from drainwright.job.values import Place
from drainwright.job.works import Duty, InletKind, OutletKind
from drainwright.office.store.comparing import reached
from drainwright.office.store.paths import Named, Step, naming, written

Shape: TypeAlias = Literal["point", "line", "area", "none"]
At: TypeAlias = tuple[float, float]  # east, north [m]

TRUTH = ("true", "false")


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPlace:
    """A place of a thing: a corner, a bend, or where it stands."""

    path: str
    raw: Any  # as the document says it
    at: At
    point: str | None  # the surveyed point that it is
    holds: bool  # it cannot leave that point: to move it is to move the point


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A value of a thing that can be typed."""

    path: str
    label: str
    kind: str  # of quantity, or "level", "text", "truth"; a fact may end in how it is known
    raw: Any
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """Something on the plan."""

    path: str
    kind: str
    name: str
    told: str  # what it is, in words
    shape: Shape
    raw: Any
    places: tuple[DrawnPlace, ...] = ()
    bends: str = ""  # path of the list that its places are in, where some may be added or taken out
    entries: tuple[Entry, ...] = ()
    of: str = ""  # path of what it is a part of; empty: it cannot be taken out


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """How one list of the document stands on the plan."""

    kind: str
    of: tuple[str, ...]
    shape: Shape
    at: str = ""  # key of its place or places
    entries: tuple[tuple[str, str, str, tuple[str, ...]], ...] = ()  # key, label, kind, choices


KINDS = (
    Kind(
        kind="inlet", of=("works", "inlets"), shape="point", at="at",
        entries=(
            ("kind", "Kind", "text", get_args(InletKind)), ("size", "Body, side or diameter", "length", ()),
            ("rim", "Top of the grate", "level", ()),
        ),
    ),
    Kind(
        kind="run", of=("works", "runs"), shape="line", at="via",
        entries=(
            ("duty", "Duty", "text", get_args(Duty)), ("from", "Upper end", "text", ()),
            ("to", "Lower end", "text", ()),
            ("pipe", "Pipe (left out: designed)", "text", ()), ("grade", "Grade (left out: designed)", "grade", ()),
            ("beside_offset", "Out from the wall", "length", ()),
        ),
    ),
    Kind(
        kind="discharge", of=("works", "discharge"), shape="point", at="at",
        entries=(("kind", "Kind", "text", get_args(OutletKind)), ("invert", "Invert", "level", ())),
    ),
    Kind(
        kind="downspout", of=("downspouts",), shape="point", at="at",
        entries=(("size", "Size", "text", ()), ("ends", "Ends", "text", ("leader", "splash"))),
    ),
    Kind(
        kind="roof", of=("roofs",), shape="none",
        entries=(("area", "Area in plan", "fact area", ()), ("to", "Downspout", "text", ())),
    ),
    Kind(
        kind="yard", of=("yards",), shape="area", at="outline",
        entries=(("surface", "Surface", "text", get_args(Surface)), ("to", "Drains to", "text", ())),
    ),
    Kind(
        kind="utility", of=("utilities",), shape="line", at="route",
        entries=(
            ("kind", "Kind", "text", get_args(UtilityKind)), ("depth", "Depth to its top", "fact length", ()),
            ("depth_uncertainty", "Depth may be wrong by", "length", ()), ("diameter", "Diameter", "length", ()),
        ),
    ),
    Kind(
        kind="tree", of=("trees",), shape="point", at="at",
        entries=(("trunk_diameter", "Trunk diameter", "length", ()), ("keep", "Keep it", "truth", TRUTH)),
    ),
    Kind(
        kind="wall", of=("house", "walls"), shape="line",
        entries=(
            ("footing_bottom", "Bottom of the footing", "fact level", ()),
            ("footing_thickness", "Thickness of the footing", "fact length", ()),
            ("footing_projection", "Footing beyond the wall", "fact length", ()),
        ),
    ),
    Kind(
        kind="protected", of=("property", "protected"), shape="line", at="at",
        entries=(("setback", "Distance asked", "fact length", ()),),
    ),
)  # fmt: skip


def things_of(record: Mapping[str, Any], known: Mapping[str, At]) -> tuple[Thing, ...]:
    """All things on the plan.

    Parameters
    ----------
    record : mapping
        What the document says.
    known : mapping
        Where the surveyed points are [m].

    Returns
    -------
    tuple of Thing
        In the order in which they are listed beside the plan.
    """
    return tuple(_things(record, known))


def _things(record: Mapping[str, Any], known: Mapping[str, At]) -> Iterator[Thing]:
    yield from _house(record, known)
    for kind in KINDS[:3]:
        yield from _listed(record, kind, known)
    yield from _basins(record, known)
    for kind in KINDS[3:]:
        yield from _listed(record, kind, known)
    yield from _boundary(record, known)
    yield from _points(record, known)


def _listed(record: Mapping[str, Any], kind: Kind, known: Mapping[str, At]) -> Iterator[Thing]:
    for steps, raw in _members(record, kind.of):
        name = str(raw.get("name", ""))
        places: tuple[DrawnPlace, ...] = ()
        bends = ""
        if kind.kind == "wall":
            ends = ((key, raw.get(key)) for key in ("from", "to"))
            places = tuple(
                DrawnPlace(path=written((*steps, key)), raw=end, at=known[end], point=end, holds=True)
                for key, end in ends
                if isinstance(end, str) and end in known
            )
        elif kind.shape == "point":
            places = tuple(_places([((*steps, kind.at), raw.get(kind.at))], known))
        elif kind.at:
            bends = written((*steps, kind.at))
            entries = raw.get(kind.at) or ()
            places = tuple(_places([((*steps, kind.at, n), one) for n, one in enumerate(entries)], known))
        yield Thing(
            path=written(steps), kind=kind.kind, name=name, told=_told(kind.kind, raw), shape=kind.shape, raw=raw,
            places=places, bends=bends, of="" if kind.kind == "wall" else written(kind.of),
            entries=tuple(
                _entry(steps, raw, key, label, sort, choices)
                for key, label, sort, choices in kind.entries
            ),
        )  # fmt: skip


def _told(kind: str, raw: Mapping[str, Any]) -> str:
    match kind:
        case "inlet":
            return str(raw.get("kind", "catch basin"))
        case "run":
            return f"{raw.get('duty', 'run')}, {raw.get('from', '?')} to {raw.get('to', '?')}"
        case "discharge":
            return f"water leaves: {raw.get('kind', '')}"
        case "utility":
            return f"buried line: {raw.get('kind', '')}"
        case "yard":
            return f"{raw.get('surface', 'lawn')}, drains to {raw.get('to', '?')}"
        case "protected":
            return f"keep away: {raw.get('kind', '')}"
        case "roof":
            return f"roof area, sheds to {raw.get('to', '?')}"
        case "wall":
            return f"foundation wall, {raw.get('from', '?')} to {raw.get('to', '?')}"
    return kind


def _entry(
    steps: tuple[Step, ...], raw: Mapping[str, Any], key: str, label: str, sort: str, choices: tuple[str, ...]
) -> Entry:
    value = raw.get(key)
    if sort.startswith("fact ") and isinstance(value, Mapping):
        where, value = written((*steps, key, "value")), value.get("value")
        return Entry(path=where, label=f"{label} ({raw[key].get('basis', 'stated')})", kind=sort[5:], raw=value)
    return Entry(path=written((*steps, key)), label=label, kind=sort, raw=value, choices=choices)


def _house(record: Mapping[str, Any], known: Mapping[str, At]) -> Iterator[Thing]:
    house = record.get("house") or {}
    outline = house.get("outline") or ()
    places = [((("house"), "outline", n), one) for n, one in enumerate(outline)]
    yield Thing(
        path="house", kind="house", name="House", told="outline of the house", shape="area", raw=None,
        places=tuple(_places(places, known, holds=True)),
        entries=(_entry(("house",), house, "floor", "Top of the lowest floor", "fact level", ()),),
        of="house" if outline else "",
    )  # fmt: skip


def _basins(record: Mapping[str, Any], known: Mapping[str, At]) -> Iterator[Thing]:
    works = record.get("works") or {}
    found: list[tuple[tuple[Step, ...], Mapping[str, Any], str]] = []
    if isinstance(works.get("basin"), Mapping):
        found.append((("works", "basin"), works["basin"], "works"))
    found += [(steps, raw, "works.more_basins") for steps, raw in _members(record, ("works", "more_basins"))]
    for steps, raw, of in found:
        entries = tuple(
            _entry(steps, raw, key, label, sort, ())
            for key, label, sort in (
                ("diameter", "Diameter inside (left out: designed)", "length"),
                ("depth", "Depth, rim to floor (left out: designed)", "length"), ("rim", "Rim", "level"),
            )
        )  # fmt: skip
        yield Thing(
            path=written(steps), kind="basin", name=str(raw.get("name", "SUMP")), told="sump basin", shape="point",
            raw=raw, places=tuple(_places([((*steps, "at"), raw.get("at"))], known)), entries=entries, of=of,
        )  # fmt: skip


def _boundary(record: Mapping[str, Any], known: Mapping[str, At]) -> Iterator[Thing]:
    corners = (record.get("property") or {}).get("boundary") or ()
    if corners:
        places = [(("property", "boundary", n), one) for n, one in enumerate(corners)]
        yield Thing(
            path="property.boundary", kind="boundary", name="Boundary", told="edge of the lot", shape="area",
            raw=list(corners), places=tuple(_places(places, known)), bends="property.boundary", of="property",
        )  # fmt: skip


def _points(record: Mapping[str, Any], known: Mapping[str, At]) -> Iterator[Thing]:
    walk = (record.get("survey") or {}).get("perimeter") or {}
    corners = [walk.get("start"), *(leg.get("to") for leg in walk.get("legs") or () if isinstance(leg, Mapping))]
    for name in dict.fromkeys(one for one in corners if isinstance(one, str) and one in known):
        at = DrawnPlace(path="survey.perimeter", raw=None, at=known[name], point=name, holds=True)
        yield Thing(
            path=f"survey.perimeter#{name}", kind="corner", name=name, told="corner, by the walk round the house",
            shape="point", raw=None, places=(at,),
        )  # fmt: skip
    for steps, raw in _members(record, ("survey", "points")):
        name = str(raw.get("name", ""))
        if name not in known:
            continue
        way = "ties" if raw.get("ties") else "along" if raw.get("along") else "coordinates"
        told = {
            "ties": "by tape ties from " + ", ".join(str(tie.get("from")) for tie in raw.get("ties") or ()),
            "along": "along " + "–".join(map(str, raw.get("along") or ())) + " and out from it",
            "coordinates": "by east and north",
        }[way]
        entries = (
            (("distance", "Along the line", "length"), ("offset", "Out: left plus, right minus", "length"))
            if way == "along"
            else (("level", "Level of the ground there", "length"),)
            if way == "coordinates"
            else ()
        )
        yield Thing(
            path=written(steps), kind="point", name=name, told=f"surveyed point, {told}", shape="point", raw=raw,
            places=(DrawnPlace(path=written(steps), raw=None, at=known[name], point=name, holds=True),),
            entries=tuple(_entry(steps, raw, key, label, sort, ()) for key, label, sort in entries), of="survey.points",
        )  # fmt: skip


def _members(record: Mapping[str, Any], of: tuple[str, ...]) -> Iterator[tuple[tuple[Step, ...], Mapping[str, Any]]]:
    """The entries of a list that are mappings, each with its steps: by name where the names tell all apart."""
    at: Any = record
    for key in of:
        at = at.get(key) if isinstance(at, Mapping) else None
    if not isinstance(at, list):
        return
    field = naming(at)
    for number, raw in enumerate(at):
        if isinstance(raw, Mapping):
            yield (*of, Named(raw[field], field) if field else number), raw


def _places(
    given: Sequence[tuple[tuple[Step, ...], Any]], known: Mapping[str, At], holds: bool = False
) -> Iterator[DrawnPlace]:
    for steps, raw in given:
        try:
            place = Place.model_validate(raw, context={"document": True})
        except ValidationError:
            continue
        if place.name is None:
            at = (place.east or 0.0, place.north or 0.0)
            yield DrawnPlace(path=written(steps), raw=raw, at=at, point=None, holds=False)
        elif place.name in known:
            yield DrawnPlace(path=written(steps), raw=raw, at=known[place.name], point=place.name, holds=holds)


def lists_of(record: dict[str, Any]) -> dict[str, int | None]:
    """How long each list is that things can be added to; None where the document has no such list."""
    found: dict[str, int | None] = {}
    for of in (*(kind.of for kind in KINDS), ("survey", "points")):
        try:
            entries = reached(record, of)
        except ValueError:
            entries = None
        found[written(of)] = len(entries) if isinstance(entries, list) else None
    return found


__all__ = ["DrawnPlace", "Entry", "Kind", "Thing", "lists_of", "things_of"]
