"""The text of a new price book: every item and rate that a job may ask for, to be filled in."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterator
from typing import Any

from drainwright.job.demonstration import demonstration_data
from drainwright.job.firm_book import WASTED

_HEAD = """\
# The firm's price book. A job names it:  price_book: {{file: prices.yaml}}
# A line that begins with # says nothing yet: the demonstration's invented figure stands, and the papers say so.
# Put your own figure in, and take the # (and the space behind it) away.
schema_version: 1
name: Our price book
currency: USD            # code of ISO 4217
dated: {dated}        # of every price below that has no date of its own

# Days after which a price is asked for again: in general, then by first word, category or item.
stale_after:
  default: 180           # common practice, no source
  # stone: 90
  # haul: 90             # follows the price of diesel

labour:
  # wage: {wage}          # per hour, before burden
  # burden: {burden:.0f} %         # on the wage: taxes, insurance, paid days off
  # least_paid_hours: {least:g}  # to each person on each day; 0: what is worked. Common practice, no source
  # travel_hours: {travel:g}    # to the job and back, each person, each day; 0 where the burden has it

shares:
  # overhead: {overhead:.0f} %       # of direct cost
  # contingency: {contingency:.0f} %    # of direct cost with overhead
  # profit_margin: {profit_margin:.0f} %  # of the price, not of the cost
  # sales_tax: {sales_tax:.0f} %       # on taxable materials

# Where more than materials is taxed, or at other rates, name each taxed category; what is left out is not taxed.
tax:
  # material: {sales_tax:.0f} %
  # hire: {sales_tax:.0f} %

# What is bought beyond what is counted, by item or by category ({wasted}).
waste:
{waste}

# Prices: 58.00, or {{price: 58.00, dated: 2026-03-02, source: quarry's list}}.
# An item of your own says what it is: {{price: 12.00, description: ..., category: material, unit: each}}.
items:
{items}

# Rates: 0.75, or {{value: 0.75, spread: 0.25, unsure: 0.2, source: our last ten jobs}}. spread: how much jobs differ;
# unsure: how far the value itself may be off; both relative. 'drainwright learn' keeps them.
rates:
{rates}
"""


def new_book_text(dated: datetime.date) -> str:
    """A price book to fill in.

    Parameters
    ----------
    dated : date
        Of its prices.

    Returns
    -------
    str
        YAML that reads as it stands; the demonstration's figures are in comments, so that no invented price passes
        for the firm's.
    """
    data = demonstration_data()
    shares = {name: 100 * float(value) for name, value in data["shares"].items()}
    return _HEAD.format(
        dated=dated.isoformat(),
        wage=data["labour"]["wage"],
        burden=100 * float(data["labour"]["burden"]),
        least=data["labour"]["least_paid_hours"],
        travel=data["labour"]["travel_hours"],
        wasted=", ".join(WASTED),
        waste="\n".join(f"  # {key}: {100 * value:g} %" for key, value in data["waste"].items()),
        items="\n".join(_items(data["items"])),
        rates="\n".join(
            f"  # {key}: {rate['value']:g}  # {rate['unit']}; {rate['note']}" for key, rate in data["rates"].items()
        ),
        **shares,
    )


def _items(items: dict[str, Any]) -> Iterator[str]:
    group = ""
    for key, item in items.items():
        if (first := key.split(".")[0]) != group:
            group = first
            yield f"  # -- {group}"
        said = json.dumps(key) if key.startswith(("-", "?")) else key
        yield f"  # {said}: {item['price']}  # per {item['unit']}; {item['description']}"


__all__ = ["new_book_text"]
