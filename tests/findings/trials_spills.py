"""Trials of where spilled water runs to."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from drainwright.findings.rules import Case
from drainwright.storm.model import Spilled

from .change import Change, Trial, as_designed, every, pond, put, storm


def dry(case: Case) -> Case:
    """No case spills anything."""
    for group in ("cases", "further"):
        for place in range(len(getattr(case.storm, group))):
            case = put("storm", group, place, "spilled", to=())(case)
    return case


def spills(key: str, *spilled: tuple[str, str, str, float]) -> Change:
    """One case alone spills."""
    told = tuple(Spilled(place=place, to=to, name=name, volume=volume) for place, to, name, volume in spilled)
    return every(dry, storm(key, spilled=told))


def held_up(below: float, basin: float) -> Change:
    """Deep water over CB1, with the water below the grate, and in the basin, so high over the grate [m]."""

    def change(case: Case) -> Case:
        sound = case.storm.cases[0]
        rim = sound.nodes["CB1"].rim
        stations = tuple(replace(one, highest=rim + basin) for one in sound.stations)
        return storm("sound", stations=stations, _levels={"CB1": np.array([rim - 1.0, rim + below])})(case)

    return every(change, pond("CB1", pond_depth=0.16))


EAST = ("CB1", "house", "east, north", 1.0)

TRIALS = (
    Trial("STM-03", "fails", change=held_up(-0.1, -0.5), says="Fit a larger grate"),
    Trial("STM-03", "fails", change=held_up(0.1, -0.5), says="The pipe below stands full over the grate"),
    Trial("STM-03", "fails", change=held_up(0.1, 0.05), says="The water in SUMP rises over this grate"),
    Trial("STM-30", None, change=dry),
    Trial("STM-30", "fails", change=spills("sound", EAST),
          says="264 gal spill over at CB1 and run to the east and north walls of the house"),
    Trial("STM-30", "caution", change=spills("pump dead", EAST, ("SUMP", "house", "east", 1.0)),
          says="Pump dead from the start: in the design storm 528 gal spill over at CB1 and SUMP"),
    Trial("STM-30", "ok", change=spills("sound", ("CB1", "house", "east", 0.09))),
    Trial("STM-30", "ok", change=spills("pump dead", ("CB1", "off the lot", "south side", 9.0)), says="none"),
    Trial("STM-30", "ok", change=spills("pump dead", ("OUT", "not known", "", 1.0)),
          says="264 gal run that come out at OUT"),
    Trial("STM-30", "caution", base="gravity", change=as_designed, says="wholly covered by leaves"),
)  # fmt: skip
