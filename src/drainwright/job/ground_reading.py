"""Ground shots and pictures in files beside the job: read, thinned, and put into the job."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from drainwright.errors import InputError, JobError
from drainwright.job.beside import file_beside
from drainwright.job.ground_files import MOST_SHOTS, Backdrop, KnownPlace, ShotSet
from drainwright.job.limits import MOST
from drainwright.job.loading import refusal
from drainwright.job.model import Job
from drainwright.job.plan import Plan, positions
from drainwright.job.values import Place, si
from drainwright.quantities import write

if TYPE_CHECKING:
    from drainwright.exchange.shots import FileError, Shots

ROOM = 5.0  # shots so much farther from the house than 'within' are kept until the survey has placed it [m]
MOST_SOURCE = 200  # characters of a set's source
MOST_NAME = 40  # characters of a shot's name


def fill_ground(job: Job, folder: Path | None) -> Job:
    """The job with its ground in it: files of shots and a picture that it names are read from beside it.

    Parameters
    ----------
    job : Job
        A validated job.
    folder : Path, optional
        The job file's folder; the files lie in it or below.

    Returns
    -------
    Job
        Each ``survey.shot_sets[n].file`` is cleared, and its ``shots`` filled: in the job's coordinates where the set
        has no ``known`` places, else in the file's own, counted from the first known place, which ``known`` then
        counts from, too. The survey lays them in place once it has fixed the points (``drainwright.field.shot_sets``).
        ``source`` says what was read, left out and thinned. ``survey.backdrop.picture`` holds the picture.

    Raises
    ------
    JobError
        If a file is missing, lies elsewhere, or cannot be used; at its path in the job.
    """
    sets, backdrop = job.survey.shot_sets, job.survey.backdrop
    changes: dict[str, Any] = {}
    if any(group.file is not None for group in sets):
        changes["shot_sets"] = _filled(job, folder)
    if backdrop is not None and backdrop.file is not None:
        changes["backdrop"] = _with_picture(backdrop, folder)
    return job.model_copy(update={"survey": job.survey.model_copy(update=changes)}) if changes else job


def _filled(job: Job, folder: Path | None) -> tuple[ShotSet, ...]:
    from drainwright.exchange.shots import thinned_to

    sets = job.survey.shot_sets
    written = sum(len(group.shots) for group in sets)
    read = {
        number: _read(job, group, f"survey.shot_sets[{number}]", folder)
        for number, group in enumerate(sets)
        if group.file is not None
    }
    total = sum(len(shots) for shots in read.values())
    room = MOST_SHOTS - written
    if room < 3 * len(read):
        raise refusal(
            f"{written:,} shots written out, and {len(read)} files", f"at most {MOST_SHOTS:,} shots in all sets",
            where="survey.shot_sets",
        )  # fmt: skip
    filled = []
    for number, group in enumerate(sets):
        shots = read.get(number)
        if shots is None:
            filled.append(group)
            continue
        share = len(shots) if total <= room else max(3, room * len(shots) // total)
        few, spacing = thinned_to(shots, share, group.spacing)
        filled.append(_held(job, group, few, spacing, f"survey.shot_sets[{number}]"))
    return tuple(filled)


def _read(job: Job, group: ShotSet, where: str, folder: Path | None) -> Shots:
    from drainwright.exchange.files import read_shots
    from drainwright.exchange.shots import FileError, coded, thinned

    assert group.file is not None
    path = file_beside(group.file, folder, f"{where}.file", "ground.csv", "'shots'")
    try:
        shots = read_shots(path, group.unit, group.level_unit, group.columns)
    except FileError as error:
        raise _at(error, f"{where}.file", group.file) from None
    try:
        shots = coded(shots, group.codes)
    except FileError as error:
        raise _at(error, f"{where}.codes", group.file) from None
    shots = _clipped(job, group, shots)
    if len(shots) < 1:
        raise refusal(
            f"no shot of {group.file!r} near the house", "ground round the house",
            "Are east and north swapped, in 'known' or in 'columns'?", where=f"{where}.within",
        )  # fmt: skip
    return shots if group.spacing is None else thinned(shots, group.spacing)


def _clipped(job: Job, group: ShotSet, shots: Shots) -> Shots:
    """Leave out what is surely too far off, where the house can be placed before the survey is reduced."""
    from drainwright.exchange.known_places import hang
    from drainwright.exchange.shots import within

    if group.within is None:
        return shots
    taped = positions(job)
    corners = [_place(place, taped) for place in job.house.outline]
    house = [corner for corner in corners if corner is not None]
    if len(house) < len(corners) or not house:
        return shots
    centre = (sum(at[0] for at in house) / len(house), sum(at[1] for at in house) / len(house))
    reach = max(math.dist(centre, corner) for corner in house) + group.within + ROOM
    if group.known:
        places = [_place(known.at, taped) for known in group.known]
        pairs = [(shots.to_frame(k.in_file), at) for k, at in zip(group.known, places, strict=True) if at is not None]
        if len(pairs) < 2:
            return shots
        try:
            back = hang([at for _, at in pairs], [here for here, _ in pairs])
        except InputError:
            return shots  # the survey tells what is wrong with them
        reach += 2.0 * back.misfit
        east, north = back.of(centre)
        centre = (float(east), float(north))
    return within(shots, centre, reach)


def _place(place: Place, known: dict[str, Plan]) -> Plan | None:
    return known.get(place.name) if place.name is not None else (place.east or 0.0, place.north or 0.0)


def _held(job: Job, group: ShotSet, shots: Shots, spacing: float | None, where: str) -> ShotSet:
    """The set with its shots in it."""
    origin = shots.to_frame(group.known[0].in_file) if group.known else (0.0, 0.0)
    plan = shots.plan - np.array(origin)
    levels = shots.level + group.level_shift
    most = MOST["position"].value
    if plan.size and float(np.abs(plan).max()) > most:
        far = write(float(np.abs(plan).max()), "length", job.units, "ft" if job.units == "US" else "m", 0)
        if group.known:
            raise refusal(
                f"shots {far} from the first known place", f"at most {MOST['position'].text}",
                "check 'in_file', its order (east, north) and unit", where=f"{where}.known",
            )  # fmt: skip
        raise refusal(
            f"shots {far} from the job's origin, and no known places", "two known places or more",
            "name two places that both the job and the file know", where=f"{where}.file",
        )  # fmt: skip
    if float(np.abs(levels).max()) > most:
        raise refusal("levels beyond all measure", MOST["position"].text, where=f"{where}.level_shift")
    return group.model_copy(
        update={
            "file": None,
            "unit": "m",
            "level_unit": None,
            "columns": (),
            "codes": (),
            "spacing": None,
            "level_shift": si(0.0),
            "known": tuple(_moved(known, shots, origin) for known in group.known),
            "shots": tuple((si(e), si(n), si(z)) for (e, n), z in zip(plan.tolist(), levels.tolist(), strict=True)),
            "shot_names": tuple(name[:MOST_NAME] for name in shots.names),
            "source": _source(job, group, shots, spacing),
        }
    )


def _moved(known: KnownPlace, shots: Shots, origin: Plan) -> KnownPlace:
    east, north = shots.to_frame(known.in_file)
    return KnownPlace(at=known.at, in_file=(east - origin[0], north - origin[1]))


def _source(job: Job, group: ShotSet, shots: Shots, spacing: float | None) -> str:
    said = f"{group.source}, " if group.source else ""
    left = [f"{count:,} {reason}" for reason, count in shots.dropped.items()]
    if "thinned" in shots.dropped and spacing is not None:
        side = write(spacing, "length", job.units, "ft" if job.units == "US" else "m", 1 if spacing > 1.0 else 2)
        left = [f"{part} to one in {side}" if part.endswith(" thinned") else part for part in left]
    text = f"{said}file {group.file}: {len(shots):,} shots" + (f"; left out {', '.join(left)}" if left else "")
    more = f"more: drainwright ground {Path(group.file or '').name}"
    for number, note in enumerate(shots.notes):
        rest = "" if number == len(shots.notes) - 1 else f"; {more}"
        if len(f"{text}; {note}{rest}") > MOST_SOURCE:
            return f"{text}; {more}"[:MOST_SOURCE]
        text = f"{text}; {note.rstrip('.')}"
    return text[:MOST_SOURCE]


def _with_picture(backdrop: Backdrop, folder: Path | None) -> Backdrop:
    from drainwright.exchange.pictures import data_uri, read_picture
    from drainwright.exchange.shots import FileError

    where = "survey.backdrop.file"
    assert backdrop.file is not None
    path = file_beside(backdrop.file, folder, where, "plat.png", "a 'picture'")
    try:
        picture, data = read_picture(path)
    except FileError as error:
        raise _at(error, where, backdrop.file) from None
    for number, known in enumerate(backdrop.known):
        right, down = known.in_file
        if not (-picture.width <= right <= 2 * picture.width and -picture.height <= down <= 2 * picture.height):
            raise refusal(
                f"pixel {right:g}, {down:g} of a picture of {picture.width} by {picture.height}",
                "pixels to the right and down from its upper left corner", where=f"survey.backdrop.known[{number}]",
            )  # fmt: skip
    return backdrop.model_copy(update={"file": None, "picture": data_uri(picture, data)})


def _at(error: FileError, where: str, name: str) -> JobError:
    """The file's fault, at the place in the job that names it."""
    problem = error.problem
    line = f", line {problem.line}" if problem.line is not None else ""
    return refusal(f"{problem.found} (in {name!r}{line})", problem.expected, problem.hint, where=where)


__all__ = ["fill_ground"]
