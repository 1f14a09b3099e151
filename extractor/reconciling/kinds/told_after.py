"""Sizes told in a sentence of their own, of the device spoken of right before: "Sheath. Six French. Forty-five.", "It's
in. It has one hundred and thirty.", "And the length? Twenty-three centimetres."
"""

from dataclasses import replace

from extractor.model import Item, Sentence, Status
from extractor.reconciling.story import Story, Thing
from extractor.reconciling.things import learn
from extractor.sizes import SIZE_TALK, has_sizes, in_size_unit, size_of

#: Words in a question that asks for a size and names no device.
_ASKS = {"length", "long", "size", "big", "gauge", "diameter", "which", "what", "how"}
#: What is done with figures that are no sizes.
_CALLS = {"run", "inflate", "go", "deflate"}
#: For so many sentences a size is read back; set by hand, no source.
_LATELY = 3
_SETTLED = {None, Status.PLANNED}


def tells_sizes_only(sentence: Sentence) -> bool:
    """Whether a sentence has nothing but figures that can be sizes, and words that tell of sizes."""
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
    return all(text in SIZE_TALK or not text[0].isalnum() for text in said)


def asks_size(sentence: Sentence) -> bool:
    """Whether a sentence asks for a size and names nothing: "and the length?"."""
    named = any(item.kind not in {"mark", "pronoun", "phrase"} for item in sentence.items)
    return sentence.question and not named and bool(sentence.texts & _ASKS)


def is_called_on(story: Story) -> bool:
    """ "Twenty, ten. Inject.": whether the next sentence does something with the figures of this one."""
    following = story.following
    if following is None or following.breath > story.sentence.breath + 1:
        return False
    named = any(item.kind == "device" for item in following.items)
    return not named and any(item.meanings & _CALLS for item in following.items)


def call_by_size(story: Story, item: Item) -> None:
    """ "Seven by ninety is inside": a size of two figures that is the gauge and the length of something spoken of."""
    wide, long = item.figures.get("diameter"), item.figures.get("length")
    if item.name or wide is None or long is None or wide.unit or long.unit or story.topic != "device":
        return
    for thing in story.things:
        gauge, length = thing.values.get("gauge"), thing.values.get("length")
        if gauge is None or length is None or not may_take(thing, ""):
            continue
        if (gauge.value, length.value) == (wide.value, long.value):
            item.name, item.role = thing.name, thing.role
            item.figures = {"gauge": wide.in_unit("[Ch]"), "length": long.in_unit("cm")}
            return


def says_again(story: Story, item: Item) -> bool:
    """Whether a figure is the size of something spoken of just now: it is read back."""
    said = item.figures["value"].value
    lately = (thing for thing in story.things if thing.role == "insert" and story.number - thing.seen <= _LATELY)
    return any(said in {size.value, *size.alternatives} for thing in lately for size in thing.values.values())


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
