"""Batches done on a cluster: a dask.distributed scheduler that is there already; none is ever started here."""

from __future__ import annotations

import asyncio
import importlib
import queue
import time
from collections.abc import Generator, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any

from drainwright.studies.local import killed, singles
from drainwright.studies.model import Outcome, StudyError
from drainwright.studies.one_run import Batch, run_batch

MISSING = "a cluster needs the package 'distributed'; install it with: pip install 'drainwright[studies]'"
ANSWER = 8.0  # for the scheduler to answer [s]
WORKERS = 30.0  # for a first worker, without any once there were some, and for the scheduler to name them [s]
PAUSE = 2.0  # without news, after which the cluster is asked whether it still is there [s]
AHEAD = 4  # batches handed out for each thread of the cluster


def on_cluster(batches: Sequence[Batch], address: str) -> Generator[list[Outcome], None, None]:
    """Do batches on the cluster at an address; outcomes come as they are done.

    The scheduler gives the batches of a worker that dies to others. A batch that it gives up, as too many workers died
    of it (its setting ``allowed-failures``), is done run by run, and a run that is then given up is failed.

    Raises
    ------
    StudyError
        If the package is missing, nothing answers, no worker comes, all workers go, the scheduler is lost, or a worker
        cannot do a batch.
    """
    try:
        distributed: Any = importlib.import_module("distributed")
    except ImportError:
        raise StudyError(MISSING) from None
    with _client(distributed, address) as client:
        try:
            client.wait_for_workers(1, timeout=WORKERS)
        except TimeoutError:
            raise StudyError(f"--where {address}: the scheduler has no workers; start some") from None
        except OSError as error:
            raise _lost(address, error) from None
        yield from _handed(distributed, client, batches, address)


def _handed(
    distributed: Any, client: Any, batches: Sequence[Batch], address: str
) -> Generator[list[Outcome], None, None]:
    """Hand out batches, a few for each thread at a time, and give what comes back."""
    waiting = list(reversed(batches))
    handed: dict[Any, Batch] = {}
    done: queue.SimpleQueue[Any] = queue.SimpleQueue()
    gone = (OSError, TimeoutError, distributed.client.ClosedClientError)

    def hand_out() -> None:
        most = AHEAD * max(1, sum(_threads(client).values()))
        while waiting and len(handed) < most:
            batch = waiting.pop()
            future = client.submit(run_batch, batch, pure=False)
            handed[future.key] = batch
            future.add_done_callback(done.put)

    try:
        hand_out()
        while handed:
            future = _next(client, done, address)
            batch = handed.pop(future.key)
            if future.cancelled():
                raise _lost(address)
            try:
                outcomes = future.result()
            except distributed.KilledWorker:
                parts = singles(batch)
                outcomes = killed(batch) if len(parts) == 1 else []
                waiting.extend(reversed(parts if len(parts) > 1 else []))
            yield outcomes
            future.release()
            hand_out()
    except StudyError:
        raise
    except (*gone, distributed.CancelledError) as error:
        raise _lost(address, error) from None
    except Exception as error:  # of a worker: whatever its own Python raised
        raise StudyError(
            f"--where {address}: a worker cannot do its runs ({type(error).__name__}: {error}); expected the same"
            " drainwright there as here. What is done is kept"
        ) from error


def _next(client: Any, done: queue.SimpleQueue[Any], address: str) -> Any:
    """The next that is done; now and then the cluster is asked whether it is there."""
    alone = None
    while True:
        try:
            return done.get(timeout=PAUSE)
        except queue.Empty:
            now = time.monotonic()
            if _threads(client):
                alone = None
            elif alone is None:
                alone = now
            elif now - alone > WORKERS:
                raise StudyError(
                    f"--where {address}: the scheduler has no workers any more; what is done is kept"
                ) from None


def _threads(client: Any) -> dict[str, int]:
    """Threads of each worker; a scheduler that is stopped would let the client's own question wait for ever."""
    found: dict[str, int] = client.sync(client.scheduler.ncores, callback_timeout=WORKERS)
    return found


def _lost(address: str, error: BaseException | None = None) -> StudyError:
    why = f" ({str(error) or type(error).__name__})" if error is not None else ""
    return StudyError(f"--where {address}: the scheduler was lost{why}; what is done is kept")


@contextmanager
def _client(distributed: Any, address: str) -> Iterator[Any]:
    """A client of the scheduler; none is made where nothing answers, since its threads would outlast the attempt."""
    silent = f"--where {address}: no scheduler answers"
    try:
        asyncio.run(_asked(distributed, address))
        client = distributed.Client(address, timeout=ANSWER, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise StudyError(f"{silent} ({error or type(error).__name__})") from None
    try:
        yield client
    finally:
        with suppress(OSError, TimeoutError, AssertionError):  # of a scheduler that is gone
            client.close(timeout=ANSWER)


async def _asked(distributed: Any, address: str) -> None:
    """Connect once, as a client would; whoever takes the call must also answer it."""
    arguments = distributed.Security().get_connection_args("client")
    call = distributed.comm.connect(address, timeout=ANSWER, **arguments)
    comm = await asyncio.wait_for(call, ANSWER + PAUSE)
    await comm.close()


__all__ = ["MISSING", "on_cluster"]
