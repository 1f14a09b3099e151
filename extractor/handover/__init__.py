"""Timeline -> what people and other tools read. Pure: text or bytes out; who calls it writes the files."""

from extractor.model import SignedTimeline, Timeline

_ADVISES_NOTHING = "It advises nothing: device instructions, local policy and licensed practice come first."

#: Stands on everything a person is handed.
SAFETY = f"A draft until signed by the responsible clinician. {_ADVISES_NOTHING}"


def safety(timeline: Timeline) -> str:
    """The line that stands on everything made from a timeline: a draft until signed, or who signed it."""
    if isinstance(timeline, SignedTimeline):
        by = timeline.signature
        name, why = ("".join(c if c.isprintable() else "\ufffd" for c in text) for text in (by.name, by.reason))
        amends = f", an amendment of what was signed {by.earlier[-1].signed_at}: {why}" if by.earlier else ""
        return f"Signed by {name}, {by.signed_at}{amends}. {_ADVISES_NOTHING}"
    return SAFETY
