"""The digging and the days."""

from __future__ import annotations

from drainwright.build.crossings import hand_dug
from drainwright.build.wording import asked_guard, barrow_words
from drainwright.design import Design
from drainwright.office.views.drawings import of_kind
from drainwright.office.views.model import Figure, Shown
from drainwright.office.views.picking import part, shown, step_at
from drainwright.paper.documents.crew_order import order_of_work
from drainwright.paper.documents.day_words import start_words, work_words
from drainwright.paper.documents.days_figures import doubt_blocks, machine_blocks, soil_blocks
from drainwright.paper.documents.safe_dig import safe_dig_blocks
from drainwright.paper.documents.say import Say

WINGS = ("DIG", "DAY")
CAUTION = (
    "People are killed in trenches and by buried lines. What stands here helps the competent person on the site and "
    "takes no decision from them; local law and the one-call centre come first."
)


def dig(design: Design) -> Shown:
    """The page of the digging."""
    plan = design.build.plan
    start = f"First day: {start_words(plan, design.job.crew.start, 'not set')}."
    return shown(
        design, says=(work_words(plan), start, CAUTION), figures=_figures(design), wings=WINGS,
        drawings=of_kind(design, "dig"),
        blocks=(
            *safe_dig_blocks(design), *order_of_work(design)[0], *doubt_blocks(plan, design), *soil_blocks(plan),
            *machine_blocks(plan, design),
        ),
    )  # fmt: skip


def _figures(design: Design) -> list[Figure]:
    say, earth, plan = Say(design.job.units), design.build.dig, design.build.plan
    digging = part("Digging")
    found = [
        Figure(
            what="Earth dug, in place", value=say.bulk(earth.bank_volume), why=f"{len(earth.trenches)} digs", at=digging
        ),
        Figure(
            what="Hauled away, loose", value=say.bulk(earth.haul_volume),
            why=f"{earth.trailer_loads} trailer loads, {barrow_words(earth, design.job.equipment)} by barrow",
            at=step_at(design, "build.earth.loads", float(earth.trailer_loads), otherwise="Digging"),
        ),
    ]  # fmt: skip
    deepest = max(earth.trenches, key=lambda one: one.depth_greatest, default=None)
    if deepest is not None:
        at = step_at(design, "build.protection.judged_depth", deepest.judged, otherwise="Digging")
        found.append(
            Figure(
                what="Deepest dig", value=say.length(deepest.depth_greatest),
                why=f"{deepest.name}: {asked_guard(deepest)} ({deepest.basis.value})", at=at,
            )
        )  # fmt: skip
    lines = len(earth.crossings)
    found.append(
        Figure(
            what="Buried lines met", value=str(lines), at=digging,
            why=f"{say.length(hand_dug(earth.crossings))} dug by hand beside them",
        )
    )  # fmt: skip
    doubt = plan.doubt
    band = "" if doubt is None else f"likely {doubt.days_likely}, {doubt.days_bad} with bad luck"
    found.append(
        Figure(
            what="Days", value=f"{plan.days}", band=band, why=f"{plan.hours:.0f} person-hours, a crew of {plan.crew}",
            at=digging,
        )
    )  # fmt: skip
    return found


__all__ = ["dig"]
