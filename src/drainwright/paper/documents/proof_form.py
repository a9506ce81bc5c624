"""The form for the day on which the work is proven: what to read by tape and clock, with room for wet hands."""

from __future__ import annotations

from dataclasses import replace

from drainwright.design import Design
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
    Signatures,
    Table,
)
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.shell import INVENTED, document
from drainwright.paper.wording import FLOATS
from drainwright.proving.lines import inlets_to_test
from drainwright.system.model import LiftStation

READS = 10  # of the tape while it pumps [-]
STEP = 5.0  # of the clock: readings come at whole multiples of it [s]
REST = 30.0  # between readings with the pump off [s]
RESTED = 10  # of these readings: five minutes [-]
WATER_AND_ELECTRICITY = Notice(
    tone="caution", title="Water and electricity",
    text="A basin can kill in three ways: by its plug, by its air and by its depth.",
    items=(
        "Nobody enters a basin, not even with the head.",
        "Unplug the pump before a hand or a tape with metal goes in.",
        "Stand dry. No cord and no plug lies in water. The outlet trips by its test button, or nobody works.",
        "Keep the lid on whenever nobody stands at the basin.",
    ),
)  # fmt: skip


def proof_form(design: Design) -> Document:
    """The blank form in English.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Document
        Everything that ``prove`` judges, with what the design wants beside it.
    """
    say = Say(design.job.units)
    invented = Notice(tone="invented", title="Invented demonstration", text=INVENTED)
    blocks: tuple[Block, ...] = (
        *((invented,) if design.job.demonstration else ()),
        WATER_AND_ELECTRICITY,
        Facts(items=(("Day", "____________________"), ("Done by", "____________________"))),
        *_grades(design, say),
        *_hoses(design),
        *(block for station in design.system.by_house for block in _basin(design, station, say)),
        *_ground(design, say),
        Heading(text="Signed", level=2),
        Signatures(lines=("Crew lead", "Owner")),
    )  # fmt: skip
    return document(
        design.job, name="proof-form", kind="Form for the last day", title=design.job.title, size=11.0, blocks=blocks
    )


def proof_form_spanish(design: Design) -> Document:
    """The same in the crew's Spanish."""
    return form_spanish(design, proof_form(design))


def form_spanish(design: Design, form: Document) -> Document:
    """A form that a crew fills in, in its Spanish; what has none is named on its first page."""
    spoken = translator_of(design)
    blocks = spoken.blocks(form.blocks)
    left = tuple(spoken.missing)
    more = (
        spoken.blocks(Notice(tone="caution", title="Some texts stand in English", items=left)),
    ) if left else ()  # fmt: skip
    return replace(
        form, name=f"{form.name}-es", kind=spoken.say(form.kind), language="es",
        told_as=f"{spoken.say(form.kind)}: {form.title}", blocks=(*more, *blocks),
        masthead=tuple(spoken.say(text) for text in form.masthead),
        subject=tuple(" · ".join(map(spoken.say, text.split(" · "))) for text in form.subject),
    )  # fmt: skip


def _clock(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"


def pump_step(station: LiftStation) -> float:
    """Time between two readings while it pumps, so that ``READS`` of them fit between start and stop. [s]"""
    if station.operating_flow <= 0.0:
        return STEP
    whole = station.band_volume / station.operating_flow
    return max(STEP, STEP * round(whole / READS / STEP))


def _basin(design: Design, station: LiftStation, say: Say) -> tuple[Block, ...]:
    step = pump_step(station)
    rest = [_clock(REST * number) for number in range(RESTED + 1)]
    pumping = [_clock(step * number) for number in range(RESTED + 1)]
    after = [_clock(REST * number) for number in range(1, RESTED + 2)]
    rows = tuple((one, "", two, "", three, "") for one, two, three in zip(rest, pumping, after, strict=True))
    columns = tuple(Column(head=head, width=wide) for head, wide in (("Clock", 1.0), ("Tape", 2.2)) * 3)
    heights = {name: level - station.floor for name, level in station.float_levels.items()}
    floats = tuple(
        (FLOATS[name].capitalize(), Cell(text=say.small(height), weight="semibold"), "")
        for name, height in sorted(heights.items(), key=lambda item: -item[1])
    )
    return (
        Heading(text=f"Basin {station.name}", new_page=True),
        Bullets(
            numbered=True,
            items=(
                f"Unplug the pump. Fill the basin by hose to {say.small(station.alarm - station.floor)} above its "
                "floor: the alarm must sound. Hose off.",
                "First column: read the tape from the rim down to the water, at each time on the clock.",
                "Plug it in. Second column: read while it pumps, until it stops: one reads, one writes.",
                "Unplug it at once when it has stopped. Third column: read again from half a minute after the stop.",
                "A second pump stays unplugged all the time; other basins on the same line rest.",
            ),
        ),
        Table(
            columns=columns, rows=rows, size=1.5, tall=True,
            groups=(("1. Pump off, before", 2), ("2. Pumping", 2), ("3. Pump off, after", 2)),
        ),
        Keep(
            blocks=(
                Table(
                    columns=(
                        Column(head="Float", width=2.4), Column(head="Above the inside floor", width=2),
                        Column(head="As set", width=2.4),
                    ),
                    rows=floats, size=1.1, tall=True,
                ),
                Table(
                    columns=(Column(head="Seen", width=4.4), Column(head="Yes", width=1), Column(head="No", width=1)),
                    rows=(
                        ("Water squirts from the relief hole while it pumps", "☐", "☐"),
                        ("The alarm sounds when its float is lifted", "☐", "☐"),
                    ),
                    size=1.1, tall=True,
                ),
                Table(
                    columns=(Column(head="By tape", width=4.4), Column(head="Found", width=2)),
                    rows=(("Wide inside, at the water", ""), ("Deep, rim to floor", "")), size=1.1, tall=True,
                ),
            )
        ),
    )  # fmt: skip


def _hoses(design: Design) -> tuple[Block, ...]:
    places = inlets_to_test(design)
    if not places:
        return ()
    columns = (
        Column(head="Hose into", width=1.6), Column(head="Bucket full after", width=2),
        Column(head="Again", width=1.6), Column(head="Again", width=1.6), Column(head="Came through", width=1.4),
        Column(head="Backed up", width=1.4), Column(head="Bucket full where it comes out", width=2.2),
    )  # fmt: skip
    return (
        Heading(text="Hose and bucket"),
        Paragraph(
            text="Time how long the hose takes to fill the bucket, three times. Then run it into the inlet until the "
            "water where it comes out runs steady. Bucket used: ____________"
        ),
        Table(columns=columns, rows=tuple((Cell(text=place, weight="semibold"), "", "", "", "☐", "☐", "")
              for place in places), size=1.05, tall=True),
    )  # fmt: skip


def _grades(design: Design, say: Say) -> tuple[Block, ...]:
    rows = tuple(
        (Cell(text=run.name, weight="semibold"), say.level(run.invert_upper), "", say.level(run.invert_lower), "")
        for run in design.system.runs
        if not run.pressure
    )
    if not rows:
        return ()
    columns = (
        Column(head="Run", width=1), Column(head="Upper end, designed", width=1.6), Column(head="As shot", width=2),
        Column(head="Lower end, designed", width=1.6), Column(head="As shot", width=2),
    )  # fmt: skip
    return (
        Heading(text="Inverts, shot again before they are covered"),
        Table(columns=columns, rows=rows, size=1.05, tall=True),
    )


def _ground(design: Design, say: Say) -> tuple[Block, ...]:
    rows = tuple((Cell(text=wall.name, weight="semibold"), "", "") for wall in design.site.walls)
    if not rows:
        return ()
    columns = (
        Column(head="Wall", width=1), Column(head="Ground at the wall", width=2),
        Column(head=f"Ground {say.length(3.048)} out", width=2),
    )  # fmt: skip
    return (
        Keep(
            blocks=(
                Heading(text="Finished ground", level=2),
                Table(columns=columns, rows=rows, size=1.05, tall=True),
            )
        ),
    )


__all__ = ["WATER_AND_ELECTRICITY", "form_spanish", "proof_form", "proof_form_spanish", "pump_step"]
