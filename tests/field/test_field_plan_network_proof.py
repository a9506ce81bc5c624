"""A hundred invented surveys, each with one slip: the slip is named. A hundred sound ones: nothing is.

The surveys come from ``plan_yards``, which knows nothing of the code under test; its seeds for building the search
(1000 and 3000 on) are not those used here. A slip is planted only in a leg, turn, tie or tape that the rest of the
survey checks, and only where it is at least six standard errors of what the rest says of it: a smaller one is lost
among honest errors whatever the method. Points with two ties only have no check; they are counted apart, and
reported as unchecked (``test_field_plan_network.py`` compares that list with the generator's own).
"""

from __future__ import annotations

from collections import Counter

from plan_yards import Yard, slipped, yard

from drainwright.errors import JobError
from drainwright.field.model import Slip
from drainwright.field.plan_adjust import unchecked
from drainwright.field.plan_slips import SlipError
from drainwright.field.points import fix_points
from drainwright.job.survey import Survey
from drainwright.job.values import Place

FIRST = 70_000  # seeds of the test


def looked_at(one: Yard) -> tuple[tuple[Slip, ...], int]:
    """Slips named, in the site or in the error; points that nothing checks."""
    survey = Survey.model_validate(one.document())
    try:
        fixed = fix_points(survey, tuple(Place(name=name) for name in one.corners), {}, one.units)  # type: ignore[arg-type]
    except SlipError as error:
        return error.slips, 0
    except JobError:
        return (), 0
    assert fixed.network is not None
    return fixed.slips, len(unchecked(fixed.network))


def test_planted_slips_are_found() -> None:
    first, among, missed = 0, 0, Counter[str]()
    for seed in range(FIRST, FIRST + 100):
        one = slipped(seed)
        slips, _ = looked_at(one)
        assert one.planted is not None
        path = one.planted.path
        named = bool(slips) and slips[0].where == path
        found = named or any(path == slip.where or path in slip.rivals for slip in slips)
        first, among = first + named, among + found
        missed.update([] if found else [f"{seed} {one.how} {path}"])
    # on the day of writing: named first 95, first or among its rivals 98, no more than one false alarm
    print(f"named first {first}, first or among its stated rivals {among}, of 100; missed {dict(missed)}")
    assert among >= 95, missed
    assert first >= 85


def test_sound_surveys_raise_no_alarm() -> None:
    alarms, bare = [], 0
    for seed in range(FIRST, FIRST + 100):
        slips, count = looked_at(yard(seed))
        bare += count
        alarms += [(seed, slip.where, slip.strength) for slip in slips[:1]]
    print(f"false alarms {len(alarms)} of 100; points reported as unchecked {bare}")
    assert len(alarms) < 5, alarms
    assert bare > 100
