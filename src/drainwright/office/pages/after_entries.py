"""What is typed after a job, as entries of its records: a visit, a season, one thing of its proof; and back again."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from drainwright.office.pages.fields import Sent

STRETCHES = ("shut", "pumping", "open")
TROUBLES = ("roots", "sand", "leaves")
UNITS = {  # what a bare number is taken in
    "US": {"flow": "gpm", "small": "in", "level": "ft", "area": "ft2", "rain": "in", "time": "s", "volume": "gal"},
    "SI": {"flow": "L/min", "small": "mm", "level": "m", "area": "m2", "rain": "mm", "time": "s", "volume": "L"},
}  # fmt: skip
MORE_FIELDS = ("shut", "pumping", "open", "flow", "within", "starts", "new", "in_service")  # of forms alone
LABELS = {  # where the name of a field does not say enough
    "came": "water came", "new": "new pump", "off": "pump stops", "on": "pump starts", "open": "pump off again",
    "out": "out from it", "shut": "pump off at first", "signed.on": "day",
}  # fmt: skip
_BARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+")

Entry = dict[str, Any]
Texts = dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One kind of thing that is typed: where it stands in its record, and how it goes into a form and out of it."""

    record: str  # key of its record
    title: str
    way: tuple[str, ...]  # to its list; none: it is the record itself
    names: tuple[str, ...]  # what tells its entries apart
    keys: tuple[str, ...]  # what its form fills; all else of an entry stays when it is changed
    read: Callable[[Sent, str], Entry]  # of a form and the units of bare numbers
    texts: Callable[[Entry], Texts] | None  # for the form; none: it has no form


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


def blank_visits(job: str, since: str) -> str:
    """A record of visits without a visit."""
    return f"schema_version: 1\njob: {json.dumps(job, ensure_ascii=False)}\nin_service: {json.dumps(since)}\n"


def blank_season(job: str) -> str:
    """A record of a season without a day."""
    return f"schema_version: 1\njob: {json.dumps(job, ensure_ascii=False)}\n"


def standing(record: Mapping[str, Any], part: Part, named: Mapping[str, Any]) -> Entry | None:
    """The entry of a part that has the names of another; None where there is none."""
    if not part.way:
        found: Entry = {key: record[key] for key in part.keys if key in record}
        return found or None
    return next((one for one in _listed(record, part) if _same(one, named, part)), None)


def alike(part: Part, entry: Entry | None, other: Entry | None, units: str) -> bool:
    """Whether two entries say the same in a form of theirs; None is like None alone."""
    if entry is None or other is None:
        return entry is other
    one, two = (
        part.read(Sent(part.texts(told), {}), units) if part.texts is not None else told for told in (entry, other)
    )
    return one == two


def put(tree: Any, part: Part, entry: Entry) -> None:
    """Put an entry into a record; of one with the same names what no form fills stays."""
    if not part.way:
        for key in part.keys:
            tree.pop(key, None)
        tree.update(entry)
        return
    (*way, last) = part.way
    for step in way:
        if not isinstance(tree.get(step), dict):
            tree[step] = {}
        tree = tree[step]
    entries = list(tree.get(last) or [])
    before = next((number for number, one in enumerate(entries) if _same(one, entry, part)), None)
    if before is None:
        entries.append(entry)
    else:
        entries[before] = {key: value for key, value in entries[before].items() if key not in part.keys} | entry
    tree[last] = sorted(entries, key=lambda one: str(one.get("on"))) if part.record == "visits" else entries


def take_out(tree: Any, part: Part, named: Mapping[str, Any]) -> None:
    """Take an entry out of a record; where there is none, nothing changes."""
    (*way, last) = part.way
    for step in way:
        tree = tree.get(step) or {}
    left = [one for one in tree.get(last) or [] if not _same(one, named, part)]
    if left:
        tree[last] = left
    else:
        tree.pop(last, None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One thing that an entry says: what it is, of what, and the value as it was typed."""

    label: str
    of: str
    text: str  # empty where the label says all
    lines: int = 0  # in its place: of several lines their number


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """An entry as a page lists it."""

    part: str
    title: str
    which: str  # its names, in words
    said: tuple[Said, ...]  # what else it says
    names: tuple[tuple[str, str], ...]  # fields that tell it
    texts: Texts  # of its form
    changes: bool  # a form can say all of it


def noted(record: Mapping[str, Any], key: str) -> tuple[Noted, ...]:
    """All entries of a record that were typed, or might have been."""
    found = []
    for name, part in PARTS.items():
        if part.record != key or not part.way:
            continue
        for entry in _listed(record, part):
            texts = part.texts(entry) if part.texts is not None else _plain_texts(entry, part.keys)
            told = tuple((field, str(entry.get(field) or "")) for field in part.names)
            rest = [(field, text) for field, text in texts.items() if text and field not in part.names]
            found.append(Noted(
                part=name, title=part.title, which=", ".join(text for _, text in told if text),
                said=tuple(_said(name, field, text) for field, text in rest), names=told, texts=texts,
                changes=part.texts is not None and _says_all(part, entry, texts),
            ))  # fmt: skip
    return tuple(found)


def season_texts(record: Mapping[str, Any]) -> Texts:
    """The form of a season as its record stands."""
    texts = _plain_texts(record, ("basin", "direct_area", "reach"))
    lines = []
    for one in record.get("days") or []:
        parts = [one.get("on"), one.get("rain"), one.get("starts")] if isinstance(one, dict) else one
        lines.append(", ".join(map(str, parts)))
    return texts | {"days": "\n".join(lines)}


def _listed(record: Mapping[str, Any], part: Part) -> list[Entry]:
    at: Any = record
    for step in part.way:
        at = at.get(step) if isinstance(at, dict) else None
    return [one for one in at or [] if isinstance(one, dict)]


def _same(entry: Any, named: Mapping[str, Any], part: Part) -> bool:
    return all(str(entry.get(name) or "") == str(named.get(name) or "") for name in part.names)


def _says_all(part: Part, entry: Entry, texts: Texts) -> bool:
    """Whether a form loses nothing: a test of two pumped stretches, say, has no room in it."""
    read = part.read(Sent(texts, {}), "SI")  # texts have their units
    return all(_plainly(read.get(key)) == _plainly(entry.get(key)) for key in part.keys)


def _plainly(value: Any) -> Any:
    """A value told apart from others by its text alone; a reading as a pair or by keys is the same."""
    if isinstance(value, dict):
        parts = value.values() if set(value) == {"time", "tape"} else value.items()
        return [_plainly(one) for one in parts]
    if isinstance(value, list | tuple):
        return [_plainly(one) for one in value]
    return "" if value in (None, False) else str(value).strip()


def label_of(part: str, field: str) -> str:
    """What a field of an entry is called where the entry is told in a line."""
    return LABELS.get(f"{part}.{field}") or LABELS.get(field) or field.replace("_", " ")


def _said(part: str, field: str, text: str) -> Said:
    name, _, of = field.partition(":")
    many = text.count("\n") + 1
    told = "" if text == "yes" or many > 1 else text
    return Said(label=label_of(part, name), of=of, text=told, lines=many if many > 1 else 0)


def _plain_texts(entry: Mapping[str, Any], names: tuple[str, ...]) -> Texts:
    return {name: str(entry[name]) for name in names if entry.get(name) is not None}


def _listing(text: str) -> list[str]:
    return [one.strip() for one in re.split(r"[,;]", text) if one.strip()]


def _sizes(form: Sent, units: str, kind: str, *names: str) -> Entry:
    return {name: measured(text, kind, units) for name in names if (text := form.text(name))}


def _note(form: Sent) -> Entry:
    return {"note": text} if (text := form.lines("note").strip()) else {}


def _visit(form: Sent, units: str) -> Entry:
    looked = []
    for name in names_of(form, "flow"):
        flow, within, starts = (form.text(f"{field}:{name}") for field in ("flow", "within", "starts"))
        one: Entry = {"basin": name}
        one |= {"flow": measured(flow, "flow", units)} if flow else {}
        one |= {"flow_within": measured(within, "flow", units)} if within else {}
        one |= {"starts": whole(starts)} if starts else {}
        looked += [one] if len(one) > 1 else []
    silt = [
        {"inlet": name, "depth": measured(text, "small", units)}
        for name in names_of(form, "silt")
        if (text := form.text(f"silt:{name}"))
    ]
    parts: Entry = {
        "by": form.text("by"), "found": [one for one in TROUBLES if form.text(f"found:{one}")], "basins": looked,
        "silt": silt, "done": [line.strip() for line in form.lines("done").split("\n") if line.strip()],
        "new_pump": [name for name in names_of(form, "new") if form.text(f"new:{name}")],
        "note": form.lines("note").strip(),
    }  # fmt: skip
    return {"on": form.text("on")} | {name: value for name, value in parts.items() if value}


def _visit_texts(entry: Entry) -> Texts:
    texts = _plain_texts(entry, ("on", "by", "note"))
    texts |= {f"found:{one}": "yes" for one in entry.get("found") or []}
    for one in entry.get("basins") or []:
        fields = {"flow": "flow", "within": "flow_within", "starts": "starts"}
        told = {f"{field}:{one.get('basin')}": str(one.get(key) or "") for field, key in fields.items()}
        texts |= {f"flow:{one.get('basin')}": ""} | {field: text for field, text in told.items() if text}
    texts |= {f"new:{name}": "yes" for name in entry.get("new_pump") or []}
    texts |= {f"silt:{one.get('inlet')}": str(one.get("depth")) for one in entry.get("silt") or []}
    return texts | ({"done": "\n".join(map(str, done))} if (done := entry.get("done")) else {})


def _season(form: Sent, units: str) -> Entry:
    """A line for each day, as ``2027-03-01, 0.35 in, 14``."""
    days = []
    for line in form.lines("days").split("\n"):
        parts = [part.strip() for part in re.split(r"[,;\t]", line)]
        if not any(parts):
            continue
        if len(parts) == 3:
            days.append([parts[0], measured(parts[1], "rain", units), whole(parts[2])])
        else:
            days.append([part for part in parts if part])
    sizes = _sizes(form, units, "area", "direct_area") | _sizes(form, units, "level", "reach")
    return {"basin": form.text("basin"), "days": days} | sizes


def _basin(form: Sent, units: str) -> Entry:
    stretches = [(one, _readings(form.lines(one), units)) for one in STRETCHES]
    seen = {one: form.text(one) for one in ("relief_squirts", "alarm_sounds")}
    floor = {"tape_from": zero} if (zero := form.text("tape_from")) not in ("", "rim") else {}
    return {
        "basin": form.text("basin"), **floor,
        "stretches": [{"while": one, "readings": rows} for one, rows in stretches if rows],
        **{one: told == "yes" for one, told in seen.items() if told in ("yes", "no")}, **_note(form),
    }  # fmt: skip


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


def _basin_texts(entry: Entry) -> Texts:
    texts = _plain_texts(entry, ("basin", "note")) | {"tape_from": str(entry.get("tape_from") or "rim")}
    for one in entry.get("stretches") or []:
        looks = [look.values() if isinstance(look, dict) else look for look in one.get("readings") or []]
        texts[str(one.get("while"))] = "\n".join(", ".join(map(str, look)) for look in looks)
    seen = {one: entry.get(one) for one in ("relief_squirts", "alarm_sounds")}
    return texts | {one: "yes" if told else "no" for one, told in seen.items() if told is not None}


def _hose(form: Sent, units: str) -> Entry:
    found: Entry = {"inlet": form.text("inlet")} | _sizes(form, units, "volume", "bucket")
    for one in ("fills", "out_fills"):
        texts = _listing(form.text(one))
        found |= {one: [measured(text, "time", units) for text in texts]} if texts else {}
    found |= {"came": bool(form.text("came"))} | ({"backed_up": True} if form.text("backed_up") else {})
    return found | _note(form)


def _hose_texts(entry: Entry) -> Texts:
    texts = _plain_texts(entry, ("inlet", "bucket", "note"))
    texts |= {one: ", ".join(map(str, entry[one])) for one in ("fills", "out_fills") if entry.get(one)}
    return texts | {one: "yes" for one in ("came", "backed_up") if entry.get(one)}


def _plain(kind: str, name: str, *sizes: str) -> tuple[Callable[[Sent, str], Entry], Callable[[Entry], Texts]]:
    """How an entry of a name and sizes of one kind goes into a form and out of it."""

    def read(form: Sent, units: str) -> Entry:
        return {name: form.text(name)} | _sizes(form, units, kind, *sizes)

    def texts(entry: Entry) -> Texts:
        return _plain_texts(entry, (name, *sizes))

    return read, texts


def _signed(form: Sent, units: str) -> Entry:
    return {"name": form.text("name")} | {one: text for one in ("role", "on") if (text := form.text(one))}


def _photo(form: Sent, units: str) -> Entry:
    return {"checkpoint": whole(form.text("checkpoint"))} | ({"file": text} if (text := form.text("file")) else {})


def _part(
    record: str, title: str, way: tuple[str, ...], names: tuple[str, ...], keys: tuple[str, ...],
    read: Callable[[Sent, str], Entry], texts: Callable[[Entry], Texts] | None,
) -> Part:  # fmt: skip
    return Part(record=record, title=title, way=way, names=names, keys=(*names, *keys), read=read, texts=texts)


_BASIN = ("tape_from", "stretches", "relief_squirts", "alarm_sounds", "note")
_HOSE = ("bucket", "fills", "out_fills", "came", "backed_up", "note")
_VISIT = ("by", "found", "basins", "silt", "done", "new_pump", "note")
_GROUND = ("near", "far", "out")
PARTS: Mapping[str, Part] = MappingProxyType({
    "basin": _part("proof", "Basin, pumped down", ("basins",), ("basin",), _BASIN, _basin, _basin_texts),
    "floats": _part("proof", "Floats", ("as_built", "basins"), ("basin",), ("on", "off", "alarm"),
                    *_plain("small", "basin", "on", "off", "alarm")),
    "hose": _part("proof", "Hose", ("hoses",), ("inlet",), _HOSE, _hose, _hose_texts),
    "run": _part("proof", "Run", ("as_built", "runs"), ("run",), ("upper", "lower"),
                 *_plain("level", "run", "upper", "lower")),
    "ground": _part("proof", "Ground", ("as_built", "ground"), ("wall", "along"), _GROUND,
                    *_plain("level", "wall", *_GROUND, "along")),
    "signed": _part("proof", "Signed", ("signed",), ("name",), ("role", "on"), _signed,
                    lambda entry: _plain_texts(entry, ("name", "role", "on"))),
    "photo": _part("proof", "Photograph of checkpoint", ("photos",), ("checkpoint",), ("file",), _photo, None),
    "visit": _part("visits", "Visit", ("visits",), ("on",), _VISIT, _visit, _visit_texts),
    "season": _part("season", "Season", (), (), ("basin", "direct_area", "reach", "days"), _season, season_texts),
})  # fmt: skip


__all__ = [
    "LABELS", "MORE_FIELDS", "PARTS", "UNITS", "Noted", "Part", "Said", "alike", "blank_season", "blank_visits",
    "label_of", "measured", "noted", "put", "season_texts", "standing", "take_out", "whole",
]  # fmt: skip
