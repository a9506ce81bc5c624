"""A second process that makes papers beside this one, on the other core, where that is safe.

It is forked: it has the design and all that is loaded, and need not read or load it again. Typst, whose threads a fork
does not take along, is left to the first process; the second draws, writes and lists.
"""

from __future__ import annotations

import multiprocessing
import os
import pickle
import signal
import sys
import threading
import traceback
import warnings
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from multiprocessing.connection import Connection
from types import ModuleType
from typing import Any, NamedTuple


class BesideError(RuntimeError):
    """The second process broke down in a way that cannot be sent whole, or ended without a word."""


def may_fork() -> bool:
    """Whether a second process is safe, and has a core: on Linux, from a program that has started no thread."""
    return (
        sys.platform == "linux"
        and len(os.sched_getaffinity(0)) > 1
        and threading.active_count() == 1
        and not multiprocessing.current_process().daemon
    )


class _Absent(ModuleType):
    """Stands for Typst in the second process, where it would wait for ever for its threads."""

    def __getattr__(self, name: str) -> Any:
        raise _NoTypst


class _NoTypst(BaseException):
    """No error of a job, that something might tell of one: the work is divided wrongly."""

    def __str__(self) -> str:
        return "a document was set in the second process, which cannot"


class There(NamedTuple):
    """What the second process has to do with the first."""

    send: Callable[[str, Any], None]  # by name; raises BrokenPipeError where the first process is gone
    offer: Callable[[int], None]  # so many pieces of work, to be claimed by both; called once
    claim: Callable[[], bool]  # one of them; False where none is left


class Beside:
    """What comes from the second process, by name."""

    def __init__(self, claims: int) -> None:
        self._claims = claims
        self._lock = threading.Lock()
        self._come: dict[str, Future[Any]] = {}
        self._ended: BaseException | None = None

    def claim(self) -> bool:
        """Claim one of the pieces of work that were offered; False where none is left."""
        return bool(os.read(self._claims, 1))

    def come(self, name: str) -> Future[Any]:
        """What was sent, or will be; the second process's error where it broke down."""
        with self._lock:
            if name not in self._come:
                self._come[name] = Future()
                if self._ended is not None:
                    self._come[name].set_exception(self._ended)
            return self._come[name]

    def _end(self, error: BaseException) -> None:
        with self._lock:
            self._ended = error
            for waiting in self._come.values():
                if not waiting.done():
                    waiting.set_exception(error)

    def _receive(self, receive: Connection) -> None:
        while True:
            try:
                name, thing = receive.recv()
            except (EOFError, OSError):
                self._end(BesideError("the second process that makes papers ended without a word"))
                return
            if name is None:
                self._end(thing or BesideError("the second process did not make this"))
                return
            self.come(name).set_result(thing)


@contextmanager
def beside(work: Callable[[There], None]) -> Iterator[Beside]:
    """Do a part of the work in a forked process.

    Parameters
    ----------
    work : callable
        What the second process does; it sends what it makes. An error in it is raised wherever something of it is
        waited for.

    Yields
    ------
    Beside
        What comes. At the end of the block, however it ends, the second process is ended too.
    """
    context = multiprocessing.get_context("fork")
    receive, send = context.Pipe(duplex=False)
    claims, offers = os.pipe()
    process = context.Process(target=_there, args=(work, receive, send, claims, offers), daemon=True)
    with warnings.catch_warnings():
        # later Pythons warn of Typst's threads, which stand still and hold nothing that the second process asks for
        warnings.simplefilter("ignore", DeprecationWarning)
        process.start()
    send.close()
    os.close(offers)
    here = Beside(claims)
    receiver = threading.Thread(target=here._receive, args=(receive,), daemon=True)
    try:
        receiver.start()
        yield here
    finally:
        process.kill()  # it writes no file: nothing is left half done
        process.join()
        receiver.join()
        receive.close()
        os.close(claims)


def _there(work: Callable[[There], None], receive: Connection, send: Connection, claims: int, offers: int) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process ends this one
    receive.close()
    sys.modules["typst"] = _Absent("typst")

    def offer(count: int) -> None:
        os.write(offers, b"." * count)
        os.close(offers)

    try:
        work(There(lambda name, thing: send.send((name, thing)), offer, lambda: bool(os.read(claims, 1))))
        send.send((None, None))
    except BrokenPipeError:
        pass  # nobody waits any more
    except BaseException as error:
        send.send((None, _sendable(error)))


def _sendable(error: BaseException) -> BaseException:
    """The error with where it arose; its words alone where it does not survive the way."""
    told = "".join(traceback.format_exception(error))
    try:
        again: BaseException = pickle.loads(pickle.dumps(error))
        whole = type(again) is type(error) and str(again) == str(error)
    except Exception:
        whole = False
    sent = error if whole else BesideError(f"{type(error).__name__}: {error}")
    sent.add_note(told)
    return sent


__all__ = ["Beside", "BesideError", "There", "beside", "may_fork"]
