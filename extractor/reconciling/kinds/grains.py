"""Particles of another size than those spoken of: "We use three hundred.", "Now seven hundred."."""

from dataclasses import replace

from extractor.model import Item, Kind, Status
from extractor.reconciling.marks import FIGURE_ENDS
from extractor.reconciling.story import Story, Thing

#: Sizes that particles are named by, microns: common practice, no source.
GRAINS = range(40, 1250, 10)
#: Before another size, where nothing else is said: in so many words, so many sentences on. Set by hand, no source.
_LEAD = frozenset("use take using now to with go then need want".split())
_BEHIND = FIGURE_ENDS - {"-"} | {"then", "now", "please", "next", "and", "instead", "microns"}
_SHORT, _LATELY = 6, 3


def another_size(story: Story, item: Item) -> bool:
    """Whether a bare figure is the size of other particles than the last: they are asked for."""
    quantity, known = item.figures["value"], _last(story)
    if known is None or quantity.unit is not None or quantity.value not in GRAINS or item.before not in _LEAD:
        return False
    if item.after not in _BEHIND:
        return False  # "use three hundred of saline", "we use three hundred a year"
    bare = len(story.sentence.texts) <= _SHORT and not story.mentions("device", "drug", "pair")
    width = quantity.flagged("unit-assumed", unit="mm", value=quantity.value / 1000)
    same = abs(known.values["diameter"].value - width.value) < 1e-6
    if not bare or same or item.status not in {None, Status.PLANNED} or story.sentence.question:
        return False
    thing = replace(known, values={"diameter": width}, asked=None, done=None, where="asked", left=1, seen=story.number)
    thing.asked = story.add(
        Kind.EMBOLISE, Status.PLANNED, item, "embolise/another-size", device=thing.name, values=dict(thing.values)
    )
    story.things.append(thing)
    story.active, story.topic = thing, "embolise"
    story.spoken_role, story.spoken_breath = "embolise", story.sentence.breath
    return True


def _last(story: Story) -> Thing | None:
    """The particles last spoken of, by their size, or thought of lately."""
    thing = story.active
    if thing is None or thing.name != "particles":
        thought = (one for one in reversed(story.things) if one.name == "particles" and one.where == "thought")
        thing = next(thought, None)
        if thing is None or story.number - thing.seen > _LATELY:
            return None
    return thing if "diameter" in thing.values else None
