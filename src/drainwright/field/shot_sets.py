"""Ground that others measured, laid in place: shot sets and the picture under the plan, hung on known places."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.exchange.known_places import Similarity, hang
from drainwright.exchange.pictures import from_data_uri
from drainwright.exchange.shots import METRES, FileError
from drainwright.field.model import LaidPicture, Plan, SitePoint
from drainwright.field.places import plan_of
from drainwright.field.words import Units, fail
from drainwright.job.ground_files import KnownPlace, ShotSet
from drainwright.job.limits import LOT
from drainwright.job.model import Job
from drainwright.quantities import write

Array = NDArray[np.float64]
Row = tuple[str, Plan, float]  # name, place, level [m]
STRETCH = 0.05  # a scale farther from 1 is no error of a tape; common practice, no source [-]
AWAY = 60.96  # 200 ft: ground that begins farther off is not that of this house; common practice, no source [m]


def shots_in_place(job: Job, points: Mapping[str, SitePoint], outline: Sequence[Plan]) -> tuple[list[Row], list[str]]:
    """The shots of a job's sets in the job's frame.

    Parameters
    ----------
    job : Job
        Its files have been read (``drainwright.job.ground_reading``).
    points : mapping
        The points of the site, which known places may name.
    outline : sequence of Plan
        The house, from which ``within`` counts. [m]

    Returns
    -------
    tuple
        A name, a place and a level for each shot, and notes: what was read, and how the known places fit.

    Raises
    ------
    JobError
        If a file was not read, or known places do not suffice.
    """
    rows: list[Row] = []
    notes: list[str] = []
    for number, group in enumerate(job.survey.shot_sets):
        where = f"survey.shot_sets[{number}]"
        if not group.shots:
            raise fail(where, f"the file {group.file!r}, which was not read", "its shots")
        at = np.array([(east, north) for east, north, _ in group.shots])
        levels = np.array([level for _, _, level in group.shots]) + group.level_shift
        said = [group.source] if group.source else []
        if group.known:
            metres = METRES[group.unit or "m"]
            in_file = [(known.in_file[0] * metres, known.in_file[1] * metres) for known in group.known]
            found = _hung(in_file, group.known, points, where, job.units, picture=False)
            _refuse_stretched(in_file, [plan_of(place.at, points, where) for place in group.known], where)
            at = found.of(at)
            _refuse_far(at, outline, group, where, job.units)
            said += found.notes
        _refuse_away(at, outline, where, job.units)
        kept = _near(at, outline, group.within)
        if not kept.any():
            raise fail(f"{where}.within", "no shot so near to the house", "ground round the house")
        rows += _named(group, at, levels, kept)
        notes += [f"Ground shots {group.name} ({group.basis}): {'; '.join(said).rstrip('.')}."] if said else []
    return rows, notes


def _refuse_stretched(in_file: Sequence[Plan], at: Sequence[Plan], where: str) -> None:
    """Known places whose distances in the file and on the site are not the same by far."""
    apart = [sum(math.dist(a, b) for a, b in itertools.combinations(places, 2)) for places in (in_file, at)]
    scale = apart[1] / apart[0]  # places at one spot are refused before
    if abs(scale - 1.0) > STRETCH:
        raise fail(
            f"{where}.known", f"places {scale:.3g} times as far apart on the site as in the file", "the same distances",
            "Check 'unit', and which place is which; 0.3048 or 3.28 is feet taken for metres or the other way about.",
        )  # fmt: skip


def _refuse_far(at: Array, outline: Sequence[Plan], group: ShotSet, where: str, units: Units) -> None:
    """Shots that no lot holds: the known places were mixed up, or the unit."""
    away = float(np.linalg.norm(at - np.mean(np.asarray(outline), axis=0), axis=1).max())
    if group.within is None and away > LOT:
        far, most = (write(value, "length", units, "ft" if units == "US" else "m", 0) for value in (away, LOT))
        raise fail(
            f"{where}.known", f"shots {far} from the house", f"shots within {most} of it",
            "Check 'in_file', its order (east, north) and unit; or say 'within' what distance shots count.",
        )  # fmt: skip


def _refuse_away(at: Array, outline: Sequence[Plan], where: str, units: Units) -> None:
    """Refuse shots that all lie elsewhere."""
    import shapely

    away = float(shapely.distance(shapely.Polygon(outline), shapely.points(at)).min())
    if away > AWAY:
        far, most = (write(value, "length", units, "ft" if units == "US" else "m", 0) for value in (away, AWAY))
        raise fail(
            where, f"shots of which the nearest lies {far} from the house", f"ground within {most} of the house",
            "Are east and north swapped, in 'known' or in 'columns'? Check the places that it hangs on, and its unit.",
        )  # fmt: skip


def _named(group: ShotSet, at: Array, levels: Array, kept: NDArray[np.bool_]) -> list[Row]:
    """Rows by the file's own names where each shot has one of its own, otherwise by number."""
    own = ["_".join(name.split()) for name in group.shot_names]
    names = own if own and all(own) and len(set(own)) == len(own) else [str(n + 1) for n in range(len(at))]
    return [
        (f"{group.name} {names[n]}", (float(at[n, 0]), float(at[n, 1])), float(levels[n])) for n in np.flatnonzero(kept)
    ]


def _near(at: Array, outline: Sequence[Plan], most: float | None) -> NDArray[np.bool_]:
    if most is None:
        return np.ones(len(at), dtype=bool)
    import shapely

    return np.asarray(shapely.distance(shapely.Polygon(outline), shapely.points(at)) <= most)


def _hung(
    in_file: Sequence[Plan],
    known: Sequence[KnownPlace],
    points: Mapping[str, SitePoint],
    where: str,
    units: Units,
    *,
    picture: bool,
) -> Similarity:
    at = [plan_of(place.at, points, f"{where}.known[{n}].at") for n, place in enumerate(known)]
    try:
        return hang(in_file, at, picture=picture, units=units)
    except InputError as error:
        raise fail(f"{where}.known", f"places that do not tell how it lies ({error})", "two places apart") from None


def picture_in_place(job: Job, points: Mapping[str, SitePoint]) -> tuple[LaidPicture | None, list[str]]:
    """Where the picture under the plan lies, and notes on how its known places fit.

    Raises
    ------
    JobError
        If the file was not read, the picture is damaged, or known places do not suffice.
    """
    backdrop = job.survey.backdrop
    if backdrop is None:
        return None, []
    where = "survey.backdrop"
    if backdrop.picture is None:
        raise fail(where, f"the file {backdrop.file!r}, which was not read", "its picture")
    try:
        picture, _ = from_data_uri(backdrop.picture)
    except FileError as error:
        raise fail(f"{where}.picture", error.problem.found, error.problem.expected) from None
    found = _hung([known.in_file for known in backdrop.known], backdrop.known, points, where, job.units, picture=True)
    east, north = (float(value) for value in found.of((0.0, 0.0)))
    laid = LaidPicture(
        width=picture.width, height=picture.height, corner=(east, north), pixel=found.scale, turn=found.turn,
        misfit=found.misfit,
    )  # fmt: skip
    return laid, [f"Picture under the plan: {note}." for note in found.notes]


__all__ = ["picture_in_place", "shots_in_place"]
