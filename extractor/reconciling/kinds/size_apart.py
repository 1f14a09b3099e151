""" "The plug has fourteen millimetres", "a coil, its diameter is six, its length is twenty": sizes of a coil or plug
that do not stand right beside its name.
"""

from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Status
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import Draft, Story, Thing
from extractor.reconciling.things import new

#: What may stand between a thing and its size, and between two of its sizes.
_LINKS = frozenset(
    """
    , and a an the it its it's is are was were has have had of with in each all both by at now they one this that which
    diameter length long wide size sized calibre caliber width measures measuring being about deployed placed released
    detached put been then for 's how big large what which
    """.split()
)
#: Before a bare figure: it is how wide the thing is.
_HAS = {"has", "of", "with", "is", "size", "calibre", "caliber", "diameter"}
#: No coil or plug is wider, mm, or longer, cm: common practice, no source.
_WIDEST, _LONGEST = 40, 100


def size_apart(story: Story, item: Item) -> Thing | None:
    """Takes a figure for the width or the length of the coil or plug named before it; returns this, None where it is
    of none.
    """
    named = _named_before(story, item)
    key = _which(item) if named is not None else ""
    if named is None or not key or item.status in {Status.NEGATED, Status.PAST, Status.QUOTED, Status.CONSIDERED}:
        return None
    active = story.active
    known = active if active is not None and active.role == "embolise" and active.name not in POURED else None
    waits = known is not None and known.where == "asked" and named.definite and not known.values
    thing = known if known is not None and (waits or known.seen == story.number) else _one(story, named)
    if key in thing.values or (thing.done is not None and thing.done.number != story.number):
        return None
    value = item.figures["value"].in_unit("mm" if key == "diameter" else "cm")
    thing.values[key] = value
    _ask_for(story, thing, named, item)
    for draft in (thing.asked, thing.done):
        _tell(draft, key, value)
    return thing


def _ask_for(story: Story, thing: Thing, named: Item, item: Item) -> None:
    """ "My next coil has five millimetres": it is asked for by what it measures."""
    wanted = named.status is Status.PLANNED or story.sentence.texts & {"next", "want", "need", "please", "take"}
    if wanted and thing.asked is None and thing.done is None:
        values = dict(thing.values)
        thing.asked = story.add(
            Kind.EMBOLISE, Status.PLANNED, item, "embolise/asked-for", device=thing.name, values=values
        )


def _tell(draft: Draft | None, key: str, value: Quantity) -> None:
    if draft is not None:
        draft.values.setdefault(key, value)
        draft.reach(value.words)


def _one(story: Story, named: Item) -> Thing:
    thing = new(story, replace(named, figures={k: v for k, v in named.figures.items() if k == "count"}))
    thing.seen, thing.left = story.number, int(named.figures["count"].value) if "count" in named.figures else 1
    story.active, story.topic = thing, "embolise"
    story.spoken_role, story.spoken_breath = "embolise", story.sentence.breath
    return thing


def _named_before(story: Story, item: Item) -> Item | None:
    """The coil or plug this figure may be of: the last thing named before it, with nothing between that says more."""
    figures: set[int] = set()
    for other in story.behind():
        if other.kind == "quantity":
            figures |= {*range(*other.span)}
        elif other.kind == "device":
            between = [
                token
                for at, token in enumerate(story.sentence.tokens[: item.span[0]])
                if at >= other.span[1] and at not in figures
            ]
            coil = other.role == "embolise" and other.name not in POURED
            now = other.status in {None, Status.PLANNED}
            return other if coil and now and _LINKS.issuperset(between) else None
        elif other.kind in {"drug", "finding", "pair"}:
            return None
    return None


def _which(item: Item) -> str:
    """Whether a figure can be a width or a length: by what it is called, by its unit, or by what stands before it."""
    value = item.figures["value"]
    if value.unit not in {None, "mm", "cm"}:
        return ""
    if item.role == "long" or (value.unit == "cm" and item.role != "wide"):
        return "length" if value.value <= _LONGEST * (10 if value.unit == "mm" else 1) else ""
    asked = item.before == "," and value.unit is None  # "a plug, how big, ten"
    wide = item.role == "wide" or value.unit == "mm" or item.before in _HAS or (asked and item.after in {"", "."})
    return "diameter" if wide and value.value <= _WIDEST else ""
