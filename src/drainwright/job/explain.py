"""From what the schema refuses to problems in the words of the trade."""

from __future__ import annotations

import difflib
import re
import types
from collections.abc import Callable, Mapping
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from drainwright.errors import JobError, Problem
from drainwright.job.loading import MOST_PROBLEMS, Loaded, Part, Spot, join, nearest, short
from drainwright.quantities import QuantityError

Model = TypeVar("Model", bound=BaseModel)
_REST = re.compile(r"[-+.0-9]|(?:measured|mapped|stated|assumed)$", re.IGNORECASE)  # behind an unquoted comma
_SENTENCES = frozenset({"address", "description", "note", "source", "text", "title", "what"})  # keys of free words
_THOUSANDS = re.compile(r"[0-9]{3}(?![0-9])")
_ALSO = {
    "client": "customer",
    "state": "condition",
    "soundness": "condition",
}  # words that people have for keys that are named otherwise
_SIDES = {  # a turn told by its side alone
    ("turn", "right"): "right is positive: a square corner to the right is '90 deg'",
    ("turn", "left"): "left is negative: a square corner to the left is '-90 deg'",
}
AMOUNTS = frozenset(  # words that say how much in their own right: "some" is not "none", "any" is not "many"
    (
        "a few", "a little", "a lot", "all", "any", "average", "dense", "half", "high", "light", "little", "lots",
        "low", "medium", "mild", "minor", "moderate", "more", "most", "much", "normal", "one", "plenty", "several",
        "slight", "some", "thick", "thin",
    )
)  # fmt: skip
_RULE = re.compile(r"(?:found (?P<found>.*): )?expected (?P<expected>.*)", re.DOTALL)


def record_of(model: type[Model], loaded: Loaded, file: str) -> Model:
    """What was loaded, as a record of its schema.

    Parameters
    ----------
    model : type
        The schema.
    loaded : Loaded
        The document as plain mappings and lists, with its lines.
    file : str
        The document's name.

    Returns
    -------
    Model
        The record.

    Raises
    ------
    JobError
        Lists every fault, as ``problems_of`` tells it.
    """
    try:
        return model.model_validate(loaded.record, context={"document": True})
    except ValidationError as error:
        raise JobError(problems_of(error, model, loaded.record, file, loaded.spots)) from None


def problems_of(
    error: ValidationError, model: type[BaseModel], record: object, file: str, spots: Mapping[str, Spot]
) -> tuple[Problem, ...]:
    """Every fault of a document, each with its line, path, finding, what is accepted, and a hint.

    Parameters
    ----------
    error : ValidationError
        What the schema said.
    model : type[BaseModel]
        The schema of the whole record, to name the keys it knows.
    record : object
        The plain record that was validated.
    file : str
        The document's name.
    spots : Mapping[str, Spot]
        The places of the record's parts.

    Returns
    -------
    tuple[Problem, ...]
        In the order of the document; at most ``MOST_PROBLEMS``.
    """
    problems: list[Problem] = []
    parted: set[str] = set()  # values that an unquoted comma cut short: their remainder is told
    suggested: set[str] = set()  # keys that a misspelt one stands for: not missing too
    details = error.errors()[: 5 * MOST_PROBLEMS]
    for detail in sorted(details, key=lambda detail: detail["type"] != "extra_forbidden"):
        parts = _document_path(detail, record)
        where = ""
        for part in parts:
            where = join(where, part)
        if detail["type"] == "too_short" and len(detail["input"]) >= detail["ctx"]["min_length"]:
            continue  # long enough: its entries are wrong, and reported
        found, expected, hint = _words(detail, model, parts, suggested, where)
        if detail["type"] == "extra_forbidden" and (cut := _cut_by_a_comma(record, parts)):
            parted.add(join(where.removesuffix(str(parts[-1])).rstrip("."), cut[0]))
            hint = f'put it in quotes: {cut[0]}: "{cut[1]}"'
        if detail["type"] == "missing" and where in suggested:
            continue
        spot = spots.get(nearest(where, spots))
        problem = Problem(
            where=where, found=found, expected=expected, hint=hint, file=file, line=spot and spot.line,
            column=spot and spot.column,
        )  # fmt: skip
        if problem not in problems:
            problems.append(problem)
    problems = [problem for problem in problems if problem.where not in parted]
    problems.sort(key=lambda problem: (problem.line or 0, problem.column or 0))
    return tuple(problems[:MOST_PROBLEMS])


def _document_path(detail: ErrorDetails, record: object) -> list[Part]:
    """The error's place without parts that only the schema knows (union tags, the value of a plain fact)."""
    parts: list[Part] = []
    at: Any = record
    part: Any
    for index, part in enumerate(detail["loc"]):
        if (isinstance(at, dict) and part in at) or (isinstance(at, list) and isinstance(part, int) and part < len(at)):
            at = at[part]
        elif detail["type"] != "missing" or index < len(detail["loc"]) - 1:
            continue
        parts.append(part)
    return parts


def _cut_by_a_comma(record: object, parts: list[Part]) -> tuple[str, str] | None:
    """For a key without a value that is the rest of a value cut by an unquoted comma, the key and whole value.

    ``{depth: 7 in, measured}`` reads as two keys, ``depth`` and ``measured``; so does ``{at: 12 ft, 30 ft}``.
    """
    mapping: Any = record
    for part in parts[:-1]:
        mapping = mapping[part]
    if not isinstance(mapping, dict) or mapping.get(parts[-1]) is not None:
        return None
    whole: list[str] = []  # the key that was cut, and the pieces of its value
    for key, value in mapping.items():
        if value is not None:
            whole = [str(key), str(value)]
        elif whole and (_REST.match(str(key)) or " " in str(key) or whole[0] in _SENTENCES):  # no key has a space
            thousands = _THOUSANDS.match(str(key)) and whole[-1].lstrip("+-").isdecimal()
            whole[-1:] = [f"{whole[-1]},{key}"] if thousands else [whole[-1], str(key)]
        else:
            whole = []
        if key == parts[-1]:
            return (whole[0], ", ".join(whole[1:])) if whole else None
    return None


def _words(
    detail: ErrorDetails, model: type[BaseModel], parts: list[Part], suggested: set[str], where: str
) -> tuple[str, str, str]:
    """Found, expected and hint of one error."""
    kind, value, context = detail["type"], detail.get("input"), detail.get("ctx", {})
    cause = context.get("error")
    if isinstance(cause, QuantityError) and isinstance(value, dict | list):
        return short(value), cause.expected, _in_one(value, model, parts)
    if isinstance(cause, QuantityError):
        return _brief(cause.found), cause.expected, _SIDES.get((str(parts[-1]), str(value).strip().lower()), cause.hint)
    if kind == "value_error":
        match = _RULE.fullmatch(str(cause))
        if match:
            return _brief(match["found"] or short(value)), match["expected"], ""
        return short(value), str(cause), ""
    if kind == "extra_forbidden":
        known = _keys(model, parts[:-1])
        key = str(parts[-1])
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
        if not near:  # a known key that the word is a part of, or the other way about: "coat" for "open_and_coat"
            near = [name for name in known if len(key) > 2 and (key.lower() in name or name in key.lower())][:1]
        near = near or [name for name in known if name == _ALSO.get(key.lower())]
        if near:
            suggested.add(join(where.removesuffix(key).rstrip("."), near[0]))
        return f"the unknown key {short(key)}", _one_of(known), f"did you mean {near[0]!r}?" if near else ""
    if kind == "missing":
        return "nothing", f"the key '{parts[-1]}', which is required here", ""
    if kind in {"literal_error", "enum"}:
        choices = re.findall(r"'([^']*)'", str(context.get("expected", ""))) or [str(context.get("expected"))]
        return short(value), _one_of(choices), _meant(str(value), choices)
    if words := _PLAIN.get(kind):
        return short(value), words(context), _type_hint(kind, value)
    return short(value), detail["msg"].removeprefix("Input should be ").removeprefix("Value error, "), ""


def _in_one(value: dict[Any, Any] | list[Any], model: type[BaseModel], parts: list[Part]) -> str:
    """The hint at a mapping or list in place of one value: of a key that has dots, its first part was taken."""
    within: Any = model
    for part in parts[:-1]:
        within = _inner(within, part)
    free = any(get_origin(choice) is dict for choice in _choices(within))
    if free and isinstance(value, dict) and value:
        return f"a key with dots stands on one line: '{parts[-1]}.{next(iter(value))}: ...'"
    return "one number with its unit stands here"


def _meant(value: str, choices: list[str]) -> str:
    """The choice that was likely misspelt, as a hint; a word of amount is no misspelling, however near it looks."""
    if value.lower() in AMOUNTS:
        return ""
    near = difflib.get_close_matches(value.lower(), [choice.lower() for choice in choices], n=1, cutoff=0.6)
    return next((f"did you mean {choice!r}?" for choice in choices if near and choice.lower() == near[0]), "")


def _brief(text: str) -> str:
    return text if len(text) <= 90 else f"{text[:86]} ..."


def _one_of(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"one of: {', '.join(names)}"


def _type_hint(kind: str, value: object) -> str:
    if kind == "string_type" and isinstance(value, int | float):
        return f"put it in quotes: '{short(value)}'"
    if value is None:
        return "give a value, or leave the key out"
    return ""


_PATTERNS = {  # by what a text must match
    r"^[A-Za-z][A-Za-z0-9_.-]{0,23}$":
        "a name of at most 24 characters: a letter first, then letters, digits, _ . or -",
    r"^[A-Za-z][A-Za-z0-9 ._-]{0,39}$":
        "a name of at most 40 characters: a letter first, then letters, digits, spaces, _ . or -",
    r"^L[1-9][0-9]{0,5}$": "an id such as L1, as 'drainwright learn' writes it",
    r"^[0-9a-f]{64}$": "a digest of 64 digits and letters a to f, as 'drainwright learn' writes it",
}  # fmt: skip
_MAPPING = "a mapping (lines 'key: value', indented)"
_LIST = "a list (lines that begin with '- ')"
_PLAIN: Mapping[str, Callable[[dict[str, Any]], str]] = {
    "string_type": lambda _: "a text",
    "string_pattern_mismatch": lambda context: _PATTERNS.get(
        str(context["pattern"]), f"a text of the form {context['pattern']}"
    ),
    "string_too_long": lambda context: f"at most {context['max_length']:,} characters",
    "string_too_short": lambda _: "a text that is not empty",
    "too_short": lambda context: f"at least {_entries(context['min_length'])}",
    "too_long": lambda context: f"at most {_entries(context['max_length'])}",
    "int_type": lambda _: "a whole number",
    "int_parsing": lambda _: "a whole number",
    "int_parsing_size": lambda _: "a whole number",
    "int_from_float": lambda _: "a whole number",
    "float_type": lambda _: "a number",
    "float_parsing": lambda _: "a number",
    "finite_number": lambda _: "a finite number",
    "greater_than": lambda context: f"a number above {context['gt']}",
    "greater_than_equal": lambda context: f"a number of {context['ge']} or more",
    "less_than": lambda context: f"a number below {context['lt']}",
    "less_than_equal": lambda context: f"a number of {context['le']} or less",
    "bool_type": lambda _: "true or false",
    "bool_parsing": lambda _: "true or false",
    "decimal_type": lambda _: "an amount such as 12.50 or '$12.50'",
    "decimal_parsing": lambda _: "an amount such as 12.50 or '$12.50'",
    "model_type": lambda _: _MAPPING,
    "model_attributes_type": lambda _: _MAPPING,
    "dict_type": lambda _: _MAPPING,
    "tuple_type": lambda _: _LIST,
    "list_type": lambda _: _LIST,
}  # fmt: skip


def _entries(count: int) -> str:
    return f"{count} {'entry' if count == 1 else 'entries'}"


def _keys(model: type[BaseModel], parts: list[Part]) -> list[str]:
    """The keys that the schema knows at a place of the document."""
    at: Any = model
    for part in parts:
        at = _inner(at, part)
    record = next((choice for choice in _choices(at) if _is_record(choice)), None)
    if record is None:
        return []
    return [field.alias or name for name, field in record.model_fields.items()]


def _inner(annotation: Any, part: Part) -> Any:
    """The annotation of one key or entry."""
    for choice in _choices(annotation):
        if _is_record(choice):
            for name, field in choice.model_fields.items():
                if part in (field.alias, name):
                    return field.annotation
        elif get_origin(choice) in (tuple, list) and isinstance(part, int):
            entries = [entry for entry in get_args(choice) if entry is not Ellipsis]
            return entries[min(part, len(entries) - 1)]
        elif get_origin(choice) is dict:
            return get_args(choice)[1]
    return None


def _choices(annotation: Any) -> list[Any]:
    """The alternatives of an annotation, without its decorations."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return _choices(get_args(annotation)[0])
    if origin in (Union, types.UnionType):
        return [inner for choice in get_args(annotation) for inner in _choices(choice)]
    return [] if origin is Literal else [annotation]


def _is_record(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


__all__ = ["problems_of", "record_of"]
