"""How often and how likely, drawn: points, law and chances at the right places, on a page without collisions."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from pypdf import PdfReader

from drainwright.job.model import Job
from drainwright.job.reading import read_job
from drainwright.paper.documents.risk_paper import risk_files
from drainwright.paper.frame import Draft
from drainwright.paper.measure import text_box
from drainwright.paper.risk_basis import basis_draft
from drainwright.paper.risk_chance import band_words, chance_draft, chance_words, over
from drainwright.paper.risk_ways import ways_draft
from drainwright.paper.risk_years import of_law, reduced, years_drafts
from drainwright.paper.sheet import Circle, Polygon, Polyline, TextMark
from drainwright.storm.chances.model import ByYears, Chance, Choice, Counted, Driver, Interval, Reason, Tally, Worth
from drainwright.storm.chances.yearly import CAUSES
from drainwright.storm.years.model import BadOutcome, FittedLaw, LongRun, Return

from .sample import ROOT

YEARS = 30
LAW = FittedLaw(name="Gumbel", location=29.6, scale=0.12, shape=0.0, why="the shape does not differ from zero")


def job_in(units: str) -> Job:
    name = "wrong-choices" if units == "US" else "metric-basement"
    return read_job(ROOT / "examples" / name / "job.yaml")


def returning(law: FittedLaw | None = LAW, *, key: str = "slab", high: float | None = 140.0) -> Return:
    """Maxima that lie on the law itself, so that all points must lie on its line."""
    plotted = tuple((YEARS + 0.12) / (rank - 0.44) for rank in range(1, YEARS + 1))
    maxima = tuple(of_law(LAW, period) for period in plotted)
    return Return(
        outcome=BadOutcome(key=key, title="Water at the floor", unit="m", threshold=30.04),
        years=tuple(range(1980, 1980 + YEARS)), maxima=maxima, plotted=plotted, reached=1, law=law, by_rank=38.0,
        by_law=None if law is None else 39.6, low=16.0, high=high, beyond=False, words="Water at the floor.",
    )  # fmt: skip


def run_of(*returns: Return) -> LongRun:
    return LongRun(
        record="a gauge", begins=np.datetime64("1980-01-01"), span=1.0, step=300.0, made=False, slab_level=30.04,
        spells=(), years=(), returns=returns, stations=(), volumes={}, worst_balance=0.0, steps=1, highest=30.0,
        house_dry=False, highest_spell=None, sources=(), notes=(),
    )  # fmt: skip


CHOICES = tuple(
    Choice(
        key=key, title=title, where="SUMP", note=note, size=size, per_year=chance, price=price,
        sampling=Interval(low=0.5 * chance, middle=chance, high=2.0 * chance),
    )
    for key, title, note, size, chance, price in (
        ("battery", "a battery unit of 130 Ah for this cut", "runs the pump for 2.0 h; assumed", 130.0, 0.01, 1977.0),
        ("bigger pump", "a stronger pump", "of the generic ones", 559.27490, 0.03, None),
    )
)  # fmt: skip


def chance_of(per_year: float = 0.034) -> Chance:
    cut = 0.03 if per_year else 0.0
    band = Interval(low=0.004, middle=0.02, high=0.11) if per_year else Interval(low=0.0, middle=0.0, high=0.0)
    shares = (("power", 0.3, 0.2), ("soil", 0.5, 0.2), ("unsure", 0.9, 0.8))
    drivers = tuple(
        Driver(key=name, name=name, first=None, total=Interval(low=share - half, middle=share, high=share + half))
        for name, share, half in shares
    )
    return Chance(
        per_year=per_year, sampling=band, inputs=band, over_10_years=0.2 if per_year else 0.0,
        over_30_years=0.45 if per_year else 0.0,
        by_cause={"storm and power cut": cut}, cause_bands={"storm and power cut": band},
        rarer=0.001, method="samples", samples=128, runs=900, seed=1, uncertain=(),
        wet_drivers=drivers if per_year else (), notes=("what is assumed",), choices=CHOICES if per_year else (),
        reasons=(Reason(key="cut length", name="mean length", rank=0.6),) if per_year else (),
    )  # fmt: skip


def in_order(draft: Draft) -> None:
    left, bottom, right, top = draft.paper.inner
    marks = [mark for mark in draft.marks if isinstance(mark, TextMark)]
    boxes = [shapely.Polygon(text_box(mark)) for mark in marks]
    for index, one in enumerate(boxes):
        low_x, low_y, high_x, high_y = one.bounds
        assert min(low_x - left, low_y - bottom, right - high_x, top - high_y) > -1.0, marks[index].text
        for other in range(index):
            assert one.intersection(boxes[other]).area < 1e-6, (marks[index].text, marks[other].text)


def said(draft: Draft) -> list[str]:
    return [mark.text for mark in draft.marks if isinstance(mark, TextMark)]


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("case", ["sound", "no law", "open end", "beyond", "pond"])
def test_how_often_keeps_its_words_apart(units: str, case: str) -> None:
    told = {
        "sound": returning(), "no law": returning(None), "open end": returning(high=None),
        "beyond": replace(returning(high=None), beyond=True), "pond": returning(key="pond"),
    }[case]  # fmt: skip
    (draft,) = years_drafts(job_in(units), run_of(told))
    in_order(draft)
    unit = {"US": ("level, ft", "depth, in"), "SI": ("level, m", "depth, mm")}[units][case == "pond"]
    assert unit in said(draft)
    curves = [mark for mark in draft.marks if isinstance(mark, Polyline) and mark.layer == "curve"]
    assert bool(curves) == (case != "no law")


def test_points_lie_on_the_law_that_made_them() -> None:
    """A Gumbel law is straight on its own paper; maxima at its quantiles lie on that line."""
    (draft,) = years_drafts(job_in("SI"), run_of(returning()))
    points = [mark.centre for mark in draft.marks if isinstance(mark, Circle) and mark.layer == "point"]
    line = max(
        (mark for mark in draft.marks if isinstance(mark, Polyline) and mark.layer == "curve"),
        key=lambda mark: len(mark.points),
    ).points
    (x0, y0), (x1, y1) = line[0], line[-1]
    slope = (y1 - y0) / (x1 - x0)
    right = max(x for x, _ in line)
    inside = [(x, y) for x, y in points if x <= right + 0.01]
    assert len(inside) > 0.8 * YEARS
    for x, y in inside:
        assert y == pytest.approx(y0 + slope * (x - x0), abs=0.02)


def test_laws_and_periods_by_their_closed_forms() -> None:
    """Gumbel: x = u - a ln(-ln(1 - 1/T)). The general law goes over into it as its shape goes to nothing."""
    assert reduced(100.0) == pytest.approx(-math.log(-math.log(0.99)))
    assert of_law(LAW, 100.0) == pytest.approx(29.6 + 0.12 * 4.600149, abs=1e-6)
    assert of_law(replace(LAW, shape=1e-9), 100.0) == pytest.approx(of_law(LAW, 100.0), abs=1e-7)
    bounded = replace(LAW, shape=0.5)
    assert of_law(bounded, 1e9) == pytest.approx(29.6 + 0.12 / 0.5, abs=1e-4)


def test_how_often_is_said_with_its_band() -> None:
    (draft,) = years_drafts(job_in("US"), run_of(returning()))
    assert "about once in 40 years" in said(draft)
    assert "(between 16 and 140)" in said(draft)
    (draft,) = years_drafts(job_in("US"), run_of(replace(returning(high=None), beyond=True)))
    assert "rarer than the years seen" in said(draft)
    assert not any(text.startswith("about once") for text in said(draft))


def test_the_threshold_is_named_on_its_line_and_nothing_is_drawn_beyond_what_the_years_tell() -> None:
    (draft,) = years_drafts(job_in("US"), run_of(returning()))
    assert "underside of the floor, 98.56 ft" in said(draft)
    assert any(mark.layer == "curve dashed" for mark in draft.marks if isinstance(mark, Polyline))
    (draft,) = years_drafts(job_in("US"), run_of(replace(returning(high=None), beyond=True)))
    assert not any(mark.layer == "curve dashed" for mark in draft.marks if isinstance(mark, Polyline))
    assert "beyond the years seen" not in said(draft)


def test_what_lies_beyond_the_years_is_named_on_the_first_sheet_and_has_none() -> None:
    beyond = replace(returning(key="pond", high=None), beyond=True, reached=0)
    named = replace(beyond, outcome=replace(beyond.outcome, title="Water over a grate"))
    drafts = years_drafts(job_in("US"), run_of(replace(returning(high=None), beyond=True), named))
    assert [draft.name for draft in drafts] == ["risk-years"]
    assert "Not reached in these years, and so without a sheet: Water over a grate." in said(drafts[0])


@pytest.mark.parametrize("units", ["US", "SI"])
def test_what_comes_every_year_is_said_so_beside_a_legend_that_keeps_clear(units: str) -> None:
    """The threshold lies at the foot of the chart, where the legend else stands."""
    always = replace(returning(key="starts"), reached=YEARS)
    low = replace(always, outcome=replace(always.outcome, unit="1/h", threshold=28.0))
    (draft,) = years_drafts(job_in(units), run_of(low))
    in_order(draft)
    assert "every year" in said(draft)


def test_run_off_is_told_in_gallons_or_litres() -> None:
    spill = replace(returning(key="spill"), outcome=replace(returning().outcome, key="spill", unit="m3", threshold=0.1))
    for units, label in (("US", "volume, gal"), ("SI", "volume, L")):
        (draft,) = years_drafts(job_in(units), run_of(spill))
        assert label in said(draft)


def test_the_slab_comes_first_and_what_has_no_maxima_is_left_out() -> None:
    none = replace(returning(key="spill"), maxima=(), plotted=(), years=())
    drafts = years_drafts(job_in("US"), run_of(none, returning(key="pond"), returning()))
    assert [draft.name for draft in drafts] == ["risk-years", "risk-years-2"]
    assert "level, ft" in said(drafts[0])


@pytest.mark.parametrize("units", ["US", "SI"])
def test_chances_stand_where_their_values_are(units: str) -> None:
    draft = chance_draft(job_in(units), chance_of())
    in_order(draft)
    bars = [mark for mark in draft.marks if isinstance(mark, Polygon) and mark.layer == "bar"]
    frame = next(mark for mark in draft.marks if isinstance(mark, Polygon) and mark.layer == "rule open")
    left, width = frame.points[0][0], frame.points[1][0] - frame.points[0][0]
    for bar, mean in zip(bars, (0.034, 0.2, 0.45), strict=True):
        assert (bar.points[1][0] - left) / width == pytest.approx(mean, abs=1e-6)
    assert over(0.11, 30) == pytest.approx(0.96968, abs=1e-5)
    assert "3.4 % (between 0.4 % and 11 %)" in said(draft)


@pytest.mark.parametrize("units", ["US", "SI"])
def test_the_owners_sheet_has_one_answer_remedies_and_prices_and_no_statistics(units: str) -> None:
    """Shares and references stand on the sheet after it; what has no price is said so, never nought."""
    draft = chance_draft(job_in(units), chance_of(), None)
    in_order(draft)
    page = " ".join(said(draft))
    assert page.count("in any one year: about 1 in 29") == 1
    assert "2.0 %" not in page  # the middle, beside the mean
    assert "not the 65 % of thirty separate draws" in page
    assert "A battery unit of 130 Ah (runs the pump for 2.0 h)" in page
    assert "1,977" in page
    assert "not priced" in page
    assert f"A stronger pump ({'0.75 hp' if units == 'US' else '559 W'} label)" in page
    assert "Main reasons for a power cut in a storm: 1. how long power cuts last." in page
    for word in ("share", "variance", "Saltelli", "$0"):
        assert word not in page
    basis = " ".join(said(basis_draft(job_in(units), chance_of())))
    assert "Saltelli" in basis


def test_no_share_is_told_above_all_there_is() -> None:
    wide = Driver(key="a", name="power", first=None, total=Interval(low=0.4, middle=1.05, high=1.3))
    draft = basis_draft(job_in("SI"), replace(chance_of(), wet_drivers=(wide,)))
    assert "100 % (40 % to 100 %)" in said(draft)


def test_what_matters_most_comes_first_and_what_cannot_be_told_is_left_out() -> None:
    texts = said(basis_draft(job_in("US"), chance_of()))
    assert texts.index("soil") < texts.index("power")
    assert "unsure" not in texts  # its band is wider than all there is


def test_notes_that_find_no_room_are_owned_to() -> None:
    many = replace(chance_of(), notes=tuple(f"note {number} that tells of something" for number in range(60)))
    draft = basis_draft(job_in("SI"), many)
    in_order(draft)
    assert said(draft)[-1] == "More notes stand in chance.json."


def test_no_wet_sample_is_said_so() -> None:
    draft = chance_draft(job_in("SI"), chance_of(0.0))
    in_order(draft)
    assert any("in none of 128 samples" in text for text in said(draft))
    assert said(draft).count("none seen") == 3
    assert chance_words(0.0001) == "below 0.05 %"


def test_files_are_whole_and_the_same_each_time() -> None:
    job, run = job_in("SI"), run_of(returning())
    files = risk_files(job, run=run, chance=chance_of())
    assert list(files) == ["risk.pdf", "risk-years.svg", "risk-chance.svg", "risk-basis.svg"]
    assert files == risk_files(job, run=run, chance=chance_of())
    assert len(PdfReader(io.BytesIO(files["risk.pdf"])).pages) == 3
    assert list(risk_files(job, run=run)) == ["years.pdf", "risk-years.svg"]
    assert list(risk_files(job, chance=chance_of())) == ["chance.pdf", "risk-chance.svg", "risk-basis.svg"]
    assert risk_files(job, run=run_of()) == {}


def second_of(wet: int, notes: int = 1) -> ByYears:
    band = Interval(low=0.01, middle=wet / 512, high=0.09) if wet else Interval(low=0.0, middle=0.0, high=0.023)
    return ByYears(
        counted=Counted(years=512, wet=wet, sets=128, band=band, worth=400.0, alike=None), years_each=4, made=True,
        rain="rain made to the job's table", by_cause={"storm and power cut": wet}, agree=True, why=("several bursts",),
        tally=Tally(expected=256.0, storms=250, carried=wet, rested=0, alone=0, shaped=0),
        notes=("what is counted, at some length " * 8,) * notes,
    )  # fmt: skip


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize(("wet", "notes"), [(31, 1), (0, 1), (31, 40)])
def test_both_ways_keep_their_words_apart(units: str, wet: int, notes: int) -> None:
    draft = ways_draft(job_in(units), chance_of(), second_of(wet, notes))
    in_order(draft)
    texts = said(draft)
    assert ("none counted: below 2.3 %" in texts) == (wet == 0)
    assert ("More stands in chance.json." in texts) == (notes > 1)
    assert any(text.startswith("6.1 % (between") for text in texts) == (wet == 31)


def test_the_paper_holds_both_ways() -> None:
    files = risk_files(job_in("SI"), chance=replace(chance_of(), by_years=second_of(31)))
    assert set(files) == {"chance.pdf", "risk-chance.svg", "risk-basis.svg", "risk-ways.svg"}
    assert len(PdfReader(io.BytesIO(files["chance.pdf"])).pages) == 3


def test_a_legend_names_no_mark_twice_and_no_law_where_there_is_none() -> None:
    bare = replace(returning(), law=None, by_law=None, high=None)
    (draft,) = years_drafts(job_in("SI"), run_of(bare))
    points = [mark.centre[0] for mark in draft.marks if isinstance(mark, Circle) and mark.layer == "point"]
    right = max(mark.points[1][0] for mark in draft.marks if isinstance(mark, Polygon) and mark.layer == "rule open")
    assert sum(x > right for x in points) == 1
    assert not any(text.startswith("fitted") for text in said(draft))


def test_small_chances_fill_their_scale_and_are_said_without_none_to_none() -> None:
    small = replace(chance_of(), inputs=Interval(low=0.0, middle=0.0, high=0.001), per_year=0.0003, over_30_years=0.008)
    draft = chance_draft(job_in("US"), small)
    in_order(draft)
    assert "0.8 % (up to 3.0 %)" in said(draft)
    frame = next(mark for mark in draft.marks if isinstance(mark, Polygon) and mark.layer == "rule open")
    bars = [mark.points[1][0] for mark in draft.marks if isinstance(mark, Polygon) and mark.layer == "bar"]
    assert max(bars) - frame.points[0][0] > 0.1 * (frame.points[1][0] - frame.points[0][0])
    assert band_words(0.0001, 0.001, 0.015) == "0.1 % (up to 1.5 %)"


def test_a_house_without_a_drain_has_no_chance_told() -> None:
    away = replace(chance_of(0.0), at_house=False)
    draft = chance_draft(job_in("SI"), away)
    in_order(draft)
    assert any(text.startswith("Not told: this system has no drain") for text in said(draft))
    assert not any(text.startswith(("In none of", "none seen")) for text in said(draft))
    files = risk_files(job_in("SI"), chance=replace(away, by_years=second_of(0)))
    assert set(files) == {"chance.pdf", "risk-chance.svg"}


@pytest.mark.parametrize("units", ["US", "SI"])
def test_all_of_the_owners_sheet_finds_room_however_much_there_is_to_say(units: str) -> None:
    told = chance_of()
    rates = dict.fromkeys(CAUSES, 0.01)
    worth = tuple(
        Worth(
            key=key, name=key, test=f"a test of {key} that takes a while to tell of", before=told.inputs, perfect=9.0,
            after=told.inputs, narrowing=0.2, sample=8.0,
        )
        for key in "abcd"
    )  # fmt: skip
    long = tuple(replace(choice, title=choice.title * 4) for choice in CHOICES)
    full = replace(
        told, by_cause=rates, cause_bands=dict.fromkeys(CAUSES, told.inputs), worth=worth, choices=(*long, CHOICES[0])
    )
    in_order(chance_draft(job_in(units), full))
