"""A line there already that an outlet joins stands on the plan where its route was told, and only there."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from pydantic import ValidationError

from drainwright.design import Design, design
from drainwright.errors import JobError
from drainwright.field.survey import survey
from drainwright.job.model import Job
from drainwright.job.values import Basis
from drainwright.job.works import Discharge, JoinedLine
from drainwright.paper.documents.against_causes import by_itself, way_out_words
from drainwright.paper.documents.proposal_first import work_lines
from drainwright.paper.dxf import site_to_dxf
from drainwright.paper.looks import utility_layer
from drainwright.paper.outlet_detail import outlet_drafts
from drainwright.paper.plan import setting
from drainwright.paper.sheet import Polyline, Sheet, TextMark
from drainwright.paper.site_files import site_features
from drainwright.system.catalogue import find_pipe
from drainwright.system.fittings import network_fittings
from drainwright.system.flows import Gathered
from drainwright.system.layout import _joined as line_joined
from drainwright.system.surface.joined import same_line
from drainwright.water.model import Cause

from ..conftest import designed
from .papers import sheets_of

LAYER = utility_layer("storm drain")
NAME = "existing 4 in line to the street's storm line"


def with_route(job: Job, **changes: object) -> Job:
    """The job with other words about the route of the line that OUT joins."""
    (point,) = job.works.discharge
    assert point.joins is not None
    point = point.model_copy(update={"joins": point.joins.model_copy(update=changes)})
    return job.model_copy(update={"works": job.works.model_copy(update={"discharge": (point,)})})


def plan_of(found: Design) -> Sheet:
    return sheets_of(found)["plan"][0]


def texts(sheet: Sheet) -> list[str]:
    return [mark.text for mark in sheet.marks if isinstance(mark, TextMark)]


def test_the_line_goes_through_the_outlet_with_its_name_and_basis(pumped: Design) -> None:
    sheet, view = plan_of(pumped), setting(pumped).view
    out = view(pumped.system.nodes["OUT"].at)
    long = [mark for mark in sheet.marks if isinstance(mark, Polyline) and mark.layer == LAYER and out in mark.points]
    assert len(long) == 1
    assert all(math.dist(out, end) > 5.0 for end in (long[0].points[0], long[0].points[-1])), "both ways, in mm"
    assert f"SD {NAME}" in texts(sheet)
    assert "route assumed" in texts(sheet)
    assert "storm drain (green)" in texts(sheet)


def test_a_route_that_was_measured_says_so_and_a_name_is_told_as_existing(pumped: Design) -> None:
    found = design(with_route(pumped.job, name="town's line", route_basis=Basis.MEASURED))
    assert {"SD existing: town's line", "route measured"} <= set(texts(plan_of(found)))


def test_where_no_route_is_told_nothing_is_drawn(pumped: Design, gravity: Design) -> None:
    bare = design(with_route(pumped.job, route=()))
    assert bare.system.joined is not None
    for found in (bare, gravity):
        sheet = plan_of(found)
        assert not [mark for mark in sheet.marks if getattr(mark, "layer", "") == LAYER]
        assert "storm drain (green)" not in texts(sheet)
        assert found.site.joined == ()


def test_other_files_of_the_site_have_it(pumped: Design) -> None:
    (line,) = [item for item in site_features(pumped.site) if item.layer == "joined line"]
    assert (line.properties["name"], line.properties["basis"]) == (NAME, "assumed")
    assert f"{NAME}, route assumed" in site_to_dxf(pumped.site)


def test_a_route_that_passes_elsewhere_is_refused(pumped: Design) -> None:
    west, east = (pumped.site.points[name] for name in ("K2", "K3"))
    assert west.east < east.east
    away = pumped.job.property.boundary[:2]
    with pytest.raises(JobError) as told:
        survey(with_route(pumped.job, route=away))
    (problem,) = told.value.problems
    assert problem.where == "works.discharge[0].joins.route"
    assert problem.found == "a line that passes OUT 7 ft away"
    assert problem.expected == "one that passes it within 1 ft"


def test_one_place_is_no_route(pumped: Design) -> None:
    (point,) = pumped.job.works.discharge
    assert point.joins is not None
    with pytest.raises(ValidationError, match="found one place: expected two or more"):
        type(point.joins)(**{**point.joins.model_dump(), "route": point.joins.route[:1]})


def test_each_of_two_lines_that_join_has_its_wye_and_its_sheet(pumped: Design) -> None:
    """A gravity line that shares the pumped line's outlet is cut into the line there by a wye of its own."""
    (first,) = (run for run in pumped.system.runs if run.lower == "OUT")
    other = replace(first, name="GL", pipe=find_pipe("d3034 4 in"), pressure=False)
    shared = replace(pumped.system, runs=(*pumped.system.runs, other), fittings=None)
    made = [fit for fit in network_fittings(pumped.job, shared)[0] if fit.where == "OUT"]
    assert [fit.other.key for fit in made if fit.kind == "wye" and fit.other] == [first.pipe.key, other.pipe.key]
    assert sum(fit.kind == "flexible" for fit in made) == 4
    assert sum(fit.kind == "reducer" for fit in made) == 1, "of the 3 in line alone"
    drafts = [one for one in outlet_drafts(replace(pumped, system=shared)) if "joint" in one.title]
    assert [one.name for one in drafts] == ["outlet", "outlet-2"]
    assert [one.title.partition("joint ")[2] for one in drafts] == [
        f"of {name} with the line there" for name in (first.name, "GL")
    ]
    assert [one.title for one in outlet_drafts(pumped)] == ["Outlet OUT: joint with the line there"]


def test_a_second_way_out_that_joins_a_line_has_its_own_joint() -> None:
    """Fittings, order, sheet and capacity are those of its own line; once it had none of them."""
    base = designed("soak-lot/job")
    line = JoinedLine.model_validate({"name": "the road's line", "pipe": "d3034 6 in", "grade": "1 %, measured"})
    first, second = base.job.works.discharge
    points = (first, second.model_copy(update={"kind": "storm line", "joins": line}))
    works = base.job.works.model_copy(update={"discharge": points})
    made = design(base.job.model_copy(update={"works": works}))
    assert made.system.discharge == first.name
    assert made.system.joined is None
    assert made.system.joints[second.name].pipe.key == "d3034 6 in"
    kinds = [fit.kind for fit in made.system.fittings or () if fit.where == second.name]
    assert sorted(kinds) == ["flexible", "flexible", "reducer", "wye"]
    ordered = {item.key: item.quantity for item in made.build.takeoff.lines}
    assert (ordered["fitting.flexible.sewer.6in"], ordered["fitting.wye.sewer.6in"]) == (2.0, 1.0)
    assert [one.title for one in outlet_drafts(made)] == [f"Outlet {second.name}: joint with the line there"]
    assert [one.where for one in made.findings if one.id == "OUT-06"] == [f"works.discharge.{second.name}.joins"]


def test_a_way_out_in_the_open_is_not_cut_into_the_line_that_another_joins(pumped: Design) -> None:
    """Every end once had the wye of the line that the used way out joins."""
    assert pumped.system.joined is not None
    (last,) = (run for run in pumped.system.runs if run.lower == "OUT")
    aside = replace(last, name="GL", lower="SIDE", pressure=False)
    nodes = {**pumped.system.nodes, "SIDE": replace(pumped.system.nodes["OUT"], name="SIDE")}
    (point,) = pumped.job.works.discharge
    points = (point, point.model_copy(update={"name": "SIDE", "kind": "daylight", "joins": None}))
    job = pumped.job.model_copy(update={"works": pumped.job.works.model_copy(update={"discharge": points})})
    system = replace(pumped.system, runs=(*pumped.system.runs, aside), nodes=nodes, fittings=None)
    made = network_fittings(job, system)[0]
    assert any(fit.kind == "wye" and fit.where == "OUT" for fit in made)
    assert not any(fit.kind in ("wye", "flexible") and fit.where == "SIDE" for fit in made)


def two_outlets(found: Design, name: str, **joins: object) -> tuple[Job, Discharge, Discharge]:
    """The job with a second way out that joins a line of that name."""
    (first,) = found.job.works.discharge
    line = JoinedLine.model_validate({"name": name, "pipe": "d3034 6 in", "grade": "1 %, measured", **joins})
    second = first.model_copy(update={"name": "SIDE", "joins": line})
    works = found.job.works.model_copy(update={"discharge": (first, second)})
    return found.job.model_copy(update={"works": works}), first, second


def test_one_line_takes_all_that_joins_it(pumped: Design) -> None:
    """Of two ways out into one line each was held against what comes there alone."""
    assert pumped.system.joined is not None
    name = pumped.system.joined.name
    spots = {"OUT": {Cause.GROUND: 0.001}, "SIDE": {Cause.ROOF: 0.006}}
    flows = Gathered(lines={}, spots=spots)
    job, first, second = two_outlets(pumped, name)
    site = replace(pumped.site, job=job)
    own = pumped.system.joined.roof + pumped.system.joined.other
    for end, here, there, other in ((first.name, 0.001, 0.006, "SIDE"), (second.name, 0.006, 0.001, "OUT")):
        line = line_joined(site, pumped.inflows, end, flows)
        assert line is not None
        assert (line.pumped, line.beside, line.shared) == (here, there, (other,))
        assert line.load == pytest.approx(0.007 + own), "what else the line takes counts once, at either"
    job, first, second = two_outlets(pumped, "another line")
    alone = line_joined(replace(pumped.site, job=job), pumped.inflows, second.name, flows)
    assert alone is not None
    assert (alone.load, alone.shared) == (0.006, ())


def test_lines_without_a_name_are_not_one(pumped: Design) -> None:
    nameless = JoinedLine.model_validate({"pipe": "d3034 6 in", "grade": "1 %, measured"})
    job, first, second = two_outlets(pumped, "x")
    points = tuple(point.model_copy(update={"joins": nameless}) for point in (first, second))
    works = job.works.model_copy(update={"discharge": points})
    assert same_line(replace(pumped.site, job=job.model_copy(update={"works": works})), points[0]) == ()


def test_papers_say_which_water_is_lifted_and_which_falls(pumped: Design) -> None:
    """Of a pumped way out and one by gravity the papers said that all is lifted to both."""
    (last,) = (run for run in pumped.system.runs if run.lower == "OUT")
    aside = replace(last, name="GL", lower="SIDE", pressure=False, duty="leader", flows={Cause.ROOF: 0.006})
    job, _, _ = two_outlets(pumped, "street line")
    system = replace(pumped.system, runs=(*pumped.system.runs, aside))
    both = replace(pumped, job=job, site=replace(pumped.site, job=job), system=system)
    kind = job.works.discharge[0].kind
    assert by_itself(both) == (("OUT",), ("SIDE",))
    assert way_out_words(both).endswith(
        f" and leaves at OUT ({kind}). The water of the roof leaves by its own weight at SIDE ({kind})."
    )
    assert way_out_words(both).startswith("What comes to a basin is lifted from ")
    assert f"What comes to the basin is lifted to OUT ({kind}). The water of the roof leaves" in work_lines(both)[-1]
    assert by_itself(pumped) == (("OUT",), ())
    assert way_out_words(pumped).startswith("It is lifted from ")
