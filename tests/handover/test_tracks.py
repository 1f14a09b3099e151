"""Captions, chapters and the event track, read back by a reader of WebVTT and SubRip that we did not write."""

import json
from io import BytesIO
from typing import Any

import pytest
import webvtt

from extractor.handover.captions import NOTICE_MS
from extractor.handover.chapters import chapters, event_text
from extractor.handover.export import export
from extractor.model import Event, Kind, MadeBy, Recording, SignedTimeline, Status, Timeline


def read(content: bytes, form: str = "vtt") -> list[Any]:
    return list(webvtt.from_buffer(BytesIO(content), format=form))


def ms(cue: Any) -> tuple[int, int]:
    return cue.start_time.in_milliseconds(), cue.end_time.in_milliseconds()


def said(text: str) -> str:
    """Words alone, without what a format does to their marks."""
    return "".join(letter for letter in text if letter.isalnum())


each_case = pytest.mark.parametrize("case", ["demo", "small", "hostile"])


@each_case
@pytest.mark.parametrize(("form", "reader"), [("captions", "vtt"), ("srt", "srt")])
def test_captions_hold_every_word_at_its_time(
    case: str, form: str, reader: str, request: pytest.FixtureRequest
) -> None:
    timeline: SignedTimeline = request.getfixturevalue(case)
    notice, *cues = read(export(timeline, form)[""], reader)
    assert ms(notice) == (0, NOTICE_MS)
    assert notice.text.replace("\n", " ").startswith("Signed by A. Operator")
    spoken = [cue for cue in cues if not cue.text.startswith("[something")]
    assert [ms(cue) for cue in cues] == sorted(ms(cue) for cue in cues)
    for word in timeline.words:
        assert any(ms(cue)[0] <= word.start_ms <= ms(cue)[1] for cue in spoken), word
    if case == "demo":  # in the others words are repaired
        assert said("".join(cue.text for cue in spoken)) == said("".join(word.text for word in timeline.words))


def test_a_repair_is_shown_as_read(small: SignedTimeline) -> None:
    text = " ".join(" ".join(cue.text for cue in read(export(small, "srt")[""], "srt")).split())
    assert "heparin given" in text
    assert "Contrast [contact?]" in text


@pytest.mark.parametrize(("form", "reader"), [("captions", "vtt"), ("srt", "srt"), ("chapters", "vtt")])
def test_a_draft_says_so_to_whoever_watches(form: str, reader: str, small_timeline: Timeline) -> None:
    first, *_ = read(export(small_timeline, form, draft=True)[""], reader)
    assert "draft" in first.text.lower()


def test_nothing_said_is_markup_in_subrip(hostile: SignedTimeline) -> None:
    text = export(hostile, "srt")[""].decode()
    assert not {"<", "{"} & set(text)
    assert text.count("-->") == len(read(text.encode(), "srt"))


# --- chapters


def overlaps_in_part(one: tuple[int, int], other: tuple[int, int]) -> bool:
    (start, end), (first, past) = one, other
    beside = end <= first or past <= start
    inside = (start <= first and past <= end) or (first <= start and end <= past)
    return not beside and not inside


@each_case
def test_chapters_nest(case: str, request: pytest.FixtureRequest) -> None:
    timeline: SignedTimeline = request.getfixturevalue(case)
    cues = read(export(timeline, "chapters")[""])
    times = [ms(cue) for cue in cues]
    assert all(start < end for start, end in times)
    assert not [(one, other) for one in times for other in times if overlaps_in_part(one, other)]
    assert all("\n" not in cue.text for cue in cues)
    assert times[0] == (0, max(timeline.recording.duration_ms, *(each.end_ms for each in timeline.events)))


def test_the_demo_has_its_phases_in_order(demo: SignedTimeline) -> None:
    phases = [title for _, _, title in chapters(demo) if "," not in title]
    assert phases == [
        "The case", "Before access", "Access", "First pictures", "Treatment", "After treatment", "Result", "Closure",
        "Totals",
    ]  # fmt: skip
    steps = [each for each in demo.events if each.status is Status.DONE and each.kind in (Kind.INFLATION, Kind.STENT)]
    assert [title for _, _, title in chapters(demo) if "," in title] == [event_text(each) for each in steps]


ORDERS = [
    pytest.param([], [], id="nothing"),
    pytest.param([Kind.TOTAL], ["Before access", "Totals"], id="only-totals"),
    pytest.param(
        [Kind.INFLATION, Kind.ACCESS],
        ["Before access", "Treatment", "Balloon inflation", "After treatment"],
        id="access-after-treatment",
    ),
]


@pytest.mark.parametrize(("kinds", "titles"), ORDERS)
def test_odd_cases_have_chapters_too(kinds: list[Kind], titles: list[str]) -> None:
    fixed = {"status": Status.DONE, "confidence": 1.0, "words": (0, 0), "rule": "x"}
    events = tuple(
        Event.model_validate({"id": f"e{n}", "kind": kind, "start_ms": n * 1000, "end_ms": n * 1000 + 500, **fixed})
        for n, kind in enumerate(kinds, 1)
    )
    made_by = MadeBy(extractor="0", speech_model=None, lexicons={})
    timeline = Timeline(recording=Recording(sha256="", duration_ms=5000), made_by=made_by, words=(), events=events)
    assert [title for *_, title in chapters(timeline)] == ["DRAFT, not signed: the case", *titles]


# --- the event track


@each_case
def test_the_event_track_holds_every_event(case: str, request: pytest.FixtureRequest) -> None:
    timeline: SignedTimeline = request.getfixturevalue(case)
    cues = {cue.identifier: cue for cue in read(export(timeline, "chapters")["-events.vtt"])}
    assert list(cues) == [event.id for event in sorted(timeline.events, key=lambda each: (each.start_ms, each.id))]
    for event in timeline.events:
        told = json.loads(cues[event.id].raw_text)
        assert {name: part for name, part in told.items() if name not in ("state", "shown", "settled")} == {
            name: part for name, part in json.loads(event.model_dump_json()).items() if name != "rule"
        }
        assert told["state"] == "signed"
        assert ms(cues[event.id]) == (event.start_ms, max(event.end_ms, event.start_ms + 1))
