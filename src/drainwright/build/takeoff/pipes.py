"""Pipe by the stick with its cutting list, fittings, and what welds them."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from itertools import groupby, pairwise

from drainwright.build.book import Book
from drainwright.build.fittings_count import described, group_words, inside_bodies, key_of, named, sockets, spans
from drainwright.build.model import CutPiece, CutStick, TakeoffLine
from drainwright.build.openings import Stretch, in_openings, stretches
from drainwright.build.panels import BaredLength, bared_lengths
from drainwright.build.sticks import KERF, Sticks, split
from drainwright.build.take_offs import held, riser_held
from drainwright.build.takeoff.lines import line, names
from drainwright.build.takeoff.whole_cost import cheapest, choices, whole_cost
from drainwright.build.units import FOOT
from drainwright.field.model import Site
from drainwright.field.words import Units
from drainwright.job.values import Basis
from drainwright.quantities import write
from drainwright.system.fittings import BELLED, BENDING, Fitting, Riser, free_end, inches
from drainwright.system.make_up import make_up
from drainwright.system.model import Pipe, SizedRun, System
from drainwright.system.trade import nominal_words, pipe_words
from drainwright.worksheet import quiet

#: Solvent-welded joints (sockets) per pint of cement, by nominal size in inches: from memory.
JOINTS_PER_PINT = ((1.25, 50.0), (1.5, 45.0), (2.0, 30.0), (3.0, 20.0), (4.0, 15.0), (6.0, 5.0), (8.0, 3.0))
LEAST = 0.1  # no piece is cut shorter, unless its place is: common practice, no source [m]
PRIMER = 0.5  # pints per pint of cement, from memory


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """What the counting found, for labour as well as for the takeoff."""

    sticks: dict[str, Sticks]
    fittings: tuple[Fitting, ...]
    risers: tuple[Riser, ...]
    cuts: tuple[CutStick, ...]
    laid: dict[str, tuple[CutPiece, ...]]  # straight lengths of each run, between fittings, bodies and openings


def pipe_key(pipe: Pipe, stick: float) -> str:
    """Price-book key of a stick: ``pipe.d2729-4in-perforated.10ft``."""
    name = pipe.key.replace(" in", "in").replace(" ", "-")
    return f"pipe.{name}.{round(stick / FOOT)}ft"


def prices_of(pipe: Pipe, book: Book, out: Iterable[str] = ()) -> dict[float, float]:
    """What a stick of each length sold costs; lengths that cannot be had are left out, unless none is left."""
    missing = set(out)
    sold = [stick for stick in pipe.sticks if pipe_key(pipe, stick) not in missing] or list(pipe.sticks)
    return {stick: float(book.item(pipe_key(pipe, stick)).price) for stick in sold}


def count(site: Site, system: System, book: Book, panel: float = 0.0) -> Counted:
    """Sticks and fittings of the whole network, risers included.

    Parameters
    ----------
    site : Site
        The site; its works say what cannot be had.
    system : System
        The designed system.
    book : Book
        Prices of the sticks.
    panel : float
        Length in which walls are bared; 0 where they are bared whole. [m]

    Returns
    -------
    Counted
        For each pipe the sticks, of one length or mixed, that cost least with the couplings, the cement and the hours
        of their joints; risers are cut from what is left of them. Beside walls bared in short lengths each piece fits
        its numbered opening, has a bell or a coupling, and what is laid in an even one is closed with a coupling that
        slides.
    """
    own, risers = named(site.job, system)
    short = short_runs(site, system, panel)
    bared = bared_lengths(site, system, panel)
    laid = {run.name: tuple(_pieces(run, site, system, own, bared if run.name in short else ())) for run in system.runs}
    upright = [(riser.pipe, standing(riser, system, own)) for riser in risers]
    pipes = {run.pipe.key: run.pipe for run in system.runs} | {pipe.key: pipe for pipe, _ in upright}
    wanted = {
        key: [
            *(piece for run in system.runs if run.pipe.key == key for piece in laid[run.name]),
            *(piece for pipe, piece in upright if pipe.key == key),
        ]
        for key in pipes
    }
    prices = {key: prices_of(pipe, book, site.job.works.out_of_stock) for key, pipe in pipes.items()}
    slips = tuple(_closing(system, laid))

    @cache
    def cuts_of(key: str, sticks: Sticks) -> tuple[CutStick, ...]:
        return cutting_list(pipes[key], sticks, wanted[key])

    @cache
    def lines_of(key: str, sticks: Sticks) -> tuple[TakeoffLine, ...]:
        return tuple(_lines_of(pipes[key], sticks, cuts_of(key, sticks), site.job.units, book))

    def counted(chosen: dict[str, Sticks]) -> Counted:
        cuts = tuple(cut for key in pipes for cut in cuts_of(key, chosen[key]))
        couplings = _couplings(system, laid, chosen, Counter(fitting.where for fitting in slips))
        return Counted(
            sticks=chosen, fittings=(*own, *couplings, *_cut_ends(cuts, short), *slips), risers=risers, cuts=cuts,
            laid=laid,
        )  # fmt: skip

    def cost(made: Counted) -> Decimal:
        bought = (line for key in pipes for line in lines_of(key, made.sticks[key]))
        lines = (*bought, *fitting_lines(made, site, system, book), *welding(system, made))
        return whole_cost(lines, len(made.fittings), book)

    with quiet():
        options = {key: choices([piece.length for piece in wanted[key]], prices[key]) for key in pipes}
        return cheapest(options, counted, cost)


def short_runs(site: Site, system: System, panel: float) -> dict[str, Pipe]:
    """Runs beside walls that are bared in lengths shorter than the sticks, with their pipe."""
    opened = {wall.name for wall in site.walls if wall.wall.open_and_coat}
    return {
        run.name: run.pipe
        for run in system.runs
        if panel > 0 and opened & set(run.walls) and run.pipe.family not in BENDING
        and max(run.pipe.sticks) > panel + 1e-6
    }  # fmt: skip


def _pieces(
    run: SizedRun, site: Site, system: System, own: Sequence[Fitting], bared: Sequence[BaredLength]
) -> Iterator[CutPiece]:
    """Straight lengths from the upper end on, less what fittings hold of them; at bared walls one for each opening."""
    parts = stretches(run, site, bared) if bared else ()
    along = spans(run, inside_bodies(site.job, system, run))
    for (start, end), ends in zip(along, held(run, system, own), strict=False):  # a run of no length has no span
        found = in_openings(parts, start, end) or (Stretch(start=start, end=end, openings=()),)
        for number, part in enumerate(found):
            off = ends[0] * (number == 0) + ends[1] * (number == len(found) - 1)
            left = max(part.length - off, min(part.length, LEAST))
            yield CutPiece(length=left, where=run.name, upright=False, openings=part.openings)


def standing(riser: Riser, system: System, own: Sequence[Fitting]) -> CutPiece:
    """A riser's own pipe, less what its foot and what stands on it hold."""
    left = max(riser.length - riser_held(riser, system, own), min(riser.length, LEAST))
    return CutPiece(length=left, where=riser.where, upright=True)


def _couplings(
    system: System, laid: Mapping[str, Sequence[CutPiece]], sticks: Mapping[str, Sticks], slips: Mapping[str, int]
) -> Iterator[Fitting]:
    """Between sticks without bells, and where such pipe goes on in the next opening; less those that slide."""
    for run in system.runs:
        if run.pipe.family not in BELLED:
            pieces = laid[run.name]
            joints = sum(len(split(piece.length, sticks[run.pipe.key].stick)) - 1 for piece in pieces)
            joints += sum(bool(one.openings or two.openings) for one, two in pairwise(pieces)) - slips[run.name]
            for _ in range(joints):
                yield Fitting(kind="coupling", pipe=run.pipe, where=run.name)


def _cut_ends(cuts: Iterable[CutStick], short: Mapping[str, Pipe]) -> Iterable[Fitting]:
    """Couplings where a stick of belled pipe makes more than one piece for openings: the first piece has the bell."""
    for cut in cuts:
        for piece in cut.pieces[1:]:
            if piece.openings and short[piece.where].family in BELLED:
                yield Fitting(kind="coupling", pipe=short[piece.where], where=piece.where)


def _closing(system: System, laid: Mapping[str, Sequence[CutPiece]]) -> Iterable[Fitting]:
    """One that slides for each even opening of a run: between pipes that lie, none can be pushed home.

    Common practice, no source. An even opening at a drain's free upper end needs none: its last pipe has room to slide.
    """
    for run in system.runs:
        groups = [openings for openings, _ in groupby(piece.openings[:1] for piece in laid[run.name])]
        free = free_end(run, system)
        for place, openings in enumerate(groups):
            if openings and openings[0] % 2 == 0 and not (free and place == 0):
                yield Fitting(kind="slip-coupling", pipe=run.pipe, where=run.name)


def cutting_list(pipe: Pipe, sticks: Sticks, wanted: Iterable[CutPiece]) -> tuple[CutStick, ...]:
    """Which piece comes from which stick, and what is left of it.

    Parameters
    ----------
    pipe : Pipe
        What is cut; where its sticks have no bells, each coupling's stop is taken off.
    sticks : Sticks
        From ``best_sticks``.
    wanted : iterable of CutPiece
        The straight lengths; each is parted as the sticks were.

    Returns
    -------
    tuple of CutStick
        The sticks that are cut into most pieces last.
    """
    stop = 0.0 if pipe.family in BELLED | BENDING else make_up("coupling", pipe.outside)
    left = [part for piece in wanted for part in _parts(piece, sticks.stick, stop)]
    found = []
    pairs = sorted(zip(sticks.cuts, sticks.lengths, strict=True), key=lambda pair: (len(pair[0]), -pair[1]))
    for number, (cut, stick) in enumerate(pairs, start=1):
        pieces = []
        for length in cut:
            near = min(range(len(left)), key=lambda index: abs(left[index].length - length))
            pieces.append(left.pop(near))
        used = math.fsum(piece.length for piece in pieces)
        sawn = len(pieces) - 1 if stick - used - KERF * (len(pieces) - 1) < KERF else len(pieces)
        found.append(
            CutStick(
                pipe=pipe.key, number=number, length=stick, pieces=tuple(pieces),
                rest=max(stick - used - KERF * sawn, 0.0),
            )
        )  # fmt: skip
    return tuple(found)


def _parts(piece: CutPiece, stick: float, stop: float) -> Iterable[CutPiece]:
    """A length as sticks part it; what the stops of its couplings hold comes off the last."""
    lengths = split(piece.length, stick)
    for number, length in enumerate(lengths):
        off = stop * (len(lengths) - 1) if number == len(lengths) - 1 else 0.0
        yield replace(piece, length=length - off)


def pipe_lines(system: System, counted: Counted, units: Units, book: Book) -> Iterable[TakeoffLine]:
    """Sticks of each pipe and length, with what the book asks for as spare."""
    pipes = {run.pipe.key: run.pipe for run in system.runs}
    pipes |= {riser.pipe.key: riser.pipe for riser in counted.risers}
    for key, pipe in pipes.items():
        yield from _lines_of(pipe, counted.sticks[key], [cut for cut in counted.cuts if cut.pipe == key], units, book)


def _lines_of(pipe: Pipe, sticks: Sticks, cuts: Sequence[CutStick], units: Units, book: Book) -> Iterable[TakeoffLine]:
    """Sticks of one pipe, by length; whole spare ones of the longest length that is cut."""
    used = math.fsum(math.fsum(cut) for cut in sticks.cuts)
    laid = write(used, "length", units, "ft" if units == "US" else "m", 0)
    longest = max(sticks.lengths)
    spare = math.ceil(used * book.waste_of("pipe", "pipe") / longest - 1e-9)
    for stick in sorted(set(sticks.lengths), reverse=True):
        more = spare if stick == longest else 0
        mine = [cut for cut in cuts if cut.length == stick]
        sold = write(stick, "length", units, *(("ft", 0) if units == "US" else ("m", 2)))
        net = math.fsum(piece.length for cut in mine for piece in cut.pieces) / stick
        yield TakeoffLine(
            key=pipe_key(pipe, stick),
            category="pipe",
            description=f"{pipe_words(pipe, units)} pipe, sticks of {sold}",
            net=net,
            quantity=float(len(mine) + more),
            unit=f"stick {round(stick / FOOT)} ft",
            where=names(piece.where for cut in mine for piece in cut.pieces),
            waste=(len(mine) + more) / net - 1,
            note=f"{laid} laid, risers included; the waste is what the cutting list leaves"
            + (f" and {more} spare" if more else "" if spare else ": no spare for a broken stick in it"),
        )


def fitting_lines(counted: Counted, site: Site, system: System, book: Book) -> Iterable[TakeoffLine]:
    """Fittings by kind, family and size."""
    units, spouts = site.job.units, _spouts(site, system)
    alike: dict[str, list[Fitting]] = {}
    for fitting in counted.fittings:
        alike.setdefault(key_of(fitting), []).append(fitting)
    for key, same in sorted(alike.items()):
        yield line(
            key,
            "fittings",
            described(same[-1], units) + _other_ends(same, units) + _for_spouts(same, spouts),
            float(len(same)),
            "each",
            where=names(fitting.where for fitting in same),
            waste=book.waste_of(key, "fittings"),
        )


def _other_ends(fittings: Sequence[Fitting], units: Units) -> str:
    """What reducers and adapters go to, without which nobody can order them: ``, to 3 in Schedule 40``."""
    if fittings[0].kind not in ("reducer", "adapter"):
        return ""
    ends = Counter(
        f"to {nominal_words(one.other.nominal, units)} {group_words(one.other)}" for one in fittings if one.other
    )
    told = [f"{count} of them {end}" if len(ends) > 1 else end for end, count in sorted(ends.items())]
    return f", {'; '.join(told)}"


def _spouts(site: Site, system: System) -> dict[str, str]:
    """The size of the downspout at whose foot each run begins."""
    sizes = {spout.name: re.sub(r"(?<=\d) ?x ?(?=\d)", "×", spout.size) for spout in site.job.downspouts}
    return {run.name: sizes[run.upper] for run in system.runs if run.upper in sizes}


def _for_spouts(fittings: Sequence[Fitting], spouts: Mapping[str, str]) -> str:
    """What spouts the adapters go on to: ``, for downspouts of 3×4 in``."""
    if fittings[0].kind != "downspout":
        return ""
    sizes = sorted({spouts[one.where] for one in fittings if one.where in spouts})
    return f", for downspouts of {' and '.join(sizes)}" if sizes else ""


def welding(system: System, counted: Counted) -> Iterable[TakeoffLine]:
    """Cement and primer for solid PVC; perforated drains are slipped together."""
    welded = {run.name for run in system.runs if not run.pipe.perforated}
    pints = 0.0
    joints = 0
    for fitting in counted.fittings:
        if fitting.pipe.perforated or fitting.pipe.family.startswith("corrugated"):
            continue
        joints += sockets(fitting)
        pints += sockets(fitting) / _per_pint(fitting.pipe)
    for run in system.runs:
        if run.name in welded and run.pipe.family in ("D2729", "D3034 SDR 35"):
            stick = counted.sticks[run.pipe.key].stick
            bells = sum(len(split(piece.length, stick)) - 1 for piece in counted.laid[run.name])
            joints += bells
            pints += bells / _per_pint(run.pipe)
    if joints:
        note = f"{joints} sockets; joints a can from memory, the can's label governs"
        yield line("cement.pint", "sundries", "PVC solvent cement", pints, "pint", note=note, basis=Basis.ASSUMED)
        yield line("primer.pint", "sundries", "PVC primer", pints * PRIMER, "pint", note=note, basis=Basis.ASSUMED)


def _per_pint(pipe: Pipe) -> float:
    return _joints(pipe.nominal)


@cache
def _joints(size: str) -> float:
    """Sockets of a nominal size that a pint welds."""
    nominal = inches(size)
    return next((joints for size, joints in JOINTS_PER_PINT if size >= nominal - 1e-9), JOINTS_PER_PINT[-1][1])


__all__ = [
    "Counted",
    "count",
    "cutting_list",
    "fitting_lines",
    "pipe_key",
    "pipe_lines",
    "prices_of",
    "short_runs",
    "welding",
]
