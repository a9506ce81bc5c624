"""What those read who may not see prices: pages without amounts, records without costs, papers for the crew."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from fastapi import HTTPException, Request

from drainwright.job.currency import currencies
from drainwright.office.people.roles import Act, may

BLOT = "…"  # stands in place of an amount
PAPERS = frozenset({  # that tell no amount, by a test
    "answers-crew.pdf", "crew-packet.pdf", "crew-packet-es.pdf", "drawing.dxf", "drawings-crew.pdf", "handover.pdf",
    "permit-set.pdf", "profiles.dxf", "sections.dxf", "site-report.pdf",
})  # fmt: skip
OTHERS = (".svg", ".ics")  # endings of further papers: their amounts are blotted out
_COSTS = re.compile(r"offer|total|(?:.*_)?(?:price|prices|price_book|cost|costs)")  # keys of records


@cache
def _amount() -> re.Pattern[str]:
    number = r"[0-9][0-9,]*(?:\.[0-9]+)?"
    return re.compile(rf"[+-]?\${number}|[+-]?{number} (?:{'|'.join(currencies())})\b")


def sees_prices(request: Request) -> bool:
    """Whether who asks may see what things cost; whoever is not known yet is no crew."""
    who = getattr(request.state, "who", None)
    return who is None or may(who.role, Act.PRICES, who.scope)


def blotted(text: str) -> str:
    """A text with its amounts of money blotted out.

    Examples
    --------
    >>> blotted("It costs $1,082.50 more, or 900 EUR; 45 gpm.")
    'It costs … more, or …; 45 gpm.'
    """
    return _amount().sub(BLOT, text)


def without_costs(record: Any) -> Any:
    """Plain data without the entries that tell costs, and with amounts in its texts blotted out."""
    if isinstance(record, dict):
        return {key: without_costs(value) for key, value in record.items() if not _COSTS.fullmatch(str(key))}
    if isinstance(record, list | tuple):
        return [without_costs(one) for one in record]
    return blotted(record) if isinstance(record, str) else record


def job_without_costs(record: Any) -> Any:
    """A job's record without the entries that tell costs; its texts stay as typed, so that edits fit on them."""
    if isinstance(record, dict):
        return {key: job_without_costs(value) for key, value in record.items() if not _COSTS.fullmatch(str(key))}
    return [job_without_costs(one) for one in record] if isinstance(record, list | tuple) else record


def reads_paper(request: Request, name: str) -> bool:
    """Whether who asks may read a paper of a job."""
    return sees_prices(request) or name in PAPERS or name.endswith(OTHERS)


def may_read_paper(request: Request, name: str) -> None:
    """Refuse a paper that tells prices to who may not see them.

    Raises
    ------
    HTTPException
        403.
    """
    if not reads_paper(request, name):
        raise HTTPException(403, f"It takes leave to {Act.PRICES}, which your role does not give.")


__all__ = [
    "BLOT", "OTHERS", "PAPERS", "blotted", "job_without_costs", "may_read_paper", "reads_paper", "sees_prices",
    "without_costs",
]  # fmt: skip
