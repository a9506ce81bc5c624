"""Inlets by hose and bucket; grades of the runs and of the ground, as they were shot again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from drainwright.design import Design
from drainwright.errors import JobError
from drainwright.field.places import resolve_level
from drainwright.field.wall_slopes import FALL_AWAY
from drainwright.job.proof import HoseTest, ProofDocument
from drainwright.job.values import Level
from drainwright.proving.model import Row, Verdict
from drainwright.proving.words import Words
from drainwright.quantities import Kind, percent, write
from drainwright.system.model import SizedRun

SURE = 1.96  # standard errors of a band that holds the truth in 95 of 100 [-]
KEPT = 0.90  # of a hose's water comes out of a tight line; common practice, no source [-]


def hose_rows(design: Design, document: ProofDocument, words: Words) -> Iterator[Row]:
    """Every inlet and led downspout: what a hose showed, or that none was run."""
    named = {test.inlet: test for test in document.proof.hoses}
    for place in inlets_to_test(design):
        test = named.get(place)
        if test is None:
            yield Row(where=place, what="Hose test", found="not run", wanted="water comes through", verdict="not done")
            continue
        yield from _hose(design, document, test, words)


def inlets_to_test(design: Design) -> tuple[str, ...]:
    """Places where water enters the pipes from above, in the order of the runs."""
    kinds = {name: node.kind for name, node in design.system.nodes.items()}
    return tuple(
        dict.fromkeys(run.upper for run in design.system.runs if kinds.get(run.upper) in ("inlet", "downspout"))
    )


def way_down(design: Design, place: str) -> tuple[SizedRun, ...]:
    """The gravity runs that water takes from an inlet to a basin or to the end."""
    found: list[SizedRun] = []
    here: str | None = place
    while here is not None:
        run = next(
            (run for run in design.system.runs if run.upper == here and not run.pressure and run.duty != "overflow"),
            None,
        )
        if run is None or run in found:
            break
        found.append(run)
        here = run.lower
    return tuple(found)


def _hose(design: Design, document: ProofDocument, test: HoseTest, words: Words) -> Iterator[Row]:
    way = way_down(design, test.inlet)
    into = test.bucket / _mean(test.fills)
    watch = 0.5  # s, of starting and stopping by hand
    share = (document.proof.bucket_within**2 + (watch / _mean(test.fills) / len(test.fills) ** 0.5) ** 2) ** 0.5
    asked = way[0].flow if way else 0.0
    part = (
        f" That is {percent(into / asked)} of the design flow: it shows an open line, not its full capacity."
        if (0.0 < into < asked)
        else ""
    )
    through = test.came and not test.backed_up
    blocked = "Blocked, crushed or laid against its fall: flush it, then look in with a camera before it is covered."
    yield Row(
        where=test.inlet, what="Water of a hose comes through", wanted="comes through, nothing backs up",
        found=f"{words.flow_band(into, SURE * share * into)}: "
        + ("came through" if test.came else "did not come") + (", backed up" if test.backed_up else ""),
        verdict="pass" if through else "not",
        said=f"The line is open.{part}" if through else blocked,
        figures={"hose": into, "band": SURE * share * into, "design": asked},
    )  # fmt: skip
    if not test.out_fills:
        return
    kept = _mean(test.fills) / _mean(test.out_fills)
    error = kept * watch * (
        1.0 / _mean(test.fills) ** 2 / len(test.fills) + 1.0 / _mean(test.out_fills) ** 2 / len(test.out_fills)
    ) ** 0.5  # fmt: skip
    low, high = kept - SURE * error, kept + SURE * error
    holes = [run.name for run in way if run.pipe.perforated]
    verdict: Verdict = "pass" if low >= KEPT else "cannot tell" if high >= KEPT or holes else "not"
    said = {"pass": "", "not": "A joint is open or a pipe is broken: find it before it is covered."}.get(
        verdict,
        f"{holes[0]} has holes that let water out: this cannot tell a leak."
        if holes
        else "The band lies across the limit: time more buckets, or larger ones.",
    )
    yield Row(
        where=test.inlet, what="Comes out of what went in", found=f"{percent(kept)} ± {percent(SURE * error)}",
        wanted=f"{percent(KEPT)} or more", verdict=verdict, said=said,
        figures={"kept": kept, "band": SURE * error, "wanted": KEPT},
    )  # fmt: skip


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def level_of(
    design: Design, document: ProofDocument, level: Level, at: tuple[float, float] | None, where: str
) -> float:
    """A level of the record on the job's site; a fault of it is told with the record's line. [m]"""
    try:
        return resolve_level(design.site, level, at, where)
    except JobError as error:
        raise document.refused(error.problems) from None


def grade_rows(design: Design, document: ProofDocument) -> Iterator[Row]:
    """Every gravity run: its grade by the inverts that were shot, and whether it still carries its flow."""
    built = document.proof.as_built
    named = {one.run: number for number, one in enumerate(built.runs)}
    units = design.job.units
    for run in design.system.runs:
        if run.pressure:
            continue
        least = design.job.criteria.least_grade
        wanted = _grade(max(least, needed_grade(run)), units)
        if run.name not in named:
            yield Row(where=run.name, what="Grade re-shot", found="not shot", wanted=f"{wanted} or more",
                      verdict="not done")  # fmt: skip
            continue
        number = named[run.name]
        shot = built.runs[number]
        upper = level_of(design, document, shot.upper, run.route[0], f"as_built.runs[{number}].upper")
        lower = level_of(design, document, shot.lower, run.route[-1], f"as_built.runs[{number}].lower")
        grade = (upper - lower) / run.length
        band = SURE * 2**0.5 * built.rod_within / run.length
        limit = max(least, needed_grade(run))
        verdict: Verdict = "pass" if grade - band >= limit else "not" if grade + band < limit else "cannot tell"
        if grade + band < 0.0:
            said = "It falls the wrong way."
        elif verdict == "not":
            said = "Too flat to carry its design flow and keep itself clean: lift its upper end or lower the other."
        elif verdict == "cannot tell":
            said = "The rod cannot tell on so short or so flat a run: shoot it again with a level set up midway."
        else:
            said = ""
        yield Row(
            where=run.name, what="Grade re-shot", found=f"{_grade(grade, units)} ± {_grade(band, units)}",
            wanted=f"{wanted} or more; designed {_grade(run.grade, units)}", verdict=verdict, said=said,
            figures={"grade": grade, "band": band, "limit": limit, "upper": upper, "lower": lower},
        )  # fmt: skip


def needed_grade(run: SizedRun) -> float:
    """Grade at which a run just carries its design flow full: by Manning its capacity goes by the root of it. [-]"""
    if run.capacity <= 0.0 or run.grade <= 0.0:
        return 0.0
    return run.grade * (run.flow / run.capacity) ** 2


def ground_rows(design: Design, document: ProofDocument) -> Iterator[Row]:
    """The finished ground beside the walls: its fall away."""
    built = document.proof.as_built
    walls = {wall.name: wall for wall in design.site.walls}
    for number, shot in enumerate(built.ground):
        where = f"as_built.ground[{number}]"
        at = walls[shot.wall].start if shot.wall in walls else None
        near = level_of(design, document, shot.near, at, f"{where}.near")
        far = level_of(design, document, shot.far, at, f"{where}.far")
        fall = (near - far) / shot.out
        band = SURE * 2**0.5 * built.rod_within / shot.out
        verdict: Verdict = "pass" if fall - band >= FALL_AWAY else "not" if fall + band < FALL_AWAY else "cannot tell"
        yield Row(
            where=shot.wall, what="Ground falls away from the wall", found=f"{percent(fall, 1)} ± {percent(band, 1)}",
            wanted=f"{percent(FALL_AWAY)} or more (IRC R401.3)", verdict=verdict,
            said="" if verdict == "pass" else "Fill at the wall and shoot again; filled ground settles besides.",
            figures={"fall": fall, "band": band, "limit": FALL_AWAY},
        )  # fmt: skip


def _grade(grade: float, units: str) -> str:
    return write(grade, Kind.GRADE, "SI" if units == "SI" else "US", "%", 2)


__all__ = ["grade_rows", "ground_rows", "hose_rows", "inlets_to_test", "level_of", "needed_grade", "way_down"]
