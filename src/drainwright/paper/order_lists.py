"""The lists behind the order: what is cut from which stick, stone by zone, fabric by strip, tools by their source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

from drainwright.build.fittings_count import REACH
from drainwright.build.model import CutStick
from drainwright.build.takeoff import short_runs
from drainwright.design import Design
from drainwright.paper.documents.say import Say
from drainwright.quantities import convert
from drainwright.system.bends import SHORTEST
from drainwright.system.catalogue import find_pipe
from drainwright.system.trade import pipe_words

Head: TypeAlias = tuple[str, float]  # of a column: words, width
Line: TypeAlias = tuple[str | float, ...]

MORE = 0.0127  # that fittings of the trade hold beyond the least: common practice, no source [m]
WHOLE = 0.005  # a shorter rest is none [m]
SOURCES = {"buy": "buy", "hire": "hire", "own": "the firm's own"}


def pieces_words(alike: Sequence[CutStick], say: Say) -> str:
    """What is cut from each of some sticks alike, in the order of the cuts, and the least rest.

    ``YD1 6 ft 2 in + riser SUMP 3 ft 9 in, rest 1 in``; ``FD1 #2, #3, #9 7 ft 4 in, rest 2 ft 8 in``.
    """
    first, rest = alike[0], min(cut.rest for cut in alike)
    cuts = " + ".join(
        f"{'riser ' if piece.upright else ''}{piece.where}"
        f"{','.join(_opening(cut.pieces[number].openings) for cut in alike if cut.pieces[number].openings)} "
        f"{say.length(piece.length)}"
        for number, piece in enumerate(first.pieces)
    )
    if rest < WHOLE:
        return cuts if len(first.pieces) > 1 else f"{cuts}, whole"
    return f"{cuts}, rest {say.length(rest)}"


def _opening(numbers: tuple[int, ...]) -> str:
    """The numbered length of wall that a piece goes down in: `` #4``, or `` #4-5`` where its end lies in the next."""
    return f" #{'-'.join(str(number) for number in sorted(numbers))}" if numbers else ""


def taken_off(design: Design) -> tuple[str, ...]:
    """What is taken off the lengths of the cutting list, and what is not: each a sentence."""
    say = Say(design.job.units)
    panel = design.build.dig.wall_panel
    beside = short_runs(design.site, design.system, panel)
    said = [
        f"Taken off: at a basin or catch basin a pipe ends {say.small(REACH)} past the inside of the wall, for the "
        "gasket (common practice, no source). A pumped line is measured from its riser in the basin's middle.",
        "Taken off: what fittings hold at the least: bends, wyes and tees by geometry; couplings' stops, reducers, "
        "long sweeps, plugs of cleanouts and the pump's valves by common practice, no source. Makers' fittings hold "
        f"up to {say.small(MORE)} more: lay the fitting in place, mark, then cut. "
        "Not taken off: the pump's own height. "
        f"Bends nearer than {say.length(SHORTEST)} to each other are one group of fittings, with no length between.",
    ]
    if beside:
        said.append(
            f"Beside walls opened {say.length(panel)} at a time ({', '.join(beside)}): #3 is the piece for length 3 "
            "of the safe-dig sheet, #3-4 reaches into both. Tape the opening before its piece is cut. A piece that "
            "has no bell of its stick has a coupling. What is laid in an even length comes between pipes that lie: "
            "cut it to the gap, close it with a slip coupling; at a drain's free upper end it needs none."
        )
    return tuple(said)


def stick_rows(design: Design) -> tuple[tuple[CutStick, ...], ...]:
    """The sticks of the cutting list, those together that are cut alike by the lengths as they are told."""
    say = Say(design.job.units)
    found: dict[tuple[object, ...], list[CutStick]] = {}
    for cut in design.build.takeoff.cuts:
        told = tuple(
            (piece.upright, piece.where, bool(piece.openings), say.length(piece.length)) for piece in cut.pieces
        )
        found.setdefault((cut.pipe, cut.length, told, cut.rest < WHOLE), []).append(cut)
    return tuple(tuple(alike) for alike in found.values())


def listed(design: Design) -> Iterator[tuple[str, str, Sequence[Head], Sequence[Line]]]:
    """Name, note, columns and rows of each list; those that are empty are left out.

    Parameters
    ----------
    design : Design
        The designed job.

    Yields
    ------
    str, str, sequence of Head, sequence of Line
        In the units of the job.
    """
    say = Say(design.job.units)
    for name, note, heads, rows in (_cutting(design, say), _stone(design, say), _fabric(design, say), _tools(design)):
        if rows:
            yield name, note, heads, rows


def _rest(alike: Sequence[CutStick], say: Say) -> str:
    """The least rest of some sticks; empty where none is left."""
    rest = min(cut.rest for cut in alike)
    return "" if rest < WHOLE else say.length(rest)


_List: TypeAlias = tuple[str, str, Sequence[Head], Sequence[Line]]


def _cutting(design: Design, say: Say) -> _List:
    rows: list[Line] = [
        (
            pipe_words(find_pipe(alike[0].pipe), say.units), float(alike[0].number), float(len(alike)),
            say.length(alike[0].length), pieces_words(alike, say), _rest(alike, say),
        )
        for alike in stick_rows(design)
    ]  # fmt: skip
    heads = (("Pipe", 30), ("Stick", 7), ("Alike", 7), ("Length", 12), ("Cut", 80), ("Rest", 12))
    note = (
        "Cut in this order; a saw cut is 4 mm wide." if not say.us else "Cut in this order; a saw cut is 5/32 in wide."
    )
    ends = f"Pipe ends {say.small(REACH)} past the inside of basin walls; what fittings hold is taken off."
    return "Cutting list", f"{note} {ends} Measure the place before you cut a rest.", heads, rows


def _stone(design: Design, say: Say) -> _List:
    unit, heavy = ("yd³", "ton") if say.us else ("m³", "t")

    def bulk(volume: float) -> float:
        return round(convert(volume, "volume", say.units, "yd3" if say.us else "m3"), 2)

    def mass(value: float) -> float:
        return round(convert(value, "mass", say.units, heavy), 2)

    zones = design.build.takeoff.stone
    rows: list[Line] = [
        (
            zone.where,
            zone.zone,
            bulk(zone.volume),
            say.small(zone.height),
            float(zone.lifts),
            bulk(zone.bought),
            mass(zone.mass),
        )
        for zone in zones
    ]
    if rows:
        totals = (
            sum(zone.volume for zone in zones),
            sum(zone.bought for zone in zones),
            sum(zone.mass for zone in zones),
        )
        rows.append(("All together", "", bulk(totals[0]), "", "", bulk(totals[1]), mass(totals[2])))
    heads = (
        ("For", 14), ("Where", 26), (f"In place ({unit})", 12), ("High", 12), ("Layers", 9),
        (f"Bought loose ({unit})", 14), (f"Weight ({heavy})", 12),
    )  # fmt: skip
    note = "Each layer placed and tamped before the next. Bought loose has the waste in it; weight as dumped."
    return "Stone", note, heads, rows


def _fabric(design: Design, say: Say) -> _List:
    rows: list[Line] = []
    told: set[float] = set()
    for roll in design.build.takeoff.rolls:
        size = f"{say.length(roll.width)} x {say.length(roll.length)}"
        if roll.width in told:
            rows.append((float(roll.count), size, "the same strips", "", ""))
            continue
        told.add(roll.width)
        for number, (where, width, length) in enumerate(roll.strips):
            first = number == 0
            rows.append(
                (
                    float(roll.count) if first else "",
                    size if first else "",
                    where,
                    say.length(width),
                    say.length(length),
                )
            )
    heads = (("Rolls", 8), ("Roll", 26), ("Strip for", 16), ("Wide, lap included", 18), ("Long, laps included", 18))
    return "Fabric", "Strips are rolled out along the trench; what is wider than its strip is lapped more.", heads, rows


def _tools(design: Design) -> _List:
    rows: list[Line] = [
        (tool.name, float(tool.count), SOURCES[tool.source], tool.why, tool.basis.value)
        for tool in design.build.takeoff.tools
    ]
    heads = (("Tool", 40), ("Count", 8), ("Whose", 16), ("For", 50), ("Rests on", 12))
    return "Tools", "Common tools are taken to be the firm's own, unless the job says what it lacks.", heads, rows


__all__ = ["Head", "Line", "listed", "pieces_words", "stick_rows", "taken_off"]
