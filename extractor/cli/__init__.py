"""The command line: arguments in, the work called, words out. The only room that prints.

Nothing heavy is imported until a command runs, so that ``extractor --help`` answers at once. A new command is a
function in the module of its subject and a line in the tables below, which are the order of the help.
"""

import sys
from collections.abc import Callable, Mapping, Sequence
from typing import Annotated

import typer

from extractor import __version__
from extractor.cli import auditing, desk, drafting, handing_on, lexicons, models, signing
from extractor.cli.arguments import INTERRUPTED, USAGE_ERROR, warn
from extractor.errors import ExtractorError

Commands = Mapping[str, Callable[..., None]]

COMMANDS: Commands = {
    "draft": drafting.draft,
    "show": drafting.show,
    "explain": drafting.explain,
    "crosscheck": auditing.crosscheck,
    "key": signing.make_key,
    "sign": signing.sign,
    "picture": auditing.picture,
    "batch": drafting.batch,
    "watch": drafting.watch,
    "audit": auditing.audit_cases,
    "verify": signing.verify,
    "export": handing_on.export,
    "teach": handing_on.teach,
    "desk": desk.desk,
}
#: Commands of one subject, behind its name: what is said of the subject, and each by its own name.
SUBJECTS: Mapping[str, tuple[str, Commands]] = {
    "model": (
        "Speech models: which are at hand and whole, and your own.",
        {
            "list": models.list_models,
            "verify": models.verify_models,
            "tune": models.tune_model,
            "untune": models.untune_model,
        },
    ),
    "lexicon": (
        "The trade's words as data: check your own.",
        {"suggest": lexicons.suggest_entries, "check": lexicons.check_lexicons},
    ),
    "store": (
        "What the desk keeps: is it whole, and who saw and did what.",
        {"check": desk.check_store, "backup": desk.back_up_store, "log": desk.export_log},
    ),
    "people": (
        "Who works at the desk, and what each may do.",
        {
            "add": desk.add_person,
            "list": desk.list_people,
            "role": desk.set_roles,
            "password": desk.set_password,
            "disable": desk.disable_person,
        },
    ),
}

app = typer.Typer(
    name="extractor", rich_markup_mode=None, add_completion=False, pretty_exceptions_enable=False, no_args_is_help=False
)
for name, command in COMMANDS.items():
    app.command(name)(command)
for subject, (told, commands) in SUBJECTS.items():
    below = typer.Typer(rich_markup_mode=None)
    for name, command in commands.items():
        below.command(name)(command)
    app.add_typer(below, name=subject, help=told)


def _print_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"extractor {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def extractor(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", help="Print the version and leave.", callback=_print_version, is_eager=True)
    ] = False,
) -> None:
    """A spoken commentary of a procedure in, a draft timeline for a person to check and sign out.

    \b
    Example: extractor draft case.m4a --out case
             extractor show case

    A draft until signed by the responsible clinician. It advises nothing.
    """
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def main(arguments: Sequence[str] | None = None) -> int:
    """Arguments (default: the process's) -> exit status: 0 done, 2 unusable input or arguments, 130 interrupted."""
    try:
        status = app(list(sys.argv[1:] if arguments is None else arguments), "extractor", standalone_mode=False) or 0
    except typer.TyperException as error:
        return _fail(f"{error.format_message()} See extractor --help.")
    except ExtractorError as error:
        return _fail(str(error))
    except KeyboardInterrupt:
        status = INTERRUPTED
    if status == INTERRUPTED:
        typer.echo("extractor: stopped, nothing was written", err=True)
    return int(status)


def run() -> None:
    """What the installed command calls."""
    # A terminal that cannot show × must not show a question mark, which means something here.
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    sys.exit(main())


def _fail(message: str) -> int:
    warn(message)
    return USAGE_ERROR
