"""Reading, editing and writing: limits on hostile input, lines, identity, comments kept."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drainwright.build.locates import answers, ticket_days
from drainwright.errors import JobError, Problem
from drainwright.job import Job, edit, job_from_json, read_document, read_job, read_text, to_json, write_document
from drainwright.job.loading import DEEPEST, MOST_BYTES, MOST_NODES
from drainwright.job.names import near
from drainwright.job.starter import new_job_text

HERE = Path(__file__).parent
SMALL = (HERE / "small.yaml").read_text(encoding="utf-8")
HOUSE = HERE.parents[1] / "examples" / "block-wall-house"
STARTERS = {units: new_job_text(units) for units in ("US", "SI")}


def refused(text: str, name: str = "job.yaml") -> Problem:
    with pytest.raises(JobError) as caught:
        read_text(text, name)
    return caught.value.problems[0]


# -- Hostile input ---------------------------------------------------------------------------------


def test_huge_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "huge.yaml"
    path.write_bytes(b"# nothing\n" * (MOST_BYTES // 10 + 1))
    with pytest.raises(JobError, match="too large"):
        read_job(path)
    assert "too large" in refused("#" * (MOST_BYTES + 1)).found


@pytest.mark.parametrize(
    "text",
    [
        "schema_version: 1\nnotes: " + "[" * (DEEPEST + 5) + "]" * (DEEPEST + 5),
        "schema_version: 1\nnotes: " + "[" * 100_000,
        "schema_version: 1\nnotes: " + "{a: " * 50_000,
        "".join(" " * depth + "a:\n" for depth in range(400)),
        "- " * 3000,
    ],
)
def test_deep_nesting(text: str) -> None:
    assert refused(text).found == f"nesting deeper than {DEEPEST}"


@pytest.mark.parametrize("text", ["[" * 100_000, '{"a":' * 100_000, '{"a": ' * 60 + "1" + "}" * 60])
def test_deep_nesting_in_json(text: str) -> None:
    assert "JSON" in refused(text, "job.json").found or "nesting deeper" in refused(text, "job.json").found


def test_nesting_up_to_the_limit_reaches_the_schema() -> None:
    text = SMALL + "notes: " + "[" * (DEEPEST - 1) + "]" * (DEEPEST - 1)
    assert refused(text).where == "notes"


def test_too_many_values() -> None:
    problem = refused("schema_version: 1\nnotes: [" + "1, " * (MOST_NODES + 1) + "]")
    assert "more than 40,000 values" in problem.found


def test_problems_are_counted_off() -> None:
    text = SMALL + "trees: [" + "{nam: 3}, " * 900 + "]"
    with pytest.raises(JobError) as caught:
        read_text(text)
    assert len(caught.value.problems) == 100


@pytest.mark.parametrize(
    "value", ["9" * 5000, "1e99999999999", "0x" + "f" * 5000, "!!int 3", "!x 3", "<<", "=", "? a", "{<<: {a: 1}}", "%x"]
)
def test_odd_scalars(value: str) -> None:
    with pytest.raises(JobError):
        read_text(SMALL.replace("depth: 4 ft", f"depth: {value}"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('{"schema_version": 1, "title": "a", "title": "b"}', "the key 'title' again"),
        ('{"schema_version": 1, "title": "a\\u0000"}', "a control character"),
        ('{"schema_version": 1, "title": "\\ud800"}', "a control character"),
        ('{"schema_version": 1,', "not JSON"),
        ("[1]", "a list at the top"),
        ("null", "an empty document"),
        ("", "an empty document"),
        ('{"schema_version": ' + "9" * 5000 + "}", "cannot be read"),
    ],
)
def test_malformed_json(text: str, words: str) -> None:
    assert words in refused(text, "job.json").found


def test_json_names_lines_too() -> None:
    text = to_json(read_text(SMALL).job).replace('"floor_kind": "slab"', '"floor_kind": "slap"').replace("  ", "\t")
    problem = refused(text, "job.json")
    assert (problem.where, problem.hint) == ("house.floor_kind", "did you mean 'slab'?")
    assert problem.line is not None
    assert '"slap"' in text.splitlines()[problem.line - 1]


@pytest.mark.parametrize(
    ("roots", "hint"),
    [
        ("home", ""),
        ("some", ""),
        ("any", ""),
        ("one", ""),
        ("more", ""),
        ("lots", ""),
        ("nome", "'none'"),
        ("mny", "'many'"),
    ],
)
def test_a_word_of_amount_is_not_taken_for_a_misspelt_one(roots: str, hint: str) -> None:
    """Roots that are there must not be read as none: the choices are listed, and none is guessed."""
    job = json.loads(to_json(read_text(SMALL).job))
    job["ground"]["roots"] = roots
    problem = refused(json.dumps(job), "job.json")
    assert problem.where == "ground.roots"
    assert problem.expected == "one of: none, few, many, heavy"
    assert problem.hint == (f"did you mean {hint}?" if hint else "")


def test_a_name_is_only_guessed_where_it_is_near() -> None:
    assert near("CD", ["CB", "SUMP"]) == "did you mean 'CB'?"
    assert near("POND", ["POST", "SUMP"]) == "there are: POST, SUMP"  # half of its letters


def test_nan_in_json() -> None:
    text = to_json(read_text(SMALL).job).replace('"hours_per_day": 8.0', '"hours_per_day": NaN')
    assert refused(text, "job.json").where == "crew.hours_per_day"


@pytest.mark.parametrize("name", ["absent.yaml", ".", "a\0b.yaml"])
def test_no_such_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(JobError, match=r"no such file|a folder|cannot be read"):
        read_job(tmp_path / name)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(max_size=300))
def test_any_text_is_a_job_error(text: str) -> None:
    for name in ("job.yaml", "job.json"):
        with pytest.raises(JobError):
            read_text(text, name)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.binary(max_size=200))
def test_any_bytes_are_a_job_error(tmp_path_factory: Any, data: bytes) -> None:
    path = tmp_path_factory.mktemp("bytes") / "job.yaml"
    path.write_bytes(data)
    with pytest.raises(JobError):
        read_job(path)


MARKS = ["", "~", "-", ": ", "\n", "  ", "[", "]", "{", "}", "&a ", "*a", "!!x ", "'", '"', "#", "|\n", "\t", "é", "0"]
WORDS = [
    "A",
    "floor",
    "at A",
    "1 ft below floor",
    "SUMP",
    "OUT",
    ".nan",
    "true",
    "null",
    "100 %",
    "2024-02-30",
    "9e999",
]
PIECES = st.sampled_from([*MARKS, *WORDS, "-1 ft"])


def read_or_none(text: str, name: str) -> Job | None:
    """The job, or nothing after a proper error; whatever else is raised fails the test."""
    try:
        return read_text(text, name).job
    except JobError as error:
        if not error.problems or not all(problem.found and problem.expected for problem in error.problems):
            raise
        return None


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_mutations_of_the_starter_are_a_job_or_a_job_error(data: st.DataObject) -> None:
    text = STARTERS["US"]
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(text)))
        end = data.draw(st.integers(start, min(len(text), start + 12)))
        text = text[:start] + data.draw(PIECES) + text[end:]
    job = read_or_none(text, "job.yaml")
    assert job is None or job_from_json(to_json(job)) == job


def _paths(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inner: Any = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(deeper for key, one in inner for deeper in _paths(one, (*path, key)))]


STARTER_RECORD = json.loads(to_json(read_text(STARTERS["US"]).job))
STARTER_PATHS = _paths(STARTER_RECORD)[1:]
SCALARS = (
    st.none() | st.booleans() | st.integers(-5, 10**25) | st.floats() | st.sampled_from(["A", "3 ft", "at A", "x"])
)
VALUES = st.recursive(SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(STARTER_PATHS), VALUES)
def test_any_value_in_any_place_is_a_job_or_a_job_error(path: tuple[str | int, ...], value: object) -> None:
    record = json.loads(json.dumps(STARTER_RECORD))
    at = record
    for part in path[:-1]:
        at = at[part]
    at[path[-1]] = value
    job = read_or_none(json.dumps(record), "job.json")
    assert job is None or job_from_json(to_json(job)) == job


# -- Lines, identity, comments ---------------------------------------------------------------------


@pytest.mark.parametrize("units", STARTERS)
def test_starter_passes_and_marks_its_examples(units: str) -> None:
    job = read_text(STARTERS[units]).job
    assert (job.units, job.demonstration) == (units, True)
    assert "EXAMPLE" in job.title
    assert job.works.runs
    assert job.house.walls[0].footing_bottom.basis == "measured"


@pytest.mark.parametrize("text", [*STARTERS.values(), SMALL])
def test_json_gives_the_same_job(text: str) -> None:
    job = read_text(text).job
    assert job_from_json(to_json(job)) == job
    assert to_json(job_from_json(to_json(job))) == to_json(job)


@pytest.mark.parametrize("units", STARTERS)
def test_written_as_read(tmp_path: Path, units: str) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(STARTERS[units], encoding="utf-8")
    before = path.read_bytes()
    document = read_document(path)
    write_document(document)
    assert path.read_bytes() == before
    changed = edit(document, "title", "Other")
    write_document(edit(changed, "title", document.job.title))
    assert path.read_bytes() == before  # through the tree and back: comments, quotes and indents kept
    assert os.listdir(tmp_path) == ["job.yaml"]


def test_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(SMALL, encoding="utf-8")
    document = edit(read_document(path), "title", "Other")

    def fail(*_: object) -> None:
        raise OSError("no space")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(OSError, match="no space"):
        write_document(document)
    assert path.read_text(encoding="utf-8") == SMALL
    assert os.listdir(tmp_path) == ["job.yaml"]


def test_edit_changes_one_line_only() -> None:
    document = read_text(STARTERS["US"])
    changed = edit(document, "house.walls[0].material", "stone")
    assert changed.job.house.walls[0].material == "stone"
    assert document.job.house.walls[0].material == "block"
    old, new = document.text.splitlines(), changed.text.splitlines()
    assert [pair for pair in zip(old, new, strict=True) if pair[0] != pair[1]] == [
        ("      material: block        # block, poured concrete, stone or wood",
         "      material: stone        # block, poured concrete, stone or wood"),
    ]  # fmt: skip


def test_edit_adds_and_removes() -> None:
    document = read_text(SMALL)
    added = edit(document, "works.runs[0].pipe", "d3034 4 in")
    assert added.job.works.runs[0].pipe == "d3034 4 in"
    assert edit(added, "works.runs[0].pipe", None).job == document.job
    tree = {"name": "oak", "at": "A", "trunk_diameter": "2 ft"}
    assert edit(edit(document, "trees", []), "trees[0]", tree).job.trees[0].name == "oak"


def test_edit_in_json() -> None:
    document = read_text(to_json(read_text(SMALL).job), "job.json")
    assert edit(document, "title", "Other").job.title == "Other"


@pytest.mark.parametrize(
    "where", ["", "hous.floor", "works.runs[9].pipe", "works.runs[x]", "title.more", "works..runs"]
)
def test_edit_nowhere(where: str) -> None:
    with pytest.raises(JobError):
        edit(read_text(SMALL), where, "x")


def test_edit_to_a_wrong_value_names_the_line() -> None:
    with pytest.raises(JobError) as caught:
        edit(read_text(SMALL), "works.basin.depth", "4")
    problem = caught.value.problems[0]
    assert (problem.where, problem.line) == ("works.basin.depth", 49)


def test_lines_of_parts() -> None:
    document = read_text(SMALL)
    lines = SMALL.splitlines()
    assert "footing_bottom" in lines[(document.line_of("house.walls[0].footing_bottom") or 0) - 1]
    assert document.line_of("house.walls[0].footing_bottom.value") == document.line_of("house.walls[0].footing_bottom")
    assert document.line_of("house.walls[0].coating.kind") == document.line_of("house.walls[0]")
    assert document.line_of("crew.size") is None
    error = document.with_lines(JobError((Problem(where="works.runs[2].pipe", found="x", expected="y"),)))
    assert "name: L," in lines[(error.problems[0].line or 0) - 1]
    assert error.problems[0].file == "job.yaml"


def test_changing_a_tree_leaves_the_document_alone() -> None:
    document = read_text(SMALL)
    document.tree["title"] = "Other"
    assert document.tree["title"] == "A small job"


def test_windows_line_ends_and_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode())
    assert read_job(path) == read_text(SMALL).job


@pytest.mark.parametrize("ending", ["job.json", "job.yaml"])
def test_ending_must_fit(tmp_path: Path, ending: str) -> None:
    text = SMALL if ending == "job.json" else to_json(read_text(SMALL).job)
    document = read_text(text, "job.yaml" if ending == "job.json" else "job.json")
    with pytest.raises(JobError, match="ending"):
        write_document(document, tmp_path / ending)


@pytest.mark.parametrize(
    ("old", "new", "hint"),
    [
        ("length: 28 ft 0 in, turn: -90 deg", "length: 28 ft 0 in, turn: left", "left is negative: a square corner"),
        ("length: 26 ft 0 in, turn: 90 deg", "length: 26 ft 0 in, turn: Right", "right is positive"),
        ("      wet: true\n", "      wet: true\n      state: cracked\n", "did you mean 'condition'?"),
        ("customer:\n", "client: {name: A}\ncustomer:\n", "did you mean 'customer'?"),
    ],
)  # fmt: skip
def test_words_that_people_use_are_told_what_is_meant(old: str, new: str, hint: str) -> None:
    text = (HOUSE / "job.yaml").read_text(encoding="utf-8")
    assert old in text
    with pytest.raises(JobError) as caught:
        read_text(text.replace(old, new, 1), "job.yaml", HOUSE)
    assert any(hint in problem.hint for problem in caught.value.problems), [one.hint for one in caught.value.problems]


def test_a_ticket_without_the_day_of_its_call_lets_the_rest_through() -> None:
    """It was refused as a whole; DIG-11 says what is missing."""
    text = (HOUSE / "job.yaml").read_text(encoding="utf-8")
    ticket = "locates: {number: T-77, answers: [{line: house sewer, answer: marked}]}\n"
    job = read_text(text.replace("trees:\n", f"{ticket}trees:\n", 1), "job.yaml", HOUSE).job
    assert job.locates.made
    assert job.locates.called is None
    assert answers(job)["house sewer"] == "marked"
    assert ticket_days(job, ()).last is None
