"""The records that the manual shows read as they stand there."""

from __future__ import annotations

import re
from pathlib import Path

from drainwright.job.proof import read_proof_text
from drainwright.job.season import read_season_text
from drainwright.job.service import read_service_text
from drainwright.proving.prove import prove

from ..conftest import designed

PAGE = Path(__file__).resolve().parents[2] / "docs" / "after.md"


def test_the_records_of_the_page_read() -> None:
    proof, service, season = re.findall(r"```yaml\n(.*?)```", PAGE.read_text(encoding="utf-8"), flags=re.S)
    read = read_proof_text(proof)
    found = prove(designed("block-wall-house/job"), read)
    assert {row.where for row in found.rows} >= {"SUMP", "CB1", "FD1", "west"}
    assert read_service_text(service).service.visits[0].found == ("roots",)
    days = "".join(f"  - [2027-03-{day:02d}, 0 in, 1]\n" for day in range(3, 23))  # the page shows the first two
    assert len(read_season_text(season + days).season.days) == 22
