"""The crew's packet of a job whose line goes through a drive."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from drainwright.build import build_side
from drainwright.build.units import FOOT
from drainwright.design import Design
from drainwright.job.site import YardArea
from drainwright.job.values import Place
from drainwright.paper.documents import crew_spanish
from drainwright.paper.documents.hazards import more_rows
from drainwright.paper.documents.spanish import Translator

from ..conftest import designed
from .papers import sheets_of
from .test_spanish import texts


@cache
def paved(surface: str) -> Design:
    """The block-wall house with a paved strip across its discharge line."""
    design = designed("block-wall-house/job")
    outline = tuple(Place(east=x * FOOT, north=y * FOOT) for x, y in ((20, -18), (60, -18), (60, -28), (20, -28)))
    yard = YardArea.model_validate({"name": "drive", "outline": outline, "surface": surface, "to": "away"})
    job = design.job.model_copy(update={"yards": (*design.job.yards, yard)})
    site = replace(design.site, job=job)
    return replace(design, job=job, site=site, build=build_side(site, design.system))


@pytest.mark.parametrize("surface", ["concrete", "asphalt", "paving"])
def test_its_works_are_said_in_spanish(surface: str, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[Translator] = []
    first = crew_spanish.translator_of

    def kept(design: Design) -> Translator:
        made.append(first(design))
        return made[-1]

    monkeypatch.setattr(crew_spanish, "translator_of", kept)
    design = paved(surface)
    crew_spanish.crew_packet_spanish(design, sheets_of(design))
    assert made
    assert not any("pav" in text or "asphalt" in text or "rubble" in text for one in made for text in one.missing)


def test_the_saw_stands_beside_the_silica_dust() -> None:
    def told(surface: str) -> str:
        return " ".join(texts(more_rows(paved(surface))))

    assert "of paving to saw" in told("concrete")
    assert "of paving to saw" not in told("paving")
