"""What is said later of what was told before: figures put right, events taken back; and talk that does neither."""

import pytest

from .telling import tell, tells, told

#: Enough sentences in the past for a case to be read as dictated.
DICTATED = """A five French sheath was placed in the left common femoral artery.
The sheath was flushed. The wire was left in place. The patient was comfortable.
"""

PUT_RIGHT = [
    pytest.param(
        DICTATED + "The stenosis was dilated with a seven by forty balloon to twelve atmospheres for one minute.\n"
        "Above I said twelve, the sheet has ten.",
        "inflation done balloon | diameter 7 mm, duration 1 min, length 40 mm, pressure 10 atm",
        id="the wrong figure, then the right one",
    ),
    pytest.param(
        DICTATED + "Four thousand units of heparin were given.\n"
        "One correction, the heparin was five thousand, not four thousand.",
        "drug done heparin | dose 5000 [iU]",
        id="the right figure, not the wrong one",
    ),
    pytest.param(
        DICTATED + "Total contrast ninety mils, screening six minutes.\nThe contrast should read seventy.",
        "total done | contrast_volume 70 mL, fluoro_time 6 min",
        id="what is named should read",
    ),
    pytest.param(
        DICTATED + "The stenosis was dilated with a seven by forty balloon to sixteen atmospheres.\n"
        "There are two things I told you wrong.\n"
        "The balloon in the left iliac, I had that at sixteen and it was only six.",
        "inflation done balloon | diameter 7 mm, length 40 mm, pressure 6 atm",
        id="announced, then told",
    ),
    pytest.param(
        "Six French sheath is in.\nSorry, I said six, it is the five French sheath.",
        "insert done sheath | gauge 5 [Ch]",
        id="at the table",
    ),
    pytest.param(
        "Six by forty balloon's up, eight atmospheres. Down.\nIt was not eight, it was nine.",
        "inflation done balloon | diameter 6 mm, length 40 mm, pressure 9 atm",
        id="not this, that",
    ),
    pytest.param(
        "Six French sheath is in.\nStrike that, seven French sheath.",
        "insert done sheath | gauge 7 [Ch]",
        id="struck, and another size",
    ),
]


@pytest.mark.parametrize(("lines", "event"), PUT_RIGHT)
def test_a_figure_put_right_later_stands_where_it_was_told_and_is_looked_at(lines: str, event: str) -> None:
    assert event in told(lines)
    changed = [value for event in tell(lines) for value in event.values.values() if "corrected" in value.flags]
    assert len(changed) == 1
    assert changed[0].review
    assert changed[0].alternatives


SHEATH = "Puncture, six French sheath is in.\n"

#: Lines, the event put right, and whether others are left in doubt.
LATER = [
    pytest.param(
        "Six by forty balloon's up, twelve atmospheres, down.\nFive by forty balloon's up, twelve atmospheres, down.\n"
        "For the file, the first inflation was nine atmospheres, not twelve.",
        "inflation done balloon | diameter 6 mm, length 40 mm, pressure 9 atm",
        id="counted to from the first",
    ),
    pytest.param(
        SHEATH + "Eight by sixty stent deployed.\nAnother stent, eight by forty, deployed.\n"
        "Late note. The second stent was thirty, not forty.",
        "stent done stent | diameter 8 mm, length 30 mm",
        id="the second of its kind, in a late note",
    ),
    pytest.param(
        SHEATH + "Nine by forty stent, please.\nStent is deployed.\nThe sticker says it was nine by thirty, not forty.",
        "stent done stent | diameter 9 mm, length 30 mm",
        id="what was done, not what was asked for",
    ),
    pytest.param(
        SHEATH + "Six by forty balloon's up, ten atmospheres, three minutes, down.\nWire is out.\n"
        "The six by forty, I have said three minutes. Her watch shows two and a half.",
        "inflation done balloon | diameter 6 mm, duration 2.5 min, length 40 mm, pressure 10 atm",
        id="the right figure a sentence later",
    ),
    pytest.param(
        SHEATH + "Lidocaine, nine mils, in.\nThe lidocaine, I've said nine. She drew up twelve, please note twelve.",
        "drug done lidocaine | dose 12 mL",
        id="of a drug, the figure to be noted",
    ),
    pytest.param(
        SHEATH + "Stenosis of the renal, ninety percent.\nThe stenosis, we have said ninety, please put eighty.",
        "finding done stenosis | stenosis 80 %",
        id="a finding, and no second one",
    ),
    pytest.param(
        SHEATH + "Occlusion of the popliteal, three centimetres.\nNo, wait, that view was foreshortened, it is five.",
        "finding done occlusion | length 5 cm",
        id="measured better in the next breath",
    ),
    pytest.param(
        SHEATH + "The neck measures twenty-six.\nNo, that is not the neck. Twenty-four.",
        "measure done | diameter 24 mm",
        id="the better measure alone in its sentence",
    ),
    pytest.param(
        SHEATH + "Contrast ninety mils, screening twelve minutes.\nNo, contrast is one ten, I read the wrong line.",
        "total done | contrast_volume 110 mL, fluoro_time 12 min",
        id="a sum read wrongly",
    ),
    pytest.param(
        SHEATH + "The sheath was in fact a seven French.",
        "insert done sheath | gauge 7 [Ch]",
        id="what it was in fact",
    ),
    pytest.param(
        SHEATH + "Six by forty balloon's up, ten atmospheres, down.\n"
        "It was eight atmospheres in reality, the dial was stuck at ten.",
        "inflation done balloon | diameter 6 mm, length 40 mm, pressure 8 atm",
        id="in reality",
    ),
]


@pytest.mark.parametrize(("lines", "event"), LATER)
def test_what_is_meant_is_found_by_order_size_and_name(lines: str, event: str) -> None:
    assert event in told(lines)
    changed = [value for event in tell(lines) for value in event.values.values() if "corrected" in value.flags]
    assert [value.review for value in changed] == [True]


def test_of_several_alike_the_others_are_doubted() -> None:
    lines = (
        "Six by forty balloon's up, twelve atmospheres, down.\nUp again to twelve atmospheres, down.\n"
        "It was ten atmospheres, not twelve."
    )
    pressures = [event.values["pressure"] for event in tell(lines) if "pressure" in event.values]
    assert [value.value for value in pressures] == [12, 10]
    assert all(value.review for value in pressures)


TAKEN_BACK = [
    pytest.param(
        "Seven French sheath is in.\nScrap that, it never went in.",
        "insert negated sheath | gauge 7 [Ch]",
        id="scrap that",
    ),
    pytest.param(
        DICTATED + "Alteplase, five milligrams, was given. Strike that.",
        "drug negated alteplase | dose 5 mg",
        id="strike that",
    ),
    pytest.param(
        DICTATED + "An eight by sixty stent was on the table. In the end it was not placed.",
        "stent negated stent | diameter 8 mm, length 60 mm",
        id="it was not placed",
    ),
    pytest.param(
        "Shall we line it, eight by sixty stent? No, leave it alone.",
        "stent negated stent | diameter 8 mm, length 60 mm",
        id="a question answered no",
    ),
    pytest.param("Midazolam, one milligram? No, no midazolam.", "drug negated midazolam | dose 1 mg", id="no, and why"),
]


@pytest.mark.parametrize(("lines", "event"), TAKEN_BACK)
def test_an_event_taken_back_is_ruled_out(lines: str, event: str) -> None:
    assert event in told(lines)
    assert event.replace("negated", "done") not in told(lines)


HELD = "Six by forty balloon's up, ten atmospheres for twelve seconds."


@pytest.mark.parametrize(
    ("line", "seconds"),
    [
        pytest.param(" Strike twelve, the chart has ten seconds, use ten.", 10, id="and the right one told at once"),
        pytest.param("\nStrike twelve. It was ten seconds.", 10, id="the right one in the next sentence"),
        pytest.param("\nScratch twelve.", 12, id="no other told: it is in doubt"),
    ],
)
def test_a_figure_struck_out_never_stands_unmarked(line: str, seconds: float) -> None:
    value = tell(HELD + line)[-1].values["duration"]
    assert (value.value, value.unit, value.review) == (seconds, "s", True)
    assert "conflict" in value.flags


NEITHER = [
    pytest.param(
        SHEATH + "Lidocaine, two mils, in.\nThen a two by twenty balloon, kindly, not one point five.",
        "drug done lidocaine | dose 2 mL",
        id="another size asked for",
    ),
    pytest.param(
        SHEATH + "Six French drain is in.\nIt can come out in three months, not six.",
        "insert done drain | gauge 6 [Ch]",
        id="months",
    ),
    pytest.param(
        SHEATH + "Stenosis, eighty percent.\nNo heparin for her. And the clotting time? Two hundred.",
        "finding done stenosis | stenosis 80 %",
        id="a no to something else",
    ),
    pytest.param(
        SHEATH + "Six by forty balloon's up, ten atmospheres, down.\nTen, I said ten.",
        "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
        id="said again, louder",
    ),
    pytest.param(
        "Six French sheath is in.\nMy daughter has five cats, which I said was four too many.",
        "insert done sheath | gauge 6 [Ch]",
        id="talk",
    ),
    pytest.param(
        "Heparin, five thousand, is in.\nFive thousand, I said five thousand.",
        "drug done heparin | dose 5000 [iU]",
        id="said again",
    ),
    pytest.param(
        "Five by sixty balloon? No, five by eighty.",
        "inflation planned balloon | diameter 5 mm, length 80 mm",
        id="a question answered with another size",
    ),
]


@pytest.mark.parametrize(("lines", "event"), NEITHER)
def test_other_talk_changes_nothing(lines: str, event: str) -> None:
    assert event in told(lines)


SIZED_WRONG = [
    pytest.param(
        "Stent seven by sixty, please.\nStent's deployed.\nSorry, for the record, that stent was seven by eighty.",
        "stent done stent | diameter 7 mm, length 80 mm",
        id="a stent that was longer",
    ),
    pytest.param(
        "Six by forty balloon, please.\nUp to ten. Down.\nCorrection, the balloon was a five by forty.",
        "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
        id="a balloon that was narrower",
    ),
    pytest.param(
        "Heparin three thousand given.\nStrike the heparin, she never had it.",
        "drug negated heparin | dose 3000 [iU]",
        id="a drug struck out by name",
    ),
]


@pytest.mark.parametrize(("lines", "last"), SIZED_WRONG)
def test_what_was_used_was_another(lines: str, last: str) -> None:
    assert told(lines)[-1] == last
    event = tell(lines)[-1]
    assert event.review or any(value.review for value in event.values.values())


#: A case that goes on after what is put right: other things were done since.
GONE_ON = """Five by forty balloon, please.
Across. Up. Six, eight, ten, twelve, and down.
Run, eight at four. Inject.
No dissection there.
"""

MEANWHILE = [
    pytest.param("That needle never got past ten. I misspoke, that one was ten, write ten.", 10, id="misspoke"),
    pytest.param("And that last inflation, put it down as fourteen, I read it wrong.", 14, id="put it down as"),
    pytest.param("Mary, change the twelve to fourteen, would you.", 14, id="change this to that"),
    pytest.param("For your notes, that balloon only went to ten.", 10, id="only went to"),
    pytest.param("The last inflation I called twelve, but on the pump it was ten.", 10, id="I called it"),
    pytest.param("The log says eleven for that balloon, so eleven it is.", 11, id="the log says"),
    pytest.param("My mistake earlier, twelve should have been fourteen.", 14, id="should have been"),
    pytest.param("Fix this. The first one, I said twelve. Somebody had the gauge. Fourteen.", 14, id="filled in later"),
    pytest.param("Please amend, balloon pressure ten.", 10, id="nothing but what is named"),
]


@pytest.mark.parametrize(("line", "atm"), MEANWHILE)
def test_what_is_put_right_when_the_case_has_gone_on_stands_and_makes_no_new_event(line: str, atm: float) -> None:
    before, after = tell(GONE_ON), tell(GONE_ON + line)
    assert [(event.kind, event.status) for event in after] == [(event.kind, event.status) for event in before]
    pressures = [event.values["pressure"] for event in after if "pressure" in event.values]
    assert [(value.value, value.review) for value in pressures] == [(atm, True)]


UNTOUCHED = [
    pytest.param("The twelve is right, write twelve.", id="confirmed"),
    pytest.param("That was twelve right enough, and that is all I got wrong.", id="left alone"),
    pytest.param("Write the letter to his doctor, and two copies.", id="other writing"),
]


@pytest.mark.parametrize("line", UNTOUCHED)
def test_what_is_only_confirmed_or_written_of_changes_nothing(line: str) -> None:
    assert [event.values for event in tell(GONE_ON + line)] == [event.values for event in tell(GONE_ON)]


def test_a_size_put_right_is_right_wherever_it_was_carried_to() -> None:
    lines = "Six French sheath is in.\nHeparin, three thousand, is in.\nSheath's out.\n"
    events = tell(lines + "A small mistake from me, the sheath was seven French.")
    gauges = [event.values["gauge"] for event in events if "gauge" in event.values]
    assert [(value.value, value.review) for value in gauges] == [(7, True), (7, True)]


COILS = """Coil, eight by thirty. Detached.
Another coil, seven by twenty. Detached.
And another coil, seven by twenty. Detached.
A run, four mils by hand.
"""


@pytest.mark.parametrize(
    ("line", "lengths"),
    [
        pytest.param(
            "The last two coils I called seven by twenty, but on the box it is seven by fifteen, both of them.",
            [(30, False), (15, True), (15, True)],
            id="so many of them",
        ),
        pytest.param(
            "The last coil I called seven by twenty, it was seven by fifteen.",
            [(30, False), (20, True), (15, True)],
            id="one of them, the other is doubtful",
        ),
    ],
)
def test_a_size_put_right_by_another_size(line: str, lengths: list[tuple[float, bool]]) -> None:
    done = [event for event in tell(COILS + line) if event.kind == "embolise" and event.status == "done"]
    assert [(event.values["length"].value, event.values["length"].review) for event in done] == lengths


@pytest.mark.parametrize(
    ("line", "doubtful"),
    [
        pytest.param("The heparin, for the record, was four thousand.", True, id="another figure"),
        pytest.param("The heparin, for the record, was five thousand.", False, id="the same figure"),
    ],
)
def test_a_figure_of_what_is_on_record_calls_the_told_one_in_question(line: str, doubtful: bool) -> None:
    dose = next(event.values["dose"] for event in tell("Heparin, five thousand, is in.\nRun.\n" + line) if event.drug)
    assert (dose.value, dose.review) == (5000, doubtful)


#: Slips put right at once, whatever mark stands between.
AT_ONCE = [
    pytest.param("Six French sheath is in. Sorry, seven.", ["insert done sheath | gauge 7 [Ch]"], id="what it is of"),
    pytest.param(
        "Five by nine coil. No, what am I on about? Five by ten, please.",
        ["embolise planned coil | diameter 5 mm, length 10 cm"],
        id="a size that was asked for",
    ),
    pytest.param(
        "The nine by forty balloon is across. Up to seven, eleven. Sorry, my glasses. The dial shows ten.",
        ["inflation done balloon | diameter 9 mm, length 40 mm, pressure 10 atm"],
        id="a dial read again",
    ),
    pytest.param(
        "Six French sheath is in. No. The wire is in.",
        ["insert done sheath | gauge 6 [Ch]", "insert done wire"],
        id="no, of something else",
    ),
]
test_a_slip_put_right_at_once_stands_right = tells(AT_ONCE)


#: (what is said later of an inflation, its pressures)
BY_THE_GAUGE = [
    pytest.param("Again the same, ten. Down.\nDoctor, this second time the manometer was in eighteen. Write eighteen.",
                 [10, 18], id="the second time"),
    pytest.param("Hand run, ten mils. Go.\nThat go was twelve, not ten. Twelve atmospheres.", [12], id="that go"),
    pytest.param("Hand run, ten mils. Go.\nSorry, I said ten, the gauge read twelve.", [12], id="the gauge read"),
    pytest.param("Hand run, ten mils. Go.\nThat was twelve, not ten. Gauge was facing you. Write twelve.", [12],
                 id="the gauge in the sentence behind"),
    pytest.param("Hand run, ten mils. Go.\nSorry, that injection was twelve, not ten.", [10], id="an injection"),
    pytest.param("The same balloon goes back, only four. Down.", [10, 4], id="goes back in"),
    pytest.param("The balloon goes back in its packet.", [10], id="goes back to its packet"),
    pytest.param("Four, six. Stop. Thirty seconds. Down.", [10, 6], id="figures, then stop"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "pressures"), BY_THE_GAUGE)
def test_a_pressure_put_right_by_its_gauge(line: str, pressures: list[int]) -> None:
    events = tell("Six by forty balloon is across. Up. Ten. Down.\n" + line)
    done = [event for event in events if event.kind == "inflation" and event.status == "done"]
    assert [event.values["pressure"].value for event in done] == pressures


@pytest.mark.parametrize(
    ("line", "doses"),
    [
        ("For the sheet, fentanyl fifty, and fifty again? Yes.", [(50, False), (50, False)]),
        ("For the sheet, fentanyl fifty twice? She only gave twenty-five, the second time.", [(50, False), (25, True)]),
        ("For the record, fentanyl was fifty and forty.", [(50, False), (50, True)]),
    ],
    ids=["the same", "the second was another", "one differs"],
)
def test_doses_told_again_for_the_paper_are_no_new_ones(line: str, doses: list[tuple[float, bool]]) -> None:
    lines = "Fentanyl, fifty micrograms, is in.\nFentanyl, fifty micrograms again, is in.\n"
    given = [event.values["dose"] for event in tell(lines + line) if event.drug == "fentanyl"]
    assert [(dose.value, dose.review) for dose in given] == doses


def test_the_next_one_put_right_before_it_is_let_go_changes_none_told_before() -> None:
    lines = (
        "A three by five coil, please.\nLooping up... and it's gone, that's detached.\n"
        "Second one, same again... no, I tell a lie, I want a two by four... and it's in, detached."
    )
    coils = [event for event in tell(lines) if event.status == "done"]
    assert [(coil.values["diameter"].value, coil.values["length"].value) for coil in coils] == [(3, 5), (2, 4)]
