"""A speaker who asks and answers himself, and staff who answer him: what a question leaves in doubt and what not."""

import pytest

from .telling import tell, told

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
        "Contrast sixty-five, nine point two minutes of screening, and how many gray centimetres squared? Thirty-one.",
        ["total done | contrast_volume 65 mL, dap 31 Gy.cm2, fluoro_time 9.2 min"],
        id="the unit stands in the question",
    ),
    pytest.param(
        "Five by twenty balloon.\nHow big is it at fourteen? Five point two at fourteen.\nIn place. Up to ten. Down.",
        [
            "inflation planned balloon | diameter 5 mm, length 20 mm",
            "inflation quoted | diameter 5.2 mm, pressure 14 atm",
            "inflation done balloon | diameter 5 mm, length 20 mm, pressure 10 atm",
        ],
        id="a pressure asked about is none",
    ),
]


@pytest.mark.parametrize(("lines", "events"), ANSWERED)
def test_the_answer_is_told(lines: str, events: list[str]) -> None:
    assert told(lines) == events


DOUBTS = [
    pytest.param("Heparin, five thousand units... has she had it? She's had it.", "dose", False, id="she has had it"),
    pytest.param("Heparin, five thousand units, is it in? It's in.", "dose", False, id="it is in"),
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


@pytest.mark.parametrize(("lines", "events"), CALLED)
def test_things_called_by_a_number(lines: str, events: list[str]) -> None:
    assert told(lines) == events
