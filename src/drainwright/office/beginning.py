"""The document of a job as far as a first call or visit tells it."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from drainwright.office.questions import firm_files
from drainwright.office.store.opening import Store

CALLED = {
    "firm.yaml": "firm: {file: firm.yaml}", "prices.yaml": "price_book: {file: prices.yaml}",
    "pumps.csv": "pumps_file: pumps.csv", "pipes.csv": "pipes_file: pipes.csv",
}  # fmt: skip
NOTHING: Mapping[str, str] = MappingProxyType({})


def first_text(
    store: Store, firm: str, title: str, units: Literal["US", "SI"], *, number: str = "",
    customer: Mapping[str, str] = NOTHING, place: Mapping[str, str] = NOTHING, notes: str = "",
) -> str:  # fmt: skip
    """A job's document with what is known, and the names of the firm's own files.

    Parameters
    ----------
    store : Store
        Where the firm's files are.
    firm : str
        Whose job it is.
    title, number, notes : str
        Of the job; number and notes may be empty.
    units : {"US", "SI"}
        Of its papers.
    customer, place : mapping of str to str
        Of the customer and the property, by the keys of the document; empty ones are left out.

    Returns
    -------
    str
        YAML.
    """
    lines = ["schema_version: 1", f"title: {_said(title)}"]
    if number:
        lines.append(f"number: {_said(number)}")
    lines += [f"date: {datetime.date.today().isoformat()}  # of the first call", f"units: {units}"]
    for section, values in (("customer", customer), ("property", place)):
        if any(values.values()):
            lines += [f"{section}:", *(f"  {key}: {_said(value)}" for key, value in values.items() if value)]
    beside = {name for name, _ in firm_files(store, firm)}
    lines += [line for name, line in CALLED.items() if name in beside]
    if notes:
        lines.append(f"notes: {_said(notes)}")
    return "\n".join(lines) + "\n"


def _said(text: str) -> str:
    """A text as YAML that reads back as just that text."""
    return json.dumps(text, ensure_ascii=False)


__all__ = ["first_text"]
