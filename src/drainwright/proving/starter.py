"""A record to fill in, commented, with this job's own names."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.proving.lines import inlets_to_test

_HEAD = """\
# What was measured when the job was done. Copy it from the form; take the '#' off what you fill in.
# Nobody enters a basin. Unplug the pump before a hand goes in.
schema_version: 1
job: {job}
on: {on}
by: ""
"""


def starter_text(design: Design) -> str:
    """A record for a designed job, as YAML.

    Parameters
    ----------
    design : Design
        The job.

    Returns
    -------
    str
        Reads as it is; everything to be measured stands in comments.
    """
    us = design.job.units == "US"
    deep, later, pail = ("41 1/4 in", "40 1/2 in", "5 gal") if us else ("1048 mm", "1029 mm", "20 L")
    on = "2026-01-02" if design.job.date is None else design.job.date.isoformat()
    lines = [_HEAD.format(job=design.job.number or '"-"', on=on)]
    if design.system.stations:
        lines.append("# basins:")
        for station in design.system.by_house:
            lines += [
                f"#   - basin: {station.name}",
                "#     tape_from: rim          # lengths down from the rim; or floor",
                "#     stretches:",
            ]
            for name, note, tapes in (
                ("shut", "pump off, before its first start: water only comes in", (deep, later)),
                ("pumping", "read every 10 s", (later, deep)),
                ("open", "pump off again, from half a minute after it stopped", (deep, later)),
            ):
                read = "[[0 s, {}], [30 s, {}]]".format(*tapes)
                lines += [f"#       - while: {name}  # {note}", f"#         readings: {read}"]
            lines += ["#     relief_squirts: true", "#     alarm_sounds: true"]
    if places := inlets_to_test(design):
        lines.append("# hoses:")
        for place in places:
            lines += [f"#   - inlet: {place}", f"#     bucket: {pail}", "#     fills: [34 s, 35 s, 34 s]",
                      "#     came: true"]  # fmt: skip
    lines.append("# as_built:")
    level = "96.40 ft" if us else "29.380 m"
    if gravity := [run.name for run in design.system.runs if not run.pressure]:
        lines.append("#   runs:")
        lines += [f"#     - {{run: {name}, upper: {level}, lower: {level}}}" for name in gravity]
    if design.system.stations:
        lines.append("#   basins:")
        small = ("26 3/4 in", "3 in", "33 7/8 in") if us else ("680 mm", "76 mm", "860 mm")
        lines += [
            f"#     - {{basin: {station.name}, on: {small[0]}, off: {small[1]}, alarm: {small[2]}}}"
            for station in design.system.by_house
        ]
    if design.site.walls:
        lines.append("#   ground:")
        lines += [f"#     - {{wall: {wall.name}, near: {level}, far: {level}}}" for wall in design.site.walls]
    lines += ["# photos:", "#   - {checkpoint: 1, file: photo-1.jpg}"]
    lines += ["# signed:", f"#   - {{name: A. Name, on: {on}}}"]
    return "\n".join(lines) + "\n"


__all__ = ["starter_text"]
