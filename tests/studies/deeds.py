"""What workers are told to do in the tests; on its own, so that their processes can import it."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

from drainwright.studies.model import Outcome
from drainwright.studies.one_run import Batch


def tell(batch: Batch) -> list[Outcome]:
    """Runs whose changes say what becomes of the worker."""
    found = []
    for run in batch.runs:
        if run.changes.get("kills") == "always":
            os.kill(os.getpid(), signal.SIGKILL)
        if run.changes.get("kills") == "once":
            mark = Path(run.changes["mark"])
            if not mark.exists():
                mark.touch()
                os.kill(os.getpid(), signal.SIGKILL)
        time.sleep(0.005)
        found.append(Outcome(key=run.key, figures={"number [-]": run.number}))
    return found
