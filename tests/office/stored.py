"""Example jobs in a store, with the files beside them, as the pages find them."""

from __future__ import annotations

from pathlib import Path

from drainwright.office.questions import BESIDE
from drainwright.office.store.files import attach
from drainwright.office.store.jobs import open_job
from drainwright.office.store.opening import Store
from drainwright.office.who import person_here

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def keep_example(store: Store, name: str, text: str | None = None) -> str:
    """Put an example into the store of one person; gives the job's id."""
    folder = EXAMPLES / name
    who = person_here(store)
    own = text if text is not None else (folder / "job.yaml").read_text(encoding="utf-8")
    job = open_job(store, who.firm, own, who.name, stage="designed")
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.name not in {"job.yaml", "mended.yaml"}:
            attach(
                store, who.firm, job.id, path.read_bytes(), name=path.relative_to(folder).as_posix(),
                media_type="application/octet-stream", who=who.name, kind=BESIDE,
            )  # fmt: skip
    return job.id


__all__ = ["EXAMPLES", "keep_example"]
