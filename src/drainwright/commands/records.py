"""Commands on files of others: ground, rain, well."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from drainwright.commands.shared import AsJson, app, emit, one_of, refuse, spoken, written_files, wrong


@app.command(epilog="Example: drainwright ground yard-points.csv --unit ft --to ground")
def ground(
    files: Annotated[
        list[Path], typer.Argument(help="points (CSV), GeoJSON, GeoTIFF or ASCII grid, LAS or LAZ", show_default=False)
    ],
    unit: Annotated[str | None, typer.Option(help="ft, m or us-survey-ft, where the file does not say it")] = None,
    level_unit: Annotated[str | None, typer.Option(help="of the levels, where it is another")] = None,
    columns: Annotated[str | None, typer.Option(help="of points without headings; default: P,N,E,Z,D")] = None,
    codes: Annotated[str | None, typer.Option(help="codes that are ground, with commas; default: all")] = None,
    building: Annotated[
        str | None, typer.Option(help="code of one building's corners: cut out, and no ground unless --codes names it")
    ] = None,
    spacing: Annotated[str | None, typer.Option(help="one shot in each square of this side, like '3 ft'")] = None,
    interval: Annotated[str | None, typer.Option(help="between contours, like '0.5 ft'")] = None,
    least: Annotated[str | None, typer.Option(help="low spots less deep are left out, like '1 in'")] = None,
    to: Annotated[Path | None, typer.Option(help="folder to write; default: <file>-ground beside the first")] = None,
    units: Annotated[str, typer.Option(help="US or SI, of what is printed and drawn")] = "US",
    as_json: AsJson = False,
) -> None:
    """Read ground that others measured: its surface, contours and low spots, printed, drawn and handed on."""
    from drainwright.errors import InputError
    from drainwright.exchange.files import read_shots
    from drainwright.exchange.shots import FileError, coded, said_unit
    from drainwright.field.building import building_in
    from drainwright.field.ground_study import merged, study_ground
    from drainwright.paper.site_files import ground_files

    for name, value in (("--unit", unit), ("--level-unit", level_unit)):
        if value is not None and said_unit(value) is None:
            wrong(f"{name}: found {value!r}; expected ft, m or us-survey-ft")
    if units not in ("US", "SI"):
        wrong(f"--units: found {units!r}; expected US or SI")
    wide, step, deep = (
        spoken(*item) for item in (("--spacing", spacing), ("--interval", interval), ("--least", least))
    )
    letters = tuple(part.strip().upper() for part in columns.split(",")) if columns else ()
    wanted = tuple(codes.split(",")) if codes else ()
    try:
        read = [read_shots(path, said_unit(unit or ""), said_unit(level_unit or ""), letters) for path in files]
        outline: tuple[tuple[float, float], ...] = ()
        if building:
            whole, outline = building_in(merged(read), building, wanted)
            read = [whole]
        shots = merged([coded(one, wanted) for one in read])
        study = study_ground(shots, units, wide, step, deep, outline)  # type: ignore[arg-type]  # checked above
    except FileError as error:
        refuse((error.problem,), as_json)
    except InputError as error:
        wrong(f"{error}. Nothing was computed.")
    folder = to or files[0].with_name(f"{files[0].stem}-ground")
    written = written_files(folder, ground_files(study, units))  # type: ignore[arg-type]
    if as_json:
        from drainwright.results import plain

        emit({"shots": len(study.shots), "read": study.read, "spacing": study.spacing, "origin": plain(study.origin),
               "area": study.area, "lowest": study.lowest, "highest": study.highest, "interval": study.interval,
               "low_spots": plain(study.low_spots), "notes": plain(study.notes), "dropped": plain(study.shots.dropped),
               "building": plain(study.building), "folder": str(folder),
               "files": [path.name for path in written]})  # fmt: skip
        return
    from drainwright.terminal_files import show_ground

    show_ground(study, units, written)  # type: ignore[arg-type]


@app.command(epilog="Example: drainwright rain gauge.csv.gz --table noaa-table.csv")
def rain(
    record: Annotated[Path, typer.Argument(help="a rain record (CSV, or CSV under gzip)", show_default=False)],
    unit: Annotated[str | None, typer.Option(help="in or mm, where the heading does not say it")] = None,
    table: Annotated[Path | None, typer.Option(help="a NOAA Atlas 14 point table to set beside it")] = None,
    units: Annotated[str, typer.Option(help="US or SI, of what is printed")] = "US",
    as_json: AsJson = False,
) -> None:
    """Read a rain record: its gaps and faults, and the largest rain of each duration, beside a table if given."""
    from drainwright.errors import InputError, JobError
    from drainwright.exchange.rain_record import read_rain_record, record_notes
    from drainwright.job.rain_file import rain_text, read_rain_table
    from drainwright.water.record_maxima import beside_table, maxima_of

    one_of("--unit", unit, ("in", "mm", None))
    one_of("--units", units, ("US", "SI"))
    try:
        found = read_rain_record(record, unit)  # type: ignore[arg-type]  # checked above
        maxima = maxima_of(found)
        if table is not None and table.exists() and not table.is_file():  # a pipe may never end
            raise InputError(f"--table: found {table.name!r}, no regular file; expected a CSV file")
        depths = None if table is None else read_rain_table(rain_text(table, table.name), table.name)
        rows = beside_table(maxima, depths)
    except JobError as error:
        refuse(error.problems, as_json)
    except (InputError, OSError) as error:
        wrong(f"{error}. Nothing was computed.")
    if as_json:
        from drainwright.results import plain

        emit({"step": found.step, "missing": found.missing, "yearly": found.yearly, "notes": record_notes(found, units),  # type: ignore[arg-type]  # checked above

               "suspects": plain(found.suspects), "maxima": plain(rows)})  # fmt: skip
        return
    from drainwright.terminal_files import show_rain

    show_rain(found, rows, units)  # type: ignore[arg-type]  # checked above


@app.command(epilog="Example: drainwright well well-record.csv.gz --unit ft")
def well(
    record: Annotated[Path, typer.Argument(help="a record of water levels (CSV, or under gzip)", show_default=False)],
    unit: Annotated[str | None, typer.Option(help="ft, m or cm, where the heading does not say it")] = None,
    depths: Annotated[bool, typer.Option("--depths", help="the column holds depths below a mark, not levels")] = False,
    units: Annotated[str, typer.Option(help="US or SI, of what is printed")] = "US",
    as_json: AsJson = False,
) -> None:
    """Read a well's record: how high the water stands in a wet season, by the published ways of telling it."""
    from drainwright.errors import InputError
    from drainwright.exchange.well_record import read_well_record
    from drainwright.water.high_water import seasonal_high

    one_of("--unit", unit, ("ft", "m", "cm", None))
    one_of("--units", units, ("US", "SI"))
    try:
        found = read_well_record(record, unit, depths=depths)  # type: ignore[arg-type]  # checked above
        high = seasonal_high(found.times, found.levels)
    except (InputError, OSError) as error:
        wrong(f"{error}. Nothing was computed.")
    if as_json:
        from drainwright.results import plain

        emit({**plain(high), "minus_depths": found.depths})
        return
    from drainwright.terminal_files import show_well

    show_well(found, high, units)  # type: ignore[arg-type]  # checked above
