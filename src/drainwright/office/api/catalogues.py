"""The firm's catalogues of pumps and pipes, which lie beside its jobs: read, changed entry by entry, as tables."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel, Field

from drainwright.errors import JobError, Problem
from drainwright.job.firm import FirmPipe
from drainwright.job.pipe_file import pipes_csv, read_pipes
from drainwright.job.pump_file import read_pumps
from drainwright.job.pump_table import (
    COLUMNS,
    POINT,
    cells_of,
    merged,
    points_of,
    pump_of,
    pumps_csv,
    units_of,
    with_pump,
)
from drainwright.job.works import Pump
from drainwright.office.api.shared import Body, Line, LongText, Words, tagged, tagged_bytes
from drainwright.office.store.books import PIPES, PUMPS, save_the_book, the_book
from drainwright.office.store.errors import NotThereError
from drainwright.office.store.opening import Store
from drainwright.office.store.records import BookRevision
from drainwright.office.who import Asker, OpenStore
from drainwright.quantities import convert
from drainwright.system.firm_pipes import shelf_of

router = APIRouter(tags=["firm"])
CSV = "text/csv"
Base = Annotated[
    int, Field(ge=0, le=1_000_000_000, description="the revision that it was made of; 0 where there is none")
]
TABLE: dict[int | str, dict[str, Any]] = {
    200: {"content": {CSV: {}}, "description": "As it lies beside the firm's jobs."}
}


class Point(Body):
    """A point of a pump's curve."""

    flow: Annotated[Line, Field(examples=["20 gpm"])]
    head: Annotated[Line, Field(examples=["18 ft"])]


class PumpSheet(Body):
    """A pump by its data sheet; each quantity with its unit."""

    name: Annotated[Line, Field(min_length=1)]
    curve: Annotated[list[Point], Field(min_length=2, max_length=100)]
    label_power: Line = ""
    discharge_size: Line = ""
    float_kind: Line = ""
    float_band: Line = ""
    minimum_depth: Line = ""
    starts_limit: Line = ""
    switch_starts: Line = ""
    current: Line = ""
    solids: Line = ""
    weight: Line = ""
    input_power: Line = ""
    price: Line = ""
    direct_current: bool = False


class PumpSaved(Body):
    """A pump to add, or to put in the place of another."""

    base: Base
    was: Annotated[Line, Field(description="the name of the pump that it takes the place of; empty: it is added")] = ""
    pump: PumpSheet


class PumpGone(Body):
    """A pump to take out."""

    base: Base
    name: Line


class Table(Body):
    """A whole catalogue as a table."""

    base: Base
    text: LongText
    whole: Annotated[bool, Field(description="in place of all that are there")] = True
    what: Words = ""


class PipeLaid(Body):
    """A pipe that the firm lays."""

    pipe: Annotated[Line, Field(examples=["d3034 4 in"])]
    lengths: Annotated[list[Line], Field(max_length=6, examples=[["10 ft", "20 ft"]], default_factory=list)]
    hole: Line = ""


class PipesSaved(Body):
    """All pipes that the firm lays."""

    base: Base
    pipes: Annotated[list[PipeLaid], Field(min_length=1, max_length=100)]


class Pumps(BaseModel):
    """The firm's pumps and the revision they are of."""

    revision: int
    pumps: list[PumpSheet]


class Pipes(BaseModel):
    """The firm's pipes and the revision they are of."""

    revision: int
    pipes: list[PipeLaid]


class Revision(BaseModel):
    """What was saved."""

    revision: int


@router.get("/pumps", response_model=Pumps, summary="The firm's own pumps")
def pumps(request: Request, who: Asker, store: OpenStore) -> Response:
    """Revision 0 where there are none yet."""
    kept = the_book(store, who.firm, PUMPS)
    told = [_sheet(one, kept.text if kept else "") for one in _pumps(kept)]
    return tagged(request, Pumps(revision=kept.number if kept else 0, pumps=told))


@router.post("/pumps", status_code=201, summary="Add a pump, or change one")
def save_pump(who: Asker, store: OpenStore, body: PumpSaved) -> Revision:
    """All others stay as they are; where another revision came between: 409 with theirs."""
    kept = the_book(store, who.firm, PUMPS)
    units = units_of(kept.text) if kept else "US"
    made = pump_of(body.pump.model_dump(), units)
    after = with_pump(_pumps(kept), made, body.was)
    return _saved(store, who.firm, PUMPS, body.base, pumps_csv(after, units), who.name, made.name)


@router.post("/pumps/remove", status_code=201, summary="Take a pump out")
def remove_pump(who: Asker, store: OpenStore, body: PumpGone) -> Revision:
    """The last one stays, as jobs name the catalogue."""
    kept = the_book(store, who.firm, PUMPS)
    before = _pumps(kept)
    after = [one for one in before if one.name != body.name]
    if kept is None or len(after) == len(before):
        raise NotThereError("pump", body.name)
    if not after:
        raise JobError((Problem(where="name", found="the last pump", expected="another one to stay"),))
    text = pumps_csv(after, units_of(kept.text))
    return _saved(store, who.firm, PUMPS, body.base, text, who.name, f"{body.name} taken out")


@router.get("/pumps/table", summary="The pumps as a table", response_class=Response, responses=TABLE)
def pumps_table(request: Request, who: Asker, store: OpenStore) -> Response:
    """The headings bear the units."""
    return _table(request, the_book(store, who.firm, PUMPS), PUMPS)


@router.put("/pumps/table", status_code=201, summary="Take pumps from a table")
def save_pumps_table(who: Asker, store: OpenStore, body: Table) -> Revision:
    """With `whole` in place of all that are there; else those of the same names are replaced, others added."""
    kept = the_book(store, who.firm, PUMPS)
    come = read_pumps(body.text, "pumps.csv", units_of(body.text))
    every = come if body.whole else merged(_pumps(kept), come)
    text = pumps_csv(every, units_of(kept.text if kept else body.text))
    return _saved(store, who.firm, PUMPS, body.base, text, who.name, body.what or f"{len(come)} pumps from a table")


@router.get("/pipes", response_model=Pipes, summary="The pipes that the firm lays")
def pipes(request: Request, who: Asker, store: OpenStore) -> Response:
    """Revision 0 where none were chosen yet: designs then choose from the whole catalogue."""
    kept = the_book(store, who.firm, PIPES)
    told = [
        PipeLaid(
            pipe=one.pipe, lengths=[f"{convert(length, 'length', 'US', 'ft'):.6g} ft" for length in one.lengths],
            hole="" if one.hole is None else f"{convert(one.hole, 'length', 'US', 'in'):.6g} in",
        )
        for one in (read_pipes(kept.text) if kept else ())
    ]  # fmt: skip
    return tagged(request, Pipes(revision=kept.number if kept else 0, pipes=told))


@router.put("/pipes", status_code=201, summary="Say which pipes the firm lays")
def save_pipes(who: Asker, store: OpenStore, body: PipesSaved) -> Revision:
    """Where another revision came between: 409 with theirs."""
    made = tuple(_pipe(one, index) for index, one in enumerate(body.pipes))
    shelf_of(made)
    return _saved(store, who.firm, PIPES, body.base, pipes_csv(made), who.name, f"{len(made)} pipes")


@router.get("/pipes/table", summary="The pipes as a table", response_class=Response, responses=TABLE)
def pipes_table(request: Request, who: Asker, store: OpenStore) -> Response:
    """The headings bear the units."""
    return _table(request, the_book(store, who.firm, PIPES), PIPES)


@router.put("/pipes/table", status_code=201, summary="Take the pipes from a table")
def save_pipes_table(who: Asker, store: OpenStore, body: Table) -> Revision:
    """With `whole` in place of all that are there; else beside those of other keys."""
    kept = the_book(store, who.firm, PIPES)
    come = read_pipes(body.text)
    new = {one.pipe: one for one in come}
    before = () if body.whole or kept is None else read_pipes(kept.text)
    every = (*(one for one in before if one.pipe not in new), *come)
    shelf_of(every)
    words = body.what or f"{len(come)} pipes from a table"
    return _saved(store, who.firm, PIPES, body.base, pipes_csv(every), who.name, words)


def checked(kind: str, text: str) -> None:
    """Refuse a text that is no catalogue of its kind."""
    if kind == PUMPS:
        read_pumps(text, "pumps.csv", units_of(text))
    elif kind == PIPES:
        shelf_of(read_pipes(text))


def _saved(store: Store, firm: str, kind: str, base: int, text: str, who: str, what: str) -> Revision:
    return Revision(revision=save_the_book(store, firm, kind, base, text, who, what).number)


def _pumps(kept: BookRevision | None) -> tuple[Pump, ...]:
    return read_pumps(kept.text, "pumps.csv", units_of(kept.text)) if kept else ()


def _sheet(pump: Pump, text: str) -> PumpSheet:
    """A pump as it would be sent, each quantity with its unit."""
    units = units_of(text)
    cells = cells_of(pump, units)
    said = {
        field: f"{cells[word]} {styles[0 if units == 'US' else 1]}".strip() if cells[word] else ""
        for word, field, _, styles in COLUMNS
        if field != "direct_current"
    }
    curve = [
        Point(**{word: f"{number} {unit}" for number, (word, _, unit) in zip(point, POINT[units], strict=True)})
        for point in points_of(pump, units)
    ]
    return PumpSheet(name=pump.name, curve=curve, direct_current=pump.direct_current, **said)


def _pipe(one: PipeLaid, index: int) -> FirmPipe:
    from pydantic import ValidationError

    from drainwright.job.explain import problems_of

    record = {"pipe": one.pipe, "lengths": one.lengths, "hole": one.hole or None}
    try:
        return FirmPipe.model_validate(record, context={"document": True})
    except ValidationError as error:
        raise JobError(
            tuple(
                Problem(where=f"pipes[{index}].{each.where}", found=each.found, expected=each.expected, hint=each.hint)
                for each in problems_of(error, FirmPipe, record, "", {})
            )
        ) from None


def _table(request: Request, kept: BookRevision | None, kind: str) -> Response:
    if kept is None:
        raise NotThereError("book", kind)
    named = {"content-disposition": f'attachment; filename="{kind}.csv"'}
    return tagged_bytes(request, kept.text.encode(), "text/csv; charset=utf-8", **named)


__all__ = ["checked", "router"]
