"""Lines of a spoken case -> its events, through the real reading and reconciling rooms. No sound, no clock.

An event is written as one line, so that a table of cases reads like a table:

    inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm
"""

from collections.abc import Callable, Iterable, Sequence
from functools import cache

import pytest
from _pytest.mark import ParameterSet

from extractor.lexicon import Lexicon, load
from extractor.model import Event, Word
from extractor.reading.statements import reader_of
from extractor.reconciling.second_reader import SecondReader
from extractor.reconciling.timeline import reconcile

WORDS_A_SECOND = 2.6
SPOKEN_SHARE = 0.9  # of a word's time; the rest is the gap to the next one, far too short for a pause
PAUSE_S = 0.7  # between lines


def words_of(text: str) -> tuple[Word, ...]:
    """Lines -> words at an even pace, a pause after each line."""
    words: list[Word] = []
    at_s = 0.0
    for line in filter(str.strip, text.splitlines()):
        for said in line.split():
            long_s = 1 / WORDS_A_SECOND
            words.append(
                Word(text=said, start_ms=round(1000 * at_s), end_ms=round(1000 * (at_s + SPOKEN_SHARE * long_s)))
            )
            at_s += long_s
        at_s += PAUSE_S
    return tuple(words)


@cache
def shipped() -> Lexicon:
    """The shipped lexicons, loaded once."""
    return load()


def tell(text: str) -> tuple[Event, ...]:
    """Lines -> events, with the shipped lexicons."""
    return tell_words(words_of(text))


def tell_words(words: tuple[Word, ...], second: SecondReader | None = None) -> tuple[Event, ...]:
    """Words -> events, with the shipped lexicons: by the rules alone, or with the second reader beside them."""
    lexicon = shipped()
    sentences, corrections = reader_of(lexicon).read(words)
    return reconcile(sentences, words, corrections, lexicon, second=second)


def told(text: str) -> list[str]:
    """Lines -> events, one line each."""
    return [line_of(event) for event in tell(text)]


def tells(cases: Iterable[ParameterSet], before: str = "", first: Sequence[str] = ()) -> Callable[..., None]:
    """A table of lines and the events they tell -> its test. ``before`` is said before each, ``first`` told of it."""

    @pytest.mark.parametrize(("lines", "events"), cases)
    def test(lines: str, events: list[str]) -> None:
        assert told(before + lines) == [*first, *events]

    return test


def line_of(event: Event) -> str:
    """An event -> kind, status, what, and values in the order of their names; flags and times left out."""
    what = event.device or event.drug or event.finding
    values = ", ".join(f"{key} {value.value:g} {value.unit}" for key, value in sorted(event.values.items()))
    head = " ".join(filter(None, (event.kind, event.status, what)))
    return f"{head} | {values}" if values else head
