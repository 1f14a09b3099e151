"""Figures said one digit at a time, and the counting and listing that sounds alike."""

import pytest

from extractor.lexicon import Lexicon, Unit
from extractor.reading.quantities import read_figures, unit_forms
from extractor.reading.singly import says_singly
from extractor.reading.tokens import tokenise

UNITS = unit_forms(
    Lexicon(
        unit=tuple(
            Unit(code=code, quantity=quantity, spoken=spoken)
            for code, quantity, spoken in (
                ("bar", "pressure", ("bar",)),
                ("%", "fraction", ("percent",)),
                ("mL", "volume", ("mils",)),
                ("mm", "length", ("millimetres",)),
                ("min", "time", ("minutes",)),
                ("[Ch]", "gauge", ("french",)),
                ("mGy", "air-kerma", ("milligray",)),
            )
        )
    )
)


def read(text: str, *, habit: bool) -> list[str]:
    """Figures as ``20 bar``; ``16 bar or 6`` where there are two readings."""
    out = []
    for figure in read_figures(tokenise(text.split()), UNITS, singly=habit):
        for part in figure.parts:
            told = " ".join(filter(None, (f"{part.value:g}", part.unit)))
            others = "".join(f" or {other:g}" for other in part.alternatives)
            assert bool(others) == ("two-readings" in part.flags)
            out.append(told + others)
    return out


#: (what is said, read of any speaker, read of one who says figures so)
SAID = [
    pytest.param("three, zero mils", ["30 mL"], ["30 mL"], id="a zero counts nothing"),
    pytest.param("four, 0 bar", ["40 bar"], ["40 bar"], id="a written zero"),
    pytest.param("nine by six, zero millimetres", ["9", "60 mm"], ["9", "60 mm"], id="in a size"),
    pytest.param("three, two, zero milligray", ["320 mGy"], ["320 mGy"], id="three with a zero"),
    pytest.param("seven, zero", ["70 or 0"], ["70"], id="a zero without a unit"),
    pytest.param("seven, two percent", ["72 % or 2"], ["72 %"], id="falling, of one thing"),
    pytest.param("two, one comma four minutes", ["21.4 min or 1.4"], ["21.4 min"], id="the last with decimals"),
    pytest.param("seven, six french", ["7", "6 [Ch]"], ["76 [Ch]"], id="sheaths may be listed"),
    pytest.param("one, four bar", ["1", "4 bar"], ["14 bar or 4"], id="rising may count up"),
    pytest.param("three, three mils", ["3", "3 mL or 33"], ["33 mL"], id="the same twice"),
    pytest.param("nine, one, four milligray", ["914 mGy or 4"], ["914 mGy"], id="up and down counts nothing"),
    pytest.param("nine, one, four", ["9", "1", "4 or 914"], ["914 or 4"], id="up and down, without a unit"),
    pytest.param("one, two, four mils", ["1", "2", "4 mL"], ["124 mL or 4"], id="counted up to a volume"),
    pytest.param("two, four, six bar", ["2", "4", "6 bar"], ["2", "4", "6 bar or 246"], id="a balloon goes up"),
    pytest.param("two, four, six", ["2", "4", "6"], ["2", "4", "6"], id="counted up"),
    pytest.param("three, two, one, zero", ["3", "2", "1", "0"], ["3", "2", "1", "0"], id="counted down"),
    pytest.param("two, one, zero minutes", ["2", "1", "0 min"], ["2", "1", "0 min"], id="a time counted down"),
    pytest.param("eight, ten, twelve bar", ["8", "10", "12 bar"], ["8", "10", "12 bar"], id="no digits"),
    pytest.param("it was two, six", ["2", "6"], ["26 or 6"], id="said of something"),
    pytest.param("fourteen, one, four bar", ["14", "14 bar"], ["14", "14 bar"], id="said again singly"),
    pytest.param("zero, three, five", ["0.035"], ["0.035"], id="a wire"),
    pytest.param("zero, one, two", ["0", "1", "2"], ["0", "1", "2"], id="no wire has this size"),
    pytest.param("five... zero bar", ["5", "0 bar"], ["5", "0 bar"], id="a longer pause"),
]


@pytest.mark.parametrize(("said", "any_speaker", "such_a_speaker"), SAID)
def test_digits_said_singly(said: str, any_speaker: list[str], such_a_speaker: list[str]) -> None:
    assert read(said, habit=False) == any_speaker
    assert read(said, habit=True) == such_a_speaker


@pytest.mark.parametrize(
    ("said", "habit"),
    [
        pytest.param("a stenosis of six, zero percent", True, id="zero and unit"),
        pytest.param("kerma three, one, seven milligray", True, id="up and down and unit"),
        pytest.param("six, zero", False, id="no unit"),
        pytest.param("two, one, zero minutes", False, id="counted down"),
        pytest.param("two, four, six bar", False, id="counted up"),
        pytest.param("sixty percent", False, id="plain"),
    ],
)
def test_the_habit(said: str, habit: bool) -> None:
    assert says_singly(tokenise([*said.split(), "of", "it", "."]), UNITS) is habit
