"""Which inputs move a chance from sample to sample: the main reasons, without running anything again."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from drainwright.storm.chances.model import Reason, Sample, Uncertain

BY_ACCIDENT = 0.05  # of all the inputs together, that one seems to matter which does not [-]


def reasons(uncertain: Sequence[Uncertain], drawn: Sample, figure: Sample) -> tuple[Reason, ...]:
    """Inputs whose rank goes with a figure's, the closest first.

    Parameters
    ----------
    uncertain : sequence of Uncertain
        The inputs.
    drawn : ndarray
        (samples, inputs) as they were drawn.
    figure : ndarray
        (samples,) what came of each.

    Returns
    -------
    tuple of Reason
        Only those whose rank correlation (Spearman 1904, ``spearman``) would come about by accident less often than
        ``BY_ACCIDENT`` for all inputs together (each is held to that share over their number). Empty where the figure
        does not vary.
    """
    from scipy.stats import spearmanr

    if float(np.ptp(figure)) <= 0.0:
        return ()
    found = []
    for place, item in enumerate(uncertain):
        if float(np.ptp(drawn[:, place])) <= 0.0:
            continue
        told = spearmanr(drawn[:, place], figure)
        if float(told.pvalue) * len(uncertain) < BY_ACCIDENT:
            found.append(Reason(key=item.key, name=item.name, rank=float(told.statistic)))
    return tuple(sorted(found, key=lambda reason: -abs(reason.rank)))


__all__ = ["reasons"]
