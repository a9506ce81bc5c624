"""Who asks, on one's own machine; and what a stored job puts to a worker."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from fastapi import HTTPException
from starlette.testclient import TestClient

from drainwright.design import Design
from drainwright.office.answers.asking import Answered
from drainwright.office.app import make_app
from drainwright.office.questions import BESIDE, question_of
from drainwright.office.settings import Settings
from drainwright.office.store.files import attach
from drainwright.office.store.jobs import add_firm, firms, open_job
from drainwright.office.store.opening import Store, open_store
from drainwright.office.store.people import add_person, people
from drainwright.office.who import Asker, person_here

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "block-wall-house"


def firm_name(design: Design) -> str:
    assert design.job.firm is not None
    return str(design.job.firm.name)


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return open_store(f"sqlite:///{tmp_path / 'store.sqlite'}")


def test_the_first_opening_makes_a_firm_with_one_person_and_no_second_one(store: Store) -> None:
    first = person_here(store)
    assert person_here(store) == first
    assert [firm.id for firm in firms(store)] == [first.firm]
    assert [person.role for person in people(store, first.firm)] == ["owner"]


def test_a_store_of_several_people_is_not_opened_without_sign_in(store: Store) -> None:
    first = person_here(store)
    add_person(store, first.firm, "L. Larch", "larch@example.org", "crew", "x")
    with pytest.raises(HTTPException) as refused:
        person_here(store)
    assert refused.value.status_code == 409
    other = open_store(str(store.engine.url).replace("store.sqlite", "other.sqlite"))
    add_firm(other, "One")
    add_firm(other, "Two")
    with pytest.raises(HTTPException):
        person_here(other)


@pytest.mark.parametrize(("local", "status"), [(True, 200), (False, 401)])
def test_nobody_is_let_in_without_sign_in_but_the_person_at_the_machine(
    tmp_path: Path, local: bool, status: int
) -> None:
    app = make_app(Settings(local=local, store=f"sqlite:///{tmp_path / 'store.sqlite'}"))

    @app.get("/me")
    def me(who: Asker) -> str:
        return who.role

    with TestClient(app, base_url="http://127.0.0.1:8321") as client:
        assert client.get("/me").status_code == status


def test_a_stored_job_is_designed_with_the_files_that_it_names(tmp_path: Path) -> None:
    app = make_app(Settings(store=f"sqlite:///{tmp_path / 'store.sqlite'}", workers=1))
    with TestClient(app, base_url="http://127.0.0.1:8321"):
        store, workers = app.state.store, app.state.workers
        one = person_here(store)
        job = open_job(store, one.firm, (EXAMPLE / "job.yaml").read_text(encoding="utf-8"), one.name)
        for path in sorted((EXAMPLE / "firm").iterdir()):
            attach(
                store, one.firm, job.id, path.read_bytes(), name=f"firm/{path.name}", media_type="text/plain",
                who=one.name, kind=BESIDE,
            )  # fmt: skip
        reply = asyncio.run(workers.ask(question_of(store, one.firm, job.id), firm_name))
    assert isinstance(reply, Answered)
    assert reply.shown
    assert f"name: {reply.shown}" in (EXAMPLE / "firm" / "firm.yaml").read_text(encoding="utf-8")
