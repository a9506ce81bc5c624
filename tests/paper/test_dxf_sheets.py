"""Profiles and sections as DXF: sound by audit on every example, and as long, wide and deep as the model."""

from __future__ import annotations

import io
from functools import cache

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline

from drainwright.design import flow_nets
from drainwright.paper.drawings import drawings
from drainwright.paper.dxf_sheets import KINDS, scaled_parts, sheets_to_dxf
from drainwright.paper.flow_net_chart import _start, flow_net_drafts

from .sample import FOOT
from .test_drawings_every import EXAMPLES, design_of


@cache
def drawing_of(example: str, kind: str) -> Drawing | None:
    design = design_of(example)
    sheets = list(drawings(design).values())
    (wanted,) = (known for known in KINDS if known == kind)
    return (
        ezdxf.read(io.StringIO(sheets_to_dxf(sheets, design.job.units, wanted)))
        if scaled_parts(sheets, wanted)
        else None
    )


def unit_of(example: str) -> float:
    return FOOT if design_of(example).job.units == "US" else 1.0


def spans(line: LWPolyline, unit: float) -> tuple[float, float, float, float]:
    places = [(x * unit, y * unit) for x, y, *_ in line.get_points()]
    return (
        min(x for x, _ in places), min(y for _, y in places), max(x for x, _ in places), max(y for _, y in places),
    )  # fmt: skip


@pytest.mark.parametrize("example", EXAMPLES)
@pytest.mark.parametrize("kind", KINDS)
def test_audit_finds_nothing_and_layers_and_units_are_said(example: str, kind: str) -> None:
    drawing = drawing_of(example, kind)
    assert drawing is not None
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert drawing.header["$INSUNITS"] == (2 if design_of(example).job.units == "US" else 6)
    layers = {layer.dxf.name for layer in drawing.layers}
    assert {entity.dxf.layer for entity in drawing.modelspace()} <= layers
    assert {"PIPE", "STONE", "TEXT"} & layers
    heights = [text.dxf.height * unit_of(example) for text in drawing.modelspace().query("TEXT")]
    assert min(heights) > 0.004  # of letters, beside a part drawn at 1 to 5 or smaller: over 0.8 mm on its paper


@pytest.mark.parametrize("example", EXAMPLES)
def test_profiles_are_as_long_as_the_runs_and_their_heights_as_said(example: str) -> None:
    drawing, unit = drawing_of(example, "profiles"), unit_of(example)
    assert drawing is not None
    runs = [run for run in design_of(example).system.runs if len(run.stations) > 1 and run.length > 0]
    pipes = list(drawing.modelspace().query('LWPOLYLINE[layer == "PIPE"]'))
    titles = [text.dxf.text for text in drawing.modelspace().query('TEXT[layer == "TITLE"]')]
    assert len(pipes) == len(titles) == len(runs)
    for run, pipe, title in zip(runs, pipes, titles, strict=True):
        left, bottom, right, top = spans(pipe, unit)
        assert right - left == pytest.approx(run.length, abs=1e-6), run.name
        name, said = title.split(": ")
        assert name == f"Profile {run.name}"
        times = 1.0 if said == "true size" else float(said.split()[-2])
        inverts = [station.invert for station in run.stations]
        low, high = min(inverts) - run.pipe.wall, max(inverts) + run.pipe.outside - run.pipe.wall
        assert (top - bottom) / times == pytest.approx(high - low, rel=1e-5), run.name  # six figures are said


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement", "two-basins"])
def test_basins_and_their_unrolled_walls_have_the_models_size(example: str) -> None:
    drawing, unit = drawing_of(example, "sections"), unit_of(example)
    assert drawing is not None
    design = design_of(example)
    shells = [spans(line, unit) for line in drawing.modelspace().query('LWPOLYLINE[layer == "SHELL"]')]
    deep = [top - bottom for _, bottom, _, top in shells]
    for station in design.system.stations:
        assert any(found == pytest.approx(station.depth, abs=1e-6) for found in deep), (station.name, deep)
    rings = [circle.dxf.radius * unit for circle in drawing.modelspace().query('CIRCLE[layer == "PIPE-VOID"]')]
    for station in design.system.stations:
        assert any(radius == pytest.approx(station.inside_diameter / 2, abs=1e-6) for radius in rings), station.name


@pytest.mark.parametrize("example", EXAMPLES)
def test_trenches_have_the_models_bed_and_stone(example: str) -> None:
    drawing, unit = drawing_of(example, "sections"), unit_of(example)
    assert drawing is not None
    radii = [circle.dxf.radius * unit for circle in drawing.modelspace().query('CIRCLE[layer == "PIPE"]')]
    for run in design_of(example).system.runs:
        if any(trench.name == run.name for trench in design_of(example).build.dig.trenches) and run.stations:
            assert any(radius == pytest.approx(run.pipe.outside / 2, abs=1e-6) for radius in radii), run.name


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement", "sloping-lot", "wrong-choices"])
def test_flow_nets_stand_among_the_sections_at_their_true_size(example: str) -> None:
    """Titles say each; the ground line goes from the drawing's beginning to the undisturbed water."""
    drawing, unit, design = drawing_of(example, "sections"), unit_of(example), design_of(example)
    assert drawing is not None
    titles = [text.dxf.text for text in drawing.modelspace().query('TEXT[layer == "TITLE"]')]
    nets = [title for title in titles if title.startswith("Flow net of ")]
    assert len(nets) == len(flow_net_drafts(design)) > 0
    assert all(title.endswith("true size") for title in nets)
    lines = drawing.modelspace().query("LWPOLYLINE")
    wide = [right - left for left, _, right, _ in (spans(line, unit) for line in lines)]
    for net in flow_nets(design):
        shown = net.far - _start(net)
        assert any(found == pytest.approx(shown, abs=1e-6) for found in wide), (net.run, shown, sorted(wide)[-8:])
