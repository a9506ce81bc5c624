"""Write all papers of a job into a folder: all of them or none."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from threading import Lock
from typing import Any, NamedTuple

from drainwright.design import Design
from drainwright.paper.documents.beside import There, beside, may_fork
from drainwright.paper.documents.blocks import Document
from drainwright.paper.documents.shell import Sheets
from drainwright.paper.documents.typeset import inputs, set_pdf, to_pdf
from drainwright.paper.dxf_sheets import KINDS, Kind, scaled_parts
from drainwright.paper.offer_designs import options_of
from drainwright.paper.once import once
from drainwright.paper.sheet import Sheet

UNDRAWN = ("worksheet.pdf", "cost-sheet.pdf", "place-sheet.pdf", "change-order.pdf", "answers-crew.pdf")
# show no drawing: set while the drawings are made, the longest first
LATER = ("worksheet.pdf", "proposal.pdf", "answers.pdf", "water-analysis.pdf", "change-order.pdf")
# tell what is offered, or what would prevent a failure: they wait for the options, and for the other process
SHEETS, KEPT = "drawings", "kept"  # names by which they are sent


def write_file(folder: Path, name: str, content: bytes) -> Path:
    """Write a file in one step: a reader sees the old one or the new one, never a part."""
    path = folder / name
    handle, temporary = tempfile.mkstemp(dir=folder, prefix=f".{name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return path


def write_all(folder: Path, contents: Mapping[str, bytes]) -> list[Path]:
    """Write files so that a folder has all of the new ones, or all of the old ones.

    Parameters
    ----------
    folder : Path
        Must be there.
    contents : mapping of str to bytes
        The files by name.

    Returns
    -------
    list of Path
        In the order of ``contents``.

    Raises
    ------
    OSError
        If a file cannot be written; then, as after a keyboard interrupt, the folder is put back as it was.
    """
    old = {name: (folder / name).read_bytes() for name in contents if (folder / name).is_file()}
    touched: list[str] = []
    try:
        for name, content in contents.items():
            touched.append(name)
            write_file(folder, name, content)
    except BaseException:
        for name in touched:
            if name in old:
                write_file(folder, name, old[name])
            else:
                (folder / name).unlink(missing_ok=True)
        raise
    return [folder / name for name in contents]


def papers_of(design: Design, sheets: Mapping[str, tuple[Sheet, str]]) -> dict[str, Callable[[], Document]]:
    """The documents by file name, each made when it is asked for."""
    from drainwright.paper.documents.analysis_paper import analysis_paper
    from drainwright.paper.documents.answers_paper import answers_paper, crew_answers_paper
    from drainwright.paper.documents.change_order import change_order
    from drainwright.paper.documents.cost_sheet import cost_sheet
    from drainwright.paper.documents.crew import crew_packet
    from drainwright.paper.documents.crew_spanish import crew_packet_spanish
    from drainwright.paper.documents.drawing_set import crew_drawing_set, drawing_set
    from drainwright.paper.documents.handover import handover
    from drainwright.paper.documents.permit_set import permit_set
    from drainwright.paper.documents.place_sheet import place_sheet
    from drainwright.paper.documents.proposal import proposal
    from drainwright.paper.documents.site_paper import site_paper
    from drainwright.paper.documents.worksheet_paper import worksheet_paper

    makers = {
        "water-analysis.pdf": analysis_paper,
        "proposal.pdf": proposal,
        "crew-packet.pdf": crew_packet,
        "crew-packet-es.pdf": crew_packet_spanish,
        "site-report.pdf": site_paper,
        "worksheet.pdf": worksheet_paper,
        "answers.pdf": answers_paper,
        "answers-crew.pdf": crew_answers_paper,
        "handover.pdf": handover,
        "drawings.pdf": drawing_set,
        "drawings-crew.pdf": crew_drawing_set,
        "change-order.pdf": change_order,
        "permit-set.pdf": permit_set,
        "place-sheet.pdf": place_sheet,
        "cost-sheet.pdf": cost_sheet,
    }
    return {name: partial(maker, design, sheets) for name, maker in makers.items()}


def write_papers(
    design: Design, folder: Path, step: Callable[[str, float], None] | None = None, processes: int = 2
) -> list[Path]:
    """Write everything that is handed over: all is made in memory first, and only then written.

    Parameters
    ----------
    design : Design
        The designed job.
    folder : Path
        Where to; made if it is not there. Files of the papers' names are replaced, nothing else is touched.
    step : callable, optional
        Told the name of the paper that is being made and the share that is done, from 0 to 1.
    processes : int
        With 2, a second process makes a part of the papers where that is safe (see ``beside.may_fork``); the files are
        the same.

    Returns
    -------
    list of Path
        The files, the documents first.

    Raises
    ------
    OSError
        If the folder cannot be written.

    Notes
    -----
    Whatever stops it, a keyboard interrupt too, is raised on with the folder's files as they were.
    """
    tell = step or (lambda name, share: None)
    folder.mkdir(parents=True, exist_ok=True)
    contents = _by_two(design, tell) if processes > 1 and may_fork() else _by_one(design, tell)
    written = write_all(folder, contents)
    tell("done", 1.0)
    return written


def _by_one(design: Design, tell: Callable[[str, float], None]) -> dict[str, bytes]:
    """All files by name, made in this process."""
    sheets = _Drawn(design)
    documents = {name: partial(_pdf, maker, design) for name, maker in papers_of(design, sheets).items()}
    with ThreadPoolExecutor(max_workers=2) as setter:  # the setter leaves Python alone while it works
        order = (*UNDRAWN, *(name for name in documents if name not in UNDRAWN))
        try:
            setting = {name: setter.submit(documents[name]) for name in order}
            tell("drawings", 0.0)
            others = _others(design, sheets)
            return _told(documents, {**others, **{name: setting[name].result for name in documents}}, tell)
        except BaseException:
            setter.shutdown(wait=True, cancel_futures=True)
            raise


def _by_two(design: Design, tell: Callable[[str, float], None]) -> dict[str, bytes]:
    """The same in two processes: the other draws, this one designs the options and sets all documents.

    What shows drawings is claimed by both, from the two ends of one list, until nothing is left; so each has as much to
    do as it has time for, and the files are the same whoever makes them.
    """
    with ThreadPoolExecutor(max_workers=2) as setter, beside(partial(_drawing, design)) as other:
        sheets = _Drawn(design, lambda: other.come(SHEETS).result())
        documents = papers_of(design, sheets)

        def made(work: Callable[[], bytes | Unset]) -> Callable[[], bytes]:
            """What a piece of work gives, set if it is a document."""
            thing = work()
            return (lambda: thing) if isinstance(thing, bytes) else setter.submit(_set, thing, design).result

        try:
            setting = {name: setter.submit(_pdf, documents[name], design) for name in UNDRAWN if name not in LATER}
            tell("drawings", 0.0)
            options_of(design)  # here, while the others are set
            for kept, found in zip(_sent(), other.come(KEPT).result(), strict=True):
                kept.give(design, found)
            setting |= {name: setter.submit(_pdf, documents[name], design) for name in LATER}
            shared = _shared(design, sheets)
            mine: dict[str, Callable[[], bytes]] = {}
            while len(mine) < len(shared) and other.claim():
                name = list(shared)[-1 - len(mine)]
                mine[name] = made(shared[name])
            theirs = {name: made(other.come(name).result) for name in shared if name not in mine}
            setting_of = {name: setting[name].result for name in setting}
            return _told(documents, {**_others(design, sheets), **setting_of, **theirs, **mine}, tell)
        except BaseException:
            setter.shutdown(wait=False, cancel_futures=True)
            raise


def _told(
    documents: Iterable[str], made: Mapping[str, Callable[[], bytes]], tell: Callable[[str, float], None]
) -> dict[str, bytes]:
    """All files, the documents first, each told as it is taken."""
    contents: dict[str, bytes] = {}
    for number, (name, make) in enumerate(made.items(), start=1):
        tell(name, number / (len(made) + 1))
        contents[name] = make()
    return {name: contents[name] for name in (*documents, *(name for name in made if name not in documents))}


def _sent() -> tuple[once[Any], ...]:
    """What both processes need, that takes long: made where the drawings are."""
    from drainwright.paper.plan_page import page_plan
    from drainwright.paper.storm_remedies import preventions_of

    return preventions_of, page_plan


class Unset(NamedTuple):
    """A document that is made but not set."""

    name: str
    shown: dict[str, bytes]  # from ``inputs``


def _drawing(design: Design, there: There) -> None:
    """What the second process does."""
    sheets = dict(_Drawn(design))
    shared = _shared(design, sheets)
    there.offer(len(shared))
    there.send(SHEETS, sheets)
    there.send(KEPT, [kept(design) for kept in _sent()])
    for name, make in shared.items():
        if not there.claim():
            return
        there.send(name, make())


def _shared(design: Design, sheets: Sheets) -> dict[str, Callable[[], bytes | Unset]]:
    """What either process may make once the drawings are there, the longest first."""
    documents = papers_of(design, sheets)
    drawn = [name for name in documents if name not in (*UNDRAWN, *LATER)]
    listed: dict[str, Callable[[], bytes | Unset]] = {name: partial(_unset, documents[name]) for name in drawn}
    named = {f"{name}.svg" for name in sheets}
    return listed | {name: make for name, make in _others(design, sheets).items() if name not in named}


def _unset(maker: Callable[[], Document]) -> Unset:
    document = maker()
    return Unset(document.name, inputs(document))


def _set(document: Unset, design: Design) -> bytes:
    return set_pdf(document.name, document.shown, design.job.date)


@once
def _kept_sheets(design: Design) -> Sheets:
    return _Drawn(design)


def one_paper(design: Design, name: str) -> bytes | None:
    """One of the files that ``write_papers`` writes, the same to the last byte.

    Parameters
    ----------
    design : Design
        The designed job. Its drawings are kept until another design is asked for.
    name : str
        File name, such as ``proposal.pdf``.

    Returns
    -------
    bytes or None
        None where the job has no such paper.
    """
    sheets = _kept_sheets(design)
    documents = papers_of(design, sheets)
    if name in documents:
        return _pdf(documents[name], design)
    make = _others(design, sheets).get(name)
    return None if make is None else make()


def _others(design: Design, sheets: Sheets) -> dict[str, Callable[[], bytes]]:
    """What is written beside the documents, by file name, each made when it is asked for."""
    from drainwright.paper.days_chart import days_chart
    from drainwright.paper.storm_phone import failures_phone
    from drainwright.paper.svg import to_svg

    others: dict[str, Callable[[], bytes]] = {
        f"{name}.svg": partial(str.encode, svg) for name, (_, svg) in sheets.items()
    }
    for narrow in (failures_phone(design), days_chart(design)):
        if narrow is not None:
            others[f"{narrow.name}.svg"] = partial(str.encode, to_svg(narrow))
    others |= {
        "drawing.dxf": partial(_dxf, design),
        "order.xlsx": partial(_order, design),
        "order.csv": partial(_order_csv, design),
        "results.json": partial(_results, design),
        "job.json": partial(_job, design),
    }
    drawn = [sheet for sheet, _ in sheets.values()]
    for kind in KINDS:
        if scaled_parts(drawn, kind):
            others[f"{kind}.dxf"] = partial(_scaled_dxf, design, drawn, kind)
    if design.job.crew.start is not None:
        others["reminders.ics"] = partial(_reminders, design)
    return others


def _draw(design: Design) -> dict[str, tuple[Sheet, str]]:
    from drainwright.paper.drawings import drawings
    from drainwright.paper.svg import to_svg

    return {name: (sheet, to_svg(sheet)) for name, sheet in drawings(design).items()}


class _Drawn(Mapping[str, tuple[Sheet, str]]):
    """The drawings by name, each with its SVG: made when one is first asked for."""

    def __init__(self, design: Design, made: Callable[[], dict[str, tuple[Sheet, str]]] | None = None) -> None:
        self._make = made or partial(_draw, design)
        self._lock = Lock()  # whoever else asks waits
        self._made: dict[str, tuple[Sheet, str]] | None = None

    def _sheets(self) -> dict[str, tuple[Sheet, str]]:
        with self._lock:
            if self._made is None:
                self._made = self._make()
            return self._made

    def __getitem__(self, name: str) -> tuple[Sheet, str]:
        return self._sheets()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._sheets())

    def __len__(self) -> int:
        return len(self._sheets())


def _pdf(maker: Callable[[], Document], design: Design) -> bytes:
    return to_pdf(maker(), design.job.date)


def _dxf(design: Design) -> bytes:
    from drainwright.paper.dxf import to_dxf

    return to_dxf(design).encode("utf-8", "replace")


def _scaled_dxf(design: Design, sheets: Sequence[Sheet], kind: Kind) -> bytes:
    from drainwright.paper.dxf_sheets import sheets_to_dxf

    return sheets_to_dxf(sheets, design.job.units, kind).encode("utf-8", "replace")


def _order(design: Design) -> bytes:
    from drainwright.paper.order import order_workbook

    return order_workbook(design)


def _order_csv(design: Design) -> bytes:
    from drainwright.paper.order_csv import order_csv

    return order_csv(design)


def _results(design: Design) -> bytes:
    from drainwright.results import design_to_plain

    return _json(design_to_plain(design))


def _job(design: Design) -> bytes:
    from drainwright.results import plain

    return _json(plain(design.job))


def _json(data: object) -> bytes:
    from drainwright.results import indented

    return (indented(data) + "\n").encode("utf-8", "replace")


def _reminders(design: Design) -> bytes:
    from drainwright.paper.calendar import reminders

    return reminders(design)


__all__ = ["one_paper", "papers_of", "write_all", "write_file", "write_papers"]
