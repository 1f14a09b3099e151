"""What sounds alike costs little, what does not costs much; pronunciations are one sign a phone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.lexicon import PHONES
from extractor.reading.phones import cost, joined, kindred, spelled

#: (heard, term, least and most it may cost a phone of the term)
ALIKE = [
    pytest.param("HH EH1 P ER0 IH0 N", "HH EH P ER IH N", 0, 0, id="the same but for stress"),
    pytest.param("S T AE N D", "S T EH N T", 0, 0.1, id="voice and a near vowel"),
    pytest.param("SH IY T", "SH IY TH", 0.1, 0.2, id="a stop for a fricative"),
    pytest.param("P EH P ER AH N D", "HH EH P ER IH N", 0.2, 0.27, id="pepper and: heparin"),
    pytest.param("K L AO D AH K EY ZH AH N", "K L AO D IH K EY SH AH N", 0, 0.07, id="clawed occasion: claudication"),
    pytest.param("EH P ER IH N", "HH EH P ER IH N", 0, 0.06, id="an h nobody heard"),
    pytest.param("K AE TH T ER", "K AE TH AH T ER", 0, 0.07, id="a weak vowel nobody heard"),
    pytest.param("K AE T R IY AH N", "K AE TH AH T ER", 0.3, 1, id="a name: catheter"),
    pytest.param("SH AO R T", "SH IY TH", 0.4, 1, id="short: sheath"),
    pytest.param("M IY", "S T EH N OW S IH S", 0.5, 1, id="nothing alike"),
]


@pytest.mark.parametrize(("heard", "term", "least", "most"), ALIKE)
def test_what_it_costs(heard: str, term: str, least: float, most: float) -> None:
    each = cost(spelled(heard), spelled(term)) / len(spelled(term))
    assert least <= each <= most


@pytest.mark.parametrize("limit", [0.3, 0.32])
def test_more_than_the_limit_is_told_as_infinite(limit: float) -> None:
    exact = cost(spelled("EH N"), spelled("HH EH N"))
    assert exact == pytest.approx(0.3)
    assert cost(spelled("EH N"), spelled("HH EH N"), limit) == pytest.approx(exact)
    assert cost(spelled("EH N"), spelled("HH EH N"), 0.29) == float("inf")


SAID = st.lists(st.sampled_from(PHONES), min_size=1, max_size=8).map(" ".join).map(spelled)


@given(SAID, SAID)
def test_nothing_costs_nothing_but_the_same(one: str, other: str) -> None:
    assert cost(one, one) == 0
    assert cost(one, other) == pytest.approx(cost(other, one))
    assert (cost(one, other) == 0) is (one == other)
    assert cost(one, other) <= len(one) + len(other)


def test_an_unknown_phone_is_told() -> None:
    with pytest.raises(KeyError, match="QQ"):
        spelled("K QQ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        pytest.param(["P EH P ER", "AH N D"], "P EH P ER AH N D", id="one after another"),
        pytest.param(
            ["L AE S T", "T AY M"], "L AE S T AY M", id="a phone that ends one and begins the next is said once"
        ),
        pytest.param([], "", id="none"),
    ],
)
def test_words_said_together(words: list[str], said: str) -> None:
    assert joined([spelled(word) for word in words]) == spelled(said)


def test_kindred_words_have_the_same_consonants() -> None:
    assert kindred(spelled("HH EH P ER IH N")) == kindred(spelled("B IH R AH N")) != kindred(spelled("K ER AH N"))
