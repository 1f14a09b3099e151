"""Ordinary talk through repair: less than one word in a thousand may be read as a term of the trade that nobody said.

Sources: PriMock57 and the Apollo 13 loops as in ``test_consultations``; LibriVox sentences (pocketsphinx), AN4 and the
speech-to-intent benchmark, by what was said in them; Shakespeare's sonnets as read for LibriVox. The recogniser's own
doubt is what repair by sound goes by, and a text has none: so here every single word is doubted, which is worse than
any recording. Terms that the talk does hold ("paracetamol") are right as they stand and must stay.
"""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from extractor.lexicon import load
from extractor.model import Correction, Word
from extractor.reading.repair import Repairer

from .test_consultations import consultations, loops

#: Less than this is unsure for repair by sound; every word is.
DOUBTED = 0.4
#: False repairs in so many words.
MOST, WORDS = 1, 1000

Source = Callable[[Path], list[str]]


@pytest.fixture(scope="module")
def repairer() -> Repairer:
    return Repairer(load())


def talk(folder: Path) -> list[str]:
    return [" ".join(text for _, _, text in sorted(each)) for each in consultations(folder)]


def radio(folder: Path) -> list[str]:
    return [" ".join(text for _, _, text in stretch) for stretch in loops(folder)]


def read_aloud(folder: Path) -> list[str]:
    books = [path.read_text(encoding="utf-8") for path in sorted((folder / "pocketsphinx" / "librivox").glob("*.txt"))]
    pages = [path.read_text(encoding="utf-8") for path in sorted((folder / "sonnets").glob("*.xhtml"))]
    return [*books, *(re.sub(r"(?s)<head>.*?</head>|<[^>]+>", " ", page) for page in pages)]


def census(folder: Path) -> list[str]:
    said = (folder / "an4" / "etc" / "an4_test.transcription").read_text(encoding="utf-8")
    return [re.sub(r"\(\S+\)\s*$|</?s>", " ", said, flags=re.MULTILINE).lower()]


def orders(folder: Path) -> list[str]:
    labels = json.loads((folder / "speech-to-intent" / "labels_subset.json").read_text(encoding="utf-8"))
    return [" ".join(label["slots"].values()) for label in labels.values()]


#: (what is said, at least how many words it holds)
SAID = [
    pytest.param(talk, 80_000, id="consultations"),
    pytest.param(radio, 50_000, id="mission control"),
    pytest.param(read_aloud, 300, id="books and sonnets"),
    pytest.param(census, 500, id="letters, digits, dates"),
    pytest.param(orders, 300, id="orders of coffee"),
]


@pytest.mark.parametrize(("source", "least"), SAID)
def test_ordinary_talk_is_left_alone(open_data: Path, repairer: Repairer, source: Source, least: int) -> None:
    texts = [text.split() for text in source(open_data)]
    said = sum(map(len, texts))
    repairs = [each for words in texts for each in repaired(repairer, words, DOUBTED)]
    assert said >= least
    assert len(repairs) * WORDS < MOST * said


def test_a_transcript_without_doubt_is_never_repaired_by_sound(open_data: Path, repairer: Repairer) -> None:
    for text in (*talk(open_data), *radio(open_data)):
        assert [each for each in repaired(repairer, text.split(), 1.0) if each.why == "sounds-alike"] == []


def repaired(repairer: Repairer, said: list[str], probability: float) -> list[Correction]:
    words = tuple(
        Word(text=text, start_ms=350 * at, end_ms=350 * at + 300, probability=probability)
        for at, text in enumerate(said)
    )
    return repairer.repair(words)[1]
