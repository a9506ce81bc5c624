"""What a season of pump counts and rain tells of the soil, for the next job on the same street."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from drainwright.design import Design
from drainwright.errors import JobError, Problem
from drainwright.job.season import read_season_text
from drainwright.office.answers.asking import View
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.proving.soil_learnt import soil_learnt
from drainwright.proving.street import LOTS, entry_text
from drainwright.proving.words import Words, oddities
from drainwright.results import plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One figure of it."""

    what: str
    value: str
    band: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonShown:
    """The page of a season."""

    basins: tuple[str, ...]
    starter: str
    units: str
    names: frozenset[str]  # of the job and its parts: the same in every language
    problems: tuple[Problem, ...] = ()
    says: str = ""  # whether it teaches anything
    told: bool = False
    figures: tuple[Told, ...] = ()
    assumed: tuple[str, ...] = ()
    entry: str = ""  # for the next job's document
    into: dict[str, str] = field(default_factory=dict)  # the same as data
    wider: str = f"Wider by a factor of {LOTS:g} each way, for another lot’s soil is not this one’s (no source)."
    oddities: str = ""  # days and rain that do not go together
    invented: bool = False


def season_page(text: str) -> View[SeasonShown]:
    """The page of a season; ``text``: the record, empty where none was saved."""
    return partial(_page, text=text)


def season_plain(text: str) -> View[dict[str, Any]]:
    """What ``drainwright season --json`` tells, or the problems of it."""
    return partial(_plain, text=text)


def _page(design: Design, text: str) -> SeasonShown:
    basins = tuple(station.name for station in design.system.by_house)
    first = basins[0] if basins else "none"
    rain, number = "0.35 in" if design.job.units == "US" else "9 mm", design.job.number or '"-"'
    shown = SeasonShown(
        basins=basins, units=design.job.units, names=translator_of(design).names,
        starter=f"schema_version: 1\njob: {number}\nbasin: {first}\n"
        f"days:  # date, rain, starts of the pump that day; twenty or more without a gap\n"
        f"  - [2026-03-01, {rain}, 14]\n",
    )  # fmt: skip
    if not text:
        return shown
    try:
        document = read_season_text(text)
        found = soil_learnt(design, document)
    except JobError as error:
        return replace(shown, problems=error.problems)
    words, learnt, season = Words(design.job.units), found.learnt, document.season
    if learnt.odd:
        says = "Not learnt: so many days fit no soil. Look at counts, days and gauge."
    elif learnt.edge:
        says = "Not learnt: it lies at the end of what was thought possible. Look at counts, area and reach."
    elif not learnt.told:
        says = "The season tells too little: the next job starts from what it would have without it."
    else:
        says = "The season teaches the soil of this street; the lines below begin the ground of the next job there."
    low, middle, high = map(words.conductivity, found.before)
    figures = [Told(what="Conductivity taken before", value=middle, band=f"{low} to {high}, nine times of ten")]
    low, middle, high = map(words.conductivity, (learnt.low, learnt.middle, learnt.high))
    band = f"{low} to {high} in 95 of 100, as the model goes"
    figures.append(Told(what=f"By {len(season.days)} days", value=middle, band=band))
    if found.inflow is not None:
        least, likely, most = map(words.flow, found.inflow)
        figures += [
            Told(what="Ground water to the basin, as designed", value=words.flow(found.inflow_before), band=""),
            Told(what="The same with this soil", value=likely, band=f"{least} to {most}"),
        ]
    return replace(
        shown, says=says, told=learnt.told, figures=tuple(figures), assumed=found.assumed,
        entry=entry_text(found.entry) if learnt.told else "", into=dict(found.entry) if learnt.told else {},
        oddities=oddities(found.left_out, learnt.rough),
        invented=season.invented or design.job.demonstration,
    )  # fmt: skip


def _plain(design: Design, text: str) -> dict[str, Any]:
    try:
        found = soil_learnt(design, read_season_text(text))
    except JobError as error:
        return {"problems": plain(error.problems)}
    return {"told": found.learnt.told, **plain(found)}


__all__ = ["SeasonShown", "Told", "season_page", "season_plain"]
