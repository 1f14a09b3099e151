"""Recordings to drafts, and what a draft tells."""

from collections import Counter
from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from extractor.cli.arguments import (
    SOME_FAILED,
    Catalogue,
    Cluster,
    DraftFolder,
    Drafts,
    Lexicons,
    Model,
    Recordings,
    SiteRules,
    warn,
)
from extractor.errors import InputError

if TYPE_CHECKING:
    from extractor.batch import Outcome


def draft(
    inputs: Annotated[
        list[Path],
        typer.Argument(
            metavar="INPUT",
            help="Sound or video files of one case, in order; or one transcript (WebVTT, SRT, or JSON of words).",
        ),
    ],
    out: Annotated[Path, typer.Option(metavar="DIR", help="A new folder for the draft. Nothing is overwritten.")],
    model: Model = None,
    lexicons: Lexicons = None,
    catalogue: Catalogue = None,
    site: SiteRules = None,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print nothing but errors and faults of the files.")] = False,
) -> None:
    """Turn a recorded case into a draft timeline.

    Writes timeline.json, transcript.vtt and summary.txt into DIR, at the end and whole, or not at all. Nothing leaves
    this machine. What does not fit in the case, or with your devices and rules, stands in it as a caution.

    \b
    Example: extractor draft case.m4a --out case
             extractor draft note-1.ogg note-2.ogg --out case --lexicons our-devices
             extractor draft case.m4a --out case --catalogue devices.xlsx --site rules.toml
    """
    from extractor import draft_folder, pipeline, site_files, terminal
    from extractor.handover import wording

    draft_folder.require_free(out)
    ours = site_files.read_site(catalogue, site or ())
    with nullcontext() if quiet else terminal.progress_bar() as progress:
        timeline = pipeline.draft(inputs, model=model, lexicons=lexicons, site=ours, progress=progress, warn=warn)
    draft_folder.write(timeline, out)
    if not quiet:
        looks = wording.looks(timeline)
        typer.echo(f"{out}: {len(timeline.events)} events, {looks} to look at. Next: extractor show {out}")


def show(
    folder: DraftFolder,
    everything: Annotated[
        bool, typer.Option("--all", help="Also what was only planned, considered, quoted, or before this case.")
    ] = False,
) -> None:
    """Show a draft as a table, with what needs a look.

    What happened, and what was said not to be there, always; what was only planned, considered or quoted is counted,
    and shown where it needs a look. 14 atm? wants a look, (6 mm) was said earlier in the case.

    \b
    Example: extractor show case
    """
    from extractor import draft_folder, terminal

    terminal.console().print(terminal.timeline_view(draft_folder.read(folder), everything=everything))


def explain(folder: DraftFolder, event: Annotated[str, typer.Argument(metavar="ID", help="Such as e0017.")]) -> None:
    """Tell where an event and its values came from.

    The words around it, the rule that made it, and for each value what was heard, how sure it is, and what else it
    may have been.

    \b
    Example: extractor explain case e0017
    """
    from extractor import draft_folder, terminal

    timeline = draft_folder.read(folder)
    found = next((each for each in timeline.events if each.id == event), None)
    if found is None:
        known = f"it has {timeline.events[0].id} to {timeline.events[-1].id}" if timeline.events else "it has none"
        raise InputError(f"{folder}: no event {event}; {known}, extractor show {folder} --all lists them")
    terminal.console().print(terminal.event_view(timeline, found))


def batch(
    folder: Recordings,
    out: Drafts,
    model: Model = None,
    lexicons: Lexicons = None,
    catalogue: Catalogue = None,
    site: SiteRules = None,
    cluster: Cluster = None,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print nothing but errors and what failed.")] = False,
) -> None:
    """Draft every new recording of a folder.

    A file is a case, a folder inside is one case of several notes; its draft lies under the same name. What has a draft
    is left alone, so a batch that was stopped goes on where it ended. A recording that cannot be drafted stops nothing:
    it is named at the end and in OUT/batch.json, and the exit status is 1.

    \b
    Example: extractor batch recordings --out drafts
             extractor batch recordings --out drafts --cluster tcp://10.0.0.5:8786
    """
    from extractor import batch as many
    from extractor import terminal

    options = many.Options(model, lexicons, catalogue, tuple(site or ()))
    jobs = many.find_jobs(folder)
    with nullcontext() if quiet else terminal.progress_bar() as progress:

        def tell(done: int, total: int) -> None:
            if progress:
                progress("Drafting", done, total)

        try:
            outcomes = many.run(jobs, out, options, cluster=cluster, tell=tell)
        except KeyboardInterrupt:
            typer.echo("extractor: stopped; what was drafted stays, the same command goes on from there", err=True)
            raise typer.Exit(SOME_FAILED) from None
    _tell_failures(outcomes)
    counts = Counter(outcome.state for outcome in outcomes)
    if not quiet:
        told = f"{counts['drafted']} drafted, {counts['there']} there already, {counts['failed']} failed"
        typer.echo(f"{out}: {told}. See {out / many.REPORT}")
    if counts["failed"]:
        raise typer.Exit(SOME_FAILED)


def watch(
    folder: Recordings,
    out: Drafts,
    model: Model = None,
    lexicons: Lexicons = None,
    catalogue: Catalogue = None,
    site: SiteRules = None,
    cluster: Cluster = None,
    every: Annotated[float, typer.Option(metavar="SECONDS", min=0.1, help="How often to look.")] = 5.0,
) -> None:
    """Draft what arrives in a folder, until stopped.

    Like batch, again and again. A file that is still growing is left until it has kept its size from one look to the
    next. What failed is tried again when its file changes; where a cluster is lost, all that waits is. Ctrl-C ends it.

    \b
    Example: extractor watch recordings --out drafts
             extractor watch recordings --out drafts --cluster tcp://10.0.0.5:8786
    """
    from extractor import batch as many

    def done(outcomes: list[many.Outcome]) -> None:
        _tell_failures(outcomes)
        for outcome in outcomes:
            if outcome.state == "drafted":
                typer.echo(f"{out / outcome.name}: {outcome.events} events, {outcome.looks} to look at")

    typer.echo(f"Watching {folder}. Ctrl-C ends it.")
    try:
        options = many.Options(model, lexicons, catalogue, tuple(site or ()))
        many.watch(folder, out, options, cluster=cluster, every_s=every, done=done, warn=warn)
    except KeyboardInterrupt:
        typer.echo("Stopped.")


def _tell_failures(outcomes: "Sequence[Outcome]") -> None:
    from extractor.handover.wording import plain

    for outcome in outcomes:
        if outcome.why:
            typer.echo(f"failed: {plain(outcome.name)}: {plain(outcome.why)}", err=True)
