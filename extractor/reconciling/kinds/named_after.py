"""Devices named behind the word of what became of them: "I take away the sheath and the wire", "all is removed: sheath,
catheter and wire", "it is in now, the wire".
"""

from dataclasses import dataclass

from extractor.model import Item
from extractor.reconciling.kinds.said_of import PASSING
from extractor.reconciling.marks import MARKS
from extractor.reconciling.story import Story
from extractor.reconciling.things import find

#: Between two devices of a row stand at most so many words; set by hand, no source.
_NEAR = 9
#: After one of them: nothing is told of it alone. "The wire remains" tells.
_NAME_ENDS = (MARKS - {":"}) | frozenset(
    "and plus too also together as at from for now then over through with both out".split()
)
#: Before what became of them: the devices are named after it.
_ALL = {"all", "everything", "both"}
_IT = {"it", "he", "she", "they"}
#: "Off comes the pigtail."
_WAYS_LED = {"in", "out", "off", "up", "down", "over", "away", "through", "across"}
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
        if "come" in story.sentence.tokens[self.last.span[1] : item.span[0]]:
            return False  # "we take away the pigtail and come with the cobra"
        if self.last is self.action and not along:
            return False  # "the micro was removed, and the sheath…"
        joined = "and" in marks or along or ("," in marks and _is_joined_later(story))
        following = story.after()
        told = following is not None and following.kind == "action" and following.meanings != {"again"}
        ends = story.sentence.tokens[item.span[1] : item.span[1] + 1] or (".",)
        return (
            joined
            and not told
            and ends[0] in _NAME_ENDS
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


def leads(story: Story, action: Item, following: Item | None) -> bool:
    """ "Out the wire.", "In guide catheter six French over wire": the verb first, right before what it says it of; not
    "in the sheath there is clot".
    """
    before = story.before()
    if following is None or not (before is None or before.kind == "mark"):
        return False
    gap = following.span[0] - action.span[1]
    goes = action.after in {"comes", "goes", "came", "went"}
    if goes and action.text in _WAYS_LED:
        return gap <= 3
    if action.text == "out":
        return gap <= 2
    if action.text != "in":
        return False
    if action.after == "with":
        return gap <= 3 and bool(following.figures)  # "in with the four French sheath"
    known = find(story, following, lambda thing: thing.where == "in" and thing.role == "insert") is not None
    there = not following.figures and (following.definite or known)
    return gap <= 1 and not there


def named_behind(story: Story) -> Item | None:
    """ "I introduce a second in the left: five French": what a verb tells of, behind where it goes."""
    passing = {"side", "place", "part", "pronoun"}
    ahead = (other for other in story.ahead() if other.kind not in passing and other.meanings != {"raise"})
    first = next(ahead, None)
    if first is None or first.kind != "action" or first.text not in {"in", "into"}:
        return first
    following = next((other for other in ahead if other.kind != "mark" or other.text != ":"), None)
    return following if following is not None and following.kind == "device" and following.figures else first


def over_it(story: Story, action: Item, following: Item) -> bool:
    """ "The wire goes up, and over it the pigtail of four French": what follows goes where the one before went."""
    it = story.after()
    if action.text != "over" or it is None or it.kind != "pronoun" or following.kind != "device":
        return False
    return following.role == "insert" and bool(following.figures) and following.span[0] - it.span[1] <= 1
