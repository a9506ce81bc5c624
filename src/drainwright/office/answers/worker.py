"""Inside a worker process: read the job, design it, keep the last designs, show what was asked."""

from __future__ import annotations

import gc
import hashlib
import json
import tempfile
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from drainwright.errors import JobError, StageError
from drainwright.office.answers.asking import Answered, Broke, EarlyView, LaidView, Question, Refused, Reply, View

if TYPE_CHECKING:
    from drainwright.design import Begun, Design, Laid
    from drainwright.job.reading import Document

Made = TypeVar("Made")
KEPT = 6  # designs; one of a large job holds some tens of megabytes
_kept: OrderedDict[tuple[str, str], Design] = OrderedDict()  # by job and digest; this process has no other state
_begun: OrderedDict[tuple[str, str], Begun] = OrderedDict()  # the same, before the storm
_laid: OrderedDict[tuple[str, str], tuple[Document, Laid]] = OrderedDict()  # before digging and price, too


def answer(question: Question, view: View[Any]) -> Reply[Any]:
    """Design the job of a question, unless that was done just before, and show it.

    Parameters
    ----------
    question : Question
        The document and the files beside it.
    view : Callable
        From the design to what is to be shown; its result must pickle.

    Returns
    -------
    Answered, Refused or Broke
        Never raises.
    """
    return _told(lambda: view(_designed(question)))


def answer_early(question: Question, view: EarlyView[Any]) -> Reply[Any]:
    """Show what is known of a job before its storm; ``answer`` goes on from there.

    Parameters
    ----------
    question : Question
        The document and the files beside it.
    view : Callable
        From what is begun to what is to be shown; its result must pickle.

    Returns
    -------
    Answered, Refused or Broke
        Never raises.
    """
    return _told(lambda: view(_begun_of(question)))


def answer_laid(question: Question, view: LaidView[Any]) -> Reply[Any]:
    """Show what is known of a job before its digging and price; ``answer_early`` goes on from there.

    Parameters
    ----------
    question : Question
        The document and the files beside it.
    view : Callable
        From what is laid out to what is to be shown; its result must pickle.

    Returns
    -------
    Answered, Refused or Broke
        Never raises.
    """
    return _told(lambda: view(_laid_of(question)[1]))


def _told(show: Callable[[], Any]) -> Reply[Any]:
    try:
        return Answered(shown=show())
    except JobError as error:
        return Refused(problems=error.problems)
    except StageError as error:
        return Broke(stage=error.stage, words=str(error))
    except Exception as error:  # a fault of ours: it is told to the person, and the worker goes on
        return Broke(stage="", words=f"{type(error).__name__}: {error}")


def digest(question: Question) -> str:
    """What tells one state of a job, with its files, from every other: a SHA-256 in hexadecimal."""
    whole = hashlib.sha256()
    parts = [question.name.encode(), b"made" if question.made else b"", question.text.encode()]
    for file in sorted(question.files, key=lambda file: file.name):
        parts += [file.name.encode(), file.content]
    for part in parts:
        whole.update(len(part).to_bytes(8, "big") + part)
    return whole.hexdigest()


def warm() -> None:
    """Load what every design needs, before the first question comes.

    Memory is looked through for rings as seldom as on the command line: modules and kept designs fill it, and stay.
    """
    from drainwright.design import design
    from drainwright.job.reading import read_text
    from drainwright.job.starter import new_job_text

    gc.set_threshold(50_000, 20, 20)
    design(read_text(new_job_text("US")).job)


def _laid_of(question: Question) -> tuple[Document, Laid]:
    from drainwright.design import lay
    from drainwright.job.beside import lay_beside
    from drainwright.job.reading import read_record, read_text

    key = (question.job, digest(question))
    if key in _laid:
        _laid.move_to_end(key)
        return _laid[key]
    with tempfile.TemporaryDirectory(prefix="drainwright-") as folder:
        lay_beside({file.name: file.content for file in question.files}, Path(folder))
        if question.made:
            document = read_record(json.loads(question.text), question.name, folder=Path(folder))
        else:
            document = read_text(question.text, question.name, folder=Path(folder))
    like = next((one for (job, _), (_, one) in reversed(_laid.items()) if job == question.job), None)
    try:
        made = lay(document.job, like=like)
    except JobError as error:
        raise document.with_lines(error) from None
    return _keep(_laid, key, (document, made))


def _begun_of(question: Question) -> Begun:
    from drainwright.design import build_on

    key = (question.job, digest(question))
    if key in _begun:
        _begun.move_to_end(key)
        return _begun[key]
    document, laid = _laid_of(question)
    like = next((one for (job, _), one in reversed(_begun.items()) if job == question.job), None)
    try:
        made = build_on(laid, like=like)
    except JobError as error:
        raise document.with_lines(error) from None
    return _keep(_begun, key, made)


def _designed(question: Question) -> Design:
    from drainwright.design import finish

    key = (question.job, digest(question))
    if key in _kept:
        _kept.move_to_end(key)
        return _kept[key]
    begun, (document, _) = _begun_of(question), _laid_of(question)
    like = next((one for (job, _), one in reversed(_kept.items()) if job == question.job), None)
    try:
        made = finish(begun, like=like)
    except JobError as error:
        raise document.with_lines(error) from None
    return _keep(_kept, key, made)


def _keep(into: OrderedDict[tuple[str, str], Made], key: tuple[str, str], made: Made) -> Made:
    into[key] = made
    while len(into) > KEPT:
        into.popitem(last=False)
    return made


__all__ = ["KEPT", "answer", "answer_early", "answer_laid", "digest", "warm"]
