"""The storm: what comes of it with everything in order, and with one thing broken."""

from __future__ import annotations

from dataclasses import dataclass

from drainwright.design import Design
from drainwright.findings.failure_words import GROUPS, Words, came_in, in_the_yard, wet_words
from drainwright.office.views.drawings import of_kind
from drainwright.office.views.model import Figure, Shown
from drainwright.office.views.picking import part, shown, step_at
from drainwright.paper.documents.failure_table import failure_blocks
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.storm_words import storm_blocks
from drainwright.paper.plan_marks import floor_underside
from drainwright.quantities import height_beside

WINGS = ("STM",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """One thing that fails in the storm."""

    key: str
    title: str
    group: str
    outcome: str  # of the floor
    dry: bool
    wet: float | None  # from the failure until water is at the floor [s]
    alarm: float | None  # from the failure until the alarm's float rises [s]
    comes_in: str
    yard: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Storms:
    """The page of the storm."""

    page: Shown
    counts: str  # when the floor counts as wet
    failures: tuple[Failure, ...]  # those that wet the floor first, the soonest first
    longest: float  # end of the failures' time line [s]
    cases: tuple[tuple[str, str], ...]  # key and title of all that can be played


def storm(design: Design) -> Storms:
    """The page of the storm."""
    words = words_of(design)
    failures = sorted((_failure(design, case.key, words) for case in design.storm.every[1:]), key=_soonest)
    told = [one.wet for one in failures if one.wet is not None]
    page = shown(
        design, says=(storm_answer(design),), figures=_figures(design, words), wings=WINGS,
        drawings=of_kind(design, "storm"), blocks=(*storm_blocks(design), *failure_blocks(design)),
    )  # fmt: skip
    return Storms(
        page=page, counts=f"{words.wet}, {words.level(design.storm.cases[0].slab_level)}.", failures=tuple(failures),
        longest=max([*told, 3600.0]), cases=tuple((case.key, case.title) for case in design.storm.every),
    )  # fmt: skip


def words_of(design: Design) -> Words:
    """How the storm is told in this job."""
    return Words(units=design.job.units, crawl=design.job.house.floor_kind == "crawl space")


def storm_answer(design: Design) -> str:
    """What comes of the floor, in a sentence or two."""
    from drainwright.terminal_storm import answer

    return answer(design.storm.storm, design.storm.every, words_of(design))


def _failure(design: Design, key: str, words: Words) -> Failure:
    case = design.storm.case(key)
    assert case is not None
    inlets = {name for name, node in design.system.nodes.items() if node.kind == "inlet"}
    alarm = None
    if case.alarm_to_slab is not None and case.time_to_slab is not None:
        alarm = max(0.0, case.time_to_slab - case.alarm_to_slab)
    return Failure(
        key=case.key, title=case.title, group=GROUPS[case.group], outcome=wet_words(case, words), dry=case.dry,
        wet=case.time_to_slab, alarm=alarm, comes_in=came_in(case, words), yard=in_the_yard(case, inlets, words),
        note=case.note,
    )  # fmt: skip


def _soonest(one: Failure) -> tuple[bool, float]:
    return one.dry, 1e12 if one.wet is None else one.wet


def _figures(design: Design, words: Words) -> list[Figure]:
    say, rain, sound = Say(design.job.units), design.storm.storm, design.storm.cases[0]
    results = part("What a big storm does")
    under = floor_underside(design)
    at = step_at(design, "water.storms.design_storm", rain.depth, otherwise="What a big storm does")
    found = [Figure(what="Rain of the storm", value=say.rain(rain.depth), why=rain.name, at=at)]
    if sound.highest_at_house is not None:
        room = sound.slab_level - sound.highest_at_house
        found.append(
            Figure(
                what="Highest water at the house", value=words.level(sound.highest_at_house),
                why=f"{height_beside(-room, words.depth, 'OVER')} the {under}, with everything working", at=results,
            )
        )  # fmt: skip
    wet = [case for case in design.storm.every[1:] if case.time_to_slab is not None]
    soonest = min(wet, key=lambda case: case.time_to_slab or 0.0, default=None)
    found.append(
        Figure(
            what="Single failures that wet the floor", value=f"{len(wet)} of {len(design.storm.every) - 1}",
            why="" if soonest is None else f"the soonest after {words.hours(soonest.time_to_slab or 0.0)}: "
            f"{soonest.title[:1].lower()}{soonest.title[1:]}", at=results,
        )
    )  # fmt: skip
    found.append(
        Figure(
            what="Runs off over the ground", value=words.volume(sound.volume_lost),
            why=f"of {words.volume(sound.volume_in)}, with everything working", at=results,
        )
    )  # fmt: skip
    if design.system.stations:
        found.append(
            Figure(
                what="Pump starts", value=str(sound.pump_starts), why=f"{sound.starts_busiest_hour} in the busiest "
                "hour", at=results,
            )
        )  # fmt: skip
    return found


__all__ = ["Failure", "Storms", "storm", "storm_answer", "words_of"]
