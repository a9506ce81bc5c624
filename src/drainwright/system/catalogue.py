"""The pipe catalogue: standard dimensions, not nominal ones.

Inside diameters: Schedule 40 takes the *average* inside diameter of ASTM D1785 (1.1 % below the outside less two
minimum walls at 1-1/2 in: 5.6 % more friction); D2729 and D3034 take the outside less two minimum walls;
corrugated pipe takes its nominal size. Manning n of smooth PVC is 0.010, a little above the published 0.009, for
joints made in a trench. Holes are common hole saws that clear the outside diameter; a rubber seal wants its own.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, TypeAlias

from drainwright.errors import InputError
from drainwright.system.model import Pipe

Family: TypeAlias = Literal[
    "Schedule 40",
    "D2729",
    "D3034 SDR 35",
    "corrugated single wall",
    "corrugated smooth inside",
    "wrapped aggregate",
]

INCH = 0.0254  # exact [m]
FOOT = 0.3048  # exact [m]
SMOOTH_PVC = 0.010  # Manning n: published .009, and a margin for joints [s/m^(1/3)]
CORRUGATED = 0.016  # Manning n of single wall, from memory .015 to .016 [s/m^(1/3)]
SMOOTH_INSIDE = 0.012  # Manning n of corrugated pipe with a smooth liner, from memory [s/m^(1/3)]
PLASTIC_C = 140.0  # Hazen-Williams C of plastic, the low end of 140 to 150 [-]
DRILLED = 1.0 * INCH**2 / FOOT  # two rows of 1/2 in holes at 5 in: 0.9 to 1.5 in²/ft from memory [m²/m]
SLOTTED = 20e-4  # the least that AASHTO M 252 class 2 asks [m²/m]
HOLE = 0.5 * INCH  # drilled in D2729, from memory [m]
SLOT = 0.125 * INCH  # the widest slot that NRCS construction specification 444 allows in tubing [m]
PSI = 6894.757293168  # [Pa]

#: Pressure ratings of PVC 1120 at 23 °C, Schedule 40: ASTM D1785, Appendix X1 [psi].
RATINGS: Mapping[str, float] = MappingProxyType(
    {"1-1/4": 370.0, "1-1/2": 330.0, "2": 280.0, "3": 260.0, "4": 220.0, "6": 180.0}
)

#: Nominal sizes by their metric name, which many catalogues print beside the inch size.
METRIC_NAMES: Mapping[int, str] = MappingProxyType(
    {32: "1-1/4", 40: "1-1/2", 50: "2", 75: "3", 80: "3", 100: "4", 150: "6", 200: "8", 250: "10"}
)

# fmt: off
# family word, nominal, outside [in], inside [in], hole [in], perforated
_ROWS: tuple[tuple[str, str, float, float, float, bool], ...] = (
    ("sch40", "1-1/4", 1.660, 1.364, 1.750, False),
    ("sch40", "1-1/2", 1.900, 1.592, 2.000, False),
    ("sch40", "2", 2.375, 2.049, 2.500, False),
    ("sch40", "3", 3.500, 3.042, 3.625, False),
    ("sch40", "4", 4.500, 3.998, 4.625, False),
    ("sch40", "6", 6.625, 6.031, 6.750, False),
    ("d2729", "3", 3.250, 3.110, 3.375, False),
    ("d2729", "4", 4.215, 4.065, 4.375, False),
    ("d2729", "6", 6.275, 6.075, 6.500, False),
    ("d2729", "3", 3.250, 3.110, 3.375, True),
    ("d2729", "4", 4.215, 4.065, 4.375, True),
    ("d2729", "6", 6.275, 6.075, 6.500, True),
    ("d3034", "4", 4.215, 3.975, 4.375, False),
    ("d3034", "6", 6.275, 5.915, 6.500, False),
    ("d3034", "8", 8.400, 7.920, 8.500, False),
    ("corrugated", "3", 3.600, 3.000, 3.750, False),
    ("corrugated", "4", 4.700, 4.000, 5.000, False),
    ("corrugated", "6", 7.000, 6.000, 7.250, False),
    ("corrugated", "3", 3.600, 3.000, 3.750, True),
    ("corrugated", "4", 4.700, 4.000, 5.000, True),
    ("corrugated", "6", 7.000, 6.000, 7.250, True),
    ("corrugated smooth", "4", 4.750, 4.000, 5.000, False),
    ("corrugated smooth", "6", 6.950, 6.000, 7.250, False),
    ("corrugated smooth", "8", 9.200, 8.000, 9.500, False),
    ("corrugated smooth", "4", 4.750, 4.000, 5.000, True),
    ("corrugated smooth", "6", 6.950, 6.000, 7.250, True),
    ("corrugated smooth", "8", 9.200, 8.000, 9.500, True),
    ("wrapped", "10", 4.700, 4.000, 5.000, True),
)
# family word: family, Manning n, Hazen-Williams C, lengths sold [ft], source
_FAMILIES: Mapping[str, tuple[Family, float, float | None, tuple[float, ...], str]] = {
    "sch40": ("Schedule 40", SMOOTH_PVC, PLASTIC_C, (10.0, 20.0), "astm_d1785"),
    "d2729": ("D2729", SMOOTH_PVC, None, (10.0,), "astm_d2729"),
    "d3034": ("D3034 SDR 35", SMOOTH_PVC, None, (10.0, 14.0, 20.0), "astm_d3034"),
    "corrugated": ("corrugated single wall", CORRUGATED, None, (10.0, 100.0, 250.0), "astm_f405"),
    "corrugated smooth": ("corrugated smooth inside", SMOOTH_INSIDE, None, (10.0, 20.0), "aashto_m252"),
    "wrapped": ("wrapped aggregate", CORRUGATED, None, (5.0, 10.0), "common_practice"),
}
# fmt: on


def _pipe(word: str, size: str, outside: float, inside: float, hole: float, perforated: bool) -> Pipe:
    family, manning, hazen_williams, sticks, source = _FAMILIES[word]
    wrapped = word == "wrapped"
    area = (DRILLED if word == "d2729" else SLOTTED) if perforated else 0.0
    opening = (HOLE if word == "d2729" else SLOT) if perforated else 0.0
    return Pipe(
        key=f"{word} {size} in" + (" perforated" if perforated and not wrapped else ""),
        nominal="4 in" if wrapped else f"{size} in",
        family=family,
        outside=outside * INCH,
        inside=inside * INCH,
        wall=(outside - inside) / 2.0 * INCH,
        manning=manning,
        hazen_williams=hazen_williams,
        perforated=perforated,
        perforation_area=area,
        envelope=10.0 * INCH if wrapped else 0.0,
        sticks=tuple(length * FOOT for length in sticks),
        hole=hole * INCH,
        source=source,
        opening=opening,
        opening_shape="hole" if word == "d2729" else "slot",
        rating=RATINGS[size] * PSI if word == "sch40" else None,
    )


#: Every pipe by its key, as a person writes it: ``"sch40 1-1/2 in"``, ``"d2729 4 in perforated"``.
PIPES: Mapping[str, Pipe] = MappingProxyType({pipe.key: pipe for pipe in (_pipe(*row) for row in _ROWS)})

_WORDS = (  # what people write, and the family word it stands for; the longer first
    (
        r"corrugated\s+smooth(\s+(inside|interior|wall))?|smooth(\s+(inside|interior))?\s+corrugated",
        "corrugated smooth",
    ),
    (r"corrugated(\s+single\s+wall)?", "corrugated"),
    (r"sch(edule|ed)?\.?\s*40|s40", "sch40"),
    (r"(astm\s*)?d[\s-]*2729|sewer and drain", "d2729"),
    (r"(astm\s*)?d[\s-]*3034(\s*sdr[\s-]*35)?|sdr[\s-]*35", "d3034"),
    (r"wrapped(\s+aggregate)?", "wrapped"),
)
_SIZE = re.compile(r"(?P<whole>\d+)(?:[\s-]+(?P<over>\d+)/(?P<under>\d+)|(?P<part>\.\d+))?\s*(?:inch(?:es)?|in\b|\"|″)")
_METRIC = re.compile(r"\bdn\s*(?P<size>\d+)")


def nominal_size(pipe: Pipe) -> float:
    """The nominal size as a number of inches, to tell a smaller pipe from a larger one across families.

    Examples
    --------
    >>> nominal_size(find_pipe("sch40 1-1/2 in"))
    1.5
    """
    whole, _, part = pipe.nominal.removesuffix(" in").partition("-")
    over, _, under = part.partition("/")
    return float(whole) + (float(over) / float(under) if part else 0.0)


def _size_of(text: str) -> str | None:
    if match := _METRIC.search(text):
        return METRIC_NAMES.get(int(match["size"]))
    match = _SIZE.search(text)
    if match is None:
        return None
    if match["over"]:
        return f"{match['whole']}-{match['over']}/{match['under']}"
    part = float(match["part"] or 0.0)
    return {0.0: match["whole"], 0.25: f"{match['whole']}-1/4", 0.5: f"{match['whole']}-1/2"}.get(part)


def find_pipe(text: str) -> Pipe:
    """The pipe that a text names.

    Parameters
    ----------
    text : str
        A catalogue key; case, spacing, ``"schedule 40"``, ``"SDR 35"``, ``1.5``, inch marks and ``DN 100`` are
        understood.

    Returns
    -------
    Pipe
        The catalogue's entry.

    Raises
    ------
    InputError
        If there is no such pipe; the error offers the nearest keys.

    Examples
    --------
    >>> find_pipe("Schedule 40, 1.5 in").key, find_pipe("SDR 35 DN 100").key
    ('sch40 1-1/2 in', 'd3034 4 in')
    """
    plain = " ".join(text.lower().replace(",", " ").split())
    perforated = bool(re.search(r"\bperf(orated)?\b\.?", plain))
    for pattern, word in _WORDS:
        if match := re.search(rf"\b(?:{pattern})(?![\w/])", plain):
            size = _size_of(plain[: match.start()] + " " + plain[match.end() :])
            key = f"{word} {size} in" + (" perforated" if perforated and word != "wrapped" else "")
            if key in PIPES:
                return PIPES[key]
            break
    near = difflib.get_close_matches(plain, PIPES, n=3, cutoff=0.3)
    raise InputError(f"pipe = {text!r}: expected a pipe of the catalogue; nearest are {', '.join(map(repr, near))}")


def candidates(perforated: bool, driven: bool = False) -> tuple[Pipe, ...]:
    """The pipes a design chooses from.

    Parameters
    ----------
    perforated : bool
        For a drain: drilled D2729 in 4 and 6 in, corrugated with a smooth inside in 8 in (no single wall: its n of
        0.016 and its sags suit no flat grade). Else solid: SDR 35, thin-walled D2729, corrugated with a smooth
        inside.
    driven : bool
        Cars pass over it: then only SDR 35 for solid lines. A drain beside a footing bears none.

    Returns
    -------
    tuple of Pipe
        Smallest first; of one size the common one first.
    """
    if perforated:
        keys = ["d2729 4 in perforated", "d2729 6 in perforated", "corrugated smooth 8 in perforated"]
    else:
        keys = ["d3034 4 in", "d3034 6 in", "d3034 8 in"]
        if not driven:
            keys += ["d2729 4 in", "d2729 6 in", "corrugated smooth 6 in", "corrugated smooth 8 in"]
            keys.sort(key=lambda key: nominal_size(PIPES[key]))  # of one size the common one stays first
    return tuple(PIPES[key] for key in keys)


#: Pressure pipes a discharge line is chosen from, smallest first.
PRESSURE_PIPES: tuple[Pipe, ...] = tuple(PIPES[f"sch40 {size} in"] for size in ("1-1/4", "1-1/2", "2", "3", "4"))

__all__ = [
    "CORRUGATED", "METRIC_NAMES", "PIPES", "PRESSURE_PIPES", "SMOOTH_INSIDE", "SMOOTH_PVC", "candidates",
    "find_pipe", "nominal_size",
]  # fmt: skip
