"""Trials of the rule that names what stands in each other's way in the grading."""

from __future__ import annotations

import math

from drainwright.system.grading.model import Clash, Condition, Relief

from .change import Trial, as_designed, put

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


TRIALS = (
    Trial("NET-16", None, change=as_designed),
    Trial("NET-16", "caution", change=put("system", "clashes", to=clash(0.1)), where="works.runs.FD1",
          says="Take 4 in less cover"),
    Trial("NET-16", "caution", change=put("system", "clashes", to=clash(None)), says="change two of them together"),
)  # fmt: skip
