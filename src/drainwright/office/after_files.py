"""Files of what comes after a job: forms to fill in, records as they were saved, papers of them."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from drainwright.errors import JobError, Problem
from drainwright.office.after import SORTS, YAML, Recorded, named_pictures, recorded, small_pictures
from drainwright.office.answers.asking import View
from drainwright.office.store.opening import Store
from drainwright.office.views import after as views
from drainwright.office.views.season import season_page, season_plain
from drainwright.office.views.visits import visits_page, visits_paper, visits_plain

PDF, JSON = "application/pdf", "application/json"


@dataclass(frozen=True, slots=True, kw_only=True)
class FileAfter:
    """One of them."""

    kind: str
    sort: str = ""  # of the record that it is made of; none: of the job alone


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What makes a file: its bytes, or the view that gives them, with a name that tells it from all others."""

    name: str
    content: bytes | None = None
    view: View[Any] | None = None


FILES: Mapping[str, FileAfter] = MappingProxyType({
    "proof-form.pdf": FileAfter(kind=PDF),
    "proof-form-es.pdf": FileAfter(kind=PDF),
    "proof-blank.yaml": FileAfter(kind=YAML),
    "proof.yaml": FileAfter(kind=YAML, sort="proof"),
    "proof.pdf": FileAfter(kind=PDF, sort="proof"),
    "as-built.json": FileAfter(kind=JSON, sort="proof"),
    "service.yaml": FileAfter(kind=YAML, sort="visits"),
    "service.pdf": FileAfter(kind=PDF, sort="visits"),
    "service-checklist.pdf": FileAfter(kind=PDF),
    "service-checklist-es.pdf": FileAfter(kind=PDF),
    "season.yaml": FileAfter(kind=YAML, sort="season"),
})  # fmt: skip
_OF_THE_JOB: Mapping[str, View[Any]] = MappingProxyType({
    "proof-form.pdf": views.form(spanish=False), "proof-form-es.pdf": views.form(spanish=True),
    "service-checklist.pdf": views.checklist(spanish=False), "service-checklist-es.pdf": views.checklist(spanish=True),
    "proof-blank.yaml": views.starter,
})  # fmt: skip


def asked_of(store: Store, firm: str, job: str, name: str) -> Asked | None:
    """What makes a file; None where there is no such file, or no record to make it of.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    one = FILES.get(name)
    if one is None:
        return None
    if not one.sort:
        return Asked(name=f"after {name}", view=_OF_THE_JOB[name])
    kept = recorded(store, firm, job, SORTS[one.sort])
    if kept is None:
        return None
    if one.kind == YAML:
        return Asked(name=name, content=kept.text.encode())
    return _of_record(store, firm, job, name, kept)


def _of_record(store: Store, firm: str, job: str, name: str, kept: Recorded) -> Asked:
    alone = {"as-built.json": views.built_of, "service.pdf": visits_paper}
    if name in alone:
        return Asked(name=f"after {name} {digest(kept.text)}", view=alone[name](kept.text))
    photos = small_pictures(store, firm, named_pictures(store, firm, job, kept.text))
    return Asked(name=f"after {name} {digest(kept.text, photos)}", view=views.proof_paper_of(kept.text, photos))


def page_view(key: str, text: str, photos: tuple[str, ...]) -> View[Any]:
    """What the page of a record shows; ``text`` is empty where none was saved."""
    if key == "proof":
        return views.proof_page(text, photos)
    return visits_page(text) if key == "visits" else season_page(text)


def plain_view(key: str, text: str, photos: tuple[str, ...]) -> View[dict[str, Any]]:
    """What the command line tells of a record with ``--json``, or its problems."""
    if key == "proof":
        return views.proof_plain(text, photos)
    return visits_plain(text) if key == "visits" else season_plain(text)


def photos_of(store: Store, firm: str, job: str, key: str, text: str) -> tuple[str, ...]:
    """The photographs that a record of proof names and that hang on the job, by its names; none of other records.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    return tuple(sorted(named_pictures(store, firm, job, text))) if key == "proof" else ()


def digest(*parts: object) -> str:
    """What tells an answer about a record from all others."""
    return hashlib.sha256(repr(parts).encode()).hexdigest()


def unrefused(shown: Any) -> Any:
    """What a view gave, if it gave no problems.

    Raises
    ------
    JobError
        With the problems.
    """
    if isinstance(shown, tuple) and shown and all(isinstance(one, Problem) for one in shown):
        raise JobError(shown)
    return shown


__all__ = ["FILES", "Asked", "FileAfter", "asked_of", "digest", "page_view", "photos_of", "plain_view", "unrefused"]
