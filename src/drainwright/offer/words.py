"""What a change is good for, in words that a customer understands."""

from __future__ import annotations

from drainwright.offer.model import CaseTold, Difference

CHOSEN = ("pipe", "inside", "depth", "pump")  # sizes that the design chooses anew where the job leaves them open
MOST = 3  # sizes, and things bought, that are named
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
    return (*found, *_cheaper(changed))


def _cheaper(changed: Difference) -> tuple[str, ...]:
    """Why something that is added makes the whole cheaper: what was chosen anew with it, or is bought less."""
    if changed.price.change >= 0:
        return ()
    sizes = [
        f"{told.where} {told.what} {told.after} instead of {told.before}"
        for told in changed.sizes
        if told.what in CHOSEN and told.before and told.after
    ]
    less = [line.description for line in sorted(changed.bought, key=lambda line: line.amount) if line.amount < 0]
    why = []
    if sizes:
        why.append(f"other sizes are chosen with it ({', '.join(sizes[:MOST])})")
    if changed.days[1] < changed.days[0]:
        why.append(f"it takes {changed.days[1]} days instead of {changed.days[0]}")
    if less:
        why.append(f"less is spent on {', '.join(less[:MOST])}")
    return (f"It makes the whole cheaper: {'; '.join(why) or 'fewer hours are worked'}.",)


def _dry_first(cases: list[CaseTold]) -> list[CaseTold]:
    return sorted(cases, key=lambda case: "dry" not in case.after)


__all__ = ["bought_words"]
