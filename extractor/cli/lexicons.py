"""The trade's words as data."""

from pathlib import Path
from typing import Annotated

import typer

from extractor.cli.arguments import Lexicons
from extractor.errors import InputError


def suggest_entries(
    store: Annotated[
        str | None, typer.Option(metavar="WHERE", help="The desk's store: a folder, or a database's URL.")
    ] = None,
    accept: Annotated[
        list[int] | None, typer.Option(metavar="N", help="Take the proposal of this number; may be given again.")
    ] = None,
    name: Annotated[str, typer.Option("--as", metavar="NAME", help="Who accepts.")] = "",
    lexicons: Lexicons = None,
) -> None:
    """Propose misheard forms from what was put right at the desk.

    Each is told with how often it was put right, in how many cases and by whom, and where its sound lies. What would
    change ordinary words too is told with why it is no proposal. An accepted one is drafted with from then on: it
    stands in lexicons/learned.toml of the store's folder.

    \b
    Example: extractor lexicon suggest
             extractor lexicon suggest --accept 1 --as "A. Keeper"
    """
    from extractor.desk import learning
    from extractor.desk.store import open_store
    from extractor.handover.wording import clock, plain

    if accept and not name.strip():
        raise InputError('--accept: say who accepts, with --as "A. Keeper"')
    with open_store(store) as opened:
        decided = opened.decisions()
        found = [each for each in learning.of_store(opened, lexicons) if each.id not in decided]
        open_ones = [each for each in found if not each.refused]
        if wrong := [number for number in accept or () if not 1 <= number <= len(open_ones)]:
            raise InputError(f"--accept {wrong[0]}: there are {len(open_ones)} proposals; list them without --accept")
        for number in dict.fromkeys(accept or ()):
            chosen = open_ones[number - 1]
            path = learning.accept(opened.folder, chosen)
            opened.decide(chosen.id, True, name)
            typer.echo(f"{path}: “{plain(chosen.heard)}” is read {plain(chosen.read)} from the next draft on")
        if accept:
            return
        for number, each in enumerate(open_ones, 1):
            near = f"; only beside {', '.join(each.near)}" if each.near else ""
            typer.echo(f"{number:3}  “{plain(each.heard)}” → {plain(each.read)}: {plain(each.entry.source)}{near}")
            places = [f"case {clip.case} at {clock(clip.start_ms)}" for clip in each.clips]
            typer.echo(f"     sound: {', '.join(places)}")
        for each in found:
            if each.refused:
                typer.echo(f"  -  “{plain(each.heard)}” → {plain(each.read)}: no, {plain(each.refused)}")
        if not found:
            typer.echo("nothing to learn: no term was put right that the lexicon does not know")


def check_lexicons(
    folder: Annotated[
        Path | None, typer.Argument(metavar="[DIR]", help="Your own lexicon files; without it the shipped ones.")
    ] = None,
) -> None:
    """Read lexicon files and name what is wrong in them.

    The first entry that cannot be used is named by file, table and key, and so is every line whose brackets write too
    many forms.

    \b
    Example: extractor lexicon check our-devices
    """
    from extractor import lexicon

    loaded = lexicon.load(folder)
    for caution in lexicon.cautions(folder):
        typer.echo(f"Caution: {caution}.")
    entries = sum(len(getattr(loaded, table)) for table in lexicon.TABLES)
    typer.echo(f"Good: {entries} entries in {len(loaded.files)} files.")
