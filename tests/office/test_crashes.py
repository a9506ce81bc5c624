"""What was said to be saved is there, whenever the program is killed."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from drainwright.office.store import jobs, revisions
from drainwright.office.store.editing import Operation, sha256
from drainwright.office.store.opening import open_store

YARD = "title: Wet cellar  # first call\n"
ROOT = Path(__file__).resolve().parents[2]
WRITER = """
import sys
from drainwright.office.store import files, revisions
from drainwright.office.store.editing import Operation
from drainwright.office.store.opening import open_store
url, firm, job = sys.argv[1:]
store = open_store(url)
for turn in range(1, 101):
    if turn % 2:
        text = f"title: Wet cellar  # first call\\nnotes: {turn} {'water ' * 2000}\\n"
        made = revisions.save(store, firm, job, turn, text, "Ash")
    else:
        edit = Operation(id=f"op-{turn}", path="title", value=str(turn))
        made = revisions.apply(store, firm, job, turn, [edit], "Ash")
    print(made.number, made.sha256, flush=True)
"""


@pytest.mark.parametrize("after", [1, 4, 9])
def test_killed_in_the_middle_nothing_said_to_be_saved_is_lost(url: str, after: int) -> None:
    store = open_store(url)
    firm = jobs.add_firm(store, "Example Drainage Company").id
    job = jobs.open_job(store, firm, YARD, "Ash").id
    store.close()
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src")}
    command = [sys.executable, "-c", WRITER, url, firm, job]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as writer:
        assert writer.stdout is not None
        said = [tuple(writer.stdout.readline().split()) for _ in range(after)]
        writer.send_signal(signal.SIGKILL)
        said += [tuple(line.split()) for line in writer.stdout.read().splitlines() if len(line.split()) == 2]
    assert writer.returncode == -signal.SIGKILL
    assert after <= len(said) < 100, "killed before its end"

    again = open_store(url)
    kept = revisions.history(again, firm, job)
    assert {(str(one.number), one.sha256) for one in kept} >= set(said)
    assert len(said) + 1 <= len(kept) <= len(said) + 2  # the one at work may be there too, whole
    assert [one.number for one in kept] == list(range(len(kept), 0, -1))
    assert jobs.job(again, firm, job).head == len(kept)
    for one in kept:
        assert sha256(one.text) == one.sha256
    for one in kept:  # an edit that was made is known to be made
        if not one.operations:
            continue
        [edit] = one.operations
        assert revisions.apply(again, firm, job, one.number, [Operation(**edit)], "Ash").number == one.number
    assert revisions.save(again, firm, job, len(kept), YARD, "Ash").number == len(kept) + 1
    again.close()


def test_of_two_programs_one_wins_each_number(url: str) -> None:
    store = open_store(url)
    firm = jobs.add_firm(store, "Example Drainage Company").id
    job = jobs.open_job(store, firm, YARD, "Ash").id
    code = """
import sys
from drainwright.office.store import revisions
from drainwright.office.store.errors import Conflict
from drainwright.office.store.opening import open_store
url, firm, job, name = sys.argv[1:]
store = open_store(url)
for turn in range(15):
    head = revisions.revision(store, firm, job).number
    try:
        print(revisions.save(store, firm, job, head, f"title: {name} {turn}\\n", name).number)
    except Conflict as told:
        print("lost", told.theirs.number > head, told.mine == f"title: {name} {turn}\\n")
"""
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src")}
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", code, url, firm, job, name], stdout=subprocess.PIPE, text=True, env=environment
        )
        for name in ("Ash", "Birch")
    ]
    told = [writer.communicate()[0].splitlines() for writer in writers]
    assert [writer.returncode for writer in writers] == [0, 0]
    won = [
        (name, int(line))
        for name, lines in zip(("Ash", "Birch"), told, strict=True)
        for line in lines
        if line.isdigit()
    ]
    lost = [line for lines in told for line in lines if not line.isdigit()]
    assert len(won) + len(lost) == 30
    assert set(lost) <= {"lost True True"}
    assert sorted(number for _, number in won) == list(range(2, len(won) + 2))
    history = revisions.history(store, firm, job)
    assert all(one.parent == one.number - 1 for one in history[:-1]), "each is made on the one before"
    kept = {one.number: one.who for one in history}
    assert all(kept[number] == name for name, number in won)
    store.close()
