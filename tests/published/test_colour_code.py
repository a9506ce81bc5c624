"""The uniform colour code for marks on the ground, American Public Works Association.

SEEN http://callbeforeyoudig.org/apwa-color-code.asp: red electric; yellow gas, oil, steam; orange communication; blue
drinking water; purple reclaimed water, irrigation, slurry; green sewer and drain; pink survey; white proposed digging.
"""

from __future__ import annotations

import pytest

from drainwright.paper.looks import UTILITY


@pytest.mark.parametrize(
    ("kind", "colour"),
    [
        ("electric", "red"), ("low voltage lighting", "red"), ("gas", "yellow"), ("propane", "yellow"),
        ("oil", "yellow"), ("communication", "orange"), ("water", "blue"), ("reclaimed", "purple"),
        ("irrigation", "purple"), ("irrigation control", "purple"), ("sewer", "green"), ("septic", "green"),
        ("storm drain", "green"),
    ],
)  # fmt: skip
def test_a_buried_line_bears_its_colour(kind: str, colour: str) -> None:
    """Propane is a gas; a septic line carries sewage; wires of irrigation go with it. The code names no pools."""
    assert UTILITY[kind][2] == colour  # type: ignore[index]
