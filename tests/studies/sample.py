from __future__ import annotations

import shutil
from pathlib import Path

from drainwright.studies import Study, read_study

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
STORMS = """\
study: Leaves and power cuts
kind: storm
jobs: [job.yaml]
vary:
  criteria.power_cut: 1 h to 3 h
  criteria.grate_clogging: 0.2 to 0.8
sample: {sample}
seed: 7
rain:
  - {{return_period: 10 yr, duration: 1 h}}
  - {{return_period: 25 yr, duration: 1 h}}
  - {{return_period: 50 yr, duration: 1 h}}
  - {{return_period: 100 yr, duration: 1 h}}
"""


def written(folder: Path, text: str, job: str = "metric-basement/job.yaml") -> Path:
    """A study file with its job beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copy(EXAMPLES / job, folder / "job.yaml")
    settings = (EXAMPLES / job).parent / "firm"
    if settings.is_dir():
        shutil.copytree(settings, folder / "firm", dirs_exist_ok=True)
    path = folder / "study.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def storms(folder: Path, sample: int) -> Study:
    """Four storms for each of a sample."""
    return read_study(written(folder, STORMS.format(sample=sample)))
