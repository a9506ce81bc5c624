"""Which schemes differ enough to stand side by side: no two that do the same, four at most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.job.model import Job
from drainwright.schemes.comparing import Ways
from drainwright.schemes.model import TITLES, Comparison, Key, Laid, Missing
from drainwright.schemes.words import CRITERIA, alike

MOST = 4  # schemes side by side, with the job as drawn
ORDER: tuple[Key, ...] = ("as-drawn", "gravity", "split", "apart", "soak", "wells", "pumped")


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A scheme laid out, designed and reckoned."""

    laid: Laid
    job: Job
    design: Design
    figures: Comparison
    ways: Ways
    fault: str = ""  # why it does not work; empty where it does


def same(one: Made, found: Sequence[Made], *, anew: bool) -> str:
    """Why a scheme adds nothing to those that are there: it does the same as one of them; empty where it does not.

    The job as drawn may be laid anew by other ways; that counts as the same only where all figures are alike.
    """
    for other in found:
        if other.ways != one.ways:
            continue
        if other.laid.key != "as-drawn":
            return f"the same in effect as '{TITLES[other.laid.key].lower()}': the same water leaves in the same way"
        if all(alike(criterion, one.figures, other.figures) for criterion in CRITERIA):
            prices = [money(figures.price, figures.currency, 0) for figures in (one.figures, other.figures)]
            what = (
                "laid anew it does the same as the job as drawn" if anew else "the job as drawn does the same by itself"
            )
            return f"{what}, and the figures are alike ({prices[0]} against {prices[1]})"
    return ""


def most_different(found: Sequence[Made]) -> tuple[list[Made], list[Missing]]:
    """At most ``MOST`` schemes in their order, those that differ most; and why the others are left out."""
    kept = sorted(found, key=lambda one: ORDER.index(one.laid.key))
    dropped = []
    while len(kept) > MOST:
        one, other = min(combinations(kept, 2), key=lambda pair: _apart(*pair))
        worse, better = (one, other) if _rank(one) > _rank(other) else (other, one)
        kept.remove(worse)
        key = worse.laid.key
        price = money(worse.figures.price, worse.figures.currency, 0)
        why = (
            f"of the schemes found it differs least from another, '{TITLES[better.laid.key].lower()}': only"
            f" {_differing(worse, better)} goes another way, for {price}"
            f" against {money(better.figures.price, better.figures.currency, 0)}"
        )
        dropped.append(Missing(key=key, title=TITLES[key], why=why))
    return kept, dropped


def _apart(one: Made, other: Made) -> float:
    """Share of the water's ways in which two schemes differ [-]."""
    return len(one.ways ^ other.ways) / max(len(one.ways | other.ways), 1)


def _rank(one: Made) -> tuple[bool, int, int, float]:
    """The job as drawn stays; else the one with fewer checks that fail, less that can fail, the lower price."""
    return one.laid.key != "as-drawn", len(one.figures.fails), one.figures.wet, float(one.figures.price)


def _differing(one: Made, other: Made) -> str:
    """Whose water goes another way."""
    names = sorted(
        {f"{source} ({cause})" if cause == "ground" else source for cause, source, _, _ in one.ways ^ other.ways}
    )
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


__all__ = ["MOST", "Made", "most_different", "same"]
