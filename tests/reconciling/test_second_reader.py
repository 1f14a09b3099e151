"""What the second reader sees of a case."""

import pytest

from extractor.model import Kind
from extractor.reading.statements import reader_of
from extractor.reconciling.second_reader import PERSON, Token, happening, people_of, tokens
from extractor.reconciling.timeline import story_of

from .telling import shipped, words_of


def seen(text: str) -> list[Token]:
    words = words_of(text)
    sentences, _ = reader_of(shipped()).read(words)
    return tokens(sentences, story_of(sentences, words))


def figures(text: str) -> dict[str, Token]:
    return {token.figure.heard: token for token in seen(text) if token.figure}


def test_a_figure_is_seen_with_its_unit_and_where_the_rules_put_it() -> None:
    found = figures("Run please, eight mils at four.\nShe's twelve.\n")
    assert {heard: (token.unit, token.placed) for heard, token in found.items()} == {
        "eight mils": ("mL", "run volume done"),
        "four": ("none", "run rate done"),
        "twelve": ("none", "loose"),
    }


def test_what_the_rules_tell_of_a_sentence_is_seen_at_its_begin() -> None:
    begins = [token for token in seen("Run please, eight mils at four.\nNice weather.\n") if token.begins]
    assert [token.events for token in begins] == [("run done",), ()]


def test_a_figure_told_again_is_seen_as_such() -> None:
    first, second = (token for token in seen("Run please, eight mils at four.\nEight it was.\n") if token.size and
                     token.figure and token.figure.value == 8)  # fmt: skip
    assert (first.again, second.again) == ("behind said", "before placed")


@pytest.mark.parametrize(
    ("kind", "named", "name"),
    [
        pytest.param("insert", "microcatheter", "insert microcatheter", id="no catheter"),
        pytest.param("remove", "guiding catheter", "remove catheter", id="a catheter"),
        pytest.param("insert", "drain", "insert other", id="of the rest"),
        pytest.param("insert", None, "insert other", id="unnamed"),
        pytest.param("finding", "stenosis", "finding stenosis", id="a finding"),
        pytest.param("drug", "heparin", "drug", id="any drug"),
    ],
)
def test_events_are_told_apart_by_the_thing(kind: str, named: str | None, name: str) -> None:
    assert happening(Kind(kind), named) == name


@pytest.mark.parametrize(
    ("text", "people"),
    [
        pytest.param("Six by forty please, Rose.\nRose, up to ten.\n", {"rose"}, id="spoken to"),
        pytest.param("Thank you, Anne-Marie.\n", {"anne-marie", "anne", "marie"}, id="a name in two parts"),
        pytest.param("The pressure rose, Rose.\n", set(), id="a word that is said besides"),
        pytest.param("Up we go. Then I'll see, and I look.\n", set(), id="where a sentence begins, and I"),
    ],
)
def test_people_are_known_by_their_capitals(text: str, people: set[str]) -> None:
    assert people_of(words_of(text)) == people


def test_whoever_is_spoken_to_is_one_and_the_same() -> None:
    def heard(name: str) -> list[str]:
        words = words_of(f"Run please, {name}, eight mils at four.\n")
        sentences, _ = reader_of(shipped()).read(words)
        return [token.word for token in tokens(sentences, story_of(sentences, words), people_of(words))]

    assert heard("Tom") == heard("Doctor Patel") == heard("Anne-Marie")
    assert heard("Tom").count(PERSON) == 1
