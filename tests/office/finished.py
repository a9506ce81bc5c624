"""Records of a finished job, as somebody with tape, watch and rod would have noted them."""

from __future__ import annotations

from drainwright.design import Design

from ..proving.test_soil_learnt import record as season
from ..proving.worlds import Truth, basin_record, record

SHUT = 150.0  # K of a valve that somebody left nearly shut, over the design's


def choked(design: Design) -> str:
    """A finished job with a valve nearly shut, and whose footing drain lies flatter than drawn."""
    station = design.system.station
    assert station is not None
    run = next(one for one in design.system.runs if not one.pressure)
    built = f"{{run: {run.name}, upper: {run.invert_upper:.4f} m, lower: {run.invert_upper - 0.001:.4f} m}}"
    return record(
        design, basin_record(design, station, Truth(extra=SHUT)), extra=f"as_built: {{runs: [{built}]}}\n"
    ).replace("2026-09-01", "2027-01-15")


def worn(design: Design) -> str:
    """Four visits to a pump that loses flow, with silt in a catch basin."""
    station = design.system.station
    assert station is not None
    inlet = next(one.name for one in design.job.works.inlets if one.sump_depth > 0)
    text = f"schema_version: 1\njob: {design.job.number}\nin_service: 2026-12-01\ninvented: true\nvisits:\n"
    for number, share in enumerate((1.30, 1.25, 1.20, 1.15)):
        flow, starts = 60000 * share * station.inflow, 8000 * (number + 1)
        read = f"{{basin: {station.name}, flow: {flow:.2f} L/min, starts: {starts}}}"
        text += f"  - {{on: {2027 + number}-12-01, by: Ash, found: [roots], basins: [{read}], "
        text += f"silt: [{{inlet: {inlet}, depth: 1 in}}], done: [flushed FD1]}}\n"
    return text


def wet(design: Design) -> str:
    """Sixty days of a soil twice as open as it was taken."""
    return season(design, 2.0 * design.inflows.conductivity)


__all__ = ["choked", "wet", "worn"]
