"""What was heard -> the terms that sound like it: the right one first, none for ordinary talk far from all."""

import pytest

from extractor.lexicon import each_form, load
from extractor.reading.candidates import FARTHEST, Candidates
from extractor.reading.phones import joined
from extractor.reading.pronunciation import Pronouncer

LEXICON = load()
PRONOUNCER = Pronouncer({word: each.said for each in LEXICON.pronunciation for word in each.words})
CANDIDATES = Candidates(LEXICON, PRONOUNCER)


def like(heard: str) -> list[str]:
    said = joined([PRONOUNCER.ways(word)[0] for word in heard.split()])
    return [candidate.word for candidate in CANDIDATES.like(said)]


@pytest.mark.parametrize(
    ("heard", "term"),
    [
        ("quadication", "claudication"),
        ("clawed occasion", "claudication"),
        ("extra avisation", "extravasation"),
        ("hepper in", "heparin"),
        ("sephazol in", "cefazolin"),
        ("clapidogrel", "clopidogrel"),
        ("human stasis", "haemostasis"),
        ("caceter", "catheter"),
    ],
)
def test_the_term_that_was_meant_comes_first(heard: str, term: str) -> None:
    assert like(heard)[0] == term


@pytest.mark.parametrize("heard", ["grandmother", "on holiday", "weather"])
def test_what_is_far_from_every_term_has_none(heard: str) -> None:
    assert like(heard) == []


def test_nearest_first_and_none_too_far() -> None:
    costs = [candidate.cost for candidate in CANDIDATES.like(PRONOUNCER.ways("stenotis")[0])]
    assert len(costs) > 1
    assert costs == sorted(costs)
    assert costs[-1] <= FARTHEST


def test_most_forms_really_heard_are_found_by_sound_alone() -> None:
    """The list of misheard forms is the judge: seven hundred forms that recognisers wrote."""
    forms = [
        (heard, each.read.lower())
        for each in LEXICON.misheard
        for heard in each_form(each.heard)
        if " " not in each.read
    ]
    found = [read in like(heard) for heard, read in forms]
    first = [read in like(heard)[:1] for heard, read in forms]
    assert len(forms) > 600
    assert sum(found) > 0.9 * len(forms)
    assert sum(first) > 0.8 * len(forms)
