"""The command line: arguments in, the work called, words out. The only place that prints.

Nothing heavy is imported until a command runs, so that ``extractor --help`` answers at once.
"""

import sys
from collections import Counter
from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from extractor import __version__
from extractor.errors import EditError, ExtractorError, InputError

if TYPE_CHECKING:
    from extractor.batch import Outcome
    from extractor.model import SignedTimeline

USAGE_ERROR = 2
SOME_FAILED = 1
INTERRUPTED = 130

app = typer.Typer(
    name="extractor", rich_markup_mode=None, add_completion=False, pretty_exceptions_enable=False, no_args_is_help=False
)
model_app = typer.Typer(rich_markup_mode=None)
lexicon_app = typer.Typer(rich_markup_mode=None)
store_app = typer.Typer(rich_markup_mode=None)
people_app = typer.Typer(rich_markup_mode=None)
app.add_typer(model_app, name="model", help="Speech models: which are at hand and whole, and your own.")
app.add_typer(lexicon_app, name="lexicon", help="The trade's words as data: check your own.")
app.add_typer(store_app, name="store", help="What the desk keeps: is it whole, and who saw and did what.")
app.add_typer(people_app, name="people", help="Who works at the desk, and what each may do.")

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


@app.command()
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
        timeline = pipeline.draft(inputs, model=model, lexicons=lexicons, site=ours, progress=progress, warn=_warn)
    draft_folder.write(timeline, out)
    if not quiet:
        looks = wording.looks(timeline)
        typer.echo(f"{out}: {len(timeline.events)} events, {looks} to look at. Next: extractor show {out}")


@app.command()
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


@app.command()
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


@app.command()
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
    from extractor.audit.pressure_log import read_log

    draft_folder.require_free_file(out)
    timeline = draft_folder.read(folder)
    read = [
        read_log(log, unit=unit, time_column=time_column, pressure_column=pressure_column, rows=rows) for log in logs
    ]
    result = audit.cross_check(timeline, read)
    draft_folder.write_file(out, result.model_dump_json(indent=1) + "\n")
    if flag:
        draft_folder.rewrite(audit.flag_timeline(timeline, result), folder)
    terminal.console().print(terminal.crosscheck_view(result))


@app.command("key")
def make_key(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="A new file for the private key; FILE.pub is put beside.")
    ],
    passphrase: Annotated[bool, typer.Option("--passphrase", help="Ask for a passphrase that locks the key.")] = False,
) -> None:
    """Make a key to sign with.

    The private key stays with its owner. FILE.pub may be given to anybody, who then can tell with extractor verify
    that a record was signed with it.

    \b
    Example: extractor key operator.key --passphrase
    """
    from extractor import signing

    secret = typer.prompt("Passphrase", hide_input=True, confirmation_prompt=True) if passphrase else None
    typer.echo(f"{file}: a new key, fingerprint {signing.make_key(file, secret)}. {file}.pub is for those who verify.")


@app.command()
def sign(
    folder: DraftFolder,
    name: Annotated[str, typer.Option("--as", metavar="NAME", help="Who signs.")],
    key: Annotated[Path, typer.Option(metavar="FILE", help="The signer's private key, made by extractor key.")],
    seen: Annotated[
        list[str] | None,
        typer.Option(metavar="POINT", help="A point that asked for a look, looked at and right as it stands."),
    ] = None,
    reason: Annotated[
        list[str] | None, typer.Option(metavar="POINT=WHY", help="A point that stays open, and why.")
    ] = None,
    meaning: Annotated[str | None, typer.Option(metavar="TEXT", help="What the signature means.")] = None,
    passphrase: Annotated[bool, typer.Option("--passphrase", help="Ask for the key's passphrase.")] = False,
    amends: Annotated[
        Path | None, typer.Option(metavar="DIR|FILE", help="What was signed of the case before; needs --why.")
    ] = None,
    why: Annotated[str, typer.Option(metavar="TEXT", help="Why it is amended.")] = "",
) -> None:
    """Sign a draft: from then on it is the record.

    Every point that asks for a look must be named, as looked at or as left open with a reason; without that nothing is
    signed and the open points are listed: e0017 an event, e0017.pressure a value, words-22, gap-1, check-1. What was
    looked at at the desk needs no name. The signature binds all that was seen, the trail of changes too, which must fit
    what stands there. The files in DIR are rewritten, and nothing is changed after that; only an amendment can follow:
    a draft that was changed since, and names what it --amends.

    \b
    Example: extractor sign case --as "A. Operator" --key operator.key
             extractor sign case --as "A. Operator" --key operator.key
                 --seen e0017.pressure --reason gap-1="a door, nobody spoke"
    """
    from datetime import UTC, datetime

    from extractor import draft_folder, signing
    from extractor.desk import trail

    left_open = {}
    for each in reason or ():
        point, _, left_because = each.partition("=")
        if not left_because:
            raise InputError(f'--reason {each}: has no reason; write --reason {point}="why it stays open"')
        left_open[point] = left_because
    secret = typer.prompt("Passphrase", hide_input=True) if passphrase else None
    private = signing.read_key(key, secret)
    timeline = draft_folder.read(folder)
    try:
        trail.drafted(timeline)
    except EditError as error:
        raise InputError(f"{folder}: its trail of changes does not fit what stands there: {error}") from error
    signed = signing.sign(
        timeline,
        private,
        name=name,
        signed_at=datetime.now(UTC).isoformat(timespec="seconds"),
        meaning=signing.MEANING if meaning is None else meaning,
        looked_at=seen or (),
        left_open=left_open,
        amends=_signed(amends) if amends else None,
        reason=why,
    )
    draft_folder.rewrite(signed, folder)
    typer.echo(
        f"{folder}: signed by {name}, {len(signed.events)} events, {len(left_open)} points left open, "
        f"SHA-256 {signed.signature.sha256}, key {signing.fingerprint(private.public_key())}"
    )


@app.command()
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
    from extractor.audit.pictures import draw_case, form_of
    from extractor.audit.pressure_log import read_log

    form = form_of(out)
    draft_folder.require_free_file(out)
    timeline = draft_folder.read(folder)
    read = [
        read_log(log, unit=unit, time_column=time_column, pressure_column=pressure_column, rows=rows)
        for log in logs or ()
    ]
    result = cross_check(timeline, read) if read else None
    draft_folder.write_file(out, draw_case(timeline, read, result, form))
    for log in result.logs if result else ():
        if not log.found:
            typer.echo(f"{log.name} is not drawn, its clock was not found: {log.why}.", err=True)


@app.command()
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


@app.command()
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
        many.watch(folder, out, options, cluster=cluster, every_s=every, done=done, warn=_warn)
    except KeyboardInterrupt:
        typer.echo("Stopped.")


def _tell_failures(outcomes: "Sequence[Outcome]") -> None:
    from extractor.handover.wording import plain

    for outcome in outcomes:
        if outcome.why:
            typer.echo(f"failed: {plain(outcome.name)}: {plain(outcome.why)}", err=True)


@app.command("audit")
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


def _signed(path: Path) -> "SignedTimeline":
    from extractor import draft_folder
    from extractor.model import SignedTimeline

    timeline = draft_folder.read(path)
    if not isinstance(timeline, SignedTimeline):
        raise InputError(f"{path}: a draft, nobody has signed it; sign it with extractor sign")
    return timeline


@app.command()
def verify(
    path: Annotated[Path, typer.Argument(metavar="DIR|FILE", help="A signed case, or its timeline.json.")],
    key: Annotated[Path | None, typer.Option(metavar="FILE.pub", help="The public key it must be signed with.")] = None,
    earlier: Annotated[
        list[Path] | None,
        typer.Option(metavar="DIR|FILE", help="What an amendment takes the place of, the first record first."),
    ] = None,
) -> None:
    """Tell whether a signed case is what was signed.

    Names the first thing that was altered, down to the field, with what it was. Without --key it tells the fingerprint
    of the key that signed, not whose it is: compare it with one that came from the signer. An amendment names what it
    takes the place of; with --earlier each of those is verified too, and that one follows on the other.

    \b
    Example: extractor verify case
             extractor verify case --key operator.key.pub
    """
    from extractor import draft_folder, signing

    public = signing.read_public_key(key) if key else None
    timeline = _signed(path)
    found = draft_folder.verify(path, public)
    if earlier:
        chain = [(each, _signed(each)) for each in earlier] + [(path, timeline)]
        signing.verify_chain([(signed, str(place)) for place, signed in chain])
    by = timeline.signature
    typer.echo(f"{path}: whole. Signed by {by.name}, {by.signed_at}, SHA-256 {by.sha256}")
    typer.echo(f"  {by.meaning}")
    for each in by.left_open:
        typer.echo(f"  left open: {each.point}: {each.reason}")
    if by.reason:
        typer.echo(f"  an amendment: {by.reason}")
    for signed in reversed(by.earlier):
        because = f"; an amendment: {signed.reason}" if signed.reason else ""
        typer.echo(f"  in place of: {signed.name}, {signed.signed_at}, SHA-256 {signed.sha256}{because}")
    typer.echo(f"  key {found}" + ("" if key else "; whose it is, only the signer can tell"))


@app.command()
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


@app.command()
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


@app.command()
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
                _warn("served without encryption: put it behind one that encrypts, see docs/desk.md")

        def again(address: str) -> None:
            typer.echo(f"It was opened. For another browser: {address}")

        serve(opened, settings, words, ready, again)
    typer.echo("The desk is closed.")


@model_app.command("list")
def list_models() -> None:
    """List the speech models, and whether each is at hand.

    The packaged ones, and your own if there is one. The first that is at hand is the default. What a model was tuned
    on, its figures and its limits stand beneath it. Other models need no listing: --model takes any folder that holds
    one, or a hub's name where there is a network.

    \b
    Example: extractor model list
    """
    from extractor.listening import speech_models

    for model in speech_models.list_models():
        typer.echo(f"{model.name:<8} {model.state:<8} {model.size // 1_000_000:>4} MB  {model.where}")
        for line in model.card.lines() if model.card else ():
            typer.echo(f"    {line}")


@model_app.command("verify")
def verify_models(
    name: Annotated[
        str | None, typer.Argument(metavar="[NAME]", help="A model; without it every packaged one that is at hand.")
    ] = None,
) -> None:
    """Read every byte of a model and compare its SHA-256.

    Of a tuned one also that of its adapter, and of the base it was made from.

    \b
    Example: extractor model verify
             extractor model verify tiny.en
    """
    from extractor.listening import speech_models

    at_hand = tuple(model.name for model in speech_models.list_models() if model.state != "absent")
    for each in (name,) if name else at_hand or (None,):
        model = speech_models.verify(each)
        typer.echo(f"{model.name}: whole, SHA-256 {model.sha256}")
        for part, sha256 in speech_models.made_of(model).items():
            typer.echo(f"    of {part}, SHA-256 {sha256}")


@model_app.command("tune")
def tune_model(
    folders: Annotated[
        list[Path],
        typer.Argument(metavar="FOLDER", help="Signed cases with consent.toml, or folders that hold such cases."),
    ],
    ordinary: Annotated[
        Path | None,
        typer.Option(
            metavar="DIR",
            help="Ordinary speech of real people, none of it of the trade: recordings of less than 28 s, each beside "
            "its text (a.wav, a.txt). Half is learned with, half judges what was forgotten. It must be given.",
        ),
    ] = None,
    sounds: Annotated[
        list[Path] | None,
        typer.Option("--sound", metavar="PATH", help="Where recordings lie that are not in their case's folder."),
    ] = None,
    judges: Annotated[
        list[str] | None,
        typer.Option("--judge", metavar="SPEAKER", help="A speaker to keep aside to judge with; else one is chosen."),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help="A new folder to keep the adapter in as well, installed or not."),
    ] = None,
    steps: Annotated[int | None, typer.Option(metavar="N", min=1, help="How long to train; 500 if not given.")] = None,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print nothing but errors.")] = False,
) -> None:
    """Tune a speech model on your own signed cases.

    Only cases whose consent.toml agrees to it. Some are kept aside and judged before and after, as ordinary speech is;
    a model that is no better on the one or worse on the other is not installed. What is installed is the model named
    own, the default from then on. Needs PyTorch and a GPU. Nothing leaves this machine.

    \b
    Example: extractor model tune cases --ordinary read-aloud
    """
    from extractor import terminal
    from extractor.errors import ModelError
    from extractor.tuning import own

    with nullcontext() if quiet else terminal.progress_bar() as progress:
        outcome = own.tune(
            folders,
            ordinary=ordinary,
            sounds=sounds or (),
            judges=judges or (),
            out=out,
            steps=steps or own.STEPS,
            progress=progress,
        )
    if not quiet:
        for line in outcome.lines():
            typer.echo(line)
    if outcome.faults:
        raise ModelError(f"not installed: {'; '.join(outcome.faults)}")


@model_app.command("untune")
def untune_model() -> None:
    """Take your own tuned model away again.

    Its files stay, under a name with today's date; --model takes that folder. The default is trade again.

    \b
    Example: extractor model untune
    """
    from extractor.errors import ModelError
    from extractor.listening import speech_models

    kept = speech_models.uninstall()
    if kept is None:
        raise ModelError("there is no model of your own; extractor model list shows what there is")
    typer.echo(f"Taken away. Its files stay in {kept}.")


@lexicon_app.command("suggest")
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


@lexicon_app.command("check")
def check_lexicons(
    folder: Annotated[
        Path | None, typer.Argument(metavar="[DIR]", help="Your own lexicon files; without it the shipped ones.")
    ] = None,
) -> None:
    """Read lexicon files and name what is wrong in them.

    The first entry that cannot be used is named by file, table and key.

    \b
    Example: extractor lexicon check our-devices
    """
    from extractor import lexicon

    loaded = lexicon.load(folder)
    entries = sum(len(getattr(loaded, table)) for table in lexicon.TABLES)
    typer.echo(f"Good: {entries} entries in {len(loaded.files)} files.")


@store_app.command("check")
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


@store_app.command("backup")
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


@store_app.command("log")
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


@people_app.command("add")
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


@people_app.command("list")
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


@people_app.command("role")
def set_roles(name: PersonName, roles: Roles, store: StorePlace = None) -> None:
    """Give somebody other roles, from now on.

    \b
    Example: extractor people role "A. Operator" --role auditor
    """
    from extractor.desk.store import open_store

    with open_store(store, make=False) as opened:
        opened.set_roles(name, roles, _who())
        typer.echo(f"{name}: {', '.join(opened.person(name).roles)}")


@people_app.command("password")
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


@people_app.command("disable")
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
    _warn(message)
    return USAGE_ERROR


def _warn(message: str) -> None:
    from extractor.handover.wording import plain

    typer.echo(f"extractor: {plain(message)}", err=True)
