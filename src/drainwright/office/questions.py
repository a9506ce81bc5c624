"""From a stored job to the question that is put to a worker."""

from __future__ import annotations

from collections.abc import Container, Iterator

from drainwright.job.firm import FirmWords
from drainwright.job.firm_file import read_firm_text
from drainwright.office.answers.asking import FileBeside, Question
from drainwright.office.store.beside import BESIDE, OF_FIRM, beside_of
from drainwright.office.store.books import SETTINGS, book_revision, books
from drainwright.office.store.opening import Store
from drainwright.office.store.revisions import revision


def question_of(store: Store, firm: str, job: str, number: int | None = None) -> Question:
    """A revision of a job with the files that its document names.

    Parameters
    ----------
    store : Store
        Where the job is.
    firm, job : str
        Whose, and which.
    number : int, optional
        Of the revision; the newest, if left out.

    Returns
    -------
    Question
        To be asked of ``Workers``.

    Raises
    ------
    NotThereError
        If the firm has no such job or revision.
    """
    return question_on(store, firm, job, revision(store, firm, job, number).text)


def question_on(store: Store, firm: str, job: str, text: str) -> Question:
    """The same for a text that is not saved, such as a drawing in progress.

    Of files of one name the newest lies beside it; where the job has no file of that name, the book that it keeps, and
    else the firm's own.
    """
    with store.reading() as session:
        files = beside_of(session, firm, job)
    return Question(
        job=job, text=text, files=tuple(FileBeside(name=name, content=files[name]) for name in sorted(files))
    )


def firm_files(store: Store, firm: str, but: Container[str] = ()) -> Iterator[tuple[str, str]]:
    """The firm's settings, price book and catalogues, under the names by which jobs call for them."""
    for name, kind in OF_FIRM.items():
        if name not in but and (found := books(store, firm, kind)):
            yield name, book_revision(store, firm, found[0].id).text


def firm_words(store: Store, firm: str) -> FirmWords | None:
    """What the firm says of itself to its customers; None where it says nothing."""
    found = books(store, firm, SETTINGS)
    return read_firm_text(book_revision(store, firm, found[0].id).text) if found else None


__all__ = ["BESIDE", "OF_FIRM", "firm_files", "firm_words", "question_of", "question_on"]
