"""Arguments and options that several commands take, and what all of them say alike."""

from pathlib import Path
from typing import Annotated

import typer

#: Exit status where some of many failed; where input or arguments cannot be used; where somebody stopped it.
SOME_FAILED, USAGE_ERROR, INTERRUPTED = 1, 2, 130

DraftFolder = Annotated[Path, typer.Argument(metavar="DIR", help="A folder made by extractor draft.")]
Model = Annotated[
    str | None,
    typer.Option(
        metavar="NAME",
        help="A speech model: own, trade, base, tiny.en, a folder, or a hub's name. Without it own if there is one, "
        "else trade; base is trade without what it has learned.",
    ),
]
Lexicons = Annotated[
    Path | None, typer.Option(metavar="DIR", help="A folder of your own lexicon files, added to the shipped ones.")
]
Catalogue = Annotated[
    Path | None,
    typer.Option("--catalogue", metavar="FILE", help="Your devices: CSV, TSV, XLSX, Parquet or TOML. For the checks."),
]
SiteRules = Annotated[
    list[Path] | None,
    typer.Option("--site", metavar="FILE", help="Your rules for the checks, in TOML; a later file adds to an earlier."),
]
StorePlace = Annotated[
    str | None,
    typer.Option("--store", metavar="WHERE", help="A folder, or postgresql://…; else a folder among your own data."),
]
MediaFolder = Annotated[
    Path | None, typer.Option("--media", metavar="DIR", help="Of a database given by URL: the folder with its files.")
]
PersonName = Annotated[str, typer.Argument(metavar="NAME")]
Roles = Annotated[
    list[str],
    typer.Option("--role", metavar="ROLE", help="operator, educator, auditor or keeper; may be given several times."),
]
Recordings = Annotated[Path, typer.Argument(metavar="FOLDER", help="A folder of recordings or transcripts.")]
Drafts = Annotated[Path, typer.Option(metavar="OUT", help="A folder for the drafts; it may hold earlier ones.")]
Cluster = Annotated[
    str | None,
    typer.Option(metavar="ADDRESS", help="A Dask scheduler, such as tcp://host:8786; its workers do the listening."),
]
LogUnit = Annotated[
    str | None,
    typer.Option("--unit", metavar="UNIT", help="atm, bar, kPa, psi or mmHg, where the pressure column does not tell."),
]
TimeColumn = Annotated[str | None, typer.Option(metavar="NAME", help="Which column is the time.")]
PressureColumn = Annotated[str | None, typer.Option(metavar="NAME", help="Which column is the pressure.")]
LogRows = Annotated[
    str | None,
    typer.Option("--rows", metavar="KIND", help="samples or inflations: what a row is, where it does not tell."),
]


def warn(message: str) -> None:
    """A line on standard error."""
    from extractor.handover.wording import plain

    typer.echo(f"extractor: {plain(message)}", err=True)
