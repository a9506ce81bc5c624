"""Trials of the rules of the further failures: each trips, and its twin does not."""

from __future__ import annotations

from dataclasses import replace

from drainwright.findings.rules import Case
from drainwright.storm.model import Entering

from .change import Change, Trial, as_designed, every, put, storm
from .trials_lift import dry, wet

KEYS = {
    "STM-10": "float stuck off", "STM-11": "float stuck on", "STM-12": "check valve leaks",
    "STM-13": "relief hole plugged", "STM-14": "grate shut", "STM-15": "roots", "STM-16": "leader added",
    "STM-17": "soil twice as open", "STM-18": "neighbour's water",
}  # fmt: skip
COSTS = {"STM-10": "; a second pump with a float of its own.", "STM-14": "a second inlet (about $"}


def none_comes_in(case: Case) -> Case:
    """No failure lets water in, and none sounds the alarm."""
    cases = tuple(replace(one, entering=None, alarm_to_slab=None) for one in case.storm.cases)
    further = tuple(replace(one, entering=None, alarm_to_slab=None) for one in case.storm.further)
    return every(put("storm", "cases", to=cases), put("storm", "further", to=further))(case)


def comes_in(volume: float) -> Change:
    """A dead pump lets so much in, and nothing else does."""
    return every(none_comes_in, storm("pump dead", entering=Entering(volume=volume, depth=0.0254)))


def warns(seconds: float) -> Change:
    """The alarm sounds so long before the slab is reached."""
    return every(none_comes_in, storm("roots", alarm_to_slab=7200.0), storm("power out", alarm_to_slab=seconds))


TRIALS = (
    *(
        trial
        for rule, key in KEYS.items()
        for trial in (
            Trial(rule, "ok", change=dry(key), says="the floor stays dry"),
            Trial(rule, "caution", change=wet(key), says="reaches the underside of the floor after 30 min"),
            Trial(rule, "caution", base="mended", change=wet(key),
                  says=COSTS.get(rule, "'drainwright storm' tries each remedy")),
            Trial(rule, None, change=put("storm", "further", to=())),
        )
    ),
    Trial("STM-12", "ok", change=every(dry("check valve leaks"), storm("check valve leaks", pump_starts=21)),
          says="21 starts"),
    Trial("STM-10", None, base="gravity", change=as_designed),
    Trial("STM-19", "ok", change=none_comes_in),
    Trial("STM-19", "caution", change=comes_in(1.0), says="1 in over the whole floor"),
    Trial("STM-19", "caution", change=comes_in(1.0), says="Pump dead from the start. At most 264 gal"),
    Trial("STM-20", None, change=none_comes_in),
    Trial("STM-20", "ok", change=warns(1800.0), says="30 min"),
    Trial("STM-20", "caution", change=warns(1740.0), says="leaves 29 min"),
    Trial("STM-20", "caution", change=warns(1740.0), says="Power out for 4 h"),
)  # fmt: skip
