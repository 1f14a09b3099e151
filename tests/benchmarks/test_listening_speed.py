"""What a whole draft from sound costs, second opinions and all, beside bare faster-whisper in the same run."""

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from extractor.listening.decode import Sound, decode
from extractor.listening.speech import listen
from extractor.listening.speech_models import others_beside, resolve
from extractor.pipeline import draft

pytestmark = [pytest.mark.benchmark, pytest.mark.sound]

#: What must hold: wall time of the draft beside that of the bare transcript; of a second of long sound beside short.
MOST_BESIDE_BARE, MOST_GROWTH = 1.0, 1.15
TIMES = 5


def seconds(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


@pytest.fixture(scope="module")
def recording(request: pytest.FixtureRequest) -> Path:
    return request.config.rootpath / "fixtures" / "fistula-high-pressure" / "recording.opus"


def test_a_whole_draft_takes_no_longer_than_the_bare_transcript(recording: Path) -> None:
    from faster_whisper import WhisperModel

    bare = WhisperModel(str(resolve("base").folder), device="cpu", compute_type="int8")
    draft([recording])  # models are loaded, and made at first use: that is not what is compared
    plain_s = seconds(lambda: list(bare.transcribe(str(recording), language="en", beam_size=5)[0]))
    whole_s = seconds(lambda: draft([recording]))
    length_s = decode(recording).duration_ms / 1000
    print(f"\nof {length_s:.0f} s: bare {plain_s / length_s:.3f}, whole draft {whole_s / length_s:.3f} a second")
    assert whole_s <= MOST_BESIDE_BARE * plain_s


def test_a_second_of_long_sound_costs_what_one_of_short_sound_does(recording: Path) -> None:
    model = resolve()
    samples = decode(recording).samples[:]

    def hear(times: int) -> float:
        sound = Sound("a case", "0" * 64, np.tile(samples, times))
        return seconds(lambda: listen([sound], model, others=others_beside(model))) / times

    hear(1)
    short_s, long_s = hear(1), hear(TIMES)
    print(f"\nonce {short_s:.1f} s, {TIMES} times {long_s:.1f} s each")
    assert long_s <= MOST_GROWTH * short_s
