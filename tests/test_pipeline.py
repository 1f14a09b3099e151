"""The order of the rooms, and what interpreting a transcript leaves behind: nothing."""

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest

from extractor import pipeline
from extractor.lexicon import Lexicon, load
from extractor.listening.transcripts import read_transcript
from extractor.model import Word
from extractor.reading.statements import Reader, reader_of


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load()


@pytest.fixture(scope="module")
def reader(lexicon: Lexicon) -> Reader:
    return Reader(lexicon)


@pytest.fixture(autouse=True)
def _collector_on_afterwards() -> Iterator[None]:
    yield
    gc.enable()


def cases(fixtures: Path) -> list[Path]:
    return sorted(fixtures.glob("*/transcript.vtt"))


def test_interpreting_leaves_nothing_for_the_collector(
    request: pytest.FixtureRequest, reader: Reader, lexicon: Lexicon
) -> None:
    paths = cases(request.config.rootpath / "fixtures")
    transcripts = [read_transcript(path) for path in paths]
    told = [len(pipeline.understand(transcript.words, reader, lexicon)[1]) for transcript in transcripts]
    assert all(told)  # what is made once is made, and there is something to leave behind
    gc.disable()
    gc.collect()
    for transcript in transcripts:
        pipeline.understand(transcript.words, reader, lexicon)
    assert gc.collect() == 0


def test_one_reader_serves_lexicons_of_the_same_content(lexicon: Lexicon) -> None:
    assert reader_of(lexicon) is reader_of(load())
    fewer = lexicon.model_copy(update={"drug": lexicon.drug[1:]})
    assert reader_of(fewer) is not reader_of(lexicon)


def test_a_reader_kept_reads_as_a_new_one_does(request: pytest.FixtureRequest, lexicon: Lexicon) -> None:
    kept = reader_of(lexicon)
    for path in cases(request.config.rootpath / "fixtures"):
        words = read_transcript(path).words
        pipeline.understand(words, kept, lexicon)
        again = pipeline.understand(words, kept, lexicon)
        assert again == pipeline.understand(words, Reader(lexicon), lexicon)


@pytest.mark.parametrize("was_on", [True, False], ids=["on before", "off before"])
def test_the_collector_is_afterwards_as_it_was(reader: Reader, lexicon: Lexicon, was_on: bool) -> None:
    (gc.enable if was_on else gc.disable)()
    pipeline.understand([Word(text="Stent.", start_ms=0, end_ms=400)], reader, lexicon)
    assert gc.isenabled() is was_on


@pytest.mark.parametrize("was_on", [True, False], ids=["on before", "off before"])
def test_the_collector_is_as_it_was_after_a_failure_too(lexicon: Lexicon, was_on: bool) -> None:
    class Failing(Reader):
        def read(self, words: object) -> object:  # type: ignore[override]
            assert not gc.isenabled()
            raise ValueError("no words")

    (gc.enable if was_on else gc.disable)()
    with pytest.raises(ValueError, match="no words"):
        pipeline.understand([], Failing(lexicon), lexicon)
    assert gc.isenabled() is was_on
