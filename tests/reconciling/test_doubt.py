"""Never silently wrong: what is odd is kept as it was said and marked, with what else it may be."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.lexicon import TABLES, Entry
from extractor.model import FLAGS, VALUE_KEYS, Event, Word
from extractor.reading.statements import reader_of

from .telling import shipped, tell, tell_words, words_of

SHEATH_IN = "Six French sheath is in."

#: (lines, kind, value key, value as said, flag that must be there)
MARKED = [
    pytest.param(
        "The six by forty balloon's across, up to one hundred and forty atmospheres.",
        "inflation", "pressure", 140, "implausible", id="no balloon holds 140 atm",
    ),
    pytest.param(
        "The six by forty balloon's across, up to ninety atmospheres.",
        "inflation", "pressure", 90, "implausible", id="nor 90",
    ),
    pytest.param("Sixty French sheath is in.", "insert", "gauge", 60, "implausible", id="no sheath is 60 French"),
    pytest.param(
        "Total contrast nine thousand mils.", "total", "contrast_volume", 9000, "implausible", id="nine litres"
    ),
    pytest.param(
        f"{SHEATH_IN}\nThere's a one hundred and eighty percent stenosis.",
        "finding", "stenosis", 180, "implausible", id="more than all of it",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "kind", "key", "value", "flag"), MARKED)
def test_what_cannot_be_is_kept_and_marked(lines: str, kind: str, key: str, value: float, flag: str) -> None:
    (found,) = [event.values[key] for event in tell(lines) if event.kind == kind]
    assert found.value == value
    assert flag in found.flags
    assert found.review
    assert found.confidence < 0.9


#: (what is said, kind, value key, whether the value is marked): what may be put right, and nobody can tell
MAYBE = [
    pytest.param("Six French sheath is in. No, seven French.", "insert", "gauge", True, id="a no, and another gauge"),
    pytest.param("Six French sheath is in. No, six French.", "insert", "gauge", False, id="a no, and the same"),
    pytest.param("Six French sheath is in. No, it's dry.", "insert", "gauge", False, id="a no, and no figure"),
    pytest.param("Six French sheath is in. No kinks. Seven minutes.", "insert", "gauge", False, id="of something else"),
    pytest.param("Totals. Contrast eighty. Eighty-eight.", "total", "contrast_volume", True, id="a sum said twice"),
    pytest.param("Totals. Contrast eighty. Twelve minutes.", "total", "contrast_volume", False, id="another sum"),
]


@pytest.mark.parametrize(("said", "kind", "key", "marked"), MAYBE)
def test_what_may_be_put_right_is_marked(said: str, kind: str, key: str, marked: bool) -> None:
    first = next(event.values[key] for event in tell(said) if event.kind == kind)
    assert ("conflict" in first.flags) is marked


def test_a_question_nobody_answers_is_no_report() -> None:
    (asked,) = tell("Is the wire across?")
    (said, *_) = tell("Is the wire across?\nYes.")
    assert asked.flags == ("asked",)
    assert asked.review
    assert not said.flags


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        pytest.param("Snare, fifteen millimetre, through the guide?\nNurse, the lights please.", True, id="no answer"),
        pytest.param("Snare, fifteen millimetre, through the guide?\nIt won't fit.", True, id="no yes"),
        pytest.param("Snare, fifteen millimetre, through the guide?\nYes, there it goes.", False, id="yes"),
        pytest.param("The snare's in, fifteen millimetre, and what's the pressure?\nOne ten.", False, id="of another"),
    ],
)
def test_what_goes_in_by_a_question_is_no_report(said: str, asked: bool) -> None:
    event = next(event for event in tell("Six French sheath in.\n" + said) if event.device == "snare")
    assert ("asked" in event.flags) is asked


def test_a_drug_whose_name_was_put_right_wants_a_look() -> None:
    (event,) = tell("Five thousand of pepper and given.")
    assert event.drug == "heparin"
    assert "repaired-word" in event.flags
    assert event.review


def test_a_device_whose_name_was_put_right_leaves_the_asking_to_the_repair() -> None:
    words = words_of("The six French sheaf is in.")
    (event,) = tell_words(words)
    corrections = reader_of(shipped()).read(words)[1]
    assert (event.device, "repaired-word" in event.flags, event.review) == ("sheath", True, False)
    assert [(each.read, each.review) for each in corrections] == [("sheath", True)]


#: (lines, kind, value key, flag): told, not asked to be looked at
TOLD = [
    pytest.param(
        "Seven by forty balloon is across. Up to fourteen, sorry, sixteen atmospheres, and down.",
        "inflation", "pressure", "corrected", id="put right",
    ),
    pytest.param("Inflate to about twelve atmospheres.", "inflation", "pressure", "approximate", id="about"),
    pytest.param(
        "The seven by forty balloon is up to fourteen.", "inflation", "pressure", "unit-assumed", id="no unit said"
    ),
    pytest.param("Heparin, three thousand, please.", "drug", "dose", "unit-assumed", id="a dose without unit"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "kind", "key", "flag"), TOLD)
def test_why_is_told(lines: str, kind: str, key: str, flag: str) -> None:
    (found,) = [event.values[key] for event in tell(lines) if event.kind == kind]
    assert flag in found.flags


def test_a_size_said_earlier_says_so() -> None:
    first, second = tell("The seven by forty balloon is up to fourteen.\nDown.\nUp again to nine.")
    assert "carried-over" not in first.values["diameter"].flags
    assert "carried-over" in second.values["diameter"].flags
    assert "carried-over" not in second.values["pressure"].flags


TWO_STENTS = "Two stents on the table please, an eight by sixty and a seven by forty."
TWO_SHEATHS = "Six French sheath in the right groin is in.\nA seven French sheath goes into the left, and it's in."
#: (lines, kind of the event, value key, what else it may be): the last event of that kind
WHICH = [
    pytest.param(f"{TWO_STENTS}\nThe stent's across, deployed.", "stent", "diameter", (8,), id="two stents wait"),
    pytest.param(f"{TWO_SHEATHS}\nSheath out.", "remove", "gauge", (6,), id="two sheaths are in"),
    pytest.param(f"{TWO_SHEATHS}\nThe seven French sheath out.", "remove", "gauge", (), id="two are in, its size said"),
    pytest.param(
        "An eight by sixty stent, please.\nThe stent's across, deployed.", "stent", "diameter", (), id="one stent"
    ),
    pytest.param(
        "Seven French sheath is in.\nSeven French sheath for the left is in.\nSheath out.",
        "remove", "gauge", (), id="two of one size",
    ),
    pytest.param(
        "An eight by sixty stent, please.\nA seven by forty balloon, please.\nThe stent's across, deployed.",
        "stent", "diameter", (), id="the other is no stent",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "kind", "key", "others"), WHICH)
def test_a_size_carried_over_is_doubtful_where_another_thing_may_be_meant(
    lines: str, kind: str, key: str, others: tuple[float, ...]
) -> None:
    value = [event.values[key] for event in tell(lines) if event.kind == kind][-1]
    assert tuple(other.value for other in value.alternatives) == others
    assert ("which-device" in value.flags, value.review) == (bool(others), bool(others))


def _unsure(words: tuple[Word, ...], text: str) -> tuple[Word, ...]:
    """The same words, one of which the recogniser was unsure of."""
    return tuple(word.model_copy(update={"probability": 0.2}) if word.text == text else word for word in words)


def test_a_word_the_recogniser_was_unsure_of_marks_its_value_and_no_other() -> None:
    words = _unsure(words_of("The six by forty balloon's across, up to fourteen atmospheres."), "fourteen")
    (event,) = tell_words(words)
    assert "unsure-word" in event.values["pressure"].flags
    assert event.values["pressure"].review
    assert not event.values["diameter"].review


def test_a_value_that_rests_on_a_repaired_word_is_marked() -> None:
    """A form of "atmospheres" a recogniser wrote: read as meant, kept as heard, and to be looked at."""
    (event,) = tell("The six by forty balloon's across, up to fourteen hemispheres.")
    pressure = event.values["pressure"]
    assert (pressure.value, pressure.unit, pressure.heard) == (14, "atm", "fourteen hemispheres.")
    assert "repaired-word" in pressure.flags
    assert pressure.review


def test_talk_about_cases_is_all_doubt() -> None:
    """A meeting, not a procedure: what sounds done is marked."""
    talk = """Last year we had a patient with an occlusion.
    They did an angioplasty in March, and the scan in April showed a stenosis.
    I would use a stent. Maybe a drug coated balloon. There is an aneurysm on the CT of last week.
    There's a stenosis on this picture."""
    assert [event for event in tell(talk) if event.status == "done" and not event.review] == []


#: What a whole case may hold that nothing may break.
SOUND = [
    pytest.param(SHEATH_IN, id="one line"),
    pytest.param("Up to fourteen, sorry, sixteen. No. Twelve. Eighty by six. Oh oh oh. Down.", id="muddle"),
    pytest.param("mils atmospheres French by by by at at of the. And.", id="units alone"),
    pytest.param("0 0 0 0.014 .018 5,000 5x x5 6F F6 1/2 ½ 3-4 100%", id="figures alone"),
    pytest.param("...", id="marks alone"),
    pytest.param("Ünïcode ßheath 六 French", id="other letters"),
]


def _spoken(entry: Entry) -> tuple[str, ...]:
    """Every form of an entry that has any; a misheard one's are what was heard."""
    return getattr(entry, "spoken", ()) or getattr(entry, "heard", ())


def _is_whole(words: tuple[Word, ...], event: Event) -> bool:
    """Word ranges lie inside the words, times follow the words, flags and keys are known."""
    ranges = [event.words, *(value.words for value in event.values.values())]
    flags = {*event.flags, *(flag for value in event.values.values() for flag in value.flags)}
    return (
        all(0 <= first < past <= len(words) for first, past in ranges)
        and words[event.words[0]].start_ms == event.start_ms <= event.end_ms <= words[-1].end_ms
        and flags <= FLAGS.keys()
        and event.values.keys() <= set(VALUE_KEYS)
    )


@pytest.mark.parametrize("lines", SOUND)
def test_every_event_is_whole(lines: str) -> None:
    words = words_of(lines)
    assert [event for event in tell_words(words) if not _is_whole(words, event)] == []


FORMS = sorted({form for table in TABLES for entry in getattr(shipped(), table) for form in _spoken(entry)})
NUMBERS = "one two six eight ten fourteen fifteen fifty hundred thousand point oh three 0.018 5x80 6F 2,5 .035".split()
BETWEEN = ", . ? ... - by at for to up and a half of sorry no not please in out it's both again same\n".split(" ")


@given(st.lists(st.one_of(*map(st.sampled_from, (FORMS, NUMBERS, BETWEEN))), min_size=1, max_size=80))
def test_whatever_the_trade_says_in_whatever_order_every_event_is_whole(said: list[str]) -> None:
    words = words_of(" ".join(said))
    assert [event for event in tell_words(words) if not _is_whole(words, event)] == []


RIVALS = [
    pytest.param("Two milligrams of midazolam is in, three on the sheet.", "dose", id="two doses"),
    pytest.param("There is a stenosis of seventy, seventy-five per cent.", "stenosis", id="two degrees"),
]


@pytest.mark.parametrize(("lines", "key"), RIVALS)
def test_a_figure_that_found_no_place_makes_the_value_it_rivals_doubtful(lines: str, key: str) -> None:
    (value,) = (event.values[key] for event in tell(lines) if key in event.values)
    assert value.review
    assert value.alternatives


def test_of_two_values_a_figure_may_rival_the_one_said_last_is_doubtful() -> None:
    lines = """Six French sheath was placed. Nine by twenty balloon, seven atmospheres, sixteen seconds.
    Strike sixteen, the nurse wrote six seconds, use six."""
    values = tell(lines)[-1].values
    assert {key for key, value in values.items() if "conflict" in value.flags} == {"duration"}


NO_RIVALS = [
    pytest.param("She is seventy kilos, so five thousand of heparin is in.", id="a weight"),
    pytest.param("Heparin, five thousand, is in, ten past nine.", id="a clock time"),
    pytest.param("Six by forty balloon up to ten atmospheres. Two minutes by the clock.", id="another unit"),
]


@pytest.mark.parametrize("lines", NO_RIVALS)
def test_a_figure_of_something_else_is_no_rival(lines: str) -> None:
    assert not any(value.review for event in tell(lines) for value in event.values.values())


PRESSED = "Six French sheath is in.\nSheath's out. Manual pressure on it, fifteen minutes"


@pytest.mark.parametrize(
    ("line", "minutes", "doubtful"),
    [
        pytest.param("... ten is enough, it's dry.", 15, True, id="enough"),
        pytest.param("... nah, dry at eleven.", 15, True, id="no"),
        pytest.param(".\nStill oozing, five more.", 20, True, id="more is added"),
        pytest.param(".\nTwenty minutes now, dry.", 20, True, id="longer, and it stopped"),
        pytest.param(".\nFifteen, and it's dry.", 15, False, id="the same"),
        pytest.param(".\nContrast ninety mils, screening twelve minutes.", 15, False, id="other figures"),
    ],
)
def test_another_figure_while_the_hole_is_pressed_leaves_its_time_in_doubt(
    line: str, minutes: int, doubtful: bool
) -> None:
    (closure,) = (event for event in tell(PRESSED + line) if event.kind == "closure")
    time = closure.values["duration"]
    assert (time.value, time.review, closure.values["gauge"].review) == (minutes, doubtful, False)


@pytest.mark.parametrize(
    ("lines", "kind", "key", "value"),
    [
        pytest.param(
            "Five by forty balloon. Up. Twelve, doctor? Ten, I said nothing about twelve. Twenty seconds, down.",
            "inflation",
            "pressure",
            10,
            id="a suggestion turned down does not come back",
        ),
        pytest.param(
            "Six French sheath, please, or no, sorry, I think a seven.\nThe sheath is in.",
            "insert",
            "gauge",
            6,
            id="a doubtful size stays so where it is carried to",
        ),
        pytest.param("One four French catheter, please.", "insert", "gauge", 4, id="one of four, or fourteen"),
        pytest.param(
            "Coils, twelve by forty, I want five.\nOne is in... two... three... four. With four detached I stop.",
            "embolise",
            "count",
            4,
            id="counted as they are let go",
        ),
    ],
)
def test_what_may_be_otherwise_is_looked_at(lines: str, kind: str, key: str, value: float) -> None:
    last = [event for event in tell(lines) if event.kind == kind][-1]
    assert (last.values[key].value, last.values[key].review) == (value, True)
