"""Lawful ways out, and whether gravity reaches them."""

from __future__ import annotations

from typing import Any

import pytest
from system_jobs import designed, document

from drainwright.job.place import Rules
from drainwright.job.values import Basis
from drainwright.job.works import Discharge
from drainwright.system.gravity import Source, best_way_out, lawfulness, verdict_on
from drainwright.system.model import GravityVerdict
from drainwright.system.network import Spot
from drainwright.system.ways import RoundHouse

FOOT = 0.3048


def point(kind: str, permission: str | None = None) -> Discharge:
    data: dict[str, Any] = {"at": "0 ft, 0 ft", "kind": kind, "invert": "90 ft"}
    if permission is not None:
        data["permission"] = permission
    return Discharge.model_validate(data)


def rules(kind: str, standing: str) -> Rules:
    return Rules.model_validate({"outlets": [{"kind": kind, "standing": standing}]})


@pytest.mark.parametrize("kind", ["sanitary sewer", "neighbour"])
@pytest.mark.parametrize("permission", [None, "allowed, measured", "permit granted, measured"])
def test_sewer_and_neighbour_are_always_forbidden(kind: str, permission: str | None) -> None:
    """Sanitary sewers: prohibited nearly everywhere, SEEN in several towns' rules. No permission makes it so."""
    assert lawfulness(point(kind, permission), rules(kind, "allowed"))[0] == "forbidden"


@pytest.mark.parametrize(
    ("permission", "standing", "expected"),
    [
        (None, None, "unknown"),
        (None, "permit needed, mapped", "permit needed"),
        (None, "forbidden, mapped", "forbidden"),
        ("permit granted, measured", "forbidden, mapped", "permit granted"),
        ("allowed, stated", "forbidden, mapped", "forbidden"),
        ("permit needed, stated", "allowed, mapped", "permit needed"),
    ],
)
def test_what_was_found_out_comes_before_the_rule(permission: str | None, standing: str | None, expected: str) -> None:
    place = Rules() if standing is None else rules("street", standing)
    assert lawfulness(point("street", permission), place)[0] == expected


def test_nothing_asked_rests_on_nothing() -> None:
    assert lawfulness(point("street"), Rules()) == ("unknown", Basis.ASSUMED)


def verdict(name: str, **changes: Any) -> GravityVerdict:
    figures: dict[str, Any] = {
        "discharge": name, "kind": "daylight", "lawful": "allowed", "lawful_basis": Basis.STATED, "needed": 1.0,
        "available": 0.0, "reaches": True, "length": 10.0,
    }  # fmt: skip
    return GravityVerdict(**(figures | changes))


def test_the_way_out_is_lawful_then_reached_then_near() -> None:
    near = verdict("near", length=5.0, lawful="forbidden")
    reached = verdict("reached", length=50.0)
    low = verdict("low", length=20.0, reaches=False)
    assert best_way_out([near, reached, low], ()).discharge == "reached"
    assert best_way_out([near, low], ()).discharge == "low"
    assert best_way_out([near, reached, low], ["low"]).discharge == "low"


@pytest.mark.parametrize("fall", [0.0, 0.03, 0.06, 0.1])
def test_verdict_is_the_arithmetic_of_a_level_book(fall: float) -> None:
    """Drain 0.667 ft below the floor, less 1/8 in a foot along 72 ft of drain and the straight way to the outlet,
    from the nearer of the drain's ends; or the catch basin's or a downspout's, whichever is harder."""
    _, _, system = designed(document(fall))
    found = system.gravity[0]
    grade = 0.125 / 12
    floor = 100.7 - fall * 30.0
    drain_end = floor - 4 / 12 - 4 / 12 - (40 + 1 + 1 + 30) * grade
    way = ((20.0) ** 2 + 79.0**2) ** 0.5
    inlet = 100.0 - fall * 36.0 - 8 / 12 - 0.1071 / FOOT - (32.0**2 + 74.0**2) ** 0.5 * grade
    round_corner = 0.5 + 29.0 + 1.0 + (21.0**2 + 79.0**2) ** 0.5  # from DS2 out to 1 ft and round the corner at B
    leader = 100.0 - fall * 1.0 - 8 / 12 - 0.1071 / FOOT - round_corner * grade
    assert found.needed / FOOT == pytest.approx(min(drain_end - way * grade, inlet, leader), abs=0.02)
    assert found.reaches == (found.needed >= found.available)


def test_a_drain_led_elsewhere_is_told_where_another_way_out_would_take_it() -> None:
    """By a level book: 30 m away at 1/8 in a foot it arrives 0.3125 m lower; the least that takes it is even."""
    site, _, system = designed(document(0.0))
    spot = system.gravity[0].discharge
    at, grade, level = system.nodes[spot].at, 0.125 / 12, system.gravity[0].available
    start = (at[0], at[1] + 30.0)  # in the open, away from the house

    def told(invert: float, **changes: Any) -> GravityVerdict:
        figures: dict[str, Any] = {
            "name": "FD9",
            "ends": (start,),
            "invert": invert,
            "discharge": "ELSEWHERE",
            "drain": True,
        }
        waters = (Source(**(figures | changes)),)
        point = site.job.works.discharge[0]
        here = Spot(name=spot, kind="discharge", at=at, ground=level + 0.5, rim=level + 0.5)
        return verdict_on(site, point, 0, here, waters, RoundHouse(()))

    assert told(level + 30.0 * grade + 0.001).drains == ("FD9",)
    assert told(level + 30.0 * grade + 0.2).drains_at == pytest.approx(level + 0.2)
    assert told(level + 30.0 * grade - 0.001).drains == ()
    assert told(level + 1.0, drain=False).drains == ()  # roof water has its own say
    assert told(level + 1.0, discharge=spot).drains == ()  # it is led here


def test_a_tailwater_above_the_arrival_stops_gravity() -> None:
    data = document(0.08)
    data["works"]["discharge"][0]["tailwater"] = "97.5 ft"
    _, _, system = designed(data)
    assert not system.gravity[0].reaches
    assert system.station is not None
