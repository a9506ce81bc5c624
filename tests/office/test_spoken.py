"""A crew's pages in Spanish: no English sentence stays on them; names and what was typed do."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from drainwright.design import Design
from drainwright.office.after import SORTS, keep
from drainwright.office.pages import shell
from drainwright.office.pages.spoken import SCRIPT_WORDS, Spoken, script_words, spoken
from drainwright.office.store import people

from .finished import choked, wet, worn
from .firm_pages import Office, office
from .stored import keep_example

FRONTEND = Path(__file__).resolve().parents[2] / "frontend" / "src"
PAGES = ("/after", "/after/proof", "/after/visits", "/after/season", "/yard")
OF_THE_CHECKS = re.compile(
    r"(?:Now (?:fails|caution) \(|as built, )[A-Z]{3}-\d{2}"
)  # what a check says is English alone


@pytest.fixture
def here(tmp_path: Path) -> Iterator[Office]:
    with office(tmp_path) as found:
        yield found


def left_of(here: Office, monkeypatch: pytest.MonkeyPatch, addresses: list[str]) -> list[str]:
    """What of pages stayed English."""
    left: list[str] = []

    def noted(page: str, names: frozenset[str]) -> Spoken:
        told = spoken(page, names)
        left.extend(told.left)
        return told

    monkeypatch.setattr(shell, "spoken", noted)
    for address in addresses:
        answer = here.get(f"{address}?lang=es")
        assert answer.status_code == 200, address
        assert '<html lang="es"' in answer.text
    return [one for one in left if not OF_THE_CHECKS.match(one)]


def test_no_english_stays_on_a_page_that_a_crew_works_in(
    here: Office, pumped: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    jobs = [keep_example(here.store, name) for name in ("block-wall-house", "metric-basement", "sloping-lot")]
    bare = [f"/jobs/{job}{page}" for job in jobs for page in PAGES]
    assert left_of(here, monkeypatch, [*bare, "/yard/begun"]) == []
    for key, made in (("proof", choked), ("visits", worn), ("season", wet)):
        keep(here.store, here.who, jobs[0], SORTS[key], 0, made(pumped))
    rows = here.client.get(f"/api/v1/jobs/{jobs[0]}/after/proof/told").json()["rows"]
    checks = {row["said"] for row in rows if row["what"].startswith("as built")}
    left = left_of(here, monkeypatch, [f"/jobs/{jobs[0]}{page}" for page in PAGES])
    assert [one for one in left if one not in checks] == []
    page = here.get(f"/jobs/{jobs[0]}/after/proof?lang=es").text
    assert "Todavía no se firma" in page
    assert re.search(r'<span lang="en">Now (?:fails|caution)', page)  # and whoever has it read out hears it in English
    assert '<option value="FD1"' in page
    assert 'name="upper"' in page


def test_names_what_was_typed_and_code_stay_as_they_are() -> None:
    page = (
        '<title>Proof · Sign · Drainwright</title><p translate="no">Proof <b>Sign</b> <i translate="no">Proof</i></p>'
        '<textarea aria-label="Note">Proof</textarea><input value="Proof" placeholder="Name">'
        "<p>Sign<br>CB1: Proof &amp; more</p>"
        '<select><option value="Proof">Proof</option></select><pre>Proof</pre><p>Proof</p>'
    )
    told = spoken(page, {"Sign", "CB1"})
    assert told.text == (
        '<title>Prueba · Sign · Drainwright</title><p translate="no">Proof <b>Sign</b> <i translate="no">Proof</i></p>'
        '<textarea aria-label="Nota">Proof</textarea><input value="Proof" placeholder="Nombre"><p>Sign<br>'
        '<span lang="en">CB1: Proof &amp; more</span></p>'
        '<select><option value="Proof">Prueba</option></select><pre>Proof</pre><p>Prueba</p>'
    )
    assert told.left == ("CB1: Proof & more",)


def test_script_in_a_name_stays_text() -> None:
    told = spoken("<p>&lt;script&gt;Proof&lt;/script&gt;</p><p>Sign &quot;x&quot;</p>", {"<script>Proof</script>"})
    assert "<script" not in told.text
    assert unescape(told.text).count("<script>") == 1


def chosen_from() -> set[str]:
    """Words of the record that the yard's pages let a person choose."""
    choices = json.loads((FRONTEND / "yard" / "job" / "choices.json").read_text("utf-8"))
    tests = choices.pop("tests")
    known = {
        *tests,
        *(one for results in tests.values() for one in results),
        *(w for one in choices.values() for w in one),
    }
    return known | {"measured", "mapped", "stated", "assumed", "unknown", "left", "right"}


def test_no_words_of_the_yards_pages_stand_outside_the_catalogue() -> None:
    """What is between tags, and in what a person is told of a part, goes through ``say``."""
    parts = sorted((FRONTEND / "yard" / "job").glob("*.tsx"))
    assert len(parts) > 8
    bare = []
    for path in parts:
        text = path.read_text("utf-8")
        bare += re.findall(r"^[^\n]*(?<![=-])>\s*[A-Z][a-z]+ [a-z][^<{\n]*[<{][^\n]*$", text, re.MULTILINE)
        bare += re.findall(r'(?:label|hint|title|aria-label)=(?:"[^"]*[a-z]{2}[^"]*"|\{`[^`]*`\})', text)
        bare += re.findall(r'(?<!say\()"[A-Z][a-z]+ [a-z]+[^"]*"', text)
    assert bare == []


def test_the_scripts_of_those_pages_say_what_the_office_lays_beside_them() -> None:
    said = {
        words
        for path in FRONTEND.rglob("*.ts*")
        for words in re.findall(r'\bsay\("((?:[^"\\]|\\.)*)"', path.read_text("utf-8"))
    }  # fmt: skip
    spanish = script_words("es")
    assert spanish.keys() == said | chosen_from()
    assert set(SCRIPT_WORDS) <= spanish.keys()
    for english, told in spanish.items():
        assert sorted(re.findall(r"\{\w+\}", english)) == sorted(re.findall(r"\{\w+\}", told)), english
        assert english.endswith(".") == told.endswith("."), english
    assert script_words("en") == {}


def test_the_language_is_the_persons_the_devices_or_the_addresses(here: Office) -> None:
    job = keep_example(here.store, "sloping-lot")
    way = f"/jobs/{job}/after"
    assert '<html lang="en"' in here.get(way).text
    assert here.post("/me/language", language="fr").status_code == 422
    assert here.post("/me/language", language="es").status_code == 303
    assert people.person(here.store, here.who.firm, here.who.person).language == "es"
    assert '<html lang="es"' in here.get(way).text
    assert "Después del trabajo" in here.get(way).text
    assert '<html lang="en"' in here.get(f"/jobs/{job}/water").text  # told in English alone, and says so
    assert '<html lang="en"' in here.get(f"{way}?lang=en").text
    assert '<html lang="en"' in here.get(way).text  # that device keeps to it
    assert here.post("/me/language", language="es").status_code == 303
    assert '<html lang="es"' in here.get(way).text  # until the person sets it anew
    assert '<html lang="es"' in here.get(f"{way}?lang=xx").text
