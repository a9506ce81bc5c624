"""What is typed after a job, as changes of its records: a visit, a season, one thing of its proof."""

from __future__ import annotations

import json
import re
from typing import Any

from fastapi import HTTPException

from drainwright.office.pages.fields import Sent

PROOF_PARTS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {  # the way to its list, what tells entries apart
    "basin": (("basins",), ("basin",)), "hose": (("hoses",), ("inlet",)),
    "run": (("as_built", "runs"), ("run",)), "floats": (("as_built", "basins"), ("basin",)),
    "ground": (("as_built", "ground"), ("wall", "along")), "signed": (("signed",), ("name",)),
}  # fmt: skip
STRETCHES = ("shut", "pumping", "open")
TROUBLES = ("roots", "sand", "leaves")
UNITS = {  # what a bare number is taken in
    "US": {"flow": "gpm", "small": "in", "level": "ft", "area": "ft2", "rain": "in", "time": "s", "volume": "gal"},
    "SI": {"flow": "L/min", "small": "mm", "level": "m", "area": "m2", "rain": "mm", "time": "s", "volume": "L"},
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


def proof_entry(form: Sent, part: str, units: str) -> dict[str, Any]:
    """One thing of a proof, as its record has it.

    Raises
    ------
    HTTPException
        422, where there is no such part.
    """
    if part not in PROOF_PARTS:
        raise HTTPException(422, f"part: found {part!r}; expected one of {', '.join(PROOF_PARTS)}")

    def sizes(kind: str, *names: str) -> dict[str, Any]:
        return {name: measured(text, kind, units) for name in names if (text := form.text(name))}

    name = PROOF_PARTS[part][1][0]
    found: dict[str, Any] = {name: form.text(name)}
    if part == "basin":
        stretches = [(one, _readings(form.lines(one), units)) for one in STRETCHES]
        found |= {"tape_from": form.text("tape_from") or "rim"}
        found |= {"stretches": [{"while": one, "readings": rows} for one, rows in stretches if rows]}
        seen = {one: form.text(one) for one in ("relief_squirts", "alarm_sounds")}
        found |= {one: told == "yes" for one, told in seen.items() if told in ("yes", "no")}
    elif part == "hose":
        found |= sizes("volume", "bucket")
        for one in ("fills", "out_fills"):
            texts = [text.strip() for text in re.split(r"[,;]", form.text(one)) if text.strip()]
            found |= {one: [measured(text, "time", units) for text in texts]} if texts else {}
        found |= {"came": bool(form.text("came"))} | ({"backed_up": True} if form.text("backed_up") else {})
    elif part == "run":
        found |= sizes("level", "upper", "lower")
    elif part == "floats":
        found |= sizes("small", "on", "off", "alarm")
    elif part == "ground":
        found |= sizes("level", "near", "far", "out", "along")
    else:
        found |= {one: text for one in ("role", "on") if (text := form.text(one))}
    note = form.lines("note").strip()
    return found | ({"note": note} if note and part in ("basin", "hose") else {})


def _readings(text: str, units: str) -> list[list[str]]:
    """A time and a length from each line; what has not two parts stays as it is, to be refused with its words."""
    rows = []
    for line in text.split("\n"):
        parts = [part.strip() for part in re.split(r"[,;\t]", line) if part.strip()]
        if len(parts) == 2:
            rows.append([measured(parts[0], "time", units), measured(parts[1], "small", units)])
        elif parts:
            rows.append(parts)
    return rows


def with_proof(tree: Any, part: str, entry: dict[str, Any]) -> None:
    """Put one thing into a record of proof; one of the same name gives way to it."""
    (*way, last), names = PROOF_PARTS[part]
    for step in way:
        if not isinstance(tree.get(step), dict):
            tree[step] = {}
        tree = tree[step]
    others = [one for one in tree.get(last) or [] if any(str(one.get(name)) != str(entry.get(name)) for name in names)]
    tree[last] = [*others, entry]


__all__ = [
    "PROOF_PARTS", "TROUBLES", "UNITS", "blank_visits", "measured", "proof_entry", "season_of", "season_texts",
    "visit_of", "whole", "with_proof", "with_season", "with_visit",
]  # fmt: skip
