"""Render the README's pictures from the demonstration job: ``.venv/bin/python docs/pictures/make.py``."""

from __future__ import annotations

import tempfile
from pathlib import Path

import typst
from font_source_sans_pro import __file__ as fonts

from drainwright.design import design
from drainwright.job.reading import read_job
from drainwright.paper import write_papers

HERE = Path(__file__).resolve().parent
JOB = HERE.parents[1] / "examples" / "block-wall-house" / "job.yaml"
FONTS = Path(fonts).parent / "files"


def picture(svg: Path, name: str, dots: float) -> None:
    """Write one SVG as PNG."""
    main = b'#set page(width: auto, height: auto, margin: 0pt)\n#image("x.svg")'
    data = typst.compile(
        {"main.typ": main, "x.svg": svg.read_bytes()},
        format="png",
        ppi=dots,
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
    )
    (HERE / name).write_bytes(data if isinstance(data, bytes) else data[0])


def main() -> None:
    """Write all pictures."""
    with tempfile.TemporaryDirectory() as folder:
        write_papers(design(read_job(JOB)), Path(folder), lambda name, done: None)
        for name, dots in (("plan", 90.0), ("basin", 80.0), ("storm", 80.0)):
            picture(Path(folder) / f"{name}.svg", f"{name}.png", dots)


if __name__ == "__main__":
    main()
