"""Timeline, name of a format -> the files of that format. The one place that knows which formats there are.

A new format: a function here that takes a Timeline and Wishes and returns its files, a row in ``FORMATS``, a
section in docs/exports.md, and a test that reads it back with something we did not write.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from extractor.errors import InputError
from extractor.handover import captions, chapters, implants, safety, tables
from extractor.handover.dicom import write_dicom
from extractor.handover.fhir import write_fhir
from extractor.handover.particulars import Particulars, Template
from extractor.handover.record import Record, make_record
from extractor.handover.record_docx import write_docx
from extractor.handover.record_html import write_html
from extractor.handover.record_pdf import write_pdf
from extractor.handover.record_text import write_text
from extractor.model import Frozen, SignedTimeline, Timeline

#: End of the name, behind the one that was asked for -> content. The file itself has the empty end.
Files = dict[str, bytes]

EVENTS = "Events of a procedure"


class Wishes(Frozen):
    """What goes with a timeline: the case's particulars, the site's template, and whether words stand beside fields."""

    particulars: Particulars = Particulars()
    template: Template = Template()
    spoken: bool = False


def _record(timeline: Timeline, wishes: Wishes) -> Record:
    return make_record(timeline, wishes.particulars, wishes.template, spoken=wishes.spoken)


IMPLANTS = "Implants and consumables of a procedure"


def _implants_csv(timeline: Timeline, wishes: Wishes) -> Files:
    return tables.write_csv(implants.COLUMNS, implants.rows(timeline, wishes.particulars), IMPLANTS)


def _implants_xlsx(timeline: Timeline, wishes: Wishes) -> Files:
    found = implants.rows(timeline, wishes.particulars)
    return tables.write_xlsx(implants.COLUMNS, found, "Implants", safety(timeline))


def _events_csv(timeline: Timeline, wishes: Wishes) -> Files:
    return tables.write_csv(tables.COLUMNS, tables.rows(timeline), EVENTS)


def _events_jsonl(timeline: Timeline, wishes: Wishes) -> Files:
    return tables.write_jsonl(tables.COLUMNS, tables.rows(timeline), EVENTS)


def _events_xlsx(timeline: Timeline, wishes: Wishes) -> Files:
    return tables.write_xlsx(tables.COLUMNS, tables.rows(timeline), "Events", safety(timeline))


def _events_parquet(timeline: Timeline, wishes: Wishes) -> Files:
    return tables.write_parquet(tables.COLUMNS, tables.rows(timeline), EVENTS, safety(timeline))


def _captions(timeline: Timeline, wishes: Wishes) -> Files:
    return {"": captions.write_captions(timeline, notice=True).encode()}


def _srt(timeline: Timeline, wishes: Wishes) -> Files:
    return {"": captions.write_srt(timeline).encode()}


def _chapters(timeline: Timeline, wishes: Wishes) -> Files:
    return {
        "": chapters.write_chapters(timeline).encode(),
        "-events.vtt": chapters.write_event_track(timeline).encode(),
    }


FORMATS: Mapping[str, Callable[[Timeline, Wishes], Files]] = MappingProxyType({
    "record-pdf": lambda timeline, wishes: {"": write_pdf(_record(timeline, wishes))},
    "record-html": lambda timeline, wishes: {"": write_html(_record(timeline, wishes)).encode()},
    "record-docx": lambda timeline, wishes: {"": write_docx(_record(timeline, wishes))},
    "record-text": lambda timeline, wishes: {"": write_text(_record(timeline, wishes)).encode()},
    "implants-csv": _implants_csv,
    "implants-xlsx": _implants_xlsx,
    "fhir": lambda timeline, wishes: {"": write_fhir(timeline, wishes.particulars)},
    "dicom": lambda timeline, wishes: {"": write_dicom(timeline, wishes.particulars)},
    "events-csv": _events_csv,
    "events-jsonl": _events_jsonl,
    "events-xlsx": _events_xlsx,
    "events-parquet": _events_parquet,
    "captions": _captions,
    "chapters": _chapters,
    "srt": _srt,
})  # fmt: skip


def export(timeline: Timeline, name: str, wishes: Wishes | None = None, *, draft: bool = False) -> Files:
    """Timeline -> the files of a format, the same to the byte at every run.

    InputError for an unknown format, and for an unsigned timeline where nobody asked for a draft: only a signed one
    leaves as a record.
    """
    if name not in FORMATS:
        raise InputError(f"--format {name}: not known; known are {' '.join(FORMATS)}")
    if not isinstance(timeline, SignedTimeline) and not draft:
        raise InputError("a draft, and only a signed timeline leaves as a record; sign it, or give --draft")
    return FORMATS[name](timeline, wishes or Wishes())
