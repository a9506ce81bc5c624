"""The written analysis of the water problem, given before any contract: sources, evidence, methods, limits."""

from __future__ import annotations

from drainwright.build.wording import BASIS_WORDS
from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.job.values import Basis
from drainwright.paper.documents.against_causes import against, led_downspouts, opened_walls, runs_of, without_a_pump
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Cell,
    Column,
    Document,
    Facts,
    Heading,
    Keep,
    Notice,
    Paragraph,
    Row,
    Signatures,
    Table,
)
from drainwright.paper.documents.cause_words import (
    CAUSES,
    GRADE_FIRST,
    GRADE_TOO,
    ROOF_FIRST,
    cause_words,
    ground_price,
    left_out_first,
)
from drainwright.paper.documents.say import Say, day, joined, money, site_of
from drainwright.paper.documents.shell import Sheets, document, first_notices
from drainwright.paper.documents.site_water import LIKELY, next_test_blocks
from drainwright.paper.documents.slips import customer_slips
from drainwright.quantities import height_beside
from drainwright.sources import cite
from drainwright.water.moisture import share_words
from drainwright.water.moisture_model import Evidence, Moisture, RankedCause
from drainwright.water.moisture_words import REMEDIES

QUIET = "#5d6a72"
MOST = 3  # pieces of evidence told for or against a source
TOLD = 5  # sources that are told with their evidence
BEFORE_CONTRACT = (
    "This analysis is given before any contract. It is no offer and binds nobody to buy. At least one state asks a "
    "seller "
    "of basement waterproofing for such a writing, with the methods and materials, before a contract is made"
)
NO_REACH = frozenset(
    {Moisture.WALL_RAIN, Moisture.SUPPLY_LEAK, Moisture.DRAIN_LEAK, Moisture.CONDENSATION, Moisture.IRRIGATION}
)


def analysis_paper(design: Design, sheets: Sheets) -> Document:
    """The analysis that the customer reads before a contract.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Not used: this paper has no drawings.

    Returns
    -------
    Document
        Sources with the evidence for and against each, what is proposed against each, what it will not cure, what else
        was considered, the limits, and lines to sign.
    """
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        *customer_slips(design),
        *_parties(design),
        Notice(tone="plain", title="In short", text=cause_words(design)),
        *_sources(design),
        *_known(design),
        *_test(design),
        *_proposed(design),
        *_not_cured(design),
        *_considered(design),
        *_limits(design),
        *_signed(design),
    )
    return document(
        design.job, name="water-analysis", kind="Water analysis",
        title=f"Where the water comes from: {design.job.title}", size=10, blocks=blocks,
    )  # fmt: skip


def _parties(design: Design) -> tuple[Block, ...]:
    job = design.job
    items = [
        ("For", job.customer.name),
        ("House", site_of(job)),
        ("By", job.firm.name),
        ("Licence", job.firm.licence),
        ("Visited", day(job.date)),
        (
            "Lowest floor",
            f"{job.house.floor_kind}{f', built {job.property.year_built}' if job.property.year_built else ''}",
        ),
    ]
    return (Facts(items=tuple((name, text) for name, text in items if text.strip())),)


def _shown(design: Design) -> tuple[RankedCause, ...]:
    """The sources told with their evidence: the two likeliest, and others that are not hardly so."""
    causes = design.moisture.causes
    return tuple(cause for number, cause in enumerate(causes[:TOLD]) if number < 2 or cause.share >= LIKELY)


def _sources(design: Design) -> tuple[Block, ...]:
    head = Heading(text="Sources of water, and how likely each is")
    shown = _shown(design)
    if not shown:
        return (head, Paragraph(text=design.moisture.verdict), *_unread(design))
    columns = (
        Column(head="Source", width=2.1), Column(head="Speaks for it", width=4.2),
        Column(head="Speaks against it", width=3),
    )  # fmt: skip
    rows: list[Row] = [
        (
            Cell(text=f"{_name(cause.cause)}: {share_words(cause.share)}", weight="semibold"),
            _told(cause.evidence_for),
            _told(cause.evidence_against),
        )
        for cause in shown
    ]
    rest = [CAUSES[cause.cause] for cause in design.moisture.causes if cause not in shown]
    return (
        head,
        Table(columns=columns, rows=tuple(rows), size=0.86),
        *((Paragraph(text=f"Hardly, by what was seen: {joined(rest, 'or')}.", style="soft"),) if rest else ()),
        Paragraph(
            text="The shares rank the sources; how much each sign weighs is assumed from common practice, so they "
            "are no "
            "measured chances. More than one source at once is usual.",
            style="soft",
        ),
        *_unread(design),
    )


def _unread(design: Design) -> tuple[Block, ...]:
    unread = design.moisture.unread
    return (Paragraph(text=f"Told, but not weighed: {'; '.join(unread)}.", style="soft"),) if unread else ()


def _name(cause: Moisture) -> str:
    return f"{CAUSES[cause][0].upper()}{CAUSES[cause][1:]}"


def _told(evidence: tuple[Evidence, ...]) -> str:
    """The weightiest pieces in plain words; what was seen is quoted once."""
    quoted: set[str] = set()
    said = []
    for item in evidence[:MOST]:
        head, mark, words = plain_evidence(item.text).partition(' ("')
        said.append(head if words in quoted or not mark else f"{head}{mark}{words}")
        quoted.add(words)
    told = "; ".join(said)
    return f"{told[0].upper()}{told[1:]}." if told else "Nothing that was seen."


def plain_evidence(text: str) -> str:
    """Evidence without the words of the job's fields: ``time: after rain`` is ``seen after rain``.

    Examples
    --------
    >>> plain_evidence("time: after rain"), plain_evidence("place: floor edge"), plain_evidence("salts on wall")
    ('seen after rain', 'seen at the floor edge', 'salts on wall')
    """
    kind, mark, rest = text.partition(": ")
    if mark and kind == "time":
        return f"seen in the {rest}" if rest.startswith("wet season") else f"seen {rest}"
    if mark and kind == "place":
        start = "over the " if rest.startswith("whole") else "" if rest.startswith(("below", "at ")) else "at the "
        return f"seen {start}{rest}"
    return text


def _known(design: Design) -> tuple[Block, ...]:
    """What each statement rests on."""
    job, site, say = design.job, design.site, Say(design.job.units)
    groups: dict[Basis, list[str]] = {basis: [] for basis in Basis}
    groups[Basis.MEASURED] += [
        f"the test '{test.kind}': {test.result}{f', {test.where}' if test.where else ''}"
        f"{f' ({day(test.date)})' if test.date else ''}"
        for test in job.moisture_tests
    ]
    groups[Basis.STATED] += [
        f"{item.what}{f', {item.where}' if item.where else ''}{f' ({item.when})' if item.when != 'unknown' else ''}"
        for item in job.symptoms
    ]
    slopes = [item for item in design.findings if item.id == "FTG-10"]
    for item in slopes:
        if item.severity is not Severity.OK:
            groups[item.basis].append(f"ground at {say.place(item.where)}: {item.figure} (wanted: {item.limit})")
    if slopes and all(item.severity is Severity.OK for item in slopes):
        groups[slopes[0].basis].append("the ground falls away from the walls")
    groups[site.floor_basis].append(f"the lowest floor at {say.level(site.floor)}")
    groups[job.ground.texture.basis].append(f"the soil is {job.ground.texture.value}")
    table = job.ground.water_table
    if table is not None and site.water_table is not None:
        gap = site.floor - site.water_table
        groups[table.basis].append(
            f"high ground water stands {height_beside(-gap, say.deep, 'above')} the top of the floor"
        )
    groups[Basis.ASSUMED].append("how much each sign weighs")
    groups[job.rain.basis].append("the rain of the place")
    rows: list[Row] = [
        (Cell(text=BASIS_WORDS[basis].capitalize(), weight="semibold"), "; ".join(dict.fromkeys(items)) + ".")
        for basis, items in groups.items()
        if items
    ]
    if table is None:
        rows.append(
            (
                Cell(text="Not known", weight="semibold", colour="#8f1d14"),
                "how high ground water stands in the wet season.",
            )
        )
    return (
        Heading(text="What this rests on"),
        Table(columns=(Column(head="", width=1.3), Column(head="", width=8)), rows=tuple(rows), size=0.88),
    )


def _test(design: Design) -> tuple[Block, ...]:
    sources = design.moisture
    if not sources.causes:
        words = (
            "Before any contract: tape a square of plastic to floor and wall for two days, and read the water meter "
            "with "
            "every tap shut. Wet under the plastic is the ground; a meter that turns is a pipe. Write down when and "
            "where "
            "it is wet."
        )
        return (Heading(text="What one further measurement would settle"), Paragraph(text=words))
    return (Heading(text="What one further measurement would settle"), *next_test_blocks(sources, further=False))


def _proposed(design: Design) -> tuple[Block, ...]:
    causes = [cause.cause for cause in _shown(design)]
    causes += [
        cause for cause in (Moisture.GROUND_WATER, Moisture.ROOF_WATER, Moisture.SURFACE_WATER) if cause not in causes
    ]
    columns = (
        Column(head="Against", width=1.8), Column(head="Method and materials", width=4.6),
        Column(head="What stays as it is", width=3.2),
    )  # fmt: skip
    rows: list[Row] = []
    for cause in causes:
        told = against(design, cause)
        if told.done or cause in {item.cause for item in _shown(design)}:
            rows.append(
                (
                    Cell(text=_name(cause), weight="semibold"),
                    " ".join(told.done) or "Nothing in these works.",
                    told.left,
                )
            )
    if not rows:
        return (Heading(text="What is proposed"), Paragraph(text="Nothing is proposed yet."))
    walls = opened_walls(design)
    opened = (
        f"The {joined(walls)} wall{'s are' if len(walls) > 1 else ' is'} opened to the footing, cleaned and looked "
        "at; what "
        "is found there may change this analysis."
    )
    return (
        Heading(text="What is proposed against each source"),
        Table(columns=columns, rows=tuple(rows), size=0.86),
        *((Paragraph(text=opened),) if walls else ()),
    )


def _not_cured(design: Design) -> tuple[Block, ...]:
    shares = {cause.cause: cause.share for cause in design.moisture.causes}
    items = [
        f"{_name(cause)}: {REMEDIES[cause][0].lower()}{REMEDIES[cause][1:]}" for cause in Moisture if cause in NO_REACH
    ]
    items.sort(
        key=lambda text: -max((share for cause, share in shares.items() if text.startswith(_name(cause))), default=0.0)
    )
    damp = against(design, Moisture.CAPILLARY_RISE)
    items.append(f"{_name(Moisture.CAPILLARY_RISE)}: {damp.left[0].lower()}{damp.left[1:]}")
    pump = ", a power cut longer than its backup" if design.system.station is not None else ""
    years = Say(design.job.units).years(design.job.criteria.storm_return_period)
    items.append(
        f"Rain beyond the {years} storm that the works were tested with, flood water{pump}, and backed-up sewers."
    )
    items.append("Cracks and bowing of the walls, mould, and damage that is there already.")
    return (Heading(text="What it will not cure"), Bullets(items=tuple(items)))


def _considered(design: Design) -> tuple[Block, ...]:
    """Roof and grade first, an inside drain, gravity, nothing: each with this job's reason."""
    rows: list[Row] = [
        (Cell(text="Roof and ground first, and wait", weight="semibold"), _roof_and_grade(design)),
        (Cell(text="Drain inside, along the foot of the wall", weight="semibold"), _inside(design)),
    ]
    if design.system.stations:
        rows.append((Cell(text="No pump: water out by its own weight", weight="semibold"), without_a_pump(design)))
    rows.append((Cell(text="Do nothing", weight="semibold"), _nothing(design)))
    columns = (Column(head="", width=1.8), Column(head="", width=7.8))
    return (
        Keep(
            blocks=(
                Heading(text="What else was considered"),
                Table(columns=columns, rows=tuple(rows), size=0.88),
            )
        ),
    )


def _roof_and_grade(design: Design) -> str:
    lead = design.moisture.causes[0].cause if design.moisture.causes else None
    first = lead in (Moisture.ROOF_WATER, Moisture.SURFACE_WATER)
    led, _ = led_downspouts(design)
    left = left_out_first(design)
    if lead is None:
        parts = ["Nobody knows yet which source leads, so nobody can say that it is enough."]
    elif first:
        parts = [
            f"It is the first remedy here: {CAUSES[lead]} leads."
            + ("" if ground_price(design) else " Ask for its price by itself."),
            *left,
        ]
    else:
        parts = [f"Always worth doing, but not enough by itself: {CAUSES[lead]} leads."]
        bare = {
            ROOF_FIRST: "leading the downspouts away",
            GRADE_FIRST: "shaping the ground",
            GRADE_TOO: "shaping the ground",
        }
        missing = [bare[words] for words in left if words in bare]
        parts += [f"Not in this price: {joined(missing)}."] if missing else []
        parts += [words for words in left if words not in bare]
    price = ground_price(design)
    if price:
        parts.append(price)
    if led and not left:
        parts.append(f"These works lead {joined(led)} away.")
    return " ".join(parts)


def _inside(design: Design) -> str:
    walls, drains = opened_walls(design), runs_of(design, "footing drain")
    crawl = design.job.house.floor_kind == "crawl space"
    parts = [
        "Not designed and not priced here, so not compared by cost.",
        "It takes the water only after it has come through the wall"
        + (f", leaves the {joined(walls)} wall{'s' if len(walls) > 1 else ''} wet and uncoated" if walls else "")
        + (", leaves the wall wet" if drains and not walls else "")
        + ("." if crawl else ", breaks the floor at its edge,")
        + (" It" if crawl else " and")
        + " nearly always needs a pump.",
        "It spares the yard; ask for it where digging outside is barred.",
    ]
    return " ".join(parts)


def _nothing(design: Design) -> str:
    price = design.build.price
    seen = len(design.job.symptoms)
    signs = "sign of water that was told stays" if seen == 1 else f"{seen} signs of water that were told stay"
    stays = f"The {signs}: nothing takes the source away. " if seen else ""
    waits = ", and while the further measurement above is waited for" if design.moisture.next_test is not None else ""
    return f"{stays}It saves {money(price.total, price.currency)} now. It is right only while nothing is harmed{waits}."


def _limits(design: Design) -> tuple[Block, ...]:
    items = (
        "It goes by what was seen, told and measured on the day of the visit. Walls and footings that are covered "
        "were not "
        "seen; what is marked as assumed or stated is not measured.",
        "Nobody can promise a dry house from this analysis. Another season, a new leak or changed ground may bring "
        "water "
        "another way.",
        "Structural doubt goes to a licensed engineer, pipes to a plumber, electricity to an electrician. Local "
        "codes and "
        "permits come before anything written here.",
        f"{BEFORE_CONTRACT} ({cite('wi_atcp_110')}). Ask what the law of this place demands.",
    )
    return (Heading(text="Limits"), Bullets(items=items))


def _signed(design: Design) -> tuple[Block, ...]:
    firm, customer = design.job.firm.name.strip() or "the contractor", design.job.customer.name.strip()
    return (
        Keep(
            blocks=(
                Heading(text="Given and received"),
                Paragraph(text="The signature says that the analysis was received and read, nothing more."),
                Signatures(
                    lines=(f"Given by, for {firm}", f"Received by{f', {customer}' if customer else ' (customer)'}")
                ),
            )
        ),
    )


__all__ = ["analysis_paper", "plain_evidence"]
