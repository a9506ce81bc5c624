"""Trials of the rule that names what stands in each other's way in the grading."""

from __future__ import annotations

import math

from drainwright.findings.rules import Case
from drainwright.system.grading.model import Clash, Condition, Demand, Relaxable, Relaxed, Relief

from .change import Change, Trial, as_designed, every, put, run

COVER = Condition(kind="cover", name="FD1")
OUTLET = Condition(kind="outlet", name="FD1")


def clash(cover: float | None) -> tuple[Clash, ...]:
    reliefs = (
        Relief(condition=COVER, amount=cover, price=math.inf if cover is None else 300.0),
        Relief(condition=OUTLET, amount=None, price=math.inf),
    )
    said = "FD1: 8 in of cover; FD1: its outlet at 97.00 ft: together they want 4 in more height than there is."
    return (
        Clash(
            members=(COVER, OUTLET),
            reliefs=reliefs,
            words=said,
            remedies=("Take 4 in less cover on FD1.", "FD1: its outlet at 97.00 ft: cannot give way."),
        ),
    )


def gave(kind: Relaxable) -> Change:
    """The grading gave up one condition of the footing drain, by 4 in."""
    relaxed = (Relaxed(kind=kind, line="FD1", amount=0.1016),)
    return every(
        put("system", "conflicts", to=("FD1 cannot keep all that is asked.",)),
        put("system", "gradings", 0, "relaxed", to=relaxed),
    )


def named(kind: Demand) -> Change:
    """A conflict with a remedy names one condition of the footing drain."""
    condition = Condition(kind=kind, name="FD1")
    relief = Relief(condition=condition, amount=0.1, price=1.0)
    told = Clash(members=(condition,), reliefs=(relief,), words="FD1: so.", remedies=("Let FD1 start 4 in higher.",))
    return put("system", "clashes", to=(told,))


def high(case: Case) -> Case:
    return run("FD1", invert_upper=case.floor_underside - 0.09, invert_lower=case.floor_underside - 0.3)(case)


CHOOSE = "remedies that NET-16 gives where it names FD1"
TRIALS = (
    Trial("NET-16", None, change=as_designed),
    Trial("NET-16", "caution", change=put("system", "clashes", to=clash(0.1)), where="works.runs.FD1",
          says="Take 4 in less cover"),
    Trial("NET-16", "caution", change=put("system", "clashes", to=clash(None)), says="change two of them together"),
    Trial("NET-12", None, change=as_designed),
    Trial("NET-12", "fails", change=gave("basin"), where="works.runs.FD1", says="Take a deeper basin"),
    Trial("NET-12", "fails", change=gave("grade"), where="works.runs.FD1", says="cannot go lower"),
    Trial("NET-12", "fails", change=gave("grade"), where="works.runs.FD1", says="4 in missing"),
    Trial("NET-12", "fails", change=every(gave("flat"), named("grade")), where="works.runs.FD1", says=CHOOSE),
    Trial("NET-12", "fails", change=every(gave("bed"), named("grade")), where="works.runs.FD1", says="Never dig"),
    # no order of its own for a run of which a conflict tells the remedies
    Trial("NET-01", "fails", change=run("FD1", grade=0.004), where="works.runs.FD1", says="raise its start by"),
    Trial("NET-01", "fails", change=every(run("FD1", grade=0.004), named("grade")), where="works.runs.FD1",
          says=CHOOSE),
    Trial("FTG-01", "fails", change=high, where="works.runs.FD1", says="It cannot go so low"),
    Trial("FTG-01", "fails", change=every(high, named("clearance")), where="works.runs.FD1", says=CHOOSE),
)  # fmt: skip
