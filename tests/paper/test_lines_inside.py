"""Lines along inside a dig, as a section through the wall shows them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from drainwright.paper.lines_inside import lines_inside

from ..build.held import built


def test_a_line_on_inside_the_house_is_in_no_section_of_the_dig() -> None:
    """The sheet said "-410 mm off the wall", and drew the service in the air of the cellar."""
    design = built()
    wall = next(one for one in design.site.walls if one.name == "north")
    [shown] = lines_inside(design, wall)
    assert shown.out > 0.0
    off = (shown.out + 0.4) * np.array(wall.outward)
    moved = tuple(
        replace(line, route=tuple((x, y) for x, y in np.subtract(line.route, off).tolist()))
        if line.utility.name == shown.utility.name
        else line
        for line in design.site.utilities
    )
    assert lines_inside(replace(design, site=replace(design.site, utilities=moved)), wall) == ()
