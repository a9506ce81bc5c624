"""A rain table as a file: by the form or the API, kept with the job, read back, or refused with line and column."""

from __future__ import annotations

from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from drainwright.office.store import jobs, revisions
from drainwright.office.store.editing import said

from .firm_pages import EXAMPLES, Office, office

TABLE = """Point precipitation frequency estimates (inches)
NOAA Atlas 14 Volume 2 Version 3
Data type: Precipitation depth
Location name (ESRI Maps): Exampleton, Nowhere, USA

PRECIPITATION FREQUENCY ESTIMATES
by duration for ARI (years):, 1,2,10,25,100
5-min:, 0.35,0.40,0.60,0.70,0.90
60-min:, 1.30,1.50,2.10,2.50,3.20
24-hr:, 2.60,3.00,4.50,5.50,7.00
"""
JOB = (EXAMPLES / "sloping-lot" / "job.yaml").read_text(encoding="utf-8")


@pytest.fixture
def here(tmp_path: Path) -> Iterator[Office]:
    with office(tmp_path) as found:
        yield found


@pytest.fixture
def job(here: Office) -> str:
    return jobs.open_job(here.store, here.who.firm, JOB, "Ash", stage="designed").id


def rain_of(here: Office, job: str) -> object:
    return said(revisions.revision(here.store, here.who.firm, job).text)["rain"]


def test_a_rain_file_is_read_kept_with_the_job_and_read_back(here: Office, job: str) -> None:
    before = rain_of(here, job)
    assert isinstance(before, dict)
    assert "table" in before
    page = here.get(f"/jobs/{job}/facts/rain").text
    assert f'action="/jobs/{job}/facts/rain/file"' in page
    answer = here.post(f"/jobs/{job}/facts/rain/file", {"file": ("PF Depth (1).csv", TABLE.encode())})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/jobs/{job}/facts/rain?saved=2")
    kept = {key: value for key, value in before.items() if key in ("spread", "distribution")}
    assert rain_of(here, job) == {"file": "PF-Depth-1.csv", **kept}
    made = revisions.revision(here.store, here.who.firm, job)
    assert (made.problems, made.what) == ((), "rain from the file PF-Depth-1.csv")
    page = unescape(here.get(f"/jobs/{job}/facts/rain").text)
    for words in ("PF-Depth-1.csv", "NOAA Atlas 14 Volume 2 Version 3, Exampleton", "100 years", "1 h", "1.3 in"):
        assert words in page, words
    assert "3 durations, 5 return periods" in page
    told = here.client.get(f"/api/v1/jobs/{job}/rain").json()
    assert told["rows"][0][1][0] == pytest.approx(0.35 * 0.0254)
    content = here.client.get(f"/api/v1/attachments/{told['attachment']}")
    assert content.content == TABLE.encode()
    assert here.client.get(f"/api/v1/jobs/{job}/design").status_code == 200


def test_a_newer_file_of_the_same_name_counts_without_a_new_document(here: Office, job: str) -> None:
    way, headers = f"/api/v1/jobs/{job}/rain", {"x-form-token": here.token}
    first = here.client.put(way, content=TABLE, headers=headers).json()
    assert (first["revision"], first["file"]["name"]) == (2, "rain.csv")
    again = here.client.put(way, content=TABLE.replace("0.35", "0.36"), headers=headers).json()
    assert again["revision"] == 2
    assert again["file"]["rows"][0][1][0] == pytest.approx(0.36 * 0.0254)
    assert here.client.get(way).json() == again["file"]


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "found"),
    [
        ("1.50", "1.5o", 9, 3, "'1.5o' in the line of 60-min in column 3"),
        ("1.50", "-1.50", 9, 3, "'-1.50' in the line of 60-min in column 3"),
        (",7.00", "", 10, None, "4 depths for 24-hr"),
        ("25,100", "25,x", 7, 6, "'x' in the line of return periods in column 6"),
        ("25,100", "25,5000", 7, None, "return periods"),
        ("(inches)", "", 1, None, "in the first line"),
        ("60-min", "sixty", 8, None, "1 durations"),
        ("by duration", "by length", 7, None, "no line 'by duration for ARI'"),
    ],
)
def test_a_wrong_file_is_told_with_line_and_column_and_changes_nothing(
    here: Office, job: str, old: str, new: str, line: int, column: int | None, found: str
) -> None:
    assert old in TABLE
    wrong = TABLE.replace(old, new, 1)
    answer = here.post(f"/jobs/{job}/facts/rain/file", {"file": ("mine.csv", wrong.encode())})
    page = unescape(answer.text)
    assert answer.status_code == 422
    assert f"line {line}: rain.file: found" in page
    assert found in page
    headers = {"x-form-token": here.token}
    refused = here.client.put(f"/api/v1/jobs/{job}/rain?name=mine.csv", content=wrong, headers=headers)
    assert refused.status_code == 422
    fault = refused.json()["errors"][0]
    assert (fault["file"], fault["line"], fault.get("column")) == ("mine.csv", line, column)
    assert found in fault["found"]
    assert here.client.get(f"/api/v1/jobs/{job}/rain").status_code == 404
    assert here.client.get(f"/api/v1/jobs/{job}/attachments").json() == []
    assert revisions.revision(here.store, here.who.firm, job).number == 1


def test_no_file_and_no_table_are_told(here: Office, job: str) -> None:
    assert "Found no file" in here.post(f"/jobs/{job}/facts/rain/file").text
    for odd in (b"\x00\x01", b"a,b\n1,2\n", "°".encode("latin-1")):
        answer = here.post(f"/jobs/{job}/facts/rain/file", {"file": ("x.csv", odd)})
        assert answer.status_code == 422
        assert "rain.file" in answer.text


def test_a_job_without_rain_takes_one_and_a_file_beside_it_that_is_wrong_is_told_by_its_line(here: Office) -> None:
    bare = jobs.open_job(here.store, here.who.firm, "title: Wet wall\n", "Ash").id
    assert here.post(f"/jobs/{bare}/facts/rain/file", {"file": ("pumps.csv", TABLE.encode())}).status_code == 303
    assert rain_of(here, bare) == {"file": "rain-pumps.csv"}
    wrong = TABLE.replace("1.50", "x")
    headers = {"x-form-token": here.token}
    params = {"name": "rain-pumps.csv", "kind": "beside"}
    hung = here.client.post(f"/api/v1/jobs/{bare}/attachments", params=params, content=wrong, headers=headers)
    assert hung.status_code == 201
    assert here.client.get(f"/api/v1/jobs/{bare}/rain").status_code == 404
    told = jobs.open_job(here.store, here.who.firm, JOB, "Ash").id
    here.client.put(f"/api/v1/jobs/{told}/rain", content=TABLE, headers=headers)
    params["name"] = "rain.csv"
    here.client.post(f"/api/v1/jobs/{told}/attachments", params=params, content=wrong, headers=headers)
    page = unescape(here.get(f"/jobs/{told}/facts").text)
    assert "rain.csv, line 9: found 'x' in the line of 60-min in column 3" in page
