"""The Procedure Log, read back by pydicom and by DCMTK's dsrdump, compared field by field."""

import re
import shutil
import subprocess
from datetime import datetime, timedelta
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pydicom
import pytest
from pydicom.sr._cid_dict import cid_concepts
from pydicom.sr._concepts_dict import concepts

from extractor.cli import main
from extractor.errors import InputError
from extractor.handover import dicom
from extractor.handover.export import Wishes, export
from extractor.handover.particulars import Particulars
from extractor.handover.wording import plain
from extractor.model import Kind, SignedTimeline, Status, Timeline
from tests.handover.conftest import GIVEN

STARTED = GIVEN.particulars.started_at
CASES = ["demo", "small", "hostile"]


@pytest.fixture(params=CASES)
def timeline(request: pytest.FixtureRequest) -> SignedTimeline:
    signed: SignedTimeline = request.getfixturevalue(request.param)
    return signed


def written(timeline: Timeline, wishes: Wishes = GIVEN) -> bytes:
    return export(timeline, "dicom", wishes, draft=True)[""]


def read(timeline: Timeline) -> Any:
    return pydicom.dcmread(BytesIO(written(timeline)))


def concept(item: Any) -> tuple[str, str]:
    (code,) = item.ConceptNameCodeSequence
    return code.CodeValue, code.CodingSchemeDesignator


def child(item: Any, code: dicom.Code) -> str:
    (found,) = (each for each in item.ContentSequence if concept(each) == code[:2])
    text: str = found.TextValue
    return text


def entries(log: Any) -> list[Any]:
    return [each for each in log.ContentSequence if each.RelationshipType == "CONTAINS"]


def events(log: Any) -> dict[str, Any]:
    return {child(each, dicom.ACTION_ID): each for each in entries(log) if "ContentSequence" in each}


def test_every_event_value_unit_and_time_is_read_back(timeline: SignedTimeline) -> None:
    found = events(read(timeline))
    assert set(found) == {event.id for event in timeline.events}
    for event in timeline.events:
        item = found[event.id]
        at = datetime.strptime(item.ObservationDateTime, "%Y%m%d%H%M%S.%f")
        assert STARTED is not None
        late = at - (STARTED.replace(tzinfo=None) + timedelta(milliseconds=event.start_ms))
        assert timedelta(0) <= late < timedelta(milliseconds=1)
        comment = child(item, dicom.COMMENT)
        assert f"Said from {event.start_ms} to {event.end_ms} ms" in comment
        for text in (event.device, event.site and event.site.name, event.site and event.site.part):
            assert text is None or plain(text).lower() in comment.lower() or event.drug or event.finding
        measures = [each for each in item.ContentSequence if each.ValueType == "NUM"]
        assert len(measures) == len(event.values)
        for measure, value in zip(measures, event.values.values(), strict=True):
            (measured,) = measure.MeasuredValueSequence
            (unit,) = measured.MeasurementUnitsCodeSequence
            assert float(measured.NumericValue) == pytest.approx(value.value, rel=1e-9)
            assert measured.FloatingPointValue == value.value
            assert (unit.CodeValue, unit.CodingSchemeDesignator) == (value.unit, "UCUM")
            told = " ".join(each.TextValue for each in measure.get("ContentSequence", ()))
            assert ("It asks for a look." in told) is value.review
            assert ("Said earlier in the case" in told) is ("carried-over" in value.flags)


def test_only_what_was_done_has_a_code_that_says_so(timeline: SignedTimeline) -> None:
    coded = {code[:2]: kind for kind, code in dicom.CONCEPTS.items()}
    found = events(read(timeline))
    for event in timeline.events:
        item = found[event.id]
        if item.ValueType == "CODE":
            assert event.status is Status.DONE
            assert coded[concept(item)] is event.kind
        else:
            assert concept(item) == dicom.NOTE[:2]
            assert event.status is not Status.DONE or event.kind not in dicom.CONCEPTS
            if event.status not in (Status.DONE, Status.NEGATED):
                assert item.TextValue.startswith(event.status.capitalize())
        if event.status is not Status.DONE:
            schemes = {concept(each)[1] for each in item.ContentSequence if each.ValueType == "NUM"}
            assert schemes <= {dicom.OURS}


def test_entries_are_in_strict_order_and_estimated(timeline: SignedTimeline) -> None:
    log = read(timeline)
    times = [each.ObservationDateTime for each in entries(log)]
    assert all(one < other for one, other in pairwise(times))
    for item in events(log).values():
        (qualifier,) = (each for each in item.ContentSequence if concept(each) == dicom.QUALIFIER[:2])
        assert qualifier.ConceptCodeSequence[0].CodeValue == dicom.ESTIMATED[0]
    assert not [each for each in log.ContentSequence if each.ValueType == "CONTAINER"], "A.35.7.3.1.1 forbids it"


def test_gaps_cautions_and_what_was_not_said_are_notes(small: SignedTimeline) -> None:
    notes = [each.TextValue for each in entries(read(small)) if "ContentSequence" not in each]
    assert notes[0].startswith("Signed by A. Operator")
    assert "Caution: The wire was never said to come out." in notes
    assert "Gap until 7190 ms: Speech-like sound." in notes
    assert "Indication: not said, and not given." in notes


# --- the document


def test_a_signed_log_is_verified_with_the_time_of_signing(small: SignedTimeline) -> None:
    log = read(small)
    assert (log.SOPClassUID, log.Modality) == ("1.2.840.10008.5.1.4.1.1.88.40", "SR")
    assert (log.CompletionFlag, log.VerificationFlag, log.PreliminaryFlag) == ("COMPLETE", "VERIFIED", "FINAL")
    (by,) = log.VerifyingObserverSequence
    assert (by.VerifyingObserverName, by.VerifyingOrganization) == ("A. Operator", "Invented Hospital, Room 2")
    assert (by.VerificationDateTime, log.TimezoneOffsetFromUTC) == ("20261126103000.000000", "+0100")


def test_a_draft_is_not_verified(small_timeline: Timeline) -> None:
    log = read(small_timeline)
    assert (log.CompletionFlag, log.VerificationFlag, log.PreliminaryFlag) == ("PARTIAL", "UNVERIFIED", "PRELIMINARY")
    assert "VerifyingObserverSequence" not in log
    assert log.SeriesDescription.startswith("DRAFT")
    assert entries(log)[0].TextValue.startswith("A draft until signed")
    assert log.SOPInstanceUID != read(small_timeline.model_copy(update={"events": ()})).SOPInstanceUID


def test_the_patient_is_the_one_given(small: SignedTimeline) -> None:
    log = read(small)
    assert (log.PatientName, log.PatientID, log.IssuerOfPatientID) == ("Invented^Pat", "T-1", "Invented Hospital")
    assert (log.PatientBirthDate, log.PatientSex) == ("19500131", "F")
    bare = pydicom.dcmread(
        BytesIO(written(small, Wishes(particulars=Particulars(started_at=STARTED, site="Invented Hospital"))))
    )
    assert not any((str(bare.PatientName), bare.PatientID, bare.PatientBirthDate, bare.PatientSex))


LACKING = [
    pytest.param(Particulars(site="Here"), False, "must have started_at", id="no-start"),
    pytest.param(Particulars(started_at=STARTED), False, "must have site", id="nobody-verifies"),
    pytest.param(Particulars(), False, "must have started_at and site", id="neither"),
    pytest.param(Particulars(), True, "must have started_at,", id="a-draft-needs-no-site"),
]


@pytest.mark.parametrize(("given", "is_draft", "why"), LACKING)
def test_what_the_standard_must_have_is_asked_for(
    small: SignedTimeline, small_timeline: Timeline, given: Particulars, is_draft: bool, why: str
) -> None:
    with pytest.raises(InputError, match=why):
        written(small_timeline if is_draft else small, Wishes(particulars=given))


def all_codes() -> list[dicom.Code]:
    single = [each for each in vars(dicom).values() if isinstance(each, tuple) and len(each) == 3]
    tables = (dicom.CONCEPTS, dicom.DEVICES, dicom.MEASURES, dicom._DOSES)
    return [*single, *(code for table in tables for code in table.values())]


@pytest.mark.parametrize("code", all_codes(), ids=lambda code: code[2])
def test_codes_are_those_of_the_standard(code: dicom.Code) -> None:
    value, scheme, meaning = code
    known = [(entry, text) for names in concepts[scheme].values() for entry, (text, _) in names.items()]
    assert (value, meaning.lower()) in [(entry, text.lower()) for entry, text in known]


# --- another reader


def dump(content: bytes, folder: Path) -> str:
    if not shutil.which("dsrdump"):
        pytest.skip("dsrdump is not here: Debian's package dcmtk")
    (folder / "log.dcm").write_bytes(content)
    done = subprocess.run(
        ["dsrdump", "+Pl", "+U8", "-q", str(folder / "log.dcm")], capture_output=True, check=True, timeout=60
    )
    assert done.stderr == b""
    return done.stdout.decode()


def test_dcmtk_takes_it_and_shows_every_entry(timeline: SignedTimeline, tmp_path: Path) -> None:
    """It holds to the value types and relationships that A.35.7 allows."""
    shown = dump(written(timeline), tmp_path)
    assert "Procedure Log Document" in shown
    assert "VERIFIED" in shown
    for event in timeline.events:
        assert f'"{event.id}"' in shown
    for key, number, unit in re.findall(r'NUM:\(,,"([^"]*)"\)="([^"]*)" \(([^,]*),UCUM', shown):
        assert (float(number), unit) in {
            (value.value, value.unit) for event in timeline.events for value in event.values.values()
        }, key


def test_dcmtk_refuses_what_the_standard_forbids(small: SignedTimeline, tmp_path: Path) -> None:
    """So that its silence above means something: a container beneath the root."""
    log = read(small)
    log.ContentSequence[-1].ContentSequence[0].RelationshipType = "CONTAINS"
    file = BytesIO()
    log.save_as(file)
    with pytest.raises((subprocess.CalledProcessError, AssertionError)):
        dump(file.getvalue(), tmp_path)


def test_a_run_is_contrast_administered(demo: SignedTimeline) -> None:
    runs = [event for event in demo.events if event.kind is Kind.RUN and event.status is Status.DONE]
    found = events(read(demo))
    assert runs
    assert {found[run.id].ConceptCodeSequence[0].CodeMeaning for run in runs} == {"Contrast agent"}


# --- a worklist


def worklist(**fields: Any) -> bytes:
    item = pydicom.Dataset()
    item.SpecificCharacterSet = "ISO_IR 192"
    told = {
        "PatientName": "Invénted^Pat", "PatientID": "T-1", "PatientBirthDate": "19500131", "PatientSex": "F",
        "AccessionNumber": "A-1", "StudyInstanceUID": "2.25.47", "RequestedProcedureDescription": "Angioplasty",
    }  # fmt: skip
    for name, content in (told | fields).items():
        setattr(item, name, content)
    item.file_meta = pydicom.dataset.FileMetaDataset()
    item.file_meta.TransferSyntaxUID = pydicom.uid.ExplicitVRLittleEndian
    item.file_meta.MediaStorageSOPClassUID = "1.2.840.10008.5.1.4.31"
    item.file_meta.MediaStorageSOPInstanceUID = "2.25.1"
    file = BytesIO()
    pydicom.dcmwrite(file, item, enforce_file_format=True)
    return file.getvalue()


def test_patient_and_order_come_from_a_worklist() -> None:
    given = dicom.read_worklist(worklist(), Particulars(site="Here"), "item.dcm")
    patient = given.patient
    assert (patient.family_name, patient.given_name, patient.id, patient.sex) == ("Invénted", "Pat", "T-1", "female")
    assert str(patient.birth_date) == "1950-01-31"
    assert (given.accession_number, given.study_uid, given.procedure) == ("A-1", "2.25.47", "Angioplasty")
    assert given.site == "Here"


def test_what_is_not_on_the_worklist_stays_missing() -> None:
    given = dicom.read_worklist(worklist(PatientBirthDate="", PatientSex="", AccessionNumber=""), Particulars(), "x")
    assert (given.patient.birth_date, given.patient.sex, given.accession_number) == (None, None, None)


WORKLIST_FAULTS = [
    pytest.param(b"no DICOM", Particulars(), "not a DICOM file", id="no-dicom"),
    pytest.param(
        worklist(), Particulars.model_validate({"patient": {"id": "T-2"}}), "id is T-1 here and T-2", id="two-ids"
    ),
    pytest.param(
        worklist(), Particulars(study_uid="2.25.48"), "study_uid is 2.25.47 here and 2.25.48", id="two-studies"
    ),
    pytest.param(worklist().replace(b"19500131", b"19501341"), Particulars(), "patient.birth_date", id="no-such-day"),
]


@pytest.mark.parametrize(("content", "given", "why"), WORKLIST_FAULTS)
def test_a_worklist_that_does_not_fit_is_refused(content: bytes, given: Particulars, why: str) -> None:
    with pytest.raises(InputError, match=why):
        dicom.read_worklist(content, given, "item.dcm")


def test_the_command_takes_a_worklist(demo_case: Path, tmp_path: Path) -> None:
    (tmp_path / "item.dcm").write_bytes(worklist())
    (tmp_path / "case.toml").write_text('started_at = 2026-11-26T09:30:00+01:00\nsite = "Invented Hospital"\n')
    given = ["--worklist", str(tmp_path / "item.dcm"), "--particulars", str(tmp_path / "case.toml")]
    assert main(["export", str(demo_case), "--format", "dicom", "--out", str(tmp_path / "log.dcm"), *given]) == 0
    log = pydicom.dcmread(tmp_path / "log.dcm")
    assert (log.PatientID, log.AccessionNumber, log.StudyInstanceUID) == ("T-1", "A-1", "2.25.47")


# --- a validator of the whole object


def faults(content: bytes, folder: Path) -> tuple[list[str], list[str]]:
    """Errors and warnings of dciodvfy, which holds modules, attributes and values of PS3.3 A.35.7."""
    if not shutil.which("dciodvfy"):
        pytest.skip("dciodvfy is not here: Debian's package dicom3tools")
    (folder / "log.dcm").write_bytes(content)
    done = subprocess.run(["dciodvfy", str(folder / "log.dcm")], capture_output=True, text=True, timeout=60)
    said = (done.stdout + done.stderr).splitlines()
    assert "ProcedureLog" in said, "the validator knows what it is"
    return [each for each in said if each.startswith("Error")], [each for each in said if each.startswith("Warning")]


#: What it warns of that is meant: our own scheme of codes, a study number nobody gave, a name of one part.
MEANT = re.compile(r"<99PTL>|Study ID|Retired Person Name form")


@pytest.mark.parametrize("draft", [False, True], ids=["signed", "draft"])
def test_a_validator_of_the_object_finds_no_error(timeline: SignedTimeline, draft: bool, tmp_path: Path) -> None:
    of = Timeline.model_validate(timeline.model_dump(exclude={"signature"}) | {"state": "draft"}) if draft else timeline
    errors, warnings = faults(written(of), tmp_path)
    assert errors == []
    assert [each for each in warnings if not MEANT.search(each)] == []


SPOILED = {
    "no completion flag": lambda log: delattr(log, "CompletionFlag"),
    "a verified log without its verifier": lambda log: delattr(log, "VerifyingObserverSequence"),
    "no synchronization": lambda log: delattr(log, "SynchronizationTrigger"),
    "a value type there is none of": lambda log: setattr(log.ContentSequence[-1], "ValueType", "SAID"),
}


@pytest.mark.parametrize("spoil", SPOILED.values(), ids=SPOILED)
def test_the_validator_finds_what_is_spoiled(spoil: Any, small: SignedTimeline, tmp_path: Path) -> None:
    """So that its silence above means something."""
    log = read(small)
    spoil(log)
    file = BytesIO()
    log.save_as(file)
    assert faults(file.getvalue(), tmp_path)[0]


# --- rows of the templates


def group(number: int) -> set[tuple[str, str]]:
    """Codes of a context group, by pydicom's tables."""
    schemes = cid_concepts[number]
    return {
        (value, scheme)
        for scheme, names in schemes.items()
        for name in names
        for value in concepts[scheme][name]
    }  # fmt: skip


#: First-level entries of TID 3001 by their concept -> groups of their values' concepts: TID 3106 row 4 and 3107 row 4
#: (read); 3108 from memory. A catheter's size (122319) stands in no group of its own entry.
ENTRIES = {3409: (3410,), 3422: (3423, 3510), 3412: (3425, 3423), 3401: ()}
CATHETER_SIZE = ("122319", "DCM")


def test_entries_and_their_values_are_those_of_the_templates(timeline: SignedTimeline) -> None:
    for entry in entries(read(timeline)):
        (number,) = (number for number in ENTRIES if concept(entry) in group(number))
        assert entry.ValueType == ("TEXT" if number == 3401 else "CODE")
        allowed = {CATHETER_SIZE}.union(*(group(each) for each in ENTRIES[number]))
        for item in entry.get("ContentSequence", ()):
            if item.ValueType == "NUM" and concept(item)[1] != dicom.OURS:
                in_a_note = {code[:2] for code in dicom.MEASURES.values()} if number == 3401 else set()
                assert concept(item) in allowed | in_a_note, concept(item)


def test_the_root_is_that_of_the_template(timeline: SignedTimeline) -> None:
    """TID 3001 rows 1 to 3: the title of CID 3400, who observes (TID 1002), which procedure (TID 3601)."""
    log = read(timeline)
    assert concept(log) in group(3400)
    (template,) = log.ContentTemplateSequence
    assert (template.MappingResource, template.TemplateIdentifier) == ("DCMR", "3001")
    before = [each for each in log.ContentSequence if each.RelationshipType != "CONTAINS"]
    assert log.ContentSequence[: len(before)] == before, "the context comes first"
    assert [each.RelationshipType for each in before[:2]] == ["HAS OBS CONTEXT"] * 2
    assert dicom.STUDY[:2] in [concept(each) for each in before]
