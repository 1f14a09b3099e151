"""The network beside the rules: that it reads all of a case, and each part of it alone."""

import numpy as np
import pytest

from extractor import network as module
from extractor.network import Pieces, second_reader, spelling
from extractor.reading.statements import reader_of
from extractor.reconciling.second_reader import Opinion, of_the_trade, tokens
from extractor.reconciling.timeline import story_of
from tests.reconciling.telling import shipped, words_of

FILLER = "Sheath in, six French, and flush it.\n"


def opinion(text: str) -> Opinion:
    words = words_of(text)
    sentences, _ = reader_of(shipped()).read(words)
    drafts = story_of(sentences, words)
    return second_reader().read(of_the_trade(sentences), drafts)


def test_a_case_of_nothing_gives_no_opinion() -> None:
    found = second_reader().read([], [])
    assert not found.figures
    assert not found.events


def test_each_sentence_and_each_figure_has_an_opinion() -> None:
    found = opinion("Six by forty balloon, up to ten.\nRun please, eight mils at four.\n")
    assert len(found.figures) == 5
    assert [len(likely) for likely in found.events] == [len(found.labels)] * 2
    assert all(0 < share < 1 for likely in found.events for share in likely)


def test_a_long_case_is_read_to_its_end() -> None:
    found = opinion(FILLER * 120 + "Run please, eight mils at four.\n")
    assert len(found.events) == 121
    assert len(found.figures) == 122


def test_a_sentence_longer_than_what_is_read_at_once_is_no_fault() -> None:
    found = opinion("The balloon and " + "the wire and " * 400 + "six French sheath is in.\n")
    assert len(found.figures) == 1


def test_what_is_far_away_changes_nothing() -> None:
    ending = "Run please, eight mils at four.\n"
    one, other = (opinion(first + FILLER * 60 + ending) for first in ("Heparin five thousand is in.\n", ""))
    np.testing.assert_allclose(one.events[-1], other.events[-1], atol=0.05)


@pytest.mark.parametrize(
    "longs",
    [
        pytest.param([], id="none"),
        pytest.param([5], id="one"),
        pytest.param([700], id="longer than can be"),
        pytest.param([40] * 30, id="many alike"),
        pytest.param([3, 200, 3, 3, 90, 90, 1], id="of all lengths"),
    ],
)
def test_stretches_cover_each_sentence_once_with_what_is_around(longs: list[int]) -> None:
    ends = np.cumsum(longs).tolist()
    begins = [0, *ends[:-1]] if longs else []
    found = list(module._stretches(begins, sum(longs)))
    assert [number for each in found for number in range(each.first, each.last)] == list(range(len(longs)))
    for each in found:
        own = ends[each.last - 1] - begins[each.first]
        assert own <= module._AT_ONCE or each.last - each.first == 1
        assert 0 <= begins[each.first] - each.start <= module._AROUND
        assert 0 <= each.past - ends[each.last - 1] <= module._AROUND
        assert each.first == 0 or each.start < begins[each.first] or longs[each.first - 1] > module._AROUND


@pytest.mark.parametrize(
    ("text", "spelt"),
    [
        pytest.param("wire", ["wire"], id="known"),
        pytest.param("wires", ["wire", "##s"], id="the longest first"),
        pytest.param("pig-tail", ["pig", "-", "[UNK]"], id="parts, of which one cannot be spelt"),
        pytest.param("", ["[UNK]"], id="nothing"),
    ],
)
def test_a_word_is_spelt_with_pieces(text: str, spelt: list[str]) -> None:
    vocabulary = ["[UNK]", "wir", "wire", "##s", "##e", "pig", "-"]
    assert [vocabulary[number] for number in Pieces(vocabulary).spell(text)] == spelt


def test_a_figure_is_spelt_with_its_unit() -> None:
    words = words_of("Run please, eight mils at four.\n")
    sentences, _ = reader_of(shipped()).read(words)
    spelt = [spelling(token) for token in tokens(sentences, story_of(sentences, words))]
    assert spelt[0] == "."
    assert {"8 ml", "4 "} <= set(spelt)
