"""A size that is out of stock: what stands in its place, each choice a whole design."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from drainwright.build.book import demonstration_book
from drainwright.build.extras import extras
from drainwright.build.takeoff import pump_key
from drainwright.build.takeoff.bodies import BASINS
from drainwright.cli import app
from drainwright.design import Design, design
from drainwright.errors import JobError
from drainwright.findings.model import Finding, Severity
from drainwright.job.changes import changed_job
from drainwright.job.reading import read_job
from drainwright.job.values import Basis
from drainwright.job.writing import to_json
from drainwright.offer.difference import difference
from drainwright.offer.model import Difference
from drainwright.offer.swap import MOST, Swap, _alternatives, _turn, swaps
from drainwright.paper.documents.spanish import Translator
from drainwright.terminal_offer import MOST as LINES
from drainwright.terminal_offer import show_swaps
from tests.conftest import designed

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def soak() -> Design:
    return design(read_job(EXAMPLES / "soak-lot" / "job.yaml"))


def asked(base: Design, start: str) -> list[tuple[str, Mapping[str, Any]]]:
    line = next(line for line in base.build.takeoff.lines if line.key.startswith(start))
    return list(_alternatives(base, line))


def test_a_pipe_is_designed_anew_and_its_order_changes(soak: Design) -> None:
    key = next(line.key for line in soak.build.takeoff.lines if line.category == "pipe" and "sch40" not in line.key)
    found = swaps(soak, key)
    assert 1 <= len(found) <= MOST
    tried = [one for one in found if one.design is not None]
    assert tried
    for one in tried:
        assert one.design is not None
        assert one.difference is not None
        assert one.sound == one.design.sound
        keys = {line.key for line in one.design.build.takeoff.lines}
        if "works.out_of_stock" in one.changes:
            assert key not in keys
        assert one.difference.bought
    assert all(one.why for one in found if one.design is None)


def test_each_kind_of_thing_has_its_alternatives_and_the_document_takes_them(pumped: Design) -> None:
    """Every change asked for is one that the job document can say, and it says what was meant."""
    text = to_json(pumped.job)
    for start in ("pipe.sch40", "pipe.d3034", "pipe.d2729", "pump.", "basin.", "catch-basin.", "stone.57"):
        choices = asked(pumped, start)
        assert choices, start
        for words, changes in choices:
            assert changes, words
            job = changed_job(text, changes)
            assert job != pumped.job


@pytest.mark.parametrize("path", ["block-wall-house/job", "metric-basement/job"])
def test_the_cheapest_sound_basin_is_the_one_to_take(path: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The next larger one once stood first, though a smaller one was sound and cheaper."""
    base = designed(path)
    key = next(line.key for line in base.build.takeoff.lines if line.key.startswith("basin."))
    found = swaps(base, key)
    assert {str(*one.changes.values()) for one in found} == {
        f"{size:.0f} in" for size in BASINS if f"basin.{size:.0f}in" != key
    }
    for worse in (False, True):
        sound = [one.design.build.price.total for one in found if one.design is not None and one.difference is not None
                 and one.sound and bool(one.difference.dug_worse) is worse]  # fmt: skip
        assert sound == sorted(sound)
    brings = [bool(one.difference.dug_worse) for one in found if one.difference is not None and one.sound]
    assert brings == sorted(brings)
    assert [one.sound for one in found] == sorted((one.sound for one in found), key=(True, False, None).index)
    show_swaps(base, key, found)
    said = " ".join(capsys.readouterr().out.split())
    assert f"Take {found[0].words}: of those that are sound it makes the job cheapest" in said


def test_a_cheaper_one_that_makes_the_dig_worse_is_named_and_not_taken(capsys: pytest.CaptureFixture[str]) -> None:
    """A shaft of 12 ft was once the one to take, for it cost least: of two sound ones the one without a new caution."""
    base = designed("block-wall-house/job")
    key = next(line.key for line in base.build.takeoff.lines if line.key.startswith("basin."))
    first, second = [one for one in swaps(base, key) if one.sound][:2]
    assert first.design is not None
    assert second.design is not None
    assert first.difference is not None
    assert second.difference is not None
    caution = Finding(
        id="DIG-13", severity=Severity.CAUTION, where="works.basin", title="Deep", message="Deep.", figure="12 ft",
        limit="10 ft", advice="", source="", basis=Basis.MEASURED,
    )  # fmt: skip
    cheap = replace(first.difference, arisen=(*first.difference.arisen, caution))
    assert _turn(replace(first, difference=cheap)) > _turn(
        replace(second, difference=replace(second.difference, arisen=()))
    )
    show_swaps(base, key, (second, replace(first, difference=cheap)))
    said = " ".join(capsys.readouterr().out.split())
    assert f"Take {second.words}: of those that are sound it makes the job cheapest" in said
    assert f"({first.words} costs less and brings {', '.join(item.id for item in cheap.dug_worse)})" in said


def test_a_pump_in_its_place_has_another_label_and_its_own_curve(pumped: Design) -> None:
    first = pumped.system.stations[0]
    ranked = {item.pump.name: item.pump for item in first.ranking}
    for _, changes in asked(pumped, "pump."):
        job = changed_job(to_json(pumped.job), changes)
        pump = job.works.basins[0].pump
        assert pump is not None
        assert pump_key(pump.label_power, pump.float_kind) != pump_key(first.pump.label_power, first.pump.float_kind)
        curve = ranked[pump.name].curve
        assert [point.flow for point in pump.curve] == pytest.approx(list(curve.flows), abs=1e-9)
        assert [point.head for point in pump.curve] == pytest.approx(list(curve.heads), abs=1e-6)


def test_a_pressure_line_is_offered_pressure_pipe_alone(pumped: Design) -> None:
    for _, changes in asked(pumped, "pipe.sch40"):
        assert all(str(value).startswith("sch40") for key, value in changes.items() if key.endswith(".pipe"))


def test_what_is_not_in_the_order_is_refused(soak: Design) -> None:
    with pytest.raises(JobError, match="expected the key of a line"):
        swaps(soak, "pipe.gold-4in.10ft")
    with pytest.raises(JobError, match="take what does the same"):
        swaps(soak, "sundries.job")


def test_the_order_and_what_to_write_stand_under_headings_of_their_own(
    pumped: Design, capsys: pytest.CaptureFixture[str]
) -> None:
    (one, *_) = (one for one in swaps(pumped, "pipe.sch40-3in.20ft") if one.words == "4 in Schedule 40")
    assert one.difference is not None
    show_swaps(pumped, "pipe.sch40-3in.20ft", [one])
    said = capsys.readouterr().out
    assert said.index("The order") < said.index(one.difference.bought[0].description)
    assert f"and {len(one.difference.bought) - LINES} lines more" in said
    assert said.index("To write into the job") < said.index("works.runs.DL.pipe")


def test_a_pump_to_write_into_the_job_is_in_the_jobs_units_and_reads_back(
    pumped: Design, capsys: pytest.CaptureFixture[str]
) -> None:
    first = pumped.system.stations[0].pump
    key = pump_key(first.label_power, first.float_kind)
    one = next(one for one in swaps(pumped, key) if "works.basin.pump" in one.changes)
    show_swaps(pumped, key, [one])
    said = " ".join(capsys.readouterr().out.split())
    start = said.index("works.basin.pump: ") + len("works.basin.pump: ")
    told, _ = json.JSONDecoder().raw_decode(said[start:])
    assert all(point["flow"].endswith(" gpm") and point["head"].endswith(" ft") for point in told["curve"])
    text = to_json(pumped.job)
    found, meant = (
        changed_job(text, {"works.basin.pump": pump}).works.basin for pump in (told, one.changes["works.basin.pump"])
    )
    assert found is not None
    assert meant is not None
    assert found.pump is not None
    assert meant.pump is not None
    for a, b in zip(found.pump.curve, meant.pump.curve, strict=True):
        assert (a.flow, a.head) == pytest.approx((b.flow, b.head), rel=1e-5)


@pytest.mark.parametrize(
    ("stone", "key", "words", "size"),
    [
        ("clean stone No. 67", "stone.67", "washed stone, 3/4 in clean (No. 67)", 17.5),
        ("Clean no 8", "stone.8", "washed stone, 3/8 in clean (No. 8)", 9.0),
        ("river stone of the pit", "stone.own", "washed stone: river stone of the pit", 30.0),
    ],
)
def test_the_stone_that_is_chosen_is_the_stone_that_is_ordered(
    soak: Design, stone: str, key: str, words: str, size: float
) -> None:
    """The order once kept No. 57 at its price, whatever ``works.stone`` said; a price of its own is asked for."""
    sizes = {"d15": f"{size / 3} mm", "d50": f"{size / 1.5} mm", "d85": f"{size} mm"}
    made = design(changed_job(to_json(soak.job), {"works.stone": {"name": stone, **sizes}}))
    (line,) = (line for line in made.build.takeoff.lines if line.key.startswith("stone.") and "apron" not in line.key)
    assert (line.key, line.description) == (key, words)
    assert line.note.endswith("mass and voids as of No. 57")
    (priced,) = (line for line in made.build.price.lines if line.key == key)
    assert priced.unit_price == demonstration_book().item(key).price
    assert line.quantity >= 1.08 * line.net
    (more,) = (one for one in extras(made.site, demonstration_book()) if one.what == "stone")
    assert [item for item, _ in more.items] == [key]
    said = Translator(frozenset({stone}))
    said.say(words)
    assert not said.missing
    offered = [name for name, _ in _alternatives(made, line)]
    assert "clean stone No. 57" in offered
    assert stone not in offered


def test_the_command_prints_json_and_refuses() -> None:
    soak = str(EXAMPLES / "soak-lot" / "job.yaml")
    result = CliRunner().invoke(app, ["swap", soak, "--out-of-stock", "stone.57", "--json"])
    told = json.loads(result.stdout)
    assert {one["words"] for one in told["swaps"]} == {"clean stone No. 67", "clean stone No. 8"}
    assert (result.exit_code == 0) == any(one["sound"] for one in told["swaps"])
    wrong = CliRunner().invoke(app, ["swap", soak, "--out-of-stock", "stone.5"])
    assert wrong.exit_code == 2
    assert "Did you mean stone.57?" in wrong.stderr


def test_a_job_that_failed_before_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    """Every choice of an unsound job was called unsound, as though the choice were at fault."""
    base = designed("wrong-choices/job")
    assert not base.sound
    failing = [item for item in base.findings if item.severity is Severity.FAILS]
    same = difference(base, base)
    worse = replace(same, arisen=(failing[0],))
    better = replace(same, settled=(failing[-1],))

    def shown(*changes: Difference) -> str:
        found = [
            Swap(words=f"size {number}", changes={}, design=base, difference=changed)
            for number, changed in enumerate(changes)
        ]
        show_swaps(base, "basin.30in", found)
        return " ".join(capsys.readouterr().out.split())

    said = shown(same, worse)
    assert f"The job failed before, whatever is taken: {failing[0].title} ({failing[0].id})" in said
    assert "No choice here turns that." in said
    assert "no more fails than before" in said
    assert said.count(" more fails ") == 2
    assert "None of these is sound" not in said
    assert "With each of these more fails" not in said
    assert f"size 0 settles {failing[-1].title} ({failing[-1].id})." in shown(better)
    assert "With each of these more fails than before" in shown(worse)
