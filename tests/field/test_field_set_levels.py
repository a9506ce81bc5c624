"""Shots that others measured, against the level book: wrong datum, wrong place, busts, and slips of the book."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from field_yard import document, job
from pydantic import ValidationError

from drainwright.errors import JobError
from drainwright.exchange.files import read_shots
from drainwright.exchange.shots import Shots, thinned_to
from drainwright.field import survey
from drainwright.field.ground_study import study_ground
from drainwright.field.model import Site, Slip
from drainwright.field.spikes import MOST, lone_spikes

FOOT = 0.3048
TERRAIN = Path(__file__).resolve().parents[3] / "shared" / "data" / "terrain"
EYE = 105.0  # height of instrument [ft]


def ground(east: float, north: float) -> float:
    """An even yard with a swale along the east side. [ft]"""
    return 100.0 - 0.02 * north - 0.8 * math.exp(-(((east - 52.0) / 6.0) ** 2)) + 0.3 * math.sin(east / 17.0)


def lattice(count: int = 14) -> list[tuple[float, float, float]]:
    """Shots about every 8 ft round the house, booked to a hundredth. [ft]"""
    rng = np.random.default_rng(5)
    spots = [(-40.0 + 8.0 * i, -40.0 + 8.0 * k) for i in range(count) for k in range(count)]
    spots = [(e, n) for e, n in spots if not (-1.0 < e < 41.0 and -1.0 < n < 31.0)]
    return [
        (round(e + rng.uniform(-2, 2), 2), round(n + rng.uniform(-2, 2), 2), 0.0) for e, n in spots
    ]  # fmt: skip


YARD = {"E1": (46.0, 5.0), "SW1": (52.0, 12.0), "E2": (58.0, 20.0), "E3": (50.0, 28.0), "N1": (30.0, 42.0),
        "N2": (10.0, 38.0), "N3": (-8.0, 35.0), "W1": (-15.0, 20.0), "W2": (-12.0, 5.0), "S1": (-8.0, -12.0),
        "S2": (15.0, -10.0), "S3": (35.0, -14.0), "E4": (55.0, -8.0), "LOW": (22.0, 36.0)}  # fmt: skip
NOTES = {"SW1": "bottom of the swale", "LOW": "hollow at the rear wall"}


def site(
    wrong: dict[str, float] | None = None, *, up: float = 0.0, swap: bool = False, away: float = 0.0, sets: bool = True,
    busts: dict[int, float] | None = None, foresight: float = 0.0, names: list[str] | None = None, apart: float = 40.0,
) -> Site:  # fmt: skip
    """The yard levelled from two set-ups, and a set of shots; all changes in feet."""
    rng = np.random.default_rng(3)
    data: dict[str, Any] = document()
    points = [
        {"name": name, "east": f"{e} ft", "north": f"{n} ft", "note": NOTES.get(name, "")}
        for name, (e, n) in YARD.items()
    ]
    book: list[dict[str, Any]] = [{"point": "BM", "backsight": "5.00 ft", "distance": "50 ft"}]
    for number, (name, at) in enumerate(YARD.items()):
        if number == 7:
            book.append({"point": "TP1", "foresight": f"{5.2 + foresight:.2f} ft", "backsight": "5.20 ft",
                         "distance": "50 ft"})  # fmt: skip
        reading = EYE - ground(*at) + rng.normal(0.0, 0.03) + (wrong or {}).get(name, 0.0)
        book.append({"point": name, "intermediate": f"{reading:.2f} ft"})
    book.append({"point": "BM", "foresight": "5.00 ft", "distance": "50 ft"})
    rows = [(e, n, round(ground(e, n) + rng.normal(0.0, 0.03) + up, 2)) for e, n, _ in lattice()]
    for number, off in (busts or {}).items():
        rows[number] = (*rows[number][:2], rows[number][2] + off)
    shots = [(f"{e + 3000.0 + away} ft", f"{n + 7000.0} ft", f"{z:.2f} ft") for e, n, z in rows]
    known = [
        {"at": name, "in_file": [7000.0 + n, 3000.0 + e] if swap else [3000.0 + e, 7000.0 + n]}
        for name, (e, n) in (("A", (0.0, 0.0)), ("D", (apart, 0.0)))
    ]
    data["survey"]["points"] += points
    data["survey"]["level_book"] = book
    if sets:
        data["survey"]["shot_sets"] = [{"name": "TOPO", "unit": "ft", "known": known, "shots": shots,
                                        "shot_names": names or []}]  # fmt: skip
    data["house"]["floor"] = "97 ft"
    data["house"]["walls"] = [{"name": "N", "from": "C", "to": "B", "footing_bottom": "96 ft"}]
    return survey(job(**data))


def rows_of(slips: tuple[Slip, ...]) -> list[str]:
    return [slip.where for slip in slips]


def test_a_sound_set_agrees_and_nothing_is_told_but_that() -> None:
    ours = site()
    (one,) = ours.set_levels
    assert one.compared >= 10
    assert abs(one.off) < 0.03 * FOOT
    assert one.spread < 0.1 * FOOT
    assert one.odd == ()
    assert ours.slips == ()
    assert any(note.startswith("TOPO agrees with") for note in ours.notes)
    assert not any("stands alone" in note for note in ours.notes)


@pytest.mark.parametrize("up", [212.4, 1.0, -0.5])
def test_a_set_on_another_datum_is_told_and_accuses_no_reading(up: float) -> None:
    ours = site(up=up)
    assert ours.set_levels[0].off == pytest.approx(up * FOOT, abs=0.03 * FOOT)
    way = "above" if up > 0 else "below"
    (told,) = [note for note in ours.notes if note.startswith("TOPO lies")]
    assert float(told.split()[2]) == pytest.approx(abs(up), abs=0.03)
    assert told.split()[4] == way
    assert ours.slips == ()


def test_two_known_places_are_said_to_be_unchecked() -> None:
    assert any("hangs on two known places" in note for note in site().notes)


def test_a_set_thousands_of_feet_away_is_refused() -> None:
    with pytest.raises(JobError) as error:
        site(swap=True)
    (problem,) = error.value.problems
    assert problem.where == "survey.shot_sets[0]"
    assert "ft from the house" in problem.found
    assert "east and north swapped" in problem.hint


@pytest.mark.parametrize(("apart", "times"), [(42.2, "0.948"), (40.0 / 0.3048, "0.305"), (38.0, "1.05")])
def test_known_places_of_another_scale_are_refused(apart: float, times: str) -> None:
    """The file has A and D so far apart; on the site they are 40 ft."""
    with pytest.raises(JobError) as caught:
        site(apart=apart)
    [problem] = caught.value.problems
    assert problem.where == "survey.shot_sets[0].known"
    assert problem.found == f"places {times} times as far apart on the site as in the file"
    assert site(apart=41.9).set_levels[0].compared > 0  # a tape 5 % off is told, not refused


def test_two_hundred_feet_from_the_house_are_the_limit() -> None:
    reach = max(e for e, _, _ in lattice())
    least = min(e for e, _, _ in lattice())
    assert site(away=40.0 + 195.0 - least).set_levels[0].compared == 0  # beside the house, and far off
    with pytest.raises(JobError):
        site(away=40.0 + 205.0 - least)
    with pytest.raises(JobError):
        site(away=-205.0 - reach)


def test_nothing_ties_a_set_beside_the_yard() -> None:
    assert any(note.startswith("Nothing ties the levels of TOPO") for note in site(away=200.0).notes)


@pytest.mark.parametrize("name", ["S1", "SW1", "LOW", "E2", "N2"])
@pytest.mark.parametrize("off", [1.0, -1.0])
def test_a_foot_in_the_book_is_told_and_no_other_shot_is_accused(name: str, off: float) -> None:
    ours = site({name: off})
    assert [odd for odd, _ in ours.set_levels[0].odd] == [name]
    assert ours.set_levels[0].odd[0][1] == pytest.approx(-off * FOOT, abs=0.25 * FOOT)
    row = next(n for n, one in enumerate(ours.job.survey.level_book) if one.point == name)
    assert set(rows_of(ours.slips)) <= {f"survey.level_book[{row}]"}
    if name not in NOTES:  # what a note tells of may well be there
        assert rows_of(ours.slips) == [f"survey.level_book[{row}]"]


def test_the_ground_of_a_set_tells_a_slip_that_the_book_alone_does_not() -> None:
    assert site({"W1": 0.4}, sets=False).slips == ()
    ours = site({"W1": 0.4})
    assert [ours.job.survey.level_book[int(where[18:-1])].point for where in rows_of(ours.slips)] == ["W1"]


@pytest.mark.parametrize("off", [10.0, 1.0, -1.0])
def test_a_bust_of_the_set_is_named_and_does_no_harm(off: float) -> None:
    for number in (20, 75, 110 if abs(off) > 1.0 else 90):  # a foot beside the swale may be ground
        ours = site(busts={number: off})
        told = [note for note in ours.notes if "stands alone" in note]
        east, north, _ = lattice()[number]
        assert len(told) == 1
        assert told[0].startswith(f"TOPO {number + 1}, at {east:.1f} ft east, {north:.1f} ft north, stands alone")
        assert ("above" if off > 0.0 else "below") in told[0]
        assert ours.slips == ()
        assert ours.set_levels[0].odd == ()


def test_a_bust_bears_the_name_that_the_file_gives_it() -> None:
    names = [f"GS {500 + n}" for n in range(len(lattice()))]
    assert any(note.startswith("TOPO GS_520, at ") for note in site(busts={20: 10.0}, names=names).notes)
    names[3] = names[4]  # not each its own: by number
    assert any(note.startswith("TOPO 21, at ") for note in site(busts={20: 10.0}, names=names).notes)
    with pytest.raises(ValidationError, match="shot_names"):
        site(names=names[1:])


def test_terraces_kerbs_and_rough_ground_have_no_spikes() -> None:
    for seed in range(6):
        rng = np.random.default_rng(seed)
        plan = rng.uniform(0.0, 45.0, (300, 2))
        levels = 0.03 * plan[:, 0] + 0.3 * np.sin(plan[:, 1] / 6.0) + rng.normal(0.0, 0.02 * (1 + seed % 3), 300)
        assert lone_spikes(plan, levels) == ()
        assert lone_spikes(plan, levels + 0.9 * (plan[:, 0] > 20.0)) == ()


def test_a_mound_with_shots_on_its_side_is_no_spike() -> None:
    places = np.array([(2.0 * i, 2.0 * k) for i in range(15) for k in range(15)])
    levels = 0.02 * places[:, 0] + np.random.default_rng(1).normal(0.0, 0.01, 225)
    top = levels.copy()
    top[112] += 0.6
    assert [spike.number for spike in lone_spikes(places, top)] == [112]
    top[113] += 0.4
    assert lone_spikes(places, top) == ()


@pytest.mark.skipif(not TERRAIN.is_dir(), reason="the shared terrain is not beside this tree")
def test_real_ground_has_hardly_a_spike_and_a_planted_one_is_found() -> None:
    """IGN LIDAR HD, a built-up block at 1 m (Licence Ouverte 2.0, source: IGN; seen)."""
    block = read_shots(TERRAIN / "montpellier_block_ground_1m.asc", "m", None, ())
    few, _ = thinned_to(block, 6000, None)
    assert len(lone_spikes(few.plan, few.level)) <= 2
    found = 0
    for number in range(100, len(few), len(few) // 12):
        levels = few.level.copy()
        levels[number] -= 10.0 * FOOT
        found += lone_spikes(few.plan, levels)[0].number == number
    assert found >= 12  # all, when this was written


def test_at_most_five_spikes_are_named() -> None:
    busts = dict.fromkeys((20, 40, 60, 80, 100, 120, 140), 3.0)
    told = [note for note in site(busts=busts).notes if "stands alone" in note]
    assert len(told) == MOST
    assert any(note.startswith("More shots than these 5") for note in site(busts=busts).notes)


def test_ground_from_files_names_the_bust_by_its_own_name_and_place() -> None:
    rows = [(e + 5000.0, n + 8000.0, ground(e, n)) for e, n, _ in lattice()]
    rows[60] = (*rows[60][:2], rows[60][2] + 10.0)
    at = np.array(rows) * FOOT
    shots = Shots(source="bust.csv", east=at[:, 0], north=at[:, 1], level=at[:, 2],
                  names=tuple(str(100 + n) for n in range(len(rows))))  # fmt: skip
    told = [note for note in study_ground(shots).notes if "stands alone" in note]
    assert len(told) == 1
    assert told[0].startswith(f"160, at {rows[60][0]:,.1f} ft east, {rows[60][1]:,.1f} ft north, stands alone")
    assert "above" in told[0]
