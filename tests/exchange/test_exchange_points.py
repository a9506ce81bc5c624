"""Points in text: every order, spelling and delimiter that a surveyor may send, and what is wrong with a bad row."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.exchange.files import read_shots
from drainwright.exchange.points_csv import points_text, read_points
from drainwright.exchange.shots import FileError, Shots, thinned, thinned_to, within

SURVEY_FOOT = 1200 / 3937
DATA = Path(__file__).parents[2].parent / "shared" / "data" / "survey" / "hillside_points_PNEZD.csv"


def write(folder: Path, text: str | bytes, name: str = "points.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


GOOD = {
    "PNEZD": "1,1000,2000,50,GND\n2,1010,2005,51,\n",
    "headings": "P,N,E,Z,D\n1,1000,2000,50,GND\n2,1010,2005,51,\n",
    "other order": "Easting,Northing,Elev,Code,Point No\n2000,1000,50,GND,1\n2005,1010,51,,2\n",
    "x and y": "id;y;x;h;desc\r\n1;1000;2000;50;GND\r\n2;1010;2005;51;\r\n",
    "decimal comma": "1;1000,0;2000,0;50,0;GND\n2;1010,0;2005,0;51,0;\n",
    "tabs": "1\t1000\t2000\t50\tGND\n2\t1010\t2005\t51\t\n",
    "blanks": "  1  1000.0  2000   50 GND\n2 1010 2005 51\n",
    "BOM, CR and comments": "\ufeff# taken in May\r1,1000,2000,50,GND\r\r// again\r2,1010,2005,51,\r",
    "quoted": '"1","1000","2000","50","GND"\n"2","1010","2005","51",""\n',
    "further columns": "date,point,north,east,level,code\nMay,1,1000,2000,50,GND\nMay,2,1010,2005,51,\n",
    "exponents": "1,1e3,2.0E+3,+50.,GND\n2,1010,2005,51,\n",
}


@pytest.mark.parametrize("kind", GOOD)
def test_spellings_of_one_file(kind: str, tmp_path: Path) -> None:
    shots = read_points(write(tmp_path, GOOD[kind]), "m")
    assert shots.names == ("1", "2")
    assert shots.codes == ("GND", "")
    assert shots.north.tolist() == [1000.0, 1010.0]
    assert shots.east.tolist() == [2000.0, 2005.0]
    assert shots.level.tolist() == [50.0, 51.0]
    assert not shots.level.flags.writeable


@pytest.mark.parametrize(("unit", "metres"), [("m", 1.0), ("ft", 0.3048), ("US survey ft", SURVEY_FOOT)])
@pytest.mark.parametrize("how", ["given", "heading", "comment"])
def test_units(unit: str, metres: float, how: str, tmp_path: Path) -> None:
    """0.3048 exactly, and 1200/3937 (both by definition; from memory)."""
    head = {"given": "P,N,E,Z\n", "heading": f"P,N ({unit}),E [{unit}],Z\n", "comment": f"# unit: {unit}\nP,N,E,Z\n"}
    path = write(tmp_path, head[how] + "1,1000000,2000000,100\n")
    shots = read_points(path, unit if how == "given" else None)  # type: ignore[arg-type]
    assert shots.north[0] == pytest.approx(1e6 * metres, abs=1e-9)
    assert shots.level[0] == pytest.approx(100 * metres, abs=1e-12)
    assert shots.unit == shots.level_unit == unit


def test_levels_in_another_unit_than_the_plan(tmp_path: Path) -> None:
    said = read_points(write(tmp_path, "N (ft),E (ft),Elev_m\n100,200,10\n"))
    given_ = read_points(write(tmp_path, "N,E,Z\n100,200,10\n"), "ft", "m")
    for shots in (said, given_):
        assert shots.north[0] == pytest.approx(30.48)
        assert shots.level[0] == 10.0


def test_latin_1_and_utf_16(tmp_path: Path) -> None:
    text = "1,1,2,3,Ahornbäume\n"
    for data in (text.encode("latin-1"), text.encode("utf-8-sig"), text.encode("utf-16")):
        assert read_points(write(tmp_path, data), "m").codes == ("Ahornbäume",)


def test_codes_keep_their_commas_and_blanks(tmp_path: Path) -> None:
    assert read_points(write(tmp_path, '1,1,2,3,"TREE, 12 in"\n'), "m").codes == ("TREE, 12 in",)
    assert read_points(write(tmp_path, "1,1,2,3,TREE, oak\n"), "m").codes == ("TREE oak",)
    assert read_points(write(tmp_path, "1 1 2 3 old oak tree\n"), "m").codes == ("old oak tree",)


def test_notes_tell_what_is_odd(tmp_path: Path) -> None:
    shots = read_points(write(tmp_path, "7,500000,4600000,3,\n8,500010,4600010,3,\n7,500020,4600020,4,\n"), "m")
    assert any("7 (lines 1 and 3, another shot)" in note for note in shots.notes)
    assert any("taken as point, north, east, level, code" in note for note in shots.notes)
    assert any("MAY BE SWAPPED" in note for note in shots.notes)
    usual = read_points(write(tmp_path, "7,4600000,500000,3,\n"), "m")
    assert not any("MAY BE SWAPPED" in note for note in usual.notes)
    headed = read_points(write(tmp_path, "P,N,E,Z\n7,1000,500000,3\n"), "m")
    assert not headed.notes


@pytest.mark.parametrize(
    ("text", "line", "found", "expected"),
    [
        ("1,1000,2000,50,x\n2,10l0,2000,50,x\n", 2, "'10l0' as the north", "a plain number"),
        ("# first\n\n1,1000,2000,,x\n", 3, "nothing as the level", "a plain number"),
        ("1,1000,2000,nan,x\n", 1, "'nan' as the level", "a plain number"),
        ("1,1000,inf,5,x\n", 1, "'inf' as the east", "a plain number"),
        ("1,1e99,2000,5,x\n", 1, "'1e99' as the north", "a plain number"),
        ("1,1000,2000,50,x\n2,1000\n", 2, "2 fields", "4 or more"),
        ("1,5000,25,6000,33,101,20\n", 1, "7 fields", "5, P N E Z D"),
        ("1,2\n", 1, "columns without headings", "point, north, east, level"),
        ("P,N,E\n1,2,3\n", 1, "without level", "headings such as"),
        ("P,N,E,Z,height\n1,2,3,4,5\n", 1, "two columns for the level: 'Z' and 'height'", "one"),
        ("P,N (ft),E (m),Z\n1,2,3,4\n", 1, "unlike units", "one unit"),
        ("P,latitude,longitude,Z\n1,2,3,4\n", 1, "'latitude'", "east and north in metres or feet"),
        ("P,N,E,Z\n", None, "a heading and no rows", "rows"),
        ("# nothing\n", None, "no rows", "rows of point"),
        ("", None, "an empty file", "a file of ground shots"),
        (b"1,2,3,4\x00\n", None, "binary content", "a text file"),
        ("P,N,E,Z\n1,2,3,4\n1,2,3,4,5,6\n", 3, "6 fields", "4, P N E Z"),
    ],
)
def test_bad_rows_are_named(text: str | bytes, line: int | None, found: str, expected: str, tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        read_points(write(tmp_path, text), "m")
    problem = caught.value.problem
    assert found in problem.found
    assert expected in problem.expected
    assert problem.line == line
    assert problem.file == "points.csv"


def test_the_unit_is_never_guessed(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="found no unit"):
        read_points(write(tmp_path, GOOD["PNEZD"]))
    with pytest.raises(FileError, match="ft as the unit of the plan in the file, and m given"):
        read_points(write(tmp_path, "N (ft),E (ft),Z\n1,2,3\n"), "m")


def test_columns_of_a_file_without_headings(tmp_path: Path) -> None:
    path = write(tmp_path, "A,9,2000,1000,50\n")
    shots = read_points(path, "m", columns=("P", "-", "E", "N", "Z"))
    assert (shots.north[0], shots.east[0], shots.level[0]) == (1000.0, 2000.0, 50.0)
    with pytest.raises(FileError, match="N, E and Z once each"):
        read_points(path, "m", columns=("P", "N", "N", "Z"))


def test_no_such_file_a_folder_and_a_device(tmp_path: Path) -> None:
    for path, found in (
        (tmp_path / "no.csv", "no such file"),
        (tmp_path, "a folder"),
        (Path("/dev/zero"), "no regular"),
    ):
        with pytest.raises(FileError, match=found):
            read_points(path, "m")
    with pytest.raises(FileError, match=r"the ending '\.dwg'"):
        read_shots(write(tmp_path, "x", "a.dwg"), "m")


@given(
    st.lists(
        st.tuples(*[st.floats(-1e6, 1e6)] * 2, st.floats(-400, 8000), st.text("AB,;\" '#", max_size=6)),
        min_size=1, max_size=8,
    ),
    st.sampled_from(["m", "ft", "US survey ft"]),
)  # fmt: skip
def test_what_is_written_reads_back(tmp_path_factory: pytest.TempPathFactory, rows: list[tuple], unit: str) -> None:
    east, north, level, codes = (list(column) for column in zip(*rows, strict=True))
    shots = Shots(source="x", east=np.array(east), north=np.array(north), level=np.array(level), codes=tuple(codes))
    path = write(tmp_path_factory.mktemp("round"), points_text(shots, unit))  # type: ignore[arg-type]
    again = read_points(path)
    assert again.unit == unit
    for name in ("east", "north", "level"):
        assert np.abs(getattr(again, name) - getattr(shots, name)).max() < 1e-5
    assert again.codes == tuple(" ".join(code.split()) for code in codes)
    assert not again.notes


def test_five_thousand_shots_are_read(tmp_path: Path) -> None:
    text = "".join(f"{n},{n * 0.731:.3f},{n % 71},{n % 13},GND\n" for n in range(5000))
    path = write(tmp_path, text)
    assert len(read_points(path, "m")) == 5000


def cloud(rows: list[tuple[float, float, float]]) -> Shots:
    east, north, level = np.array(rows, dtype=float).T
    return Shots(source="x", east=east, north=north, level=level, names=tuple(str(n) for n in range(len(rows))))


def test_thinning_keeps_the_median_of_each_square() -> None:
    shots = cloud([(0.1, 0.1, 5), (0.2, 0.9, 1), (0.9, 0.2, 3), (1.5, 0.5, 9), (0.0, 0.0, 40)])
    few = thinned(shots, 1.0)
    assert few.names == ("2", "3") or few.names == ("0", "3")  # of 1, 3, 5, 40 the lower middle: 3
    assert few.level.tolist() == [3.0, 9.0]
    assert few.dropped == {"thinned": 3}
    assert len(thinned(shots, 100.0)) == 1


def test_thinning_to_a_number_and_clipping() -> None:
    rng = np.random.default_rng(1)
    shots = cloud([tuple(row) for row in rng.uniform(0, 100, (5000, 3))])
    few, spacing = thinned_to(shots, 400)
    assert 200 < len(few) <= 400
    assert spacing is not None
    assert few.dropped["thinned"] == 5000 - len(few)
    assert thinned_to(shots, 6000) == (shots, None)
    near = within(shots, (50.0, 50.0), 10.0)
    assert np.hypot(near.east - 50, near.north - 50).max() <= 10
    assert len(near) + near.dropped["too far off"] == 5000


@pytest.mark.skipif(not DATA.exists(), reason="the survey data are not beside this checkout")
def test_a_real_hillside() -> None:
    """76 ground points and a station, 129.619 to 146.771 m (the data's own description; SEEN)."""
    shots = read_points(DATA, "m")
    assert len(shots) == 77
    ground = shots.where([code == "ground" for code in shots.codes], "not ground")
    assert (ground.level.min(), ground.level.max()) == (129.619, 146.771)


def test_a_cell_without_end_is_told_at_its_line(tmp_path: Path) -> None:
    path = write(tmp_path, "1,2,3,4,A\n2,3,4,5," + "x" * 200_000 + "\n")
    with pytest.raises(FileError, match="a row that cannot be read") as caught:
        read_points(path, "m")
    assert caught.value.problem.line == 2
