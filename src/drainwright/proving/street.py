"""What a season at one job lets the next job on that street begin with: the entry for its ground."""

from __future__ import annotations

import json
import math
import re
from typing import Any

from drainwright.job.loading import refusal
from drainwright.job.reading import Document
from drainwright.job.values import Basis
from drainwright.job.writing import changed
from drainwright.proving.season import NINE_OF_TEN, Learnt
from drainwright.quantities import exact

#: How far the soil of another lot may lie from this one's, up or down, nine times of ten: two means, each of some six
#: lengths of drain whose soils differ by the factor of 3 between holes of one lot; common practice, no source [-]
LOTS = 2.0
Entry = dict[str, str]


def next_range(learnt: Learnt) -> tuple[float, float, float]:
    """Low, middle and high of another lot's conductivity, nine times of ten, after a season at this one. [m/s]

    The doubt that the season left and that between two lots are independent, and add as squares of logarithms.

    Parameters
    ----------
    learnt : Learnt
        Of the season. [m/s]

    Returns
    -------
    (float, float, float)
        Wider than the season's own.
    """
    factor = math.exp(math.hypot(NINE_OF_TEN * learnt.spread, math.log(LOTS)))
    return learnt.middle / factor, learnt.middle, learnt.middle * factor


def next_entry(learnt: Learnt, number: str, when: str) -> Entry:
    """``ground.conductivity`` of the next job on the street, as a job document has it."""
    low, middle, high = map(_speed, next_range(learnt))
    source = f"pump counts of job {number}, {when}, on the same street"
    return {"value": middle, "low": low, "high": high, "basis": "stated", "source": source}


def entry_text(entry: Entry) -> str:
    """The entry as it is typed; what YAML would take for more than text stands in quotes."""
    lines = {key: json.dumps(text, ensure_ascii=False) if re.search(r": |:$| #", text) else text
             for key, text in entry.items()}  # fmt: skip
    return "ground:\n  conductivity:\n" + "".join(f"    {key}: {text}\n" for key, text in lines.items())


def taken_into(document: Document, entry: Entry) -> Document:
    """Another job's document that begins with what was learnt; its comments and all other lines stay.

    Parameters
    ----------
    document : Document
        The next job's, left alone.
    entry : dict
        Of ``next_entry``.

    Returns
    -------
    Document
        Read again.

    Raises
    ------
    JobError
        If the soil of that lot was measured: what was measured there outranks what the street tells.
    """
    ground = document.job.ground
    there = ground.conductivity
    found = (
        "holes that were tested on that lot" if ground.hole_tests
        else "a conductivity that was measured on that lot" if there is not None and there.basis is Basis.MEASURED
        else ""
    )  # fmt: skip
    if found:
        where = "ground.hole_tests" if ground.hole_tests else "ground.conductivity"
        raise refusal(found, "none: what was measured there outranks the street", where=where, file=document.name)

    def change(tree: Any) -> None:
        tree["ground"]["conductivity"] = dict(entry)

    return changed(document, change)


def _speed(value: float) -> str:
    return exact(float(f"{value:.3g}"), "speed")


__all__ = ["LOTS", "Entry", "entry_text", "next_entry", "next_range", "taken_into"]
