"""Stents and balloons told as placed or dilated with by a verb that stands before them, or with no word of opening and
no pressure: "we have implanted a seven by sixty stent", "two stents were placed: …", "predilated with a four by forty".
Embolics are told so in ``told_by_verb.py``.
"""

from collections.abc import Sequence
from itertools import pairwise

from extractor.model import Item, Kind, Sentence, Status
from extractor.reconciling.hold_times import may_be_hold
from extractor.reconciling.kinds.told_by_verb import ANOTHER_TIME
from extractor.reconciling.story import NOT_DONE, STORES, Draft, Hearing, Story, Thing
from extractor.units import TIMES

#: What was done with a stent that stays. "Opened" may be its box.
_PLACED = frozenset(
    """
    deployed placed implanted released inserted delivered laid unsheathed used liberated stented expanded landed
    """.split()
)
#: … in two words.
_PUT_IN = {("put", "in"), ("put", "down"), ("went", "in")}
_HAVE = {("have",), ("'ve",), ("has",)}
#: … that stays: "we leave two of them behind".
_LEAVES, _BEHIND = frozenset({"leave", "left", "leaving"}), 5
#: … that is out of its sheath: "two stents, overlapping, are both out"
_ARE = frozenset({"is", "'s", "are", "both", "all"})
#: … or, right behind its name at the end: "first stent, seven by eighty, done".
_OVER = frozenset({"done", "finished", "completed"})
#: … how that is called, and the heading of a list of them.
_PLACING = frozenset("stenting placement implantation deployment insertion release".split())
_BEFORE_PLACING = frozenset("stent primary direct successful bailout".split())
#: … or what it was put over: "the dissection was covered with a …".
_LINED = frozenset("covered lined sealed excluded bridged scaffolded relined reinforced received finished".split())
#: Where it is then.
_IN_SHORT = frozenset("in out down there now place position".split())
_LIST = frozenset({"implants", "implanted", "implant"})
#: What was done with a balloon, and how that is called.
_DILATED = frozenset(
    "dilated predilated postdilated redilated ballooned angioplastied venoplastied inflated kissed".split()
)
_DILATION = frozenset(
    """
    dilatation dilation predilatation predilation postdilatation postdilation redilatation angioplasty venoplasty
    ballooning dilatations dilations
    """.split()
)
#: Said of such a thing that happened.
_HAPPENED = frozenset("following after performed done carried made undertaken completed".split())
#: Before a balloon: what it was done with.
_BY_MEANS = frozenset({"with", "by", "using", "via", "through"})
#: Words of the verb before it, and others that may stand between.
_TOLD_BY = frozenset("have has 've is 's are was were been being got we i they just there and it".split())
_BETWEEN = frozenset(
    "now also already then just finally successfully subsequently so all both here first , pre post re".split()
)
#: Before the verb: it is yet to be done, was done before, or was not quite.
_NOT_NOW = frozenset(
    """
    to will 'll be not never n't should shall
    can could may might would 'd if when once before until had let want wants please nearly almost
    """.split()
)
#: "We'll put a stent there": it is yet to be done.
_YET = frozenset("will 'll shall would 'd could might should".split())
#: So many sentences on, the pressure of an inflation may be told; set by hand, no source.
_STILL = 2
#: Between the verb and a stent: it is another one, and asked for.
_ASKED_FOR = frozenset("now next then please want need will take give for before after".split())


class ToldDone(Hearing):
    """At the end of a sentence: what it asked for, as it seemed, was told as placed or dilated with."""

    def __init__(self) -> None:
        self.sized_next = -9  # the sentence before told of a stent placed, whose size may follow

    def end(self, story: Story, sentence: Sentence) -> None:
        if sentence.question or sentence.texts & (STORES | ANOTHER_TIME):
            return
        self._stents(story, sentence)
        balloons = [item for item in story.mentions("device") if item.role == "inflation" and item.figures]
        dilated = _dilated(sentence) if balloons else None
        for thing, draft, item in _asked_here(story, balloons if dilated is not None else ()):
            if _is_means(sentence, dilated or 0, item) and item.cue not in {"please", "next"}:
                _settle(thing, draft, "told-dilated")
                _time(story, draft, item)

    def _stents(self, story: Story, sentence: Sentence) -> None:
        stents = [item for item in story.mentions("device") if item.role == "stent"]
        placed = _placed(sentence) if stents else None
        begins = sentence.items[0].kind if sentence.items else ""
        follows = self.sized_next == story.number - 1 and begins == "device"
        if placed is None and not follows:
            return
        for thing, draft, item in _asked_here(story, stents):
            if placed is None or _belongs(sentence, placed, item):
                _settle(thing, draft, "told-placed")
        if placed is not None and not any(item.figures for item in stents):
            self.sized_next = story.number


def _is_means(sentence: Sentence, dilated: int, item: Item) -> bool:
    """Whether something was dilated with a balloon: said so, named before the verb, or the next thing after it."""
    between = (other for other in sentence.items if dilated < other.span[0] < item.span[0])
    told = item.where in _BY_MEANS or sentence.tokens[max(0, item.span[0] - 2)] in _BY_MEANS
    return told or item.span[0] < dilated or not any(other.kind == "device" or other.text == ";" for other in between)


def _asked_here(story: Story, items: Sequence[Item]) -> list[tuple[Thing, Draft, Item]]:
    """The things this sentence asked for, of those it names so."""
    found = []
    for thing in story.things if items else ():
        draft = thing.asked
        if draft is None or draft.number != story.number or thing.where != "asked":
            continue
        item = next((item for item in items if item.words == draft.named and item.status not in NOT_DONE), None)
        if item is not None:
            found.append((thing, draft, item))
    return found


def _placed(sentence: Sentence) -> int | None:
    """Where the sentence tells that a stent was placed: the token of the verb."""
    tokens = sentence.tokens
    named = _named(sentence)
    pairs = {at for at, pair in enumerate(pairwise(tokens)) if pair in _PUT_IN}
    for at, token in enumerate(tokens):
        if token in _PLACING and sentence.texts & _HAPPENED and not _NOT_NOW & {*tokens[max(0, at - 4) : at]}:
            return at
        if not at and token in _LIST and ":" in tokens:
            return at
        if token == "put" and tokens[max(0, at - 1) : at] in _HAVE and not _NOT_NOW & {*tokens[max(0, at - 4) : at]}:
            return at
        if token == "behind" and _LEAVES & {*tokens[max(0, at - _BEHIND) : at]}:
            return at
        if (
            token == "out"
            and named
            and _ARE & {*tokens[max(0, at - 2) : at]}
            and {*tokens[at + 1 : at + 2]} <= {".", ","}
        ):
            return at
        if (token in _PLACED or at in pairs) and _happened(sentence, at, named):
            return at
        if _lined(sentence, at) or _is_in(sentence, at, named) or _heads(sentence, at):
            return at
        ended = tokens[at - 2 : at] if at > 1 and tokens[at - 1] == "," else ()
        if token in _OVER and tokens[at + 1 : at + 2] == (".",) and ended and at - 2 in named:
            return at
    return None


def _lined(sentence: Sentence, at: int) -> bool:
    """ "the dissection was covered with a seven by sixty stent", "we left a seven by sixty stent"."""
    tokens = sentence.tokens
    if _NOT_NOW & {*tokens[max(0, at - 4) : at]}:
        return False
    if tokens[at] == "left":
        return tokens[max(0, at - 1) : at] in {("we",), ("i",), *_HAVE} and tokens[at + 1 : at + 2] in {
            ("a",),
            ("the",),
        }
    stents = (item for item in sentence.items if item.role == "stent" and item.span[0] > at)
    stent = next(stents, None)
    return tokens[at] in _LINED and stent is not None and bool({"with", "by"} & {*tokens[at + 1 : stent.span[0]]})


def _is_in(sentence: Sentence, at: int, named: set[int]) -> bool:
    """ "seven by sixty stent in.", "that's the seven by sixty stent out": where it is, right behind its name, at the
    end; "… stent is in place and open".
    """
    tokens = sentence.tokens
    before = {*tokens[max(0, at - 2) : at]} - {"is", "'s"}
    ends = not [token for token in tokens[at + 1 :] if token.isalpha() and token not in _IN_SHORT]
    if tokens[at] in _IN_SHORT and ends and (at - 1 in named or (at - 2 in named and len(before) < 2)):
        return Status.PLANNED not in sentence.cues and not _YET & {*tokens[:at]}
    opened = tokens[at] == "open" and tokens[at - 1 : at] in {("and",), ("nicely",), ("fully",)}
    return opened and ends and any(last < at for last in named)


def _heads(sentence: Sentence, at: int) -> bool:
    """ "Stent implantation with a seven by sixty.", "Primary stenting, seven by sixty.": a heading, and no plan."""
    tokens = sentence.tokens
    first = at == 0 or (at == 1 and tokens[0] in _BEFORE_PLACING)
    meant = Status.PLANNED in sentence.cues or sentence.texts & {"now", "for", "next", "please"}
    return first and tokens[at] in _PLACING and not meant


def _dilated(sentence: Sentence) -> int | None:
    """Where the sentence tells that something was dilated."""
    named = _named(sentence)
    for at, token in enumerate(sentence.tokens):
        if token in _DILATED and _happened(sentence, at, named):
            return at
        if token in _DILATION and sentence.texts & _HAPPENED and not _NOT_NOW & {*sentence.tokens[max(0, at - 4) : at]}:
            return at
    return None


def _happened(sentence: Sentence, at: int, named: set[int]) -> bool:
    """Whether a verb tells what was done: begins its sentence, has its auxiliary or who did it before it, stands right
    behind the noun, or ends its clause.
    """
    tokens, before = sentence.tokens, at - 1
    while before >= 0 and tokens[before] in _BETWEEN:
        before -= 1
    said = tokens[before] if before >= 0 else ""
    if {*tokens[max(0, at - 4) : at]} & _NOT_NOW:
        return False
    return not said or said in _TOLD_BY or before in named or tokens[at + 1 : at + 2] in {(".",), (",",)}


def _named(sentence: Sentence) -> set[int]:
    """The tokens that end the name of a stent: "stent seven by sixty implanted"."""
    return {item.span[1] - 1 for item in sentence.items if item.kind == "device" and item.role == "stent"}


def _belongs(sentence: Sentence, placed: int, item: Item) -> bool:
    """Whether a verb is said of a stent: nothing between the two asks for another one."""
    first, last = sorted((placed, item.span[0]))
    if item.status is Status.PLANNED and item.cue in {"please", "next", "now"}:
        return False
    return not _ASKED_FOR & {*sentence.tokens[first + 1 : last]}


def _settle(thing: Thing, draft: Draft, how: str) -> None:
    draft.status, draft.rule = Status.DONE, f"{draft.kind}/{how}"
    thing.done, thing.asked, thing.where = draft, None, "used"
    thing.left = 0 if draft.kind is Kind.STENT else thing.left


def _time(story: Story, draft: Draft, item: Item) -> None:
    """ "predilated with a four by forty for thirty seconds"."""
    for at, other in enumerate(story.sentence.items):
        story.index = at
        if other.kind != "quantity" or other.used or other.span[0] < item.span[1]:
            continue
        if other.figures["value"].unit in TIMES and may_be_hold(story, other):
            draft.values.setdefault("duration", other.figures["value"])
            other.used = True
            return


def just_dilated(story: Story, thing: Thing) -> Draft | None:
    """The inflation of a balloon that has just been told by its size alone: a pressure that follows is of that one."""
    draft = thing.done
    near = draft is not None and draft.rule.endswith("/told-dilated") and story.number - draft.number <= _STILL
    return draft if draft is not None and near and "pressure" not in draft.values else None
