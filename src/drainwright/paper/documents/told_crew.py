"""The crew lead's answers about digging, levels, lines, walls, stone and days."""

from __future__ import annotations

from drainwright.build.paving_work import yards
from drainwright.build.wording import BASIS_WORDS, SEEDED, barrow_words, lengths_rule
from drainwright.findings.model import Severity
from drainwright.findings.place_checks import place_checks
from drainwright.findings.places import counted, listed, series
from drainwright.findings.ways_used import alike, standing_of, ways
from drainwright.job.site import Coating
from drainwright.job.values import Basis
from drainwright.paper.documents.against_causes import led_downspouts, opened_walls, runs_of
from drainwright.paper.documents.cut_sheets import first_set_up
from drainwright.paper.documents.day_words import days_words
from drainwright.paper.documents.hazards import holes_first
from drainwright.paper.documents.told import CANNOT, View, Work, crew, said
from drainwright.system.freeze_relief import freeze_reliefs
from drainwright.system.trade import pipe_words
from drainwright.water.moisture import share_words

MANY = 4  # more than these are told together, or the tightest of them alone


MANY_RUNS = 20  # of more, the cut sheet tells those that change their grade


@crew(1)
def downspouts(view: View) -> Work:
    """Which are joined, and that none may come into the footing drain."""
    led, others = led_downspouts(view.design)
    drains = [run.name for run in runs_of(view.design, "footing drain")]
    joined = [run for run in view.design.system.runs if run.upper in led]
    join = "; ".join(f"{run.upper} by {run.name} to {run.lower}, {view.say.length(run.length)}" for run in joined)
    if len(joined) > MANY:
        places = "; ".join(f"{run.upper} to {run.lower}" for run in joined)
        join = f"{listed(series([run.name for run in joined]))} ({places}), as long as their cut sheets say"
    if any(item.severity is Severity.FAILS for item in view.found.of("NET-06")):
        return Work(
            do=(f"Join no downspout: as it is drawn, roof water runs into {listed(drains)}.",),
            stop=f"{view.found.says('NET-06')} The office settles it first.",
        )
    where = listed(series(drains))
    return Work(
        do=(
            f"In tight pipe join {join}." if join else "Join no downspout.",
            *((f"Leave {listed(others)} as found.",) if others else ()),
        ),
        stop=f"A downspout or yard pipe found in {where}: stop, call." if drains else "",
    )


@crew(2)
def lawful(view: View) -> Work:
    """The one way out that is allowed, and what is not asked yet."""
    points = ways(view.case)
    standings = [standing_of(view.case, point) for point in points]
    not_yet = [
        point.name for point, word in zip(points, standings, strict=True) if word not in ("allowed", "permit granted")
    ]
    told = "; ".join(
        f"{names} only: {'not asked' if word == 'unknown' else word}" for names, word in alike(points, standings)
    )
    still = [item.demand for item in place_checks(view.case) if item.met is None]
    return Work(
        do=(f"Water leaves at {told}. No trench water into a sewer or the street.",),
        measure=f"{counted(len(still), 'question')} to the place still open, see the proposal." if still else "",
        stop=f"No pipe to {listed(not_yet)} before the office has the answer." if not_yet else "",
    )


@crew(4)
def source(view: View) -> Work:
    """For the office; what the open wall may show."""
    causes = view.design.moisture.causes
    lead = (
        f"{causes[0].cause.value} ({share_words(causes[0].share)}) leads" if causes else f"{CANNOT}, no sign is ranked"
    )
    return Work(
        do=(
            f"{lead[0].upper()}{lead[1:]}. Tell the office of water that comes another way: pipe, window, above "
            "ground.",
        ),
        office=True,
    )


@crew(5)
def undermine(view: View) -> Work:
    """Footing bottoms, lengths, the basin's distance."""
    dig, say = view.design.build.dig, view.say
    near = {name for run in runs_of(view.design, "footing drain") for name in run.walls} | set(
        opened_walls(view.design)
    )
    walls = [wall for wall in view.design.site.walls if wall.name in near]
    alike: dict[str, list[str]] = {}
    for wall in walls:
        basis = BASIS_WORDS[wall.wall.footing_bottom.basis]
        alike.setdefault(f"{say.level(wall.footing_bottom)} ({basis})", []).append(wall.name)
    bottoms = "; ".join(f"{listed(names)} {level}" for level, names in alike.items())
    below = [item for item in dig.wedges if item.below_footing > 0.02]
    tightest = sorted(below, key=lambda item: item.allowed_below - item.below_footing)[:MANY]
    wedges = "; ".join(
        f"{item.item} at {item.wall}: {say.small(item.below_footing)} below, {say.small(item.allowed_below)} allowed"
        for item in tightest
    )
    if len(below) > MANY:
        wedges += f"; {len(below) - MANY} more have more room"
    opened = opened_walls(view.design)
    panel = f"{lengths_rule(say.length(dig.wall_panel), len(opened))}." if opened and dig.wall_panel > 0 else ""
    first = []
    if opened:
        whole = f"Shallow and sound: {listed(opened)} may be opened whole, for no longer than the work needs."
        first.append(f"{listed(opened)}: {panel}" if panel else whole)
    if walls:
        first.append("Never below a footing's bottom.")
        if holes := holes_first(view.design):
            first.append(holes)
    elif not first:
        first.append(f"Nothing is dug to a footing; {listed([item.name for item in dig.trenches])} lie away from it.")
    return Work(
        do=tuple(first),
        measure=said(f"Footing bottoms: {bottoms}." if bottoms else "", f"{wedges}." if wedges else ""),
        stop="Footing found higher than written, wall cracked or moving, bottom soft: everyone out, call; an engineer.",
    )


@crew(6)
def depth(view: View) -> Work:
    """Inverts of the drains against the floor."""
    drains, case, say = runs_of(view.design, "footing drain"), view.case, view.say
    if not drains:
        return Work(
            do=(f"No footing drain: {listed([run.name for run in view.design.system.runs])} only.",), office=True
        )
    top = case.floor_underside - view.design.job.criteria.drain_below_floor
    ends = "; ".join(f"{run.name} {say.level(run.invert_upper)} to {say.level(run.invert_lower)}" for run in drains)
    return Work(
        do=(
            "Read floor and footing in the test pit, by rod from its edge, before the first stick.",
            "Cut sheets have the rod readings."
            if first_set_up(view.design) is not None
            else "The levels came without a level book: the cut sheets have the cut and the invert, no rod readings.",
        ),
        measure=f"Inverts: {ends}. Nowhere above {say.level(top)}, "
        f"{say.small(view.design.job.criteria.drain_below_floor)} "
        f"below the {case.floor_name}.",
        stop="Floor or footing off by more than the pipe's room: stop, call.",
    )


@crew(7)
def cost(view: View) -> Work:
    """For the office; what must be written down."""
    count = len(view.design.build.price.lines)
    return Work(
        do=(
            f"The price has {counted(count, 'line')}. Rock, roots, unmarked lines: photograph, change order, "
            "signature, then dig.",
        ),
        office=True,
    )


@crew(9)
def fall(view: View) -> Work:
    """The fall of each run."""
    runs = [run for run in view.design.system.runs if not run.pressure]
    say = view.say
    many = len(runs) > MANY_RUNS
    alike: dict[str, list[str]] = {}
    for run in runs:
        breaks = many and len(run.stretches) > 1
        falls = "by its cut sheet, with the grade break" if breaks else say.laid(run)
        alike.setdefault(falls, []).append(run.name)
    each = "; ".join(f"{listed(series(names))}: {falls}" for falls, names in alike.items())
    wanted = view.design.job.criteria.minimum_grade
    flat = [run.name for run in runs if run.flattest < wanted * (1 - 1e-6)]
    return Work(
        do=(
            "Level on every stick before stone covers it.",
            *((f"Laser for {listed(series(flat))}: flatter than usual.",) if flat else ()),
        ),
        measure=f"{each}. Usual least {say.fall(wanted)}." if each else "No gravity run.",
        stop="A stick that falls back, or an end that does not meet its level: lift it.",
    )


@crew(10)
def last_drain(view: View) -> Work:
    """What to do when an old drain is met."""
    where = listed(series([item.name for item in view.design.build.dig.trenches if item.kind in ("run", "wall")]))
    return Work(
        do=(
            "Nothing is entered of an old drain.",
            "If you meet one: depth, pipe, fall, where it goes; photograph, tape, note.",
        ),
        measure=f"{CANNOT}: look for it in {where}." if where else f"{CANNOT}: measure it where it shows.",
        stop="Do not join it or cap it before the office says so: water may still come through it.",
    )


@crew(12)
def discharge(view: View) -> Work:
    """Level and cover of the end."""
    points, say, nodes = ways(view.case), view.say, view.design.system.nodes
    frost = view.design.job.rules.frost_depth
    deep = (
        f"Frost depth: {CANNOT.lower()}, the office looks it up."
        if frost.basis is Basis.ASSUMED
        else f"Frost goes {say.small(frost.value)} deep." if frost.value > 0 else "No frost in buried pipe here."
    )  # fmt: skip
    aprons = [
        f"stone apron {say.small(fall.apron_built)} long at {fall.name}" for fall in view.design.system.outfalls
        if fall.apron_built > 0
    ]  # fmt: skip
    levels = [f"{point.name} invert {say.level(nodes[point.name].invert)}." for point in points if point.name in nodes]
    closed = [point.name for point in points if point.kind in ("dry well", "infiltration trench")]
    joints = [
        f"{point.name} ({joined.name})" for point in points
        if (joined := view.design.system.joined_at(point.name)) is not None and not point.air_gap
    ]  # fmt: skip
    tight = {words.partition(" (")[0] for words in joints}
    ends = listed([f"{point.name} ({point.kind})" for point in points if point.name not in {*closed, *tight}])
    return Work(
        do=(*((f"End at {ends} free and screened against animals, nothing planted before it.",) if ends else ()),
            *((f"Joint at {listed(joints)} tight, the line seen to run before it is covered.",) if joints else ()),
            *((f"{listed(closed)} closed all round with fabric; nothing heavy over it.",) if closed else ()),
            *(f"Freeze relief on {relief.run}, {say.length(relief.along)} along: open to the air, never capped."
              for relief in freeze_reliefs(view.design.system)),
            *((f"Lay the {listed(aprons)}.",) if aprons else ())),
        measure=said(*levels, deep),
        stop=f"Water seen to run back{', or the line joined runs full' if joints else ''}: stop, call.",
    )  # fmt: skip


@crew(15)
def quantities(view: View) -> Work:
    """Rounds, loads, stone."""
    dig, say = view.design.build.dig, view.say
    stone = sum(zone.bought for zone in view.design.build.takeoff.stone)
    return Work(
        do=("Load by the pick list; waste is in it.", "Trailer by weight, not by its sides."),
        measure=said(
            f"Barrow: {barrow_words(dig, view.design.job.equipment)}.",
            f"{counted(dig.trailer_loads, 'trailer load')}, {say.mass(dig.load_mass)} each at "
            "most." if dig.trailer_loads else "",
            f"Stone as bought: {say.bulk(stone)}." if stone > 0 else "",
        ),
        stop="A load over the payload stays off the road.",
    )  # fmt: skip


@crew(16)
def fabric(view: View) -> Work:
    """Pipe, holes, fabric, stone of each drain."""
    drains, say = runs_of(view.design, "footing drain"), view.say
    soil = view.design.job.ground.texture.value
    if not drains:
        return Work(
            do=(
                f"No footing drain in this {soil}: {listed([run.name for run in view.design.system.runs])} tight at "
                "every joint.",
            )
        )
    alike: dict[str, list[str]] = {}
    for run in drains:
        built = (
            f"{pipe_words(run.pipe, say.units)}, stone {say.small(run.stone_width)} wide, "
            f"{say.small(run.stone_under)} under, {'fabric round the stone' if run.fabric else 'no fabric'}"
        )
        alike.setdefault(built, []).append(f"{run.name} {say.small(run.stone_over)}")
    each = "; ".join(f"{built}, over the pipe: {listed(over)}" for built, over in alike.items())
    return Work(
        do=("Holes down, at 4 and 8 o'clock.", "Fabric laps shingled with the fall; mud kept off it."),
        measure=f"{each}. Soil: {soil}.",
        stop="Other soil than that, or stone with fines in it: call before it goes in.",
    )


@crew(17)
def where_first(view: View) -> Work:
    """For the office."""
    walls = opened_walls(view.design)
    runs = listed([run.name for run in view.design.system.runs])
    what = f"outside, {listed(walls)} opened" if walls else f"no wall is opened, {runs} only"
    return Work(do=(f"Settled: {what}; an inside drain is not planned.",), office=True)


def _coat(coat: Coating) -> str:
    words = "no coat" if coat.kind == "none" else f"{coat.kind}, {counted(coat.coats, 'coat')}"
    return f"{words}, parge first" if coat.parge else words


@crew(18)
def coating(view: View) -> Work:
    """Coats wall by wall."""
    walls = [wall for wall in view.design.site.walls if wall.wall.open_and_coat]
    if not walls:
        return Work(
            do=(f"No coat on {listed([wall.name for wall in view.design.site.walls]) or 'any wall'}.",), office=True
        )
    alike: dict[str, list[str]] = {}
    for wall in walls:
        alike.setdefault(f"{_coat(wall.wall.coating)}, on {wall.wall.material}", []).append(wall.name)
    each = [f"{listed(names)}: {coat}, to the footing's top" for coat, names in alike.items()]
    return Work(
        do=("Wall clean, dry, joints pointed; no gaps; board on before the fill where it is on the list.",),
        measure=f"{'; '.join(each)}. About 24 h between coats and before backfill (common practice; the can rules).",
        stop="Bulge, open crack, hollow block: no coat; photograph, call.",
    )


@crew(19)
def days(view: View) -> Work:
    """Days, crew, hours."""
    plan = view.design.build.plan
    used_way = next((way for way in plan.ways if way.used), None)
    doubt = "" if plan.doubt is None else f" {days_words(plan.doubt).capitalize()}."
    return Work(
        do=("Write each task's hours down: the firm's rates come from them.",),
        measure=f"{counted(plan.days, 'day')}, crew of {plan.crew}, {plan.hours:.0f} person-hours, "
        f"{'by hand' if used_way is None else used_way.name}.{doubt}",
        stop="Rain in the forecast: nobody digs or coats.",
    )


@crew(20)
def buried(view: View) -> Work:
    """Where hands dig, and where each line is shut off."""
    dig, say = view.design.build.dig, view.say
    lines: dict[str, dict[str, None]] = {}
    for item in dig.crossings:
        lines.setdefault(f"{item.utility} ({item.shutoff.strip() or 'shutoff NOT KNOWN'})", {})[item.run] = None
    met = "; ".join(f"{name} at {listed(series(list(runs)))}" for name, runs in lines.items())
    if met:
        met = f"Met, with where each is shut off: {met}. Where, and how long to dig by hand: the safe-dig sheet"
    unlocated = f"NOT LOCATED: {listed(dig.unlocated)}." if dig.unlocated else ""
    zone = view.design.job.rules.tolerance_zone
    return Work(
        do=("Ticket on site and answered. Expose by hand before any other tool comes within "
            f"{say.small(zone.value)} ({BASIS_WORDS[zone.basis]}). Each line is live until its owner proves it dead.",),
        measure=said(
            f"{met}." if met else f"No entered line meets {listed([item.name for item in dig.trenches])}.", unlocated
        ),
        stop="A line not on the sheet, or not where it is drawn: stop, call. Gas smelt: everyone away, call from afar.",
    )  # fmt: skip


@crew(22)
def neighbour(view: View) -> Work:
    """Nothing of ours over the line."""
    setback = view.design.job.rules.boundary_setback
    names = list(view.design.system.ways_out)
    return Work(
        do=("Spoil, stone and trench water stay off the neighbour's ground.",),
        measure=f"{listed(names)} {'stays' if len(names) == 1 else 'stay'} {view.say.length(setback.value)} from the "
        f"boundary ({BASIS_WORDS[setback.basis]}).",
        stop="Water coming in over the boundary: photograph, do not dam it, tell the office.",
    )


@crew(23)
def warranty(view: View) -> Work:
    """For the office; what it rests on."""
    walls = opened_walls(view.design) or [run.name for run in view.design.system.runs]
    written = "written" if view.design.job.firm.warranty.strip() else "not written yet"
    return Work(
        do=(f"Warranty text is {written}. It rests on your photographs of {listed(walls)} before they are covered.",),
        office=True,
    )


@crew(24)
def restore(view: View) -> Work:
    """Roots and surfaces."""
    dig, say = view.design.build.dig, view.say
    near = {cut.tree: cut for cut in sorted(dig.roots, key=lambda cut: -cut.distance)}  # the nearest stays
    cuts = "; ".join(
        f"{tree}: nearest {cut.item}, {say.length(cut.distance)} from the trunk; root zone "
        f"{say.length(cut.root_radius)}"
        for tree, cut in near.items()
    )
    surfaces = listed([yard.surface for yard in view.design.job.yards if yard.surface in SEEDED])
    sawn, lifted = ([item for item in dig.paved if item.lifted is up] for up in (False, True))
    along = listed(series([item.name for item in dig.trenches]))
    none = (
        f"{CANNOT}: no tree is entered; look for roots along {along}."
        if not view.design.job.trees
        else "No root zone is touched."
    )
    first = ["Photograph the yard first; sheets under spoil."]
    if cuts:
        thick = view.case.bore("2", "50")
        first.append(f"Roots by hand; saw clean; none thicker than {thick} without an arborist.")
    return Work(
        do=tuple(first),
        measure=said(
            f"{cuts}." if cuts else none,
            f"Surfaces: {surfaces}; raked and seeded." if surfaces else "",
            f"To saw and break out in the dig: {yards(sawn)}." if sawn else "",
            f"To lift, set aside and set again: {yards(lifted)}." if lifted else "",
        ),
        stop="A thick root in the line of the pipe: stop, call." if cuts else "",
    )


__all__: list[str] = []
