"""Coils and plugs named without their size: "I close this branch with a coil." Their size stands in a sentence after it
("The three by eight.", "It was a ten."), or nowhere ("Embolised with five coils.").
"""

from dataclasses import replace
from itertools import pairwise

from extractor.model import Item, Kind, Sentence, Status
from extractor.reconciling.kinds.told_by_verb import told_after, told_before
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import PLACING, Hearing, Story, Thing
from extractor.reconciling.things import new

#: What may stand with a size in a sentence of its own.
LINKS = frozenset(
    """
    . , ... ? ! and a an the it its it's is are was were has have had of with in each all both by at now they one this
    that which how what big large diameter length long wide size sized calibre caliber width measures measuring being
    for 's so then here doctor sir please yes okay
    """.split()
)
#: A question with one of these asks how wide something else is.
_VESSELS = {"vessel", "artery", "vein", "neck", "sac", "trunk", "branch", "measure", "measuring"}
#: Words of a question for a length.
_LENGTH = {"length", "long"}
#: No more coils are counted: common practice, no source.
_MOST = 60
#: So many sentences and breaths behind the name its size may stand; set by hand, no source.
_SOON = 2


class Unsized(Hearing):
    """Hears coils and plugs that are only named, and gives them the size said after them. Claims nothing."""

    def __init__(self) -> None:
        self.asks_length = -9  # number of the last question for a length

    def begin(self, story: Story, sentence: Sentence) -> None:
        later = story.sized_later
        if later is not None and story.number - later.seen > _SOON:
            story.sized_later = None
        if later is not None and later is story.active:
            _bare_figures(sentence)
            _size_of(story, later, sentence)
        if self.asks_length == story.number - 1:
            _length_of(story, sentence)
        self.asks_length = story.number if sentence.question and _LENGTH & sentence.texts else self.asks_length
        if story.unsized is None:
            return
        item, number, breath = story.unsized
        of_vessel = sentence.question and _VESSELS & sentence.texts  # "What's the vessel?" "Four."
        if story.number - number > _SOON or sentence.breath - breath > _SOON or of_vessel:
            story.unsized = None
            return
        named = [other for other in sentence.items if other.kind in {"device", "drug", "finding"}]
        sizes = [other for other in named if other.headless and not other.role and "diameter" in other.figures]
        if any(other.kind == "device" and other.role not in {"", item.role} for other in named):
            story.unsized = None  # something else is spoken of since
            return
        if len(sizes) == len(named):
            for size in sizes:
                size.role, size.name = item.role, item.name
        _bare_figures(sentence)

    def end(self, story: Story, sentence: Sentence) -> None:
        item = _only_named(story, sentence)
        if item is None:
            return
        told = told_before(sentence, item.span[0]) or told_after(sentence, item.span[1])
        if _how_many(story, sentence, item):
            told = True
        if told and not sentence.question and not _told_already(story):
            _tell(story, item)
        elif not sentence.question:
            story.unsized = item, story.number, sentence.breath


def _size_of(story: Story, thing: Thing, sentence: Sentence) -> None:
    """ "Embolised with five coils." "All five by ten.": the size of what was told as in without one."""
    sizes = [item for item in sentence.items if item.kind == "device"]
    if len(sizes) != 1 or not sizes[0].headless or thing.done is None or thing.values.keys() & {"diameter", "length"}:
        return
    figures = sizes[0].figures
    if not {"diameter", "length"} <= figures.keys() or sentence.texts & {"next", "another", "please"}:
        return
    told = {key: figures[key] for key in ("diameter", "length")}
    told = {key: value.in_unit("mm" if key == "diameter" else "cm") for key, value in told.items()}
    thing.values |= told
    thing.done.values |= told
    thing.done.reach(sizes[0].words)
    sizes[0].used = True


def _length_of(story: Story, sentence: Sentence) -> None:
    """ "A four millimetre coil." "Length?" "Ten centimetres.": the length of the coil that waits."""
    thing, figures = story.active, story.mentions("quantity")
    if thing is None or thing.role != "embolise" or thing.name in POURED or thing.asked is None or len(figures) != 1:
        return
    value = figures[0].figures["value"]
    if "length" in thing.values or value.unit not in {None, "cm"} or not 1 <= value.value <= _MOST:
        return
    thing.values["length"] = thing.asked.values["length"] = value.in_unit("cm")
    thing.asked.reach(figures[0].words)
    figures[0].used = True


def _how_many(story: Story, sentence: Sentence, item: Item) -> bool:
    """ "How many coils did you use? Five.", "Five coils in all.": gives the number to what it counts."""
    figures = [other for other in story.mentions("quantity") if other.figures["value"].unit is None]
    asked = {"how", "many"} <= sentence.texts and len(figures) == 1 and not sentence.question
    if asked and figures[0].figures["value"].value in range(1, _MOST):
        item.figures["count"] = replace(figures[0].figures["value"], unit="{count}")
    summed = {("in", "all"), ("in", "total"), ("all", "told")} & {*pairwise(sentence.tokens)}
    return "count" in item.figures and (asked or bool(summed)) and Status.PLANNED not in sentence.cues


def _bare_figures(sentence: Sentence) -> None:
    """ "It was a ten.": a figure, if the sentence says nothing else."""
    for item in sentence.items:
        if item.figures.keys() == {"bare"} and _says_nothing_else(sentence, item):
            item.kind, item.figures = "quantity", {"value": item.figures["bare"]}


def _says_nothing_else(sentence: Sentence, item: Item) -> bool:
    """ "It was a ten." """
    return LINKS.issuperset(sentence.tokens[: item.span[0]]) and LINKS.issuperset(sentence.tokens[item.span[1] :])


def _only_named(story: Story, sentence: Sentence) -> Item | None:
    """The coil or plug that a sentence names, and no other and no size of one."""
    coils = [item for item in sentence.items if item.kind == "device" and item.role == "embolise"]
    if len(coils) != 1 or coils[0].name in POURED or coils[0].figures.keys() & {"diameter", "length"}:
        return None
    item = coils[0]
    if item.status not in {None, Status.PLANNED} or item.where in PLACING or story.topic == "closure":
        return None
    active = story.active
    known = active is not None and active.role == "embolise" and active.where == "asked"
    told = active is not None and active.role == "embolise" and story.number == active.seen
    return None if known or told else item


def _told_already(story: Story) -> bool:
    """Whether this case has told of coils or plugs let go: a number of them then sums up."""
    return any(draft.kind is Kind.EMBOLISE and draft.status is Status.DONE for draft in story.lately())


def _tell(story: Story, item: Item) -> None:
    thing = new(story, item)
    values = dict(item.figures)
    thing.done = story.add(
        Kind.EMBOLISE, Status.DONE, item, "embolise/told-by-verb", device=item.name or "coil", values=values
    )
    thing.where, thing.left = "used", 0
    _activate(story, thing)
    story.sized_later = thing


def _activate(story: Story, thing: Thing) -> None:
    story.active, story.topic = thing, "embolise"
    story.spoken_role, story.spoken_breath = "embolise", story.sentence.breath


def unsized_thing(story: Story) -> Thing | None:
    """What was only named in one of the last sentences, as a thing: told as in, or waiting; None where none was."""
    active = story.active
    if active is not None and active is story.sized_later:
        return active
    if story.unsized is None or story.number == story.unsized[1]:
        return None
    item, story.unsized = story.unsized[0], None
    thing = new(story, replace(item, figures={key: said for key, said in item.figures.items() if key == "count"}))
    _activate(story, thing)
    story.sized_later = thing
    return thing
