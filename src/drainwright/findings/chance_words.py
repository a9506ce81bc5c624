"""The chance of a wet floor in plain words, the same at the terminal and on paper."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from decimal import Decimal

from drainwright.build.wording import money
from drainwright.findings.failure_words import Words, came_in, inside
from drainwright.quantities import percent, write
from drainwright.storm.chances.model import Chance, Choice, Driver, Interval, Worth
from drainwright.storm.model import StormTest

FEW = 128  # samples below which the means move much from seed to seed: as tried on the examples
WIDE = 1.0  # a band of a share wider than all there is tells nothing [-]
CAUSE = {
    "storm": "a storm, with nothing broken",
    "storm and power cut": "a power cut in a storm",
    "storm and dead pump": "a dead pump in a storm",
    "power cut in dry weather": "a power cut in dry weather",
    "dead pump in dry weather": "a dead pump in dry weather",
}
CASES = {
    "storm": "sound", "storm and power cut": "power out", "storm and dead pump": "pump dead",
    "power cut in dry weather": "power out", "dead pump in dry weather": "pump dead",
}  # fmt: skip
PLAIN = {
    "conductivity": "how fast water moves through the soil",
    "water table": "how high ground water stands",
    "reach": "how far the drains lower ground water",
    "porosity": "how much water the soil gives up",
    "roof areas": "how large the roofs are",
    "yard areas": "how large the yards are that drain here",
    "yard soil": "how fast the yards' soil takes rain",
    "rain": "how heavy the storms are, against the rain table",
    "clogging": "how far leaves close the grates",
    "roots": "how far roots and silt close the pipes",
    "wear": "how worn the pump is",
    "float": "how high the float starts the pump",
    "check valve": "whether the check valve leaks",
    "cuts": "how often the power goes",
    "cut length": "how long power cuts last",
    "cut with storm": "how often a storm takes the power with it",
    "failures": "how often the pump fails",
    "unnoticed": "how long a dead pump goes unnoticed",
    "season": "how much of the year ground water stands high",
    "storm": "how great the storm is",
    "cut start": "when in the storm the power goes",
}
OF_A_STORM = ("storm", "cut start", "cut length")  # these differ from storm to storm
MUCH = 0.2  # least share of a main reason [-]
MOST = 5  # reasons told
NEXT_TO_NONE = 1e-4  # a chance below this is said to be next to none [-]


def one_in(rate: float) -> str:
    """A chance as people say it, to two digits: ``1 in 31``, ``40 %``, ``none``."""
    if rate <= 0.0:
        return "none"
    if rate < NEXT_TO_NONE:
        return "less than 1 in 10,000"
    if rate > 0.2:
        return percent(min(rate, 1.0))
    years = 1.0 / rate
    step = 10.0 ** max(0, math.floor(math.log10(years)) - 1)
    return f"1 in {round(years / step) * step:,.0f}"


def below(chance: float) -> str:
    """An upper bound of a chance as people say it: never less than it is."""
    return f"1 in {int(1.0 / chance):,}" if chance < 0.5 else percent(chance)


def between(band: Interval) -> str:
    """From where to where a chance lies."""
    low = "next to none" if band.low < NEXT_TO_NONE else one_in(band.low)
    high = "next to none" if band.high < NEXT_TO_NONE else one_in(band.high)
    return f"{low} to {high}" if low != high else low


def headline(told: Chance, words: Words) -> str:
    """The one figure with its band."""
    wet = f"Chance of water at the {words.floor}"
    if told.per_year <= 0.0:
        return f"{wet}: in none of {told.samples} samples did it get there."
    band = told.inputs
    about = "about " if told.per_year >= NEXT_TO_NONE else ""
    first = f"{wet} in any one year: {about}{one_in(told.per_year)}"
    if band.high < told.per_year:
        return f"{first}, all of it from a few of the ways things may be: in most there is next to none."
    return f"{first} ({between(band)}, nine times of ten, as soil, rain and equipment may truly be)."


def over_years(told: Chance) -> str:
    """The chance over thirty years, and why it is not thirty times that of one."""
    if told.per_year <= 0.0:
        return ""
    long = percent(told.over_30_years) if told.over_30_years >= 0.005 else "less than 1 %"
    alone = 1.0 - (1.0 - told.per_year) ** 30
    if round(100 * alone) <= round(100 * told.over_30_years):
        return f"At least once in 30 years: {long}."
    return (
        f"At least once in 30 years: {long}, not the {percent(alone)} of thirty separate draws: what is not known stays the "
        "same through the years, so a lucky house stays dry and an unlucky one gets wet again."
    )


def samples_words(told: Chance) -> str:
    """How far the number of samples leaves the headline open."""
    few = f" {told.samples} samples are few; {FEW} or more tell it better." if told.samples < FEW else ""
    if told.per_year <= 0.0:
        return few.strip()
    return f"Another draw of {told.samples} samples might tell {between(told.sampling)}.{few}"


def causes(told: Chance) -> Iterator[tuple[str, str, str]]:
    """Each cause that was met, its chance a year and how far the samples leave that open, the chief one first."""
    for cause in sorted(told.by_cause, key=lambda one: -told.by_cause[one]):
        band = told.cause_bands[cause]
        if band.middle > 0.0:
            yield CAUSE[cause], one_in(band.middle), between(band)


def reason_words(told: Chance) -> str:
    """The main reasons of the chief cause, by rank."""
    if told.chief is None:
        return ""
    cause, names = CAUSE[told.chief], [PLAIN.get(one.key, one.name) for one in told.reasons]
    if told.chief == "storm and power cut":  # the shares are of such storms
        luck = [one for one in shares(told.wet_drivers) or shares(told.drivers) if one.key in OF_A_STORM]
        names = [*(PLAIN[one.key] for one in luck if one.total is not None and one.total.middle >= MUCH), *names]
    if not names:
        return f"Main reasons for {cause}: none stands out in {told.samples} samples."
    ranked = "; ".join(f"{place}. {name}" for place, name in enumerate(dict.fromkeys(names[:MOST]), 1))
    return f"Main reasons for {cause}: {ranked}."


def deep(told: Chance, test: StormTest, words: Words) -> str:
    """How deep the chief cause would stand on the floor, by the storm test's case of it."""
    if told.chief is None:
        return ""
    case = next((one for one in test.every if one.key.split(":")[0] == CASES[told.chief]), None)
    if case is None:
        return ""
    entering = came_in(case, words)
    what = case.title[:1].lower() + case.title[1:]
    if not entering:
        return f"How deep: in the design storm itself ({what}) no water gets in; it takes a rarer storm or worse luck."
    return f"How deep: in the design storm ({what}) at most {entering} comes in."


def beside_storm(told: Chance, test: StormTest, words: Words) -> str:
    """What the storm test says with nothing broken, and why the ways to the chance differ."""
    sound = test.cases[0]
    return (
        f"Beside it: `storm` runs the {test.storm.name} once, with everything as drawn: {inside(sound, words)}. Here "
        "storms of the whole rain table count by how often they come, with what is not known varied. `years` counts "
        "years of made or recorded rain, which is mostly less sharp than a design storm, and may tell less."
    )


def price_words(choice: Choice, currency: str) -> str:
    """What a remedy costs: a price, or that there is none."""
    return "not priced" if choice.price is None else money(Decimal(str(choice.price)), currency, 0)


def choice_title(choice: Choice, words: Words) -> str:
    """A remedy with its size."""
    if choice.key == "battery":
        return f"a battery unit of {choice.size:.0f} Ah ({choice.note.split(';')[0]})"
    return choice.title if choice.size <= 0.0 else f"{choice.title} ({write(choice.size, 'power', words.units)} label)"


def upkeep_words(*, invented: bool) -> str:
    """What the prices of the remedies hold, and how a battery is sized."""
    said = "Prices are invented ones, on top of the job's, built with it" if invented else "On top of the job's price"
    return (
        f"{said}; upkeep and a battery's next ones are not in them. A battery here runs the pump through half of the "
        "power cut that the job's criteria name; `storm` sizes the least that carries the storm's own."
    )


def no_choices(told: Chance) -> str:
    """Why no remedy stands here."""
    pumped = any(item.key == "failures" for item in told.uncertain)
    if pumped:
        return "None was tried: the pump at the house has no second pump, battery or stronger pump to try."
    return "No pump, so no battery or second pump to try; `storm` tries cleaning, inlets and overflows."


def worth_words(told: Chance, currency: str) -> Iterator[str]:
    """What each test would tell and be worth; those that tell nothing more in one sentence."""
    idle: list[str] = []
    for worth in told.worth:
        if worth.narrowing <= 0.0:
            idle.append(worth.test)
            continue
        test = f"{worth.test[0].upper()}{worth.test[1:]}"
        yield f"{test} would narrow the range from {between(worth.before)} to some {between(worth.after)} a year." + (
            _worth(worth, currency)
        )
    if idle:
        yield f"Would tell nothing more here, as far as {told.samples} samples show: {', '.join(dict.fromkeys(idle))}."
    known = [worth for worth in told.worth if worth.perfect is not None]
    if known and not any(_worth(worth, currency) for worth in told.worth if worth.narrowing > 0.0):
        yield "For the choice of a remedy no test is worth its price here."


def _worth(worth: Worth, currency: str) -> str:
    if worth.sample is None or worth.perfect is None or max(worth.sample, worth.perfect) < 1.0:
        return ""
    most = money(Decimal(str(max(worth.sample, worth.perfect))), currency, 0)
    return f" For the choice of a remedy it is worth {most} at most."


def shares(drivers: Sequence[Driver]) -> list[Driver]:
    """Drivers whose share is known well enough to be told, the greatest first."""
    known = [one for one in drivers if one.total is not None and one.total.high - one.total.low <= WIDE]
    known.sort(key=lambda one: -(one.total.middle if one.total is not None else 0.0))
    return [one for one in known if one.total is not None and one.total.middle > 0.01]


__all__ = [
    "PLAIN",
    "below",
    "beside_storm",
    "between",
    "causes",
    "choice_title",
    "deep",
    "headline",
    "no_choices",
    "one_in",
    "over_years",
    "price_words",
    "reason_words",
    "samples_words",
    "shares",
    "upkeep_words",
    "worth_words",
]  # fmt: skip
