"""The network beside the rules: that it computes what it says it does, and how far it looks."""

import numpy as np
import pytest

from extractor import network as module
from extractor.network import REACH, pieces, second_reader
from extractor.reading.statements import reader_of
from extractor.reconciling.second_reader import Opinion
from extractor.reconciling.timeline import story_of
from tests.reconciling.telling import shipped, words_of

FILLER = "The lift is slow today, and nobody knows why it is.\n"


def opinion(text: str) -> Opinion:
    words = words_of(text)
    sentences, _ = reader_of(shipped()).read(words)
    return second_reader().read(sentences, story_of(sentences, words))


def test_a_case_of_nothing_gives_no_opinion() -> None:
    found = second_reader().read([], [])
    assert not found.figures
    assert not found.events


def test_each_sentence_and_each_figure_has_an_opinion() -> None:
    text = "Six by forty balloon, up to ten.\nRun please, eight mils at four.\n"
    found = opinion(text)
    assert len(found.figures) == 5
    assert [len(likely) for likely in found.events] == [len(found.labels)] * 2
    assert all(0 < share < 1 for likely in found.events for share in likely)


def test_attention_in_blocks_is_attention() -> None:
    """Against all tokens at once, with those beyond its reach left out."""
    network = second_reader()
    count = 2 * REACH + 7
    state = np.random.default_rng(1).standard_normal((count, network._weights["n0.weight"].shape[0])).astype(np.float32)
    query, key, value = np.split(network._dense("layers.0.qkv", state), 3, axis=1)
    heads = network._heads
    apart = np.arange(count)[None] - np.arange(count)[:, None]
    told = []
    for head in range(heads):
        part = slice(head * query.shape[1] // heads, (head + 1) * query.shape[1] // heads)
        likeness = query[:, part] @ key[:, part].T / np.sqrt(query.shape[1] / heads)
        likeness += network._weights["bias"][0][head][np.clip(apart, -REACH, REACH) + REACH]
        likeness[np.abs(apart) > REACH] = -np.inf
        told.append(module._softmax(likeness) @ value[:, part])
    np.testing.assert_allclose(network._attend(0, state), np.concatenate(told, axis=1), atol=2e-4)


@pytest.mark.parametrize("blocks", [7, 8, 9, 16, 17])
def test_blocks_worked_on_together_are_as_those_alone(blocks: int, monkeypatch: pytest.MonkeyPatch) -> None:
    network = second_reader()
    wide = network._weights["n0.weight"].shape[0]
    state = np.random.default_rng(2).standard_normal((blocks * REACH - 5, wide)).astype(np.float32)
    together = network._attend(1, state)
    monkeypatch.setattr(module, "_AT_A_TIME", 1)
    np.testing.assert_allclose(network._attend(1, state), together, atol=2e-4)


def test_what_is_far_away_changes_nothing() -> None:
    """Three layers, each a token and its reach to either side."""
    ending = "Run please, eight mils at four.\n"
    far = FILLER * 40  # more than 3 * (REACH + 1) tokens
    one, other = opinion("Heparin five thousand is in.\n" + far + ending), opinion("Sheath is out.\n" + far + ending)
    np.testing.assert_allclose(one.events[-1], other.events[-1], atol=1e-4)


def test_a_word_never_seen_has_the_vector_of_its_pieces() -> None:
    network = second_reader()
    assert pieces("wire") == pieces("wire") != pieces("wired")
    assert not np.allclose(network._word("qwertzuiopy"), network._word("asdfghjklyx"))
