"""Where water that the system cannot take runs to: the house above all."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.places import counted, listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.storms import RUN_OFF
from drainwright.storm.model import Spilled, StormCase


def _to(result: StormCase, to: str) -> list[Spilled]:
    return [one for one in result.spilled if one.to == to]


def _volume(spilled: list[Spilled]) -> float:
    return sum(one.volume for one in spilled)


def _places(spilled: list[Spilled]) -> str:
    return listed(list(dict.fromkeys(one.place for one in spilled)))


def _walls(spilled: list[Spilled]) -> str:
    names = list(dict.fromkeys(name for one in spilled for name in one.name.split(", ")))
    if names == ["a wall"]:
        return "a wall of the house"
    return f"the {listed(names)} {'walls' if len(names) > 1 else 'wall'} of the house"


@rule("STM-30", "Spilled water at the house", "common_practice")
def to_the_house(case: Case) -> Iterator[Outcome]:
    """Water over grates, rims and full soakaways does not run to the walls of the house."""
    every = case.storm.every
    if not any(result.spilled for result in every):
        return
    basis, limit = case.water_basis, f"less than {case.volume(RUN_OFF)} to the house"
    sound, *failures = every
    bad = [result for result in every if _volume(_to(result, "house")) >= RUN_OFF]
    for result in [sound] if sound in bad else []:
        wet = _to(result, "house")
        yield fails(
            "storm",
            f"In the design storm, with everything working, {case.volume(_volume(wet))} spill over at {_places(wet)} and run "
            f"to {_walls(wet)}.",
            figure=f"{case.volume(_volume(wet))} to the house", limit=limit, advice=_advice(wet), basis=basis,
        )  # fmt: skip
    worse = [result for result in failures if result in bad]
    if worse:
        worst = max(worse, key=lambda result: _volume(_to(result, "house")))
        wet = _to(worst, "house")
        more = f" It is the worst of {counted(len(worse), 'failure')} that do so." if len(worse) > 1 else ""
        yield caution(
            "storm",
            f"{worst.title}: in the design storm {case.volume(_volume(wet))} spill over at {_places(wet)} and run to "
            f"{_walls(wet)}.{more}",
            figure=f"{case.volume(_volume(wet))} to the house", limit=limit, advice=_advice(wet), basis=basis,
        )  # fmt: skip
    if not bad:
        yield from _none(case, limit)


def _none(case: Case, limit: str) -> Iterator[Outcome]:
    """None comes to the house, so far as the ground is known."""
    unknown = max(case.storm.every, key=lambda result: _volume(_to(result, "not known")))
    lost = _to(unknown, "not known")
    text, figure = (
        "Of the water that spills in the design storm none is seen to run to the house, sound or failed.",
        "none",
    )
    if lost:
        text += (
            f" Where the {case.volume(_volume(lost))} run that come out at {_places(lost)} at worst is not known: no shot "
            "was taken there."
        )
        figure = f"none known; {case.volume(_volume(lost))} not known where"
    yield ok("storm", text, figure=f"{figure} to the house" if figure == "none" else figure, limit=limit,
             basis=case.water_basis)  # fmt: skip


def _advice(wet: list[Spilled]) -> str:
    places = _places(wet)
    return (
        f"Shape the ground so that what spills at {places} runs past the house: a swale or a low bank between, and a fall "
        f"away from the wall; or give {places} a way to spill over that leads elsewhere."
    )


__all__ = ["to_the_house"]
