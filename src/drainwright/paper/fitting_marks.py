"""The fittings of the network on the plan: cleanouts, freeze reliefs, and what stands where lines meet."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from drainwright.design import Design
from drainwright.paper.frame import View
from drainwright.paper.plan_marks import LAST, SECOND, Drawn
from drainwright.paper.symbols import cleanout_symbol, relief_symbol
from drainwright.system.fittings import Cleanout, Fitting
from drainwright.system.freeze_relief import freeze_reliefs
from drainwright.system.trade import nominal_words

TOLD: Mapping[str, str] = MappingProxyType({"wye": "wye", "reducer": "reducer", "adapter": "adapter"})


def numbered_cleanouts(design: Design) -> tuple[tuple[str, Cleanout], ...]:
    """Each cleanout that is built, by the name that the house's papers give it: ``cleanout 1``, ``cleanout 2``."""
    built = (place for place in design.system.cleanouts if place.fitted)
    return tuple((f"cleanout {number}", place) for number, place in enumerate(built, 1))


def fitting_marks(design: Design, view: View, drawn: Drawn, *, numbered: bool = False) -> None:
    """Cleanouts within a line and freeze reliefs as symbols; wyes, reducers and adapters in words at junctions.

    Where they are to be found again, each cleanout has its number, those at upper ends too.
    """
    for name, place in numbered_cleanouts(design):
        at = view(place.at)
        if place.why != "upper end":
            drawn.symbol(at, 1.1, cleanout_symbol(at))
        if numbered:
            drawn.label(SECOND, name, at=at, clear=1.2, strong=True)
        elif place.why != "upper end":
            drawn.label(LAST, "cleanout", at=at, clear=1.2, size=1.8, droppable=True, known=True)
    for relief in freeze_reliefs(design.system):
        at = view(relief.at)
        drawn.symbol(at, 1.1, relief_symbol(at))
        drawn.label(LAST, f"freeze relief of {relief.run}", at=at, clear=1.2, size=1.8, droppable=True)
    junctions = {node.name: node for node in design.system.nodes.values() if node.kind == "junction"}
    for name, node in junctions.items():
        stood = [fit for fit in design.system.fittings or () if fit.where == name and fit.kind in TOLD]
        said = list(dict.fromkeys(described(fit, design) for fit in stood))
        if said:
            drawn.label(LAST, *said, at=view(node.at), clear=1.2, size=1.8, droppable=True)


def described(fit: Fitting, design: Design) -> str:
    """``wye 4 × 3 in``: a fitting with the sizes that it joins."""
    sizes = [nominal_words(fit.pipe.nominal, design.job.units)]
    if fit.end is not None and fit.end.nominal != fit.pipe.nominal:
        sizes.append(nominal_words(fit.end.nominal, design.job.units))
    return f"{TOLD[fit.kind]} {' × '.join(sizes)}"


__all__ = ["described", "fitting_marks", "numbered_cleanouts"]
