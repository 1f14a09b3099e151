"""Timeline -> a DICOM Procedure Log: PS3.3 A.35.7, by PS3.16 TID 3001.

All entries stand right beneath the root, each at its Observation DateTime, in order (A.35.7.3.1.2). That time is when
it was said, so every entry is qualified as *DateTime Estimated*; where two entries have the same millisecond the later
one is a microsecond on, since the order must be strict. What was done and has a code of its own is an entry of that
code: device used, withdrawn, balloon inflated, deployed, drug or contrast administered. Everything else (access,
findings, measurements, totals, and all that was planned, negated, quoted) is a procedure note: nothing that was only
spoken of has a code that says it was done.

Codes are those of pydicom's tables; where DICOM has none the scheme is 99PTL, ours. The rows of TID 3010 and 3108 were
not at hand: qualifiers and values are placed as the relationship constraints of A.35.7 allow.

Verified only when signed, with the time of signing. Patient and order come from the particulars, never from speech.
"""

import hashlib
import warnings
from datetime import datetime, timedelta
from io import BytesIO
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from extractor.errors import InputError
from extractor.handover import safety
from extractor.handover.particulars import Particulars
from extractor.handover.record import make_record
from extractor.handover.wording import doubts, event_name, flag_sentences, plain, settled, site_text, value_texts
from extractor.model import Event, Kind, SignedTimeline, Status, Timeline, Value
from extractor.units import figure

if TYPE_CHECKING:
    from pydicom.dataset import Dataset

Code = tuple[str, str, str]  # value, scheme, meaning

PROCEDURE_LOG = "1.2.840.10008.5.1.4.1.1.88.40"
_EXPLICIT_LITTLE = "1.2.840.10008.1.2.1"
_UTC = "1.2.840.10008.15.1.1"
OURS = "99PTL"

TITLE: Code = ("121120", "DCM", "Cath Lab Procedure Log")
NOTE: Code = ("121174", "DCM", "Procedure Note")
COMMENT: Code = ("121106", "DCM", "Comment")
ACTION_ID: Code = ("121124", "DCM", "Procedure Action Item ID")
QUALIFIER: Code = ("121135", "DCM", "Observation DateTime Qualifier")
ESTIMATED: Code = ("121137", "DCM", "DateTime Estimated")
OBSERVER_TYPE: Code = ("121005", "DCM", "Observer Type")
PERSON: Code = ("121006", "DCM", "Person")
PERSON_NAME: Code = ("121008", "DCM", "Person Observer Name")
DEVICE: Code = ("121007", "DCM", "Device")
DEVICE_UID: Code = ("121012", "DCM", "Device Observer UID")
DEVICE_NAME: Code = ("121013", "DCM", "Device Observer Name")
STUDY: Code = ("121018", "DCM", "Procedure Study Instance UID")
DESCRIPTION: Code = ("121065", "DCM", "Procedure Description")

#: Kind of what was done -> the entry's concept (CID 3409, 3412, 3422).
CONCEPTS: dict[Kind, Code] = {
    Kind.INSERT: ("373062004", "SCT", "Device used"),
    Kind.REMOVE: ("371875006", "SCT", "Device withdrawn / removed"),
    Kind.INFLATION: ("122303", "DCM", "Angioplasty balloon inflated"),
    Kind.STENT: ("122305", "DCM", "Device deployed"),
    Kind.EMBOLISE: ("122311", "DCM", "Interventional device placed"),
    Kind.DRUG: ("122083", "DCM", "Drug administered"),
    Kind.RUN: ("122086", "DCM", "Contrast administered"),
}

#: The lexicon's name -> code of the device (CID 8, 3429).
DEVICES: dict[str, Code] = {
    "balloon": ("102319006", "SCT", "Percutaneous transluminal angioplasty balloon"),
    "stent": ("65818007", "SCT", "Stent"),
    "wire": ("272224001", "SCT", "Guide Wire"),
    "sheath": ("371793003", "SCT", "Sheath"),
    "catheter": ("19923001", "SCT", "Catheter"),
    "guide catheter": ("102317008", "SCT", "Guiding catheter"),
    "coil": ("102314001", "SCT", "Embolization coil"),
    "particles": ("102316004", "SCT", "Embolization particulate"),
}
CONTRAST: Code = ("7140000", "SCT", "Contrast agent")

#: Value key -> concept of its measurement (CID 3410, 3423, 3425, 10050).
MEASURES: dict[str, Code] = {
    "gauge": ("122319", "DCM", "Catheter Size"),
    "diameter": ("81827009", "SCT", "Diameter"),
    "length": ("410668003", "SCT", "Length"),
    "pressure": ("371851006", "SCT", "Angioplasty Inflation pressure"),
    "duration": ("371852004", "SCT", "Angioplasty Inflation duration"),
    "volume": ("122091", "DCM", "Volume administered"),
    "rate": ("122094", "DCM", "Rate of administration"),
    "fluoro_time": ("113730", "DCM", "Total Fluoro Time"),
    "air_kerma": ("113725", "DCM", "Dose (RP) Total"),
    "dap": ("113722", "DCM", "Dose Area Product Total"),
}
#: Of an inflation alone: elsewhere a pressure is a vessel's, a time that of pressing.
_OF_INFLATION = frozenset({"pressure", "duration"})
_DOSES: dict[str, Code] = {
    "mL": ("122091", "DCM", "Volume administered"),
    "[iU]": ("121382", "DCM", "Quantity administered"),
}
_MASS: Code = ("121383", "DCM", "Mass administered")


def write_dicom(timeline: Timeline, particulars: Particulars) -> bytes:
    """Timeline -> a DICOM file (PS3.10). InputError where what the standard must have is not given: the start, and
    once signed the organisation that verifies.
    """
    from pydicom.dataset import Dataset, FileDataset, FileMetaDataset
    from pydicom.uid import UID

    recorded = timeline.recording.recorded_at
    started = particulars.started_at or (datetime.fromisoformat(recorded) if recorded else None)
    is_signed = isinstance(timeline, SignedTimeline)
    lacking = [
        name for name, given in (("started_at", started), ("site", particulars.site or not is_signed)) if not given
    ]
    if started is None or lacking:
        raise InputError(f"DICOM must have {' and '.join(lacking)}, which nobody says; give it with --particulars")
    content = timeline.model_dump_json().encode()
    study = particulars.study_uid or _uid(f"study {timeline.recording.sha256}".encode())
    meta = FileMetaDataset()
    meta.MediaStorageSOPClassUID = UID(PROCEDURE_LOG)
    meta.MediaStorageSOPInstanceUID = UID(_uid(b"instance " + content + repr(particulars).encode()))
    meta.TransferSyntaxUID = UID(_EXPLICIT_LITTLE)
    log = FileDataset(None, Dataset(), file_meta=meta, preamble=bytes(128))  # type: ignore[arg-type]
    log.SpecificCharacterSet = "ISO_IR 192"
    log.SOPClassUID, log.SOPInstanceUID = PROCEDURE_LOG, meta.MediaStorageSOPInstanceUID
    _patient(log, particulars)
    log.StudyInstanceUID = study
    log.StudyDate, log.StudyTime = f"{started:%Y%m%d}", f"{started:%H%M%S.%f}"
    log.StudyID = ""
    log.AccessionNumber = _short(particulars.accession_number or "", 16)
    log.ReferringPhysicianName = ""
    log.StudyDescription = _short(particulars.procedure or "", 64)
    log.Modality = "SR"
    log.SeriesInstanceUID = _uid(f"series {timeline.state} {timeline.recording.sha256}".encode())
    log.SeriesNumber, log.InstanceNumber = 1, 1
    log.SeriesDescription = "Procedure log" if is_signed else "DRAFT, not signed: procedure log"
    log.ReferencedPerformedProcedureStepSequence = []
    log.SynchronizationFrameOfReferenceUID = _UTC
    log.SynchronizationTrigger, log.AcquisitionTimeSynchronized = "NO TRIGGER", "N"
    log.Manufacturer, log.SoftwareVersions = "", _short(timeline.made_by.extractor, 64)
    log.InstitutionName = _short(particulars.site or "", 64)
    log.TimezoneOffsetFromUTC = f"{started:%z}"[:5]
    log.PerformedProcedureCodeSequence = []
    _verification(log, timeline, particulars, started)
    log.CodingSchemeIdentificationSequence = [_scheme()]
    root = _Content(timeline, started)
    log.ValueType, log.ContinuityOfContent = "CONTAINER", "SEPARATE"
    log.ConceptNameCodeSequence = [_code(TITLE)]
    log.ContentTemplateSequence = [_dataset(MappingResource="DCMR", TemplateIdentifier="3001")]
    log.ContentSequence = [*root.context(particulars, study), *root.entries(particulars)]
    file = BytesIO()
    log.save_as(file, enforce_file_format=True)
    return file.getvalue()


def read_worklist(content: bytes, particulars: Particulars, source: str) -> Particulars:
    """An item of a modality worklist (PS3.4 K.6.1) and what is given besides -> both together.

    InputError where the file is no DICOM, where it holds what the particulars cannot (a UID that is none), or where the
    two tell different things of the patient or the order: which is right nobody here can know.
    """
    from pydicom import dcmread
    from pydicom.errors import InvalidDicomError

    try:
        with warnings.catch_warnings():  # what is odd in it is found below, or is none of ours
            warnings.simplefilter("ignore")
            item = dcmread(BytesIO(content), stop_before_pixels=True)
        name = item.get("PatientName") or ""
        born = str(item.get("PatientBirthDate") or "")
        sex = {"F": "female", "M": "male", "O": "other"}.get(str(item.get("PatientSex") or ""))
        patient = {
            "id": item.get("PatientID"),
            "id_issuer": item.get("IssuerOfPatientID"),
            "family_name": getattr(name, "family_name", None),
            "given_name": getattr(name, "given_name", None),
            "birth_date": f"{born[:4]}-{born[4:6]}-{born[6:8]}" if born else None,
            "sex": sex,
        }
        order = {
            "accession_number": item.get("AccessionNumber"),
            "study_uid": item.get("StudyInstanceUID"),
            "procedure": item.get("RequestedProcedureDescription"),
        }
    except (InvalidDicomError, ValueError, TypeError, AttributeError, KeyError, EOFError) as error:
        raise InputError(
            f"{source}: not a DICOM file that can be read ({error}); give an item of a worklist"
        ) from error
    told = {key: str(part) for key, part in order.items() if part}
    told_patient = {key: str(part) for key, part in patient.items() if part}
    given, given_patient = particulars.model_dump(exclude_none=True), particulars.patient.model_dump(exclude_none=True)
    for ours, theirs in ((given, told), (given_patient, told_patient)):
        for key in ours.keys() & theirs.keys():
            if str(ours[key]) != theirs[key] and key != "procedure":
                raise InputError(
                    f"{source}: {key} is {theirs[key]} here and {ours[key]} in --particulars; make them one"
                )
    try:
        return Particulars.model_validate({**told, **given, "patient": {**told_patient, **given_patient}})
    except ValidationError as error:
        first = error.errors()[0]
        raise InputError(f"{source}: {'.'.join(map(str, first['loc']))}: {first['msg']}") from error


def _patient(log: "Dataset", particulars: Particulars) -> None:
    given = particulars.patient
    name = "^".join(filter(None, (_component(given.family_name), _component(given.given_name))))
    log.PatientName = name if given.family_name or not given.given_name else f"^{name}"
    log.PatientID = _short(given.id or "", 64)
    if given.id and given.id_issuer:
        log.IssuerOfPatientID = _short(given.id_issuer, 64)
    log.PatientBirthDate = f"{given.birth_date:%Y%m%d}" if given.birth_date else ""
    log.PatientSex = {"female": "F", "male": "M", "other": "O"}.get(given.sex or "", "")


def _verification(log: "Dataset", timeline: Timeline, particulars: Particulars, started: datetime) -> None:
    """SR Document General (C.17.2): a draft is partial, preliminary and unverified."""
    if isinstance(timeline, SignedTimeline):
        by = timeline.signature
        at = datetime.fromisoformat(by.signed_at)
        log.CompletionFlag, log.VerificationFlag, log.PreliminaryFlag = "COMPLETE", "VERIFIED", "FINAL"
        log.VerifyingObserverSequence = [
            _dataset(
                VerifyingObserverName=_component(by.name),
                VerifyingOrganization=_short(particulars.site or "", 64),
                VerificationDateTime=_time(at.astimezone(started.tzinfo)),
                VerifyingObserverIdentificationCodeSequence=[],
            )
        ]
        made = at.astimezone(started.tzinfo)
    else:
        log.CompletionFlag, log.VerificationFlag, log.PreliminaryFlag = "PARTIAL", "UNVERIFIED", "PRELIMINARY"
        log.CompletionFlagDescription = "A draft: nobody has signed it"
        made = started
    log.ContentDate, log.ContentTime = f"{made:%Y%m%d}", f"{made:%H%M%S}"


class _Content:
    """Content items of the root, and the clock that puts them in strict order."""

    def __init__(self, timeline: Timeline, started: datetime) -> None:
        self.timeline, self.started = timeline, started
        self.last = started - timedelta(microseconds=1)

    def context(self, particulars: Particulars, study: str) -> list["Dataset"]:
        """Observer context (TID 1002) and procedure context (TID 3601)."""
        if isinstance(self.timeline, SignedTimeline):
            name = _component(self.timeline.signature.name)
            observer = [
                _coded("HAS OBS CONTEXT", OBSERVER_TYPE, PERSON),
                _item("HAS OBS CONTEXT", "PNAME", PERSON_NAME, PersonName=name),
            ]
        else:
            observer = [
                _coded("HAS OBS CONTEXT", OBSERVER_TYPE, DEVICE),
                _item("HAS OBS CONTEXT", "UIDREF", DEVICE_UID, UID=_uid(self.timeline.made_by.extractor.encode())),
                _text("HAS OBS CONTEXT", DEVICE_NAME, f"extractor {self.timeline.made_by.extractor}"),
            ]
        return [*observer, _item("HAS ACQ CONTEXT", "UIDREF", STUDY, UID=study), *(
            [_text("HAS ACQ CONTEXT", DESCRIPTION, particulars.procedure)] if particulars.procedure else []
        )]  # fmt: skip

    def entries(self, particulars: Particulars) -> list["Dataset"]:
        """Every event, gap and caution, in order of time; first what stands on everything, and what was not said."""
        record = make_record(self.timeline, particulars)
        absent = [line for section in record.sections if section.title == "Not said" for line in section.lines]
        checks = self.timeline.cautions.values()
        cautions = [f"Caution: {each.message} {' '.join(each.events)}".strip() for each in checks]
        gaps = [(gap.start_ms, f"Gap until {gap.end_ms} ms: {gap.why}") for gap in self.timeline.gaps]
        notes = [(0, text) for text in (safety(self.timeline), *absent, *cautions)] + gaps
        found = [(ms, 0, number, _text("CONTAINS", NOTE, text)) for number, (ms, text) in enumerate(notes)]
        found += [(each.start_ms, 1, n, self._event(each)) for n, each in enumerate(self.timeline.events)]
        found.sort(key=lambda entry: entry[:3])
        for ms, _, _, item in found:
            item.ObservationDateTime = self._next(ms)
        return [item for *_, item in found]

    def _next(self, ms: int) -> str:
        self.last = max(self.started + timedelta(milliseconds=ms), self.last + timedelta(microseconds=1))
        return _time(self.last)

    def _event(self, event: Event) -> "Dataset":
        concept = CONCEPTS.get(event.kind) if event.status is Status.DONE else None
        coded = _coded("CONTAINS", concept, _thing(event)) if concept else None
        item = coded or _text("CONTAINS", NOTE, _sentence(event))
        children = [
            _coded("HAS CONCEPT MOD", QUALIFIER, ESTIMATED),
            _text("HAS PROPERTIES", ACTION_ID, event.id),
            _text("HAS PROPERTIES", COMMENT, self._comment(event)),
            *(self._measure(event, key, value) for key, value in event.values.items()),
        ]
        item.ContentSequence = children
        return item

    def _comment(self, event: Event) -> str:
        """What a person reads of the entry: the event, its marks and what became of them, its times."""
        marked = {event.id: event.review} | {f"{event.id}.{key}": value.review for key, value in event.values.items()}
        outcomes = {settled(self.timeline, point) for point, review in marked.items() if review}
        rivals = [
            f"{figure(value.value, value.unit)} or {figure(rival.value, rival.unit or value.unit)} was heard."
            for value in event.values.values()
            for rival in value.alternatives
        ]
        parts = [f"{_sentence(event)}.", *doubts(event), *(f"At sign-off: {each}." for each in sorted(outcomes))]
        return " ".join([*parts, *rivals, f"Said from {event.start_ms} to {event.end_ms} ms of the recording."])

    def _measure(self, event: Event, key: str, value: Value) -> "Dataset":
        unit = (value.unit, "UCUM", figure(1, value.unit)[2:] or "1")
        number = repr(value.value).removesuffix(".0")
        number = number if len(number) <= 16 else f"{value.value:.10g}"
        measured = _dataset(
            NumericValue=number, FloatingPointValue=value.value, MeasurementUnitsCodeSequence=[_code(unit)]
        )
        item = _item("HAS PROPERTIES", "NUM", _concept(event, key, value), MeasuredValueSequence=[measured])
        said = [*flag_sentences(value.flags), *(["It asks for a look."] if value.review else [])]
        if said:
            item.ContentSequence = [_text("HAS CONCEPT MOD", COMMENT, " ".join(said))]
        return item


# --- codes


def _concept(event: Event, key: str, value: Value) -> Code:
    """The code of a measurement; ours for all that was not done, since "administered" and "inflation" say it was."""
    if event.status is not Status.DONE:
        return key.replace("_", "-")[:16], OURS, key.replace("_", " ").capitalize()
    if key == "dose":
        return _DOSES.get(value.unit, _MASS)
    is_inflation = event.kind in (Kind.INFLATION, Kind.STENT)
    if key in MEASURES and (is_inflation or key not in _OF_INFLATION):
        return MEASURES[key]
    return key.replace("_", "-")[:16], OURS, key.replace("_", " ").capitalize()


def _thing(event: Event) -> Code:
    """The code of what an entry is of: from the tables, else ours with the name as its meaning."""
    if event.kind is Kind.RUN:
        return CONTRAST
    name = event.drug if event.kind is Kind.DRUG else event.device
    if event.kind is not Kind.DRUG and name in DEVICES:
        return DEVICES[name]
    meaning = _short(name or "not named", 64)
    return hashlib.sha256(meaning.encode()).hexdigest()[:12], OURS, meaning


def _scheme() -> "Dataset":
    return _dataset(CodingSchemeDesignator=OURS, CodingSchemeName="Spoken procedure timeline, own codes")


# --- content items


def _sentence(event: Event) -> str:
    done = "" if event.status in (Status.DONE, Status.NEGATED) else f"{event.status.capitalize()}: "
    values = ", ".join(text for text, _ in value_texts(event))
    return done + ", ".join(filter(None, (event_name(event), site_text(event.site), values)))


def _item(relation: str, kind: str, concept: Code, **fields: Any) -> "Dataset":
    return _dataset(RelationshipType=relation, ValueType=kind, ConceptNameCodeSequence=[_code(concept)], **fields)


def _coded(relation: str, concept: Code, code: Code) -> "Dataset":
    return _item(relation, "CODE", concept, ConceptCodeSequence=[_code(code)])


def _text(relation: str, concept: Code, text: str) -> "Dataset":
    return _item(relation, "TEXT", concept, TextValue=plain(text))


def _code(code: Code) -> "Dataset":
    value, scheme, meaning = code
    return _dataset(CodeValue=value, CodingSchemeDesignator=scheme, CodeMeaning=meaning)


def _dataset(**fields: Any) -> "Dataset":
    from pydicom.dataset import Dataset

    made = Dataset()
    for name, content in fields.items():
        setattr(made, name, content)
    return made


def _time(at: datetime) -> str:
    """A date and time without its zone, which the document tells once (0008,0201)."""
    return f"{at:%Y%m%d%H%M%S.%f}"


def _short(text: str, letters: int) -> str:
    """A text for a field that holds one line of so many letters, in which a backslash would part two values."""
    return plain(text).replace("\\", "＼").strip()[:letters]


def _component(name: str | None) -> str:
    """A part of a person's name: ``^`` and ``=`` would part it (PS3.5 6.2)."""
    return _short("".join(" " if letter in "^=" else letter for letter in name or ""), 64)


def _uid(content: bytes) -> str:
    """A UID made of a hash: 2.25 and 128 bits (PS3.5 B.2), the same at every run."""
    return f"2.25.{int.from_bytes(hashlib.sha256(content).digest()[:16], 'big')}"
