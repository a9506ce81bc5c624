"""Read a firm's price book, alone or beside the job that names it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from drainwright.errors import JobError
from drainwright.job.beside import file_beside
from drainwright.job.currency import signed_amounts
from drainwright.job.explain import record_of
from drainwright.job.firm_book import FirmBook, book_problems
from drainwright.job.loading import MOST_PROBLEMS, Spot, decode, load, placed, read_bytes
from drainwright.job.model import Job

NOUN = "a price book"


@dataclass(frozen=True, slots=True, kw_only=True)
class BookDocument:
    """A price book with the text it was read from."""

    book: FirmBook
    text: str
    name: str  # file name for errors
    spots: Mapping[str, Spot]  # line and column of every key and list entry, by path


def read_book(path: str | Path) -> BookDocument:
    """Read a price book's file.

    Parameters
    ----------
    path : str | Path
        YAML, or JSON by its ending.

    Returns
    -------
    BookDocument
        The book and its text.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    path = Path(path)
    return read_book_text(decode(read_bytes(path, f"{NOUN} (.yaml or .json)"), str(path)), str(path))


def read_book_text(text: str, name: str = "prices.yaml") -> BookDocument:
    """Read a price book from text; ``name`` is what the errors call it.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    loaded = load(text, name, NOUN, "name")
    book = record_of(FirmBook, loaded, name)
    problems = (*signed_amounts(loaded.record, book.currency), *book_problems(book))
    if problems:
        raise JobError(placed(problems, name, loaded.spots)[:MOST_PROBLEMS])
    return BookDocument(book=book, text=text, name=name, spots=loaded.spots)


def fill_book(job: Job, folder: Path | None) -> Job:
    """The job with the price book that it names in it.

    Parameters
    ----------
    job : Job
        A validated job.
    folder : Path, optional
        The job file's folder; the book lies in it or below.

    Returns
    -------
    Job
        With ``price_book.book`` filled and ``price_book.file`` cleared. What the job gives itself outranks it.

    Raises
    ------
    JobError
        If the file is missing, lies elsewhere, or is no price book; each problem with its line.
    """
    own = job.price_book
    if own.file is None:
        return job
    path = file_beside(own.file, folder, "price_book.file", "prices.yaml", "'book'")
    text = decode(read_bytes(path, f"{NOUN} (.yaml or .json)"), own.file)
    book = read_book_text(text, own.file).book
    return job.model_copy(update={"price_book": own.model_copy(update={"book": book, "file": None})})


__all__ = ["NOUN", "BookDocument", "fill_book", "read_book", "read_book_text"]
