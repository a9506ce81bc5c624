"""Faults planted in forks: in a small program of three modules, what each fault must come to."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from mutation.forks import modules, parted, statement

pytest.importorskip("coverage", reason="fetched by make mutation")
ROOT = Path(__file__).resolve().parents[1]
SOURCES = {
    "src/small/__init__.py": "",
    "src/small/under.py": "HALF = 0.5\n",
    "src/small/mid/__init__.py": "",
    "src/small/mid/part.py": """\
from small.under import HALF

SIDES = 4


def half(value):
    left = 100
    while left > 99:
        left -= 1
    return value * HALF


def nobody_asks(value):
    return value + 1


def twice(value):
    if value == 0:
        return 0
    return value * 2
""",
    "src/small/top.py": """\
from small.mid.part import SIDES, half, twice

ROUND = SIDES * 2


def both(value):
    return half(value) + twice(value)
""",
    "tests/mid/test_first.py": "from small.mid.part import twice\n\ndef test_it():\n    assert twice(2) == 4\n",
    "tests/mid/test_above.py": """\
from small.top import ROUND, both

def test_it():
    assert ROUND == 8
    assert both(2) == 5
""",
}
TRY = """
import sys
from pathlib import Path
from mutation import forks
from mutation.__main__ import lives_with

folder, told = Path(sys.argv[1]), Path(sys.argv[2])
left = forks.enter(folder, "small.mid")
assert left == {"small.mid", "small.mid.part", "small.top"}, left
files = forks.reached(["tests/mid/test_above.py", "tests/mid/test_first.py"], left, "small.mid", told)
path = Path("src/small/mid/part.py")
for old, new in (
    ("SIDES = 4", "SIDES = 5"),
    ("value * HALF", "value / HALF"),
    ("value * 2", "value + 2"),
    ("value * 2", "value / 2"),
    ("left -= 1", "left += 1"),
    ("value + 1", "value - 1"),
    ("== 0", "== 0.0"),
    ("value * 2", "value ** 2"),
):
    before = path.read_text()
    alive, reach = lives_with(path, before, before.replace(old, new), files, 3)
    print(new, "lives" if alive else "found", len(reach))
    assert path.read_text() == before
"""


@pytest.fixture
def small(tmp_path: Path) -> Path:
    for name, text in SOURCES.items():
        (tmp_path / "copy" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "copy" / name).write_text(text)
    return tmp_path / "copy"


def test_faults_are_found_by_the_tests_that_reach_them_through_the_modules_above_too(small: Path) -> None:
    told = small.parent / "told"
    told.mkdir()
    done = subprocess.run(
        [sys.executable, "-c", TRY, str(small), str(told)], cwd=ROOT, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == [
        "SIDES = 5 found 2",  # in a module above, which took it over when it was loaded
        "value / HALF found 1",
        "value + 2 lives 2",  # 2 + 2 is 4: nobody asks for another
        "value / 2 found 2",
        "left += 1 found 1",  # runs for ever
        "value - 1 lives 0",
        "== 0.0 lives 2",  # the same program
        "value ** 2 lives 2",  # of the same length and second as others before it
    ]


def test_a_fault_touches_all_that_imports_its_package_by_any_way(small: Path) -> None:
    left, others = parted("small.mid", modules(small / "src"))
    assert left == {"small.mid", "small.mid.part", "small.top"}
    assert others == {"small", "small.under"}


def test_a_statement_is_the_least_that_holds_a_line_and_of_a_block_its_head() -> None:
    text = "def f(\n  a=1,\n):\n  if (\n    a\n  ):\n    return [\n      a,\n    ]\n  return a\n"
    heads = {2: {1, 2, 3}, 5: {4, 5, 6}, 8: {7, 8, 9}, 10: {10}}
    assert {line: set(statement(text, line)) for line in heads} == heads
