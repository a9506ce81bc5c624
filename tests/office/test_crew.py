"""What a crew may: read no price on any page, at any address, on any paper; and no button that would be refused."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from decimal import Decimal
from html import unescape

import pytest
from fastapi import FastAPI

from drainwright.office.examples import begin_example, example_of, examples
from drainwright.office.people import roles
from drainwright.office.people.unpriced import PAPERS, blotted, job_without_costs, without_costs
from drainwright.office.store import people
from drainwright.office.who import Who

from .test_uploads import picture
from .visitors import PEOPLE, Visitor, browser, office, staffed

AMOUNT = re.compile(r"\$\s?[0-9][0-9,.]*[0-9]")
PAGES = (
    "", "/yard", "/photos", "/plan", "/water", "/system", "/storm", "/dig", "/papers", "/hours", "/history", "/after",
    "/after/proof", "/after/visits", "/after/season",
)  # fmt: skip
CLOSED = (
    "/price", "/offer", "/schemes", "/schemes/told", "/what-if", "/what-if/told", "/answers", "/worksheet", "/text",
    "/compare", "/whole.zip", "/papers.zip", "/revisions/1.yaml", "/hours/actuals.yaml", "/hours/beside.csv",
)  # fmt: skip
CLOSED_API = (
    "/results", "/options", "/schemes", "/answers", "/document", "/document.yaml", "/revisions", "/revisions/1",
    "/compare?old=1&new=1", "/whole", "/links", "/acceptances", "/hours/compared",
)  # fmt: skip


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    with office(tmp_path_factory.mktemp("crew")) as made:
        yield made


@pytest.fixture(scope="module")
def job(app: FastAPI) -> str:
    firm = staffed(app)
    example = example_of("block-wall-house")
    assert example is not None
    boss = people.person_by_email(app.state.store, "owner@example.org")
    assert boss is not None
    return begin_example(app.state.store, Who(firm=firm, person=boss.id, name=boss.name, role="owner"), example).id


def visitor(app: FastAPI, role: str) -> Visitor:
    one = browser(app)
    assert one.enters(f"{role}@example.org").status_code == 303
    return one


@pytest.fixture(scope="module")
def crew(app: FastAPI, job: str) -> Visitor:
    return visitor(app, "crew")


@pytest.mark.parametrize("page", PAGES)
def test_no_page_of_a_job_tells_a_crew_a_price(crew: Visitor, job: str, page: str) -> None:
    answer = crew.get(f"/jobs/{job}{page}", headers=PEOPLE)
    assert answer.status_code == 200
    assert not AMOUNT.findall(answer.text)
    assert "24,501" not in answer.text


def test_the_way_through_a_job_is_one_and_leads_a_crew_nowhere_closed(app: FastAPI, crew: Visitor, job: str) -> None:
    for one, pages in ((crew, PAGES), (visitor(app, "owner"), ("/history", "/text", "/offer", "/compare?old=1&new=1"))):
        ways = set()
        for page in pages:
            if page != "/yard":  # works alone on a phone
                leaves = one.get(f"/jobs/{job}{page}", headers=PEOPLE).text.partition('class="leaves"')[2]
                ways.add(tuple(re.findall(r'<li><a href="([^"]+)"', leaves.partition("</nav>")[0])))
        assert len(ways) == 1
        for way in ways.pop():
            assert one.get(way, headers=PEOPLE).status_code == 200, way


@pytest.mark.parametrize("page", CLOSED)
def test_pages_with_prices_are_closed_to_a_crew(crew: Visitor, job: str, page: str) -> None:
    assert crew.get(f"/jobs/{job}{page}", headers=PEOPLE).status_code == 403


@pytest.mark.parametrize("path", CLOSED_API)
def test_addresses_with_prices_are_closed_to_a_crew(crew: Visitor, job: str, path: str) -> None:
    assert crew.get(f"/api/v1/jobs/{job}{path}").status_code == 403


@pytest.mark.parametrize(
    "path", ["", "/design", "/findings", "/storm", "/days", "/yard", "/yard/still", "/plan", "/diary"]
)
def test_what_a_crew_reads_at_an_address_tells_no_price(app: FastAPI, crew: Visitor, job: str, path: str) -> None:
    answer = crew.get(f"/api/v1/jobs/{job}{path}")
    assert answer.status_code == 200
    assert not AMOUNT.findall(answer.text)
    assert not re.findall(r'"(?:total|price|prices|price_book|cost)":', answer.text)


def test_a_what_if_and_its_price_are_closed_to_a_crew(crew: Visitor, job: str) -> None:
    headers = {"x-form-token": crew.token()}
    body = {"changes": {"criteria.pump_margin": 1.5}}
    assert crew.post(f"/api/v1/jobs/{job}/what-if", json=body, headers=headers).status_code == 403


def test_files_with_prices_are_closed_to_a_crew(app: FastAPI, crew: Visitor, job: str) -> None:
    hung = crew.get(f"/api/v1/jobs/{job}/attachments").json()
    book = next(one for one in hung if one["name"].endswith("prices.yaml"))
    assert crew.get(f"/api/v1/attachments/{book['id']}").status_code == 403
    assert visitor(app, "estimator").get(f"/api/v1/attachments/{book['id']}").status_code == 200
    headers = {"x-form-token": crew.token()}
    for kind, status in (("beside", 403), ("actuals", 422), ("note", 201)):
        way = f"/api/v1/jobs/{job}/attachments?name=book/prices.yaml&kind={kind}"
        assert crew.post(way, content=b"items: {}\n", headers=headers).status_code == status, kind


def test_a_crew_says_something_else_of_a_photograph_and_of_no_file_beside_the_job(crew: Visitor, job: str) -> None:
    headers = {"x-form-token": crew.token()}
    sent = crew.post(f"/api/v1/jobs/{job}/attachments?name=a.jpg", content=picture(), headers=headers).json()
    way = f"/api/v1/attachments/{sent['attachment']['id']}"
    assert crew.patch(way, json={"pin": "W1"}, headers=headers).json()["pin"] == "W1"
    assert crew.patch(way, json={"kind": "beside"}, headers=headers).status_code == 403
    hung = crew.get(f"/api/v1/jobs/{job}/attachments").json()
    book = next(one for one in hung if one["name"].endswith("prices.yaml") and one["kind"] == "beside")
    assert crew.patch(f"/api/v1/attachments/{book['id']}", json={"pin": "W1"}, headers=headers).status_code == 403


def text_of(content: bytes, name: str) -> str:
    """All that a paper tells, as text."""
    from pypdf import PdfReader

    if not name.endswith(".pdf"):
        return content.decode("utf-8")
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)


def amounts_in(part: object) -> set[str]:
    """Every amount of money of a plain record: decimals stand in it as texts."""
    if isinstance(part, dict):
        return set().union(*map(amounts_in, part.values()))
    if isinstance(part, list):
        return set().union(*map(amounts_in, part))
    return {part} if isinstance(part, str) and re.fullmatch(r"[0-9]+[.][0-9]{2}", part) else set()


def told_amounts(text: str, amounts: set[str]) -> list[str]:
    """The amounts that a text tells: to the cent, and those of a thousand and more also without cents."""
    found = []
    for amount in sorted(amounts):
        value = Decimal(amount)
        shown = [f"{value:,.2f}", f"{value:.2f}"] + ([f"{value:,.0f}"] if value >= 1000 else [])
        found += [one for one in shown if re.search(rf"(?<![0-9.,]){re.escape(one)}(?![.,]?[0-9])", text)]
    return found


def test_no_paper_of_a_crew_tells_a_price(app: FastAPI, crew: Visitor, job: str) -> None:
    shown = crew.get(f"/jobs/{job}/papers", headers=PEOPLE).text
    listed = set(re.findall(r"/papers/([a-z.-]+)\?download", shown))
    assert listed <= PAPERS
    assert {"crew-packet.pdf", "crew-packet-es.pdf", "drawings-crew.pdf"} <= listed
    owner = visitor(app, "owner")
    price = owner.get(f"/api/v1/jobs/{job}/results").json()["build"]["price"]
    amounts = {one for one in amounts_in(price) if Decimal(one) >= 200}  # below stand levels and lengths too
    assert len(amounts) > 30
    for name in ("cost-sheet.pdf", "drawings.pdf"):  # what is looked for is found where it stands
        text = text_of(owner.get(f"/jobs/{job}/papers/{name}").content, name)
        assert AMOUNT.findall(text), name
        assert name == "drawings.pdf" or len(told_amounts(text, amounts)) > 20
    names = crew.get(f"/api/v1/jobs/{job}/papers").json()
    assert listed <= set(names)
    assert {"profiles.dxf", "sections.dxf", "reminders.ics", "holes.svg", "storm-failures.svg"} <= set(names)
    for name in names:
        text = text_of(crew.get(f"/api/v1/jobs/{job}/papers/{name}").content, name)
        assert not AMOUNT.findall(text), name
        assert not told_amounts(text, amounts), name
    for name in ("proposal.pdf", "cost-sheet.pdf", "drawings.pdf", "order.csv", "results.json", "job.json"):
        for way in (f"/jobs/{job}/papers/{name}", f"/api/v1/jobs/{job}/papers/{name}"):
            assert crew.get(way).status_code == 403, way


def test_a_crew_has_what_it_builds_from(crew: Visitor, job: str) -> None:
    """Plan, profiles, sections, holes; and cut sheets, safe digging and the list to pick in both packets."""
    drawn = text_of(crew.get(f"/jobs/{job}/papers/drawings-crew.pdf").content, "drawings-crew.pdf")
    for words in ("Profile", "Trench", "Basin", "holes to drill"):
        assert words.casefold() in drawn.casefold(), words
    for name, wanted in (
        ("crew-packet.pdf", ("Cut sheets", "Safe-dig sheet", "Pick list")),
        ("crew-packet-es.pdf", ("Hojas de corte", "Hoja de excavación segura", "Lista de material")),
    ):
        text = text_of(crew.get(f"/jobs/{job}/papers/{name}").content, name)
        for words in wanted:
            assert words.casefold() in text.casefold(), (name, words)


@pytest.mark.parametrize("role", ["crew", "estimator", "owner"])
def test_no_page_offers_what_would_be_refused(app: FastAPI, job: str, role: str) -> None:
    one = visitor(app, role)
    firm = people.person_by_email(app.state.store, f"{role}@example.org")
    assert firm is not None
    customer = people.add_customer(app.state.store, firm.firm, "R. Bramble").id
    pages = [
        "/", "/calendar", "/firm", "/firm/customers", f"/firm/customers/{customer}", "/firm/settings", "/firm/service",
        "/me", "/jobs/new", "/firm/book", "/firm/pumps", "/firm/pumps/one", "/firm/pipes", "/firm/people",
        f"/firm/learn/{job}", *(f"/jobs/{job}{page}" for page in (*PAGES, *CLOSED[:8], "/text")),
    ]  # fmt: skip
    seen = 0
    for page in pages:
        answer = one.get(page, headers=PEOPLE)
        if answer.status_code == 403:
            continue
        assert answer.status_code == 200, page
        for tag, inner in re.findall(r"<form ([^>]*method=\"post\"[^>]*)>(.*?)</form>", answer.text, re.S):
            action = re.search(r'action="([^"#]*)', tag)
            way = unescape(action[1]) if action else page
            if "<button" in inner and way not in ("/theme", "/sign-out"):
                seen += 1
                assert roles.may(role, roles.needed("POST", way)), f"{page}: {way}"
        for way in re.findall(r'href="(/[^"#]*)(?:#[^"]*)?"', answer.text):
            if not way.startswith(("/assets", "/licences")):
                assert roles.may(role, roles.needed("GET", unescape(way).partition("?")[0])), f"{page}: {way}"
        if page.endswith("/plan"):
            assert ("hidden" in re.findall(r'<button [^>]*id="save"[^>]*>', answer.text)[0]) == (role == "crew")
    assert seen or role == "crew"


def test_examples_are_listed_and_begun_with_their_files(app: FastAPI, job: str) -> None:
    one = visitor(app, "estimator")
    page = unescape(one.get("/jobs/new", headers=PEOPLE).text)
    assert len(examples()) > 4
    for example in examples():
        assert example.title in page
        assert example.words in page
    begun = one.submit("/jobs/new", data={"from": "example", "example": "block-wall-house"})
    assert begun.status_code == 303
    assert one.get(f"{begun.headers['location']}", headers=PEOPLE).status_code == 200
    assert one.submit("/jobs/new", data={"from": "example", "example": "none"}).status_code == 422
    headers = {"x-form-token": one.token()}
    assert "sloping-lot" in [each["name"] for each in one.get("/api/v1/examples").json()]
    made = one.post("/api/v1/jobs", json={"example": "sloping-lot"}, headers=headers)
    assert made.status_code == 201
    assert one.post("/api/v1/jobs", json={"example": "none"}, headers=headers).status_code == 422
    assert visitor(app, "crew").get("/jobs/new", headers=PEOPLE).status_code == 403


def test_amounts_are_blotted_out_and_costs_left_out() -> None:
    assert blotted("from $1,082.50 to 900 EUR, 45 gpm, 12 in") == "from … to …, 45 gpm, 12 in"
    record = {
        "title": "$5 off",
        "price_book": {"labour": 3},
        "works": [{"pump": {"price": 4, "name": "A"}}],
        "total": 9,
    }
    assert without_costs(record) == {"title": "… off", "works": [{"pump": {"name": "A"}}]}
    assert job_without_costs(record) == {"title": "$5 off", "works": [{"pump": {"name": "A"}}]}
    json.dumps(without_costs(record))


def test_a_crew_begins_a_job_in_the_yard_and_measures_it_and_tells_nothing_else(app: FastAPI, job: str) -> None:
    """The crew lead is in the yard with a phone: a job begins there by its first visit; price and stage are others'."""
    one = visitor(app, "crew")
    headers = {"x-form-token": one.token()}
    first = {"title": "Wet lawn at Orchard Bank", "address": "3 Orchard Bank"}
    made = one.post(
        "/api/v1/jobs", json={"id": "0b9d3b1e-6a1c-4f0a-9d3e-2f1a5c7e9b12", "first": first}, headers=headers
    )
    assert made.status_code == 201
    begun = made.json()["id"]
    edit = {"id": "a", "path": "survey.benchmark", "value": {"name": "BM", "elevation": "100 ft"}}
    done = one.post(f"/api/v1/jobs/{begun}/operations", json={"operations": [edit]}, headers=headers).json()
    assert done["answers"][0]["state"] == "applied"
    assert one.get(f"/jobs/{begun}/yard", headers=PEOPLE).status_code == 200
    for body in (
        {}, {"text": "title: A\n"}, {"example": "sloping-lot"}, {"first": first, "stage": "accepted"},
        {"first": first, "customer": None}, {"first": first, "text": "title: A\n"},
    ):  # fmt: skip
        assert one.post("/api/v1/jobs", json=body, headers=headers).status_code == 403, body
    assert one.put(f"/api/v1/jobs/{begun}/stage", json={"stage": "visited"}, headers=headers).status_code == 403
    assert one.get(f"/jobs/{begun}/price", headers=PEOPLE).status_code == 403


def test_a_stage_is_set_by_hand_with_a_note_that_the_diary_keeps(app: FastAPI, job: str) -> None:
    one = visitor(app, "owner")
    sent = one.submit(f"/jobs/{job}/office", data={"stage": "visited", "why": "measured anew: the hedge is gone"})
    assert sent.status_code == 303
    page = unescape(one.get(f"/jobs/{job}/history", headers=PEOPLE).text)
    assert " -> visited: measured anew: the hedge is gone" in page
    assert 'name="why"' in page
    headers = {"x-form-token": one.token()}
    told = {"stage": "designed", "note": "the plan stands"}
    assert one.put(f"/api/v1/jobs/{job}/stage", json=told, headers=headers).json()["stage"] == "designed"
    one.put(f"/api/v1/jobs/{job}/stage", json={"stage": "designed", "note": "still so"}, headers=headers)
    kinds = [(one["kind"], one["words"]) for one in one.get(f"/api/v1/jobs/{job}/diary").json()[:2]]
    assert kinds == [("note", "still so"), ("stage", "visited -> designed: the plan stands")]
    assert visitor(app, "crew").submit(f"/jobs/{job}/office", data={"stage": "visited"}).status_code == 403
