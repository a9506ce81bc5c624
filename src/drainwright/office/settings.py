"""What the web app is started with."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
DEV_ASSETS = "DRAINWRIGHT_ASSETS"  # a folder with a bundle, in place of the installed one


def _asset_folder() -> Path | None:
    named = os.environ.get(DEV_ASSETS)
    return Path(named) if named else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Settings of one running app."""

    local: bool = True  # for the one person at this machine: loopback only, no login
    hosts: frozenset[str] = LOOPBACK  # host names, without port, that requests may be addressed to
    secure: bool = False  # reached by https: cookies are then never sent without it
    first_code: str = ""  # lets the first owner in, once; whoever starts the office is told it
    store: str | None = None  # address of the store; None: DRAINWRIGHT_STORE, or the person's own
    workers: int = 2  # processes that design jobs
    assets: Path | None = field(default_factory=_asset_folder)  # None: the bundle that was installed


__all__ = ["DEV_ASSETS", "LOOPBACK", "Settings"]
