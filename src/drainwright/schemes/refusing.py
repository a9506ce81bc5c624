"""Why a kind of scheme cannot be, in words with the number; and what must be asked before one is built."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from drainwright.job.works import Basin
from drainwright.quantities import write
from drainwright.schemes.base import Base, Way
from drainwright.schemes.trees import Gravity, Place


class RefusedError(Exception):
    """A kind that cannot be; its text says why, with the number."""


def lawful_way(base: Base) -> None:
    """Refuse where no lawful way out is known but into the ground."""
    if base.outs:
        return
    if base.ways:
        names = " and ".join(way.point.name for way in base.ways if not way.point.overflow_only)
        spills = " and ".join(way.point.name for way in base.spilling)
        said = f"there is no way out but into the ground{f', at {names}' if names else ''}"
        raise RefusedError(said + (f"; {spills} may take an overflow only" if spills else ""))
    names = ", ".join(f"{point.name} ({point.kind})" for point in base.forbidden)
    raise RefusedError(f"no lawful way out: {names} {'is' if len(base.forbidden) == 1 else 'are'} forbidden")


def basin_drawn(base: Base) -> bool:
    """Whether the job's own basin stays."""
    return isinstance(base.job.works.basin, Basin) and not base.draft.redraw


def no_basin_drawn(base: Base, without: str, spare: float | None) -> None:
    """Refuse where what is drawn leads to a basin.

    Parameters
    ----------
    base : Base
        The lot.
    without : str
        Why the water that is open would not fall away without the basin; empty where it would.
    spare : float or None
        By how much it would [m]; None: no water is open.
    """
    if base.draft.redraw or not (basin_drawn(base) or base.basin in base.network.spots):
        return
    names = ", ".join(line.name for line in base.network.lines if line.lower == base.basin)
    leads = f"{names or 'a run'}, as drawn, leads to the basin {base.basin}"
    said = [f"the job has a basin of its own, {base.basin}" if basin_drawn(base) else leads]
    if basin_drawn(base) and names:
        said.append(f"to which {names} {'lead' if ', ' in names else 'leads'} as drawn")
    if without:
        raise RefusedError(f"{', '.join(said)}; without it {without}")
    room = (
        ""
        if spare is None
        else f": what is open would fall away with {write(spare, 'length', base.job.units)} to spare"
    )
    raise RefusedError(f"{', '.join(said)}; a redraw (--redraw) may leave it out{room}")


def basin_allowed(base: Base) -> None:
    """Refuse where the job rules a basin out."""
    if base.job.works.basin == "none" and not base.draft.redraw:
        raise RefusedError("the job says that there is to be no basin")


def too_low(base: Base, found: Gravity, what: Callable[[str], str]) -> str:
    """Which water arrives too low, and by how much."""
    name, amount = found.short[0]
    point, units = found.way.point, base.job.units
    arrives = found.way.level - amount
    unit = "ft" if units == "US" else "m"
    return (
        f"{what(name)} would arrive {write(amount, 'length', units)} below the {point.kind} {point.name}"
        f" ({write(arrives, 'length', units, unit)} at the least fall and cover; it takes water from"
        f" {write(found.way.level, 'length', units, unit)})"
    )


def drain_words(name: str) -> str:
    """The footing drain of walls, by their joined names."""
    walls = name.split("+")
    listed = walls[0] if len(walls) == 1 else f"{', '.join(walls[:-1])} and {walls[-1]}"
    return f"the footing drain of the {listed} wall{'s' if len(walls) > 1 else ''}"


def water_words(name: str) -> str:
    """The water of an inlet or downspout."""
    return f"the water of {name}"


def asks_of(*ways: Way | None) -> tuple[str, ...]:
    """What the place must be asked about the ways out that are used."""
    found = []
    for way in dict.fromkeys(way.point.name for way in ways if way is not None):
        one = next(item for item in ways if item is not None and item.point.name == way)
        if one.lawful == "unknown":
            found.append(f"Ask the place whether water may leave by {way} ({one.point.kind}): nobody has yet.")
        elif one.lawful == "permit needed":
            found.append(f"{way} ({one.point.kind}) needs a permit first.")
    return tuple(found)


def listed(places: Sequence[Place]) -> str:
    """Names of places in a sentence."""
    names = [place.name for place in places]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def sentence(parts: Sequence[str]) -> str:
    """Parts as one sentence."""
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}."


__all__ = [
    "RefusedError", "asks_of", "basin_allowed", "basin_drawn", "drain_words", "lawful_way", "listed", "no_basin_drawn",
    "sentence", "too_low", "water_words",
]  # fmt: skip
