"""Figures that found no place among the events: what was said right before them may have been put right by them.

"The book says five mil … four went in, so four it is": where no rule knows what a figure is for, and it could be the
same thing as a value told before it in the same sentence, the value is marked. Measured on 29 cases of speakers before
any rule was written for them: of 18 values so marked six were wrong (of 26 in all that nothing marked), and seven told
what had not happened. A figure a sentence or two later marks only where the talk says that it tells what really was ("I
only had four in the syringe"), and then the value it is nearest to; and where "no" or "wait" stands behind the value
("Eight millimetres. No. Put the ruler on it. Eleven."), with or without a place of its own.
"""

import math
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from extractor.lexicon import Limits
from extractor.model import Event, Item, Quantity, Sentence, Status, WordRange
from extractor.reconciling.thousands import in_thousands
from extractor.units import VALUE_UNITS

if TYPE_CHECKING:
    from extractor.reconciling.story import Draft

#: What may follow a figure that stands for itself; before any other word it counts something ("eleven months").
FREE = frozenset({"", ".", ",", "...", "?", "!", "and", "it", "in", "then", "instead", "please", "respectively", "now"})
#: What puts right is of the same order: at most so many times as much, or as little. Set by hand, no source.
_TIMES = 3
#: What some rule has taken and made no value of is a step of a pressure ("six, eight") or a second counted aloud.
_TAKEN_IN_STEPS = "pressure"
#: With one of these a later sentence may tell what really was.
_REALLY = frozenset("only actually really truth fact end instead misread call says".split())
#: Behind a figure, nothing but these till the sentence ends, or at the head of the next: it may have been taken back.
_TAKING_BACK = frozenset("no nope wait sorry or oh hang on hold correction rather".split())
_WITHDRAWN = frozenset("no nope wait sorry correction".split())
#: Behind a figure that stands for a thing: what is told of it.
_TELLS = frozenset({"was", "is", "went", "goes"})
#: How many sentences later. Set by hand, no source.
_LATER = 2
#: After a figure: it counts something else.
_COUNTED = {
    "kilos", "kilo", "kilograms", "years", "year", "minutes", "times", "per", "pieces", "boxes", "packs", "packets",
}  # fmt: skip


def rivals(value: Quantity, figure: Quantity) -> bool:
    """Whether a loose figure could be meant for a value: no other unit, another number, of like size."""
    return (
        figure.unit in {None, value.unit}
        and figure.value != value.value
        and 0.1 * value.value <= figure.value <= 10 * value.value
    )


def echoes(value: Quantity, figure: Item) -> bool:
    """Whether a loose figure is one that was just said."""
    said = figure.figures["value"]
    return said.value == value.value and said.unit in {None, value.unit}


def counts_something_else(figure: Item) -> bool:
    """Whether the word behind a figure says that it is no value of an event: "eighty kilos", "four boxes"."""
    return figure.after in _COUNTED


def placed_words(told: "Iterable[Draft | Event]") -> set[int]:
    """The words that a value of these events rests on."""
    return {word for each in told for value in each.values.values() for word in range(*value.words)}


def mark_rivalled(drafts: Sequence["Draft"], sentences: Sequence[Sentence], limits: Limits) -> None:
    """Marks, in place, the values that a figure without a place may have put right, wherever they are carried to."""
    placed = placed_words(drafts)
    loose = [[item for item in sentence.items if _is_loose(item, placed)] for sentence in sentences]
    starts = [sentence.words[0] for sentence in sentences]
    found: dict[WordRange, float] = {}  # the words of a value -> the figure
    later: dict[WordRange, tuple[float, WordRange, float]] = {}  # of a figure -> how far off which value, and itself
    for draft, key, value in _told(drafts):
        at = bisect_right(starts, value.words[0]) - 1
        for item in _after(value, at, sentences, loose):
            if _may_be(draft, key, value, item, limits):
                found.setdefault(value.words, item.figures["value"].value)
        for item in _behind_no(value, at, sentences):
            if _may_be(draft, key, value, item, limits, is_used=False):
                found.setdefault(value.words, item.figures["value"].value)
        for item in _later(at, sentences, loose):
            if _may_be(draft, key, value, item, limits):
                figure = in_thousands(item.figures["value"], value).value
                nearest = abs(math.log(figure / value.value)), value.words, figure
                later[item.words] = min(nearest, later.get(item.words, nearest))
    for _, words, figure in later.values():
        found.setdefault(words, figure)
    for draft in drafts:
        for key, value in draft.values.items():
            if (rival := found.get(value.words)) is not None and "conflict" not in value.flags:
                draft.values[key] = value.flagged("conflict", alternatives=(*value.alternatives, rival))


def _told(drafts: Sequence["Draft"]) -> Iterator[tuple["Draft", str, Quantity]]:
    """The values that were said where they stand, of what was done or asked for."""
    for draft in drafts:
        for key, value in draft.values.items():
            if draft.status in {Status.DONE, Status.PLANNED} and "carried-over" not in value.flags:
                yield draft, key, value


def _is_loose(item: Item, placed: set[int]) -> bool:
    if item.kind != "quantity" or item.status is not None or item.after not in FREE:
        return False
    if item.before == "past" or (len(item.before) == 1 and item.before.isalpha()):
        return False  # "ten past six", "the height of L two"
    return placed.isdisjoint(range(*item.figures["value"].words))


def _after(value: Quantity, at: int, sentences: Sequence[Sentence], loose: Sequence[Sequence[Item]]) -> Iterator[Item]:
    """The figures without a place behind a value in its sentence; and the one that answers, if that is a question."""
    yield from (item for item in loose[at] if item.words[0] >= value.words[1])
    if sentences[at].question and at + 1 < len(sentences):
        yield from (item for item in loose[at + 1] if item.words[0] == sentences[at + 1].words[0])


def _later(at: int, sentences: Sequence[Sentence], loose: Sequence[Sequence[Item]]) -> Iterator[Item]:
    """The figures without a place in the next sentences, where these say what really was."""
    for number in range(at + 1, min(at + 1 + _LATER, len(sentences))):
        if sentences[number].texts & _REALLY:
            yield from loose[number]


def _behind_no(value: Quantity, at: int, sentences: Sequence[Sentence]) -> Iterator[Item]:
    """The figures that follow a value which may have been taken back: the rest of its sentence is "no" or "wait", or
    the next begins so. The first of the next sentences with any.
    """
    items = (item for item in sentences[at].items if item.kind in {"quantity", "device"})
    said = next((item for item in items if value.words in {figure.words for figure in item.figures.values()}), None)
    if said is None or sentences[at].question or value.words[1] < said.words[1]:
        return
    behind = [token for token in sentences[at].tokens[said.span[1] :] if token.isalpha()]
    later = sentences[at + 1 : at + 1 + _LATER]
    if not behind and later:
        first = [token for token in later[0].tokens if token.isalpha()]
        behind = first[: 1 if len(first) > 1 and later[0].tokens[1:2] == (",",) else len(first)]
    if not _WITHDRAWN & {*behind} or not _TAKING_BACK >= {*behind}:
        return
    for sentence in later:
        figures = [item for item in sentence.items if item.kind == "quantity" and item.after in FREE | _TELLS]
        if figures:
            yield from figures
            return


def _may_be(draft: "Draft", key: str, value: Quantity, item: Item, limits: Limits, is_used: bool | None = None) -> bool:
    """Whether a figure could be this value of the event: its unit, its order, what is plausible. ``is_used``: whether
    some rule has taken it, if that is not to be seen from the figure itself.
    """
    is_used = item.used if is_used is None else is_used
    figure = in_thousands(item.figures["value"], value)
    unit = value.unit or VALUE_UNITS[key][0]
    if figure.unit not in {None, unit} or (is_used and key != _TAKEN_IN_STEPS):
        return False
    if any(figure.value == other.value for other in draft.values.values()):
        return False  # said again
    if not value.value / _TIMES <= figure.value <= value.value * _TIMES:
        return False
    limit = limits.find(draft.kind, key, draft.device or draft.drug)
    return figure.unit is not None or (limit is not None and limit.holds(figure.value, unit))
