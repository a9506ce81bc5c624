"""A design like another is the design from nothing, to the last digit."""

from __future__ import annotations

import copy
import pickle
import random
from dataclasses import replace
from pathlib import Path

import pytest

from drainwright.design import Design, begin, design, finish
from drainwright.errors import DrainError
from drainwright.field import survey, surveyed
from drainwright.findings import judge_before_storm
from drainwright.job.changes import changed_job
from drainwright.job.reading import read_job
from drainwright.job.works import Stone
from drainwright.job.writing import to_json
from drainwright.kept import Kept, by_value, keeping, kept
from drainwright.results import design_to_plain
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


def test_what_a_change_does_not_touch_is_not_stepped_again() -> None:
    base = design(read_job(next(path for path in EXAMPLES if path.parent.name == "soak-lot")))
    like = design(changed_job(to_json(base.job), {"title": "Another"}), like=base)
    assert base.kept.pieces
    assert like.kept.pieces.keys() == base.kept.pieces.keys()
    assert all(like.kept.pieces[key] is piece for key, piece in base.kept.pieces.items())


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
    assert len(store.pieces) == 1
    assert kept_steps == [*steps, *steps]
    read_anew = changed_job(to_json(job), {"title": "Another"})
    with keeping(store) as later:
        assert surveyed(read_anew).surface is made.surface  # also where a job was read from other text
        changed = changed_job(to_json(job), {"works.runs": []} if not job.trees else {"trees": []})
        assert surveyed(changed).surface is not made.surface
    assert len(later.pieces) == 2


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
