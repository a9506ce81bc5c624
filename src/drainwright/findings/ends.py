"""Checks of how a pipe ends: the air before a receiver, the hole through a kerb, the elbow under a lid."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.quantities import height_beside

LEFT = 0.0381  # concrete over a hole in a kerb, below which it breaks out; common practice, no source: 1-1/2 in [m]
NEAR = 1e-4  # sizes nearer to each other than this are the same [m]


@rule("OUT-26", "Air gap", "ipc_802")
def air_gap(case: Case) -> Iterator[Outcome]:
    """Enough air between the line's end and the rim of what takes its water, and a mouth that catches it."""
    for end in case.system.ends:
        if end.form != "air gap":
            continue
        where, figure = f"works.discharge.{end.name}", f"{case.small(end.gap)} of air"
        limit = f"{case.small(end.gap_least)} or more: twice the bore of {end.run}"
        if end.gap < end.gap_least - NEAR:
            yield fails(
                where,
                f"The air gap at {end.name} is too small: a flooded receiver could reach the line's end.",
                figure=figure,
                limit=limit,
                advice=f"Raise the end of {end.run}, or cut the receiver lower; the place's plumbing code rules.",
                basis=end.gap_basis,
            )
        elif end.receiver <= end.outside:
            yield caution(
                where,
                f"The mouth below the air gap at {end.name} is no wider than {end.run}: water goes beside it.",
                figure=f"{case.small(end.receiver)} wide",
                limit=f"wider than {case.small(end.outside)}, the outside of {end.run}",
                advice="Set a larger receiver, or a funnel on it.",
                basis=end.receiver_basis,
            )
        else:
            text = f"The air gap at {end.name} keeps a flooded receiver off the line's end."
            yield ok(where, text, figure=figure, limit=limit, basis=end.gap_basis)


@rule("OUT-27", "Hole through the kerb", "common_practice")
def kerb_hole(case: Case) -> Iterator[Outcome]:
    """Enough concrete left over the hole."""
    for end in case.system.ends:
        if end.form != "kerb hole":
            continue
        where = f"works.discharge.{end.name}"
        over = end.over_core
        figure = f"{case.small(max(over, 0.0))} over a hole of {case.small(end.core)}"
        limit = f"{case.small(LEFT)} or more, in a kerb {case.small(end.kerb)} high ({end.kerb_basis.value})"
        if over < LEFT - NEAR:
            yield caution(
                where,
                f"The hole for {end.run} leaves too little concrete at the top of the kerb: it breaks out.",
                figure=figure,
                limit=limit,
                advice="End in a flat kerb adapter or two smaller pipes, or have a piece of kerb cast anew; the street's "
                "owner says which.",
                basis=end.kerb_basis,
            )
        else:
            text = f"The kerb keeps enough concrete over the hole for {end.run}."
            yield ok(where, text, figure=figure, limit=limit, basis=end.kerb_basis)


@rule("OUT-28", "Elbow of an emitter", "common_practice")
def emitter_elbow(case: Case) -> Iterator[Outcome]:
    """Depth enough below the lid for the elbow that the emitter stands on."""
    for end in case.system.ends:
        if end.form != "pop-up emitter":
            continue
        where, room = f"works.discharge.{end.name}", end.lid - end.invert
        figure = f"the invert {height_beside(-room, case.small, 'above')} the lid"
        limit = f"{case.small(end.elbow)} or more, for the elbow of an emitter of {end.fitting} (assumed)"
        if room < end.elbow - NEAR:
            yield fails(
                where,
                f"{end.run} comes to {end.name} too shallow for the emitter's elbow: its lid would stand out of the lawn.",
                figure=figure,
                limit=limit,
                advice=f"Lay {end.run} deeper, or end it in the open; the maker's sheet has the elbow's true height.",
                basis=end.height_basis,
            )
        else:
            text = f"{end.run} lies deep enough at {end.name} for the emitter's elbow."
            yield ok(where, text, figure=figure, limit=limit, basis=end.height_basis)


__all__ = ["LEFT", "air_gap", "emitter_elbow", "kerb_hole"]
