"""The pages that are written from the program: nothing of it is left out, and the record of a run is told as it is."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

from docs.making import published, reference

from drainwright.findings import all_rules
from drainwright.job.schema import RECORDS, book_schema, job_schema, record_schema
from drainwright.sources import SOURCES
from drainwright.studies.reading import study_schema
from drainwright.worksheet import CATALOGUE

ROOT = Path(__file__).resolve().parents[1]


def test_every_check_formula_and_source_has_its_row() -> None:
    checks, formulas, sources = reference.checks(), reference.formulas(), reference.sources()
    assert [rule.id for rule in all_rules() if f"| `{rule.id}` |" not in checks] == []
    assert formulas.count("\n| ") == len(CATALOGUE) + formulas.count("\n| What | Formula")
    assert sources.count("\n| ") == len(SOURCES) + 1


def test_every_key_of_the_job_file_is_told_and_every_link_leads_somewhere() -> None:
    page, told = reference.job_file(), job_schema()
    keys = {key for part in (told, *told["$defs"].values()) for key in part.get("properties", {})}
    assert sorted(key for key in keys if f"`{key}`" not in page) == []
    assert set(re.findall(r"\(#(job-[a-z0-9]+)\)", page)) <= set(re.findall(r"^\((job-[a-z0-9]+)\)=", page, flags=re.M))


def test_every_key_of_the_files_beside_a_job_is_told_and_every_link_leads_somewhere() -> None:
    page = reference.records()
    for told in (book_schema(), study_schema(), *(record_schema(name) for name in RECORDS)):
        parts = (told, *told.get("$defs", {}).values())
        keys = {key for part in parts for form in (part, *part.get("anyOf", ())) for key in form.get("properties", {})}
        assert len(keys) > 5
        assert sorted(key for key in keys if f"`{key}`" not in page) == []
    links = set(re.findall(r"\(#([a-z]+-[a-z0-9]+)\)", page))
    assert links <= set(re.findall(r"^\(([a-z]+-[a-z0-9]+)\)=", page, flags=re.M))
    assert links


def test_every_command_is_told_with_its_options() -> None:
    page = reference.commands()
    for name in ("design", "papers", "whatif", "book new", "serve"):
        assert f"## drainwright {name}\n" in page
    assert "| `--json` | print JSON instead of tables |" in page


def test_a_run_is_written_down_as_it_came_out(tmp_path: Path) -> None:
    """Three tests of a source: one within what is allowed, one that fails, one without a number."""
    (tmp_path / "test_book.py").write_text(
        '"""A book, 3rd ed., p. 7."""\nimport pytest\n\n'
        'def test_near():\n    """Table 1."""\n    assert [2.0, 3.03] == pytest.approx([2.0, 3.0], abs=0.05)\n\n'
        "def test_far():\n    assert 5.0 == pytest.approx(4.0)\n\ndef test_order():\n    assert 1 < 2\n",
        encoding="utf-8",
    )
    record = tmp_path / "record.json"
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "docs.making.comparisons",
               "--comparisons", str(record), "--rootdir", str(tmp_path), str(tmp_path / "test_book.py")]  # fmt: skip
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stderr
    near, far, order = json.loads(record.read_text())["trials"]
    assert near["comparisons"] == [{"expected": 3.0, "got": 3.03, "allowed": 0.05, "pairs": 2}]
    assert (near["outcome"], far["outcome"], order["outcome"]) == ("passed", "failed", "passed")
    pages = published.pages(record)
    assert "3 tests, 3 pairs of numbers: 1 failed" in pages["published.md"]
    for what, why in published.NOT_TESTED:
        assert what in pages["published.md"].replace("\\", "")
        assert why in pages["published.md"].replace("\\", "")
    assert "| 3 | 3.03 | 1 % | 0.05 | 2 |" in pages["published/book.md"]
    assert "holds, by order or in words" in pages["published/book.md"]
