"""Answers about the source of the water, the wall, the footing and the drain."""

from __future__ import annotations

from drainwright.build.wording import lengths_rule
from drainwright.findings.answers import Findings, Reply, entering, marks, question, sentences
from drainwright.findings.drain_pipe import drain_words
from drainwright.findings.model import Severity
from drainwright.findings.places import counted, listed
from drainwright.findings.rules import Case
from drainwright.job.values import Basis
from drainwright.sources import cite
from drainwright.system.trade import pipe_words
from drainwright.water.model import Cause
from drainwright.water.moisture import share_words
from drainwright.water.moisture_model import Evidence, Moisture, NextTest, RankedCause
from drainwright.water.moisture_words import NO_TEST


@question(4, "Where is the water coming from: ground, roof, surface, a pipe, condensation, irrigation?")
def source(case: Case, found: Findings) -> Reply:
    """The causes in their order with what speaks for and against each, beside what the computed causes bring."""
    seen = "; ".join(
        f"{item.what}{', ' + item.where if item.where else ''} ({item.when})" for item in case.job.symptoms
    )
    found_of, fact = case.moisture, case.job.ground.water_table
    parts = [f"Seen: {seen}." if seen else "No symptom is entered."]
    if found_of.causes:
        parts.append(found_of.verdict)
        parts += [_speaks(item) for item in found_of.causes[:3] if item.share >= WORTH_TELLING]
    parts += _brought(case)
    todo = [_next(item) for item in (found_of.next_test,) if item is not None]
    if found_of.also:
        todo.append(f"Worth doing too: {listed([item.test for item in found_of.also])}.")
    if not todo and found_of.causes:
        todo = [f"{NO_TEST}. {found_of.causes[0].remedy}"]
    if found_of.unread:
        todo.append(f"Give a 'sign' to what has none: {counted(len(found_of.unread), 'symptom')}.")
    tests = case.job.moisture_tests
    return Reply(
        text=" ".join(parts),
        rests_on=marks(
            [
                *([("symptoms", Basis.STATED)] if seen else []),
                *([("simple tests", Basis.MEASURED)] if tests else []),
                *([("how much each sign says", Basis.ASSUMED)] if found_of.causes else []),
                ("rain table", case.job.rain.basis),
                ("soil conductivity", case.inflows.conductivity_basis),
                ("high ground water", Basis.ASSUMED if fact is None else fact.basis),
            ]
        ),
        do=" ".join(todo)
        or "Before any contract: tape a square of plastic to floor and wall for two days, and read the water meter with "
        "every tap shut. Wet under the plastic is the ground; a meter that turns is a pipe.",
        limit=f"salts show that water came through the wall; damp higher than {case.bore('60', '1,500')} is hardly from "
        f"the ground ({cite('rising_damp')})",
        complete=bool(found_of.causes),
        missing="" if found_of.causes else "What was seen, each symptom with its 'sign' and 'spot', or a simple test.",
    )


WORTH_TELLING = 0.05  # a cause less likely than that is not told; common practice, no source [-]


def _speaks(item: RankedCause) -> str:
    """A cause with the strongest of what speaks for it and against it."""
    name = f"{item.cause.value[0].upper()}{item.cause.value[1:]} ({share_words(item.share)})"
    said: set[str] = set()

    def words(piece: Evidence) -> str:
        """Its text, with the job's own words where they come first."""
        head, mark, quoted = piece.text.partition(' ("')
        again = quoted in said
        said.add(quoted)
        return head if again else f"{head}{mark}{quoted}"

    told = "; ".join(words(piece) for piece in item.evidence_for[:4]) or "nothing that was seen"
    against = "; ".join(words(piece) for piece in item.evidence_against[:3])
    return f"{name}: for it, {told}" + (f"; against it, {against}." if against else ".")


def _next(item: NextTest) -> str:
    """How to do a test, and what each result would mean."""
    means = "; ".join(
        f"{result}: {cause.value} then leads{', but drainage may not be the remedy' if remedy is None else ''}"
        f"{', and water in the ground is close to it' if close else ''}"
        for (result, cause), remedy, close in zip(item.outcomes, item.remedies, item.brought_close, strict=True)
    )
    return f"Next, the test '{item.test}': {item.how[0].lower()}{item.how[1:]} {means[0].upper()}{means[1:]}."


def _brought(case: Case) -> list[str]:
    """What the computed causes bring, and how high ground water stands."""
    causes, apart = entering(case)
    brought = ", ".join(f"{cause.value} {case.flow(flow)}" for cause, flow in causes.items())
    parts = [f"What the design rain and the wet season bring into the works: {brought}."]
    if apart:
        away = listed([f"{entry} {case.flow(flow)}" for entry, flow in apart.items()])
        parts.append(f"By its own line, and not counted: {away}.")
    table = case.site.water_table
    if table is None:
        return [*parts, "Nobody knows how high ground water stands in the wet season."]
    gap = case.floor_underside - table
    way = "above" if gap < 0 else "below"
    return [*parts, f"High ground water stands {case.small(abs(gap))} {way} the {case.floor_name}."]


@question(5, "Will digging here undermine the footing? How close, how deep, how long a stretch at once?")
def undermine(case: Case, found: Findings) -> Reply:
    """Bearing wedge, footing bottom, panel length."""
    panel = case.build.dig.wall_panel
    near = {name for run in case.system.runs if run.duty == "footing drain" for name in run.walls}
    walls = [wall for wall in case.site.walls if wall.wall.open_and_coat or wall.name in near]
    checked = found.of("FTG-02", "FTG-04")
    if any(item.severity is Severity.FAILS for item in checked):
        parts = ["Yes, as it is planned.", found.says("FTG-02", "FTG-04")]
    elif checked:
        trenches = [run.name for run in case.system.runs if run.duty == "footing drain"]
        parts = ["No, as it is planned."]
        if found.of("FTG-02"):
            along = listed([wall.name for wall in case.site.walls if wall.name in near])
            parts.append(f"Beside the {along} footing the trench of {listed(trenches)} stays above its bottom.")
            if found.bad("FTG-02"):
                parts.append(found.says("FTG-02"))
        for item in found.of("FTG-04"):
            parts.append(f"{item.message.rstrip('.')}: {item.figure}, where {item.limit} is allowed.")
    else:
        parts = ["No digging comes near a footing."]
    if checked:
        slope = case.job.criteria.bearing_slope
        parts.append(
            "A dig may go below a footing only as far as it lies away from it"
            + (", at 45 degrees." if slope == 1 else f", divided by {slope:g}.")
        )
    if panel > 0:
        parts.append(f"Not the whole wall at once: {lengths_rule(case.length(panel))}.")
    return Reply(
        text=sentences(*parts),
        rests_on=marks((f"{wall.name} footing", wall.wall.footing_bottom.basis) for wall in walls)
        or "the job document",
        limit=found.limits("FTG-04", "FTG-02"),
        do=found.advice("FTG-04", "FTG-02", "FTG-08")
        or "Stop if the wall moves or the bottom turns soft; call an engineer.",
    )


@question(6, "How deep must the drain be: against slab, crawl-space soil and footing?")
def depth(case: Case, found: Findings) -> Reply:
    """Window between the floor's underside and the footing's bottom."""
    drains = [run for run in case.system.runs if run.duty == "footing drain"]
    if not drains:
        return Reply(text="No footing drain is planned.", rests_on="the job document", do="Nothing.")
    names = {name for run in drains for name in run.walls}
    walls = [wall for wall in case.site.walls if wall.name in names]
    top = case.floor_underside - case.job.criteria.drain_below_floor
    below = case.small(case.job.criteria.drain_below_floor)
    text = f"Its invert lies at or below {case.level(top)}, {below} below the {case.floor_name}"
    bottoms = dict.fromkeys(case.level(wall.footing_bottom) for wall in walls)
    if len(bottoms) == 1:
        text += f"; its trench not below the footing's bottom at {next(iter(bottoms))}"
    elif bottoms:
        each = ", ".join(f"{wall.name} {case.level(wall.footing_bottom)}" for wall in walls)
        text += f"; its trench not below the footings' bottoms ({each})"
    laid = "; ".join(f"{run.name} {case.level(run.invert_upper)} to {case.level(run.invert_lower)}" for run in drains)
    ids = ("FTG-01", "FTG-02", "FTG-03")
    verdict = found.says(*ids) if found.bad(*ids) else "Both are kept, and it lies beside the footing."
    return Reply(
        text=sentences(f"{text}. Designed: {laid}.", verdict),
        rests_on=marks(
            [
                ("floor", case.site.floor_basis),
                *((f"{wall.name} footing", wall.wall.footing_bottom.basis) for wall in walls),
            ]
        ),
        limit=found.limits("FTG-01", "FTG-02"),
        do=found.advice(*ids) or "Check floor and footing levels in the test pit before the first stick is laid.",
    )


@question(10, "Why did the last drain not work?")
def last_drain(case: Case, found: Findings) -> Reply:
    """Needs what was found of it."""
    return Reply(
        text="Can't tell yet: nothing is entered about an earlier drain. The usual reasons, in their order: built for the "
        "wrong source; no real outlet; flat or reversed grade; silt; roots; roof water in the footing drain; a pump that failed.",
        rests_on="common practice",
        do="Ask for its papers; dig to it where it ends; run a camera and a hose through it.",
        complete=False,
        missing="Depth, grade, pipe and outlet of the earlier drain, if there is one.",
    )


@question(16, "Fabric or none, holes up or down, corrugated or smooth, for this soil?")
def fabric(case: Case, found: Findings) -> Reply:
    """Fabric by soil; holes down; smooth pipe."""
    texture = case.job.ground.texture
    drains = [run for run in case.system.runs if run.duty == "footing drain"]
    if not drains:
        return Reply(
            text=f"No footing drain is planned; the soil is {texture.value}.",
            rests_on=marks([("soil texture", texture.basis)]),
            do="Nothing.",
        )
    pipes = listed([pipe_words(run.pipe, case.job.units) for run in drains])
    rough = any("corrugated single" in run.pipe.family for run in drains)
    fits = ("BED-05", "BED-06", "BED-07", "BED-08", "BED-09", "BED-10", "BED-12")
    parts = [
        f"Soil: {texture.value}.",
        found.says("NET-11", every=True),
        found.says("BED-03", every=True),
        "Holes down, at about 4 and 8 o'clock, so that water leaves at the pipe's lowest level.",
        f"Pipe: {pipes}.",
        drain_words(case),
        "Corrugated pipe dips between its supports, and silt stays in it."
        if rough
        else "Smooth pipe holds its grade and can be flushed.",
        found.says(*fits) if found.bad(*fits) else "",
    ]
    if any(run.pipe.envelope > 0 for run in drains):
        parts += ["The wrapped drain brings its own fabric and aggregate.", found.says("BED-11", every=True)]
    soil = marks([("soil texture", texture.basis)])
    if case.job.ground.grading is not None:
        soil = marks([("grain sizes of the soil", case.job.ground.grading.d85.basis), ("soil texture", texture.basis)])
    return Reply(
        text=sentences(*parts),
        rests_on=soil,
        limit=found.limits("NET-11", "BED-03") or "common practice",
        do=found.advice("NET-11", "BED-03", "BED-11", *fits)
        or ("Use smooth pipe." if rough else "Wrap the stone, not the pipe."),
    )


@question(17, "Dig outside, drain inside, or fix roof and grade first?")
def where_first(case: Case, found: Findings) -> Reply:
    """Roof and grade first where they feed the wall."""
    slopes = [item for item in found.of("FTG-10") if item.severity is not Severity.OK]
    causes, _ = entering(case)
    surface = causes[Cause.ROOF] + causes[Cause.YARD]
    parts = [
        _order(case),
        f"Roof and yard bring {case.flow(surface)} into the works in the design rain, ground water {case.flow(causes[Cause.GROUND])} in "
        "the wet season.",
    ]
    if slopes:
        parts.append(
            f"The ground is wrong along {counted(len(slopes), 'wall line')}: grade and downspouts come first, and cost least."
        )
    opened = [wall.name for wall in case.site.walls if wall.wall.open_and_coat]
    parts.append(
        f"Digging outside also cleans and coats the {listed(opened)} wall{'s' if len(opened) > 1 else ''}."
        if opened
        else "No wall is opened in this job."
    )
    return Reply(
        text=sentences(*parts),
        rests_on=marks(
            [
                *([("symptoms", Basis.STATED)] if case.moisture.causes else []),
                ("ground levels", Basis.MEASURED),
                ("rain table", case.job.rain.basis),
                ("soil conductivity", case.inflows.conductivity_basis),
            ]
        ),
        limit=found.limits("FTG-10"),
        do=found.advice("FTG-10") or "Keep roof water away from the wall in any case.",
        complete=False,
        missing="An inside drain is not designed and priced beside this one yet.",
    )


def _order(case: Case) -> str:
    """What comes first, by the ranking of the causes."""
    ranked = case.moisture
    if not ranked.causes:
        return "The causes are not ranked, for nothing that was seen is told with its sign."
    lead = ranked.causes[0]
    name = f"{lead.cause.value} leads among the causes ({share_words(lead.share)})"
    if ranked.drainage_is_remedy is None and ranked.short_of_floor:
        return (
            f"Not a drain yet: {name}, but the high ground water that was found does not reach the floor; test first."
        )
    if ranked.drainage_is_remedy is None:
        return f"Neither yet: {name}, but others are close that need something else; test first."
    if not ranked.drainage_is_remedy:
        return f"Neither inside nor outside: {name}. {lead.remedy}"
    if lead.cause in (Moisture.ROOF_WATER, Moisture.SURFACE_WATER):
        return f"Roof and grade first: {name}. {lead.remedy}"
    return f"A drain: {name}. {lead.remedy}"


@question(18, "Is damp-proofing enough here or must it be waterproofing? Parge? How many coats, how long to cure?")
def coating(case: Case, found: Findings) -> Reply:
    """Coating by standing water and wall material."""
    walls = [wall for wall in case.site.walls if wall.wall.open_and_coat]
    if not walls:
        return Reply(text="No wall is coated in this job.", rests_on="the job document", do="Nothing.")
    planned: dict[str, list[str]] = {}
    for wall in walls:
        coat, on = wall.wall.coating, wall.wall.material
        parge = ", parged first" if coat.parge else ""
        what = "no coat" if coat.kind == "none" else f"{coat.kind}, {counted(coat.coats, 'coat')}{parge}"
        planned.setdefault(f"{what}, on {on}", []).append(wall.name)
    parts = ["; ".join(f"{listed(names)}: {what}" for what, names in planned.items()) + "."]
    table, fact = case.site.water_table, case.job.ground.water_table
    weak = [wall.name for wall in walls if wall.wall.coating.kind != "waterproofing"]
    if table is None:
        parts.append("How high ground water stands is not known, so nobody can say yet that damp-proofing is enough.")
    elif weak and table > case.site.floor:
        parts.append(
            f"Not enough on {listed(weak)}: high ground water stands above the top of the floor, so waterproof there."
        )
    elif weak and any(table > wall.footing_bottom for wall in walls):
        parts.append(
            f"Enough on {listed(weak)} while the drain works: high ground water stands below the top of the floor, but "
            "above the foot of the wall, and the coat alone does nothing lasting."
        )
    elif weak:
        parts.append("Enough: high ground water stays below the footing.")
    else:
        parts.append("Waterproofing also resists standing water.")
    for masonry in ("block", "brick"):
        bare = [
            wall.name
            for wall in walls
            if wall.wall.material == masonry
            and not wall.wall.coating.parge
            and wall.wall.coating.kind == "damp-proofing"
        ]
        if bare:
            parts.append(f"{masonry.capitalize()} on {listed(bare)} must be parged before damp-proofing.")
    parts.append("About 24 h between coats and before backfill, longer when cool or damp.")
    return Reply(
        text=sentences(*parts),
        rests_on=marks([("high ground water", Basis.ASSUMED if fact is None else fact.basis)]),
        limit=found.limits("FTG-05"),
        do=found.advice("FTG-05", "FTG-06") or "Follow the product's sheet for temperature and cure.",
        complete=table is not None,
        missing="" if table is not None else "How high ground water stands in the wet season.",
    )
