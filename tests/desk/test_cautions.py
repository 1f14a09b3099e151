"""Cautions follow the events that people change, and a mark that one was looked at never slides onto another."""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor import pipeline
from extractor.desk import edits
from extractor.errors import EditError
from extractor.lexicon import Lexicon, load
from extractor.listening.transcripts import open_inputs
from extractor.model import Check, Timeline
from extractor.site_files import Site, read_site

AT = "2026-11-26T09:30:00+00:00"
TALK = """WEBVTT

00:00.000 --> 00:20.000
Access right groin, six French sheath in. An 0.035 wire goes in. Six by eighty balloon up, to fourteen atmospheres.

00:20.000 --> 00:40.000
Balloon down. Six French closure device, closed. That is all, total contrast eighty mils, screening sixty five minutes.
"""


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load()


@pytest.fixture(scope="module")
def timeline(lexicon: Lexicon, tmp_path_factory: pytest.TempPathFactory) -> Timeline:
    path = tmp_path_factory.mktemp("case") / "case.vtt"
    path.write_text(TALK)
    transcript = open_inputs([path]).transcript
    assert transcript is not None
    return pipeline.interpret(transcript, lexicon)


SHEATH = {"kind": "insert", "status": "done", "start_ms": 0, "end_ms": 400, "device": "sheath"}


def put(timeline: Timeline, raw: dict[str, Any], site: Site | None = None) -> Timeline:
    edit = edits.EDIT.validate_python(raw)
    return edits.put(timeline, edits.revision(timeline, edit, at=AT, by="A", why="why", site=site))


def screened(timeline: Timeline, minutes: float) -> dict[str, Any]:
    """The edit that sets for how long it was screened; 65 minutes were said, from 60 on a caution asks for a look."""
    (event,) = (each.id for each in timeline.events if "fluoro_time" in each.values)
    return {"do": "set", "event": event, "field": "values.fluoro_time.value", "value": minutes}


def about_dose(timeline: Timeline) -> list[str]:
    return [f"check-{number}" for number, check in timeline.cautions.items() if check.code == "dose-high-level"]


def test_a_caution_that_no_longer_fits_is_withdrawn_where_it_stands(timeline: Timeline) -> None:
    (point,) = about_dose(timeline)
    assert point in timeline.open_points
    changed = put(timeline, screened(timeline, 5))
    assert about_dose(changed) == []
    assert len(changed.checks) == len(timeline.checks)
    assert point not in changed.open_points
    assert changed.checks[int(point.removeprefix("check-")) - 1].severity == "withdrawn"


def test_a_caution_that_fits_again_is_the_one_it_was_looked_at_or_not(timeline: Timeline) -> None:
    (point,) = about_dose(timeline)
    for step in ({"do": "look", "points": [point]}, screened(timeline, 5), {"do": "undo", "revision": 2}):
        timeline = put(timeline, step)
    assert about_dose(timeline) == [point]
    assert point in timeline.looked_at


def test_a_caution_that_says_another_thing_was_not_looked_at(timeline: Timeline) -> None:
    """Seventy minutes: another sentence, at another number, that waits."""
    (point,) = about_dose(timeline)
    timeline = put(put(timeline, {"do": "look", "points": [point]}), screened(timeline, 70))
    (other,) = about_dose(timeline)
    assert other != point
    assert other in timeline.open_points
    assert other not in timeline.looked_at


def test_cautions_from_elsewhere_stay(timeline: Timeline) -> None:
    note = Check(code="parts-order", severity="review", message="The files overlap.")
    timeline = timeline.model_copy(update={"checks": (note, *timeline.checks)})
    assert put(timeline, screened(timeline, 5)).checks[0] == note


def test_looking_and_reading_words_anew_look_for_nothing(timeline: Timeline) -> None:
    timeline = timeline.model_copy(update={"checks": ()})
    assert put(timeline, {"do": "word", "words": [0, 1], "read": "Entry"}).checks == ()


def test_where_the_sites_rules_are_not_at_hand_it_says_so_once(timeline: Timeline) -> None:
    drafted_with = timeline.made_by.model_copy(update={"site": {"site/site.toml": "ab" * 32}})
    timeline = timeline.model_copy(update={"made_by": drafted_with})
    changed = put(timeline, screened(timeline, 5))
    assert changed.checks[:-1] == timeline.checks
    assert changed.checks[-1].code == "checks-not-again"
    again = put(changed, {"do": "set", "event": changed.events[0].id, "field": "site.side", "value": "left"})
    assert again.checks == changed.checks
    other = put(timeline, screened(timeline, 5), Site(files={"site/site.toml": "cd" * 32}))
    assert other.checks[-1].code == "checks-not-again"
    with_site = put(timeline, screened(timeline, 5), Site(files={"site/site.toml": "ab" * 32}))
    assert about_dose(with_site) == []


def test_a_case_drafted_without_a_sites_rules_is_looked_at_again_without(timeline: Timeline) -> None:
    """Whatever rules the desk was started with since."""
    changed = put(timeline, screened(timeline, 5), Site(files={"site/site.toml": "ab" * 32}))
    assert about_dose(changed) == []
    assert changed.checks[-1].code != "checks-not-again"


@given(data=st.data())
def test_a_number_is_the_name_of_one_caution_for_good(timeline: Timeline, data: st.DataObject) -> None:
    draft = timeline
    for _ in range(data.draw(st.integers(1, 5))):
        ids = st.sampled_from([each.id for each in timeline.events] or ["e0001"])
        number = st.integers(1, max(1, len(timeline.revisions)))
        figures = st.sampled_from([2.0, 7.0, 40.0, 70.0])
        step = data.draw(
            st.one_of(
                ids.map(lambda event: {"do": "delete", "event": event}),
                st.just({"do": "add", "after": None, "event": SHEATH}),
                st.tuples(ids, st.sampled_from(["gauge", "diameter", "fluoro_time"]), figures).map(
                    lambda at: {"do": "set", "event": at[0], "field": f"values.{at[1]}.value", "value": at[2]}
                ),
                ids.map(lambda event: {"do": "set", "event": event, "field": "device", "value": "catheter"}),
                number.map(lambda number: {"do": "undo", "revision": number}),
            )
        )
        before = timeline
        try:
            timeline = put(timeline, step)
        except EditError:
            continue
        assert [told(check) for check in timeline.checks[: len(before.checks)]] == [told(c) for c in before.checks]
        standing = {told(check) for check in timeline.cautions.values()}
        assert standing == {told(check) for check in pipeline.check(timeline.events, timeline.words)}
    assert edits.drafted(timeline) == draft


def told(check: Check) -> tuple[Any, ...]:
    return check.code, check.message, check.events


LOOSE = """WEBVTT

00:00.000 --> 00:08.000
Six French sheath in the right groin. Six by forty balloon across the lesion, up to twelve.

00:09.000 --> 00:12.000
Second go, it wants fourteen. Down.

00:13.000 --> 00:15.000
The left one is nine.
"""


@pytest.fixture
def loose(tmp_path: Path) -> Timeline:
    """A case in which no rule takes up the last figure, and the caution that tells it."""
    path = tmp_path / "case.vtt"
    path.write_text(LOOSE)
    timeline = pipeline.draft([path])
    (check,) = timeline.cautions.values()
    assert (check.code, check.severity) == ("figure-without-place", "review")
    assert check.message == "“nine” was said and stands in no event: “… fourteen. Down. The left one is nine. …”"
    assert [timeline.words[at].text for at in range(*check.words)] == ["nine."]
    return timeline


def test_an_event_added_where_a_figure_was_said_takes_it_up(loose: Timeline) -> None:
    (check,) = loose.checks
    told = {"kind": "measure", "status": "done", "start_ms": 13_000, "end_ms": 15_000, "words": list(check.words)}
    changed = put(loose, {"do": "add", "after": None, "event": told})
    assert changed.cautions == {}
    assert changed.checks[0].words == check.words


def test_a_figure_without_a_place_stays_told_when_something_else_is_changed(loose: Timeline) -> None:
    changed = put(loose, {"do": "set", "event": loose.events[-1].id, "field": "values.pressure.value", "value": 15})
    assert changed.checks == loose.checks


def test_a_site_may_not_want_figures_without_a_place(loose: Timeline, tmp_path: Path) -> None:
    rules = tmp_path / "site.toml"
    rules.write_text('[checks]\n"figure-without-place" = "off"\n')
    assert pipeline.draft([tmp_path / "case.vtt"], site=read_site(rules=[rules])).checks == ()
