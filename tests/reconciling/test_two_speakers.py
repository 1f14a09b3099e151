"""Two operators at one table, and speakers who think aloud: who asks what, what a size is of, the same again."""

import pytest

from .telling import tell, tells

SHEATH = "Six French sheath is in.\n"
IN = "insert done sheath | gauge 6 [Ch]"

STENTS = [
    pytest.param("Eight by forty, covered, please.", ["stent planned stent | diameter 8 mm, length 40 mm"],
                 id="covered, behind the size"),
    pytest.param("Ten by thirty-eight, balloon-mounted, covered, open it.",
                 ["stent planned stent | diameter 10 mm, length 38 mm"], id="two words behind the size"),
    pytest.param("Nine by fifty-nine for me and eight by seventy-nine for you, both covered.",
                 ["stent planned stent | diameter 9 mm, length 59 mm",
                  "stent planned stent | diameter 8 mm, length 79 mm"], id="both are"),
    pytest.param("We'll line that with an eight by sixty, the covered kind.",
                 ["stent planned stent | diameter 8 mm, length 60 mm"], id="the covered kind"),
    pytest.param("Five by sixty, drug coated, please.", ["inflation planned balloon | diameter 5 mm, length 60 mm"],
                 id="drug coated is no stent's"),
    pytest.param("Five by sixty balloon, please, and leave the rest covered.",
                 ["inflation planned balloon | diameter 5 mm, length 60 mm"], id="something else is covered"),
    pytest.param("Label on the covered one, seven at eight, and seven point four at twelve.",
                 ["stent quoted | diameter 7 mm, pressure 8 atm", "stent quoted | diameter 7.4 mm, pressure 12 atm"],
                 id="the label of one without its size"),
]  # fmt: skip
test_a_word_behind_a_size_tells_what_it_is_of = tells(STENTS, before=SHEATH, first=[IN])


DEVICES = [
    pytest.param("A vertebral catheter, five French, please, with the hydrophilic oh three five in it.",
                 ["insert planned catheter | gauge 5 [Ch]", "insert planned wire | wire_diameter 0.035 [in_i]"],
                 id="one handed over inside the other"),
    pytest.param("Cobra, five French, please, with a hydrophilic wire inside it.",
                 ["insert planned catheter | gauge 5 [Ch]", "insert planned wire"], id="inside it"),
    pytest.param("Vertebral catheter, five French, with a wire in it, is up.",
                 ["insert done catheter | gauge 5 [Ch]", "insert done wire"], id="both are in"),
    pytest.param("Would you ever have a seven French sheath, you would, and that's it in.",
                 ["insert done sheath | gauge 7 [Ch]"], id="a yes in the speaker's own mouth"),
    pytest.param("Seven French on this side, please, the longer one, the twenty-five centimetre... and that's in.",
                 ["insert done sheath | gauge 7 [Ch], length 25 cm"], id="the longer one, and how long"),
    pytest.param("A stiff oh three five, two-sixty, is up on the right.\nSame stiff up the left.",
                 ["insert done wire | length 260 cm, wire_diameter 0.035 [in_i]"] * 2, id="the same on the other side"),
    pytest.param("Hydrophilic oh three five to me, and an angled four French, d'you want to? No, I don't.",
                 ["insert planned wire | wire_diameter 0.035 [in_i]", "insert planned catheter | gauge 4 [Ch]"],
                 id="the no is for what was asked"),
    pytest.param("Vertebral catheter, please. Do you want the stiff oh three five? No, I don't.",
                 ["insert planned catheter", "insert negated wire | wire_diameter 0.035 [in_i]"],
                 id="and here that is a device"),
    pytest.param("Six out. Via a nine, I think. Nine French, in.",
                 ["remove done sheath | gauge 6 [Ch]", "insert done sheath | gauge 9 [Ch]"],
                 id="another sheath, by its number"),
    pytest.param("Eight by forty balloon, please. I'd rather have a nine.",
                 ["inflation planned balloon | diameter 8 mm, length 40 mm",
                  "inflation planned balloon | diameter 9 mm"],
                 id="another balloon, by its number"),
]  # fmt: skip
test_what_was_asked_for_and_is_in = tells(DEVICES, before=SHEATH, first=[IN])


QUESTIONS = [
    pytest.param("Nine by forty for me, eight by forty for you, have we an eight by forty?", False, id="asks of stock"),
    pytest.param("Ten at five, two a second, and run, is anyone writing this down?", False, id="asks another thing"),
    pytest.param("Balloon, six by forty, up, up to eight — can your registrar stop leaning on the table?", False,
                 id="a question of another's turn"),
    pytest.param("Six by forty balloon?", True, id="asks of the size"),
    pytest.param("Six by forty balloon, is it?", True, id="a tag asks of what was said before it"),
    pytest.param("Six by forty balloon, could we?", True, id="so does this one"),
    pytest.param("Heparin, is it five thousand?", True, id="asks of the figure behind the verb"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "asked"), QUESTIONS)
def test_a_question_doubts_what_it_asks_of(line: str, asked: bool) -> None:
    events = tell(SHEATH + line + "\nLights down, somebody.")[1:]
    assert events
    assert any("asked" in value.flags for event in events for value in event.values.values()) is asked


RUNS = [
    pytest.param("How much shall I give by hand? Six, six is plenty... and run.", ["run done | volume 6 mL"],
                 id="asked and answered"),
    pytest.param("By hand? Eight. And go.", ["run done | volume 8 mL"], id="in two words"),
    pytest.param("How many by hand? None of us have eight arms.", [], id="no volume"),
]  # fmt: skip
test_how_much_by_hand = tells(RUNS, before=SHEATH, first=[IN])


def test_same_by_hand_as_before_where_two_differ_asks_for_a_look() -> None:
    lines = SHEATH + "Hand run, six mils, and go.\nA puff, two mils, go.\nSame by hand as before, run."
    again = [event for event in tell(lines) if event.kind == "run"][-1]
    assert "which-run" in again.values["volume"].flags


STRESSED = [("four-teen", 14), ("eight-teen", 18), ("eigh-teen", 18), ("fif-teen", 15)]


@pytest.mark.parametrize(("said", "value"), STRESSED)
def test_a_number_said_in_two_is_one(said: str, value: float) -> None:
    (event,) = tell(SHEATH + f"The aorta's measuring {said} millimetres.")[1:]
    assert event.values["diameter"].value == value


WRITTEN = [
    pytest.param('Clotting time, Rune? "Two hundred and six." Right.', ["measure done | act 206 s"], id="quoted"),
    pytest.param('"Heparin, three thousand, is in."', ["drug done heparin | dose 3000 [iU]"], id="quoted whole"),
    pytest.param("ACT? Nurse: one ninety-one.", ["measure done | act 191 s"], id="by what somebody is"),
    pytest.param("ACT, please, Odile.\nOdile: result two twenty-four.", ["measure done | act 224 s"], id="by name"),
    pytest.param("Rune, the Cobra. Then we wait.\nCobra: five French, ninety long, in.",
                 ["insert done catheter | gauge 5 [Ch], length 90 cm"], id="a device heads what is told of it"),
    pytest.param("Sizes, the Distal end.\nDistal: six.\nProximal: seven.",
                 ["measure done | diameter 6 mm", "measure done | diameter 7 mm"], id="places head sizes"),
    pytest.param("ACT? Weight, ninety.", [], id="something else is named"),
]  # fmt: skip
test_what_a_transcript_writes_of_who_speaks = tells(WRITTEN, before=SHEATH, first=[IN])
