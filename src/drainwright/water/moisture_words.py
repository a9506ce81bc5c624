"""What cures each cause of moisture, and how each of the simple tests is done."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from drainwright.job.moisture import Test
from drainwright.water.moisture_model import Moisture

CURED_BY_DRAINAGE = frozenset({Moisture.GROUND_WATER, Moisture.ROOF_WATER, Moisture.SURFACE_WATER, Moisture.OPEN_WATER})
OVER_GROUND = frozenset({Moisture.SURFACE_WATER, Moisture.ROOF_WATER})  # what shaped ground keeps from a wall
IN_GROUND = frozenset({Moisture.GROUND_WATER, Moisture.OPEN_WATER})  # what only a drain takes
HELPED_BY_DRAINAGE = CURED_BY_DRAINAGE | {Moisture.CAPILLARY_RISE}

REMEDIES: Mapping[Moisture, str] = MappingProxyType(
    {
        Moisture.GROUND_WATER: "A drain at the footing with a sure way out keeps the water below the floor.",
        Moisture.CAPILLARY_RISE: "A barrier stops it: a membrane or coarse stone under the floor, a sealed cover "
        "on crawl-space soil, a damp-proof course in the wall.",
        Moisture.ROOF_WATER: "Lead every downspout away in its own tight pipe, and mend and clean the gutters; "
        "only what is left then is for a drain.",
        Moisture.SURFACE_WATER: "Shape the ground so that it falls away from the walls, with swales and inlets for "
        "what still comes; only what is left then is for a drain.",
        Moisture.WALL_RAIN: "Mend the wall above ground: flashing, joints, window sills, sealing; no drain reaches it.",
        Moisture.SUPPLY_LEAK: "A plumber finds and mends the pipe; no drain cures it.",
        Moisture.DRAIN_LEAK: "A plumber finds and mends the drain, the trap or the appliance; no drain in the "
        "ground cures it.",
        Moisture.CONDENSATION: "Dry the air: heat, air and a dehumidifier, cold pipes and walls insulated, "
        "crawl-space soil covered; no drain cures it.",
        Moisture.IRRIGATION: "Turn the heads away from the house, mend leaking ones, water less and later; no "
        "drain is needed.",
        Moisture.OPEN_WATER: "A drain works against that water without end: keep it as high as the floor allows, "
        "cut the ground off if it can be, and reckon with a pump that runs all year.",
    }
)

# What a person does first, before a drain is dug.
FIRST: Mapping[Moisture, str] = MappingProxyType(
    {
        Moisture.CAPILLARY_RISE: "A footing drain cures only part of it: it takes free water, not the damp that "
        "the soil draws up, which needs a barrier.",
        Moisture.ROOF_WATER: "Leaders come first: a footing drain without them takes the roof's water in beside "
        "the wall.",
        Moisture.SURFACE_WATER: "Grade comes first: a footing drain under ground that falls to the wall takes the "
        "whole yard.",
        Moisture.OPEN_WATER: "A drain lowers that water only while its pump runs.",
    }
)

HOW: Mapping[Test, str] = MappingProxyType(
    {
        "plastic on floor": "Dry a patch of the bare floor and tape a sheet of clear plastic or foil, two feet (60 "
        "cm) square, to it on all edges. Leave it for two days, then look on both faces.",
        "plastic on wall": "Dry a patch of the bare wall and tape a sheet of clear plastic or foil, two feet (60 "
        "cm) square, to it on all edges. Leave it for one or two days, then look on both faces.",
        "meter with taps shut": "Shut every tap and appliance, and the irrigation too. Read the water meter, again "
        "after a quarter of an hour, and again after an hour with nothing used.",
        "irrigation off": "Shut the irrigation off at its valve for two weeks without much rain. Mark the edge of "
        "the damp with a pencil and a date on the first day and on the last.",
        "dehumidifier": "Shut windows and doors and run a dehumidifier for a week, its plug well above the wet "
        "floor. Mark the edge of the damp on the first day and on the last.",
        "hose at downspout": "On a dry day let a hose run into the downspout for half an hour while somebody "
        "watches inside. Stop at once when water shows, and keep lamps and cords off the floor.",
        "hose on ground at wall": "On a dry day let a hose run on the ground at the foot of the wall, nowhere "
        "else, for half an hour while somebody watches inside. Stop at once when water shows, and keep lamps and "
        "cords off the floor.",
        "hose on wall": "After the ground was tried: wet the wall from its foot upwards, a quarter of an hour at "
        "each height, while somebody watches inside. Keep the spray off meters, lamps and outlets.",
        "dye in house drain": "Put harmless plumber's dye into the sink, the shower and the toilet, one after the "
        "other, with plenty of water. Look for its colour at the damp place for a day.",
        "fixtures run": "Run one fixture or appliance at a time for a quarter of an hour, and wait as long before "
        "the next. Watch the damp place, and what lies under or behind it.",
        "test pit": "Call the one-call centre first. After a wet spell a hole is bored from above with a hand auger, "
        "at the wall, no deeper than the footing's bottom; by spade only where that is less than waist-deep. Nobody "
        "stands in a deeper one: soil falls in without warning. See where water stands after a day, cover the hole, "
        "and stop if the wall or the soil moves.",
        "level against tide": "Mark the water in the pit or sump every hour from one high tide to the next, and "
        "write the tide's times beside it. Unplug the pump before anybody reaches in.",
    }
)

NOT_REACHED = (
    "The high ground water that was found does not reach the floor: either it rises higher at times (watch it through "
    "a wet season, or look in a hole by the floor) or the water comes another way."
)
NO_TEST = "No cheap test would change what is done first"

__all__ = [
    "CURED_BY_DRAINAGE",
    "FIRST",
    "HELPED_BY_DRAINAGE",
    "HOW",
    "IN_GROUND",
    "NOT_REACHED",
    "NO_TEST",
    "OVER_GROUND",
    "REMEDIES",
]
