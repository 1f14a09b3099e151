"""One more balloon or stent told by the one before it: "another of the same size", "next the seven, same length", "a
second one of sixty". What is not said is carried over.
"""

import math
from dataclasses import replace
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import NOT_DONE, Hearing, Story, Thing, carried

_NAMES = {"inflation": "balloon", "stent": "stent"}
#: What may be the same: which value that is.
_SAME = {"length": "length", "long": "length", "diameter": "diameter", "width": "diameter", "calibre": "diameter"}
_OTHER = {"length": "diameter", "diameter": "length"}
#: One more than there is.
_FURTHER = frozenset("another second third fourth more further next new fresh again once".split())
_ALIKE = frozenset("same identical".split())
#: Said of the same of something else.
_OF_OTHERS = frozenset(
    """
    pressure pressures time times place spot way view side position angle run settings rate minutes seconds atmospheres
    wire sheath catheter access projection picture volume dose story thing
    """.split()
)
#: So many different words at most ask for the same once more; set by hand, no source.
_SHORT = 9
#: Sizes of balloons and stents, mm: common practice, no source.
_WIDTHS, _LENGTHS = (1.2, 46), (8, 300)


class OneMore(Hearing):
    """Hears, before all others hear the sentence, what asks for one more like the one that was just used."""

    def begin(self, story: Story, sentence: Sentence) -> None:
        thing = story.active
        if thing is None or thing.role not in _NAMES or thing.where != "used" or story.topic != thing.role:
            return
        if not all(key in thing.values and thing.values[key].value > 0 for key in _OTHER):
            return
        if sentence.cues & (NOT_DONE - {Status.CONSIDERED}):
            return
        figures = [item for item in sentence.items if _is_figure(item)]
        named = any(item.kind in {"device", "drug"} and item not in figures and item.figures for item in sentence.items)
        others = any(item.kind == "device" and item.role not in {"", thing.role} for item in sentence.items)
        if named or others or sentence.texts & _OF_OTHERS:
            return
        sizes = _told_in_part(sentence, thing, figures) or _told_alike(sentence, thing, figures)
        if sizes is not None:
            _ask(story, thing, sizes, figures)


def _is_figure(item: Item) -> bool:
    """Whether an item is a figure that may be a width or a length: not nought, no time, and not the word "one"."""
    value = item.figures.get("value") or item.figures.get("bare")
    kind = item.kind == "quantity" or (item.kind == "device" and item.figures.keys() == {"bare"})
    sized = value is not None and value.value > 0 and value.unit in {None, "mm", "cm"}
    return kind and sized and item.text != "one"


def _figure(item: Item) -> Quantity:
    return item.figures.get("value") or item.figures["bare"]


def _told_in_part(sentence: Sentence, thing: Thing, figures: list[Item]) -> dict[str, Quantity] | None:
    """ "the seven, same length", "a second one of sixty", "the six, also forty": the values told."""
    said = [_figure(item).in_unit("mm") for item in figures]
    same = next((_SAME[what] for word, what in pairwise(sentence.tokens) if word == "same" and what in _SAME), None)
    if len(said) == 1:
        key = _OTHER[same] if same else _nearest(thing, said[0]) if _of_one(sentence, figures[0]) else None
        return _plausible(thing, {key: said[0]}) if key else None
    if len(said) == 2 and not same:
        again = [at for at, item in enumerate(figures) if item.before == "also" or item.after in {"again", "too"}]
        key = next((key for key in _OTHER for at in again if _mm(thing.values[key]) == _mm(said[at])), None)
        return _plausible(thing, {_OTHER[key]: said[1 - again[0]]}) if key else None
    return None


def _of_one(sentence: Sentence, figure: Item) -> bool:
    """ "a second one of sixty", "the same in six"."""
    before = sentence.tokens[max(0, figure.span[0] - 2) : figure.span[0]]
    return (before == ("one", "of") and bool(sentence.texts & _FURTHER)) or before == ("same", "in")


def _nearest(thing: Thing, figure: Quantity) -> str:
    """Which of the two values of a thing a figure is more like."""
    return min(_OTHER, key=lambda key: abs(math.log(_mm(figure) / _mm(thing.values[key]))))


def _mm(quantity: Quantity) -> float:
    return quantity.value * (10 if quantity.unit == "cm" else 1)


def _plausible(thing: Thing, told: dict[str, Quantity]) -> dict[str, Quantity] | None:
    width, length = (_mm(told.get(key, thing.values[key])) for key in ("diameter", "length"))
    fits = _WIDTHS[0] <= width <= _WIDTHS[1] and _LENGTHS[0] <= length <= _LENGTHS[1] and width <= length
    return told if fits else None


def _told_alike(sentence: Sentence, thing: Thing, figures: list[Item]) -> dict[str, Quantity] | None:
    """ "another of the same size": no value is told. Of a balloon "the same again" is rather another inflation."""
    texts = sentence.texts
    size = any(word in _ALIKE and what == "size" for word, what in pairwise(sentence.tokens))
    further = bool(texts & (_FURTHER | {"stent"})) or size
    asked = size and bool(texts & _FURTHER) if thing.role == "inflation" else further
    return {} if texts & _ALIKE and asked and not figures and len(texts) <= _SHORT else None


def _ask(story: Story, thing: Thing, told: dict[str, Quantity], figures: list[Item]) -> None:
    words = (figures[0].words[0], figures[-1].words[1]) if figures else story.sentence.words
    item = Item("device", words, "one more", role=thing.role)
    status = Status.CONSIDERED if Status.CONSIDERED in story.sentence.cues else Status.PLANNED
    values = {key: told.get(key) or carried(thing.values[key]) for key in ("diameter", "length")}
    kind = Kind.INFLATION if thing.role == "inflation" else Kind.STENT
    draft = story.add(kind, status, item, f"{kind}/one-more", device=_NAMES[thing.role], values=dict(values))
    for figure in figures:
        figure.used = True
    one = replace(
        thing, values=values, spots=set(), where="asked", asked=draft, done=None, breath=story.sentence.breath,
        seen=story.number, called=story.number, left=1,
    )  # fmt: skip
    story.things.append(one)
    story.active, story.spoken_role, story.spoken_breath = one, one.role, story.sentence.breath
