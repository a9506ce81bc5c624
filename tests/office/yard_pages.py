"""How a person types a survey into the yard pages: by touch, field by field."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Page


def part(page: Page, name: str) -> None:
    """Go to one part of the yard pages."""
    page.evaluate(f"location.hash = '{name}'")


def fill(page: Page, **fields: str | None) -> None:
    """Type into fields; names have ``_`` for ``-``."""
    for name, value in fields.items():
        if value is not None:
            page.fill(f"#{name.replace('_', '-')}", value)


def press(page: Page, words: str, rows: int) -> None:
    """Press a button and see the list grow to so many entries."""
    page.get_by_role("button", name=words, exact=True).tap()
    page.locator(".entries li").nth(rows - 1).wait_for()


def type_walk(page: Page, perimeter: dict[str, Any]) -> None:
    part(page, "walk")
    fill(page, walk_start=perimeter["start"], walk_bearing=perimeter["bearing"])
    page.get_by_role("button", name="Begin the walk").tap()
    for number, leg in enumerate(perimeter["legs"]):
        fill(page, leg_to=leg["to"], leg_length=leg["length"], leg_turn=leg.get("turn"))
        press(page, "Add this side", number + 1)


def type_points(page: Page, points: list[dict[str, Any]]) -> None:
    part(page, "points")
    for number, one in enumerate(points):
        fill(page, point_name=one["name"])
        if "ties" in one:
            page.select_option("#point-way", "ties")
            for n, tie in enumerate(one["ties"], 1):
                fill(page, **{f"point_from{n}": tie["from"], f"point_tape{n}": tie["distance"]})
        elif "along" in one:
            page.select_option("#point-way", "along")
            fill(page, point_line1=one["along"][0], point_line2=one["along"][1])
            fill(page, point_distance=one["distance"], point_offset=one.get("offset"))
        else:
            page.select_option("#point-way", "plan")
            fill(page, point_east=one["east"], point_north=one["north"])
        fill(page, point_level=one.get("level"), point_note=one.get("note"))
        press(page, "Keep this point", number + 1)


def type_levels(page: Page, benchmark: dict[str, Any], rows: list[dict[str, Any]]) -> None:
    part(page, "levels")
    fill(page, mark_name=benchmark["name"], mark_level=benchmark["elevation"], mark_words=benchmark["description"])
    page.get_by_role("button", name="Open the book").tap()
    for number, row in enumerate(rows):
        sights = [key for key in ("foresight", "intermediate", "backsight") if key in row]
        sight = "turn" if len(sights) == 2 else sights[0]
        fill(page, level_point=row["point"])
        page.select_option("#level-sight", sight)
        fill(page, level_reading=row[sights[0]], level_back=row["backsight"] if sight == "turn" else None)
        fill(page, level_distance=row.get("distance"), level_note=row.get("note"))
        press(page, "Add this reading", number + 1)


def type_lines(page: Page, record: dict[str, Any]) -> None:
    part(page, "lines")
    for kind in record["utilities_absent"]:
        page.get_by_role("button", name=f"{kind}: not on this lot", exact=True).tap()
        page.get_by_role("button", name=f"{kind}: ask again", exact=True).wait_for()
    for one in record["utilities"]:
        depth, basis = one["depth"].split(", ")
        page.select_option("#line-kind", one["kind"])
        fill(page, line_name=one["name"], line_route="; ".join(one["route"]), line_depth=depth)
        page.select_option("#line-basis", basis)
        page.select_option("#line-by", one["located_by"])
        fill(page, line_shutoff=one.get("shutoff"))
        page.get_by_role("button", name="Keep this line").tap()
        page.get_by_role("button", name=f"Take out {one['name']} ({one['kind']})").wait_for()


def type_signs(page: Page, symptoms: list[dict[str, Any]], tests: list[dict[str, Any]]) -> None:
    part(page, "signs")
    for one in symptoms:
        fill(page, seen_what=one["what"], seen_where=one["where"], seen_height=one.get("height"))
        page.select_option("#seen-when", one["when"])
        page.select_option("#seen-sign", one["sign"])
        page.select_option("#seen-spot", one["spot"])
        page.get_by_role("button", name="Keep what is seen").tap()
        page.get_by_role("button", name=f"Take out {one['what']}").wait_for()
    for one in tests:
        page.select_option("#test-kind", one["kind"])
        page.select_option("#test-result", one["result"])
        fill(page, test_where=one.get("where"))
        page.get_by_role("button", name="Keep this test").tap()
        page.get_by_role("button", name=f"Take out {one['kind']}: {one['result']}").wait_for()
