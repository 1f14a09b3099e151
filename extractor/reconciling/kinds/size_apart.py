""" "The plug has fourteen millimetres", "a coil, its diameter is six, its length is twenty": sizes of a coil or plug
that do not stand right beside its name.
"""

from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.unsized import LINKS, unsized_thing
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import NOT_DONE, Draft, Story, Thing
from extractor.reconciling.things import new

#: What may stand between a thing and its size, and between two of its sizes.
_LINKS = LINKS - set(". ... ? ! so here doctor sir please yes okay".split()) | set(
    "loop about deployed placed released detached put been then how big large what goes up in".split()
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
    if named is None and _alone(story.sentence):
        return _of_unsized(story, item)
    key = _which(story, item) if named is not None else ""
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


def _alone(sentence: Sentence) -> bool:
    """Whether a sentence tells a size and nothing else: "Seven millimetres, thirty centimetres." """
    figures = {at for item in sentence.items if item.kind == "quantity" for at in range(*item.span)}
    return LINKS.issuperset(token for at, token in enumerate(sentence.tokens) if at not in figures)


def _of_unsized(story: Story, item: Item) -> Thing | None:
    """ "The trunk got a plug. It was a ten.": the size of what was only named in a sentence before."""
    value = item.figures["value"]
    alone = len(story.mentions("quantity")) == 1 and value.unit is None and value.value <= _WIDEST
    key = _which(story, item) or ("diameter" if alone else "")
    told = {key: value.in_unit("mm" if key == "diameter" else "cm")} if key else _parted(item)
    thing = unsized_thing(story) if told and item.status not in NOT_DONE else None
    if thing is None or told.keys() & thing.values.keys():
        return None
    thing.values |= told
    thing.seen = story.number
    if thing.done is None and thing.asked is None:
        thing.asked = story.add(Kind.EMBOLISE, Status.PLANNED, item, "embolise/asked-for", device=thing.name)
    for draft in (thing.asked, thing.done):
        for key, size in told.items():
            _tell(draft, key, size)
    return thing


def _ask_for(story: Story, thing: Thing, named: Item, item: Item) -> None:
    """ "My next coil has five millimetres": it is asked for by what it measures."""
    wanted = (
        named.status is Status.PLANNED
        or item in _row(story)
        or story.sentence.texts & {"next", "want", "need", "please", "take"}
    )
    if (wanted or not named.definite) and thing.asked is None and thing.done is None:
        values = dict(thing.values)
        thing.asked = story.add(
            Kind.EMBOLISE, Status.PLANNED, item, "embolise/asked-for", device=thing.name, values=values
        )
        thing.asked.reach(named.words)


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


def _which(story: Story, item: Item) -> str:
    """Whether a figure can be a width or a length: by what it is called, by its unit, by what stands before it, or as
    one of two in a row ("coil, five, ten").
    """
    value = item.figures["value"]
    if value.unit not in {None, "mm", "cm"}:
        return ""
    if (row := _row(story)) and item in row:
        return "diameter" if item is row[0] else "length"
    if item.role == "long" or (value.unit == "cm" and item.role != "wide"):
        return "length" if value.value <= _LONGEST * (10 if value.unit == "mm" else 1) else ""
    asked = item.before == "," and value.unit is None  # "a plug, how big, ten"
    wide = item.role == "wide" or value.unit == "mm" or item.before in _HAS or (asked and item.after in {"", "."})
    return "diameter" if wide and value.value <= _WIDEST else ""


def _parted(item: Item) -> dict[str, Quantity]:
    """ "six twenty": said of six by twenty."""
    value, said = item.figures["value"], item.text.split()
    wide, long = divmod(value.value, 100)
    if value.unit is not None or len(said) != 2 or "hundred" in said or not 1 <= wide <= min(_WIDEST, long):
        return {}
    return {
        "diameter": value.flagged("unit-assumed", value=wide, unit="mm", alternatives=()),
        "length": value.flagged("unit-assumed", value=long, unit="cm", alternatives=()),
    }


def _row(story: Story) -> tuple[Item, ...]:
    """Two bare figures with a comma between that a sentence ends with, the second no smaller: a width and a length."""
    figures = [other for other in story.sentence.items if other.kind == "quantity"]
    if len(figures) != 2 or any(figure.figures["value"].unit for figure in figures):
        return ()
    wide, long = figures
    tokens = story.sentence.tokens
    ends = not any(token.isalpha() and token not in LINKS for token in tokens[long.span[1] :])
    row = tokens[wide.span[1] : long.span[0]] == (",",) and ends
    fits = wide.figures["value"].value <= min(_WIDEST, long.figures["value"].value) <= _LONGEST
    return (wide, long) if row and fits else ()
