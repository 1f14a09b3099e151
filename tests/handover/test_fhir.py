"""The FHIR bundle, by four readers: a model library, the official schema, code lists walked, units parsed as UCUM."""

import base64
import hashlib
import importlib
import json
import os
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import ucumvert
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from extractor.handover.export import Wishes, export
from extractor.handover.particulars import Particulars
from extractor.handover.wording import plain
from extractor.model import Event, Kind, SignedTimeline, Status, Timeline

CASES = ["demo", "small", "hostile"]
each_case = pytest.mark.parametrize("case", CASES)
GIVEN = Wishes(
    particulars=Particulars.model_validate(
        {
            "procedure": "Angioplasty",
            "indication": "Calf pain",
            "operator": "A. Operator",
            "site": "Room 2",
            "started_at": "2026-11-26T09:30:00.250+01:00",
            "patient": {
                "id": "T-1", "id_issuer": "Invented Hospital", "family_name": "Invented", "given_name": "Pat",
                "birth_date": "1950-01-31", "sex": "female",
            },
        }
    )
)  # fmt: skip


def bundle(timeline: Timeline, wishes: Wishes | None = None) -> Any:
    return json.loads(export(timeline, "fhir", wishes, draft=True)[""])


def resources(made: Any, kind: str | None = None) -> list[Any]:
    return [each["resource"] for each in made["entry"] if kind in (None, each["resource"]["resourceType"])]


def every(made: Any) -> Iterator[tuple[str, Any]]:
    """Every key with what stands there, at any depth."""
    if isinstance(made, dict):
        for key, part in made.items():
            yield key, part
            yield from every(part)
    elif isinstance(made, list):
        for part in made:
            yield from every(part)


@pytest.fixture(params=CASES)
def timeline(request: pytest.FixtureRequest) -> SignedTimeline:
    signed: SignedTimeline = request.getfixturevalue(request.param)
    return signed


@pytest.fixture(params=[None, GIVEN], ids=["nothing given", "all given"])
def made(timeline: SignedTimeline, request: pytest.FixtureRequest) -> Any:
    return bundle(timeline, request.param)


# --- four readers


def model(kind: str) -> Any:
    return getattr(importlib.import_module(f"fhir.resources.R4B.{kind.lower()}"), kind)


def test_a_model_library_takes_it(made: Any) -> None:
    """fhir.resources R4B: required fields, one of several, no unknown field, dates."""
    read = model("Bundle").model_validate_json(json.dumps(made))
    again = re.sub(r"(T[\d:]+\.\d{3})000", r"\1", read.model_dump_json(exclude_none=True))
    assert json.loads(again) == json.loads(json.dumps(made).replace('+00:00"', 'Z"'))


@cache
def schema() -> Any:
    place = Path(os.environ.get("EXTRACTOR_FHIR_SCHEMA", Path(__file__).parents[2] / ".venv" / "fhir.schema.json"))
    if not place.is_file():
        pytest.skip("the schema is not here: `make test` brings it where npm is, EXTRACTOR_FHIR_SCHEMA names it")
    return json.loads(place.read_text(encoding="utf-8"))


@cache
def validator(kind: str) -> Any:
    return jsonschema.Draft6Validator({"$ref": f"#/definitions/{kind}", "definitions": schema()["definitions"]})


def test_the_official_schema_takes_it(made: Any) -> None:
    """The JSON schema of FHIR 4.0.1, each resource by its own definition."""
    frame = {**made, "entry": [{"fullUrl": each["fullUrl"]} for each in made["entry"]]}
    faults = [str(error.message) for error in validator("Bundle").iter_errors(frame)]
    for each in resources(made):
        faults += [
            f"{each['id']}: {error.message[:300]}" for error in validator(each["resourceType"]).iter_errors(each)
        ]
    assert faults == []


#: Required code lists of FHIR R4 that neither of the two holds to (hl7.org/fhir/R4, value sets, from memory).
CODES = {
    ("Procedure", "status"): "preparation in-progress not-done on-hold stopped completed entered-in-error unknown",
    ("Observation", "status"): "registered preliminary final amended corrected cancelled entered-in-error unknown",
    ("MedicationAdministration", "status"): "in-progress not-done on-hold completed entered-in-error stopped unknown",
    ("DeviceUseStatement", "status"): "active completed entered-in-error intended stopped on-hold",
    ("DocumentReference", "status"): "current superseded entered-in-error",
    ("DocumentReference", "docStatus"): "preliminary final amended entered-in-error",
    ("Media", "status"): "preparation in-progress not-done on-hold stopped completed entered-in-error unknown",
    ("Patient", "gender"): "male female other unknown",
    ("Bundle", "type"): "document message transaction batch history searchset collection",
}  # fmt: skip


def test_codes_are_of_their_lists_and_references_lead_somewhere(made: Any) -> None:
    for each in (made, *resources(made)):
        for (kind, field), codes in CODES.items():
            if each["resourceType"] == kind and field in each:
                assert each[field] in codes.split()
    urls = [each["fullUrl"] for each in made["entry"]]
    assert len(urls) == len(set(urls))
    ids = [each["id"] for each in resources(made)]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[A-Za-z0-9\-.]{1,64}", each) for each in ids)
    assert {part for key, part in every(made) if key == "reference"} <= set(urls)


def coded(resource: Any, part: Any) -> Iterator[tuple[str, str, list[str]]]:
    """Resource of the model library, the same as JSON -> each code with where it stands and what may stand there."""
    for name, field in type(resource).model_fields.items():
        read, told = getattr(resource, name), part.get(field.alias or name) if isinstance(part, dict) else None
        extra = field.json_schema_extra if isinstance(field.json_schema_extra, dict) else {}
        if told is None:
            continue
        if codes := extra.get("enum_values"):
            yield f"{type(resource).__name__}.{name}", told, codes
        for one, other in zip(*((each if isinstance(each, list) else [each]) for each in (read, told)), strict=True):
            if hasattr(one, "model_fields_set"):
                yield from coded(one, other)


def test_every_code_is_of_the_list_the_model_library_tells(made: Any) -> None:
    """R4B's lists; where it writes ``+`` the list is R4's own, above. It does not hold to them itself."""
    found = list(coded(model("Bundle").model_validate_json(json.dumps(made)), made))
    assert {place for place, *_ in found} >= {"Bundle.type", "Procedure.status", "DocumentReference.status"}
    lists = {f"{kind}.{field}": codes.split() for (kind, field), codes in CODES.items()}
    for place, code, codes in found:
        assert code in (lists.get(place, []) if "+" in codes else codes), (place, code, codes)


def test_units_are_ucum(made: Any) -> None:
    registry = ucumvert.PintUcumRegistry()
    found = [each for key, each in every(made) if key in ("valueQuantity", "dose", "rateQuantity")]
    codes = {quantity["code"] for each in found for quantity in (each if isinstance(each, list) else [each])}
    assert codes
    for code in codes - {"{count}"}:  # an annotation alone: UCUM 2.1 §12 gives it no dimension
        registry.from_ucum(code)


# --- field by field


def evidence(resource: Any) -> dict[str, Any]:
    """What the extension tells of an event."""
    for extension in resource.get("extension", ()):
        if extension["url"].endswith(":event"):
            return {
                each["url"]: next(part for key, part in each.items() if key != "url") for each in extension["extension"]
            }
    return {}


def quantities(resource: Any) -> dict[str, Any]:
    """Value key -> its quantity, wherever in a resource it stands."""
    found = {
        each["code"]["coding"][0]["code"].replace("-", "_"): each["valueQuantity"]
        for each in resource.get("component", ())
    }
    dosage = resource.get("dosage", {})
    is_run = resource.get("medicationCodeableConcept", {}).get("text") == "Contrast medium"
    found |= {"volume" if is_run else "dose": dosage["dose"]} if "dose" in dosage else {}
    found |= {"rate": dosage["rateQuantity"]} if "rateQuantity" in dosage else {}
    for extension in resource.get("extension", ()):
        if "valueQuantity" in extension:
            found[extension["url"].rpartition(":")[2].replace("-", "_")] = extension["valueQuantity"]
    return found


def kind_of(event: Event) -> str:
    if event.status not in (Status.DONE, Status.NEGATED) or event.kind is Kind.REMARK:
        return "Basic"
    if event.kind in (Kind.DRUG, Kind.RUN):
        return "MedicationAdministration"
    return "Observation" if event.kind in (Kind.FINDING, Kind.MEASURE, Kind.TOTAL) else "Procedure"


def test_every_event_value_unit_and_time_is_there(timeline: SignedTimeline, made: Any) -> None:
    by_event: dict[str, list[Any]] = {}
    for resource in resources(made):
        if told := evidence(resource):
            by_event.setdefault(told["id"], []).append(resource)
    assert list(by_event) == [event.id for event in timeline.events]
    for event in timeline.events:
        first, *others = by_event[event.id]
        assert first["resourceType"] == kind_of(event)
        told = evidence(first)
        assert (told["kind"], told["status"]) == (event.kind, event.status)
        assert (told["start-ms"], told["end-ms"]) == (event.start_ms, event.end_ms)
        for name in ("device", "drug", "finding"):
            assert told.get(name) == (plain(text) if (text := getattr(event, name)) else None)
        read: dict[str, Any] = {}
        for resource in (first, *others):
            read |= quantities(resource)
        assert {key: (each["value"], each["code"]) for key, each in read.items()} == {
            key: (value.value, value.unit) for key, value in event.values.items()
        }
        for key, value in event.values.items():
            (extension,) = read[key]["extension"]
            parts = [
                (each["url"], next(part for name, part in each.items() if name != "url"))
                for each in extension["extension"]
            ]
            assert ("review", value.review) in parts
            assert [part for url, part in parts if url == "flag"] == list(value.flags)
            rivals = [part for url, part in parts if url == "alternative"]
            assert [(each["value"], each["code"]) for each in rivals] == [
                (rival.value, rival.unit or value.unit) for rival in value.alternatives
            ]


def test_what_did_not_happen_is_never_completed(timeline: SignedTimeline, made: Any) -> None:
    done = {event.id for event in timeline.events if event.status is Status.DONE}
    for resource in resources(made):
        told = evidence(resource)
        if told and told["id"] not in done:
            assert resource.get("status") not in ("completed", "active")
            assert resource.get("valueBoolean") is not True


def test_times_of_day_are_there_only_where_the_start_is_given(small: SignedTimeline) -> None:
    times = [
        each["start"] for key, each in every(bundle(small, GIVEN)) if key in ("performedPeriod", "effectivePeriod")
    ]
    assert "2026-11-26T09:30:02.650+01:00" in times  # 2,400 ms after the start
    without = bundle(small)
    assert not [key for key, _ in every(without) if key in ("start", "end", "performedPeriod", "timingPeriod")]
    (drug,) = resources(without, "MedicationAdministration")
    assert drug["effectivePeriod"]["extension"][0]["valueCode"] == "unknown"


def test_a_patient_nobody_gave_is_not_made_up(small: SignedTimeline) -> None:
    made = bundle(small)
    assert resources(made, "Patient") == []
    subjects = [part for key, part in every(made) if key == "subject"]
    assert all(each["extension"][0]["valueCode"] == "unknown" for each in subjects)
    (case, *_) = resources(made, "Procedure")
    assert "Patient: not said, and not given." in [note["text"] for note in case["note"]]


def test_marks_travel(small: SignedTimeline) -> None:
    (values,) = (each for each in resources(bundle(small), "Observation") if each["id"] == "event-3-values")
    assert any("14 atm or 40 atm" in note["text"] for note in values["note"])
    text = json.dumps(values)
    assert "left open: not to be made out" in text
    assert "carried-over" in text


# --- signature


def test_a_draft_says_so_in_every_resource(small_timeline: Timeline) -> None:
    made = bundle(small_timeline)
    assert {each["meta"]["tag"][0]["code"] for each in (made, *resources(made))} == {"draft"}
    assert {each["status"] for each in resources(made, "Observation")} == {"preliminary"}
    assert resources(made, "Provenance") == []


def test_the_signature_can_be_checked_from_the_bundle_alone(demo: SignedTimeline) -> None:
    made = bundle(demo)
    (document,) = resources(made, "DocumentReference")
    attachment = document["content"][0]["attachment"]
    content = base64.b64decode(attachment["data"])
    assert attachment["hash"] == base64.b64encode(hashlib.sha1(content).digest()).decode()
    assert SignedTimeline.model_validate_json(content) == demo
    (provenance,) = resources(made, "Provenance")
    assert provenance["recorded"] == demo.signature.signed_at
    assert len(provenance["target"]) == len(made["entry"]) - 1
    public = Ed25519PublicKey.from_public_bytes(base64.b64decode(demo.signature.public_key))
    public.verify(base64.b64decode(provenance["signature"][0]["data"]), demo.signature.sealed.encode())
