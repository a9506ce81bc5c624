"""Trials of the rules on slips of rod and tape: each trips, and its twin does not."""

from __future__ import annotations

from drainwright.field.model import PlanNetwork, PlanObservation, SetLevels, Slip
from drainwright.job.values import Basis

from .change import Change, Trial, as_designed, every, fact, job, put

ROW = "survey.level_book[12]"
SLIP = Slip(
    where=ROW, kind="misread", size=0.3048, meant="5.65 ft instead of 4.65 ft", strength=31.4,
    message="Row 13 of the level book, on E1, reads 1.00 ft too low against the shots round it.",
)  # fmt: skip


def network(redundancy: float, *points: str) -> Change:
    """Each point by two ties of so much redundancy."""
    ties = tuple(
        PlanObservation(
            where=f"survey.points[0].ties[{n}]", kind="tie", ends=("A", point), measured=5.0, residual=0.0,
            standardised=0.0, redundancy=redundancy,
        )
        for point in points
        for n in range(2)
    )  # fmt: skip
    return put("site", "network", to=PlanNetwork(observations=ties, redundancy=1, variance_factor=1.0))


def topo(off: float, spread: float = 0.01, compared: int = 20, odd: tuple[tuple[str, float], ...] = ()) -> Change:
    """One shot set, so far above the levelled shots."""
    one = SetLevels(
        where="survey.shot_sets[0]", name="TOPO", compared=compared, off=off, spread=spread, odd=odd
    )  # fmt: skip
    return put("site", "set_levels", to=(one,))


def crossing(*shares: float) -> Change:
    """The sump's place by as many ties, from A on, of these redundancies."""
    ties = tuple(
        PlanObservation(
            where=f"survey.points[0].ties[{n}]", kind="tie", ends=("ABCD"[n], "S1"), measured=5.0, residual=0.0,
            standardised=0.0, redundancy=share,
        )
        for n, share in enumerate(shares)
    )  # fmt: skip
    return put("site", "network", to=PlanNetwork(observations=ties, redundancy=1, variance_factor=1.0))


TRIALS = (
    Trial("SUR-05", "ok", change=as_designed),
    Trial("SUR-05", "caution", change=put("site", "slips", to=(SLIP,)), where=ROW, says="31 times"),
    Trial("SUR-05", None, change=every(put("site", "level_book", to=None), put("site", "network", to=None))),
    Trial("SUR-06", "caution", change=network(0.0, "W1", "E1"), says="W1 (CB1) and E1 (CB2)"),
    Trial("SUR-06", "ok", change=network(0.5, "W1", "E1", "S1")),
    Trial("SUR-06", "caution", change=network(0.0, "S1"), says="S1 (SUMP)"),
    Trial("SUR-06", "ok", change=network(0.0, "DP1")),  # nothing of the works hangs on it by itself
    Trial("SUR-06", None, change=put("site", "network", to=None)),
    Trial("SUR-06", "caution", change=crossing(0.5, 0.0, 0.5), says="S1 (SUMP), in its tie from B"),
    Trial("SUR-06", "caution", change=crossing(0.5, 0.0, 0.5), says="one more across"),
    Trial("SUR-06", "ok", change=crossing(0.3, 0.3, 0.4)),
    Trial("SUR-07", "ok", change=topo(0.012), says="agrees with 20 of your shots"),
    Trial("SUR-07", "ok", change=topo(0.049)),
    Trial("SUR-07", "caution", change=topo(0.051), says="lie 0.167 ft above"),
    Trial("SUR-07", "caution", change=topo(-0.149), says="raise its 'level_shift' by 0.489 ft"),
    Trial("SUR-07", "fails", change=topo(0.3048), says="lessen its 'level_shift' by 1.000 ft"),
    Trial("SUR-07", "fails", change=topo(64.74), says="212.402 ft"),
    Trial(
        "SUR-07", "caution", change=topo(0.17, spread=0.1, compared=3), says="0.558 ft above 3"
    ),  # not sure of 0.15 m
    Trial("SUR-07", "caution", change=topo(0.01, spread=0.2), says="wrong in plan"),
    Trial(
        "SUR-07", "caution", change=topo(0.01, odd=(("E1", -0.3048),)), where="survey.points.E1", says="1.000 ft below"
    ),
    Trial("SUR-07", "caution", change=topo(0.0, compared=0), says="Nothing ties the levels of TOPO"),
    Trial(
        "SUR-07",
        "fails",
        change=every(topo(0.3048), put("site", "slips", to=(SLIP,))),
        says="Mend the level book first",
    ),
    Trial("SUR-07", None, change=as_designed),
    Trial("SUR-08", "ok", change=as_designed),
    Trial("SUR-08", "caution", change=job("property", "access", "gate_width", to=10.3632), says="Is it 34 in?"),
    Trial(
        "SUR-08", "caution", change=job("property", "access", "gate_width", to=11.0), base="metric", says="Is it 1.1 m?"
    ),
    Trial("SUR-08", "ok", change=job("property", "access", "gate_width", to=3.6576)),
    Trial(
        "SUR-08", "caution", change=job("utilities", 3, "depth", to=fact(0.06096, Basis.MAPPED)), says="Is it 24 in?"
    ),
    Trial("SUR-08", "ok", change=job("utilities", 3, "depth", to=fact(0.127, Basis.MEASURED))),
)

__all__ = ["TRIALS"]
