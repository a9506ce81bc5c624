"""Options of an offer: the job with changes, designed anew as a whole; packages are never sums of their parts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from drainwright.design import Design, design, remedies
from drainwright.errors import DrainError, JobError
from drainwright.findings.model import Severity
from drainwright.job.changes import changed_job
from drainwright.job.offer import Option
from drainwright.job.writing import to_json
from drainwright.offer.difference import difference
from drainwright.offer.model import Difference, OptionSet, Package, Refused
from drainwright.offer.shaping import ShapingLeft, shaping_left, shaping_option
from drainwright.offer.words import bought_words
from drainwright.storm.failures.as_change import as_change
from drainwright.storm.failures.remedy import Remedy

Role = Literal["base", "add-on", "better", "best"]
TITLES: dict[Role, str] = {"base": "As proposed", "better": "Better", "best": "Best"}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tried:
    """What came of a set of changes."""

    design: Design | None
    why: str  # where there is none


def options(base: Design, told: Callable[[int, int], None] | None = None) -> OptionSet:
    """The packages and add-ons of a job: its own options, or those that the program finds to be worth something.

    Parameters
    ----------
    base : Design
        The job as written, designed.
    told : callable, optional
        Called with how many designs of how many are done.

    Returns
    -------
    OptionSet
        'Better' is the job with all options of that package, 'best' with those of both; add-ons stand alone. What
        cannot be designed, or brings a check to fail that held before, is refused with its reason.

    Raises
    ------
    JobError
        If the job itself cannot be written and read again.
    """
    own = base.job.offer.options
    left = None if own else shaping_left(base)
    listed = own or tuple(standing(base, left))
    text = to_json(base.job)
    wanted = list(_wanted(listed))
    steps = len(wanted)
    packages: list[Package] = []
    add_ons: list[Package] = []
    refused = [
        Refused(title=f"Ground shaped at the {wall} wall", why=why) for wall, why in (left.refused if left else ())
    ]
    for number, (role, chosen) in enumerate(wanted):
        changes = {key: value for option in chosen for key, value in option.changes.items()}
        title = chosen[0].title if role == "add-on" else f"{TITLES[role]}: {_joined(chosen)}"
        tried = _tried(base, text, changes)
        if told is not None:
            told(number + 1, steps)
        if tried.design is None:
            refused.append(Refused(title=title, why=tried.why))
            continue
        changed = difference(base, tried.design)
        if (why := _against(changed)) is not None:
            refused.append(Refused(title=title, why=why))
            continue
        package = Package(
            key=chosen[0].key if role == "add-on" else role,
            title=title,
            words=" ".join(option.words.strip() for option in chosen if option.words.strip()),
            role=role,
            holds=tuple(option.title for option in chosen),
            changes=changes,
            design=tried.design,
            difference=changed,
            buys=bought_words(changed),
        )
        (add_ons if role == "add-on" else packages).append(package)
    plain = Package(
        key="base", title=TITLES["base"], words="", role="base", holds=(), changes={}, design=base, difference=None,
        buys=(),
    )  # fmt: skip
    return OptionSet(
        base=plain, packages=tuple(packages), add_ons=tuple(add_ons), refused=tuple(refused), standing=not own
    )


def _joined(chosen: Sequence[Option]) -> str:
    titles = [option.title[:1].lower() + option.title[1:] for option in chosen]
    return titles[0] if len(titles) == 1 else f"{', '.join(titles[:-1])} and {titles[-1]}"


def _wanted(listed: Sequence[Option]) -> Iterator[tuple[Role, Sequence[Option]]]:
    """Designs to make: better, best, then each alone that is not a package by itself."""
    better = [option for option in listed if option.package == "better"]
    best = [option for option in listed if option.package == "best"]
    if better:
        yield "better", better
    if best:
        yield "best", [*better, *best]
    for option in listed:
        group = better if option.package == "better" else best if not better else []
        if option.package == "add-on" or len(group) != 1:
            yield "add-on", [option]


def _tried(base: Design, text: str, changes: Mapping[str, Any]) -> _Tried:
    try:
        return _Tried(design=design(changed_job(text, changes), like=base), why="")
    except JobError as error:
        first = error.problems[0]
        return _Tried(design=None, why=f"{first.where}: found {first.found}; expected {first.expected}")
    except DrainError as error:
        return _Tried(design=None, why=str(error))


def _against(changed: Difference) -> str | None:
    """Why a package is not offered: it breaks what held."""
    broken = [item for item in changed.arisen if item.severity is Severity.FAILS]
    return None if not broken else f"{broken[0].id} fails with it: {broken[0].message}"


def standing(base: Design, left: ShapingLeft | None = None) -> Iterator[Option]:
    """Options that the program finds, as changes of this job.

    A second pump, or a battery, that was tried by the storm test and keeps the floor dry alone; and ground shaped along
    the walls where it does not fall away from them.

    Parameters
    ----------
    base : Design
        The designed job.
    left : ShapingLeft, optional
        From ``shaping_left``; reckoned where it is not given.
    """
    seen: set[tuple[str, str]] = set()
    for prevention in remedies(base):
        for one in prevention.remedies:
            remedy = one.tried.remedy
            if one.tried.prevents and (remedy.kind, remedy.where) not in seen:
                seen.add((remedy.kind, remedy.where))
                option = _as_option(base, remedy)
                if option is not None:
                    yield option
    shaped = shaping_option(base, shaping_left(base) if left is None else left)
    if shaped is not None:
        yield shaped


def _as_option(base: Design, remedy: Remedy) -> Option | None:
    """A remedy as a change of the job; None where the job document has no such change."""
    changes = as_change(remedy, base.site, base.system)
    if changes is None:
        return None
    at = f" at {remedy.where}" if len(base.system.stations) > 1 else ""
    if remedy.kind == "second pump":
        return Option(
            key=f"second-pump-{remedy.where}"[:24],
            title=f"A second pump{at}",
            package="better",
            words="It takes over where the first one stops, and helps it in the worst of a storm.",
            changes=dict(changes),
        )
    return Option(
        key=f"battery-{remedy.where}"[:24],
        title=f"A battery for power cuts{at}",
        package="best",
        words="It runs the pump while the power is out, as long as its charge lasts.",
        changes=dict(changes),
    )


__all__ = ["options", "standing"]
