"""A design like another is the design from nothing, to the last digit."""

from __future__ import annotations

import copy
import pickle
import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from drainwright.design import Begun, Design, begin, design, finish
from drainwright.errors import DrainError
from drainwright.field import survey, surveyed
from drainwright.field.places import resolve_place
from drainwright.findings import judge_before_storm
from drainwright.job.changes import changed_job
from drainwright.job.reading import read_job
from drainwright.job.works import Basin, Stone
from drainwright.job.writing import to_json
from drainwright.kept import Kept, by_value, keeping, kept
from drainwright.results import design_to_plain
from drainwright.system.grading import graded
from drainwright.system.surface import grates
from drainwright.worksheet import worksheet

EXAMPLES = sorted((Path(__file__).parents[1] / "examples").glob("*/job.yaml"))
EDITS = (
    ("price_book.burden", lambda dice: round(dice.uniform(0.2, 0.6), 3)),
    ("criteria.power_cut", lambda dice: f"{dice.randint(2, 30)} h"),
    ("criteria.grate_clogging", lambda dice: round(dice.uniform(0.1, 0.7), 2)),
    ("criteria.pump_margin", lambda dice: round(dice.uniform(1.0, 1.4), 2)),
    ("criteria.minimum_cover", lambda dice: f"{dice.uniform(0.2, 0.4):.2f} m"),
    ("title", lambda dice: f"Job {dice.randint(1, 99)}"),
)


def same(one: Design, other: Design) -> bool:
    return design_to_plain(one) == design_to_plain(other) and one.storm.cases[0].key == other.storm.cases[0].key


@pytest.mark.parametrize(
    "path", [path for path in EXAMPLES if path.parent.name != "long-house"], ids=lambda p: p.parent.name
)
def test_random_edits(path: Path) -> None:
    dice = random.Random(path.parent.name)
    base = design(read_job(path))
    before, text = base, to_json(base.job)
    for key, draw in dice.sample(EDITS, 3):
        try:
            job = changed_job(text, {key: draw(dice)})
            alone = design(job)
        except DrainError:
            continue
        found = design(job, like=before)
        assert same(found, alone)
        before, text = found, to_json(job)
    assert before is not base


def told(begun: Begun) -> tuple[object, ...]:
    """All that a storm and the checks are run on, to the last bit."""
    site = replace(begun.site, job=None)
    return site, begun.inflows, begun.moisture, begun.system, begun.build, begun.laying, begun.building


def places(kind: str, base: Begun) -> list[tuple[str, Any]]:
    """What of a kind can be dragged: where in the document it lies, and its place or places now."""
    site, works, nodes = base.site, base.job.works, base.system.nodes
    if kind == "inlet":
        return [(f"works.inlets[{n}].at", nodes[item.name].at) for n, item in enumerate(works.inlets)]
    if kind == "basin":
        return [("works.basin.at", nodes[works.basin.name].at)] if isinstance(works.basin, Basin) else []
    if kind == "outlet":
        return [(f"works.discharge[{n}].at", nodes[item.name].at) for n, item in enumerate(works.discharge)]
    if kind == "bend":
        return [
            (f"works.runs[{n}].via[{m}]", resolve_place(site, spot, "via"))
            for n, run in enumerate(works.runs) if not run.beside for m, spot in enumerate(run.via)
        ]  # fmt: skip
    if kind == "tree":
        return [(f"trees[{n}].at", tree.at) for n, tree in enumerate(site.trees)]
    return [
        (f"utilities[{n}].route[{m}]", resolve_place(site, spot, "route"))
        for n, item in enumerate(base.job.utilities) for m, spot in enumerate(item.route)
    ]  # fmt: skip


KINDS = ("inlet", "bend", "basin", "utility", "tree", "outlet")


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.parent.name)
def test_random_drags(path: Path) -> None:
    dice = random.Random(f"{path.parent.name} dragged")
    before = begin(read_job(path))
    kinds = [kind for kind in KINDS if places(kind, before)]
    moved = 0
    for kind in dice.sample(kinds, len(kinds))[: 2 if path.parent.name == "long-house" else 6]:
        where, (east, north) = dice.choice(places(kind, before))
        to = f"{east + dice.uniform(-0.6, 0.6):.3f} m, {north + dice.uniform(-0.6, 0.6):.3f} m"
        try:
            job = changed_job(to_json(before.job), {where: to})
            alone = begin(job)
        except DrainError:
            continue
        found = begin(job, like=before)
        assert by_value(told(found)) == by_value(told(alone))
        before, moved = found, moved + 1
    assert moved


def test_what_a_change_does_not_touch_is_not_stepped_again() -> None:
    base = design(read_job(next(path for path in EXAMPLES if path.parent.name == "soak-lot")))
    like = design(changed_job(to_json(base.job), {"title": "Another"}), like=base)
    assert base.kept.pieces
    assert like.kept.pieces.keys() == base.kept.pieces.keys()
    assert all(like.kept.pieces[key] is piece for key, piece in base.kept.pieces.items())


def test_ground_that_no_change_touches_is_not_gone_over_again(monkeypatch: pytest.MonkeyPatch) -> None:
    gone: list[int] = []
    over = grates.lay_flow

    def counted(*parts: Any) -> Any:
        gone.append(len(parts))
        return over(*parts)

    monkeypatch.setattr(grates, "lay_flow", counted)
    base = design(read_job(Path(__file__).parents[1] / "examples" / "block-wall-house" / "job.yaml"))
    assert gone, "what grates let pass is followed over the ground"
    gone.clear()
    battery = changed_job(to_json(base.job), {"works.basin.battery": {"capacity": "200 Ah", "current": "60 A"}})
    found = design(battery, like=base)
    assert gone == []
    turned = changed_job(to_json(base.job), {"property.north": "40 deg"})
    assert design(turned, like=base).job.property.north != base.job.property.north
    assert gone, "the sides of the lot have other names then"
    assert same(found, design(battery))


def test_drains_that_no_change_touches_are_not_graded_again(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []
    least = graded.grade_lines

    def counted(*parts: Any) -> Any:
        asked.append(len(parts))
        return least(*parts)

    monkeypatch.setattr(graded, "grade_lines", counted)
    base = begin(read_job(Path(__file__).parents[1] / "examples" / "block-wall-house" / "job.yaml"))
    assert asked
    asked.clear()
    cleanout = changed_job(to_json(base.job), {"works.runs.YD1.cleanout": True})
    found = begin(cleanout, like=base)
    assert asked == []
    assert found.system.runs == begin(cleanout).system.runs
    asked.clear()
    begin(changed_job(to_json(base.job), {"criteria.minimum_cover": "14 in"}), like=base)
    assert asked, "another cover asks for another grading"


def test_pieces_are_known_by_every_bit() -> None:
    with keeping() as store:
        assert [kept("sign", value, lambda value=value: str(value)) for value in (0.0, -0.0, 0, 0.0)] == [
            "0.0", "-0.0", "0", "0.0",
        ]  # fmt: skip
        assert len(store.pieces) == 3
    with keeping(store) as later:
        assert kept("sign", 0.0, lambda: "made anew") == "0.0"
        assert kept("other", 0.0, lambda: "made anew") == "made anew"
    assert len(later.pieces) == 2
    assert kept("sign", 0.0, lambda: "none open") == "none open"


def test_a_store_is_not_sent_along() -> None:
    with keeping() as store:
        kept("one", 1, lambda: 2)
    assert not pickle.loads(pickle.dumps(store)).pieces
    assert isinstance(copy.copy(store), Kept)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.parent.name)
def test_the_survey_reads_nothing_but_what_names_it(path: Path) -> None:
    job = read_job(path)
    with worksheet() as steps:
        whole = survey(job)
    with worksheet() as kept_steps, keeping() as store:
        made = surveyed(job)
        other = surveyed(job.model_copy(update={"title": "Another", "notes": "x"}))
    plain = [replace(site, job=None, surface=None) for site in (made, whole)]
    assert by_value(plain[0]) == by_value(plain[1])
    assert made.job is job
    assert other.surface is made.surface
    assert surveys(store) == 1
    assert kept_steps == [*steps, *steps]
    read_anew = changed_job(to_json(job), {"title": "Another"})
    with keeping(store) as later:
        assert surveyed(read_anew).terrain is made.terrain  # also where a job was read from other text
        changed = changed_job(to_json(job), {"works.runs": []} if not job.trees else {"trees": []})
        assert surveyed(changed).terrain is not made.terrain
        assert surveyed(changed).surface is made.surface  # what was measured stands, whatever is planned on it
    assert surveys(later) == 2


def surveys(store: Kept) -> int:
    return sum(kind == "survey" for kind, _ in store.pieces)


def test_pieces_are_known_whichever_fields_were_given_and_whatever_is_shared() -> None:
    text, again = "a" * 50, "".join(["a"] * 50)
    with keeping() as store:
        kept("text", (text, text), lambda: 1)
        kept("text", (text, again), lambda: 2)
        kept("record", Stone(), lambda: 1)
        kept("record", Stone(**{name: getattr(Stone(), name) for name in Stone.model_fields}), lambda: 2)
    assert len(store.pieces) == 2


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.parent.name)
def test_what_is_said_before_the_storm_stands_after_it(path: Path) -> None:
    begun = begin(read_job(path))
    early, waiting = judge_before_storm(begun.site, begun.inflows, begun.system, begun.build, begun.moisture)
    whole = finish(begun)
    assert early == tuple(one for one in whole.findings if one.id not in waiting)
    assert {"STM-01", "STM-02"} <= set(waiting)
    assert whole.build is begun.build
    assert whole.system is begun.system
