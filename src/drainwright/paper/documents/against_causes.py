"""What the works do against each source of water, with which materials, and what they leave as it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from drainwright.design import Design
from drainwright.findings.gravity_words import lack_words
from drainwright.findings.places import leads_to, series
from drainwright.job.works import Duty
from drainwright.paper.documents.cause_words import ROOF_FIRST, ground_left_out, left_out_first
from drainwright.paper.documents.say import Say, joined
from drainwright.system.model import GravityVerdict, SizedRun
from drainwright.system.trade import pipe_words, pump_words
from drainwright.water.model import Cause
from drainwright.water.moisture_model import Moisture
from drainwright.water.moisture_words import REMEDIES

_FALLING: Mapping[Cause, str] = MappingProxyType(
    {Cause.ROOF: "the roof", Cause.YARD: "the yard", Cause.GROUND: "the footing drains"}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """What is proposed against one source."""

    done: tuple[str, ...]  # method and material; empty: nothing
    left: str  # what it does not do


def against(design: Design, cause: Moisture) -> Against:
    """What the works do against a source of water.

    Parameters
    ----------
    design : Design
        The designed job.
    cause : Moisture
        The source.

    Returns
    -------
    Against
        Methods with their materials, in the job's units, and what is left undone.
    """
    return _READERS.get(cause, _nothing(cause))(design)


def runs_of(design: Design, *duties: Duty) -> tuple[SizedRun, ...]:
    """The runs of these duties."""
    return tuple(run for run in design.system.runs if run.duty in duties)


def run_words(design: Design, runs: tuple[SizedRun, ...]) -> str:
    """Names, length together and pipe: ``FD1 and FD2, 24.30 m of 4 in D2729``."""
    say = Say(design.job.units)
    pipes = joined(list(dict.fromkeys(pipe_words(run.pipe, say.units) for run in runs)))
    return f"{joined(series([run.name for run in runs]))}, {say.length(sum(run.length for run in runs))} of {pipes}"


def opened_walls(design: Design) -> list[str]:
    """The walls that are opened and coated."""
    return [wall.name for wall in design.site.walls if wall.wall.open_and_coat]


def bared_uncoated(design: Design) -> dict[str, list[str]]:
    """Walls that a drain's trench lays bare though they are not cleaned and coated, each with its drains."""
    return {
        wall.name: runs
        for wall in design.site.walls
        if not wall.wall.open_and_coat and (runs := [run.name for run in design.system.runs if wall.name in run.walls])
    }


def bared_words(bared: Mapping[str, list[str]]) -> str:
    """``the south wall, which the trench of FD1 lays bare``: walls that stand bare without a coat."""
    drains = joined(list(dict.fromkeys(name for runs in bared.values() for name in runs)))
    return f"the {joined(list(bared))} wall{'s' if len(bared) > 1 else ''}, which the trench of {drains} lays bare"


def led_downspouts(design: Design) -> tuple[list[str], list[str]]:
    """Downspouts whose roof water the works lead away, and all others of the house."""
    ends = [*(station.name for station in design.system.stations), design.system.discharge]
    ends += [run.lower for run in design.system.runs]
    uppers = {run.upper for run in design.system.runs}
    led = [
        spout.name
        for spout in design.job.downspouts
        if spout.name in uppers and any(leads_to(design.system, spout.name, end) for end in ends)
    ]
    return led, [spout.name for spout in design.job.downspouts if spout.name not in led]


def ways_out(design: Design, names: Sequence[str] | None = None) -> str:
    """Every place where the water leaves, or those named, with its kind: ``OUT1 (daylight) and OUT2 (street)``."""
    kinds = {point.name: point.kind for point in design.job.works.discharge}
    some = design.system.ways_out if names is None else names
    return joined([f"{name} ({kinds[name]})" if name in kinds else name for name in some])


def by_itself(design: Design) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The ways out that are pumped (all, where there is no pump), and those beside them reached by gravity alone."""
    system = design.system
    alone = [name for name in system.ways_out if system.falls_to(name) and not system.lifts_to(name)]
    falls = tuple(alone) if system.stations else ()
    return tuple(name for name in system.ways_out if name not in falls), falls


def without_a_pump(design: Design) -> str:
    """Of each way out whether gravity reaches it, and of which water that holds; then what follows for the pump."""
    system = design.system
    told = [_reach(design, item) for item in system.gravity]
    if not told:
        return "No way out was measured: nobody can tell yet."
    lifted = joined([station.name for station in system.by_house])
    if not any(item.drains or (item.reaches and system.lifts_to(item.discharge)) for item in system.gravity):
        told.append(f"So what comes to {lifted} is lifted.")
    return " ".join(told)


def _reach(design: Design, item: GravityVerdict) -> str:
    say, system = Say(design.job.units), design.system
    alone = system.falls_to(item.discharge) and not system.lifts_to(item.discharge)
    said = (
        f"At {item.discharge} the way out lies at {say.level(item.available)}, and "
        f"{'what is led there by its own weight' if alone else 'the water'} can come there at {say.level(item.needed)} "
        "at best"
    )
    if not item.reaches:
        said += f": {lack_words(item, design.job.units) or 'too high'}."
    elif alone:
        said += ", and needs no pump."
    else:
        said += ": by level alone it would do without a pump; cover, fall and leave to let it out there decide."
    if item.drains:
        said += (
            f" By level alone it would take the water of {joined(item.drains)} too, at {say.level(item.drains_at)} by "
            "the shortest way: ask us what that costs."
        )
    return said


def falling_words(design: Design) -> str:
    """Of a job with a pump: `` The water of the roof leaves by its own weight at OUT2 (street).``; "" for none."""
    falls = by_itself(design)[1]
    if not falls:
        return ""
    ends = [run.flows for run in design.system.runs if run.lower in falls and run.duty != "overflow"]
    what = [word for cause, word in _FALLING.items() if any(flows.get(cause, 0.0) > 0.0 for flows in ends)]
    water = f"The water of {joined(what)}" if what else "Other water"
    return f" {water} leaves by its own weight at {ways_out(design, falls)}."


def way_out_words(design: Design) -> str:
    """How the water leaves: lifted by the pump, soaked away, or by its own weight."""
    say, system = Say(design.job.units), design.system
    if not system.stations:
        return f"The water leaves by its own weight at {ways_out(design)}."
    each = joined(
        [
            f"basin {station.name} ({pump_words(station.pump, say.units)}, {say.flow(station.operating_flow)} "
            f"at {say.head(station.operating_head)} of head)"
            for station in system.by_house
        ]
    )
    (pumped, _), falling = by_itself(design), falling_words(design)
    what = "What comes to a basin" if falling else "It"
    return f"{what} is lifted from {each} and leaves at {ways_out(design, pumped)}.{falling}"


def _ground(design: Design) -> Against:
    drains = runs_of(design, "footing drain")
    if not drains:
        return Against(done=(), left="No footing drain is planned: ground water beside the house stays as it is.")
    wrapped = joined(list(dict.fromkeys("stone in fabric" if run.fabric else "stone" for run in drains)))
    walls = joined(list(dict.fromkeys(name for run in drains for name in run.walls)))
    beside = f" beside the {walls} wall{'s' if ' and ' in walls else ''}" if walls else ""
    done = [
        f"Footing drain {run_words(design, drains)}, laid in {wrapped}{beside}, below the floor.",
        way_out_words(design),
    ]
    drained = {name for run in drains for name in run.walls}
    dry = [wall.name for wall in design.site.walls if wall.name not in drained]
    left = "Water under the middle of the floor is lowered only as far as the ground lets it run to the drain."
    if dry:
        left += f" No drain lies at the {joined(dry)} wall{'s' if len(dry) > 1 else ''}."
    return Against(done=tuple(done), left=left)


def _capillary(design: Design) -> Against:
    say = Say(design.job.units)
    coated = [wall for wall in design.site.walls if wall.wall.open_and_coat and wall.wall.coating.kind != "none"]
    done = tuple(
        f"Wall {wall.name}, {say.length(wall.length)}: {wall.wall.coating.kind}, {wall.wall.coating.coats} coats on "
        f"{wall.wall.material}."
        for wall in coated
    )
    left = "No barrier under the floor and no damp-proof course in the wall: damp drawn up through them stays."
    return Against(done=done, left=left)


def _roof(design: Design) -> Against:
    led, others = led_downspouts(design)
    done = []
    if led:
        leaders = tuple(run for run in design.system.runs if run.upper in led)
        one = len(led) == 1
        done.append(
            f"{'Downspout' if one else 'Downspouts'} {joined(led)} led away in tight pipe: "
            f"{run_words(design, leaders)}."
        )
    left = f"{joined(others)} {'is' if len(others) == 1 else 'are'} not led into these works. " if others else ""
    if ROOF_FIRST in left_out_first(design):
        left += f"{ROOF_FIRST} "
    return Against(done=tuple(done), left=f"{left}Gutters are not mended or cleaned.")


def _surface(design: Design) -> Against:
    inlets = [node.name for node in design.system.nodes.values() if node.kind == "inlet"]
    drains = runs_of(design, "yard drain")
    done = []
    if inlets:
        one = len(inlets) == 1
        by = f", led away by {run_words(design, drains)}" if drains else ""
        done.append(f"{'Grate' if one else 'Grates'} {joined(inlets)} at the low places{by}.")
    shaped = ", ".join(dict.fromkeys(strip.wall.name for strip in design.site.shaped))
    if shaped:
        done.append(f"The ground is shaped to fall away from the walls: {shaped}.")
    still = "Other ground is not reshaped." if shaped else "The ground is not reshaped beyond the digging."
    left = ground_left_out(design) or still
    return Against(done=tuple(done), left=left)


def _open(design: Design) -> Against:
    ground = _ground(design)
    return Against(done=ground.done, left="That water comes without end: the level falls only while the drain works.")


def _nothing(cause: Moisture) -> Callable[[Design], Against]:
    return lambda design: Against(done=(), left=REMEDIES[cause])


_READERS: Mapping[Moisture, Callable[[Design], Against]] = MappingProxyType(
    {
        Moisture.GROUND_WATER: _ground,
        Moisture.CAPILLARY_RISE: _capillary,
        Moisture.ROOF_WATER: _roof,
        Moisture.SURFACE_WATER: _surface,
        Moisture.OPEN_WATER: _open,
    }
)

__all__ = [
    "Against", "against", "bared_uncoated", "bared_words", "by_itself", "falling_words", "led_downspouts",
    "opened_walls", "run_words", "runs_of", "way_out_words", "ways_out", "without_a_pump",
]  # fmt: skip
