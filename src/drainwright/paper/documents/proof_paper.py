"""The commissioning record: what was measured of the finished job, and whether it is as designed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from drainwright.design import Design
from drainwright.job.proof import Proof
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
    Shot,
    Shots,
    Signatures,
    Table,
)
from drainwright.paper.documents.say import day, site_of
from drainwright.paper.documents.shell import INVENTED, document
from drainwright.proving.as_built import AsBuilt
from drainwright.proving.model import BasinProof, Proven, Row, Verdict
from drainwright.proving.reasons import VALVE_SOURCE
from drainwright.sources import cite

VERDICTS: dict[Verdict, str] = {
    "pass": "passes", "not": "DOES NOT PASS", "cannot tell": "cannot tell", "not done": "not done"
}  # fmt: skip
PHOTO = "Photo "


def proof_paper(
    design: Design, proof: Proof, found: Proven, built: AsBuilt | None = None, photos: Mapping[str, bytes] | None = None
) -> Document:
    """The paper that is signed at the end.

    Parameters
    ----------
    design : Design
        As designed.
    proof : Proof
        What was measured.
    found : Proven
        What it shows.
    built : AsBuilt, optional
        The job worked out anew as it was measured.
    photos : Mapping, optional
        The photographs as JPEG by the names in the record; what is left out is told by its name alone.

    Returns
    -------
    Document
        Every row with its band, what was wanted and the verdict; the likely reasons of a wrong pump flow.
    """
    tests = [row for row in found.rows if not row.where.startswith(PHOTO)]
    checkpoints = [row for row in found.rows if row.where.startswith(PHOTO)]
    there = {
        file: (f"photo-{number}.json", data) for number, (file, data) in enumerate((photos or {}).items(), start=1)
    }
    blocks: tuple[Block, ...] = (
        *_invented(design, proof),
        _verdict(found),
        Facts(
            items=tuple(
                (name, text)
                for name, text in (
                    ("Work at", site_of(design.job)), ("Measured on", day(proof.on)), ("By", proof.by),
                    ("Built by", design.job.firm.name),
                )
                if text.strip()
            )
        ),
        Heading(text="What was measured"),
        _rows(tests),
        *(block for basin in found.basins for block in _reasons(basin)),
        *(() if built is None else _built(built)),
        *_photos(checkpoints, {file: name for file, (name, _) in there.items()}),
        *_notes(proof, found),
        Paragraph(
            text="Behind ± stands the band that holds the true figure in 95 of 100 cases, as tape, watch and rod are "
            "taken. Local code and the inspector come first.", style="soft",
        ),
        Keep(
            blocks=(
                Heading(text="Signed", level=2),
                Signatures(lines=tuple(f"{one.name}, {one.role}" if one.role else one.name for one in proof.signed)
                           or ("Crew lead", "Owner")),
            )
        ),
    )  # fmt: skip
    made = document(
        design.job, name="proof", kind="Commissioning record", title=design.job.title, size=10.0, blocks=blocks
    )
    return replace(made, photos=tuple(there.values()))


def _invented(design: Design, proof: Proof) -> tuple[Block, ...]:
    if design.job.demonstration:
        return (Notice(tone="invented", title="Invented demonstration", text=INVENTED),)
    if proof.invented:
        return (Notice(tone="invented", title="Invented measurements", text="The measurements are an example."),)
    return ()


def _verdict(found: Proven) -> Notice:
    counts = [(found.count(verdict), word) for verdict, word in VERDICTS.items()]
    told = "; ".join(f"{count} {word}" for count, word in counts if count)
    if found.whole:
        return Notice(tone="plain", title="Everything that was to be proven passes", text=f"{told}.")
    failing = tuple(f"{row.where}, {row.what}: {row.found}; wanted {row.wanted}." for row in found.rows if
                    row.verdict == "not")  # fmt: skip
    title = "Not as designed" if failing else "Not yet proven"
    return Notice(tone="fails" if failing else "caution", title=title, text=f"Of what was to be proven: {told}.",
                  items=failing)  # fmt: skip


def _rows(rows: Sequence[Row]) -> Table:
    columns = (
        Column(head="Where", width=1.2), Column(head="What", width=2.4), Column(head="Found", width=2.2),
        Column(head="Wanted", width=2.4), Column(head="Verdict", width=1.5),
    )  # fmt: skip
    cells = []
    for row in rows:
        strong = row.verdict in ("not", "cannot tell")
        cells.append(
            (
                Cell(text=row.where, weight="semibold"), f"{row.what}. {row.said}" if row.said else row.what, row.found,
                row.wanted, Cell(text=VERDICTS[row.verdict], weight="semibold" if strong else "regular"),
            )
        )  # fmt: skip
    return Table(columns=columns, rows=tuple(cells), size=0.88)


def _reasons(basin: BasinProof) -> tuple[Block, ...]:
    if not basin.reasons:
        return ()
    columns = (Column(head="Readings", width=1.2), Column(head="Reason", width=6))
    rows = tuple((one.reads, one.said) for one in basin.reasons)
    return (
        Keep(
            blocks=(
                Heading(text=f"What may stand behind the pump's flow of {basin.name}", level=2),
                Paragraph(
                    text="Each is worked out on the design's pump and line; those that agree with the readings come "
                    f"first. What is not ruled out has no figure to hold against them. "
                    f"K of a gate valve: {cite(VALVE_SOURCE)}.", style="soft",
                ),
                Table(columns=columns, rows=rows, size=0.9),
            )
        ),
    )  # fmt: skip


def _built(built: AsBuilt) -> tuple[Block, ...]:
    """What was measured otherwise than designed, and what that changes."""
    told = built.difference
    moved = tuple((one.where, one.what, one.designed or "as drawn", one.built) for one in built.moved)
    columns = tuple(
        Column(head=head, width=wide) for head, wide in (("Where", 1.6), ("What", 2), ("Designed", 2), ("As built", 2))
    )
    changes = (
        *(f"Now {one.severity.value} ({one.id}): {one.message} {one.advice}".strip() for one in told.arisen),
        *(
            f"{two.title} ({two.id}): {one.severity.value}, now {two.severity.value}, {two.figure}."
            for one, two in built.regraded
        ),
        *(f"No longer {one.severity.value} ({one.id}): {one.title}." for one in told.settled),
        *(f"{one.title}: {one.before or 'none'}, now {one.after or 'none'}." for one in told.storm),
    )
    left = f"Not measured, taken as designed: {', '.join(built.unmeasured)}." if built.unmeasured else ""
    return (
        Heading(text="As built"),
        Paragraph(text=f"The job was worked out anew with what was measured. {left}".strip()),
        Table(columns=columns, rows=moved, size=0.9)
        if moved
        else Paragraph(text="Nothing that was measured lies far from the design."),
        *((Paragraph(text="What that changes:", style="strong"), Bullets(items=changes)) if changes else (
            Paragraph(text="No check and no case of the storm test comes out otherwise."),)),
    )  # fmt: skip


def _photos(rows: Sequence[Row], there: Mapping[str, str]) -> tuple[Block, ...]:
    if not rows:
        return ()
    cells = tuple(
        (row.where.removeprefix(PHOTO), row.what,
         row.found if row.verdict != "pass" or row.found in there else f"{row.found}, not shown here")
        for row in rows
    )  # fmt: skip
    columns = (Column(head="No.", width=0.6), Column(head="Checkpoint", width=5), Column(head="Photograph", width=2.4))
    return (
        Heading(text="Photographs before it was covered"),
        Table(columns=columns, rows=cells, size=0.86, tight=True),
        *(
            (
                Shots(
                    items=tuple(
                        Shot(
                            file=there[row.found], alt=f"Photograph of checkpoint {number}: {row.what}",
                            caption=f"{number}. {row.what}",
                        )
                        for row in rows if row.found in there for number in (row.where.removeprefix(PHOTO),)
                    )
                ),
            )
            if there
            else ()
        ),
    )  # fmt: skip


def _notes(proof: Proof, found: Proven) -> tuple[Block, ...]:
    items = (*found.notes, *_noted(proof))
    return (Heading(text="Notes", level=2), Bullets(items=items)) if items else ()


def _noted(proof: Proof) -> tuple[str, ...]:
    tests = (*((one.basin, one.note) for one in proof.basins), *((one.inlet, one.note) for one in proof.hoses))
    return (
        *(f"{name}: {note}" for name, note in tests if note.strip()),
        *((proof.notes,) if proof.notes.strip() else ()),
    )


__all__ = ["proof_paper"]
