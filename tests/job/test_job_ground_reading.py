"""Shots and a picture in files beside the job: read, thinned, hung on known places; wrong ones told at their path."""

from __future__ import annotations

import math
import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from drainwright.errors import JobError
from drainwright.exchange.points_csv import points_text
from drainwright.exchange.shots import Shots
from drainwright.field import survey
from drainwright.job import job_from_json, to_json
from drainwright.job.ground_files import MOST_SHOTS
from drainwright.job.ground_reading import fill_ground
from drainwright.job.model import Job

FOOT = 0.3048
BASE: dict[str, Any] = {
    "schema_version": 1,
    "title": "Invented lot with ground from files",
    "units": "SI",
    "survey": {
        "benchmark": {"name": "BM", "elevation": "100 m"},
        "perimeter": {
            "start": "A", "bearing": "0 deg",
            "legs": [
                {"to": "B", "length": "8 m", "turn": "90 deg"}, {"to": "C", "length": "12 m", "turn": "90 deg"},
                {"to": "D", "length": "8 m", "turn": "90 deg"}, {"to": "A", "length": "12 m", "turn": "90 deg"},
            ],
        },
    },
    "house": {
        "outline": ["A", "B", "C", "D"], "floor_kind": "slab", "floor": "99 m",
        "walls": [{"name": "N", "from": "B", "to": "C", "footing_bottom": "98 m, measured"}],
    },
    "ground": {"texture": "loam", "water_table": "3 m below ground"},
    "rain": {
        "return_periods": ["2 yr", "100 yr"],
        "table": [{"duration": "5 min", "depths": ["9 mm", "2 cm"]}, {"duration": "1 day", "depths": ["7 cm", "1 m"]}],
    },
    "works": {"discharge": [{"at": "30 m, 20 m", "kind": "daylight", "invert": "96 m"}]},
}  # fmt: skip


def ground(east: np.ndarray, north: np.ndarray) -> np.ndarray:
    return 100.0 - 0.03 * east + 0.02 * north


def lot(step: float = 2.0, reach: float = 25.0) -> Shots:
    """A regular field of shots round the house, in the job's frame."""
    east, north = (a.ravel() for a in np.meshgrid(np.arange(-reach, reach, step), np.arange(-reach, reach, step)))
    return Shots(source="lot", east=east, north=north, level=ground(east, north), codes=("GND",) * len(east))


FAR = [{"at": "A", "in_file": [9e5, 9e5]}, {"at": "B", "in_file": [9e5, 8e5]}]


def job(folder: Path | None, *sets: dict[str, Any], **more: Any) -> Job:
    data = BASE | {"survey": BASE["survey"] | {"shot_sets": list(sets)} | more}
    return fill_ground(Job.model_validate(data), folder)


def moved(shots: Shots, turn: float, shift: tuple[float, float]) -> Shots:
    """The same shots in another frame."""
    cosine, sine = math.cos(turn), math.sin(turn)
    east, north = shots.east - shift[0], shots.north - shift[1]
    return Shots(source="grid", east=cosine * east + sine * north, north=-sine * east + cosine * north,
                 level=shots.level, codes=shots.codes)  # fmt: skip


def test_a_points_file_becomes_the_ground(tmp_path: Path) -> None:
    (tmp_path / "lot.csv").write_text(points_text(lot(), "ft"))
    filled = job(tmp_path, {"name": "lot", "file": "lot.csv"})
    group = filled.survey.shot_sets[0]
    assert group.file is None
    assert len(group.shots) == 625
    assert "file lot.csv: 625 shots" in group.source
    site = survey(filled)
    for east, north in ((-7.3, 4.1), (20.2, -11.7)):
        assert site.surface.level(east, north) == pytest.approx(ground(np.array(east), np.array(north)), abs=1e-6)
    assert any("lot.csv" in note for note in site.notes)
    assert group.shot_names == tuple(str(number) for number in range(1, 626))


@pytest.mark.parametrize("named", [True, False])
def test_a_file_in_another_frame_hangs_on_known_places(named: bool, tmp_path: Path) -> None:
    """National-grid feet, turned: known at corners of the walk by name, or at coordinates."""
    turn, shift = 0.7, (-480_000.0, -1_230_000.0)
    there = moved(lot(), turn, shift)
    (tmp_path / "grid.csv").write_text(points_text(there, "US survey ft"))
    corners = {"A": (0.0, 0.0), "B": (0.0, 8.0), "C": (12.0, 8.0)}
    survey_foot = 1200 / 3937
    known = []
    for name, at in corners.items():
        one = moved(
            Shots(source="", east=np.array([at[0]]), north=np.array([at[1]]), level=np.array([0.0])), turn, shift
        )
        place: Any = name if named else f"{at[0]} m, {at[1]} m"
        known.append({"at": place, "in_file": [float(one.east[0]) / survey_foot, float(one.north[0]) / survey_foot]})
    filled = job(
        tmp_path, {"name": "grid", "file": "grid.csv", "known": known, "within": "10 m", "level_shift": "0.5 m"}
    )
    group = filled.survey.shot_sets[0]
    assert group.known[0].in_file == (0.0, 0.0)
    assert group.unit == "m"
    assert "too far off" in group.source
    site = survey(filled)
    assert site.surface.level(-5.0, 3.0) == pytest.approx(float(ground(np.array(-5.0), np.array(3.0))) + 0.5, abs=1e-4)
    shots = [at for name, at in zip(site.surface.names, site.surface.plan, strict=True) if name.startswith("grid")]
    assert 100 < len(shots) < 400
    away = [max(-e, e - 12, -n, n - 8) for e, n in shots]
    assert max(away) <= 10.0 + 1e-4
    assert not any("known places" in note for note in site.notes)


def test_known_places_that_do_not_fit_are_noted(tmp_path: Path) -> None:
    (tmp_path / "lot.csv").write_text(points_text(lot()))
    known = [{"at": "A", "in_file": [0, 0]}, {"at": "B", "in_file": [8, 0]}, {"at": "C", "in_file": [8, 12]}]
    notes = survey(job(tmp_path, {"name": "lot", "file": "lot.csv", "known": known})).notes
    assert any("north and east may be swapped" in note for note in notes)


def test_too_many_shots_are_thinned_and_it_is_said(tmp_path: Path) -> None:
    big = lot(0.4)
    assert len(big) > 2 * MOST_SHOTS
    (tmp_path / "lot.csv").write_text(points_text(big))
    (tmp_path / "few.csv").write_text(points_text(lot(5.0)))
    sets = job(tmp_path, {"name": "lot", "file": "lot.csv"}, {"name": "few", "file": "few.csv"}).survey.shot_sets
    assert 3000 < sum(len(group.shots) for group in sets) <= MOST_SHOTS
    assert "thinned to one in" in sets[0].source
    spaced = job(tmp_path, {"name": "lot", "file": "lot.csv", "spacing": "2 m"}).survey.shot_sets[0]
    assert len(spaced.shots) == 26 * 26  # squares count from the zero of the frame
    assert "thinned to one in 2.0 m" in spaced.source


def test_a_job_with_all_the_shots_it_may_have_reads_again(tmp_path: Path) -> None:
    (tmp_path / "lot.csv").write_text(points_text(lot(0.4)))
    filled = job(tmp_path, {"name": "lot", "file": "lot.csv"})
    again = job_from_json(to_json(filled))
    assert len(again.survey.shot_sets[0].shots) > 3000
    assert again.survey.shot_sets == filled.survey.shot_sets


def test_notes_that_find_no_room_are_pointed_to(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("1,0,20,99,G\n2,9,20,98,G\n1,5,30,97,G\n")
    source = job(tmp_path, {"name": "p", "file": "p.csv", "unit": "m"}).survey.shot_sets[0].source
    assert "borne twice" in source
    assert source.endswith("more: drainwright ground p.csv")


def test_codes_choose_the_ground(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("1,0,20,99,GND\n2,9,20,98,gnd\n3,5,30,97,GND\n4,5,25,108,ROOF\n")
    filled = job(tmp_path, {"name": "p", "file": "p.csv", "unit": "m", "codes": ["GND"]})
    assert [shot[2] for shot in filled.survey.shot_sets[0].shots] == [99.0, 98.0, 97.0]
    assert "1 of other codes" in filled.survey.shot_sets[0].source
    with pytest.raises(JobError, match=r"codes: found no shot of the code EARTH.*There are: GND, ROOF, gnd"):
        job(tmp_path, {"name": "p", "file": "p.csv", "unit": "m", "codes": ["EARTH"]})


def test_longitude_and_latitude_hang_on_known_places(tmp_path: Path) -> None:
    """A degree of latitude at 40° north is 111,035 m long, of longitude 85,394 m (tables of the earth; from memory)."""
    rows = [(e, n) for e in (-20, 0, 20) for n in (-20, 0, 20)]
    features = ",".join(
        f'{{"type":"Feature","properties":{{}},"geometry":{{"type":"Point","coordinates":'
        f"[{-88 + e / 85394},{40 + n / 111035},{100 + n / 100}]}}}}"
        for e, n in rows
    )
    (tmp_path / "g.geojson").write_text(f'{{"type":"FeatureCollection","features":[{features}]}}')
    known = [{"at": "A", "in_file": [-88, 40]}, {"at": "B", "in_file": [-88, 40 + 8 / 111035]}]
    site = survey(job(tmp_path, {"name": "g", "file": "g.geojson", "known": known}))
    assert site.surface.level(-10.0, 10.0) == pytest.approx(100.1, abs=2e-3)


@pytest.mark.parametrize(
    ("changes", "files", "where", "found"),
    [
        ({"file": "no.csv"}, {}, "survey.shot_sets[0].file", "no file 'no.csv'"),
        ({"file": "../a.csv"}, {}, "survey.shot_sets[0].file", "'../a.csv'"),
        ({"file": "/etc/hostname"}, {}, "survey.shot_sets[0].file", "'/etc/hostname'"),
        ({"file": "a.dwg"}, {"a.dwg": "x"}, "survey.shot_sets[0].file", "the ending '.dwg'"),
        ({"file": "a.csv"}, {"a.csv": "1,2,3,4\n1,2,x,4\n"}, "survey.shot_sets[0].file", "no unit"),
        ({"file": "a.csv", "unit": "m"}, {"a.csv": "1,2,3,4\n1,2,x,4\n"}, "survey.shot_sets[0].file",
         "'x' as the east (in 'a.csv', line 2)"),
        ({"file": "a.csv", "unit": "m"}, {"a.csv": "1,5e6,3e5,4\n"}, "survey.shot_sets[0].file", "no known places"),
        ({"file": "a.csv", "unit": "m", "known": FAR},
         {"a.csv": "1,2,3,4\n"}, "survey.shot_sets[0].known", "from the first known place"),
        ({"file": "a.csv", "unit": "m", "within": "1 m"}, {"a.csv": "1,500,500,4\n"}, "survey.shot_sets[0].within",
         "near the house"),
        ({"file": "a.csv", "unit": "m", "codes": ["GND"]}, {"a.geojson": "", "a.csv": "N,E,Z\n1,2,3\n"},
         "survey.shot_sets[0].codes", "a file without codes"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_at_its_path(
    changes: dict[str, Any], files: dict[str, str], where: str, found: str, tmp_path: Path
) -> None:
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    with pytest.raises(JobError) as caught:
        job(tmp_path, {"name": "lot", **changes})
    (problem,) = caught.value.problems
    assert problem.where == where
    assert found in problem.found


def test_where_all_shots_lie_too_far_the_hint_is_to_look_for_swapped_columns(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("1,500,500,4\n")
    with pytest.raises(JobError, match="east and north swapped"):
        job(tmp_path, {"name": "lot", "file": "a.csv", "unit": "m", "within": "1 m"})


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    inner = tmp_path / "job"
    inner.mkdir()
    (tmp_path / "secret.csv").write_text("1,2,3,4\n")
    (inner / "a.csv").symlink_to(tmp_path / "secret.csv")
    with pytest.raises(JobError, match="Copy the file beside the job"):
        job(inner, {"name": "lot", "file": "a.csv", "unit": "m"})
    with pytest.raises(JobError, match="was not read from a folder"):
        job(None, {"name": "lot", "file": "a.csv", "unit": "m"})


def png(width: int, height: int) -> bytes:
    rows = b"".join(b"\x00" + bytes([(x * 5) % 256 for x in range(width)]) for _ in range(height))

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


GROUND = {"name": "lot", "file": "lot.csv"}


def test_a_picture_is_laid_under_the_plan(tmp_path: Path) -> None:
    (tmp_path / "lot.csv").write_text(points_text(lot()))
    (tmp_path / "plat.png").write_bytes(png(300, 200))
    known = [{"at": "A", "in_file": [100, 150]}, {"at": "B", "in_file": [100, 70]}, {"at": "C", "in_file": [220, 70]}]
    filled = job(tmp_path, GROUND, backdrop={"file": "plat.png", "known": known})
    assert filled.survey.backdrop is not None
    assert filled.survey.backdrop.file is None
    laid = survey(filled).backdrop
    assert laid is not None
    assert (laid.width, laid.height) == (300, 200)
    assert laid.pixel == pytest.approx(0.1)
    assert laid.turn == pytest.approx(0.0, abs=1e-9)
    assert laid.corner == pytest.approx((-10.0, 15.0))
    again = Job.model_validate(filled.model_dump(mode="json", by_alias=True, exclude_none=True))
    assert again.survey.backdrop == filled.survey.backdrop


def test_pictures_that_will_not_do(tmp_path: Path) -> None:
    (tmp_path / "lot.csv").write_text(points_text(lot()))
    (tmp_path / "plat.png").write_bytes(png(300, 200))
    (tmp_path / "plat.jpg").write_bytes(b"not a picture")
    known = [{"at": "A", "in_file": [100, 150]}, {"at": "B", "in_file": [100, 70]}]
    cases = [
        ({"file": "plat.jpg", "known": known}, "survey.backdrop.file", "neither PNG nor JPEG"),
        ({"file": "plat.png", "known": [known[0], {"at": "B", "in_file": [9000, 1]}]}, "survey.backdrop.known[1]",
         "of a picture of 300 by 200"),
    ]  # fmt: skip
    for backdrop, where, found in cases:
        with pytest.raises(JobError) as caught:
            job(tmp_path, GROUND, backdrop=backdrop)
        assert (caught.value.problems[0].where, found in caught.value.problems[0].found) == (where, True)
    same = [known[0], {"at": "B", "in_file": [100, 150]}]
    with pytest.raises(JobError, match=r"survey\.backdrop\.known"):
        survey(job(tmp_path, GROUND, backdrop={"file": "plat.png", "known": same}))
    with pytest.raises(JobError, match="a picture's text that is damaged"):
        survey(job(tmp_path, GROUND, backdrop={"picture": "data:image/png;base64,A", "known": known}))


def test_shots_written_out_with_known_places_need_a_unit() -> None:
    known = [{"at": "A", "in_file": [0, 0]}, {"at": "B", "in_file": [0, 8]}]
    shots = [["1 m", "20 m", "99 m"], ["20 m", "0 m", "99 m"], ["30 m", "30 m", "98 m"]]
    with pytest.raises(ValueError, match="expected a 'unit'"):
        job(None, {"name": "lot", "shots": shots, "known": known})
    far = [{"at": "A", "in_file": [100, 50]}, {"at": "B", "in_file": [100, 50 + 8 / FOOT]}]
    site = survey(job(None, {"name": "lot", "shots": shots, "known": far, "unit": "ft"}))
    at = dict(zip(site.surface.names, site.surface.plan.tolist(), strict=True))
    assert at["lot 1"] == pytest.approx([1.0 - 100 * FOOT, 20.0 - 50 * FOOT])
