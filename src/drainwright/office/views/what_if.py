"""What could be otherwise, and what would come of it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.errors import DrainError, JobError
from drainwright.job.works import Basin
from drainwright.offer.model import Difference
from drainwright.offer.what_if import what_if
from drainwright.office.views.model import Check
from drainwright.office.views.picking import check_of
from drainwright.paper.documents.say import Say
from drainwright.quantities import convert, percent
from drainwright.system.catalogue import PIPES
from drainwright.system.model import SizedRun
from drainwright.system.trade import pipe_words
from drainwright.terminal_offer import MOST, signed

SOIL = (0.1, 0.25, 0.5, 1.0, 2.0, 4.0, 10.0)  # over what the job has [-]
CUTS = (1, 2, 4, 8, 12, 24)  # [h]
CLOGGED = (0.0, 0.25, 0.5, 0.75, 1.0)
PUMP = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0)  # over the design inflow [-]
YEAR = 31557600.0  # [s]
_NAMED = re.compile(r"works\.runs\.(.+)\.(?=pipe$)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One value that an input may take."""

    typed: Any  # as it would be typed; None: as the job has it
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Knob:
    """One input that may be otherwise."""

    name: str  # in forms
    key: str  # dotted, of the job document
    path: str  # the same, as edits name it
    title: str
    why: str  # what it is good to know
    steps: tuple[Step, ...]  # in order
    now: int  # number of the step as the job has it


@dataclass(frozen=True, slots=True, kw_only=True)
class Knobs:
    """What the page offers."""

    job: str
    knobs: tuple[Knob, ...]
    price: str
    sound: bool
    invented: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a change comes to."""

    asked: tuple[str, ...]
    why_not: str  # where it cannot be designed; all else is then empty
    nothing: bool = False
    sound: tuple[bool, bool] = (True, True)
    price: str = ""
    change: str = ""
    days: str = ""
    arisen: tuple[Check, ...] = ()
    settled: tuple[Check, ...] = ()
    otherwise: tuple[tuple[str, str, str, str], ...] = ()  # check, where, now, then
    duration: tuple[tuple[str, str, str], ...] = ()  # what, now, then
    storm: tuple[tuple[str, str, str], ...] = ()
    sizes: tuple[tuple[str, str, str, str], ...] = ()
    flows: tuple[tuple[str, str, str], ...] = ()
    bought: tuple[tuple[str, str, str, str], ...] = ()
    more_bought: int = 0


def knobs(design: Design) -> Knobs:
    """What the page offers to change, as the job stands."""
    price = design.build.price
    return Knobs(
        job=design.job.title, knobs=tuple(_knobs(design)), price=money(price.total, price.currency),
        sound=design.sound, invented=design.job.demonstration,
    )  # fmt: skip


def _knobs(design: Design) -> Iterator[Knob]:
    job = design.job
    say = Say(job.units)
    years = tuple((f"{period / YEAR:g} yr", say.years(period)) for period in job.rain.return_periods)
    yield _knob("storm", "criteria.storm_return_period", "Rain of the storm test", "A rarer storm is a larger one.",
                years, say.years(job.criteria.storm_return_period))  # fmt: skip
    yield _knob("roofs", "criteria.roof_return_period", "Rain that roofs are sized for", "By it leaders are sized.",
                years, say.years(job.criteria.roof_return_period))  # fmt: skip
    soil = design.inflows.conductivity
    yield Knob(
        name="soil", key="ground.conductivity", path="ground.conductivity",
        title="How fast the soil lets water through",
        why=f"Now {_soil(soil, design)} ({design.inflows.conductivity_basis.value}). What is tried here is marked as "
        "assumed.", now=SOIL.index(1.0),
        steps=tuple(
            Step(
                typed={"value": _soil(soil * share, design), "basis": "assumed", "source": "tried, not measured"}
                if share != 1.0 else None,
                words=_soil(soil * share, design),
            )
            for share in SOIL
        ),
    )  # fmt: skip
    yield from _at_the_basin(design)
    if design.system.stations:
        cuts = tuple((f"{hours} h", f"{hours} h") for hours in CUTS)
        now = f"{job.criteria.power_cut / 3600.0:g} h"
        yield _knob("cut", "criteria.power_cut", "Length of a power cut", "The pump stands still so long.", cuts, now)
    closed = tuple((share, percent(share)) for share in CLOGGED)
    now = percent(job.criteria.grate_clogging)
    yield _knob(
        "leaves", "criteria.grate_clogging", "Part of each grate closed by leaves", "More under trees.", closed, now
    )
    named = {run.name for run in job.works.runs}
    for run in design.system.runs:
        if not run.pressure and run.name in named:
            yield _pipe(design, run)


def _knob(name: str, key: str, title: str, why: str, values: Sequence[tuple[Any, str]], now: str) -> Knob:
    """An input with its values; the one that stands in the job is put first where it is none of them."""
    words = [told for _, told in values]
    steps = [Step(typed=None if told == now else typed, words=told) for typed, told in values]
    if now not in words:
        steps.insert(0, Step(typed=None, words=now))
        words.insert(0, now)
    return Knob(
        name=name,
        key=key,
        path=_NAMED.sub(r"works.runs[\1].", key),
        title=title,
        why=why,
        steps=tuple(steps),
        now=words.index(now),
    )


def _at_the_basin(design: Design) -> Iterator[Knob]:
    basin = design.job.works.basin
    if not isinstance(basin, Basin):
        return
    values = ((False, "one pump"), (True, "two pumps"))
    yield _knob("second", "works.basin.second_pump", f"Pumps in {basin.name}", "The second takes over, and helps.",
                values, "two pumps" if basin.second_pump else "one pump")  # fmt: skip
    margins = tuple((margin, f"{margin:g} times the inflow") for margin in PUMP)
    yield _knob("pump", "criteria.pump_margin", "Pump over the design inflow", "A larger pump is ready for more rain.",
                margins, f"{design.job.criteria.pump_margin:g} times the inflow")  # fmt: skip


def _pipe(design: Design, run: SizedRun) -> Knob:
    """Other sizes of the same kind of pipe."""
    units = design.job.units
    alike = sorted(
        (pipe for pipe in PIPES.values() if pipe.family == run.pipe.family and pipe.perforated == run.pipe.perforated),
        key=lambda pipe: pipe.inside,
    )  # fmt: skip
    return _knob(
        f"pipe-{run.name}", f"works.runs.{run.name}.pipe", f"Pipe of {run.name}", f"A {run.duty}.",
        tuple((pipe.key, pipe_words(pipe, units)) for pipe in alike), pipe_words(run.pipe, units),
    )  # fmt: skip


def _soil(value: float, design: Design) -> str:
    us = design.job.units == "US"
    return f"{convert(value, 'speed', design.job.units, 'ft/day' if us else 'm/day'):.3g} {'ft/day' if us else 'm/day'}"


def tried(changes: Mapping[str, Any]) -> partial[Outcome]:
    """The view that designs the job with changes, by dotted key, and tells what they come to."""
    return partial(_tried, changes=tuple(changes.items()))


def _tried(design: Design, *, changes: tuple[tuple[str, Any], ...]) -> Outcome:
    asked = tuple(f"{key} = {_typed(value)}" for key, value in changes)
    try:
        other, changed = what_if(design, dict(changes))
    except JobError as error:
        first = error.problems[0]
        return Outcome(asked=asked, why_not=f"{first.where}: found {first.found}; expected {first.expected}")
    except DrainError as error:
        return Outcome(asked=asked, why_not=str(error))
    return _outcome(design, other, changed, asked)


def _typed(value: Any) -> str:
    return str(value["value"]) if isinstance(value, dict) else str(value)


def _outcome(before: Design, after: Design, changed: Difference, asked: tuple[str, ...]) -> Outcome:
    say, currency = Say(after.job.units), changed.currency
    days = changed.days
    return Outcome(
        asked=asked, why_not="", nothing=changed.nothing, sound=changed.sound,
        price=money(changed.price.after, currency), change=signed(changed.price.change, currency),
        days=f"{days[1]}" if days[0] == days[1] else f"{days[1]} instead of {days[0]}",
        arisen=tuple(check_of(one, say) for one in changed.arisen),
        settled=tuple(check_of(one, say) for one in changed.settled),
        otherwise=tuple(
            (f"{one.id} {one.title}", say.place(one.where), f"{one.severity}: {one.figure}",
             f"{other.severity}: {other.figure}")
            for one, other in changed.otherwise
        ),
        duration=tuple((told.what, told.before or "–", told.after or "–") for told in changed.duration),
        storm=tuple((case.title, case.before or "–", case.after or "–") for case in changed.storm),
        sizes=tuple((told.where, told.what, told.before or "–", told.after or "–") for told in changed.sizes),
        flows=tuple(_flows(before, after)),
        bought=tuple(
            (line.description, f"{line.before:g} {line.unit}", f"{line.after:g} {line.unit}",
             signed(line.amount, currency))
            for line in changed.bought[:MOST]
        ),
        more_bought=max(0, len(changed.bought) - MOST),
    )  # fmt: skip


def _flows(before: Design, after: Design) -> Iterator[tuple[str, str, str]]:
    """Design flows of runs that change."""
    say, first = Say(after.job.units), {run.name: run.flow for run in before.system.runs}
    for run in after.system.runs:
        now, then = say.flow(first[run.name]) if run.name in first else "–", say.flow(run.flow)
        if now != then:
            yield run.name, now, then


__all__ = ["Knob", "Knobs", "Outcome", "Step", "knobs", "tried"]
