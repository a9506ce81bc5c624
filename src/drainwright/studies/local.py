"""Batches done by processes of this machine; a worker that dies costs nothing but its time."""

from __future__ import annotations

import os
import sys
import threading
from collections import deque
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace

from drainwright.studies.model import Outcome
from drainwright.studies.one_run import Batch, chains, run_batch

KILLS = 3  # a run that was alone with its worker and killed it so often is set down as failed
AHEAD = 2  # batches handed out for each worker: one at work, one waiting

Work = Callable[[Batch], list[Outcome]]


def killed(batch: Batch) -> list[Outcome]:
    """The outcome of a run, or of each year of a chain, that kills its workers."""
    return [Outcome(key=run.key, error=f"killed its worker {KILLS} times, without a word") for run in batch.runs]


def singles(batch: Batch) -> list[Batch]:
    """A batch cut into batches of one run, or one chain of years."""
    return [replace(batch, runs=chain) for chain in chains(batch.runs)]


def in_processes(
    batches: Sequence[Batch], workers: int, work: Work = run_batch
) -> Generator[list[Outcome], None, None]:
    """Do batches in so many processes; outcomes come as they are done.

    When a worker dies the pool is made anew. The runs that were handed out are then done alone, one at a time, so that
    one which kills its workers is known for certain; others are never blamed for it.
    """
    waiting = deque(batches)
    while waiting:
        suspects = yield from _pooled(waiting, workers, work)
        for batch in suspects:
            yield from _alone(singles(batch), work)


def _pooled(waiting: deque[Batch], workers: int, work: Work) -> Generator[list[Outcome], None, list[Batch]]:
    """Do what waits, until all is done or a worker dies; gives back what was handed out then."""
    out: dict[Future[list[Outcome]], Batch] = {}
    pool = _pool(workers)
    try:
        while waiting or out:
            while waiting and len(out) < AHEAD * workers:
                batch = waiting[0]
                out[pool.submit(work, batch)] = batch
                waiting.popleft()
            for future in wait(out, return_when=FIRST_COMPLETED).done:
                outcomes = future.result()
                del out[future]
                yield outcomes
    except BrokenProcessPool:
        _unblock(pool)
        lost = []
        for future, batch in out.items():
            if future.done() and not future.cancelled() and future.exception() is None:
                yield future.result()
            else:
                lost.append(batch)
        return lost
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return []


def _alone(batches: Sequence[Batch], work: Work) -> Generator[list[Outcome], None, None]:
    """Do batches one at a time, each the only one in the only worker."""
    pool = _pool(1)
    try:
        for batch in batches:
            for _ in range(KILLS):
                try:
                    outcomes = pool.submit(work, batch).result()
                except BrokenProcessPool:
                    _unblock(pool)
                    pool.shutdown(wait=True)
                    pool = _pool(1)
                else:
                    yield outcomes
                    break
            else:
                yield killed(batch)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _unblock(pool: ProcessPoolExecutor) -> None:
    """Let a broken pool end: its own thread may still be writing a batch that no worker is left to read.

    Python 3.11.2 waits for that write for ever (python/cpython issue 94777); from 3.11.5 on, from memory, Python closes
    this end itself.
    """
    queue = getattr(pool, "_call_queue", None)
    if queue is not None and sys.version_info < (3, 11, 5):
        queue._reader.close()


def _pool(workers: int) -> ProcessPoolExecutor:
    import multiprocessing

    return ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn"), initializer=_begin)


def _begin() -> None:
    """Ready a worker: Ctrl-C is the parent's affair, so is the output, and a worker ends with its parent."""
    import multiprocessing
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    nowhere = os.open(os.devnull, os.O_WRONLY)  # HiGHS now and then prints a line that no option turns off
    sys.stdout.flush()
    os.dup2(nowhere, 1)
    os.close(nowhere)
    parent = multiprocessing.parent_process()
    if parent is not None:

        def follow() -> None:
            parent.join()
            os._exit(1)

        threading.Thread(target=follow, daemon=True).start()


__all__ = ["KILLS", "in_processes", "killed", "singles"]
