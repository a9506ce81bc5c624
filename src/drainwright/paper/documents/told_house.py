"""Customer's answers about the water, the ground, the walls and the neighbour."""

from __future__ import annotations

import re

from drainwright.build.wording import lengths_rule
from drainwright.findings.answers import entering
from drainwright.findings.gravity_words import lack_words
from drainwright.findings.model import Severity
from drainwright.findings.place_checks import place_checks
from drainwright.findings.places import counted, leads_to, listed
from drainwright.findings.pump_words import carried_words
from drainwright.findings.ways_used import alike, standing_of, used, ways
from drainwright.job.values import Basis
from drainwright.paper.documents.against_causes import led_downspouts, opened_walls, runs_of
from drainwright.paper.documents.analysis_paper import plain_evidence
from drainwright.paper.documents.cause_words import CAUSES, cause_words, ground_price, left_out_first
from drainwright.paper.documents.priced import seen
from drainwright.paper.documents.storm_words import drains_filled
from drainwright.paper.documents.told import CANNOT, Plain, View, customer, said
from drainwright.quantities import height_beside
from drainwright.storm.model import StormCase
from drainwright.system.fittings import inlet_of
from drainwright.system.model import LiftStation
from drainwright.water.model import Cause, Contribution

_OF_ANOTHER = re.compile(r"; [A-Z]{3}-\d\d says [^.]*(?=\.)")  # where a check points to another one


def _more_led_in(view: View) -> str:
    """Why the storm test stays dry with one downspout more than the pump can take; empty where it does not."""
    sound, *failed = view.design.storm.every
    more = [case for case in failed if case.key.startswith("leader added")]
    if not more or not all(case.dry and case.volume_lost > sound.volume_lost for case in more):
        return ""
    grates = {
        node.name
        for node in view.design.system.nodes.values()
        if node.kind == "inlet" and (inlet := inlet_of(node, view.design.job)) is not None and inlet.kind != "cleanout"
        and any(leads_to(view.design.system, node.name, station.name) for station in view.design.system.by_house)
    }  # fmt: skip
    usual = _ran_off(sound)
    if not all(
        place in grates for case in more for place, lost in _ran_off(case).items() if lost > usual.get(place, 0.0)
    ):
        return ""  # it comes out elsewhere, and the pump has no part in it
    return (
        "In the storm test the floor stays dry even with one more led in, since what the pump cannot take comes out at "
        "the grates and not in the house: it is then on your lawn."
    )


def _ran_off(case: StormCase) -> dict[str, float]:
    """What is lost over the ground, by the place at which it comes out. [m³]"""
    found: dict[str, float] = {}
    for one in case.spilled:
        if one.to not in ("inlet", "place"):
            found[one.place] = found.get(one.place, 0.0) + one.volume
    return found


def _taken(view: View, station: LiftStation, here: list[Contribution]) -> list[str]:
    """What a pump lifts, what comes to it, and how many downspouts it carries."""
    case, years = view.case, view.say.years(view.design.job.criteria.roof_return_period)
    pump = f"The pump in {station.name}" if len(view.design.system.by_house) > 1 else "The pump"
    flow = sum(item.flow for item in here)
    told = [
        f"{pump} lifts {case.flow(station.operating_flow)}. In a {years} rain ground and yard bring "
        f"{case.flow(max(0.0, station.inflow - flow))} to it"
        + (
            f", and the downspouts led to it ({listed([item.entry for item in here])}) {case.flow(flow)}."
            if here
            else "."
        )
    ]
    storms = () if station.study is None else station.study.storms
    if not here:
        told.append("No downspout is led to it.")
    elif storms and station.reaches:
        told.append(f"By the figures it carries {carried_words(storms, worn=False)}.")
    return told


@customer(1)
def downspouts(view: View) -> Plain:
    """Which are led where, and how many more the pump could take."""
    design, case, station = view.design, view.case, view.design.system.station
    led, others = led_downspouts(design)
    roofs = [item for item in design.inflows.contributions if item.cause is Cause.ROOF and item.flow > 0]
    end = design.system.discharge if station is None else station.name
    here = [item for item in roofs if leads_to(design.system, item.entry, end)]
    years = view.say.years(design.job.criteria.roof_return_period)
    parts = []
    if any(item.severity is Severity.FAILS for item in view.found.of("NET-06")):
        parts.append(
            "As it is planned, roof water runs into the footing drain, and would leave it at your wall: that is wrong."
        )
    elif runs_of(design, "footing drain"):
        parts.append("The footing drain takes no downspout: roof water in it would come out at your wall.")
        if drains_filled(design):
            parts.append(
                "In the design storm water rises into it from the basin for a while all the same: see the storm test "
                "for how far below the floor it stays."
            )
    if station is None:
        flow = sum(item.flow for item in here)
        parts.append(
            f"{listed(led)} {'runs' if len(led) == 1 else 'run'} away in tight pipe by their own weight"
            + (f", {case.flow(flow)} in a {years} rain." if flow > 0 else ".")
            if led
            else "No downspout is led into these works."
        )
    else:
        for one in design.system.by_house:
            parts += _taken(view, one, [item for item in roofs if leads_to(design.system, item.entry, one.name)])
        parts.append(_more_led_in(view))
    if others:
        parts.append(f"{listed(others)} {'stays' if len(others) == 1 else 'stay'} outside these works.")
    return Plain(text=said(*parts), do="Lead no other downspout in before asking us.")


@customer(2)
def lawful(view: View) -> Plain:
    """The way out that is used, and what is still to be asked."""
    design, points = view.design, ways(view.case)
    standings = [standing_of(view.case, point) for point in points]
    parts = [
        f"{'Your water leaves' if n == 0 else 'It leaves'} at {names}: "
        f"{'nobody has asked yet' if standing == 'unknown' else standing}."
        for n, (names, standing) in enumerate(alike(points, standings))
    ]
    barred = [rule.kind for rule in design.job.rules.outlets if rule.standing.value == "forbidden"]
    if barred:
        parts.append(f"Forbidden here: {listed(barred)}.")
    still = [item.demand for item in place_checks(view.case) if item.met is None]
    if still:
        parts.append(f"Still to be asked: {'; '.join(still)}.")
    parts.append("The local authority decides; this is no legal advice.")
    settled = all(standing in ("allowed", "permit granted") for standing in standings)
    return Plain(
        text=said(*parts),
        do="Keep the permit or the answer with the papers of the house."
        if settled
        else "The answer is needed in writing before you sign.",
    )


@customer(4)
def source(view: View) -> Plain:
    """What it most likely is, and the strongest sign of it."""
    found, case = view.design.moisture, view.case
    causes, _ = entering(case)
    parts = [cause_words(view.design)]
    if found.causes and found.causes[0].evidence_for:
        parts.append(f"The strongest sign: {plain_evidence(found.causes[0].evidence_for[0].text)}.")
    brings = listed([f"{cause.value} {case.flow(flow)}" for cause, flow in causes.items() if flow > 0])
    parts.append(f"The works are made for: {brings}." if brings else "")
    table = view.design.site.water_table
    if table is None:
        parts.append("How high ground water stands in the wet season is not known.")
    else:
        gap = case.floor_underside - table
        parts.append(f"High ground water stands {height_beside(-gap, view.say.deep, 'above')} the {case.floor_name}.")
    test = found.next_test
    if not found.causes:
        do = "Write down when and where it is wet; tape a square of plastic to floor and wall for two days."
    elif test is None:
        do = "No further test is needed before the first step."
    else:
        do = f"One test would tell more, '{test.test}': {test.how}"
    return Plain(text=said(*parts), do=do)


@customer(5)
def undermine(view: View) -> Plain:
    """Whether the footing is left alone, and how the wall is opened."""
    found, dig = view.found.of("FTG-02", "FTG-04"), view.design.build.dig
    walls = opened_walls(view.design)
    if any(item.severity is Severity.FAILS for item in found):
        parts = ["As it is planned, yes: that is settled before anyone digs.", view.found.says("FTG-02", "FTG-04")]
    elif found:
        drains = listed([run.name for run in runs_of(view.design, "footing drain")])
        parts = ["No. All digging stays above the footings, or far enough away from them."]
        dug = listed([item.name for item in dig.trenches])
        parts.append(
            f"The trench of {drains} never goes below the footing beside it." if drains else f"That holds for {dug}."
        )
    else:
        near = [item.name for item in dig.trenches if item.kind == "run"]
        parts = [f"No. Nothing is dug down to a footing{f': {listed(near)} lie away from it' if near else ''}."]
    if walls and dig.wall_panel > 0:
        parts.append(
            f"The {listed(walls)} wall{' is' if len(walls) == 1 else 's are'} never bared whole: we "
            f"{lengths_rule(view.say.length(dig.wall_panel), len(walls))}."
        )
    assumed = [
        wall.name for wall in view.design.site.walls
        if wall.wall.open_and_coat and wall.wall.footing_bottom.basis is Basis.ASSUMED
    ]  # fmt: skip
    if assumed:
        parts.append(f"How deep the footing of the {listed(assumed)} wall lies is assumed: a test hole comes first.")
    return Plain(
        text=said(*parts),
        do="If a wall cracks or moves, leave the rooms behind it and call us; an engineer looks first.",
    )


@customer(6)
def depth(view: View) -> Plain:
    """How far below the floor the drain lies."""
    drains, case = runs_of(view.design, "footing drain"), view.case
    if not drains:
        where = listed([run.name for run in view.design.system.runs])
        return Plain(text=f"No footing drain is planned, only {where}.", do="Nothing.")
    ends = [level for run in drains for level in (run.invert_upper, run.invert_lower)]
    high, low = (case.floor_underside - level for level in (max(ends), min(ends)))
    top = (
        f"{view.say.deep(high)} below the {case.floor_name} at the upper end"
        if high >= 0
        else f"{view.say.deep(-high)} ABOVE the {case.floor_name} at the upper end"
    )
    asked = view.say.deep(view.design.job.criteria.drain_below_floor)
    verdict = view.found.says("FTG-01", "FTG-02", "FTG-03") if view.found.bad("FTG-01", "FTG-02", "FTG-03") else ""
    return Plain(
        text=said(
            f"{listed([run.name for run in drains])} {'lies' if len(drains) == 1 else 'lie'} {top} and "
            f"{view.say.deep(low)} at the lower end; "
            f"at least {asked} is wanted, and never below the footing beside it.", verdict,
        ),
        do="We look at floor and footing in a test hole before the first pipe is laid.",
    )  # fmt: skip


@customer(9)
def fall(view: View) -> Plain:
    """The flattest pipe, and whether gravity does it."""
    system, say = view.design.system, view.say
    runs = [run for run in system.runs if not run.pressure]
    wanted = view.design.job.criteria.minimum_grade
    parts = [f"A pipe should fall {say.fall(wanted)} ({say.grade(wanted)}) or more."]
    if runs:
        flat = min(runs, key=lambda run: run.flattest)
        least = flat.flattest
        parts.append(f"Of yours the flattest, {flat.name}, falls {say.fall(least)} ({say.grade(least)}).")
    for verdict in system.gravity:
        if verdict.discharge == system.discharge or (verdict.reaches and verdict.discharge in system.ways_out):
            gap = verdict.available - verdict.needed
            parts.append(
                f"By its own weight the water reaches {verdict.discharge}: no pump is needed there."
                if verdict.reaches
                else f"{verdict.discharge} lies {say.deep(gap)} too high for the water to run there by itself: it is "
                "pumped."
                if gap > 0
                else f"Gravity does not take it to {verdict.discharge}"
                f"{(why := lack_words(verdict, view.design.job.units)) and f': {why}'}. It is pumped."
            )
    bad = any(run.flattest < wanted * (1 - 1e-6) for run in runs)
    level = "We lay each pipe with a level and write its fall down."
    do = "A flatter pipe is laid with a laser and flushed more often." if bad else level
    return Plain(text=said(*parts), do=do)


@customer(10)
def last_drain(view: View) -> Plain:
    """Nothing is known of an earlier one."""
    lead = view.design.moisture.causes
    usual = f" If it was built for another source than {lead[0].cause.value}, it could not work." if lead else ""
    return Plain(
        text=f"{CANNOT}: nobody told us of an earlier drain at this house. Usual reasons: built for the wrong "
        "source, no way "
        f"out, no fall, silt, roots, roof water led into it.{usual}",
        do="If there is one, tell us where it ends, and look for its papers.",
    )


@customer(12)
def discharge(view: View) -> Plain:
    """Frost, a blocked end, water that comes back."""
    frost, point = view.design.job.rules.frost_depth, used(view.case)
    if frost.basis is Basis.ASSUMED:
        parts = [f"{CANNOT} about frost: nobody has looked up how deep it goes here."]
    elif frost.value <= 0:
        parts = ["Frost does not reach buried pipe here."]
    else:
        parts = [f"Frost goes {view.say.deep(frost.value)} deep here.", view.found.says("OUT-07", every=True)]
    back = _OF_ANOTHER.sub("", view.found.says("OUT-05", "OUT-04", every=True))
    parts.append(back or f"The water leaves into the {point.kind} {point.name} and does not run back over the ground.")
    parts.append(view.found.says("STM-07", every=True))
    return Plain(
        text=said(*parts), do=seen("Look at the end after each big storm. Ask us for an overflow.", view.design)
    )


def _lead(view: View) -> str:
    """What leads and what cures it; no drain before the test that tells whether it does."""
    found = view.design.moisture
    if not found.causes:
        return f"{CANNOT}: the cause is not known."
    name = CAUSES[found.causes[0].cause]
    cure = found.causes[0].remedy
    if found.drainage_is_remedy is None:
        test = "" if found.next_test is None else f" ({found.next_test.test})"
        cure = f"Whether a drain cures it cannot be told before a simple test{test}."
    return f"Most likely it is {name}. {cure}"


@customer(17)
def where_first(view: View) -> Plain:
    """What is cheapest and first."""
    case, walls = view.case, opened_walls(view.design)
    causes, _ = entering(case)
    surface = causes[Cause.ROOF] + causes[Cause.YARD]
    parts = [
        _lead(view),
        f"In the design rain roof and yard bring {case.flow(surface)} into the works; the ground brings "
        f"{case.flow(causes[Cause.GROUND])} in the wet season.",
        *left_out_first(view.design),
        f"Digging outside also cleans and coats the {listed(walls)} wall{'s' if len(walls) > 1 else ''}."
        if walls
        else "No wall is opened.",
    ]
    slopes = [item for item in view.found.of("FTG-10") if item.severity is not Severity.OK]
    do = (
        f"Have the ground shaped to fall away along {counted(len(slopes), 'wall')}. "
        f"{ground_price(view.design) or 'Ask us for its price.'}"
        if slopes
        else "Keep roof water away from the walls in any case."
    )
    return Plain(text=said(*parts), do=do)


@customer(22)
def neighbour(view: View) -> Plain:
    """Both ways over the boundary."""
    points = ways(view.case)
    ours = view.found.says("OUT-03", every=True) or (
        f"Yours leaves at {listed([f'{point.name} ({point.kind})' for point in points])}, "
        "not over the neighbour's ground."
    )
    theirs = view.found.says("GRD-05") or f"{CANNOT} whether water comes in over the boundary: it was not surveyed."
    return Plain(
        text=said(ours, theirs),
        do="Look over the fence after rain, and photograph what comes in; tell us before you dam it.",
    )
