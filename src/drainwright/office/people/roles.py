"""What each role may do, and what each address asks for: one table for all pages and the API."""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum

from drainwright.office.store.people import OWNER

ESTIMATOR, CREW = "estimator", "crew"
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})


class Act(StrEnum):
    """Something that is allowed or not."""

    READ = "read jobs"
    MEASURE = "write what is measured and done on the site"
    EDIT = "change jobs, offers and customers"
    PRICES = "see what a job costs"
    BOOK = "see and change prices, pumps and pipes of the firm"
    FIRM = "change what is told of the firm"
    PEOPLE = "say who works for the firm"
    SELF = "change one's own password and tokens"


MAY: Mapping[str, frozenset[Act]] = {
    OWNER: frozenset(Act),
    ESTIMATOR: frozenset({Act.READ, Act.MEASURE, Act.EDIT, Act.PRICES, Act.BOOK, Act.SELF}),
    CREW: frozenset({Act.READ, Act.MEASURE, Act.SELF}),
}
BY_TOKEN: Mapping[str, frozenset[Act]] = {  # of these what the person's role may
    "read": frozenset({Act.READ, Act.PRICES, Act.BOOK}),
    "write": frozenset({Act.READ, Act.MEASURE, Act.EDIT, Act.PRICES, Act.BOOK, Act.FIRM}),
}

# Pages and addresses of a job that tell prices: the document names some, so that its text and revisions do too.
_PRICED = (
    r"price|offer|options|schemes|what-if|worksheet|answers|results|links|acceptances|text|document(?:\.yaml)?"
    r"|compare|revisions|whole(?:\.zip)?|papers\.zip"
)
# An address: the act of reading it, the act of sending to it. The first line that fits counts.
_NEEDED = tuple(
    (re.compile(rf"(?:/api/v1)?{address}"), reading, sending)
    for address, reading, sending in (
        (r"/firm/(?:people|invitations)(?:/.*)?", Act.PEOPLE, Act.PEOPLE),
        (r"/firm/backup(?:/.*)?", Act.FIRM, Act.FIRM),
        (r"(?:/firm)?/(?:book|books|pumps|pipes|learn)(?:/.*)?", Act.BOOK, Act.BOOK),
        (r"(?:/firm)?/customers(?:/.*)?", Act.READ, Act.EDIT),
        (r"/firm(?:/.*)?", Act.READ, Act.FIRM),
        (r"/(?:me|tokens)(?:/.*)?", Act.SELF, Act.SELF),
        (r"/jobs/[^/]+/(?:what-if(?:/told)?|schemes(?:/told|/asked)?)", Act.PRICES, Act.PRICES),  # asks only
        (rf"/jobs/[^/]+/(?:{_PRICED})(?:/.*)?", Act.PRICES, Act.EDIT),
        (r"/jobs/[^/]+/hours/(?:compared|actuals\.yaml|beside\..*)", Act.PRICES, Act.MEASURE),
        (r"/jobs/[^/]+/after/files/as-built\.json", Act.PRICES, Act.MEASURE),
        (r"/jobs/[^/]+/facts/(?:lot|house|walls|ground)", Act.READ, Act.MEASURE),
        (r"/jobs/[^/]+/(?:yard|operations|attachments|photos|hours|after)(?:/.*)?", Act.READ, Act.MEASURE),
        (r"/attachments/[^/]+", Act.READ, Act.MEASURE),  # what is said of a photograph; files beside a job ask for more
        (r"/jobs/[^/]+/plan/draft", Act.READ, Act.READ),  # asks only
        (r"/jobs/new", Act.EDIT, Act.EDIT),
        (r"/jobs", Act.READ, Act.MEASURE),  # who measures begins a job by its first visit, and tells nothing else of it
        (r".*", Act.READ, Act.EDIT),
    )
)
_OPEN = re.compile(
    r"/(?:assets/[^/]+|worker\.js|favicon\.ico|licences\.txt|manifest\.webmanifest|yard(?:/begun)?|offline|theme"
    r"|sign-in|sign-out|first|invitation/[^/]+|c/[^/]+(?:/.*)?|api/v1/(?:openapi\.json|form-token))"
)
MEASURED = frozenset({  # the parts of a job that a crew writes; "after" are the records beside it
    "after", "date", "downspouts", "ground", "house", "locates", "moisture_tests", "notes", "property", "roofs",
    "survey", "symptoms", "trees", "utilities", "utilities_absent", "yards",
})  # fmt: skip


def is_open(path: str) -> bool:
    """Whether an address is for everybody: what a browser needs to sign in, and pages that show nothing of a firm."""
    return _OPEN.fullmatch(path) is not None


def needed(method: str, path: str) -> Act:
    """What a request must be allowed to do; where an address fits nothing, what only an owner may."""
    fits = ((one, other) for address, one, other in _NEEDED if address.fullmatch(path))
    reading, sending = next(fits, (Act.PEOPLE, Act.PEOPLE))
    return reading if method in SAFE else sending


def may(role: str, act: Act, scope: str | None = None) -> bool:
    """Whether somebody of a role may do something, also by a program's token of a scope; unknown roles may nothing."""
    allowed = MAY.get(role, frozenset())
    return act in (allowed if scope is None else allowed & BY_TOKEN.get(scope, frozenset()))


def may_write(role: str, path: str) -> bool:
    """Whether somebody of a role may write at a path of a job: a crew writes what it measures, not prices or works."""
    if may(role, Act.EDIT):
        return True
    return may(role, Act.MEASURE) and re.split(r"[.\[]", path, maxsplit=1)[0] in MEASURED


__all__ = ["CREW", "ESTIMATOR", "MAY", "MEASURED", "OWNER", "Act", "is_open", "may", "may_write", "needed"]
