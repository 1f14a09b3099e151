"""Events that rest on words spoken much fainter than the rest: they may be somebody else's, about something else.

Nothing is taken out: who turns away from the microphone is faint too. A person is asked to look.
"""

from collections.abc import Sequence

from extractor.model import Event, Value, WordRange

FLAG = "spoken-faintly"


def mark_faint(events: Sequence[Event], faint: Sequence[WordRange]) -> tuple[Event, ...]:
    """Events, and the ranges of words spoken faintly -> the events, those marked that stand on such words for the
    greater part, and the values that are read from one.
    """
    if not faint:
        return tuple(events)
    words = {word for first, past in faint for word in range(first, past)}
    return tuple(_marked(event, words) for event in events)


def _marked(event: Event, faint: set[int]) -> Event:
    values = {key: _looked_at(each) if faint & {*range(*each.words)} else each for key, each in event.values.items()}
    own = range(*event.words)
    if 2 * len(faint & {*own}) > len(own):
        return event.model_copy(update={"values": values, "flags": tuple(sorted({*event.flags, FLAG})), "review": True})
    return event.model_copy(update={"values": values})


def _looked_at(value: Value) -> Value:
    return value.model_copy(update={"flags": tuple(sorted({*value.flags, FLAG})), "review": True})
