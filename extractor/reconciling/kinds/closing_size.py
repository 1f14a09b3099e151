"""How wide what closes a puncture is, or the hole it closes: "sheath out, seven French, suture, tied", "a collagen plug
of six". Nothing of that size goes in.
"""

from extractor.model import Item, Kind
from extractor.reconciling.story import Story


def is_of_what_closes(story: Story, item: Item) -> bool:
    """Whether a gauge with no noun stands in a sentence that closes the puncture."""
    if not item.headless or "gauge" not in item.figures:
        return False
    closes = story.says("close") or any(other.role == "closure" for other in story.mentions("device"))
    return closes or any(draft.kind is Kind.CLOSURE for draft in story.told_here())
