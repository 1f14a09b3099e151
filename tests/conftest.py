"""What every test folder may use: --update-golden, the fixtures' folder, the open data, one small timeline by hand."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import hypothesis
import pytest

from extractor.model import (
    Alternative,
    Check,
    Correction,
    Event,
    Gap,
    Kind,
    MadeBy,
    Part,
    Recording,
    Site,
    SpeechModel,
    Status,
    Timeline,
    Value,
    Word,
)

ROOT = Path(__file__).parent.parent
pytest.register_assert_rewrite("tests.reconciling.telling")  # what fails there shows what was told instead

# No time limit an example: neighbours on the machine are no fault of the code. In CI the same examples every time.
hypothesis.settings.register_profile("house", deadline=None, derandomize="CI" in os.environ)
hypothesis.settings.load_profile("house")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-golden", action="store_true", help="rewrite expected files; read the diff, then commit")


@pytest.fixture(scope="session", autouse=True)
def nothing_tuned_here(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Whoever runs the tests may have a speech model of their own: it is none of the tests' business."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("EXTRACTOR_DATA", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout."""
    return ROOT


@pytest.fixture(scope="session")
def fixtures() -> Path:
    """The invented cases."""
    return ROOT / "fixtures"


@pytest.fixture(scope="session")
def open_data() -> Path:
    """The folder of data nobody here wrote; the test is skipped where EXTRACTOR_OPEN_DATA does not name it."""
    if "EXTRACTOR_OPEN_DATA" not in os.environ:
        pytest.skip("EXTRACTOR_OPEN_DATA is not set: checks against published data are left out")
    return Path(os.environ["EXTRACTOR_OPEN_DATA"])


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[Path, str], None]:
    """Compares text with an expected file, or rewrites the file under --update-golden."""

    def compare(path: Path, text: str) -> None:
        if request.config.getoption("--update-golden"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        assert text == path.read_text(encoding="utf-8"), f"{path} differs; `make golden` rewrites it"

    return compare


@pytest.fixture
def small_timeline() -> Timeline:
    """Eleven seconds in which something of everything happens, written by hand."""
    talk = (
        "Access right groin. Pepper and given. Now the six by eighty, going up to fourteen atmospheres. "
        "No dissection. Maybe a stent later. Contrast eighty five mils."
    ).split()
    words = tuple(
        Word(text=text, start_ms=i * 400, end_ms=i * 400 + 350, probability=0.9) for i, text in enumerate(talk)
    )

    def event(number: int, kind: Kind, status: Status, span: tuple[int, int], **more: object) -> Event:
        first, past = span
        times = {"start_ms": words[first].start_ms, "end_ms": words[past - 1].end_ms}
        fixed = {"id": f"e{number:04}", "confidence": 0.9, "rule": f"{kind}/by-hand", "words": span}
        return Event.model_validate({"kind": kind, "status": status, **times, **fixed, **more})

    size = {"unit": "mm", "confidence": 0.95, "flags": ("carried-over",)}
    pressure = Value(
        value=14,
        unit="atm",
        confidence=0.7,
        review=True,
        heard="fourteen atmospheres",
        words=(14, 16),
        alternatives=(Alternative(value=40, log_ratio=-2.1),),
    )
    return Timeline(
        recording=Recording(
            sha256="ab" * 32,
            duration_ms=11_000,
            parts=(Part(name="note-1.opus", sha256="ab" * 32, offset_ms=0, duration_ms=11_000),),
        ),
        made_by=MadeBy(extractor="0.0.0", speech_model=SpeechModel(name="base", sha256="cd" * 32), lexicons={}),
        words=words,
        corrections=(
            Correction(words=(3, 5), heard="Pepper and", read="heparin", why="sounds-alike", audio_cost=1.4),
            Correction(words=(22, 23), heard="Contrast", read="contact", why="sounds-alike", review=True),
        ),
        events=(
            event(1, Kind.ACCESS, Status.DONE, (0, 3), site=Site(name="groin", side="right")),
            event(2, Kind.DRUG, Status.DONE, (3, 6), drug="heparin"),
            event(
                3,
                Kind.INFLATION,
                Status.DONE,
                (6, 16),
                device="balloon",
                site=Site(name="superficial femoral artery", side="right", part="mid"),
                values={
                    "diameter": Value(value=6, words=(8, 9), **size),
                    "length": Value(value=80, words=(10, 11), **size),
                    "pressure": pressure,
                },
            ),
            event(4, Kind.FINDING, Status.NEGATED, (16, 18), finding="dissection"),
            event(5, Kind.STENT, Status.CONSIDERED, (18, 22), device="stent"),
            event(
                6,
                Kind.TOTAL,
                Status.DONE,
                (22, 26),
                values={"contrast_volume": Value(value=85, unit="mL", confidence=0.97, words=(23, 26))},
            ),
        ),
        checks=(Check(code="never-removed", severity="review", message="The wire was never said to come out."),),
        gaps=(Gap(start_ms=7_150, end_ms=7_190, why="Speech-like sound."),),
    )
