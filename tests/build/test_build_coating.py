"""Coating by area, coats and the wall's face."""

from __future__ import annotations

import pytest

from drainwright.build.coating import coat_volume, coated_walls, coverages
from drainwright.build.units import FOOT, GALLON, SQUARE_FOOT
from drainwright.errors import InputError

from .sample import GROUND, feet, make_site, make_wall

PER_GALLON = SQUARE_FOOT / GALLON


def coated(**changes: object):  # type: ignore[no-untyped-def]
    wall = make_wall("front", feet(0, 0), feet(20, 0), footing=GROUND - 3 * FOOT, **changes)
    return coated_walls(make_site(walls=(wall,)))


def test_the_face_from_the_footing_s_top_to_above_the_ground() -> None:
    (coat,) = coated(coating={"top_above_grade": "1 1/2 in"})
    assert coat.area / SQUARE_FOOT == pytest.approx(20 * (3 - 8 / 12 + 1.5 / 12))


def test_two_coats_on_block_by_hand() -> None:
    """Middle of 25 to 40 for the first coat and of 40 to 60 ft²/gal for the second (from memory)."""
    (coat,) = coated(material="block")
    area = coat.area / SQUARE_FOOT
    assert coat.volume / GALLON == pytest.approx(area / 32.5 + area / 50.0)
    assert coat.least / GALLON == pytest.approx(area / 40.0 + area / 60.0)
    assert coat.most / GALLON == pytest.approx(area / 25.0 + area / 40.0)


def test_block_takes_more_than_a_poured_wall() -> None:
    """Substrate factor 1.6 to 3 in the trade notes, from two printed sheets for other coatings."""
    (block,) = coated(material="block", coating={"coats": 1})
    (poured,) = coated(material="poured concrete", coating={"coats": 1})
    assert 1.6 <= block.volume / poured.volume <= 3.0


def test_brick_takes_what_block_takes() -> None:
    (block,), (brick,) = coated(material="block"), coated(material="brick")
    assert (brick.least, brick.volume, brick.most) == (block.least, block.volume, block.most)


def test_waterproofing_is_the_whole_film_however_many_coats() -> None:
    volumes = [coated(coating={"kind": "waterproofing", "coats": coats})[0] for coats in (1, 2, 3)]
    for coat in volumes:
        assert coat.volume / GALLON == pytest.approx(coat.area / SQUARE_FOOT / 20.0)


def test_a_wall_that_is_only_cleaned_takes_no_coating() -> None:
    (coat,) = coated(coating={"kind": "none"})
    assert coat.area > 0
    assert coat.volume == 0.0
    assert coverages("block", "damp-proofing", 0) == ()


def test_a_closed_wall_is_not_coated() -> None:
    assert coated(open_and_coat=False) == ()


def test_no_coverage_is_refused() -> None:
    assert coat_volume(100.0, 50.0) == 2.0
    with pytest.raises(InputError, match="coverage"):
        coat_volume(1.0, 0.0)
