"""What other recognisers heard where a figure was heard: the same, another figure, or none.

They write as they like ("six French", "6Fr", "0-1-8"), so figures are compared, not words, and by their time.
"""

from bisect import bisect_left
from collections.abc import Sequence

from extractor.model import Opinion, SecondHearing, Word
from extractor.reading.numbers import read_numbers
from extractor.reading.tokens import Token, tokenise

#: Two recognisers give one word times that differ by so much.
_APART_MS = 350
_FEWEST_DIGITS = 2


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
        rivals = tuple(dict.fromkeys(rival for answer in answers if answer for rival in answer))
        hearings.append(
            SecondHearing(
                words=(first, past),
                value=value,
                otherwise=sum(bool(answer) for answer in answers),
                unheard=sum(answer == () for answer in answers),
                rivals=rivals,
            )
        )
    return tuple(hearings)


def _figures(tokens: Sequence[Token]) -> list[tuple[float, tuple[int, int]]]:
    """Each figure with the words it was read from."""
    return [(each.value, (tokens[each.first].word, tokens[each.last - 1].past)) for each in read_numbers(tokens)]


class _Ear:
    """One opinion's words, to be looked up by time."""

    def __init__(self, opinion: Opinion) -> None:
        self._words = opinion.words
        self._starts = [word.start_ms for word in opinion.words]

    def answer(self, value: float, start_ms: int, end_ms: int, own: set[float]) -> tuple[float, ...] | None:
        """None: the same figure. Else the other figures heard there, which may be none."""
        near = self._between(start_ms - _APART_MS, end_ms + _APART_MS)
        heard = _values(near)
        digits = "".join(letter for text in near for letter in text if letter.isdigit())
        written = f"{value:g}".replace(".", "").lstrip("0")
        if value in heard or (len(written) >= _FEWEST_DIGITS and written in digits):
            return None
        there = _values(self._between(start_ms, end_ms)) or heard
        return tuple(each for each in there if each not in own)

    def _between(self, start_ms: int, end_ms: int) -> list[str]:
        first = bisect_left(self._starts, start_ms)
        if first and self._words[first - 1].end_ms > start_ms:
            first -= 1
        past = bisect_left(self._starts, end_ms)
        return [word.text for word in self._words[first:past]]


def _values(texts: Sequence[str]) -> tuple[float, ...]:
    return tuple(dict.fromkeys(number.value for number in read_numbers(tokenise(texts))))
