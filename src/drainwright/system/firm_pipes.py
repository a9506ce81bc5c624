"""The pipes that a design chooses from: the catalogue's, or of these the ones that the firm lays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType

from drainwright.errors import InputError, JobError, Problem
from drainwright.field.words import Units
from drainwright.job.firm import FirmPipe
from drainwright.quantities import write
from drainwright.system.catalogue import FOOT, INCH, PRESSURE_PIPES, candidates, find_pipe, nominal_size
from drainwright.system.model import Pipe

SAME_LENGTH = 0.01  # lengths of sticks nearer than this are one [m]
WIDEST = 2.0 * INCH  # a hole so much wider than its pipe that no seal closes it: common practice, no source [m]


@dataclass(frozen=True, slots=True)
class Shelf:
    """Pipes to choose from."""

    own: Mapping[str, Pipe]  # the firm's, by catalogue key, with its lengths and hole saws; empty: the whole catalogue

    def of(self, pipe: Pipe) -> Pipe:
        """A pipe of the catalogue as the firm has it."""
        return self.own.get(pipe.key, pipe)

    def named(self, text: str) -> Pipe:
        """The pipe that a text names, as the firm has it; see ``find_pipe``."""
        return self.of(find_pipe(text))

    def gravity(self, *, perforated: bool, driven: bool) -> tuple[Pipe, ...]:
        """The candidates of a gravity line; all of the catalogue's where the firm lays none of them."""
        return self._of_firm(candidates(perforated=perforated, driven=driven))

    def pressure(self, least: float) -> tuple[Pipe, ...]:
        """Pressure pipes of a nominal size or more, smallest first.

        The catalogue's where none of the firm's is so large, and its largest where that has none.

        Parameters
        ----------
        least : float
            Nominal size. [in]
        """
        for pipes in (self._of_firm(PRESSURE_PIPES), PRESSURE_PIPES):
            if found := tuple(pipe for pipe in pipes if nominal_size(pipe) >= least):
                return found
        return (self.of(PRESSURE_PIPES[-1]),)

    def _of_firm(self, pipes: Sequence[Pipe]) -> tuple[Pipe, ...]:
        return tuple(self.own[pipe.key] for pipe in pipes if pipe.key in self.own) or tuple(pipes)


@lru_cache(maxsize=32)
def shelf_of(pipes: tuple[FirmPipe, ...], units: Units = "US") -> Shelf:
    """What a job's design chooses its pipes from.

    Parameters
    ----------
    pipes : tuple of FirmPipe
        Those of the job; none: the catalogue.
    units : str
        That errors are written in.

    Returns
    -------
    Shelf
        By key.

    Raises
    ------
    JobError
        Lists what is no pipe of the catalogue, stands twice, or has a length that is not sold or a hole too narrow or
        wide for it.
    """
    own: dict[str, Pipe] = {}
    problems: list[Problem] = []
    for index, one in enumerate(pipes):
        where = f"pipes[{index}]"
        try:
            pipe = find_pipe(one.pipe)
        except InputError as error:
            wanted = str(error).partition("expected ")[2]
            problems.append(Problem(where=f"{where}.pipe", found=repr(one.pipe), expected=wanted))
            continue
        if pipe.key in own:
            problems.append(Problem(where=f"{where}.pipe", found=f"{pipe.key!r} again", expected="each pipe once"))
            continue
        sticks = tuple(s for s in pipe.sticks if any(abs(s - given) <= SAME_LENGTH for given in one.lengths))
        odd = [given for given in one.lengths if not any(abs(s - given) <= SAME_LENGTH for s in pipe.sticks)]
        if odd:
            sold = ", ".join(f"{stick / FOOT:.0f} ft" for stick in pipe.sticks)
            found = f"{write(odd[0], 'length', units)} of {pipe.key}"
            problems.append(Problem(where=f"{where}.lengths", found=found, expected=f"lengths sold of it: {sold}"))
        hole = pipe.hole if one.hole is None else one.hole
        if not pipe.outside < hole <= pipe.outside + WIDEST:
            found = f"a hole of {write(hole, 'length', units, 'in' if units == 'US' else 'mm')} for {pipe.key}"
            outside = write(pipe.outside, "length", units, *_FINE[units])
            wanted = f"one that clears its outside, {outside}, by 2 in at most"
            problems.append(Problem(where=f"{where}.hole", found=found, expected=wanted))
        own[pipe.key] = replace(pipe, sticks=sticks or pipe.sticks, hole=hole)
    if problems:
        raise JobError(tuple(problems))
    return Shelf(MappingProxyType(own))


_FINE: Mapping[Units, tuple[str, int]] = {"US": ("in", 3), "SI": ("mm", 0)}

__all__ = ["Shelf", "shelf_of"]
