"""Words -> how they are said: the lexicons' word for it, the dictionary's, else letter by letter."""

import pytest

from extractor.lexicon import dictionary
from extractor.reading.phones import cost, spelled
from extractor.reading.pronunciation import Pronouncer, by_letters

PRONOUNCER = Pronouncer({"coeliac": ["S IY L IY AE K"], "balloon": ["B UW"], "creatinine": []})

#: (word, its pronunciations)
WAYS = [
    pytest.param("catheter", ["K AE TH AH T ER"], id="in the dictionary"),
    pytest.param("read", ["R EH D", "R IY D"], id="said in two ways"),
    pytest.param("coeliac", ["S IY L IY AE K"], id="carries its own"),
    pytest.param("coeliacs", ["S IY L IY AE K Z"], id="a plural of one that carries its own"),
    pytest.param("balloon", ["B UW"], id="its own goes before the dictionary's"),
    pytest.param("quadication", ["K W AE D IH K EY SH AH N"], id="by its letters"),
    pytest.param("balloon-catheter", ["B UW K AE TH AH T ER"], id="joined by a hyphen: each part"),
    pytest.param("gtn", ["JH IY T IY EH N"], id="no vowel: letters by their names"),
    pytest.param("12", [], id="no letters"),
    pytest.param("", [], id="nothing"),
]


@pytest.mark.parametrize(("word", "said"), WAYS)
def test_ways(word: str, said: list[str]) -> None:
    assert PRONOUNCER.ways(word) == tuple(map(spelled, said))


#: The trade's words that the dictionary lacks, and how they are said.
LETTERS = [
    ("thrombus", "TH R AA M B AH S"),
    ("claudication", "K L AO D IH K EY SH AH N"),
    ("extravasation", "EH K S T R AE V AH S EY SH AH N"),
    ("iliac", "IH L IY AE K"),
    ("popliteal", "P AA P L IH T IY AH L"),
    ("lignocaine", "L IH G N OW K EY N"),
    ("brachial", "B R EY K IY AH L"),
    ("cholangiogram", "K AH L AE N JH IY AH G R AE M"),
    ("microcatheter", "M AY K R OW K AE TH AH T ER"),
    ("guidewire", "G AY D W AY ER"),
    ("haemostasis", "HH IY M OW S T EY S IH S"),
    ("psoas", "S OW AH S"),
]


@pytest.mark.parametrize(("word", "said"), LETTERS, ids=[word for word, _ in LETTERS])
def test_by_letters(word: str, said: str) -> None:
    assert cost(by_letters(word), spelled(said)) <= 0.1 * len(spelled(said))


def test_by_letters_comes_near_the_dictionary() -> None:
    """Every hundredth word of it, names and all: what the rules get wrong costs a twentieth of a phone."""
    words = sorted(word for word in dictionary() if word.isalpha() and len(word) > 4)[::100]
    assert len(words) > 1000
    spent = phones = 0.0
    for word in words:
        ways = [spelled(way.decode()) for way in dictionary()[word].split(b"|")]
        spent += min(cost(by_letters(word.decode()), way) for way in ways)
        phones += len(ways[0])
    assert spent / phones < 0.06


@pytest.mark.parametrize(
    ("word", "ordinary"),
    [("pepper", True), ("coeliac", True), ("creatinine", True), ("quadication", False), ("", False)],
)
def test_words_of_the_language(word: str, ordinary: bool) -> None:
    assert PRONOUNCER.ordinary(word) is ordinary
