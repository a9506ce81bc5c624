"""What changes from one design to another: price by part, findings, sizes, storm, order. Sorted by what matters."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from drainwright.build.shown import amount, unit_words
from drainwright.design import Design
from drainwright.findings.failure_words import Words, inside
from drainwright.findings.model import Finding, Severity
from drainwright.findings.places import counted
from drainwright.offer.model import Amount, Bought, CaseTold, Difference, Told
from drainwright.quantities import write
from drainwright.storm.failures.prevention import SPILT
from drainwright.storm.model import StormCase
from drainwright.system.trade import fall_words, pipe_words, pump_words

ZERO = Decimal("0.00")
SOONER = 60.0  # a floor wet sooner or later by less than this is told alike [s]
ALIKE = 0.1  # part of the water over the ground up to which two cases are told alike [-]


def difference(before: Design, after: Design) -> Difference:
    """What changes from one design to another of the same lot.

    Parameters
    ----------
    before, after : Design
        Both designed; figures are told in the units of ``after``.

    Returns
    -------
    Difference
        Money to the cent; what is the same in both is left out.
    """
    settled, arisen, otherwise = _findings(before, after)
    return Difference(
        currency=after.build.price.currency,
        price=Amount(name="Price with tax", before=before.build.price.total, after=after.build.price.total),
        parts=tuple(part for part in _parts(before, after) if part.change),
        days=(before.build.plan.days, after.build.plan.days),
        hours=(before.build.plan.hours, after.build.plan.hours),
        duration=tuple(_duration(before, after)),
        settled=settled,
        arisen=arisen,
        otherwise=otherwise,
        sound=(before.sound, after.sound),
        storm=tuple(_storm(before, after)),
        sizes=tuple(_sizes(before, after)),
        bought=tuple(sorted(_bought(before, after), key=lambda item: (-abs(item.amount), item.key))),
    )


def _parts(before: Design, after: Design) -> Iterator[Amount]:
    first, second = before.build.price, after.build.price
    for name, field in (
        ("Labour", "labour"), ("Materials", "materials"), ("Haul, hire and permits", "other"),
        ("Overhead", "overhead"), ("Contingency", "contingency"), ("Profit", "profit"),
        ("Allowances", "allowances"), ("Tax", "tax"),
    ):  # fmt: skip
        yield Amount(name=name, before=getattr(first, field), after=getattr(second, field))


def _duration(before: Design, after: Design) -> Iterator[Told]:
    """What changes of how long it takes, in words; what one of the two does not have is told as empty."""
    first, second = _lasts(before), _lasts(after)
    for what in dict.fromkeys((*first, *second)):
        old, new = first.get(what, ""), second.get(what, "")
        if old != new:
            yield Told(where="days", what=what, before=old, after=new)


def _lasts(design: Design) -> dict[str, str]:
    plan = design.build.plan
    found = {"planned": counted(plan.days, "day"), "person-hours": f"{plan.hours:.1f}"}
    if plan.doubt is not None:
        found["likely"] = counted(plan.doubt.days_likely, "day")
        found["with bad luck"] = counted(plan.doubt.days_bad, "day")
        found["likely, with days lost to weather"] = counted(plan.doubt.booked_likely, "day")
        if plan.doubt.end_likely is not None:
            found["likely done by"] = plan.doubt.end_likely.isoformat()
    if plan.rock is not None:
        found["if all rock allowed for is met"] = (
            f"{counted(plan.rock.days, 'day')}, {plan.rock.days - plan.days} more than planned; likely "
            f"{plan.rock.days_likely}, {plan.rock.days_bad} with bad luck; {plan.rock.hours:.1f} person-hours more"
        )
    return found


def _findings(
    before: Design, after: Design
) -> tuple[tuple[Finding, ...], tuple[Finding, ...], tuple[tuple[Finding, Finding], ...]]:
    first, second = _bad(before), _bad(after)
    settled = tuple(item for key, item in first.items() if key not in second)
    arisen = tuple(item for key, item in second.items() if key not in first)
    both = ((item, second[key]) for key, item in first.items() if key in second)
    otherwise = tuple(
        (one, other) for one, other in both if (one.severity, one.figure) != (other.severity, other.figure)
    )
    return _worst_first(settled), _worst_first(arisen), otherwise


def _bad(design: Design) -> dict[tuple[str, str, int], Finding]:
    """What fails or warns, by rule and place; a rule may speak of a place more than once."""
    found: dict[tuple[str, str, int], Finding] = {}
    for item in design.findings:
        if item.severity is not Severity.OK:
            number = sum(1 for rule, where, _ in found if (rule, where) == (item.id, item.where))
            found[item.id, item.where, number] = item
    return found


def _worst_first(found: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return tuple(sorted(found, key=lambda item: item.severity is not Severity.FAILS))


def _storm(before: Design, after: Design) -> Iterator[CaseTold]:
    words = Words(units=after.job.units, crawl=after.job.house.floor_kind == "crawl space")
    first = {case.key: case for case in before.storm.every}
    second = {case.key: case for case in after.storm.every}
    for key in dict.fromkeys((*first, *second)):
        one, other = first.get(key), second.get(key)
        if one is None or other is None:
            told = one or other
            assert told is not None
            yield CaseTold(
                key=key,
                title=told.title,
                before="" if one is None else _outcome(one, words),
                after="" if other is None else _outcome(other, words),
                better=None,
            )
        elif (better := _better(one, other)) is not None:
            yield CaseTold(
                key=key,
                title=titled(one, other),
                before=_outcome(one, words),
                after=_outcome(other, words),
                better=better,
            )


def titled(before: StormCase, after: StormCase) -> str:
    """What happens in both; a moment that each has for itself, such as the worst one for a power cut, is told so."""
    head, found, _ = before.title.rpartition(", from ")
    other = after.title.rpartition(", from ")[0]
    return f"{head}, that of each by itself" if found and head == other and before.title != after.title else after.title


def _outcome(case: StormCase, words: Words) -> str:
    """What comes of the floor, and what runs off over the ground."""
    lost = f", {words.volume(case.volume_lost)} run off over the ground" if case.volume_lost > SPILT else ""
    return f"{inside(case, words)}{lost}"


def _better(before: StormCase, after: StormCase) -> bool | None:
    """Whether a case comes out better by the floor, or else by what runs off; None: told alike."""
    if abs(_when(before) - _when(after)) > SOONER:
        return _when(after) > _when(before)
    more = after.volume_lost - before.volume_lost
    return None if abs(more) <= max(SPILT, ALIKE * before.volume_lost) else more < 0.0


def _when(case: StormCase) -> float:
    """When the floor gets wet; for one that stays dry beyond all records, one still rising before that [s]."""
    if case.time_to_slab is not None:
        return case.time_to_slab
    return 1e11 if case.undecided else 1e12


def _sizes(before: Design, after: Design) -> Iterator[Told]:
    first, second = _sized(before), _sized(after)
    for where in dict.fromkeys((*first, *second)):
        one, other = first.get(where, {}), second.get(where, {})
        for what in dict.fromkeys((*one, *other)):
            old, new = one.get(what, ""), other.get(what, "")
            if old != new:
                yield Told(where=where, what=what, before=old, after=new)


def _sized(design: Design) -> dict[str, dict[str, str]]:
    """What was designed, in words: runs, basins with pumps and floats."""
    units = design.job.units
    found: dict[str, dict[str, str]] = {}
    tape = "ft-in" if units == "US" else "m"
    level = "ft" if units == "US" else "m"
    for run in design.system.runs:
        found[f"run {run.name}"] = {
            "pipe": pipe_words(run.pipe, units),
            "length": write(run.length, "length", units, tape),
            "fall": "pumped" if run.pressure else fall_words(run, units),
            "lower invert": write(run.invert_lower, "length", units, level),
        }
    for station in design.system.stations:
        second = station.second_on is not None
        found[f"basin {station.name}"] = {
            "inside": write(station.inside_diameter, "length", units, tape),
            "depth": write(station.depth, "length", units, tape),
            "pump": pump_words(station.pump, units),
            "pumps": "2" if second else "1",
            "lifts": write(station.operating_flow, "flow", units),
            "on": write(station.on, "length", units, level),
            "off": write(station.off, "length", units, level),
        }
        basin = design.job.works.basin_named(station.name)
        if basin is not None and basin.battery is not None:
            found[f"basin {station.name}"]["battery"] = f"{basin.battery.capacity:.0f} Ah"
    return found


def _bought(before: Design, after: Design) -> Iterator[Bought]:
    first, second = _lines(before), _lines(after)
    units = after.job.units
    for key in dict.fromkeys((*first, *second)):
        description, unit, old, spent = first.get(key, ("", "", 0.0, ZERO))
        described, unit_after, new, spends = second.get(key, ("", "", 0.0, ZERO))
        if old != new or spent != spends:
            trade = unit_after or unit
            yield Bought(
                key=key, description=described or description, unit=unit_words(trade, units),
                before=amount(old, trade, units), after=amount(new, trade, units), amount=spends - spent,
            )  # fmt: skip


def _lines(design: Design) -> dict[str, tuple[str, str, float, Decimal]]:
    """What is bought by key: words, trade unit, quantity, money."""
    found: dict[str, tuple[str, str, float, Decimal]] = {}
    for line in design.build.price.lines:
        if line.category != "labour":
            _, _, quantity, spent = found.get(line.key, ("", "", 0.0, ZERO))
            found[line.key] = (line.description, line.unit, quantity + line.quantity, spent + line.amount)
    return found


__all__ = ["difference", "titled"]
