"""A signed timeline to the files it becomes."""

from contextlib import nullcontext
from pathlib import Path
from typing import Annotated

import typer

from extractor.cli.arguments import DraftFolder, Lexicons
from extractor.errors import InputError


def export(
    folder: DraftFolder,
    form: Annotated[str, typer.Option("--format", metavar="F", help="Such as record-pdf; see above.")],
    out: Annotated[Path, typer.Option(metavar="PATH", help="A new file. Nothing is overwritten.")],
    particulars: Annotated[
        Path | None, typer.Option(metavar="FILE.toml", help="What nobody says: patient, order, start, barcodes.")
    ] = None,
    worklist: Annotated[
        Path | None, typer.Option(metavar="FILE.dcm", help="Patient and order from an item of a modality worklist.")
    ] = None,
    template: Annotated[
        Path | None, typer.Option(metavar="FILE.toml", help="How your records look: sections, spelling, after-care.")
    ] = None,
    spoken: Annotated[bool, typer.Option("--spoken", help="Records: the spoken words beside each event.")] = False,
    draft: Annotated[
        bool, typer.Option("--draft", help="Let an unsigned timeline out too, marked as a draft all over.")
    ] = False,
) -> None:
    """Hand a signed case on in other forms.

    Only a signed timeline leaves as a record. What asked for a look, what was carried over and what was not said is
    shown as such; nothing is made up. The same case gives the same bytes. Formats:

    \b
    record-pdf record-html record-docx record-text
    implants-csv implants-xlsx
    fhir dicom
    events-csv events-jsonl events-xlsx events-parquet
    captions chapters srt

    \b
    Example: extractor export case --format record-pdf --out case.pdf
             extractor export case --format record-html --out case.html
                 --particulars case.toml --template our-records.toml
    """
    from extractor import draft_folder
    from extractor.handover.export import Wishes
    from extractor.handover.export import export as make
    from extractor.handover.particulars import Particulars, Template, read

    given = read(Particulars, draft_folder.read_text(particulars), str(particulars)) if particulars else Particulars()
    if worklist:
        from extractor.handover.dicom import read_worklist

        given = read_worklist(draft_folder.read_bytes(worklist), given, str(worklist))
    looks = read(Template, draft_folder.read_text(template), str(template)) if template else Template()
    wishes = Wishes(particulars=given, template=looks, spoken=spoken)
    draft_folder.require_free_file(out)
    timeline = draft_folder.read(folder)
    try:
        files = make(timeline, form, wishes, draft=draft)
    except InputError as error:
        raise InputError(f"{folder}: {error}") from error
    for place in draft_folder.write_files(out, files):
        typer.echo(place)


def teach(
    folder: DraftFolder,
    out: Annotated[Path, typer.Option(metavar="FOLDER", help="A new folder. Nothing is overwritten.")],
    title: Annotated[str, typer.Option(metavar="TEXT", help="What stands above the page.")] = "A case to learn from",
    sounds: Annotated[
        list[Path] | None,
        typer.Option("--sound", metavar="PATH", help="Where the recording lies, if not in the case's folder."),
    ] = None,
    picture: Annotated[
        bool, typer.Option("--picture", help="The recording's picture too, as it is: nothing in it is looked at.")
    ] = False,
    lexicons: Lexicons = None,
    draft: Annotated[bool, typer.Option("--draft", help="Teach with an unsigned timeline, marked as a draft.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print nothing but errors.")] = False,
) -> None:
    """Make a folder to teach with from a signed case.

    A page with player, captions, chapters, events, glossary, questions and clips that needs no server. Names, places,
    dates, ages over 89 and numbers that identify are taken out of words and sound, by rules, which miss some: a person
    must confirm. What was taken out is listed beside the folder, in FOLDER.removed.jsonl; that list stays with you.

    \b
    Example: extractor teach case --out lesson
    """
    from extractor import draft_folder, lexicon, terminal
    from extractor.model import SignedTimeline
    from extractor.teaching import pack, page
    from extractor.teaching.names import finder

    timeline = draft_folder.read(folder)
    if not draft and not isinstance(timeline, SignedTimeline):
        raise InputError(f"{folder}: a draft, and only a signed case is taught with; sign it, or give --draft")
    with nullcontext() if quiet else terminal.progress_bar() as progress:
        made = pack.teach(
            timeline, folder, out, lexicon.load(lexicons), title=title, sounds=sounds or (), picture=picture,
            also=finder(), progress=progress,
        )  # fmt: skip
    if not quiet:
        typer.echo(f"{out}: {made.removed} stretches taken out, listed in {made.listed_in}; {made.clips} clips")
        typer.echo(page.WARNING)
