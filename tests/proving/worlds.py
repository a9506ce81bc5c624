"""Finished jobs whose truth is known: a record as tape, watch and rod would give it, solved apart from the program."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from drainwright.design import Design
from drainwright.system.model import LiftStation

INCH = 0.0254


@dataclass(frozen=True, kw_only=True)
class Truth:
    """How a basin really is."""

    wear: float = 0.0  # share of its head that the pump has lost
    extra: float = 0.0  # K over the design's
    bore: float | None = None  # inside diameter of the line really laid [m]
    inflow: float = 6e-5  # [m³/s]
    leak: float = 0.0  # [m³/s]
    holds: float = inf  # water that can come back [m³]
    slip: float = 0.0  # how much too high the water of the fourth reading was noted while it pumped [m]
    seed: int | None = 1


def leaves(design: Design, station: LiftStation, level: float, truth: Truth, hole: float = 0.1875 * INCH) -> float:
    """Flow out of the basin: head of the sheet = lift + Hazen-Williams + K v²/2g, the hole by Torricelli x 0.61."""
    run = design.system.run(station.discharge_run)
    bore = run.pipe.inside if truth.bore is None else truth.bore
    curve = PchipInterpolator(station.pump.curve.flows, station.pump.curve.heads)
    length = run.length + max(run.invert_upper - station.floor - 0.15, 0.0)
    k = station.fittings_k + truth.extra

    def over(line: float) -> float:
        speed = line / (pi / 4 * bore**2)
        rough = run.pipe.hazen_williams
        assert rough is not None
        friction = 10.67 * length * (line / rough) ** 1.852 / bore**4.8704
        head = station.static_head - (level - station.off) + friction + k * speed**2 / (2 * 9.80665)
        squirts = 0.61 * pi / 4 * hole**2 * (2 * 9.80665 * max(head, 0.0)) ** 0.5
        whole = min(line + squirts, station.pump.curve.runout)
        return float(curve(whole)) * (1.0 - truth.wear) - head

    if over(0.0) <= 0.0:
        return 0.0
    top = station.pump.curve.runout
    return top if over(top) > 0.0 else float(brentq(over, 0.0, top, xtol=1e-12))


def basin_record(design: Design, station: LiftStation, truth: Truth, diameter: float | None = None) -> str:
    """The stretches of one basin's test as YAML."""
    run = design.system.run(station.discharge_run)
    area = pi / 4 * ((diameter or station.inside_diameter) ** 2 - run.pipe.outside**2)
    noise = np.random.default_rng(truth.seed)
    levels = np.linspace(station.floor, station.rim + 0.1, 60)
    table = np.array([leaves(design, station, float(level), truth) for level in levels])
    start = min(station.alarm, station.rim - 0.05)
    rest = np.arange(0.0, 300.1, 30.0)
    span = 0.9 * (start - station.off) * area / max(np.interp(start, levels, table) - truth.inflow, 1e-9)
    step = min(max(round(span / 10.0), 4), 10)
    pumping = np.arange(0.0, min(span, 11.0 * step) + 0.01, step)
    text = [f"  - basin: {station.name}", "    relief_squirts: true", "    alarm_sounds: true", "    stretches:"]
    for kind, high, times in (("shut", start - 0.1, rest), ("pumping", start, pumping), ("open", station.off, rest)):

        def rate(t: float, h: np.ndarray, kind: str = kind) -> list[float]:
            out = float(np.interp(h[0], levels, table)) if kind == "pumping" else 0.0
            back = truth.leak if kind == "open" and truth.leak * t < truth.holds else 0.0
            return [(truth.inflow + back - out) / area]

        seen = np.maximum(times + (noise.normal(0, 0.5, len(times)) if truth.seed is not None else 0.0), 0.0)
        found = solve_ivp(rate, (0, times[-1] + 5), [high], dense_output=True, rtol=1e-8, atol=1e-10, max_step=5.0)
        read = station.rim - found.sol(seen)[0]
        if truth.seed is not None:
            read = read + noise.normal(0, INCH / 16, len(times))
        if kind == "pumping":
            read[3] -= truth.slip
        pairs = ", ".join(f"[{t:.1f} s, {1000 * tape:.2f} mm]" for t, tape in zip(times, read, strict=True))
        text += [f"      - while: {kind}", f"        readings: [{pairs}]"]
    return "\n".join(text) + "\n"


def record(design: Design, *parts: str, extra: str = "") -> str:
    """A whole record."""
    head = f"schema_version: 1\njob: {design.job.number}\non: 2026-09-01\ninvented: true\n"
    return head + ("basins:\n" + "".join(parts) if parts else "") + extra
