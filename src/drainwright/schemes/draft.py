"""What a scheme writes into a job document: points, inlets, runs, a basin, a discharge point, as they are typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from drainwright.field.model import Plan
from drainwright.job.model import Job
from drainwright.job.site import YardArea
from drainwright.job.survey import Point
from drainwright.job.works import Basin, Discharge, Inlet, Run
from drainwright.quantities import System

KEPT_OF_BASIN = ("name", "at", "empty_weight", "second_pump", "battery", "circuit", "circuits_there", "screened")
Words = Mapping[str, Any]  # an entry of the document: plain texts, numbers, lists


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """Additions to a job document, as they would be typed."""

    redraw: bool = False  # the job's own runs and basins are left out; the basin's place stays
    points: tuple[Words, ...] = ()
    inlets: tuple[Words, ...] = ()
    yards: tuple[Words, ...] = ()
    runs: tuple[Words, ...] = ()
    discharge: tuple[Words, ...] = ()
    basin: Words | str | None = None  # None: as the job has it
    more_basins: tuple[Words, ...] = ()

    def applied(self, job: Job) -> Job:
        """The job with these additions; the rest is the very same.

        Raises
        ------
        ValidationError
            If an entry is none that the document allows.
        """
        works, survey = job.works, job.survey
        changes: dict[str, Any] = {
            "inlets": (*works.inlets, *(Inlet.model_validate(item) for item in self.inlets)),
            "runs": (*(() if self.redraw else works.runs), *(Run.model_validate(item) for item in self.runs)),
            "discharge": (*works.discharge, *(Discharge.model_validate(item) for item in self.discharge)),
        }
        own = () if self.redraw else works.more_basins
        changes["more_basins"] = (*own, *(Basin.model_validate(item) for item in self.more_basins))
        if self.redraw and isinstance(works.basin, Basin):
            kept = {name: getattr(works.basin, name) for name in KEPT_OF_BASIN if name in works.basin.model_fields_set}
            changes["basin"] = Basin(**kept)
        if self.basin is not None:
            changes["basin_place"] = None
            changes["basin"] = self.basin if isinstance(self.basin, str) else Basin.model_validate(self.basin)
        return job.model_copy(
            update={
                "survey": survey.model_copy(
                    update={"points": (*survey.points, *(Point.model_validate(item) for item in self.points))}
                ),
                "yards": (*job.yards, *(YardArea.model_validate(item) for item in self.yards)),
                "works": works.model_copy(update=changes),
            }
        )

    def write_into(self, tree: Any) -> None:
        """Make the same additions to the tree of a document, in place; its comments stay."""
        works = tree["works"]
        if self.redraw:
            works.pop("runs", None)
            works.pop("more_basins", None)
            if isinstance(works.get("basin"), dict):
                for name in [name for name in works["basin"] if name not in KEPT_OF_BASIN]:
                    del works["basin"][name]
        if self.basin is not None:
            place, own = works.pop("basin_place", None), works.get("basin")
            if isinstance(self.basin, str):
                works["basin"] = self.basin
            else:
                works["basin"] = _entry(self.basin, works)
                if place is not None and isinstance(self.basin["at"], Mapping):  # the job's own place, as it is typed
                    works["basin"]["at"] = place
                for name in KEPT_OF_BASIN[2:]:
                    if isinstance(own, dict) and name in own and name in self.basin:
                        works["basin"][name] = own[name]
        for holder, name, items in (
            (tree["survey"], "points", self.points), (tree, "yards", self.yards),
            (works, "inlets", self.inlets), (works, "runs", self.runs), (works, "discharge", self.discharge),
            (works, "more_basins", self.more_basins),
        ):  # fmt: skip
            if items and not isinstance(holder.get(name), list):
                holder[name] = []
            holder.get(name, []).extend(_entry(item, works) for item in items)


def _entry(words: Words, beside: Any) -> Any:
    """An entry for a tree: on one line of its own where the tree is of YAML."""
    from ruamel.yaml.comments import CommentedMap, CommentedSeq

    flows = isinstance(beside, CommentedMap)

    def kept(value: Any) -> Any:
        if isinstance(value, Mapping):
            found: Any = {name: kept(part) for name, part in value.items()}
            found = CommentedMap(found) if flows else found
        elif isinstance(value, list | tuple):
            found = [kept(part) for part in value]
            found = CommentedSeq(found) if flows else found
        else:
            return value
        if flows:
            found.fa.set_flow_style()
        return found

    return kept(words)


def length_text(value: float, units: System) -> str:
    """A length to the hundredth of a foot or metre, as it is typed."""
    number = value / 0.3048 if units == "US" else value
    return f"{round(number, 2) + 0.0:.2f} {'ft' if units == 'US' else 'm'}"


def place_text(at: Plan, units: System) -> str:
    """A place by its coordinates."""
    return f"{length_text(at[0], units)}, {length_text(at[1], units)}"


__all__ = ["KEPT_OF_BASIN", "Draft", "Words", "length_text", "place_text"]
