"""Ground and water: how the site was measured, what its ground does, and where its water comes from."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.field.terrain_model import Terrain
from drainwright.field.wall_slopes import FALL_AWAY
from drainwright.findings.places import by_own_line
from drainwright.paper.band_chart import band_draft
from drainwright.paper.documents.blocks import Block, Cell, Column, Document, Heading, Notice, Plate, Row, Table
from drainwright.paper.documents.say import Say, joined
from drainwright.paper.documents.shell import Sheets, document, first_notices
from drainwright.paper.documents.site_ground import comes_in, ground_part, poor_slopes
from drainwright.paper.documents.site_survey import survey_part
from drainwright.paper.documents.site_water import causes_part, groundwater_part, high_water, water_part
from drainwright.paper.documents.slips import slip_title, slip_words
from drainwright.paper.flow_net_chart import flow_net_drafts
from drainwright.paper.frame import LEAF, on_leaf
from drainwright.paper.svg import to_svg
from drainwright.paper.terrain_sheet import terrain_page
from drainwright.quantities import height_beside, percent
from drainwright.water.model import Cause
from drainwright.water.moisture_words import NO_TEST

QUIET = "#5d6a72"
CROSSES = " Numbered crosses: the next shots, in the order of the table."
AT_A_SCALE = " The drawing set has this sheet at a scale."


def site_paper(design: Design, sheets: Sheets) -> Document:
    """The paper of the site and its water, for the one who builds, the inspector, and the next one who surveys.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name; the bands and the flow nets are shown as plates.

    Returns
    -------
    Document
        What matters first, then the survey, the ground, the water, the ground water, the causes; the plates last.
    """
    plates, drawings = _plates(design, sheets)
    blocks: tuple[Block, ...] = (
        *_slips(design),
        *first_notices(design),
        *_short(design),
        *survey_part(design),
        *ground_part(design),
        *water_part(design),
        *groundwater_part(design),
        *causes_part(design),
        *plates,
    )
    return document(
        design.job, name="site-report", kind="Ground and water", title=f"Ground and water: {design.job.title}",
        size=10, blocks=blocks, drawings=drawings,
    )  # fmt: skip


def _arrows(terrain: Terrain | None) -> str:
    """What the red arrows mean, where there are any."""
    means = ["water that comes in over the boundary"] if terrain is not None and terrain.run_on else []
    if terrain is not None and any(min(item.fall, default=0.0) < 0 for item in terrain.wall_slopes):
        means.append("ground that falls to the house")
    return f"Red arrows: {', or '.join(means)}." if means else ""


def _plates(design: Design, sheets: Sheets) -> tuple[tuple[Plate, ...], tuple[tuple[str, str], ...]]:
    found: list[Plate] = []
    drawings: list[tuple[str, str]] = []
    page = terrain_page(design) if "ground" in sheets else None
    if page is not None:
        terrain = design.site.terrain
        note = (_arrows(terrain) + (CROSSES if terrain is not None and terrain.next_shots else "") + AT_A_SCALE).strip()
        if page.unplaced:
            note += " No room for: " + "; ".join(" ".join(label.lines) for label in page.unplaced) + "."
        sheet = page.sheet
        found.append(
            Plate(
                file=f"{sheet.name}.svg", title="Plate: the ground and its water", alt=sheet.description,
                width=sheet.width, height=sheet.height, upright=page.upright, note=note,
            )
        )  # fmt: skip
        drawings.append((f"{sheet.name}.svg", to_svg(sheet)))
    bands = band_draft(design, LEAF) if "bands" in sheets else None
    nets = flow_net_drafts(design, LEAF) if any(name.startswith("flow-net") for name in sheets) else []
    for draft in ([bands] if bands is not None else []) + nets:
        sheet = on_leaf(draft)
        found.append(
            Plate(
                file=f"{sheet.name}.svg", title=f"Plate: {sheet.title[0].lower()}{sheet.title[1:]}",
                alt=sheet.description, width=sheet.width, height=sheet.height, note=AT_A_SCALE.strip() if draft in nets
                else "The inputs are in the table of part 3.",
            )
        )  # fmt: skip
        drawings.append((f"{sheet.name}.svg", to_svg(sheet)))
    return tuple(found), tuple(drawings)


def _slips(design: Design) -> tuple[Block, ...]:
    """Measurements that the others contradict: nothing here is sure until they are cleared up."""
    slips = design.site.slips
    if not slips:
        return ()
    return (
        Notice(
            tone="fails",
            title=slip_title(design),
            text="Measure again before anything in this paper is built on:",
            items=tuple(slip_words(design, slip) for slip in slips),
        ),
    )


def _short(design: Design) -> tuple[Block, ...]:
    """What matters, a line each."""
    say = Say(design.job.units)
    rows: list[Row] = [
        (Cell(text=name, colour=QUIET), text)
        for name, text in (
            ("Where it comes from", design.moisture.verdict),
            ("Ground water", _groundwater_short(design, say)),
            ("Ground at the house", _walls_short(design, say)),
            ("Low spots, water from outside", _ground_short(design, say)),
            ("Water to be led away", _flow_short(design, say)),
            ("How sure it is", _survey_short(design)),
            ("What to do next", _next_short(design)),
        )
        if text
    ]
    columns = (Column(head="", width=1.5), Column(head="", width=6))
    return (Heading(text="In short"), Table(columns=columns, rows=tuple(rows), size=0.96))


def _groundwater_short(design: Design, say: Say) -> str:
    lines = design.inflows.ground_lines
    if not lines:
        return f"{high_water(design, say)} No footing drain lies beside a wall, so no level at mid-house is reckoned."
    lowest = min(lines, key=lambda line: line.level_with)  # each line leaves the drains of the other walls out
    gap = lowest.floor_underside - lowest.level_with
    before = lowest.floor_underside - lowest.level_without
    drain = "with the drains" if any(line.run for line in lines) else "without any drain"
    text = (
        f"At mid-house it stands {height_beside(-gap, say.small, 'ABOVE')} the floor's underside {drain}, "
        f"{height_beside(-before, say.small, 'above')} it without them ({lowest.basis.value})."
    )
    if 0 <= gap <= lowest.capillary_rise:
        text += f" The soil draws water up {say.small(lowest.capillary_rise)}: the floor wants a barrier against damp."
    return text


def _walls_short(design: Design, say: Say) -> str:
    terrain = design.site.terrain
    if terrain is None or not terrain.wall_slopes:
        return ""
    poor, wrong = poor_slopes(terrain)
    count = len(terrain.wall_slopes)
    if not poor:
        return f"It falls away from all {count} wall lines as it should."
    reach = terrain.wall_slopes[0].reach
    asked = f"{say.small(FALL_AWAY * reach)} in {say.length(reach)}"
    text = f"At {len(poor)} of {count} wall lines it falls away less than the code's {asked}"
    return text + (f", and at {joined(wrong)} it falls to the house." if wrong else ".")


def _ground_short(design: Design, say: Say) -> str:
    terrain = design.site.terrain
    if terrain is None:
        return "No shots of the ground: where rain runs is not known."
    spots = terrain.low_spots
    said = []
    if spots:
        deepest = spots[0]
        unsure = sum(not spot.sure for spot in spots)
        one = len(spots) == 1
        count = "One low spot," if one else f"{len(spots)} low spots, the deepest"
        doubt = "" if not unsure else "; it is unsure" if one else f"; {unsure} of them unsure"
        said.append(f"{count} {say.small(deepest.depth)} deep{doubt}.")
    else:
        said.append("The shots show no low spot.")
    said += comes_in(design)
    if terrain.bare > 0.01 * terrain.lot_area:
        said.append(f"{percent(terrain.bare / terrain.lot_area)} of the lot was not measured.")
    return " ".join(said)


def _flow_short(design: Design, say: Say) -> str:
    water = design.inflows
    flows = water.by_cause()
    total = sum(flows.values())
    if total <= 0.0:
        return ""
    names = {Cause.ROOF: "roofs", Cause.YARD: "yards", Cause.GROUND: "ground water"}
    parts = [f"{names[cause]} {say.flow(flow)}" for cause, flow in flows.items() if flow > 0.0]
    text = f"{say.flow(total)} in the design storm: {joined(parts)}."
    apart = by_own_line(design.system, design.inflows)
    if apart:
        each = joined([f"{entry} {say.flow(flow)}" for entry, flow in apart.items()])
        text += f" Of it {each} goes by its own line, and {say.flow(total - sum(apart.values()))} into these works."
    if water.total is not None:
        text += f" Nine times of ten it lies between {say.flow(water.total.low)} and {say.flow(water.total.high)}"
        first = water.ranges[0] if water.ranges else None
        text += f"; most of that spread is the {first.name}'s." if first is not None and first.share > 0.5 else "."
    return text


def _survey_short(design: Design) -> str:
    book, walk = design.site.level_book, design.site.traverse
    said = []
    if design.site.slips:
        said.append("A measurement is in doubt, see the box above.")
    if book is None or book.closes is None:
        said.append("Nothing checks the levels.")
    else:
        said.append("The level book closes." if book.closes else "The level book does NOT close within the allowance.")
    said.append("The walk round the house closes." if walk is not None else "The house is given by coordinates.")
    return " ".join(said)


def _next_short(design: Design) -> str:
    test = design.moisture.next_test
    terrain = design.site.terrain
    shots = len(terrain.next_shots) if terrain is not None else 0
    none = [NO_TEST] if design.moisture.causes else []
    said = [
        *([f"Try: {test.test}"] if test is not None else none),
        *([f"take {'one shot' if shots == 1 else f'{shots} shots'} where the ground is least known"] if shots else []),
    ]
    told = ("; " if test is None else "; then ").join(said)
    return f"{told[0].upper()}{told[1:]}." if said else ""


__all__ = ["site_paper"]
