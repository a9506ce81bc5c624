"""Odd files sent in by every way that the API has for files: nothing breaks, and what is kept never breaks the job."""

from __future__ import annotations

import copy
import hashlib
import io
import json
import os
import re
import zipfile
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from PIL import Image

from drainwright.office.store import entering, jobs, people
from drainwright.office.store.opening import Store
from tests.office.full import filled
from tests.office.stored import EXAMPLES
from tests.office.visitors import Visitor, browser, office

MANY = 5 * int(os.environ.get("DRAINWRIGHT_ODD", "4"))  # of each kind; more where there is time
ODD = settings(
    max_examples=MANY, deadline=None, database=None, derandomize=True, phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
RAIN = b"""Point precipitation frequency estimates (inches)
NOAA Atlas 14 Volume 2 Version 3
Data type: Precipitation depth
Time series type: Partial duration
PRECIPITATION FREQUENCY ESTIMATES
by duration for ARI (years):, 2,10,25
5-min:, 0.40,0.60,0.70
60-min:, 1.50,2.10,2.50
24-hr:, 3.00,4.50,5.50
"""
PUMPS = b"name,flow (gpm),head (ft)\nBeta,0,20\nBeta,30,5\n"
PIPES = b"pipe,lengths (ft),hole (in)\nd3034 4 in,10 20,4.5\nsch40 2 in,20,\n"
BOOK = (EXAMPLES / "block-wall-house" / "book" / "prices.yaml").read_bytes()
FIRM = b"schema_version: 1\nname: Example Drainage Company\nphone: 555-0142\n"
UPLOADS = {"/api/v1/jobs/import", "/api/v1/jobs/{job}/attachments", "/api/v1/jobs/{job}/rain"}


def picture(kind: str) -> bytes:
    stream = io.BytesIO()
    Image.effect_noise((24, 16), 80).convert("RGB").save(stream, kind, exif=_exif(kind))
    return stream.getvalue()


def _exif(kind: str) -> Image.Exif:
    made = Image.Exif()
    made[274] = 6
    made.get_ifd(34665)[36867] = "2026:05:04 14:03:00"
    made.get_ifd(34853).update({1: "S", 2: (52.0, 30.0, 36.0), 3: "W", 4: (13.0, 0.0, 0.0)})
    return made


def mangled(*seeds: bytes) -> st.SearchStrategy[bytes]:
    """A good file with a few bytes changed, cut out, doubled or brought in; or bytes of no file at all."""
    step = st.tuples(
        st.sampled_from(["change", "cut", "double", "bring", "end"]), st.floats(0, 1), st.binary(max_size=6)
    )

    def made(seed: bytes, steps: list[tuple[str, float, bytes]]) -> bytes:
        for how, share, more in steps:
            at = int(share * len(seed))
            seed = {
                "change": seed[:at] + more + seed[at + len(more) :],
                "cut": seed[:at] + seed[at + 3 * len(more) :],
                "double": seed[:at] + seed[max(0, at - 40) : at] + seed[at:],
                "bring": seed[:at] + more + seed[at:],
                "end": seed[:at],
            }[how]
        return seed

    changed = st.builds(made, st.sampled_from(seeds), st.lists(step, max_size=4))
    return st.one_of(changed, changed, changed, st.binary(max_size=200))


def words_of(seed: bytes) -> st.SearchStrategy[bytes]:
    """A good table or document with one of its words another: what a person mistypes, and what is meant to break."""
    parts = re.split(rb"([^\w.]+)", seed)
    odd = st.sampled_from(
        [b"", b"-1", b"0", b"1e400", b"nan", b"inf", b"9" * 400, b"1e-320", b"\xff", "٣½".encode(), b"x" * 2000, b"'",
         b'"', b"[", b"{", b"&a", b"*a", b"!!python/name:os.system", b"\t", b"null", b"true", b"1_000", b"0x10"]
    )  # fmt: skip

    def made(places: list[tuple[int, bytes]]) -> bytes:
        given = list(parts)
        for place, word in places:
            given[place % len(given)] = word
        return b"".join(given)

    return st.builds(made, st.lists(st.tuples(st.integers(0, len(parts) - 1), odd), min_size=1, max_size=3))


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    with office(tmp_path_factory.mktemp("uploads")) as made:
        yield made


@pytest.fixture(scope="module")
def here(app: FastAPI) -> tuple[Visitor, str, str]:
    """A program with a token, its firm, and a job with something of everything."""
    store: Store = app.state.store
    firm, job = filled(store)
    person = people.people(store, firm)[0]
    people.change_person(store, firm, person.id, role="owner")
    _, token = entering.give_token(store, firm, person.id, "odd", "write", timedelta(days=1))
    client = browser(app)
    client.headers["authorization"] = f"Bearer {token}"
    return client, firm, job


def answered(answer: Any) -> None:
    """That a request was taken, or refused in words."""
    assert answer.status_code < 500, answer.text
    if answer.status_code >= 400:
        assert answer.headers["content-type"] == "application/problem+json", answer.text
        assert answer.json()["detail"] or answer.json().get("errors"), answer.text


def test_every_way_in_for_files_is_tried_here(app: FastAPI) -> None:
    found = set()
    for path, methods in app.openapi()["paths"].items():
        for told in methods.values():
            content = told.get("requestBody", {}).get("content", {})
            if content and "application/json" not in content:
                found.add(path)
    assert found == UPLOADS & set(app.openapi()["paths"])
    assert len(found) >= 2


def test_odd_files_hung_on_a_job(here: tuple[Visitor, str, str]) -> None:
    client, _, job = here
    seeds = [picture(kind) for kind in ("JPEG", "PNG", "WEBP")] + [b"%PDF-1.7\nx\n%%EOF\n", RAIN, b"note\n"]
    text = st.text(min_size=1, max_size=30)

    @ODD
    @given(mangled(*seeds), text, st.sampled_from(["photo", "note", "beside"]) | text, st.booleans(), text)
    def hang(data: bytes, name: str, kind: str, keep: bool, note: str) -> None:
        params = {"name": name, "kind": kind, "keep_time": keep, "keep_place": keep, "note": note}
        answered(client.post(f"/api/v1/jobs/{job}/attachments", content=data, params=params))

    hang()
    hung = client.get(f"/api/v1/jobs/{job}/attachments").json()
    assert len(hung) > 3
    for one in hung:
        assert client.get(f"/api/v1/attachments/{one['id']}").status_code == 200


@pytest.mark.parametrize(
    ("name", "seed", "calls"),
    [
        ("rain.csv", RAIN, "rain"), ("pumps.csv", PUMPS, "pumps_file: pumps.csv"),
        ("pipes.csv", PIPES, "pipes_file: pipes.csv"), ("prices.yaml", BOOK, "price_book: {file: prices.yaml}"),
        ("firm.yaml", FIRM, "firm: {file: firm.yaml}"),
    ],
)  # fmt: skip
def test_odd_files_beside_a_job_that_names_them(
    app: FastAPI, here: tuple[Visitor, str, str], name: str, seed: bytes, calls: str
) -> None:
    """Whatever lies beside it, the job is read or its faults are told."""
    client, firm, _ = here
    text = (EXAMPLES / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
    if calls == "rain":
        start = text.index("\nrain:")
        text = text[:start] + "\nrain: {file: rain.csv}" + re.sub(r"\A\n.*?(?=\n\S)", "", text[start:], flags=re.S)
    else:
        text = re.sub(r"\nfirm: .*", "", text).replace("schema_version: 1\n", f"schema_version: 1\n{calls}\n", 1)
    job = jobs.open_job(app.state.store, firm, text, "Ash").id
    way = f"/api/v1/jobs/{job}"
    params = {"name": name, "kind": "beside"}
    assert client.post(f"{way}/attachments", content=seed, params=params).status_code == 201
    assert client.get(f"{way}/document").json()["problems"] == [], "the good file is read"

    designed: list[bytes] = []

    @ODD
    @given(st.one_of(mangled(seed), words_of(seed)))
    def lay(data: bytes) -> None:
        hung = client.post(f"{way}/attachments", content=data, params=params)
        answered(hung)
        told = client.get(f"{way}/document")
        answered(told)
        if name == "rain.csv" and hung.status_code == 201 and not told.json()["problems"] and len(designed) < 3:
            designed.append(data)
            answered(client.get(f"{way}/design"))
        if hung.status_code == 201:
            client.patch(f"/api/v1/attachments/{hung.json()['attachment']['id']}", json={"archived": True})

    lay()


def test_odd_rain_tables(here: tuple[Visitor, str, str]) -> None:
    client, _, job = here
    way = f"/api/v1/jobs/{job}/rain"

    @ODD
    @given(st.one_of(mangled(RAIN), words_of(RAIN)), st.text(min_size=1, max_size=30))
    def bring(data: bytes, name: str) -> None:
        answered(client.put(way, content=data, params={"name": name}))
        answered(client.get(way))

    bring()
    assert client.put(way, content=RAIN).status_code == 200
    assert len(client.get(way).json()["rows"]) == 3


def test_odd_tables_of_the_firm(here: tuple[Visitor, str, str]) -> None:
    client, _, _ = here

    @ODD
    @given(st.sampled_from([("pumps", PUMPS), ("pipes", PIPES)]).flatmap(
        lambda one: st.tuples(st.just(one[0]), st.one_of(mangled(one[1]), words_of(one[1])))
    ))  # fmt: skip
    def send(given: tuple[str, bytes]) -> None:
        kind, data = given
        kept = client.get(f"/api/v1/{kind}/table")
        base = client.get(f"/api/v1/{kind}").json().get("revision", 0) if kept.status_code == 200 else 0
        body = {"base": base, "text": data.decode("utf-8", "replace"), "whole": True}
        answered(client.put(f"/api/v1/{kind}/table", json=body))

    send()
    for kind, seed in (("pumps", PUMPS), ("pipes", PIPES)):
        assert client.get(f"/api/v1/{kind}/table").status_code in (200, 404), seed


def test_odd_whole_jobs(here: tuple[Visitor, str, str]) -> None:
    client, _, job = here
    whole = client.get(f"/api/v1/jobs/{job}/whole").content

    @ODD
    @given(mangled(whole))
    def send(data: bytes) -> None:
        answered(client.post("/api/v1/jobs/import", content=data))

    send()


def test_whole_jobs_that_are_packed_right_and_say_odd_things(here: tuple[Visitor, str, str]) -> None:
    """The digests fit, so that the records themselves are what is refused, or what is kept."""
    client, _, job = here
    whole = client.get(f"/api/v1/jobs/{job}/whole").content
    odd = st.one_of(
        st.none(), st.booleans(), st.integers(-2, 2**70), st.floats(), st.text(max_size=8), st.just("x\x00"),
        st.just([]), st.just({}), st.just([[]]), st.just({"id": 1}), st.just("2026-02-30"), st.just("\ud800"),
        st.just("9999-12-31T23:59:59-23:59"), st.just("0001-01-01T00:00:00+23:59"), st.just("../../x"),
    )  # fmt: skip

    @ODD
    @given(st.lists(st.tuples(st.integers(0, 10**6), odd), min_size=1, max_size=2), st.booleans())
    def send(places: list[tuple[int, Any]], head: bool) -> None:
        answered(client.post("/api/v1/jobs/import", content=repacked(whole, places, head)))

    send()
    assert client.post("/api/v1/jobs/import", content=repacked(whole, [], False)).status_code == 201


def repacked(whole: bytes, places: list[tuple[int, Any]], head: bool) -> bytes:
    """A whole job with some values of its records (``head``: of its manifest) others, packed with digests that fit."""
    with zipfile.ZipFile(io.BytesIO(whole)) as packed:
        held = {name: packed.read(name) for name in packed.namelist()}
    manifest, records = (json.loads(held.pop(name)) for name in ("manifest.json", "records.json"))
    for place, value in places:
        leaves = list(_leaves(manifest if head else records))
        inside, key = leaves[place % len(leaves)]
        inside[key] = copy.deepcopy(value)
    held["records.json"] = json.dumps(records).encode()
    if not head:
        listed = {name: {"sha256": hashlib.sha256(data).hexdigest(), "size": len(data)} for name, data in held.items()}
        manifest["files"] = listed
    else:
        told = {"sha256": hashlib.sha256(held["records.json"]).hexdigest(), "size": len(held["records.json"])}
        if isinstance(manifest.get("files"), dict):
            manifest["files"]["records.json"] = told
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        for name, data in {"manifest.json": json.dumps(manifest).encode(), **held}.items():
            packed.writestr(name, data)
    return stream.getvalue()


def _leaves(part: Any) -> Iterator[tuple[Any, Any]]:
    """Every place of a record that holds a value, those within others too."""
    for key, inner in list(part.items() if isinstance(part, dict) else enumerate(part)):
        yield part, key
        if isinstance(inner, dict | list):
            yield from _leaves(inner)
