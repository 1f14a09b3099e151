"""Draft -> signed timeline, and a signed one -> whether it is still what was signed, down to the field.

**What is signed.** The whole draft as it was seen, with the signer's name, the time, the meaning, what was looked at
and what was left open and why, as one text: ``sealed``. Its form is canonical JSON: keys in order of their code points,
no white space, UTF-8, figures as the shortest decimal that reads back the same. Ed25519 (RFC 8032) signs these bytes.
``sha256`` is the hash of the draft alone in the same form: what a record prints.

**What is found.** The sealed text stands in the file beside what people and programs read, so that an altered field
can be named with what it was: whichever of the two the signature still fits is what was signed. A key tells nothing of
whose it is; compare its fingerprint with one that came from the signer.

**What follows.** Nothing is changed after signing. An amendment is another signed timeline: it goes on from the trail
of the one it takes the place of, says why, and names the sealed text of every one before it by its hash.

Model: 21 CFR Part 11, §11.50 (name, time and meaning with the signature), §11.70 (the signature bound to its record).
"""

import base64
import hashlib
import json
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extractor.errors import InputError, OutputError, SignatureError
from extractor.model import Earlier, Signature, SignedTimeline, Timeline

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

MEANING = "I have read this timeline against the recording; it is the record of the case."

#: Fields of the signature that are no part of what it signs.
_OUTSIDE = ("sealed", "value")


def sign(
    timeline: Timeline,
    key: "Ed25519PrivateKey",
    *,
    name: str,
    signed_at: str,
    meaning: str = MEANING,
    looked_at: Sequence[str] = (),
    left_open: Mapping[str, str] | None = None,
    amends: SignedTimeline | None = None,
    reason: str = "",
) -> SignedTimeline:
    """A draft -> the same, signed. ``looked_at`` and ``left_open`` (point: reason) name every open point once, but for
    those that somebody looked at by the timeline's own trail.

    ``signed_at`` is ISO 8601 with its offset. ``amends``: what was signed of the case before, which this takes the
    place of, for a ``reason``. SignatureError where the timeline is signed already, a point is open and not named,
    named and not open, or a name, meaning or reason is empty; and where it does not go on from what it amends.
    """
    left_open = left_open or {}
    if isinstance(timeline, SignedTimeline):
        raise SignatureError(f"already signed by {timeline.signature.name}; only an amendment can follow")
    by_the_trail = timeline.looked_at - {*looked_at, *left_open}
    looked_at = [*looked_at, *(point for point in timeline.open_points if point in by_the_trail)]
    named = [*looked_at, *left_open]
    if missing := [point for point in timeline.open_points if point not in named]:
        raise SignatureError(
            f"not signed: {', '.join(missing)} still open; look at each, then name it with --seen POINT, "
            'or with --reason POINT="why it stays open"'
        )
    if strange := [point for point in named if point not in timeline.open_points]:
        raise SignatureError(f"not signed: {', '.join(strange)}: nothing is open there")
    if twice := [point for point in left_open if point in looked_at]:
        raise SignatureError(f"not signed: {', '.join(twice)}: either looked at or left open, not both")
    texts = {"name": name, "meaning": meaning} | {f"reason for {point}": reason for point, reason in left_open.items()}
    texts |= {"reason": reason} if amends or reason else {}
    if bare := [what for what, text in texts.items() if not text.strip() or not text.isprintable()]:
        raise SignatureError(f"not signed: the {bare[0]} must be one line of text")
    if amends is None and reason:
        raise SignatureError("not signed: a reason is for an amendment; say what it amends")
    statement = {
        "name": name,
        "signed_at": signed_at,
        "meaning": meaning,
        "looked_at": list(dict.fromkeys(looked_at)),
        "left_open": [{"point": point, "reason": reason} for point, reason in left_open.items()],
        "reason": reason,
        "earlier": [each.model_dump() for each in _chain(timeline, amends)] if amends else [],
    }
    return SignedTimeline.model_validate_json(json.dumps(seal(json.loads(timeline.model_dump_json()), statement, key)))


def as_earlier(signed: SignedTimeline) -> Earlier:
    """A signed timeline -> what an amendment of it says of it."""
    by = signed.signature
    sealed = hashlib.sha256(by.sealed.encode(errors="surrogatepass")).hexdigest()
    return Earlier(name=by.name, signed_at=by.signed_at, reason=by.reason, sha256=by.sha256, sealed_sha256=sealed)


def _as_signed(signed: SignedTimeline) -> str:
    """The text of a signed timeline, without what later versions of the program added to its fields."""
    return signed.model_dump_json(exclude_unset=True)


def _chain(timeline: Timeline, amends: SignedTimeline) -> tuple[Earlier, ...]:
    """What was signed before an amendment, oldest first. SignatureError where the timeline does not go on from it."""
    verify(_as_signed(amends), "what is amended")
    known = len(amends.revisions)
    parts = {
        "recording": timeline.recording == amends.recording,
        "words": timeline.words == amends.words,
        "trail": timeline.revisions[:known] == amends.revisions,
    }
    if other := [part for part, is_same in parts.items() if not is_same]:
        raise SignatureError(
            f"not signed: no amendment of what {amends.signature.name} signed: its {other[0]} is another; "
            "amend the case itself"
        )
    return (*amends.signature.earlier, as_earlier(amends))


def seal(seen: Mapping[str, Any], statement: Mapping[str, Any], key: "Ed25519PrivateKey") -> dict[str, Any]:
    """A draft as JSON and what is said of it -> the signed timeline as JSON. Asks nothing; ``sign`` does."""
    public = base64.b64encode(key.public_key().public_bytes_raw()).decode()
    signature = {**statement, "sha256": hashlib.sha256(canonical(seen)).hexdigest(), "public_key": public}
    sealed = canonical({**seen, "state": "signed", "signature": signature})
    value = base64.b64encode(key.sign(sealed)).decode()
    return {**seen, "state": "signed", "signature": {**signature, "sealed": sealed.decode(), "value": value}}


def says_signed(text: str) -> bool:
    """Whether a timeline's JSON claims to be signed: by its state, or by carrying a signature."""
    try:
        raw = json.loads(text)
    except (ValueError, RecursionError):
        return False
    return isinstance(raw, dict) and (raw.get("state") == "signed" or "signature" in raw)


def verify(text: str, source: str, key: "Ed25519PublicKey | None" = None) -> str:
    """The JSON of a signed timeline -> the fingerprint of the key that signed it.

    SignatureError names the first thing altered, in the order of the file, with what it was. ``key``: the one it must
    have been signed with.
    """
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        raw = json.loads(text, object_pairs_hook=_once)
        canonical(raw)
    except (ValueError, RecursionError) as error:
        raise SignatureError(f"{source}: altered: {error}") from error
    signature = raw.get("signature") if isinstance(raw, dict) else None
    if not isinstance(signature, dict):
        raise SignatureError(f"{source}: not signed: it carries no signature; sign it with extractor sign")

    def decoded(field: str) -> bytes:
        try:
            return base64.b64decode(signature[field], validate=True)
        except (KeyError, TypeError, ValueError) as error:
            raise SignatureError(f"{source}: altered: signature.{field} is not as signing writes it") from error

    def fits(content: bytes) -> bool:
        try:
            Ed25519PublicKey.from_public_bytes(public).verify(value, content)
        except (InvalidSignature, ValueError):
            return False
        return True

    public, value = decoded("public_key"), decoded("value")
    sealed = signature.get("sealed")
    shown = {**raw, "signature": {name: part for name, part in signature.items() if name not in _OUTSIDE}}
    shown_is_signed = fits(canonical(shown))
    if not isinstance(sealed, str) or not fits(sealed.encode(errors="surrogatepass")):
        if shown_is_signed:
            raise SignatureError(f"{source}: altered: signature.sealed; all else is what was signed")
        raise SignatureError(f"{source}: altered: {_unsealed(shown, sealed)}")
    if not shown_is_signed:
        raise SignatureError(f"{source}: altered: {next(differences(json.loads(sealed), shown))}")
    seen = {name: part for name, part in shown.items() if name != "signature"} | {"state": "draft"}
    if hashlib.sha256(canonical(seen)).hexdigest() != signature.get("sha256"):
        raise SignatureError(f"{source}: altered: signature.sha256 is not the hash of the timeline it was signed with")
    if key is not None and key.public_bytes_raw() != public:
        raise SignatureError(
            f"{source}: whole, but signed with another key: {_print_of(public)}, not {fingerprint(key)}"
        )
    return _print_of(public)


def read(text: str, source: str) -> SignedTimeline:
    """The JSON of a signed timeline -> the same, once ``verify`` found it whole; SignatureError as there."""
    verify(text, source)
    return SignedTimeline.model_validate_json(text)


def statement(text: str, source: str) -> Signature:
    """The JSON of a signed timeline, whole or altered -> what its signature says of itself. SignatureError where that
    cannot be read.
    """
    try:
        return Signature.model_validate(json.loads(text)["signature"])
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise SignatureError(f"{source}: altered: its signature cannot be read") from error


def verify_chain(signed: Sequence[tuple[SignedTimeline, str]]) -> tuple[str, ...]:
    """All that was signed of one case, each with its source, the first record first -> fingerprints of their keys.

    SignatureError names the first that was altered, or that does not take the place of the one before it.
    """
    found: list[str] = []
    earlier: list[Earlier] = []
    for timeline, source in signed:
        found.append(verify(_as_signed(timeline), source))
        if list(timeline.signature.earlier) != earlier:
            before = earlier[-1] if earlier else None
            what = f"what {before.name} signed, {before.signed_at}" if before else "nothing: it is an amendment itself"
            raise SignatureError(f"{source}: whole, but it does not follow {what}")
        earlier.append(as_earlier(timeline))
    return tuple(found)


def canonical(value: Any) -> bytes:
    """JSON as one sequence of bytes: keys sorted, no white space, UTF-8. ValueError for what JSON has no figure for."""
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return text.encode(errors="surrogatepass")


# --- keys


def make_key(path: Path, passphrase: str | None = None) -> str:
    """A new file -> holds a new private key that only its owner may read, FILE.pub beside it the public one.

    Returns the fingerprint. OutputError where either name is taken or cannot be written.
    """
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    key = Ed25519PrivateKey.generate()
    lock = serialization.BestAvailableEncryption(passphrase.encode()) if passphrase else serialization.NoEncryption()
    private = key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, lock)
    public = key.public_key().public_bytes(serialization.Encoding.PEM, serialization.PublicFormat.SubjectPublicKeyInfo)
    beside = path.with_name(f"{path.name}.pub")
    for place in (path, beside):
        if os.path.lexists(place):
            raise OutputError(f"{place}: is there already; name a new file, a key is never overwritten")
    try:
        for place, content, mode in ((path, private, 0o600), (beside, public, 0o644)):
            with os.fdopen(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
                file.write(content)
    except OSError as error:
        raise OutputError(f"{place}: cannot be written ({error.strerror or error}); name another file") from error
    return fingerprint(key.public_key())


def read_key(path: Path, passphrase: str | None = None) -> "Ed25519PrivateKey":
    """A file that ``make_key`` wrote -> the private key. InputError where it is none or the passphrase is wrong."""
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    try:
        key = serialization.load_pem_private_key(_pem(path), passphrase.encode() if passphrase else None)
    except TypeError as error:  # the library's way to say that a passphrase is missing, or given for nothing
        cure = (
            "it has no passphrase, leave --passphrase away" if passphrase else "it has a passphrase, add --passphrase"
        )
        raise InputError(f"{path}: cannot be opened; {cure}") from error
    except ValueError as error:
        cause = "wrong passphrase, or " if passphrase else ""
        raise InputError(f"{path}: {cause}not a private key; make one with extractor key") from error
    if not isinstance(key, Ed25519PrivateKey):
        raise InputError(f"{path}: not an Ed25519 key; make one with extractor key")
    return key


def read_public_key(path: Path) -> "Ed25519PublicKey":
    """A file FILE.pub that ``make_key`` wrote -> the public key. InputError where it is none."""
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        key = serialization.load_pem_public_key(_pem(path))
    except ValueError as error:
        raise InputError(f"{path}: not a public key; give the file with .pub at its end") from error
    if not isinstance(key, Ed25519PublicKey):
        raise InputError(f"{path}: not an Ed25519 key; give one made by extractor key")
    return key


def fingerprint(key: "Ed25519PublicKey") -> str:
    """A public key -> the first 16 hex digits of its SHA-256, in fours: what two people compare by voice."""
    return _print_of(key.public_bytes_raw())


def _print_of(public: bytes) -> str:
    digits = hashlib.sha256(public).hexdigest()[:16]
    return "-".join(digits[at : at + 4] for at in range(0, 16, 4))


def _pem(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise InputError(
            f"{path}: cannot be read ({error.strerror or error}); make a key with extractor key"
        ) from error


# --- what was altered


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """A key that stands twice would be read one way here and another way elsewhere."""
    names = [name for name, _ in pairs]
    if twice := [name for name in names if names.count(name) > 1]:
        raise ValueError(f"{twice[0]} stands twice in one object")
    return dict(pairs)


def _unsealed(shown: Mapping[str, Any], sealed: Any) -> str:
    """Neither text fits the signature. Where the two differ one field was altered in one of them, else both were."""
    try:
        difference = next(differences(json.loads(sealed), shown), None)
    except (TypeError, ValueError, RecursionError):
        difference = None
    return difference or "signature: its value or key, or the timeline and its sealed copy alike"


def differences(then: Any, now: Any, path: str = "", when: str = "when it was signed") -> Iterator[str]:
    """What stood there ``when``, and what stands here -> the fields that differ, in the order of the file."""
    if isinstance(then, dict) and isinstance(now, dict):
        for name in [*now, *(name for name in then if name not in now)]:
            at = f"{path}.{name}".lstrip(".")
            if name not in then:
                yield f"{at} was not there {when}"
            elif name not in now:
                yield f"{at} is missing"
            else:
                yield from differences(then[name], now[name], at, when)
    elif isinstance(then, list) and isinstance(now, list):
        for number, (one, other) in enumerate(zip(then, now, strict=False)):
            yield from differences(one, other, f"{path}[{number}]", when)
        if len(then) != len(now):
            yield f"{path} had {len(then)} entries {when} and has {len(now)}"
    elif type(then) is not type(now) or then != now:
        yield f"{path} was {_brief(then)} {when} and is {_brief(now)}"


def _brief(value: Any) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 60 else f"{text[:57]}..."
