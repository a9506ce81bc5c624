"""The storm test: the system stepped through a storm and through failures, with its water balance."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drainwright.storm.cases import storm_test

__all__ = ["storm_test"]


def __getattr__(name: str) -> object:
    if name == "storm_test":
        from drainwright.storm.cases import storm_test

        return storm_test
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
