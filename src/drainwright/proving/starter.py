"""A record to fill in, commented, with this job's own names and beside each blank what the design has there."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.design import Design
from drainwright.proving.lines import inlets_to_test
from drainwright.proving.words import Words
from drainwright.system.model import LiftStation

_HEAD = """\
# What was measured when the job was done. Copy it from the form; take the '#' off what you fill in, and put what was
# read in place of each {blank}: one that is left is refused.
# Nobody enters a basin. Unplug the pump before a hand goes in.
schema_version: 1
job: {job}
on: {on}  # the day on which it is measured: by the plan, change it
by: ""
"""
BLANK = "__"  # no length and no time: what nobody read proves nothing


def starter_text(design: Design) -> str:
    """A record for a designed job, as YAML.

    Parameters
    ----------
    design : Design
        The job.

    Returns
    -------
    str
        Reads as it is; everything to be measured stands in comments, with blanks that are refused until filled.
    """
    us, words = design.job.units == "US", Words(design.job.units)
    tape, level = (f"{BLANK} in", f"{BLANK} ft") if us else (f"{BLANK} mm", f"{BLANK} m")
    ends = design.build.plan.dates
    last = ends[-1] if ends else design.job.date
    on = "2026-01-02" if last is None else last.isoformat()
    lines = [_HEAD.format(job=design.job.number or '"-"', on=on, blank=BLANK)]
    stations = design.system.by_house
    if stations:
        lines += ["# basins:", *(line for station in stations for line in _basin(station, words, tape))]
    if places := inlets_to_test(design):
        lines.append("# hoses:")
        times = ", ".join([f"{BLANK} s"] * 3)
        for place in places:
            lines += [f"#   - inlet: {place}", f"#     bucket: {'5 gal' if us else '20 L'}", f"#     fills: [{times}]",
                      "#     came: true"]  # fmt: skip
    lines.append("# as_built:")
    if gravity := [run for run in design.system.runs if not run.pressure]:
        lines.append("#   runs:")
        lines += [
            f"#     - {{run: {run.name}, upper: {level}, lower: {level}}}"
            f"  # designed {words.level(run.invert_upper)} and {words.level(run.invert_lower)}"
            for run in gravity
        ]
    if stations:
        lines.append("#   basins:")
        lines += [
            f"#     - {{basin: {station.name}, on: {tape}, off: {tape}, alarm: {tape}}}  # over its floor; designed "
            + ", ".join(words.small(station.float_levels[name] - station.floor) for name in ("on", "off", "alarm"))
            for station in stations
        ]
    if design.site.walls:
        lines.append(
            "#   ground:  # at the wall, and 10 ft out from it" if us else "#   ground:  # at the wall, and 3 m out"
        )
        lines += [f"#     - {{wall: {wall.name}, near: {level}, far: {level}}}" for wall in design.site.walls]
    lines += ["# photos:", "#   - {checkpoint: 1, file: photo-1.jpg}"]
    lines += ["# signed:", f"#   - {{name: A. Name, on: {on}}}"]
    return "\n".join(lines) + "\n"


def _basin(station: LiftStation, words: Words, tape: str) -> Iterator[str]:
    """The readings of one basin, with where its floats stand below its rim."""
    start, stop = (words.small(station.rim - station.float_levels[name]) for name in ("on", "off"))
    yield f"#   - basin: {station.name}"
    yield "#     tape_from: rim          # lengths down from the rim; or floor"
    yield f"#     # by design the pump starts at {start} and stops at {stop} below the rim"
    yield "#     stretches:"
    for name, note in (
        ("shut", "pump off, before its first start: water only comes in"),
        ("pumping", "read every 10 s"),
        ("open", "pump off again, from half a minute after it stopped"),
    ):
        yield f"#       - while: {name}  # {note}"
        yield f"#         readings: [[0 s, {tape}], [30 s, {tape}]]"
    yield "#     relief_squirts: true"
    yield "#     alarm_sounds: true"


__all__ = ["BLANK", "starter_text"]
