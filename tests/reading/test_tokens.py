"""Words -> tokens: what is split, what is kept whole, and which words each token comes from."""

import time

import pytest

from extractor.reading.tokens import Token, decimal_commas, tokenise

SPLITS = [
    ("14.", "14 ."),
    ("going,", "going ,"),
    ("gone...", "gone ..."),
    ("gone…", "gone ..."),
    ("5,000", "5000"),
    ("1,250,000.5", "1250000.5"),
    ("2,5", "2.5"),
    ("12,75mm", "12.75 mm"),
    ("22,24,26", "22 , 24 , 26"),
    ("19th,", "19th ,"),
    ("5x80", "5 x 80"),
    ("2.5×15,", "2.5 x 15 ,"),
    ("65mm", "65 mm"),
    ("6Fr", "6 fr"),
    ("0.18", "0.18"),
    (".018", "0.018"),
    ("0-1-8", "0 1 8"),
    ("twenty-five", "twenty five"),
    ("five-zero", "five zero"),
    ("drug-coated", "drug coated"),
    ("run-off", "run off"),
    ("20%", "20 %"),
    ("what's", "what's"),
    ("what’s", "what's"),
    ("o'clock", "o'clock"),
    ("wire's", "wire 's"),
    ("sheath’s", "sheath 's"),
    ("I'll", "i 'll"),
    ("we've", "we 've"),
    ("they're", "they 're"),
    ("he'd", "he 'd"),
    ("I'm", "i 'm"),
    ("don't", "don't"),
    ("gonna", "going to"),
    ("Gimme,", "give me ,"),
    ("½", "0.5"),
    ("2½", "2.5"),
    ("mL/s", "ml / s"),
    ("Gy.cm²", "gy . cm2"),
    ("gycm2", "gycm2"),
    ("μg", "µg"),
    ("300μm", "300 µm"),
    ("five—no", "five - no"),
    ("8–12", "8 12"),
    ("-", "-"),
    ("(RAO)", "( rao )"),
    ("a.m.", "am"),
    ("Dr.", "dr"),
    ("L5", "l 5"),
    ("12:30", "12 : 30"),
    ("CHARRIÈRE", "charrière"),
    ('"Two', "two"),
    ('forty."', "forty ."),
    ("“Twelve,”", "twelve ,"),
    ('"5"', "5"),
    ('0.035"', '0.035 "'),
    ("", ""),
    ("   ", ""),
]


@pytest.mark.parametrize(("word", "texts"), SPLITS, ids=[repr(word) for word, _ in SPLITS])
def test_one_word_becomes_its_tokens(word: str, texts: str) -> None:
    assert [token.text for token in tokenise([word])] == texts.split()


JOINS = [
    (["five-zero"], [("five", False, False), ("zero", True, False)]),
    (["0-1-8"], [("0", False, False), ("1", True, False), ("8", True, False)]),
    (["65mm"], [("65", False, False), ("mm", False, True)]),
    (["six-by-40"], [("six", False, False), ("by", True, False), ("40", True, False)]),
    (["0", "-1", "-8"], [("0", False, False), ("1", True, False), ("8", True, False)]),
    (["five-", "zero"], [("five", False, False), ("zero", True, False)]),
    (["-5"], [("5", False, False)]),
    (["five", "-", "zero"], [("five", False, False), ("-", False, False), ("zero", False, False)]),
]


@pytest.mark.parametrize(("words", "expected"), JOINS, ids=[" ".join(words) for words, _ in JOINS])
def test_hyphens_are_remembered(words: list[str], expected: list[tuple[str, bool, bool]]) -> None:
    assert [(token.text, token.joined, token.glued) for token in tokenise(words)] == expected


RANGES = [
    (["a", "5x80", "balloon"], [("a", 0, 1), ("5", 1, 2), ("x", 1, 2), ("80", 1, 2), ("balloon", 2, 3)]),
    (["0", ".018", "wire"], [("0.018", 0, 2), ("wire", 2, 3)]),
    (["5", ",000", "units"], [("5000", 0, 2), ("units", 2, 3)]),
    (["2", ".5,", "then"], [("2.5", 0, 2), (",", 1, 2), ("then", 2, 3)]),
    (["at", "14", ".", "Five"], [("at", 0, 1), ("14", 1, 2), (".", 2, 3), ("five", 3, 4)]),
    (["2", ",5", "mm"], [("2.5", 0, 2), ("mm", 2, 3)]),
    (["14,", "000"], [("14", 0, 1), (",", 0, 1), ("000", 1, 2)]),
]


@pytest.mark.parametrize(("words", "expected"), RANGES, ids=[" ".join(words) for words, _ in RANGES])
def test_tokens_know_their_words(words: list[str], expected: list[tuple[str, int, int]]) -> None:
    assert [(token.text, token.word, token.past) for token in tokenise(words)] == expected


@pytest.mark.parametrize(
    ("said", "read"),
    [
        pytest.param("two comma seven five by nine", "two point seven five by nine", id="a decimal mark"),
        pytest.param("dose comma four", "dose comma four", id="after no number"),
        pytest.param("six comma two was used full stop", "six comma two was used full stop", id="dictated marks"),
        pytest.param("sheath comma wire six comma two", "sheath comma wire six comma two", id="a dictated comma"),
        pytest.param("six , two", "six , two", id="a written one is a breath"),
    ],
)
def test_a_comma_said_between_numbers_is_a_point(said: str, read: str) -> None:
    tokens = decimal_commas(tokenise(said.split()), {"two", "four", "five", "six", "seven", "nine"})
    assert " ".join(token.text for token in tokens) == read


def test_no_words_no_tokens() -> None:
    assert tokenise([]) == []


def test_a_token_is_a_value() -> None:
    assert Token("five", 0, 1) == Token("five", 0, 1)
    with pytest.raises(AttributeError):
        Token("five", 0, 1).text = "six"  # type: ignore[misc]


@pytest.mark.benchmark
def test_a_hundred_thousand_words_a_second() -> None:
    words = (
        "so the six French sheath's in, oh three five wire, and up to fourteen atmospheres for sixty seconds. " * 6000
    ).split()
    started = time.process_time()
    tokenise(words)
    assert len(words) / (time.process_time() - started) > 100_000
