"""A speaker who asks and answers himself, and staff who answer him: what a question leaves in doubt and what not."""

import pytest

from .telling import tell, tells, told

ANSWERED = [
    pytest.param(
        "How much shall I give by hand? Six, six is plenty... and run, please.",
        ["run done | volume 6 mL"],
        id="how much, then the command",
    ),
    pytest.param("By hand, how much? Eight. And go.", ["run done | volume 8 mL"], id="how much by hand"),
    pytest.param(
        "Is that a stenosis? It is, and how bad? Seventy percent, I would say.",
        ["finding done stenosis | stenosis 70 %"],
        id="it is, and how bad",
    ),
    pytest.param(
        "There's the stenosis, how long is it? Three centimetres. How tight? Ninety.",
        ["finding done stenosis | length 3 cm, stenosis 90 %"],
        id="how long, how tight",
    ),
    pytest.param(
        "A stenosis, yes, how tight? I make it eighty-five, and is there any thrombus? There isn't.",
        ["finding done stenosis | stenosis 85 %", "finding negated thrombus"],
        id="two questions in turn",
    ),
    pytest.param(
        "Contrast sixty-five, nine point two minutes of screening, and how many gray centimetres squared? Thirty-one.",
        ["total done | contrast_volume 65 mL, dap 31 Gy.cm2, fluoro_time 9.2 min"],
        id="the unit stands in the question",
    ),
    pytest.param(
        "Five by twenty balloon.\nHow big is it at fourteen? Five point two at fourteen.\nIn place. Up to ten. Down.",
        [
            "inflation planned balloon | diameter 5 mm, length 20 mm",
            "inflation quoted | diameter 5.2 mm, length 20 mm, pressure 14 atm",
            "inflation done balloon | diameter 5 mm, length 20 mm, pressure 10 atm",
        ],
        id="a pressure asked about is none",
    ),
    pytest.param(
        "How much heparin did she get?\nFour thousand.",
        ["drug done heparin | dose 4000 [iU]"],
        id="how much of a drug went in, by another voice",
    ),
    pytest.param(
        "How much heparin do you want?\nFour thousand.",
        ["drug planned heparin | dose 4000 [iU]"],
        id="how much of a drug is wanted",
    ),
    pytest.param(
        "How much of the foam did you use?\nThree mils.", ["embolise done foam | volume 3 mL"], id="how much foam"
    ),
    pytest.param(
        "Residual stenosis?\nTwenty percent.", ["finding done stenosis | stenosis 20 %"], id="a finding by its name"
    ),
    pytest.param("Residual stenosis?\nTwenty of them.", [], id="no share that answers"),
    pytest.param("What's the gradient now?\nDown to four.", ["measure done | gradient 4 mm[Hg]"], id="a gradient"),
    pytest.param(
        "Stenosis in the external. Percent?\nSeventy.", ["finding done stenosis | stenosis 70 %"], id="in percent"
    ),
    pytest.param(
        "Coil, please.\nWhat size?\nFive by fifteen.\nIt is detached.",
        [
            "embolise planned coil | diameter 5 mm, length 15 cm",
            "embolise done coil | count 1 {count}, diameter 5 mm, length 15 cm",
        ],
        id="what size, of what was named before",
    ),
    pytest.param(
        "Coil, please.\nWhat size?\nA five by fifteen balloon.",
        ["inflation planned balloon | diameter 5 mm, length 15 mm"],
        id="an answer that names its own thing",
    ),
]
test_the_answer_is_told = tells(ANSWERED)


DOUBTS = [
    pytest.param("Heparin, five thousand units... has she had it? She's had it.", "dose", False, id="she has had it"),
    pytest.param("Heparin, five thousand units, is it in? It's in.", "dose", False, id="it is in"),
    pytest.param("Was it five thousand units of heparin? It's stuck.", "dose", True, id="another answer"),
    pytest.param("Heparin, five thousand units, is it? Carry on.", "dose", True, id="a tag asks for all of it"),
    pytest.param("Was it five thousand units of heparin? Carry on.", "dose", True, id="asked and not answered"),
    pytest.param("Can I have a five by forty balloon?", "diameter", False, id="a polite request"),
    pytest.param("The five by forty, and may I have that?", "diameter", False, id="a request behind"),
    pytest.param("Is that a five by forty balloon?", "diameter", True, id="a size asked for"),
]


@pytest.mark.parametrize(("lines", "key", "doubted"), DOUBTS)
def test_what_is_in_doubt(lines: str, key: str, doubted: bool) -> None:
    value = next(event.values[key] for event in tell(lines) if key in event.values)
    assert ("asked" in value.flags) is doubted


LENGTH_FIRST = [
    pytest.param("First coil, twenty of nine, please.", 9, 20, id="a coil, twenty of nine"),
    pytest.param("Coil, ten centimetres of four millimetre, please.", 4, 10, id="centimetres of millimetres"),
    pytest.param("A fifteen centimetre by six millimetre coil, please.", 6, 15, id="centimetres by millimetres"),
    pytest.param("Coil, eight by twenty, please.", 8, 20, id="width first, as most say it"),
]


@pytest.mark.parametrize(("line", "wide", "long"), LENGTH_FIRST)
def test_coils_with_their_length_first(line: str, wide: float, long: float) -> None:
    values = tell(line)[0].values
    assert (values["diameter"].value, values["length"].value) == (wide, long)


CALLED = [
    pytest.param(
        "Moulding balloon, the thirty-two. Thirty-two moulder, ready.\nNeck. Up with it, slowly... and down.",
        ["inflation planned balloon | diameter 32 mm", "inflation done balloon | diameter 32 mm"],
        id="a moulding balloon by its width",
    ),
    pytest.param(
        "Sixteen by one-twenty limb, please.\nThree rings inside... letting go... lovely, that's in.",
        ["stent planned stent | diameter 16 mm, length 120 mm", "stent done stent | diameter 16 mm, length 120 mm"],
        id="letting go",
    ),
    pytest.param(
        "A seven by forty one stent, please.", ["stent planned stent | diameter 7 mm, length 40 mm"], id="a forty one"
    ),
    pytest.param(
        "Nine hundred micron? No, not using the nine hundreds.",
        ["embolise negated particles | diameter 0.9 mm"],
        id="the nine hundreds",
    ),
]
test_things_called_by_a_number = tells(CALLED)


READ_BACK = [
    pytest.param(
        "Two five by fifteen. Two five, fifteen.\nDown there. Fourteen. Ten seconds. Off.",
        [
            "inflation planned balloon | diameter 2.5 mm, length 15 mm",
            "inflation done balloon | diameter 2.5 mm, duration 10 s, length 15 mm, pressure 14 atm",
        ],
        id="a size as a row of numbers is no pressure",
    ),
    pytest.param(
        "Stent, nine by forty. Nine, forty, opening.\nIn place. Twelve. Down.",
        [
            "stent planned stent | diameter 9 mm, length 40 mm",
            "stent done stent | diameter 9 mm, length 40 mm, pressure 12 atm",
        ],
        id="a stent's size",
    ),
    pytest.param(
        "Six by forty balloon.\nAcross. Six, forty seconds. Down.",
        [
            "inflation planned balloon | diameter 6 mm, length 40 mm",
            "inflation done balloon | diameter 6 mm, duration 40 s, length 40 mm, pressure 6 atm",
        ],
        id="a pressure and a time",
    ),
    pytest.param("Heparin, five. Five in.", ["drug done heparin | dose 5000 [iU]"], id="thousands said as ones"),
    pytest.param(
        "Closure plug, five.\nSheath out. Plug down. Dry.",
        ["closure planned closure device | gauge 5 [Ch]", "remove done sheath", "closure done plug | gauge 5 [Ch]"],
        id="a plug by a bare gauge",
    ),
]
test_said_again_by_staff_in_few_words = tells(READ_BACK)


OPENED = [
    pytest.param("Stent, nine by forty. Across. Open. Out.", "done", id="open, once it lies there"),
    pytest.param("Stent, nine by forty. Open it.", "planned", id="the box is opened"),
    pytest.param("Three by twenty-four. Open. In place. Deploying. Twelve.", "done", id="no balloon is deployed"),
]


def test_a_filter_that_is_deployed_makes_no_stent_of_a_balloon() -> None:
    assert "stent" not in {
        event.kind for event in tell("Five by forty, please. Filter, six millimetres. Filter deployed.")
    }


@pytest.mark.parametrize(("lines", "status"), OPENED)
def test_a_stent_opens(lines: str, status: str) -> None:
    assert [(event.kind, event.status) for event in tell(lines)] == [("stent", status)]


SPOKEN_TO = [
    pytest.param("A filter, Omar, five millimetres, please.", ["insert planned filter | diameter 5 mm"], id="a filter"),
    pytest.param("Sheath, Maggie, six French, please.", ["insert planned sheath | gauge 6 [Ch]"], id="a sheath"),
]


@pytest.mark.parametrize(("line", "events"), SPOKEN_TO)
def test_who_is_spoken_to_parts_nothing(line: str, events: list[str]) -> None:
    assert sorted(told(line)) == events


SAME_BALLOON = [
    pytest.param("There is a waist. We help it with the same balloon.", "planned", id="with the same balloon"),
    pytest.param("Same balloon, please.", "planned", id="please"),
    pytest.param("Same balloon again, up to twelve, down.", "done", id="it goes up at once"),
    pytest.param("I pull the balloon higher, again up, eight bar, and down.", "done", id="again up"),
]


@pytest.mark.parametrize(("line", "status"), SAME_BALLOON)
def test_the_same_balloon(line: str, status: str) -> None:
    *_, event = tell(f"Six by sixty balloon, please.\nUp to ten, thirty seconds, down.\n{line}")
    assert (event.kind, event.status, event.values["diameter"].value) == ("inflation", status, 6)


#: Lines, and of the last event: a value, what it is, what else it may be, whether it asks for a look.
SAID_AGAIN = [
    pytest.param("Six by forty up to twelve.\nTwelve?\nTen.", "pressure", 10, [12], True, id="another answers"),
    pytest.param("Six by forty up to twelve.\nWas it twelve?\nIt was ten.", "pressure", 10, [12], True, id="it was"),
    pytest.param("Six by forty up to twelve.\nTwelve?\nNo.\nTen.", "pressure", 10, [12], True, id="no, then another"),
    pytest.param("Six by forty up to twelve.\nTwelve?\nTwelve.", "pressure", 12, [], False, id="the same answers"),
    pytest.param("Six by forty up to twelve.\nTwelve?\nYes.", "pressure", 12, [], False, id="yes"),
    pytest.param("Six by forty up to twelve.\nTwelve?\nLovely. Down.", "pressure", 12, [], False, id="no answer"),
    pytest.param("Heparin five thousand given.\nFive?\nFour.", "dose", 4000, [5000], True, id="in thousands"),
]


@pytest.mark.parametrize(("lines", "key", "value", "others", "look"), SAID_AGAIN)
def test_a_figure_a_question_says_again(lines: str, key: str, value: float, others: list[float], look: bool) -> None:
    *_, event = tell(lines)
    told_value = event.values[key]
    assert (told_value.value, [other.value for other in told_value.alternatives]) == (value, others)
    assert told_value.review is look


def test_what_rests_on_an_open_question_asks_for_a_look_once() -> None:
    """Nobody answered for the five French: what went in and came out rests on it."""
    events = tell("Catheter, five French?\nHere. The wire is ready.\nThe catheter is in.\nCatheter out.")
    of_it = [(event.kind, event.values["gauge"].review) for event in events if "gauge" in event.values]
    assert of_it == [("insert", True), ("insert", True), ("remove", False)]
