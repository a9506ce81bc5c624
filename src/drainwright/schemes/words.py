"""The comparison in words: for and against each scheme from its figures, the orders, and whether one leads in all."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from drainwright.build.wording import money
from drainwright.quantities import System, percent, write
from drainwright.schemes.model import TITLES, Comparison, Key, Ranking

Figures = Mapping[Key, Comparison]
LIKE = 0.02  # prices and lengths nearer than this share are called alike [-]
MANY = 3  # schemes that share the best place: then it is no reason to take one of them
MOST_IDS = 4  # checks that are named where many fail
DRYNESS = ("least that can fail", "most head room")  # no praise where a scheme's own water may wet the floor
NOTHING = ("Nothing in these figures speaks for it before the others.",)
DRY_ROOM = 9.0  # a dry drain counts as water so far below the floor: lower than any [m]
LIKE_ROOM = 0.025  # head rooms nearer than this are called alike, 1 in [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """One thing that schemes are put in order by: the less the better."""

    name: str  # "least price"
    subject: str  # "price", in which a scheme is ahead
    phrase: str  # "costs least", for the scheme that comes first
    value: Callable[[Comparison], float]
    say: Callable[[Comparison, System], str]
    like: float = 0.0  # share by which two are called alike [-]
    like_amount: float = 1e-9  # and amount
    then: str = "the next"  # before the figure of the scheme that comes after it


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
    soonest = figures.soonest
    if soonest is None:
        soonest = min((failure.ended for failure in figures.rising), default=math.inf)
    return figures.wet + len(figures.rising) + 1.0 / (1.0 + soonest)


def _failing_words(figures: Comparison, units: System) -> str:
    many = len(figures.failures)
    rising = figures.rising
    still = ""
    if rising:
        after = hours_words(min(failure.ended for failure in rising))
        still = f"; in {len(rising)} it still rises after {after}"
    if figures.wet == 0:
        rain = "" if figures.water_known else " by rain alone (how high ground water stands, nobody knows)"
        return (
            f"none of {many} single failures brings water to the floor{rain}{still}" if many else "no failure to test"
        )
    soon = figures.soonest or 0.0
    after = "at once" if soon * 60 < 1 else f"{hours_words(soon)} after it at the soonest"
    bring = "bring" if figures.wet > 1 else "brings"
    return f"{figures.wet} of {many} single failures {bring} water to the floor, {after}{still}"


def _room_words(figures: Comparison, units: System) -> str:
    room = figures.head_room
    if room is None:
        return "the drain at the house stays dry in the storm" if figures.house_dry else "no drain at the house"
    if room < 0:
        return f"{small(-room, units)} OVER the floor in the storm"
    return f"{small(room, units)} below the floor in the storm"


def _water_in_storm(figures: Comparison) -> float:
    """The water at the house over the floor; a dry drain lies lowest, a house without a drain highest. [m]"""
    if figures.head_room is not None:
        return -figures.head_room
    return -DRY_ROOM if figures.house_dry else math.inf


CRITERIA: tuple[Criterion, ...] = (
    Criterion(
        name="least price", subject="price", phrase="costs least", value=lambda one: float(one.price), like=LIKE,
        say=lambda one, units: money(one.price, one.currency, 0),
    ),
    Criterion(
        name="least that can fail", subject="what can fail", phrase="has least that can fail", value=_failing_value,
        say=_failing_words, like_amount=0.05, then="with the next",
    ),
    Criterion(
        name="most head room", subject="head room in the storm", phrase="keeps the water lowest in the storm",
        value=_water_in_storm, say=_room_words,
        like_amount=LIKE_ROOM,
    ),
    Criterion(
        name="least digging by hand", subject="digging by hand", phrase="has least digging by hand beside buried lines",
        value=lambda one: one.hand_dig, say=lambda one, units: length(one.hand_dig, units), like=LIKE,
        like_amount=0.3,
    ),
    Criterion(
        name="least deep digging", subject="deep digging", value=lambda one: one.deep, like=LIKE, like_amount=0.3,
        phrase="has least digging so deep that the sides want protection",
        say=lambda one, units: length(one.deep, units),
    ),
    Criterion(
        name="fewest digs into roots or under footings", subject="digs into roots or under footings",
        phrase="cuts into fewest roots and footings' ground", value=lambda one: one.roots + one.in_wedge,
        say=lambda one, units: f"{one.roots + one.in_wedge} {'dig' if one.roots + one.in_wedge == 1 else 'digs'}",
    ),
    Criterion(
        name="fewest checks that fail", subject="checks that fail", phrase="has the fewest checks that fail",
        value=lambda one: len(one.fails), say=lambda one, units: str(len(one.fails)),
    ),
    Criterion(
        name="fewest pumps to keep up", subject="pumps to keep up", phrase="has no pump to keep up",
        value=lambda one: one.pumps, say=lambda one, units: _pumps_words(one),
    ),
    Criterion(
        name="no water into the ground beside a wet wall", subject="water let into the ground beside a wet wall",
        phrase="lets no water into the ground beside a wet wall", value=lambda one: len(one.at_wet_walls),
        say=lambda one, units: f"{len(one.at_wet_walls)} {'place' if len(one.at_wet_walls) == 1 else 'places'}",
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


def verdict(figures: Figures, units: System, failing: Collection[Key] = ()) -> str:
    """Which scheme is better than or equal to all others under every criterion, or how they trade off.

    Those that do not work are not weighed against the others: it is only said that they do not.
    """
    failing = [key for key in figures if key in failing]
    if failing and len(failing) == len(figures):
        verb = "does" if len(failing) == 1 else "do"
        return f"{_titles(failing)} {verb} not work yet, and no other scheme does: what would help stands with it."
    if failing:
        rest = verdict({key: one for key, one in figures.items() if key not in failing}, units)
        return f"{rest} {_titles(failing)} {'does' if len(failing) == 1 else 'do'} not work yet."
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
        return f"The schemes come out alike under every criterion{_spread(figures)}: take the one you like better."
    if leading:
        ahead = [ranking for ranking in rankings(figures, units) if set(ranking.places[0]) <= set(leading)]
        better = _listed([_ahead(ranking, figures, units) for ranking in ahead])
        verb = "is" if len(leading) == 1 else "are"
        text = f"{_titles(leading)} {verb} behind under no criterion, and ahead in {better}."
        return f"{text}{_cheaper(figures, leading)}"
    firsts: dict[str, list[str]] = {}
    for ranking in rankings(figures, units):
        best = [key for key in figures if key in ranking.places[0]]
        last = [key for key in figures if key not in best]
        names = f"all but {_titles(last)}" if len(best) > 2 and len(last) == 1 else _titles(best)
        firsts.setdefault(names, []).append(ranking.criterion)
    told = [f"{_capital(_listed(criteria))}: {names}." for names, criteria in firsts.items()]
    return f"None is better in all: it depends on what counts most. {' '.join(told)}"


def _titles(keys: Sequence[Key]) -> str:
    return _listed([f"'{TITLES[key]}'" for key in keys])


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _ahead(ranking: Ranking, figures: Figures, units: System) -> str:
    """The subject of an order, with the best figure and the next."""
    criterion = next(item for item in CRITERIA if item.name == ranking.criterion)
    first, after = (min(place, key=lambda key: criterion.value(figures[key])) for place in ranking.places[:2])
    says = [criterion.say(figures[key], units) for key in (first, after)]
    return f"{criterion.subject} ({says[0]}; {criterion.then} {says[1]})"


def _cheaper(figures: Figures, leading: Sequence[Key]) -> str:
    """A sentence where another scheme costs a little less, and counts as alike; empty where none does."""
    least = min(figures[key].price for key in leading)
    other = min((key for key in figures if key not in leading), key=lambda key: figures[key].price)
    if figures[other].price >= least:
        return ""
    off = money(least - figures[other].price, figures[other].currency, 0)
    return f" '{TITLES[other]}' costs {off} less, within the {percent(LIKE)} that count as alike."


def _spread(figures: Figures) -> str:
    """How far prices lie apart that count as alike; empty where they are the same."""
    prices = [one.price for one in figures.values()]
    if max(prices) == min(prices):
        return ""
    off = money(max(prices) - min(prices), next(iter(figures.values())).currency, 0)
    return f" (their prices, {off} apart, within {percent(LIKE)})"


def explained(figures: Figures, units: System) -> Mapping[Key, tuple[tuple[str, ...], tuple[str, ...]]]:
    """For each scheme, why one would take it and what speaks against it, from the figures alone.

    What is true of all of them is left to ``shared``.
    """
    told = {key: (_pros(key, figures, units), _cons(key, figures, units)) for key in figures}
    common = shared(figures, units)
    nothing = NOTHING if len(figures) > 1 else ()
    return {
        key: (tuple(text for text in pros if text not in common) or nothing, tuple(t for t in cons if t not in common))
        for key, (pros, cons) in told.items()
    }


def shared(figures: Figures, units: System) -> tuple[str, ...]:
    """What speaks for or against every scheme alike, where there are several."""
    if len(figures) < 2:
        return ()
    first, *others = ((*_pros(key, figures, units), *_cons(key, figures, units)) for key in figures)
    return tuple(text for text in first if all(text in other for other in others))


def _pros(key: Key, figures: Figures, units: System) -> tuple[str, ...]:
    one = figures[key]
    said = []
    places = {ranking.criterion: ranking.places for ranking in rankings(figures, units)}
    for criterion in CRITERIA[:6]:
        if criterion.name not in places or key not in places[criterion.name][0]:
            continue
        best, after = places[criterion.name][:2]
        if len(best) >= MANY or (one.at_wet_walls and criterion.name in DRYNESS):
            continue
        beside: list[Key] = [other for other in figures if other in best and other != key]
        nearest = min((figures[other] for other in figures if other in after), key=criterion.value)
        whose = f"Like {_titles(beside)} it" if beside else "It"
        figure = f"{criterion.say(one, units)}; {criterion.then} {criterion.say(nearest, units)}"
        said.append(f"{whose} {criterion.phrase}: {figure}.")
    if one.pumps == 0:
        said.append("No pump: nothing to keep running, and a power cut does not stop it.")
    elif one.at_wet_walls:
        pass  # that no failure of these works wets the floor is no praise where its own water may
    elif one.wet == 0 and one.failures and not one.rising and not any("least that can fail" in text for text in said):
        said.append(f"{_capital(_failing_words(one, units))}.")
    if not one.fails:
        said.append("No check fails.")
    if not one.crossings:
        said.append("No buried line is met.")
    return tuple(said)


def _cons(key: Key, figures: Figures, units: System) -> tuple[str, ...]:
    one = figures[key]
    said = [f"{text}." for text in one.at_wet_walls]
    if one.fails:
        many = "1 check fails" if len(one.fails) == 1 else f"{len(one.fails)} checks fail"
        ids = [name if times == 1 else f"{name} ({times})" for name, times in Counter(one.fails).items()]
        more = f" and {len(ids) - MOST_IDS} more" if len(ids) > MOST_IDS else ""
        said.append(f"{many}: {', '.join(ids[:MOST_IDS])}{more}.")
    if one.head_room is not None and one.head_room < 0:
        said.append(f"Water stands {small(-one.head_room, units)} over the floor in the design storm, all working.")
    if one.wet or one.rising:
        said.append(f"{_capital(_failing_words(one, units))}.")
    if one.pumps:
        energy = "" if one.energy is None else f", some {one.energy / 3.6e6:.0f} kWh a year"
        many = "a pump" if one.pumps == 1 else f"{one.pumps} pumps"
        said.append(f"It depends on {many}, to be tested twice a year and replaced in time{energy}.")
    if one.pump_margin is not None and one.pump_margin < 1.0:
        said.append(f"The pump gives {percent(one.pump_margin)} of the design inflow.")
    cheapest = min(other.price for other in figures.values())
    if one.price > cheapest * Decimal(1 + LIKE):
        more = money(one.price - cheapest, one.currency, 0)
        said.append(f"{more} more than the least ({percent(one.price / cheapest - 1)}).")
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


def _met(figures: Comparison) -> str:
    return ", ".join(f"{kind} {many}" if many > 1 else kind for kind, many in figures.met)


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


__all__ = [
    "CRITERIA",
    "Criterion",
    "alike",
    "deep_words",
    "explained",
    "hours_words",
    "length",
    "rankings",
    "shared",
    "small",
    "verdict",
]
