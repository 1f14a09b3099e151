"""One device exchanged for another, read from the frame of the clause: a verb of exchange; what goes out before it,
behind it or after "from"; what goes in after "for", "to", "with" or "against". "I change the four French against a
five", "upsized from a six to an eight", "swap that for the oh one four". Bare numbers are said of gloves, shifts and
rooms too: they count only for what is in, and where the clause speaks of nothing else.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from extractor.model import Item, Sentence
from extractor.reconciling.kinds.brought import add_verb
from extractor.reconciling.kinds.no_move import WISHING
from extractor.reconciling.marks import CLAUSE_ENDS
from extractor.reconciling.story import NOT_DONE, Story, Thing
from extractor.sizes import PLAIN_MILS

_VERBS = frozenset(
    """
    exchange exchanged exchanging exchanges swap swapped swapping swaps switch switched switching switches change
    changed changing changes replace replaced replacing trade traded trading convert converted converting
    """.split()
)
#: These need no word of what goes out: it is the sheath, drain or tube that is in.
_RESIZES = frozenset("upsize upsized upsizing upsizes downsize downsized downsizing upgrade upgraded upgrading".split())
#: These do so before "from" or "to".
_TUBES = {"sheath", "drain", "nephrostomy", "gastrostomy"}
_STEPS = frozenset("up down".split())
_TOLD_BY = _VERBS | _RESIZES | _STEPS
_TOWARD = frozenset("for to with against by onto".split())
#: Before what goes in or out, between it and the word that tells which.
_LIGHT = frozenset(
    "a an the my our this that her his new old short long same another one of size other bigger smaller".split()
)
#: Before the verb these only wish for it; at the head of a clause a verb of this form asks for it.
_WISHING = WISHING | {"need"}
_ASKING = frozenset("exchange swap switch change replace trade convert upsize downsize upgrade".split())
#: So does what goes before it: nothing but a way to begin.
_BEGINS = frozenset(", . ... ! ? ; : - and then so now okay right please well good next".split()) | {""}
#: Set by hand, no source: how far behind the verb what goes in is named; common practice, no source: gauges, Fr.
_FAR = 16
_GAUGES = range(3, 29)
_POINTERS = frozenset("it that this".split())
#: In a clause of bare numbers nothing else may stand before what goes in, but names of what goes in and comes out.
_BARE_TALK = (
    _LIGHT
    | _POINTERS
    | _WISHING
    | (_BEGINS - {""})
    | frozenset("we i you from is 's are 're was has have 've had been being be to i'm we're going gonna just".split())
)
#: Where the clause names nothing, it is of what was spoken of so many sentences before; set by hand, no source.
_LATELY = 1


@dataclass(slots=True)
class Exchange:
    """What goes out, by its name or (with none) as what is known, what goes in, the verb, and whether it is wished."""

    old: Item | None
    gone: Thing | None
    new: Item
    verb: Item
    wished: bool

    def has(self, item: Item) -> bool:
        """Whether an item is told by the exchange alone: not the subject, which may have gone in before."""
        subject = item is self.old and item.span[0] < self.verb.span[0]
        return item is self.verb or item is self.new or (item is self.old and not subject)


@dataclass(slots=True)
class Elsewhere:
    """An exchange of something else than devices, by its numbers: gloves, a shift, a room. From its verb on, tokens."""

    verb: int
    new: Item

    def has(self, item: Item) -> bool:
        """Whether an item is part of it, so that nothing is told of a device by it."""
        return item.kind in {"action", "device"} and item.span[1] > self.verb and item.span[0] <= self.new.span[0]


def find_exchange(story: Story, sentence: Sentence, focus: Sequence[Thing]) -> Exchange | Elsewhere | None:
    """The exchange a sentence tells of, its sizes and names made whole; None where it tells of none."""
    tokens = sentence.tokens
    if sentence.question or not sentence.texts & _TOLD_BY:
        return None
    at = next((at for at in range(len(tokens)) if _is_verb(tokens, at)), None)
    if at is None:
        return None
    devices = [item for item in sentence.items if _may_be_inserted(item) or _is_number_from(tokens, item)]
    behind = [item for item in devices if at < item.span[0] <= at + _FAR]
    new = next((item for item in behind if _led_by(tokens, item) in _TOWARD), None)
    if new is None or new.status in NOT_DONE:
        return None
    old = _old(sentence, devices, new, at)
    pointed = old is None and bool(_POINTERS & {*tokens[at + 1 : at + 2]})
    gone = _goes_out(story, new, focus, pointed=pointed) if old is None else None
    if (
        _is_bare(new)
        and (old is None or _is_bare(old))
        and not _is_of_something_in(story, sentence, at, new, old, gone)
    ):
        return Elsewhere(at, new)
    if old is None and not pointed and tokens[at] not in _RESIZES:
        return None
    noun = _noun_of(story, old) if old is not None else gone.name if gone is not None else ""
    if (old is not None and not _make_whole(old, noun or new.name)) or not _make_whole(new, noun):
        return None
    return Exchange(old, gone, new, _verb_item(sentence, at), _is_wished(tokens, at))


def _old(sentence: Sentence, devices: Sequence[Item], new: Item, at: int) -> Item | None:
    """What goes out: after "from", right behind the verb, or named before it."""
    tokens = sentence.tokens
    others = [item for item in devices if item is not new]
    old = next((item for item in others if item.span[0] > at and _led_by(tokens, item) == "from"), None)
    old = old or next((item for item in others if at < item.span[0] < new.span[0] and _follows(tokens, item, at)), None)
    old = old or next((item for item in others[::-1] if item.span[0] < at and _is_subject(sentence, item, at)), None)
    if old is not None and old.kind == "quantity":
        old.kind, old.figures = "device", {"bare": old.figures["value"]}
    return old


def _goes_out(story: Story, new: Item, focus: Sequence[Thing], *, pointed: bool) -> Thing | None:
    """What goes out where only "it" or nothing names it: what is spoken of, else the last one in of the kind."""
    here = [thing for thing in story.things if thing.role == "insert" and thing.where == "in" and _alike(thing, new)]
    named = [thing for thing in focus[-1:] if thing.where == "in" and (pointed or thing in here)]
    return named[-1] if named else max(here, key=lambda thing: thing.seen, default=None)


def _alike(thing: Thing, item: Item) -> bool:
    names = {item.name} if item.name else _TUBES
    return (thing.name or "sheath") in names


def _is_verb(tokens: Sequence[str], at: int) -> bool:
    following = tokens[at + 1] if at + 1 < len(tokens) else ""
    return tokens[at] in _VERBS or tokens[at] in _RESIZES or (tokens[at] in _STEPS and following == "from")


def _may_be_inserted(item: Item) -> bool:
    return item.kind == "device" and (item.role == "insert" or _is_size(item))


def _is_size(item: Item) -> bool:
    return not item.role and bool(item.figures.keys() & {"gauge", "bare"})


def _is_number_from(tokens: Sequence[str], item: Item) -> bool:
    """ "from a six": what goes out, by its number."""
    led = _led_by(tokens, item)
    return item.kind == "quantity" and item.figures["value"].unit is None and (led == "from" or led in _VERBS)


def _led_by(tokens: Sequence[str], item: Item) -> str:
    """The word before a mention and its articles."""
    at = item.span[0] - 1
    while at >= 0 and tokens[at] in _LIGHT:
        at -= 1
    return tokens[at] if at >= 0 else ""


def _follows(tokens: Sequence[str], item: Item, verb: int) -> bool:
    """ "I change the four French": right behind the verb."""
    return all(text in _LIGHT for text in tokens[verb + 1 : item.span[0]])


def _is_subject(sentence: Sentence, item: Item, verb: int) -> bool:
    """ "The six French sheath was upsized", "a four French sheath was placed and later exchanged": named before it, not
    as the way something goes.
    """
    between = [other for other in sentence.items if item.span[1] <= other.span[0] < verb]
    return not item.where and not any(other.kind == "device" or other.text in {"but", ".", ";"} for other in between)


def _is_bare(item: Item) -> bool:
    return not item.name and "bare" in item.figures


def _is_of_something_in(
    story: Story, sentence: Sentence, at: int, new: Item, old: Item | None, gone: Thing | None
) -> bool:
    """Whether bare numbers are of what is in: the clause names it, or it names nothing else, the first number is the
    size of what was just spoken of, and no other thing has been named.
    """
    tokens, start = sentence.tokens, at
    while start and tokens[start - 1] not in CLAUSE_ENDS:
        start -= 1
    own = [item for item in sentence.items if start <= item.span[0] < new.span[0] and item not in (new, old)]
    named = [item for item in own if item.kind == "device" and item.role == "insert" and item.name]
    covered = {index for item in (*named, *([old] if old is not None else [])) for index in range(*item.span)}
    between = (index for index in range(start, new.span[0]) if index not in covered and index != at)
    if any(tokens[index] not in _BARE_TALK | _TOWARD for index in between):
        return False
    lately = bool(named) or tokens[at] in _RESIZES
    if old is None:
        return gone is not None and (lately or story.number - gone.seen <= _LATELY)
    for thing in story.things:
        if thing.role != "insert" or thing.where != "in" or (named and thing.name not in {item.name for item in named}):
            continue
        sizes = [size.value for key, size in thing.values.items() if key == "gauge"]
        sizes += [size.value * 1000 for key, size in thing.values.items() if key == "wire_diameter"]
        unknown = bool(named) or (lately and _alike(thing, new))
        fits = old.figures["bare"].value in sizes if sizes else unknown
        if fits and (lately or story.number - thing.seen <= _LATELY):
            return True
    return False


def _noun_of(story: Story, old: Item) -> str:
    """What is exchanged, where only its number is said: "from a six", "the eighteen"."""
    if old.name or "bare" not in old.figures:
        return old.name
    number = old.figures["bare"].value
    for thing in reversed(story.things):
        gauge, thick = thing.values.get("gauge"), thing.values.get("wire_diameter")
        if thing.role != "insert" or thing.where not in {"in", "asked"}:
            continue
        if (gauge is not None and gauge.value == number) or (thick is not None and thick.value * 1000 == number):
            return thing.name or "sheath"
    return ""


def _make_whole(item: Item, noun: str) -> bool:
    """Gives what goes in or out the name of the other, where it has none, and a bare number its unit; whether it is
    something that is exchanged.
    """
    if "bare" in item.figures:
        size = item.figures["bare"]
        if noun == "wire" and size.value in PLAIN_MILS:
            thin = size.flagged("unit-assumed", value=size.value / 1000, unit="[in_i]", alternatives=())
            item.figures, item.name = {"wire_diameter": thin}, noun
        elif size.value in _GAUGES and noun != "wire":
            item.figures = {"gauge": size.in_unit("[Ch]")} | {k: v for k, v in item.figures.items() if k != "bare"}
        else:
            return False
    wire = "wire_diameter" in item.figures
    if not item.name and noun and (noun == "wire") == wire:
        item.name = noun
    item.role = "insert"
    return True


def _verb_item(sentence: Sentence, at: int) -> Item:
    said = next((item for item in sentence.items if item.span[0] <= at < item.span[1] and item.kind == "action"), None)
    if said is not None:
        return said
    return add_verb(sentence, at, frozenset({"exchange"}))


def _is_wished(tokens: Sequence[str], at: int) -> bool:
    """ "we'll swap the oh one eight for it", "Swap that for a stiff one": not so yet."""
    before = tokens[max(0, at - 2) : at]
    if _WISHING & {*before} and not tokens[at].endswith("ed"):
        return True
    return tokens[at] in _ASKING and (before[-1:] or ("",))[0] in _BEGINS
