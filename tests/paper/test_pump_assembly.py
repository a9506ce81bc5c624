"""The pump assembly shows each part that is bought for the basin, once, with its count, in the order of assembly."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import pytest

from drainwright.build.take_offs import riser_held
from drainwright.paper.drawings import drawings
from drainwright.paper.pump_assembly import assembly_drafts, parts_of
from drainwright.paper.sheet import Sheet
from drainwright.paper.valve_height import short_pieces, valve_height
from drainwright.system.make_up import make_up
from tests.paper.sample import designed

PUMPED = ("block-wall-house", "metric-basement", "two-basins", "wrong-choices")
KIT = {
    "kit.block": "block",
    "kit.float": "float",
    "kit.cord-seal": "cord-seal",
    "kit.lid-gasket": "lid-gasket",
    "alarm": "alarm",
}


def sheets_of(example: str) -> list[Sheet]:
    return [sheet for name, sheet in drawings(designed(example)).items() if name.startswith("assembly")]


@pytest.mark.parametrize("example", PUMPED)
def test_every_part_that_is_bought_is_numbered_once(example: str) -> None:
    design = designed(example)
    sheets = sheets_of(example)
    assert len(sheets) == len(design.system.by_house) > 0
    for station, sheet in zip(design.system.by_house, sheets, strict=True):
        parts = parts_of(design, station)
        shown: Counter[str] = Counter()
        for part in parts:
            shown[part.kind] += part.count
        bought = Counter(fit.kind for fit in design.system.fittings or () if fit.where == station.name)
        for kind, count in bought.items():
            assert shown[kind] == count, kind
        for item in design.build.takeoff.lines:
            if item.where == station.name and item.key in KIT:
                assert shown[KIT[item.key]] == item.net, item.key
        pumps = [
            item for item in design.build.takeoff.lines if item.where == station.name and item.key.startswith("pump.")
        ]
        assert shown["pump"] == sum(item.net for item in pumps)
        texts = [mark.text for mark in sheet.texts]
        for number, part in enumerate(parts, start=1):
            assert sum(text.startswith(f"{number}. ") for text in texts) == 1, part.name
            assert f"{number}. {part.name}" in " ".join(texts), "a long name goes on in the next line"


def test_parts_stand_in_the_order_of_assembly() -> None:
    """From the pump up: adapter, riser with its hole, check valve, union, ball valve, elbow; the lid comes last."""
    kinds = [
        part.kind for part in parts_of(designed("metric-basement"), designed("metric-basement").system.by_house[0])
    ]
    assert kinds[:8] == ["block", "pump", "male-adapter", "riser", "check-valve", "union", "ball-valve", "elbow-90"]
    assert kinds[-1] == "lid-gasket"
    (sheet,) = sheets_of("metric-basement")
    heights = {mark.text.split(". ")[0]: mark.at[1] for mark in sheet.texts if re.match(r"\d+\. ", mark.text)}
    up = [heights[str(number)] for number in range(1, 9)]
    assert up == sorted(up)


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement"])
def test_the_valve_has_its_height_and_each_elbow_its_place(example: str) -> None:
    """The cutting list has one piece of riser: the valve stands over it, not in the middle as it was drawn; and nobody
    said where the second riser's elbow goes, nor which short pieces join them."""
    design = designed(example)
    for station, sheet in zip(design.system.by_house, sheets_of(example), strict=True):
        line = design.system.run(station.discharge_run)
        fits = [fit.kind for fit in design.system.fittings or () if fit.where == station.name]
        high = valve_height(design, station)
        diameter = line.pipe.outside  # an elbow's radius, a ball valve's, half a union's and half of the valve's two
        assert line.invert_upper + line.pipe.inside / 2 - high == pytest.approx(3.5 * diameter)
        (riser, *_) = [one for one in design.system.risers if one.where == station.name]
        below = riser.length - riser_held(riser, design.system, design.system.fittings or ())
        feet = [fit for fit in design.system.fittings or () if fit.where == station.name]
        foot = sum(make_up(fit.kind, fit.pipe.outside) for fit in feet if fit.kind in ("male-adapter", "reducer"))
        up = foot / fits.count("male-adapter") + below + diameter  # from the floor: foot, piece, half of the valve
        assert high - station.floor == pytest.approx(up, abs=0.01)
        words = " ".join(mark.text for mark in sheet.texts)
        pumps = fits.count("male-adapter")
        assert short_pieces(design, station) == 3 * pumps + (3 if pumps == 2 else 0)
        assert f"{short_pieces(design, station)} short pieces" in words
        assert ("on each riser" in words) == (pumps == 2)


def test_what_the_job_leaves_out_is_not_shown() -> None:
    """This job has no check valve, and puts its relief hole outside the basin: neither is drawn nor ordered built."""
    design = designed("wrong-choices")
    assert "check-valve" not in {part.kind for part in parts_of(design, design.system.by_house[0])}
    words = " ".join(mark.text for sheet in sheets_of("wrong-choices") for mark in sheet.texts)
    assert "arrow up" not in words
    assert "settle that with the office" in words
    bare = replace(design, system=replace(design.system, stations=()))
    assert assembly_drafts(bare) == []
