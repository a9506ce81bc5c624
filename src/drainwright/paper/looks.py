"""How each layer looks on paper. Lines differ by weight and dash as well as by colour, so a grey print reads too."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from drainwright.job.site import UtilityKind
from drainwright.job.works import Duty

INK = "#20292e"
SOFT = "#5d6a72"
FAINT = "#b3bcc2"
WATER = "#1b6390"
PAPER = "#ffffff"


@dataclass(frozen=True, slots=True)
class Look:
    """Line, dash and fill of a layer."""

    ink: str | None = INK  # of the line, and of text
    width: float = 0.25  # [mm]
    dash: tuple[float, ...] = ()  # on, off, ... [mm]
    fill: str | None = None
    opacity: float = 1.0  # of the fill
    round: bool = True  # line ends


# Duties: the heavier the line, the more it carries away from the house.
DUTY_LOOKS: Mapping[Duty, Look] = {
    "footing drain": Look(WATER, 0.8, (3.2, 1.2), round=False),
    "yard drain": Look(WATER, 0.6),
    "leader": Look("#3f7fa6", 0.45, (4.0, 0.9, 0.9, 0.9), round=False),
    "discharge line": Look("#0e3f5f", 0.8, (5.0, 0.9, 1.2, 0.9, 1.2, 0.9), round=False),
    "overflow": Look(WATER, 0.45, (0.9, 1.1), round=False),
}

# The uniform colour code of the American Public Works Association, darkened where paper is white, with
# letters on the line for grey prints. SEEN (tests/published/test_colour_code.py); the letters are common practice.
RED, YELLOW, ORANGE, BLUE, PURPLE, GREEN, PINK = (
    "#c8202f", "#a58a00", "#d9690a", "#1763c6", "#7a3fa0", "#1f7a3d", "#d1307a",
)  # fmt: skip
UTILITY: Mapping[UtilityKind, tuple[str, str, str]] = {  # letters, colour, the colour's name
    "water": ("W", BLUE, "blue"),
    "reclaimed": ("RW", PURPLE, "purple"),
    "irrigation": ("IR", PURPLE, "purple"),
    "irrigation control": ("IC", PURPLE, "purple"),
    "electric": ("E", RED, "red"),
    "low voltage lighting": ("LV", RED, "red"),
    "gas": ("G", YELLOW, "yellow"),
    "propane": ("LP", YELLOW, "yellow"),
    "oil": ("O", YELLOW, "yellow"),
    "communication": ("C", ORANGE, "orange"),
    "sewer": ("S", GREEN, "green"),
    "septic": ("SP", GREEN, "green"),
    "storm drain": ("SD", GREEN, "green"),
    "pool": ("P", BLUE, "blue"),
}
LONG, SHORT = (5.0, 1.6), (2.6, 0.8)  # dashes; the short ones are gas and oil: G and C are near alike in grey [mm]


def utility_layer(kind: UtilityKind) -> str:
    """Name of the layer of a buried line."""
    return f"utility {kind}"


LOOKS: Mapping[str, Look] = {
    # sheet
    "frame": Look(INK, 0.5, round=False),
    "rule": Look(SOFT, 0.2, round=False),
    "rule faint": Look(FAINT, 0.15, round=False),
    "accent": Look(INK, 0.9, round=False),  # the firm's colour where it has one
    "logo": Look(None, 0.0),
    "rule open": Look(SOFT, 0.2, round=False),
    "band": Look(None, 0.0, fill="#eef2f4"),
    "mask": Look(None, 0.0, fill=PAPER, opacity=0.86),
    "text": Look(INK),
    "text soft": Look(SOFT),
    "text water": Look("#0e4c74"),
    "text warning": Look("#8f1d14"),
    "leader line": Look(SOFT, 0.15),
    "dimension": Look(SOFT, 0.15, fill=SOFT),
    "dimension open": Look(SOFT, 0.2),
    "solid": Look(None, 0.0, fill=INK),
    # plan
    "backdrop": Look(None, 0.0, opacity=0.38),
    "boundary": Look(INK, 0.3, (7.0, 1.2, 1.2, 1.2, 1.2, 1.2), round=False),
    "fence": Look("#6b4f27", 0.25, round=False),
    "spared": Look("#6b4f27", 0.25, (1.6, 0.8)),
    "yard": Look(FAINT, 0.2, (1.2, 1.2), fill="#f3f8ef", opacity=0.7),
    "house": Look(INK, 0.5, fill="#f7f5f1"),
    "house hatch": Look("#d4cfc5", 0.12),
    "wall coated": Look(INK, 1.1, round=False),
    "trench": Look("#8d989e", 0.15, fill=PAPER),
    "shaped": Look("#6b7a3a", 0.2),
    "shaped hatch": Look("#aeb98a", 0.12),
    "shaped edge": Look("#6b7a3a", 0.35, (2.0, 1.0)),
    "shaped fall": Look("#55632a", 0.25),
    "shaped head": Look(None, 0.0, fill="#55632a"),
    "text shaped": Look("#46521f"),
    "hand dig": Look("#8f1d14", 0.25, fill="#f6ddd8", opacity=0.9),
    "hand dig hatch": Look("#8f1d14", 0.15),
    "tree": Look("#5f7d55", 0.3, fill="#c9d8c2"),
    "root zone": Look("#7d9673", 0.18, (1.6, 1.0)),
    "node": Look(INK, 0.4, fill=PAPER),
    "node fill": Look(None, 0.0, fill=WATER),
    "basin": Look("#0e3f5f", 0.6, fill="#d8e8f1"),
    "survey": Look(PINK, 0.25, fill=PINK),
    "survey open": Look(PINK, 0.25, fill=PAPER),
    "stock pile": Look(SOFT, 0.25, (0.8, 0.8), fill="#f1ece3"),
    "flow": Look(None, 0.0, fill="#0e3f5f"),
    "north": Look(INK, 0.25, fill=INK),
    "match line": Look(INK, 0.6, (9.0, 2.0, 2.0, 2.0), round=False),
    "key here": Look(INK, 0.5, fill="#d8e8f1"),
    "scale light": Look(INK, 0.2, fill=PAPER, round=False),
    "scale dark": Look(INK, 0.2, fill=INK, round=False),
    # ground
    "contour": Look("#a5885c", 0.15),
    "contour index": Look("#7d5f34", 0.32),
    "text contour": Look("#6b4f27"),
    "shot": Look(None, 0.0, fill=PINK),
    "low spot": Look(WATER, 0.25, (1.2, 0.6), fill="#b9d9ea", opacity=0.65, round=False),
    "low spot open": Look(WATER, 0.25, (1.2, 0.6), round=False),
    "low spot part": Look(WATER, 0.12, (0.6, 0.6)),
    "fall": Look("#3f7fa6", 0.2, fill="#3f7fa6"),
    "drains 1": Look(None, 0.0, fill="#e6f0da"),
    "drains 2": Look(None, 0.0, fill="#f7ecd5"),
    "drains 3": Look(None, 0.0, fill="#ebe6f3"),
    "drains 4": Look(None, 0.0, fill="#dceeea"),
    "drains edge": Look("#9aa58d", 0.18),
    "drains hatch": Look("#9aa58d", 0.13),
    "unknown": Look(None, 0.0, fill="#e9ebec"),
    "low spot unsure": Look(WATER, 0.25, (1.2, 0.6), round=False),
    "low spot hatch": Look("#6fa3c4", 0.13),
    "run-on": Look("#8f1d14", 0.45),
    "run-on head": Look(None, 0.0, fill="#8f1d14"),
    "slope away": Look(INK, 0.3),
    "slope away head": Look(None, 0.0, fill=INK),
    "slope towards": Look("#8f1d14", 0.4),
    "slope towards head": Look(None, 0.0, fill="#8f1d14"),
    "next shot": Look(PINK, 0.35),
    "text next shot": Look("#9c1f5a"),
    # profiles and sections
    "grid": Look("#dde3e6", 0.12, round=False),
    "axis": Look(INK, 0.3, round=False),
    "ground": Look("#5a4a2f", 0.5),
    "soil": Look(None, 0.0, fill="#f5efe4"),
    "soil hatch": Look("#b9a888", 0.15),
    "stone": Look(None, 0.0, fill="#e4e7e8"),
    "stone edge": Look("#8d989e", 0.18),
    "stone grain": Look("#98a2a8", 0.13, fill="#f4f6f6"),
    "fabric": Look("#3d4a3a", 0.3, (1.0, 0.6), round=False),
    "pipe": Look("#0e3f5f", 0.35, fill="#d3e4ee"),
    "pipe void": Look("#0e3f5f", 0.3, fill=PAPER),
    "concrete": Look(INK, 0.4, fill="#e9e7e3"),
    "backfill": Look(None, 0.0, fill="#faf6ee"),
    "trench line": Look(SOFT, 0.3, (1.6, 0.8), round=False),
    "hollow": Look("#a09a8f", 0.12, fill=PAPER),
    "concrete grain": Look("#a09a8f", 0.12, fill="#a09a8f"),
    "block joint": Look("#a09a8f", 0.15),
    "coating": Look("#111517", 0.9, round=False),
    "board": Look("#4d5960", 0.35, fill="#cfd5d8"),
    "footing": Look("#6d6455", 0.4, (2.4, 0.9, 0.6, 0.9), round=False),
    "water": Look(WATER, 0.3),
    "water surface": Look("#2b8cc4", 0.45, (2.0, 0.8), round=False),
    "water fill": Look(None, 0.0, fill="#b9d9ea", opacity=0.6),
    "water table": Look("#2b8cc4", 0.35, (4.0, 1.2), round=False),
    "level line": Look(SOFT, 0.15, (1.4, 0.8), round=False),
    "shell": Look(INK, 0.5, fill="#f2f4f5"),
    "pump": Look(INK, 0.35, fill="#c3ccd1"),
    "fitting": Look(INK, 0.3, fill="#e3e8eb"),
    # charts
    "curve strong": Look("#0e3f5f", 0.7),
    "curve": Look(WATER, 0.5),
    "curve dashed": Look(INK, 0.5, (2.4, 1.0), round=False),
    "curve soft": Look(SOFT, 0.3, (1.0, 0.8), round=False),
    "curve thin": Look(SOFT, 0.12),
    "curve fill": Look(None, 0.0, fill="#cfe2ed", opacity=0.8),
    "rain drop": Look("#7ba7c2", 0.25),
    "rain": Look("#7ba7c2", 0.1, fill="#a9c8da"),
    "limit": Look("#8f1d14", 0.3, (3.0, 0.8, 0.8, 0.8), round=False),
    "bar": Look(INK, 0.2, fill="#cdd6db", round=False),
    "bar dark": Look(INK, 0.2, fill="#5d6a72", round=False),
    "bar dry": Look(INK, 0.2, fill="#f1f4f5", round=False),
    "limit mark": Look(None, 0.0, fill="#8f1d14"),
    "operating": Look(PAPER, 0.4, fill="#8f1d14"),
    "point": Look(INK, 0.4, fill=PAPER),
    **dict(DUTY_LOOKS.items()),
    **{
        utility_layer(kind): Look(colour, 0.4, SHORT if colour == YELLOW else LONG, round=False)
        for kind, (_, colour, _) in UTILITY.items()
    },
    **{f"text {utility_layer(kind)}": Look(colour) for kind, (_, colour, _) in UTILITY.items()},
    **{f"dot {utility_layer(kind)}": Look(INK, 0.25, fill=colour) for kind, (_, colour, _) in UTILITY.items()},
}

__all__ = ["DUTY_LOOKS", "LOOKS", "UTILITY", "Look", "utility_layer"]
