"""Scripts, styles, pictures and fonts: read once, named by their content, kept by browsers for a year."""

from __future__ import annotations

import gzip
import hashlib
import importlib.util
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib.resources import files
from io import BytesIO
from pathlib import Path, PurePosixPath

from drainwright.errors import InputError

PACKAGE = "drainwright_assets"
BUILD = "python -m pip install --no-deps --editable . (in the source folder), or install a wheel"
FACES = {  # name in the style sheet: file of the font package
    "text.woff": "SourceSansPro-Regular.ttf",
    "text-italic.woff": "SourceSansPro-It.ttf",
    "text-strong.woff": "SourceSansPro-Semibold.ttf",
}
TYPES = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".woff": "font/woff",
}
PACKED = {".css", ".js", ".svg", ".txt"}  # the others are packed already


class MissingAssetError(InputError):
    """A page needs a file that the bundle has not: it was not built, or of another version."""

    def __init__(self, name: str) -> None:
        super().__init__(f"front end: found no {name!r} in its bundle; expected one of this version. Run: {BUILD}")


@dataclass(frozen=True)
class Asset:
    """One file as it is served."""

    body: bytes
    kind: str  # media type

    @cached_property
    def packed(self) -> bytes:
        """The body by gzip; the same bytes at every start."""
        return gzip.compress(self.body, mtime=0)


@dataclass(frozen=True)
class Assets:
    """All files of the front end."""

    names: Mapping[str, str]  # plain name: name by content
    served: Mapping[str, Asset]  # by name by content
    worker: bytes
    licences: bytes

    def url(self, name: str) -> str:
        """Address of an asset by its plain name.

        Raises
        ------
        MissingAssetError
            If the bundle has none; tells how to make one.
        """
        if name not in self.names:
            raise MissingAssetError(name)
        return f"/assets/{self.names[name]}"

    @cached_property
    def digest(self) -> str:
        """SHA-256 over all of it: changes when anything does."""
        sums = hashlib.sha256(self.worker)
        for name in sorted(self.served):
            sums.update(name.encode() + b"\0" + self.served[name].body)
        return sums.hexdigest()


def _folder() -> Path:
    spec = importlib.util.find_spec(PACKAGE)
    places = list(spec.submodule_search_locations or ()) if spec else []
    if not places:
        raise InputError(f"the front end is not installed; expected the package {PACKAGE}. Run: {BUILD}")
    return Path(places[0])


def _font(file: str) -> bytes:
    """A face of Source Sans as WOFF, which is a third of its TrueType file."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with files("font_source_sans_pro").joinpath("files", file).open("rb") as handle:
        font = TTFont(handle, recalcTimestamp=False)
        font.flavor = "woff"
        out = BytesIO()
        font.save(out)
    return out.getvalue()


def _name_fonts(names: dict[str, str], served: dict[str, Asset]) -> None:
    """Put the fonts' names by content into the style sheet, which gets another name by that."""
    sheet = served.pop(names["office.css"])
    body = sheet.body
    for plain in FACES:
        body = body.replace(plain.encode(), names[plain].encode())
    names["office.css"] = f"office-{hashlib.sha256(body).hexdigest()[:8].upper()}.css"
    served[names["office.css"]] = Asset(body, sheet.kind)


def read_assets(folder: Path | None = None) -> Assets:
    """Read the front end's bundle and the fonts.

    Parameters
    ----------
    folder : Path, optional
        Of the bundle; the installed one if left out.

    Returns
    -------
    Assets
        All in memory, under a megabyte.

    Raises
    ------
    InputError
        If there is no bundle; tells how to make one.
    """
    folder = _folder() if folder is None else folder
    listing = folder / "assets.json"
    if not listing.exists():
        raise InputError(f"{folder}: found no assets.json; expected the front end's bundle. Run: {BUILD}")
    names: dict[str, str] = json.loads(listing.read_text(encoding="utf-8"))
    served: dict[str, Asset] = {}
    for path in sorted(folder.iterdir()):
        kind = TYPES.get(path.suffix)
        if path.is_file() and kind and path.name not in {"worker.js", "licences.txt"}:
            served[path.name] = Asset(path.read_bytes(), kind)
    for plain, file in FACES.items():
        body = _font(file)
        stem, suffix = PurePosixPath(plain).stem, PurePosixPath(plain).suffix
        names[plain] = f"{stem}-{hashlib.sha256(body).hexdigest()[:8].upper()}{suffix}"
        served[names[plain]] = Asset(body, TYPES[suffix])
    _name_fonts(names, served)
    licences = (folder / "licences.txt").read_bytes()
    ours = files("font_source_sans_pro").joinpath("files", "LICENSE.txt").read_bytes()
    return Assets(
        names=names,
        served=served,
        worker=(folder / "worker.js").read_bytes(),
        licences=licences + b"\n" + b"-" * 80 + b"\n\nSource Sans (SIL Open Font License)\n\n" + ours,
    )


__all__ = ["FACES", "PACKED", "Asset", "Assets", "MissingAssetError", "read_assets"]
