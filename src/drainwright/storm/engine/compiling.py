"""How the stepper's functions are compiled. Importing this module imports numba.

Compiled code is kept on disk: under ``NUMBA_CACHE_DIR`` if that is set, else beside these modules, else (where that
cannot be written) among the user's caches. Its folder is named after the text of all modules of the engine. Numba by
itself looks only at the file of the function that is called, and would go on with the old code of what it calls.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

from numba import config as _config
from numba import njit as _njit
from numba import types as _types

config: Any = _config
njit: Any = _njit
types: Any = _types
F = TypeVar("F", bound=Callable[..., Any])


def _tidy(base: Path) -> None:
    """Remove compiled code of older texts, but the newest."""
    old = [folder for folder in base.glob("[0-9a-f]" * 16) if folder.is_dir()]
    for folder in sorted(old, key=lambda one: one.stat().st_mtime)[:-1]:
        shutil.rmtree(folder, ignore_errors=True)


def _shelf() -> str:
    """The folder for compiled code."""
    here = Path(__file__).parent
    text = b"\0".join(path.read_bytes() for path in sorted(here.glob("*.py")))
    name = hashlib.sha256(text).hexdigest()[:16]
    beside, home = here / "__pycache__", os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    for base in (config.CACHE_DIR or beside, Path(home) / "drainwright", Path(tempfile.gettempdir()) / "drainwright"):
        folder = Path(base) / name
        try:
            if not folder.exists():
                _tidy(folder.parent)
            folder.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=folder):
                return str(folder)
        except OSError:
            continue
    raise OSError("no folder can be written for compiled code; expected one in NUMBA_CACHE_DIR")


_SHELF = _shelf()


def _jitted(function: F, **options: Any) -> Any:
    before = config.CACHE_DIR
    config.CACHE_DIR = _SHELF
    try:
        made = njit(cache=True, error_model="numpy", no_cfunc_wrapper=True, **options)(function)
    finally:
        config.CACHE_DIR = before
    if not config.DISABLE_JIT:
        typed = made.get_call_template  # a constant as any other number: else it is compiled anew for each constant
        made.get_call_template = lambda args, kws: typed([types.unliteral(arg) for arg in args], kws)
    return made


def compiled(function: F) -> F:
    """The function compiled by numba, and kept. It leaves Python to other threads while it runs.

    The plain function stays under ``.py_func``; with ``NUMBA_DISABLE_JIT=1`` in the environment all stay plain.
    """
    return cast(F, _jitted(function, nogil=True))


def inner(function: F) -> F:
    """The same for a function of the inner loop that lays out no array.

    Numba then counts no references to the arrays that it is given, which takes longer than the arithmetic.
    """
    return cast(F, _jitted(function, _nrt=False))


__all__ = ["compiled", "inner"]
