"""The permit set: basis of the design, calculations in short, materials, trench safety, inspections, and the "
"sheets.
"""

from __future__ import annotations

from itertools import groupby

from drainwright.build.shown import said
from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.job.values import Basis
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Column,
    Document,
    Facts,
    Heading,
    Keep,
    Notice,
    Paragraph,
    Signatures,
    Table,
)
from drainwright.paper.documents.change_order import BLANK
from drainwright.paper.documents.governing import (
    Figure,
    design_storm,
    inflow_rows,
    outlet_figures,
    run_rows,
    station_figures,
)
from drainwright.paper.documents.permit_profiles import left_out, profiles_in_short
from drainwright.paper.documents.safe_dig import FIRST, trench_blocks
from drainwright.paper.documents.say import BASIS_WORDS, Say, day, places_alike
from drainwright.paper.documents.shell import Sheets, document, drawn, first_notices, plate
from drainwright.paper.documents.shield_paper import shield_blocks
from drainwright.paper.sheet import Sheet
from drainwright.sources import SOURCES

# How the names of its sheets begin.
SHEETS = ("plan", "ground", "profiles", "trench", "basin", "holes", "soakaway", "wall", "outlet", "pump")
LETTERS = "ABCDEF"
PARTS = ("Basis of the design", "Calculations in short", "Materials", "Trench safety", "Inspections", "Sources")
NO_PROFESSIONAL = (
    "Nobody licensed has looked at this set or sealed it. It is the contractor's own reckoning from one visit."
)
NO_WORK = frozenset({"common_practice", "geometry"})
SEAL_WORDS = {
    "yes": "This place wants a licensed professional's seal: no permit is asked for before it stands here.",
    "no": "This place wants no seal for such work. The room stays for a place that changes its mind.",
    "not known": "Nobody has asked whether this place wants a licensed professional's seal. Ask before this is "
    "handed in.",
}


def permit_set(design: Design, sheets: Sheets) -> Document:
    """What an inspector is given: cover, calculations in short, materials, safety, sign-offs, then the sheets.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name.

    Returns
    -------
    Document
        Figures with ``W`` and a number are that step of the worksheet, with the same value.
    """
    without = left_out(design, sheets)
    names = [name for name in sheets if name.startswith(SHEETS) and name not in without]
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        Notice(
            tone="caution", title="Local codes and licensed practice come first",
            text=f"{NO_PROFESSIONAL} Where this set and the code, the inspector or a licensed professional "
            f"differ, they "
            "decide. Structural doubt goes to a licensed engineer, electricity to a licensed electrician.",
        ),
        *_index(names, sheets),
        *_seal(design),
        *_basis(design),
        *_calculations(design, sheets),
        *_materials(design),
        *_safety(design),
        *_inspections(design),
        *_sources(design),
        *(page for name in names for page in plate(name, sheets, whole=True)),
    )  # fmt: skip
    return document(
        design.job, name="permit-set", kind="Permit set", title=f"Permit set: {design.job.title}", size=9.5,
        blocks=blocks, drawings=drawn(sheets, *names),
    )  # fmt: skip


def _index(names: list[str], sheets: Sheets) -> tuple[Block, ...]:
    parts = [(LETTERS[number], part, "these pages") for number, part in enumerate(PARTS)]
    drawings: list[tuple[str, str, str]] = []
    for (title, scale), alike in groupby(names, lambda name: (_title(sheets[name][0]), sheets[name][0].scale)):
        drawings.append((_in_rows([sheets[name][0].number for name in alike]), title, scale))
    columns = (Column(head="No."), Column(head="Part or sheet", width=5), Column(head="Scale", width=3))
    return (
        Heading(text="Index"),
        Table(columns=columns, rows=(*parts, *drawings), size=0.86, tight=True),
        Paragraph(
            text="Parts go by letter, sheets by the numbers in their title blocks, which are those of the drawing "
            "set; what is missing between them stands only there.",
            style="soft",
        ),
    )


def _in_rows(numbers: list[int]) -> str:
    """``4 to 6, 9``: numbers in a row by their first and last."""
    rows: list[list[int]] = []
    for number in numbers:
        if rows and number == rows[-1][-1] + 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    return ", ".join(f"{row[0]}" if len(row) == 1 else f"{row[0]} to {row[-1]}" for row in rows)


def _part(title: str, *, new_page: bool = False) -> Heading:
    """The heading of a part, with its letter of the index."""
    return Heading(text=f"{LETTERS[PARTS.index(title)]}. {title}", new_page=new_page)


def _title(sheet: Sheet) -> str:
    """What a sheet shows, without its runs and the job; a plan's tables as such."""
    first, _, rest = sheet.title.partition(": ")
    return f"{first}: tables" if rest.startswith("tables: ") else first


def _basis(design: Design) -> tuple[Block, ...]:
    rules = design.job.rules
    code = rules.code_edition
    assumed = sum(finding.basis is Basis.ASSUMED for finding in design.findings)
    return (
        Keep(
            blocks=(
                _part("Basis of the design"),
                Facts(
                    items=(
                        ("Place", rules.name.strip() or BLANK),
                        ("Code", f"{code.value} ({BASIS_WORDS[code.basis]})"),
                        ("Rains", design_storm(design)),
                    ),
                    columns=1,
                ),
            )
        ),
        Bullets(
            items=(
                "Water: roofs and yards by the Rational method, ground water by flow to a drain between two "
                "levels. Pipes: "
                "Manning, part full"
                + (
                    "; the pumped line by friction and fittings against the pump's curve"
                    if design.system.stations
                    else ""
                )
                + ". The "
                "storm test "
                "steps all balances through time.",
                "It holds for the measured ground, the soil and the water level told here. It does not judge walls, "
                "footings or the structure, water of floods or sewers, or what lies covered.",
                f"{assumed} of {len(design.findings)} checks lean on something assumed: the worksheet lists "
                f"what, with how "
                "each value is known.",
            )
        ),
    )


def _seal(design: Design) -> tuple[Block, ...]:
    seal = design.job.rules.professional_seal
    origin = ", ".join(
        text for text in (BASIS_WORDS[seal.basis], seal.source, "" if seal.date is None else day(seal.date)) if text
    )
    return (
        Keep(
            blocks=(
                Heading(text="Seal of a licensed professional"),
                Paragraph(text=f"{SEAL_WORDS[seal.value]} ({origin}.)"),
                Facts(items=(("Name", BLANK), ("Licence", BLANK), ("Seal", BLANK), ("Date", BLANK))),
                Signatures(lines=("Licensed professional: signed over the seal",)),
            )
        ),
    )


def _numbered(design: Design) -> dict[str, int]:
    """The works that checks and worksheet cite, by key, with their numbers in this set."""
    used = {step.card.source for step in design.steps} | {finding.source for finding in design.findings}
    works = sorted(used - NO_WORK, key=lambda key: SOURCES[key].title.lower())
    return {key: number for number, key in enumerate(works, start=1)}


def _sources(design: Design) -> tuple[Block, ...]:
    """Each work with its number and what leans on it: the checks by their codes, or formulas alone."""
    checks: dict[str, dict[str, None]] = {}
    for finding in design.findings:
        checks.setdefault(finding.source, {})[finding.id] = None
    rows = []
    for key, number in _numbered(design).items():
        work = SOURCES[key]
        title = f"{work.title}{', ' + work.edition if work.edition else ''}"
        known = "" if work.seen == "seen" else " (from memory)"
        rows.append((f"[{number}]", f"{title}{known}.", ", ".join(checks.get(key, ())) or "formulas of the worksheet"))
    bare = [code for key in sorted(NO_WORK) for code in checks.get(key, ())]
    columns = (Column(head="No."), Column(head="Source", width=6), Column(head="Checks that lean on it", width=3))
    return (
        _part("Sources"),
        Paragraph(
            text="As the worksheet cites them: read in the text or a public quotation; those from memory are confirmed "
            "before anybody leans on them.",
            style="soft",
        ),
        Table(columns=columns, rows=tuple(rows), size=0.8, tight=True),
        *((Paragraph(text=f"By common practice or geometry, without a work: {', '.join(bare)}.", style="soft"),)
          if bare else ()),
    )  # fmt: skip


def _calculations(design: Design, sheets: Sheets) -> tuple[Block, ...]:
    say = Say(design.job.units)
    flows = (
        Column(head="Water of", width=2.4), Column(head="Enters at", width=1.4), Column(head="Rain", width=3.6),
        Column(head="Design flow", width=2.2),
    )  # fmt: skip
    runs = (
        Column(head="Run", width=0.8), Column(head="Pipe", width=2.9), Column(head="Fall", width=1.5),
        Column(head="Flow", width=1.3), Column(head="Carries full", width=1.9), Column(head="Velocity", width=1.9),
        Column(head="Full by", width=0.9),
    )  # fmt: skip
    blocks: list[Block] = [
        _part("Calculations in short", new_page=True),
        Paragraph(
            text="A figure with W and a number is that step of the worksheet, rounded from the same value; the "
            "worksheet has "
            "formula, numbers and source. A figure without one is measured, a limit, or a sum of figures shown here."
        ),
        Heading(text="Rain and inflows", level=2),
        Table(columns=flows, rows=inflow_rows(design), size=0.84, tight=True),
        Heading(text="Pipes", level=2),
        Table(columns=runs, rows=run_rows(design), size=0.8, tight=True),
        Paragraph(
            text=f"Wanted: {say.percent(design.job.criteria.maximum_fill)} full at most at the design flow, "
            f"{say.fall(design.job.criteria.minimum_grade)} of fall at least.",
            style="soft",
        ),
        *profiles_in_short(design, sheets),
    ]
    stations = station_figures(design)
    if stations:
        blocks += _figures("Basin, pump and flotation", stations)
        blocks.append(
            Paragraph(
                text="The worksheet gives flotation as forces, in newtons; here they stand as weights.", style="soft"
            )
        )
    outlets = outlet_figures(design)
    if outlets:
        blocks += _figures("Where the water goes", outlets)
    failing = [item for item in design.findings if item.severity is Severity.FAILS]
    verdict = "No check fails." if not failing else f"{len(failing)} checks fail: see the first page."
    return (*blocks, Paragraph(text=f"{len(design.findings)} checks were made. {verdict}", style="strong"))


def _figures(title: str, figures: tuple[Figure, ...]) -> tuple[Block, ...]:
    columns = (
        Column(head="At", width=1.9), Column(head="Figure", width=3.2), Column(head="Value", width=2.2),
        Column(head="Limit, or beside it", width=3.6),
    )  # fmt: skip
    rows = tuple((one.where, one.what, one.value, one.limit or "–") for one in figures)
    return (Heading(text=title, level=2), Table(columns=columns, rows=rows, size=0.84, tight=True))


def _materials(design: Design) -> tuple[Block, ...]:
    units = design.job.units
    rows = tuple(
        (line.category, line.description, said(line.quantity, line.unit, units))
        for line in design.build.takeoff.lines
        if line.category not in ("haul", "hire", "sundries", "permits")
    )
    columns = (Column(head="Kind", width=1.2), Column(head="Material", width=6), Column(head="Quantity", width=2.4))
    return (
        _part("Materials"),
        Table(columns=columns, rows=rows, size=0.84, tight=True),
        Paragraph(text="Quantities as they are ordered, with waste and whole packs.", style="soft"),
    )


def _safety(design: Design) -> tuple[Block, ...]:
    say = Say(design.job.units)
    items = [
        "A competent person looks at every trench before anyone enters, each day and after rain (29 CFR 1926.651).",
        "No depth here is a promise that a trench is safe: soil, water and loads on the day decide.",
        *_dig_cautions(design, say),
    ]
    return (
        _part("Trench safety"),
        Paragraph(text=FIRST),
        Bullets(items=tuple(dict.fromkeys(items))),
        *trench_blocks(design, say, together=True),
        *shield_blocks(design, say),
        Paragraph(text="Check DIG-06 in the worksheet has each depth with its limit and source.", style="soft"),
    )


def _dig_cautions(design: Design, say: Say) -> list[str]:
    """Checks of the trenches that are no plain ok: those that ask for the same, together."""
    groups: dict[tuple[str, str, bool], list[Finding]] = {}
    for finding in design.findings:
        if finding.id in ("DIG-06", "DIG-16", "DIG-17") and finding.severity is not Severity.OK:
            bound = finding.figure.startswith("up to ")  # no figure, but the most that it may be
            groups.setdefault((finding.id, finding.advice, bound), []).append(finding)
    told, numbers = [], _numbered(design)
    for (key, advice, _), alike in groups.items():
        more = places_alike([finding.where for finding in alike[1:]], say)
        also = f" The like at {more}: the worksheet has each figure." if more else ""
        source = f" [{numbers[alike[0].source]}]" if alike[0].source in numbers else ""
        told.append(f"{key}: {alike[0].message}{also} {advice}{source}")
    return told


def _inspections(design: Design) -> tuple[Block, ...]:
    wanted = design.job.rules.open_trench_inspection
    must = "wanted by the place" if wanted.value else "not wanted, as far as is known: ask"
    system = design.system
    coated = any(wall.wall.open_and_coat for wall in design.site.walls)
    plugs = "cleanouts, " if any(place.fitted for place in system.cleanouts) else ""
    joined_line = any(point.joins is not None for point in design.job.works.discharge)
    rows = [
        (f"Open trench, before any pipe is covered ({must}; {BASIS_WORDS[wanted.basis]})", BLANK, "", ""),
        ("Trench protection in place, before anyone enters", BLANK, "", ""),
        (f"Pipe on its bed: falls, joints, {plugs}water test", BLANK, "", ""),
        *((("Wall coating, before it is covered", BLANK, "", ""),) if coated else ()),
        *(((f"Basin {one.name}: depth, base, holes, floats", BLANK, "", "")) for one in system.stations),
        *((("Circuit, socket and alarm, by the electrical inspector", BLANK, "", ""),) if system.stations else ()),
        ("Outlet and joint to another line" if joined_line else "Outlet", BLANK, "", ""),
        ("Last look: ground shaped, grates, water run at every inlet", BLANK, "", ""),
    ]
    columns = (
        Column(head="Looked at", width=4.4), Column(head="Inspector", width=2), Column(head="Result", width=1.4),
        Column(head="Date", width=1.2),
    )  # fmt: skip
    return (
        _part("Inspections"),
        Table(columns=columns, rows=tuple(rows), size=0.88, tall=True),
        Keep(
            blocks=(
                Facts(items=tuple((word, BLANK) for word in ("Permit no.", "Issued on", "Plan reviewed by", "Office"))),
                Signatures(lines=("For the place",)),
            )
        ),
    )


__all__ = ["permit_set"]
