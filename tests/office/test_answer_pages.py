"""The pages of the answer over a real store and real designs: what they say, keep, refuse and take over."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Iterator
from html import unescape

import pytest
from starlette.testclient import TestClient

from drainwright.design import Design
from drainwright.office.app import make_app
from drainwright.office.pages.job_frame import PAGES
from drainwright.office.people.roles import Act, may, needed
from drainwright.office.settings import Settings
from drainwright.office.store.jobs import add_firm, open_job
from drainwright.office.store.opening import Store
from drainwright.office.store.revisions import history, revision, save
from drainwright.office.views.dig import dig
from drainwright.office.views.model import Shown
from drainwright.office.views.papers import NAMES
from drainwright.office.views.picking import part
from drainwright.office.views.price import price
from drainwright.office.views.system import system
from drainwright.office.views.water import water
from drainwright.office.who import person_here
from drainwright.paper.documents.blocks import Heading, Table

from ..conftest import designed
from .stored import EXAMPLES, keep_example

HERE = "http://127.0.0.1:8321"
FOR_PEOPLE = {"accept": "text/html"}
BROKEN = """schema_version: 1
title: A job half told
house:
  floor_kind: cellar
"""


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    url = f"sqlite:///{tmp_path_factory.mktemp('store') / 'store.sqlite'}"
    with TestClient(make_app(Settings(store=url, workers=1)), base_url=HERE, headers=FOR_PEOPLE) as found:
        yield found


@pytest.fixture(scope="module")
def store(client: TestClient) -> Store:
    found: Store = client.app.state.store  # type: ignore[attr-defined]
    return found


@pytest.fixture(scope="module")
def pumped(store: Store) -> str:
    return keep_example(store, "block-wall-house")


@pytest.fixture
def soaked(store: Store) -> str:
    return keep_example(store, "soak-lot")


def token(client: TestClient) -> str:
    given: str = client.get("/api/v1/form-token").json()["form_token"]
    return given


def send(client: TestClient, way: str, **fields: object) -> tuple[int, str]:
    data = {"form_token": token(client), **{key: str(value) for key, value in fields.items()}}
    answer = client.post(way, data=data, follow_redirects=False)
    return answer.status_code, answer.headers.get("location", "") or answer.text


# What they say


def test_the_first_page_tells_the_job_its_answer_and_its_price(client: TestClient, pumped: str) -> None:
    text = client.get(f"/jobs/{pumped}").text
    total = designed("block-wall-house/job").build.price.total
    assert re.search(r"\$[\d,]+ to \$[\d,]+", text)
    for words in ("Wet floors at 14 Lantern Row", f"${total:,.2f}", "the floor stays dry", "Stage: "):
        assert words in text
    assert "What must still be measured" in text
    assert "invented" in text


@pytest.mark.parametrize("path", [path for path, _ in PAGES if path not in ("yard", "plan", "history", "schemes")])
def test_every_page_answers_and_leads_to_what_is_there(client: TestClient, pumped: str, path: str) -> None:
    answer = client.get(f"/jobs/{pumped}/{path}".rstrip("/"))
    assert answer.status_code == 200
    assert answer.text.count("<h1>") == 1
    ids = re.findall(r'\bid="([^"]+)"', answer.text)
    assert len(ids) == len(set(ids))
    ways = set(re.findall(rf'href="(/jobs/{pumped}[^"#]*)', answer.text))
    for way in ways:
        if "/papers" not in way and not way.endswith(("/yard", "/plan", "/schemes")):
            assert client.get(way).status_code == 200, way


def test_every_number_leads_to_a_line_that_is_there(client: TestClient, pumped: str) -> None:
    sheet = client.get(f"/jobs/{pumped}/worksheet").text
    there = set(re.findall(r'\bid="([^"]+)"', sheet))
    for page in ("", "/water", "/system", "/storm", "/dig", "/price", "/answers"):
        text = client.get(f"/jobs/{pumped}{page}").text
        cited = re.findall(r'/worksheet#([^"]+)"', text)
        assert cited
        assert set(cited) <= there


def test_what_one_check_says_of_several_places_has_one_head(client: TestClient, pumped: str) -> None:
    page = client.get(f"/jobs/{pumped}/dig").text
    listed = page[page.index('<ul class="checks">') :]
    listed = listed[: listed.index("</ul>")]
    ids = re.findall(r"· ([A-Z]{3}-\d\d)</p>", listed)
    assert listed.count("<strong>") == len(set(ids)) < len(ids)


@pytest.mark.parametrize("view", [water, system, dig, price])
def test_what_is_folded_is_all_there_and_each_fold_has_its_place(
    client: TestClient, pumped: str, view: Callable[[Design], Shown]
) -> None:
    page = client.get(f"/jobs/{pumped}/{view.__name__}").text
    words = "".join(unescape(re.sub(r"<[^>]+>", "", page)).split())
    told = view(designed("block-wall-house/job"))
    for block in told.blocks:
        for row in block.rows if isinstance(block, Table) else ():
            for cell in row:
                text = cell if isinstance(cell, str) else cell.text
                assert "".join(text.split()) in words
    heads = [block.text for block in told.blocks if isinstance(block, Heading) and block.level == 1]
    assert page.count('<details class="section">') >= len(heads) > 1
    assert all(f'id="{part(head)}"' in page for head in heads)
    assert "<details open" not in page.partition('<ul class="checks">')[2]  # nothing fails here


def test_what_fails_stands_open(client: TestClient, store: Store) -> None:
    who = person_here(store)
    job = open_job(store, who.firm, (EXAMPLES / "wrong-choices" / "job.yaml").read_text(encoding="utf-8"), who.name).id
    pages = [client.get(f"/jobs/{job}/{page}").text for page in ("water", "system", "dig")]
    items = [item for page in pages for item in re.findall(r'<li class="(\w+)"><details\s+(open)?>', page)]
    assert {kind for kind, _ in items} >= {"fails", "caution"}
    assert all((kind == "fails") == (state == "open") for kind, state in items)


def test_each_cell_of_a_wide_table_names_its_column_for_a_narrow_screen(client: TestClient, pumped: str) -> None:
    page = client.get(f"/jobs/{pumped}/price").text
    tables = re.findall(r'<table class="told by-row".*?</table>', page, re.DOTALL)
    assert tables
    for table in tables:
        heads = set(re.findall(r'<th role="columnheader" scope="col" [^>]*>([^<]+)</th>', table))
        assert set(re.findall(r' data-head="([^"]+)"', table)) <= heads


def test_a_page_that_did_not_change_is_not_sent_again(client: TestClient, pumped: str) -> None:
    for page in ("", "/water", "/storm", "/papers", "/what-if", "/storm/series", "/drawings/plan-page.svg"):
        first = client.get(f"/jobs/{pumped}{page}")
        again = client.get(f"/jobs/{pumped}{page}", headers={"if-none-match": first.headers["etag"]})
        assert first.status_code == 200
        assert (again.status_code, again.content) == (304, b""), page
        assert first.headers["cache-control"] == "private, no-cache"


def test_another_light_is_another_page(client: TestClient, pumped: str) -> None:
    first = client.get(f"/jobs/{pumped}/water").headers["etag"]
    client.cookies.set("theme", "dark")
    assert client.get(f"/jobs/{pumped}/water").headers["etag"] != first
    client.cookies.delete("theme")


def test_a_job_of_another_firm_is_not_there(client: TestClient, store: Store, pumped: str) -> None:
    # One person's app serves one firm; the store itself refuses any other.
    assert client.get("/jobs/no-such-job/water").status_code == 404
    with pytest.raises(ValueError, match="found no job"):
        revision(store, "another-firm", pumped)


# Documents with faults


def test_a_document_with_faults_is_told_line_by_line_with_where_to_mend_it(client: TestClient, store: Store) -> None:
    who = person_here(store)
    job = open_job(store, who.firm, BROKEN, who.name).id
    for page in ("", "/water", "/papers", "/what-if", "/worksheet"):
        answer = client.get(f"/jobs/{job}{page}")
        assert answer.status_code == 200
        assert "to mend before there is an answer" in answer.text
        assert "floor_kind" in answer.text
        assert "line 4" in answer.text
        assert "floor_kind: cellar" in answer.text  # the line itself
        assert f'href="/jobs/{job}/text"' in answer.text


def test_a_mended_document_has_its_answer_at_once(client: TestClient, store: Store) -> None:
    who = person_here(store)
    job = open_job(store, who.firm, BROKEN, who.name).id
    whole = (EXAMPLES / "soak-lot" / "job.yaml").read_text(encoding="utf-8")
    status, way = send(client, f"/jobs/{job}/text", text=whole, base=1, what="the house, measured")
    assert (status, way) == (303, f"/jobs/{job}/text?saved=2")
    assert "to mend before" not in client.get(f"/jobs/{job}").text
    assert revision(store, who.firm, job).what == "the house, measured"


# What is tried, and taken over


def test_a_what_if_is_told_and_becomes_a_revision_that_keeps_comments(client: TestClient, store: Store) -> None:
    job = keep_example(store, "block-wall-house")
    told = client.get(f"/jobs/{job}/what-if?storm=3&second=0")
    assert told.status_code == 200
    assert "100-year</b> instead of 25-year" in told.text
    assert "one pump</b> instead of two pumps" in told.text
    status, way = send(client, f"/jobs/{job}/what-if/taken", base=1, storm=3, second=0)
    assert (status, way) == (303, f"/jobs/{job}")
    made = revision(store, person_here(store).firm, job)
    assert made.number == 2
    assert "# A block-wall house with wet floors" in made.text
    assert "second_pump: false" in made.text
    assert "storm_return_period: 100 yr" in made.text
    assert made.what.startswith("what-if taken over. Rain of the storm test: 100-year; Pumps in SUMP: one pump")
    assert "revision 2" in client.get(f"/jobs/{job}").text


def test_steps_that_are_none_change_nothing(client: TestClient, store: Store, soaked: str) -> None:
    page = client.get(f"/jobs/{soaked}/what-if?storm=99&leaves=-1&soil=abc&no-such=1").text
    assert "Move something to see" in page
    status, way = send(client, f"/jobs/{soaked}/what-if/taken", base=1, storm="99")
    assert (status, way) == (303, f"/jobs/{soaked}/what-if")
    assert len(history(store, person_here(store).firm, soaked)) == 1


def test_nothing_is_taken_over_on_a_job_that_changed_meanwhile(client: TestClient, store: Store, soaked: str) -> None:
    who = person_here(store)
    text = revision(store, who.firm, soaked).text
    save(store, who.firm, soaked, 1, text + "# seen again\n", "Ann", "a remark")
    for page in ("what-if", "schemes"):
        status, told = send(client, f"/jobs/{soaked}/{page}/taken", base=1, leaves=0, key="soak")
        assert status == 409
        assert "Ann saved revision 2" in told
    assert revision(store, who.firm, soaked).number == 2


def test_who_may_only_read_takes_nothing_over() -> None:
    for page in ("what-if/taken", "schemes/taken"):
        assert needed("POST", f"/jobs/0/{page}") is Act.EDIT
        assert not may("crew", needed("POST", f"/jobs/0/{page}"))


def test_a_form_from_elsewhere_is_refused(client: TestClient, soaked: str) -> None:
    for page in ("what-if/taken", "schemes/taken"):
        answer = client.post(f"/jobs/{soaked}/{page}", data={"base": "1", "text": "title: x"})
        assert answer.status_code == 403


def test_ways_stand_side_by_side_and_one_is_taken_over(client: TestClient, store: Store) -> None:
    job = keep_example(store, "two-basins")
    page = client.get(f"/jobs/{job}/schemes?now=1").text
    assert "Price with tax" in page
    keys = re.findall(r'name="key" value="([^"]+)"', page)
    assert keys
    assert "as-drawn" not in keys
    status, way = send(client, f"/jobs/{job}/schemes/taken", base=1, key=keys[0])
    assert (status, way) == (303, f"/jobs/{job}")
    made = revision(store, person_here(store).firm, job)
    assert made.number == 2
    assert not made.problems
    assert made.what == f"another way taken over: {keys[0]}"
    assert client.get(f"/jobs/{job}").status_code == 200
    status, _ = send(client, f"/jobs/{job}/schemes/taken", base=2, key="no such way")
    assert status == 404


# Papers


def test_a_paper_is_made_once_and_then_listed_with_its_size(client: TestClient, soaked: str) -> None:
    before = client.get(f"/jobs/{soaked}/papers").text
    assert before.count("not made yet") == len(NAMES)
    made = client.get(f"/jobs/{soaked}/papers/answers-crew.pdf")
    assert made.headers["content-type"] == "application/pdf"
    assert made.content.startswith(b"%PDF-")
    after = client.get(f"/jobs/{soaked}/papers").text
    assert after.count("not made yet") == len(NAMES) - 1
    assert f"{round(len(made.content) / 1000):,} kB" in after
    assert "Made for revision 1" in after
    again = client.get(f"/jobs/{soaked}/papers/answers-crew.pdf?download=1")
    assert again.content == made.content
    assert again.headers["content-disposition"] == 'attachment; filename="answers-crew.pdf"'
    assert client.get(f"/jobs/{soaked}/papers/..%2Fsecret").status_code == 404
    assert client.get(f"/jobs/{soaked}/papers/no-such.pdf").status_code == 404


def test_all_papers_come_as_one_file(client: TestClient, soaked: str) -> None:
    answer = client.get(f"/jobs/{soaked}/papers.zip")
    assert answer.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        assert set(packed.namelist()) == set(NAMES)
        assert packed.testzip() is None
    assert client.get(f"/jobs/{soaked}/papers").text.count("not made yet") == 0


def test_no_other_firm_sees_the_pages(tmp_path_factory: pytest.TempPathFactory) -> None:
    url = f"sqlite:///{tmp_path_factory.mktemp('two') / 'store.sqlite'}"
    with TestClient(make_app(Settings(store=url, workers=1)), base_url=HERE, headers=FOR_PEOPLE) as own:
        kept: Store = own.app.state.store  # type: ignore[attr-defined]
        person_here(kept)
        other = add_firm(kept, "Another firm")
        job = open_job(kept, other.id, BROKEN, "Ann").id
        assert own.get(f"/jobs/{job}/water").status_code in (404, 409)
