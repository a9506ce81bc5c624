"""Many runs: local processes or a cluster, resumable, kept as tables.

A study is a table of runs: a job, changes to it, a rain. ``reading`` makes it from a file (``varying`` the grid or the
sample, ``rains`` the years of a record), ``one_run`` does one run, ``local`` and ``cluster`` many, ``journal`` keeps
what they give as it comes, ``running`` holds these together, ``tables`` writes the result.
"""

from drainwright.studies.model import Outcome, Run, Study, StudyError, StudyResult
from drainwright.studies.reading import read_study
from drainwright.studies.running import run_study

__all__ = ["Outcome", "Run", "Study", "StudyError", "StudyResult", "read_study", "run_study"]
