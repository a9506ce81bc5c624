"""Parallel drains: spacing and flow by Hooghoudt, the ellipse equation, and the falling water table by Glover."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import Array, bisect, tidy, together
from drainwright.worksheet import Card, catalogued, quiet

_ODD = np.arange(1.0, 2001.0, 2.0)  # terms of the series


@catalogued(
    Card(
        title="Hooghoudt's equivalent depth (van der Molen)",
        symbol="d",
        expression="pi L / 8 / (ln(L / (pi r)) + F(x)), x = 2 pi D / L, F = sum over odd n of 4 "
        "exp(-2nx) / (n (1 - exp(-2nx))); at most D",
        units={"spacing": "m", "layer_depth": "m", "drain_radius": "m", "result": "m"},
        source="hooghoudt",
        expression_kind="procedure",
    )
)
def equivalent_depth(spacing: Floats, layer_depth: Floats, drain_radius: Floats) -> Floats:
    """Depth of a layer that, with level flow only, gives the flow of the real layer with its converging flow.

    Parameters
    ----------
    spacing : Floats
        Distance between drains, above zero. [m]
    layer_depth : Floats
        Depth from the drains to the impervious layer, above zero. [m]
    drain_radius : Floats
        Effective radius of the drain, above zero. [m]

    Returns
    -------
    Floats
        Equivalent depth, at most the true depth. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    1 000 terms of the series: good for layers deeper than a thousandth of the spacing.

    Examples
    --------
    >>> round(equivalent_depth(29.4, 5.0, 0.1), 2)
    2.27
    """
    require("above zero", np.greater, spacing=spacing, layer_depth=layer_depth, drain_radius=drain_radius)
    spacings, depths, radii = together(spacing, layer_depth, drain_radius)
    ratio = 2.0 * np.pi * depths / spacings
    decay = np.exp(-2.0 * np.multiply.outer(ratio, _ODD))
    series = np.sum(4.0 * decay / (_ODD * (1.0 - decay)), axis=-1)
    depth = np.pi * spacings / 8.0 / (np.log(spacings / (np.pi * radii)) + series)
    return tidy(np.minimum(depth, depths))


@catalogued(
    Card(
        title="Flow of parallel drains, Hooghoudt",
        symbol="q",
        expression="(8 * conductivity * equivalent_depth * head + 4 * conductivity * head ** 2) / spacing ** 2",
        units={"conductivity": "m/s", "equivalent_depth": "m", "head": "m", "spacing": "m", "result": "m/s"},
        source="hooghoudt",
    )
)
def hooghoudt_flow(conductivity: Floats, equivalent_depth: Floats, head: Floats, spacing: Floats) -> Floats:
    """Recharge that parallel drains carry: q L² = 8 K d h + 4 K h².

    Parameters
    ----------
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    equivalent_depth : Floats
        Hooghoudt's equivalent depth, zero or more. [m]
    head : Floats
        Height of the water table over the drains, midway, zero or more. [m]
    spacing : Floats
        Distance between drains, above zero. [m]

    Returns
    -------
    Floats
        Recharge that the drains carry away, for each area. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(hooghoudt_flow(0.14 / 86400, 2.27, 0.6, 29.4) * 86400 * 1000, 2)
    2.0
    """
    require("zero or more", np.greater_equal, equivalent_depth=equivalent_depth, head=head)
    require("above zero", np.greater, conductivity=conductivity, spacing=spacing)
    level = 8.0 * np.asarray(conductivity) * equivalent_depth * head
    above = 4.0 * np.asarray(conductivity) * np.asarray(head) ** 2
    return tidy((level + above) / np.asarray(spacing) ** 2)


@catalogued(
    Card(
        title="Height of the water table midway between drains, Hooghoudt",
        symbol="h",
        expression="sqrt(equivalent_depth ** 2 + recharge * spacing ** 2 / (4 * conductivity)) - equivalent_depth",
        units={"conductivity": "m/s", "recharge": "m/s", "equivalent_depth": "m", "spacing": "m", "result": "m"},
        source="hooghoudt",
    )
)
def hooghoudt_head(conductivity: Floats, recharge: Floats, equivalent_depth: Floats, spacing: Floats) -> Floats:
    """Height over the drains, midway, at which parallel drains carry a recharge: q L² = 8 K d h + 4 K h², for h.

    Parameters
    ----------
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    recharge : Floats
        Water that reaches the water table, for each area, zero or more. [m/s]
    equivalent_depth : Floats
        Hooghoudt's equivalent depth, zero or more. [m]
    spacing : Floats
        Distance between drains, above zero. [m]

    Returns
    -------
    Floats
        Height over the drains; zero without recharge. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(hooghoudt_head(0.14 / 86400, 0.002 / 86400, 2.27, 29.4), 2)
    0.6
    """
    require("zero or more", np.greater_equal, recharge=recharge, equivalent_depth=equivalent_depth)
    require("above zero", np.greater, conductivity=conductivity, spacing=spacing)
    depth = np.asarray(equivalent_depth)
    rise = np.asarray(recharge) * np.asarray(spacing) ** 2 / (4.0 * np.asarray(conductivity))
    return tidy(rise / (np.sqrt(depth**2 + rise) + depth + 1e-300))


@catalogued(
    Card(
        title="Spacing of parallel drains, Hooghoudt",
        symbol="L",
        expression="the spacing at which q L^2 = 8 K d(L) h + 4 K h^2, by bisection",
        units={
            "conductivity": "m/s",
            "recharge": "m/s",
            "head": "m",
            "layer_depth": "m",
            "drain_radius": "m",
            "result": "m",
        },
        source="hooghoudt",
        expression_kind="procedure",
    )
)
def hooghoudt_spacing(
    conductivity: Floats, recharge: Floats, head: Floats, layer_depth: Floats, drain_radius: Floats
) -> Floats:
    """Spacing at which parallel drains carry a recharge at a given water table.

    Parameters
    ----------
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    recharge : Floats
        Recharge to carry away, for each area, above zero. [m/s]
    head : Floats
        Height of the water table over the drains, midway, above zero. [m]
    layer_depth : Floats
        Depth from the drains to the impervious layer, above zero. [m]
    drain_radius : Floats
        Effective radius of the drain, above zero. [m]

    Returns
    -------
    Floats
        Spacing of the drains. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(hooghoudt_spacing(0.14 / 86400, 0.002 / 86400, 0.6, 5.0, 0.1), 1)
    29.4
    """
    require(
        "above zero",
        np.greater,
        conductivity=conductivity,
        recharge=recharge,
        head=head,
        layer_depth=layer_depth,
        drain_radius=drain_radius,
    )
    conductivities, recharges, heads, depths, radii = together(conductivity, recharge, head, layer_depth, drain_radius)
    most = np.sqrt((8.0 * conductivities * depths * heads + 4.0 * conductivities * heads**2) / recharges)

    def excess(spacing: Array) -> Array:
        depth = np.asarray(equivalent_depth(spacing, depths, radii))
        flow = np.asarray(hooghoudt_flow(conductivities, depth, heads, spacing))
        return np.asarray(recharges - flow)

    with quiet():
        low = np.minimum(4.0 * np.pi * radii, most)
        return tidy(bisect(excess, low, most))


@catalogued(
    Card(
        title="Spacing of parallel drains, ellipse equation",
        symbol="S",
        expression="sqrt(4 * conductivity * (head ** 2 + 2 * layer_depth * head) / recharge)",
        units={"conductivity": "m/s", "recharge": "m/s", "head": "m", "layer_depth": "m", "result": "m"},
        source="neh_16",
    )
)
def ellipse_spacing(conductivity: Floats, recharge: Floats, head: Floats, layer_depth: Floats) -> Floats:
    """Spacing by the ellipse equation, which leaves out the converging flow near the drains.

    Parameters
    ----------
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    recharge : Floats
        Recharge to carry away, for each area, above zero. [m/s]
    head : Floats
        Height of the water table over the drains, midway, above zero. [m]
    layer_depth : Floats
        Depth from the drains to the impervious layer, zero or more. [m]

    Returns
    -------
    Floats
        Spacing of the drains; never below Hooghoudt's. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(ellipse_spacing(0.14 / 86400, 0.002 / 86400, 0.6, 5.0), 1)
    42.2
    """
    require("zero or more", np.greater_equal, layer_depth=layer_depth)
    require("above zero", np.greater, conductivity=conductivity, recharge=recharge, head=head)
    square = np.asarray(head) ** 2 + 2.0 * np.asarray(layer_depth) * head
    return tidy(np.sqrt(4.0 * np.asarray(conductivity) * square / recharge))


@catalogued(
    Card(
        title="Share of the water left between drains, Glover",
        symbol="V/V_0",
        expression="8/pi^2 times the sum over odd n of exp(-n^2 pi^2 a t / L^2) / n^2",
        units={"diffusivity": "m²/s", "time": "s", "spacing": "m", "result": "-"},
        source="glover",
        expression_kind="procedure",
    )
)
def glover_volume(diffusivity: Floats, time: Floats, spacing: Floats) -> Floats:
    """Share of the water between parallel drains that is left after a time, from a level start.

    Parameters
    ----------
    diffusivity : Floats
        Conductivity times saturated thickness over drainable porosity, above zero. [m²/s]
    time : Floats
        Time since the water table stood level, zero or more. [s]
    spacing : Floats
        Distance between drains, above zero. [m]

    Returns
    -------
    Floats
        Share of the first volume that is still there, 1 to 0. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(glover_volume(1.0, 0.1, 1.0), 3)
    0.302
    """
    require("zero or more", np.greater_equal, time=time)
    require("above zero", np.greater, diffusivity=diffusivity, spacing=spacing)
    fall = np.asarray(np.pi**2 * np.asarray(diffusivity) * time / np.asarray(spacing) ** 2)
    terms = np.exp(-np.multiply.outer(fall, _ODD**2)) / _ODD**2
    return tidy(np.minimum(8.0 / np.pi**2 * np.sum(terms, axis=-1), 1.0))


@catalogued(
    Card(
        title="Height left midway between drains, Glover",
        symbol="y/y_0",
        expression="4/pi times the sum over odd n of (-1)^((n-1)/2) exp(-n^2 pi^2 a t / L^2) / n",
        units={"diffusivity": "m²/s", "time": "s", "spacing": "m", "result": "-"},
        source="glover",
        expression_kind="procedure",
    )
)
def glover_midpoint(diffusivity: Floats, time: Floats, spacing: Floats) -> Floats:
    """Share of the first height of the water table left midway between drains, from a level start.

    Parameters
    ----------
    diffusivity : Floats
        Conductivity times saturated thickness over drainable porosity, above zero. [m²/s]
    time : Floats
        Time since the water table stood level, zero or more. [s]
    spacing : Floats
        Distance between drains, above zero. [m]

    Returns
    -------
    Floats
        Share of the first height that is still there midway, 1 to 0. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(glover_midpoint(1.0, 0.1, 1.0), 3)
    0.474
    """
    require("zero or more", np.greater_equal, time=time)
    require("above zero", np.greater, diffusivity=diffusivity, spacing=spacing)
    fall = np.asarray(np.pi**2 * np.asarray(diffusivity) * time / np.asarray(spacing) ** 2)
    signs = np.where(_ODD % 4.0 == 1.0, 1.0, -1.0)
    terms = signs * np.exp(-np.multiply.outer(fall, _ODD**2)) / _ODD
    return tidy(np.clip(4.0 / np.pi * np.sum(terms, axis=-1), 0.0, 1.0))
