"""Every state of a job is kept, and nobody's edit is lost."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from drainwright.errors import InputError, JobError
from drainwright.job.starter import new_job_text
from drainwright.office.store import jobs, revisions
from drainwright.office.store.editing import Operation, faults_of, merged_lines, said
from drainwright.office.store.errors import Conflict, NotThereError, StoreError
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Job

EXAMPLE = (Path(__file__).resolve().parents[2] / "examples" / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
DRAFT = "title: Wet cellar  # first call\ncustomer:\n  name: R. Bramble\n"
YARD = """\
# measured in the rain
title: Wet cellar
survey:
  points:
    - {name: A, east: 0 ft, north: 0 ft}  # by the gate
    - {name: B, east: 40 ft, north: 0 ft}
house:
  walls:
    - name: south  # the wet one
      from: A
      to: B
      footing_depth: 2 ft
symptoms:
  - {what: damp}
"""


@pytest.fixture
def firm(store: Store) -> str:
    return jobs.add_firm(store, "Example Drainage Company").id


@pytest.fixture
def yard(store: Store, firm: str) -> Job:
    return jobs.open_job(store, firm, YARD, "Ash")


def op(number: int, path: str, value: object, **more: object) -> Operation:
    return Operation(id=f"op-{number}", path=path, value=value, **more)


def test_a_draft_is_kept_with_its_faults_and_a_whole_job_without(store: Store, firm: str) -> None:
    job = jobs.open_job(store, firm, DRAFT, "Ash")
    assert (job.head, job.title, job.customer_name, job.stage) == (1, "Wet cellar", "R. Bramble", "called")
    first = revisions.revision(store, firm, job.id)
    assert first.text == DRAFT
    assert any("schema_version" in problem for problem in first.problems)
    assert job.faults == len(first.problems) > 0
    second = revisions.save(store, firm, job.id, 1, EXAMPLE, "Ash", "measured")
    assert second.problems == ()
    assert (second.number, second.parent, second.who, second.what) == (2, 1, "Ash", "measured")
    assert second.at.utcoffset() is not None
    assert jobs.job(store, firm, job.id).place == "3 Orchard Bank, Fernhollow"
    assert [one.number for one in revisions.history(store, firm, job.id)] == [2, 1]
    assert revisions.revision(store, firm, job.id, 1).text == DRAFT


@pytest.mark.parametrize(
    "text", ["", "- a list\n", "a: [1\n", "a: &x 1\nb: *x\n", "a: 1\na: 2\n", "a: \x00\n", "# \ud800\na: 1\n"]
)
def test_what_cannot_be_parsed_is_refused_and_changes_nothing(store: Store, firm: str, yard: Job, text: str) -> None:
    with pytest.raises(JobError):
        revisions.save(store, firm, yard.id, 1, text, "Ash")
    with pytest.raises(JobError):
        jobs.open_job(store, firm, text, "Ash")
    assert jobs.job(store, firm, yard.id).head == 1
    assert len(jobs.listed(store, firm)) == 1


def test_who_was_not_on_the_newest_is_told_what_came_between(store: Store, firm: str, yard: Job) -> None:
    theirs = revisions.save(store, firm, yard.id, 1, YARD.replace("2 ft", "30 in"), "Birch")
    mine = YARD.replace("2 ft", "3 ft").replace("40 ft", "41 ft")
    with pytest.raises(Conflict) as caught:
        revisions.save(store, firm, yard.id, 1, mine, "Ash")
    told = caught.value
    assert (told.base.number, told.theirs, told.mine) == (1, theirs, mine)
    assert told.theirs_changed == ("house.walls[south].footing_depth",)
    assert told.mine_changed == ("survey.points[B].east", "house.walls[south].footing_depth")
    assert told.overlapping == ("house.walls[south].footing_depth",)
    assert revisions.revision(store, firm, yard.id) == theirs


def test_a_merge_keeps_both_with_their_comments(store: Store, firm: str, yard: Job) -> None:
    theirs = revisions.save(store, firm, yard.id, 1, YARD.replace("2 ft", "30 in  # by rod"), "Birch")
    mine = YARD.replace("title: Wet cellar", "title: Wet cellar and shed  # asked today")
    made = revisions.merge(store, firm, yard.id, 1, mine, "Ash")
    assert (made.number, made.parent, made.merged) == (4, theirs.number, 3)
    assert made.text == mine.replace("2 ft", "30 in  # by rod")
    own = revisions.revision(store, firm, yard.id, 3)
    assert (own.text, own.parent) == (mine, 1)
    with pytest.raises(Conflict, match=r"both changed house.walls\[south\].footing_depth"):
        revisions.merge(store, firm, yard.id, 1, YARD.replace("2 ft", "3 ft"), "Ash")


def test_a_merge_of_lines_side_by_side_is_made_by_paths(store: Store, firm: str, yard: Job) -> None:
    revisions.save(store, firm, yard.id, 1, YARD.replace("to: B", "to: A"), "Birch")
    made = revisions.merge(store, firm, yard.id, 1, YARD.replace("2 ft", "3 ft"), "Ash")
    assert made.text == YARD.replace("2 ft", "3 ft").replace("to: B", "to: A")


def test_lines_are_merged_only_apart() -> None:
    base = "a\nb\nc\nd\n"
    assert merged_lines(base, "A\nb\nc\nd\n", "a\nb\nc\nD\ne\n") == "A\nb\nc\nD\ne\n"
    assert merged_lines(base, "A\nb\nc\nd\n", "A\nb\nc\nd\n") == "A\nb\nc\nd\n"
    assert merged_lines(base, "A\nb\nc\nd\n", "a\nB\nc\nd\n") is None
    assert merged_lines(base, base + "e\n", base + "f\n") is None


def test_edits_by_path_keep_comments_and_are_made_once(store: Store, firm: str, yard: Job) -> None:
    edits = [op(1, "house.walls[south].footing_depth", "30 in", was="2 ft"), op(2, "survey.points[B].east", "41 ft")]
    made = revisions.apply(store, firm, yard.id, 1, edits, "Ash")
    assert made.text == YARD.replace("2 ft", "30 in").replace("40 ft", "41 ft")
    assert made.what == "survey.points[B].east, house.walls[south].footing_depth"
    assert [dict(one) for one in made.operations] == [one.plain for one in edits]
    assert revisions.apply(store, firm, yard.id, 1, edits, "Ash") == made
    more = [*edits, op(3, "symptoms[+]", {"what": "rust"})]
    third = revisions.apply(store, firm, yard.id, 1, more, "Ash")
    assert (third.number, len(said(third.text)["symptoms"])) == (3, 2)
    assert [one["id"] for one in third.operations] == ["op-3"]
    assert revisions.apply(store, firm, yard.id, 1, more[:1], "Ash").number == 2
    with pytest.raises(StoreError, match="op-1: found another edit"):
        revisions.apply(store, firm, yard.id, 3, [op(1, "title", "Dry cellar")], "Ash")


def test_edits_made_offline_are_set_on_what_came_between(store: Store, firm: str, yard: Job) -> None:
    apply = revisions.apply
    apply(store, firm, yard.id, 1, [op(1, "house.walls[south].footing_depth", "30 in")], "Birch")
    apply(store, firm, yard.id, 1, [op(2, "house.walls[south].wet", True)], "Ash")
    apply(store, firm, yard.id, 1, [op(3, "house.walls[west]", {"name": "west", "from": "B", "to": "A"})], "Ash")
    apply(store, firm, yard.id, 1, [op(4, "symptoms[+]", {"what": "rust"})], "Ash")
    made = apply(store, firm, yard.id, 1, [op(5, "symptoms[+]", {"what": "salt"}), op(6, "title", None)], "Birch")
    record = said(made.text)
    assert record["house"]["walls"][0]["wet"] is True
    assert record["house"]["walls"][0]["footing_depth"] == "30 in"
    assert [wall["name"] for wall in record["house"]["walls"]] == ["south", "west"]
    assert [one["what"] for one in record["symptoms"]] == ["damp", "rust", "salt"]
    assert "title" not in record
    assert "# the wet one" in made.text


def test_an_edit_of_what_another_changed_is_told(store: Store, firm: str, yard: Job) -> None:
    path = "house.walls[south].footing_depth"
    revisions.apply(store, firm, yard.id, 1, [op(1, path, "30 in")], "Birch")
    with pytest.raises(Conflict) as caught:
        revisions.apply(store, firm, yard.id, 1, [op(2, path, "3 ft", was="2 ft"), op(3, "title", "x")], "Ash")
    assert caught.value.overlapping == (path,)
    assert caught.value.mine == YARD.replace("2 ft", "3 ft").replace("Wet cellar", "x")
    assert jobs.job(store, firm, yard.id).head == 2
    # who knew what stands there may change it, and who says the same says nothing new
    assert revisions.apply(store, firm, yard.id, 1, [op(4, path, "3 ft", was="30 in")], "Ash").number == 3
    assert revisions.apply(store, firm, yard.id, 1, [op(5, path, "3 ft")], "Birch").number == 3
    revisions.apply(store, firm, yard.id, 3, [op(6, "house.walls[south]", None)], "Birch")
    with pytest.raises(Conflict):
        revisions.apply(store, firm, yard.id, 3, [op(7, "house.walls[south].wet", True)], "Ash")


def test_a_list_put_in_another_order_is_not_overwritten_unseen(store: Store, firm: str, yard: Job) -> None:
    points = [
        "    - {name: A, east: 0 ft, north: 0 ft}  # by the gate\n",
        "    - {name: B, east: 40 ft, north: 0 ft}\n",
    ]
    turned = YARD.replace("".join(points), "".join(points[::-1]))
    revisions.save(store, firm, yard.id, 1, turned, "Birch")
    with pytest.raises(Conflict):
        revisions.apply(store, firm, yard.id, 1, [op(1, "survey.points", [{"name": "A"}, {"name": "B"}])], "Ash")
    made = revisions.apply(store, firm, yard.id, 1, [op(2, "survey.points[A].east", "1 ft")], "Ash")
    assert [point["name"] for point in said(made.text)["survey"]["points"]] == ["B", "A"]


def test_a_queue_cut_off_in_the_middle_is_sent_again(store: Store, firm: str, yard: Job) -> None:
    path = "house.walls[south].footing_depth"
    queue = [op(1, path, "30 in", was="2 ft"), op(2, path, "31 in", was="30 in")]
    revisions.apply(store, firm, yard.id, 1, queue[:1], "Ash")
    made = revisions.apply(store, firm, yard.id, 1, queue, "Ash")
    assert said(made.text)["house"]["walls"][0]["footing_depth"] == "31 in"


def test_edits_may_begin_a_part_that_is_not_there(store: Store, firm: str) -> None:
    job = jobs.open_job(store, firm, DRAFT, "Ash")
    edits = [op(1, "ground.texture", "loam, measured"), op(2, "survey.points[+]", {"name": "A"}),
             op(3, "survey.points[A].east", "0 ft"), op(4, "notes", None)]  # fmt: skip
    made = revisions.apply(store, firm, job.id, 1, edits, "Ash")
    assert said(made.text)["survey"] == {"points": [{"name": "A", "east": "0 ft"}]}
    assert made.text.startswith(DRAFT)


@pytest.mark.parametrize("path", ["survey.points[C].east", "title.of.it", "survey.points[9]", "title[2]"])
def test_an_edit_that_leads_nowhere_is_refused(store: Store, firm: str, yard: Job, path: str) -> None:
    with pytest.raises(InputError, match="found nothing there"):
        revisions.apply(store, firm, yard.id, 1, [op(1, path, "x")], "Ash")
    assert jobs.job(store, firm, yard.id).head == 1


def test_wrong_edits_are_told(store: Store, firm: str, yard: Job) -> None:
    for wrong in ({"id": ""}, {"id": "x" * 37}, {"path": "a..b"}, {"value": float("nan")}, {"value": {1}}):
        with pytest.raises(InputError):
            Operation(**{"id": "a", "path": "title", "value": 1, **wrong})  # type: ignore[arg-type]
    for edits in ([], [op(1, "title", 1), op(1, "title", 2)]):
        with pytest.raises(StoreError):
            revisions.apply(store, firm, yard.id, 1, edits, "Ash")
    with pytest.raises((JobError, StoreError)):
        revisions.apply(store, firm, yard.id, 1, [op(1, "title", "a\x00b")], "Ash")


def test_an_old_state_comes_back_as_a_new_one(store: Store, firm: str, yard: Job) -> None:
    revisions.save(store, firm, yard.id, 1, YARD.replace("2 ft", "30 in"), "Birch")
    made = revisions.restore(store, firm, yard.id, 1, "Ash")
    assert (made.number, made.text, made.what) == (3, YARD, "revision 1 restored")
    assert [str(one) for one in revisions.compare(store, firm, yard.id, 2, 3)] == [
        "house.walls[south].footing_depth: 30 in -> 2 ft"
    ]
    assert revisions.compare(store, firm, yard.id, 1, 3) == ()


def test_a_firm_sees_nothing_of_another(store: Store, firm: str, yard: Job) -> None:
    other = jobs.add_firm(store, "Another Company").id
    assert jobs.listed(store, other) == ()
    for asked in (
        lambda: jobs.job(store, other, yard.id),
        lambda: jobs.move_on(store, other, yard.id, "visited", "x"),
        lambda: revisions.revision(store, other, yard.id),
        lambda: revisions.history(store, other, yard.id),
        lambda: revisions.compare(store, other, yard.id, 1, 1),
        lambda: revisions.save(store, other, yard.id, 1, YARD, "x"),
        lambda: revisions.merge(store, other, yard.id, 1, YARD, "x"),
        lambda: revisions.apply(store, other, yard.id, 1, [op(1, "title", "x")], "x"),
        lambda: revisions.restore(store, other, yard.id, 1, "x"),
    ):
        with pytest.raises(NotThereError):
            asked()


def test_of_two_at_once_one_wins_each_number_and_the_other_is_told(store: Store, firm: str, yard: Job) -> None:
    won: list[tuple[str, int]] = []
    lost: list[Conflict] = []
    start = threading.Barrier(2)

    def writer(name: str) -> None:
        start.wait()
        for turn in range(12):
            head = revisions.revision(store, firm, yard.id)
            try:
                made = revisions.save(store, firm, yard.id, head.number, YARD + f"notes: {name} {turn}\n", name)
                won.append((name, made.number))
            except Conflict as told:
                lost.append(told)

    threads = [threading.Thread(target=writer, args=(name,)) for name in ("Ash", "Birch")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    numbers = sorted(number for _, number in won)
    assert numbers == list(range(2, len(won) + 2))
    assert len(won) + len(lost) == 24
    assert all(told.theirs.number > told.base.number for told in lost)
    history = revisions.history(store, firm, yard.id)
    assert all(one.parent == one.number - 1 for one in history[:-1]), "each is made on the one before"
    kept = {one.number: one.who for one in history}
    assert all(kept[number] == name for name, number in won)


def test_edits_of_many_at_once_are_all_made_once(store: Store, firm: str, yard: Job) -> None:
    start = threading.Barrier(4)
    faults: list[Exception] = []

    def phone(name: str) -> None:
        start.wait()
        try:
            for turn in range(4):
                one = Operation(id=f"{name}-{turn}", path="symptoms[+]", value={"what": f"{name} {turn}"})
                revisions.apply(store, firm, yard.id, 1, [one], name)
        except Exception as error:
            faults.append(error)

    threads = [threading.Thread(target=phone, args=(name,)) for name in ("a", "a", "b", "b")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    told = sorted(one["what"] for one in said(revisions.revision(store, firm, yard.id).text)["symptoms"])
    assert told == sorted(["damp", *(f"{name} {turn}" for name in "ab" for turn in range(4))])


def test_the_starter_and_the_examples_are_whole_jobs() -> None:
    assert faults_of(new_job_text()) == ()
    assert faults_of(EXAMPLE) == ()
