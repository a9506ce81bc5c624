"""Render the README's pictures from the demonstration job: ``.venv/bin/python docs/pictures/make.py``."""

from __future__ import annotations

from pathlib import Path

import typst

from drainwright.design import design
from drainwright.job.reading import read_job
from drainwright.paper.documents.schemes_paper import schemes_files
from drainwright.paper.documents.typeset import font_folder, inputs
from drainwright.paper.documents.writing import papers_of
from drainwright.paper.drawings import drawings
from drainwright.paper.svg import to_svg
from drainwright.schemes import schemes

HERE = Path(__file__).resolve().parent
JOB = HERE.parents[1] / "examples" / "block-wall-house" / "job.yaml"
ALONE = b'#set page(width: auto, height: auto, margin: 0pt)\n#image("x.svg")'


def pages(files: dict[str, bytes], dots: float) -> list[bytes]:
    """PNG bytes of every page."""
    made = typst.compile(
        files,  # type: ignore[arg-type]
        format="png",
        ppi=dots,
        font_paths=[str(font_folder())],
        ignore_system_fonts=True,
    )
    return made if isinstance(made, list) else [made]


def main() -> None:
    """Write all pictures."""
    result = design(read_job(JOB))
    sheets = {name: (sheet, to_svg(sheet)) for name, sheet in drawings(result).items()}
    for name in ("plan", "ground", "profiles-1", "basin", "storm", "storm-yard", "storm-failures", "flow-net-1"):
        svg = sheets[name][1].encode("utf-8")
        (HERE / f"{name}.png").write_bytes(pages({"main.typ": ALONE, "x.svg": svg}, 85.0)[0])
    compared = schemes_files(schemes(result.job))["schemes.svg"]
    (HERE / "schemes.png").write_bytes(pages({"main.typ": ALONE, "x.svg": compared}, 85.0)[0])
    papers = papers_of(result, sheets)
    for name, paper, page in (("proposal", "proposal.pdf", 0), ("cut-sheet", "crew-packet.pdf", 8)):
        (HERE / f"{name}.png").write_bytes(pages(inputs(papers[paper]()), 75.0)[page])


if __name__ == "__main__":
    main()
