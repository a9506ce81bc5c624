"""Write the pages of the reference into ``docs/reference``: ``python -m docs.making COMPARISONS.json``."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from docs.making import published, reference

TO = Path(__file__).resolve().parents[1] / "reference"


def main(record: Path) -> None:
    """Write every page anew; pages of an earlier run go."""
    pages = {
        "commands.md": reference.commands(), "job-file.md": reference.job_file(),
        "records.md": reference.records(), "checks.md": reference.checks(),
        "formulas.md": reference.formulas(), "sources.md": reference.sources(), **published.pages(record),
    }  # fmt: skip
    shutil.rmtree(TO, ignore_errors=True)
    for name, text in pages.items():
        (TO / name).parent.mkdir(parents=True, exist_ok=True)
        (TO / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
