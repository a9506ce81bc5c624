"""What was shown of a job's states, kept by digest: the same state is never asked for twice."""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from typing import Any

from drainwright.office.answers.asking import Answered, Question, Refused, Reply, Shown, View
from drainwright.office.answers.worker import digest
from drainwright.office.answers.workers import Workers

MOST = 400  # views and papers; a job's papers are some megabytes together


class Kept:
    """Answers by digest and name of the view.

    Parameters
    ----------
    workers : Workers
        Who is asked for what is not kept.
    most : int
        Answers kept; the one that was looked at longest ago goes first.
    """

    def __init__(self, workers: Workers, most: int = MOST) -> None:
        self._workers = workers
        self._most = most
        self._kept: OrderedDict[tuple[str, str], Reply[Any]] = OrderedDict()
        self._asked: dict[tuple[str, str], asyncio.Task[Reply[Any]]] = {}

    def has(self, question: Question, name: str) -> Reply[Any] | None:
        """What is kept already."""
        return self._kept.get((digest(question), name))

    async def ask(self, question: Question, name: str, view: View[Shown]) -> Reply[Shown]:
        """The answer that is kept, or one from a worker; two who ask the same at once wait for one answer.

        Parameters
        ----------
        question : Question
            The document and the files beside it.
        name : str
            Of the view with all that it depends on.
        view : Callable
            As ``Workers.ask`` takes it.

        Returns
        -------
        Answered, Refused, Broke or TooLong
            The last two are not kept: they may come out otherwise the next time.
        """
        key = (digest(question), name)
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        if key not in self._asked:
            self._asked[key] = asyncio.create_task(self._workers.ask(question, view))
        task = self._asked[key]
        try:
            reply = await asyncio.shield(task)  # who goes away leaves the work to the others
        finally:
            if task.done():
                self._asked.pop(key, None)
        if isinstance(reply, (Answered, Refused)):
            self._kept[key] = reply
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return reply


__all__ = ["MOST", "Kept"]
