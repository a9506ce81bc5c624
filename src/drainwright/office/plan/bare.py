"""What the plan shows of a job that cannot be designed yet: the points that are measured, and the house."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from pydantic import ValidationError

from drainwright.errors import InputError, JobError
from drainwright.field.points import fix_points
from drainwright.job.survey import Survey
from drainwright.job.values import Place
from drainwright.office.plan.drawn import Drawn, DrawnPoint
from drainwright.office.plan.things import At
from drainwright.quantities import QuantityError, parse


def known_points(record: Mapping[str, Any]) -> dict[str, At]:
    """Where the points of a record are, as far as what it says of them can be read. [m]

    Parameters
    ----------
    record : mapping
        What the document says; it may be no whole job.

    Returns
    -------
    dict
        East and north by name: of the whole survey where it can be solved, else of the points told by east and north.
    """
    told = record.get("survey")
    if not isinstance(told, Mapping):
        return {}
    try:
        survey = Survey.model_validate(told, context={"document": True})
        fixed = fix_points(survey, _outline(record), {}, "SI" if record.get("units") == "SI" else "US")
    except (ValidationError, JobError, InputError):
        return _by_coordinates(told)
    return {name: (point.east, point.north) for name, point in fixed.points.items()}


def _by_coordinates(survey: Mapping[str, Any]) -> dict[str, At]:
    points = survey.get("points")
    found: dict[str, At] = {}
    for one in points if isinstance(points, list) else []:
        if not isinstance(one, Mapping) or not isinstance(one.get("name"), str):
            continue
        try:
            found[one["name"]] = (parse(one.get("east"), "length"), parse(one.get("north"), "length"))
        except QuantityError:
            continue
    return found


def _outline(record: Mapping[str, Any]) -> list[Place]:
    house = record.get("house")
    corners = house.get("outline") if isinstance(house, Mapping) else None
    found = []
    for one in corners if isinstance(corners, list) else []:
        try:
            found.append(Place.model_validate(one, context={"document": True}))
        except ValidationError:
            continue
    return found


def bare(record: Mapping[str, Any], known: Mapping[str, At]) -> dict[str, Any]:
    """The parts of a drawing that need no design; there is no price."""
    places = (known.get(one.name or "", (one.east, one.north)) for one in _outline(record))
    corners = tuple((east, north) for east, north in places if east is not None and north is not None)
    drawn = Drawn(
        points=tuple(DrawnPoint(name=name, at=at, told="") for name, at in known.items()), outline=corners, walls=(),
        runs=(), nodes=(), roots=(), drained=(), contours=(), picture=None, findings=(), price=0.0, currency="USD",
        built=False, storm_run=False,
    )  # fmt: skip
    return {key: value for key, value in asdict(drawn).items() if key != "price"}


__all__ = ["bare", "known_points"]
