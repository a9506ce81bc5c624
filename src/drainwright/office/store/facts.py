"""What a job's record tells the list of jobs: its names, and what is still to be measured or told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

MOST_WORDS = 4000  # of what a search looks in


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What the list shows of a job."""

    title: str
    number: str
    customer_name: str
    place: str
    missing: tuple[str, ...]
    words: str  # small letters, for a search


def facts_of(record: dict[str, Any]) -> Facts:
    """The facts of a record, which need be no whole job.

    Parameters
    ----------
    record : dict
        A job as plain mappings and lists.

    Returns
    -------
    Facts
        With all that is missing, in the order of a visit.
    """
    customer, lot = _part(record, "customer"), _part(record, "property")
    place = ", ".join(text for text in (_text(lot, "address"), _text(lot, "town")) if text)
    of_customer = [_text(customer, key) for key in ("name", "address", "phone", "email")]
    parts = [*(_text(record, key) for key in ("title", "number", "notes")), place, *of_customer]
    return Facts(
        title=_text(record, "title"),
        number=_text(record, "number"),
        customer_name=_text(customer, "name"),
        place=place,
        missing=tuple(_missing(record)),
        words=" ".join(" ".join(parts).lower().split())[:MOST_WORDS],
    )


def _missing(record: dict[str, Any]) -> Iterator[str]:
    survey, house, ground = (_part(record, key) for key in ("survey", "house", "ground"))
    if not survey.get("points") and not survey.get("perimeter"):
        yield "the corners of the house and points of the yard"
    if not survey.get("level_book") and not any("level" in point for point in _entries(survey, "points")):
        yield "levels: the level book is empty"
    if not house.get("outline"):
        yield "the outline of the house"
    if "floor" not in house:
        yield "the level of the lowest floor"
    walls = _entries(house, "walls")
    if not walls:
        yield "the walls and their footings"
    for wall in walls:
        name = _text(wall, "name") or "without a name"
        if "footing_bottom" not in wall:
            yield f"the footing of wall {name}"
        elif wall.get("open_and_coat") and _assumed(wall["footing_bottom"]):
            yield f"the footing of wall {name}, which is to be opened: its level is assumed"
    if "texture" not in ground and "hand_texture" not in ground:
        yield "the soil"
    elif _assumed(ground.get("texture", "")):
        yield "the soil: its texture is assumed"
    if not _entries(record, "utilities") and not record.get("utilities_absent"):
        yield "what lies buried on the lot"
    if not _part(record, "rain").get("table") and not _part(record, "rain").get("file"):
        yield "the rain table of the place"
    if not _entries(_part(record, "works"), "discharge"):
        yield "where the water is to go"


def _assumed(fact: Any) -> bool:
    if isinstance(fact, dict):
        return fact.get("basis") == "assumed"
    return isinstance(fact, str) and fact.rstrip().endswith("assumed")


def _part(record: dict[str, Any], key: str) -> dict[str, Any]:
    found = record.get(key)
    return found if isinstance(found, dict) else {}


def _entries(record: dict[str, Any], key: str) -> list[dict[str, Any]]:
    found = record.get(key)
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def _text(record: dict[str, Any], key: str) -> str:
    found = record.get(key)
    return str(found) if isinstance(found, str | int | float) and not isinstance(found, bool) else ""


__all__ = ["Facts", "facts_of"]
