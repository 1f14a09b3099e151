"""What a model nearly wrote in place of a figure, from the odds of its tokens."""

import math

import pytest

from extractor.listening.rivals import Figures

#: A vocabulary: tokens 0, 1, 2, … and a row of odds that gives each the same.
TEXTS = dict(
    enumerate([" 15", " 50", " 5", " 16", "%", " fifteen", " fifty", " four", " forty", "teen", " pipe", "0", "2"])
)
TOKEN = {text: token for token, text in TEXTS.items()}
FIGURES = Figures(TEXTS, frozenset({"fifteen", "fifty", "four", "forty"}))

#: id: (tokens of the piece, token -> odds at each of them, the rivals)
PIECES = {
    "the other of two alike": ([" 15"], [{" 50": -2}], [(" 50", -2)]),
    "what goes on with another digit is none": ([" 15"], [{" 16": -1, " 50": -2}, {}], [(" 16", -1), (" 50", -2)]),
    "a beginning of it is none": ([" 50"], [{" 5": -1}], []),
    "marks stay": ([" 15", "%"], [{" 50": -2}, {}], [(" 50%", -2)]),
    "in words": ([" fifteen"], [{" fifty": -4}], [(" fifty", -4)]),
    "words beside digits are none": ([" 15"], [{" fifty": -1}], []),
    "what stood behind it goes": ([" four", "teen"], [{" forty": -1}, {}], [(" forty", -1)]),
    "within a figure": ([" 15", "0"], [{}, {"2": -1}], [(" 152", -1)]),
    "likelier than what was written": ([" 15"], [{" 50": 1}], [(" 50", 1)]),
    "too unlikely": ([" 15"], [{" 50": -6.1}], []),
    "no figure": ([" pipe"], [{" 15": -1}], []),
}


@pytest.mark.parametrize(("piece", "odds", "rivals"), PIECES.values(), ids=PIECES)
def test_rivals_of_a_piece(piece, odds, rivals):
    logits = [
        [row.get(text, 0.0 if text == own else -50.0) for text in TEXTS.values()] for own, row in _rows(piece, odds)
    ]
    assert FIGURES.rivals([TOKEN[text] for text in piece], logits) == rivals


def _rows(piece, odds):
    return zip(piece, [*odds, {}][: len(piece)], strict=True)


def test_as_likely_as_the_odds_say():
    (rival,) = FIGURES.rivals([TOKEN[" 15"]], [[math.log(3), math.log(1), *[-50.0] * (len(TEXTS) - 2)]])
    assert rival == (" 50", pytest.approx(math.log(1 / 3)))
