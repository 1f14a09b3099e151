"""Timeline and scanned labels -> the list of implants and consumables, with places for what nobody scanned.

A row a device that was put in, inflated, deployed or delivered. Lot, serial number and expiry come from the label
alone (``barcodes`` of the particulars); where none was scanned the cell is empty, for a hand to fill. An expired
device, and a label that does not read clean, are told in ``cautions``.
"""

from datetime import date, datetime

from extractor.errors import InputError
from extractor.handover import safety
from extractor.handover.gs1 import parse
from extractor.handover.particulars import Particulars
from extractor.handover.record import implanted
from extractor.handover.tables import Column, Row
from extractor.handover.wording import clock, doubts, event_name, plain, settled, site_text, value_texts
from extractor.model import Event, Kind, SignedTimeline, Status, Timeline

#: Sizes with columns of their own; what else was said of a device stands in ``said``.
_SIZES = ("gauge", "wire_diameter", "diameter", "length", "count", "volume")

COLUMNS = (
    Column("state", str, "draft or signed: a draft is no record"),
    Column("event", str, "the event's id in timeline.json"),
    Column("clock", str, "when it was said, from the start of the recording"),
    Column("use", str, "implant: it stays in the body; consumable: it was used"),
    Column("device", str, "what it is, by the lexicon's name; empty where nobody said"),
    Column("what", str, "what was done with it"),
    Column("where", str, "where in the body"),
    *(
        column
        for key in _SIZES
        for column in (Column(key, float, f"{key} as spoken".replace("_", " ")), Column(f"{key}_unit", str, "in UCUM"))
    ),
    Column("said", str, "all its sizes as people write them; 14 atm? asks for a look, (6 mm) was said earlier"),
    Column("marks", str, "why something asks for a look, and what became of it at sign-off"),
    Column("device_identifier", str, "from the label: GTIN, AI 01"),
    Column("lot", str, "from the label: AI 10"),
    Column("serial", str, "from the label: AI 21"),
    Column("made_on", str, "from the label: AI 11"),
    Column("expires_on", str, "from the label: AI 17"),
    Column("expired", bool, "whether it had expired on the day of the case; empty where that is not known"),
    Column("cautions", str, "expired, or what does not fit in the label"),
    Column("label", str, "the label as it was scanned"),
    Column("signed_by", str, "who signed"),
    Column("signed_at", str, "when, ISO 8601"),
    Column("sha256", str, "of the timeline that was signed"),
    Column("notice", str, "what stands on everything made from a timeline"),
)  # fmt: skip

_USED = {Kind.INSERT, Kind.INFLATION, Kind.STENT, Kind.EMBOLISE, Kind.CLOSURE}


def rows(timeline: Timeline, particulars: Particulars) -> list[Row]:
    """Timeline -> a row a device, columns as ``COLUMNS``. InputError where a barcode is of no such event."""
    used = [each for each in timeline.events if each.status is Status.DONE and each.kind in _USED]
    used = [each for each in used if each.kind is not Kind.CLOSURE or each.device]
    if strange := sorted(particulars.barcodes.keys() - {each.id for each in used}):
        raise InputError(
            f"barcodes: {strange[0]} is no device that was used; those are {' '.join(each.id for each in used)}"
        )
    signature = timeline.signature if isinstance(timeline, SignedTimeline) else None
    blank = dict.fromkeys(column.name for column in COLUMNS)
    common = {
        "state": timeline.state,
        "signed_by": signature and signature.name,
        "signed_at": signature and signature.signed_at,
        "sha256": signature and signature.sha256,
        "notice": safety(timeline),
    }
    return [blank | common | _device(timeline, event) | _label(event, particulars, timeline) for event in used]


def _device(timeline: Timeline, event: Event) -> Row:
    sizes: Row = {}
    for key in _SIZES:
        if value := event.values.get(key):
            sizes |= {key: value.value, f"{key}_unit": value.unit}
    reviewed = [f"{event.id}.{key}" for key, value in event.values.items() if value.review] + [event.id] * event.review
    outcomes = sorted({settled(timeline, point) for point in reviewed})
    return {
        "event": event.id,
        "clock": clock(event.start_ms),
        "use": "implant" if implanted(event) else "consumable",
        "device": event.device,
        "what": event_name(event),
        "where": site_text(event.site) or None,
        "said": ", ".join(text for text, _ in value_texts(event)) or None,
        "marks": " ".join([*doubts(event), *(f"At sign-off: {each}." for each in outcomes)]) or None,
        **sizes,
    }


def _label(event: Event, particulars: Particulars, timeline: Timeline) -> Row:
    text = particulars.barcodes.get(event.id)
    if text is None:
        return {}
    label = parse(text)
    day = _day(particulars, timeline)
    expired = label.expired(day) if day else None
    cautions = list(label.faults)
    if label.expires_on and day and expired:
        cautions.insert(0, f"expired on {label.expires_on}, used on {day}")
    if label.expires_on and not day:
        cautions.append("the day of the case is not known: whether it had expired was not looked at")
    return {
        "device_identifier": label.device,
        "lot": label.lot,
        "serial": label.serial,
        "made_on": label.made_on and str(label.made_on),
        "expires_on": label.expires_on and str(label.expires_on),
        "expired": expired,
        "cautions": "; ".join(cautions) or None,
        "label": plain(text),
    }


def _day(particulars: Particulars, timeline: Timeline) -> date | None:
    """The day of the case by the site's own word, else by the recording's; the day of signing is another."""
    if particulars.started_at:
        return particulars.started_at.date()
    recorded = timeline.recording.recorded_at
    return datetime.fromisoformat(recorded).date() if recorded else None
