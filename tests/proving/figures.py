"""The seeded figures of ``docs/after.md``, all at once: ``python -m tests.proving.figures``.

The tests hold the bounds that must not be missed; what the page prints is what this prints. It takes some minutes.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from drainwright.hydraulics.drawdown import Stretch

from ..hydraulics.test_drawdown import INCH, seeded, sheet, told, wrong
from .test_season import DAYS, learnt, misnoted, season

SEASONS, READ = 100, 60
PLACES: tuple[tuple[Stretch, int], ...] = (("shut", 0), ("pumping", 1), ("open", 2))


def slips(off: float, *, two: bool = False, only: Stretch | None = None) -> Iterator[str]:
    """Readings noted wrongly by ``off`` [m]: how often named, how often the pump's band held."""
    for stretch, place in PLACES:
        if only not in (None, stretch):
            continue
        named = others = held = 0
        for seed in range(READ):
            factor, readings = seeded(seed)
            dice = np.random.default_rng(7000 + seed)
            picked = tuple(map(int, dice.choice(len(readings[place].levels), 1 + two, replace=False)))
            found = told(wrong(readings, stretch, off, picked))
            true = factor * float(sheet(np.array(found.level)))
            if found.slip is not None:
                hit = found.slip.stretch == place and found.slip.reading in picked
                named, others = named + hit, others + (not hit)
            held += abs(found.pumped.flow - true) <= found.pumped.band
        yield f"{stretch}: named {named}, another {others}, the pump's band held {held} of {READ}"


def seasons() -> Iterator[str]:
    """How often the band of the conductivity held the truth."""
    counts = dict.fromkeys(("sound", "three days noted wrongly", "first 25 days"), 0)
    spreads = []
    for seed in range(SEASONS):
        k, rain, starts = season(seed)
        sound = learnt(rain, starts)
        bad = learnt(rain, misnoted(starts, np.random.default_rng(1000 + seed)))
        short = learnt(rain[:25], starts[:25])
        spreads.append(sound.spread / sound.prior)
        for name, one in zip(counts, (sound, bad, short), strict=True):
            counts[name] += one.low <= k <= one.high
    yield from (f"{name}: the band held {count} of {SEASONS}" for name, count in counts.items())
    yield f"spread after over spread before, in logarithms: {np.median(spreads):.2f}"
    for spread in (0.3, 0.5, 0.8):
        held = rough = 0
        for seed in range(SEASONS):
            k, rain, starts = season(seed)
            one = learnt(rain * np.exp(spread * np.random.default_rng(3000 + seed).normal(size=DAYS)), starts)
            held, rough = held + (one.low <= k <= one.high), rough + one.rough
        yield f"gauge off by {spread:g}: the band held {held} of {SEASONS}, told in {rough}"


def main() -> None:
    """Print all."""
    for title, lines in (
        ("an inch too high", slips(INCH)), ("an inch too low", slips(-INCH)),
        ("half an inch while it pumps", slips(0.5 * INCH, only="pumping")),
        ("two readings an inch wrong while it pumps", slips(INCH, two=True, only="pumping")),
        (f"{SEASONS} seasons of {DAYS} days", seasons()),
    ):  # fmt: skip
        print(f"{title}\n" + "\n".join(f"  {line}" for line in lines), flush=True)


if __name__ == "__main__":
    main()
