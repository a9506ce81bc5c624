"""Checks of figures and choices that cannot hold together: grain sizes, soakaways, a least above a most."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Literal, NamedTuple

from drainwright.errors import Problem
from drainwright.job.model import Job
from drainwright.job.site import Grading
from drainwright.job.values import Fact
from drainwright.job.works import Stone
from drainwright.quantities import percent, write

NO_4, NO_200 = 4.75e-3, 0.075e-3  # openings of the sieves, ASTM E11 [m]
LIGHTEST = 50.0  # a payload that carries soil at all: common practice, no source [kg]
SOAKS = ("dry well", "infiltration trench")


class _Pair(NamedTuple):
    """Two limits in one part of the job, of which the first must not be above the second."""

    less: str
    more: str
    kind: Literal["grade", "speed"]


_PAIRS = (
    _Pair("least_grade", "minimum_grade", "grade"),
    _Pair("minimum_grade", "maximum_grade", "grade"),
    _Pair("minimum_velocity", "maximum_velocity", "speed"),
)


def check_at_odds(job: Job) -> Iterator[Problem]:
    """Everything of the works that contradicts itself."""
    yield from _sizes(job.works.stone, "works.stone")
    if job.ground.grading is not None:
        yield from _sizes(job.ground.grading, "ground.grading")
        yield from _fines(job.ground.grading)
    yield from _limits(job)
    yield from _soaks(job)
    yield from _payload(job)


def _sizes(grains: Stone | Grading, path: str) -> Iterator[Problem]:
    """Of grains, more is finer than a coarser size."""
    given = [(name, fact) for name in ("d15", "d50", "d85") if (fact := getattr(grains, name)) is not None]
    for (finer, low), (coarser, high) in pairwise(given):
        if high.value < low.value:
            yield Problem(
                where=f"{path}.{coarser}",
                found=f"{_millimetres(high)}, below '{finer}' of {_millimetres(low)}",
                expected="sizes that rise: d15, d50, d85", hint="are they exchanged?",
            )  # fmt: skip


def _millimetres(size: Fact[float]) -> str:
    return f"{size.value * 1000.0:.4g} mm"


def _fines(grading: Grading) -> Iterator[Problem]:
    """The share finer than the No. 200 sieve, where the sizes say that it must be more or less."""
    if grading.d85.value > NO_4:
        return  # the fines are a share of what passes the No. 4 sieve, the sizes are of the whole
    fines = grading.fines.value
    for name, share in (("d15", 0.15), ("d50", 0.50), ("d85", 0.85)):
        size = getattr(grading, name)
        # What passes the No. 4 sieve is 85 % of the whole or more.
        if size is not None and size.value > NO_200 and fines > share / 0.85 + 1e-9:
            side, expected = "above", f"less than {percent(share / 0.85)}"
        elif size is not None and size.value < NO_200 and fines < share - 1e-9:
            side, expected = "below", f"{percent(share)} or more"
        else:
            continue
        yield Problem(
            where="ground.grading.fines", found=f"{percent(fines)} finer than 0.075 mm, and '{name}' {side} it",
            expected=expected, hint="check both against the laboratory's curve",
        )  # fmt: skip
        return


def _limits(job: Job) -> Iterator[Problem]:
    """A least above a most."""
    criteria = job.criteria
    for less, more, kind in _PAIRS:
        low, high = getattr(criteria, less), getattr(criteria, more)
        if high is not None and low > high * (1.0 + 1e-9):
            named = next((name for name in (more, less) if name in criteria.model_fields_set), more)
            above = named == less
            yield Problem(
                where=f"criteria.{named}",
                found=f"{write(low if above else high, kind, job.units)},"
                f" {'above' if above else 'below'} '{more if above else less}' of"
                f" {write(high if above else low, kind, job.units)}",
                expected=f"'{less}' not above '{more}'",
            )  # fmt: skip


def _soaks(job: Job) -> Iterator[Problem]:
    """A soakaway at an outlet that is none; overflows that lead nowhere, or back."""
    points = {point.name: point for point in job.works.discharge}
    for index, point in enumerate(job.works.discharge):
        path = f"works.discharge[{index}].soak"
        if point.soak is None:
            continue
        if point.kind not in SOAKS:
            yield Problem(
                where=path, found=f"a soakaway at {point.name}, whose kind is {point.kind!r}",
                expected=f"'soak' only where the kind is one of: {', '.join(SOAKS)}",
            )  # fmt: skip
            continue
        passed, name = [point.name], point.soak.overflow
        while name is not None and name in points and name not in passed:
            passed.append(name)
            soak = points[name].soak if points[name].kind in SOAKS else None
            name = None if soak is None else soak.overflow
        if name == point.name and point.name == next(one for one in points if one in passed):  # told once
            way = " > ".join((*passed, name))
            yield Problem(
                where=f"{path}.overflow", found=f"an overflow that comes back: {way}",
                expected="a discharge point from which the water goes on",
            )  # fmt: skip


def _payload(job: Job) -> Iterator[Problem]:
    """A trailer that may carry no soil to speak of."""
    payload = job.equipment.trailer_payload
    if payload < LIGHTEST:
        yield Problem(
            where="equipment.trailer_payload",
            found=f"a trailer that may carry {_mass(payload, job)}",
            expected=f"a payload of {_mass(LIGHTEST, job)} or more, for less carries no soil",
        )


def _mass(mass: float, job: Job) -> str:
    return write(mass, "mass", job.units, "lb" if job.units == "US" else "kg")


__all__ = ["check_at_odds"]
