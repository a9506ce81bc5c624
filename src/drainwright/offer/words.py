"""What a change is good for, in words that a customer understands."""

from __future__ import annotations

from drainwright.offer.model import CaseTold, Difference

WORST = "STM-19"  # names the worst of the failures: here each failure stands for itself


def bought_words(changed: Difference) -> tuple[str, ...]:
    """What a package is good for: failures that no longer wet the floor, time gained, checks that it settles.

    Parameters
    ----------
    changed : Difference
        From the works as written to the package.

    Returns
    -------
    tuple of str
        Sentences, the most telling first; empty where nothing that was tried shows a gain.
    """
    told = [case for case in changed.storm if case.before != case.after]
    better = [case for case in told if case.better]
    titles = tuple(case.title.partition(",")[0] for case in better)
    found = [f"{case.title}: {case.after}. As proposed: {case.before}." for case in _dry_first(better)]
    found += [
        f"It settles this: {item.message}"
        for item in changed.settled
        if not (titles and item.message.startswith(titles)) and item.id != WORST
    ]
    found += [
        f"But worse: {case.title}: {case.after}. As proposed: {case.before}." for case in told if case.better is False
    ]
    found += [f"But mind: {item.message}" for item in changed.arisen]
    return tuple(found)


def _dry_first(cases: list[CaseTold]) -> list[CaseTold]:
    return sorted(cases, key=lambda case: "dry" not in case.after)


__all__ = ["bought_words"]
