"""What a season at one job lets the next job on that street begin with: the entry for its ground."""

from __future__ import annotations

import json
import math
import re
from typing import Any

from drainwright.errors import JobError, Problem
from drainwright.job.reading import Document
from drainwright.job.values import Basis, Fact
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


def measured_there(tested: bool, conductivity: Fact[float] | None, file: str = "") -> Problem | None:
    """Why a lot's ground does not begin with the street's: its own soil was measured. None where it was not.

    Parameters
    ----------
    tested : bool
        Whether holes were tested there.
    conductivity : Fact, optional
        As the job document has it. [m/s]
    file : str
        Its name, to be told.
    """
    found = (
        "holes that were tested on that lot" if tested
        else "a conductivity that was measured on that lot" if conductivity and conductivity.basis is Basis.MEASURED
        else ""
    )  # fmt: skip
    if not found:
        return None
    where = "ground.hole_tests" if tested else "ground.conductivity"
    return Problem(where=where, found=found, expected="none: what was measured there outranks the street", file=file)


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
    against = measured_there(bool(ground.hole_tests), ground.conductivity, document.name)
    if against is not None:
        raise JobError((against,))

    def change(tree: Any) -> None:
        ground = tree["ground"]
        if "conductivity" in ground or not ground or not hasattr(ground, "insert"):
            ground["conductivity"] = dict(entry)
        else:  # before the last key: a comment after that belongs to what follows
            ground.insert(len(ground) - 1, "conductivity", dict(entry))

    return changed(document, change)


def _speed(value: float) -> str:
    return exact(float(f"{value:.3g}"), "speed")


__all__ = ["LOTS", "Entry", "entry_text", "measured_there", "next_entry", "next_range", "taken_into"]
