"""The teaching folder: nothing in it that was taken out, tones where it was said, a page that plays from disk."""

import json
import re
from pathlib import Path

import av
import numpy as np
import pytest
import webvtt

from extractor import draft_folder, lexicon, sound_file
from extractor.cli import main
from extractor.errors import InputError, OutputError
from extractor.listening.decode import RATE, decode
from extractor.model import Timeline, Value
from extractor.teaching import pack
from extractor.teaching.deidentify import find, known_words
from extractor.teaching.page import WARNING, glossary

RECORDING = Path(__file__).parents[2] / "fixtures" / "short-inflation" / "recording.opus"
SECRET = ("Anselma", "Quimby", "4711920")


@pytest.fixture(scope="module")
def lexicons() -> lexicon.Lexicon:
    return lexicon.load()


@pytest.fixture
def named(small_timeline: Timeline) -> Timeline:
    """The small case with a name, a number and a caution that tells both; the value's heard form has the name too."""
    words = list(small_timeline.words)
    for at, text in ((1, "Anselma"), (2, "Quimby."), (5, "4711920."), (15, "Quimby.")):
        words[at] = words[at].model_copy(update={"text": text})
    model = small_timeline.events[2]
    pressure = model.values["pressure"].model_copy(update={"heard": "fourteen Quimby"})
    event = model.model_copy(update={"values": {**model.values, "pressure": pressure}})
    events = tuple(event if each.id == event.id else each for each in small_timeline.events)
    check = small_timeline.checks[0].model_copy(update={"message": "Said by Quimby."})
    repairs = (small_timeline.corrections[0].model_copy(update={"words": (1, 3), "heard": "Anselma Quimby"}),)
    changes = {"words": tuple(words), "events": events, "checks": (check,), "corrections": repairs}
    return small_timeline.model_copy(update=changes)


def teach(timeline: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon, **wishes: object) -> pack.Made:
    model = timeline.made_by.model_copy(update={"speech_model": None})
    transcript = timeline.model_copy(update={"made_by": model})
    return pack.teach(transcript, tmp_path, tmp_path / "out", lexicons, sounds=[RECORDING], **wishes)  # type: ignore[arg-type]


def test_nothing_in_the_folder_tells_what_was_taken_out(
    named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon
) -> None:
    made = teach(named, tmp_path, lexicons)
    files = [path for path in (tmp_path / "out").rglob("*") if path.is_file()]
    assert {path.name for path in files} >= {
        "index.html",
        "captions.vtt",
        "chapters.vtt",
        "events.vtt",
        "recording.webm",
    }
    hidden = [*SECRET, "note-1.opus", "ab" * 32]
    assert [(path.name, each) for path in files for each in hidden if each.encode() in path.read_bytes()] == []
    listed = [json.loads(line) for line in made.listed_in.read_text().splitlines()]
    assert [(each["kind"], each["text"]) for each in listed] == [
        ("name", "Anselma Quimby."), ("number", "4711920."), ("name", "Quimby."),
    ]  # fmt: skip
    assert made.listed_in.parent == tmp_path, "beside the folder, not in it"


def test_captions_say_that_something_was_taken_out(named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon) -> None:
    teach(named, tmp_path, lexicons)
    text = " ".join(cue.text.replace("\n", " ") for cue in webvtt.read(str(tmp_path / "out" / "captions.vtt")))
    assert "Access [name]. Pepper and [number]." in text
    assert find(text.split(), known_words(lexicons)) == ()


def test_a_tone_stands_where_it_was_said(named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon) -> None:
    teach(named, tmp_path, lexicons)
    before, after = decode(RECORDING), decode(tmp_path / "out" / "recording.webm")
    assert after.duration_ms == pytest.approx(before.duration_ms, abs=60)
    for at, is_taken_out in ((1, True), (2, True), (5, True), (12, False)):
        word = named.words[at]
        spectrum = np.abs(np.fft.rfft(after.cut(word.start_ms, word.end_ms)))
        loudest_hz = spectrum.argmax() * RATE / (2 * (len(spectrum) - 1))
        assert bool(abs(loudest_hz - 800) < 15) is is_taken_out


def test_the_file_carries_no_names(named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon) -> None:
    teach(named, tmp_path, lexicons)
    with av.open(str(tmp_path / "out" / "recording.webm")) as file:
        assert {key.lower() for key in file.metadata} <= {"encoder"}


def test_the_same_case_gives_the_same_files(named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon) -> None:
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        teach(named, tmp_path / name, lexicons)
    read = [
        {
            path.relative_to(tmp_path / name): path.read_bytes()
            for path in (tmp_path / name).rglob("*")
            if path.is_file()
        }
        for name in ("one", "two")
    ]
    assert read[0] == read[1]


def test_clips_are_of_what_was_done(named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon) -> None:
    made = teach(named, tmp_path, lexicons)
    (clip,) = (tmp_path / "out" / "clips").iterdir()
    assert (made.clips, clip.name) == (1, "001-inflation.webm")
    event = named.events[2]
    assert decode(clip).duration_ms == pytest.approx(event.end_ms + 3_000 - max(0, event.start_ms - 3_000), abs=60)


def test_the_page_asks_and_hides_the_answer(named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon) -> None:
    teach(named, tmp_path, lexicons)
    page = (tmp_path / "out" / "index.html").read_text()
    question, answer = re.findall(r"<li><p>(.*?)</p><details>(.*?)</details>", page, re.DOTALL)[0]
    assert "What would you inflate to, and why?" in question
    assert "14 atm" not in question
    assert "14 atm?" in answer
    assert "six by eighty, going up" in answer
    assert WARNING in page
    assert "<!--" not in page.replace("<!DOCTYPE", "")


def test_the_glossary_holds_the_terms_that_occur(small_timeline: Timeline, lexicons: lexicon.Lexicon) -> None:
    words = tuple(word.model_copy(update={"text": text}) for word, text in zip(
        small_timeline.words, "Sheath in, right common femoral artery, heparin".split(), strict=False
    ))  # fmt: skip
    found = {(name, kind) for name, kind, _ in glossary(small_timeline.model_copy(update={"words": words}), lexicons)}
    assert {("sheath", "device"), ("heparin", "drug"), ("common femoral artery", "anatomy")} <= found


def test_hostile_words_are_no_markup(named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon) -> None:
    words = list(named.words)
    words[7] = words[7].model_copy(update={"text": "<script>alert(1)</script>"})
    words[9] = words[9].model_copy(update={"text": "<!--events-->"})
    teach(named.model_copy(update={"words": tuple(words)}), tmp_path, lexicons, title="<b>&")
    page = (tmp_path / "out" / "index.html").read_text()
    assert page.count("<script") == 1
    assert "<b>&" not in page


def filmed(place: Path, codec: str, seconds: float = 8, begins_s: float = 0, whole_every: int = 15) -> Path:
    """A film of a brightening grey with a tone; its tags and its streams' tags tell a name."""
    with av.open(str(place), "w") as film:
        film.metadata["title"] = "Anselma Quimby"
        picture, voice = film.add_stream(codec, rate=10), film.add_stream("aac", rate=RATE, layout="mono")
        picture.metadata["title"] = voice.metadata["title"] = "Quimby's wire"
        picture.width, picture.height, picture.pix_fmt, picture.gop_size = 320, 240, "yuv420p", whole_every
        for number in range(round(seconds * 10)):
            grey = np.full((240, 320, 3), 2 * number + 20, np.uint8)
            frame = av.VideoFrame.from_ndarray(grey, "rgb24")
            frame.pts = number + round(begins_s * 10)
            film.mux(picture.encode(frame))
        samples = 0.1 * np.sin(np.arange(round(seconds * RATE)) / 20).astype(np.float32)
        sound = av.AudioFrame.from_ndarray(samples.reshape(1, -1), "fltp", "mono")
        sound.sample_rate, sound.pts = RATE, round(begins_s * RATE)
        film.mux([*voice.encode(sound), *voice.encode(None), *picture.encode(None)])
    return place


def greys(file: Path) -> list[tuple[float, int]]:
    """When each picture is shown, and how bright it is."""
    with av.open(str(file)) as film:
        return [(frame.time, round(float(frame.to_ndarray(format="gray").mean()))) for frame in film.decode(video=0)]


def test_a_picture_is_left_out_unless_wished_for(tmp_path: Path) -> None:
    film = filmed(tmp_path / "film.mkv", "libx264")
    for name, picture, wanted in (("without", None, 0), ("with", film, 1)):
        sound_file.write(decode(film).samples[:], tmp_path / f"{name}.webm", picture)
        with av.open(str(tmp_path / f"{name}.webm")) as file:
            assert (len(file.streams.video), len(file.streams.audio)) == (wanted, 1)


FILMS = {
    "copied": ("film.mkv", "libvpx", 0),
    "made anew": ("film.mp4", "libx264", 0),
    "of another kind": ("film.mkv", "mpeg4", 0),
    "a clock that begins later": ("film.mkv", "libx264", 5),
}


@pytest.mark.parametrize(("name", "codec", "begins_s"), FILMS.values(), ids=FILMS)
def test_every_picture_stands_at_its_time_and_tells_no_name(
    name: str, codec: str, begins_s: float, tmp_path: Path
) -> None:
    film = filmed(tmp_path / name, codec, begins_s=begins_s)
    samples = decode(film).samples[: 6 * RATE]  # a film that goes on when its sound has ended
    for out in ("one.webm", "two.webm"):
        sound_file.write(samples, tmp_path / out, film)
    assert (tmp_path / "one.webm").read_bytes() == (tmp_path / "two.webm").read_bytes()
    assert b"Quimby" not in (tmp_path / "one.webm").read_bytes()
    shown = greys(tmp_path / "one.webm")
    assert len(shown) == 80
    for number, (at, grey) in enumerate(shown):
        assert at == pytest.approx(number / 10, abs=0.05)
        assert grey == pytest.approx(2 * number + 20, abs=6)


#: What the film is of, how often it has a whole picture, when the clip may begin.
CLIPS = {
    "made anew": ("libx264", 15, 3.0, 3.0),
    "copied, whole pictures often": ("libvpx", 15, 4.0, 5.3),
    "copied, a whole picture only at first": ("libvpx", 200, 5.3, 5.3),
}


@pytest.mark.parametrize(("codec", "whole_every", "earliest_s", "latest_s"), CLIPS.values(), ids=CLIPS)
def test_a_clip_begins_no_more_than_a_moment_early(
    codec: str, whole_every: int, earliest_s: float, latest_s: float, tmp_path: Path
) -> None:
    film = filmed(tmp_path / "film.mkv", codec, whole_every=whole_every)
    sound_file.write(decode(film).samples[:], tmp_path / "whole.webm", film)
    for out in ("clip.webm", "again.webm"):
        sound_file.write_clip(tmp_path / "whole.webm", tmp_path / out, 5_300, 6_500)
    assert (tmp_path / "clip.webm").read_bytes() == (tmp_path / "again.webm").read_bytes()
    shown = greys(tmp_path / "clip.webm")
    begins_s = (shown[0][1] - 20) / 20
    assert earliest_s - 0.3 <= begins_s <= latest_s + 0.3
    assert shown[0][0] == pytest.approx(0, abs=0.05)
    assert begins_s + shown[-1][0] == pytest.approx(6.5, abs=0.4)
    assert decode(tmp_path / "clip.webm").duration_ms == pytest.approx(6_500 - 1_000 * begins_s, abs=300)


def test_clips_of_a_filmed_case_have_the_picture(named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon) -> None:
    film = filmed(tmp_path / "film.mp4", "libx264")
    model = named.made_by.model_copy(update={"speech_model": None})
    timeline = named.model_copy(update={"made_by": model})
    for out in ("one", "two"):
        pack.teach(timeline, tmp_path, tmp_path / out, lexicons, sounds=[film], picture=True)
    page = (tmp_path / "one" / "index.html").read_text()
    assert '<video controls preload="none" src="clips/001-inflation.webm">' in page
    assert greys(tmp_path / "one" / "clips" / "001-inflation.webm")
    for path in (tmp_path / "one").rglob("*.*"):
        assert path.read_bytes() == (tmp_path / "two" / path.relative_to(tmp_path / "one")).read_bytes()
        assert not [each for each in SECRET if each.encode() in path.read_bytes()]


PICTURELESS = {
    "a recording without a picture": ([RECORDING], "holds no picture"),
    "no recording": ([], "has 0 recordings"),
}


@pytest.mark.parametrize(("sounds", "why"), PICTURELESS.values(), ids=PICTURELESS)
def test_a_picture_that_is_not_there_is_refused(
    sounds: list[Path], why: str, named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon
) -> None:
    model = named.made_by.model_copy(update={"speech_model": None})
    timeline = named.model_copy(update={"made_by": model})
    with pytest.raises(InputError, match=why):
        pack.teach(timeline, tmp_path, tmp_path / "out", lexicons, sounds=sounds, picture=True)
    assert not list(tmp_path.iterdir())


REFUSED = [
    pytest.param(True, "is there already", id="used"),
    pytest.param(False, "name its place with --sound", id="no-recording"),
]


@pytest.mark.parametrize(("is_used", "why"), REFUSED)
def test_what_cannot_be_made_is_refused_and_leaves_nothing(
    named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon, is_used: bool, why: str
) -> None:
    if is_used:
        (tmp_path / "out").mkdir()
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises((InputError, OutputError), match=why):
        pack.teach(named, tmp_path, tmp_path / "out", lexicons)
    assert sorted(tmp_path.rglob("*")) == before


def test_the_command_teaches_with_signed_cases_only(
    small_timeline: Timeline, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    model = small_timeline.made_by.model_copy(update={"speech_model": None})
    draft_folder.write(small_timeline.model_copy(update={"made_by": model}), tmp_path / "case")
    arguments = ["teach", str(tmp_path / "case"), "--out", str(tmp_path / "lesson")]
    assert main(arguments) == 2
    assert "only a signed case" in capsys.readouterr().err
    assert main([*arguments, "--draft"]) == 0
    assert WARNING in capsys.readouterr().out
    assert "from a draft that nobody has signed" in (tmp_path / "lesson" / "index.html").read_text()


def test_values_are_kept(named: Timeline) -> None:
    clean = pack.without(named, find([word.text for word in named.words], frozenset()))
    for before, after in zip(named.events, clean.events, strict=True):
        assert {key: (v.value, v.unit) for key, v in before.values.items()} == {
            key: (v.value, v.unit) for key, v in after.values.items()
        }
    assert all(isinstance(value, Value) for event in clean.events for value in event.values.values())
