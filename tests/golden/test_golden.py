"""The drafts of the invented cases, whole: a change anywhere shows as a diff to be read, and a worse draft fails."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from extractor.model import Timeline
from tests.golden.scoring import read_script, score

#: What reading and reconciling decide. The words and the recording are the transcript's, the rest is provenance.
DECIDED = {"corrections", "events", "checks", "gaps"}


def test_the_draft_is_the_expected_one(case: Path, timeline: Timeline, golden: Callable[[Path, str], None]) -> None:
    golden(case / "expected.json", timeline.model_dump_json(include=DECIDED, indent=1) + "\n")


def test_what_happened_is_found(timeline: Timeline, script: Any, times_s: list[tuple[float, float]]) -> None:
    assert score(read_script(script, times_s), timeline.events).done_f1 >= 0.75


def test_hardly_a_value_is_silently_wrong(timeline: Timeline, script: Any, times_s: list[tuple[float, float]]) -> None:
    wrong = score(read_script(script, times_s), timeline.events).silent_wrong
    assert len(wrong) <= 3, "\n".join(wrong)


def test_hardly_a_value_is_silently_added(timeline: Timeline, script: Any, times_s: list[tuple[float, float]]) -> None:
    added = score(read_script(script, times_s), timeline.events).silent_extra
    assert len(added) <= 3, "\n".join(added)
