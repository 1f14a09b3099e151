"""Where figures are is cut out at pauses, laid end to end, and what is heard there goes back to its place."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.listening.excerpts import Window, breaths, windows
from extractor.listening.recogniser import Spoken

RATE = 16_000


def spoken(*times: tuple[float, float]) -> list[Spoken]:
    return [Spoken(f"w{at}", start_s, end_s, 0.9, -0.2, 0.1) for at, (start_s, end_s) in enumerate(times)]


#: Three breaths of three words: from 1.0, 5.0 and 9.0 s, each of 2.6 s.
NINE = spoken(*((begin + at * 0.9, begin + at * 0.9 + 0.8) for begin in (1.0, 5.0, 9.0) for at in range(3)))


@pytest.mark.parametrize(
    ("spans", "expected"),
    [
        pytest.param([], [], id="nothing-asked"),
        pytest.param([(4, 5)], [(4.8, 7.8)], id="the-breath-around-a-word"),
        pytest.param([(3, 4), (5, 6)], [(4.8, 7.8)], id="two-figures-of-one-breath-once"),
        pytest.param([(0, 1), (8, 9)], [(0.8, 3.8), (8.8, 11.8)], id="two-breaths-apart"),
        pytest.param([(2, 4)], [(0.8, 7.8)], id="a-figure-across-a-pause"),
    ],
)
def test_breaths_with_figures(spans, expected):
    assert breaths(NINE, spans, (0.0, 20.0)) == [pytest.approx(each) for each in expected]


def test_a_breath_too_short_to_be_made_out_comes_with_its_neighbours():
    words = spoken((1.0, 2.0), (4.0, 4.3), (6.0, 7.0))
    assert breaths(words, [(1, 2)], (0.0, 20.0)) == [pytest.approx((0.8, 7.2))]


def test_a_breath_stays_within_its_stretch():
    assert breaths(spoken((3.0, 5.5)), [(0, 1)], (2.9, 5.6)) == [(2.9, 5.6)]


def test_windows_are_few_and_never_too_long():
    assert windows([(0, 10), (20, 30), (40, 50), (60, 89)], 29.0) == [
        Window(((0, 10), (20, 30))),
        Window(((40, 50),)),
        Window(((60, 89),)),
    ]


def test_a_window_is_cut_end_to_end_and_its_pieces_go_home():
    window = Window(((1.0, 2.0), (5.0, 7.0)))
    samples = np.arange(10 * RATE)
    assert window.cut(samples).tolist() == [*range(RATE, 2 * RATE), *range(5 * RATE, 7 * RATE)]
    first, second = window.parts(spoken((0.1, 0.6), (0.7, 1.2), (1.3, 1.9), (2.5, 3.9)))
    assert [(each.start_s, each.end_s) for each in first] == [(1.1, 1.6), (1.7, 2.0)]
    assert [(round(each.start_s, 3), round(each.end_s, 3)) for each in second] == [(5.3, 5.9), (6.5, 7.0)]


@given(st.lists(st.tuples(st.floats(0.05, 1.0), st.floats(0.0, 1.5)), min_size=1, max_size=30), st.data())
def test_every_word_asked_about_is_in_a_window_and_comes_back(sizes, data):
    at, times = 0.0, []
    for word_s, pause_s in sizes:
        times.append((at, at + word_s))
        at += word_s + pause_s
    words = spoken(*times)
    firsts = sorted(data.draw(st.sets(st.integers(0, len(words) - 1))))
    cut = breaths(words, [(first, first + 1) for first in firsts], (0.0, at))
    assert all(one[1] < other[0] for one, other in pairwise(cut))
    for window in windows(cut, 29.0):
        laid = [
            (start_s - from_s + shift, end_s - from_s + shift)
            for (from_s, to_s), shift in zip(
                window.stretches,
                np.cumsum([0.0, *(end_s - start_s for start_s, end_s in window.stretches)]),
                strict=False,
            )
            for start_s, end_s in times
            if from_s <= start_s and end_s <= to_s
        ]
        home = [each for part in window.parts(spoken(*laid)) for each in part]
        assert {round(each.start_s, 6) for each in home} <= {round(start_s, 6) for start_s, _ in times}
    inside = {first for first in firsts if any(a <= times[first][0] and times[first][1] <= b for a, b in cut)}
    assert inside == set(firsts)
