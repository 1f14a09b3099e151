"""What must not matter: how a transcript is cut, short pauses, small talk between the lines, who is being spoken to."""

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extractor.lexicon import load
from extractor.listening.transcripts import read_transcript
from extractor.model import Event, Word
from extractor.network import second_reader
from extractor.reading.statements import Reader
from extractor.reconciling.timeline import reconcile

CASES = sorted((Path(__file__).parent.parent / "fixtures").glob("*/transcript.vtt"))
LEXICON = load()
READER = Reader(LEXICON)

#: Between two lines of a fixture there is at least this much silence; inside one there is none.
BETWEEN_MS = 400
#: Nothing of the trade is in them.
SMALL_TALK = ("lovely weather we are having", "my sister moved house")
NAMES = ("Nora", "Tom", "Priya", "Anne-Marie", "O'Brien", "José", "Grant", "Rose", "Doctor Patel", "Mister Okafor")

Line = tuple[Word, ...]
Core = tuple[object, ...]

each_case = pytest.mark.parametrize("path", CASES, ids=lambda path: path.parent.name)


def draft(words: Sequence[Word]) -> tuple[Event, ...]:
    sentences, corrections = READER.read(words)
    return tuple(reconcile(sentences, words, corrections, LEXICON, second=second_reader()))


def core(events: Iterable[Event]) -> list[Core]:
    """What a person reads of the events, without times, words and confidence."""
    return [
        (
            str(event.kind),
            str(event.status),
            {key: (value.value, value.unit) for key, value in event.values.items()},
            event.device,
            event.drug,
            event.finding,
        )
        for event in events
    ]


def lines_of(path: Path) -> list[Line]:
    """A transcript's words, line by line."""
    words = read_transcript(path).words
    cuts = [i for i in range(1, len(words)) if words[i].start_ms - words[i - 1].end_ms >= BETWEEN_MS]
    return [words[first:last] for first, last in pairwise((0, *cuts, len(words)))]


def speak(lines: Iterable[str]) -> list[Word]:
    """Lines -> words, a third of a second each, with 700 ms between the lines."""
    words: list[Word] = []
    at_ms = 0
    for line in lines:
        for text in line.split():
            words.append(Word(text=text, start_ms=at_ms, end_ms=at_ms + 330))
            at_ms += 330
        at_ms += 700
    return words


def text_of(line: Line) -> str:
    return " ".join(word.text for word in line)


def test_the_lines_of_a_fixture_are_told_apart() -> None:
    """Else the tests below would insert into the midst of a sentence."""
    assert [len(lines_of(path)) for path in CASES] == [path.read_text(encoding="utf-8").count("-->") for path in CASES]


# --- how it is cut


def clock(ms: int) -> str:
    return f"{ms // 3_600_000:02}:{ms // 60_000 % 60:02}:{ms // 1000 % 60:02}.{ms % 1000:03}"


def cut(words: Sequence[Word], cuts: Iterable[int]) -> str:
    """Words -> WebVTT with a new cue at each of the cuts, each word with its own time."""
    cues = [words[first:last] for first, last in pairwise((0, *sorted(cuts), len(words)))]
    return "WEBVTT\n" + "".join(
        f"\n{clock(cue[0].start_ms)} --> {clock(cue[-1].end_ms)}\n"
        + " ".join(f"<{clock(word.start_ms)}>{word.text}<{clock(word.end_ms)}>" for word in cue)
        + "\n"
        for cue in cues
    )


@pytest.fixture(scope="module")
def recut(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Sequence[Word], Iterable[int]], tuple[Word, ...]]:
    place = tmp_path_factory.mktemp("recut") / "case.vtt"

    def read(words: Sequence[Word], cuts: Iterable[int]) -> tuple[Word, ...]:
        place.write_text(cut(words, cuts), encoding="utf-8")
        return read_transcript(place).words

    return read


@each_case
def test_one_word_a_cue_changes_nothing(path: Path, recut: Callable[..., tuple[Word, ...]]) -> None:
    words = read_transcript(path).words
    again = recut(words, range(1, len(words)))
    assert again == words
    assert draft(again) == draft(words)


@each_case
@settings(max_examples=10)
@given(data=st.data())
def test_cues_cut_anywhere_change_nothing(
    path: Path, recut: Callable[..., tuple[Word, ...]], data: st.DataObject
) -> None:
    words = read_transcript(path).words
    again = recut(words, data.draw(st.sets(st.integers(1, len(words) - 1))))
    assert again == words
    assert draft(again) == draft(words)


@each_case
@pytest.mark.parametrize("pause_ms", [100, 300], ids=lambda ms: f"{ms}ms")
def test_short_pauses_inside_lines_change_nothing(path: Path, pause_ms: int) -> None:
    lines = lines_of(path)
    slower = [
        word.model_copy(update={"start_ms": word.start_ms + pause_ms * late, "end_ms": word.end_ms + pause_ms * late})
        for late, word in zip(lateness(lines), (word for line in lines for word in line), strict=True)
    ]
    assert core(draft(slower)) == core(draft([word for line in lines for word in line]))


def lateness(lines: Sequence[Line]) -> list[int]:
    """How many pauses come before each word: one more with each word, but for the first of a line."""
    pauses = [int(i > 0) for line in lines for i in range(len(line))]
    return [sum(pauses[: i + 1]) for i in range(len(pauses))]


# --- small talk


SPOKEN = {path.parent.name: [text_of(line) for line in lines_of(path)] for path in CASES}
PLACES = [
    pytest.param(
        case,
        number,
        talk,
        id=f"{case}, line {number}, {talk.split()[0]}",
    )
    for case, lines in SPOKEN.items()
    for number in range(len(lines) + 1)
    for talk in SMALL_TALK
]


@pytest.fixture(scope="module")
def plain() -> dict[str, list[Core]]:
    """What each case gives when nothing is added."""
    return {case: core(draft(speak(lines))) for case, lines in SPOKEN.items()}


@pytest.mark.slow
@pytest.mark.parametrize(("case", "number", "talk"), PLACES)
def test_a_line_of_small_talk_changes_nothing(plain: dict[str, list[Core]], case: str, number: int, talk: str) -> None:
    lines = SPOKEN[case]
    assert core(draft(speak([*lines[:number], talk, *lines[number:]]))) == plain[case]


@pytest.mark.parametrize("case", SPOKEN)
def test_small_talk_after_every_line_changes_nothing(plain: dict[str, list[Core]], case: str) -> None:
    lines = [said for line in SPOKEN[case] for said in (line, SMALL_TALK[0])]
    assert core(draft(speak(lines))) == plain[case]


# --- names


def addressed(lines: Sequence[str], name: str) -> list[str]:
    """Every other line begins with a name, the others end with thanks to it."""
    return [f"{name}, {line}" if i % 2 else f"{line} Thank you, {name}." for i, line in enumerate(lines)]


@pytest.mark.parametrize("case", SPOKEN)
@pytest.mark.parametrize("name", NAMES)
def test_who_is_spoken_to_changes_nothing(case: str, name: str) -> None:
    lines = SPOKEN[case]
    assert core(draft(speak(addressed(lines, name)))) == core(draft(speak(addressed(lines, "Grace"))))
