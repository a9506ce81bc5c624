"""When nothing fits: which conditions stand in each other's way, and the least that would let all be kept.

A conflict is found as an irreducible set: its conditions cannot be kept together, and without any one of them the
others can. It is sought by halving: which part of one half is needed beside the other half, and so on down (Junker's
search, some thirty solves of a mixed-integer program). Physics have no relief: water runs down, a pipe stays in the
ground.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from drainwright.system.grading.model import (
    FIXED_PRICE,
    RELAXATION,
    Clash,
    Condition,
    Demand,
    Grading,
    GravityLine,
    Meeting,
    Relief,
)
from drainwright.system.grading.solve import TOLERANCE, Laid, laid

MOST = 6  # conflicts told at most, without those of what no other conflict names
ALL = 12  # with them
GAVE = 1e-6  # a slack below this is rounding [m]
#: What has no remedy but another route: the rest is physics, or safety.
FIRM: frozenset[Demand] = frozenset({"uphill", "junction", "bare", "size"})
TWO_WAY: frozenset[Demand] = frozenset({"fixed upper", "fixed lower", "fixed grade", "outlet"})
_AS_ASKED: Mapping[str, Demand] = {"bed": "footing", "flat": "grade"}  # kinds that one condition covers
_PLACES: frozenset[Demand] = frozenset({"junction", "drop", "crown", "size", "freeboard"})  # told by upper node


def price_of(condition: Condition) -> float:
    """By which reliefs are ranked: the price of a metre of what gives way."""
    return next((price for kind, price in RELAXATION.items() if kind == condition.kind), FIXED_PRICE)


class _Search:
    """One program, solved with some conditions held and others free."""

    def __init__(self, plan: Laid) -> None:
        self.plan = plan
        self.program = plan.program
        self.every = tuple(self.program.reliefs)
        self.shut = plan.shut
        self.nothing = [0.0] * len(self.program.cost)
        self.free: frozenset[Condition] = frozenset()  # let go for good while the next conflict is looked for
        self.counted: tuple[Relief, ...] = ()  # held conditions that keep only so much less

    def _let_go(self, held: Iterable[Condition]) -> list[int]:
        """The own slacks of all conditions but those held."""
        kept = frozenset(held)
        return [index for item, own in self.program.reliefs.items() if item not in kept for index in own]

    def fits(self, held: Iterable[Condition]) -> bool:
        """Whether these conditions can be kept together, all others let go."""
        program = self.program
        return program.solve(program.low, self._opened(self.counted), self.nothing, self._let_go(held)) is not None

    def _opened(self, reliefs: Iterable[Relief]) -> list[float]:
        """Upper bounds with as much let go as reliefs say, and no more."""
        high = list(self.shut)
        for relief in reliefs:
            for index in self._slacks(relief):
                high[index] = (relief.amount or 0.0) + TOLERANCE
        return high

    def conflict(self) -> tuple[Condition, ...]:
        """An irreducible conflict among the conditions that are not free; none: empty."""
        held = [item for item in self.every if item not in self.free]
        if self.fits(held):
            return ()
        held.sort(key=lambda item: (item.kind in FIRM, price_of(item), item))
        found = self._among((), False, tuple(held))
        return tuple(sorted(found, key=lambda item: (price_of(item), item)))

    def _among(self, base: tuple[Condition, ...], grown: bool, rest: tuple[Condition, ...]) -> tuple[Condition, ...]:
        """Of the rest, an irreducible part that cannot be kept with the base."""
        if grown and not self.fits(base):
            return ()
        if len(rest) == 1:
            return rest
        first, second = rest[: len(rest) // 2], rest[len(rest) // 2 :]
        later = self._among((*base, *first), bool(first), second)
        sooner = self._among((*base, *later), bool(later), first)
        return (*sooner, *later)

    def relief(self, condition: Condition, others: Sequence[Relief] = ()) -> Relief:
        """The least by which one condition has to give for all the others to be kept, as far as those said keep."""
        limit = self.program.limits[condition]
        if condition.kind in FIRM or limit <= 0.0:
            return Relief(condition=condition, amount=None, price=math.inf)
        cost, high = list(self.nothing), self._opened(others)
        for index in self.program.reliefs[condition]:
            cost[index], high[index] = 1.0, limit
        answer = self.program.solve(self.program.low, high, cost)
        if answer is None:
            return Relief(condition=condition, amount=None, price=math.inf)
        amount = answer.objective
        sunk = condition.kind in TWO_WAY and answer.values[self.program.reliefs[condition][0]] > GAVE
        return Relief(condition=condition, amount=amount, price=self._price(condition, amount), lower=bool(sunk))

    def _slacks(self, relief: Relief) -> tuple[int, ...]:
        own = self.program.reliefs[relief.condition]
        return own if relief.condition.kind not in TWO_WAY else own[:1] if relief.lower else own[1:]

    def drawn(self, grading: Grading) -> tuple[Relief, ...]:
        """The conditions that the drawn design breaks, by how much."""
        low, high, cost = list(self.program.low), list(self.shut), list(self.nothing)
        for item in self.plan.placed:
            found = grading.lines[item.line.name]
            for knot, level in zip(item.knots, found.inverts, strict=True):
                low[knot] = high[knot] = level - self.plan.datum
            for pick, pipe in zip(item.picks, item.line.pipes, strict=True):
                low[pick] = high[pick] = float(pipe == found.pipe)
        for own in self.program.reliefs.values():
            for index in own:
                cost[index], high[index] = 1.0, math.inf
        answer = self.program.solve(low, high, cost)
        if answer is None:
            raise RuntimeError("grading: the drawn design breaks more than its conditions")
        reliefs = []
        for condition, own in sorted(self.program.reliefs.items()):
            most = max(own, key=lambda index: answer.values[index])
            amount, lower = float(answer.values[most]), condition.kind in TWO_WAY and most == own[0]
            if amount > TOLERANCE:
                price = self._price(condition, amount)
                reliefs.append(Relief(condition=condition, amount=amount, price=price, lower=lower))
        return tuple(reliefs)

    def _price(self, condition: Condition, amount: float) -> float:
        sloped = condition.kind in ("grade", "steep", "fixed grade")
        return amount * (self._length(condition) if sloped else 1.0) * price_of(condition)

    def _length(self, condition: Condition) -> float:
        return next(line.length for line in self.plan.lines if line.name == condition.name)


def gave_way(grading: Grading, lines: Sequence[GravityLine], every: Iterable[Condition]) -> frozenset[Condition]:
    """The conditions that the drawn design does not keep."""
    uppers = {line.name: line.upper for line in lines}
    lowers = {line.name: line.lower for line in lines}
    found = set()
    for item in grading.relaxed:
        kind: Demand = _AS_ASKED.get(item.kind, item.kind)  # type: ignore[arg-type]
        name = uppers[item.line] if kind in _PLACES else lowers[item.line] if kind == "basin" else item.line
        found |= {condition for condition in every if condition.kind == kind and condition.name == name}
        if kind in ("uphill", "junction"):  # then what asks more than physics gave way with it
            also: Demand = "grade" if kind == "uphill" else "drop"
            found |= {condition for condition in every if condition.kind == also and condition.name == name}
        if kind == "bare":
            found |= {condition for condition in every if condition.kind == "cover" and condition.name == name}
    return frozenset(found)


def clashes(lines: Sequence[GravityLine], meetings: Sequence[Meeting], grading: Grading) -> tuple[Clash, ...]:
    """Conflicts between conditions, where a grading could not keep them all.

    Parameters
    ----------
    lines, meetings : sequence
        As they were graded.
    grading : Grading
        The answer: its ``relaxed`` tell what the drawn design gave up.

    Returns
    -------
    tuple of Clash
        None where all is kept. Each is irreducible. Where there is one, a relief alone lets everything be kept; where
        there are several, together with ``others``: as much as the drawn design gives up for the other conflicts.
        What the design gave up and none of these names has one of its own, in which members that the design broke
        count as far as it kept them (``counted``).
    """
    if not grading.relaxed:
        return ()
    search = _Search(laid(lines, meetings))
    given_up = gave_way(grading, lines, search.every)
    found: list[tuple[Condition, ...]] = []
    while len(found) < MOST:
        members = search.conflict()
        if not members:
            break
        found.append(members)
        lost = frozenset(members) & given_up
        search.free |= lost or frozenset(members)
    search.free = frozenset()
    drawn = search.drawn(grading)
    sets: list[tuple[tuple[Condition, ...], tuple[Relief, ...]]] = [(members, ()) for members in found]
    sets += _left(search, drawn, found)
    clashing = []
    for members, counted in sets:
        others = tuple(item for item in drawn if item.condition not in members) if len(sets) > 1 else ()
        reliefs = []
        for condition in members:
            beside = tuple(item for item in counted if item.condition != condition)
            reliefs.append(search.relief(condition, (*others, *beside)))
        reliefs.sort(key=lambda item: (item.price, item.condition))
        clashing.append(Clash(members=members, reliefs=tuple(reliefs), others=others, counted=counted))
    return tuple(clashing)


def _left(
    search: _Search, drawn: Sequence[Relief], found: Sequence[tuple[Condition, ...]]
) -> list[tuple[tuple[Condition, ...], tuple[Relief, ...]]]:
    """Conflicts behind what the design gave up and no conflict names yet: the rest counts as it is drawn."""
    named = {item for members in found for item in members}
    sets: list[tuple[tuple[Condition, ...], tuple[Relief, ...]]] = []
    for relief in sorted(drawn, key=lambda item: (-item.price, item.condition)):
        if relief.condition in named or len(found) + len(sets) >= ALL:
            continue
        search.counted = tuple(item for item in drawn if item is not relief)
        members = search.conflict()
        if members:
            named |= set(members)
            sets.append((members, tuple(item for item in search.counted if item.condition in members)))
    search.counted = ()
    return sets


__all__ = ["FIRM", "clashes", "gave_way", "price_of"]
