"""Doubt goes with a figure: what is carried from a value in doubt is in the same doubt.

A size is carried to where its device is used before it is known that nobody answered the question it was told in. The
first event that rests on it carries the mark too; who looks at that one has looked at the figure.
"""

from collections.abc import Sequence

from extractor.model import Status
from extractor.reconciling.story import Draft


def inherit_doubt(drafts: Sequence[Draft]) -> None:
    """Marks, in place, where something done first rests on a figure that was only asked. Events in order."""
    asked = {
        (key, value.words)
        for draft in drafts
        for key, value in draft.values.items()
        if "asked" in value.flags and "carried-over" not in value.flags
    }
    for draft in drafts if asked else ():
        for key, value in draft.values.items() if draft.status is Status.DONE else ():
            if "carried-over" in value.flags and (key, value.words) in asked:
                asked.discard((key, value.words))
                draft.values[key] = value.flagged("asked")
