"""Which conditions of the grading stand in each other's way."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.rules import Case, Outcome, caution, rule


@rule("NET-16", "What stands in each other's way", "common_practice")
def clashes(case: Case) -> Iterator[Outcome]:
    """Conditions that cannot be kept together, and for each that can give way alone by how much it would have to."""
    runs = {run.name for run in case.system.runs}
    for clash in case.system.clashes:
        name = next((item.name for item in clash.members if item.name in runs), None)
        able = [text for item, text in zip(clash.reliefs, clash.remedies, strict=True) if item.amount is not None]
        if able:
            several = "any one of these alone would be enough: " if len(able) > 1 else ""
            advice = f"Choose on purpose; {several}{' '.join(able)}" if several else f"Choose on purpose: {able[0]}"
        else:
            advice = "Nothing helps alone: take another route, or change two of them together."
        yield caution(
            "works.runs" if name is None else f"works.runs.{name}",
            f"These cannot all be kept. {clash.words}",
            figure=f"{len(clash.members)} conditions",
            limit="all kept together",
            advice=advice,
        )
