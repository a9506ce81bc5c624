"""Answers about the source of the water, the wall, the footing and the drain."""

from __future__ import annotations

from drainwright.findings.answers import Findings, Reply, marks, question
from drainwright.findings.rules import Case
from drainwright.job.values import Basis
from drainwright.water.model import Cause


@question(4, "Where is the water coming from: ground, roof, surface, a pipe, condensation, irrigation?")
def source(case: Case, found: Findings) -> Reply:
    """What was seen, beside what the computed causes bring."""
    causes = case.inflows.by_cause()
    listed = ", ".join(f"{cause.value} {case.flow(flow)}" for cause, flow in causes.items())
    seen = "; ".join(
        f"{item.what}{', ' + item.where if item.where else ''} ({item.when})" for item in case.job.symptoms
    )
    table = case.site.water_table
    parts = [f"Seen: {seen}." if seen else "No symptom is entered."]
    parts.append(f"What the design rain and the wet season bring to this system: {listed}.")
    if table is not None:
        gap = case.site.floor - case.job.house.floor_thickness - table
        way = "above" if gap < 0 else "below"
        parts.append(f"High ground water stands {case.small(abs(gap))} {way} the underside of the floor.")
    if any(item.kind in ("irrigation", "reclaimed") for item in case.job.utilities):
        parts.append("There is irrigation on this lot: shut it off for two weeks and see.")
    return Reply(
        text=" ".join(parts),
        rests_on=marks([("symptoms", Basis.MEASURED), ("soil conductivity", case.inflows.conductivity_basis)]),
        do="Before any contract: tape a square of plastic to floor and wall for two days, and read the water meter with "
        "every tap shut. Wet under the plastic is the ground; a meter that turns is a pipe.",
        limit="salts show water through a wall; damp above 5 ft is hardly from the ground (common practice)",
        complete=False,
        missing="The causes are not ranked by likelihood yet; the two tests above separate ground, pipe and condensation.",
    )


@question(5, "Will digging here undermine the footing? How close, how deep, how long a stretch at once?")
def undermine(case: Case, found: Findings) -> Reply:
    """Bearing wedge, footing bottom, panel length."""
    panel = case.build.dig.wall_panel
    text = found.says("FTG-02", "FTG-04", every=True)
    if panel > 0:
        text += f" Open no more than {case.length(panel)} of wall at once, alternate lengths, and close each before the next."
    walls = [
        (f"{wall.name} footing", wall.wall.footing_bottom.basis) for wall in case.site.walls if wall.wall.open_and_coat
    ]
    return Reply(
        text=text.strip() or "No digging comes near a footing.",
        rests_on=marks(walls),
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
    top = case.site.floor - case.job.house.floor_thickness - case.job.criteria.drain_below_floor
    bottom = max((wall.footing_bottom for wall in case.site.walls if wall.wall.open_and_coat), default=None)
    lower = "" if bottom is None else f" and not below the footing's bottom at {case.level(bottom)}"
    laid = "; ".join(f"{run.name} {case.level(run.invert_upper)} to {case.level(run.invert_lower)}" for run in drains)
    return Reply(
        text=f"Its invert at or below {case.level(top)}{lower}. Designed: {laid}. "
        + found.says("FTG-01", "FTG-02", "FTG-03"),
        rests_on=marks(
            [
                ("floor", case.site.floor_basis),
                ("footings", max((w.wall.footing_bottom.basis for w in case.site.walls), key=list(Basis).index)),
            ]
        ),
        limit=found.limits("FTG-01", "FTG-02"),
        do=found.advice("FTG-01", "FTG-02", "FTG-03")
        or "Check floor and footing levels in the test pit before the first stick is laid.",
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
    kinds = ", ".join(dict.fromkeys(run.pipe.key for run in case.system.runs if run.duty == "footing drain")) or "none"
    return Reply(
        text=f"Soil: {texture.value}. {found.says('NET-11', every=True)} Holes down, at about 4 and 8 o'clock, so that water "
        f"leaves at the pipe's lowest level. Pipe: {kinds}; smooth pipe holds its grade and can be flushed.",
        rests_on=marks([("soil texture", texture.basis)]),
        limit=found.limits("NET-11") or "common practice",
        do=found.advice("NET-11") or "Wrap the stone, not the pipe.",
    )


@question(17, "Dig outside, drain inside, or fix roof and grade first?")
def where_first(case: Case, found: Findings) -> Reply:
    """Roof and grade first where they feed the wall."""
    slopes = [item for item in found.of("FTG-10") if item.severity != "ok"]
    causes = case.inflows.by_cause()
    surface = causes[Cause.ROOF] + causes[Cause.YARD]
    text = f"Roof and yard bring {case.flow(surface)} in the design rain, ground water {case.flow(causes[Cause.GROUND])} all season. "
    if slopes:
        text += f"The ground is wrong along {len(slopes)} wall lines: grade and downspouts come first, and cost least. "
    opened = [wall.name for wall in case.site.walls if wall.wall.open_and_coat]
    text += (
        f"Digging outside also cleans and coats the wall ({', '.join(opened)})."
        if opened
        else "No wall is opened in this job."
    )
    return Reply(
        text=text,
        rests_on=marks([("ground levels", Basis.MEASURED), ("rain table", case.job.rain.basis)]),
        limit=found.limits("FTG-10"),
        do=found.advice("FTG-10") or "Keep roof water away from the wall in any case.",
        complete=False,
        missing="An inside drain is not designed and priced beside this one yet.",
    )


@question(18, "Is damp-proofing enough here or must it be waterproofed? Parge? How many coats, how long to cure?")
def coating(case: Case, found: Findings) -> Reply:
    """Coating by standing water and wall material."""
    walls = [wall for wall in case.site.walls if wall.wall.open_and_coat]
    if not walls:
        return Reply(text="No wall is coated in this job.", rests_on="the job document", do="Nothing.")
    parts = []
    for wall in walls:
        coat = wall.wall.coating
        parge = ", parged first" if coat.parge else ""
        parts.append(f"{wall.name}: {coat.kind}, {coat.coats} coats{parge} on {wall.wall.material}")
    bare = [
        w.name
        for w in walls
        if w.wall.material == "block" and not w.wall.coating.parge and w.wall.coating.kind == "damp-proofing"
    ]
    text = (
        "; ".join(parts)
        + ". "
        + found.says("FTG-05")
        + " About 24 h between coats and before backfill, longer when cool or damp."
    )
    if bare:
        text += f" Block on {', '.join(bare)} is parged before damp-proofing."
    fact = case.job.ground.water_table
    return Reply(
        text=text,
        rests_on=marks([("high ground water", Basis.ASSUMED if fact is None else fact.basis)]),
        limit=found.limits("FTG-05"),
        do=found.advice("FTG-05", "FTG-06") or "Follow the product's sheet for temperature and cure.",
    )
