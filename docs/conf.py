"""How Sphinx builds these pages: ``make docs``."""

from __future__ import annotations

from importlib.metadata import version as _version

project = "Drainwright"
author = "the Drainwright team"
version = release = _version("drainwright")
extensions = ["myst_parser"]
source_suffix = {".md": "markdown"}
myst_heading_anchors = 3
html_theme = "furo"
html_title = f"Drainwright {release}"
html_show_sphinx = False
html_copy_source = False
nitpicky = True
