"""Stents and balloons told as used, wherever the verb stands, and those only asked for; pressures called so."""

import pytest

from .telling import tell, told

_VERBS = ("deployed", "placed", "implanted", "released", "inserted", "put in", "delivered", "used")
_FRAMES = (
    "A seven by sixty stent was {}.",
    "We {} a seven by sixty stent.",
    "We have {} a seven by sixty stent in the artery.",
    "Stent seven by sixty {}.",
    "Now the stent, seven by sixty, has been {}.",
    "There was {} a stent, seven by sixty.",
)


@pytest.mark.parametrize("verb", _VERBS)
@pytest.mark.parametrize("frame", _FRAMES)
def test_a_stent_told_as_placed_is_done(frame: str, verb: str) -> None:
    assert told(frame.format(verb)) == ["stent done stent | diameter 7 mm, length 60 mm"]


@pytest.mark.parametrize(
    "text",
    [
        "We have implanted two stents: a seven by sixty and an eight by forty.",
        "Two stents were placed, seven by sixty and eight by forty.",
        "We leave two stents behind, seven by sixty and eight by forty.",
    ],
)
def test_several_at_once_are_all_done(text: str) -> None:
    assert told(text) == [
        "stent done stent | diameter 7 mm, length 60 mm",
        "stent done stent | diameter 8 mm, length 40 mm",
    ]


def test_how_many_of_one_size() -> None:
    line = "Two stents of seven by sixty were placed."
    assert told(line) == ["stent done stent | count 2 {count}, diameter 7 mm, length 60 mm"]


@pytest.mark.parametrize(
    "text",
    [
        "A seven by sixty stent is to be placed.",
        "We have opened a seven by sixty stent.",
        "The nurse has placed a seven by sixty stent on the table.",
        "In such lesions I have often implanted a seven by sixty stent.",
        "The first is deployed, and now a seven by sixty stent, please.",
        "Before it is implanted I want the seven by sixty stent flushed.",
    ],
)
def test_what_is_asked_for_is_not_done(text: str) -> None:
    assert told(text) == ["stent planned stent | diameter 7 mm, length 60 mm"]


@pytest.mark.parametrize(
    "said",
    [
        "Pressure is at ten now.",
        "The pressure is ten.",
        "Manometer shows ten.",
        "We reach ten.",
        "With a pressure of ten.",
        "The gauge is reading ten.",
    ],
)
def test_a_figure_called_a_pressure_is_one(said: str) -> None:
    lines = f"Six by forty balloon over the lesion.\n{said}\nThirty seconds. Deflate."
    assert told(lines)[-1] == "inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 10 atm"


@pytest.mark.parametrize("said", ["Pressure one forty over eighty.", "The pressure is fifty.", "Pressure dropped."])
def test_a_blood_pressure_inflates_nothing(said: str) -> None:
    assert told(f"Six by forty balloon over the lesion.\n{said}") == [
        "inflation planned balloon | diameter 6 mm, length 40 mm"
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Dilatation to ten atmospheres with a six by forty for thirty seconds.",
        "Ten atmospheres with the six by forty for thirty seconds.",
        "Angioplasty was carried out at ten atmospheres for thirty seconds, the balloon being a six by forty.",
    ],
)
def test_a_size_told_after_the_pressure_is_of_what_went_up(text: str) -> None:
    assert told(text) == ["inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 10 atm"]


@pytest.mark.parametrize(
    "text",
    [
        "The lesion was dilated with a six by forty balloon.",
        "We have ballooned it with a six by forty.",
        "Post-dilated with a six by forty.",
        "Angioplasty with a six by forty balloon was performed.",
        "A six by forty balloon was inflated.",
    ],
)
def test_a_balloon_told_as_used_is_done_and_takes_the_pressure_that_follows(text: str) -> None:
    assert told(text) == ["inflation done balloon | diameter 6 mm, length 40 mm"]
    after = told(f"{text}\nTen atmospheres, thirty seconds. Deflate.")
    assert after == ["inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 10 atm"]


@pytest.mark.parametrize(
    "text",
    ["Then we will have it dilated with a six by forty.", "It is to be dilated with a six by forty, please."],
)
def test_a_balloon_that_is_to_be_used_is_not_done(text: str) -> None:
    assert told(text) == ["inflation planned balloon | diameter 6 mm, length 40 mm"]


@pytest.mark.parametrize("again", ["Once more the same.", "We repeat that.", "The same again."])
def test_the_same_again_is_one_more(again: str) -> None:
    lines = f"Five by forty across. Up. Ten atmospheres. Down.\n{again}\nAnd deflate."
    assert told(lines) == ["inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm"] * 2


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("For two minutes I hold now the six by eighty at eight bar.", 120),
        ("Once more with the six by eighty, three minutes, eight bar.", 180),
        ("Six by eighty across, up to eight.\nTen seconds... twenty... thirty.\nDown.", 30),
    ],
)
def test_a_time_before_the_pressure_and_a_time_counted_on(text: str, seconds: int) -> None:
    (event,) = [event for event in tell(text) if event.status == "done"]
    time = event.values["duration"]
    assert time.value * (60 if time.unit == "min" else 1) == seconds


@pytest.mark.parametrize(
    ("text", "told_as"),
    [
        ("Five by forty across. Up. Six, eight, nominal at eight.\nDown.", "done"),
        ("Five by forty to nominal, that is eight. Forty seconds. Down.", "done"),
        ("Five by forty across. Nominal is eight.", "quoted"),
        ("The label says nominal eight.", "quoted"),
    ],
)
def test_nominal_is_reached_or_only_read(text: str, told_as: str) -> None:
    assert ("inflation", told_as, 8) in [
        (event.kind, event.status, event.values["pressure"].value) for event in tell(text) if "pressure" in event.values
    ]


def test_each_balloon_at_its_own_pressure() -> None:
    line = "Right balloon, eight by forty, is at ten. Left balloon, seven by forty, is at eight. Deflate the two."
    assert told(line) == [
        "inflation done balloon | diameter 8 mm, length 40 mm, pressure 10 atm",
        "inflation done balloon | diameter 7 mm, length 40 mm, pressure 8 atm",
    ]


@pytest.mark.parametrize(
    ("lines", "pressure"),
    [
        ("Six by forty across. Bar twelve.\nDown.", ("bar", 12)),
        ("Six by forty across. Pressure up. Twelve.\nDown.", ("atm", 12)),
        ("Six by forty to rated, twelve.\nDown.", ("atm", 12)),
    ],
)
def test_a_pressure_with_its_word_before_it(lines: str, pressure: tuple[str, float]) -> None:
    (value,) = [event.values["pressure"] for event in tell(lines) if event.status == "done"]
    assert (value.unit, value.value) == pressure


def test_a_bare_time_behind_a_bare_pressure() -> None:
    (event,) = [event for event in tell("Six by forty is in. Up. Sixteen, for thirty. Down.") if event.status == "done"]
    assert (event.values["pressure"].value, event.values["duration"].value) == (16, 30)


@pytest.mark.parametrize(
    "freed", ["It is free.", "Off.", "I let it go.", "It is delivered.", "Firing.", "It pops open."]
)
def test_a_stent_in_its_place_is_let_go(freed: str) -> None:
    assert told(f"Stent six by forty.\nIt is in place. {freed}")[-1] == "stent done stent | diameter 6 mm, length 40 mm"


def test_a_list_of_implants_is_of_what_is_in() -> None:
    assert told("Implants today: covered stent eight by fifty, bare stent nine by forty.") == [
        "stent done stent | diameter 8 mm, length 50 mm",
        "stent done stent | diameter 9 mm, length 40 mm",
    ]


def test_a_rule_of_stents_makes_no_stent_of_the_next_size() -> None:
    lines = "Our rule is, never more than twelve bar in a fresh stent.\nFive by twenty, twelve bar, down."
    assert told(lines)[-1] == "inflation done balloon | diameter 5 mm, length 20 mm, pressure 12 bar"


def test_a_stents_own_balloon_once_more_is_another_inflation() -> None:
    lines = "Stent eight by twenty-seven opened with ten bar.\nWith the stent balloon again, fourteen bar."
    assert told(lines) == [
        "stent done stent | diameter 8 mm, length 27 mm, pressure 10 bar",
        "inflation done balloon | diameter 8 mm, length 27 mm, pressure 14 bar",
    ]


def test_what_the_gauge_says_when_asked_is_a_pressure() -> None:
    lines = "Five by twenty, ten atmospheres, thirty seconds.\nWhat does the gauge say? Twelve.\nDown."
    assert told(lines) == ["inflation done balloon | diameter 5 mm, duration 30 s, length 20 mm, pressure 12 atm"]


def test_the_only_balloon_thought_of_goes_up_and_is_doubtful() -> None:
    lines = "Perhaps an eight by sixty balloon.\nIt is over the lesion. Blow it up. Ten atmospheres."
    values = tell(lines)[-1].values
    assert (values["diameter"].value, values["length"].value, values["pressure"].value) == (8, 60, 10)
    assert "which-device" in values["diameter"].flags


def test_a_second_stent_behind_a_dilation_is_no_balloon() -> None:
    lines = "Predilated with a three by eighty balloon; two stents, a six by forty and a six by eighty, were implanted."
    assert told(lines)[1:] == [
        "stent done stent | diameter 6 mm, length 40 mm",
        "stent done stent | diameter 6 mm, length 80 mm",
    ]


@pytest.mark.parametrize(
    ("said", "statuses"),
    [
        pytest.param("The seven by sixty stent was nearly placed, then he coughed.", {"planned"}, id="a stent, nearly"),
        pytest.param("The six by ten coil was almost deployed, then it jumped.", {"planned"}, id="a coil, almost"),
        pytest.param("The seven by sixty stent was almost opened, and then it was deployed.", {"done"}, id="and then"),
        pytest.param("They used a six by ten coil in the trial.", {"quoted"}, id="what others report"),
        pytest.param(
            "How much heparin? Five thousand was the plan, she got three.", {"planned"}, id="an answer that is a plan"
        ),
    ],
)
def test_what_was_nearly_done_planned_or_read_of_is_not_done(said: str, statuses: set[str]) -> None:
    assert {event.status.value for event in tell(said)} == statuses
