"""Sizes told in a sentence of their own, of the device spoken of right before: "Sheath. Six French. Forty-five.", "It's
in. It has one hundred and thirty.", "And the length? Twenty-three centimetres."
"""

from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.said_of import PASSING
from extractor.reconciling.story import POINTERS, Story, Thing
from extractor.reconciling.things import equal, fit, learn
from extractor.sizes import SIZE_TALK, has_sizes, in_size_unit, size_of

#: What is done with figures that are no sizes.
_USES = {"run", "inflate", "go", "deflate"}
#: No such sentence is longer, in tokens: set by hand, no source.
_LONGEST = 30
#: For so many sentences a size is read back; set by hand, no source.
_LATELY = 3
#: With one of these a size alone is of another one, asked for.
CALLS = frozenset("please next give need want then another second new have take get open instead exchange".split())
#: What became of a device.
_MOVES = {"placed", "particle", "removed", "particle out"}
#: Sheaths; no wider one is used, Fr; balloons are so long, mm: common practice, no source.
_SHEATH, _WIDEST = "sheath", 26
_BALLOON_LENGTHS = {20, 30, 40, 60, 80, 100, 120}
#: So many breaths after the way in the first sheath is told: set by hand, no source.
_SINCE_ACCESS = 3
_OF_BALLOONS = frozenset("balloon balloons stent stents covered coated atmospheres bar inflate coil plug".split())
#: Before what goes with it.
_ALONG = {"with", "over", "on"}
#: What a question about a size of something named before does not name; and how it asks.
_NAMED = {"device", "drug", "finding", "pair"}
_SIZES = frozenset("size length long wide french gauge diameter thickness thick which kind".split())
#: Beside a size, of one that is like another's: "same gauge, two sixty".
_LIKE = frozenset("same equal identical thickness gauge calibre caliber".split())
#: Words of such a question, beside those that tell of sizes; with one of the second it asks for a time.
_ASKING = frozenset(
    """
    how what much big did does put used use using there or no not inch inches centimetre centimetres was then but
    we you in on down up for them these those that's what's well wire sheath sheet catheter
    """.split()
)
_OF_TIME = frozenset("take takes took until till need needs ago left minutes seconds wait".split())
_HAS = {"has", "is", "measures", "had"}
_SETTLED = {None, Status.PLANNED}


def tells_sizes_only(sentence: Sentence) -> bool:
    """Whether a sentence has nothing but figures that can be sizes, and words that tell of sizes."""
    if len(sentence.tokens) > _LONGEST:
        return False
    figures = [item.figures["value"] for item in sentence.items if item.kind == "quantity"]
    if not all(in_size_unit(figure) for figure in figures) or (sentence.question and len(figures) > 1):
        return False
    covered = {
        index
        for item in sentence.items
        if item.kind in {"quantity", "mark"} or (item.kind == "device" and item.headless)
        for index in range(*item.span)
    }
    said = (text for index, text in enumerate(sentence.tokens) if index not in covered)
    return all(text in SIZE_TALK or text in _LIKE or not text[0].isalnum() for text in said)


def names_nothing(sentence: Sentence) -> bool:
    """Whether a sentence names nothing and tells of nothing that happens: "and the length?", "no, not the short"."""
    return all(item.kind in {"mark", "pronoun", "phrase"} for item in sentence.items)


def asks_for_size(sentence: Sentence) -> bool:
    """ "What size have you put?", "and length?", "twenty-five or thirty-five?": whether a question of nothing that it
    names asks for sizes, or offers some.
    """
    if not sentence.question or len(sentence.tokens) > _LONGEST or asks_of_else(sentence):
        return False
    named = any(item.kind in _NAMED and not ("bare" in item.figures or item.headless) for item in sentence.items)
    offers = sum(item.kind == "quantity" or bool(item.figures) for item in sentence.items) > 1
    return not named and (offers or bool(sentence.texts & _SIZES))


def asks_of_else(sentence: Sentence) -> bool:
    """ "Which gloves?", "how long will it take?": a question with a word that no question for a size has."""
    if not sentence.question:
        return False
    covered = {index for item in sentence.items for index in range(*item.span)}
    said = {text for index, text in enumerate(sentence.tokens) if index not in covered and text[0].isalnum()}
    return bool(said - SIZE_TALK - _SIZES - _ASKING) or ({"how", "long"} <= said and bool(said & _OF_TIME))


def is_called_on(story: Story) -> bool:
    """ "Twenty, ten. Inject.": whether the next sentence does something with the figures of this one."""
    following = story.following
    if following is None or following.breath > story.sentence.breath + 1:
        return False
    named = any(item.kind == "device" for item in following.items)
    return not named and any(item.meanings & _USES for item in following.items)


def call_by_size(story: Story, item: Item) -> None:
    """ "Seven by ninety is inside": a size of two figures that is the gauge and the length of something spoken of."""
    wide, long = item.figures.get("diameter"), item.figures.get("length")
    if item.name or wide is None or long is None or wide.unit or long.unit:
        return
    sizes = {"gauge": wide.in_unit("[Ch]"), "length": long.in_unit("cm")}
    if _is_first_sheath(story, wide, long):
        item.name, item.role, item.headless, item.figures = _SHEATH, "insert", False, sizes
        return
    if story.topic != "device":
        return
    for thing in story.things:
        gauge, length = thing.values.get("gauge"), thing.values.get("length")
        if gauge is None or length is None or not may_take(thing, ""):
            continue
        if (gauge.value, length.value) == (wide.value, long.value):
            item.name, item.role, item.figures = thing.name, thing.role, sizes
            return
    if _is_next_sheath(story, wide, long):
        item.name, item.role, item.headless, item.figures = _SHEATH, "insert", False, sizes


def _is_first_sheath(story: Story, wide: Quantity, long: Quantity) -> bool:
    """ "Needle is in. Six by eleven to begin.": what goes in right after the needle, and is as long as no balloon."""
    if wide.value % 1 or wide.value > _WIDEST or long.value in _BALLOON_LENGTHS or _OF_BALLOONS & story.sentence.texts:
        return False
    way = story.recent(Kind.ACCESS, _SINCE_ACCESS, Status.DONE)
    sheathed = any(thing.name == _SHEATH for thing in story.things)
    return way is not None and not sheathed and size_of(_SHEATH, long, {"gauge"}) is not None


def _is_next_sheath(story: Story, wide: Quantity, long: Quantity) -> bool:
    """ "Six out, seven by forty-five in", "we need a twelve French. Twelve by forty-five, in": where a sheath has just
    left, or waits with no length told, nothing but the next one is meant; unless balloons are so long.
    """
    if wide.value % 1 or long.value % 1 or _OF_BALLOONS & story.sentence.texts:
        return False
    left = [draft for draft in story.drafts[-3:] if draft.number >= story.number - 1]
    out = left[-1] if left and left[-1].kind is Kind.REMOVE and left[-1].status is Status.DONE else None
    gone = out.values.get("gauge") if out is not None and out.device == _SHEATH else None
    if out is not None and gone is not None and (out.number == story.number or long.value not in _BALLOON_LENGTHS):
        return gone.value <= wide.value <= _WIDEST and size_of(_SHEATH, long, {"gauge"}) is not None
    return long.value not in _BALLOON_LENGTHS and any(_waits_for_length(story, thing, wide) for thing in story.things)


def _waits_for_length(story: Story, thing: Thing, wide: Quantity) -> bool:
    known = thing.values.get("gauge")
    lately = thing.name == _SHEATH and thing.where == "asked" and story.number - thing.seen <= _LATELY
    return lately and "length" not in thing.values and known is not None and known.value == wide.value


def says_again(story: Story, item: Item) -> bool:
    """Whether a figure is the size of something spoken of just now: it is read back."""
    said = item.figures["value"].value
    lately = (thing for thing in story.things if thing.role == "insert" and story.number - thing.seen <= _LATELY)
    return any(said in {size.value, *size.alternatives} for thing in lately for size in thing.values.values())


def tells_of_placed(story: Story, thing: Thing, item: Item) -> bool:
    """ "The sheath's up and over. Six French, ninety.", "The wire's through, oh one eight", "It's an eleven centimetre
    sheath": the size of what was just told to be in, with nothing else said; it is given to it.
    """
    if thing.where != "in" or story.number - thing.moved > 1 or "new" in item.qualifiers:
        return False
    if not item.headless and (item.name != thing.name or not _says_more(story, item)):
        return False
    fitting = {"wire_diameter", "length"} if thing.name.endswith("wire") else {"gauge", "length"}
    known = thing.values.keys() & item.figures.keys()
    if not item.figures or item.figures.keys() - fitting or known or story.sentence.texts & CALLS:
        return False
    if not _stands_alone(story, thing):
        return False
    if thing.told is None or thing.told.kind is not Kind.INSERT or thing.told.status is not Status.DONE:
        return False
    give_sizes(story, thing, item)
    return True


def _says_more(story: Story, item: Item) -> bool:
    """ "It's an eleven centimetre sheath", "the wire has a length of one forty-five": more of what was just named."""
    tokens = story.sentence.tokens
    led = tokens[:1] in {("it",), ("that",), ("this",)} and tokens[1:2] in {("'s",), ("is",), ("was",)}
    return led or (item.definite and bool({*tokens[item.span[1] : item.span[1] + 1]} & _HAS))


def _stands_alone(story: Story, thing: Thing) -> bool:
    """Whether nothing else is told beside the mention heard now of a thing that is in."""
    items = story.sentence.items
    before = [other for other in items[: story.index] if other.kind not in PASSING]
    after = [other for other in items[story.index + 1 :] if other.kind not in PASSING]
    comma = story.index > 0 and items[story.index - 1].text == ","
    parted = bool(after) and items[story.index + 1].kind == "mark"  # "…, five French, tip at the renals"
    pointed = any(one.name in POINTERS for one in items[story.index + 1 :])  # "…, six French, and that's in"
    other = any(one.kind == "device" or (one.meanings & _MOVES and not pointed) for one in after)
    along = (
        comma and bool(after) and after[0].kind == "device" and after[0].where in _ALONG
    )  # "…, with the floppy wire"
    if after and ((other and not along) or not parted):
        return False
    return not before or (thing.moved == story.number and comma)


def tells_of_named(story: Story, thing: Thing, item: Item) -> bool:
    """ "Micro, please. Two point seven French, one thirty.": the size of the device named in the sentence before; it is
    given to it.
    """
    first = next(other for other in story.sentence.items if other.kind != "mark")
    if first is not item or thing.name == "needle" or item.status is Status.NEGATED:
        return False
    if not item.figures.keys() - thing.values.keys() or (item.name and item.name != thing.name):
        return False
    if any(key in thing.values and not equal(value, thing.values[key]) for key, value in item.figures.items()):
        return False
    if fit(item, thing) is None:
        return False
    give_sizes(story, thing, item)
    return True


def tell_size(story: Story, thing: Thing, item: Item, unnamed: str) -> bool:
    """Gives a device a figure said of it, where it can be a size of it that nobody said yet, and the event that told of
    the device last with it. ``unnamed``: what a gauge with no noun is of.
    """
    quantity = item.figures["value"]
    if item.status not in _SETTLED or thing.told is None:
        return False
    found = size_of(thing.name or unnamed, quantity, thing.values)
    if found is None:
        return False
    give_sizes(story, thing, replace(item, figures=dict((found,))))
    return True


def give_sizes(story: Story, thing: Thing, item: Item) -> None:
    """Adds the sizes of a mention to a device and to the event that told of it last."""
    learn(thing, item)
    thing.seen = story.number
    if thing.told is not None:
        thing.told.values |= item.figures
        thing.told.reach(item.words)


def may_take(thing: Thing, unnamed: str) -> bool:
    """Whether a device has sizes and is where one speaks of them: asked for, or in."""
    return thing.role == "insert" and thing.where in {"asked", "in"} and has_sizes(thing.name or unnamed)
