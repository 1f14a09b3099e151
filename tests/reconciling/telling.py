"""Lines of a spoken case -> its events, through the real reading and reconciling rooms. No sound, no clock.

An event is written as one line, so that a table of cases reads like a table:

    inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm
"""

from functools import cache

from extractor.lexicon import Lexicon, load
from extractor.model import Event, Word
from extractor.reading.statements import Reader
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
def shipped() -> tuple[Lexicon, Reader]:
    """The shipped lexicons and a reader of them, made once."""
    lexicon = load()
    return lexicon, Reader(lexicon)


def tell(text: str) -> tuple[Event, ...]:
    """Lines -> events, with the shipped lexicons."""
    return tell_words(words_of(text))


def tell_words(words: tuple[Word, ...]) -> tuple[Event, ...]:
    """Words -> events, with the shipped lexicons."""
    lexicon, reader = shipped()
    sentences, corrections = reader.read(words)
    return reconcile(sentences, words, corrections, lexicon)


def told(text: str) -> list[str]:
    """Lines -> events, one line each."""
    return [line_of(event) for event in tell(text)]


def line_of(event: Event) -> str:
    """An event -> kind, status, what, and values in the order of their names; flags and times left out."""
    what = event.device or event.drug or event.finding
    values = ", ".join(f"{key} {value.value:g} {value.unit}" for key, value in sorted(event.values.items()))
    head = " ".join(filter(None, (event.kind, event.status, what)))
    return f"{head} | {values}" if values else head
