"""Sounds made here: nothing is recorded, nothing is fetched."""

from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest

RATE = 16_000


def _pink(noise: np.ndarray) -> np.ndarray:
    spectrum = np.fft.rfft(noise)
    return np.fft.irfft(spectrum / np.sqrt(np.arange(1, len(spectrum) + 1)), len(noise))


def _tones(at: np.ndarray, *hertz: float) -> np.ndarray:
    return sum(np.sin(2 * np.pi * h * at) for h in hertz) / len(hertz)


#: Sounds nobody speaks in, by name: (seconds from the start, white noise of that length) -> samples.
WORDLESS = {
    "silence": lambda at, noise: 0 * at,
    "white noise": lambda at, noise: 0.1 * noise,
    "faint noise": lambda at, noise: 0.002 * noise,
    "pink noise": lambda at, noise: 0.2 * _pink(noise) / _pink(noise).std(),
    "tone": lambda at, noise: 0.2 * _tones(at, 440),
    "mains hum": lambda at, noise: 0.1 * _tones(at, 50, 100, 150, 250) + 0.003 * noise,
    "chords": lambda at, noise: (
        0.3 * _tones(at, 262, 330, 392) * (at % 2 < 1) + 0.3 * _tones(at, 294, 349, 440) * (at % 2 >= 1)
    ),
    "monitor beeps": lambda at, noise: 0.3 * _tones(at, 880) * (at % 0.8 < 0.1) + 0.01 * noise,
    "clicks": lambda at, noise: 0.5 * noise * (at % 1.3 < 0.005),
    "breath of a fan": lambda at, noise: (
        0.1 * _pink(noise) / _pink(noise).std() * (1 + 0.5 * np.sin(2 * np.pi * 0.3 * at))
    ),
}


def make_sound(kind: str, seconds: float, rate: int = RATE) -> np.ndarray:
    at = np.arange(int(seconds * rate)) / rate
    noise = np.random.default_rng(7).standard_normal(len(at))
    return np.clip(WORDLESS[kind](at, noise), -1, 1).astype(np.float32)


@pytest.fixture(params=WORDLESS)
def wordless(request: pytest.FixtureRequest) -> str:
    """The name of each sound nobody speaks in."""
    return request.param


@pytest.fixture
def make() -> Callable[..., np.ndarray]:
    """make("pink noise", seconds) -> float32 samples at 16 kHz."""
    return make_sound


@pytest.fixture
def record(tmp_path: Path) -> Callable[..., Path]:
    """record("name.ogg", samples, codec="libopus", jumps=((after_s, by_s),), picture=False, tags={}, **options)."""

    def write(
        name: str,
        samples: np.ndarray,
        codec: str = "pcm_s16le",
        rate: int = 48_000,
        jumps: tuple[tuple[float, float], ...] = (),
        picture: bool = False,
        tags: dict[str, str] | None = None,
        **options: str,
    ) -> Path:
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        shifted = np.interp(np.arange(int(len(samples) * rate / RATE)) * RATE / rate, np.arange(len(samples)), samples)
        pcm = (shifted * 32767).astype(np.int16)
        with av.open(path, "w", options=options) as box:
            box.metadata.update(tags or {})
            stream = box.add_stream(codec, rate=rate, layout="mono")
            if picture:
                video = box.add_stream("mpeg4", rate=10)
                video.width = video.height = 64
                video.pix_fmt = "yuv420p"
                for i in range(round(10 * len(samples) / RATE)):
                    frame = av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), np.uint8), format="rgb24")
                    frame.pts = i
                    box.mux(video.encode(frame))
                box.mux(video.encode(None))
            resampler = av.AudioResampler(
                format=stream.format.name, layout="mono", rate=rate, frame_size=stream.frame_size or 1024
            )
            at = 0
            for i in range(0, len(pcm), 4800):
                frame = av.AudioFrame.from_ndarray(pcm[None, i : i + 4800], format="s16", layout="mono")
                frame.sample_rate = rate
                for piece in resampler.resample(frame):
                    at = _encode(box, stream, piece, at, rate, jumps)
            for piece in resampler.resample(None):
                at = _encode(box, stream, piece, at, rate, jumps)
            box.mux(stream.encode(None))
        return path

    return write


def _encode(box, stream, frame, at: int, rate: int, jumps) -> int:
    late_s = sum(by for after, by in jumps if at / rate >= after)
    frame.pts = at + int(late_s * rate)
    box.mux(stream.encode(frame))
    return at + frame.samples
