"""Devices named behind the word of what became of them: "I take away the sheath and the wire", "all is removed: sheath,
catheter and wire", "it is in now, the wire".
"""

from dataclasses import dataclass

from extractor.model import Item
from extractor.reconciling.kinds.said_of import PASSING
from extractor.reconciling.story import Story

#: Between two devices of a row stand at most so many words; set by hand, no source.
_NEAR = 9
#: After one of them: nothing is told of it alone. "The wire remains" tells.
_ENDS = frozenset(
    ", . ... ! ? ; - and plus too also together as at from for now then over through with both out".split()
)
#: Before what became of them: the devices are named after it.
_ALL = {"all", "everything", "both"}
_IT = {"it", "he", "she", "they"}
#: What pulls others out is no more out than they are in.
_TOOLS = {"snare"}


@dataclass(slots=True)
class Row:
    """A verb and the device named last of those it says the same of, or the verb itself where they stand before it."""

    way: str
    action: Item
    last: Item

    def goes_on(self, story: Story, item: Item) -> bool:
        """Whether the device heard now is one more of the row: joined to the last one, and nothing else told of it."""
        items = story.sentence.items
        between = items[items.index(self.last) + 1 : story.index]
        marks = {other.text for other in between if other.kind == "mark"}
        along = item.where == "with" and self.way == "out" and item.name not in _TOOLS
        if item.where not in {"", "with"} or (item.where == "with" and not along):
            return False
        if any(other.kind not in PASSING and other.meanings != {"raise"} for other in between) or not marks <= {
            ",",
            "and",
        }:
            return False
        if self.last is self.action and not along:
            return False  # "the micro was removed, and the sheath…"
        joined = "and" in marks or along or ("," in marks and _is_joined_later(story))
        following = story.after()
        told = following is not None and following.kind == "action" and following.meanings != {"again"}
        ends = story.sentence.tokens[item.span[1] : item.span[1] + 1] or (".",)
        return (
            joined
            and not told
            and ends[0] in _ENDS
            and item.span[0] - self.last.span[1] <= _NEAR + len(self.last.figures)
        )


def _is_joined_later(story: Story) -> bool:
    """ "the catheter, the wire and the sheath": whether a row ends with "and", or with the sentence."""
    rest = [other for other in story.ahead() if other.kind != "pronoun"]
    if any(other.kind == "device" for other in rest):
        return any(other.text == "and" for other in rest)
    return all(other.kind in PASSING for other in rest)


def tells_of_all(story: Story, action: Item) -> bool:
    """ "All is removed: sheath, catheter and wire", "everything out, wire and sheath": whether a row follows a mark."""
    tokens, first = story.sentence.tokens, action.span[0]
    behind = tokens[action.span[1] : action.span[1] + 1]
    if not (_ALL & {*tokens[max(0, first - 2) : first], *action.text.split(), *behind}):
        return False
    ahead = list(story.ahead())
    row = all(other.kind in PASSING | {"device"} for other in ahead)
    return row and len(ahead) > 1 and ahead[0].text in {",", ":", "-"} and _is_named(ahead[1])


def tells_of_it(story: Story, action: Item) -> bool:
    """ "It is in now, the wire": whether a pronoun stands for what is named last, with nothing told of that."""
    pointed = any(other.kind == "pronoun" and other.name in _IT for other in story.clause())
    if not pointed and not _IT & {*action.text.split()}:
        return False
    ahead = [other for other in story.ahead() if other.meanings != {"raise"} and other.kind != "phrase"]
    apposed = len(ahead) > 1 and ahead[0].text == "," and _is_named(ahead[1]) and ahead[1].definite
    return apposed and all(other.kind == "mark" for other in ahead[2:])


def _is_named(item: Item) -> bool:
    return item.kind == "device" and item.role == "insert" and not item.where
