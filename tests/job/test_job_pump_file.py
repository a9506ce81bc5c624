"""The firm's own pumps in a table beside the job."""

from __future__ import annotations

from pathlib import Path

import pytest

from drainwright.errors import JobError
from drainwright.job import job_from_json, read_document, to_json
from drainwright.job.pump_file import PUMPS, read_pumps
from drainwright.job.pump_table import pumps_csv

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")
GALLON, FOOT = 6.30901964e-5, 0.3048

POINTS = """# our two
name, flow (gpm), head (ft), power (hp), port, float, solids (in), starts (/h), price, input (W)
Alpha, 0, 24, 0.5, 2 in, adjustable, 0.5, 12, 310, 640
Alpha, 20, 18
Alpha, 40, 5.5

Beta unit, 0, 12
Beta unit, 15, 4
"""
WIDE = """name,flow 1 (L/s),head 1 (m),flow 2 (L/s),head 2 (m),flow 3 (L/s),head 3 (m),battery,off (mm)
Gamma,0,8,1.5,6,3,1.5,,75
Delta,0,4,1,1,,,yes,
"""


def problems(text: str) -> list[tuple[int | None, str]]:
    with pytest.raises(JobError) as caught:
        read_pumps(text, "ours.csv")
    assert {problem.file for problem in caught.value.problems} == {"ours.csv"}
    assert {problem.where for problem in caught.value.problems} == {"pumps_file"}
    return [(problem.line, problem.found) for problem in caught.value.problems]


def test_a_row_for_each_point() -> None:
    alpha, beta = read_pumps(POINTS)
    assert [point.flow for point in alpha.curve] == pytest.approx([0.0, 20 * GALLON, 40 * GALLON])
    assert [point.head for point in alpha.curve] == pytest.approx([24 * FOOT, 18 * FOOT, 5.5 * FOOT])
    assert alpha.label_power == pytest.approx(372.85, abs=0.01)
    assert (alpha.discharge_size, alpha.float_kind, alpha.price) == ("2 in", "adjustable", 310.0)
    assert alpha.solids == pytest.approx(0.0127)
    assert alpha.starts_limit == pytest.approx(12 / 3600)
    assert alpha.input_power == 640.0
    assert (beta.name, beta.float_kind, beta.price) == ("Beta unit", "integral", None)


def test_the_starts_that_a_switch_lasts_stand_in_a_column() -> None:
    alpha, beta = read_pumps("name,flow (gpm),head (ft),switch\nA,0,20,30000\nA,30,5,\nB,0,20,\nB,30,5,\n")
    assert (alpha.switch_starts, beta.switch_starts) == (30_000, None)
    assert read_pumps(pumps_csv((alpha, beta))) == (alpha, beta)
    assert problems("name,flow (gpm),head (ft),switch\nA,0,20,often\nA,30,5,\n") == [(2, "'often' as switch of 'A'")]
    assert problems("name,flow (gpm),head (ft),switch\nA,0,20,999\nA,30,5,\n") == [(2, "'999' as switch of 'A'")]


def test_a_row_for_each_pump_in_metric_units() -> None:
    gamma, delta = read_pumps(WIDE)
    assert [point.flow for point in gamma.curve] == pytest.approx([0.0, 0.0015, 0.003])
    assert gamma.minimum_depth == pytest.approx(0.075)
    assert not gamma.direct_current
    assert [point.head for point in delta.curve] == [4.0, 1.0]
    assert delta.direct_current


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("", None, "an empty file"),
        ("name,flow (gpm),head (ft)\n", 1, "headings only"),
        ("name,flow,head (ft)\nA,0,9\nA,9,1\n", 1, "the heading 'flow' without a unit"),
        ("name,flow (gpm),head (ft),colour\nA,0,9,\nA,9,1,\n", 1, "the heading 'colour'"),
        ("name,flow (gpm),flow (gpm),head (ft)\nA,0,0,9\n", 1, "the heading 'flow' more than once"),
        ("name,flow 1 (gpm),head 1 (ft),flow 2 (gpm)\nA,0,9,9\n", 1, "headings without name, flow and head in pairs"),
        ("flow (gpm),head (ft)\n0,9\n", 1, "headings without name, flow and head in pairs"),
        ("name,flow (gpm),head (ft)\nA,0,9\nA,9\n", 3, "a flow without its head"),
        ("name,flow (gpm),head (ft)\nA,0,9\n,9,1\n", 3, "a row without a name"),
        ("name,flow (gpm),head (ft)\nA,0,9\nA,9,10\n", 3, "A: 10 ft after 9 ft"),
        ("name,flow (gpm),head (ft)\nA,0,9\nA,9,5\nA,9,5\n", 4, "A: the same point again"),
        ("name,flow (gpm),head (ft)\nA,5,9\nA,5,8\n", 3, "A: 5.0 gpm after 5.0 gpm"),
        ("name,flow (gpm),head (ft)\nA,0,9\n", 2, "1 point of 'A'"),
        ("name,flow (gpm),head (ft)\nA,0,9\nA,-4,1\n", 3, "'-4' as flow"),
        ("name,flow (gpm),head (ft)\nA,0,9\nA,4,1,7\n", 3, "4 cells"),
        ("name,flow (pints),head (ft)\nA,0,9\nA,4,1\n", 2, "'0 pints' as flow of 'A'"),
        ("name,flow (gpm),head (ft)\nA,0,9\nB,0,9\nA,4,1\n", 4, "the pump 'A' again"),
        ("name,flow (gpm),head (ft),float\nA,0,9,bent\nA,4,1,\n", 2, "'bent' as float of 'A'"),
        ("name;flow (gpm);head (ft)\nA;0;9\nA;4;1\n", 1, "semicolons between the headings"),
        ("name\tflow (gpm)\thead (ft)\nA\t0\t9\n", 1, "tabs between the headings"),
        ("name,flow (gpm),head (ft)\nA,0,9\nA\x07,4,1\n", 3, "a control character (U+0007)"),
        ("name,flow (gpm),head (ft)\nA,0,9\nA\u2028,4,1\n", 3, "a control character (U+2028)"),
        ("name,flow (gpm),head (ft),price\nA,0,9,$310\nA,4,1,\n", 2, "'$310' as price"),
        ("name,flow (gpm),head (ft),port\nA,0,9,hose\nA,4,1,hose\n", 2, "'hose' as port of 'A'"),
        ("name,flow (gpm),head (ft),port\nA,0,9,2 in\nA,4,1,3 in\n", 3, "another discharge size of 'A'"),
        ("name,flow (gpm),head (ft),battery\nA,0,9,perhaps\nA,4,1,\n", 2, "'perhaps' as battery"),
        ("name,flow (gpm),head (ft),price\nA,0,9,cheap\nA,4,1,\n", 2, "'cheap' as price"),
        ('name,flow (gpm),head (ft)\n"A,0,9\n', 2, "a row that cannot be read (unexpected end of data)"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(text: str, line: int | None, found: str) -> None:
    assert (line, found) in problems(text)


def test_every_problem_is_told_once() -> None:
    told = problems("name,flow (gpm),head (ft)\nA,0,9\nA,x,1\nB,0,9\nB,1,y\n")
    assert told == [(3, "'x' as flow"), (5, "'y' as head")]


def test_what_a_port_may_be_is_said_in_words() -> None:
    with pytest.raises(JobError, match=r"expected a nominal size in inches up to 8, like '1-1/2 in'$"):
        read_pumps("name,flow (gpm),head (ft),port\nA,0,9,hose\nA,4,1,hose\n")


def test_an_empty_file_has_no_line_of_the_job(tmp_path: Path) -> None:
    (tmp_path / "ours.csv").write_text("", encoding="utf-8")
    (tmp_path / "job.yaml").write_text(SMALL + "pumps_file: ours.csv\n", encoding="utf-8")
    with pytest.raises(JobError, match=r"^ours\.csv: pumps_file: found an empty file"):
        read_document(tmp_path / "job.yaml")


def test_a_long_name_is_told_in_short() -> None:
    ((_, found),) = problems(f"name,flow (gpm),head (ft)\n{'A' * 3000},0,9\n")
    assert len(found) < 100


def test_a_job_takes_its_file_after_its_own(tmp_path: Path) -> None:
    (tmp_path / "ours.csv").write_text(POINTS, encoding="utf-8")
    own = "pumps:\n  - {name: First, curve: [{flow: 0 gpm, head: 20 ft}, {flow: 30 gpm, head: 4 ft}]}\n"
    (tmp_path / "job.yaml").write_text(SMALL + own + "pumps_file: ours.csv\n", encoding="utf-8")
    job = read_document(tmp_path / "job.yaml").job
    assert [pump.name for pump in job.pumps] == ["First", "Alpha", "Beta unit"]
    assert job.pumps_file is None
    assert job_from_json(to_json(job)) == job


def test_a_fault_in_the_file_names_file_and_line(tmp_path: Path) -> None:
    (tmp_path / "ours.csv").write_text(POINTS.replace("5.5", "30"), encoding="utf-8")
    (tmp_path / "job.yaml").write_text(SMALL + "pumps_file: ours.csv\n", encoding="utf-8")
    with pytest.raises(JobError, match=r"ours\.csv:5: .*Alpha: 30 ft after 18 ft"):
        read_document(tmp_path / "job.yaml")


@pytest.mark.parametrize(("name", "said"), [("none.csv", "no file"), ("../up.csv", "Copy the file beside the job")])
def test_a_file_that_is_not_there_is_told(tmp_path: Path, name: str, said: str) -> None:
    folder = tmp_path / "job"
    folder.mkdir()
    (tmp_path / "up.csv").write_text(POINTS, encoding="utf-8")
    (folder / "job.yaml").write_text(SMALL + f"pumps_file: {name}\n", encoding="utf-8")
    with pytest.raises(JobError, match=said):
        read_document(folder / "job.yaml")


def test_bytes_that_are_no_text_are_told(tmp_path: Path) -> None:
    (tmp_path / "ours.csv").write_bytes(b"name\x00")
    (tmp_path / "job.yaml").write_text(SMALL + "pumps_file: ours.csv\n", encoding="utf-8")
    with pytest.raises(JobError, match="NUL"):
        read_document(tmp_path / "job.yaml")


def test_too_many_pumps_are_told(tmp_path: Path) -> None:
    rows = "".join(f"P{number},0,9,9,1\n" for number in range(PUMPS.most + 1))
    text = "name,flow 1 (gpm),head 1 (ft),flow 2 (gpm),head 2 (ft)\n" + rows
    (tmp_path / "ours.csv").write_text(text, encoding="utf-8")
    (tmp_path / "job.yaml").write_text(SMALL + "pumps_file: ours.csv\n", encoding="utf-8")
    with pytest.raises(JobError, match="201 pumps"):
        read_document(tmp_path / "job.yaml")


@pytest.mark.parametrize(("second", "where"), [("5 gpm", "pumps[0].curve[1].head"), ("0 gpm", "pumps[0].curve[1]")])
def test_a_sheet_in_the_job_is_checked_too(tmp_path: Path, second: str, where: str) -> None:
    own = f"pumps:\n  - {{name: A, curve: [{{flow: 0 gpm, head: 9 ft}}, {{flow: {second}, head: 9 ft}}]}}\n"
    (tmp_path / "job.yaml").write_text(SMALL + own, encoding="utf-8")
    with pytest.raises(JobError) as caught:
        read_document(tmp_path / "job.yaml")
    assert [problem.where for problem in caught.value.problems] == [where]
    assert caught.value.problems[0].line is not None
