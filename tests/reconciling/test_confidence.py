"""Signs of doubt add up to a probability, and what is too doubtful is looked at."""

import pytest

from extractor.lexicon import Lexicon, Sign, load
from extractor.model import FLAGS, Alternative, Opinion, Rival, SecondHearing, SpeechModel, Transcript, Word
from extractor.pipeline import interpret
from extractor.reconciling.confidence import close_call, confidence, signs, weights
from tests.reconciling.telling import words_of

WEIGHTS = weights(load())
AGREED, OTHERWISE, UNHEARD = (
    SecondHearing((0, 1), 12.0),
    SecondHearing((0, 1), 12.0, otherwise=2, rivals=((20.0, None),)),
    SecondHearing((0, 1), 12.0, unheard=2),
)

#: id: (signs of the surer, signs of the less sure)
ORDER = {
    "carried over": (signs((), 1, (), False), signs(["carried-over"], 1, (), False)),
    "implausible": (signs(["carried-over"], 1, (), False), signs(["implausible"], 1, (), False)),
    "two heard another figure": (signs((), 0.9, [AGREED], True), signs((), 0.9, [OTHERWISE], True)),
    "two heard no figure": (signs((), 0.9, [AGREED], True), signs((), 0.9, [UNHEARD], True)),
    "hardly made out": (signs((), 0.9, [AGREED], True), signs((), 0.2, [AGREED], True)),
    "from sound": (signs((), 1, (), False), signs((), 0.9, [AGREED], True)),
    "sounds like another": (
        signs((), 0.9, [AGREED], True),
        signs((), 0.9, [SecondHearing((0, 1), 15.0)], True),
    ),
}


@pytest.mark.parametrize(("surer", "less"), ORDER.values(), ids=ORDER)
def test_every_sign_of_doubt_lowers_confidence(surer, less):
    assert 0 < confidence(less, WEIGHTS) < confidence(surer, WEIGHTS) < 1


def test_weights_are_log_odds_that_add_up():
    lexicon = Lexicon(sign=(Sign(name="always", weight=2.0), Sign(name="carried-over", weight=-2.0)))
    assert confidence(signs(["carried-over", "unknown"], 1, (), False), weights(lexicon)) == pytest.approx(0.5)


def test_every_weight_is_of_a_sign_there_is():
    known = FLAGS.keys() | signs((), 0.5, (), True).keys()
    assert WEIGHTS.keys() <= known
    assert {"always", "sound", "word-odds"} <= WEIGHTS.keys()


TOLD = "Six by forty balloon, please. It's across. Up to twelve atmospheres."


def drafted(others: tuple[str, ...], probability: float = 0.9, told: str = TOLD):
    """The inflation told, where ``others`` heard the pressure as they did."""
    words = tuple(word.model_copy(update={"probability": probability}) for word in words_of(told))
    opinions = tuple(
        Opinion(
            speech_model=SpeechModel(name=f"other {number}", sha256="0" * 64),
            words=tuple(Word(text=word.text.replace("twelve", other), **_times(word)) for word in words),
        )
        for number, other in enumerate(others)
    )
    recording = {"sha256": "0" * 64, "duration_ms": words[-1].end_ms}
    timeline = interpret(Transcript(recording=recording, words=words, opinions=opinions), load())
    (event,) = [event for event in timeline.events if "pressure" in event.values]
    return timeline, event.values["pressure"]


def _times(word: Word) -> dict[str, int]:
    return {"start_ms": word.start_ms, "end_ms": word.end_ms}


def test_what_all_heard_is_told_without_a_mark():
    timeline, pressure = drafted(("12", "twelve"))
    assert (pressure.value, pressure.review, pressure.flags) == (12, False, ())
    assert [model.name for model in timeline.made_by.opinions] == ["other 0", "other 1"]


def test_what_others_heard_is_kept_beside_it():
    _, pressure = drafted(("twenty", "20"))
    assert "heard-otherwise" in pressure.flags
    assert [other.value for other in pressure.alternatives] == [20]


CLOSE = {
    "nearly its like": (15, ((50, -2.9),), True),
    "its like, as likely": (50, ((15, 0.4),), True),
    "its like, far less likely": (15, ((50, -3.1),), False),
    "its like, not known": (15, ((50, None),), False),
    "not alike": (15, ((16, -1),), False),
    "ten has no like": (10, ((1, -1), (0, -1)), False),
    "a hundred more": (115, ((150, -1),), False),
}


@pytest.mark.parametrize(("value", "rivals", "close"), CLOSE.values(), ids=CLOSE)
def test_a_close_call_is_between_two_that_sound_alike(value, rivals, close):
    assert close_call([SecondHearing((0, 1), float(value), rivals=rivals)]) is close


def test_a_close_call_asks_for_a_look_and_tells_the_odds():
    words = words_of("Six by forty balloon, please. It's across. Up to fifteen atmospheres.")
    at = next(number for number, word in enumerate(words) if word.text == "fifteen")
    other = Opinion(
        speech_model=SpeechModel(name="other", sha256="0" * 64),
        words=words,
        rivals=(Rival(word=at, text="fifty", log_ratio=-1.2),),
    )
    recording = {"sha256": "0" * 64, "duration_ms": words[-1].end_ms}
    timeline = interpret(Transcript(recording=recording, words=words, opinions=(other,)), load())
    (pressure,) = [event.values["pressure"] for event in timeline.events if "pressure" in event.values]
    assert (pressure.value, pressure.review, pressure.flags) == (15, True, ("close-call",))
    assert pressure.alternatives == (Alternative(value=50, log_ratio=-1.2),)


@pytest.mark.parametrize(
    ("others", "looked_at"),
    [
        pytest.param((), True, id="nobody else was asked"),
        pytest.param(("12", "twelve"), False, id="all heard the same"),
        pytest.param(("12", "twenty"), True, id="one heard otherwise"),
        pytest.param(("12", "shelf"), True, id="one heard no figure"),
    ],
)
def test_an_unsure_word_asks_for_a_look_unless_all_others_heard_the_same(others, looked_at):
    _, pressure = drafted(others, probability=0.4)
    assert "unsure-word" in pressure.flags
    assert pressure.review is looked_at


def test_a_slip_put_right_by_an_unsure_word_asks_for_a_look_whoever_else_heard_it():
    told = TOLD.replace("twelve atmospheres", "ten, no, twelve atmospheres")
    _, pressure = drafted(("12", "twelve"), probability=0.4, told=told)
    assert (pressure.value, pressure.review) == (12, True)
    assert {"corrected", "unsure-word"} <= {*pressure.flags}


def test_signs_that_come_together_ask_for_a_look():
    _, sure = drafted(("twelve", "twelve"), probability=0.55)
    _, doubtful = drafted(("elves", "shelf"), probability=0.55)
    assert not sure.review
    assert doubtful.confidence < sure.confidence
    assert doubtful.review == ("doubtful" in doubtful.flags)
