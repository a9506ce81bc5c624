"""Forms made from the job's model: what they show, what they save, what they refuse, and two who change the same."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.errors import Problem
from drainwright.job.model import Job
from drainwright.office.facts.filled import edits_of, parts_of, raw_of
from drainwright.office.facts.model import Field, Group, Node, nodes_of
from drainwright.office.facts.sheets import SHEETS, nodes_on, sheet_of
from drainwright.office.facts.spoken import spoken
from drainwright.office.store import editing, jobs, revisions
from drainwright.office.store.editing import Operation

from .firm_pages import EXAMPLES, Office, office

WHOLE = (EXAMPLES / "soak-lot" / "job.yaml").read_text(encoding="utf-8")
JOBS = sorted(EXAMPLES.glob("*/job.yaml"))


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with office(tmp_path_factory.mktemp("facts")) as found:
        yield found


class Filled(HTMLParser):
    """The entries of a page's form, as a browser without script would send them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.sent: dict[str, str] = {}
        self._inside, self._area, self._select = False, "", ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        if tag == "form":
            self._inside = "facts-form" in (told.get("class") or "")
        if not self._inside:
            return
        name = told.get("name") or ""
        if tag == "input" and (told.get("type") not in ("checkbox", "radio") or "checked" in told):
            self.sent[name] = told.get("value") or ""
        elif tag == "textarea":
            self._area, self.sent[name] = name, ""
        elif tag == "select":
            self._select, self.sent[name] = name, ""
        elif tag == "option" and self._select and "selected" in told:
            self.sent[self._select] = told.get("value") or ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self.sent[self._area] = self.sent[self._area].removeprefix("\n")
            self._area = ""
        elif tag == "select":
            self._select = ""
        elif tag == "form":
            self._inside = False

    def handle_data(self, data: str) -> None:
        if self._area:
            self.sent[self._area] += data


def begun(here: Office, text: str = "schema_version: 1\ntitle: Wet cellar\n") -> str:
    return jobs.open_job(here.store, here.who.firm, text, here.who.name).id


def sent(here: Office, job: str, sheet: str, **typed: str) -> Any:
    """A form sent as its page fills it, with some entries typed anew; names with ``__`` for dots."""
    fields = Filled(here.get(f"/jobs/{job}/facts/{sheet}").text).sent
    fields |= {name.replace("__", "."): value for name, value in typed.items()}
    return here.post(f"/jobs/{job}/facts/{sheet}", **fields)


def says(here: Office, job: str) -> dict[str, Any]:
    return editing.said(revisions.revision(here.store, here.who.firm, job).text)


def test_every_part_of_a_job_is_told_on_a_form_or_on_another_page() -> None:
    elsewhere = {  # written by other pages, or by the program
        "schema_version", "firm", "symptoms", "moisture_tests", "survey", "roofs", "downspouts", "yards", "utilities",
        "utilities_absent", "locates", "trees", "pumps", "pumps_file", "pipes", "pipes_file", "price_book", "offer",
        "works",
    }  # fmt: skip
    assert {node.key for node in nodes_of(Job) if not sheet_of(node.key)} == elsewhere


def _fields(nodes: tuple[Node, ...]) -> Iterator[Field]:
    for node in nodes:
        if isinstance(node, Field):
            yield node
        else:
            yield from _fields(node.members if isinstance(node, Group) else node.entry)


def test_labels_are_words_not_keys() -> None:
    for sheet in SHEETS:
        for field in _fields(tuple(node for _, node in nodes_on(sheet))):
            assert "_" not in field.label + field.hint.replace("'", "")
            assert field.label[:1].isupper() or field.label[:1].isdigit()


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.parent.name)
def test_a_form_sent_as_it_came_changes_nothing(path: Path, here: Office) -> None:
    text = path.read_text(encoding="utf-8")
    job, record = begun(here, text), editing.said(text)
    for sheet in SHEETS:
        fields = Filled(here.get(f"/jobs/{job}/facts/{sheet}").text).sent
        assert edits_of(nodes_on(sheet), record, fields) == []


def test_a_house_is_told_by_forms(here: Office) -> None:
    job = begun(here)
    answer = sent(
        here, job, "house", house__outline="0 ft, 0 ft\n30 ft, 0 ft\n30 ft, 20 ft", house__floor_kind="basement",
        house__floor="92.0 ft", **{"house__floor:basis": "measured"},
    )  # fmt: skip
    assert answer.status_code == 303
    house = says(here, job)["house"]
    assert house == {
        "outline": ["0 ft, 0 ft", "30 ft, 0 ft", "30 ft, 20 ft"], "floor_kind": "basement",
        "floor": "92.0 ft, measured",
    }  # fmt: skip
    wall = {"name": "south", "from": "A", "to": "B", "footing_bottom": "90 ft"}
    sent(here, job, "walls", **{f"house__walls[+0]__{key}": value for key, value in wall.items()})
    sent(here, job, "walls", **{"house__walls[south]__wet": "true"})
    assert says(here, job)["house"]["walls"] == [{**wall, "wet": True}]
    sent(here, job, "walls", **{"house__walls[south]:gone": "yes"})
    assert says(here, job)["house"]["walls"] == []


def test_an_error_stands_beside_its_field_and_nothing_is_lost(here: Office) -> None:
    job = begun(here, WHOLE)
    answer = sent(here, job, "house", house__floor_thickness="4", house__deck_overhead="true")
    assert answer.status_code == 422
    entry = answer.text.partition('<label for="house.floor_thickness">')[2].partition('<div class="entry')[0]
    assert "Found " in entry
    assert "; expected a length" in entry
    assert Filled(answer.text).sent["house.deck_overhead"] == "true"
    assert says(here, job) == editing.said(WHOLE)
    again = Filled(answer.text).sent | {"house.floor_thickness": "4 in"}
    assert here.post(f"/jobs/{job}/facts/house", **again).status_code == 303
    assert says(here, job)["house"]["floor_thickness"] == "4 in"


def test_the_mark_source_and_range_of_a_value_are_kept(here: Office) -> None:
    job = begun(here, WHOLE)
    name = "ground__conductivity"
    typed = {"source": "auger hole", "low": "6 ft/day", "high": "20 ft/day"}
    sent(here, job, "ground", **{f"{name}:{mark}": value for mark, value in typed.items()})
    assert says(here, job)["ground"]["conductivity"] == {
        "value": "12 ft/day", "basis": "measured", "source": "auger hole", "low": "6 ft/day", "high": "20 ft/day",
    }  # fmt: skip


def test_two_who_change_the_same_field_lose_nothing(here: Office) -> None:
    job = begun(here, WHOLE)
    fields = Filled(here.get(f"/jobs/{job}/facts/house").text).sent
    theirs = Operation(id="t1", path="house.floor_thickness", value="6 in")
    revisions.apply(here.store, here.who.firm, job, 1, [theirs], "L. Larch")
    other = Operation(id="o", path="house.floor_kind", value="basement")
    revisions.apply(here.store, here.who.firm, job, 2, [other], "L. Larch")
    mine = fields | {"house.floor_thickness": "5 in", "house.deck_overhead": "true"}
    answer = here.post(f"/jobs/{job}/facts/house", **mine)
    assert answer.status_code == 409
    assert "L. Larch saved 6 in meanwhile" in unescape(answer.text)
    shown = Filled(answer.text).sent
    assert (shown["house.floor_thickness"], shown["house.deck_overhead"]) == ("5 in", "true")
    assert shown["house.floor_kind"] == "basement"  # theirs, which I did not touch
    assert here.post(f"/jobs/{job}/facts/house", **shown).status_code == 303
    house = says(here, job)["house"]
    assert (house["floor_thickness"], house["deck_overhead"], house["floor_kind"]) == ("5 in", True, "basement")


def test_two_who_change_different_fields_are_brought_together(here: Office) -> None:
    job = begun(here, WHOLE)
    fields = Filled(here.get(f"/jobs/{job}/facts/house").text).sent
    theirs = Operation(id="t", path="house.floor_thickness", value="6 in")
    revisions.apply(here.store, here.who.firm, job, 1, [theirs], "L. Larch")
    answer = here.post(f"/jobs/{job}/facts/house", **(fields | {"house.deck_overhead": "true"}))
    assert answer.status_code == 303
    assert says(here, job)["house"]["floor_thickness"] == "6 in"


def test_a_form_sent_twice_adds_a_wall_once(here: Office) -> None:
    job = begun(here)
    fields = Filled(here.get(f"/jobs/{job}/facts/walls").text).sent | {"house.walls[+0].name": "south"}
    for _ in range(2):
        assert here.post(f"/jobs/{job}/facts/walls", **fields).status_code == 303
    assert says(here, job)["house"]["walls"] == [{"name": "south"}]


def test_the_basin_is_a_word_or_told(here: Office) -> None:
    job = begun(here, WHOLE)
    sent(here, job, "basin", **{"works__basin:word": "", "works__basin__at": "Y1", "works__basin__diameter": "18 in"})
    assert says(here, job)["works"]["basin"] == {"at": "Y1", "diameter": "18 in"}
    sent(here, job, "basin", **{"works__basin:word": "if needed"})
    assert says(here, job)["works"]["basin"] == "if needed"


def test_lists_of_days_and_ticks(here: Office) -> None:
    job = begun(here, WHOLE)
    ticks = {"crew__week:Mon": "yes", "crew__week:Sat": "yes"}
    sent(here, job, "crew", crew__holidays="2026-07-03, 2026-09-07", **ticks)
    crew = says(here, job)["crew"]
    assert (crew["week"], crew["holidays"]) == (["Mon", "Sat"], ["2026-07-03", "2026-09-07"])


def test_the_rain_table_is_typed_by_rows(here: Office) -> None:
    job = begun(here)
    rows = {"5 min": "0.40 in, 0.53 in", "1 h": "1.31 in, 1.87 in"}
    typed = {"rain__return_periods": "2 yr, 10 yr", "rain__source": "county table", "rain__basis": "mapped"}
    for number, (time, depths) in enumerate(rows.items()):
        typed |= {f"rain__table[+{number}]__duration": time, f"rain__table[+{number}]__depths": depths}
    assert sent(here, job, "rain", **typed).status_code == 303
    assert says(here, job)["rain"] == {
        "source": "county table", "basis": "mapped", "return_periods": ["2 yr", "10 yr"],
        "table": [{"duration": time, "depths": depths.split(", ")} for time, depths in rows.items()],
    }  # fmt: skip


def test_what_is_missing_leads_to_its_field(here: Office) -> None:
    job = begun(here)
    text = here.get(f"/jobs/{job}/facts").text
    ways = re.findall(rf'href="(/jobs/{job}/facts/[a-z]+)#([^"]+)"', text)
    assert {place for _, place in ways} >= {"house.outline", "house.floor", "ground.texture"}
    for way, place in ways:
        page = here.get(way).text
        assert f'id="{unescape(place)}"' in page
        assert "Still missing" in page
    assert "the key" not in text
    assert "the key" not in here.get(f"/jobs/{job}").text


def test_a_fault_is_told_in_words() -> None:
    wanted = "either a 'table' with 'return_periods', or a 'file'"
    told = spoken(Problem(where="rain", found="a mapping", expected=wanted))
    assert told.words == (
        "Found a mapping; expected either a “Depths of rain” with “How rare, for each column”, "
        "or a “Name of a rain file beside the job”."
    )


def test_a_hint_names_no_key() -> None:
    hint = "or set criteria.storm_return_period within it"
    told = spoken(Problem(where="rain.table", found="one row", expected="two", hint=hint))
    assert told.words == "Found one row; expected two. Or set “Rarest storm that is played” within it."


def test_no_form_of_another_name(here: Office) -> None:
    assert here.get(f"/jobs/{begun(here)}/facts/nowhere").status_code == 404


@given(
    st.from_regex(r"[0-9]{1,3}(\.[0-9])? (ft|in|m)", fullmatch=True), st.sampled_from(["measured", "mapped", "assumed"])
)  # fmt: skip
def test_a_fact_reads_back_as_it_was_written(value: str, basis: str) -> None:
    field = Field(key="depth", label="Depth", kind="quantity", quantity="length", fact=True)
    parts = parts_of(field, f"{value}, {basis}")
    assert (parts[""], parts["basis"]) == (value, basis)
    assert raw_of(field, parts) == f"{value}, {basis}"


def test_a_wall_that_is_told_is_shut_to_a_line_with_its_length_and_what_it_lacks(here: Office) -> None:
    """Four walls laid open made a page of twenty thousand dots on a phone."""
    job = jobs.open_job(here.store, here.who.firm, WHOLE, "Ash").id
    page = here.get(f"/jobs/{job}/facts/walls").text
    heads = re.findall(r'<details class="big-entry" id="house\.walls\[\d\]" (open)?\s*><summary>(.*?)</summary>', page)
    assert len(heads) >= 4
    assert not any(opened for opened, _ in heads)
    assert all(re.search(r"\d+ (?:ft|in)", line) for _, line in heads), heads
    lacking = re.sub(r"(\n\s+- \{name: south,.*?) footing_bottom: [^,}]+,", r"\1", WHOLE, count=1)
    assert lacking != WHOLE
    job = jobs.open_job(here.store, here.who.firm, lacking, "Ash").id
    page = here.get(f"/jobs/{job}/facts/walls").text
    heads = re.findall(r'<details class="big-entry" id="house\.walls\[\d\]" (open)?\s*><summary>(.*?)</summary>', page)
    assert [line.count("1 missing") for opened, line in heads if opened] == [1]
