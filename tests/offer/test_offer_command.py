"""The commands of the offer: what they print, and what they refuse."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.findings.model import Severity
from drainwright.offer import options, what_if
from drainwright.terminal_offer import show_options

from ..conftest import designed

EXAMPLES = Path(__file__).parents[2] / "examples"
HOUSE = str(EXAMPLES / "block-wall-house" / "job.yaml")
SOAK = str(EXAMPLES / "soak-lot" / "job.yaml")


def run(*arguments: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, list(arguments))
    return result.exit_code, result.stdout, result.stderr


def test_options_of_a_basement() -> None:
    code, out, _ = run("options", str(EXAMPLES / "metric-basement" / "job.yaml"), "--json")
    found = json.loads(out)
    assert code == 0
    assert [one["key"] for one in found["packages"]][:3] == ["base", "better", "best"]
    assert found["packages"][1]["difference"]["price"]["after"] == found["packages"][1]["total"]


def test_a_lot_that_names_no_options_is_offered_shaped_ground() -> None:
    code, out, _ = run("options", SOAK)
    assert code == 0
    assert "Ground shaped to fall away at the south, east, north and" in out
    assert "The job names no options" in out


def test_a_lot_without_options_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    base = designed("soak-lot/job")
    graded = tuple(replace(item, severity=Severity.OK) if item.id == "FTG-10" else item for item in base.findings)
    show_options(options(replace(base, findings=graded)))
    assert "No option is worth offering" in capsys.readouterr().out


def test_what_if_prints_what_changes() -> None:
    code, out, _ = run("whatif", SOAK, "--set", "ground.texture=clay")
    assert code == 0
    assert "What if ground.texture = clay" in out
    assert "How long it takes" in out
    assert "The price by part" in out


@pytest.mark.parametrize(
    "key", ["price_book.prices.stone.57", 'price_book.prices."stone.57"', "price_book.items.stone.57"]
)
def test_a_price_is_changed_by_its_key_with_dots(key: str) -> None:
    code, out, err = run("whatif", SOAK, "--set", f"{key}=90")
    assert code == 0, err
    assert "Nothing changes" not in out


def test_a_sweep_of_a_price_is_headed_by_its_whole_key() -> None:
    code, out, _ = run("whatif", SOAK, "--sweep", 'price_book.prices."stone.57"=90')
    assert code == 0
    assert any(line.split()[:1] == ["stone.57"] for line in out.splitlines()), out


def test_what_if_of_nothing_says_so() -> None:
    assert "Nothing changes" in run("whatif", SOAK, "--set", "crew.size=4")[1]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("crew.size=2", {"planned", "likely", "with bad luck", "likely, with days lost to weather"}),
        ("crew.hours_per_day=10", {"likely"}),
        (f"crew.lost_days={[0.6] * 12}", {"likely, with days lost to weather"}),
        ("offer.allowances=[{what: rock, quantity: 12}]", {"if all rock allowed for is met"}),
    ],
)
def test_what_if_tells_the_days_of_all_that_changes_them(typed: str, told: set[str]) -> None:
    code, out, err = run("whatif", HOUSE, "--set", typed, "--json")
    assert code == 0, err
    changed = json.loads(out)["duration"]
    assert told <= {one["what"] for one in changed}
    assert all(one["before"] != one["after"] for one in changed)


def test_what_if_of_rock_allowed_for_says_the_days_it_adds() -> None:
    base = designed("block-wall-house/job")
    other, changed = what_if(base, {"offer.allowances": [{"what": "rock", "quantity": 12}]})
    rock = other.build.plan.rock
    assert rock is not None
    assert rock.days > other.build.plan.days
    (told,) = changed.duration
    assert (told.before, told.after.split(";")[0]) == (
        "", f"{rock.days} days, {rock.days - other.build.plan.days} more than planned",
    )  # fmt: skip
    assert not changed.nothing


def test_a_sweep_tells_the_likely_days_and_those_with_rock() -> None:
    _, out, _ = run("whatif", SOAK, "--sweep", "offer.allowances=[{what: rock, quantity: 4}]")
    plan = designed("soak-lot/job").build.plan
    assert plan.doubt is not None
    assert f"{plan.days}, likely {plan.doubt.days_likely};" in out


def test_a_sweep_prints_a_line_a_value() -> None:
    code, out, _ = run("whatif", SOAK, "--sweep", "crew.size=2,4,x")
    assert code == 0
    assert "cannot be designed" in out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((), "expected one of them"),
        (("--set", "a=1", "--sweep", "b=1"), "expected one of them"),
        (("--set", "crew.size"), "expected a key and a value"),
        (("--set", "=3"), "expected a key and a value"),
        (("--set", "crew.size=3", "--set", "crew.size=4"), "each key once"),
        (("--set", "crew.size=[1, 2"), "expected"),
        (("--set", "crew.sise=3"), "sise"),
        (("--set", "crew.size=many"), "whole number"),
        (("--set", "crew.size=zero"), "--set crew.size=zero: crew.size: found 'zero'"),
        (("--set", "price_book.prices.stome.57=90"), "Did you mean 'stone.57'?"),
        (("--set", "price_book.rates.coat=0"), "--set price_book.rates.coat=0: "),
        (("--set", "shares.overhead=0.2"), "price_book.overhead"),
        (("--set", "labour.wage=30"), "price_book.labour"),
        (("--set", "items.stone.57=90"), "price_book.prices.stone.57"),
        (("--set", "ground.conductivity=-3 ft/day"), "zero"),
        (("--set", "works.runs.NONE.pipe=x"), "NONE"),
        (("--sweep", "crew.size= , ,"), "expected"),
        (("--sweep", "crew.size=" + ",".join(map(str, range(1, 40)))), "30 or fewer"),
        (("--sweep", "crew.size=x,y"), ""),
    ],
)
def test_what_is_refused(arguments: tuple[str, ...], says: str) -> None:
    code, _, err = run("whatif", SOAK, *arguments)
    assert code == 2
    assert says in err
    assert "Traceback" not in err


@pytest.mark.parametrize("command", ["check", "papers", "options"])
@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ("{house.walls.wset.coating.kind: waterproofing}", "wset"),
        ("{works.basin.battery: {capacity: 200 Ah}}", "current"),
        ("{works.basin.second_pump: perhaps}", "second_pump"),
    ],
)
def test_an_option_with_a_slip_is_refused_with_its_line(command: str, changes: str, says: str, tmp_path: Path) -> None:
    """It once went unseen: the offer came out without the option, and nobody was told."""
    text = (
        (EXAMPLES / "block-wall-house" / "job.yaml")
        .read_text(encoding="utf-8")
        .replace("firm: {file: firm/firm.yaml}", "")
    )
    start = text.index("  options:\n")
    path = tmp_path / "job.yaml"
    slip = f"  options:\n    - {{key: slip, title: A slip, changes: {changes}}}\n"
    path.write_text(text[:start] + slip, encoding="utf-8")
    line = text[:start].count("\n") + 2
    code, _, err = run(command, str(path))
    assert code == 2
    assert says in err
    assert f"job.yaml:{line}" in err
    assert "offer.options" in err


@pytest.mark.parametrize(
    ("guessed", "true"),
    [
        ("price_book.labour.wage=40", "price_book.labour=40"),
        ("price_book.shares.overhead=0.3", "price_book.overhead=0.3"),
        ("price_book.labour.burden=0.5", "price_book.burden=0.5"),
    ],
)
def test_wage_and_shares_are_changed_by_the_key_that_the_firm_s_book_has(guessed: str, true: str) -> None:
    first, second = (run("whatif", SOAK, "--set", key) for key in (guessed, true))
    assert first[0] == second[0] == 0, first[2]
    assert "Nothing changes" not in first[1]
    assert first[1].splitlines()[2:] == second[1].splitlines()[2:]
