"""Where something wet was seen: the walls of the job that a person's words name, however they write them."""

from __future__ import annotations

import re
from collections.abc import Collection

_WORD = re.compile(r"[^\W_]+")
_OF_ANY_WALL = frozenset({"wall", "walls", "side", "sides"})


def wet_places(where: str, walls: Collection[str]) -> frozenset[str]:
    """The places that words tell: names of walls, or else the words themselves; one empty word where nothing is said.

    Parameters
    ----------
    where : str
        As typed: "south wall", "South", "south and west walls", "laundry".
    walls : Collection of str
        Names of the job's walls.

    Returns
    -------
    frozenset of str
        Walls whose whole name stands in the words; else those of which a part does ("north" of "north-crawl"); else
        the words, in small letters and evenly spaced, as a place of their own.

    Examples
    --------
    >>> sorted(wet_places("South and west walls", ["south", "west", "east"]))
    ['south', 'west']
    >>> sorted(wet_places(" the  Laundry", ["south"]))
    ['the laundry']
    """
    said = _WORD.findall(where.casefold())
    names = {wall: parts for wall in walls if (parts := _parts(wall))}
    named = {wall for wall, parts in names.items() if _stands_in(parts, said)}
    longest = {wall for wall in named if not any(_stands_in(names[wall], names[other]) for other in named - {wall})}
    if longest:
        return frozenset(longest)
    partly = {wall for wall, parts in names.items() if set(parts) & set(said)}
    return frozenset(partly or {" ".join(where.casefold().split())})


def names_no_wall(where: str, walls: Collection[str]) -> bool:
    """Whether words speak of a wall or a side, and of none that the job has."""
    said = set(_WORD.findall(where.casefold()))
    return bool(said & _OF_ANY_WALL) and not wet_places(where, walls) <= set(walls)


def _parts(wall: str) -> list[str]:
    return [word for word in _WORD.findall(wall.casefold()) if word not in _OF_ANY_WALL]


def _stands_in(parts: list[str], said: list[str]) -> bool:
    return any(said[n : n + len(parts)] == parts for n in range(len(said) - len(parts) + 1))


__all__ = ["names_no_wall", "wet_places"]
