"""What a file of ground shots says, whatever its format: places and levels in metres, and what was passed over."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drainwright.errors import InputError, Problem

Array = NDArray[np.float64]
LengthUnit = Literal["m", "ft", "US survey ft"]

METRES: Mapping[LengthUnit, float] = MappingProxyType({"m": 1.0, "ft": 0.3048, "US survey ft": 1200.0 / 3937.0})
SPOKEN: Mapping[str, LengthUnit] = MappingProxyType(
    {
        **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
        **dict.fromkeys(("ft", "feet", "foot", "ift", "int ft", "international feet", "international foot"), "ft"),
        **dict.fromkeys(
            ("us survey ft", "us-survey-ft", "us survey feet", "us survey foot", "usft", "us-ft", "us ft", "ftus",
             "sft", "survey feet", "survey ft"), "US survey ft",
        ),
    }
)  # fmt: skip
LOWEST, HIGHEST = -500.0, 9000.0  # of any ground on earth, with room: a level beyond is a mark for "no data" [m]
MOST_KEPT = 3_000_000  # shots held at once: about 70 MB


class FileError(InputError):
    """A file that cannot be used; ``problem`` says what was found, and what would be right."""

    def __init__(self, found: str, expected: str, hint: str = "", file: str = "", line: int | None = None) -> None:
        self.problem = Problem(where="", found=found, expected=expected, hint=hint, file=file, line=line)
        super().__init__(str(self.problem))


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Where a tangent plane touches the earth, for files in longitude and latitude."""

    longitude: float  # [deg]
    latitude: float  # [deg]
    height: float  # [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shots:
    """Ground shots as a file gives them, in its own frame. Arrays of one length, not to be written to."""

    source: str  # the file's name
    east: Array  # shape (n,) [m]
    north: Array  # [m]
    level: Array  # [m]
    names: tuple[str, ...] = ()  # of the points; empty: the file names none
    codes: tuple[str, ...] = ()  # what each stands on; empty: the file says nothing
    unit: LengthUnit = "m"  # of the file's plan
    level_unit: LengthUnit = "m"
    origin: Origin | None = None  # of a file in longitude and latitude; its frame is the plane that touches there
    notes: tuple[str, ...] = ()
    dropped: Mapping[str, int] = field(default_factory=dict)  # how many were left out, by reason

    def __post_init__(self) -> None:
        for name in ("east", "north", "level"):
            values = np.array(getattr(self, name), dtype=np.float64)
            values.flags.writeable = False
            object.__setattr__(self, name, values)

    def __len__(self) -> int:
        return len(self.east)

    @property
    def plan(self) -> Array:
        """East and north, shape (n, 2). [m]"""
        return np.stack([self.east, self.north], axis=1)

    def where(self, kept: ArrayLike, reason: str) -> Shots:
        """Those marked true (shape (n,)); the others are counted under the reason."""
        chosen = np.asarray(kept, dtype=bool)
        lost = int((~chosen).sum())
        if not lost:
            return self
        rows = np.flatnonzero(chosen).tolist()
        return dataclasses.replace(
            self,
            east=self.east[chosen], north=self.north[chosen], level=self.level[chosen],
            names=tuple(self.names[n] for n in rows) if self.names else (),
            codes=tuple(self.codes[n] for n in rows) if self.codes else (),
            dropped={**self.dropped, reason: self.dropped.get(reason, 0) + lost},
        )  # fmt: skip

    def to_frame(self, in_file: tuple[float, float]) -> tuple[float, float]:
        """A place written as the file writes it (east and north in its unit, or longitude and latitude), in metres."""
        if self.origin is None:
            return (in_file[0] * METRES[self.unit], in_file[1] * METRES[self.unit])
        east, north = tangent_plane(np.array([in_file[0]]), np.array([in_file[1]]), self.origin)
        return (float(east[0]), float(north[0]))


def within(shots: Shots, centre: tuple[float, float], radius: float) -> Shots:
    """Shots at most so far from a place of the file's frame. [m]"""
    near = np.hypot(shots.east - centre[0], shots.north - centre[1]) <= radius
    return shots.where(near, "too far off")


def coded(shots: Shots, codes: Sequence[str]) -> Shots:
    """Shots of some codes, capitals or not; all where no code is asked for.

    Raises
    ------
    FileError
        If the file has no codes, or none of these.
    """
    wanted = {code.strip().lower() for code in codes}
    if not wanted:
        return shots
    there = sorted({code for code in shots.codes if code})
    if not there:
        raise FileError("a file without codes", "codes only for a points file that has them", file=shots.source)
    few = shots.where([code.strip().lower() in wanted for code in shots.codes], "of other codes")
    if not len(few):
        hint = f"there are: {counted(there, 8)}"
        raise FileError(f"no shot of the code {' or '.join(codes)}", "a code of the file", hint, shots.source)
    return few


def thinned(shots: Shots, spacing: float) -> Shots:
    """One shot for each square: the one whose level is the median of its square.

    Parameters
    ----------
    shots : Shots
        The shots.
    spacing : float
        Side of a square, above zero. [m]

    Returns
    -------
    Shots
        Shots as they were measured, in their first order; of an even number in a square the lower of the two in
        the middle.

    Raises
    ------
    InputError
        If the spacing is not a finite number above zero.
    """
    if not (math.isfinite(spacing) and spacing > 0.0):
        raise InputError(f"spacing = {spacing!r}: expected a finite number above zero")
    if len(shots) < 2:
        return shots
    across, up = np.floor(shots.east / spacing), np.floor(shots.north / spacing)  # so that a second time takes none
    order = np.lexsort((np.arange(len(shots)), shots.level, up, across))
    new = np.flatnonzero((np.diff(across[order]) != 0) | (np.diff(up[order]) != 0)) + 1
    first = np.concatenate([[0], new])
    last = np.concatenate([new, [len(shots)]]) - 1
    kept = np.zeros(len(shots), dtype=bool)
    kept[order[(first + last) // 2]] = True
    return shots.where(kept, "thinned")


def thinned_to(shots: Shots, most: int, spacing: float | None = None) -> tuple[Shots, float | None]:
    """Thin to a spacing, and on by steps of a quarter until no more than ``most`` are left.

    Returns
    -------
    tuple
        The shots, and the spacing that was needed, None where none was. [m]
    """
    if spacing is not None:
        shots = thinned(shots, spacing)
    if len(shots) <= most:
        return shots, spacing
    wide = max(float(np.ptp(shots.east)), float(np.ptp(shots.north)), 1e-3)
    step = max(spacing or 0.0, round_up(0.5 * wide / math.sqrt(most)))
    while len(shots) > most:
        shots = thinned(shots, step)
        if len(shots) > most:
            step = round_up(1.25 * step)
    return shots, step


def round_up(value: float) -> float:
    """The next number of two digits above."""
    power = 10.0 ** (math.floor(math.log10(value)) - 1)
    return float(f"{math.ceil(value / power - 1e-9) * power:.2g}")


def tangent_plane(longitude: Array, latitude: Array, origin: Origin) -> tuple[Array, Array]:
    """East and north on the plane that touches the earth at a place.

    Parameters
    ----------
    longitude, latitude : Array
        On the WGS 84 ellipsoid, one shape. [deg]
    origin : Origin
        Where the plane touches, at the height of the ground, so that lengths are those of the ground.

    Returns
    -------
    tuple of Array
        East and north. [m]

    Notes
    -----
    Geocentric coordinates of both, turned to east, north, up (Hofmann-Wellenhof, Lichtenegger and Wasle, GNSS,
    2008, sec. 8.2.2; from memory). All places are taken at the origin's height: within 1 km the length error is
    below 1 in 10⁷.
    """
    place = _geocentric(longitude, latitude, origin.height)
    base = _geocentric(np.array(origin.longitude), np.array(origin.latitude), origin.height)
    away = place - base[:, None] if place.ndim > 1 else place - base
    lam, phi = math.radians(origin.longitude), math.radians(origin.latitude)
    east = -math.sin(lam) * away[0] + math.cos(lam) * away[1]
    north = -math.sin(phi) * math.cos(lam) * away[0] - math.sin(phi) * math.sin(lam) * away[1] + math.cos(phi) * away[2]
    return east, north


def _geocentric(longitude: Array, latitude: Array, height: float) -> Array:
    """Earth-centred coordinates, shape (3, ...), WGS 84. [m]"""
    axis, flattening = 6378137.0, 1.0 / 298.257223563
    square = flattening * (2.0 - flattening)
    lam, phi = np.radians(longitude), np.radians(latitude)
    normal = axis / np.sqrt(1.0 - square * np.sin(phi) ** 2)
    return np.stack(
        [
            (normal + height) * np.cos(phi) * np.cos(lam),
            (normal + height) * np.cos(phi) * np.sin(lam),
            (normal * (1.0 - square) + height) * np.sin(phi),
        ]
    )


def regular_file(path: Path, most: int) -> int:
    """Size of a regular file. [bytes]

    Raises
    ------
    FileError
        If there is no such file, it is a folder or a device, it is empty, or larger than ``most``.
    """
    wanted = "a file of ground shots (CSV, GeoJSON, GeoTIFF, ASCII grid, LAS or LAZ)"
    try:
        if not path.is_file():
            found = "a folder" if path.is_dir() else "no such file" if not path.exists() else "no regular file"
            raise FileError(found, wanted, file=path.name)
        size = path.stat().st_size
    except FileError:
        raise
    except (OSError, ValueError) as error:
        raise FileError(f"a file that cannot be read ({error})", wanted, file=path.name) from None
    if size == 0:
        raise FileError("an empty file", wanted, file=path.name)
    if size > most:
        hint = "cut out the lot and its surroundings, or thin the points, before"
        raise FileError(f"a file of {size / 1e6:,.0f} MB", f"at most {most / 1e6:,.0f} MB", hint, path.name)
    return size


def read_text(path: Path, most: int) -> str:
    """The text of a file: UTF-8 or UTF-16 by its mark, else UTF-8, else Latin-1.

    Raises
    ------
    FileError
        If it is no such file, or holds binary content.
    """
    regular_file(path, most)
    try:
        with path.open("rb") as stream:
            data = stream.read(most)
    except OSError as error:
        raise FileError(f"a file that cannot be read ({error.strerror})", "a text file", file=path.name) from None
    try:
        if data.startswith((b"\xff\xfe", b"\xfe\xff")):
            return data.decode("utf-16")
        if b"\x00" not in data:
            return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        if b"\x00" not in data:
            return data.decode("latin-1")
    raise FileError("binary content (a NUL byte)", "a text file", file=path.name)


def said_unit(text: str) -> LengthUnit | None:
    """The unit that some words name; None where they name none."""
    return SPOKEN.get(" ".join(text.lower().replace(".", "").split()))


def short(text: str, most: int = 50) -> str:
    """Show what was found in a few characters."""
    shown = repr(text)
    return shown if len(shown) <= most else f"{shown[: most - 4]}...'"


def counted(parts: Sequence[str], most: int = 5) -> str:
    """A list in words, cut after a few."""
    more = f" and {len(parts) - most} more" if len(parts) > most else ""
    return ", ".join(parts[:most]) + more


__all__ = [
    "HIGHEST", "LOWEST", "METRES", "MOST_KEPT", "Array", "FileError", "LengthUnit", "Origin", "Shots", "coded",
    "counted", "read_text", "regular_file", "round_up", "said_unit", "short", "tangent_plane", "thinned", "thinned_to",
    "within",
]  # fmt: skip
