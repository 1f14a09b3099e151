"""Particles by the vial: "one vial of the seven hundreds, please", "the first vial is completely in"."""

from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import NOT_DONE, Hearing, Story, Thing, carried
from extractor.reconciling.things import values_of

_VIALS = {"vial", "vials"}
_ORDINALS = {"first", "second", "third", "fourth", "last"}
#: Said of a vial that has been given; behind "is", "are", "has" or "was" it needs no more.
_IN = frozenset("in inside given injected used gone delivered empty administered completed finished".split())
_NOT_IN = frozenset("need please another next ready mixed mixing open prepare drawn will 'll shall".split())


class Vials(Hearing):
    """Hears how many vials are asked for, and that one is in. Claims nothing."""

    def begin(self, story: Story, sentence: Sentence) -> None:
        if not _VIALS & sentence.texts:
            return
        for count, item in _counted(sentence):
            item.figures["count"] = replace(count.figures["value"], unit="{count}")
            count.used = True

    def end(self, story: Story, sentence: Sentence) -> None:
        thing = story.active
        if thing is None or thing.name != "particles" or not _told_in(sentence):
            return
        here = [draft for draft in story.lately()[-3:] if draft.kind is Kind.EMBOLISE and draft.number == story.number]
        if any(draft.status is Status.DONE for draft in here):
            return
        _tell(story, thing, sentence)


def _counted(sentence: Sentence) -> list[tuple[Item, Item]]:
    """The numbers of vials, each with the particles they hold."""
    particles = [item for item in sentence.items if item.kind == "device" and item.name in POURED]
    counts = [item for item in sentence.items if item.kind == "quantity" and item.after in _VIALS]
    return [(counts[0], particles[0])] if len(counts) == len(particles) == 1 else []


def _told_in(sentence: Sentence) -> bool:
    """ "the second vial is in", "two vials were used"; not "the second vial, please"."""
    if not _VIALS & sentence.texts or sentence.question or sentence.texts & _NOT_IN:
        return False
    if sentence.cues & (NOT_DONE | {Status.PLANNED}):
        return False
    at = next(at for at, token in enumerate(sentence.tokens) if token in _VIALS)
    return bool(_IN & {*sentence.tokens[at:]})


def _tell(story: Story, thing: Thing, sentence: Sentence) -> None:
    number = next((item for item in sentence.items if item.kind == "quantity" and item.after in _VIALS), None)
    asked = thing.asked
    known = asked.values.get("count") if asked is not None else None
    place = number or sentence.items[0]
    one = Quantity(1.0, "{count}", place.words, place.text)
    count = replace(number.figures["value"], unit="{count}") if number is not None else known
    count = one if count is None or _ORDINALS & sentence.texts else count
    item = Item("action", sentence.words, "vial")
    draft = story.settle(asked, Status.DONE, item, "embolise/vial-in") or story.add(
        Kind.EMBOLISE, Status.DONE, item, "embolise/vial-in", device=thing.name,
        values={key: carried(value) for key, value in values_of(thing).items() if key != "count"},
    )  # fmt: skip
    draft.values["count"] = count
    thing.asked, thing.done, thing.where = None, draft, "used"
