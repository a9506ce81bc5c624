"""What each sign, place, time, test and fact says of the causes of moisture: the tables that the ranking reads.

A grade is a power of two: +2 makes a cause four times as likely as before beside the others, -1 half as likely, 0 says
nothing of it. Where a row names a published source, that source says which way the strongest grades of the row point;
how strong they are, and everything else, is common practice without a source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from drainwright.errors import InputError
from drainwright.job.moisture import TESTS, Sign, Spot, Symptom, Test, When
from drainwright.water.moisture_model import Moisture

CAUSES = tuple(Moisture)  # the columns of all tables, in this order
PRACTICE = "common_practice"


@dataclass(frozen=True, slots=True)
class Clue:
    """One row: what it says of each cause, and by whose word."""

    kind: str  # rows of one kind lean on each other
    grades: tuple[int, ...]  # as CAUSES [powers of two]
    source: str = PRACTICE


# Of a hundred wet houses, those in which each cause would be named first, before anything is known. Roof and ground
# surface lead, after two extension services that cure most wet basements there. Common practice, no source, in their
# sizes.
PRIOR: Mapping[Moisture, float] = MappingProxyType(
    {
        Moisture.GROUND_WATER: 0.18,
        Moisture.CAPILLARY_RISE: 0.08,
        Moisture.ROOF_WATER: 0.22,
        Moisture.SURFACE_WATER: 0.20,
        Moisture.WALL_RAIN: 0.06,
        Moisture.SUPPLY_LEAK: 0.05,
        Moisture.DRAIN_LEAK: 0.06,
        Moisture.CONDENSATION: 0.10,
        Moisture.IRRIGATION: 0.03,
        Moisture.OPEN_WATER: 0.02,
    }
)

# What shows that water stands in the ground shows it of open water that holds it there as much; whether there is any,
# when the water comes and the tide tell the two apart. A puddle tells of the same thing as the shape of the ground, so
# it is of that kind. It shows what may come in, not what does, and heavy ground that holds it holds ground water too:
# it says nothing against that. A hose tells the two apart.
# fmt: off
#                                              ground cap. roof surf. wall supp. drain cond. irr. open
SIGNS: Mapping[Sign, Clue] = MappingProxyType({
    "water on floor":         Clue("free water", (+1, -3, +1, +1,  0,  0, +1, -2,  0, +1)),
    "crack leaks":            Clue("free water", (+1, -3, +1, +1, +1, -1, -1, -4,  0,  0)),
    "joint leaks":            Clue("free water", (+3, -2,  0, +1, -1, -1, -1, -4,  0, +3)),
    "water in pit":           Clue("pit",        (+3,  0, -1,  0, -2, -1, -1, -3,  0, +3)),
    "sump runs":              Clue("pit",        (+3, -1,  0,  0, -3,  0,  0, -4,  0, +3)),
    "damp floor":             Clue("floor",      ( 0, +1, -1,  0, -1,  0,  0, +1,  0,  0)),
    "floor finish lifts":     Clue("floor",      ( 0, +1,  0,  0, -1, +1,  0,  0,  0,  0), "cupped_floors"),
    "timber cups":            Clue("floor",      ( 0, +1,  0,  0, -1,  0, +1, +1,  0,  0), "cupped_floors"),
    "damp band on wall":      Clue("wall",       ( 0, +3, -1,  0, -1, -1, -1, -1,  0,  0), "rising_damp"),
    "damp patch on wall":     Clue("wall",       (-1, -1,  0,  0, +2,  0, +1, +1,  0, -1)),
    "salts on wall":          Clue("wall",       (+1, +2,  0, +1, +1, -1, -1, -4,  0,  0), "rising_damp"),
    "water runs down wall":   Clue("wall",       ( 0, -4, +1, +1, +2,  0,  0, +1, -1, -1)),
    "drops on cold surfaces": Clue("air",        (-2, -2, -2, -2, -1, -1, -1, +5, -2, -2), "basement_questions"),
    "mould or musty smell":   Clue("air",        ( 0, +1,  0,  0,  0,  0,  0, +2,  0,  0)),
    "warm spot on floor":     Clue("pipes",      (-3, -3, -3, -3, -3, +6, -1, -3, -3, -3), "meter_test"),
    "high water bill":        Clue("pipes",      (-2, -2, -2, -2, -2, +5,  0, -2, +1, -2), "meter_test"),
    "drain backs up":         Clue("pipes",      (-1, -2,  0,  0, -2, -1, +5, -2, -1, -1)),
    "puddle against house":   Clue("grade",      ( 0, -1, +1, +3, -1,  0,  0, -2, +1,  0), "roof_and_grade"),
    "puddle in yard":         Clue("grade",      ( 0, -1,  0, +2, -1,  0,  0, -1, +1,  0)),
    "gutter overflows":       Clue("outside",    (-1, -1, +4, +1,  0, -1, -1, -1, -1, -1), "roof_and_grade"),
})

#                                              ground cap. roof surf. wall supp. drain cond. irr. open
SPOTS: Mapping[Spot, Clue] = MappingProxyType({
    "wall base":              Clue("spot",       ( 0, +1,  0,  0, -1,  0,  0,  0,  0,  0)),
    "wall middle":            Clue("spot",       (-1, -1,  0,  0, +1,  0,  0,  0,  0, -1)),
    "wall top":               Clue("spot",       (-3, -4, +1,  0, +3,  0, +1, +1, -1, -3)),
    "floor edge":             Clue("spot",       (+2,  0, +1, +1,  0, -1,  0, -1,  0, +2)),
    "floor middle":           Clue("spot",       (+1, +1, -2, -2, -3, +2, +1,  0, -2, +1)),
    "whole floor":            Clue("spot",       (+1, +1, -1, -1, -2,  0,  0, +2, -1, +1)),
    "one corner":             Clue("spot",       (-2, -1, +3, +1,  0,  0,  0,  0,  0, -1)),
    "below window":           Clue("spot",       (-3, -3,  0, +1, +4, -1, -1, +1,  0, -3)),
    "at pipe or fixture":     Clue("spot",       (-3, -2, -2, -2, -2, +3, +3, +1, -2, -3)),
    "crawl space":            Clue("spot",       ( 0,  0,  0,  0, -1,  0,  0, +1,  0,  0)),
})

#                                              ground cap. roof surf. wall supp. drain cond. irr. open
TIMES: Mapping[When, Clue] = MappingProxyType({
    "during rain":            Clue("time",       (-2, -3, +2, +2, +3, -2,  0, -2, -2, -1)),
    "after rain":             Clue("time",       ( 0, -2, +2, +2, +1, -2, -1, -2, -2, -1)),
    "days after rain":        Clue("time",       (+3,  0, -1, -1, -2, -2, -2, -2, -2,  0)),
    "always":                 Clue("time",       (-1, +2, -4, -4, -4, +3,  0,  0, -1, +1)),
    "wet season":             Clue("time",       (+3, +1,  0,  0,  0, -2, -2, -1, -2,  0)),
    "snow melt":              Clue("time",       (+2,  0, +1, +2, -1, -2, -2, -2, -3,  0)),
    "watering":               Clue("time",       (-2, -2, -3, -1, -2, -1, -2, -3, +6, -3), "cupped_floors"),
    "water in use":           Clue("time",       (-4, -4, -4, -4, -4, -1, +6, -2,  0, -4)),
    "humid weather":          Clue("time",       (-3, -1, -3, -3, -3, -2, -1, +5, -2, -3), "basement_questions"),
    "high tide":              Clue("time",       (-1, -2, -4, -4, -4, -3, -2, -4, -3, +6)),
})

# Two things together, where they say more or less than each by itself.
#                                              ground cap. roof surf. wall supp. drain cond. irr. open
TOGETHER: Mapping[tuple[str, str], Clue] = MappingProxyType({
    ("timber cups", "crawl space"):       Clue("pair", ( 0, +1,  0,  0,  0,  0,  0, +1,  0,  0), "cupped_floors"),
    ("mould or musty smell", "crawl space"): Clue("pair", (0, 0, 0,  0,  0,  0,  0, +1,  0,  0)),
    ("damp floor", "humid weather"):      Clue("pair", ( 0,  0,  0,  0,  0,  0,  0, +1,  0,  0), "basement_questions"),
    ("water on floor", "humid weather"):  Clue("pair", ( 0,  0,  0,  0,  0,  0,  0, +2,  0,  0), "basement_questions"),
    ("water on floor", "at pipe or fixture"): Clue("pair", (0, 0, 0, 0,  0, +1, +1,  0,  0,  0)),
    ("damp band on wall", "always"):      Clue("pair", ( 0, +1,  0,  0,  0,  0,  0,  0,  0,  0), "rising_damp"),
    ("joint leaks", "one corner"):        Clue("pair", ( 0,  0, +1,  0,  0,  0,  0,  0,  0,  0)),
    ("water in pit", "always"):           Clue("pair", (+2,  0,  0,  0,  0,  0,  0,  0,  0, +2)),
    ("wall top", "during rain"):          Clue("pair", ( 0,  0,  0,  0, +1,  0,  0,  0,  0,  0)),
})

# The height of damp on a wall, for signs of the kind "wall"; the limit is 1.5 m (5 ft). It tells of the same thing as
# the place on the wall, so it is of that kind.
CAPILLARY_LIMIT = 1.5  # [m]
#                                              ground cap. roof surf. wall supp. drain cond. irr. open
LOW_DAMP =                    Clue("spot",       ( 0, +1,  0,  0, -1,  0,  0,  0,  0,  0), "rising_damp")
HIGH_DAMP =                   Clue("spot",       (-2, -5, +1,  0, +3,  0, +1, +1,  0, -2), "rising_damp")

#                                              ground cap. roof surf. wall supp. drain cond. irr. open
FACTS: Mapping[str, Clue] = MappingProxyType({
    "basement":               Clue("floor kind", (+1,  0,  0,  0,  0,  0,  0,  0,  0,  0)),
    "slab":                   Clue("floor kind", (-1, +1,  0,  0,  0, +1,  0,  0,  0,  0)),
    "crawl space":            Clue("floor kind", ( 0,  0,  0,  0, -2,  0,  0, +1,  0,  0)),
    "coarse soil":            Clue("soil",       ( 0, -1,  0,  0,  0,  0,  0,  0,  0,  0), "rawls_1982"),
    "falls to wall":          Clue("grade",      ( 0,  0, +1, +2,  0,  0,  0,  0,  0,  0), "roof_and_grade"),
    "falls away":             Clue("grade",      ( 0,  0,  0, -2,  0,  0,  0,  0,  0,  0), "roof_and_grade"),
    "falls little":           Clue("grade",      ( 0,  0,  0, -1,  0,  0,  0,  0,  0,  0), "roof_and_grade"),
    "stands at wall":         Clue("grade",      ( 0,  0, +1, +2,  0,  0,  0,  0,  0,  0), "roof_and_grade"),
    "nothing stands":         Clue("grade",      ( 0,  0,  0, -1,  0,  0,  0,  0,  0,  0), "roof_and_grade"),
    "runs on":                Clue("grade",      ( 0,  0,  0, +1,  0,  0,  0,  0,  0,  0)),
    "soil above slab":        Clue("soil height", ( 0, +1, 0, +2,  0,  0,  0,  0, +1,  0), "soil_above_floor"),
    "soil above crawl space": Clue("soil height", (+1,  0, 0, +1,  0,  0,  0,  0,  0,  0), "soil_above_floor"),
    "downspouts at wall":     Clue("roof",       ( 0,  0, +2,  0,  0,  0,  0,  0,  0,  0), "roof_and_grade"),
    "no downspout at wall":   Clue("roof",       ( 0,  0, -1,  0,  0,  0,  0,  0,  0,  0), "roof_and_grade"),
    "no gutters":             Clue("roof",       ( 0,  0, +2, +1, +1,  0,  0,  0,  0,  0), "roof_and_grade"),
    "irrigation":             Clue("irrigation", ( 0,  0,  0,  0,  0,  0,  0,  0, +1,  0)),
    "no irrigation":          Clue("irrigation", ( 0,  0,  0,  0,  0,  0,  0,  0, -6,  0)),
    "table above floor":      Clue("table",      (+2,  0,  0,  0,  0,  0,  0,  0,  0, +2)),
    "table near floor":       Clue("table",      (+1, +1,  0,  0,  0,  0,  0,  0,  0, +1)),
    "table within the rise":  Clue("table",      (-1, +1,  0,  0,  0,  0,  0,  0,  0, -1), "rawls_1982"),
    "table below the rise":   Clue("table",      (-1,  0,  0,  0,  0,  0,  0,  0,  0, -1), "rawls_1982"),
    "table far below":        Clue("table",      (-4, -2,  0,  0,  0,  0,  0,  0,  0, -4), "rawls_1982"),
    "tidal water":            Clue("open water", ( 0,  0,  0,  0,  0,  0,  0,  0,  0, +2)),
    "still open water":       Clue("open water", ( 0,  0,  0,  0,  0,  0,  0,  0,  0, +2)),
    "no open water":          Clue("open water", ( 0,  0,  0,  0,  0,  0,  0,  0,  0, -5)),
    "tide without tidal water": Clue("open water", (0, 0,  0,  0,  0,  0,  0,  0,  0, -5)),
})

# How often each result would come up where that cause is the right one; results in the order of job.moisture.TESTS,
# the last one left out (it is the rest). Common practice, no source, in their sizes.
#                                              ground cap. roof surf. wall supp. drain cond. irr. open
RESULTS: Mapping[Test, tuple[tuple[float, ...], ...]] = MappingProxyType({
    "plastic on floor":       ((.75, .80, .30, .35, .10, .55, .40, .08, .35, .70),
                               (.05, .05, .05, .05, .05, .05, .05, .67, .05, .05)),
    "plastic on wall":        ((.60, .80, .45, .50, .60, .25, .25, .08, .40, .50),
                               (.05, .05, .05, .05, .05, .05, .05, .67, .05, .05)),
    "meter with taps shut":   ((.03, .03, .03, .03, .03, .92, .08, .03, .15, .03),),
    "irrigation off":         ((.08, .05, .08, .08, .05, .04, .05, .08, .85, .05),),
    "dehumidifier":           ((.08, .30, .10, .10, .10, .05, .08, .85, .08, .05),),
    "hose at downspout":      ((.12, .05, .85, .35, .10, .04, .05, .03, .25, .05),),
    "hose on ground at wall": ((.25, .10, .60, .85, .15, .04, .05, .03, .70, .10),),
    "hose on wall":           ((.04, .03, .10, .12, .85, .03, .04, .03, .25, .03),),
    "dye in house drain":     ((.02, .02, .02, .02, .02, .02, .75, .02, .02, .02),),
    "fixtures run":           ((.03, .03, .03, .03, .03, .15, .80, .05, .03, .03),),
    "test pit":               ((.85, .35, .35, .35, .15, .20, .20, .12, .30, .85),),
    "level against tide":     ((.05, .04, .03, .03, .03, .03, .03, .03, .03, .80),),
})
# fmt: on

# Tests of one kind lean on each other.
TEST_KINDS: Mapping[Test, str] = MappingProxyType(
    {
        "plastic on floor": "plastic",
        "plastic on wall": "plastic",
        "dye in house drain": "drains",
        "fixtures run": "drains",
    }
)
TEST_SOURCES: Mapping[Test, str] = MappingProxyType(
    {
        "plastic on floor": "sheet_test",
        "plastic on wall": "sheet_test",
        "meter with taps shut": "meter_test",
        "hose at downspout": "hose_test",
        "hose on ground at wall": "hose_test",
        "hose on wall": "hose_test",
    }
)


def telling(symptoms: Iterable[Symptom], cause: Moisture, beside: Moisture) -> tuple[str, ...]:
    """What was seen in the house that tells of one cause, and does not tell of another as well.

    Parameters
    ----------
    symptoms : iterable of Symptom
        As told.
    cause, beside : Moisture
        That it tells of; that beside which it tells of it.

    Returns
    -------
    tuple of str
        Signs and times, each once, that make the one at least four times as likely as before, and as they make the
        other.

    Examples
    --------
    >>> wet = Symptom(what="wet", sign="water on floor", when="days after rain")
    >>> telling([wet], Moisture.GROUND_WATER, Moisture.SURFACE_WATER)
    ('days after rain',)
    """
    one, other = CAUSES.index(cause), CAUSES.index(beside)
    found = dict[str, None]()
    for item in symptoms:
        rows: list[tuple[str, Clue]] = [(item.sign, SIGNS[item.sign])] if item.sign is not None else []
        rows += [(item.when, TIMES[item.when])] if item.when in TIMES else []
        found |= {
            name: None for name, row in rows if row.grades[one] >= 2 and row.grades[one] - row.grades[other] >= 2
        }  # fmt: skip
    return tuple(found)


def chances(test: Test, result: str) -> tuple[float, ...]:
    """How often a test comes out so where each cause is the right one.

    Parameters
    ----------
    test : str
        A kind of ``job.moisture.TESTS``.
    result : str
        One of its results.

    Returns
    -------
    tuple of float
        In the order of ``CAUSES``; over all results of a test they add up to 1. [-]

    Raises
    ------
    InputError
        If the test has no such result.

    Examples
    --------
    >>> chances("meter with taps shut", "still")[list(CAUSES).index(Moisture.SUPPLY_LEAK)]
    0.08
    """
    if result not in TESTS[test]:
        raise InputError(f"result = {result!r} of '{test}': expected one of: {', '.join(TESTS[test])}")
    rows = RESULTS[test]
    number = TESTS[test].index(result)
    if number < len(rows):
        return rows[number]
    return tuple(round(1.0 - sum(row[column] for row in rows), 12) for column in range(len(CAUSES)))


__all__ = [
    "CAPILLARY_LIMIT", "CAUSES", "FACTS", "HIGH_DAMP", "LOW_DAMP", "PRACTICE", "PRIOR", "RESULTS", "SIGNS", "SPOTS",
    "TEST_KINDS", "TEST_SOURCES", "TIMES", "TOGETHER", "Clue", "chances", "telling",
]  # fmt: skip
