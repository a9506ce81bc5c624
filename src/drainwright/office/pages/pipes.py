"""The pipes that the firm lays: of the catalogue, with the lengths it buys and the holes it saws."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from pydantic import ValidationError
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import JobError
from drainwright.job.firm import FirmPipe
from drainwright.job.loading import decode
from drainwright.job.pipe_file import pipes_csv, read_pipes
from drainwright.office.pages.fields import Faults, Form, Sent, first_told, sentence, told
from drainwright.office.pages.history import attached
from drainwright.office.pages.shell import page
from drainwright.office.store.books import PIPES, StaleBook, book_history, book_revision, save_the_book, the_book
from drainwright.office.store.errors import NotThereError
from drainwright.office.store.opening import Store
from drainwright.office.store.records import BookRevision
from drainwright.office.who import Asker, OpenStore, Who
from drainwright.system import catalogue
from drainwright.system.catalogue import FOOT, INCH
from drainwright.system.firm_pipes import SAME_LENGTH, shelf_of
from drainwright.system.model import Pipe

router = APIRouter(prefix="/firm/pipes", default_response_class=HTMLResponse, include_in_schema=False)

NAME = "pipes.csv"
DUTIES = (
    ("Drains", catalogue.candidates(perforated=True)),
    ("Solid lines", catalogue.candidates(perforated=False)),
    ("Lines under driven ground", catalogue.candidates(perforated=False, driven=True)),
    ("Discharge lines", catalogue.PRESSURE_PIPES),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One pipe of the catalogue as the page shows it."""

    key: str
    size: str
    inside: str
    laid: bool
    lengths: tuple[tuple[str, bool], ...]  # sold, in feet, and whether the firm buys it
    hole: str
    common_hole: str
    wrong: str


@router.get("")
def pipes(request: Request, who: Asker, store: OpenStore, saved: int | None = None) -> Response:
    """The catalogue, with what the firm lays of it."""
    return _page(request, store, who, None, Faults(), saved=saved)


@router.post("")
def keep(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Keep which pipes the firm lays."""
    faults = Faults()
    made = tuple(_laid(form, faults))
    if not made and not faults:
        faults.add("book", "Found no pipe; expected one or more, as jobs name this catalogue.")
    if not faults:
        _held(made, faults)
    if faults:
        return _page(request, store, who, form, faults, 422, base=form.number("base"))
    return _saved(request, store, who, form, made, _words(_all(the_book(store, who.firm, PIPES)), made))


@router.post("/import")
def bring(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Take the pipes from a table, in place of those that are there."""
    faults = Faults()
    brought = form.files.get("file")
    made: tuple[FirmPipe, ...] = ()
    if brought is None:
        faults.add("file", "Found no file; expected a table of pipes (.csv).")
    else:
        try:
            made = read_pipes(decode(brought.content, brought.name), brought.name)
            shelf_of(made)
        except JobError as error:
            faults.add("file", first_told(error))
    if faults or brought is None:
        return _page(request, store, who, None, faults, 422)
    return _saved(request, store, who, form, made, f"{len(made)} pipes from {brought.name[:200]}")


@router.post("/restore")
def restore(who: Asker, store: OpenStore, form: Form) -> Response:
    """Make an old revision the newest again."""
    kept = _must(store, who)
    old = book_revision(store, who.firm, kept.book, form.number("number"))
    words = f"revision {old.number} restored"
    made = save_the_book(store, who.firm, PIPES, form.number("base"), old.text, who.name, words)
    return RedirectResponse(f"/firm/pipes?saved={made.number}", 303)


@router.get("/pipes.csv")
def as_table(who: Asker, store: OpenStore, number: int | None = None) -> Response:
    """The table of the newest revision, or of an old one."""
    text = book_revision(store, who.firm, _must(store, who).book, number).text
    return attached(text.encode("utf-8"), "text/csv; charset=utf-8", NAME)


def _must(store: Store, who: Who) -> BookRevision:
    kept = the_book(store, who.firm, PIPES)
    if kept is None:
        raise NotThereError("book", PIPES)
    return kept


def _all(kept: BookRevision | None) -> tuple[FirmPipe, ...]:
    return read_pipes(kept.text, NAME) if kept else ()


def _laid(form: Sent, faults: Faults) -> Iterator[FirmPipe]:
    """The pipes that are ticked."""
    for pipe in catalogue.PIPES.values():
        if not form.text(f"lay:{pipe.key}"):
            continue
        bought = [f"{feet} ft" for feet in _sold(pipe) if form.text(f"length:{pipe.key}:{feet}")]
        hole = form.text(f"hole:{pipe.key}")
        record: dict[str, Any] = {"pipe": pipe.key, "lengths": bought if len(bought) < len(pipe.sticks) else []}
        try:
            plain = f"{hole} in" if hole and hole.replace(".", "").isdigit() else hole
            yield FirmPipe.model_validate(record | ({"hole": plain} if hole else {}))
        except ValidationError as error:
            faults.add(pipe.key, sentence(error.errors()[0]["msg"].removeprefix("Value error, ")))


def _held(pipes: Sequence[FirmPipe], faults: Faults) -> None:
    try:
        shelf_of(tuple(pipes))
    except JobError as error:
        for one in error.problems:
            index = int(one.where.partition("[")[2].partition("]")[0])
            faults.add(pipes[index].pipe, sentence(told(one)))


def _words(before: Sequence[FirmPipe], after: Sequence[FirmPipe]) -> str:
    """What changed."""
    old, new = {one.pipe: one for one in before}, {one.pipe: one for one in after}
    changed = [key for key in {**old, **new} if old.get(key) != new.get(key)]
    return ", ".join(changed[:4]) + (f" and {len(changed) - 4} more" if len(changed) > 4 else "")


def _saved(
    request: Request, store: Store, who: Who, form: Sent, made: Sequence[FirmPipe], words: str
) -> Response:  # fmt: skip
    text, base = pipes_csv(made), form.number("base")
    kept = the_book(store, who.firm, PIPES)
    if kept is not None and (kept.text, kept.number) == (text, base):
        return RedirectResponse("/firm/pipes", 303)
    try:
        saved = save_the_book(store, who.firm, PIPES, base, text, who.name, words)
    except StaleBook as stale:
        faults = Faults({"book": f"{stale}. Yours is still here: look, and save again."})
        shown = form if any(name.startswith("lay:") for name in form.texts) else None
        return _page(request, store, who, shown, faults, 409, base=stale.theirs.number)
    return RedirectResponse(f"/firm/pipes?saved={saved.number}", 303)


def _sold(pipe: Pipe) -> tuple[str, ...]:
    return tuple(f"{stick / FOOT:.0f}" for stick in pipe.sticks)


def _rows(pipes: Sequence[FirmPipe], form: Sent | None, faults: Faults) -> Iterator[tuple[str, list[Row]]]:
    """The catalogue by family."""
    own = {catalogue.find_pipe(one.pipe).key: one for one in pipes}
    for family, alike in itertools.groupby(catalogue.PIPES.values(), lambda pipe: pipe.family):
        yield family, [_row(pipe, own.get(pipe.key), form, faults) for pipe in alike]


def _row(pipe: Pipe, own: FirmPipe | None, form: Sent | None, faults: Faults) -> Row:
    laid = own is not None if form is None else bool(form.text(f"lay:{pipe.key}"))
    lengths = []
    for stick, feet in zip(pipe.sticks, _sold(pipe), strict=True):
        bought = own is None or not own.lengths or any(abs(stick - one) <= SAME_LENGTH for one in own.lengths)
        lengths.append((feet, bought if form is None else bool(form.text(f"length:{pipe.key}:{feet}"))))
    hole = "" if own is None or own.hole is None else f"{own.hole / INCH:g}"
    perforated = " perforated" if pipe.perforated else ""
    return Row(
        key=pipe.key, size=f"{pipe.nominal}{perforated}", inside=f"{pipe.inside / INCH:.3f}", laid=laid,
        lengths=tuple(lengths), hole=hole if form is None else form.text(f"hole:{pipe.key}"),
        common_hole=f"{pipe.hole / INCH:g}", wrong=faults[pipe.key],
    )  # fmt: skip


def _page(
    request: Request, store: Store, who: Who, form: Sent | None, faults: Faults, status: int = 200, *,
    base: int | None = None, saved: int | None = None,
) -> Response:  # fmt: skip
    kept = the_book(store, who.firm, PIPES)
    own = _all(kept)
    shelf = shelf_of(own)
    chosen = [
        (duty, [pipe.key for pipe in pipes if pipe.key in shelf.own], [pipe.key for pipe in pipes])
        for duty, pipes in DUTIES
    ]
    return page(
        request, "pipes.html", status, families=list(_rows(own, form, faults)), laid=len(own), chosen=chosen,
        base=base if base is not None else kept.number if kept else 0, faults=faults, saved=saved,
        history=book_history(store, who.firm, kept.book) if kept else (),
    )  # fmt: skip


__all__ = ["router"]
