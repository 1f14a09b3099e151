"""What went out, told behind it: "wire out, oh one eight", "sheath away, eight French", "wire out, the stiff one". It
is something that is in, and none that is asked for.
"""

from collections.abc import Sequence

from extractor.model import Item, Sentence
from extractor.reconciling.marks import TOLD_MARKS
from extractor.reconciling.story import Story

_LEAVES = {"particle out", "removed"}
#: Right behind what is told so nothing goes on.
_ENDS = TOLD_MARKS - {"...", ":", "-"}


def name_what_left(story: Story, sentence: Sentence) -> None:
    """Gives a device that goes out, in place, the sizes told right behind that, where one of these is in."""
    if sentence.question:
        return
    items = sentence.items
    for item, action, mark, other in list(zip(items, items[1:], items[2:], items[3:], strict=False)):
        bare = item.kind == "device" and item.role == "insert" and bool(item.name) and not item.figures
        leaves = action.kind == "action" and bool(action.meanings & _LEAVES) and mark.text == ","
        if not (bare and leaves) or not _is_apposed(sentence.tokens, item, other) or not _is_in(story, item, other):
            continue
        item.figures, item.qualifiers = dict(other.figures), item.qualifiers | other.qualifiers
        items.remove(other)


def _is_apposed(tokens: Sequence[str], item: Item, other: Item) -> bool:
    alike = other.kind == "device" and other.role in {"", item.role} and other.name in {"", item.name}
    said = other.figures.keys() - {"bare"} or other.qualifiers
    past = other.span[1] + (tokens[other.span[1] : other.span[1] + 1] == ("one",))
    return alike and bool(said) and other.status is None and {*tokens[past : past + 1]} <= _ENDS


def _is_in(story: Story, item: Item, other: Item) -> bool:
    """Whether a device of this name and these sizes is in the patient."""
    return any(
        thing.where == "in"
        and thing.name == item.name
        and other.qualifiers <= thing.qualifiers
        and all(key in thing.values and thing.values[key].value == size.value for key, size in other.figures.items())
        for thing in story.things
    )
