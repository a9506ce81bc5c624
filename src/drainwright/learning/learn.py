"""What one done job teaches a price book: rates drawn towards what was seen, prices set to the latest paid."""

from __future__ import annotations

import datetime
import math
from collections.abc import Collection, Iterator, Mapping
from decimal import Decimal

from drainwright.build import build_side
from drainwright.build.book import Book, Rate, book_for
from drainwright.build.sizes import PRICE_TIMES
from drainwright.errors import Problem, stage
from drainwright.field.model import Site
from drainwright.job.actuals import Actuals, ActualsDocument, Purchase
from drainwright.job.book_file import BookDocument
from drainwright.job.book_text import Edit, Value, with_entries, with_learning
from drainwright.job.firm import PriceBook
from drainwright.job.firm_book import Change, Learning
from drainwright.job.loading import refusal
from drainwright.job.model import Job
from drainwright.learning.compare import compared
from drainwright.learning.hangs_on import hangs_on, slower
from drainwright.learning.model import Comparison, Learnt, PriceMoved, TaskRow
from drainwright.learning.shrinkage import (
    FAR,
    LEAST,
    SPREAD,
    UNSURE,
    Belief,
    Moved,
    Seen,
    expected_scatter,
    shrink,
    surprise,
)
from drainwright.quantities import percent
from drainwright.system.model import System

ALL = "all"
COUNTED, AS_PLANNED = 0.05, 0.15  # standard error of the amount of work: as noted, or taken from the plan; assumed
QUARTER = 0.25 / math.sqrt(12.0)  # standard error of hours written to the quarter [h]


def learn(
    book: BookDocument, job: Job, actuals: ActualsDocument, when: datetime.date, take: Collection[str] = ()
) -> Learnt:
    """A price book after a job.

    Parameters
    ----------
    book : BookDocument
        Left alone.
    job : Job
        The job as it was designed; its plan is made with this book, whatever prices it names itself.
    actuals : ActualsDocument
        What the job took.
    when : date
        Of the learning, for the record.
    take : collection of str
        Tasks and items to take although they lie far from what was expected; ``all`` takes every one.

    Returns
    -------
    Learnt
        The changed book, its record and what was learnt; where nothing is taken, the book as it was, without a
        record. Nothing is written.

    Raises
    ------
    JobError
        If the job has been learnt from already, the actuals are another job's, or nothing could be learnt from them.
    """
    _not_again(book, actuals)
    site, system = _laid_out(job, book)
    own = site.job.price_book
    priced = book_for(own)
    with stage("dig and price"):
        build = build_side(site, system)
    comparison = compared(site.job, build, priced, actuals)
    unknown = [name for name in take if name not in (ALL, *_names(comparison))]
    if unknown:
        raise refusal(f"{', '.join(unknown)} to take", f"a task or item of the actuals, or '{ALL}'", where="--take")
    with stage("rates of the tasks"):
        shares = hangs_on(site, system, own, priced.rates, build.plan)
    beliefs = {key: _belief(rate) for key, rate in priced.rates.items()}
    seen, far = _seen(comparison, shares, beliefs, actuals.actuals, take)
    with stage("rates"):
        moved = tuple(one for one in shrink(beliefs, seen) if one.weight >= LEAST)
    prices, strange = _prices(priced, actuals.actuals, comparison, take)
    edits = [*_rate_edits(moved, book, actuals.actuals), *_price_edits(prices)]
    not_taken = (*far, *strange)
    if not edits and not not_taken:
        raise actuals.refused((Problem(where="", found="nothing to learn", expected="hours or purchases"),))
    changed, lines = with_entries(book, edits)
    tasks = {one.task: one for one in seen}
    reasons = [*(_why(one, tasks, priced) for one in moved), *(_why_price(one) for one in prices)]
    numbers = [
        *((_rounded(one.before.value), _rounded(one.after.value), _rounded(one.observed), one.weight) for one in moved),
        *((float(one.before), float(one.after), float(one.after), 1.0) for one in prices),
    ]
    learning = Learning(
        id=f"L{1 + max((int(one.id[1:]) for one in book.book.learnt), default=0)}",
        when=when,
        job=actuals.actuals.job,
        actuals=actuals.digest,
        changes=tuple(
            Change(
                key=f"{edit.section}.{edit.key}", before=before, after=after, observed=observed,
                weight=round(weight, 3), why=why, was=was, now=now,
            )
            for edit, (before, after, observed, weight), why, (was, now) in zip(
                edits, numbers, reasons, lines, strict=True
            )
        ),
        not_taken=not_taken,
    )  # fmt: skip
    document = with_learning(changed, learning) if edits else book
    return Learnt(document=document, learning=learning, rates=moved, prices=prices, comparison=comparison)


def _not_again(book: BookDocument, actuals: ActualsDocument) -> None:
    for one in book.book.learnt:
        same = one.actuals == actuals.digest
        if same or one.job == actuals.actuals.job:
            told = "these very actuals" if same else f"other actuals of job {one.job}"
            raise refusal(
                f"{told}, learnt on {one.when.isoformat()} as {one.id}",
                "each job once",
                f"undo {one.id} first, if they were corrected since",
                file=actuals.name,
            )


def _laid_out(job: Job, book: BookDocument) -> tuple[Site, System]:
    from drainwright.field import survey
    from drainwright.system import lay_out
    from drainwright.water import inflows

    with stage("survey"):
        site = survey(job.model_copy(update={"price_book": PriceBook(book=book.book)}))
    with stage("water"):
        water = inflows(site)
    with stage("system"):
        return site, lay_out(site, water)


def _names(comparison: Comparison) -> list[str]:
    tasks = [row.key for row in comparison.tasks if row.taken is not None]
    return tasks + [row.key for row in comparison.items if row.bought is not None]


def _belief(rate: Rate) -> Belief:
    return Belief(
        key=rate.key,
        value=rate.value,
        slower=slower(rate),
        unsure=rate.unsure or UNSURE,
        spread=rate.spread or SPREAD,
        tied=rate.tied,
        least=1.0 if rate.unit == "times" else 0.0,
    )


def noise(row: TaskRow, within: float) -> float:
    """Standard error of what was noted of a task: of the hours, of their rounding, and of the amount of work. [-]"""
    assert row.taken is not None
    return math.hypot(within, QUARTER / row.taken, COUNTED if row.done_told else AS_PLANNED)


def _seen(
    comparison: Comparison,
    shares: Mapping[str, Mapping[str, float]],
    beliefs: Mapping[str, Belief],
    actuals: Actuals,
    take: Collection[str],
) -> tuple[list[Seen], list[str]]:
    """The tasks that are taken, and the words for those that are not."""
    taken, far = [], []
    marked = {one.key for one in comparison.slips if one.kind == "hours"}
    for row in comparison.tasks:
        if row.taken is None or row.planned <= 0 or not shares.get(row.key):
            continue
        seen = Seen(
            task=row.key, planned=row.planned, hours=row.taken, done=row.done, hangs_on=shares[row.key],
            noise=noise(row, actuals.hours_within),
        )  # fmt: skip
        off = surprise(beliefs, seen)
        if (abs(off) > FAR or row.key in marked) and not {row.key, ALL} & set(take):
            times = math.exp(abs(seen.slower_by))
            way = "longer" if off > 0 else "shorter"
            far.append(
                f"{row.key}: {row.taken:g} h for {row.planned * row.done:.3g} h planned, {times:.2g} times {way}, "
                f"{abs(off):.1f} standard deviations from what was expected "
                f"(±{percent(expected_scatter(beliefs, seen))}); "
                f"look for a slip or what was special; --take {row.key} takes it all the same"
            )
        else:
            taken.append(seen)
    return taken, far


def _latest(actuals: Actuals) -> Iterator[Purchase]:
    """Of each item the purchase with the latest date, of one day the one written last."""
    latest: dict[str, Purchase] = {}
    for one in actuals.purchases:
        if one.item is not None and (one.item not in latest or one.date >= latest[one.item].date):
            latest[one.item] = one
    yield from latest.values()


def _prices(
    book: Book, actuals: Actuals, comparison: Comparison, take: Collection[str]
) -> tuple[tuple[PriceMoved, ...], list[str]]:
    """Prices as they were last paid, and the words for those that are not taken."""
    moved, not_taken = [], []
    amounts = {one.key: one.words for one in comparison.slips if one.kind == "quantity"}
    for paid in _latest(actuals):
        assert paid.item is not None
        item = book.item(paid.item)
        asked = bool({paid.item, ALL} & set(take))
        price = paid.price.quantize(Decimal("0.01")) if paid.price == round(paid.price, 2) else paid.price
        if not item.invented and paid.date < item.dated:
            not_taken.append(
                f"{paid.item}: paid {price} on {paid.date.isoformat()}, before the book's price of "
                f"{item.dated.isoformat()}; the later stands"
            )
        elif not asked and item.price > 0 and not item.price / PRICE_TIMES <= price <= item.price * PRICE_TIMES:
            not_taken.append(
                f"{paid.item}: paid {price} per {item.unit} where the book has {item.price}, more than "
                f"{PRICE_TIMES} times off; look at the unit; --take {paid.item} takes it all the same"
            )
        elif not asked and paid.item in amounts:
            not_taken.append(f"{paid.item}: {amounts[paid.item]}; --take {paid.item} takes it all the same")
        else:
            source = f"paid{f' to {paid.supplier}' if paid.supplier else ''}, job {actuals.job}"[:200]
            moved.append(
                PriceMoved(
                    key=paid.item, unit=item.unit, before=item.price, after=price, dated=paid.date, source=source
                )
            )
    return tuple(moved), not_taken


def _rounded(value: float) -> float:
    """Six significant digits: far finer than a rate is known, and short enough to read."""
    return float(f"{value:.6g}")


def _rate_edits(moved: Collection[Moved], book: BookDocument, actuals: Actuals) -> Iterator[Edit]:
    for one in moved:
        known = book.book.rates.get(one.before.key)
        jobs = (*(known.learnt_from if known is not None else ()), actuals.job)
        fields: dict[str, Value] = {
            "value": _rounded(one.after.value),
            "dated": actuals.finished,
            "unsure": float(f"{one.after.unsure:.4g}"),
            "learnt_from": jobs,
        }
        if one.after.tied or (known is not None and known.tied):
            fields["tied"] = one.after.tied
        yield Edit("rates", one.before.key, fields)


def _price_edits(prices: Collection[PriceMoved]) -> Iterator[Edit]:
    for one in prices:
        yield Edit("items", one.key, {"price": one.after, "dated": one.dated, "source": one.source})


def _why(moved: Moved, tasks: Mapping[str, Seen], book: Book) -> str:
    key = moved.before.key
    unit = book.rates[key].unit
    on = [seen for seen in tasks.values() if seen.hangs_on.get(key)]
    told = ", ".join(f"{seen.task} {seen.hours:g} h for {seen.planned * seen.done:.3g} h planned" for seen in on)
    told = told or f"tied to {', '.join(moved.before.tied)}"
    low, high = moved.after.band
    lumps = [seen for seen in on if len(seen.hangs_on) > 1]
    held = "; a factor that slows work down is never below 1, so it is held there" if moved.held else ""
    after = f"now {moved.after.value:.3g}{held}, in eight cases of ten {max(low, moved.after.least):.3g} to {high:.3g}"
    book_s = f"the book is unsure by {percent(moved.before.unsure)} and jobs differ by {percent(moved.before.spread)}"
    if not lumps:
        return (
            f"{told}: alone that would be {moved.observed:.3g} {unit}; it weighs {percent(moved.weight)} beside the "
            f"book's {moved.before.value:.3g}, since {book_s}; {after}"
        )
    parts = ", ".join(f"{percent(seen.hangs_on[key])} of {seen.task}" for seen in lumps)
    return (
        f"{told}: hours of several rates in one lump tell how much longer all of it took, not which rate it was; this "
        f"rate is {parts}; were all off by one factor it would be {moved.observed:.3g} {unit}; from the book's "
        f"{moved.before.value:.3g}, since {book_s}, {after}"
    )


def _why_price(one: PriceMoved) -> str:
    return f"{one.source}, {one.after} per {one.unit} on {one.dated.isoformat()}: the latest paid, not averaged"


__all__ = ["ALL", "learn", "noise"]
