"""The firm's pipes in a table beside the job, and its pumps written as one."""

from __future__ import annotations

from pathlib import Path

import pytest

from drainwright.errors import JobError
from drainwright.job.pipe_file import pipes_csv, read_pipes
from drainwright.job.pump_file import read_pumps
from drainwright.job.pump_table import merged, pump_of, pumps_csv, units_of, with_pump
from drainwright.job.reading import read_text

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "sloping-lot" / "job.yaml"
TABLE = "pipe,lengths (ft),hole (in)\nd3034 4 in,10 20,4.5\n# a remark\nd2729 4 in perforated\n"
PUMPS = """name, flow (gpm), head (ft), power (hp), port, float, solids (in), price, battery
=Alpha, 0, 30, 0.5, 1-1/2 in, adjustable, 0.5, 402.5, no
=Alpha, 30, 24
=Alpha, 85, 1
Gamma 12 V, 0, 15, , 1-1/4 in, adjustable, , 10, yes
Gamma 12 V, 60, 14
"""


def test_a_table_of_pipes_reads_and_is_written_as_it_was_read() -> None:
    one, two = read_pipes(TABLE)
    assert (one.pipe, one.lengths, one.hole) == ("d3034 4 in", pytest.approx((3.048, 6.096)), pytest.approx(0.1143))
    assert (two.lengths, two.hole) == ((), None)
    assert read_pipes(pipes_csv((one, two))) == (one, two)


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("", None, "an empty file"),
        ("pipe\n", 1, "headings only"),
        ("pipe;lengths (ft)\nd3034 4 in;10\n", 1, "semicolons between the headings"),
        ("pipe,hole 2 (in)\nd3034 4 in,4.5\n", 1, "hole 2"),
        ("pipe,lengths\n", 1, "without a unit"),
        ("pipe,colour\n", 1, "the heading 'colour'"),
        ("pipe,pipe\n", 1, "more than once"),
        ("hole (in)\n", 1, "without pipe"),
        ("pipe,hole (in)\nd3034 4 in,wide\n", 2, "as hole of 'd3034 4 in'"),
        ("pipe,hole (in)\nd3034 4 in,4.5,5\n", 2, "3 cells"),
        ("pipe,lengths (ft)\n,10\n", 2, "a row without a pipe"),
    ],
)
def test_each_fault_of_a_table_has_its_line(text: str, line: int | None, found: str) -> None:
    with pytest.raises(JobError) as caught:
        read_pipes(text)
    problem = caught.value.problems[0]
    assert problem.line == line
    assert found in problem.found


def test_a_job_has_the_pipes_of_its_file_among_its_own(tmp_path: Path) -> None:
    (tmp_path / "pipes.csv").write_text(TABLE, encoding="utf-8")
    text = EXAMPLE.read_text(encoding="utf-8") + "\npipes: [{pipe: sch40 2 in}]\npipes_file: pipes.csv\n"
    job = read_text(text, folder=tmp_path).job
    assert [one.pipe for one in job.pipes] == ["sch40 2 in", "d3034 4 in", "d2729 4 in perforated"]
    assert job.pipes_file is None
    with pytest.raises(JobError, match="no file"):
        read_text(text.replace("pipes.csv", "other.csv"), folder=tmp_path)


@pytest.mark.parametrize("units", ["US", "SI"])
def test_pumps_are_written_as_a_table_that_reads_back_as_these(units: str) -> None:
    pumps = read_pumps(PUMPS)
    text = pumps_csv(pumps, units)  # type: ignore[arg-type]
    assert units_of(text) == units
    again = read_pumps(text)
    assert pumps_csv(again, units) == text  # type: ignore[arg-type]
    assert [one.name for one in again] == ["=Alpha", "Gamma 12 V"]
    assert "\n=" not in text  # a spreadsheet would reckon with it
    for one, other in zip(pumps, again, strict=True):
        for point, same in zip(one.curve, other.curve, strict=True):
            assert (same.flow, same.head) == pytest.approx((point.flow, point.head), rel=1e-5)
        assert (other.price, other.float_kind, other.direct_current) == (one.price, one.float_kind, one.direct_current)


def test_a_typed_pump_is_refused_field_by_field() -> None:
    curve = [{"flow": "0 gpm", "head": "20 ft"}, {"flow": "30 gpm", "head": "25 ft"}]
    with pytest.raises(JobError) as caught:
        pump_of({"name": "# One", "curve": curve})
    assert [one.where for one in caught.value.problems] == ["curve[1].head", "name"]
    with pytest.raises(JobError) as caught:
        pump_of({"name": "One", "curve": curve[:1], "weight": "heavy"})
    assert {one.where for one in caught.value.problems} == {"curve", "weight"}


def test_a_pump_takes_the_place_of_one_and_no_name_stands_twice() -> None:
    alpha, gamma = read_pumps(PUMPS)
    other = alpha.model_copy(update={"price": 1.0})
    assert with_pump((alpha, gamma), other, "=Alpha") == (other, gamma)
    assert merged((alpha, gamma), (other, alpha.model_copy(update={"name": "New"})))[:2] == (other, gamma)
    for pump, was in ((other, ""), (other, "Gamma 12 V"), (other, "nobody")):
        with pytest.raises(JobError):
            with_pump((alpha, gamma), pump, was)
