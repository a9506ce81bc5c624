"""The DXF: sound by audit, true to the model, safe, the same twice."""

from __future__ import annotations

import io
import itertools
import math
from functools import lru_cache

import ezdxf
import pytest
from ezdxf.document import Drawing

from drainwright.design import Design
from drainwright.paper.dxf import run_line, to_dxf
from tests.paper.sample import FOOT, sample_design, sample_job


@lru_cache(maxsize=4)
def design_in(units: str) -> Design:
    return sample_design(sample_job().model_copy(update={"units": units}))


@lru_cache(maxsize=4)
def drawing_in(units: str) -> Drawing:
    return ezdxf.read(io.StringIO(to_dxf(design_in(units))))


@pytest.mark.parametrize(("units", "code"), [("US", 2), ("SI", 6)])
def test_audit_finds_nothing_and_units_are_said(units: str, code: int) -> None:
    drawing = drawing_in(units)
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert drawing.header["$INSUNITS"] == code
    assert drawing.dxfversion >= "AC1024"  # R2010


@pytest.mark.parametrize(("units", "unit"), [("US", FOOT), ("SI", 1.0)])
def test_lengths_and_levels_are_the_models(units: str, unit: float) -> None:
    design, drawing = design_in(units), drawing_in(units)
    lines = [list(line.points()) for line in drawing.modelspace().query('POLYLINE[layer ? "DRAIN-.*"]')]
    assert len(lines) == len(design.system.runs)
    for run, points in zip(design.system.runs, lines, strict=True):
        plan = sum(math.dist((a.x, a.y), (b.x, b.y)) for a, b in itertools.pairwise(points))
        assert plan * unit == pytest.approx(run.length, rel=1e-9)
        assert points[0].z * unit == pytest.approx(run.invert_upper, rel=1e-9)
        assert points[-1].z * unit == pytest.approx(run.invert_lower, rel=1e-9)
    tops = [list(line.points()) for line in drawing.modelspace().query('POLYLINE[layer ? "UTIL-.*"]')]
    for item, points in zip(design.site.utilities, tops, strict=True):
        assert [point.z * unit for point in points] == pytest.approx(list(item.top))


def test_layers_follow_duty_and_kind() -> None:
    layers = {layer.dxf.name: layer for layer in drawing_in("US").layers}
    assert layers["UTIL-ELECTRIC"].dxf.color == 1  # red
    assert layers["UTIL-WATER"].dxf.color == 5  # blue
    assert layers["UTIL-SEWER"].dxf.color == 3  # green
    assert layers["DRAIN-FOOTING"].dxf.lineweight > layers["DRAIN-LEADER"].dxf.lineweight


def test_hostile_text_cannot_break_the_file() -> None:
    job = sample_job()
    trees = tuple(tree.model_copy(update={"name": "x\n0\nSECTION %%d ^J \\P \x00"}) for tree in job.trees)
    drawing = ezdxf.read(io.StringIO(to_dxf(sample_design(job.model_copy(update={"trees": trees})))))
    assert not drawing.audit().errors
    texts = [text.dxf.text for text in drawing.modelspace().query("TEXT")]
    assert "x 0 SECTION % %d 'J /P" in texts


def test_the_same_twice_and_no_option_left_behind() -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    assert to_dxf(design_in("US")) == to_dxf(sample_design())
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_classes_stand_in_one_order_in_every_run() -> None:
    """They come out of a set, so that two runs of Python may list them differently: sorted, they cannot."""
    lines = to_dxf(design_in("US")).splitlines()
    names = [lines[index + 2] for index, line in enumerate(lines) if line == "CLASS" and lines[index + 1] == "  1"]
    assert len(names) > 1
    assert names == sorted(names)


def test_a_run_is_drawn_through_its_stations() -> None:
    run = design_in("US").system.runs[0]
    assert [place[2] for place in run_line(run)] == [station.invert for station in run.stations]
