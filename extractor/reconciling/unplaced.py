"""Figures that were said, belong in the record by all that stands around them, and stand in none of its events.

Where no rule knows a wording its figure finds no place, and nothing else would show that it was said. A logistic model
tells such figures from ages, times of day and small talk: each clue around a figure (its unit, its size, what is named
beside it) has a weight in log odds, they add up. The weights are data (``lexicons/unplaced.toml``), fitted by
``tools/unplaced.py``.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice, takewhile
from typing import NamedTuple

from extractor.lexicon import Lexicon
from extractor.model import Event, Item, Quantity, Sentence, Status, WordRange
from extractor.reconciling.rivalled import FREE, placed_words

#: A figure this likely to belong in the record is shown. Chosen on first readings of speakers (docs/validation.md).
_LIKELY = 0.65
#: A figure said again within so many sentences has its place, or is shown, there.
_AGAIN = 4
#: Borders between sizes that tell pressures, gauges, millimetres, millilitres, seconds and doses apart.
SIZES = (1, 2, 3, 4.5, 6.5, 9.5, 13, 16.5, 21, 31, 45, 65, 105, 205, 305, 505, 1005, 5005, 10005)


def unplaced(sentences: Sequence[Sentence], events: Sequence[Event], lexicon: Lexicon) -> list[WordRange]:
    """Sentences of a case and the events made of them -> the words of each figure that should stand in one, in order.

    Pure. In time linear in the number of sentences. Where no procedure is told, no figure belongs in its record.
    """
    if not any(event.status is Status.DONE and "no-procedure" not in event.flags for event in events):
        return []
    weights = {clue.name: clue.weight for clue in lexicon.clue}
    said = Figures(sentences, events)
    return [each.quantity.words for each in said.without_place() if likelihood(said.clues(each), weights) >= _LIKELY]


def likelihood(clues: Iterable[str], weights: Mapping[str, float]) -> float:
    """The probability that a figure with these clues belongs in the record. A clue without a weight counts nothing."""
    return 1 / (1 + math.exp(-sum(weights.get(clue, 0.0) for clue in clues)))


class Said(NamedTuple):
    """A figure as it was said: the number of its sentence, the item it belongs to, itself."""

    at: int
    item: Item
    quantity: Quantity


class Figures:
    """The figures of a case, and what is told around them."""

    def __init__(self, sentences: Sequence[Sentence], events: Sequence[Event]) -> None:
        self._sentences = sentences
        self._taken = placed_words(events)
        self._keys = sorted((value.words[0], key) for event in events for key, value in event.values.items())
        self._devices = [
            (item.words[0], label_of(item))
            for sentence in sentences
            for item in sentence.items
            if item.kind == "device"
        ]
        self.said = [
            Said(at, item, quantity)
            for at, sentence in enumerate(sentences)
            for item in sentence.items
            if item.kind != "denied"
            for quantity in item.figures.values()
        ]

    def without_place(self) -> Iterator[Said]:
        """Those that stand in no event, that no rule took for a step or put right, and that are not told elsewhere."""
        for number, figure in enumerate(self.said):
            if not (figure.item.used or self._has_place(figure) or self._told_elsewhere(number)):
                yield figure

    def _has_place(self, figure: Said) -> bool:
        return not self._taken.isdisjoint(range(*figure.quantity.words))

    def _told_elsewhere(self, number: int) -> bool:
        """Whether the same figure was said before, or has a place, a few sentences away."""
        at, value = self.said[number].at, self.said[number].quantity.value
        before = takewhile(lambda each: at - each.at <= _AGAIN, (self.said[n] for n in range(number - 1, -1, -1)))
        behind = takewhile(lambda each: each.at - at <= _AGAIN, islice(self.said, number + 1, None))
        return any(each.quantity.value == value for each in before) or any(
            each.quantity.value == value and self._has_place(each) for each in behind
        )

    def clues(self, figure: Said) -> tuple[str, ...]:
        """What stands around a figure: names of clues, each once."""
        at, item, quantity = figure
        sentence = self._sentences[at]
        labels = _labels(sentence)
        before = [label for place, label in labels if place < item.span[0]]
        behind = [label for place, label in labels if place >= item.span[1]]
        unit, size = quantity.unit or "none", bisect_right(SIZES, quantity.value)
        first = quantity.words[0]
        found = [
            "always",
            f"unit {unit}",
            f"unit {unit} size {size}",
            f"said {item.kind}",
            f"status {item.status}",
            f"after {(before or ['^'])[-1]}",
            f"after two {(['^', '^', *before])[-2]}",
            f"before {(behind or ['$'])[0]}",
            *(["counts"] if behind and behind[0].isalpha() and behind[0].islower() and behind[0] not in FREE else []),
            f"before two {([*behind, '$', '$'])[1]}",
            f"last value {_last(self._keys, first)}",
            f"last device {_last(self._devices, first)}",
            *(f"beside {label}" for label in (*before, *behind)),
            *(f"sentence before {label}" for label in self._named(at - 1)),
            *(f"sentence behind {label}" for label in self._named(at + 1)),
        ]
        return tuple(dict.fromkeys(found))

    def _named(self, at: int) -> list[str]:
        if not 0 <= at < len(self._sentences):
            return []
        return [label for _, label in _labels(self._sentences[at])]


def _last(told: Sequence[tuple[int, str]], word: int) -> str:
    at = bisect_left(told, (word, ""))
    return told[at - 1][1] if at else ""


def _labels(sentence: Sentence) -> list[tuple[int, str]]:
    """A sentence -> what stands in it, in order, each with its place: a thing by its class, else the token."""
    named: dict[int, str] = {}
    inside: set[int] = set()
    for item in sentence.items:
        label = label_of(item)
        if label:
            named.setdefault(item.span[0], label)
            inside |= set(range(*item.span))
    return [
        (place, named.get(place, token))
        for place, token in enumerate(sentence.tokens)
        if place in named or place not in inside
    ]


def label_of(item: Item) -> str:
    """A thing that was said -> its class, and of devices, actions and phrases which; empty for a mark."""
    match item.kind:
        case "quantity" | "pair" | "denied":
            return "FIGURE"
        case "device":
            return f"DEVICE {item.role} {item.name}"
        case "action":
            return f"ACTION {' '.join(sorted(item.meanings))}"
        case "mark":
            return ""
        case "phrase":
            return f"PHRASE {item.name}"
        case _:
            return item.kind.upper()
