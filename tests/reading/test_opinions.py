"""Figures are compared with what other recognisers heard there, however they write them."""

import pytest

from extractor.model import Opinion, Rival, SpeechModel, Word
from extractor.reading.opinions import compare, worth_asking


def said(text: str, late_ms: int = 0) -> tuple[Word, ...]:
    """Words of half a second each; a dash is half a second without a word."""
    return tuple(
        Word(text=each, start_ms=at * 500 + late_ms, end_ms=at * 500 + 450 + late_ms)
        for at, each in enumerate(text.split())
        if each != "-"
    )


def opinion(text: str, late_ms: int = 0, rivals: tuple[tuple[int, str, float], ...] = ()) -> Opinion:
    """``rivals``: number of the word, what was nearly written there, log ratio."""
    return Opinion(
        speech_model=SpeechModel(name="another", sha256="0" * 64),
        words=said(text, late_ms),
        rivals=tuple(Rival(word=word, text=text, log_ratio=ratio) for word, text, ratio in rivals),
    )


#: id: (what the chosen model heard, what the other heard, for its first figure: heard otherwise, unheard, rivals)
ANSWERS = {
    "the same words": ("up to twelve atmospheres", "up to twelve atmospheres", 0, 0, ()),
    "in digits": ("up to twelve atmospheres", "up to 12 atmospheres", 0, 0, ()),
    "with its unit in one word": ("six French sheath", "6Fr French sheath", 0, 0, ()),
    "a pair in one word": ("four by forty balloon", "4x40 - - balloon", 0, 0, ()),
    "digit by digit with dashes": ("oh one eight wire", "- 0-1-8 - wire", 0, 0, ()),
    "a third of a second late": ("up to twelve atmospheres", "up to twelve atmospheres", 0, 0, ()),
    "the other of two alike": ("for fifteen seconds", "for fifty seconds", 1, 0, ((50.0, None),)),
    "no figure": ("the forty balloon", "the party balloon", 0, 1, ()),
    "nothing": ("the forty balloon", "the - balloon", 0, 1, ()),
    "only the neighbour's": ("six by sixty", "six by six", 0, 0, ()),
}


@pytest.mark.parametrize(("heard", "other", "otherwise", "unheard", "rivals"), ANSWERS.values(), ids=ANSWERS)
def test_a_figure_is_compared_with_what_another_heard(heard, other, otherwise, unheard, rivals):
    first, *_ = compare(said(heard), [opinion(other, 330 if "late" in heard else 0)])
    assert (first.otherwise, first.unheard, first.rivals) == (otherwise, unheard, rivals)


def test_a_neighbours_figure_is_no_rival():
    *_, last = compare(said("six by sixty"), [opinion("six by six")])
    assert (last.otherwise, last.unheard, last.rivals) == (0, 1, ())


def test_several_opinions_are_counted():
    (only,) = compare(
        said("to forty now"), [opinion("to fourteen now"), opinion("to fourteen now"), opinion("to - now")]
    )
    assert (only.otherwise, only.unheard, only.rivals) == (2, 1, ((14.0, None),))


#: id: (what was heard, what another heard, what it nearly wrote, the rivals of the only figure)
NEARLY = {
    "nearly another": ("for fifteen", "for 15", [(1, "50", -2.5)], ((50, -2.5),)),
    "in a figure of several words": ("one hundred fifteen", "- 115 -", [(0, "150", -1)], ((150, -1),)),
    "one of several words": ("two hundred and fifty", "two hundred and fifty", [(3, "fifteen", -1)], ((215, -1),)),
    "heard otherwise, ours nearly": ("for fifteen", "for 50", [(1, "15", -1.5)], ((50, 1.5),)),
    "heard otherwise, something else nearly": ("for fifteen", "for 50", [(1, "90", -1)], ((50, None),)),
    "of another word": ("for fifteen", "four 15", [(0, "five", -1)], ()),
    "the likeliest three": (
        "for fifteen",
        "for 15",
        [(1, text, ratio) for text, ratio in (("50", -4), ("16", -3), ("19", -5), ("14", -2))],
        ((14, -2), (16, -3), (50, -4)),
    ),
}


@pytest.mark.parametrize(("heard", "other", "rivals", "told"), NEARLY.values(), ids=NEARLY)
def test_what_another_nearly_wrote_is_told_with_its_odds(heard, other, rivals, told):
    (only,) = compare(said(heard), [opinion(other, rivals=tuple(rivals))])
    assert only.rivals == told


def test_of_two_ears_the_one_counts_that_thinks_most_of_it():
    ears = [opinion("for 15", rivals=((1, "50", ratio),)) for ratio in (-4, -1)]
    (only,) = compare(said("for fifteen"), ears)
    assert (only.otherwise, only.rivals) == (0, ((50, -1),))


def test_nobody_asked_nothing_compared():
    assert compare(said("to forty now"), []) == ()


def test_the_words_of_a_figure_are_its_own():
    hearings = compare(said("two hundred and fifty mils and then eight"), [opinion("-")])
    assert [(hearing.words, hearing.value) for hearing in hearings] == [((0, 4), 250.0), ((7, 8), 8.0)]


@pytest.mark.parametrize(
    ("said", "worth"),
    [
        ("up to fourteen", [(2, 3)]),
        ("an 0-1-8 wire and a six", [(1, 2), (5, 6)]),
        ("half a mil", [(0, 2)]),
        ("is the table down", []),
        ("", []),
    ],
)
def test_others_are_asked_where_a_figure_is(said, worth):
    assert worth_asking(said.split()) == worth
