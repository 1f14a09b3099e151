"""Timeline -> a bundle of HL7 FHIR R4 (4.0.1) resources, as JSON.

| of the timeline | is a |
|---|---|
| the case | Procedure; what was not said is told in its notes |
| access, insert, remove, inflation, stent, embolise, closure | Procedure, part of the case: completed, or not-done |
| a device in them | Device, with its label; put in and done: DeviceUseStatement too |
| drug; contrast of a run | MedicationAdministration |
| finding, measure, total, and the values of all of them | Observation, values as components in UCUM |
| planned, considered, quoted, past, remark | Basic: nothing downstream takes it for done |
| the recording; the timeline itself | Media; DocumentReference with all of it |
| the signature; what it amends; changes by hand | Provenance |

A draft has no Provenance, its observations are preliminary, and every resource carries the tag ``draft``. What asked
for a look travels as extensions and notes. Patient identifiers come from the particulars; what is required and not
known is marked with ``data-absent-reason``, never made up.
"""

import base64
import hashlib
import json
import re
import uuid
from datetime import datetime, timedelta
from typing import Any

from extractor.handover import safety
from extractor.handover.gs1 import parse
from extractor.handover.particulars import Particulars
from extractor.handover.record import implanted, make_record
from extractor.handover.wording import (
    change_text,
    changed_by_hand,
    doubts,
    earlier_text,
    event_name,
    flag_sentences,
    plain,
    settled,
    site_text,
)
from extractor.model import Earlier, Event, Kind, SignedTimeline, Status, Timeline, Value
from extractor.units import figure

Json = dict[str, Any]

UCUM = "http://unitsofmeasure.org"
_ABSENT = "http://hl7.org/fhir/StructureDefinition/data-absent-reason"
#: Names of ours, where FHIR has none: no registered space, but nobody else's either.
_OURS = "urn:x-procedure-timeline:"
_SPACE = uuid.UUID("6f1f7c52-6c0e-5b7e-9a5a-0d8a1f0c7e11")

_PROCEDURES = {
    Kind.ACCESS, Kind.INSERT, Kind.REMOVE, Kind.INFLATION, Kind.STENT, Kind.EMBOLISE, Kind.CLOSURE,
}  # fmt: skip
_STATUS = {Status.DONE: "completed", Status.NEGATED: "not-done"}


def write_fhir(timeline: Timeline, particulars: Particulars) -> bytes:
    """Timeline -> the JSON of a Bundle of type collection. Times of day are there where ``started_at`` is given."""
    return (json.dumps(_Bundle(timeline, particulars).made(), indent=1, ensure_ascii=False) + "\n").encode()


class _Bundle:
    """The resources as they come, each with the URL others refer to it by."""

    def __init__(self, timeline: Timeline, particulars: Particulars) -> None:
        self.timeline, self.particulars = timeline, particulars
        self.is_draft = not isinstance(timeline, SignedTimeline)
        self.entries: list[Json] = []
        recorded = timeline.recording.recorded_at
        self.started = particulars.started_at or (datetime.fromisoformat(recorded) if recorded else None)

    def made(self) -> Json:
        self.subject = self._patient()
        self._case()
        for number, event in enumerate(self.timeline.events, 1):
            self._event(f"event-{number}", event)
        self._sources()
        return {
            "resourceType": "Bundle",
            "id": "bundle",
            "meta": self._meta(),
            "type": "collection",
            "entry": self.entries,
        }

    # --- the frame

    def _url(self, name: str) -> str:
        return f"urn:uuid:{uuid.uuid5(_SPACE, f'{self.timeline.recording.sha256} {name}')}"

    def _reference(self, name: str) -> Json:
        return {"reference": self._url(name)}

    def _meta(self) -> Json:
        code, display = ("draft", "Draft, not signed") if self.is_draft else ("signed", "Signed")
        return {"tag": [{"system": f"{_OURS}state", "code": code, "display": display}]}

    def _add(self, kind: str, place: str, /, **fields: Any) -> None:
        filled = {key: part for key, part in fields.items() if part not in (None, [], {}, "")}
        resource = {"resourceType": kind, "id": place, "meta": self._meta(), **filled}
        self.entries.append({"fullUrl": self._url(place), "resource": resource})

    def _patient(self) -> Json:
        given = self.particulars.patient
        if not given.model_dump(exclude_none=True):
            return {"extension": [{"url": _ABSENT, "valueCode": "unknown"}], "display": "Not given"}
        identifier: Json = {"value": _text(given.id)} if given.id else {}
        if given.id and given.id_issuer:
            identifier["assigner"] = {"display": _text(given.id_issuer)}
        name = {"family": _text(given.family_name), "given": [_text(given.given_name)] if given.given_name else None}
        self._add(
            "Patient",
            "patient",
            identifier=[identifier] if identifier else None,
            name=[{key: part for key, part in name.items() if part}] if any(name.values()) else None,
            birthDate=str(given.birth_date) if given.birth_date else None,
            gender=given.sex,
        )
        return self._reference("patient")

    def _at(self, ms: int) -> str | None:
        return (self.started + timedelta(milliseconds=ms)).isoformat(timespec="milliseconds") if self.started else None

    def _period(self, event: Event) -> Json | None:
        start, end = self._at(event.start_ms), self._at(event.end_ms)
        return {"start": start, "end": end} if start and end else None

    # --- the case and its events

    def _case(self) -> None:
        given, timeline = self.particulars, self.timeline
        record = make_record(timeline, given)
        missing = [line for section in record.sections if section.title == "Not said" for line in section.lines]
        notes = [
            safety(timeline),
            *missing,
            *(f"Caution: {plain(each.message)}" for each in timeline.cautions.values()),
        ]
        notes += [f"Gap from {gap.start_ms} to {gap.end_ms} ms: {plain(gap.why)}" for gap in timeline.gaps]
        end = self._at(timeline.recording.duration_ms)
        self._add(
            "Procedure",
            "case",
            identifier=[{"system": f"{_OURS}recording-sha256", "value": _text(timeline.recording.sha256) or "unknown"}],
            status="completed",
            code={"text": _text(given.procedure) or "Procedure, not named"},
            subject=self.subject,
            performedPeriod={"start": self._at(0), "end": end} if end else None,
            performer=[{"actor": {"display": _text(given.operator)}}] if given.operator else None,
            location={"display": _text(given.site)} if given.site else None,
            reasonCode=[{"text": _text(given.indication)}] if given.indication else None,
            note=[{"text": note} for note in notes],
        )

    def _event(self, name: str, event: Event) -> None:
        if event.status not in _STATUS or event.kind is Kind.REMARK:
            self._talked_of(name, event)
        elif event.kind in _PROCEDURES:
            self._step(name, event)
        elif event.kind is Kind.DRUG:
            self._drug(name, event)
        elif event.kind is Kind.RUN:
            self._run(name, event)
        else:
            self._observe(name, event, "case")

    def _step(self, name: str, event: Event) -> None:
        device = f"{name}-device" if event.device else None
        is_moved = event.kind in (Kind.INSERT, Kind.REMOVE)
        if device:
            self._device(device, event)
        self._add(
            "Procedure",
            name,
            extension=self._evidence(event),
            partOf=[self._reference("case")],
            status=_STATUS[event.status],
            code={"text": event_name(event)},
            subject=self.subject,
            performedPeriod=self._period(event),
            bodySite=[site] if (site := _site(event)) else None,
            note=self._notes(event),
            focalDevice=[{"manipulated": self._reference(device)}] if device and is_moved else None,
            usedReference=[self._reference(device)] if device and not is_moved else None,
        )
        if event.values:
            self._observe(f"{name}-values", event, name)
        if device and event.status is Status.DONE and (event.kind is Kind.INSERT or implanted(event)):
            self._add(
                "DeviceUseStatement",
                f"{name}-use",
                status="active" if implanted(event) else "completed",
                subject=self.subject,
                timingPeriod=self._period(event),
                device=self._reference(device),
                bodySite=_site(event),
            )

    def _device(self, name: str, event: Event) -> None:
        label = parse(barcode) if (barcode := self.particulars.barcodes.get(event.id)) else None
        sizes = {
            key: event.values[key] for key in ("gauge", "wire_diameter", "diameter", "length") if key in event.values
        }
        self._add(
            "Device",
            name,
            udiCarrier=[{"deviceIdentifier": label.device, "carrierHRF": _text(label.read_from)}]
            if label and label.device
            else None,
            manufactureDate=str(label.made_on) if label and label.made_on else None,
            expirationDate=str(label.expires_on) if label and label.expires_on else None,
            lotNumber=_text(label.lot) if label else None,
            serialNumber=_text(label.serial) if label else None,
            type={"text": _text(event.device)},
            property=[
                {"type": _code(key), "valueQuantity": [self._quantity(event, key, each)]} for key, each in sizes.items()
            ],
            note=[{"text": fault} for fault in label.faults] if label else None,
        )

    def _drug(self, name: str, event: Event) -> None:
        dose = event.values.get("dose")
        self._administer(name, event, _text(event.drug) or "Drug, not named", {"dose": ("dose", dose)} if dose else {})
        if event.values.keys() - {"dose"}:
            self._observe(f"{name}-values", event, name)

    def _run(self, name: str, event: Event) -> None:
        volume, rate = event.values.get("volume"), event.values.get("rate")
        parts = {"dose": ("volume", volume), "rateQuantity": ("rate", rate)}
        self._administer(name, event, "Contrast medium", {field: part for field, part in parts.items() if part[1]})
        if event.values.keys() - {"volume", "rate"}:
            self._observe(f"{name}-values", event, name)

    def _administer(self, name: str, event: Event, what: str, parts: dict[str, tuple[str, Value | None]]) -> None:
        at = self._period(event)
        unknown = {"extension": [{"url": _ABSENT, "valueCode": "unknown"}]}
        dosage = {field: self._quantity(event, key, value) for field, (key, value) in parts.items() if value}
        self._add(
            "MedicationAdministration",
            name,
            extension=self._evidence(event),
            partOf=[self._reference("case")],
            status=_STATUS[event.status],
            medicationCodeableConcept={"text": what},
            subject=self.subject,
            effectivePeriod=at or unknown,
            note=self._notes(event),
            dosage={**dosage, "text": event_name(event)} if dosage else None,
        )

    def _observe(self, name: str, event: Event, part_of: str) -> None:
        is_finding = event.kind is Kind.FINDING
        self._add(
            "Observation",
            name,
            extension=self._evidence(event),
            partOf=[self._reference(part_of)],
            status="preliminary" if self.is_draft else "final",
            code={"text": (_text(event.finding) or "Finding, not named") if is_finding else event_name(event)},
            subject=self.subject,
            effectivePeriod=self._period(event),
            valueBoolean=event.status is Status.DONE if is_finding else None,
            note=self._notes(event),
            bodySite=_site(event),
            component=[
                {"code": _code(key), "valueQuantity": self._quantity(event, key, value)}
                for key, value in event.values.items()
            ],
        )

    def _talked_of(self, name: str, event: Event) -> None:
        values = [
            {"url": f"{_OURS}{key.replace('_', '-')}", "valueQuantity": self._quantity(event, key, value)}
            for key, value in event.values.items()
        ]
        self._add(
            "Basic",
            name,
            extension=[*self._evidence(event), *values],
            code={"coding": [{"system": f"{_OURS}status", "code": event.status.value}], "text": event_name(event)},
            subject=self.subject,
        )

    # --- evidence and doubt

    def _evidence(self, event: Event) -> list[Json]:
        parts: list[Json] = [
            {"url": "id", "valueString": _text(event.id) or "?"},
            {"url": "kind", "valueCode": event.kind.value},
            {"url": "status", "valueCode": event.status.value},
            {"url": "start-ms", "valueInteger": event.start_ms},
            {"url": "end-ms", "valueInteger": event.end_ms},
            {"url": "confidence", "valueDecimal": event.confidence},
            {"url": "review", "valueBoolean": event.review},
        ]
        texts = {"device": event.device, "drug": event.drug, "finding": event.finding, "site": site_text(event.site)}
        texts["settled"] = settled(self.timeline, event.id, event.review)
        parts += [{"url": key, "valueString": shown} for key, text in texts.items() if (shown := _text(text))]
        parts += [{"url": "flag", "valueCode": flag} for flag in event.flags]
        return [{"url": f"{_OURS}event", "extension": parts}]

    def _quantity(self, event: Event, key: str, value: Value) -> Json:
        parts: list[Json] = [
            {"url": "review", "valueBoolean": value.review},
            {"url": "confidence", "valueDecimal": value.confidence},
        ]
        texts = {"heard": value.heard, "settled": settled(self.timeline, f"{event.id}.{key}", value.review)}
        parts += [{"url": name, "valueString": shown} for name, text in texts.items() if (shown := _text(text))]
        parts += [{"url": "flag", "valueCode": flag} for flag in value.flags]
        for rival in value.alternatives:
            parts.append(
                {"url": "alternative", "valueQuantity": _plain_quantity(rival.value, rival.unit or value.unit)}
            )
        return {"extension": [{"url": f"{_OURS}value", "extension": parts}], **_plain_quantity(value.value, value.unit)}

    def _notes(self, event: Event) -> list[Json]:
        marks = list(doubts(event))
        marks += [
            f"{figure(value.value, value.unit)}: {sentence}"
            for value in event.values.values()
            if not value.review
            for sentence in flag_sentences(value.flags)
        ]
        return [{"text": plain(mark)} for mark in marks]

    # --- sources and signature

    def _sources(self) -> None:
        timeline = self.timeline
        model = timeline.made_by.speech_model
        if model and model.name != "transcript":
            for number, part in enumerate(timeline.recording.parts, 1):
                self._add(
                    "Media",
                    f"recording-{number}",
                    identifier=[{"system": f"{_OURS}sha256", "value": _text(part.sha256) or "unknown"}],
                    partOf=[self._reference("case")],
                    status="completed",
                    subject=self.subject,
                    duration=part.duration_ms / 1000,
                    content={"title": _text(part.name) or "recording"},
                )
        content = timeline.model_dump_json().encode()
        self._add(
            "DocumentReference",
            "timeline",
            status="current",
            docStatus="preliminary" if self.is_draft else "final",
            subject=self.subject if "reference" in self.subject else None,
            description="The whole timeline: every word, event, value, mark and caution",
            content=[
                {
                    "attachment": {
                        "contentType": "application/json",
                        "data": base64.b64encode(content).decode(),
                        "size": len(content),
                        "hash": base64.b64encode(hashlib.sha1(content, usedforsecurity=False).digest()).decode(),
                        "title": "timeline.json",
                    }
                }
            ],
        )
        if isinstance(timeline, SignedTimeline):
            self._provenance(timeline)

    def _provenance(self, timeline: SignedTimeline) -> None:
        by = timeline.signature
        who = {"display": _text(by.name)}
        verifies = {
            "system": "urn:iso-astm:E1762-95:2013",
            "code": "1.2.840.10065.1.12.1.5",
            "display": "Verification Signature",
        }
        role = {"system": "http://terminology.hl7.org/CodeSystem/provenance-participant-type", "code": "verifier"}
        self._add(
            "Provenance",
            "signature",
            extension=[
                *({"url": f"{_OURS}left-open", "valueString": plain(f"{e.point}: {e.reason}")} for e in by.left_open),
                *({"url": f"{_OURS}changed", "valueString": change_text(e)} for e in changed_by_hand(timeline)),
            ],
            target=[{"reference": entry["fullUrl"]} for entry in self.entries],
            recorded=by.signed_at,
            reason=[{"text": plain(text)} for text in (by.meaning, by.reason) if text],
            agent=[{"type": {"coding": [role]}, "who": who}],
            entity=[{"role": "source", "what": self._reference("timeline")}, *map(_revised, by.earlier)],
            signature=[
                {
                    "type": [verifies],
                    "when": by.signed_at,
                    "who": who,
                    "targetFormat": "application/json",
                    "sigFormat": "application/octet-stream",
                    "data": by.value,
                }
            ],
        )


def _revised(earlier: Earlier) -> Json:
    """What an amendment took the place of, by the SHA-256 that its own record prints."""
    identifier = {"system": f"{_OURS}timeline-sha256", "value": _text(earlier.sha256) or "unknown"}
    return {"role": "revision", "what": {"identifier": identifier, "display": earlier_text(earlier)}}


def _plain_quantity(value: float, unit: str) -> Json:
    return {"value": value, "unit": figure(1, unit)[2:] or "1", "system": UCUM, "code": unit}


def _code(key: str) -> Json:
    return {"coding": [{"system": f"{_OURS}value", "code": key.replace("_", "-")}], "text": key.replace("_", " ")}


def _site(event: Event) -> Json | None:
    text = site_text(event.site)
    return {"text": text} if text else None


def _text(text: str | None) -> str | None:
    """A text FHIR can hold: one line, no control characters, not empty."""
    shown = plain(text or "")
    return shown if re.search(r"\S", shown) else None
