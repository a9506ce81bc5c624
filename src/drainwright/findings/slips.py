"""Checks of the measurements against each other: likely slips, and what nothing checks."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.field.plan_adjust import unchecked
from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, caution, ok, rule
from drainwright.job.values import Place
from drainwright.job.works import Basin


@rule("SUR-05", "Measurements that the others contradict", "baarda")
def likely_slips(case: Case) -> Iterator[Outcome]:
    """No reading, tape or turn is so far from what the others say that a slip is likelier."""
    slips = case.site.slips
    for slip in slips:
        yield caution(
            slip.where,
            slip.message,
            figure=f"{slip.strength:.0f} times its standard error off",
            limit="agrees with the others",
            advice="Measure it again before anything is set out from it. It still counts in the design as it is booked.",
        )
    book, network = case.site.level_book, case.site.network
    checked = (book is not None and book.redundancy > 0) or (network is not None and network.redundancy > 0)
    if not slips and checked:
        yield ok(
            "survey.points" if book is None else "survey.level_book",
            "No measurement stands out against the others.",
            figure="none stands out",
            limit="agrees with the others",
        )


@rule("SUR-06", "Places of the works that nothing checks", "least_squares")
def unchecked_places(case: Case) -> Iterator[Outcome]:
    """Points that an inlet, the basin or an outlet hangs on are fixed by more than they need."""
    works, network = case.job.works, case.site.network
    if network is None:
        return
    places: list[tuple[Place, str]] = [(inlet.at, inlet.name) for inlet in works.inlets]
    places += [(discharge.at, discharge.name) for discharge in works.discharge]
    if isinstance(works.basin, Basin):
        places.append((works.basin.at, works.basin.name))
    elif works.basin_place is not None:
        places.append((works.basin_place, "the basin"))
    hung = {place.name: work for place, work in places if place.name is not None}
    bare = set(unchecked(network))
    loose = [f"{point} ({work})" for point, work in hung.items() if point in bare]
    if loose:
        yield caution(
            "survey.points",
            f"Nothing checks the place of {listed(loose)}: a slip of the tape there would not show.",
            figure=f"{len(loose)} unchecked",
            limit="one measurement more than the place needs",
            advice="Take a third tie, or one tape to another point (survey.tapes).",
        )
    elif hung:
        yield ok(
            "survey.points",
            "Every place of the works is checked.",
            figure="all checked",
            limit="one measurement more than the place needs",
        )


__all__ = ["likely_slips", "unchecked_places"]
