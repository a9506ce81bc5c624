"""What the wing keeps: doctests hold, the door is lazy, the worksheet follows the figures, examples go through."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

import drainwright.build
from drainwright.build import build_side
from drainwright.build.parts import task_key
from drainwright.worksheet import substituted, worksheet

from .sample import feet, make_site, make_system, make_utility

MODULES = [module.name for module in pkgutil.iter_modules(drainwright.build.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_doctests_hold(name: str) -> None:
    assert doctest.testmod(importlib.import_module(f"drainwright.build.{name}")).failed == 0


def test_the_door_loads_nothing_until_it_is_used() -> None:
    code = (
        "import sys, drainwright.build; sys.exit('shapely' in sys.modules or 'drainwright.build.side' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
    with pytest.raises(AttributeError, match="no attribute"):
        drainwright.build.something  # noqa: B018


def test_the_worksheet_follows_the_figures() -> None:
    site = make_site(utilities=(make_utility("service", "water", (feet(10, -9), feet(10, 9)), 0.3),))
    with worksheet() as steps:
        built = build_side(site, make_system())
    used = Counter(step.formula for step in steps)
    for name in (
        "build.earth.volume_by_stations", "build.earth.pit_volume", "build.earth.loose_volume",
        "build.earth.loose_density", "build.earth.loads", "build.stone.stone_section", "build.coating.face_area",
        "build.coating.coat_volume", "build.gaps.vertical_gap", "build.crossings.hand_dig_length",
        "build.wedge.allowed_below", "build.price.price_by_margin", "build.price.deposit",
    ):  # fmt: skip
        assert used[name] > 0
    assert all(step.place for step in steps)
    price = next(step for step in steps if step.note == "price before tax")
    assert price.result == float(built.price.before_tax)
    assert "cost over" in substituted(price)


def test_the_worksheet_changes_nothing() -> None:
    with worksheet():
        recorded = build_side(make_site(), make_system())
    assert recorded == build_side(make_site(), make_system())


EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*/*.yaml"))


@pytest.mark.skipif(not EXAMPLES, reason="no example job beside the package")
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_an_example_is_built(path: Path) -> None:
    from ruamel.yaml import YAML

    from drainwright.field import survey
    from drainwright.job.model import Job
    from drainwright.system import lay_out
    from drainwright.water import inflows

    document = YAML(typ="safe").load(path.read_text("utf-8"))
    if not isinstance(document, dict) or "schema_version" not in document:
        pytest.skip("not a job document")
    site = survey(Job.model_validate(document))
    built = build_side(site, lay_out(site, inflows(site)))
    dig = built.dig
    assert dig.bank_volume == pytest.approx(sum(trench.bank_volume for trench in dig.trenches))
    assert dig.backfill_volume + dig.haul_volume == pytest.approx(dig.loose_volume)
    assert (
        0.2
        < dig.bank_volume / sum(task.hours for task in built.plan.tasks if task_key(task.key) in ("open", "trench"))
        < 1.0
    )
    assert built.price.total == built.price.before_tax + built.price.tax
    assert {line.key for line in built.takeoff.lines} <= {line.key for line in built.price.lines}
