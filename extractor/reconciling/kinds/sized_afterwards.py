"""A balloon that went up before anybody named it: "Up. Ten. Down. / That was the six by eighty."; and a size told by
its words behind the name: "three millimetre balloon, please, length one twenty".
"""

from extractor.model import Item, Kind, Quantity, Status
from extractor.reconciling.bare_figures import may_be_pressure, pressure_unit
from extractor.reconciling.marks import FIGURE_ENDS
from extractor.reconciling.story import NOT_DONE, Draft, Story, Thing
from extractor.reconciling.things import doubt_which
from extractor.units import BALLOON_PRESSURES

#: Said with the size of what went up: it is no other one, asked for.
_TOLD = frozenset("was were this that it that's both using used with note sheet by deflate".split())
#: … with one of these it is.
_ASKED_FOR = frozenset("please next now give need want take then another second new open get".split())
#: For so many breaths the size of what went up may follow; set by hand, no source.
_LATE = 8
#: For so many sentences an option may be what is used; a sentence of so many words holds little more than figures; set
#: by hand, no source.
_STILL_MEANT, _FEW = 8, 6
_BALLOONS = {"inflation", "stent"}
#: A sentence of these alone has a balloon go up, whichever.
_UP_ALONE = frozenset(
    """
    okay ok up go goes going now and so then right please inflate inflating inflated inflation blow pump pumping we i
    you it she he her gently slowly take to at balloon both balloons again well good kissing
    """.split()
)
_SIZE_ENDS = FIGURE_ENDS - {";"}
#: How "two seventy-five" ends where it is told before a length.
_QUARTERS = {25.0: 0.25, 50.0: 0.5, 75.0: 0.75}


def went_up_unnamed(story: Story, item: Item) -> Thing | None:
    """The balloon of no known size that went up last, where this size is told of it and of none that is asked for."""
    last = story.inflated
    if last is None or last.values or last.done is None or item.role not in {"", "inflation"}:
        return None
    if not item.figures.keys() >= {"diameter", "length"} or item.status in NOT_DONE or story.sentence.question:
        return None
    near = story.sentence.breath - last.done.breath <= _LATE
    waits = any(thing.role == "inflation" and thing.where == "asked" and thing.values for thing in story.things)
    alone = all(other is item or other.kind in {"mark", "pronoun", "phrase"} for other in story.sentence.items)
    told = alone or story.sentence.texts & _TOLD or story.says("deflate")
    asked = story.sentence.texts & _ASKED_FOR or item.status is Status.PLANNED
    return last if near and told and not asked and not waits else None


def tell_unnamed(story: Story, thing: Thing, item: Item) -> None:
    """Gives the size to the inflations told without one."""
    thing.values = dict(item.figures)
    thing.seen = story.number
    for draft in story.lately():
        if _unsized(draft) and story.sentence.breath - draft.breath <= 2 * _LATE:
            draft.values = {**item.figures, **draft.values}
            draft.reach(item.words)


def _unsized(draft: Draft) -> bool:
    told = draft.kind is Kind.INFLATION and draft.status is Status.DONE and "pressure" in draft.values
    return told and not draft.values.keys() & {"diameter", "length"}


def told_by_its_word(story: Story, item: Item) -> bool:
    """ "… balloon please, length one twenty", "a stent. Diameter six, length forty.": of what was named just now."""
    thing, quantity = story.active, item.figures["value"]
    key = {"wide": "diameter", "long": "length"}.get(item.role)
    if key is None or thing is None or thing.role not in {"inflation", "stent"} or thing.where != "asked":
        return False
    if story.number - thing.seen > 1 or quantity.unit not in {None, "mm", "cm"} or item.status in NOT_DONE:
        return False
    quantity = quantity if quantity.unit else quantity.in_unit("mm")
    known = thing.values.get(key)
    if known is not None and known.value == quantity.value:
        return True
    wide = thing.values.get("diameter")
    if key == "length" and known is not None and wide is not None:
        finer = _QUARTERS.get(known.value)
        if finer is None or wide.value % 1:
            return False
        _tell(thing, "diameter", wide.flagged(value=wide.value + finer))  # "two seventy-five, length twelve"
    elif known is not None:
        return False
    _tell(thing, key, quantity)
    if thing.asked is not None:
        thing.asked.reach(item.words)
    return True


def _tell(thing: Thing, key: str, quantity: Quantity) -> None:
    thing.values[key] = quantity
    if thing.asked is not None:
        thing.asked.values[key] = quantity


def only_thought_of(story: Story) -> Thing | None:
    """ "I suppose an eight by sixty might be it… blow it up": the only balloon spoken of, as an option, goes up. It may
    be another one all the same.
    """
    spoken = [thing for thing in story.things if thing.role in _BALLOONS and thing.where != "refused"]
    if len(spoken) != 1 or spoken[0].where != "thought" or story.number - spoken[0].seen > _STILL_MEANT:
        return None
    spoken[0].values = {key: doubt_which(value) for key, value in spoken[0].values.items()}
    return spoken[0]


def unnamed_goes_up(story: Story, item: Item) -> Thing | None:
    """ "Okay, up. / Six… eight… ten.": the balloon nobody has named yet, where nothing else is spoken of."""
    named = any(other.kind in {"device", "drug", "place", "finding"} for other in story.sentence.items)
    alone = {text for text in story.sentence.texts if text.isalpha()} - _figure_words(story) <= _UP_ALONE
    following = story.following.items if story.following and len(story.following.texts) <= _FEW else []
    bare = all(other.kind in {"quantity", "mark", "pronoun"} for other in following)
    figures = [*story.mentions("quantity"), *(following if bare else [])]
    counted = any(other.kind == "quantity" and _may_go_to(story, other) for other in figures)
    if named or not alone or not counted or story.sentence.question or story.dictated:
        return None
    thing = Thing("inflation", "balloon", breath=story.sentence.breath, seen=story.number, among=story.things)
    story.things.append(thing)
    story.topic = "inflation"
    return thing


def _figure_words(story: Story) -> set[str]:
    return {word for other in story.mentions("quantity") for word in other.text.split()}


def _may_go_to(story: Story, item: Item) -> bool:
    """Whether a figure can be how far up a balloon goes."""
    quantity = item.figures["value"]
    bare = quantity.unit is None and may_be_pressure(quantity, item.status) and bool(pressure_unit(story, quantity))
    return quantity.unit in BALLOON_PRESSURES or (bare and item.after in _SIZE_ENDS)
