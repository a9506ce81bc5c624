"""Whether a scheme works once it is designed, by one rule for all kinds; and what would help."""

from __future__ import annotations

from collections.abc import Iterable

from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.schemes.model import Comparison, Laid
from drainwright.schemes.words import small

HOPELESS = ("NET-01", "NET-12", "STM-01")  # no fall, what is asked cannot be kept together, water at the floor
MOST_HELPS = 4  # ways to make it work that are told


def overflow_fails(design: Design) -> bool:
    """Whether an overflow, as it is laid, does not work or stands in the way of what does."""
    names = {f"works.runs.{run.name}" for run in design.system.runs if run.duty == "overflow"}
    failing = any(item.severity is Severity.FAILS and item.where in names for item in design.findings)
    return bool(names) and (failing or bool(design.system.conflicts))


def faults(laid: Laid, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings by which a scheme does not work, whatever its kind; none where it does."""
    own = {f"works.discharge.{words['name']}" for words in laid.draft.discharge}
    return tuple(
        finding for finding in findings
        if finding.severity is Severity.FAILS and (finding.id in HOPELESS or finding.where in own)
    )  # fmt: skip


def drains_fail(laid: Laid, design: Design) -> bool:
    """Whether what does not work is a footing drain of the scheme's own, or a line that leads its water on."""
    onward = {str(words["from"]): words for words in laid.draft.runs if words["duty"] != "footing drain"}
    names = set()
    for words in laid.draft.runs:
        here = words if words["duty"] == "footing drain" else None
        while here is not None and here["name"] not in names:
            names.add(here["name"])
            here = onward.get(str(here["to"]))
    return any(finding.where in {f"works.runs.{name}" for name in names} for finding in faults(laid, design.findings))


def against(laid: Laid, design: Design, figures: Comparison) -> str:
    """Why a scheme does not work once it is designed, in words with the number; empty where it does.

    Parameters
    ----------
    laid : Laid
        The scheme; of its own discharge points every check has to be passed.
    design : Design
        The scheme, designed.
    figures : Comparison
        Of the design.

    Returns
    -------
    str
        Without a full stop. A pipe without its fall or its cover, what cannot be kept together, and water over the
        floor with everything working count for every kind alike.
    """
    found = faults(laid, design.findings)
    room = figures.head_room
    flooded = room is not None and room < 0.0
    dry = [finding for finding in found if not (flooded and finding.id == "STM-01")]
    said = []
    if dry:
        worst = dry[0]
        own = worst.id not in HOPELESS
        message = worst.message.rstrip(".") + (f" ({worst.figure}; limit {worst.limit})" if own else "")
        for run in design.system.runs:
            message = message.replace(f"{run.name}: ", f"the {run.duty} {run.name} ", 1)
        said.append(message)
    if flooded and room is not None:
        over = small(-room, design.job.units)
        said.append(f"water stands {over} over the floor in the design storm, all working")
    return "; ".join(said)


def helps(laid: Laid, design: Design) -> tuple[str, ...]:
    """What would help a scheme that does not work: what can give way, else what to do.

    That a run falls still less is no help where it is too flat already.
    """
    clashes = design.system.clashes
    touched = {item.name for clash in clashes for item in clash.members}
    flat = {finding.where.rpartition(".")[2] for finding in faults(laid, design.findings) if finding.id == "NET-01"}
    told = []
    for clash in clashes:
        able = [
            text for item, text in zip(clash.reliefs, clash.remedies, strict=True)
            if item.amount is not None and not (item.condition.kind == "grade" and item.condition.name in flat)
        ]  # fmt: skip
        told.append(" Or: ".join(able) if able else f"{clash.words} Nothing helps alone: try another route.")
    for finding in faults(laid, design.findings):
        name = finding.where.rpartition(".")[2]
        if not finding.advice or name in touched or (finding.id == "NET-12" and clashes):
            continue
        told.append(f"{name}: {finding.advice}" if finding.where.startswith("works.runs.") else finding.advice)
    return tuple(dict.fromkeys(told))[:MOST_HELPS]


__all__ = ["HOPELESS", "against", "drains_fail", "faults", "helps", "overflow_fails"]
