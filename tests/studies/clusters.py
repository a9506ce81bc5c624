"""A scheduler and workers of this machine, for as long as a test lasts."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

SETTINGS = {"DASK_DISTRIBUTED__SCHEDULER__WORK_STEALING": "True", "OPENBLAS_NUM_THREADS": "1"}
Process = subprocess.Popen[bytes]


@dataclass(kw_only=True)
class Cluster:
    """What was begun, and where it answers."""

    folder: Path
    address: str = ""
    scheduler: Process | None = None
    workers: list[Process] = field(default_factory=list)

    def begin(self, module: str, *words: str) -> Process:
        """Begin one process, its words in a log."""
        command = [sys.executable, "-m", f"distributed.cli.{module}", "--no-dashboard", *words]
        with (self.folder / f"{module}{len(self.workers)}.log").open("wb") as log:
            return subprocess.Popen(command, cwd=self.folder, env=os.environ | SETTINGS, stdout=log, stderr=log)


@contextmanager
def cluster(folder: Path, workers: int) -> Iterator[Cluster]:
    """A scheduler and workers on loopback, on free ports, without dashboards."""
    known = folder / "scheduler.json"
    made = Cluster(folder=folder)
    try:
        made.scheduler = made.begin(
            "dask_scheduler", "--host", "tcp://127.0.0.1", "--port", "0", "--scheduler-file", str(known)
        )
        deadline = time.monotonic() + 60.0
        while not (known.exists() and known.stat().st_size):
            assert time.monotonic() < deadline, (folder / "dask_scheduler0.log").read_text()
            time.sleep(0.05)
        made.address = json.loads(known.read_text())["address"]
        for _ in range(workers):
            words = ("--scheduler-file", str(known), "--host", "127.0.0.1", "--local-directory", str(folder))
            made.workers.append(made.begin("dask_worker", *words, "--nthreads", "1", "--no-nanny"))
        yield made
    finally:
        for process in [*made.workers, made.scheduler]:
            if process is not None:
                process.kill()
                process.wait()
