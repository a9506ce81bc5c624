"""Beside the wall section: what to do, in which order and how safely, and the figures of each wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.build.model import Trench
from drainwright.build.wording import asked_guard, entry_rule, lengths_rule
from drainwright.design import Design
from drainwright.field.model import SiteWall
from drainwright.findings.footing_room import SETTING_OUT
from drainwright.findings.places import listed
from drainwright.paper.frame import Column, paragraph, stacked, table, words
from drainwright.paper.sheet import Mark
from drainwright.paper.wording import Wording
from drainwright.system.model import SizedRun


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """The wall and drain at one place, seen along the wall: out from its face, and levels."""

    wall: SiteWall
    run: SizedRun | None
    trench: Trench | None  # of the wall where it is opened, else of the drain
    out: float  # pipe centre from the wall's face [m]
    ground: float  # [m]
    invert: float  # [m]
    station: float  # along the run [m]

    @property
    def bed(self) -> float:
        """Underside of the drain's stone; the footing's bottom where there is no drain. [m]"""
        if self.run is None:
            return self.wall.footing_bottom
        return self.invert - self.run.pipe.wall - self.run.stone_under

    @property
    def bottom(self) -> float:
        """Level of the trench's bottom: an opened wall is dug to its footing's top, or with a lower drain. [m]"""
        if not self.wall.wall.open_and_coat:
            return self.bed
        return self.wall.footing_top if self.run is None else min(self.bed, self.wall.footing_top)

    @property
    def gap(self) -> float:
        """Height between the drain's bed and the bottom of an opened wall's dig, filled with stone. [m]"""
        left = 0.0 if self.run is None else self.bed - self.bottom
        return left if left > SETTING_OUT else 0.0


def wall_notes(design: Design, cuts: Sequence[Cut], cut: Cut, left: float, top: float, width: float) -> list[Mark]:
    """How to coat, drain and dig safely, and the figures of each wall."""
    word = Wording(design.job.units)
    trench = cut.trench
    parts = [
        paragraph(
            "Clean the wall to bare masonry, repair the joints, let it dry, then coat. Keep the makers' times and"
            " temperatures.",
            bullet="1",
        ),
        paragraph(
            "Lay the pipe with its holes down on the stone, invert to the level given, never above the floor's"
            " underside.",
            bullet="2",
        ),
        paragraph(
            "Backfill in layers after the coating has cured; keep stones off it. Grade the last soil to fall away"
            " from the wall.",
            bullet="3",
        ),
    ]
    if trench is not None:
        ladder = " A ladder within reach." if trench.ladder else ""
        deep, away = word.dug(trench.depth_greatest), word.small(trench.spoil_setback)
        rule = entry_rule(trench)
        guard = f"Protection: {asked_guard(trench)}. A competent person decides on site."
        if rule:
            guard = f"The {listed(trench.bars)} lies live along inside: no slope or shield fits. {rule}"
        asks = {asked_guard(item.trench) for item in cuts if item.trench is not None}
        others = " Not every wall asks the same: the safe-dig sheet tells each." if len(asks) > 1 else ""
        caution = (
            f"This wall is dug to {deep} at its deepest. {guard} Spoil {away} or more from the edge.{ladder}{others}"
        )
        parts.append(paragraph(caution, layer="text warning", bullet="4"))
    panel = design.build.dig.wall_panel
    open_ = (
        f"Not the whole wall at once: {lengths_rule(word.length(panel))}" if panel > 0
        else "A wall may be opened whole here"
    )  # fmt: skip
    parts.append(
        paragraph(
            f"{open_}. Dig to the footing's top, and lower only for the drain beside it;"
            " never under the footing. A bowed or cracked wall:"
            " stop, and ask a licensed engineer first.",
            layer="text warning", bullet="5",
        )
    )  # fmt: skip
    marks, y = stacked("Notes", parts)(left, top, width)
    columns = (
        Column("wall", 1.6), Column("drain", 1.0), Column(f"ground {word.level_unit}", 1.4, "end"),
        Column("footing bottom", 1.9, "end"),
        Column("invert", 1.2, "end"), Column("dug to", 1.4, "end"),
    )  # fmt: skip
    rows = [
        (
            item.wall.name, item.run.name if item.run else "none", word.level_number(item.ground),
            word.level_number(item.wall.footing_bottom), word.level_number(item.invert) if item.run else "none",
            word.dug(item.trench.depth_greatest if item.trench else item.ground - item.bottom),
        )
        for item in cuts
    ]  # fmt: skip
    more, y = table("Walls: levels at the middle, greatest dig", columns, rows)(left, y - 3.0, width)
    marks += more
    marks.append(
        words(
            "text soft",
            (left, y - 3.0),
            "Drawn: " + cut.wall.name + " wall, seen along it. Heights and widths to scale.",
            1.9,
        )
    )
    return marks


__all__ = ["Cut", "wall_notes"]
