"""Batches done on a cluster: a dask.distributed scheduler that is there already; none is ever started here."""

from __future__ import annotations

import importlib
from collections.abc import Generator, Sequence
from typing import Any

from drainwright.studies.local import killed, singles
from drainwright.studies.model import Outcome, StudyError
from drainwright.studies.one_run import Batch, run_batch

MISSING = "a cluster needs the package 'distributed'; install it with: pip install 'drainwright[studies]'"
WAIT = 30  # for the scheduler to answer, and for a first worker [s]
AHEAD = 4  # batches handed out for each thread of the cluster


def on_cluster(batches: Sequence[Batch], address: str) -> Generator[list[Outcome], None, None]:
    """Do batches on the cluster at an address; outcomes come as they are done.

    The scheduler gives the batches of a worker that dies to others. A batch that it gives up, as too many workers died
    of it (its setting ``allowed-failures``), is done run by run, and a run that is then given up is failed.

    Raises
    ------
    StudyError
        If the package is missing, nothing answers, no worker comes, or the scheduler is lost.
    """
    try:
        distributed: Any = importlib.import_module("distributed")
    except ImportError:
        raise StudyError(MISSING) from None
    try:
        client = distributed.Client(address, timeout=WAIT, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise StudyError(f"--where {address}: no scheduler answers ({error or type(error).__name__})") from None
    with client:
        try:
            client.wait_for_workers(1, timeout=WAIT)
        except TimeoutError:
            raise StudyError(f"--where {address}: the scheduler has no workers; start some") from None
        waiting = list(reversed(batches))
        handed: dict[Any, Batch] = {}
        done = distributed.as_completed(loop=client.loop)

        def hand_out() -> None:
            most = AHEAD * max(1, sum(client.nthreads().values()))
            while waiting and len(handed) < most:
                batch = waiting.pop()
                future = client.submit(run_batch, batch, pure=False)
                handed[future.key] = batch
                done.add(future)

        hand_out()
        while handed:
            future = next(done)
            batch = handed.pop(future.key)
            if future.cancelled():
                raise StudyError(f"--where {address}: the scheduler was lost; what is done is kept")
            try:
                yield future.result()
            except distributed.KilledWorker:
                if len(batch.runs) == 1:
                    yield killed(batch)
                else:
                    waiting.extend(reversed(singles(batch)))
            except (OSError, TimeoutError) as error:
                raise StudyError(f"--where {address}: the scheduler was lost ({error}); what is done is kept") from None
            future.release()
            hand_out()


__all__ = ["MISSING", "on_cluster"]
