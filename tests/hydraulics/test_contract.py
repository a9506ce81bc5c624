"""What every formula of hydraulics keeps: arrays equal loops, floats give floats, bad input raises, doctests hold."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import numpy as np
import pytest

import drainwright.hydraulics
import drainwright.worksheet
from drainwright.errors import InputError
from drainwright.worksheet import CATALOGUE

MODULES = [module.name for module in pkgutil.iter_modules(drainwright.hydraulics.__path__)]
for _name in MODULES:
    importlib.import_module(f"drainwright.hydraulics.{_name}")

FORMULAS = sorted(
    name
    for name, entry in CATALOGUE.items()
    if name.startswith("hydraulics.") and entry.card.expression_kind == "formula"
)


def trial_inputs(name: str, share: float) -> dict[str, float]:
    """Usable inputs of a formula: a share of the way through each argument's trial range."""
    card = CATALOGUE[name].card
    ranges = {key: card.trial.get(key, (0.01, 1.0)) for key in card.units if key != "result"}
    return {key: low + share * (high - low) for key, (low, high) in ranges.items()}


@pytest.mark.parametrize("module", MODULES)
def test_examples_in_docstrings(module: str) -> None:
    assert doctest.testmod(importlib.import_module(f"drainwright.hydraulics.{module}")).failed == 0


def test_examples_of_the_worksheet() -> None:
    result = doctest.testmod(drainwright.worksheet)
    assert result.attempted > 0
    assert result.failed == 0


@pytest.mark.parametrize("name", FORMULAS)
def test_floats_give_a_float_and_arrays_equal_loops(name: str) -> None:
    formula = CATALOGUE[name].formula
    points = []
    for share in (0.2, 0.35, 0.5):
        inputs = trial_inputs(name, share)
        value = formula(**inputs)
        assert type(value) is float
        points.append((inputs, value))
    columns = {key: np.array([inputs[key] for inputs, _ in points]) for key in points[0][0]}
    kept = {key: column.copy() for key, column in columns.items()}
    together = formula(**columns)
    assert together == pytest.approx(np.array([value for _, value in points]), rel=1e-13)
    for key, column in columns.items():
        assert np.array_equal(column, kept[key]), f"{key} was changed"


@pytest.mark.parametrize("name", FORMULAS)
@pytest.mark.parametrize("bad", [float("nan"), -1.0])
def test_unusable_values_raise_and_name_the_argument(name: str, bad: float) -> None:
    card, formula = CATALOGUE[name]
    for key in card.units:
        if key == "result":
            continue
        with pytest.raises(InputError, match=key):
            formula(**{**trial_inputs(name, 0.35), key: bad})
