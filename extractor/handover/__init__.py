"""Timeline -> what people and other tools read. Pure: text or bytes out; who calls it writes the files."""

from extractor.model import SignedTimeline, Timeline

_ADVISES_NOTHING = "It advises nothing: device instructions, local policy and licensed practice come first."

#: Stands on everything a person is handed.
SAFETY = f"A draft until signed by the responsible clinician. {_ADVISES_NOTHING}"


def safety(timeline: Timeline) -> str:
    """The line that stands on everything made from a timeline: a draft until signed, or who signed it."""
    if isinstance(timeline, SignedTimeline):
        by = "".join(letter if letter.isprintable() else "\ufffd" for letter in timeline.signature.name)
        return f"Signed by {by}, {timeline.signature.signed_at}. {_ADVISES_NOTHING}"
    return SAFETY
