"""Every page of the app with something on it: which they are, and what of the app's addresses is none."""

from __future__ import annotations

import datetime
import re

from fastapi import FastAPI

from drainwright.office import after
from drainwright.office.examples import begin_example, example_of
from drainwright.office.people.passwords import hashed
from drainwright.office.rain import bring
from drainwright.office.store import entering, links, people, revisions
from drainwright.office.store.books import PIPES, PRICES, PUMPS, save_the_book
from drainwright.office.store.files import attach
from drainwright.office.store.jobs import add_firm, open_job
from drainwright.office.store.opening import open_store
from drainwright.office.taken import keep
from drainwright.office.who import person_here

from ..conftest import designed
from .attacks.doors import doors
from .finished import choked, wet, worn
from .stored import EXAMPLES
from .test_rain import TABLE
from .test_uploads import picture

JOB_PAGES = (
    "", "/yard", "/photos", "/plan", "/water", "/system", "/storm", "/dig", "/price", "/offer", "/papers", "/hours",
    "/schemes",
    "/what-if", "/answers", "/worksheet", "/history", "/compare?old=1&new=2", "/text", "/facts", "/facts/job",
    "/facts/house", "/facts/lot", "/facts/walls", "/facts/ground", "/facts/rain", "/facts/place", "/facts/criteria",
    "/facts/crew", "/facts/basin", "/after", "/after/proof", "/after/visits",
    "/after/season",
)  # fmt: skip
FIRM_PAGES = (
    "/", "/jobs/new", "/calendar", "/firm", "/firm/customers", "/firm/book", "/firm/book/text", "/firm/pumps",
    "/firm/pumps/one", "/firm/pipes", "/firm/service", "/firm/settings", "/yard", "/yard/begun", "/offline",
    "/me", "/firm/people", "/sign-in", "/c/nothing", "/nowhere",
)  # fmt: skip
FILES = re.compile(
    r".*\.\w+|.*/\{name\}(\.svg)?|.*beside\{ending\}|/firm/logo|/jobs/\{id\}/plan/picture|.*/told|.*/series"
)


def left_out(app: FastAPI, ways: tuple[str, ...]) -> list[str]:
    """Addresses of pages, as the app has them, that none of the ways leads to."""
    asked = [way.partition("?")[0] for way in ways]
    paths = [door.path for door in doors(app) if door.method == "GET" and not door.path.startswith("/api/")]
    pages = [path for path in paths if not FILES.fullmatch(path)]
    shapes = {path: re.compile(re.sub(r"\{\w+\}", "[^/]+", path)) for path in pages}
    named = {path for path in pages if "{" not in path}
    return [
        path for path, shape in shapes.items()
        if not any(shape.fullmatch(way) and (path == way or way not in named) for way in asked)
    ]  # fmt: skip


def every_page(url: str) -> tuple[str, ...]:
    """Fill a store for one person; the addresses of pages with something on each."""
    store, example = open_store(url), example_of("block-wall-house")
    assert example is not None
    who = person_here(store)
    job = begin_example(store, who, example).id
    text = revisions.revision(store, who.firm, job).text
    revisions.save(store, who.firm, job, 1, text.replace("valid_days: 30", "valid_days: 400"), who.name)
    save_the_book(store, who.firm, PRICES, 0, example.beside["book/prices.yaml"].decode(), who.name)
    save_the_book(store, who.firm, PUMPS, 0, "name,flow (gpm),head (ft)\nBeta,0,20\nBeta,30,5\n", who.name)
    save_the_book(store, who.firm, PIPES, 0, "pipe\nd3034 4 in\n", who.name)
    keep(store, who, job, 0, example.beside["book/actuals.yaml"].decode())
    house = designed("block-wall-house/job")
    for key, made in (("proof", choked), ("visits", worn), ("season", wet)):
        after.keep(store, who, job, after.SORTS[key], 0, made(house))
    told = {"name": "sill.jpg", "media_type": "image/jpeg", "who": who.name}
    attach(store, who.firm, job, picture(), **told, pin="CB1", note="The crack at the sill")
    attach(store, who.firm, job, picture("PNG"), **{**told, "name": "a.png", "media_type": "image/png"})
    customer = people.add_customer(store, who.firm, "R. Bramble").id
    _, token = links.make_link(store, who.firm, job, "offer", datetime.timedelta(days=9), who.name)
    begun = "{title: Wet lawn, price_book: {file: prices.yaml}, rain: {file: rain.csv}}"
    aged = open_job(store, who.firm, begun, who.name).id
    bring(store, who.firm, aged, "rain.csv", TABLE.encode(), who.name)
    sloping = (EXAMPLES / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")
    called = sloping.replace("schema_version: 1", "schema_version: 1\nprice_book: {file: prices.yaml}", 1)
    priced = open_job(store, who.firm, called, who.name).id
    save_the_book(store, who.firm, PRICES, 1, example.beside["book/prices.yaml"].decode() + "# dearer\n", who.name)
    store.close()
    others = (
        f"/jobs/{priced}",
        *(f"/jobs/{priced}/after/{key}" for key in after.SORTS),
        f"/jobs/{aged}",
        f"/jobs/{aged}/facts",
        f"/jobs/{aged}/facts/rain",
    )
    of_job = tuple(f"/jobs/{job}{page}" for page in JOB_PAGES)
    return (*FIRM_PAGES, *of_job, *others, f"/firm/customers/{customer}", f"/firm/learn/{job}", f"/c/{token}")


def entered(url: str) -> tuple[str, ...]:
    """Fill a store that has nobody in it; the addresses that are open to who is not in."""
    store = open_store(url)
    firm = add_firm(store, "Example Drainage Company").id
    people.add_person(store, firm, "Ash", "ash@example.org", "owner", hashed("four words in a row"))
    _, token = entering.invite(store, firm, "birch@example.org", "crew", datetime.timedelta(days=3), "Ash")
    store.close()
    return "/sign-in", "/sign-in?back=/me", f"/invitation/{token}", "/invitation/nothing"


__all__ = ["entered", "every_page", "left_out"]
