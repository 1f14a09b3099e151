"""What other recognisers heard where a figure was heard: the same, another figure, or none.

They write as they like ("six French", "6Fr", "0-1-8"), so figures are compared, not words, and by their time.
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from extractor.model import Opinion, Rival, SecondHearing, Word
from extractor.reading.numbers import NUMBER_WORDS, read_numbers
from extractor.reading.tokens import Token, tokenise

#: Two recognisers give one word times that differ by so much.
_APART_MS = 350
#: So many rivals of a figure are told.
_MOST_RIVALS = 3
_FEWEST_DIGITS = 2
#: What a recogniser may write a figure with, digits apart.
FIGURE_WORDS = frozenset(NUMBER_WORDS)


def worth_asking(texts: Sequence[str]) -> list[tuple[int, int]]:
    """The words (first, past last) in whose place what others hear can matter to ``compare``: the figures."""
    return [words for _, words in _figures(tokenise(texts))]


def compare(words: Sequence[Word], opinions: Sequence[Opinion]) -> tuple[SecondHearing, ...]:
    """The case's words, what others heard -> for each figure in them, in order, who agrees and what else was heard.

    Linear in the number of words. Nothing where nobody else was asked.
    """
    if not opinions:
        return ()
    found = _figures(tokenise([word.text for word in words]))
    ears = [_Ear(opinion) for opinion in opinions]
    hearings = []
    for at, (value, (first, past)) in enumerate(found):
        own = {each for each, _ in found[max(0, at - 2) : at + 3]}  # a neighbour's figure is no rival
        answers = [ear.answer(value, words[first].start_ms, words[past - 1].end_ms, own) for ear in ears]
        hearings.append(
            SecondHearing(
                words=(first, past),
                value=value,
                otherwise=sum(not answer.agrees and bool(answer.rivals) for answer in answers),
                unheard=sum(not answer.agrees and not answer.rivals for answer in answers),
                rivals=_together(answers),
            )
        )
    return tuple(hearings)


@dataclass(frozen=True, slots=True)
class _Answer:
    """Whether one ear heard the same figure, and the others it heard there or nearly did: how much likelier each was to
    it than ours, natural logarithm of the odds; None where it does not tell.
    """

    agrees: bool
    rivals: dict[float, float | None]


def _together(answers: Sequence[_Answer]) -> tuple[tuple[float, float | None], ...]:
    """The likeliest rivals, each as likely as the ear says that thinks most of it; first those heard by an ear that
    does not tell.
    """
    most: dict[float, float | None] = {}
    for answer in answers:
        for rival, ratio in answer.rivals.items():
            known = most.get(rival)
            most[rival] = ratio if known is None else known if ratio is None else max(known, ratio)
    ranked = sorted(most.items(), key=lambda each: (each[1] is not None, -(each[1] or 0.0)))
    return tuple(ranked[:_MOST_RIVALS])


def _figures(tokens: Sequence[Token]) -> list[tuple[float, tuple[int, int]]]:
    """Each figure with the words it was read from."""
    return [(each.value, (tokens[each.first].word, tokens[each.last - 1].past)) for each in read_numbers(tokens)]


class _Ear:
    """One opinion's words, to be looked up by time."""

    def __init__(self, opinion: Opinion) -> None:
        self._words = opinion.words
        self._starts = [word.start_ms for word in opinion.words]
        self._rivals: dict[int, list[Rival]] = {}
        for rival in opinion.rivals:
            self._rivals.setdefault(rival.word, []).append(rival)

    def answer(self, value: float, start_ms: int, end_ms: int, own: set[float]) -> _Answer:
        """What it heard between two times: our figure, others, or none."""
        near = self._between(start_ms - _APART_MS, end_ms + _APART_MS)
        heard = self._values(near)
        digits = "".join(letter for at in near for letter in self._words[at].text if letter.isdigit())
        written = f"{value:g}".replace(".", "").lstrip("0")
        there = self._between(start_ms, end_ms)
        nearly = self._nearly(there if self._values(there) else near)
        if value in heard or (len(written) >= _FEWEST_DIGITS and written in digits):
            return _Answer(True, {each: ratio for each, ratio in nearly.items() if each not in own | {*heard}})
        ours = nearly.get(value)
        others = [each for each in self._values(there) or heard if each not in own]
        return _Answer(False, dict.fromkeys(others, None if ours is None else -ours))

    def _nearly(self, there: range) -> dict[float, float]:
        """The figures these words would be with what was nearly written, and how much likelier that was."""
        found: dict[float, float] = {}
        for at in there:
            for rival in self._rivals.get(at, ()):
                for each in self._values(there, {at: rival.text}):
                    found[each] = max(found.get(each, rival.log_ratio), rival.log_ratio)
        return found

    def _between(self, start_ms: int, end_ms: int) -> range:
        first = bisect_left(self._starts, start_ms)
        if first and self._words[first - 1].end_ms > start_ms:
            first -= 1
        return range(first, bisect_left(self._starts, end_ms))

    def _values(self, places: range, instead: Mapping[int, str] = {}) -> tuple[float, ...]:
        texts = [instead.get(at, self._words[at].text) for at in places]
        return tuple(dict.fromkeys(number.value for number in read_numbers(tokenise(texts))))
