"""From sound to a folder a person can check: the whole way, with the packaged speech model."""

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from extractor.cli import app
from extractor.model import Event, Timeline, Value

pytestmark = pytest.mark.sound


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("case") / "draft"


@pytest.fixture(scope="module")
def drafted(request: pytest.FixtureRequest, out: Path) -> Result:
    """`extractor draft` on twelve seconds of sound, run once."""
    recording = request.config.rootpath / "fixtures" / "short-inflation" / "recording.opus"
    return CliRunner().invoke(app, ["draft", str(recording), "--out", str(out)])


@pytest.fixture(scope="module")
def timeline(drafted: Result, out: Path) -> Timeline:
    assert drafted.exit_code == 0, drafted.output
    return Timeline.model_validate_json((out / "timeline.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def inflation(timeline: Timeline) -> Event:
    """The one inflation of the recording, whatever its status."""
    (only,) = [event for event in timeline.events if event.kind == "inflation" and event.status != "quoted"]
    return only


def is_right_or_marked(event: Event, value: Value | None, number: float, unit: str) -> bool:
    if event.review or (value is not None and value.review):
        return True
    return value is not None and (value.value, value.unit) == (number, unit)


def test_a_recording_becomes_a_folder_of_three_files(drafted: Result, out: Path) -> None:
    assert drafted.exit_code == 0, drafted.output
    assert {path.name for path in out.iterdir()} == {"timeline.json", "transcript.vtt", "summary.txt"}
    assert (out / "transcript.vtt").read_text(encoding="utf-8").startswith("WEBVTT")
    assert "draft" in (out / "summary.txt").read_text(encoding="utf-8").lower()


def test_the_timeline_tells_where_it_came_from(timeline: Timeline) -> None:
    assert timeline.recording.parts[0].name == "recording.opus"
    assert 11_000 < timeline.recording.duration_ms < 13_000
    assert timeline.made_by.speech_model is not None
    assert timeline.made_by.speech_model.name == "trade"


def test_the_inflation_happened_or_is_marked(inflation: Event) -> None:
    assert inflation.status == "done" or inflation.review


@pytest.mark.parametrize(
    ("key", "number", "unit"),
    [("pressure", 12, "atm"), ("diameter", 6, "mm"), ("length", 40, "mm"), ("duration", 30, "s")],
    ids=lambda part: str(part),
)
def test_a_value_of_the_inflation_is_right_or_marked(inflation: Event, key: str, number: float, unit: str) -> None:
    assert is_right_or_marked(inflation, inflation.values.get(key), number, unit), inflation.values


def test_the_dissection_is_ruled_out_or_marked(timeline: Timeline) -> None:
    told = [event for event in timeline.events if event.finding == "dissection"]
    assert told
    assert all(event.status == "negated" or event.review for event in told)
