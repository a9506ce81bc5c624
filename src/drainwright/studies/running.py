"""Run a study: what is missing in its folder, wherever, then the tables."""

from __future__ import annotations

import os
from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from drainwright.errors import InputError
from drainwright.studies.journal import journal_in
from drainwright.studies.model import Outcome, Run, Study, StudyResult
from drainwright.studies.one_run import Batch, batches_of

LARGEST, SMALLEST = 10, 1  # runs of a batch
SHARES = 8  # batches that each worker should get at least, so that all end at about the same time

Progress = Callable[[int, int], None]


def run_study(
    study: Study,
    folder: str | Path,
    where: str | None = None,
    workers: int | None = None,
    *,
    again_failed: bool = False,
    progress: Progress = lambda done, total: None,
) -> StudyResult:
    """Do the runs of a study that its folder does not hold yet, and write its tables.

    Parameters
    ----------
    study : Study
        See ``read_study``.
    folder : str | Path
        For the journal and the tables; made where it is not there. A study begun there before is gone on with.
    where : str, optional
        Address of a dask.distributed scheduler, like ``tcp://host:8786``; left out, processes of this machine.
    workers : int, optional
        Local processes; left out, as many as there are processors.
    again_failed : bool
        Whether runs that failed before are done again.
    progress : callable
        Told how many runs are done, of how many.

    Returns
    -------
    StudyResult
        An outcome for each run, in their order; the same to the last digit wherever and in whatever order it was run.

    Raises
    ------
    StudyError
        If the folder is taken or holds something else, the disk is full or the cluster is lost. What is done is kept.
    InputError
        If both ``where`` and ``workers`` are given, or there are fewer than one.
    """
    from drainwright.studies.tables import claim, write_begin, write_tables

    if where is not None and workers is not None:
        raise InputError("workers: found a number beside 'where'; expected one of them: a cluster has its own workers")
    if workers is not None and workers < 1:
        raise InputError(f"workers = {workers}: expected one or more")
    begun = _now()
    claim(study, Path(folder))
    with journal_in(Path(folder)) as journal:
        write_begin(study, Path(folder), begun)
        known = journal.found
        missing = {
            run.key: run for run in study.runs if run.key not in known or (again_failed and known[run.key].error)
        }
        keys = {run.key for run in study.runs}
        done, total = len(keys) - len(missing), len(keys)
        progress(done, total)
        with closing(_outcomes(study, list(missing.values()), where, workers)) as outcomes:
            for some in outcomes:
                fresh = [one for one in some if missing.pop(one.key, None) is not None]  # none counts twice
                journal.add(fresh)
                done += len(fresh)
                progress(done, total)
        notes = []
        if journal.dropped:
            notes.append(f"{journal.dropped} lines of the journal were not whole; their runs were done again.")
        if journal.older:
            notes.append(
                f"{journal.older} runs in the folder are of another version of Drainwright, whose figures may differ;"
                " they were left in the journal and are not in the tables."
            )
        others = len(known.keys() - keys)
        if others:
            notes.append(
                f"{others} runs in the folder are not in the study as it now stands (a job, a rain or a change is"
                " another); they were left in the journal and are not in the tables."
            )
        result = StudyResult(
            study=study,
            outcomes=tuple(journal.found[run.key] for run in study.runs),
            fresh=journal.added,
            begun=begun,
            ended=_now(),
            notes=tuple(notes),
        )
        write_tables(result, Path(folder))
    return result


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")


def _outcomes(
    study: Study, runs: Sequence[Run], where: str | None, workers: int | None
) -> Generator[list[Outcome], None, None]:
    if not runs:
        return
    count = workers or os.cpu_count() or 1
    size = max(SMALLEST, min(LARGEST, len(runs) // (SHARES * count)))
    batches: list[Batch] = batches_of(study, runs, size)
    if where is not None:
        from drainwright.studies.cluster import on_cluster

        yield from on_cluster(batches, where)
    else:
        from drainwright.studies.local import in_processes

        yield from in_processes(batches, min(count, len(batches)))


__all__ = ["Progress", "run_study"]
