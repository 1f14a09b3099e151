"""WebVTT: what is written is read back to the same times and words, whatever the words hold."""

import html
import re
from pathlib import Path
from textwrap import dedent

import av
import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.handover.captions import CUE_MS, GAP_TEXT, write_captions
from extractor.model import Correction, Gap, MadeBy, Recording, Timeline, Word

TIMING = re.compile(r"(\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3}) --> (\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3})")


def timeline(words: list[Word], corrections: tuple[Correction, ...] = (), gaps: tuple[Gap, ...] = ()) -> Timeline:
    recording = Recording(sha256="", duration_ms=max([word.end_ms for word in words], default=0))
    made_by = MadeBy(extractor="0", speech_model=None, lexicons={})
    return Timeline(recording=recording, made_by=made_by, words=tuple(words), corrections=corrections, gaps=gaps)


def read_cues(text: str) -> list[tuple[int, int, str]]:
    """A strict reader by the standard's own steps: header, blocks parted by empty lines, NOTE, timing line, text."""
    header, *blocks = text.rstrip("\n").split("\n\n")
    assert header.split("\n")[0] == "WEBVTT"
    cues = []
    for block in blocks:
        first, *rest = block.split("\n")
        if first.startswith("NOTE"):
            assert "-->" not in block
            continue
        match = TIMING.fullmatch(first)
        assert match, f"neither note nor cue: {block!r}"
        h1, m1, s1, f1, h2, m2, s2, f2 = map(int, match.groups())
        payload = html.unescape(re.sub(r"</?c[^>]*>", "", "\n".join(rest)))
        assert payload
        assert "-->" not in "\n".join(rest)
        cues.append((((h1 * 60 + m1) * 60 + s1) * 1000 + f1, ((h2 * 60 + m2) * 60 + s2) * 1000 + f2, payload))
    return cues


HOSTILE = st.sampled_from(
    ["-->", "<", "&", "&amp;", "<c>", "a\n\nb", "\r", "\0", " ", "", "NOTE", "WEBVTT", "x --> y", "\x1b[31m"]
)
TALK = st.lists(
    st.tuples(st.text(max_size=12) | HOSTILE, st.integers(0, 9_000), st.integers(0, 4_000)), max_size=30
)  # (text, pause before, length)


def spoken(talk: list[tuple[str, int, int]]) -> list[Word]:
    words, at = [], 0
    for text, pause_ms, length_ms in talk:
        at += pause_ms
        words.append(Word(text=text, start_ms=at, end_ms=at + length_ms))
        at += length_ms
    return words


def visible(text: str) -> list[str]:
    return text.replace("\0", "\ufffd").split()


@given(TALK)
def test_what_is_written_is_read_back_to_the_same_words_and_times(talk: list[tuple[str, int, int]]) -> None:
    words = spoken(talk)
    cues = read_cues(write_captions(timeline(words)))
    shown = [word for word in words if visible(word.text)]
    assert [text for cue in cues for text in cue[2].split()] == [text for word in shown for text in visible(word.text)]
    at = 0
    for start_ms, end_ms, payload in cues:
        assert start_ms == shown[at].start_ms
        inside, letters = [], 0
        while letters < len(payload.split()):
            letters += len(visible(shown[at].text))
            inside.append(shown[at])
            at += 1
        assert end_ms == max(start_ms + 1, *(word.end_ms for word in inside))


@given(TALK)
def test_only_a_single_long_word_makes_a_cue_longer_than_seven_seconds(talk: list[tuple[str, int, int]]) -> None:
    for start_ms, end_ms, payload in read_cues(write_captions(timeline(spoken(talk)))):
        assert end_ms - start_ms <= CUE_MS or len(payload.split()) == 1


@pytest.mark.parametrize(
    ("ms", "written"),
    [
        pytest.param(0, "00:00:00.000", id="zero"),
        pytest.param(59_999, "00:00:59.999", id="no-rounding-into-the-next-minute"),
        pytest.param(3_600_000, "01:00:00.000", id="hour"),
        pytest.param(360_000_000, "100:00:00.000", id="three-digit-hours"),
    ],
)
def test_times_are_written_exactly(ms: int, written: str) -> None:
    assert f"\n{written} --> " in write_captions(timeline([Word(text="so", start_ms=ms, end_ms=ms + 5)]))


REPAIRS = [
    pytest.param(False, "<c.read>heparin</c> given.", "read: heparin", id="sure-is-shown-repaired"),
    pytest.param(True, "pepper and [heparin?] given.", "perhaps: heparin", id="doubtful-stays-as-heard"),
]


@pytest.mark.parametrize(("review", "shown", "noted"), REPAIRS)
def test_a_repair_tells_what_was_heard(review: bool, shown: str, noted: str) -> None:
    words = spoken([("pepper", 0, 300), ("and", 0, 300), ("given.", 0, 300)])
    repair = Correction(words=(0, 2), heard="pepper and", read="heparin", why="sounds-alike", review=review)
    text = write_captions(timeline(words, (repair,)))
    assert f"\n{shown}\n" in text
    assert f"NOTE 00:00:00.000 heard: pepper and; {noted}\n" in text


def test_a_repair_inside_another_is_noted_too() -> None:
    words = spoken([("six", 0, 300), ("inch", 0, 300), ("sheet", 0, 300)])
    repairs = (
        Correction(words=(0, 3), heard="six inch sheet", read="six French sheath", why="sounds-alike"),
        Correction(words=(2, 3), heard="sheet", read="sheath", why="misheard"),
    )
    text = write_captions(timeline(words, repairs))
    assert text.count("six French sheath</c>") == 1
    assert "heard: sheet; read: sheath" in text


def test_hostile_words_are_escaped() -> None:
    text = write_captions(timeline(spoken([("a", 0, 100), ("-->", 0, 100), ("<b>", 0, 100), ("&", 0, 100)])))
    assert text.endswith("\na --&gt; &lt;b&gt; &amp;\n")


def test_a_gap_is_a_cue_of_its_own() -> None:
    text = write_captions(timeline(spoken([("so", 0, 300)]), gaps=(Gap(start_ms=1000, end_ms=2500, why="loud"),)))
    assert read_cues(text)[1] == (1000, 2500, GAP_TEXT)


def test_the_whole_file(small_timeline: Timeline) -> None:
    expected = """\
        WEBVTT

        NOTE A draft until signed by the responsible clinician. It advises nothing: device instructions, local policy and licensed practice come first.

        NOTE 00:00:01.200 heard: Pepper and; read: heparin

        00:00:00.000 --> 00:00:04.350
        Access right groin. <c.read>heparin</c>
        given. Now the six by eighty,

        00:00:04.400 --> 00:00:08.750
        going up to fourteen atmospheres.
        No dissection. Maybe a stent later.

        NOTE 00:00:07.150 gap: Speech-like sound.

        00:00:07.150 --> 00:00:07.190
        [something may have been said here; no words were made out]

        NOTE 00:00:08.800 heard: Contrast; perhaps: contact

        00:00:08.800 --> 00:00:10.350
        Contrast [contact?] eighty five mils.
        """  # noqa: E501
    assert write_captions(small_timeline) == dedent(expected)


def test_a_reader_nobody_here_wrote_finds_the_same_times(small_timeline: Timeline, tmp_path: Path) -> None:
    """FFmpeg's WebVTT demuxer, by way of PyAV."""
    path = tmp_path / "transcript.vtt"
    path.write_text(write_captions(small_timeline), encoding="utf-8")
    with av.open(str(path)) as container:
        stream = container.streams[0]
        packets = [packet for packet in container.demux(stream) if packet.size]
        times = [(round(p.pts * p.time_base * 1000), round(p.duration * p.time_base * 1000)) for p in packets]
    assert [(start, start + length) for start, length in times] == [
        cue[:2] for cue in read_cues(path.read_text(encoding="utf-8"))
    ]
