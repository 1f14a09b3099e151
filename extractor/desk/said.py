"""A line written as it would be said at the table -> the events it tells, to be added by hand.

The same reading as of a recording: whoever adds what nobody heard need not fill in a form.
"""

from extractor import pipeline
from extractor.desk.edit_kinds import Amount, NewEvent
from extractor.lexicon import Lexicon
from extractor.model import Event, Recording, Transcript, Word


def events_said(text: str, start_ms: int, end_ms: int, lexicon: Lexicon) -> tuple[Event, ...]:
    """A line, and from when to when it happened -> its events in order, as they are read; none where it tells none."""
    words = tuple(Word(text=word, start_ms=start_ms, end_ms=end_ms) for word in text.split())
    line = Transcript(recording=Recording(sha256="0" * 64, duration_ms=end_ms), words=words)
    return pipeline.interpret(line, lexicon).events


def to_add(event: Event) -> NewEvent:
    """An event that was read -> the same as a person adds it: what was doubtful in it, its writer has seen."""
    return NewEvent(
        kind=event.kind,
        status=event.status,
        start_ms=event.start_ms,
        end_ms=event.end_ms,
        device=event.device,
        drug=event.drug,
        finding=event.finding,
        site=event.site,
        values={key: Amount(value=value.value, unit=value.unit) for key, value in event.values.items()},
    )
