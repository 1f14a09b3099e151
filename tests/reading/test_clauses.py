"""Cues -> the status of each mention: which way a cue speaks, how far, and what stops it.

The shape is ConText's (Harkema et al. 2009, PMC2757457): trigger, direction, scope, terminator.
"""

import pytest

from extractor.model import Status

from .small import items

MENTIONS = ("device", "drug", "finding")


def statuses(sentence: str) -> dict[str, Status | None]:
    return {item.name: item.status for item in items(sentence, *MENTIONS)}


#: (sentence, status of each thing named)
CASES = [
    pytest.param("there is a dissection", {"dissection": None}, id="no cue"),
    pytest.param("no dissection", {"dissection": Status.NEGATED}, id="ahead"),
    pytest.param("dissection not seen", {"dissection": Status.NEGATED}, id="back"),
    pytest.param("spasm, dissection none", {"spasm": None, "dissection": Status.NEGATED}, id="right behind it"),
    pytest.param("a dissection and none", {"dissection": None}, id="not over an and"),
    pytest.param("so no stent", {"stent": Status.NEGATED}, id="a cue with a so in it"),
    pytest.param("last week a dissection", {"dissection": Status.PAST}, id="both ways: ahead"),
    pytest.param("a dissection last week", {"dissection": Status.PAST}, id="both ways: back"),
    pytest.param("spasm, no dissection", {"spasm": None, "dissection": Status.NEGATED}, id="not behind it"),
    pytest.param("no dissection but spasm", {"dissection": Status.NEGATED, "spasm": None}, id="a but stops every cue"),
    pytest.param(
        "no dissection and there is spasm", {"dissection": Status.NEGATED, "spasm": None}, id="the next thing only"
    ),
    pytest.param("no dissection or spasm", {"dissection": Status.NEGATED, "spasm": Status.NEGATED}, id="an or goes on"),
    pytest.param(
        "we might stent, and a balloon", {"stent": Status.CONSIDERED, "balloon": Status.CONSIDERED}, id="the sentence"
    ),
    pytest.param("if the balloon fails. A stent.", {"balloon": Status.CONSIDERED, "stent": None}, id="no further"),
    pytest.param("a stent please, the balloon is in", {"stent": Status.PLANNED, "balloon": None}, id="the clause only"),
    pytest.param("no doubt a dissection", {"dissection": None}, id="not before a word it excludes"),
    pytest.param("why not a stent", {"stent": None}, id="nor after one"),
    pytest.param("no problem, a dissection", {"dissection": None}, id="an idiom is no cue"),
    pytest.param("stent if you like", {"stent": None}, id="an idiom behind it"),
    pytest.param("the chart gives the balloon", {"balloon": Status.QUOTED}, id="quoted"),
    pytest.param("last week no dissection", {"dissection": Status.NEGATED}, id="the narrower of two"),
]


CASES += [
    pytest.param("on friday a stent", {"stent": Status.PAST}, id="a weak cue alone"),
    pytest.param("on friday we might stent", {"stent": Status.CONSIDERED}, id="gives way to what is considered"),
    pytest.param("a stent please on friday", {"stent": Status.PLANNED}, id="and to what is planned"),
]


@pytest.mark.parametrize(("sentence", "expected"), CASES)
def test_status(sentence: str, expected: dict[str, Status | None]) -> None:
    assert statuses(sentence) == expected


def test_a_status_keeps_the_cue_that_set_it() -> None:
    (item,) = items("no more heparin", "drug")
    assert (item.status, item.cue) == (Status.NEGATED, "no more")


def test_a_refusal_that_names_nothing_is_kept() -> None:
    """Whatever it refers to is for the story to find out."""
    assert "refused" in [item.name for item in items("not seen", "phrase")]
