"""Where the moisture comes from: naive Bayes in log odds over the causes, and the cheap test that would tell most.

Every piece of evidence multiplies each cause's likelihood by a ratio of its own (the tables are in
``moisture_evidence``); the logarithms add up. What is seen of one wet place is seen together, so signs, spots, times
and heights count with six tenths of their logarithm; the water itself seen outside, tests and facts of the site count
whole. Pieces of one kind lean on each other, so for each cause the strongest of a kind counts whole, the next half, the
next a quarter; and where one symptom speaks for a cause, others of its kind speak against it with half their weight,
because more than one cause at once is usual. For the same reason what is seen at one place says nothing against a cause
that what is seen at another place speaks for: two walls of a house may be wet by two causes. And a puddle stands
outside when it rains, whatever wets the house: that it rained then is no time at which the house is wet.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from drainwright.errors import InputError
from drainwright.field.wall_slopes import FALL_AWAY
from drainwright.job.moisture import MoistureTest, Symptom
from drainwright.quantities import percent, write
from drainwright.water.moisture_evidence import (
    CAPILLARY_LIMIT,
    CAUSES,
    FACTS,
    HIGH_DAMP,
    LOW_DAMP,
    PRACTICE,
    PRIOR,
    SIGNS,
    SPOTS,
    TEST_KINDS,
    TEST_SOURCES,
    TIMES,
    TOGETHER,
    Clue,
    chances,
)
from drainwright.water.moisture_model import (
    Evidence,
    HouseFacts,
    MoistureSources,
    RankedCause,
)
from drainwright.water.moisture_words import FIRST, HELPED_BY_DRAINAGE, NOT_REACHED, REMEDIES
from drainwright.water.next_test import SHOW_WATER, does_not_reach, is_close, next_tests, remedy_here
from drainwright.water.wet_places import wet_places
from drainwright.worksheet import Card, catalogued, place

if TYPE_CHECKING:
    from drainwright.field.model import Site
    from drainwright.water.model import Inflows

NEAR_FLOOR = 0.3  # water table so little below the floor's underside; common practice, no source [m]
FAR_BELOW = 1.0  # at least so far below the floor's underside is far, and more than twice the rise [m]
LN2 = math.log(2.0)
SEEN = 0.6  # what is seen counts with so much of its logarithm; common practice, no source [-]
OUTSIDE = ("grade", "outside")  # kinds of signs that are water seen outside
WITH_RAIN = ("during rain", "after rain", "snow melt")  # times at which water stands outside anywhere
WATER_SEEN = ("sump runs", "water in pit")  # signs that are the ground water itself, not its trace in the house
Units = Literal["US", "SI"]


@dataclass(frozen=True, slots=True)
class _Piece:
    """One piece of evidence before it is weighed against others of its kind."""

    kind: str
    text: str
    weights: tuple[float, ...]  # natural logarithms, as CAUSES
    source: str
    where: frozenset[str] = frozenset()  # where it was seen, as typed; empty for tests and facts, of the whole house


def _piece(clue: Clue, text: str, share: float = 1.0, seen: Iterable[Symptom] = ()) -> _Piece:
    weights = tuple(share * grade * LN2 for grade in clue.grades)
    return _Piece(clue.kind, text, weights, clue.source, frozenset(item.where for item in seen))


def _outside(symptom: Symptom) -> bool:
    """Whether it is water seen outside, and not the house that is wet."""
    return symptom.sign is not None and SIGNS[symptom.sign].kind in OUTSIDE


def _said(symptoms: Iterable[Symptom]) -> str:
    """The job's own words for what was seen."""
    told = (f'"{item.what}"' + (f", {item.where}" if item.where else "") for item in symptoms)
    return " and ".join(dict.fromkeys(told))


def _from_symptoms(symptoms: Sequence[Symptom], units: Units) -> Iterator[_Piece]:
    """Signs, spots, times and heights, each thing once however often it was seen."""
    for sign, clue in SIGNS.items():
        if seen := [item for item in symptoms if item.sign == sign]:
            share = 1.0 if clue.kind in OUTSIDE else SEEN
            yield _piece(clue, f"{sign} ({_said(seen)})", share, seen)
    for spot, clue in SPOTS.items():
        if seen := [item for item in symptoms if item.spot == spot]:
            yield _piece(clue, f"place: {spot} ({_said(seen)})", SEEN, seen)
    for when, clue in TIMES.items():
        if seen := [item for item in symptoms if item.when == when and not (when in WITH_RAIN and _outside(item))]:
            yield _piece(clue, f"time: {when} ({_said(seen)})", SEEN, seen)
    for pair, clue in TOGETHER.items():
        if seen := [item for item in symptoms if set(pair) <= {item.sign, item.spot, item.when}]:
            yield _piece(clue, f"{pair[0]} together with {pair[1]} ({_said(seen)})", SEEN, seen)
    high = [item for item in symptoms if item.sign and item.height is not None and SIGNS[item.sign].kind == "wall"]
    if high:
        top = max(high, key=lambda item: item.height or 0.0)
        reach = write(top.height or 0.0, "length", units, "in" if units == "US" else "mm", 0)
        clue = HIGH_DAMP if (top.height or 0.0) > CAPILLARY_LIMIT else LOW_DAMP
        limit = write(CAPILLARY_LIMIT, "length", units, "ft" if units == "US" else "m", 0 if units == "US" else 1)
        way = "higher than" if clue is HIGH_DAMP else "within"
        yield _piece(
            clue,
            f"the damp reaches {reach} up, {way} the {limit} to which ground damp rises ({_said([top])})",
            SEEN,
            [top],
        )


def _from_tests(tests: Sequence[MoistureTest]) -> Iterator[_Piece]:
    """Simple tests: the logarithm of how often the result comes up, beside its average over the causes."""
    for key in dict.fromkeys((item.kind, item.result) for item in tests):
        test, result = key
        often = chances(test, result)
        usual = sum(PRIOR[cause] * chance for cause, chance in zip(CAUSES, often, strict=True))
        places = [item.where for item in tests if (item.kind, item.result) == key and item.where]
        where = f" ({', '.join(dict.fromkeys(places))})" if places else ""
        weights = tuple(math.log(chance / usual) for chance in often)
        kind, source = TEST_KINDS.get(test, test), TEST_SOURCES.get(test, PRACTICE)
        yield _Piece(f"test {kind}", f"test, {test}: {result}{where}", weights, source)


def _from_facts(facts: HouseFacts, tide_seen: bool) -> Iterator[_Piece]:
    """What the site itself says."""

    def tell(name: str, text: str) -> _Piece:
        return _piece(FACTS[name], text)

    yield tell(facts.floor_kind, f"the lowest floor is a {facts.floor_kind}")
    if facts.texture in ("sand", "loamy sand"):
        yield tell("coarse soil", f"{facts.texture} hardly draws water up")
    if facts.ground_falls_to_wall is not None:
        if facts.ground_falls_to_wall:
            yield tell("falls to wall", "the ground falls towards the house somewhere")
        elif facts.ground_falls_enough is False:
            little = f"less than {percent(FALL_AWAY)} somewhere"
            yield tell("falls little", f"the ground falls away from the walls, but {little}")
        else:
            yield tell("falls away", "the ground falls away from the walls")
    if facts.water_stands_at_wall is not None:
        if facts.water_stands_at_wall:
            yield tell("stands at wall", "a low spot of the ground touches a wall")
        else:
            yield tell("nothing stands", "no low spot of the ground touches a wall")
    if facts.run_on:
        yield tell("runs on", "water comes on to the lot from beyond its boundary")
    if facts.soil_above_floor and facts.floor_kind != "basement":
        yield tell(f"soil above {facts.floor_kind}", "the soil outside stands above the inside floor")
    if facts.downspouts_at_wall:
        some = "a downspout ends" if facts.downspouts_at_wall == 1 else f"{facts.downspouts_at_wall} downspouts end"
        yield tell("downspouts at wall", f"{some} on the ground beside the house")
    elif facts.gutters:
        yield tell("no downspout at wall", "no downspout ends on the ground beside the house")
    if facts.gutters is False:
        yield tell("no gutters", "the roof has no gutters")
    if facts.irrigation is not None:
        name = "irrigation" if facts.irrigation else "no irrigation"
        yield tell(name, f"there is {name} on the lot")
    yield from _from_table(facts)
    if facts.open_water:
        yield tell("tidal water" if facts.tidal else "still open water", "open water lies near the house")
    else:
        yield tell("no open water", "no tide, canal, pond or stream is named near the house")
    if tide_seen and facts.open_water and not facts.tidal:
        yield tell("tide without tidal water", "the open water named has no tide")


def _from_table(facts: HouseFacts) -> Iterator[_Piece]:
    """High ground water beside the floor's underside."""
    below, rise = facts.table_below_floor, facts.capillary_rise
    if below is None:
        return
    if below <= 0.0:
        yield _piece(FACTS["table above floor"], "high ground water stands above the floor's underside")
    elif below <= NEAR_FLOOR:
        yield _piece(FACTS["table near floor"], "high ground water stands little below the floor's underside")
    elif rise is not None and below <= rise:
        yield _piece(FACTS["table within the rise"], "this soil draws water up as far as the floor's underside")
    elif below <= max(FAR_BELOW, 2.0 * (rise or 0.0)):
        yield _piece(FACTS["table below the rise"], "high ground water stands below what this soil draws up")
    else:
        yield _piece(FACTS["table far below"], "high ground water stands far below the floor")


def _by_place(pieces: Sequence[_Piece], walls: Collection[str]) -> list[_Piece]:
    """The same without what speaks against a cause at one place where another place speaks for it.

    A place speaks for a cause where all that was seen there does, taken together. What was seen nobody says where may
    have been anywhere: it goes on speaking against, and frees no other place.
    """
    seen = [frozenset(place for where in piece.where for place in wet_places(where, walls)) for piece in pieces]
    named = sorted({place for places in seen for place in places if place})
    together = {
        place: [
            sum(piece.weights[column] for piece, places in zip(pieces, seen, strict=True) if place in places)
            for column in range(len(CAUSES))
        ]
        for place in named
    }
    found = []
    for piece, places in zip(pieces, seen, strict=True):
        others = [place for place in named if place not in places] if places and "" not in places else []
        weights = tuple(
            0.0 if weight < 0.0 and any(together[place][column] > 0.0 for place in others) else weight
            for column, weight in enumerate(piece.weights)
        )
        found.append(replace(piece, weights=weights))
    return found


def _weigh(pieces: Sequence[_Piece]) -> list[list[float]]:
    """Weight of each piece for each cause, once pieces of one kind are held against each other."""
    counted = [[0.0] * len(CAUSES) for _ in pieces]
    for kind in dict.fromkeys(piece.kind for piece in pieces):
        members = [number for number, piece in enumerate(pieces) if piece.kind == kind]
        for column in range(len(CAUSES)):
            by_strength = sorted(members, key=lambda number: -abs(pieces[number].weights[column]))
            speak_for = [number for number in by_strength if pieces[number].weights[column] > 0.0]
            against = [number for number in by_strength if pieces[number].weights[column] < 0.0]
            for order, number in enumerate(speak_for):
                counted[number][column] = pieces[number].weights[column] * 0.5**order
            for order, number in enumerate(against, start=1 if speak_for else 0):
                counted[number][column] = pieces[number].weights[column] * 0.5**order
    return counted


@catalogued(
    Card(
        title="Share of a cause of moisture by what was seen",
        symbol="p",
        expression="prior * exp(evidence) / together",
        units={"prior": "-", "evidence": "-", "together": "-", "result": "-"},
        source="bayes",
    )
)
def cause_share(prior: float, evidence: float, together: float) -> float:
    """Share of one cause: its prior times its likelihood ratios, over the same of all causes together.

    Parameters
    ----------
    prior : float
        Share before anything is known. [-]
    evidence : float
        Sum of the natural logarithms of its likelihood ratios. [-]
    together : float
        Sum of ``prior * exp(evidence)`` over all causes, above zero. [-]

    Returns
    -------
    float
        A rank among the causes, not a measured chance: pieces of evidence are taken as independent. [-]

    Raises
    ------
    InputError
        If ``together`` is not above zero.

    Examples
    --------
    >>> cause_share(0.2, 0.0, 0.4)
    0.5
    """
    if not together > 0.0:
        raise InputError(f"together = {together!r}: expected a sum above zero")
    return prior * math.exp(evidence) / together


def rank_causes(
    symptoms: Sequence[Symptom],
    tests: Sequence[MoistureTest],
    facts: HouseFacts,
    units: Units = "US",
    walls: Collection[str] = (),
) -> MoistureSources:
    """Rank the causes of moisture by what was seen, tested and measured.

    Parameters
    ----------
    symptoms : sequence of Symptom
        Those without a sign are named in ``unread`` and not used.
    tests : sequence of MoistureTest
        Simple tests that were done.
    facts : HouseFacts
        What the site says.
    units : str
        In which lengths are written.
    walls : Collection of str
        Names of the house's walls, by which what was seen at one place is told from what was seen at another.

    Returns
    -------
    MoistureSources
        The shares add up to 1 and rank the causes; they are no measured chances. A cause's prior and its evidence add
        up to its likelihood, up to a factor that all causes share. Without a sign and without a test no cause is
        ranked: the site alone makes no house wet.

    Notes
    -----
    Naive Bayes: log odds are sums of the prior's and of each piece's logarithm. Pieces of one kind lean on each other
    and are damped (see the head of this module). Priors and sizes of the ratios are common practice.
    """
    read = [item for item in symptoms if item.sign is not None]
    unread = tuple(item.what for item in symptoms if item.sign is None)
    if not read and not tests:
        verdict = "Nothing that was seen is told with its sign, and no test is done: the causes cannot be ranked."
        return MoistureSources(
            causes=(), next_test=None, also=(), drainage_is_remedy=None, verdict=verdict, unread=unread
        )
    tide_seen = any(item.when == "high tide" for item in read)
    pieces = _by_place([*_from_symptoms(read, units), *_from_tests(tests), *_from_facts(facts, tide_seen)], walls)
    counted = _weigh(pieces)
    evidence = [sum(row[number] for row in counted) for number in range(len(CAUSES))]
    together = sum(PRIOR[cause] * math.exp(told) for cause, told in zip(CAUSES, evidence, strict=True))
    shares = []
    for cause, told in zip(CAUSES, evidence, strict=True):
        with place(f"moisture.{cause.value}", "rank among the causes"):
            shares.append(cause_share(PRIOR[cause], told, together))
    causes = sorted((_ranked(n, shares[n], pieces, counted) for n in range(len(CAUSES))), key=lambda item: -item.share)
    tested = {item.kind for item in tests}
    shown = any(item.sign in WATER_SEEN for item in read) or any((t.kind, t.result) in SHOW_WATER for t in tests)
    remedy = remedy_here({item.cause: item.share for item in causes}, facts, shown)
    short = does_not_reach(causes[0].cause, facts)
    further = [item for item in next_tests(shares, tested, facts, shown) if item.changes(causes[0].cause, remedy)]
    return MoistureSources(
        causes=tuple(causes),
        next_test=further[0] if further else None,
        also=tuple(further[1:4]),
        drainage_is_remedy=remedy,
        short_of_floor=short,
        verdict=_verdict(causes, remedy, short),
        unread=unread,
    )


def _ranked(column: int, share: float, pieces: Sequence[_Piece], counted: Sequence[Sequence[float]]) -> RankedCause:
    evidence = [
        Evidence(text=piece.text, weight=row[column], source=piece.source)
        for piece, row in zip(pieces, counted, strict=True)
        if abs(row[column]) > 0.05  # less than a twentieth says nothing
    ]
    cause = CAUSES[column]
    return RankedCause(
        cause=cause,
        share=share,
        evidence_for=tuple(sorted((item for item in evidence if item.weight > 0), key=lambda item: -item.weight)),
        evidence_against=tuple(sorted((item for item in evidence if item.weight < 0), key=lambda item: item.weight)),
        remedy=REMEDIES[cause],
        drainage_helps=cause in HELPED_BY_DRAINAGE,
    )


def close_causes(causes: Sequence[RankedCause]) -> tuple[RankedCause, ...]:
    """The first cause with those that are more than half as likely."""
    return tuple(item for item in causes if is_close(item.share, causes[0].share))


def leads_clearly(causes: Sequence[RankedCause]) -> bool:
    """Whether the first cause is so much likelier than the second that it may be acted upon."""
    return len(close_causes(causes)) == 1


def share_words(share: float) -> str:
    """Write a share, never as surer than the ranking can be.

    Examples
    --------
    >>> share_words(0.634), share_words(0.9996)
    ('63 %', 'over 95 %')
    """
    return "over 95 %" if share > 0.95 else "under 1 %" if share < 0.01 else percent(share)


def _verdict(causes: Sequence[RankedCause], remedy: bool | None, short: bool) -> str:
    first, second = causes[:2]
    lead = f"{first.cause.value} ({share_words(first.share)})"
    then = f"{second.cause.value} ({share_words(second.share)})"
    how = "leads clearly, before" if leads_clearly(causes) else "leads, but not clearly, before"
    parts = [f"{lead[0].upper()}{lead[1:]} {how} {then}."]
    if remedy is None:
        parts.append("Whether drainage is the remedy cannot be told yet: a test comes first.")
    elif remedy:
        parts.append("Drainage is the remedy.")
    else:
        parts.append(f"Drainage is not the remedy. {first.remedy}")
    if short:
        parts.append(NOT_REACHED)
    parts += [FIRST[item.cause] for item in close_causes(causes) if item.cause in FIRST]
    parts.append("The shares rank the causes, they are not measured chances, and more than one cause at once is usual.")
    return " ".join(parts)


def moisture_sources(site: Site, inflows: Inflows) -> MoistureSources:
    """Rank the causes of moisture at a surveyed house."""
    from drainwright.water.house_facts import house_facts

    job = site.job
    names = [wall.name for wall in site.walls]
    return rank_causes(job.symptoms, job.moisture_tests, house_facts(site, inflows), job.units, names)


__all__ = [
    "cause_share", "close_causes", "leads_clearly", "moisture_sources", "rank_causes", "share_words",
]  # fmt: skip
