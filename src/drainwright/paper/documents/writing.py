"""Write all papers of a job into a folder: all of them or none."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from threading import Lock

from drainwright.design import Design
from drainwright.paper.documents.blocks import Document
from drainwright.paper.documents.shell import Sheets
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.dxf_sheets import KINDS, Kind, scaled_parts
from drainwright.paper.once import once
from drainwright.paper.sheet import Sheet

UNDRAWN = ("worksheet.pdf", "cost-sheet.pdf", "place-sheet.pdf", "change-order.pdf", "answers-crew.pdf")
# show no drawing: set while the drawings are made, the longest first


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
    from drainwright.paper.documents.drawing_set import drawing_set
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
        "change-order.pdf": change_order,
        "permit-set.pdf": permit_set,
        "place-sheet.pdf": place_sheet,
        "cost-sheet.pdf": cost_sheet,
    }
    return {name: partial(maker, design, sheets) for name, maker in makers.items()}


def write_papers(design: Design, folder: Path, step: Callable[[str, float], None] | None = None) -> list[Path]:
    """Write everything that is handed over: all is made in memory first, and only then written.

    Parameters
    ----------
    design : Design
        The designed job.
    folder : Path
        Where to; made if it is not there. Files of the papers' names are replaced, nothing else is touched.
    step : callable, optional
        Told the name of the paper that is being made and the share that is done, from 0 to 1.

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
    sheets = _Drawn(design)
    documents = {name: partial(_pdf, maker, design) for name, maker in papers_of(design, sheets).items()}
    contents: dict[str, bytes] = {}
    with ThreadPoolExecutor(max_workers=2) as setter:  # the setter leaves Python alone while it works
        order = (*UNDRAWN, *(name for name in documents if name not in UNDRAWN))
        try:
            setting = {name: setter.submit(documents[name]) for name in order}
            tell("drawings", 0.0)
            others = _others(design, sheets)
            made = {**others, **{name: setting[name].result for name in documents}}
            for number, (name, make) in enumerate(made.items(), start=1):
                tell(name, number / (len(made) + 1))
                contents[name] = make()
        except BaseException:
            setter.shutdown(wait=True, cancel_futures=True)
            raise
    written = write_all(folder, {name: contents[name] for name in (*documents, *others)})
    tell("done", 1.0)
    return written


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


class _Drawn(Mapping[str, tuple[Sheet, str]]):
    """The drawings by name, each with its SVG: made when one is first asked for."""

    def __init__(self, design: Design) -> None:
        self._design = design
        self._lock = Lock()  # whoever else asks waits
        self._made: dict[str, tuple[Sheet, str]] | None = None

    def _sheets(self) -> dict[str, tuple[Sheet, str]]:
        from drainwright.paper.drawings import drawings
        from drainwright.paper.svg import to_svg

        with self._lock:
            if self._made is None:
                self._made = {name: (sheet, to_svg(sheet)) for name, sheet in drawings(self._design).items()}
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
