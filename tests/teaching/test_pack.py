"""The teaching folder: nothing in it that was taken out, tones where it was said, a page that plays from disk."""

import json
import re
from pathlib import Path

import av
import numpy as np
import pytest
import webvtt

from extractor import draft_folder, lexicon
from extractor.cli import main
from extractor.errors import InputError, OutputError
from extractor.listening.decode import RATE, decode
from extractor.model import Timeline, Value
from extractor.teaching import media, pack
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


def test_a_picture_is_left_out_unless_wished_for(
    named: Timeline, tmp_path: Path, lexicons: lexicon.Lexicon, fixtures: Path
) -> None:
    film = fixtures / "fistula-high-pressure" / "recording.webm"
    sound = decode(film)
    samples = media.cut(media.mixed([(0, sound)], []), 0, 4_000)
    for name, picture, wanted in (("without", None, 0), ("with", film, 1)):
        out = tmp_path / f"{name}.webm"
        media.write(samples, out, picture)
        with av.open(str(out)) as file:
            assert (len(file.streams.video), len(file.streams.audio)) == (wanted, 1)
            assert sum(1 for _ in file.decode(video=0)) > 10 if wanted else True


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
