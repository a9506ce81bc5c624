"""Grids of ground levels: GeoTIFF and ESRI ASCII, each cell's middle a shot."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from drainwright.exchange.shots import HIGHEST, LOWEST, METRES, FileError, LengthUnit, Shots, regular_file, said_unit

MOST_BYTES = 400_000_000
MOST_CELLS = 16_000_000  # 2 km by 2 km at half a metre; told from the header before anything is unpacked
MISSING = "pip install drainwright[grids]"
_WANTED = "a GeoTIFF or an ESRI ASCII grid of ground levels"


def read_grid(
    path: str | Path,
    unit: LengthUnit | None = None,
    level_unit: LengthUnit | None = None,
) -> Shots:
    """Read a grid of levels.

    Parameters
    ----------
    path : str | Path
        GeoTIFF, or ESRI ASCII grid (``.asc``, its ``.prj`` beside it), one band.
    unit : {"m", "ft", "US survey ft"}, optional
        Of the plan; left out, the file's coordinate system must say it.
    level_unit : same, optional
        Of the levels; left out: as the band says, else as the plan, and the notes say so.

    Returns
    -------
    Shots
        A shot for each cell that holds a level.

    Raises
    ------
    FileError
        If the library is missing, the file is damaged, too large, in degrees, or without a unit, or holds none but
        empty cells, or levels that no ground has.
    """
    path = Path(path)
    regular_file(path, MOST_BYTES)
    try:
        import rasterio
        from rasterio.errors import RasterioError
    except ImportError:
        raise FileError("a grid, and no library to read it", "the extra 'grids'", MISSING, path.name) from None
    try:
        with (
            rasterio.Env(GDAL_DISABLE_READDIR_ON_OPEN="TRUE", GDAL_PAM_ENABLED="NO", CPL_DEBUG=False),
            rasterio.open(path, driver="AAIGrid" if path.suffix.lower() == ".asc" else "GTiff") as grid,
        ):
            return _read(grid, path.name, unit, level_unit)
    except RasterioError as error:
        words = " ".join(str(error.__cause__ or error).replace(str(path), path.name).split())[:120]
        raise FileError(
            f"a grid that cannot be read ({words})", _WANTED, "copy or export the file again", path.name
        ) from None


def _read(grid: Any, file: str, unit: LengthUnit | None, level_unit: LengthUnit | None) -> Shots:
    if grid.count != 1 or np.dtype(grid.dtypes[0]).kind not in "iuf":
        raise FileError(f"{grid.count} bands of {grid.dtypes[0]}", "one band of levels", "no picture", file)
    if grid.width * grid.height > MOST_CELLS:
        raise FileError(
            f"{grid.width:,} by {grid.height:,} cells", f"at most {MOST_CELLS / 1e6:.0f} million",
            "cut out the lot and its surroundings before", file,
        )  # fmt: skip
    if grid.transform.is_identity:
        raise FileError("a grid that does not say where it lies", "a grid with corner and cell size", file=file)
    if not all(np.isfinite(tuple(grid.transform)[:6])) or grid.transform.determinant == 0.0:
        raise FileError("cells without a size", "a grid with corner and cell size", file=file)
    plan_unit = _plan_unit(grid, unit, file)
    band_unit = said_unit(grid.units[0] or "")
    if level_unit is not None and band_unit is not None and level_unit != band_unit:
        raise FileError(f"{band_unit} as the unit of levels in the file, and {level_unit} given", "one", file=file)
    height_unit = level_unit or band_unit or plan_unit
    notes = []
    if level_unit is None and band_unit is None:
        notes.append(f"The grid does not say the unit of its levels: taken as its plan's, {plan_unit}.")
    cells = grid.read(1)
    levels = cells.astype(np.float64) * METRES[height_unit]
    good = np.isfinite(levels) & (grid.read_masks(1) > 0)  # the mask knows the value for no data
    empty = int((~good).sum())
    row, column = np.nonzero(good)
    a, b, c, d, e, f = tuple(grid.transform)[:6]
    metres = METRES[plan_unit]
    east = (a * (column + 0.5) + b * (row + 0.5) + c) * metres
    north = (d * (column + 0.5) + e * (row + 0.5) + f) * metres
    if not len(row):
        raise FileError("no cell with a level", _WANTED, file=file)
    height = levels[good]
    odd = (height < LOWEST) | (height > HIGHEST)
    if odd.any():
        raise FileError(
            f"{int(odd.sum()):,} cells such as {height[odd][0]:g} m", "levels of ground",
            "say in the grid which value means no data; check the unit of levels", file,
        )  # fmt: skip
    return Shots(
        source=file, east=east, north=north, level=height, unit=plan_unit, level_unit=height_unit,
        notes=tuple(notes), dropped={"empty cells": empty} if empty else {},
    )  # fmt: skip


def _plan_unit(grid: Any, unit: LengthUnit | None, file: str) -> LengthUnit:
    said: LengthUnit | None = None
    if grid.crs is not None:
        if grid.crs.is_geographic:
            raise FileError(
                "a grid in longitude and latitude", "a grid in metres or feet",
                "project it to the place's own map grid before", file,
            )  # fmt: skip
        said = unit_of_factor(float(grid.crs.linear_units_factor[1])) if grid.crs.is_projected else None
    if unit is not None and said is not None and unit != said:
        raise FileError(f"{said} as the unit in the file, and {unit} given", "one of them", file=file)
    if said is None and unit is None:
        raise FileError("a grid that does not say its unit", "a unit that is given: m, ft, or US survey ft", file=file)
    return said or unit or "m"


def unit_of_factor(factor: float) -> LengthUnit | None:
    """The unit that is so many metres; None where it is none of ours."""
    return next((unit for unit, metres in METRES.items() if abs(factor / metres - 1.0) < 1e-7), None)


__all__ = ["read_grid", "unit_of_factor"]
