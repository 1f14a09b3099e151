"""Words -> sentences: where one ends, what a breath is, and that no word is lost on the way."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.model import Sentence, Status
from extractor.reading.statements import _LONGEST_BREATH, _LONGEST_SENTENCE, PAUSE_MS

from .small import READER, items, read, words_of

#: (text, the word ranges of its sentences)
SENTENCES = [
    pytest.param("Balloon is in.", [(0, 3)], id="one"),
    pytest.param("Balloon is in. Stent please.", [(0, 3), (3, 5)], id="two"),
    pytest.param("Is it in? No! Yes.", [(0, 3), (3, 4), (4, 5)], id="question and exclamation"),
    pytest.param("up to 2.5 atm and", [(0, 5)], id="a point inside a number ends nothing"),
    pytest.param("going up... twelve", [(0, 3)], id="an ellipsis is a breath, no end"),
    pytest.param(". . .", [], id="marks alone are none"),
    pytest.param("", [], id="nothing"),
]


@pytest.mark.parametrize(("text", "ranges"), SENTENCES)
def test_sentences(text: str, ranges: list[tuple[int, int]]) -> None:
    assert [sentence.words for sentence in read(text)] == ranges


def _paused(ms: int) -> list[Sentence]:
    return READER.read(words_of("balloon is in stent please", pauses={3: ms}))[0]


# Words stand 50 ms apart; the silence is that and the pause.
BORDER = [
    pytest.param(PAUSE_MS - 50, [(0, 3), (3, 5)], [0, 1], id="a pause"),
    pytest.param(PAUSE_MS - 51, [(0, 5)], [0], id="a millisecond less is none"),
]


@pytest.mark.parametrize(("ms", "ranges", "breaths"), BORDER)
def test_a_pause_ends_a_sentence_and_a_breath(ms: int, ranges: list[tuple[int, int]], breaths: list[int]) -> None:
    sentences = _paused(ms)
    assert [sentence.words for sentence in sentences] == ranges
    assert [sentence.breath for sentence in sentences] == breaths


def test_sentences_of_one_breath_share_it() -> None:
    assert [sentence.breath for sentence in read("Balloon is in. Stent please. No spasm.")] == [0, 0, 0]


@pytest.mark.parametrize(("more", "last"), [(0, 0), (1, 1)], ids=["as many as can be", "one more"])
def test_a_breath_ends_where_a_transcript_shows_no_pauses(more: int, last: int) -> None:
    sentences = read("Balloon is in. " * (_LONGEST_BREATH + more))
    assert {sentence.breath for sentence in sentences[:_LONGEST_BREATH]} == {0}
    assert sentences[-1].breath == last


def test_a_sentence_tells_what_it_is() -> None:
    question, answer = read("Is there no dissection? Heparin last week.")
    assert (question.question, answer.question) == (True, False)
    assert question.cues == {Status.NEGATED}
    assert answer.cues == {Status.PAST}
    assert "dissection" in question.texts


def test_items_stand_in_the_order_they_are_said() -> None:
    (sentence,) = read("Left common femoral artery, mid, heparin is in, the six french sheath, no spasm")
    firsts = [item.words[0] for item in sentence.items if item.kind != "mark"]
    assert firsts == sorted(firsts)


def test_a_place_a_side_and_a_part_are_told_apart() -> None:
    found = {item.kind: item.name for item in items("left common femoral, mid", "place", "side", "part")}
    assert found == {"side": "left", "place": "common femoral artery", "part": "mid"}


def test_what_is_repaired_is_read_as_meant() -> None:
    sentences, corrections = READER.read(words_of("five thousand of pepper and given"))
    (drug,) = [item for item in sentences[0].items if item.kind == "drug"]
    assert drug.name == "heparin"
    assert drug.figures["dose"].value == 5000
    assert [correction.heard for correction in corrections] == ["pepper and"]


@pytest.mark.parametrize("word", ["and", "seven"])
def test_words_without_any_mark_are_parted_but_no_figure_is(word: str) -> None:
    sentences = read(" ".join(["balloon"] * _LONGEST_SENTENCE + [word, "up"]))
    parted = _LONGEST_SENTENCE if word == "and" else _LONGEST_SENTENCE + 2
    assert sentences[0].words == (0, parted)
    assert sum(past - first for first, past in (sentence.words for sentence in sentences)) == _LONGEST_SENTENCE + 2


@pytest.mark.parametrize(
    "text", ["stent graft", "balloon is in", "common femoral artery"], ids=["device", "action", "place"]
)
def test_a_pause_inside_a_term_breaks_nothing(text: str) -> None:
    words = words_of(text, pauses={len(text.split()) - 1: 700})
    sentences, _ = READER.read(words)
    assert [sentence.words[1] for sentence in sentences] == [len(words) - 1, len(words)]


SAID = st.lists(
    st.sampled_from(
        """balloon stent sheath wire six by eighty french oh three five no might please heparin thousand of is in down
        pepper and sorry , . ? ... left mid 5x80 6F 2.5 atmospheres for two minutes percent not seen""".split()
    ),
    max_size=40,
)


@given(SAID, st.lists(st.booleans(), min_size=40, max_size=40))
def test_whatever_is_said_is_read_whole(said: list[str], pauses: list[bool]) -> None:
    """Sentences lie one after another and cover every word but marks alone; items lie inside their sentence."""
    words = words_of(" ".join(said), {number: 700 for number, pause in enumerate(pauses) if pause})
    sentences, _ = READER.read(words)
    for before, after in pairwise(sentences):
        assert before.words[1] <= after.words[0]
        assert before.breath <= after.breath
    covered = {index for sentence in sentences for index in range(*sentence.words)}
    assert all(index in covered for index, word in enumerate(words) if any(map(str.isalnum, word.text)))
    for sentence in sentences:
        for item in sentence.items:
            assert sentence.words[0] <= item.words[0] < item.words[1] <= sentence.words[1]
