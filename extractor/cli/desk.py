"""The desk, its store and its people."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from extractor.cli.arguments import (
    Catalogue,
    Lexicons,
    MediaFolder,
    Model,
    PersonName,
    Roles,
    SiteRules,
    StorePlace,
    warn,
)


def desk(
    store: StorePlace = None,
    media: MediaFolder = None,
    host: Annotated[
        str, typer.Option(metavar="ADDRESS", help="Where it answers; other machines reach it at 0.0.0.0, and sign in.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option(metavar="N", min=0, max=65535, help="0: any that is free.")] = 8765,
    names: Annotated[
        list[str] | None,
        typer.Option("--name", metavar="HOST", help="A name it is reached by, where that is not the machine's own."),
    ] = None,
    upload_limit: Annotated[float, typer.Option(metavar="GB", min=0.001, help="The largest file that is taken.")] = 8.0,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Print the address, open nothing.")] = False,
    lexicons: Lexicons = None,
    catalogue: Catalogue = None,
    site: SiteRules = None,
    model: Model = None,
) -> None:
    """Open the desk: review, put right, sign, keep.

    A page in your browser, from this machine alone; nothing is loaded from elsewhere. Drop recordings on it, listen to
    what is doubtful, sign. The address it prints opens it once. Ctrl-C ends it; nothing is lost.

    \b
    Example: extractor desk
             extractor desk --lexicons our-devices --catalogue devices.xlsx
             extractor desk --store postgresql://desk@db/desk --host 0.0.0.0
                 --name desk.hospital.example
    """
    import webbrowser

    from extractor import lexicon, site_files
    from extractor.desk.app import serve
    from extractor.desk.drafting import Options
    from extractor.desk.security import Settings
    from extractor.desk.store import open_store

    ours = site_files.read_site(catalogue, site or ())  # what is wrong in them is told now, not at the first draft
    words = lexicon.load(lexicons)
    with open_store(store, media=media) as opened:
        opened.site, opened.limits = ours, lexicon.Limits(words)
        learned = opened.folder / "lexicons"
        options = Options(model, (lexicons, learned) if lexicons else (learned,), catalogue, tuple(site or ()))
        largest = round(upload_limit * 1e9)
        settings = Settings(host, port, tuple(names or ()), largest_upload=largest, options=options)

        def ready(address: str) -> None:
            typer.echo(f"The desk is open: {address}")
            typer.echo(f"What it keeps is in {opened.name}. Ctrl-C ends it.")
            if settings.is_local and not no_browser:
                webbrowser.open(address)
            if not settings.is_local:
                warn("served without encryption: put it behind one that encrypts, see docs/desk.md")

        def again(address: str) -> None:
            typer.echo(f"It was opened. For another browser: {address}")

        serve(opened, settings, words, ready, again)
    typer.echo("The desk is closed.")


def check_store(
    where: Annotated[str, typer.Argument(metavar="WHERE", help="A folder, or postgresql://…")],
    media: MediaFolder = None,
) -> None:
    """Tell whether a store is whole.

    Every revision of every case is taken in again, from the draft on; hashes, signatures and files are looked at. The
    first fault is named: the case, the revision, the field. Works beside an open desk, and on a copy.

    \b
    Example: extractor store check desk
    """
    from extractor.desk.store import open_store

    with open_store(where, media=media, make=False) as store:
        typer.echo(f"{store.name}: whole. {store.verify()}")


def back_up_store(
    where: Annotated[str, typer.Argument(metavar="WHERE", help="A folder.")],
    out: Annotated[Path, typer.Option(metavar="DIR", help="A new folder: the copy, which is a store itself.")],
) -> None:
    """Copy a store while people work, and look through it.

    The copy is of one moment, and is checked as extractor store check does. A database given by URL is backed up with
    its own tools.

    \b
    Example: extractor store backup desk --out desk-monday
    """
    from extractor.desk.store import open_store

    with open_store(where, make=False) as store:
        whole = store.back_up(out)
        store.note_access(_who(), f"copied the store to {out}")
    typer.echo(f"{out}: whole. {whole}")


def export_log(
    where: Annotated[str, typer.Argument(metavar="WHERE", help="A folder, or postgresql://…")],
    out: Annotated[Path, typer.Option(metavar="FILE.csv", help="A new file.")],
    since: Annotated[str | None, typer.Option(metavar="DATE", help="From this day or time on (UTC).")] = None,
    until: Annotated[str | None, typer.Option(metavar="DATE", help="Before this day or time (UTC).")] = None,
) -> None:
    """Write down who saw and did what, as CSV.

    \b
    Example: extractor store log desk --since 2026-11-01 --until 2026-12-01 --out november.csv
    """
    from extractor import draft_folder
    from extractor.desk.access_log import as_csv
    from extractor.desk.store import open_store

    draft_folder.require_free_file(out)
    with open_store(where, make=False) as store:
        rows = store.access_log(since, until)
        store.note_access(_who(), "exported the log")
    draft_folder.write_file(out, as_csv(rows))
    typer.echo(f"{out}: {len(rows)} lines")


def add_person(name: PersonName, roles: Roles, store: StorePlace = None) -> None:
    """Let somebody work at the desk.

    The password is asked for, or read from standard input; it is never an argument.

    \b
    Example: extractor people add "A. Operator" --role operator --role keeper
    """
    from extractor.desk.store import open_store

    with open_store(store) as opened:
        person = opened.add_person(name, roles, _password(), _who())
    typer.echo(f"{person.name}: added, {', '.join(person.roles)}")


def list_people(store: StorePlace = None) -> None:
    """List who works at the desk.

    \b
    Example: extractor people list
    """
    from extractor.desk.store import open_store
    from extractor.handover.wording import plain

    with open_store(store, make=False) as opened:
        for person in opened.people():
            away = "  (disabled)" if person.disabled else ""
            typer.echo(f"{plain(person.name):<30}  {', '.join(person.roles)}{away}")


def set_roles(name: PersonName, roles: Roles, store: StorePlace = None) -> None:
    """Give somebody other roles, from now on.

    \b
    Example: extractor people role "A. Operator" --role auditor
    """
    from extractor.desk.store import open_store

    with open_store(store, make=False) as opened:
        opened.set_roles(name, roles, _who())
        typer.echo(f"{name}: {', '.join(opened.person(name).roles)}")


def set_password(name: PersonName, store: StorePlace = None) -> None:
    """Give somebody another password.

    Whoever is signed in under the name is signed out. It is asked for, or read from standard input; it is never an
    argument.

    \b
    Example: extractor people password "A. Operator"
    """
    from extractor.desk.store import open_store

    with open_store(store, make=False) as opened:
        opened.person(name)
        opened.set_password(name, _password(), _who())
    typer.echo(f"{name}: has another password")


def disable_person(
    name: PersonName,
    store: StorePlace = None,
    again: Annotated[bool, typer.Option("--undo", help="Let somebody in again.")] = False,
) -> None:
    """Let somebody in no more; what they did stays under their name.

    \b
    Example: extractor people disable "A. Operator"
    """
    from extractor.desk.store import open_store

    with open_store(store, make=False) as opened:
        opened.disable(name, _who(), disabled=not again)
    typer.echo(f"{name}: {'may sign in again' if again else 'disabled'}")


def _password() -> str:
    """From the terminal, twice and unseen; else the first line of standard input."""
    if sys.stdin.isatty():
        return str(typer.prompt("Password", hide_input=True, confirmation_prompt=True))
    return sys.stdin.readline().rstrip("\r\n")


def _who() -> str:
    """Who is at the shell, for the log."""
    import getpass

    try:
        return f"{getpass.getuser()}, at the shell"
    except (KeyError, OSError):
        return "at the shell"
