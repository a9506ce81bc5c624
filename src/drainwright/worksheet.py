"""The worksheet: every catalogued formula that was used, with its numbers, its place and its source.

A formula carries a ``Card``. While a worksheet is open each call of it adds a ``Step``; while none is open
the cost is one lookup, and results are the same either way. Inner calls finish first, so they stand above
the result that uses them. Steps are plain data: papers, screens and the command line each render them.
"""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from decimal import Decimal
from functools import wraps
from inspect import Signature, signature
from typing import Any, Literal, NamedTuple, ParamSpec, TypeAlias, TypeVar

import numpy as np

from drainwright.errors import InputError
from drainwright.sources import cite

P = ParamSpec("P")
R = TypeVar("R")

Plain: TypeAlias = bool | int | float | str | list["Plain"] | dict[str, "Plain"] | None

#: What an expression may use beside its arguments (scalars; the tests evaluate with these).
EXPRESSION_NAMES: Mapping[str, Any] = {
    "sqrt": math.sqrt, "pi": math.pi, "log": math.log, "log10": math.log10, "exp": math.exp, "min": min, "max": max,
    "acos": math.acos, "sin": math.sin, "cos": math.cos, "tan": math.tan, "g": 9.80665,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What a formula says of itself: printed on the sheet, and tested against the code."""

    title: str  # "Velocity of uniform flow, Manning"
    symbol: str  # of the result, as in print: "v"
    expression: str  # in the argument names; for a procedure, the method in words
    units: Mapping[str, str]  # one per argument, and "result"; "-" for none
    source: str  # key of drainwright.sources.SOURCES
    expression_kind: Literal["formula", "procedure"] = "formula"
    trial: Mapping[str, tuple[float, float]] = dataclasses.field(default_factory=dict)
    # the range from which a test draws an argument, where 0.01 to 1 makes no sense


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One use of a formula."""

    formula: str  # its name in the catalogue: "hydraulics.openflow.manning_velocity"
    card: Card
    inputs: Mapping[str, Plain]  # arrays are summarised as size, min, max
    result: Plain  # None where the formula stopped
    place: str  # in the job: "runs.FD1"; empty where none was said
    note: str  # why it was called, or "stopped here: ..." with the error


class Catalogued(NamedTuple):
    """A formula of the catalogue with its card."""

    card: Card
    formula: Callable[..., Any]


CATALOGUE: dict[str, Catalogued] = {}

_open_sheet: ContextVar[list[Step] | None] = ContextVar("open_sheet", default=None)
_place: ContextVar[tuple[str, str]] = ContextVar("place", default=("", ""))


@contextmanager
def worksheet() -> Iterator[list[Step]]:
    """Record every catalogued formula that is called inside the block.

    Yields
    ------
    list of Step
        Grows as formulas are called. A worksheet opened inside another records alone.

    Examples
    --------
    >>> from drainwright.hydraulics.openflow import manning_velocity
    >>> with worksheet() as steps, place("runs.FD1"):
    ...     speed = manning_velocity(0.0254, 0.01, 0.009)
    >>> steps[0].place, substituted(steps[0])
    ('runs.FD1', 'v = (0.0254 m)^(2 / 3) × sqrt(0.01) / (0.009 s/m^(1/3)) = 0.9601 m/s')
    """
    steps: list[Step] = []
    token = _open_sheet.set(steps)
    try:
        yield steps
    finally:
        _open_sheet.reset(token)


@contextmanager
def quiet() -> Iterator[None]:
    """Suspend recording inside the block: for solvers, which then record their final call."""
    token = _open_sheet.set(None)
    try:
        yield
    finally:
        _open_sheet.reset(token)


def recording() -> bool:
    """Whether a worksheet is open: where none is, a formula may take a shorter way to the same figure."""
    return _open_sheet.get() is not None


def put_on(steps: Sequence[Step]) -> None:
    """Add steps that were recorded before to the worksheet that is open, if one is."""
    if (sheet := _open_sheet.get()) is not None:
        sheet.extend(steps)


@contextmanager
def on_trial() -> Iterator[Callable[[], None]]:
    """Record apart what may have to be done again.

    Yields
    ------
    Callable
        Call it where the trial holds: its steps then go on the worksheet that is open outside. Where the block raises
        they go there too.
    """
    outside = _open_sheet.get()
    steps: list[Step] | None = None if outside is None else []

    def keep() -> None:
        if outside is not None and steps:
            outside.extend(steps)
            steps.clear()

    token = _open_sheet.set(steps)
    try:
        yield keep
    except BaseException:
        keep()
        raise
    finally:
        _open_sheet.reset(token)


@contextmanager
def place(where: str, note: str = "") -> Iterator[None]:
    """Say to which place in the job the formulas called inside the block belong.

    Parameters
    ----------
    where : str
        A path in the job document, such as ``"runs.FD1"``. A place inside another takes over.
    note : str
        A few words why, such as ``"design storm"``.
    """
    token = _place.set((where, note))
    try:
        yield
    finally:
        _place.reset(token)


def catalogued(card: Card) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Enter a formula in the catalogue and record its calls on the open worksheet.

    Parameters
    ----------
    card : Card
        Its ``units`` name every argument and ``"result"``; its ``source`` is in the registry.

    Returns
    -------
    Callable
        A decorator that leaves arguments and result as they are, and adds the card's source to a docstring
        that has no references of its own.

    Raises
    ------
    TypeError
        If units and arguments do not match, or the name is taken.
    InputError
        If the source is unknown.
    """

    def decorate(formula: Callable[P, R]) -> Callable[P, R]:
        name = f"{formula.__module__.removeprefix('drainwright.')}.{formula.__qualname__}"
        arguments = signature(formula)
        if set(card.units) != {*arguments.parameters, "result"}:
            raise TypeError(f"{name}: give a unit for each argument and the result")
        if name in CATALOGUE:
            raise TypeError(f"{name}: there is already a formula of this name")
        source = cite(card.source)

        @wraps(formula)
        def call(*args: P.args, **kwargs: P.kwargs) -> R:
            steps = _open_sheet.get()
            if steps is None:
                return formula(*args, **kwargs)
            try:
                result = formula(*args, **kwargs)
            except Exception as problem:
                steps.append(_step(name, card, _inputs(arguments, args, kwargs), None, f"stopped here: {problem}"))
                raise
            steps.append(_step(name, card, _inputs(arguments, args, kwargs), plain(result), ""))
            return result

        if formula.__doc__ is not None and "    References\n" not in formula.__doc__:  # None under python -OO
            call.__doc__ = f"{formula.__doc__.rstrip()}\n\n    References\n    ----------\n    {source}\n    "
        CATALOGUE[name] = Catalogued(card, call)
        return call

    return decorate


def _inputs(arguments: Signature, args: tuple[object, ...], kwargs: dict[str, object]) -> dict[str, Plain]:
    try:
        bound = arguments.bind(*args, **kwargs)
    except TypeError:  # the formula has already said what is wrong with the call
        return {name: plain(value) for name, value in kwargs.items()}
    bound.apply_defaults()
    return {name: plain(value) for name, value in bound.arguments.items()}


def _step(name: str, card: Card, inputs: dict[str, Plain], result: Plain, note: str) -> Step:
    where, reason = _place.get()
    text = "; ".join(part for part in (reason, note) if part)
    return Step(formula=name, card=card, inputs=inputs, result=result, place=where, note=text)


def plain(value: object) -> Plain:
    """A value as plain data: arrays as size, min and max; records as mappings; the rest as its name."""
    if value is None or isinstance(value, bool | int | float | str):
        return float(value) if isinstance(value, float) else value
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, Decimal):  # money: exact in the record, a float on the sheet
        return float(value)
    if isinstance(value, np.ndarray):
        if value.size == 1:
            return plain(value.item())
        if value.size == 0 or value.dtype.kind not in "fiub":
            return {"size": int(value.size)}
        return {"size": int(value.size), "min": plain(value.min()), "max": plain(value.max())}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        if len(value) > 8 and all(isinstance(item, int | float) for item in value):
            return {"size": len(value), "min": plain(min(value)), "max": plain(max(value))}
        return [plain(item) for item in value]
    return str(getattr(value, "__name__", type(value).__name__))


def step_to_dict(step: Step) -> dict[str, Plain]:
    """A step as data that JSON can carry, with its citation and substituted text."""
    return {
        "formula": step.formula,
        "title": step.card.title,
        "symbol": step.card.symbol,
        "expression": step.card.expression,
        "expression_kind": step.card.expression_kind,
        "units": dict(step.card.units),
        "source": step.card.source,
        "citation": cite(step.card.source),
        "inputs": dict(step.inputs),
        "result": step.result,
        "substituted": substituted(step),
        "place": step.place,
        "note": step.note,
    }


def step_number(steps: Sequence[Step], formula: str, value: float, where: str = "") -> int | None:
    """The number of the step in which a formula gave a value: what another paper cites as ``W 12``.

    Parameters
    ----------
    steps : sequence of Step
        The worksheet.
    formula : str
        Its name in the catalogue.
    value : float
        In the unit of the formula's card.
    where : str
        How the step's place begins.

    Returns
    -------
    int or None
        Of the last such step, counted from 1; None where no step gave that value, which then has no number.

    Raises
    ------
    InputError
        If the catalogue has no such formula.
    """
    if formula not in CATALOGUE:
        raise InputError(f"formula = {formula!r}: expected the name of a formula in the catalogue")
    found = (
        number
        for number, step in reversed(tuple(enumerate(steps, start=1)))
        if step.formula == formula
        and _at(step.place, where)
        and any(math.isclose(value, one, rel_tol=1e-9, abs_tol=1e-15) for one in _numbers(step.result))
    )
    return next(found, None)


def _at(place: str, where: str) -> bool:
    """Whether a place begins with another, by whole names: ``roofs.roof 1`` begins no ``roofs.roof 13``."""
    return place.startswith(where) and not (where[-1:].isalnum() and place[len(where) :][:1].isalnum())


def number_text(value: Plain) -> str:
    """A number as the sheet prints it: four significant digits; a summary as its range."""
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return "none" if value is None else str(value).replace("_", " ")
    if isinstance(value, int | float):
        if math.isinf(value):
            return "none" if value < 0 else "no end"
        if isinstance(value, int) or (value.is_integer() and abs(value) < 1e6):
            return str(int(value))
        return f"{float(f'{value:.4g}'):.0f}" if 1e4 <= abs(value) < 1e6 else f"{value:.4g}"
    if isinstance(value, list):
        return "[" + ", ".join(number_text(item) for item in value) + "]"
    if set(value) == {"size", "min", "max"}:
        return f"{number_text(value['min'])} to {number_text(value['max'])} ({value['size']} values)"
    return "; ".join(f"{key.replace('_', ' ')} {number_text(item)}" for key, item in value.items())


_LONG = ((3.15576e7, "years"), (86400.0, "days"), (3600.0, "h"))  # a time is said in the first that it has two of


def _with_unit(value: Plain, unit: str) -> str:
    text = number_text(value)
    if unit in ("", "-", "m/m") or value is None or text == "none":
        return text
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        if unit == "currency":
            return f"{value:,.2f} {unit}"
        if unit == "s" and abs(value) >= 7200.0:
            size, name = next(one for one in _LONG if abs(value) >= 2 * one[0])
            return f"{text} s ({value / size:.3g} {name})"
    return f"{text} {unit}"


NOISE = 1e-12  # of a step's largest value in the same unit: what is left of a difference of equal values [-]


def _without_noise(step: Step) -> Step:
    """The step with zero for values that only the rounding of floats keeps from it."""
    units = step.card.units
    values = [*step.inputs.items(), ("result", step.result)]
    largest = {"m": 1.0}  # a length under a picometre is noise beside any other
    for name, value in values:
        largest[units[name]] = max([largest.get(units[name], 0.0), *(abs(number) for number in _numbers(value))])

    def tidy(name: str, value: Plain) -> Plain:
        if isinstance(value, list):
            return [tidy(name, item) for item in value]
        if isinstance(value, dict) and set(value) != {"size", "min", "max"}:
            return {key: _settled(item) for key, item in value.items()}
        if isinstance(value, dict):
            return {key: tidy(name, item) for key, item in value.items()}
        noise = isinstance(value, float) and abs(value) < NOISE * largest[units[name]]
        return 0.0 if noise else value

    inputs = {name: tidy(name, value) for name, value in step.inputs.items()}
    return dataclasses.replace(step, inputs=inputs, result=tidy("result", step.result))


def _settled(value: Plain) -> Plain:
    """A value of a record, whose fields have units of their own: zero where only rounding keeps it from that."""
    if isinstance(value, list):
        return [_settled(item) for item in value]
    if isinstance(value, dict):
        return {key: _settled(item) for key, item in value.items()}
    return 0.0 if isinstance(value, float) and abs(value) < NOISE else value


def _numbers(value: Plain) -> Iterator[float]:
    if isinstance(value, list | dict):
        for item in value if isinstance(value, list) else value.values():
            yield from _numbers(item)
    elif isinstance(value, float) and math.isfinite(value):
        yield value


def substituted(step: Step) -> str:
    """The expression with its numbers and units put in, and the result: one line of the sheet.

    A procedure gives its method in words, then its inputs by name.
    """
    units = step.card.units
    step = _without_noise(step)
    result = "stopped" if "stopped here" in step.note else _with_unit(step.result, units["result"])
    if step.card.expression_kind == "procedure":
        inputs = ", ".join(
            f"{name.replace('_', ' ')} = {_with_unit(value, units[name])}" for name, value in step.inputs.items()
        )
        return f"{step.card.symbol}: {step.card.expression}; {inputs}; {step.card.symbol} = {result}"

    def put_in(match: re.Match[str]) -> str:
        name = match.group()
        if name not in step.inputs:
            return name
        text = _with_unit(step.inputs[name], units[name])
        return text if re.fullmatch(r"[\d.]+", text) else f"({text})"

    text = re.sub(r"(?<![\w.])[A-Za-z_]\w*", put_in, step.card.expression.replace("**", "^").replace("*", "×"))
    text = text.replace(" ^ ", "^")
    return f"{step.card.symbol} = {text} = {result}"
