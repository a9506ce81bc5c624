"""The crew's packet in Spanish: nothing on it that the catalogue, the job's names or its writer did not give."""

from __future__ import annotations

import io
import re
from collections import Counter
from dataclasses import fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Literal

import pytest
from pypdf import PdfReader

from drainwright.findings import all_rules
from drainwright.job.values import Basis
from drainwright.paper.basin_notes import basin_notes
from drainwright.paper.documents.blocks import Heading, Notice, Table
from drainwright.paper.documents.crew import crew_packet
from drainwright.paper.documents.crew_spanish import ON_PLAN, crew_packet_spanish, spanish_risk_sheet, translator_of
from drainwright.paper.documents.hazards import emergencies, risk_sheet
from drainwright.paper.documents.say import BASIS_WORDS, Say
from drainwright.paper.documents.spanish import _FIELD, Translator, _may_fit, _templates, catalogue, typed_in
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.drawings import details_said
from drainwright.paper.frame import MARGIN, papers
from drainwright.paper.measure import fit, text_box, wrap
from drainwright.paper.plan_marks import basis_words
from drainwright.paper.section import PANEL
from drainwright.paper.sheet import Sheet, TextMark
from drainwright.paper.tongue import speaking

from ..conftest import designed
from .papers import sheets_of
from .test_drawings import overlaps

JOBS = (
    "block-wall-house/job", "sloping-lot/job", "wrong-choices/job", "wrong-choices/mended", "metric-basement/job",
    "two-basins/job", "soak-lot/job", "long-house/job",
)  # fmt: skip
ENGLISH = (
    "the", "and", "of", "with", "from", "before", "after", "each", "every", "under", "over", "by", "is", "are", "not",
    "footing", "trench", "spoil", "ladder", "stone", "pipe", "wall", "water", "fabric", "basin", "day", "feet",
)  # fmt: skip
SKIP = {"file", "weight", "colour", "swatch", "tone", "style", "align", "language", "drawings", "alt", "name", "paper"}


def texts(thing: Any) -> list[str]:
    """Every text of blocks that a reader sees."""
    if isinstance(thing, str):
        return [thing]
    if isinstance(thing, tuple):
        return [text for item in thing for text in texts(item)]
    if is_dataclass(thing):
        return [text for field in fields(thing) if field.name not in SKIP for text in texts(getattr(thing, field.name))]
    return []


@cache
def spoken_sheets(path: str) -> dict[str, Sheet]:
    """The detail drawings of a job in Spanish, by name."""
    design = designed(path)
    sheets = {name: sheet for name, (sheet, _) in sheets_of(design).items()}
    return dict(details_said(design, sheets, translator_of(design).say))


def figures_of(sheet: Sheet) -> list[str]:
    return [figure for mark in sheet.texts for figure in re.findall(r"\d", mark.text)]


def figures(text: str) -> Counter[str]:
    return Counter(re.findall(r"\d[\d,./]*\d|\d", text))


@pytest.mark.parametrize("path", JOBS)
def test_every_text_is_said(path: str) -> None:
    design = designed(path)
    packet = crew_packet_spanish(design, sheets_of(design))
    said = " | ".join(texts(packet.blocks))
    assert "textos de este paquete están en inglés" not in said
    assert len(ON_PLAN) > 30
    names = sorted(translator_of(design).names, key=len, reverse=True)
    words = next(n for n, block in enumerate(packet.blocks) if getattr(block, "text", "") == "Palabras en el plano")
    for text in texts((*packet.blocks[:words], *packet.blocks[words + 3 :])):
        left = text
        for name in names:
            if len(name) > 3 and name in left:
                left = left.replace(name, "")
        found = [word for word in ENGLISH if re.search(rf"\b{word}\b", left)]
        assert not found, (found, text)


@pytest.mark.parametrize("path", JOBS)
def test_the_detail_drawings_are_drawn_in_spanish(path: str) -> None:
    """Nothing on them stands in English, no words lie on others, and none is cut."""
    design, sheets = designed(path), spoken_sheets(path)
    names = sorted(translator_of(design).names, key=len, reverse=True)
    assert sum(len(sheet.texts) for sheet in sheets.values()) > 90
    for sheet in sheets.values():
        assert overlaps(sheet) == [], sheet.name
        for mark in sheet.texts:
            if mark.text == sheet.name:  # its file's, in the title block
                continue
            left = mark.text
            for name in names:
                if len(name) > 3:
                    left = re.sub(re.escape(name), "", left, flags=re.IGNORECASE)
            found = [word for word in ENGLISH if re.search(rf"\b{word}\b", left)]
            assert not found, (sheet.name, found, mark.text)
            assert mark.size * 72.0 / 25.4 >= 7.0
            across = [x for x, _ in text_box(mark)]
            assert min(across) > MARGIN, (sheet.name, mark.text)
            assert max(across) < sheet.width - MARGIN, (sheet.name, mark.text)


@pytest.mark.parametrize("path", ["block-wall-house/job", "metric-basement/job", "two-basins/job"])
def test_notes_beside_a_basin_end_above_the_title_block(path: str) -> None:
    """In Spanish the last figures of the metric basin lay on the title block's rule."""
    design = designed(path)
    _, bottom, right, top = papers(design.job.units)[0].inner
    for station in design.system.by_house:
        with speaking(translator_of(design).say):
            marks = basin_notes(design, station, right - PANEL, top, PANEL)
        lowest = min(y for mark in marks if isinstance(mark, TextMark) for _, y in text_box(mark))
        assert lowest > bottom + 1.0, station.name


def test_sides_are_said_though_a_symptom_names_them_too() -> None:
    """ "north side" stood in English in the locate request, for the customer's words on the damp have it too."""
    design = designed("long-house/job")
    assert any(symptom.where == "north side" for symptom in design.job.symptoms)
    said = " | ".join(texts(crew_packet_spanish(design, sheets_of(design)).blocks))
    assert "muro wing-back (lado norte)" in said
    assert "north side" not in said
    assert "bajo el registro" in said  # a catch basin is no cárcamo
    assert "bajo el cárcamo" not in said


def test_the_emergency_sheet_stands_on_the_first_page() -> None:
    """Two pages of the Spanish packet were two fifths empty, for a line too much."""
    for path in ("block-wall-house/job", "metric-basement/job", "soak-lot/job", "long-house/job"):
        design = designed(path)
        pdf = to_pdf(crew_packet_spanish(design, sheets_of(design)), design.job.date)
        first = PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
        assert "Si algo sale mal" in first, path
        assert "Diga a los rescatistas" in first, path


def test_the_words_of_the_list_are_those_of_the_packets() -> None:
    """A list for whoever corrects the Spanish, with a word that stands nowhere, would lead them astray."""
    page = (Path(__file__).parents[2] / "docs" / "spanish.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \|", page, flags=re.MULTILINE)[2:]
    assert len(rows) > 50
    said = " ".join(catalogue().values()).lower()
    for spanish, _ in rows:
        for word in re.split(r"[;,] | y | o ", re.sub(r" ?\([^)]*\)", "", spanish)):
            assert word.lower() in said, word


def test_one_thing_has_one_word() -> None:
    """Trade words that went by two names, or by one that means another thing; docs/spanish.md has the list."""
    said = catalogue()
    wrong = {
        "banqueta": "kerb",  # that is the pavement
        "bordillo": "kerb",
        "limpiador": "primer",  # that is cleaner, sold beside primer
        "infiltración": "",
        "reformado": "",
        "sólo": "",
        "pararse en seco": "",  # that is to stop short
    }
    for word, english in wrong.items():
        found = [one for one, other in said.items() if word in other.lower() and english in one.lower()]
        assert not found, (word, found)
    assert not [one for one, other in said.items() if one.startswith("Grade the trench") and "ivelar" in other]
    runs = re.compile(r"\bruns?\b", re.I)  # a length of a wall, a stick of pipe and a panel were "tramo" too
    assert not [one for one, other in said.items() if "tramo" in other.lower() and not runs.search(one)]
    assert not [one for one, other in said.items() if "open box" in one and "caja" in other]  # that is the shield


@pytest.mark.parametrize("path", ["block-wall-house/job", "metric-basement/job", "soak-lot/job"])
def test_a_drawing_has_the_same_figures_in_both_languages(path: str) -> None:
    design = designed(path)
    spoken = spoken_sheets(path)
    packet = crew_packet_spanish(design, sheets_of(design))
    shown = dict(packet.drawings)
    for name, (sheet, svg) in sheets_of(design).items():
        if name not in spoken or any(other.startswith(f"{name}-tables") for other in spoken):
            continue  # what goes over to a further sheet repeats its title block
        said = spoken[name]
        assert said.number == sheet.number
        assert shown[f"{name}.svg"] != svg
        one, other = ("".join(figures_of(each)) for each in (sheet, said))
        assert sorted(one) == sorted(other), name


def test_a_line_is_said_once() -> None:
    """A wrapped line is not said again word by word, and nothing is said outside."""
    heard: list[str] = []

    def say(text: str) -> str:
        heard.append(text)
        return "una frase que es más larga" if text == "a sentence" else text.upper()

    with speaking(say):
        lines = wrap("a sentence", 18.0, 2.5)
        marks = [TextMark(layer="text", at=(0.0, 0.0), text=line, size=2.5) for line in lines]
        short = fit("a sentence", 14.0, 2.5)
    assert len(lines) > 1
    assert " ".join(mark.text for mark in marks) == "una frase que es más larga"
    assert short.endswith("…")
    assert short.startswith("una")
    assert set(heard) == {"a sentence"}
    assert TextMark(layer="text", at=(0.0, 0.0), text="a sentence").text == "a sentence"


@pytest.mark.parametrize("path", JOBS)
def test_both_languages_have_the_same_blocks_and_figures(path: str) -> None:
    """Text by text: no number, no length is lost, added or changed on the way."""
    design = designed(path)
    spoken = translator_of(design)
    english = texts(crew_packet(design, {}).blocks)
    checked = 0
    for text in english:
        said = spoken.say(text)
        if said != text:
            checked += 1
            assert figures(text) == figures(said), (text, said)
    assert checked > 100


def test_every_kind_of_line_and_coat_has_a_word() -> None:
    """Also those that no example has: whom to call over a nicked gas pipe must not stand in English."""
    from typing import get_args

    from drainwright.build.repair_kits import RULES
    from drainwright.build.usual_lines import USUAL
    from drainwright.job.site import UtilityKind

    spoken = Translator(frozenset())
    for kind in get_args(UtilityKind):
        spoken.say(kind)
        spoken.say(RULES[kind].stop)
        spoken.say(RULES[kind].call)
        if kind in USUAL:
            spoken.say(USUAL[kind].runs)
            spoken.say(USUAL[kind].finds)
    for basis in BASIS_WORDS.values():
        spoken.say(basis)
    assert spoken.missing == {}


def test_a_line_beside_a_wall_is_said_however_its_depth_is_known() -> None:
    """Of a line whose depth somebody had told, the section said where it lies in English: "stated" had no Spanish."""
    translator = Translator(frozenset())
    for basis in Basis:
        said = translator.say(f"20 in off the wall, 2 ft down{basis_words(basis)}")
        assert said.startswith("a 20 in del muro, 2 ft abajo"), basis
    assert not translator.missing


def test_figures_stay_with_what_they_measure() -> None:
    """A figure ends before a comma or a colon: what follows it is another clause, in its own place."""
    spoken = Translator(frozenset({"BM", "water service", "bolt on the pole"}))
    assert spoken.say("BM, 100.00 ft: bolt on the pole") == "BM, 100.00 ft: bolt on the pole"
    assert spoken.say("138.7 ft, 30 fittings, 1 at downspouts") == "138.7 ft, 30 piezas, 1 en bajadas"
    said = spoken.say("water service at 58 ft 6 3/4 in: dig 4 ft 2 in by hand, 56 ft 5 7/8 in to 60 ft 7 3/4 in")
    assert said == "water service en 58 ft 6 3/4 in: excavar 4 ft 2 in a mano, 56 ft 5 7/8 in a 60 ft 7 3/4 in"


@pytest.mark.parametrize("path", JOBS)
def test_figures_keep_their_order(path: str) -> None:
    """A thing may stand before its size ("4 in elbow 45°"); no other figure changes its place."""
    spoken = translator_of(designed(path))
    turned = {}
    for text in texts(crew_packet(designed(path), {}).blocks):
        said = spoken.say(text)
        one, other = (re.findall(r"\d[\d,./]*\d|\d", words) for words in (text, said))
        if one != other and not re.match(r"[\d/ -]+(in|mm) (\(.*?\) )?[^\W\d]", text):
            turned[text] = said
    assert turned == {}


@pytest.mark.parametrize("basin", [True, False])
@pytest.mark.parametrize("units", ["US", "SI"])
def test_every_emergency_is_said(basin: bool, units: Literal["US", "SI"]) -> None:
    spoken = Translator(frozenset())
    for row in emergencies(Say(units), basin=basin):
        for text in row:
            spoken.say(text)
    assert spoken.missing == {}


def test_the_catalogue_keeps_every_field() -> None:
    for english, spanish in catalogue().items():
        asked, given = _FIELD.findall(english), _FIELD.findall(spanish)
        assert sorted(name for name, _ in asked) == sorted(name for name, _ in given), (english, spanish)
        assert spanish.strip() == spanish != ""
        numbers = figures(_FIELD.sub("", english))
        assert numbers == figures(_FIELD.sub("", spanish)), (english, spanish)


def test_no_template_that_fits_is_passed_over() -> None:
    filled = [_FIELD.sub("3 ft", english) for english in catalogue()]
    for text in [*filled[::7], "", "3 ft", "so", "Dig 12 ft of FD1 by hand."]:
        every = [template for template in _templates() if template.sure in text]
        assert [template for template in _may_fit(text) if template.sure in text] == every


def test_the_ends_of_a_template_keep_no_text_from_it() -> None:
    """A template is tried only where a text begins and ends with its words: none that fits may be lost by that."""
    patterns = [(template, re.compile(template.pattern)) for template in _templates()]
    for english in [*catalogue()][::9]:
        text = _FIELD.sub("3 ft", english)
        fit = [template for template, pattern in patterns if pattern.fullmatch(text)]
        assert [template for template, _ in patterns if template.match(text)] == fit


def test_what_the_catalogue_lacks_is_told_and_never_dropped() -> None:
    spoken = Translator(frozenset({"CB1"}))
    assert spoken.say("A flying carpet of 3 ft stands there.") == "A flying carpet of 3 ft stands there."
    assert list(spoken.missing) == ["A flying carpet of 3 ft stands there."]
    assert spoken.say("CB1") == "CB1"
    assert spoken.say("CB1 to CB1") == "CB1 a CB1"
    assert spoken.say("CB1 to CB2") == "CB1 to CB2", "a name that nobody gave is not passed on as one"
    assert len(spoken.missing) == 2


def test_figures_keep_their_units() -> None:
    """``95 ft: 146 rounds`` was once said as ``ft: 95 146 viajes``."""
    spoken = Translator(frozenset())
    assert spoken.say("95 ft: 146 rounds of spoil, 82 of stone") == "95 ft: 146 viajes de tierra, 82 de piedra"
    assert spoken.say("4 in elbow 45°, sewer and drain") == "codo 45° 4 in, alcantarillado y drenaje"


def test_a_lack_stands_on_the_first_page(monkeypatch: pytest.MonkeyPatch) -> None:
    design = designed("soak-lot/job")
    short = {key: text for key, text in catalogue().items() if key != "Pick list" and key != "pick list"}
    monkeypatch.setattr("drainwright.paper.documents.spanish.catalogue", lambda: short)
    packet = crew_packet_spanish(design, {})
    assert isinstance(packet.blocks[0], Notice)
    assert "textos de este paquete están en inglés" in packet.blocks[0].items[0]
    assert any(isinstance(block, Heading) and block.text == "Pick list" for block in packet.blocks)


def test_words_of_a_list_are_not_taken_for_typed_ones() -> None:
    typed = typed_in(designed("block-wall-house/job").job)
    assert "valve wires" in typed
    assert "irrigation control" not in typed
    assert not typed & {basis.value for basis in Basis}


def test_what_was_typed_stays_as_it_was() -> None:
    design = designed("block-wall-house/job")
    said = texts(crew_packet_spanish(design, {}).blocks)
    for line in design.job.utilities:
        assert line.name in said
    assert any("unplug the controller" in text for text in said)


def test_the_english_packet_keeps_the_sheet_that_saves_lives() -> None:
    design = designed("sloping-lot/job")
    heads = [block.text for block in crew_packet(design, {}).blocks if isinstance(block, Heading)]
    assert "Dos minutos antes de la primera pala" in heads
    assert [type(block) for block in spanish_risk_sheet(design)][:3] == [type(block) for block in risk_sheet(design)]
    packet = crew_packet_spanish(design, {})
    assert packet.language == "es"
    assert isinstance(packet.blocks[0], Notice)
    assert "manda el paquete en inglés" in packet.blocks[0].title
    assert [block.text for block in packet.blocks if isinstance(block, Heading)].count(heads[heads.index(
        "Dos minutos antes de la primera pala")]) == 1  # fmt: skip


def test_a_doubtful_measurement_is_told_by_its_place() -> None:
    from tests.paper.test_slips_told import slip

    design = designed("block-wall-house/job")
    doubtful = replace(design, site=replace(design.site, slips=(slip("survey.points[0].ties[0]"),)))
    said = " | ".join(texts(crew_packet_spanish(doubtful, {}).blocks))
    assert "De eso depende CB1." in said
    assert "Comprueben esto antes de trazar CB1: Vean el paquete en inglés." in said
    assert any(isinstance(block, Table) for block in crew_packet_spanish(doubtful, {}).blocks)


def test_the_day_of_the_visit_is_said_in_order() -> None:
    """``11 May 2026`` beside a job's number was once said as ``may 11 2026``."""
    assert any(
        "visita 11 de mayo de 2026" in text for text in crew_packet_spanish(designed("metric-basement/job"), {}).subject
    )


def test_the_first_page_holds_what_to_do_in_an_emergency() -> None:
    """It once went to a second page and left both half empty."""
    for job in ("metric-basement/job", "soak-lot/job", "two-basins/job"):
        design = designed(job)
        pdf = PdfReader(io.BytesIO(to_pdf(crew_packet_spanish(design, {}), design.job.date)))
        assert "Si algo sale mal" in pdf.pages[0].extract_text(), job


def test_every_check_that_may_fail_has_its_title_in_spanish() -> None:
    rules, spoken = all_rules(), Translator(frozenset())
    for rule in rules:
        assert spoken.say(f"{rule.title} ({rule.id})").endswith(f"({rule.id})")
    assert len(rules) > 150
    assert not spoken.missing


def test_a_failing_check_is_told_by_its_title() -> None:
    packet = crew_packet_spanish(designed("wrong-choices/job"), {})
    stop = next(block for block in packet.blocks if isinstance(block, Notice) and block.tone == "fails")
    told = [item for item in stop.items if re.search(r"\([A-Z]{3}-\d\d\)$", item)]
    assert told
    assert all(len(item.split()) > 1 for item in told)


def test_a_short_day_and_the_breakers_are_said() -> None:
    spoken = Translator(frozenset())
    for text in (
        "Day 4  (3.5 person-hours). The rest waits until “First coat” has cured",
        "Day 4, Wed 13 May: nothing is worked at. The rest waits until “First coat” has cured",
        "Day 4  (8.0 person-hours). Only “First coat” can go on",
        "2 at once from day 1 to 6 of the crew's plan, each breaks a cubic yard of rock a day; charged by the "
        "calendar, a week at its own price",
    ):
        spoken.say(text.replace("First coat", "Backfill"))
    assert spoken.missing == {}


def test_words_of_the_program_are_said_though_a_job_has_them() -> None:
    """A job with an outlet "at ground" kept the drawings' "ground" in English, and the list said "ground: ground"."""
    design = designed("soak-lot/job")
    spoken = translator_of(design)
    assert [spoken.say(word) for word in ("ground", "floor")] == ["terreno", "piso"]
    said = {mark.text for sheet in spoken_sheets("soak-lot/job").values() for mark in sheet.texts}
    assert "terreno" in said
    assert "ground" not in said


def test_the_side_of_a_tree_is_said_though_a_wall_is_called_so() -> None:
    """A wall named "east" kept the side on which an oak loses its roots in English."""
    blocks = crew_packet_spanish(designed("long-house/job"), {}).blocks
    [roots] = [block for block in blocks if isinstance(block, Table) and block.columns[0].head == "Árbol"]
    assert [row[5] for row in roots.rows] == ["al este", "al norte"]
