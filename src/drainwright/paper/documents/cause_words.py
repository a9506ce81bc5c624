"""Where the water comes from, in the customer's words, and which first remedy the price leaves out."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.paper.documents.say import joined
from drainwright.water.moisture import close_causes
from drainwright.water.moisture_model import Moisture
from drainwright.water.moisture_words import NOT_REACHED

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
        parts.append(f"Whether drains are the remedy cannot be told yet: a simple test comes first{named}.")
    elif found.drainage_is_remedy:
        parts.append(found.causes[0].remedy)
    else:
        parts.append(f"Drains are not the remedy. {found.causes[0].remedy}")
    if found.short_of_floor:
        parts.append(NOT_REACHED)
    return " ".join(parts)


def left_out_first(design: Design) -> tuple[str, ...]:
    """First remedies that the price does not hold: shaping the ground, leading the downspouts away.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of str
        Empty where the ground falls away from the walls and the works lead the roof's water away.
    """
    close = {item.cause for item in close_causes(design.moisture.causes)} if design.moisture.causes else set()
    slopes = [item.severity for item in design.findings if item.id == "FTG-10"]
    wrong = any(severity is not Severity.OK for severity in slopes)
    # FTG-10 judges shaped ground as it will be. Where that is wrong, or unmeasured while rain leads, it is left out.
    grade = wrong or (not slopes and Moisture.SURFACE_WATER in close)
    lead = Moisture.ROOF_WATER.value
    roof = any(
        item.id == "MOI-04" and item.severity is not Severity.OK and item.figure.startswith(lead)
        for item in design.findings
    )
    return (*((ROOF_FIRST,) if roof else ()), *((GRADE_FIRST,) if grade else ()))


__all__ = ["CAUSES", "GRADE_FIRST", "ROOF_FIRST", "cause_words", "left_out_first"]
