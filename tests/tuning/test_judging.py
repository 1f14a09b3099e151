"""Words wrong of words said: the same count whatever a recogniser's way of writing."""

import shutil
from pathlib import Path

import jiwer
import pytest

from extractor.errors import InputError
from extractor.listening.speech_models import resolve
from extractor.tuning import judging
from extractor.tuning.judging import WordErrors, judge, read_ordinary
from extractor.tuning.train import Clip
from extractor.tuning.words import plain

SAID = {
    "all right": ("the french sheath", "The French sheath.", 0),
    "one changed": ("the french sheath", "The inch sheath.", 1),
    "one left out": ("the french sheath", "the sheath", 1),
    "one put in": ("the french sheath", "a the french sheath", 1),
    "nothing heard": ("the french sheath", "", 3),
}


@pytest.mark.parametrize(("said", "heard", "errors"), SAID.values(), ids=SAID)
def test_errors_are_counted_as_everybody_counts_them(said, heard, errors):
    assert judging._distance(plain(said), plain(heard)) == errors
    assert round(jiwer.wer(said, " ".join(plain(heard))) * 3) == errors


def test_figures_show_their_count():
    assert str(WordErrors(31, 1234)) == "2.5 % of 1,234 words"
    assert WordErrors(0, 0).percent == 0.0


def test_ordinary_speech_is_recordings_with_their_texts(tmp_path, fixtures):
    for name, text in (("b", "three"), ("a", "one\ntwo\n")):
        shutil.copy(fixtures / "short-inflation" / "recording.opus", tmp_path / f"{name}.opus")
        (tmp_path / f"{name}.txt").write_text(text)
    one, other = read_ordinary(tmp_path)
    assert one.lines == [(0, len(one.samples), "one two")]
    assert [text for _, _, text in other.lines] == ["three"]


def test_a_text_without_its_recording_is_named(tmp_path):
    (tmp_path / "a.txt").write_text("one")
    with pytest.raises(InputError, match=r"a\.txt: no recording of the same name"):
        read_ordinary(tmp_path)


def test_no_ordinary_speech_is_refused_with_the_cure(tmp_path):
    with pytest.raises(InputError, match="put recordings there, each beside its text"):
        read_ordinary(tmp_path)


@pytest.mark.sound
def test_a_model_is_judged_as_it_hears_in_a_draft(request: pytest.FixtureRequest):
    from extractor.listening.decode import decode

    case = Path(request.config.rootpath) / "fixtures" / "short-inflation"
    samples = decode(case / "recording.opus").samples[:]
    done = []
    found = judge(
        [Clip(samples, [(0, len(samples), "the balloon is up")])], resolve("base"), (), lambda *at: done.append(at)
    )
    assert found.words == 4
    assert 3 < found.errors < 60
    assert done == [(len(samples) / 16_000, len(samples) / 16_000)]
