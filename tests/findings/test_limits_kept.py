"""A check that came out well has its figure within its limit, wherever both are numbers: in every example."""

from __future__ import annotations

import re

import pytest

from drainwright.findings.model import Severity

from ..conftest import designed

JOBS = (
    "block-wall-house/job", "sloping-lot/job", "soak-lot/job", "two-basins/job", "metric-basement/job",
    "long-house/job", "wrong-choices/job", "wrong-choices/mended",
)  # fmt: skip
#: Limits that are told without a word of which way: the figure is at least, or at most, that.
LEAST = {"LFT-01", "LFT-15", "LFT-17", "LFT-30", "LFT-31", "LFT-37", "OUT-14", "DIG-07", "DIG-12", "DIG-20"}
MOST = {
    "BED-08", "LFT-03", "LFT-34", "OFF-01", "OFF-02", "OUT-06", "OUT-21", "STM-02", "STM-03", "STM-04",
    "DAY-03", "DIG-06", "COM-01", "NET-03", "NET-25", "OUT-16",
}  # fmt: skip
#: Figures and limits of which the first numbers are not of one thing.
OTHERWISE = {
    "NET-31", "SUR-02", "SUR-03", "FTG-04", "FTG-10", "GRD-03", "GRD-04", "LFT-32", "OUT-22", "DAY-05", "GWT-05",
    "OFF-05", "BED-12", "NET-11", "OUT-12", "FTG-05", "LFT-42", "LFT-23", "FTG-09",
}  # fmt: skip
SCALE = {
    "ft": ("in", 12.0), "in": ("in", 1.0), "mm": ("mm", 1.0), "m": ("mm", 1000.0), "cm": ("mm", 10.0),
    "h": ("s", 3600.0), "min": ("s", 60.0), "s": ("s", 1.0),
}  # fmt: skip
NUMBER = r"(?:\d[\d,]*(?:\.\d+)?(?:[ -]\d+/\d+)?|\d+/\d+)"
UNIT = r"(?:ft/s|m/s|ft²|m²|gpm|L/s|L/min|m³/h|psi|kPa|bar|ft|in|mm|cm|m|%|h|min|s|lb|kg|times|degrees|gal|L)"
QUANTITY = re.compile(rf"(?<![\w.])([$]?)({NUMBER})(?:\s?({UNIT})(?![\w/²³]))?(?: ({NUMBER}) in(?![\w/]))?")
MOST_WORDS = r"or less|or lower|at most|below|less than|within|no more|or finer|less$"
LEAST_WORDS = r"or more|or higher|or wider|at least|above|more than|or later"


def number(text: str) -> float:
    whole, _, part = text.replace(",", "").replace("-", " ").rpartition(" ")
    if "/" in part:
        top, foot = part.split("/")
        return float(whole or 0) + float(top) / float(foot)
    return float(part)


def quantities(text: str) -> list[tuple[float, str]]:
    """Each number with its unit, lengths and times in one unit of their kind."""
    found = []
    for money, first, unit, inches in QUANTITY.findall(text):
        kind, times = SCALE.get(unit, (money or unit, 1.0))
        found.append((number(first) * times + (number(inches) if unit == "ft" and inches else 0.0), kind))
    return found


def beyond(id: str, figure: str, limit: str) -> bool | None:
    """Whether a figure is beyond its limit by more than both are rounded; None where they are not comparable."""
    have, want = quantities(figure), quantities(limit)
    if id in OTHERWISE or not have or not want or have[0][1] != want[0][1]:
        return None
    (value, _), (bound, _) = have[0], want[0]
    slack = 1e-6 + 0.002 * abs(bound)
    span = re.search(rf"(?:between )?{NUMBER}\s?{UNIT}? (?:to|and) {NUMBER}", limit)
    if span and len(want) > 1 and want[1][1] in ("", want[0][1]) and re.search(r"\bto\b|between", limit):
        return not bound - slack <= value <= want[1][0] + slack
    least = id in LEAST or bool(re.search(LEAST_WORDS, limit))
    most = id in MOST or bool(re.search(MOST_WORDS, limit))
    if least == most:
        return None
    return value < bound - slack if least else value > bound + slack


@pytest.mark.parametrize("job", JOBS)
def test_what_is_ok_is_within_its_limit(job: str) -> None:
    told = [
        (one.id, one.where, one.figure, one.limit, beyond(one.id, one.figure, one.limit))
        for one in designed(job).findings if one.severity is Severity.OK
    ]  # fmt: skip
    assert [one[:4] for one in told if one[4]] == []
    assert len({one[0] for one in told if one[4] is False}) >= 20  # kinds of checks of which the numbers were held


@pytest.mark.parametrize(
    ("id", "figure", "limit", "wrong"),
    [
        ("NET-13", "1.97 ft/s", "2.00 ft/s or more", True), ("NET-13", "2.47 ft/s", "2.00 ft/s or more", False),
        ("LFT-06", "8.40 ft/s", "2.00 ft/s to 8.00 ft/s", True), ("LFT-01", "60.1 gpm", "66.3 gpm (1.2 x)", True),
        ("STM-01", "1 ft 2 1/2 in", "below 14 in, the floor", True), ("STM-01", "99.69 ft", "below 99.70 ft", False),
        ("OFF-01", "$7,373.48 on signing", "$6,000.00: 30 % of the total", True), ("X", "3 in", "4 ft/s or less", None),
        ("OUT-03", "20 ft", "10 ft or more inside it", False), ("NET-01", "0.9 %", "1.04 % or more", True),
    ],
)  # fmt: skip
def test_a_figure_beyond_its_limit_is_seen(id: str, figure: str, limit: str, wrong: bool | None) -> None:
    assert beyond(id, figure, limit) is wrong
