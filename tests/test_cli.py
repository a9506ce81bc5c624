"""The command line: what it prints, what it tells the shell, what it never does."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.errors import InputError, StageError
from drainwright.field import survey
from drainwright.findings.model import Finding, Severity
from drainwright.job import read_job
from drainwright.quantities import parse
from drainwright.terminal import _together

from .conftest import EXAMPLES

run = CliRunner()
HOUSE = str(EXAMPLES / "block-wall-house" / "job.yaml")
WRONG = str(EXAMPLES / "wrong-choices" / "job.yaml")


@pytest.mark.parametrize("command", ["new", "check", "design", "answers", "papers", "schema", "serve"])
def test_each_command_has_help_with_an_example(command: str) -> None:
    result = run.invoke(app, [command, "--help"])
    assert result.exit_code == 0
    assert "Example: drainwright" in result.output


def test_new_writes_a_job_that_checks_and_designs(tmp_path: Path) -> None:
    for units in ("US", "SI"):
        path = tmp_path / f"{units}.yaml"
        assert run.invoke(app, ["new", str(path), "--units", units]).exit_code == 0
        assert run.invoke(app, ["check", str(path)]).exit_code == 0
        result = run.invoke(app, ["design", str(path)])
        assert result.exit_code == 0, result.output  # what a newcomer first sees is a sound job
        assert "gravity does not reach OUT" in result.output  # so that its pump has a reason


def test_the_starter_quotes_what_a_comma_would_cut(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    run.invoke(app, ["new", str(path)])
    text = path.read_text(encoding="utf-8")
    quoted = [row for row in text.splitlines() if re.match(r' *- \{.*"[^",]*,', row)]
    assert len(quoted) >= 3
    for row in quoted:
        path.write_text(text.replace(row, row.replace('"', "")), encoding="utf-8")
        result = run.invoke(app, ["check", str(path)])
        assert result.exit_code == 2
        assert "Put it in quotes" in result.output, result.output


def test_new_never_overwrites(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text("mine", encoding="utf-8")
    result = run.invoke(app, ["new", str(path)])
    assert result.exit_code == 2
    assert path.read_text(encoding="utf-8") == "mine"


def test_new_says_when_the_folder_is_missing(tmp_path: Path) -> None:
    result = run.invoke(app, ["new", str(tmp_path / "no" / "job.yaml")])
    assert result.exit_code == 2
    assert "Nothing was written" in result.output


def test_design_exit_codes_tell_sound_from_failing() -> None:
    assert run.invoke(app, ["design", HOUSE]).exit_code == 0
    result = run.invoke(app, ["design", WRONG])
    assert result.exit_code == 1
    assert "LFT-03" in result.output


@pytest.mark.parametrize("command", ["check", "design", "answers", "papers"])
def test_a_missing_file_is_told_in_one_line(command: str) -> None:
    result = run.invoke(app, [command, "no-such-job.yaml"])
    assert result.exit_code == 2
    told = "no-such-job.yaml: found no such file; expected a job file (.yaml or .json)"
    assert result.output.splitlines() == [told, "1 problem; nothing was computed."]


def test_a_folder_is_told_in_one_line(tmp_path: Path) -> None:
    result = run.invoke(app, ["check", str(tmp_path)])
    assert result.exit_code == 2
    told = f"{tmp_path}: found a folder; expected a job file (.yaml or .json)"
    assert result.output.splitlines() == [told, "1 problem; nothing was computed."]


def _break(monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    def broken(*_: object) -> None:
        raise error

    monkeypatch.setattr("drainwright.system.lay_out", broken)


@pytest.mark.parametrize(
    "error", [RuntimeError("no solution"), InputError("depth = nan"), ZeroDivisionError("by zero")]
)
@pytest.mark.parametrize("command", ["design", "answers", "papers"])
def test_a_stage_that_breaks_down_is_named(monkeypatch: pytest.MonkeyPatch, error: Exception, command: str) -> None:
    _break(monkeypatch, error)
    result = run.invoke(app, [command, HOUSE])
    assert result.exit_code == 2
    assert "the stage 'system'" in result.output
    assert str(error) in result.output
    assert "please report it" in result.output
    assert "Traceback" not in result.output


def test_a_stage_that_breaks_down_is_named_in_json(monkeypatch: pytest.MonkeyPatch) -> None:
    _break(monkeypatch, RuntimeError("no solution"))
    data = json.loads(run.invoke(app, ["design", HOUSE, "--json"]).output)
    assert data["ok"] is False
    assert "the stage 'system'" in data["errors"][0]["found"]
    assert data["errors"][0]["file"] == HOUSE


def test_a_survey_that_breaks_down_is_named_by_check(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("no surface")

    monkeypatch.setattr("drainwright.field.survey", broken)
    result = run.invoke(app, ["check", HOUSE])
    assert result.exit_code == 2
    assert "the stage 'survey'" in result.output


def test_papers_that_break_down_are_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("no ink")

    monkeypatch.setattr("drainwright.paper.write_papers", broken)
    result = run.invoke(app, ["papers", HOUSE, "--to", str(tmp_path / "papers")])
    assert result.exit_code == 2
    assert "the stage 'papers'" in result.output


def test_debugging_shows_where_a_stage_broke(monkeypatch: pytest.MonkeyPatch) -> None:
    error = RuntimeError("no solution")
    _break(monkeypatch, error)
    monkeypatch.setenv("DRAINWRIGHT_DEBUG", "1")
    result = run.invoke(app, ["design", HOUSE])
    assert isinstance(result.exception, StageError)
    assert result.exception.__cause__ is error


def _changed(tmp_path: Path, *pairs: tuple[str, str]) -> str:
    """The starter with some texts replaced."""
    tmp_path.mkdir(exist_ok=True)
    path = tmp_path / "job.yaml"
    run.invoke(app, ["new", str(path)])
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return str(path)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('{name: south roof, area: "560 ft2, measured"', "{name: south roof, area: 1000000 ft2"),
        ("42 in, assumed", "300 ft, assumed"), ("2 ft below A, measured", "300 ft below A"),
        ("0.4 ft below KERB", "320 ft above KERB"), ("0.4 ft below KERB", "320 ft below KERB"),
        ("frost_depth: 12 in", "frost_depth: 320 ft"), ("4 in below BM, assumed", "300 ft above BM"),
        ("5 ft below A, assumed", "300 ft above A"), ("trunk_diameter: 14 in", "trunk_diameter: 300 ft"),
        ("{name: E1, east: 60 ft", "{name: E1, east: 5000 ft"), ("elevation: 100.00 ft", "elevation: -30000 ft"),
        ("to: C, length: 28 ft", "to: C, length: 3000 ft"), ("storm_return_period: 25 yr", "storm_duration: 24 h"),
    ],
)  # fmt: skip
def test_the_greatest_values_end_without_a_traceback(tmp_path: Path, old: str, new: str) -> None:
    result = run.invoke(app, ["design", _changed(tmp_path, (old, new))])
    assert result.exit_code in (0, 1, 2)
    assert result.exception is None or isinstance(result.exception, SystemExit)


@pytest.mark.parametrize("area", ["1e30 ft2", "1e8 ft2"])
def test_an_absurd_roof_is_refused_with_its_line(tmp_path: Path, area: str) -> None:
    old = '{name: south roof, area: "560 ft2, measured"'
    path = _changed(tmp_path, (old, f"{{name: south roof, area: {area}"))
    result = run.invoke(app, ["design", path])
    assert result.exit_code == 2
    line = next(n for n, row in enumerate(Path(path).read_text(encoding="utf-8").splitlines(), 1) if area in row)
    assert f"job.yaml:{line}: roofs[0].area: found '{area}'; expected an area of at most" in result.output


def test_check_prints_enough_digits_to_tell_a_misclosure_from_its_limit(tmp_path: Path) -> None:
    path = _changed(tmp_path, ("foresight: 3.60 ft", "foresight: 3.61 ft"))
    result = run.invoke(app, ["check", path])
    assert "-0.010 ft" in result.output
    said = " ".join(result.output.split())
    assert "more than the allowable 0.009 ft, within what two rod readings can be off" in said
    assert "is in order" not in said, "beside a figure beyond its limit"
    assert "looks wrong" not in said, "a hundredth that design lets pass with a caution"
    wider = _changed(tmp_path / "wider", ("foresight: 3.60 ft", "foresight: 3.63 ft"))
    wide = run.invoke(app, ["check", wider])
    assert "MORE THAN the allowable 0.009 ft" in wide.output
    assert "1 measurement looks wrong" in wide.output
    assert "more than the allowable 0.009 ft: level it again." in " ".join(wide.output.split())
    told = run.invoke(app, ["check", path, "--json"])
    assert json.loads(told.output)["closes"] == {"level_book": False, "perimeter": True}


def test_design_says_a_small_misclosure_plainly(tmp_path: Path) -> None:
    result = run.invoke(app, ["design", _changed(tmp_path, ("foresight: 3.60 ft", "foresight: 3.61 ft"))])
    assert result.exit_code == 0  # a caution
    told = " ".join(result.output.split())
    assert "The level book misses its benchmark by 0.010 ft; 0.009 ft is allowed for so short a round." in told
    assert "That is within what two rod readings can be off." in told
    assert "Read the first and last sights again before relying on heights to a hundredth of a foot." in told


def test_check_heads_what_it_assumed(tmp_path: Path) -> None:
    result = run.invoke(app, ["check", _changed(tmp_path, ("4.00 ft, distance: 40 ft}", "4.00 ft, distance: 400 ft}"))])
    assert result.exit_code == 0
    heading, notes = result.output.split("Assumed or left open\n")
    assert "in order" in heading
    assert "- The level of the lowest floor is assumed." in notes
    assert "- Sights longer than 300 ft read a rod poorly: BM (row 1)." in notes


def test_wrong_input_as_json_has_one_shape(tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text("schema_version: 1\ntitle: x\n", encoding="utf-8")
    result = run.invoke(app, ["check", str(path), "--json"])
    assert result.exit_code == 2
    data = json.loads(result.output)
    assert data["ok"] is False
    assert {"where", "found", "expected", "hint", "file", "line", "column"} == set(data["errors"][0])


def test_a_fault_that_only_the_survey_sees_has_its_line(tmp_path: Path) -> None:
    text = (
        Path(HOUSE)
        .read_text(encoding="utf-8")
        .replace("firm: {file: firm/firm.yaml}", "")
        .replace("distance: 17 ft 2 1/2 in", "distance: 2 ft 2 1/2 in")
    )
    path = tmp_path / "tie.yaml"
    path.write_text(text, encoding="utf-8")
    result = run.invoke(app, ["check", str(path)])
    assert result.exit_code == 2
    line = next(i for i, row in enumerate(text.splitlines(), 1) if "name: W1" in row)
    assert f"{path}:{line}" in result.output.replace("\n", "")


def test_design_as_json_is_complete_and_finite() -> None:
    result = run.invoke(app, ["design", HOUSE, "--json"])
    data = json.loads(result.output)
    assert {"job", "site", "inflows", "system", "storm", "build", "findings", "answers", "worksheet"} <= set(data)
    assert "NaN" not in result.output
    assert "Infinity" not in result.output


def test_what_a_solver_prints_does_not_stand_in_the_json() -> None:
    """HiGHS prints a line of its own now and then, past Python's own output."""
    code = (
        "import os, sys, drainwright.design as stages\n"
        "from drainwright.cli import app\n"
        "carry = stages.design\n"
        "def chatty(job):\n"
        "    import ctypes\n"
        "    ctypes.CDLL(None).printf(b'a solver says this;')\n"
        "    os.write(1, b'and this')\n"
        "    return carry(job)\n"
        "stages.design = chatty\n"
        f"sys.argv = ['drainwright', 'design', {HOUSE!r}, '--json']\n"
        "app()\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert json.loads(done.stdout)["job"], done.stderr[-500:]


def test_answers_can_be_asked_one_by_one() -> None:
    result = run.invoke(app, ["answers", HOUSE, "--number", "8"])
    assert result.exit_code == 0
    assert result.output.strip().startswith("8. Is the pump big enough")
    assert run.invoke(app, ["answers", HOUSE, "--number", "26"]).exit_code == 2


def test_schema_prints_the_published_schema() -> None:
    data = json.loads(run.invoke(app, ["schema"]).output)
    assert data["properties"]["schema_version"]


def test_papers_writes_the_folder(tmp_path: Path) -> None:
    result = run.invoke(app, ["papers", HOUSE, "--to", str(tmp_path / "papers"), "--json"])
    assert result.exit_code == 0
    data = json.loads(result.output)
    wanted = {
        "proposal.pdf",
        "crew-packet.pdf",
        "crew-packet-es.pdf",
        "site-report.pdf",
        "worksheet.pdf",
        "plan.svg",
        "ground.svg",
        "drawing.dxf",
        "order.xlsx",
        "order.csv",
        "results.json",
    }
    assert wanted <= set(data["files"])
    assert all((tmp_path / "papers" / name).stat().st_size > 500 for name in data["files"])


def test_papers_into_a_file_is_refused(tmp_path: Path) -> None:
    blocker = tmp_path / "file"
    blocker.write_text("x", encoding="utf-8")
    result = run.invoke(app, ["papers", HOUSE, "--to", str(blocker)])
    assert result.exit_code == 2
    assert "Traceback" not in result.output


USING = Path(__file__).parents[1] / "docs" / "using.md"


def test_the_guide_shows_quantities_that_are_read() -> None:
    text = USING.read_text(encoding="utf-8").split("## 3.")[1].split("A bare number")[0]
    shown = re.findall(r"`([^`]+)`", text)
    assert len(shown) >= 12
    kinds = ("length", "grade", "flow", "intensity", "volume", "density", "speed", "time")
    for written in shown:
        assert any(_reads(written, kind) for kind in kinds), written


def _reads(written: str, kind: str) -> bool:
    try:
        parse(written, kind)
    except InputError:
        return False
    return True


def test_the_guide_shows_a_line_that_is_read_and_fails_without_its_quotes(tmp_path: Path) -> None:
    line = re.search(r"```yaml\n(- .*)\n```", USING.read_text(encoding="utf-8"))
    assert line
    for shown, code in ((line[1], 0), (line[1].replace('"7 in, measured"', "7 in, measured"), 2)):
        path = _changed(
            tmp_path, ("  - name: house sewer", f"  {shown.replace('water service', 'line')}\n  - name: house sewer")
        )
        result = run.invoke(app, ["check", path])
        assert result.exit_code == code, result.output
        Path(path).unlink()
    assert 'ut it in quotes: depth: "7 in, measured"' in result.output


MALFORMED = sorted((Path(__file__).parent / "job" / "malformed").iterdir())


@pytest.mark.parametrize("path", MALFORMED, ids=lambda path: path.stem)
def test_each_malformed_job_is_refused_without_a_traceback(path: Path) -> None:
    result = run.invoke(app, ["design", str(path)])
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    assert "nothing was computed" in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)


def test_there_are_at_least_thirty_malformed_jobs() -> None:
    assert len(MALFORMED) >= 30


def test_ctrl_c_leaves_the_old_papers_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "papers"
    folder.mkdir()
    (folder / "proposal.pdf").write_text("old", encoding="utf-8")

    def stop(*_: object) -> list[Path]:
        raise KeyboardInterrupt

    monkeypatch.setattr("drainwright.paper.write_papers", stop)
    result = run.invoke(app, ["papers", HOUSE, "--to", str(folder)])
    assert result.exit_code == 130
    assert "Stopped" in result.output
    assert (folder / "proposal.pdf").read_text(encoding="utf-8") == "old"


def _with_a_bad_tie(tmp_path: Path) -> str:
    """The block-wall house with one tie a foot too long, and two more that show it."""
    ties = "{from: C, distance: 23 ft 3/4 in}]"
    bad = "{from: C, distance: 24 ft 3/4 in}, {from: A, distance: 54 ft 7 in}, {from: D, distance: 42 ft 6 in}]"
    text = Path(HOUSE).read_text(encoding="utf-8").replace("firm: {file: firm/firm.yaml}", "")
    assert text.count(ties) == 1
    path = tmp_path / "tie.yaml"
    path.write_text(text.replace(ties, bad), encoding="utf-8")
    return str(path)


def test_check_tells_what_to_measure_again_before_all_else(tmp_path: Path) -> None:
    path = _with_a_bad_tie(tmp_path)
    result = run.invoke(app, ["check", path])
    assert result.exit_code == 0
    rows = [row for row in result.output.splitlines() if row.strip()]
    assert rows[0].endswith("the job document reads; 1 measurement looks wrong.")
    assert rows[1] == "Measure again"
    assert rows[2].strip().startswith("- The tie of E1 from C")
    assert result.output.count("The tie of E1 from C") == 1, "not among what is assumed, too"
    found = json.loads(run.invoke(app, ["check", path, "--json"]).output)
    assert [slip["where"] for slip in found["slips"]] == ["survey.points[1].ties[1]"]
    clean = run.invoke(app, ["check", HOUSE])
    assert "is in order" in clean.output
    assert "Measure again" not in clean.output
    assert json.loads(run.invoke(app, ["check", HOUSE, "--json"]).output)["slips"] == []


def test_a_ground_file_that_is_not_there_is_told_once() -> None:
    result = run.invoke(app, ["ground", "nofile.csv"])
    assert result.exit_code == 2
    wanted = "a file of ground shots (CSV, GeoJSON, GeoTIFF, ASCII grid, LAS or LAZ)"
    assert result.output.splitlines()[0] == f"nofile.csv: found no such file; expected {wanted}"


def test_findings_that_say_the_same_of_another_place_are_joined_in_the_list() -> None:
    """The block-wall house: three walls are to be damp-proofed, and the ground falls to three others."""
    out = run.invoke(app, ["design", HOUSE]).output
    listed = out[out.index("\nFindings") :]
    damp = [row for row in listed.splitlines() if " FTG-05 " in row]
    assert len(damp) == 1
    assert "also: house.walls.south (damp-proofing; water at 98.26 ft); house.walls.east" in listed
    assert listed.count("only damp-proofing") + listed.count("The coat alone does") == 1
    assert listed.count("hardly falls away from") == 1
    assert listed.count("falls toward the") == 1
    found = json.loads(run.invoke(app, ["design", HOUSE, "--json"]).output)
    walls = [item["where"] for item in found["findings"] if item["id"] == "FTG-05" and item["severity"] == "caution"]
    assert len(walls) == 3, "the whole list for other programs"
    for item in found["findings"]:
        if item["severity"] != "ok":
            assert item["where"] in listed, item["where"]


def _finding(where: str, message: str, **more: object) -> Finding:
    plain = {
        "id": "TRY-01", "title": "Try", "severity": Severity.CAUTION, "figure": "1 ft", "limit": "", "advice": "",
        "source": "common_practice",
    }  # fmt: skip
    return Finding(where=where, message=message, **{**plain, **more})  # type: ignore[arg-type]


def test_only_findings_that_differ_by_place_and_figure_are_joined() -> None:
    west = _finding("house.walls.west", "The west wall is 3 ft 2 1/8 in deep, dug in 2 days.")
    south = _finding("house.walls.south", "The south wall is 11 1/4 in deep, dug in 3 days.")
    other = _finding("house.walls.east", "The east wall is dry.")
    fails = _finding("house.walls.rear", "The rear wall is 3 ft deep, dug in 2 days.", severity=Severity.FAILS)
    do = _finding("house.walls.jog", "The jog wall is 3 ft deep, dug in 2 days.", advice="Shore it.")
    joined = _together([west, south, other, fails, do])
    assert [(first.where, len(rest)) for first, rest in joined] == [
        ("house.walls.west", 1), ("house.walls.east", 0), ("house.walls.rear", 0), ("house.walls.jog", 0),
    ]  # fmt: skip


def test_check_tells_figures_and_prices_out_of_the_ordinary(tmp_path: Path) -> None:
    text = Path(HOUSE).read_text(encoding="utf-8").replace("gate_width: 3 ft 2 in", "gate_width: 34 ft")
    text = text.replace("firm: {file: firm/firm.yaml}\n", "price_book: {prices: {stone.57: 580}}\n")
    odd = tmp_path / "odd.yaml"
    odd.write_text(text, encoding="utf-8")
    said = " ".join(run.invoke(app, ["check", str(odd)]).output.split())
    assert "the job document reads." in said
    assert "property.access.gate_width: found 34 ft; a gate is 2 ft to 18 ft wide: is it 34 in?" in said
    assert "items.stone.57: found $580.00 a unit; usual is $58.00." in said
    told = json.loads(run.invoke(app, ["check", str(odd), "--json"]).output)["unusual"]
    assert [one["where"] for one in told["figures"]] == ["property.access.gate_width"]
    assert [one["where"] for one in told["prices"]] == ["items.stone.57"]
    quiet = json.loads(run.invoke(app, ["check", HOUSE, "--json"]).output)["unusual"]
    assert quiet == {"figures": [], "prices": []}


def test_check_puts_a_set_on_another_datum_first(capsys: pytest.CaptureFixture[str]) -> None:
    from dataclasses import replace

    from drainwright.field.model import SetLevels
    from drainwright.terminal_check import show_check

    site = survey(read_job(HOUSE))
    topo = SetLevels(
        where="survey.shot_sets[0]", name="TOPO", compared=30, off=64.74, spread=0.01, odd=(("W1", -0.33),)
    )
    show_check(site.job, replace(site, set_levels=(topo,)))
    said = capsys.readouterr().out
    assert "2 measurements look wrong" in said
    assert "The levels of TOPO lie 212.40 ft above 30 of your shots" in said
    assert "W1 lies 1.08 ft below the ground of TOPO" in said
    assert said.index("Measure again") < said.index("perimeter walk")
    show_check(site.job, replace(site, set_levels=(replace(topo, off=0.04, odd=()),)))
    assert "is in order" in capsys.readouterr().out


def test_no_figure_of_the_runs_is_cut_in_a_metric_job() -> None:
    """The longest pipes and units: names may take two lines, heads of figures and figures do not."""
    job = EXAMPLES / "metric-basement" / "job.yaml"
    shown = run.invoke(app, ["design", str(job)]).stdout
    [head] = [line for line in shown.splitlines() if line.lstrip().startswith("run ") and "duty" in line]
    for words in ("length m", "flow L/s", "speed m/s"):
        assert words in head


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full disk to write to here")
def test_a_full_disk_under_the_output_is_told_and_is_no_verdict_on_the_job() -> None:
    job = Path(__file__).resolve().parents[1] / "examples" / "sloping-lot" / "job.yaml"
    program = [sys.executable, "-m", "drainwright.cli", "storm", str(job)]
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        ended = subprocess.run(program, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert ended.returncode == 2
    assert ended.stderr.startswith("the output: found 'No space left on device'; expected a place")
    assert "Traceback" not in ended.stderr


def test_the_other_name_of_to_is_taken_and_not_told(tmp_path: Path) -> None:
    other = run.invoke(app, ["papers", HOUSE, "--out", str(tmp_path / "file.txt" / "x"), "--json"])
    assert "No such option" not in other.output
    for command in ("papers", "export", "years", "chance", "study", "schemes", "ground", "invoice", "actuals"):
        told = run.invoke(app, [command, "--help"]).output
        assert "--to" in told
        assert "--out " not in told


@pytest.mark.parametrize(
    ("arguments", "where", "found"),
    [
        (("ground", HOUSE, "--unit", "yard"), "--unit", "'yard'"),
        (("chance", HOUSE, "--samples", "2"), "--samples, --seed", "2 and 1"),
        (("years", HOUSE, "--to", HOUSE), "--to", "which is a file"),
        (("actuals", HOUSE, HOUSE, "--to", "x.pdf"), "--to", "'x.pdf'"),
        (("whatif", HOUSE), "--set or --sweep", ""),
    ],
)
def test_wrong_options_are_told_as_json_where_that_is_asked(arguments: tuple[str, ...], where: str, found: str) -> None:
    result = run.invoke(app, [*arguments, "--json"])
    assert result.exit_code == 2
    told = json.loads(result.stdout)
    assert told["ok"] is False
    (error,) = told["errors"]
    assert error["where"] == where
    assert found in error["found"]
    assert set(error) == {"where", "found", "expected", "hint", "file", "line", "column"}
    assert result.stderr == ""


@pytest.mark.parametrize(
    ("arguments", "where", "found"),
    [
        (("design", HOUSE, "--json", "--colour"), "--colour", "--colour"),
        (("design", "--json"), "job", "missing argument"),
        (("design", HOUSE, "more", "--json"), "command", "more"),
        (("chance", HOUSE, "--samples", "many", "--json"), "--samples", "integer"),
        (("chance", HOUSE, "--json", "--samples"), "--samples", "argument"),
        (("sketch", "--json"), "command", "sketch"),
        (("book", "sell", "--json"), "command", "sell"),
        (("--json",), "--json", "--json"),
    ],
)
def test_what_the_parser_refuses_is_told_as_json_too(arguments: tuple[str, ...], where: str, found: str) -> None:
    result = run.invoke(app, list(arguments))
    assert result.exit_code == 2
    (error,) = json.loads(result.stdout)["errors"]
    assert error["where"] == where
    assert found in error["found"].lower()
    assert "--help' lists" in error["expected"]
    assert result.stderr == ""


def test_without_json_the_parser_speaks_as_ever() -> None:
    result = run.invoke(app, ["design", HOUSE, "--colour"])
    assert result.exit_code == 2
    assert "--colour" in result.stderr
    assert result.stdout == ""
