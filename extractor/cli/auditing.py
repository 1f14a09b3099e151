"""Drafts beside what the pump logged, one or many."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from extractor.cli.arguments import DraftFolder, LogRows, LogUnit, MediaFolder, PressureColumn, TimeColumn

if TYPE_CHECKING:
    from extractor.audit.pressure_log import PressureLog


def crosscheck(
    folder: DraftFolder,
    logs: Annotated[
        list[Path],
        typer.Argument(metavar="LOG", help="Pressure logs of the case: CSV, TSV, XLSX or Parquet. One file a pump."),
    ],
    out: Annotated[Path, typer.Option(metavar="FILE.json", help="A new file for the result. Nothing is overwritten.")],
    unit: LogUnit = None,
    time_column: TimeColumn = None,
    pressure_column: PressureColumn = None,
    rows: LogRows = None,
    flag: Annotated[
        bool, typer.Option("--flag", help="Also put the disagreements onto the draft: its files in DIR are rewritten.")
    ] = False,
) -> None:
    """Lay spoken pressures beside logged ones.

    Finds the clocks' offset from the pattern of inflations alone and pairs them one to one: agrees, differs,
    not-logged, not-spoken. Where the clock cannot be found with confidence it says so and pairs nothing. The draft
    stays as it is, unless --flag is given: then each disagreement becomes a caution of timeline.json and a flag on its
    event.

    \b
    Example: extractor crosscheck case pump.csv --out case-pressures.json
             extractor crosscheck case pump.xlsx --unit bar --out case-pressures.json --flag
    """
    from extractor import draft_folder, terminal
    from extractor.audit import crosscheck as audit

    draft_folder.require_free_file(out)
    timeline = draft_folder.read(folder)
    read = _read_logs(logs, unit, time_column, pressure_column, rows)
    result = audit.cross_check(timeline, read)
    draft_folder.write_file(out, result.model_dump_json(indent=1) + "\n")
    if flag:
        draft_folder.rewrite(audit.flag_timeline(timeline, result), folder)
    terminal.console().print(terminal.crosscheck_view(result))


def picture(
    folder: DraftFolder,
    out: Annotated[Path, typer.Option(metavar="FILE", help="A new file, .svg or .png. Nothing is overwritten.")],
    logs: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[LOG]...", help="Pressure logs of the case, as for crosscheck."),
    ] = None,
    unit: LogUnit = None,
    time_column: TimeColumn = None,
    pressure_column: PressureColumn = None,
    rows: LogRows = None,
) -> None:
    """Draw a case as one picture.

    Pressures over time with what was spoken, on the log's trace where one is given, what happened in lanes, and what
    wants a look. For paper and for colour-blind eyes. The same case and logs give the same bytes.

    \b
    Example: extractor picture case --out case.svg
             extractor picture case pump.csv --out case.png
    """
    from extractor import draft_folder
    from extractor.audit.crosscheck import cross_check
    from extractor.audit.paper import form_of
    from extractor.audit.pictures import draw_case

    form = form_of(out)
    draft_folder.require_free_file(out)
    timeline = draft_folder.read(folder)
    read = _read_logs(logs or (), unit, time_column, pressure_column, rows)
    result = cross_check(timeline, read) if read else None
    draft_folder.write_file(out, draw_case(timeline, read, result, form))
    for log in result.logs if result else ():
        if not log.found:
            typer.echo(f"{log.name} is not drawn, its clock was not found: {log.why}.", err=True)


def audit_cases(
    places: Annotated[
        list[str],
        typer.Argument(
            metavar="DIR|STORE...",
            help="Folders of cases, at any depth, and of what crosscheck wrote of them; stores of the desk.",
        ),
    ],
    out: Annotated[Path, typer.Option(metavar="REPORT", help="A new folder for the report. Nothing is overwritten.")],
    media: MediaFolder = None,
) -> None:
    """Report over many cases: do spoken and logged pressures agree?

    Writes report.html and report.pdf for people, with limits of agreement, the cases by what asks for a look, and
    counts by reviewer, device and month; and every pressure and case as CSV, XLSX and Parquet. What cannot be read is
    named there and stops nothing. The same cases give the same bytes. Of a store every case is taken as it stands, and
    its logs are laid beside it.

    \b
    Example: extractor audit cases --out report
             extractor audit desk --out report
    """
    from extractor import draft_folder
    from extractor.audit.cases import read_cases
    from extractor.audit.report import write_report
    from extractor.desk.audited import is_store, stored_cases

    draft_folder.require_free(out)
    folders = [Path(place) for place in places if not is_store(place)]
    found = read_cases(folders, (case for place in places if is_store(place) for case in stored_cases(place, media)))
    draft_folder.write_folder(write_report(found), out)
    for fault in found.faults:
        typer.echo(f"not used: {fault}", err=True)
    disagreements = sum(case.disagreements for case in found.cases)
    typer.echo(f"{out}: {len(found.cases)} cases, {disagreements} pressures that do not agree. See {out}/report.html")


def _read_logs(
    logs: Iterable[Path], unit: str | None, time_column: str | None, pressure_column: str | None, rows: str | None
) -> "list[PressureLog]":
    """The logs of a case, with what the options say of all of them."""
    from extractor.audit.pressure_log import read_log

    return [
        read_log(log, unit=unit, time_column=time_column, pressure_column=pressure_column, rows=rows) for log in logs
    ]
