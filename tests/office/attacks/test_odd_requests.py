"""Odd requests to every operation of the API, drawn from its own description: nothing breaks, all is as described."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import content_type_conformance, status_code_conformance

from drainwright.office.store import entering, people
from tests.office.full import filled
from tests.office.visitors import office

MANY = int(os.environ.get("DRAINWRIGHT_ODD", "4"))  # requests to each operation; more where there is time
CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance]


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    with office(tmp_path_factory.mktemp("odd")) as made:
        yield made


@pytest.fixture(scope="module")
def known(app: FastAPI) -> dict[str, str]:
    return known_in(app)


def known_in(app: FastAPI) -> dict[str, str]:
    """A job, and a token of the firm's owner."""
    store = app.state.store
    firm, job = filled(store)
    person = people.people(store, firm)[0]
    people.change_person(store, firm, person.id, role="owner")
    _, token = entering.give_token(store, firm, person.id, "odd", "write", timedelta(days=1))
    return {"job": job, "id": job, "authorization": f"Bearer {token}"}


def ask_all(app: FastAPI, known: dict[str, str], rules: settings) -> int:
    """Odd requests to every operation that takes JSON or nothing; how many were asked."""
    described = schemathesis.openapi.from_asgi("/api/v1/openapi.json", app, headers={"host": "127.0.0.1:8321"})
    count = 0
    for found in described.get_all_operations():
        operation = found.ok()
        if any(not part.media_type.endswith("json") for part in operation.body):
            continue  # files have attacks of their own

        def ask(case: Any) -> None:
            nonlocal count
            count += 1
            for name in ("job", "id"):
                if name in (case.path_parameters or {}) and count % 2:
                    case.path_parameters[name] = known[name]
            case.headers = {**(case.headers or {}), "authorization": known["authorization"], "host": "127.0.0.1:8321"}
            case.cookies = {}
            answer = case.call(timeout=120)
            case.validate_response(answer, checks=CHECKS)

        rules(given(case=operation.as_strategy())(ask))()
    return count


def test_odd_requests_break_nothing(app: FastAPI, known: dict[str, str]) -> None:
    rules = settings(
        max_examples=MANY, deadline=None, database=None, derandomize=True,
        phases=[Phase.explicit, Phase.generate], suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    count = ask_all(app, known, rules)
    print(f"{count} odd requests")
    assert count > 100
