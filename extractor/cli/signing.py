"""A draft to a signed one, and whether a signed one is still what was signed."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from extractor.cli.arguments import DraftFolder
from extractor.errors import EditError, InputError

if TYPE_CHECKING:
    from extractor.model import SignedTimeline


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


def _signed(path: Path) -> "SignedTimeline":
    from extractor import draft_folder
    from extractor.model import SignedTimeline

    timeline = draft_folder.read(path)
    if not isinstance(timeline, SignedTimeline):
        raise InputError(f"{path}: a draft, nobody has signed it; sign it with extractor sign")
    return timeline
