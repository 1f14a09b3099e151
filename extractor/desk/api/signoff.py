"""From draft to record: what the voice does not tell, the record as it will be, the signature, amendments, exports."""

import hashlib
import io
import json
import re
import zipfile
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Annotated, Any, Literal

from fastapi import APIRouter, HTTPException, Path, Query, Response, status
from pydantic import BaseModel, Field

from extractor import signing
from extractor.desk.api.asking import Body, CaseId, Desk, Editor, Exporter, Line, OfDesk, Reader, Signer
from extractor.desk.api.review import waits
from extractor.desk.rows import RefusedError, State
from extractor.desk.security import RECORD_CSP
from extractor.errors import InputError, SignatureError
from extractor.handover import gs1
from extractor.handover.export import FORMATS, Wishes, export
from extractor.handover.particulars import Particulars
from extractor.model import LeftOpen, SignedTimeline, Timeline

router = APIRouter(tags=["sign-off"])

#: Format -> end of the file's name, media type.
KINDS: Mapping[str, tuple[str, str]] = {
    "record-pdf": ("pdf", "application/pdf"),
    "record-html": ("html", "text/html"),
    "record-docx": ("docx", "application/vnd.openxmlformats-officedocument.wordprocessingml.document"),
    "record-text": ("txt", "text/plain; charset=utf-8"),
    "implants-csv": ("csv", "text/csv"),
    "implants-xlsx": ("xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    "fhir": ("fhir.json", "application/fhir+json"),
    "dicom": ("dcm", "application/dicom"),
    "events-csv": ("csv", "text/csv"),
    "events-jsonl": ("jsonl", "application/x-ndjson"),
    "events-xlsx": ("xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    "events-parquet": ("parquet", "application/vnd.apache.parquet"),
    "captions": ("vtt", "text/vtt"),
    "chapters": ("chapters.vtt", "text/vtt"),
    "srt": ("srt", "application/x-subrip"),
}
_RECORDS = {"html": "record-html", "pdf": "record-pdf", "text": "record-text"}
#: Of a file that is made here: it is none of the desk's pages, whatever stands in it.
_FILE_CSP = "default-src 'none'; sandbox"
#: How a signature ends that was given with particulars.
_SHOWN_WITH = re.compile(r"Shown with particulars of SHA-256 [0-9a-f]{64}\.$")


# --- what the voice does not tell


@router.get("/cases/{case}/particulars", summary="What the voice does not tell of a case")
def read_particulars(at: OfDesk, _: Reader, case: CaseId) -> Particulars:
    return Particulars.model_validate(at.store.particulars(case))


@router.put("/cases/{case}/particulars", summary="Set what the voice does not tell: patient, order, start, barcodes")
def set_particulars(at: OfDesk, person: Editor, case: CaseId, told: Particulars) -> Particulars:
    """All of it at once. A signed case keeps what it was signed with, until an amendment is opened."""
    at.store.set_particulars(case, told.model_dump(mode="json", exclude_defaults=True), person.name)
    return told


class Barcode(Body):
    """What a scanner gave, or what stands under the bars."""

    text: str = Field(min_length=1, max_length=1000, examples=["(01)09506000134352(17)291231(10)ABC123"])


class BarcodeAnswer(BaseModel):
    """What the label tells, by the GS1 application identifiers. ``expired``: today; null where it tells no date."""

    device: str | None
    lot: str | None
    serial: str | None
    made_on: date | None
    expires_on: date | None
    expired: bool | None
    others: dict[str, str]
    faults: list[str]


@router.post("/barcode", summary="Read the barcode of a device's label (GS1)")
def read_barcode(_: Reader, barcode: Barcode) -> BarcodeAnswer:
    label = gs1.parse(barcode.text)
    return BarcodeAnswer(
        device=label.device,
        lot=label.lot,
        serial=label.serial,
        made_on=label.made_on,
        expires_on=label.expires_on,
        expired=label.expired(datetime.now(UTC).date()),
        others=label.others,
        faults=list(label.faults),
    )


# --- the record as it will be, and as it is handed on


@router.get(
    "/cases/{case}/record",
    summary="The record as it will be: marked as a draft until it is signed",
    response_class=Response,
    responses={200: {"content": {"text/html": {}, "application/pdf": {}, "text/plain": {}}, "description": "It."}},
)
def read_record(
    at: OfDesk,
    person: Reader,
    case: CaseId,
    form: Annotated[Literal["html", "pdf", "text"], Query()] = "html",
    head: Annotated[int | None, Query(ge=0, le=2**31 - 1, description="Refused where the case moved on.")] = None,
) -> Response:
    """``X-Head`` and ``X-Seen-SHA256`` tell what was shown: a signature binds them."""
    now, timeline = _newest(at, case)
    if head is not None and head != now:
        raise _moved(now)
    at.store.note_access(person.name, "read the record", case)
    content = export(timeline, _RECORDS[form], _wishes(at, case, timeline), draft=True)[""]
    headers = {"X-Head": str(now), "X-Seen-SHA256": seen_sha256(timeline)}
    headers["Content-Security-Policy"] = RECORD_CSP if form == "html" else _FILE_CSP
    return Response(content, media_type=KINDS[_RECORDS[form]][1], headers=headers)


@router.get(
    "/cases/{case}/export/{format}",
    summary="Hand a case on in another form",
    response_class=Response,
    responses={200: {"content": {"*/*": {}}, "description": "The file; of several, a zip archive of them."}},
)
def export_case(
    at: OfDesk,
    person: Exporter,
    case: CaseId,
    form: Annotated[str, Path(alias="format", description=", ".join(FORMATS), examples=["record-pdf"])],
    draft: Annotated[bool, Query(description="Also what nobody signed, marked as a draft all over.")] = False,
    spoken: Annotated[bool, Query(description="Records: the spoken words beside each event.")] = False,
) -> Response:
    """The last signed state with the particulars it was signed with; what was changed since only with ``draft``."""
    if form not in FORMATS:
        raise HTTPException(404, f"There is no format {form[:40]!r}; there are {', '.join(FORMATS)}.")
    signed = at.store.signed(case)
    timeline = _newest(at, case)[1] if draft or not signed else signed[-1]
    if not draft and not isinstance(timeline, SignedTimeline):
        raise RefusedError("a draft, and only a signed case leaves as a record; sign it, or ask for the draft")
    files = export(timeline, form, _wishes(at, case, timeline, spoken=spoken), draft=draft)
    at.store.note_access(person.name, f"exported {form}{' as a draft' if draft else ''}", case)
    end, kind = KINDS[form]
    content = files[""]
    if len(files) > 1:
        content, end, kind = _zipped(f"case-{case}", end, files), "zip", "application/zip"
    named = f'attachment; filename="case-{case}.{end}"'
    return Response(
        content, media_type=kind, headers={"Content-Disposition": named, "Content-Security-Policy": _FILE_CSP}
    )


# --- the signature


class ToSign(BaseModel):
    """What a signature would bind now."""

    head: int
    seen_sha256: str
    waits: list[str] = Field(description="Points that nobody looked at: each needs a reason to be left open.")


class SignatureAnswer(BaseModel):
    """One signature of a case. ``fault``: what was altered since; null where nothing was. Of an amendment ``reason``
    says why, and ``amends`` is the SHA-256 of the sealed text it takes the place of.
    """

    name: str
    signed_at: str
    meaning: str
    reason: str
    amends: str | None
    sha256: str
    fingerprint: str | None
    looked_at: list[str]
    left_open: list[LeftOpen]
    fault: str | None


class SignaturesAnswer(BaseModel):
    """How a case stands: what would be signed (null: it is signed), the record's signature, then its amendments'."""

    state: State
    to_sign: ToSign | None
    signatures: list[SignatureAnswer]


class NewSignature(Body):
    """The signer's name, what they saw, what it means to them, and why points stay open that nobody looked at."""

    seen_sha256: str = Field(pattern="^[0-9a-f]{64}$", description="From the record that was read, or /signature.")
    head: int = Field(ge=0, le=2**31 - 1)
    name: Line = Field(examples=["A. Operator"])
    meaning: Line = signing.MEANING
    left_open: dict[str, Line] = Field({}, description="Point: why it stays open.")
    passphrase: str | None = Field(None, min_length=1, max_length=1000)
    particulars: Particulars | None = Field(None, description="Those that were shown; refused where others stand.")


class SignedAnswer(BaseModel):
    """The signature that was made."""

    sha256: str
    fingerprint: str
    signed_at: str


class Amendment(Body):
    """Why a signed case is to be changed."""

    why: Line = Field(examples=["the second stent was not told"])


@router.get("/cases/{case}/signature", summary="Who signed a case, whether it is still that, and what would be signed")
def read_signatures(at: OfDesk, _: Reader, case: CaseId) -> SignaturesAnswer:
    row = at.store.case(case)
    to_sign = None
    if row.state in ("draft", "amending"):
        head, timeline = at.store.timeline(case)
        to_sign = ToSign(head=head, seen_sha256=seen_sha256(timeline), waits=waits(timeline))
    signed = [_signature(text, where) for text, where in at.store.signed_texts(case)]
    return SignaturesAnswer(state=row.state, to_sign=to_sign, signatures=signed)


@router.post("/cases/{case}/signature", status_code=status.HTTP_201_CREATED, summary="Sign a case")
def sign_case(at: OfDesk, person: Signer, case: CaseId, new: NewSignature) -> SignedAnswer:
    """Binds what was seen. Refused where the case moved on since, where a point nobody looked at has no reason, and
    where the name is not that of whoever is signed in. Of an amendment it names what it amends.
    """
    if new.name != person.name:
        raise SignatureError(f"not signed: you are signed in as {person.name}; sign with that name")
    if at.store.case(case).state == "signed":
        raise RefusedError("the case is signed; open an amendment to change it")
    head, timeline = at.store.timeline(case)
    if head != new.head or seen_sha256(timeline) != new.seen_sha256:
        raise _moved(head)
    told = at.store.particulars(case)
    if new.particulars not in (None, Particulars.model_validate(told)):
        raise HTTPException(409, "Other particulars stand than you were shown; read them again, then sign.")
    unsettled = waits(timeline)
    if missing := [point for point in unsettled if point not in new.left_open]:
        raise SignatureError(f"not signed: {', '.join(missing)} still open; look at each, or say why it stays open")
    if strange := [point for point in new.left_open if point not in unsettled]:
        raise SignatureError(f"not signed: {', '.join(strange)}: nothing is open there")
    if not at.store.keys.has(person.name):
        at.store.keys.make(person.name, new.passphrase)
    try:
        key = at.store.keys.private(person.name, new.passphrase)
    except InputError as error:
        given = "this" if new.passphrase else "no"
        raise SignatureError(
            f"not signed: your key does not open with {given} passphrase; give the one it was made with, or none"
        ) from error
    signed = signing.sign(
        timeline,
        key,
        name=person.name,
        signed_at=datetime.now(UTC).isoformat(timespec="seconds"),
        meaning=" ".join([new.meaning, *([_also_meant(told)] if told else [])]),
        looked_at=[point for point in timeline.open_points if point not in new.left_open],
        left_open=new.left_open,
        **_amending(at, case),
    )
    at.store.sign(case, signed, head, person.name, told)
    made = signed.signature
    return SignedAnswer(sha256=made.sha256, fingerprint=signing.fingerprint(key.public_key()), signed_at=made.signed_at)


@router.post("/cases/{case}/amendment", status_code=status.HTTP_201_CREATED, summary="Open a signed case to be changed")
def open_amendment(at: OfDesk, person: Signer, case: CaseId, amendment: Amendment) -> SignaturesAnswer:
    """What was signed stays, and stays the record until the amendment is signed."""
    at.store.open_amendment(case, person.name, amendment.why)
    return read_signatures(at, person, case)


# --- what routes share


def seen_sha256(timeline: Timeline) -> str:
    """The SHA-256 of a timeline as a signature binds it: its canonical JSON."""
    return hashlib.sha256(signing.canonical(json.loads(timeline.model_dump_json()))).hexdigest()


def _moved(head: int) -> HTTPException:
    return HTTPException(409, f"The case was changed, it is at revision {head} now; read it again, then sign.")


def _newest(at: Desk, case: int) -> tuple[int, Timeline]:
    """The newest state; the signed timeline itself where the case is signed."""
    head, timeline = at.store.timeline(case)
    if at.store.case(case).state == "signed":
        return head, at.store.signed(case)[-1]
    return head, timeline


def _signature(text: str, where: str) -> SignatureAnswer:
    """What was altered is told beside what the signature says; SignatureError where that cannot be read."""
    by = signing.statement(text, where)
    fingerprint = fault = None
    try:
        fingerprint = signing.verify(text, where)
    except SignatureError as error:
        fault = str(error)
    return SignatureAnswer(
        name=by.name,
        signed_at=by.signed_at,
        meaning=by.meaning,
        reason=by.reason,
        amends=by.amends,
        sha256=by.sha256,
        fingerprint=fingerprint,
        looked_at=list(by.looked_at),
        left_open=list(by.left_open),
        fault=fault,
    )


def _wishes(at: Desk, case: int, timeline: Timeline, *, spoken: bool = False) -> Wishes:
    """The newest particulars beside a draft; beside what was signed those it was signed with, whatever came since."""
    kept = at.store.particulars_kept(case)
    told = next(iter(kept), {})
    if isinstance(timeline, SignedTimeline):
        meaning = timeline.signature.meaning
        told = next((each for each in kept if each and meaning.endswith(_also_meant(each))), {})
        if not told and _SHOWN_WITH.search(meaning):
            raise SignatureError(f"case {case}: altered: the particulars it was signed with are not in the store")
    return Wishes(particulars=Particulars.model_validate(told), spoken=spoken)


def _also_meant(told: Mapping[str, Any]) -> str:
    """What a signature says of what lies beside the timeline: which particulars were shown."""
    return f"Shown with particulars of SHA-256 {hashlib.sha256(signing.canonical(told)).hexdigest()}."


def _amending(at: Desk, case: int) -> dict[str, Any]:
    """What an amendment takes the place of, and why it was opened; nothing for the first record."""
    signed = at.store.signed(case)
    if not signed:
        return {}
    opened = [row.why for row in at.store.access_log(case=case) if row.what == "opened an amendment"]
    return {"amends": signed[-1], "reason": opened[-1]}


def _zipped(name: str, end: str, files: Mapping[str, bytes]) -> bytes:
    """Files by what stands behind their name -> an archive of them, the same to the byte at every run."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        for behind, file in files.items():
            archive.writestr(zipfile.ZipInfo(f"{name}{behind}" if behind else f"{name}.{end}"), file)
    return content.getvalue()
