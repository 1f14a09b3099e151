"""Each invented case, drafted from its transcript: no speech model needed, and the same on every machine."""

import json
from pathlib import Path
from typing import Any

import pytest

from extractor import pipeline
from extractor.lexicon import Lexicon, load
from extractor.listening.transcripts import read_transcript
from extractor.model import Timeline

CASES = sorted(path.parent for path in (Path(__file__).parents[2] / "fixtures").glob("*/script.yaml"))


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    return load()


@pytest.fixture(scope="session", params=CASES, ids=lambda case: case.name)
def case(request: pytest.FixtureRequest) -> Path:
    """The folder of one case."""
    folder: Path = request.param
    return folder


@pytest.fixture(scope="session")
def timeline(case: Path, lexicon: Lexicon) -> Timeline:
    """The case's draft."""
    return pipeline.interpret(read_transcript(case / "transcript.vtt"), lexicon)


@pytest.fixture(scope="session")
def script(case: Path) -> Any:
    """What is said in the case, and the events it makes."""
    yaml = pytest.importorskip("yaml")
    return yaml.safe_load((case / "script.yaml").read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def times_s(case: Path) -> list[tuple[float, float]]:
    """Begin and end of each line of the script, in seconds."""
    return [(start, end) for start, end in json.loads((case / "recording.lines.json").read_text(encoding="utf-8"))]
