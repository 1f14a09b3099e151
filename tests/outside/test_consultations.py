"""Ordinary talk through reading and reconciling: where no procedure is told, none may be found.

Sources: PriMock57 (Korfiatis et al. 2022, ACL), 57 mock consultations as TextGrid, CC BY 4.0, two tiers a consultation
merged by time; Apollo 13 mission control loops, timed utterances, public domain / CC0. A phantom is an event that says
it was done and asks nobody to look.
"""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from extractor.lexicon import load
from extractor.model import Event, Status, Word
from extractor.network import second_reader
from extractor.reading.statements import Reader
from extractor.reconciling.timeline import reconcile

INTERVAL = re.compile(r'xmin = ([\d.]+)\s+xmax = ([\d.]+)\s+text = "((?:[^"]|"")*)"')
TAG = re.compile(r"<[^>]*>")
#: Utterances of the loops in one reading: about the length of a case.
LOOP_LENGTH = 500
#: A word takes at least this long: about the fastest speech there is.
FASTEST_S = 0.15

Utterance = tuple[float, float, str]
Source = Callable[[Path], list[list[Utterance]]]


@pytest.fixture(scope="module")
def phantoms() -> "Phantoms":
    return Phantoms()


class Phantoms:
    """Conversations -> events that are done and carry no review. One reader for all of them."""

    def __init__(self) -> None:
        self.lexicon = load()
        self.reader = Reader(self.lexicon)

    def find(self, conversation: list[Utterance]) -> list[Event]:
        words = words_of(conversation)
        sentences, corrections = self.reader.read(words)
        events = reconcile(sentences, words, corrections, self.lexicon, second=second_reader())
        return [event for event in events if event.status is Status.DONE and not event.review]


def words_of(conversation: list[Utterance]) -> tuple[Word, ...]:
    """Timed utterances -> words, each given an even share of its utterance.

    Utterances stay whole: one that begins while another is spoken follows it, as the loops know only whole seconds.
    """
    words: list[Word] = []
    free_s = 0.0
    for start_s, end_s, text in sorted(conversation, key=lambda utterance: utterance[0]):
        said = TAG.sub(" ", text).split()
        at_s = max(start_s, free_s)
        share_s = max((end_s - at_s) / max(len(said), 1), FASTEST_S)
        for number, word in enumerate(said):
            start_ms = round(1000 * (at_s + number * share_s))
            words.append(Word(text=word, start_ms=start_ms, end_ms=start_ms + round(900 * share_s)))
        free_s = at_s + len(said) * share_s
    return tuple(words)


def consultations(folder: Path) -> list[list[Utterance]]:
    """The doctor's and the patient's tier of each consultation, as one."""
    place = folder / "primock57" / "transcripts"
    names = sorted({path.name.rsplit("_", 1)[0] for path in place.glob("*.TextGrid")})
    return [
        [
            (float(start), float(end), text.replace('""', '"'))
            for path in sorted(place.glob(f"{name}_*.TextGrid"))
            for start, end, text in INTERVAL.findall(path.read_text(encoding="utf-8"))
            if text.strip()
        ]
        for name in names
    ]


def loops(folder: Path) -> list[list[Utterance]]:
    """The loops cut into stretches, each from the start of its own clock. An utterance without a time follows on."""
    stretches = []
    for name in ("air-ground-loop", "flight-director-loop"):
        said = json.loads((folder / "apollo" / f"{name}.json").read_text(encoding="utf-8"))
        for first in range(0, len(said), LOOP_LENGTH):
            stretch: list[Utterance] = []
            zero = at_s = next(each["start"] for each in said[first:] if "start" in each)
            for each in said[first : first + LOOP_LENGTH]:
                at_s = each.get("start", at_s)
                stretch.append((at_s - zero, each.get("end", at_s) - zero, each["message"]))
            stretches.append(stretch)
    return stretches


#: (conversations, how many of them)
TALK = [
    pytest.param(consultations, 6, id="6 consultations"),
    pytest.param(loops, 1, id="500 utterances of the loops"),
    pytest.param(consultations, 57, id="57 consultations", marks=pytest.mark.slow),
    pytest.param(loops, 12, id="5,386 utterances of the loops", marks=pytest.mark.slow),
]


@pytest.mark.parametrize(("source", "many"), TALK)
def test_no_phantom(open_data: Path, phantoms: Phantoms, source: Source, many: int) -> None:
    conversations = source(open_data)[:many]
    assert len(conversations) == many
    assert [event for conversation in conversations for event in phantoms.find(conversation)] == []
