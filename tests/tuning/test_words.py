"""Two ways of writing the same spoken words are one; two different numbers never are."""

import pytest

from extractor.tuning.words import plain

SAME = {
    "120": ("one twenty", "a hundred and twenty", "120"),
    "14 atm": ("fourteen atmospheres", "14 atm", "14atm", "14 ATM."),
    "0.035": ("oh three five", "0.035", ".035", "zero three five"),
    "2.5": ("two point five", "2.5"),
    "size": ("three by sixty", "3x60", "3 × 60", "3 by 60"),
    "volume": ("twelve mils", "12 mL", "twelve millilitres", "12 milliliters"),
    "length": ("sixty millimetres", "sixty millimeter", "60 mm", "60mm"),
    "dose": ("five milligrams", "5 mg"),
    "digits": ("nine one six nine", "916 9", "9169"),
    "thousands": ("five thousand units", "5,000 units", "5000 units"),
    "percent": ("eighty five percent", "85%"),
    "spelling": ("haemostasis", "hemostasis"),
    "place": ("the centre", "the center"),
    "marks": ("It's up. And down!", "its up and down"),
    "hesitation": ("um, six French", "6 Fr"),
    "nothing": ("", "uh ... erm"),
}


@pytest.mark.parametrize("ways", SAME.values(), ids=SAME)
def test_ways_of_writing_are_one(ways):
    assert len({tuple(plain(way)) for way in ways}) == 1


APART = [
    ("fifteen", "fifty"),
    ("one twenty", "one thirty"),
    ("six French", "six inch"),
    ("2.5", "25"),
    ("0.018", "0.18"),
]


@pytest.mark.parametrize(("one", "other"), APART, ids=str)
def test_what_was_misheard_stays_wrong(one, other):
    assert plain(one) != plain(other)
