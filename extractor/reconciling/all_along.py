"""What a device turned out to be, it was all along: "sheath's in… the six French sheath comes out", "sheath out… it was
a six French": the size belongs to every event that tells of it, and to the closure of the hole it left.
"""

from collections.abc import Sequence

from extractor.model import Kind, Status
from extractor.reconciling.story import KEPT_SIZES, Draft, carried

_TOLD = {Kind.INSERT, Kind.REMOVE}


def give_sizes_learnt_later(drafts: Sequence[Draft]) -> None:
    """Gives, in place, what was done with a device the sizes of it that were learnt later; no event refers to a device
    then.
    """
    for draft in drafts:
        thing, draft.of = draft.of, None
        if thing is None or draft.status is not Status.DONE:
            continue
        keys = KEPT_SIZES if draft.kind in _TOLD else {"gauge"} if draft.kind is Kind.CLOSURE else set()
        for key in sorted(keys & thing.values.keys() - draft.values.keys()):
            draft.values[key] = carried(thing.values[key])
