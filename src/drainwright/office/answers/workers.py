"""Worker processes, each with jobs of its own: a question goes where its job's last designs are kept."""

from __future__ import annotations

import asyncio
import multiprocessing
import zlib
from collections.abc import Callable
from concurrent.futures import TimeoutError as Late
from typing import Any

from pebble import ProcessExpired, ProcessPool

from drainwright.office.answers.asking import Broke, EarlyView, LaidView, Question, Reply, Shown, TooLong, View
from drainwright.office.answers.worker import answer, answer_early, answer_laid, warm

LONGEST = 60.0  # s; the largest example takes a few


class Workers:
    """Some processes that design jobs; each answers one question after the other.

    Parameters
    ----------
    count : int
        Processes; one or more.
    longest : float
        s; a question that takes longer ends its process, and the next one gets a fresh process.

    Raises
    ------
    ValueError
        If there is no process.
    """

    def __init__(self, count: int = 2, longest: float = LONGEST) -> None:
        if count < 1:
            raise ValueError(f"count = {count}: expected one process or more")
        self._longest = longest
        # Spawned, not forked: the app has threads, and a fork would take their locks along.
        context = multiprocessing.get_context("spawn")
        self._pools = [ProcessPool(max_workers=1, initializer=warm, context=context) for _ in range(count)]

    async def ask(self, question: Question, view: View[Shown]) -> Reply[Shown]:
        """Ask for one view of a job's design.

        Parameters
        ----------
        question : Question
            The document and the files beside it.
        view : Callable
            A function of a module (or a ``functools.partial`` of one) from the design to what is shown.

        Returns
        -------
        Answered, Refused, Broke or TooLong
            Never raises for what the document holds.
        """
        return await self._ask(answer, question, view)

    async def ask_early(self, question: Question, view: EarlyView[Shown]) -> Reply[Shown]:
        """Ask for a view of what is known before the storm, as ``ask`` otherwise."""
        return await self._ask(answer_early, question, view)

    async def ask_laid(self, question: Question, view: LaidView[Shown]) -> Reply[Shown]:
        """Ask for a view of what is known before digging and price, as ``ask`` otherwise."""
        return await self._ask(answer_laid, question, view)

    async def _ask(self, work: Callable[..., Reply[Any]], question: Question, view: object) -> Reply[Any]:
        pool = self._pools[zlib.crc32(question.job.encode()) % len(self._pools)]
        for _ in range(2):
            asked = pool.schedule(work, args=(question, view), timeout=self._longest)
            try:
                reply: Reply[Any] = await asyncio.wrap_future(asked)
            except Late:
                return TooLong(seconds=self._longest)
            except ProcessExpired:  # ended from outside, say for want of memory: once more, in a fresh process
                continue
            return reply
        return Broke(stage="", words="the process that designs this job ended twice; its memory may not suffice")

    def close(self) -> None:
        """End all processes, whatever they are at."""
        for pool in self._pools:
            pool.stop()
            pool.join()


__all__ = ["LONGEST", "Workers"]
