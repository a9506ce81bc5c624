"""What must be asked of the place, as boxes to tick; and in words what becomes of the water where it leaves."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.findings.place_checks import DEFERS, PlaceCheck
from drainwright.paper.documents.blocks import Block, Bullets, Checks, Heading, Notice, Paragraph
from drainwright.paper.documents.say import Say, day, joined

GROUPS = (
    ("outlet", "The way out"), ("boundary", "Boundary and street"), ("digging", "Digging"),
    ("electricity", "Electricity"), ("trees", "Trees"), ("other", "Other"),
)  # fmt: skip


def place_blocks(design: Design) -> tuple[Block, ...]:
    """The list, by what it is about: what is met, what is open, what is not met."""
    if not design.checks:
        return ()
    blocks: list[Block] = [Heading(text="What the place must be asked")]
    broken = [item.demand for item in design.checks if item.met is False]
    if broken:
        blocks.append(Notice(tone="fails", title="Not met", items=tuple(f"{demand}." for demand in broken)))
    open_ = [
        f"{title}: {_said(item)}"
        for about, title in GROUPS
        for item in design.checks
        if item.about == about and item.met is None
    ]
    if open_:
        blocks.append(Checks(items=tuple(open_)))
    met = [item for item in design.checks if item.met]
    if met:
        blocks.append(Bullets(items=tuple(f"Asked and met: {_said(item)}" for item in met)))
    blocks.append(Paragraph(text=DEFERS, style="soft"))
    return tuple(blocks)


def _said(item: PlaceCheck) -> str:
    words = [item.source, "" if item.date is None else f"looked up {day(item.date)}"]
    origin = ", ".join(word for word in words if word)
    return f"{item.demand}" + (f" ({origin})." if origin else ".")


def ways_out_blocks(design: Design) -> tuple[Block, ...]:
    """Soakaways and aprons among the work, in plain words."""
    say = Say(design.job.units)
    items = []
    for soak in design.system.soaks:
        one = soak.count == 1
        what = f"A trench {say.length(soak.length)} long and {say.small(soak.width)} wide"
        if soak.kind == "dry well":
            what = f"{'A dry well' if one else f'{soak.count} dry wells'} {say.small(soak.width)} across"
        years = f"{soak.return_period / 31557600.0:g}-year"
        verdict = f"the {years} rain stays in" if soak.holds else f"the {years} rain does not stay in"
        spill = "" if soak.overflow is None else f" What it cannot take then runs to {soak.overflow}."
        items.append(
            f"{what}, with {say.small(soak.depth)} of washed stone below the pipe, {'lets' if one else 'let'} the "
            f"water soak away at {soak.name}. By the figures {verdict}; a larger storm fills it, and over the years it "
            f"silts up.{spill}"
        )
    aprons: dict[str, list[str]] = {}
    for fall in design.system.outfalls:
        if fall.apron_built > 0.0:
            aprons.setdefault(say.small(fall.apron_built), []).append(fall.name)
    items += [
        f"{'An apron' if len(names) == 1 else 'Aprons'} of coarse stone {long} long where the water comes out at "
        f"{joined(names)}, against scour."
        for long, names in aprons.items()
    ]
    return (Heading(text="Where the water goes", level=2), Bullets(items=tuple(items))) if items else ()


__all__ = ["place_blocks", "ways_out_blocks"]
