"""The figures of schemes as rows of a table, for papers and the terminal alike."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from drainwright.build.wording import money, money_band
from drainwright.paper.wording import Wording
from drainwright.quantities import System
from drainwright.schemes import Comparison, SchemeSet
from drainwright.schemes.words import DRY_ROOM, deep_words, hours_words, length, small


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One figure of all schemes."""

    name: str
    cells: tuple[str, ...]
    best: tuple[bool, ...]  # the one that comes out best before all others, if any does
    bad: tuple[bool, ...]  # what must not be overlooked


def table_rows(found: SchemeSet) -> tuple[Row, ...]:
    """The rows: price, time, digging, the storm, what can fail, upkeep, checks.

    Parameters
    ----------
    found : SchemeSet
        The schemes.

    Returns
    -------
    tuple of Row
        A cell for each scheme, in their order.
    """
    many = [scheme.comparison for scheme in found.schemes]
    units = found.job.units
    word = Wording(units)
    rows = [
        _row("Price with tax", many, _price, lambda one: float(one.price)),
        _row("Days (person-hours)", many, lambda one: f"{one.days} ({one.hours:.0f})", lambda one: one.days),
        _row("Pipe", many, lambda one: length(one.pipe, units)),
        _row(
            "Dug by hand at lines", many, lambda one: _hand(one, units), lambda one: round(one.hand_dig, 1),
            first=True,
        ),
        _row(
            f"Trenches deeper than {deep_words(units)}", many, lambda one: length(one.deep, units),
            lambda one: round(one.deep, 1),
        ),
        _row("Deepest dig", many, lambda one: _deepest(one, word), lambda one: round(one.deepest, 1), first=True),
        _row("Roots, footings", many, _near, lambda one: one.roots + one.in_wedge, lambda one: one.in_wedge > 0),
        _row(
            "Water in the storm", many, lambda one: _room(one, units),
            lambda one: (-DRY_ROOM if one.house_dry else 9.0) if one.head_room is None else -round(one.head_room, 2),
            lambda one: one.head_room is not None and one.head_room < 0,
        ),
        _row(
            "Pump over inflow", many,
            _margin,
            bad=lambda one: one.pump_margin is not None and one.pump_margin < 1.0,
        ),
        *_failures(many),
        _row("Pumps; power in a year", many, _pumps, lambda one: one.pumps),
        _row("Grates to keep clean", many, lambda one: str(one.grates), lambda one: one.grates),
        _row("Checks that fail", many, _checks, lambda one: len(one.fails), lambda one: bool(one.fails)),
    ]  # fmt: skip
    return tuple(rows)


def _row(
    name: str,
    many: Sequence[Comparison],
    say: Callable[[Comparison], str],
    value: Callable[[Comparison], float] | None = None,
    bad: Callable[[Comparison], bool] = lambda one: False,
    *,
    first: bool = False,
) -> Row:
    """A row; ``first`` where only what stands before the comma is weighed. What reads the same is no better."""
    cells = tuple(say(one) for one in many)
    shown = [cell.partition(", ")[0] if first else cell for cell in cells]
    best = (False,) * len(many)
    if value is not None:
        values = [value(one) for one in many]
        least = min(values)
        if len(values) > 1 and values.count(least) == 1 and shown.count(shown[values.index(least)]) == 1:
            best = tuple(item == least for item in values)
    return Row(name=name, cells=cells, best=best, bad=tuple(bad(one) for one in many))


def _price(one: Comparison) -> str:
    band = money_band(one.price_low, one.price_high, one.currency)
    return f"{money(one.price, one.currency, 0)} ({band})"


def _hand(one: Comparison, units: System) -> str:
    if not one.crossings:
        return "none: no line met"
    return f"{length(one.hand_dig, units)}, {one.crossings} {'line' if one.crossings == 1 else 'lines'} met"


def _deepest(one: Comparison, word: Wording) -> str:
    """The depth of the deepest dig, and what is dug so deep: a basin's hole counts as well as trenches."""
    return f"{word.dug(one.deepest)}, {one.deepest_at}" if one.deepest_at else word.dug(one.deepest)


def _near(one: Comparison) -> str:
    roots = f"{one.roots} into roots" if one.roots else "no roots"
    return f"{roots}, {one.in_wedge} into a footing's wedge" if one.in_wedge else roots


def _room(one: Comparison, units: System) -> str:
    if one.head_room is None:
        return "dry" if one.house_dry else "no drain there"
    side = "below the floor" if one.head_room >= 0 else "OVER the floor"
    return f"{small(abs(one.head_room), units)} {side}"


def _failures(many: Sequence[Comparison]) -> list[Row]:
    titles = dict.fromkeys((failure.key, _short(failure.key)) for one in many for failure in one.failures)
    rows = []
    for key, name in titles:
        cells, bad = [], []
        for one in many:
            failure = next((item for item in one.failures if item.key == key), None)
            wet = failure is not None and not failure.dry
            if failure is None:
                cells.append("cannot happen")
            elif failure.rising:
                cells.append(f"not within {hours_words(failure.ended)}; still rising")
            elif failure.hours is None:
                cells.append("floor stays dry")
            else:
                soon = failure.hours * 60 < 1
                cells.append("floor wet at once" if soon else f"floor wet after {hours_words(failure.hours)}")
            bad.append(wet)
        rows.append(Row(name=name, cells=tuple(cells), best=(False,) * len(many), bad=tuple(bad)))
    return rows


def _short(key: str) -> str:
    return f"{key[:1].upper()}{key[1:]}"


def _margin(one: Comparison) -> str:
    if one.pump_margin is None:
        return "no pump"
    return f"{one.pump_margin:.2f} times" if one.pump_margin < 10.0 else "more than ten times"


def _pumps(one: Comparison) -> str:
    if not one.pumps:
        return "none"
    energy = "" if one.energy is None else f", {one.energy / 3.6e6:.0f} kWh"
    return f"{one.pumps} to test and replace{energy}"


def _checks(one: Comparison) -> str:
    warns = f"{len(one.warns)} warn"
    if not one.fails:
        return f"none; {warns}"
    return f"{len(one.fails)} ({', '.join(dict.fromkeys(one.fails))}); {warns}"


__all__ = ["Row", "table_rows"]
