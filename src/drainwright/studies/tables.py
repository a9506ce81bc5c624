"""The tables of a study: results.csv, results.parquet where pyarrow is there, study.json."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from drainwright.job.writing import write_text
from drainwright.studies.answers import in_job_units, units_of
from drainwright.studies.figures import columns_of, kept
from drainwright.studies.journal import NAME as JOURNAL
from drainwright.studies.model import Study, StudyError, StudyResult, version

NO_PARQUET = "results.parquet was not written: it needs the package 'pyarrow' (pip install 'drainwright[studies]')."
RESULT, READABLE, PARQUET, ABOUT = TABLES = (
    "results.csv", "results-job-units.csv", "results.parquet", "study.json",
)  # fmt: skip
UNITS = "in brackets behind each name, SI; [-] has none; money is a decimal text"


def write_tables(result: StudyResult, folder: Path) -> list[Path]:
    """Write the tables of a study, rows in the order of its runs.

    Raises
    ------
    StudyError
        If they cannot be written.
    """
    heads, rows = table_of_runs(result)
    written = [folder / RESULT, folder / ABOUT, folder / READABLE]
    try:
        write_text(written[0], _csv(heads, [[_cell(value) for value in row] for row in rows]))
        write_text(written[2], _csv(*readable(heads, rows, result.study)))
        write_text(written[1], json.dumps(about(result), indent=2, ensure_ascii=False) + "\n")
        if has_parquet():
            written.append(_write_parquet(heads, rows, folder / PARQUET))
        else:
            (folder / PARQUET).unlink(missing_ok=True)  # it would be of other runs
    except OSError as error:
        raise StudyError(f"{folder}: the tables cannot be written ({error.strerror}); the runs are kept") from error
    return written


def _csv(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows(rows)
    return text.getvalue()


def readable(
    heads: Sequence[str], rows: Sequence[Sequence[Any]], study: Study
) -> tuple[list[str], list[tuple[str, ...]]]:
    """The table in the units of the job, to sensible digits, without the keys."""
    units = units_of(study)
    columns = [
        in_job_units(head, [row[place] for row in rows], units) for place, head in enumerate(heads) if head != "key"
    ]
    return [head for head, _ in columns], list(zip(*(values for _, values in columns), strict=True))


def claim(study: Study, folder: Path) -> None:
    """See that a folder is empty of tables, or holds this study, before anything is written there.

    Raises
    ------
    StudyError
        If it holds another study, or tables that are no study's.
    """
    there = [name for name in TABLES if (folder / name).exists()]
    if there and not (folder / JOURNAL).exists():
        raise StudyError(f"{folder}: found {there[0]}, which no study put there; expected a folder without it")
    if ABOUT not in there:
        return
    try:
        title = json.loads((folder / ABOUT).read_text(encoding="utf-8"))["study"]
    except (ValueError, LookupError, TypeError):
        raise StudyError(f"{folder / ABOUT}: found no study's; expected what a study wrote there, or none") from None
    if title != study.title:
        raise StudyError(
            f"{folder}: found the study {title!r}; expected another folder for {study.title!r}, or the same title to go"
            " on there"
        )


def write_begin(study: Study, folder: Path, begun: str) -> None:
    """Write whose folder it is, until the tables are written."""
    program, results = version()
    told = {"study": study.title, "drainwright": program, "results version": results, "begun": begun, "ended": None}
    try:
        write_text(folder / ABOUT, json.dumps(told, indent=2, ensure_ascii=False) + "\n")
    except OSError as error:
        raise StudyError(f"{folder / ABOUT}: cannot be written ({error.strerror}); nothing was done") from error


def has_parquet() -> bool:
    """Whether Parquet can be written."""
    from importlib.util import find_spec

    return find_spec("pyarrow") is not None


def table_of_runs(result: StudyResult) -> tuple[list[str], list[list[Any]]]:
    """Headings and rows: number, job, what was changed, rain, the figures that are kept, the error."""
    study = result.study
    changed = columns_of(run.changes for run in study.runs)
    figures = kept(columns_of(outcome.figures for outcome in result.outcomes), study.keep)
    heads = ["run [-]", "job", *changed, "rain", *figures, "error", "key"]
    rows: list[list[Any]] = []
    for run, outcome in zip(study.runs, result.outcomes, strict=True):
        rows.append(
            [run.number, study.job_names[run.job], *(run.changes.get(key) for key in changed), rain_words(run.rain)]
            + [outcome.figures.get(name) for name in figures]
            + [outcome.error, run.key]
        )
    return heads, rows


def rain_words(rain: Mapping[str, Any]) -> str:
    """A rain in a few words."""
    words = [str(rain[name]) for name in ("source", "return_period", "duration", "distribution") if name in rain]
    return ", ".join(words) or "as in the job"


def _cell(value: object) -> object:
    """Numbers to the last digit; none: empty."""
    return repr(value) if isinstance(value, float) else "" if value is None else value


def about(result: StudyResult) -> dict[str, Any]:
    """What the study was, without a word on the machine."""
    study = result.study
    program, results = version()
    return {
        "study": study.title,
        "kind": study.kind,
        "drainwright": program,
        "results version": results,
        "seed": study.seed,
        "rain seeds": sorted({run.rain["seed"] for run in study.runs if "seed" in run.rain}),
        "jobs": {study.job_names[key]: key for key in study.jobs},
        "begun": result.begun,
        "ended": result.ended,
        "runs": len(study.runs),
        "done in this call": result.fresh,
        "failed": result.failed,
        "keep": list(study.keep),
        "years of rain": {rain.name: list(rain.notes) for rain in study.rains.values()},
        "units": UNITS,
        "notes": list(result.notes) + ([] if has_parquet() else [NO_PARQUET]),
    }


def _write_parquet(heads: Sequence[str], rows: Sequence[Sequence[Any]], path: Path) -> Path:
    import pyarrow
    from pyarrow import parquet

    columns = []
    fields = []
    for number, head in enumerate(heads):
        values = [row[number] for row in rows]
        array = _array(pyarrow, values)
        name, _, unit = head.rpartition(" [")
        columns.append(array)
        fields.append(pyarrow.field(head, array.type, metadata={"unit": unit[:-1]} if name else None))
    table = pyarrow.Table.from_arrays(columns, schema=pyarrow.schema(fields))
    partial = path.with_name(f".{path.name}.part")
    parquet.write_table(table, partial)
    partial.replace(path)
    return path


def _array(pyarrow: Any, values: Sequence[Any]) -> Any:
    """A column of one type: numbers, truths, or texts where values are of several kinds."""
    kinds = {type(value) for value in values if value is not None}
    if kinds == {int, float}:
        values = [None if value is None else float(value) for value in values]
    elif len(kinds) > 1:
        values = [None if value is None else str(_cell(value)) for value in values]
    return pyarrow.array(values, type=None if kinds else pyarrow.string())


__all__ = ["NO_PARQUET", "about", "has_parquet", "rain_words", "table_of_runs", "write_tables"]
