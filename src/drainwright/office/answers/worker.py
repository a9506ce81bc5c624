"""Inside a worker process: read the job, design it, keep the last designs, show what was asked."""

from __future__ import annotations

import hashlib
import tempfile
from collections import OrderedDict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drainwright.errors import JobError, StageError
from drainwright.office.answers.asking import Answered, Broke, Question, Refused, Reply, View

if TYPE_CHECKING:
    from drainwright.design import Design

KEPT = 6  # designs; one of a large job holds some tens of megabytes
_kept: OrderedDict[tuple[str, str], Design] = OrderedDict()  # by job and digest; this process has no other state


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
    try:
        return Answered(shown=view(_designed(question)))
    except JobError as error:
        return Refused(problems=error.problems)
    except StageError as error:
        return Broke(stage=error.stage, words=str(error))
    except Exception as error:  # a fault of ours: it is told to the person, and the worker goes on
        return Broke(stage="", words=f"{type(error).__name__}: {error}")


def digest(question: Question) -> str:
    """What tells one state of a job, with its files, from every other: a SHA-256 in hexadecimal."""
    whole = hashlib.sha256()
    parts = [question.name.encode(), question.text.encode()]
    for file in sorted(question.files, key=lambda file: file.name):
        parts += [file.name.encode(), file.content]
    for part in parts:
        whole.update(len(part).to_bytes(8, "big") + part)
    return whole.hexdigest()


def warm() -> None:
    """Load what every design needs, before the first question comes."""
    from drainwright.design import design
    from drainwright.job.reading import read_text
    from drainwright.job.starter import new_job_text

    design(read_text(new_job_text("US")).job)


def _designed(question: Question) -> Design:
    from drainwright.design import design
    from drainwright.job.beside import lay_beside
    from drainwright.job.reading import read_text

    key = (question.job, digest(question))
    if key in _kept:
        _kept.move_to_end(key)
        return _kept[key]
    with tempfile.TemporaryDirectory(prefix="drainwright-") as folder:
        lay_beside({file.name: file.content for file in question.files}, Path(folder))
        document = read_text(question.text, question.name, folder=Path(folder))
    like = next((one for (job, _), one in reversed(_kept.items()) if job == question.job), None)
    try:
        made = design(document.job, like=like)
    except JobError as error:
        raise document.with_lines(error) from None
    _kept[key] = made
    while len(_kept) > KEPT:
        _kept.popitem(last=False)
    return made


__all__ = ["KEPT", "answer", "digest", "warm"]
