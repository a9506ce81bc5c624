"""The cheap test that would tell most: expected gain of information over the causes of moisture."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from drainwright.job.moisture import TESTS, Test
from drainwright.water.moisture_evidence import CAUSES, TEST_KINDS, chances
from drainwright.water.moisture_model import HouseFacts, Moisture, NextTest
from drainwright.water.moisture_words import CURED_BY_DRAINAGE, HOW, IN_GROUND, OVER_GROUND

CLEAR = 2.0  # times as likely as the next: then a cause leads clearly; common practice, no source [-]
ROUNDING = 1e-9  # of shares that are even, since grades are whole powers of two [-]
AT_FLOOR = 0.02  # ground water so little below the floor's underside reaches it; common practice, no source [m]
# Results that show water coming in from the ground outside, whatever height of the ground water was found.
SHOW_WATER: frozenset[tuple[Test, str]] = frozenset(
    {("test pit", "water found"), ("hose on ground at wall", "wet inside"), ("hose at downspout", "wet inside")}
)
LEAST_GAIN = 0.02  # a test that is expected to tell less is not worth its while; common practice, no source [bits]
# What a test is worth beside its information: a hose needs two people and an hour, a pit a locate ticket and half a
# day. Common practice, no source. [-]
EASE: dict[Test, float] = {"test pit": 0.6, "irrigation off": 0.8, "hose on wall": 0.8, "dye in house drain": 0.9}


def entropy(shares: Iterable[float]) -> float:
    """Uncertainty of a set of shares that add up to 1. [bits]

    Examples
    --------
    >>> entropy((0.5, 0.5))
    1.0
    """
    return -sum(share * math.log2(share) for share in shares if share > 0.0)


def expected_gain(shares: Sequence[float], results: Sequence[Sequence[float]]) -> float:
    """Expected fall of the uncertainty by a test, the mutual information of cause and result.

    Parameters
    ----------
    shares : sequence of float
        Of the causes, together 1. [-]
    results : sequence of sequence of float
        For each result, how often it comes up under each cause; for each cause together 1. [-]

    Returns
    -------
    float
        Zero or more. [bits]

    Examples
    --------
    >>> expected_gain((0.5, 0.5), ((1.0, 0.0), (0.0, 1.0)))
    1.0
    """
    after = 0.0
    for often in results:
        both = [share * chance for share, chance in zip(shares, often, strict=True)]
        total = sum(both)
        if total > 0.0:
            after += total * entropy(part / total for part in both)
    return max(0.0, entropy(shares) - after)


def is_close(share: float, most: float) -> bool:
    """Whether a share is more than half of the largest; half of it to within rounding is not.

    Examples
    --------
    >>> is_close(0.3, 0.5), is_close(0.25 * (1.0 + 1e-15), 0.5)
    (True, False)
    """
    return share * CLEAR > most * (1.0 + ROUNDING)


def drainage_cures(shares: Mapping[Moisture, float]) -> bool | None:
    """Whether drainage cures what leads; None where causes more than half as likely as the first disagree.

    Parameters
    ----------
    shares : mapping
        Of the causes, in any scale. [-]

    Examples
    --------
    >>> drainage_cures({Moisture.GROUND_WATER: 0.6, Moisture.CONDENSATION: 0.4}) is None
    True
    """
    most = max(shares.values())
    cured = {cause in CURED_BY_DRAINAGE for cause, share in shares.items() if is_close(share, most)}
    return cured.pop() if len(cured) == 1 else None


def does_not_reach(leads: Moisture, facts: HouseFacts) -> bool:
    """Whether ground water leads, and yet the high ground water that was found stands below the floor."""
    below = facts.table_below_floor
    return leads is Moisture.GROUND_WATER and below is not None and below > AT_FLOOR


def remedy_here(shares: Mapping[Moisture, float], facts: HouseFacts, shown: bool) -> bool | None:
    """Whether drainage is the remedy at this house; None: cannot be told yet.

    Parameters
    ----------
    shares : mapping
        Of the causes, in any scale. [-]
    facts : HouseFacts
        What the site says.
    shown : bool
        Whether a test, a sump or a pit showed water: then ground water leads with more than what was inferred.

    Examples
    --------
    >>> house = HouseFacts(floor_kind="basement", texture="loam", table_below_floor=0.3)
    >>> remedy_here({Moisture.GROUND_WATER: 1.0}, house, False) is None
    True
    """
    remedy = drainage_cures(shares)
    leads = max(shares, key=shares.__getitem__)
    return None if remedy and not shown and does_not_reach(leads, facts) else remedy


def _possible(test: Test, facts: HouseFacts) -> bool:
    """Whether a test can be done at this house."""
    return not (
        (test == "level against tide" and not facts.tidal)
        or (test == "irrigation off" and facts.irrigation is False)
        or (test == "hose at downspout" and facts.gutters is False)
        or (test == "plastic on floor" and facts.floor_kind == "crawl space")
    )


def _ground_close(shares: Mapping[Moisture, float]) -> bool:
    """Whether rain over the ground leads while water in it, which wants a drain, is more than half as likely."""
    leads = max(shares, key=shares.__getitem__)
    return leads in OVER_GROUND and any(is_close(shares[cause], shares[leads]) for cause in IN_GROUND)


def next_tests(shares: Sequence[float], tested: set[Test], facts: HouseFacts, shown: bool = False) -> list[NextTest]:
    """Tests not done yet, those first that are expected to tell most of the leading two and of all causes.

    Parameters
    ----------
    shares : sequence of float
        Of the causes, in the order of ``CAUSES``. [-]
    tested : set of str
        Tests that were done; their like (plastic on floor and on wall) tell the same, and are left out too.
    facts : HouseFacts
        What cannot be done at this house is left out.
    shown : bool
        Whether a test, a sump or a pit showed water already.

    Returns
    -------
    list of NextTest
        Each with its expected gain over all causes; empty where none is worth its while.
    """
    leading = sorted(range(len(CAUSES)), key=lambda number: -shares[number])[:2]
    joint = sum(shares[number] for number in leading)
    pair = [shares[number] / joint for number in leading]
    kinds = {TEST_KINDS.get(test, test) for test in tested}
    before = _ground_close(dict(zip(CAUSES, shares, strict=True)))
    found: list[tuple[float, NextTest]] = []
    for test, names in TESTS.items():
        kind: Test = test  # type: ignore[assignment]
        if TEST_KINDS.get(kind, kind) in kinds or not _possible(kind, facts):
            continue
        results = [chances(kind, name) for name in names]
        gain = expected_gain(shares, results)
        parts = expected_gain(pair, [[often[number] for number in leading] for often in results])
        worth = EASE.get(kind, 1.0) * (gain + joint * parts)
        if gain < LEAST_GAIN:
            continue
        after = [
            {cause: share * chance for cause, share, chance in zip(CAUSES, shares, often, strict=True)}
            for often in results
        ]
        outcomes = tuple((name, max(then, key=then.__getitem__)) for name, then in zip(names, after, strict=True))
        remedies = tuple(
            remedy_here(then, facts, shown or (kind, name) in SHOW_WATER)
            for name, then in zip(names, after, strict=True)
        )
        close = tuple(not before and _ground_close(then) for then in after)
        one = NextTest(
            test=kind, how=HOW[kind], outcomes=outcomes, remedies=remedies, brought_close=close, gain=gain
        )  # fmt: skip
        found.append((worth, one))
    return [item for _, item in sorted(found, key=lambda entry: -entry[0])]


__all__ = [
    "AT_FLOOR", "CLEAR", "SHOW_WATER", "does_not_reach", "drainage_cures", "entropy", "expected_gain", "is_close",
    "next_tests", "remedy_here",
]  # fmt: skip
