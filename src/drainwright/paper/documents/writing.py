"""Write all papers of a job into a folder: each file whole or not at all."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

from drainwright.design import Design
from drainwright.paper.documents.blocks import Document
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.sheet import Sheet


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


def papers_of(design: Design, sheets: Mapping[str, tuple[Sheet, str]]) -> dict[str, Callable[[], Document]]:
    """The documents by file name, each made when it is asked for."""
    from drainwright.paper.documents.answers_paper import answers_paper
    from drainwright.paper.documents.crew import crew_packet
    from drainwright.paper.documents.drawing_set import drawing_set
    from drainwright.paper.documents.proposal import proposal
    from drainwright.paper.documents.worksheet_paper import worksheet_paper

    makers = {
        "proposal.pdf": proposal,
        "crew-packet.pdf": crew_packet,
        "worksheet.pdf": worksheet_paper,
        "answers.pdf": answers_paper,
        "drawings.pdf": drawing_set,
    }
    return {name: partial(maker, design, sheets) for name, maker in makers.items()}


def write_papers(design: Design, folder: Path, step: Callable[[str, float], None] | None = None) -> list[Path]:
    """Write everything that is handed over.

    Parameters
    ----------
    design : Design
        The designed job.
    folder : Path
        Where to; made if it is not there. Files of the papers' names are replaced, nothing else is touched.
    step : callable, optional
        Told the name of the paper that is being written and the share that is done, from 0 to 1.

    Returns
    -------
    list of Path
        The files, the documents first.

    Raises
    ------
    OSError
        If the folder cannot be written.
    """
    from drainwright.paper.drawings import drawings
    from drainwright.paper.svg import to_svg

    tell = step or (lambda name, share: None)
    folder.mkdir(parents=True, exist_ok=True)
    tell("drawings", 0.0)
    sheets = {name: (sheet, to_svg(sheet)) for name, sheet in drawings(design).items()}
    documents = {name: partial(_pdf, maker, design) for name, maker in papers_of(design, sheets).items()}
    others: dict[str, Callable[[], bytes]] = {
        f"{name}.svg": partial(str.encode, svg) for name, (_, svg) in sheets.items()
    }
    others |= {
        "drawing.dxf": partial(_dxf, design),
        "order.xlsx": partial(_order, design),
        "results.json": partial(_results, design),
        "job.json": partial(_job, design),
    }
    if design.job.crew.start is not None:
        others["reminders.ics"] = partial(_reminders, design)
    count = len(documents) + len(others) + 1
    written: list[Path] = []
    with ThreadPoolExecutor(max_workers=1) as setter:  # the setter leaves Python alone while it works
        setting = {name: setter.submit(make) for name, make in documents.items()}
        made = {**others, **{name: future.result for name, future in setting.items()}}
        try:
            for number, (name, make) in enumerate(made.items(), start=1):
                tell(name, number / count)
                written.append(write_file(folder, name, make()))
        except BaseException:
            setter.shutdown(wait=True, cancel_futures=True)
            raise
    tell("done", 1.0)
    order = [*documents, *others]
    return sorted(written, key=lambda path: order.index(path.name))


def _pdf(maker: Callable[[], Document], design: Design) -> bytes:
    return to_pdf(maker(), design.job.date)


def _dxf(design: Design) -> bytes:
    from drainwright.paper.dxf import to_dxf

    return to_dxf(design).encode("utf-8", "replace")


def _order(design: Design) -> bytes:
    from drainwright.paper.order import order_workbook

    return order_workbook(design)


def _results(design: Design) -> bytes:
    from drainwright.results import design_to_plain

    return _json(design_to_plain(design))


def _job(design: Design) -> bytes:
    from drainwright.results import plain

    return _json(plain(design.job))


def _json(data: object) -> bytes:
    return (json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode("utf-8", "replace")


def _reminders(design: Design) -> bytes:
    from drainwright.paper.calendar import reminders

    return reminders(design)


__all__ = ["papers_of", "write_file", "write_papers"]
