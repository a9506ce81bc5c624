"""Odd requests to every operation of the API, drawn from its own description: no server error, all as described."""

from __future__ import annotations

import logging
import random
import tempfile
import time
from pathlib import Path


def fuzz(seconds: float, seed: int) -> int:
    """Ask until the time is over; how many requests were asked.

    Raises
    ------
    Exception
        The first answer that is a server error, or not as described.
    """
    from hypothesis import HealthCheck, Phase, settings
    from tests.office.attacks.test_odd_requests import ask_all, known_in
    from tests.office.visitors import office

    logging.getLogger("httpx").setLevel(logging.ERROR)
    end, count = time.monotonic() + seconds, 0
    random.seed(seed)  # what Hypothesis draws from where no seed is given with a test
    rules = settings(
        max_examples=5, deadline=None, database=None, phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    while time.monotonic() < end:
        with tempfile.TemporaryDirectory() as folder, office(Path(folder)) as app:
            count += ask_all(app, known_in(app), rules)
    return count


__all__ = ["fuzz"]
