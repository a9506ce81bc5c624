"""Green and Ampt infiltration: Rawls 1983 parameters, published examples, and the differential equation by scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest

from drainwright.hydraulics.overland import plane_runoff
from drainwright.job.site import Texture
from drainwright.water.soil import (
    SOILS,
    green_ampt_cumulative,
    green_ampt_excess,
    green_ampt_step,
    infiltration_capacity,
)

INCH = 0.0254
CM_PER_HOUR = 0.01 / 3600


@pytest.mark.parametrize(
    ("texture", "porosity", "effective", "suction", "conductivity"),
    [
        ("sand", 0.437, 0.417, 4.95, 11.78), ("loamy sand", 0.437, 0.401, 6.13, 2.99),
        ("sandy loam", 0.453, 0.412, 11.01, 1.09), ("loam", 0.463, 0.434, 8.89, 0.34),
        ("silt loam", 0.501, 0.486, 16.68, 0.65), ("sandy clay loam", 0.398, 0.330, 21.85, 0.15),
        ("clay loam", 0.464, 0.309, 20.88, 0.10), ("silty clay loam", 0.471, 0.432, 27.30, 0.10),
        ("sandy clay", 0.430, 0.321, 23.90, 0.06), ("silty clay", 0.479, 0.423, 29.22, 0.05),
        ("clay", 0.475, 0.385, 31.63, 0.03),
    ],
)  # fmt: skip
def test_parameters_by_texture(
    texture: Texture, porosity: float, effective: float, suction: float, conductivity: float
) -> None:
    """Rawls, Brakensiek and Miller, J. Hydr. Eng. 109(1), 1983, as in Chow 1988 Table 4.3.1: seen in transcription."""
    soil = SOILS[texture]
    assert (soil.porosity, soil.effective_porosity) == (porosity, effective)
    assert soil.suction == pytest.approx(suction / 100)
    assert soil.infiltration_conductivity == pytest.approx(conductivity * CM_PER_HOUR)


def test_one_hour_on_silt_loam() -> None:
    """Chow, Maidment and Mays 1988, Example 4.3.1: F = 3.17 cm, f = 1.81 cm/h (from memory; exact 3.166, 1.816)."""
    infiltrated = green_ampt_cumulative(3600.0, 0.65 * CM_PER_HOUR, 0.167, 0.340)
    assert infiltrated == pytest.approx(0.0317, abs=0.0001)
    rate = infiltration_capacity(infiltrated, 0.65 * CM_PER_HOUR, 0.167, 0.340)
    assert rate / CM_PER_HOUR == pytest.approx(1.81, abs=0.01)


def test_no_suction_leaves_what_passes_the_conductivity() -> None:
    """T. G. Cleveland's Green-Ampt notes (Texas Tech CE 3354), p. 12, seen: hourly rain, K = 0.5 in/h, no suction."""
    rain = [
        0.16, 0.17, 0.19, 0.20, 0.21, 0.24, 0.27, 0.31, 0.37, 0.46, 0.66, 1.29, 4.63, 0.85, 0.54, 0.41, 0.33, 0.29,
        0.26, 0.23, 0.21, 0.19, 0.18, 0.17,
    ]  # fmt: skip
    excess = np.cumsum(green_ampt_excess(np.array(rain) * INCH, 3600.0, 0.5 * INCH / 3600, 0.0, 0.3)) / INCH
    assert excess[[10, 11, 12, 13, 14, 23]] == pytest.approx([0.16, 0.95, 5.08, 5.43, 5.47, 5.47], abs=0.001)


@pytest.mark.parametrize("texture", list(SOILS))
def test_ponded_infiltration_solves_the_differential_equation(texture: Texture) -> None:
    """dF/dt = K (1 + S/F), integrated by scipy as d(F²)/dt = 2 K (F + S) to be smooth at the start."""
    from scipy.integrate import solve_ivp

    soil = SOILS[texture]
    rate, store = soil.infiltration_conductivity, soil.suction * soil.deficit(0.4)
    times = np.array([60.0, 600.0, 3600.0, 6 * 3600.0])
    solved = solve_ivp(
        lambda _, square: 2 * rate * (np.sqrt(np.maximum(square, 0.0)) + store),
        (0.0, times[-1]), [0.0], t_eval=times, rtol=1e-10, atol=1e-16,
    )  # fmt: skip
    found = [green_ampt_cumulative(time, rate, soil.suction, soil.deficit(0.4)) for time in times]
    assert found == pytest.approx(np.sqrt(solved.y[0]), rel=1e-6)


@pytest.mark.parametrize("texture", ["sandy loam", "loam", "clay"])
def test_rain_that_begins_to_pond_within_a_step(texture: Texture) -> None:
    """dF/dt = min(i, K (1 + S/F)) through a burst, by scipy in short stretches."""
    from scipy.integrate import solve_ivp

    soil = SOILS[texture]
    rate, store = soil.infiltration_conductivity, soil.suction * soil.deficit(0.4)
    depths = np.array([2.0, 8.0, 30.0, 12.0, 3.0, 1.0]) / 1000
    total = ours = 1e-12
    for depth in depths:
        intensity = depth / 600.0
        solved = solve_ivp(
            lambda _, f, i=intensity: np.minimum(i, rate * (1 + store / np.maximum(f, 1e-15))),
            (0.0, 600.0), [total], rtol=1e-9, atol=1e-14, max_step=1.0,
        )  # fmt: skip
        total = float(solved.y[0, -1])
        ours = green_ampt_step(ours, depth, 600.0, rate, soil.suction, soil.deficit(0.4))
        assert ours == pytest.approx(total, rel=1e-4)
    excess = green_ampt_excess(depths, 600.0, rate, soil.suction, soil.deficit(0.4))
    assert math.fsum(excess) == pytest.approx(math.fsum(depths) - ours, abs=1e-9)


SILT_LOAM = (0.65 * CM_PER_HOUR, 0.0568)  # K and suction times deficit of Chow's examples 5.4.1 and 5.4.2


def on_a_short_plane(rain: list[float], step: float, conductivity: float, store: float) -> tuple[float, float]:
    """Runoff and infiltration [m] of a steep plane a centimetre long: what the soil leaves is gone at once."""
    one = [np.array([value]) for value in (0.01, 1e3, conductivity, store)]
    outflow, infiltrated, _ = plane_runoff(np.array(rain), step, *one, 1, 1)
    return float(outflow.sum() * step / 0.01), float(infiltrated[0])


@pytest.mark.parametrize(("intensity", "hours", "depth"), [(1.0, 10.5, 10.5), (5.0, 0.17, 0.85)])
def test_ponding_time(intensity: float, hours: float, depth: float) -> None:
    """Chow, Maidment and Mays 1988, Example 5.4.1 (from memory): silt loam, 30 % full, suction times deficit 5.68 cm.

    Rain of 1 cm/h stands after 10.5 h and as many cm, of 5 cm/h after 0.17 h and 0.85 cm: to their rounding.
    """
    conductivity, store = SILT_LOAM
    before, _ = on_a_short_plane([intensity * CM_PER_HOUR], hours * 3600 * 0.97, conductivity, store)
    after, sunk = on_a_short_plane([intensity * CM_PER_HOUR], hours * 3600 * 1.03, conductivity, store)
    assert before == 0.0
    assert after > 0.0
    assert sunk * 100 == pytest.approx(depth, rel=0.03)


def test_one_hour_of_rain_on_silt_loam() -> None:
    """Example 5.4.2 (from memory): after 1 h of 5 cm/h F = 3.02 cm have gone in, f = 1.87 cm/h."""
    conductivity, store = SILT_LOAM
    shed, sunk = on_a_short_plane([5 * CM_PER_HOUR] * 60, 60.0, conductivity, store)
    assert sunk * 100 == pytest.approx(3.02, abs=0.006)
    assert shed + sunk == pytest.approx(0.05, rel=1e-4)  # the rest still stands
    rate = infiltration_capacity(sunk, conductivity, 0.0568, 1.0)
    assert rate / CM_PER_HOUR == pytest.approx(1.87, abs=0.01)


@pytest.mark.parametrize("texture", ["sand", "loam", "silty clay loam", "clay"])
def test_a_short_plane_is_green_and_ampt_alone(texture: Texture) -> None:
    """Through a burst and a lull, step by step, with ponding that begins within a step."""
    soil = SOILS[texture]
    depths = np.array([2.0, 8.0, 30.0, 12.0, 0.0, 3.0, 25.0, 1.0]) / 1000
    excess = green_ampt_excess(depths, 600.0, soil.infiltration_conductivity, soil.suction, soil.deficit(0.4))
    store = soil.suction * soil.deficit(0.4)
    shed, sunk = on_a_short_plane(list(depths / 600.0), 600.0, soil.infiltration_conductivity, store)
    assert shed == pytest.approx(math.fsum(excess), rel=1e-3, abs=1e-7)  # a film stays on the plane between steps
    assert sunk == pytest.approx(math.fsum(depths) - math.fsum(excess), rel=5e-4)  # where that sinks in the lull


def test_no_suction_on_a_plane() -> None:
    """The notes' 24 hourly depths (p. 12) over a plane: 5.47 in run off, the same as without it."""
    rain = [
        0.16, 0.17, 0.19, 0.20, 0.21, 0.24, 0.27, 0.31, 0.37, 0.46, 0.66, 1.29, 4.63, 0.85, 0.54, 0.41, 0.33, 0.29,
        0.26, 0.23, 0.21, 0.19, 0.18, 0.17,
    ]  # fmt: skip
    shed, _ = on_a_short_plane([depth * INCH / 3600 for depth in rain], 3600.0, 0.5 * INCH / 3600, 0.0)
    assert shed / INCH == pytest.approx(5.47, abs=0.002)
