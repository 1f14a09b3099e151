"""Tokens -> terms: longest first, idioms before all, every meaning of a form, plurals of devices."""

from itertools import pairwise

import pytest

from extractor.lexicon import Device, Lexicon
from extractor.reading.terms import TermFinder
from extractor.reading.tokens import tokenise

from .small import terms

#: (sentence, the terms found, as they were said)
FOUND = [
    pytest.param("the balloon is in", ["balloon", "is in"], id="terms apart"),
    pytest.param("a stent graft please", ["stent graft", "please"], id="the longest form"),
    pytest.param("common femoral artery", ["common femoral artery"], id="and not its beginning"),
    pytest.param("two stents and three wires", ["stents", "wires"], id="plurals of devices"),
    pytest.param("no problem with that", ["no problem"], id="an idiom hides what it is made of"),
    pytest.param("there is no problem", ["no problem"], id="an idiom before what overlaps it"),
    pytest.param("Balloon's in, STENT.", ["balloon", "'s in", "stent"], id="capitals, clitics and marks"),
    pytest.param("wirecutter and ballooning", [], id="no term inside a word"),
    pytest.param("", [], id="nothing"),
]


@pytest.mark.parametrize(("sentence", "found"), FOUND)
def test_terms(sentence: str, found: list[str]) -> None:
    tokens = tokenise(sentence.split())
    said = [" ".join(token.text for token in tokens[term.first : term.last]) for term in terms(sentence)]
    assert said == found


#: (a form, the tables it has a meaning in)
MEANINGS = [
    pytest.param("in", ["action", "action"], id="in: it is placed, or it is given"),
    pytest.param("down", ["action", "action"], id="down: it is placed, or it is deflated"),
    pytest.param("no", ["cue", "phrase"], id="no: it is not there, or it was a slip"),
    pytest.param("flap", ["finding"], id="one meaning"),
]


@pytest.mark.parametrize(("form", "tables"), MEANINGS)
def test_a_form_keeps_all_its_meanings(form: str, tables: list[str]) -> None:
    (term,) = terms(form)
    assert sorted(table for table, _ in term.found) == tables


def test_terms_do_not_overlap() -> None:
    found = terms("no more stent graft in the left common femoral artery, no problem, please")
    assert all(before.last <= after.first for before, after in pairwise(found))


def test_a_finder_knows_its_own_lexicon_only() -> None:
    finder = TermFinder(Lexicon(device=(Device(name="pump", kind="insert", spoken=("foot pump",)),)))
    assert [entry.name for term in finder.find(tokenise(["foot", "pump"])) for _, entry in term.found] == ["pump"]
    assert finder.find(tokenise(["balloon"])) == []
