"""The order of work says a part's own amounts: no share of a share, no share of the hours for a volume."""

from __future__ import annotations

import pytest

from drainwright.build.panels import bared_lengths
from drainwright.build.passes import even_share
from drainwright.build.portions import portion
from tests.build.test_held_digs import built


@pytest.mark.parametrize(
    ("whole", "hours", "amount", "said"),
    [
        ("28.9 yd³ in the ground at 0.315 yd³/h", 0.69, 0.59, "about 17 yd³ in the ground at 0.269 yd³/h"),
        ("about 17 yd³ in the ground at 0.269 yd³/h", 0.5, None, "about 8.5 yd³ in the ground at 0.269 yd³/h"),
        (
            "1.0 yd³ at 1.4 yd³/h, 600.1 ft² of fabric",
            0.295,
            None,
            "about 0.29 yd³ at 1.4 yd³/h, about 177 ft² of fabric",
        ),
        ("83.9 ft, 23 fittings, 2 at downspouts", 0.5, None, "about 42 ft, about 12 fittings, about 1 at downspouts"),
        ("4 at 2 h/each", 0.75, 0.5, "about 2 at 3 h/each"),
        ("8 yd³", 0.75, None, "about 6 yd³"),
        ("as the sheet says", 0.5, None, "as the sheet says"),
    ],
)
def test_a_part_has_its_own_amounts(whole: str, hours: float, amount: float | None, said: str) -> None:
    assert portion(whole, hours, amount) == said


def test_the_volume_of_a_wall_is_its_own_and_not_its_share_of_the_hours() -> None:
    """A wall dug by hand beside a live line had "half of 69 %" of all soil, by its hours, where 59 % lay there."""
    design = built(shored=True)
    build = design.build
    walls = {trench.name: trench for trench in build.dig.trenches if trench.kind == "wall"}
    quantities = [task.quantity for task in build.plan.tasks]
    assert not [text for text in quantities if " % of " in text or "half of" in text]
    held = next(task for task in build.plan.tasks if task.key == "open-held")
    barred = sum(trench.bank_volume for trench in walls.values() if trench.bars) / 0.9144**3
    assert sum(task.key.startswith("open-held") for task in build.plan.tasks) == 2
    odd = 1.0 - even_share(bared_lengths(design.site, design.system, build.dig.wall_panel))
    told = float(held.quantity.removeprefix("about ").split()[0])
    assert told == pytest.approx(barred * odd, rel=0.06)
