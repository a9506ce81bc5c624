"""What this proposal prices already, by where the customer finds it: nobody is asked to ask for that again."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from drainwright.design import Design
from drainwright.findings.model import Finding
from drainwright.offer.model import Package
from drainwright.paper.documents.say import joined
from drainwright.paper.offer_designs import options_of, shaping_left_of
from drainwright.paper.storm_remedies import preventions_of
from drainwright.storm.failures.remedy import RemedyKind

CHOICES, BREAKS = "What you may choose", "If something breaks"
OVERFLOW = "Ask us for an overflow."

# What the general words ask for, the remedy of the storm test that it is, and the change of the job that gives it.
ASKED: Mapping[str, tuple[RemedyKind, str, str]] = MappingProxyType(
    {
        "Ask us for a second pump, and an alarm that wakes you.": ("second pump", ".second_pump", "a second pump"),
        "Ask us for a second pump.": ("second pump", ".second_pump", "a second pump"),
        "Ask us for a battery unit, or another way out for the water.": ("battery", ".battery", "a battery unit"),
        "Ask us for a battery unit that lasts a longer power cut.": ("battery", ".battery", "a battery unit"),
        "Ask us for a second pump if that is too little for you.": (
            "second pump",
            ".second_pump",
            "a second pump, if that is too little for you,",
        ),
        OVERFLOW: ("overflow", "", "an overflow"),
        "Ask us for a second inlet.": ("second inlet", "", "a second inlet"),
    }
)
WATERPROOFING = "Waterproofing is the better coat: ask us for its price."
SHAPING = "Ask us for its price."
INSTEAD = "Ask us what waterproofing costs instead."


def seen_elsewhere(told: str, finding: Finding, design: Design) -> str:
    """Words for the customer, with 'ask us' made 'see' where the proposal has the price.

    Parameters
    ----------
    told : str
        What the finding means in general.
    finding : Finding
        Whose wall or failure decides which price it is.
    design : Design
        The designed job.
    """
    if told.endswith(WATERPROOFING):
        key = f"{finding.where}.coating.kind"
        if any(changes.get(key) == "waterproofing" for changes in _changes(design)):
            return f"{told.removesuffix(WATERPROOFING)}Waterproofing is the better coat: {_see(CHOICES)}."
        return told
    if finding.id == "FTG-10" and told.endswith(SHAPING):
        return f"{told.removesuffix(SHAPING)}{_shaping(finding.where.removeprefix('house.walls.'), design)}"
    if finding.id == "STM-30":
        best = next((one.cheapest for one in preventions_of(design) if finding.message.startswith(one.title)), None)
        if best is None:
            return told
        title = best.tried.remedy.title
        return f"{title[:1].upper()}{title[1:]} would keep it from the house: {best.cost.about}."
    return seen(told, design)


def seen(told: str, design: Design) -> str:
    """The same for words that concern no one wall and no one failure."""
    if told.endswith(INSTEAD):
        if any(key.endswith(".coating.kind") for changes in _changes(design) for key in changes):
            return f"{told.removesuffix(INSTEAD)}For the price of waterproofing instead {_see(CHOICES)}."
        return told
    if told.endswith(OVERFLOW) and (over := _overflows(design)):
        return f"{told.removesuffix(OVERFLOW)}{over}"
    for asked, (kind, change, name) in ASKED.items():
        if told.endswith(asked):
            place = _place(kind, change, design)
            return told if not place else f"{told.removesuffix(asked)}For the price of {name} {_see(place)}."
    return told


def _overflows(design: Design) -> str:
    """Where too much water goes, when every way out is a soakaway that has its overflow in these works."""
    over = {soak.name: soak.overflow for soak in design.system.soaks if soak.overflow}
    if not set(over).issuperset(design.system.ways_out):
        return ""
    return " ".join(f"What {name} cannot take comes out at {end}." for name, end in over.items())


def _see(heading: str) -> str:
    return f"see '{heading}' in the proposal"


def _changes(design: Design) -> list[Mapping[str, object]]:
    found = options_of(design)
    every: tuple[Package, ...] = () if found is None else found.every
    return [one.changes for one in every]


def _place(kind: RemedyKind, change: str, design: Design) -> str:
    """The heading under which a remedy has its price; empty where it has none."""
    if change and any(key.endswith(change) for changes in _changes(design) for key in changes):
        return CHOICES
    best = (one.cheapest for one in preventions_of(design))
    return BREAKS if any(one is not None and one.tried.remedy.kind == kind for one in best) else ""


def _shaping(wall: str, design: Design) -> str:
    """Where some walls have their price and others cannot have it yet, which they are, of all in one sentence."""
    left = shaping_left_of(design)
    if wall not in left.walls and wall not in dict(left.refused):
        return SHAPING
    alike = left.walls if wall in left.walls else tuple(dict(left.refused))
    what = "Its price" if wall in left.walls else "Why it cannot be priced yet"
    at = f" at the {joined(alike)} wall{'' if len(alike) == 1 else 's'}" if left.walls and left.refused else ""
    return f"{what}{at} is on the proposal's first page."


__all__ = ["seen", "seen_elsewhere"]
