"""Where the water comes from, in the customer's words, and which first remedy the price leaves out."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from drainwright.design import Design
from drainwright.findings.footing import UNMEASURED
from drainwright.findings.model import Finding, Severity
from drainwright.job.values import Basis
from drainwright.offer.shaping import shaping_words
from drainwright.paper.documents.say import Say, joined, round_money
from drainwright.paper.offer_designs import shaping_left_of
from drainwright.water.model import Cause
from drainwright.water.moisture import close_causes
from drainwright.water.moisture_evidence import telling
from drainwright.water.moisture_model import Moisture
from drainwright.water.moisture_words import NOT_REACHED, OVER_GROUND

CAUSES: Mapping[Moisture, str] = MappingProxyType(
    {
        Moisture.GROUND_WATER: "water that stands in the ground beside and under the house",
        Moisture.CAPILLARY_RISE: "damp that the soil and the wall draw up",
        Moisture.ROOF_WATER: "water from the roof that ends beside the wall",
        Moisture.SURFACE_WATER: "rain that runs over the ground to the wall",
        Moisture.WALL_RAIN: "rain that comes through the wall above the ground",
        Moisture.SUPPLY_LEAK: "a leaking water pipe",
        Moisture.DRAIN_LEAK: "a leaking house drain or appliance",
        Moisture.CONDENSATION: "moisture of the air on cold walls and floors",
        Moisture.IRRIGATION: "the watering of the garden",
        Moisture.OPEN_WATER: "open water near the house",
    }
)
GRADE_FIRST = "Shaping the ground is the first remedy and is not in this price."
GRADE_TOO = "Shaping the ground helps in any case and is not in this price."
ROOF_FIRST = "Leading the downspouts away is the first remedy and is not in this price."


def cause_words(design: Design) -> str:
    """What the water most likely is, and whether drains are the remedy: the verdict for the customer.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    str
        A few plain sentences.
    """
    found = design.moisture
    if not found.causes:
        return "What was seen does not tell yet where the water comes from. A simple test comes first."
    close = close_causes(found.causes)
    if len(close) == 1:
        first, second = (CAUSES[item.cause] for item in found.causes[:2])
        parts = [f"By what was seen and measured it is most likely {first}; much less likely {second}."]
    else:
        parts = [f"By what was seen and measured it is {joined([CAUSES[item.cause] for item in close], 'or')}."]
    if found.drainage_is_remedy is None:
        named = f" ({found.next_test.test})" if found.next_test is not None else ""
        parts.append(f"Whether drains are the remedy cannot be told yet: a simple test comes before you sign{named}.")
    elif found.drainage_is_remedy:
        parts.append(found.causes[0].remedy)
    else:
        parts.append(f"Drains are not the remedy. {found.causes[0].remedy}")
    if found.short_of_floor:
        parts.append(NOT_REACHED)
    above = above_ground_water(design)
    if above:
        parts.append(above)
    return " ".join(parts)


def left_out_first(design: Design) -> tuple[str, ...]:
    """First remedies that the price does not hold: leading the downspouts away, shaping the ground.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of str
        Empty where the ground falls away from the walls and the works lead the roof's water away.
    """
    lead = Moisture.ROOF_WATER.value
    roof = any(
        item.id == "MOI-04" and item.severity is not Severity.OK and item.figure.startswith(lead)
        for item in design.findings
    )
    ground = ground_left_out(design)
    return (*((ROOF_FIRST,) if roof else ()), *((ground,) if ground else ()))


def ground_left_out(design: Design) -> str:
    """That shaping the ground is not in the price, or at which walls it is not; empty where the ground falls away.

    FTG-10 judges shaped ground as it will be: where that is wrong, or unmeasured while rain leads, it is left out.
    """
    slopes = [item for item in design.findings if item.id == "FTG-10"]
    wrong = [item for item in slopes if item.severity is not Severity.OK]
    close = {item.cause for item in close_causes(design.moisture.causes)} if design.moisture.causes else set()
    if not wrong and (slopes or Moisture.SURFACE_WATER not in close):
        return ""
    shaped = list(dict.fromkeys(strip.wall.name for strip in design.site.shaped))
    if not shaped:
        return GRADE_FIRST if close & OVER_GROUND else GRADE_TOO
    unknown = [_wall(item) for item in wrong if item.figure == UNMEASURED]
    leads = [_wall(item) for item in wrong if item.figure != UNMEASURED]
    told = [f"{name} (in part)" if name in leads else name for name in shaped]
    parts = [f"at the {_walls(leads)} it still does not lead water away"] if leads else []
    parts += [f"at the {_walls(unknown)} nobody measured whether it does"] if unknown else []
    rest = f"; {' and '.join(parts)}: shaping it there is not in this price" if parts else ""
    return f"The ground is shaped at the {_walls(told)}{rest}."


def ground_price(design: Design) -> str:
    """About what it adds to shape the ground that the price leaves as it is, and where that cannot be priced."""
    if not ground_left_out(design):
        return ""
    left = shaping_left_of(design)
    return shaping_words(left, "" if left.more is None else round_money(abs(left.more), left.currency))


def _wall(finding: Finding) -> str:
    return finding.where.removeprefix("house.walls.")


def _walls(names: list[str]) -> str:
    return f"{joined(names)} wall{'' if len(names) == 1 else 's'}"


def above_ground_water(design: Design) -> str:
    """Footing drains, or their upper parts, over the high ground water that was measured; empty where none lies so."""
    table = design.site.water_table
    known = design.job.ground.water_table
    if table is None or known is None or known.basis is not Basis.MEASURED:
        return ""
    say = Say(design.job.units)
    whole, part = list[str](), list[str]()
    for run in design.system.runs:
        if run.duty == "footing drain" and run.invert_upper > table:
            (whole if run.invert_lower > table else part).append(run.name)
    told = [joined(whole)] if whole else []
    told += [f"the upper part of {joined(part)}"] if part else []
    if not told:
        return ""
    return (
        f"The high ground water that was measured, {say.level(table)}, stands below the pipe of {joined(told)}: there "
        "the drain takes no ground water as long as it stands no higher."
    )


def first_then_see(design: Design) -> str:
    """The choice to shape the ground first and decide on the drain later, where rain over the ground leads.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    str
        Why the drain is offered with it, what shaping adds, and two boxes; empty where another source leads, or the
        price has the ground shaped, or there is no footing drain. Where what was seen in the house is what ground water
        does, the lead is not enough to advise against this offer, and that is said in place of it.
    """
    causes = design.moisture.causes
    if not causes or causes[0].cause is not Moisture.SURFACE_WATER or GRADE_FIRST not in left_out_first(design):
        return ""
    if not any(run.duty == "footing drain" for run in design.system.runs):
        return ""
    flow = sum(item.flow for item in design.inflows.contributions if item.cause is Cause.GROUND)
    why = "Nothing that was measured asks for the drain before the ground is shaped."
    if flow > 0.0:
        why = (
            f"The drain is offered now because the ground too brings water, {Say(design.job.units).flow(flow)} in the "
            "wet season by our figures, which shaping does not stop; it does not keep rain from the wall."
        )
    seen = telling(design.job.symptoms, Moisture.GROUND_WATER, Moisture.SURFACE_WATER)
    if seen:
        test = design.moisture.next_test
        first = f"; the test '{test.test}' comes first" if test is not None else ""
        told = ", ".join(f"'{name}'" for name in seen)
        return (
            f"{why} Signs of ground water were seen ({told}){first}. Tick one: ☐ these works now. ☐ Shape the ground "
            "first: we price that alone."
        )
    return (
        f"{why} Tick one: ☐ these works now. ☐ Shape the ground first, see through a wet season what still comes, then "
        "decide on the drain: do not sign this offer, we write one for the shaping alone."
    )


__all__ = [
    "CAUSES", "GRADE_FIRST", "GRADE_TOO", "ROOF_FIRST", "above_ground_water", "cause_words", "first_then_see",
    "ground_left_out", "ground_price", "left_out_first",
]  # fmt: skip
