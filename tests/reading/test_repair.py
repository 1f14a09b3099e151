"""Misheard forms -> terms: what was heard is kept, nothing that was not misheard is touched."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.reading.repair import Repairer

from .small import SMALL, words_of

REPAIRER = Repairer(SMALL)

#: (what the recogniser wrote, what is read, [(heard, read)])
REPAIRS = [
    pytest.param("five thousand of heppering", "five thousand of heparin", [("heppering", "heparin")], id="one word"),
    pytest.param("pepper and is in", "heparin is in", [("pepper and", "heparin")], id="across a word border"),
    pytest.param("Pepper and, five", "heparin, five", [("Pepper and,", "heparin")], id="capitals; its comma stays"),
    pytest.param("six french sheet in", "six french sheath in", [("sheet", "sheath")], id="beside a word it needs"),
    pytest.param("a clean sheet please", "a clean sheet please", [], id="without that word it is what it is"),
    pytest.param("salt, pepper and vinegar", "salt, heparin vinegar", [("pepper and", "heparin")], id="always shown"),
    pytest.param(
        "ten hemispheres. Hemispheres.",
        "ten atmospheres. atmospheres.",
        [("hemispheres.", "atmospheres"), ("Hemispheres.", "atmospheres")],
        id="twice",
    ),
    pytest.param("peppers and all", "peppers and all", [], id="whole words only"),
    pytest.param("pepper", "pepper", [], id="half of a form"),
]


@pytest.mark.parametrize(("heard", "read", "corrections"), REPAIRS)
def test_repairs(heard: str, read: str, corrections: list[tuple[str, str]]) -> None:
    texts, found = REPAIRER.repair(words_of(heard))
    assert " ".join(filter(None, texts)) == read
    assert [(correction.heard, correction.read) for correction in found] == corrections


def test_a_repair_knows_its_words_and_wants_a_look() -> None:
    _, (correction,) = REPAIRER.repair(words_of("five thousand of pepper and given"))
    assert correction.words == (3, 5)
    assert correction.why
    assert correction.review


SOME = st.sampled_from("pepper and heppering sheet french hemispheres of a 6".split())
LETTERS = st.lists(SOME, max_size=20)


@given(LETTERS)
def test_texts_keep_their_words(said: list[str]) -> None:
    """One text a word, so that every time stays with its word; what is not in a correction is untouched."""
    words = words_of(" ".join(said))
    texts, corrections = REPAIRER.repair(words)
    assert len(texts) == len(words)
    repaired = {index for correction in corrections for index in range(*correction.words)}
    assert all(texts[index] == word.text for index, word in enumerate(words) if index not in repaired)
    assert len(repaired) == sum(past - first for first, past in (each.words for each in corrections))


# Short: in long talk a repair that joins two words brings others nearer to the company they need.
@given(st.lists(SOME, max_size=6))
def test_repairing_twice_repairs_nothing_more(said: list[str]) -> None:
    once, _ = REPAIRER.repair(words_of(" ".join(said)))
    again, corrections = REPAIRER.repair(words_of(" ".join(filter(None, once))))
    assert again == list(filter(None, once))
    assert corrections == []
