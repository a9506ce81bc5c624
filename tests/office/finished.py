"""Records of a finished job, as somebody with tape, watch and rod would have noted them."""

from __future__ import annotations

from drainwright.design import Design

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


__all__ = ["choked"]
