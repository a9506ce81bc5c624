"""Any file of ground shots, told apart by its ending."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from drainwright.exchange.clouds import read_cloud
from drainwright.exchange.geojson import read_geojson
from drainwright.exchange.grids import read_grid
from drainwright.exchange.points_csv import read_points
from drainwright.exchange.shots import FileError, LengthUnit, Shots

ENDINGS = {
    "points": (".csv", ".txt", ".pnezd", ".pts", ".xyz"),
    "GeoJSON": (".geojson", ".json"),
    "a grid": (".tif", ".tiff", ".asc"),
    "a cloud": (".las", ".laz"),
}


def read_shots(
    path: str | Path,
    unit: LengthUnit | None = None,
    level_unit: LengthUnit | None = None,
    columns: Sequence[str] = (),
) -> Shots:
    """Read ground shots from a file of any of the formats.

    Parameters
    ----------
    path : str | Path
        The ending tells the format: ``.csv``, ``.txt``, ``.pts``, ``.xyz``; ``.geojson``, ``.json``; ``.tif``,
        ``.asc``; ``.las``, ``.laz``.
    unit, level_unit : {"m", "ft", "US survey ft"}, optional
        Of plan and levels, where the file does not say them.
    columns : sequence of str
        Of a points file without headings; see ``read_points``.

    Returns
    -------
    Shots
        In metres, in the file's own frame.

    Raises
    ------
    FileError
        If the file cannot be read; says what was found and what would be right.
    """
    path = Path(path)
    ending = path.suffix.lower()
    if columns and ending not in ENDINGS["points"]:
        raise FileError(f"columns for a file {ending!r}", "columns with a points file only", file=path.name)
    if ending in ENDINGS["a grid"]:
        return read_grid(path, unit, level_unit)
    if ending in ENDINGS["a cloud"]:
        return read_cloud(path, unit, level_unit)
    if ending in ENDINGS["GeoJSON"]:
        return read_geojson(path, unit, level_unit)
    if ending in ENDINGS["points"]:
        return read_points(path, unit, level_unit, columns)
    known = ", ".join(name for endings in ENDINGS.values() for name in endings)
    raise FileError(f"the ending {path.suffix!r}", f"one of {known}", file=path.name)


__all__ = ["ENDINGS", "read_shots"]
