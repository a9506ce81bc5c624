"""Which lines run under pressure, and which basin the gravity lines come to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from drainwright.field.words import fail
from drainwright.system.network import Line, Network

MOST_ON_ONE_MAIN = 3  # basins whose pumps may share one discharge line


@dataclass(frozen=True, slots=True, kw_only=True)
class Main:
    """Discharge lines of several basins that meet, down to where their common line ends."""

    basins: tuple[str, ...]  # in the order of the water
    lines: tuple[str, ...]  # upstream first
    end: str  # place


@dataclass(frozen=True, slots=True, kw_only=True)
class Zones:
    """A network with several basins, taken apart."""

    basins: tuple[str, ...]  # in the order of the water
    pressed: tuple[Line, ...]  # lines that run full under a pump, upstream first
    gravity: Mapping[str | None, tuple[Line, ...]]  # by the basin they come to; None: to a way out
    mains: tuple[Main, ...]

    def line_of(self, basin: str) -> Line | None:
        """The discharge line of a basin."""
        return next((line for line in self.pressed if line.upper == basin), None)

    def main_of(self, basin: str) -> Main | None:
        """The main that a basin's pump shares with others."""
        return next((main for main in self.mains if basin in main.basins), None)


def pressed_lines(lines: Sequence[Line], basins: Sequence[str], junctions: Sequence[str]) -> tuple[Line, ...]:
    """Lines under pressure: those that leave a basin, and discharge lines that only such lines come to.

    Parameters
    ----------
    lines : sequence of Line
        Upstream first.
    basins, junctions : sequence of str
        Places of those kinds.

    Returns
    -------
    tuple of Line
        Upstream first; an overflow is never among them.
    """
    found: list[Line] = []
    for line in lines:
        if line.duty == "overflow":
            continue
        arriving = [other for other in lines if other.lower == line.upper]
        main = line.duty == "discharge line" and line.upper in junctions and arriving
        if line.upper in basins or (main and all(other in found for other in arriving)):
            found.append(line)
    return tuple(found)


def zones(network: Network, basins: Sequence[str]) -> Zones:
    """Take a network apart at its basins.

    Parameters
    ----------
    network : Network
        Complete.
    basins : sequence of str
        All its basins, in any order.

    Returns
    -------
    Zones
        Every line in one part.

    Raises
    ------
    JobError
        If more than ``MOST_ON_ONE_MAIN`` basins share one discharge line.
    """
    junctions = [spot.name for spot in network.spots.values() if spot.kind == "junction"]
    pressed = pressed_lines(network.lines, basins, junctions)
    order = [line.upper for line in pressed if line.upper in basins]
    ordered = (*order, *(name for name in basins if name not in order))
    gravity: dict[str | None, list[Line]] = {name: [] for name in (*ordered, None)}
    for line in network.lines:
        if line not in pressed:
            passed = (line.lower, *(down.lower for down in network.chain(line.lower)))
            gravity[next((name for name in passed if name in basins), None)].append(line)
    mains = []
    for line in pressed:
        onward = next((other for other in pressed if other.upper == line.lower), None)
        if onward is not None and onward.upper not in basins:
            continue  # not the last of its main
        held = _above(line, pressed, basins)
        shared = tuple(name for name in ordered if any(part.upper == name for part in held))
        if len(shared) > MOST_ON_ONE_MAIN:
            expected = f"at most {MOST_ON_ONE_MAIN} basins on one discharge line"
            raise fail(f"works.runs.{line.name}", f"{', '.join(shared)}, which all pump into {line.name}", expected)
        if len(held) > 1:
            mains.append(Main(basins=shared, lines=tuple(part.name for part in held), end=line.lower))
    return Zones(
        basins=ordered,
        pressed=pressed,
        gravity={name: tuple(lines) for name, lines in gravity.items()},
        mains=tuple(mains),
    )


def _above(last: Line, pressed: Sequence[Line], basins: Sequence[str]) -> tuple[Line, ...]:
    """The pressure lines that come to one without passing a basin, and itself; upstream first."""
    held = [last]
    for line in reversed(pressed):
        if line not in held and any(part.upper == line.lower and part.upper not in basins for part in held):
            held.append(line)
    return tuple(line for line in pressed if line in held)


__all__ = ["MOST_ON_ONE_MAIN", "Main", "Zones", "pressed_lines", "zones"]
