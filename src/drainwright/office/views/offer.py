"""What a customer is offered, and the record of what one accepts."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.learning.invented import entries
from drainwright.offer.accepting import mark_of, offered
from drainwright.offer.record import acceptance
from drainwright.office.views.drawings import sheets
from drainwright.office.views.model import Drawing
from drainwright.paper.documents.blocks import Block, Keep
from drainwright.paper.documents.offer_blocks import option_blocks
from drainwright.paper.documents.proposal_first import decide, parties, plainly, wrong_blocks
from drainwright.paper.documents.proposal_terms import price_blocks, price_first, terms_blocks
from drainwright.paper.offer_designs import options_of

PICTURES = ("your-water", "plan-page")


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Something that can be accepted."""

    key: str  # empty: the works as written
    title: str
    words: str
    total: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """The offer as the customer reads it."""

    title: str
    firm: str
    phone: str
    email: str
    first: tuple[Block, ...]  # the proposal's first page
    pictures: tuple[Drawing, ...]
    price: tuple[Block, ...]
    terms: tuple[Block, ...]
    choices: tuple[Choice, ...]
    total: str
    mark: str  # SHA-256 of all that is offered
    sound: bool  # checks do not fail: it may be signed
    demonstration: tuple[str, ...]  # prices, rates and shares that are not the firm's own, each in words
    waits: bool  # a real job at such prices: it cannot be accepted


def offer(design: Design) -> Offer:
    """The customer's page."""
    job, found, asked = design.job, options_of(design), design.build.price
    made = sheets(design)
    every = () if found is None else tuple(one for one in found.every if one.difference is not None)
    invented = tuple(map(str, entries(design)))
    total = money(asked.total, asked.currency)
    choices = (
        Choice(key="", title="The works as written", words="", total=total),
        *(
            Choice(key=one.key, title=one.title, words=one.words, total=money(one.total, asked.currency))
            for one in every
        ),
    )  # fmt: skip
    pictures = [name for start in PICTURES for name in made if name == start or name.startswith(f"{start}-")]
    return Offer(
        title=job.title, firm=job.firm.name, phone=job.firm.phone, email=job.firm.email,
        first=_flat(
            (*parties(design), *wrong_blocks(design), *plainly(design), *price_first(design), *decide(design))
        ),
        pictures=tuple(
            Drawing(name=name, title=made[name].title, alt=made[name].description) for name in dict.fromkeys(pictures)
        ),
        price=_flat((*price_blocks(design), *option_blocks(design))), terms=_flat(terms_blocks(design)),
        choices=choices, total=total, mark=mark_of(offered(design, found)), sound=design.sound,
        demonstration=invented, waits=bool(invented) and not job.demonstration,
    )  # fmt: skip


def accepting(by: str, on: datetime.date, key: str) -> partial[dict[str, Any]]:
    """The view that writes down what is accepted: the works as written, or the choice of a key.

    Demonstration prices are accepted only of a job that says that it is a demonstration.
    """
    return partial(_accepted, by=by, on=on, key=key)


def _accepted(design: Design, *, by: str, on: datetime.date, key: str) -> dict[str, Any]:
    return acceptance(
        design, options_of(design), by=by, on=on, chosen=(key,) if key else (), signed=b"",
        demonstration=design.job.demonstration,
    )  # fmt: skip


def _flat(blocks: Iterable[Block]) -> tuple[Block, ...]:
    """Blocks without what keeps some of them on one sheet."""

    def each(block: Block) -> Iterator[Block]:
        if isinstance(block, Keep):
            for inner in block.blocks:
                yield from each(inner)
        else:
            yield block

    return tuple(one for block in blocks for one in each(block))


__all__ = ["Choice", "Offer", "accepting", "offer"]
