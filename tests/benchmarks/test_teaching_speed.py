"""What a teaching folder of a ten-minute film costs: all of it, picture made anew, against the film's own length."""

import time
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from extractor import lexicon, pipeline
from extractor.listening.decode import RATE
from extractor.teaching import pack

pytestmark = pytest.mark.benchmark

LENGTH_S, A_SECOND, PIECE_S = 600, 25, 8
WIDTH, HEIGHT = 1280, 720
#: Processor time of the film's length: what the machine does besides is no property of the code.
MOST = 1 / 3


def pictures() -> Iterator[np.ndarray]:
    """Eight seconds of grain with something dark that moves, as fluoroscopy has it."""
    chance = np.random.default_rng(1)
    grain = [chance.integers(0, 12, (HEIGHT, WIDTH), np.uint8) for _ in range(5)]
    slope = (np.add.outer(np.arange(HEIGHT) * 0.1, np.arange(WIDTH) * 0.1) % 200).astype(np.uint8)
    for number in range(PIECE_S * A_SECOND):
        grey = np.roll(slope, number * 2, 1) + grain[number % 5]
        grey[200:400, 3 * number % 900 : 3 * number % 900 + 120] = 30
        yield np.stack([grey] * 3, -1)


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """H.264 and AAC in MP4, the same eight seconds of picture again and again."""
    place = tmp_path_factory.mktemp("film") / "film.mp4"
    with av.open(str(place), "w") as goal:
        picture = goal.add_stream("libx264", rate=A_SECOND, options={"preset": "ultrafast"})
        picture.width, picture.height, picture.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        voice = goal.add_stream("aac", rate=RATE, layout="mono")
        packets = []
        for number, array in enumerate(pictures()):
            frame = av.VideoFrame.from_ndarray(array, "rgb24")
            frame.pts = number
            packets += picture.encode(frame)
        packets += picture.encode(None)
        piece = [(packet.pts, packet.dts, packet.time_base, bytes(packet), packet.is_keyframe) for packet in packets]
        for second in range(LENGTH_S):
            hum = 0.1 * np.sin(np.arange(RATE, dtype=np.float32) / 20).reshape(1, -1)
            sound = av.AudioFrame.from_ndarray(hum, "fltp", "mono")
            sound.sample_rate, sound.pts = RATE, second * RATE
            goal.mux(voice.encode(sound))
            if second % PIECE_S == 0:
                for pts, dts, base, content, is_whole in piece:
                    again, shift = av.Packet(content), round(Fraction(second) / base)
                    again.pts, again.dts, again.time_base, again.stream = pts + shift, dts + shift, base, picture
                    again.is_keyframe = is_whole
                    goal.mux(again)
        goal.mux(voice.encode(None))
    return place


@pytest.mark.parametrize("picture", [False, True], ids=["sound", "picture made anew"])
def test_a_lesson_is_made_in_a_third_of_its_length(picture: bool, film: Path, root: Path, tmp_path: Path) -> None:
    words = [root / "fixtures" / name / "transcript.vtt" for name in (
        "calf-claudication", "fistula-high-pressure", "varicocele-coils",
    )]  # fmt: skip
    timeline = pipeline.draft(words)
    loaded = lexicon.load()
    begin, worked = time.perf_counter(), time.process_time()
    made = pack.teach(timeline, tmp_path, tmp_path / "out", loaded, sounds=[film], picture=picture)
    took, worked = time.perf_counter() - begin, time.process_time() - worked
    with av.open(str(tmp_path / "out" / "recording.webm")) as lesson:
        assert lesson.duration == pytest.approx(LENGTH_S * av.time_base, rel=0.01)
    print(
        f"\n{LENGTH_S} s of {WIDTH} x {HEIGHT}, {len(timeline.events)} events, {made.clips} clips: {worked:.0f} s of "
        f"processor time, {worked / LENGTH_S:.3f} of its length; {took:.0f} s by the clock"
    )
    assert worked <= MOST * LENGTH_S
