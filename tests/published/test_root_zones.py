"""Critical root zones by place.

SEEN https://www.edinamn.gov/FAQ.aspx?QID=975 (1.5 ft per inch of trunk: 10 in, 15 ft),
https://content.ces.ncsu.edu/print_image/11376 (1.25 ft: 12 in, 15 ft),
https://vancouver.municipal.codes/VMC/20.170.100 (1.0 ft), and
https://codelibrary.amlegal.com/codes/ionia/latest/ionia_mi/0-0-0-27229 (no trench nearer than 6 trunk diameters).
"""

from __future__ import annotations

from typing import Any, cast

import numpy as np
import pytest

from drainwright.build.roots import root_cuts
from drainwright.build.trench import Cut
from drainwright.build.units import FOOT, INCH
from drainwright.field.model import Site, SiteTree
from drainwright.job.place import Rules
from drainwright.job.site import Tree

PER_INCH = {"Edina": 1.5, "North Carolina extension": 1.25, "Vancouver": 1.0}


def passes_at(feet: float, trunk: float, per_inch: float) -> bool:
    """Whether a trench that passes the trunk at this distance is told of."""
    from shapely import box

    points = np.array([[-20.0, feet * FOOT], [20.0, feet * FOOT]])
    level = np.zeros(2)
    cut = Cut(
        name="R", kind="run", distances=np.array([0.0, 40.0]), points=points, ground=level + 1, bottom=level,
        width=0.6, bed=0.6, clear=0.6, area=box(-20, 0, 20, 1),
    )  # fmt: skip
    tree = Tree.model_validate({"name": "oak", "at": "0 ft, 0 ft", "trunk_diameter": f"{trunk} in"})
    radius = per_inch * FOOT / INCH * tree.trunk_diameter
    site = type("Trees", (), {"trees": (SiteTree(tree=tree, at=(0.0, 0.0), root_radius=radius),)})()
    return bool(root_cuts([cut], cast(Site, cast(Any, site))))


@pytest.mark.parametrize(
    ("place", "trunk", "radius"), [("Edina", 10.0, 15.0), ("North Carolina extension", 12.0, 15.0)]
)
def test_printed_radii(place: str, trunk: float, radius: float) -> None:
    assert PER_INCH[place] * trunk == radius
    assert passes_at(radius - 0.1, trunk, PER_INCH[place])
    assert not passes_at(radius + 0.1, trunk, PER_INCH[place])


def test_the_default_is_the_widest_of_them() -> None:
    assert Rules().root_zone_per_diameter.value == pytest.approx(1.5 * FOOT / INCH)
    assert Rules().root_zone_per_diameter.basis.value == "assumed"


def test_six_diameters_is_half_of_one_foot_per_inch() -> None:
    half = 0.5 * FOOT / INCH
    assert half == pytest.approx(6.0)
    assert not passes_at(10.1, 20.0, 0.5)
    assert passes_at(9.9, 20.0, 0.5)
