"""The comparison in words: for and against each scheme from its figures, the orders, and whether one leads in all."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.quantities import System, write
from drainwright.schemes.kinds import Laid
from drainwright.schemes.model import TITLES, Comparison, Key, Ranking

Figures = Mapping[Key, Comparison]
HOPELESS = ("NET-01", "NET-12")  # with such a finding a way down does not work: a run has no fall, or no cover
LIKE = 0.02  # prices and lengths nearer than this share are called alike [-]
LIKE_ROOM = 0.025  # head rooms nearer than this are called alike, 1 in [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """One thing that schemes are put in order by: the less the better."""

    name: str  # "least price"
    phrase: str  # "costs least", for the scheme that comes first
    value: Callable[[Comparison], float]
    say: Callable[[Comparison, System], str]
    like: float = 0.0  # share by which two are called alike [-]
    like_amount: float = 1e-9  # and amount


def length(value: float, units: System) -> str:
    """A length for people: whole feet, or metres to a tenth."""
    if units == "US":
        return write(round(value / 0.3048) * 0.3048, "length", "US", "ft", 0)
    return write(value, "length", "SI", "m", 1)


def small(value: float, units: System) -> str:
    """A head room: inches and feet, or millimetres."""
    if units == "US":
        return write(value, "length", "US", "in" if abs(value) < 0.6 else "ft-in")
    return write(value, "length", "SI", "mm")


def deep_words(units: System) -> str:
    """The depth from which a trench wants protection."""
    return "5 ft" if units == "US" else "1.5 m"


def hours_words(hours: float) -> str:
    """A time until the water is there."""
    return f"{hours * 60:.0f} min" if hours < 1.5 else f"{hours:.1f} h"


def _failing_value(figures: Comparison) -> float:
    """By how many failures bring water to the floor, and among equals by how soon the worst does."""
    if figures.soonest is None:
        return 0.0
    return figures.wet + 1.0 / (1.0 + figures.soonest)


def _failing_words(figures: Comparison, units: System) -> str:
    many = len(figures.failures)
    if figures.wet == 0:
        return f"none of {many} single failures brings water to the floor" if many else "no failure to test"
    soon = figures.soonest or 0.0
    after = "at once" if soon * 60 < 1 else f"{hours_words(soon)} after it at the soonest"
    bring = "bring" if figures.wet > 1 else "brings"
    return f"{figures.wet} of {many} single failures {bring} water to the floor, {after}"


def _room_words(figures: Comparison, units: System) -> str:
    room = figures.head_room
    if room is None:
        return "no drain at the house"
    if room < 0:
        return f"{small(-room, units)} OVER the floor in the storm"
    return f"{small(room, units)} below the floor in the storm"


CRITERIA: tuple[Criterion, ...] = (
    Criterion(
        name="least price", phrase="costs least", value=lambda one: float(one.price),
        say=lambda one, units: money(one.price, one.currency, 0), like=LIKE,
    ),
    Criterion(
        name="least that can fail", phrase="has least that can fail", value=_failing_value, say=_failing_words,
        like_amount=0.05,
    ),
    Criterion(
        name="most head room", phrase="keeps the water lowest in the storm",
        value=lambda one: math.inf if one.head_room is None else -one.head_room, say=_room_words,
        like_amount=LIKE_ROOM,
    ),
    Criterion(
        name="least digging by hand", phrase="has least digging by hand beside buried lines",
        value=lambda one: one.hand_dig, say=lambda one, units: length(one.hand_dig, units), like=LIKE,
        like_amount=0.3,
    ),
    Criterion(
        name="least deep digging", phrase="has least digging so deep that the sides want protection",
        value=lambda one: one.deep, say=lambda one, units: length(one.deep, units), like=LIKE, like_amount=0.3,
    ),
    Criterion(
        name="fewest checks that fail", phrase="has the fewest checks that fail", value=lambda one: len(one.fails),
        say=lambda one, units: str(len(one.fails)),
    ),
    Criterion(
        name="fewest pumps to keep up", phrase="has no pump to keep up", value=lambda one: one.pumps,
        say=lambda one, units: _pumps_words(one),
    ),
)  # fmt: skip


def _pumps_words(figures: Comparison) -> str:
    if not figures.pumps:
        return "none"
    energy = "" if figures.energy is None else f", {figures.energy / 3.6e6:.0f} kWh a year"
    return f"{figures.pumps}{energy}"


def alike(criterion: Criterion, one: Comparison, other: Comparison) -> bool:
    """Whether two schemes come out the same under a criterion, as far as its figures can be trusted."""
    a, b = criterion.value(one), criterion.value(other)
    if math.isinf(a) or math.isinf(b):
        return a == b
    return abs(a - b) <= max(criterion.like * max(abs(a), abs(b)), criterion.like_amount)


def rankings(figures: Figures, units: System) -> tuple[Ranking, ...]:
    """The schemes in order under each criterion on which they differ.

    Parameters
    ----------
    figures : mapping
        Of each scheme.
    units : {"US", "SI"}
        Of the words.

    Returns
    -------
    tuple of Ranking
        Schemes that come out alike with the best of a place share it.
    """
    found = []
    for criterion in CRITERIA:
        order = sorted(figures, key=lambda key: (criterion.value(figures[key]), key))
        places: list[list[Key]] = []
        for key in order:
            if places and alike(criterion, figures[places[-1][0]], figures[key]):
                places[-1].append(key)
            else:
                places.append([key])
        if len(places) > 1:
            found.append(
                Ranking(
                    criterion=criterion.name,
                    places=tuple(tuple(place) for place in places),
                    figures=tuple((key, criterion.say(figures[key], units)) for key in order),
                )
            )
    return tuple(found)


def verdict(figures: Figures, units: System) -> str:
    """Which scheme is better than or equal to all others under every criterion, or how they trade off."""
    if not figures:
        return "No scheme can be offered: the reasons stand below."
    if len(figures) == 1:
        only = TITLES[next(iter(figures))]
        return f"'{only}' is the only scheme that can be offered here; the reasons stand below."
    leading = [
        key for key in figures
        if all(
            alike(criterion, figures[key], figures[other])
            or criterion.value(figures[key]) < criterion.value(figures[other])
            for criterion in CRITERIA for other in figures
        )
    ]  # fmt: skip
    if len(leading) == len(figures):
        return "The schemes come out alike under every criterion: take the one whose ways you like better."
    if leading:
        names = " and ".join(f"'{TITLES[key]}'" for key in leading)
        return f"{names} {'is' if len(leading) == 1 else 'are'} better or equal under every criterion."
    firsts = []
    for ranking in rankings(figures, units):
        best = ranking.places[0]
        names = " and ".join(f"'{TITLES[key]}'" for key in best)  # type: ignore[index]
        firsts.append(f"{_capital(ranking.criterion)}: {names}.")
    return f"None is better in all: it depends on what counts most. {' '.join(firsts)}"


def explained(figures: Figures, units: System) -> Mapping[Key, tuple[tuple[str, ...], tuple[str, ...]]]:
    """For each scheme, why one would take it and what speaks against it, from the figures alone."""
    return {key: (_pros(key, figures, units), _cons(key, figures, units)) for key in figures}


def _pros(key: Key, figures: Figures, units: System) -> tuple[str, ...]:
    one = figures[key]
    others = [figures[other] for other in figures if other != key]
    said = []
    for criterion in CRITERIA[:5]:
        if not others or any(not _better(criterion, one, other) for other in others):
            continue
        nearest = min(others, key=criterion.value)
        said.append(f"It {criterion.phrase}: {criterion.say(one, units)}; the next {criterion.say(nearest, units)}.")
    if one.pumps == 0:
        said.append("No pump: nothing to keep running, and a power cut does not stop it.")
    elif one.wet == 0 and one.failures and not any(text.startswith("It has least that can fail") for text in said):
        said.append(f"{_capital(_failing_words(one, units))}.")
    if not one.fails:
        said.append("No check fails.")
    if not one.crossings:
        said.append("No buried line is met.")
    return tuple(said) or ("Under none of these figures is it the best.",)


def _cons(key: Key, figures: Figures, units: System) -> tuple[str, ...]:
    one = figures[key]
    said = []
    if one.fails:
        many = "1 check fails" if len(one.fails) == 1 else f"{len(one.fails)} checks fail"
        said.append(f"{many}: {', '.join(dict.fromkeys(one.fails))}.")
    if one.head_room is not None and one.head_room < 0:
        said.append(f"Water stands {small(-one.head_room, units)} over the floor in the design storm, all working.")
    if one.wet:
        said.append(f"{_capital(_failing_words(one, units))}.")
    if one.pumps:
        energy = "" if one.energy is None else f", some {one.energy / 3.6e6:.0f} kWh a year"
        many = "a pump" if one.pumps == 1 else f"{one.pumps} pumps"
        said.append(f"It lives by {many}: to be tested twice a year and replaced in time{energy}.")
    if one.pump_margin is not None and one.pump_margin < 1.0:
        said.append(f"The pump gives {one.pump_margin:.0%} of the design inflow.")
    cheapest = min(other.price for other in figures.values())
    if one.price > cheapest * Decimal(1 + LIKE):
        more = money(one.price - cheapest, one.currency, 0)
        said.append(f"{more} more than the least ({one.price / cheapest - 1:.0%}).")
    if one.hand_dig > 0:
        said.append(f"{length(one.hand_dig, units)} dug by hand where buried lines are met ({_met(one)}).")
    if one.deep > 0:
        said.append(f"{length(one.deep, units)} dug deeper than {deep_words(units)}, where the sides want protection.")
    if one.in_wedge:
        many = "1 dig enters" if one.in_wedge == 1 else f"{one.in_wedge} digs enter"
        said.append(f"{many} the bearing wedge of a footing.")
    if one.roots:
        said.append(f"{one.roots} {'dig cuts' if one.roots == 1 else 'digs cut'} into the roots of a tree to keep.")
    return tuple(said)


def _better(criterion: Criterion, one: Comparison, other: Comparison) -> bool:
    return not alike(criterion, one, other) and criterion.value(one) < criterion.value(other)


def _met(figures: Comparison) -> str:
    return ", ".join(f"{kind} {many}" if many > 1 else kind for kind, many in figures.met)


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def against(laid: Laid, design: Design) -> str:
    """Why a scheme that was laid out does not work once it is designed; empty where it does."""
    if laid.key == "pumped":
        return ""
    own = tuple(f"works.discharge.{words['name']}" for words in laid.draft.discharge)
    failing = [
        finding
        for finding in design.findings
        if finding.severity is Severity.FAILS and (finding.id in HOPELESS or finding.where in own)
    ]
    if not failing:
        return ""
    worst = failing[0]
    figure = f" ({worst.figure}; limit {worst.limit})" if worst.where in own else ""
    return f"laid out, it does not work: {worst.message.rstrip('.')}{figure}"


__all__ = [
    "CRITERIA",
    "Criterion",
    "against",
    "alike",
    "deep_words",
    "explained",
    "hours_words",
    "length",
    "rankings",
    "small",
    "verdict",
]
