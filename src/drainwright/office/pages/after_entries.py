"""What is typed after a job, as changes of its records: a visit, a season."""

from __future__ import annotations

import json
import re
from typing import Any

from drainwright.office.pages.fields import Sent

TROUBLES = ("roots", "sand", "leaves")
UNITS = {  # what a bare number is taken in
    "US": {"flow": "gpm", "small": "in", "level": "ft", "area": "ft2", "rain": "in"},
    "SI": {"flow": "L/min", "small": "mm", "level": "m", "area": "m2", "rain": "mm"},
}  # fmt: skip
_BARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+")


def measured(text: str, kind: str, units: str) -> str:
    """A length, flow or area as it was typed; a bare number with the job's unit.

    Examples
    --------
    >>> measured("66.1", "flow", "US"), measured("2 1/2 in", "small", "SI")
    ('66.1 gpm', '2 1/2 in')
    """
    return f"{text} {UNITS[units][kind]}" if _BARE.fullmatch(text) else text


def whole(text: str) -> int | str:
    """A count; what is none stays text, to be refused with its words."""
    bare = text.replace(",", "")
    return int(bare) if bare.isascii() and bare.isdigit() and len(bare) < 10 else text


def names_of(form: Sent, field: str) -> list[str]:
    """The things that a form has a field for, as ``flow:SUMP``, in its order."""
    return [name.partition(":")[2] for name in form.texts if name.startswith(f"{field}:")]


def visit_of(form: Sent, units: str) -> dict[str, Any]:
    """A visit as its record has it."""
    looked = []
    for name in names_of(form, "flow"):
        flow, within, starts = (form.text(f"{field}:{name}") for field in ("flow", "within", "starts"))
        one: dict[str, Any] = {"basin": name}
        one |= {"flow": measured(flow, "flow", units)} if flow else {}
        one |= {"flow_within": measured(within, "flow", units)} if within else {}
        one |= {"starts": whole(starts)} if starts else {}
        looked += [one] if len(one) > 1 else []
    silt = [
        {"inlet": name, "depth": measured(text, "small", units)}
        for name in names_of(form, "silt")
        if (text := form.text(f"silt:{name}"))
    ]
    parts: dict[str, Any] = {
        "by": form.text("by"), "found": [one for one in TROUBLES if form.text(f"found:{one}")], "basins": looked,
        "silt": silt, "done": [line.strip() for line in form.lines("done").split("\n") if line.strip()],
        "new_pump": names_of(form, "new"), "note": form.lines("note").strip(),
    }  # fmt: skip
    return {"on": form.text("on")} | {name: value for name, value in parts.items() if value}


def with_visit(tree: Any, visit: dict[str, Any]) -> None:
    """Put a visit among the others by its day; one of the same day gives way to it."""
    others = [one for one in tree.get("visits") or [] if str(one.get("on")) != visit["on"]]
    tree["visits"] = sorted([*others, visit], key=lambda one: str(one.get("on")))


def blank_visits(job: str, since: str) -> str:
    """A record of visits without a visit."""
    return f"schema_version: 1\njob: {json.dumps(job, ensure_ascii=False)}\nin_service: {json.dumps(since)}\n"


def season_of(form: Sent, units: str) -> dict[str, Any]:
    """What a season's record has besides its head: a line for each day, as ``2027-03-01, 0.35 in, 14``."""
    days = []
    for line in form.lines("days").split("\n"):
        parts = [part.strip() for part in re.split(r"[,;\t]", line)]
        if not any(parts):
            continue
        if len(parts) == 3:
            days.append([parts[0], measured(parts[1], "rain", units), whole(parts[2])])
        else:
            days.append([part for part in parts if part])
    found: dict[str, Any] = {"basin": form.text("basin"), "days": days}
    for name, kind in (("direct_area", "area"), ("reach", "level")):
        found |= {name: measured(text, kind, units)} if (text := form.text(name)) else {}
    return found


def season_texts(record: dict[str, Any]) -> dict[str, str]:
    """The form of a season as its record stands."""
    texts = {name: str(record[name]) for name in ("basin", "direct_area", "reach") if record.get(name) is not None}
    lines = []
    for one in record.get("days", []):
        parts = [one.get("on"), one.get("rain"), one.get("starts")] if isinstance(one, dict) else one
        lines.append(", ".join(map(str, parts)))
    return texts | {"days": "\n".join(lines)}


def with_season(tree: Any, season: dict[str, Any]) -> None:
    """Put a season in place of what was there."""
    for name in ("basin", "direct_area", "reach", "days"):
        tree.pop(name, None)
    tree.update(season)


__all__ = [
    "TROUBLES", "UNITS", "blank_visits", "measured", "season_of", "season_texts", "visit_of", "whole", "with_season",
    "with_visit",
]  # fmt: skip
