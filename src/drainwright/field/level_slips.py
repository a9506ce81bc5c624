"""Which rod reading the others, or the ground round it, contradict, and what was probably meant."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from drainwright.field.level_network import RodReading
from drainwright.field.level_readings import Meant, meanings, say, told
from drainwright.field.model import Plan, Slip
from drainwright.field.words import Units

Array = NDArray[np.float64]

# What ground may be like: an even slope, a smooth rise and fall about it, a small unevenness from shot to shot.
# Common practice, no source.
SWELLS = (0.02, 0.06, 0.2, 0.6)  # standard deviation of the rise and fall [m]
REACHES = (4.0, 10.0, 25.0)  # distance over which it is alike [m]
UNEVEN = (0.01, 0.018, 0.03, 0.06, 0.12)  # standard deviation of the unevenness [m]
STEP = 0.4  # standard deviation of a terrace's height [m]
BEARINGS, SIDE = 8, 4  # directions of terraces that are tried, and shots at least on either side
STEPS = 8  # terraces that are weighed, the likeliest
STEPPED = 0.2  # chance that a yard has one [-]
# Lone features that nobody noted, a bed or the edge of a drive: the share of shots on one, and the chance of a yard so.
FEATURED = ((0.0, 0.5), (0.05, 0.3), (0.2, 0.2))
STANDS_OUT = 0.25  # standard deviation of such a feature [m]
FEWEST = 8  # ground shots; fewer tell nothing of what the ground is like
THINNED = 100  # readings that the kind of ground is judged by
KEPT = 8  # kinds of ground that a larger book is judged under
LARGEST = 600  # readings; in a larger book the ground is not asked
AT_ONCE = 500_000  # numbers in one stack of matrices
LEAST = 0.015  # a smaller error is no blunder: 0.05 ft [m]
SHOWN = 0.15  # a reading whose error is not known better than this from the rest is not judged [m]
ODDS = 0.25  # of a blunder against none, after looking, from which it is told; before looking they count as even [-]
NAMED = 1.5  # how far behind a meaning may be and still be told rather than none [natural log]
ALIKE = 3.0  # explanations whose evidence is less behind are rivals [natural log]
MOST = 3  # slips sought in one book


@dataclass(frozen=True, slots=True, kw_only=True)
class _Model:
    """Readings as one linear model: values = design @ unknowns + noise."""

    readings: tuple[RodReading, ...]
    values: Array
    design: Array
    errors: Array
    ground: NDArray[np.intp]  # number of each reading's ground shot, -1 where it is on none
    apart: Array  # distances between ground shots [m]
    loose: Array  # variance of each ground shot beyond the yard's [m²]
    steps: Array  # what a terrace of 1 m does to each reading, shape (readings, terraces)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Belief:
    """What each kind of ground, with a terrace or without, says: shape (kinds, readings)."""

    weight: Array  # of each kind, shape (kinds,) [natural log]
    pull: Array  # residual of each reading, weighted
    hold: Array  # its weight in full


def find_level_slips(
    readings: Sequence[RodReading],
    heights: Sequence[float],
    fixed: Mapping[str, float],
    ground: Mapping[str, Plan],
    apart: Mapping[str, float] | None = None,
    units: Units = "US",
) -> tuple[Slip, ...]:
    """Name the rod readings that are likely blunders.

    Parameters
    ----------
    readings : sequence of RodReading
        The whole book; those of a row below 0 are shots of others, which show what the ground is like and are not
        judged.
    heights : sequence of float
        Heights of instrument, by set-up. [m]
    fixed : mapping
        Levels that are held, by name. [m]
    ground : mapping
        Places of the ground shots, by name. [m]
    apart : mapping, optional
        By how much some ground shots may lie apart from the yard round them, as a standard deviation: a low spot
        that the surveyor noted, backfill beside the house. [m]
    units : {"US", "SI"}
        Of the job, in which the readings were written.

    Returns
    -------
    tuple of Slip
        The strongest first, at most ``MOST``.

    Notes
    -----
    One linear model holds all readings, and the ground as an even slope with a smooth rise and fall and a small
    unevenness, whose sizes are not known: every kind of ground counts by how well it explains the book. Under each,
    a reading's standardised residual tests it (W. Baarda, A testing procedure for use in geodetic networks, 1968,
    from memory), and what it may have been meant to be (a foot more, digits exchanged, the set-up before ...) counts
    with what fits nothing in particular. The evidence against a row is that of all its meanings together.
    """
    taken: list[int] = []
    slips: list[Slip] = []
    model = _model(readings, fixed, ground, apart or {})
    if model is None:
        return ()
    kinds = _kinds(model)
    while len(slips) < MOST:
        belief = _belief(model, kinds, taken)
        found = _judge(model, belief, taken, dict(enumerate(heights)), units)
        if found is None:
            break
        slip, number = found
        slips.append(slip)
        taken.append(number)
    return _turns_first(slips, [model.readings[number] for number in taken], readings, fixed)


def _turns_first(
    slips: Sequence[Slip], wrong: Sequence[RodReading], readings: Sequence[RodReading], fixed: Mapping[str, float]
) -> tuple[Slip, ...]:
    """The strongest first, without those weaker than a turning sight of their section: its error moves them all."""
    section, of = 0, {}
    for one in readings:
        if one.set_up not in of:
            section += one.column != "backsight" or one.point in fixed
            of[one.set_up] = section
    both = sorted(zip(slips, wrong, strict=True), key=lambda pair: -pair[0].strength)
    kept: list[Slip] = []
    mended: set[int] = set()
    for slip, one in both:
        if of[one.set_up] in mended:
            continue
        if one.column != "intermediate":
            mended.add(of[one.set_up])
            slip = replace(slip, message=f"{slip.message} Mend this first: what hangs from it is judged after that.")
        kept.append(slip)
    return tuple(kept)


def _model(
    readings: Sequence[RodReading], fixed: Mapping[str, float], ground: Mapping[str, Plan], apart: Mapping[str, float]
) -> _Model | None:
    """Leave out what nothing checks, and number the unknowns."""
    read = {one.point for one in readings}
    shots = sorted(name for name in ground if name in read and name not in fixed)
    if len(shots) < FEWEST or len(readings) > LARGEST:
        shots = []
    times = Counter(one.point for one in readings)
    loose = sorted(name for name in times if name not in fixed and name not in shots and times[name] > 1)
    kept = tuple(one for one in readings if times[one.point] > 1 or one.point in fixed or one.point in shots)
    if not kept:
        return None
    stands = sorted({one.set_up for one in kept})
    column = {number: n for n, number in enumerate(stands)}
    row = {name: len(stands) + n for n, name in enumerate(loose)}
    shot = {name: n for n, name in enumerate(shots)}
    places = np.array([ground[name] for name in shots]).reshape(-1, 2)
    datum = sum(fixed.values()) / max(len(fixed), 1)
    plane = 3 if shots else 0
    design = np.zeros((len(kept), len(stands) + len(loose) + plane))
    values = np.zeros(len(kept))
    centred = places - places.mean(axis=0) if shots else places
    for n, one in enumerate(kept):
        design[n, column[one.set_up]] = 1.0
        values[n] = one.value + (fixed[one.point] - datum if one.point in fixed else 0.0)
        if one.point in row:
            design[n, row[one.point]] = -1.0
        if one.point in shot:
            design[n, -3:] = -1.0, *(-0.1 * centred[shot[one.point]])
    if np.linalg.matrix_rank(design) < design.shape[1]:
        return None
    at = np.array([shot.get(one.point, -1) for one in kept])
    steps = np.where(at[:, None] >= 0, -_terraces(centred)[at], 0.0) if shots else np.zeros((len(kept), 0))
    return _Model(
        readings=kept,
        values=values,
        design=design,
        errors=np.array([one.error for one in kept]),
        ground=at,
        apart=np.hypot(*(places[:, None, :] - places[None, :, :]).transpose(2, 0, 1)),
        loose=np.array([apart.get(name, 0.0) ** 2 for name in shots]),
        steps=steps,
    )


def _part(model: _Model, rows: NDArray[np.intp]) -> _Model:
    """Some of the readings, the unknowns that these bear on."""
    design = model.design[rows]
    return _Model(
        readings=tuple(model.readings[n] for n in rows),
        values=model.values[rows],
        design=design[:, np.abs(design).sum(axis=0) > 0.0],
        errors=model.errors[rows],
        ground=model.ground[rows],
        apart=model.apart,
        loose=model.loose,
        steps=model.steps[rows],
    )


def _terraces(places: Array) -> Array:
    """Straight terraces that part the shots, 1 above and 0 below: shape (shots, terraces)."""
    found = [np.zeros(len(places))]
    for n in range(BEARINGS):
        along = places @ np.array([math.cos(math.pi * n / BEARINGS), math.sin(math.pi * n / BEARINGS)])
        found += [(along >= edge).astype(float) for edge in np.sort(along)[SIDE : -SIDE + 1 or None]]
    return np.unique(np.array(found), axis=0).T


def _covariance(model: _Model, kinds: Array) -> Array:
    """Of the readings, under each kind of ground: shape (kinds, readings, readings)."""
    noise = np.diag(model.errors**2)
    if not model.apart.size:
        return noise[None]
    swell, reach, uneven = (kinds[:, n, None, None] for n in range(3))
    far = model.apart[None] / reach
    of_ground = swell**2 * (1.0 + far + far**2 / 3.0) * np.exp(-far)
    of_ground += uneven**2 * np.eye(len(model.apart)) + np.diag(model.loose)
    on = np.flatnonzero(model.ground >= 0)
    whole = np.repeat(noise[None], len(kinds), axis=0)
    at = model.ground[on]
    whole[:, on[:, None], on[None, :]] += of_ground[:, at[:, None], at[None, :]]
    return whole


def _kinds(model: _Model) -> Array:
    """Kinds of ground worth a trial: all, or for a larger book those that a part of its readings speaks for."""
    kinds = np.array([(a, b, c) for a in SWELLS for b in REACHES for c in UNEVEN])
    if not model.apart.size:
        return kinds[:1]
    if len(model.values) <= THINNED:
        return kinds
    every = math.ceil(len(model.apart) / THINNED)
    part = (model.ground < 0) | (model.ground % every == 0)
    few = _part(model, np.flatnonzero(part))
    belief = _belief(few, kinds, (), plain=True)
    likely = belief.weight + (belief.pull**2 / belief.hold).max(axis=1) / 2.0  # whichever reading is wrong
    return kinds[np.sort(np.argsort(-likely)[:KEPT])]


def _belief(model: _Model, kinds: Array, taken: Sequence[int], *, plain: bool = False) -> _Belief:
    """Generalised least squares under each kind of ground; the readings taken out have an error of their own."""
    own = np.zeros((len(model.values), len(taken)))
    own[list(taken), range(len(taken))] = 1.0
    design = np.hstack([model.design, own])
    stack = max(AT_ONCE // len(model.values) ** 2, 1)
    parts = [_part_belief(model, kinds[n : n + stack], design, plain) for n in range(0, len(kinds), stack)]
    weight, pull, hold = (np.concatenate([part[n] for part in parts]) for n in range(3))
    return _Belief(weight=weight - _total(weight, 0), pull=pull, hold=hold)


def _part_belief(model: _Model, kinds: Array, design: Array, plain: bool) -> tuple[Array, Array, Array]:
    whole = _covariance(model, kinds)
    inverse = np.linalg.inv(whole)
    weighed = inverse @ design
    normal = design.T @ weighed
    left = inverse - weighed @ np.linalg.solve(normal, weighed.transpose(0, 2, 1))
    pull = left @ model.values
    hold = np.einsum("gii->gi", left)
    weight = -0.5 * (np.linalg.slogdet(whole)[1] + np.linalg.slogdet(normal)[1] + pull @ model.values)
    if plain or not model.steps.size:
        return weight, pull, hold
    swung = left @ model.steps  # one terrace more is an update of rank one
    shown = pull @ model.steps
    held = np.einsum("ns,gns->gs", model.steps, swung) + 1.0 / STEP**2
    more = weight[:, None] - 0.5 * np.log(STEP**2 * held) + shown**2 / (2.0 * held)
    more += math.log(STEPPED / model.steps.shape[1])
    pulls, holds, weights = [pull], [hold], [weight + math.log(1.0 - STEPPED)]
    for n in np.argsort(-more.max(axis=0))[:STEPS]:
        pulls.append(pull - swung[:, :, n] * (shown[:, n] / held[:, n])[:, None])
        holds.append(hold - swung[:, :, n] ** 2 / held[:, n][:, None])
        weights.append(more[:, n])
    return np.concatenate(weights), np.concatenate(pulls), np.concatenate(holds)


def _total(logs: Array, axis: int) -> Array:
    """Logarithm of the sum."""
    most = logs.max(axis=axis, keepdims=True)
    summed: Array = np.log(np.exp(logs - most).sum(axis=axis, keepdims=True)) + most
    return summed.squeeze(axis)


def _judge(
    model: _Model, belief: _Belief, taken: Sequence[int], heights: Mapping[int, float], units: Units
) -> tuple[Slip, int] | None:
    """The row with the greatest evidence against it, if that suffices."""
    shown = belief.hold.max(axis=0) * SHOWN**2 > 1.0
    options: list[tuple[int, Meant]] = []
    for n, one in enumerate(model.readings):
        if shown[n] and n not in taken and one.row >= 0:
            options += [(n, meant) for meant in meanings(one, heights, units)]
    options = [(n, meant) for n, meant in options if meant.value is None or abs(meant.off) > LEAST]
    if not options:
        return None
    of = np.array([n for n, _ in options])
    off, spread, share = (np.array([getattr(meant, key) for _, meant in options]) for key in ("off", "spread", "share"))
    pull, hold = belief.pull[:, of], belief.hold[:, of]
    held = hold + 1.0 / spread**2
    factor = -0.5 * np.log(spread**2 * held) + (pull + off / spread**2) ** 2 / (2.0 * held) - off**2 / (2.0 * spread**2)
    evidence = _total(belief.weight[:, None] + factor, 0) + np.log(share)
    rows = sorted({one.row for one in model.readings if one.row >= 0})
    against = dict.fromkeys(rows, -math.inf)
    for (n, _), one in zip(options, evidence, strict=True):
        row = model.readings[n].row
        against[row] = float(np.logaddexp(against[row], one))
    against = {row: against[row] - less for row, less in _features(model, belief, taken, rows).items()}
    first = max(rows, key=lambda row: against[row])
    if against[first] < math.log(ODDS * len(set(of))):
        return None
    within = [k for k, (n, _) in enumerate(options) if model.readings[n].row == first]
    best = max(within, key=lambda k: evidence[k] + (NAMED if options[k][1].value is not None else 0.0))
    number, meant = options[best]
    kind = int(np.argmax(belief.weight + factor[:, best]))
    size = float(belief.pull[kind, number] / belief.hold[kind, number])
    if abs(size) < LEAST:
        return None
    strength = abs(size) * math.sqrt(float(belief.hold[kind, number]))
    rivals = [row for row in rows if row != first and against[row] > against[first] - ALIKE]
    rivals.sort(key=lambda row: -against[row])
    return _slip(model, number, meant, size, strength, rivals, units), number


def _features(model: _Model, belief: _Belief, taken: Sequence[int], rows: Sequence[int]) -> dict[int, float]:
    """How much less a row's evidence is worth in a yard where more shots stand out than one. [natural log]"""
    judged = [n for n in np.flatnonzero(model.ground >= 0) if model.readings[n].row >= 0]
    shots = np.array([n for n in judged if n not in taken], dtype=np.intp)
    less = dict.fromkeys(rows, 0.0)
    if not shots.size:
        return less
    pull, hold = belief.pull[:, shots], belief.hold[:, shots]
    held = hold + 1.0 / STANDS_OUT**2
    lone = _total(belief.weight[:, None] - 0.5 * np.log(STANDS_OUT**2 * held) + pull**2 / (2.0 * held), 0)
    share, chance = (np.array(FEATURED)[:, n, None] for n in range(2))
    each = np.log1p(share * np.expm1(np.minimum(lone, 500.0)))  # by kind of yard and shot
    whole = each.sum(axis=1, keepdims=True) + np.log(chance)
    for n, worth in zip(shots, _total(whole, 0) - _total(whole - each, 0), strict=True):
        less[model.readings[n].row] = max(float(worth), 0.0)
    return less


def _slip(
    model: _Model, number: int, meant: Meant, size: float, strength: float, rivals: Sequence[int], units: Units
) -> Slip:
    one = model.readings[number]
    shot = model.ground[number] >= 0
    kind = "off its neighbours" if shot and meant.value is None else meant.kind
    against = "the ground round it" if shot else "the rest of the book"
    message = (
        f"Row {one.row + 1} of the level book, {one.point}: the {one.column} {say(one.value, units)} is about "
        f"{say(abs(size), units)} too {'great' if size > 0.0 else 'small'} against {against}"
    )
    perhaps = told(meant, one, units)
    if perhaps:
        message += f" (perhaps {perhaps}, {meant.kind})"
    if meant.kind == "wrong set-up":
        message += ": look whether its row stands on the right side of the turning point"
    else:
        message += ": read the rod there again" + (
            " and look at its place in plan, or note what dips or stands there" if shot else ""
        )
    if rivals:
        message += f"; {_rows(rivals)} would explain as much"
    return Slip(
        where=one.where, kind=kind, size=size, meant=perhaps, strength=strength, message=f"{message}.",
        rivals=tuple(f"survey.level_book[{row}]" for row in rivals),
    )  # fmt: skip


def _rows(numbers: Sequence[int]) -> str:
    """Rows as a person counts them, the first few."""
    told = [str(row + 1) for row in numbers[:4]]
    if len(numbers) > 4:
        told.append("others")
    return f"row {told[0]}" if len(told) == 1 else f"rows {', '.join(told[:-1])} and {told[-1]}"


__all__ = ["find_level_slips"]
