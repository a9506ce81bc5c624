"""A run drawn straight through the house is told, and the way round that is offered mends it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from shapely import LineString, Polygon

from drainwright.design import Design, design
from drainwright.findings.model import Finding, Severity
from drainwright.job.reading import read_job

from ..conftest import EXAMPLES

JOBS = {  # the job, and the bends of its yard drain
    "block-wall-house": "via: [V1]",
    "metric-basement": 'via: ["-3.95 m, -1.6 m", "11.5 m, -1.6 m"]',
}


def designed_with(name: str, via: str, folder: Path) -> Design:
    text = (EXAMPLES / name / "job.yaml").read_text(encoding="utf-8").replace("firm: {file: firm/firm.yaml}", "")
    assert text.count(JOBS[name]) == 1
    job = folder / "job.yaml"
    job.write_text(text.replace(f", {JOBS[name]}", via), encoding="utf-8")
    return design(read_job(job))


def told(result: Design) -> list[Finding]:
    return [item for item in result.findings if item.id == "NET-14" and item.severity is Severity.FAILS]


@pytest.mark.parametrize("name", JOBS)
def test_the_way_offered_round_the_house_mends_the_run(name: str, tmp_path: Path) -> None:
    straight = designed_with(name, "", tmp_path)
    assert len(straight.system.run("YD1").route) == 2  # kept as the job draws it, not led round in silence
    (finding,) = told(straight)
    assert finding.where == "works.runs.YD1"
    assert not straight.sound
    places = re.findall(r'"[^"]+"', finding.advice)
    assert places
    mended = designed_with(name, f", via: [{', '.join(places)}]", tmp_path)
    assert told(mended) == []
    assert not LineString(mended.system.run("YD1").route).intersects(Polygon(mended.site.outline))
