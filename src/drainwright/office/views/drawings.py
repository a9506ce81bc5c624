"""The drawings of a job, by name and by the page that shows them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from drainwright.design import Design
from drainwright.office.views.model import Drawing
from drainwright.paper.days_chart import days_chart
from drainwright.paper.drawings import drawings
from drainwright.paper.once import once
from drainwright.paper.plan_page import page_plan
from drainwright.paper.sheet import Sheet
from drainwright.paper.storm_phone import failures_phone
from drainwright.paper.svg import to_svg

PAGES = {  # the page, how the names of its drawings begin
    "water": ("your-water", "bands", "flow-net", "storm-yard", "ground"),
    "system": ("plan-page", "profiles", "basin", "holes", "assembly", "pump", "outlet", "soakaway", "wall"),
    "storm": ("storm",),
    "dig": ("days", "trench"),
}
PLAN = "plan-page"
PHONE = 120.0  # sheets up to this width are laid out for a phone [mm]
NOT_LISTED = ("storm-yard",)  # of "storm", told with the water


@once
def sheets(design: Design) -> Mapping[str, Sheet]:
    """All drawings by name, with those laid out for a page or a phone."""
    found = dict(drawings(design))
    found[PLAN] = page_plan(design).sheet
    for narrow in (failures_phone(design), days_chart(design)):
        if narrow is not None:
            found[narrow.name] = narrow
    return found


def of_kind(design: Design, page: str) -> tuple[Drawing, ...]:
    """The drawings that a page shows, in the order in which it tells them."""
    made = sheets(design)
    names = [name for start in PAGES[page] for name in made if name == start or name.startswith(f"{start}-")]
    if page == "storm":
        names = [name for name in names if name not in NOT_LISTED]
    return tuple(
        Drawing(name=name, title=made[name].title, alt=made[name].description, narrow=made[name].width <= PHONE)
        for name in dict.fromkeys(names)
    )


def svg_of(name: str) -> partial[str | None]:
    """The view that gives one drawing as SVG; None where the job has no such drawing."""
    return partial(_svg, name=name)


def _svg(design: Design, *, name: str) -> str | None:
    sheet = sheets(design).get(name)
    return None if sheet is None else to_svg(sheet)


__all__ = ["PLAN", "of_kind", "sheets", "svg_of"]
