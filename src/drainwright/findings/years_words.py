"""What the design storm says beside years of rain, in plain words: the same on the terminal and on the sheet."""

from __future__ import annotations

from drainwright.findings.failure_words import Words
from drainwright.quantities import System, write
from drainwright.storm.years.beside import Beside

CHANCE = (
    "Power cuts and pumps that fail are not in these years: the power never goes out in them. 'chance' counts both."
)


def storm_beside(beside: Beside, words: Words) -> str:
    """Whether the design storm and the years agree about the floor, and where they part.

    Parameters
    ----------
    beside : Beside
        Both.
    words : Words
        Of the job.

    Returns
    -------
    str
        Two to four sentences.
    """
    if beside.rising:
        wet = "its record ends while the water still rises"
    elif beside.time_to_slab is None:
        wet = f"it leaves the {words.floor} dry"
    else:
        wet = f"it brings water to the {words.floor} after {words.hours(beside.time_to_slab)}"
    said = [f"The design storm ({beside.storm}) beside them: {wet}."]
    said.append(
        {
            "both dry": "The years say the same.",
            "both wet": "The years do not contradict it.",
            "too few years": "The two do not contradict each other: so many years need not hold such a storm, or may "
            "hold a rarer one.",
            "apart": "The two contradict each other: "
            + ("the years find it rarer" if beside.time_to_slab is not None or beside.rising else "the years find it")
            + (" than the storm comes." if beside.time_to_slab is not None or beside.rising else " more often."),
        }[beside.verdict]
    )
    if beside.verdict in ("apart", "too few years"):
        said.append(_rain(beside, words.units, words))
    return " ".join(said)


def _rain(beside: Beside, units: System, words: Words) -> str:
    """Which rain was the heavier."""

    def depth(value: float) -> str:
        return write(value, "length", units, "in" if units == "US" else "mm", 2 if units == "US" else 0)

    span = words.hours(beside.burst)
    figures = (
        f"the storm brings {depth(beside.storm_burst)} in its heaviest {span} and {depth(beside.storm_depth)} in all, "
        f"the heaviest of these years {depth(beside.years_burst)} in {span} and {depth(beside.years_depth)} in one "
        "wet spell"
    )
    wet = beside.time_to_slab is not None or beside.rising
    if wet and (beside.sharper or beside.deeper):
        how = "sharper and larger" if beside.sharper and beside.deeper else "sharper" if beside.sharper else "larger"
        why = f"The storm is {how} than all of their rain"
        held = "; it holds the table's heaviest rain of each duration at once, which real storms seldom do"
        return f"{why}: {figures}{held if beside.sharper else ''}."
    if not wet and not (beside.sharper and beside.deeper):
        return f"Their rain was heavier than the storm in one way or both: {figures}."
    return (
        f"Rain alone does not part them: {figures}; how wet the ground and how full the ponds are before does, "
        "or the shape of the rain."
    )


__all__ = ["CHANCE", "storm_beside"]
