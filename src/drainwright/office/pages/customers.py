"""The firm's customers, and each one's jobs."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.office.pages.fields import Faults, Form, Sent
from drainwright.office.pages.jobs import STAGE_WORDS
from drainwright.office.pages.shell import page
from drainwright.office.store import jobs, people
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.holding import plain
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Customer
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(prefix="/firm/customers", default_response_class=HTMLResponse, include_in_schema=False)

MOST = {"name": 200, "address": 500, "phone": 60, "email": 254, "note": 4000}


@router.get("")
def customers(request: Request, who: Asker, store: OpenStore, q: str = "", away: bool = False) -> Response:
    """All customers by name."""
    found = people.customers(store, who.firm, q[:200], archived=away)
    return _list_page(request, found, q, away, Sent({}, {}), Faults())


@router.post("")
def add(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """A new customer."""
    faults, values = _read(form)
    if faults:
        return _list_page(request, people.customers(store, who.firm), "", False, form, faults, 422)
    made = people.add_customer(store, who.firm, **values)
    return RedirectResponse(f"/firm/customers/{made.id}", 303)


@router.get("/{id}")
def customer(request: Request, who: Asker, store: OpenStore, id: str) -> Response:
    """One customer."""
    one = _customer(store, who, id)
    values = {name: str(getattr(one, name)) for name in MOST}
    return _page(request, store, who, one, Sent(values, {}), Faults())


@router.post("/{id}")
def change(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Change a customer, or lay one away."""
    one = _customer(store, who, id)
    if "away" in form.texts:
        people.change_customer(store, who.firm, id, archived=form.text("away") == "yes")
        return RedirectResponse(f"/firm/customers/{id}", 303)
    faults, values = _read(form)
    if faults:
        return _page(request, store, who, one, form, faults, 422)
    people.change_customer(store, who.firm, id, **values)
    return RedirectResponse(f"/firm/customers/{id}", 303)


def _read(form: Sent) -> tuple[Faults, dict[str, str]]:
    faults = Faults()
    values = {name: form.text(name) for name in MOST}
    values["note"] = " ".join(form.lines("note").split())
    for name, most in MOST.items():
        try:
            plain(name, values[name], most)
        except StoreError as error:
            faults.add(name, f"{error}.")
    if not values["name"]:
        faults.add("name", "Found nothing; expected the customer's name.")
    return faults, values


def _customer(store: Store, who: Who, id: str) -> Customer:
    both = (*people.customers(store, who.firm), *people.customers(store, who.firm, archived=True))
    found = next((one for one in both if one.id == id), None)
    if found is None:
        raise NotThereError("customer", id)
    return found


def _list_page(
    request: Request, found: tuple[Customer, ...], q: str, away: bool, form: Sent, faults: Faults, status: int = 200
) -> Response:
    return page(request, "customers.html", status, customers=found, q=q, away=away, form=form, faults=faults)


def _page(
    request: Request, store: Store, who: Who, one: Customer, form: Sent, faults: Faults, status: int = 200
) -> Response:
    theirs = [
        listed for away in (False, True) for listed in jobs.listed(store, who.firm, archived=away)
        if listed.job.customer == one.id
    ]  # fmt: skip
    return page(
        request, "customer.html", status, customer=one, jobs=theirs, stages=STAGE_WORDS, form=form, faults=faults
    )


__all__ = ["router"]
