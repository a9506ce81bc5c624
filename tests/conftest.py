"""Shared by all tests: the examples, designed once."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is imported: small matrices, shared cores

import pytest
from hypothesis import settings

from drainwright.design import Design, design
from drainwright.job.reading import read_job

# The same examples in every run, and no deadline: a slow machine is no fault.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"


@cache
def designed(path: str) -> Design:
    """The design of ``examples/<path>.yaml``; computed once in a run."""
    return design(read_job(EXAMPLES / f"{path}.yaml"))


@pytest.fixture(scope="session")
def pumped() -> Design:
    """The block-wall house: the pumped demonstration job."""
    return designed("block-wall-house/job")


@pytest.fixture(scope="session")
def gravity() -> Design:
    """The sloping lot, which needs no pump."""
    return designed("sloping-lot/job")


@pytest.fixture(scope="session")
def wrong() -> Design:
    """The job whose choices are wrong on purpose."""
    return designed("wrong-choices/job")


@pytest.fixture(scope="session")
def mended() -> Design:
    """The same job with every wrong choice put right."""
    return designed("wrong-choices/mended")


@pytest.fixture(scope="session")
def metric() -> Design:
    """The half basement in SI units."""
    return designed("metric-basement/job")
