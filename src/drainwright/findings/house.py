"""Checks that the works stay outside the house."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from drainwright.field.model import Plan
from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, fails, ok, rule
from drainwright.findings.stations import station_place
from drainwright.quantities import write
from drainwright.system.model import SizedRun
from drainwright.system.ways import RoundHouse

if TYPE_CHECKING:
    from shapely import Polygon

TOLERANCE = 0.05  # of the tape, and of a downspout that stands at the wall; common practice, no source [m]
LIMIT = "outside the house's outline"


@rule("NET-14", "Clear of the house", "common_practice")
def clear_of_house(case: Case) -> Iterator[Outcome]:
    """No run, inlet, basin or discharge point lies inside the house."""
    from shapely import LineString, Point, Polygon

    whole = Polygon(case.site.outline)
    house = whole.buffer(-TOLERANCE, join_style="mitre")
    found = list(_places(case, whole, house))
    for run in case.system.runs:
        within = LineString(run.route).intersection(house).length
        if within > TOLERANCE:
            ends_inside = any(house.intersects(Point(end)) for end in (run.route[0], run.route[-1]))
            outcome = fails(
                f"works.runs.{run.name}",
                f"{run.name} runs {case.length(within)} through the house.",
                figure=f"{case.length(within)} inside the house",
                limit=LIMIT,
                advice=_round_the_house(case, run, ends_inside),
            )
            found.append(outcome)
    yield from found
    if not found:
        yield ok("works.runs", "All of the works lie outside the house.", figure="none of it inside", limit=LIMIT)


def _places(case: Case, whole: Polygon, house: Polygon) -> Iterator[Outcome]:
    """Inlets, discharge points and the basin inside the house, the basin with its wall."""
    from shapely import Point

    words = {"inlet": "inlets", "discharge": "discharge", "basin": ""}
    for node in case.system.nodes.values():
        if node.kind not in words:
            continue
        at = Point(node.at)
        station = case.system.station_named(node.name)
        radius = 0.0 if station is None else station.inside_diameter / 2
        if house.distance(at) > radius or (radius == 0.0 and not house.intersects(at)):
            continue
        inside = whole.exterior.distance(at) * (1.0 if whole.contains(at) else -1.0) + radius
        reach = "reaches" if radius > 0 else "lies"
        indoors = (
            " A basin in the cellar, drains led to it under the footing, is not designed here." if radius > 0 else ""
        )
        yield fails(
            station_place(case, node.name) if node.kind == "basin" else f"works.{words[node.kind]}.{node.name}",
            f"{node.name} {reach} {case.length(inside)} into the house.",
            figure=f"{case.length(inside)} inside the house",
            limit=LIMIT,
            advice=f"Put it outside the walls, or mend its place or the outline: ties and signs are easily mixed up.{indoors}",
        )


def _round_the_house(case: Case, run: SizedRun, ends_inside: bool) -> str:
    """What to do about a run through the house: the bends of a way round it, where it is drawn straight."""
    if ends_inside:
        return "Move its end outside the house, or mend its place or the outline: ties and signs are easily mixed up."
    given = next((item for item in case.job.works.runs if item.name == run.name), None)
    if given is None or given.via or given.beside:
        return "Move its bends (via) so that it goes round the corners of the house."
    bends = RoundHouse(case.site.outline).way(run.route[0], run.route[-1])[1:-1]
    places = listed([_place(case, bend) for bend in bends])
    return f"Lead it round the house by via {places}; or leave the run out, and a way round the house is proposed."


def _place(case: Case, at: Plan) -> str:
    """A place as the job document gives it: east, then north."""
    unit = "ft" if case.job.units == "US" else "m"
    return f'"{", ".join(write(value, "length", case.job.units, unit) for value in at)}"'


__all__ = ["clear_of_house"]
