"""Speech is never lost untold, and words are never made of silence: with a scripted decoder, then with a real one.

The scripted decoder stands at the seam (``speech.load``), and a tone stands for a voice, so these tests take no time.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tokenizers import Tokenizer

from extractor.errors import ModelError
from extractor.listening import recogniser, speech
from extractor.listening.decode import Sound, decode
from extractor.listening.recogniser import BIAS_TOKENS, Spoken
from extractor.listening.speech import Heard, listen
from extractor.listening.speech_models import ResolvedModel, resolve
from extractor.listening.voice import Voice

RATE = 16_000
MODEL = ResolvedModel("scripted", Path("nowhere"), "0" * 64)


def sound(samples: np.ndarray, offset_ms: int = 0) -> Sound:
    return Sound("note.wav", "1" * 64, samples.astype(np.float32), offset_ms=offset_ms)


class Decoder:
    """Writes ``script(seconds of the clip, bias)``: (text, start_s, end_s) of each word, in one phrase."""

    at_once = 4

    def __init__(self, script: Callable[..., list[tuple[str, float, float]]], **evidence: float) -> None:
        self.script = script
        self.evidence = {"probability": 0.9, "logprob": -0.2, "no_speech": 0.1, **evidence}
        self.asked: list[tuple[float, str]] = []

    def fit_bias(self, terms: tuple[str, ...]) -> tuple[str, ...]:
        return terms

    def hear(
        self,
        clips: list[np.ndarray],
        bias: str = "",
        *,
        most_tokens: int | None = None,
        number_words: frozenset[str] = frozenset(),
    ) -> list[list[Spoken]]:
        self.asked += [(round(len(clip) / RATE, 1), bias) for clip in clips]
        return [
            [
                Spoken(text, start_s, end_s, **self.evidence, rivals=tuple((each, -2.0) for each in number_words))
                for text, start_s, end_s in said
            ]
            for said in (self.script(len(clip) / RATE, bias) for clip in clips)
        ]


@pytest.fixture
def hear(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Heard]:
    """hear(decoder, *sounds, **options of listen): a tone counts as voice, noise and silence do not."""

    def voice(samples: np.ndarray) -> Voice:
        power = np.abs(np.fft.rfft(samples[: len(samples) // 512 * 512].reshape(-1, 512))) ** 2
        peaks, sums = power.max(axis=1, initial=0), power.sum(axis=1)
        return Voice([0.95 if peak > 0.2 * whole > 0 else 0.01 for peak, whole in zip(peaks, sums, strict=True)])

    def run(decoder: Decoder, *sounds: Sound, **options: object) -> Heard:
        others = options.pop("by", {})
        options["others"] = list(others)
        monkeypatch.setattr(speech, "load", lambda model: others.get(model, decoder))
        monkeypatch.setattr(speech, "_voice", voice)
        return listen(sounds, MODEL, **options)

    return run


def every_second(seconds: float, bias: str | None = None) -> list[tuple[str, float, float]]:
    return [(f" w{i}", i + 0.1, i + 0.9) for i in range(int(seconds))]


def test_words_of_several_sounds_lie_on_one_clock(hear, make):
    heard = hear(Decoder(every_second), sound(make("tone", 3)), sound(make("tone", 2), offset_ms=3000))
    assert [(word.text, word.start_ms, word.end_ms) for word in heard.words] == [
        ("w0", 100, 900),
        ("w1", 1100, 1900),
        ("w2", 2100, 2900),
        ("w0", 3100, 3900),
        ("w1", 4100, 4900),
    ]
    assert {word.probability for word in heard.words} == {0.9}
    assert heard.gaps == ()
    assert heard.speech_model.name == "scripted"


def test_progress_goes_up_to_the_end(hear, make):
    told: list[tuple[float, float]] = []
    hear(
        Decoder(every_second),
        sound(make("tone", 40)),
        sound(make("tone", 5)),
        progress=lambda done, of: told.append((done, of)),
    )
    assert told[-1] == (45.0, 45.0)
    assert {of for _, of in told} == {45.0}
    assert all(one[0] <= following[0] for one, following in pairwise(told))


def test_a_number_written_in_one_comes_in_one(hear, make):
    pieces = [
        (" 2", 0.1, 0.3),
        (".25", 0.3, 0.6),
        (" by", 0.7, 0.8),
        (" 50", 0.9, 1.0),
        ("%", 1.0, 1.1),
        (" -", 1.2, 1.3),
    ]
    heard = hear(Decoder(lambda *_: pieces), sound(make("tone", 1.3)))
    assert [(word.text, word.start_ms, word.end_ms) for word in heard.words] == [
        ("2.25", 100, 600),
        ("by", 700, 800),
        ("50%", 900, 1100),
    ]


def test_speech_the_bias_lost_is_decoded_again_without_it(hear, make):
    def script(seconds: float, bias: str | None) -> list[tuple[str, float, float]]:
        return every_second(seconds)[:4] if bias else every_second(seconds)

    decoder = Decoder(script)
    heard = hear(decoder, sound(make("tone", 12)), bias=("heparin", "sheath"))
    assert decoder.asked == [(12.0, "heparin, sheath"), (pytest.approx(8, abs=0.3), "")]
    assert [word.start_ms // 1000 for word in heard.words[:4]] == [0, 1, 2, 3]
    assert len(heard.words) in (11, 12)  # where the second decoding starts, the script may lose a word of its own
    assert heard.gaps == ()


#: id: what the decoder writes under the bias where something else was said
STRAINED = {
    "drawn out": [(" stenosis", 0.1, 0.9), (" pigtail,", 1.0, 5.5)],
    "three in a row": [(" pigtail,", 0.1, 1.0), (" pigtail,", 1.1, 2.0), (" pigtail,", 2.1, 3.0)],
}


@pytest.mark.parametrize("written", STRAINED.values(), ids=STRAINED)
def test_bias_written_over_other_speech_is_decoded_again_without_it(hear, make, written):
    decoder = Decoder(lambda seconds, bias: written if bias else every_second(seconds))
    heard = hear(decoder, sound(make("tone", 6)), bias=("pigtail",))
    assert [word.text for word in heard.words] == ["w0", "w1", "w2", "w3", "w4", "w5"]
    assert heard.gaps == ()


def test_a_word_after_a_pause_is_timed_by_its_voice(hear, make):
    clip = sound(np.concatenate([make("tone", 1), make("faint noise", 2), make("tone", 1)]))
    heard = hear(Decoder(lambda *_: [(" six", 0.1, 1.0), (" French", 1.0, 3.8)]), clip)
    assert [(word.start_ms, word.end_ms) for word in heard.words] == [(100, 1000), (pytest.approx(2900, abs=70), 3800)]


def test_speech_nobody_can_write_down_is_told(hear, make):
    heard = hear(Decoder(lambda seconds, _: every_second(seconds)[:2]), sound(make("tone", 8)))
    assert heard.gaps
    assert heard.gaps[-1].end_ms == pytest.approx(8000, abs=50)
    assert "speech-like" in heard.gaps[-1].why


def test_nothing_is_decoded_where_nothing_sounds(hear, make):
    decoder = Decoder(every_second)
    assert hear(decoder, sound(make("silence", 100))).words == ()
    assert decoder.asked == []


def test_long_quiet_is_tried_and_speech_in_it_is_kept(hear, make):
    """The voice detector hears nothing in faint noise; the decoder does, and is not in doubt: it is believed."""
    decoder = Decoder(every_second)
    heard = hear(decoder, sound(np.concatenate([make("tone", 10), make("faint noise", 20), make("tone", 10)])))
    assert len(heard.words) >= 38


def test_words_in_long_quiet_are_not_believed_when_in_doubt(hear, make):
    decoder = Decoder(every_second, no_speech=0.9)
    heard = hear(decoder, sound(np.concatenate([make("tone", 10), make("faint noise", 20), make("tone", 10)])))
    assert [word for word in heard.words if 12_000 < word.start_ms < 28_000] == []
    assert len(heard.words) >= 20  # where there is voice, doubt alone takes nothing out


#: id: evidence of the decoder's doubt
DOUBTS = {
    "window called silent": {"no_speech": 0.7},
    "unlikely words": {"logprob": -1.2},
    "unsure words": {"probability": 0.3},
}


@pytest.mark.parametrize("evidence", DOUBTS.values(), ids=DOUBTS)
def test_doubtful_words_without_voice_are_taken_out_and_told(hear, make, evidence):
    def script(seconds: float, _: str | None) -> list[tuple[str, float, float]]:
        return [(" six", 0.2, 0.8), (" Thank", 3.0, 3.4), (" you.", 3.4, 3.8)]

    clip = sound(np.concatenate([make("tone", 1), make("faint noise", 4)]))
    heard = hear(Decoder(script, **evidence), clip)
    assert [word.text for word in heard.words] == ["six"]
    assert [(gap.start_ms, gap.end_ms) for gap in heard.gaps] == [(3000, 3800)]
    assert "“Thank you.”" in heard.gaps[0].why
    assert len(hear(Decoder(script), clip).words) == 3  # one piece of evidence is not enough


def test_doubtful_words_at_a_mere_knock_are_taken_out_and_told(hear, make):
    """What the detector takes for a moment of voice in a whole chunk of noise."""

    def script(seconds: float, _: str | None) -> list[tuple[str, float, float]]:
        return [(" I'll", 0.0, 0.1), (" see", 0.1, 0.2)]

    knock, word = (sound(np.concatenate([make("tone", seconds), make("faint noise", 4)])) for seconds in (0.3, 0.7))
    heard = hear(Decoder(script, probability=0.1), knock)
    assert heard.words == ()
    assert "“I'll see”" in heard.gaps[0].why
    assert len(hear(Decoder(script, probability=0.9), knock).words) == 2  # a short answer nobody doubts
    assert len(hear(Decoder(script, probability=0.1), word).words) == 2


def test_what_is_taken_out_at_the_very_beginning_begins_there(hear, make):
    """A word of no length at 0: its voice begins there, and no time lies before it."""
    knock = sound(np.concatenate([make("tone", 0.3), make("faint noise", 4)]))
    heard = hear(Decoder(lambda *_: [(" I'll", 0.0, 0.0), (" see", 0.0, 0.2)], probability=0.1), knock)
    assert [gap.start_ms for gap in heard.gaps] == [0]


def test_a_phrase_over_and_over_is_kept_once_and_told(hear, make):
    def script(seconds: float, _: str | None) -> list[tuple[str, float, float]]:
        phrase = "I don't know,".split()
        return [(f" {phrase[i % 3]}", i * 0.2, i * 0.2 + 0.2) for i in range(int(seconds * 5))]

    heard = hear(Decoder(script), sound(make("tone", 8)))
    assert " ".join(word.text for word in heard.words).startswith("I don't know,")
    assert len(heard.words) <= 6
    assert any("over and over" in gap.why for gap in heard.gaps)


def test_a_number_that_goes_on_for_ever_is_cut_and_told(hear, make):
    pieces = [(" 1", 0.1, 0.2)] + [("-8", 0.2 + i / 50, 0.2 + (i + 1) / 50) for i in range(100)]
    heard = hear(Decoder(lambda *_: pieces), sound(make("tone", 2.3)))
    assert heard.words[0].text == "1-8-8"
    assert len(heard.words) <= 4  # the place is decoded twice
    assert any("over and over" in gap.why for gap in heard.gaps)


@pytest.mark.parametrize("said", ["no no no no no", "up up up", "ten ten ten, twelve", "one two one two one two"])
def test_what_people_do_repeat_is_kept(hear, make, said):
    def script(seconds: float, _: str | None) -> list[tuple[str, float, float]]:
        return [(f" {text}", i * 0.4, i * 0.4 + 0.4) for i, text in enumerate(said.split())]

    heard = hear(Decoder(script), sound(make("tone", 0.4 * len(said.split()))))
    assert " ".join(word.text for word in heard.words) == said


def test_what_another_model_hears_lies_beside_on_the_same_clock(hear, make):
    other = ResolvedModel("another", Path("elsewhere"), "2" * 64)
    second = Decoder(lambda *_: [(" fifty", 0.1, 0.9)])
    clips = [sound(make("tone", 2)), sound(make("tone", 1), offset_ms=5000)]
    heard = hear(Decoder(every_second), *clips, by={other: second}, bias=("sheath",))
    assert [opinion.speech_model.name for opinion in heard.opinions] == ["another"]
    assert [(word.text, word.start_ms) for word in heard.opinions[0].words] == [("fifty", 100), ("fifty", 5100)]
    assert [word.text for word in heard.words] == ["w0", "w1", "w0"]
    assert {bias for _, bias in second.asked} == {""}


def test_what_another_nearly_wrote_is_told_of_its_word(hear, make):
    other = ResolvedModel("another", Path("elsewhere"), "2" * 64)
    second = Decoder(lambda *_: [(" 1", 0.1, 0.4), ("5%", 0.4, 0.6), (" more", 0.6, 0.9)])
    clips = [sound(make("tone", 1)), sound(make("tone", 1), offset_ms=5000)]
    heard = hear(Decoder(every_second), *clips, by={other: second}, number_words=frozenset({"7"}))
    assert [word.text for word in heard.opinions[0].words] == ["15%", "more"] * 2
    rivals = [(rival.word, rival.text.strip(), rival.log_ratio) for rival in heard.opinions[0].rivals]
    assert rivals[:3] == [(0, "75%", -2), (0, "17", -2), (1, "7", -2)]
    assert [word for word, *_ in rivals] == [0, 0, 1, 2, 2, 3]


def test_another_model_is_asked_only_where_it_is_worth_it(hear, make):
    def third(texts: Sequence[str]) -> list[tuple[int, int]]:
        return [(at, at + 1) for at, text in enumerate(texts) if text == "w2"]

    other = ResolvedModel("another", Path("elsewhere"), "2" * 64)
    second = Decoder(every_second)
    clips = [sound(make("tone", 3)), sound(make("tone", 1), offset_ms=5000)]
    heard = hear(Decoder(every_second), *clips, by={other: second}, worth_asking=third)
    assert [length_s for length_s, _ in second.asked] == [3.0]
    assert [word.start_ms for word in heard.opinions[0].words] == [100, 1100, 2100]


@given(
    voice=st.lists(st.tuples(st.floats(0, 1), st.integers(1, 400)), min_size=1, max_size=20),
    tail_s=st.floats(0, 0.03),
)
def test_chunks_leave_nothing_out(voice, tail_s):
    steps = [probability for probability, times in voice for _ in range(times)]
    length_s = len(steps) * 512 / RATE + tail_s
    chunks = list(Voice(steps).chunks(length_s))
    assert chunks[0][0] == 0
    assert chunks[-1][1] == length_s
    for (start_s, end_s, _), (following_s, _, _) in pairwise([*chunks, (length_s, length_s, True)]):
        assert start_s < end_s == following_s
        assert end_s - start_s <= 29.0


def test_chunks_part_at_pauses():
    talk = ([0.99] * 150 + [0.01] * 20) * 20  # 4.8 s of voice, then a pause of 0.64 s
    for start_s, end_s, _ in list(Voice(talk).chunks(len(talk) * 512 / RATE))[:-1]:
        assert 14 <= end_s - start_s <= 29
        assert talk[int(end_s * RATE / 512)] < 0.5


def test_a_model_that_cannot_be_loaded_is_named(tmp_path):
    (tmp_path / "model.bin").write_bytes(b"no model")
    with pytest.raises(ModelError, match="cannot be loaded"):
        speech.load(ResolvedModel("own", tmp_path, "0" * 64))


# --- with a real model


@pytest.fixture(scope="module")
def base() -> ResolvedModel:
    return resolve("base")


@pytest.fixture(scope="module", params=["trade", "base"])
def each_model(request: pytest.FixtureRequest) -> ResolvedModel:
    """The model that knows the trade, which may hear it anywhere, and the one that does not."""
    return resolve(request.param)


@pytest.mark.sound
def test_sounds_nobody_speaks_in_give_no_words(each_model, make, wordless):
    assert listen([sound(make(wordless, 30))], each_model).words == ()


@pytest.mark.sound
@pytest.mark.slow
def test_ten_minutes_nobody_speaks_in_give_no_words(each_model, make, wordless):
    bias = ("heparin", "sheath", "balloon", "atmospheres")
    assert listen([sound(make(wordless, 600))], each_model, bias=bias).words == ()


@pytest.mark.sound
@pytest.mark.parametrize("samples", [1, 100, 511, 8000], ids=str)
def test_the_shortest_sounds_are_no_trouble(base, samples):
    assert listen([sound(np.zeros(samples) + 0.01)], base).words == ()


@pytest.fixture(scope="module")
def talk(request: pytest.FixtureRequest) -> Sound:
    """A shipped recording of a few seconds, spoken by a synthetic voice."""
    return decode(request.config.rootpath / "fixtures" / "short-inflation" / "recording.opus")


@pytest.mark.sound
def test_the_same_sound_gives_the_same_words(base, talk):
    assert listen([talk], base) == listen([talk], base)


@pytest.mark.sound
@pytest.mark.parametrize(("gain", "share"), [(0.1, 0.8), (0.01, 0.8), (0.001, 0.5)], ids=["-20 dB", "-40 dB", "-60 dB"])
def test_quiet_speech_is_kept(base, talk, gain, share):
    quiet = np.round(talk.samples[:] * gain * 32768) / 32768
    heard = listen([sound(np.concatenate([np.zeros(16_000 * 10), quiet, np.zeros(16_000 * 10)]))], base).words
    plain = listen([talk], base).words
    # How many words are made of the quietest differs between processors ("6th" for "six by"): where they are does not.
    assert heard[-1].end_ms - heard[0].start_ms >= 0.8 * (plain[-1].end_ms - plain[0].start_ms)
    assert len(heard) >= share * len(plain)


@pytest.mark.sound
def test_speech_after_a_long_wait_keeps_its_words_and_its_time(base, talk, make):
    plain = listen([talk], base)
    wait = make("faint noise", 60)
    late = listen([sound(np.concatenate([wait, talk.samples[:], wait]))], base)
    assert len(late.words) == pytest.approx(len(plain.words), rel=0.15)  # other windows, other spellings
    assert late.words[0].start_ms - 60_000 == pytest.approx(plain.words[0].start_ms, abs=400)
    assert late.words[-1].end_ms - 60_000 == pytest.approx(plain.words[-1].end_ms, abs=400)


@pytest.mark.sound
def test_bias_uses_the_models_own_tokens(base):
    loaded = speech.load(base)
    terms = ["haemostasis", "popliteal artery"] * 200
    used = loaded.fit_bias(terms)
    tokenizer = Tokenizer.from_file(str(base.folder / "tokenizer.json"))

    def tokens(count: int) -> int:
        return len(tokenizer.encode(" " + ", ".join(terms[:count]), add_special_tokens=False).ids)

    assert tokens(len(used)) <= BIAS_TOKENS < tokens(len(used) + 1)


@pytest.mark.sound
def test_a_graphics_processor_that_cannot_be_used_is_told_and_done_without(base, talk, monkeypatch):
    # Where none is, claiming one is enough; where one is, it is kept from being loaded.
    monkeypatch.setattr("ctranslate2.get_cuda_device_count", lambda: 1)
    whole = recogniser._load

    def failing(model: ResolvedModel, processor: str, fault: str = "") -> recogniser.Recogniser:
        if processor == recogniser.GRAPHICS:
            raise RuntimeError("Library libcublas.so.12 is not found")
        return whole(model, processor, fault)

    monkeypatch.setattr(recogniser, "_load", failing)
    loaded = recogniser.load(replace(base, name="another"))
    assert loaded.processor == "cpu"
    assert loaded.fault == (
        "a graphics processor is here, but cannot be used (Library libcublas.so.12 is not found); "
        "a library it misses comes with pip install 'spoken-procedure-timeline[graphics]'"
    )
    assert loaded.hear([talk.samples[:]])[0]


@pytest.mark.sound
def test_the_pace_is_measured_and_changes_nothing(base, talk):
    loaded = speech.load(base)
    before = loaded.hear([talk.samples[:]])
    assert 0 < loaded.pace() < 5
    assert loaded.hear([talk.samples[:]]) == before


# --- real voices and a real room (open data)


@pytest.mark.sound
@pytest.mark.slow
def test_a_real_kitchen_gives_no_words(each_model, open_data):
    noise = decode(open_data / "speech-to-intent" / "kitchen_noise.ogg")
    assert listen([noise], each_model, bias=("heparin", "glyceryl trinitrate", "pigtail", "balloon")).words == ()


@pytest.mark.sound
@pytest.mark.slow
def test_real_voices_after_long_waits_are_all_heard(base, open_data, make):
    parts: list[np.ndarray] = []
    spans: list[tuple[float, float]] = []
    for path in sorted((open_data / "an4").glob("an*.opus"))[::12]:
        voice = decode(path).samples[:]
        start_s = sum(map(len, parts)) / RATE + 10
        parts += [make("faint noise", 10), voice]
        spans.append((start_s, start_s + len(voice) / RATE))
    heard = listen([sound(np.concatenate(parts))], base)
    middles = [(word.start_ms + word.end_ms) / 2000 for word in heard.words]
    assert [any(start_s < at < end_s for at in middles) for start_s, end_s in spans] == [True] * len(spans)
    assert all(any(start_s - 0.5 < at < end_s + 0.5 for start_s, end_s in spans) for at in middles)
