"""How speakers report that a device is in or out: far from the request, by its number, several of a kind."""

import pytest

from .telling import tell, tells, told

REPORTS = [
    pytest.param("Cobra catheter, five French, to the arch... is there.", ["insert done catheter | gauge 5 [Ch]"],
                 id="where to, then the verb"),
    pytest.param("Simmons again, the five French, from the right arm this time, is down.",
                 ["insert done catheter | gauge 5 [Ch]"], id="again, then the verb"),
    pytest.param("Pigtail, five French, and is there thrombus?", ["insert planned catheter | gauge 5 [Ch]"],
                 id="a question of something else"),
    pytest.param("Snare, please. It goes through the guide, over the wire.", ["insert done snare"],
                 id="it, with the way it goes"),
    pytest.param("Long sheath, seven French. It was advanced over main wire.", ["insert done sheath | gauge 7 [Ch]"],
                 id="over something named by what it is for"),
    pytest.param("""Seven French sheath is in.
                 The balloon will go through Petra's sheath, over the clot.""",
                 ["insert done sheath | gauge 7 [Ch]"],
                 id="through somebody's sheath puts no sheath in"),
    pytest.param("""A balloon, five by forty, will go over an oh one four wire. Give me the wire first.
                 The oh one four is down.""",
                 ["inflation planned balloon | diameter 5 mm, length 40 mm",
                  "insert planned wire | wire_diameter 0.014 [in_i]",
                  "insert done wire | wire_diameter 0.014 [in_i]"],
                 id="a size that tells what is in, not what was asked for"),
]  # fmt: skip
test_a_report_may_be_far_from_its_device = tells(REPORTS)


_FOR_A_SIX = "Sheath six French in. Seven French sheath, please.\n"
_EXCHANGED = ["insert done sheath | gauge 6 [Ch]", "insert planned sheath | gauge 7 [Ch]",
              "remove done sheath | gauge 6 [Ch]", "insert done sheath | gauge 7 [Ch]"]  # fmt: skip


@pytest.mark.parametrize(
    "line",
    [
        "The six has been taken out, and the seven has been introduced.",
        "The six was removed over the wire, and the seven is now in its place.",
        "The six has come out and the seven has gone in.",
        "The six is now withdrawn. The seven is finally in position.",
        "The six was peeled away and the seven was advanced.",
    ],
)
def test_a_number_names_what_was_done(line: str) -> None:
    assert told(_FOR_A_SIX + line) == _EXCHANGED


def test_a_number_of_which_something_else_is_told_names_none() -> None:
    assert told("The six has been reviewed by the team. The eight was seen yesterday.") == []


SEVERAL = [
    pytest.param("""Oh one eight wire for the right, please. And another oh one eight for the left.
                 Both are now in place.""",
                 [*["insert planned wire | wire_diameter 0.018 [in_i]"] * 2,
                  *["insert done wire | wire_diameter 0.018 [in_i]"] * 2], id="two alike, asked for one by one"),
    pytest.param("""Stiff wire, oh three five by two-sixty, is up. A second stiff one for the left side.""",
                 ["insert done wire | length 260 cm, wire_diameter 0.035 [in_i]",
                  "insert planned wire | length 260 cm, wire_diameter 0.035 [in_i]"], id="a second of a sort"),
    pytest.param("""Stiff wire, oh three five, is up. A second wire, please.""",
                 ["insert done wire | wire_diameter 0.035 [in_i]", "insert planned wire | wire_diameter 0.035 [in_i]"],
                 id="a second of no sort told"),
    pytest.param("A six French sheath is in. Now put your own sheath, a seven as well... and it is in.",
                 ["insert done sheath | gauge 6 [Ch]", "insert done sheath | gauge 7 [Ch]"],
                 id="a number after a noun"),
]  # fmt: skip
test_one_more_of_a_kind = tells(SEVERAL)


@pytest.mark.parametrize(
    "line",
    [
        "The wire will come through here.",
        "A drain is going to be placed into it.",
        "Heparin only once the six French sheath is in.",
        "Nobody injects until I have a catheter in.",
        "As soon as the wire is across, tell me.",
        "Before the catheter goes in, flush it.",
        "There is a five French sheath in the drawer.",
    ],
)
def test_what_is_yet_to_happen_or_lies_in_store_is_not_done(line: str) -> None:
    assert not [event for event in told(line) if event.startswith("insert done")]


@pytest.mark.parametrize("line", ["Once the sheath was in, we looked.", "The sheath is in the vein."])
def test_what_did_happen_is_done(line: str) -> None:
    assert "insert done sheath" in told(line)


AGAIN = [
    pytest.param("Sheath six French is in. The six is out, the thirteen is in. Small burn, my friend. Thirteen's in.",
                 ["insert done sheath | gauge 6 [Ch]", "remove done sheath | gauge 6 [Ch]",
                  "insert done sheath | gauge 13 [Ch]"], id="told twice by its number"),
    pytest.param("Sheath six French is in. We change to an eight French sheath. Six is out, eight is in.",
                 ["insert done sheath | gauge 6 [Ch]", "insert done sheath | gauge 8 [Ch]",
                  "remove done sheath | gauge 6 [Ch]"], id="announced, then told"),
    pytest.param("Sheath eight French is in. On the left, eight is in.",
                 ["insert done sheath | gauge 8 [Ch]"] * 2, id="on a side"),
    pytest.param("Soft wire out, stiff one in, oh three five by two-sixty. Stiff's in.",
                 ["remove done wire", "insert done wire | length 260 cm, wire_diameter 0.035 [in_i]"],
                 id="told twice by its sort"),
    pytest.param("""Wire, oh one four, please. Another wire, oh one four, for the branch.
                 The wire is across.
                 Branch wire, slowly, is across as well.""",
                 [*["insert planned wire | wire_diameter 0.014 [in_i]"] * 2,
                  *["insert done wire | wire_diameter 0.014 [in_i]"] * 2], id="the one still waited for"),
]  # fmt: skip
test_the_same_told_again_is_no_other = tells(AGAIN)


CALLED_ONE = [
    pytest.param("""Hydrophilic wire, oh three five, is in.
                 Hydrophilic one out, the stiff wire please, oh three five.
                 The stiff one lies good.""",
                 ["insert done wire | wire_diameter 0.035 [in_i]", "remove done wire | wire_diameter 0.035 [in_i]",
                  "insert planned wire | wire_diameter 0.035 [in_i]", "insert done wire | wire_diameter 0.035 [in_i]"],
                 id="the hydrophilic one, the stiff one"),
    pytest.param("I've an oh one eight down the infusion catheter, the three hundred.",
                 ["insert done wire | length 300 cm, wire_diameter 0.018 [in_i]"], id="a length that only a wire has"),
    pytest.param("""Catheter, five French, is in. Microcatheter, two point seven French, is in.
                 Microcatheter was withdrawn to the trunk. Microcatheter and its wire were removed.""",
                 ["insert done catheter | gauge 5 [Ch]", "insert done microcatheter | gauge 2.7 [Ch]",
                  "remove done microcatheter | gauge 2.7 [Ch]", "remove done wire"], id="withdrawn to is not out"),
    pytest.param("""Catheter, five French, is in. Microcatheter, two point seven French, is in. Microcatheter out.
                 Microcatheter out.""",
                 ["insert done catheter | gauge 5 [Ch]", "insert done microcatheter | gauge 2.7 [Ch]",
                  "remove done microcatheter | gauge 2.7 [Ch]"], id="no microcatheter is of five French"),
    pytest.param("""Sheath, thirteen French, is in. Aspiration catheter, twelve French. Going up... it pulls.
                 Catheter's out.""",
                 ["insert done sheath | gauge 13 [Ch]", "insert done aspiration catheter | gauge 12 [Ch]",
                  "remove done aspiration catheter | gauge 12 [Ch]"], id="going up, just asked for; any catheter"),
]  # fmt: skip
test_which_is_meant_by_a_word = tells(CALLED_ONE)


HANDS = [
    pytest.param("Six French sheath is in.\nClosure device... no, I'd rather press. Sheath's out.",
                 ["insert done sheath | gauge 6 [Ch]", "closure negated closure device | gauge 6 [Ch]",
                  "remove done sheath | gauge 6 [Ch]"], id="called for and refused"),
    pytest.param("Sheath's out, and Ines is on the groin.\nTen minutes, dry.",
                 ["remove done sheath", "closure done | duration 10 min"], id="somebody is on it, the time first"),
    pytest.param("Sheath's out, and Ines is on the phone.\nTen minutes, she says.", ["remove done sheath"],
                 id="somebody is on something else"),
]  # fmt: skip
test_closed_by_hand = tells(HANDS)


SIZED = [
    pytest.param("For the night a drain. Eight and a half French, please.\nThe drain slides in.",
                 ["insert planned drain | gauge 8.5 [Ch]", "insert done drain | gauge 8.5 [Ch]"],
                 id="its name, then its size"),
    pytest.param("Micro for Ines, the two point four French, one thirty long, please.",
                 ["insert planned microcatheter | gauge 2.4 [Ch], length 130 cm"], id="the size after whom it is for"),
    pytest.param("So a microcatheter for that. Six French, please.", ["insert planned sheath | gauge 6 [Ch]"],
                 id="no microcatheter is so wide"),
    pytest.param("Tract dilated with ten, twelve and fourteen French dilators, and a sixteen French sheath went in.",
                 ["insert done dilator | gauge 10 [Ch]", "insert done dilator | gauge 12 [Ch]",
                  "insert done dilator | gauge 14 [Ch]", "insert done sheath | gauge 16 [Ch]"], id="a row of dilators"),
    pytest.param("Dilated with eight, then with ten French.",
                 ["insert done dilator | gauge 8 [Ch]", "insert done dilator | gauge 10 [Ch]"],
                 id="without their name"),
    pytest.param("""Six French sheath, right, is in. Six French sheath, left, is in. The sheaths were then removed.""",
                 [*["insert done sheath | gauge 6 [Ch]"] * 2, *["remove done sheath | gauge 6 [Ch]"] * 2],
                 id="the sheaths, where two are in"),
    pytest.param("Six French sheath is in. Six French sheath, left, is in. The first of the sheaths is out.",
                 [*["insert done sheath | gauge 6 [Ch]"] * 2, "remove done sheath | gauge 6 [Ch]"], id="one of two"),
    pytest.param("""Six French sheath is in. Wire, oh one eight, is in. The wires were then removed.""",
                 ["insert done sheath | gauge 6 [Ch]", "insert done wire | wire_diameter 0.018 [in_i]",
                  "remove done wire | wire_diameter 0.018 [in_i]"], id="the wires, where one is in"),
    pytest.param("""Crossover catheter, five French, is in. Crossover catheter is out.
                 Hook back up over the wire.""",
                 ["insert done catheter | gauge 5 [Ch]", "remove done catheter | gauge 5 [Ch]",
                  "insert done catheter | gauge 5 [Ch]"], id="its short name, back in"),
    pytest.param("""Six French sheath is out. Press for ten minutes.
                 Ten's up, and it's dry.""",
                 ["remove done sheath | gauge 6 [Ch]", "closure done | duration 10 min, gauge 6 [Ch]"],
                 id="the time is up"),
]  # fmt: skip
test_sizes_and_numbers_of_devices = tells(SIZED)


#: (what is said of two sides, of a size behind and of a condition, its events)
TOLD_IN_PASSING = [
    pytest.param(
        """A seven French sheath, twenty-three centimetres, for the right, and the same for the left, please.
        Seven's in on the right.
        Left now. Seven's in on the left.
        Left sheath's out.""",
        ["insert planned sheath | gauge 7 [Ch], length 23 cm"] * 2
        + ["insert done sheath | gauge 7 [Ch], length 23 cm"] * 2
        + ["remove done sheath | gauge 7 [Ch], length 23 cm"],
        id="the same for the left",
    ),
    pytest.param(
        "Eight by thirty-eight stent, please, right side, and the same for the left.",
        ["stent planned stent | diameter 8 mm, length 38 mm"] * 2,
        id="a stent for each side",
    ),
    pytest.param(
        "Seven French sheath for the right, please, and the same drug on the left.",
        ["insert planned sheath | gauge 7 [Ch]"],
        id="the same of something else",
    ),
    pytest.param(
        "Seven French sheath for the left, please, and the same for the left arm.",
        ["insert planned sheath | gauge 7 [Ch]"],
        id="the same side twice",
    ),
    pytest.param(
        "Two six French sheaths, please.", ["insert planned sheath | gauge 6 [Ch]"], id="two of six are no twenty-six"
    ),
    pytest.param(
        "Flush catheter's over it, five French, tip at the renals.",
        ["insert done catheter | gauge 5 [Ch]"],
        id="a size, then where its tip is",
    ),
    pytest.param(
        "Pigtail's up, five French, the wire's out.",
        ["insert done catheter | gauge 5 [Ch]", "remove done wire"],
        id="a size, then another device",
    ),
    pytest.param(
        "And, what shall we take, a four French, no, the five French angled catheter, please.",
        ["insert planned catheter | gauge 5 [Ch]"],
        id="thinking aloud",
    ),
    pytest.param(
        "If I can't get across it'll have to be an eight French drain.",
        ["insert considered drain | gauge 8 [Ch]"],
        id="a no in a condition",
    ),
    pytest.param(
        "Angled catheter's up to the cap... that's going off to the side.",
        ["insert done catheter"],
        id="off to the side",
    ),
    pytest.param(
        "Seven French sheath's in on the right.\nFive mils by hand through the right sheath... running.",
        ["insert done sheath | gauge 7 [Ch]", "run done | volume 5 mL"],
        id="what runs through the right sheath",
    ),
]
test_devices_told_in_passing = tells(TOLD_IN_PASSING)


@pytest.mark.parametrize(
    ("line", "sizes"),
    [
        ("Micro please, the two point seven, the one thirty long one.", {"gauge": 2.7, "length": 130}),
        ("Micro, please, the two point four, one fifty.", {"gauge": 2.4, "length": 150}),
        ("Guide catheter please, the seven, ninety long.", {"gauge": 7, "length": 90}),
        ("A microcatheter, the two point seven one, please.", {"gauge": 2.7}),
        ("Sheath please, and the five French catheter.", {}),
    ],
    ids=["micro", "commas", "guide", "no hundredths", "another device"],
)
def test_sizes_said_after_please(line: str, sizes: dict[str, float]) -> None:
    assert {key: value.value for key, value in tell(line)[0].values.items()} == sizes


@pytest.mark.parametrize(
    ("line", "events"),
    [
        ("The catheter is out, and the sheath after it.", ["remove done catheter", "remove done sheath"]),
        ("The catheter is out, and the sheath as well.", ["remove done catheter", "remove done sheath"]),
        ("The catheter is out, and the sheath stays.", ["remove done catheter"]),
        ("Catheter out now? Now. The catheter's out.", ["remove done catheter"]),
    ],
    ids=["after it", "as well", "stays", "asked, then told"],
)
def test_what_follows_what_came_out(line: str, events: list[str]) -> None:
    assert told(f"The sheath is in, and the catheter is in.\n{line}")[2:] == events


@pytest.mark.parametrize(
    ("exchange", "gone"),
    [
        ("We change to a seven French of forty-five. It is in.", 0),
        ("We change to a seven French sheath, forty-five centimetres. It is in.", 0),
        ("Exchange for the seven French sheath, forty-five. In.", 0),
        ("I change it with a seven French, forty-five. It is in.", 1),
        ("We change it onto a seven French, forty-five. It is in.", 1),
    ],
    ids=["to a size", "to a named one", "for", "it with", "it onto"],
)
def test_what_was_exchanged_for_another_is_not_what_comes_out_later(exchange: str, gone: int) -> None:
    *before, last = told(f"Six French sheath of eleven centimetres is in.\n{exchange}\nThe sheath is out.")
    assert last == "remove done sheath | gauge 7 [Ch], length 45 cm"
    assert len(before) == 2 + gone


def test_what_was_exchanged_can_be_told_to_be_out() -> None:
    (_, *gone) = told("Six French sheath is in.\nWe change to an eight French sheath. Six is out, eight is in.")
    assert "remove done sheath | gauge 6 [Ch]" in gone
    assert "insert done sheath | gauge 8 [Ch]" in gone


def test_what_is_on_the_other_side_stays_in_when_one_is_exchanged() -> None:
    lines = "Six French sheath in on the right. Five French sheath in on the left."
    *_, last = told(f"{lines}\nOn the right we change to an eight French sheath. In.\nThe left sheath is out.")
    assert last == "remove done sheath | gauge 5 [Ch]"


_IN = "Six French sheath is in.\n"
_OF_A_SIX = ["insert done sheath | gauge 6 [Ch]"]
NO_EXCHANGES = [
    "I change gloves, from a six to a seven.",
    "I changed my coffee from a six to a seven.",
    "They switched the shift from a six to an eight.",
    "Someone swapped the room from a six to an eight.",
    "The pressure came down from a six to an eight.",
    "The lift is up from a six to an eight.",
    "Change from fifteen degrees to a ten.",
    "Change from fifteen degrees to a twenty five.",
    "I upgraded my phone to a fifteen.",
    "Upsize the stent from a seven to an eight.",
    "Upsize the stent from a six to an eight.",
    "Gloves torn.\nChange it for a seven.",
    "Switch from a ten to an eight.",
]


@pytest.mark.parametrize("line", NO_EXCHANGES)
def test_two_numbers_are_no_exchange_of_what_the_clause_does_not_speak_of(line: str) -> None:
    assert told(_IN + line) == _OF_A_SIX


@pytest.mark.parametrize(
    "before", ["", "Five French sheath is in.\n", "Wire is in.\n"], ids=["none", "another", "wire"]
)
def test_two_numbers_are_an_exchange_only_of_what_is_in(before: str) -> None:
    assert told(before + "Upsized from a six to an eight.") == told(before)


@pytest.mark.parametrize(
    "line",
    [
        "Upsized from a six to an eight.",
        "We upsized to an eight.",
        "We're going up from a six to an eight.",
        "I changed the sheath from a six to an eight.",
        "The sheath was changed, from a six to an eight.",
        "We change the six for an eight.",
        "I changed it for an eight.",
    ],
)
def test_two_numbers_are_an_exchange_of_what_is_in(line: str) -> None:
    assert told(_IN + line) == [
        *_OF_A_SIX,
        "remove done sheath | gauge 6 [Ch]",
        "insert done sheath | gauge 8 [Ch]",
    ]


def test_a_stent_upsized_over_a_balloon_is_no_sheath() -> None:
    events = told("Seven by forty balloon, please.\nUpsize the stent from a seven to an eight.\nUp to ten.\nDown.")
    assert not any("sheath" in event for event in events)


@pytest.mark.parametrize(
    ("question", "answer"),
    [
        ("How long will it take?", "Twenty-three."),
        ("Which gloves size?", "Seven."),
        ("Which year?", "Eleven."),
        ("How many?", "Eight."),
        ("What size shoes?", "Nine."),
    ],
)
def test_an_answer_to_another_question_is_no_size_of_what_is_in(question: str, answer: str) -> None:
    assert told(f"Sheath is in.\n{question}\n{answer}")[0] == "insert done sheath"


@pytest.mark.parametrize(
    ("question", "answer", "size"),
    [("How long?", "Forty-five.", "length 45 cm"), ("What size?", "Seven.", "gauge 7 [Ch]")],
)
def test_an_answer_to_a_question_for_a_size_is_one(question: str, answer: str, size: str) -> None:
    assert told(f"Sheath is in.\n{question}\n{answer}") == [f"insert done sheath | {size}"]


@pytest.mark.parametrize(
    ("line", "done"),
    [
        ("Left one is in the way.", 0),
        ("First is on the trolley.", 0),
        ("Right one is in the waiting room.", 0),
        ("Right one is in the femoral.", 1),
        ("Right one is in.", 1),
    ],
)
def test_one_of_several_is_in_only_where_that_is_in_the_body(line: str, done: int) -> None:
    assert len(told(f"Two six French sheaths, please.\n{line}")) == 1 + done


@pytest.mark.parametrize(
    "line",
    ["Another eight in the waiting room.", "Eight in the corridor.", "Eight in the next room."],
)
def test_a_number_somewhere_in_the_house_is_no_device(line: str) -> None:
    assert not any(event.startswith("insert done") for event in told(f"Sheath out, pressing ten minutes.\n{line}"))


@pytest.mark.parametrize(
    ("line", "out"),
    [
        ("Both kids are out of school now.", 0),
        ("Both are out for lunch.", 0),
        ("The six is out of date.", 0),
        ("The six is out of the groin.", 1),
        ("The six is out.", 1),
    ],
)
def test_what_is_out_of_something_else_is_not_out(line: str, out: int) -> None:
    assert len(told(f"Six French sheath is in.\n{line}")) == 1 + out
