"""What reading and reconciling cost a word, beside a plain tokenizer on the same machine in the same run."""

import gc
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from extractor.lexicon import load
from extractor.listening.transcripts import read_transcript
from extractor.model import Word
from extractor.reading.statements import Reader
from extractor.reconciling.timeline import reconcile

pytestmark = pytest.mark.benchmark

SHORT, LONG = 10_000, 100_000


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


def seconds(work: Callable[[], object], times: int) -> float:
    """Processor time of the quickest of some runs: what the machine's other work adds is no property of the code."""
    spent = []
    for _ in range(times):
        gc.collect()
        gc.freeze()  # what the test itself keeps alive is nothing the collector is to walk on the code's time
        begin = time.process_time()
        work()
        spent.append(time.process_time() - begin)
        gc.unfreeze()
    return min(spent)


def test_the_time_a_word_takes_does_not_grow_with_the_case(words: tuple[Word, ...]) -> None:
    spacy = pytest.importorskip("spacy")
    lexicon = load()
    reader, plain = Reader(lexicon), spacy.blank("en")
    plain.max_length = 10_000_000

    def interpret(count: int) -> Callable[[], object]:
        def work() -> object:
            sentences, corrections = reader.read(words[:count])
            return reconcile(sentences, words[:count], corrections, lexicon)

        return work

    def tokenise(count: int) -> Callable[[], object]:
        text = " ".join(word.text for word in words[:count])
        return lambda: plain(text)

    interpret(SHORT)(), tokenise(SHORT)()  # whatever is looked up once
    a_word: dict[int, float] = {}
    for count, times in ((SHORT, 5), (LONG, 3)):
        ours, theirs = seconds(interpret(count), times), seconds(tokenise(count), times)
        a_word[count] = ours / count
        print(
            f"\n{count:,} words: reading and reconciling {count / ours:,.0f} words/s, "
            f"blank English tokenizer {count / theirs:,.0f} words/s, ratio {ours / theirs:.1f}"
        )
    print(f"A word of the long case takes {a_word[LONG] / a_word[SHORT]:.2f} times one of the short case.")
    assert a_word[LONG] <= 1.5 * a_word[SHORT]
