"""Transcripts of three forms are read to the millisecond; what is doubtful is refused with its line."""

import hashlib
import json
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.errors import InputError
from extractor.listening.transcripts import open_inputs, read_transcript

WEBVTT = """WEBVTT - invented

STYLE
::cue { color: lime }

REGION
id:low

NOTE nobody says this

1
00:01.000 --> 00:03.000 align:start position:0%
<v Operator>Six <i>French</i> sheath.

named cue
01:00:00.500 --> 01:00:01.500
Fourteen&nbsp;atmospheres
&amp; holding &lt; a minute.
"""


@pytest.fixture
def write(tmp_path: Path):
    def to(name: str, content: str | bytes) -> Path:
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return to


def texts(path: Path) -> list[str]:
    return [word.text for word in read_transcript(path).words]


def test_reads_webvtt(write):
    transcript = read_transcript(write("case.vtt", WEBVTT))
    assert [word.text for word in transcript.words] == (
        "Six French sheath. Fourteen atmospheres & holding < a minute.".split()
    )
    assert (transcript.words[0].start_ms, transcript.words[2].end_ms) == (1000, 3000)
    assert (transcript.words[3].start_ms, transcript.words[-1].end_ms) == (3_600_500, 3_601_500)
    assert transcript.recording.duration_ms == 3_601_500
    assert {word.probability for word in transcript.words} == {1.0}


#: id: the file's content, and the words in it
SAME_WORDS = {
    "CRLF": WEBVTT.replace("\n", "\r\n"),
    "CR": WEBVTT.replace("\n", "\r"),
    "byte order mark": "\ufeff" + WEBVTT,
    "no last line end": WEBVTT.rstrip(),
    "many blank lines": WEBVTT.replace("\n\n", "\n\n \n\t\n"),
}


@pytest.mark.parametrize("content", SAME_WORDS.values(), ids=SAME_WORDS)
def test_line_ends_and_marks_change_nothing(write, content):
    assert read_transcript(write("a.vtt", content)).words == read_transcript(write("b.vtt", WEBVTT)).words


def test_reads_subrip(write):
    path = write(
        "case.srt",
        "1\r\n00:00:01,000 --> 00:00:02,000\r\n<b>Wire</b> {\\an8}in\r\n\r\n2\r\n0:00:02,000 --> 0:00:02,500\r\nup\r\n",
    )
    assert [(word.text, word.start_ms, word.end_ms) for word in read_transcript(path).words] == [
        ("Wire", 1000, 1625),
        ("in", 1625, 2000),
        ("up", 2000, 2500),
    ]


#: id: a cue's text, and the words read from it
CUE_TEXTS = {
    "a voice in the middle": ("Up. <v Nurse>Fourteen.</v>", ["Up.", "Fourteen."]),
    "a voice after a word": ("Up.<v.loud Nurse>Fourteen.", ["Up.", "Fourteen."]),
    "classes and languages": ("<c.yellow.bg_blue>six</c> <lang en-GB>French</lang>", ["six", "French"]),
    "a tag over two lines": ("<c\n.x>six</c> up", ["six", "up"]),
    "what only looks like a tag": ("gradient <5 mm and >3", ["gradient", "<5", "mm", "and", ">3"]),
    "an unknown tag is shown": ("<six French>", ["<six", "French>"]),
    "entities once only": ("&amp;lt; &#39;x&#39; R&D", ["&lt;", "'x'", "R&D"]),
    "direction marks": ("\u200esix\u200f &lrm;up", ["six", "up"]),
    "odd spaces split, odd line ends do not end a cue": ("six\u00a0mm\u2028by\x0bten", ["six", "mm", "by", "ten"]),
    "a line that looks like a comment": ("NOTE this was said", ["NOTE", "this", "was", "said"]),
}  # fmt: skip


@pytest.mark.parametrize(("text", "words"), CUE_TEXTS.values(), ids=CUE_TEXTS)
def test_reads_what_was_said_and_no_markup(write, text, words):
    assert texts(write("case.vtt", f"WEBVTT\n\n00:00.000 --> 00:09.000\n{text}\n")) == words


def test_inner_times_are_kept(write):
    path = write(
        "case.vtt", "WEBVTT\n\n00:01.000 --> 00:05.000\n<c>six</c><00:02.000><c> French</c> <00:00:04.000>in\n"
    )
    assert [(word.text, word.start_ms, word.end_ms) for word in read_transcript(path).words] == [
        ("six", 1000, 2000),
        ("French", 2000, 4000),
        ("in", 4000, 5000),
    ]


def test_overlapping_cues_never_go_back_in_time(write):
    path = write("case.vtt", "WEBVTT\n\n00:00.000 --> 00:10.000\none two\n\n00:08.000 --> 00:09.000\nthree\n")
    transcript = read_transcript(path)
    assert [word.start_ms for word in transcript.words] == [0, 4000, 8000]
    assert transcript.recording.duration_ms == 10_000


def test_rounded_up_seconds_have_one_meaning(write):
    path = write("case.vtt", "WEBVTT\n\n00:00:59.000 --> 00:00:60.000\nup\n\n00:00:60.000 --> 00:01:01.000\ndown\n")
    assert [word.end_ms for word in read_transcript(path).words] == [60_000, 61_000]


def test_a_cue_right_below_the_header_is_read(write):
    assert texts(write("case.vtt", "WEBVTT\n00:00.000 --> 00:01.000\nup\n")) == ["up"]


@given(
    lengths=st.lists(st.integers(1, 30), min_size=1, max_size=40),
    start_ms=st.integers(0, 10**7),
    length_ms=st.integers(0, 20_000),
)
def test_a_cues_words_fill_it_in_order(tmp_path_factory, lengths, start_ms, length_ms):
    def clock(ms: int) -> str:
        return f"{ms // 3_600_000:02}:{ms // 60_000 % 60:02}:{ms // 1000 % 60:02}.{ms % 1000:03}"

    path = tmp_path_factory.mktemp("cue") / "case.vtt"
    said = " ".join("x" * length for length in lengths)
    path.write_text(f"WEBVTT\n\n{clock(start_ms)} --> {clock(start_ms + length_ms)}\n{said}\n")
    words = read_transcript(path).words
    assert [len(word.text) for word in words] == lengths
    assert (words[0].start_ms, words[-1].end_ms) == (start_ms, start_ms + length_ms)
    for one, following in pairwise(words):
        assert one.start_ms <= one.end_ms == following.start_ms


def test_reads_json(write):
    words = [
        {"text": "fourteen", "start_ms": 0, "end_ms": 400, "probability": 0.5},
        {"text": "atmospheres", "start_ms": 400, "end_ms": 900},
        {"text": "six mm", "start_ms": 900, "end_ms": 1600},
    ]
    transcript = read_transcript(write("case.json", json.dumps({"words": words, "made_by": "invented"})))
    assert [(w.text, w.start_ms, w.end_ms, w.probability) for w in transcript.words] == [
        ("fourteen", 0, 400, 0.5),
        ("atmospheres", 400, 900, 1.0),
        ("six", 900, 1300, 1.0),
        ("mm", 1300, 1600, 1.0),
    ]


def test_parts_follow_one_another(write):
    first = write("1.vtt", "WEBVTT\n\n00:00.000 --> 00:02.000\nup\n")
    second = write("2.json", '{"words": [{"text": "down", "start_ms": 500, "end_ms": 900}]}')
    transcript = read_transcript(first, second)
    assert [(word.text, word.start_ms, word.end_ms) for word in transcript.words] == [
        ("up", 0, 2000),
        ("down", 2500, 2900),
    ]
    digests = [hashlib.sha256(path.read_bytes()).hexdigest() for path in (first, second)]
    assert [(p.name, p.sha256, p.offset_ms, p.duration_ms) for p in transcript.recording.parts] == [
        ("1.vtt", digests[0], 0, 2000),
        ("2.json", digests[1], 2000, 900),
    ]
    assert transcript.recording.sha256 == hashlib.sha256("".join(digests).encode()).hexdigest()
    assert transcript.recording.duration_ms == 2900
    assert read_transcript(first).recording.sha256 == digests[0]


# --- what is refused


def vtt(*cues: str) -> str:
    return "WEBVTT\n\n" + "\n\n".join(cues) + "\n"


def srt(*blocks: str) -> str:
    return "\n\n".join(blocks) + "\n"


def word(**changes: object) -> str:
    """A JSON transcript of one word, with something wrong about it."""
    return json.dumps({"words": [{"text": "x", "start_ms": 0, "end_ms": 1} | changes]})


ONE = "1\n00:00:01,000 --> 00:00:02,000\ntwelve"
BACKWARDS = json.dumps({"words": [{"text": "x", "start_ms": ms, "end_ms": 9} for ms in (2, 1)]})

#: id: suffix, content, and what the message must say after the file's name
FAULTS = {
    "no time": (".vtt", vtt("00:01.000 -> 00:02.000\nx"), ", line 3: text outside any cue"),
    "letters in a time": (".vtt", vtt("00:0l.000 --> 00:02.000\nx"), ", line 3: not a time"),
    "two figures of a second's part": (".srt", "1\n00:00:01,00 --> 00:00:02,000\nx\n", ", line 2: not a time"),
    "digits of another script": (".vtt", vtt("٠٠:٠١.٠٠٠ --> 00:02.000\nx"), ", line 3: not a time"),
    "seconds over 60": (".vtt", vtt("00:61.000 --> 00:62.000\nx"), ", line 3: minutes and seconds"),
    "seconds between 60 and 61": (".vtt", vtt("00:60.001 --> 00:62.000\nx"), ", line 3: minutes and seconds"),
    "ends before it starts": (".vtt", vtt("00:02.000 --> 00:01.000\nx"), ", line 3: the cue ends before"),
    "goes back": (".vtt", vtt("00:02.000 --> 00:03.000\nx", "00:01.000 --> 00:04.000\ny"), ", line 6: the cue starts"),
    "no blank line between cues": (".srt", srt(ONE + "\n2\n00:00:03,000 --> 00:00:04,000"), ", line 5: a cue inside"),
    "a blank line inside a cue": (".srt", srt(ONE, "by forty"), ", line 5: text outside any cue"),
    "a name for a number": (".srt", srt(ONE, "by 40\n00:00:03,000 --> 00:00:04,000\nx"), ", line 6: a cue inside a"),
    "a cue commented out": (".vtt", vtt("NOTE\n00:01.000 --> 00:02.000\nx"), ", line 4: a cue inside a comment"),
    "inner time outside": (".vtt", vtt("00:01.000 --> 00:02.000\nx <00:03.000> y"), ", line 3: a time inside"),
    "Latin-1": (".vtt", b"WEBVTT\n\n00:01.000 --> 00:02.000\nGr\xf6\xdfe\n", ", line 4: not UTF-8"),
    "UTF-16": (".srt", srt(ONE).encode("utf-16"), ", line 1: not UTF-8"),
    "empty": (".vtt", b"", ": the file is empty"),
    "header only": (".vtt", "WEBVTT\n", ": no words"),
    "cues without words": (".vtt", vtt("00:01.000 --> 00:02.000\n<v Nurse>"), ": no words"),
    "JSON cut short": (".json", '{"words": [\n{"text"', ", line 2: not JSON"),
    "JSON without words": (".json", '{"segments": []}', ": no list of words"),
    "JSON list": (".json", "[1]", ": no list of words"),
    "JSON nested deep": (".json", "[" * 200_000, ": not JSON"),
    "JSON with no word": (".json", '{"words": []}', ": no words"),
    "JSON word without time": (".json", '{"words": [{"text": "x"}]}', ", word 0: text, start_ms and end_ms"),
    "JSON seconds": (".json", word(start_ms=0.5), ", word 0: its times are no whole"),
    "JSON negative": (".json", word(start_ms=-5), ", word 0: its times are no whole"),
    "JSON truth for a time": (".json", word(start_ms=True), ", word 0: its times are no whole"),
    "JSON empty text": (".json", word(text=" "), ", word 0: its text is empty"),
    "JSON number for text": (".json", word(text=14), ", word 0: its text is empty"),
    "JSON half a letter": (".json", word(text="\ud800"), ", word 0: its text holds half"),
    "JSON ends first": (".json", word(start_ms=2), ", word 0: it ends before"),
    "JSON out of order": (".json", BACKWARDS, ", word 1: it starts before"),
    "JSON unsure beyond 1": (".json", word(probability=1.5), ", word 0: its probability"),
    "JSON probability NaN": (".json", word(probability=float("nan")), ", word 0: its probability"),
}


@pytest.mark.parametrize(("suffix", "content", "cause"), FAULTS.values(), ids=FAULTS)
def test_what_is_doubtful_is_refused_with_its_line(write, suffix, content, cause):
    path = write(f"case{suffix}", content)
    with pytest.raises(InputError) as caught:
        open_inputs([path])
    assert str(caught.value).startswith(f"{path}{cause}")
    assert "\n" not in str(caught.value)


# --- sound or transcript


#: id: name and content: each is a transcript whatever its name says
TRANSCRIPTS = {
    "WebVTT named as text": ("a.txt", WEBVTT),
    "WebVTT named as sound": ("a.wav", WEBVTT),
    "SubRip named as text": ("a.txt", "1\n00:00:01,000 --> 00:00:02,000\nx\n"),
    "JSON without a suffix": ("a", '\n {"words": [{"text": "x", "start_ms": 0, "end_ms": 1}]}'),
}


@pytest.mark.parametrize(("name", "content"), TRANSCRIPTS.values(), ids=TRANSCRIPTS)
def test_transcripts_are_told_by_content(write, name, content):
    sources = open_inputs([write(name, content)])
    assert sources.transcript is not None
    assert sources.sounds == ()
    assert sources.recording == sources.transcript.recording


def test_sound_named_as_a_transcript_is_heard(record, make):
    path = record("a.wav", make("tone", 1))
    sources = open_inputs([path.rename(path.with_suffix(".vtt"))])
    assert sources.transcript is None
    assert sources.recording.duration_ms == 1000


def test_several_sounds_follow_one_another(record, make):
    sources = open_inputs([record("1.wav", make("tone", 1)), record("2.ogg", make("tone", 2), "libopus")])
    assert [(part.name, part.offset_ms, part.duration_ms) for part in sources.recording.parts] == [
        ("1.wav", 0, 1000),
        ("2.ogg", 1000, 2000),
    ]
    assert [sound.name for sound in sources.sounds] == ["1.wav", "2.ogg"]


def test_sound_and_transcript_are_not_mixed(record, make, write):
    sound, transcript = record("1.wav", make("tone", 1)), write("2.vtt", WEBVTT)
    with pytest.raises(InputError, match=r"2\.vtt: a transcript, but .*1\.wav is a recording"):
        open_inputs([sound, transcript])


def test_no_input_is_refused():
    with pytest.raises(InputError, match="no input"):
        open_inputs([])


@pytest.mark.parametrize("name", ["a.vtt", "a.wav"])
def test_a_missing_file_is_named(tmp_path, name):
    with pytest.raises(InputError, match="no such file"):
        open_inputs([tmp_path / name])
