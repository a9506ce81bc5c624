"""The commands that README and manual show: all are understood, and those that no other page or test runs are run.

Each page's commands are run in a fresh folder, in the page's order, as printed; ``SHORTER`` says what is added to those
that would take minutes. ``ANSWERS`` has what must stand in what they print.
"""

from __future__ import annotations

import gzip
import re
import shlex
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
import typer
from PIL import Image
from typer.testing import CliRunner

import drainwright.design
from drainwright.cli import app
from drainwright.job import Job
from drainwright.office.store.opening import default_url, open_store

from .conftest import EXAMPLES, designed
from .proving.test_soil_learnt import record as season_of

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
PAGES = ("README.md", "docs/using.md", "docs/after.md", "docs/office.md", "docs/adding.md")
IN_FENCE = re.compile(r"^(?:\$ )?(?:\.venv/bin/)?drainwright (.+)$", flags=re.M)
IN_LINE = re.compile(r"(?<!`)`(?:\.venv/bin/)?drainwright ([^`]+)`(?!`)")


def shown(page: str) -> list[list[str]]:
    """The commands of a page as words, in its order, each once; a bare name in a sentence is none."""
    text = (ROOT / page).read_text(encoding="utf-8")
    found = [(one.start(), one[1]) for one in IN_FENCE.finditer(text)]
    found += [(one.start(), " ".join(one[1].split())) for one in IN_LINE.finditer(text) if " " in one[1].strip()]
    words = [shlex.split(command, comments=True) for _, command in sorted(found)]
    return [one for number, one in enumerate(words) if one not in words[:number]]


COMMANDS = [(page, words) for page in PAGES for words in shown(page)]
ROOT_COMMAND = typer.main.get_command(app)


def names() -> Iterator[str]:
    """Every command that there is."""
    tree: Any = ROOT_COMMAND
    for name, command in tree.commands.items():
        subs = getattr(command, "commands", None)
        yield from [name] if subs is None else [f"{name} {sub}" for sub in subs]


def leaf(words: list[str]) -> tuple[Any, list[str]]:
    """The command that words call, and its arguments."""
    tree: Any = ROOT_COMMAND
    rest = list(words)
    while (subs := getattr(tree, "commands", None)) is not None:
        tree = subs[rest.pop(0)]
    return tree, rest


def test_every_command_is_shown_or_named_somewhere() -> None:
    told = " ".join((ROOT / page).read_text(encoding="utf-8") for page in (*PAGES, "docs/tutorial.md"))
    assert [name for name in names() if f"drainwright {name}" not in told and f"`{name}" not in told] == []
    assert len(COMMANDS) > 50


@pytest.mark.parametrize(
    ("page", "words"), COMMANDS, ids=[f"{page.split('/')[-1]}:{' '.join(words)}" for page, words in COMMANDS]
)
def test_a_command_shown_is_understood(page: str, words: list[str]) -> None:
    """Its name, options and arguments are those of the program."""
    command, rest = leaf(words)
    if rest:
        with command.make_context(command.name, rest):
            pass
    else:
        assert command.get_help(command.make_context(command.name, [], resilient_parsing=True))


#: Run by the tutorial's tests or those of their own wing, and too long to be run twice.
ELSEWHERE = {"papers", "schemes", "options", "swap", "firm"}
FROM_THE_MANUAL = {
    "design",
    "answers",
    "storm",
    "years",
    "chance",
    "study",
    "whatif",
    "prove",
    "service",
    "export",
    "actuals",
    "learn",
}
SHORTER = {
    "years": ["--made", "1"],
    "chance": ["--samples", "8", "--years", "1"],
    "accept": ["--demonstration-prices"],
    "invoice": ["--demonstration-prices"],
}
#: What stands in an answer, by the beginning of the command: the page's own words where it quotes some.
ANSWERS = {
    "new": "Wrote my-job.yaml",
    "check": "the job document is in order",
    "design": "Sound",
    "storm": "stays dry",
    "years": "1 year",
    "chance": "wet floor",
    "study": "4 done now",
    "ground": "ground.dxf",
    "rain": "720 rows of 1 h, 2024-06-01 to 2024-06-30",
    "well": "seasonal high water",
    "export": "site.dxf",
    "schema": "name*",
    "accept ": "Wrote acceptance.json",
    "accepted": "The job is what M. Tamarind accepted on 2026-03-20",
    "invoice": "invoice-2026-014.pdf",
    "book undo": "job D-0117",
    "actuals": "Open the walls",
    "learn": "paid, job D-0117",
    "prove my-job.yaml proof": "cannot tell",
    "service": "2027",
    "season": "By the season:",
    "backup": "Wrote jobs",
    "restore": "Put back 0 jobs with 0 revisions.",
    "store downgrade": "to 0001",
}

#: A point table in the form in which it is served; its depths are invented.
NOAA = """Point precipitation frequency estimates (inches)
NOAA Atlas 14 Volume 2 Version 3
Data type: Precipitation depth
Time series type: Partial duration
Project area: Ohio River Basin

PRECIPITATION FREQUENCY ESTIMATES
by duration for ARI (years):, 2,10,25
5-min:, 0.4,0.6,0.7
60-min:, 1.2,1.9,2.3
24-hr:, 3.0,4.5,5.4
"""


def files_of(folder: Path) -> None:
    """What stands beside a job whose commands the pages show: the demonstration's, and the records that they print."""
    house = EXAMPLES / "block-wall-house"
    shutil.copytree(house / "firm", folder / "firm")
    for name in ("my-job.yaml", "job.yaml"):
        shutil.copy(house / "job.yaml", folder / name)
    shutil.copy(DOCS / "tutorial" / "job.yaml", folder / "next-job.yaml")
    for name in ("actuals.yaml", "done.yaml"):
        shutil.copy(house / "book" / "actuals.yaml", folder / name)
    proof, service, _ = re.findall(r"```yaml\n(.*?)```", (DOCS / "after.md").read_text("utf-8"), flags=re.S)
    built = designed("block-wall-house/job")
    season = season_of(built, built.inflows.conductivity)  # the page's own shows two days of it
    for name, text in {
        "proof.yaml": proof, "service.yaml": service, "visits.yaml": service, "season.yaml": season,
    }.items():  # fmt: skip
        (folder / name).write_text(text, encoding="utf-8")
    Image.new("RGB", (8, 6)).save(folder / "photo-1.jpg")
    points = "".join(f"{n},{500 + 10 * (n % 5)},{500 + 10 * (n // 5)},{90 + 0.1 * n},GS\n" for n in range(1, 26))
    for name in ("points.csv", "yard-points.csv"):
        (folder / name).write_text(points, encoding="utf-8")
    stamps = [f"2024-06-{day:02d} {hour:02d}:00" for day in range(1, 31) for hour in range(24)]
    rain = "time,rain (in)\n" + "".join(f"{at},{0.1 * (n % 50 == 0):.2f}\n" for n, at in enumerate(stamps))
    (folder / "gauge.csv").write_text(rain, encoding="utf-8")
    (folder / "noaa-table.csv").write_text(NOAA, encoding="utf-8")
    (folder / "gauge.csv.gz").write_bytes(gzip.compress(rain.encode()))
    well = "time,level (ft)\n" + "".join(f"2024-{month:02d}-{day:02d},{8 - 0.1 * month:.2f}\n"
                                           for month in range(1, 13) for day in range(1, 29))  # fmt: skip
    (folder / "well.csv").write_text(well, encoding="utf-8")
    study = (EXAMPLES / "leaves-study.yaml").read_text(encoding="utf-8").replace("metric-basement/job.yaml", "job.yaml")
    for name in ("my-study.yaml", "study.yaml"):
        (folder / name).write_text(study.replace("sample: 3", "sample: 1"), encoding="utf-8")


@pytest.fixture
def fresh(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A fresh folder that is a person's own: nothing is there, and nothing outside of it is asked."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.delenv("DRAINWRIGHT_STORE", raising=False)
    return tmp_path


@pytest.fixture(scope="module")
def once() -> Iterator[None]:
    """One job is designed once, by however many commands it is asked for."""
    kept: dict[str, Any] = {}
    whole = drainwright.design.design

    def design(job: Job, like: Any = None) -> Any:
        key = job.model_dump_json()
        if key not in kept:
            kept[key] = whole(job, like=like)
        return kept[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(drainwright.design, "design", design)
        yield


def served() -> None:
    """The web app opens on the person's own store, answers, and ends by an interrupt."""
    command = [sys.executable, "-c", "from drainwright.cli import main; main()", "serve", "--port", "0", "--no-open"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        try:
            assert running.stdout is not None
            line = running.stdout.readline()
            found = re.search(r"http://127\.0\.0\.1:\d+", line)
            assert found, line
            for _ in range(120):  # an interrupt before it listens would be lost where this run ignores interrupts
                try:
                    assert httpx.get(f"{found[0]}/yard", timeout=5.0).status_code == 200
                    break
                except httpx.HTTPError:
                    time.sleep(0.5)
            else:
                raise AssertionError(f"{found[0]} does not answer")
            running.send_signal(signal.SIGINT)
            _, told = running.communicate(timeout=60)
        finally:
            running.kill()
    assert "Traceback" not in told


@pytest.mark.usefixtures("once")
@pytest.mark.parametrize("page", ["README.md", "docs/using.md", "docs/after.md"])
def test_the_commands_of_a_page_run_in_its_order(page: str, fresh: Path) -> None:
    faults = []
    open_store(default_url()).close()  # the program keeps jobs: there is something to back up
    if page == "docs/after.md":
        files_of(fresh)
    for words in shown(page):
        name = words[0]
        if name in ELSEWHERE or (page == "README.md" and name in FROM_THE_MANUAL):
            continue
        if name == "serve":
            if len(words) == 1:
                served()
            continue
        told = CliRunner().invoke(app, [*words, *SHORTER.get(name, [])])
        command = " ".join(words)
        wanted = [answer for begins, answer in ANSWERS.items() if f"{command} ".startswith(begins)]
        said = " ".join(told.output.split())
        if told.exit_code not in ({0, 1} if name == "prove" else {0}) or any(answer not in said for answer in wanted):
            faults.append(f"{command}: exit code {told.exit_code}, wanted {wanted}\n{told.output[:2000]}")
        if name == "new":
            files_of(fresh)  # the starter gives way to the demonstration, whose records the pages show
    assert faults == [], "\n".join(faults)
