"""How deep a buried line lies: a fact, or the word that nobody knows; and how far a depth may be off."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import ValidatorFunctionWrapHandler, WrapSerializer, WrapValidator

from drainwright.job.values import Basis, Fact, Size

#: How far a depth may be off where nobody told: common practice, no source. A locator's reading is of a like size in
#: BSI PAS 128 (15 % of the depth by several methods, 40 % by one; from memory), which gives a record no depth at all.
DOUBTS = {Basis.MEASURED: 0.1524, Basis.MAPPED: 0.3048, Basis.STATED: 0.3048, Basis.ASSUMED: 0.4572}  # [m]
EXPOSED = 0.0254  # the same where it was exposed by hand and taped [m]


def _read_depth(value: object, read: ValidatorFunctionWrapHandler) -> Fact[Size] | None:
    """The word 'unknown' is an answer; a key left empty is none."""
    if isinstance(value, str) and value.strip().lower() == "unknown":
        return None
    if value is None:
        raise ValueError("found nothing: expected a depth, like '24 in, mapped', or 'unknown'")
    found: Fact[Size] = read(value)
    return found


class _OrUnknown:
    """In the published schema: the word in place of nothing."""

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        described: dict[str, Any] = handler(schema)
        ways = [way for way in described.pop("anyOf") if way != {"type": "null"}]
        return {**described, "anyOf": [*ways, {"const": "unknown", "type": "string"}]}


Depth = Annotated[
    Fact[Size] | None,
    WrapValidator(_read_depth),
    WrapSerializer(lambda value, write: "unknown" if value is None else write(value)),
    _OrUnknown,
]  # fmt: skip


__all__ = ["DOUBTS", "EXPOSED", "Depth"]
