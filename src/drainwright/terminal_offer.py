"""What the command line prints of options and of what-ifs."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from drainwright.build.wording import money, signed_money
from drainwright.console import Units, add_row, bullets, heading, new_console, new_table
from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.offer.basin import CheaperBasin, unpriced_sizes
from drainwright.offer.model import Difference, OptionSet
from drainwright.offer.swap import Swap
from drainwright.offer.what_if import Sweep
from drainwright.quantities import convert, parse, styles, unit_label

_KINDS = {"m": "length", "L/min": "flow", "W": "power"}
_SIZE = re.compile(r"(-?[0-9]+\.[0-9]+) (m|L/min|W)")
MOST = 12  # lines of the order that are told


def signed(amount: Decimal, currency: str) -> str:
    """``+$340.00``, ``-$340.00``, or ``the same``."""
    return signed_money(amount, currency, "the same")


def show_options(found: OptionSet, basins: Sequence[CheaperBasin] = ()) -> None:
    """Print the packages side by side, what each is good for, what is not offered, and basins that cost less."""
    console = new_console()
    base = found.base.design
    currency = base.build.price.currency
    if len(found.every) == 1:
        console.print(Text(_none(found), style="bold"))
    else:
        heading(console, "What can be chosen")
        table = new_table(
            ("", "left"), ("price with tax", "right"), ("more", "right"), ("days", "right"), ("checks", "left")
        )
        for package in found.every:
            change = None if package.difference is None else package.difference.price.change
            add_row(
                table,
                package.title,
                money(package.total, currency),
                "" if change is None else signed(change, currency),
                str(package.design.build.plan.days),
                "sound" if package.design.sound else "a check fails",
            )
        console.print(table)
    for package in found.every[1:]:
        heading(console, package.title)
        if package.words:
            console.print(Padding(Text(package.words), (0, 0, 0, 2)))
        bullets(console, package.buys or ("Nothing that was tried shows what it is good for.",))
    if found.refused:
        heading(console, "Not offered, and why")
        bullets(console, (f"{one.title}: {one.why}" for one in found.refused))
    open_sizes = unpriced_sizes(base)
    if open_sizes:
        heading(console, "For you, not for the customer")
        none = [name for name in open_sizes if all(one.where != name for one in basins)]
        said = (f"No other size of basin at {name} makes the job cheaper without failing a check." for name in none)
        bullets(console, (*(_basin_words(one, currency) for one in basins), *said))
    console.print()
    if found.standing:
        text = "The job names no options; these keep a floor dry in the storm test, or turn ground that leads water in."
        console.print(Text(text + " Name your own under 'offer: options:'."))
    if base.build.price.invented:
        console.print(Text("Invented prices: not an offer."))


def _basin_words(one: CheaperBasin, currency: str) -> str:
    """One line about a basin with which the job is cheaper: what it saves, which cautions come, what to type."""
    if one.against:
        return (
            f"A {one.size} basin at {one.where} would make the whole job {money(one.saves, currency)} cheaper, and is "
            f"not put forward: {one.against}. 'swap --out-of-stock {one.key}' tells all that changes."
        )
    warns = ", ".join(dict.fromkeys(item.id for item in one.difference.arisen))
    typed = "".join(f"{key}: {value}" for key, value in one.changes.items())
    return (
        f"A {one.size} basin at {one.where} would make the whole job {money(one.saves, currency)} cheaper; no check "
        f"fails with it{f', but it brings the caution {warns}' if warns else ''}. To take it write {typed}; 'swap "
        f"--out-of-stock {one.key}' tells all that changes."
    )


def _none(found: OptionSet) -> str:
    if found.refused:
        return "No option can be offered."
    return (
        "No option is worth offering: nothing that was tried keeps a floor dry that gets wet as proposed, and the "
        "ground falls away from the walls."
    )


def show_difference(base: Design, changes: Mapping[str, Any], changed: Difference) -> None:
    """Print what a change does, the most important first."""
    console = new_console()
    currency = changed.currency
    asked = ", ".join(f"{key} = {_typed(value)}" for key, value in changes.items())
    console.print(Text(f"What if {asked}", style="bold"))
    if changed.nothing:
        console.print(Text("Nothing changes: not the checks, the sizes, the storm, the order or the price."))
        return
    if changed.sound[0] != changed.sound[1]:
        text = "The design is then sound." if changed.sound[1] else "The design is then NOT sound."
        console.print(Text(text, style="bold" if changed.sound[1] else "bold red"))
    days = "" if changed.days[0] == changed.days[1] else f"; {changed.days[1]} days instead of {changed.days[0]}"
    price = changed.price
    console.print(
        Text(f"Price with tax {money(price.after, currency)} ({signed(price.change, currency)}){days}."), soft_wrap=True
    )
    if changed.duration:
        heading(console, "How long it takes")
        table = new_table(("days", "left"), ("now", "left"), ("then", "left"))
        for told in changed.duration:
            add_row(table, told.what, told.before or "–", told.after or "–")
        console.print(table)
    _findings(console, "Fail or warn then", changed.arisen)
    _findings(console, "Settled then", changed.settled)
    if changed.otherwise:
        heading(console, "Told with another figure")
        table = new_table(("check", "left"), ("where", "left"), ("now", "left"), ("then", "left"))
        for one, other in changed.otherwise:
            add_row(table, one.id, one.where, f"{one.severity} {one.figure}", f"{other.severity} {other.figure}")
        console.print(table)
    if changed.storm:
        heading(console, "In the storm test")
        table = new_table(("if", "left"), ("now", "left"), ("then", "left"))
        for case in changed.storm:
            add_row(table, case.title, case.before or "–", case.after or "–")
        console.print(table)
    if changed.sizes:
        heading(console, "Sizes and levels")
        table = new_table(("where", "left"), ("what", "left"), ("now", "left"), ("then", "left"))
        for told in changed.sizes:
            add_row(table, told.where, told.what, told.before or "–", told.after or "–")
        console.print(table)
    if changed.bought:
        heading(console, "The order")
        table = new_table(("item", "left"), ("now", "right"), ("then", "right"), ("unit", "left"), ("amount", "right"))
        for line in changed.bought[:MOST]:
            add_row(
                table, line.description, f"{line.before:g}", f"{line.after:g}", line.unit, signed(line.amount, currency)
            )
        console.print(table)
        _rest(console, changed)
    if changed.parts:
        heading(console, "The price by part")
        table = new_table(("part", "left"), ("now", "right"), ("then", "right"), ("change", "right"))
        for part in changed.parts:
            add_row(
                table,
                part.name,
                money(part.before, currency),
                money(part.after, currency),
                signed(part.change, currency),
            )
        console.print(table)
    if base.build.price.invented:
        console.print(Text("Invented prices: not an offer."))


def _typed(value: Any) -> str:
    """A value as it is typed."""
    return str(value).lower() if isinstance(value, bool) else str(value)


def _as_yaml(value: Any, units: Units) -> str:
    """A value as it stands in a job document, its sizes in the job's units."""
    return json.dumps(_in_units(value, units), ensure_ascii=False) if isinstance(value, dict | list) else _typed(value)


def _in_units(value: Any, units: Units) -> Any:
    if isinstance(value, Mapping):
        return {key: _in_units(one, units) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_in_units(one, units) for one in value]
    size = _SIZE.fullmatch(value) if isinstance(value, str) else None
    if size is None:
        return value
    kind = _KINDS[size[2]]
    style = styles(kind, units)[0] if kind != "length" else "ft" if units == "US" else "m"
    return f"{convert(parse(value, kind), kind, units, style):.6g} {unit_label(kind, units, style)}"


def _findings(console: Console, title: str, found: Sequence[Finding]) -> None:
    if not found:
        return
    heading(console, title)
    for item in found:
        mark = "fails  " if item.severity is Severity.FAILS else "caution"
        style = "red" if item.severity is Severity.FAILS else ""
        console.print(Padding(Text(f"{mark} {item.id} {item.where}: {item.message}", style=style), (0, 0, 0, 2)))


def _head(key: str) -> str:
    """The last part of a key; of the price book's keys, which have dots themselves, the whole of it."""
    for section in ("price_book.prices.", "price_book.rates."):
        if key.startswith(section):
            return key.removeprefix(section).strip('"')
    return key.rpartition(".")[2]


def show_sweep(base: Design, key: str, found: Sequence[Sweep]) -> None:
    """Print one input at several values, a line each."""
    console = new_console()
    currency = base.build.price.currency
    console.print(
        Text(f"{key}, one value a line; the job as written: {money(base.build.price.total, currency)}", style="bold")
    )
    table = new_table(
        (_head(key), "left"), ("price with tax", "right"), ("change", "right"), ("days", "right"),
        ("checks", "left"), ("new", "left"), ("settled", "left"),
    )  # fmt: skip
    for one in found:
        if one.design is None or one.difference is None:
            add_row(table, one.value, "–", "–", "–", "cannot be designed", one.why, "")
            continue
        add_row(
            table,
            one.value,
            money(one.design.build.price.total, currency),
            signed(one.difference.price.change, currency),
            _days(one.design),
            "sound" if one.design.sound else "a check fails",
            ", ".join(dict.fromkeys(item.id for item in one.difference.arisen)),
            ", ".join(dict.fromkeys(item.id for item in one.difference.settled)),
        )
    console.print(table)
    if base.build.price.invented:
        console.print(Text("Invented prices: not an offer."))


def _days(design: Design) -> str:
    """Planned days, and those with luck as usual and with rock, where they are known."""
    plan = design.build.plan
    likely = "" if plan.doubt is None else f", likely {plan.doubt.days_likely}"
    return f"{plan.days}{likely}{'' if plan.rock is None else f'; with rock {plan.rock.days}'}"


def _rest(console: Console, changed: Difference) -> None:
    """Say how many lines of the order are not told."""
    if len(changed.bought) > MOST:
        console.print(Text(f"  and {len(changed.bought) - MOST} lines more; --json has all of them."))


def _failing(findings: Iterable[Finding]) -> list[str]:
    """Checks that fail, each once: ``Gravity grade (NET-01)``."""
    return list(dict.fromkeys(f"{item.title} ({item.id})" for item in findings if item.severity is Severity.FAILS))


def _fails_anew(changed: Difference) -> bool:
    """Whether a check fails that did not before."""
    worse = (after for before, after in changed.otherwise if before.severity is not Severity.FAILS)
    return bool(_failing((*changed.arisen, *worse)))


def _verdict(base: Design, one: Swap) -> str:
    """What the checks say of one choice, beside what they said before it."""
    if one.sound or base.sound or one.difference is None:
        return "sound" if one.sound else "a check fails"
    return "more fails" if _fails_anew(one.difference) else "no more fails than before"


def _unsound_before(base: Design, found: Sequence[Swap]) -> str:
    """Which checks failed before anything was swapped, and whether a choice turns any."""
    before = _failing(base.findings)
    turned = {
        one.words: gone for one in found if one.difference is not None and (gone := _failing(one.difference.settled))
    }
    said = "; ".join(f"{words} settles {', '.join(gone)}" for words, gone in turned.items())
    return f"The job failed before, whatever is taken: {', '.join(before)}. {said or 'No choice here turns that'}."


def _to_take(found: Sequence[Swap]) -> str:
    """Which of the sound ones, and what a cheaper one would bring."""
    first = found[0]
    if first.difference is None:
        raise ValueError(f"found no design of '{first.words}': expected a sound one")
    text = f"Take {first.words}: of those that are sound it makes the job cheapest"
    passed = [
        (one.words, worse) for one in found[1:] if one.sound and one.difference is not None
        and one.difference.price.after < first.difference.price.after and (worse := one.difference.dug_worse)
    ]  # fmt: skip
    if passed:
        said = "; ".join(f"{words} costs less and brings {', '.join(item.id for item in new)}" for words, new in passed)
        return f"{text} without a new caution of the digging ({said})."
    mind = ", ".join(item.id for item in first.difference.dug_worse)
    return f"{text}{f'; mind {mind}, which comes with it' if mind else ''}."


def show_swaps(base: Design, key: str, found: Sequence[Swap]) -> None:
    """Print what can stand in the place of what cannot be had: sound or not, what it costs, which checks turn."""
    console = new_console()
    currency = base.build.price.currency
    console.print(Text(f"In the place of {key}", style="bold"))
    table = new_table(("choice", "left"), ("price with tax", "right"), ("change", "right"), ("checks", "left"))
    for one in found:
        if one.design is None or one.difference is None:
            add_row(table, one.words, "", "", "not designed")
            continue
        price = one.difference.price
        add_row(table, one.words, money(price.after, currency), signed(price.change, currency), _verdict(base, one))
    console.print(table)
    if not base.sound:
        console.print(Text(_unsound_before(base, found), style="bold"))
    if len(found) > 1 and found[0].sound:
        console.print(Text(_to_take(found)))
    for one in found:
        heading(console, one.words)
        if one.difference is None:
            bullets(console, (one.why,))
            continue
        _findings(console, "Fail or warn then", one.difference.arisen)
        _findings(console, "Settled then", one.difference.settled)
        orders = [
            f"{line.description}: {line.before:g} to {line.after:g} {line.unit} ({signed(line.amount, currency)})"
            for line in one.difference.bought[:MOST]
        ]
        heading(console, "The order")
        bullets(console, orders or ("The order stays as it is.",))
        _rest(console, one.difference)
        heading(console, "To write into the job")
        bullets(console, (f"{at}: {_as_yaml(value, base.job.units)}" for at, value in one.changes.items()))
    if base.sound and not any(one.sound for one in found):
        console.print(Text("None of these is sound: do not put one in without a design.", style="bold red"))
    elif not base.sound and all(one.difference is None or _fails_anew(one.difference) for one in found):
        worse = "With each of these more fails than before: do not put one in without a design."
        console.print(Text(worse, style="bold red"))
    if base.build.price.invented:
        console.print(Text("Invented prices: not an offer."))


__all__ = ["show_difference", "show_options", "show_swaps", "show_sweep", "signed"]
