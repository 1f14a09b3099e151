"""Timeline, name of a format -> the files of that format. The one place that knows which formats there are.

A new format: a function here that takes a Timeline and Particulars and returns its files, a row in ``FORMATS``, a
section in docs/exports.md, and a test that reads it back with something we did not write.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from extractor.errors import InputError
from extractor.handover import captions, chapters, safety, tables
from extractor.handover.particulars import Particulars
from extractor.model import SignedTimeline, Timeline

#: End of the name, behind the one that was asked for -> content. The file itself has the empty end.
Files = dict[str, bytes]

EVENTS = "Events of a procedure"


def _events_csv(timeline: Timeline, particulars: Particulars) -> Files:
    return tables.write_csv(tables.COLUMNS, tables.rows(timeline), EVENTS)


def _events_jsonl(timeline: Timeline, particulars: Particulars) -> Files:
    return tables.write_jsonl(tables.COLUMNS, tables.rows(timeline), EVENTS)


def _events_xlsx(timeline: Timeline, particulars: Particulars) -> Files:
    return tables.write_xlsx(tables.COLUMNS, tables.rows(timeline), "Events", safety(timeline))


def _events_parquet(timeline: Timeline, particulars: Particulars) -> Files:
    return tables.write_parquet(tables.COLUMNS, tables.rows(timeline), EVENTS, safety(timeline))


def _captions(timeline: Timeline, particulars: Particulars) -> Files:
    return {"": captions.write_captions(timeline, notice=True).encode()}


def _srt(timeline: Timeline, particulars: Particulars) -> Files:
    return {"": captions.write_srt(timeline).encode()}


def _chapters(timeline: Timeline, particulars: Particulars) -> Files:
    return {
        "": chapters.write_chapters(timeline).encode(),
        "-events.vtt": chapters.write_event_track(timeline).encode(),
    }


FORMATS: Mapping[str, Callable[[Timeline, Particulars], Files]] = MappingProxyType({
    "events-csv": _events_csv,
    "events-jsonl": _events_jsonl,
    "events-xlsx": _events_xlsx,
    "events-parquet": _events_parquet,
    "captions": _captions,
    "chapters": _chapters,
    "srt": _srt,
})  # fmt: skip


def export(timeline: Timeline, name: str, particulars: Particulars | None = None, *, draft: bool = False) -> Files:
    """Timeline -> the files of a format, the same to the byte at every run.

    InputError for an unknown format, and for an unsigned timeline where nobody asked for a draft: only a signed one
    leaves as a record.
    """
    if name not in FORMATS:
        raise InputError(f"--format {name}: not known; known are {' '.join(FORMATS)}")
    if not isinstance(timeline, SignedTimeline) and not draft:
        raise InputError("a draft, and only a signed timeline leaves as a record; sign it, or give --draft")
    return FORMATS[name](timeline, particulars or Particulars())
