"""Tokens -> figures: numbers with their units, sizes, pairs, and slips put right at once."""

import pytest

from extractor.lexicon import Lexicon
from extractor.reading.quantities import Figure, corrected, read_figures, unit_forms
from extractor.reading.tokens import tokenise

from .small import SMALL, items

UNITS = unit_forms(SMALL)


def figures(text: str) -> list[Figure]:
    return read_figures(tokenise(text.split()), UNITS)


def line_of(figure: Figure) -> str:
    """A figure as ``14 atm``, ``5 by 80``, ``8 mL at 4``."""
    parts = [" ".join(filter(None, (f"{part.value:g}", part.unit))) for part in figure.parts]
    return f" {figure.joint} ".join(parts)


#: (what is said, the figures)
READ = [
    pytest.param("fourteen atmospheres", ["14 atm"], id="number and unit"),
    pytest.param("14 atm", ["14 atm"], id="as digits"),
    pytest.param("6F", ["6 [Ch]"], id="grown together"),
    pytest.param("six french and eight french", ["6 [Ch]", "8 [Ch]"], id="two"),
    pytest.param("seven hundred micron", ["0.7 mm"], id="stored in the unit's code"),
    pytest.param("five thousand two hundred fifty per kilo", ["5250"], id="per what: no second size"),
    pytest.param("half a minute", ["0.5 min"], id="half a minute"),
    pytest.param("a minute and a half", ["1.5 min"], id="a minute and a half"),
    pytest.param("like a bar of soap", [], id="a bar of something"),
    pytest.param("two and a half minutes", ["2.5 min"], id="two and a half minutes"),
    pytest.param("two minutes and a half", ["2.5 min"], id="two minutes and a half"),
    pytest.param("three minutes and fifteen seconds", ["3.25 min"], id="minutes and seconds"),
    pytest.param("three hundred forty-one seconds", ["341 s"], id="hundreds of seconds"),
    pytest.param("at nine forty seconds", ["9", "40 s"], id="a pressure and its seconds"),
    pytest.param("seven minutes and three tenths", ["7.3 min"], id="minutes and tenths"),
    pytest.param("three minutes, fifteen seconds", ["3 min", "15 s"], id="minutes, then seconds"),
    pytest.param("one full minute", ["1 min"], id="a word between number and unit"),
    pytest.param("three frames a second", ["3 /s"], id="the longest form of a unit"),
    pytest.param("five mils a second", ["5 mL/s"], id="a rate, not a volume"),
    pytest.param("one hundred and eighty", ["180"], id="no unit said"),
    pytest.param("eighty-five percent", ["85 %"], id="a share"),
    pytest.param("five by eighty", ["5 by 80"], id="a size"),
    pytest.param("5x80", ["5 by 80"], id="a size grown together"),
    pytest.param("two point five by fifteen millimetres", ["2.5 by 15 mm"], id="a size with a unit"),
    pytest.param("six by um forty", ["6 by 40"], id="a size with a filler"),
    pytest.param("seven on twenty-six", ["7 by 26"], id="a width on a length"),
    pytest.param("seven on ten", ["7", "10"], id="a score"),
    pytest.param("five slash eighty", ["5 by 80"], id="a size with its sign said"),
    pytest.param("french six and french seven", ["6 [Ch]", "7 [Ch]"], id="the unit first"),
    pytest.param("six french five by forty", ["6 [Ch]", "5 by 40"], id="a unit is of the number before it"),
    pytest.param("a french sheath", [], id="french alone is no figure"),
    pytest.param("eight mils at four", ["8 mL at 4"], id="volume at rate"),
    pytest.param("five mils a second for fifteen mils", ["5 mL/s for 15 mL"], id="rate for volume"),
    pytest.param("eight mils with four", ["8 mL at 4"], id="volume with rate"),
    pytest.param("eight mils at three frames a second", ["8 mL", "3 /s"], id="pictures are no flow"),
    pytest.param("five comma two for nine atmospheres", ["5.2 at 9 atm"], id="a chart in other words"),
    pytest.param("twelve-forty", ["1240"], id="hundreds in one word"),
    pytest.param("twelve fifty units", ["1250 [iU]"], id="hundreds of units"),
    pytest.param("at twelve-forty", [], id="an hour of the day"),
    pytest.param("seven point two at eighteen", ["7.2 at 18"], id="a chart"),
    pytest.param("ten at five for two minutes", ["10 at 5", "2 min"], id="a time is no part of a pair"),
    pytest.param("the one in the corner, that one", [], id="a pronoun is no number"),
    pytest.param("nothing", [], id="none"),
]


@pytest.mark.parametrize(("said", "read"), READ)
def test_figures(said: str, read: list[str]) -> None:
    assert [line_of(figure) for figure in figures(said)] == read


@pytest.mark.parametrize("said", ["about ten mils", "roughly ten mils"], ids=["about", "roughly"])
def test_about_is_told(said: str) -> None:
    (figure,) = figures(said)
    assert "approximate" in figure.parts[0].flags


def test_a_number_with_two_readings_says_so() -> None:
    (figure,) = figures("one eight units")
    (part,) = figure.parts
    assert "two-readings" in part.flags


@pytest.mark.parametrize(
    ("said", "doubted"),
    [("nine minutes seven.", True), ("nine minutes forty.", False), ("nine minutes and fifty.", False)],
)
def test_a_digit_behind_minutes_may_be_tenths(said: str, doubted: bool) -> None:
    (figure,) = figures(said)
    assert ("two-readings" in figure.parts[0].flags) is doubted


def test_a_figure_knows_its_words() -> None:
    first, second = figures("hold it at fourteen atmospheres for two minutes")
    assert (first.parts[0].words, first.parts[0].heard) == ((3, 5), "fourteen atmospheres")
    assert second.parts[0].words == (6, 8)


def test_without_units_there_are_numbers_only() -> None:
    found = read_figures(tokenise("fourteen atmospheres".split()), unit_forms(Lexicon()))
    assert [line_of(figure) for figure in found] == ["14"]


#: (what is said, the figures that stand, whether the last carries "corrected")
SLIPS = [
    pytest.param("to twelve, sorry, fourteen atmospheres", ["14 atm"], True, id="sorry"),
    pytest.param("to twelve atmospheres, sorry, fourteen", ["14 atm"], True, id="the unit of the slip stays"),
    pytest.param("to twelve... no, fourteen", ["14"], True, id="no"),
    pytest.param("twelve, make that fourteen atmospheres", ["14 atm"], True, id="make that"),
    pytest.param("fifteen, not fifty", ["15"], False, id="denied, not put right"),
    pytest.param("fifty, five zero, units", ["50"], False, id="the same digit by digit"),
    pytest.param("twelve, fourteen, sixteen", ["12", "14", "16"], False, id="a count is no slip"),
    pytest.param("twelve atmospheres, sorry, thirty seconds", ["12 atm", "30 s"], False, id="another unit is no slip"),
    pytest.param("for one minute, no, ninety seconds", ["90 s"], True, id="minutes put right in seconds"),
    pytest.param("one milligram, sorry, five hundred micrograms", ["500 ug"], True, id="milligrams in micrograms"),
    pytest.param("two centimetres, no, fifteen millimetres", ["15 mm"], True, id="centimetres in millimetres"),
    pytest.param("two minutes, sorry, two seconds", ["2 min", "2 s"], False, id="of no like size"),
    pytest.param(
        "eighty seconds. Well, that's not two minutes", ["80 s", "2 min"], False, id="not so long, in the other unit"
    ),
    pytest.param("nine atmospheres, no, that was before, eleven.", ["11 atm"], True, id="a no with its reason"),
    pytest.param("nine atmospheres, no, that was before, two stents", ["9 atm"], False, id="and a count of things"),
    pytest.param("nine atmospheres. No, that was before, eleven.", ["11 atm"], True, id="a no of its own"),
    pytest.param("five hundred micron, no, four hundred", ["0.4 mm"], True, id="in the unit of the slip"),
    pytest.param("twelve, sorry, the screen says ten only", ["10"], True, id="whatever says it"),
    pytest.param("twelve, sorry, the screen is dark, ten", ["12", "10"], False, id="what says nothing"),
    pytest.param("nine, ten, no, I talk rubbish, eight atmospheres", ["9", "8 atm"], True, id="a no with an excuse"),
    pytest.param("ten, twelve, sorry, my glasses, the dial shows eleven", ["10", "11"], True, id="sorry, and a dial"),
    pytest.param("nine atmospheres, no, I want two stents", ["9 atm"], False, id="an excuse before a count of things"),
    pytest.param("twelve. Sorry about that. Fourteen", ["12", "14"], False, id="sorry for something else"),
]


@pytest.mark.parametrize(("said", "stand", "flagged"), SLIPS)
def test_slips(said: str, stand: list[str], flagged: bool) -> None:
    found = [item.figures["value"] for item in items(said, "quantity")]
    assert [" ".join(filter(None, (f"{each.value:g}", each.unit))) for each in found] == stand
    assert ("corrected" in found[-1].flags) is flagged


def test_a_charted_size_may_be_said_to_be_exact() -> None:
    (pair,) = items("seven flat at nine bar", "pair")
    assert [part.value for part in pair.figures.values()] == [7, 9]


def test_a_no_with_its_reason_leaves_a_doubt() -> None:
    (item,) = items("nine atmospheres, no, that was before, eleven.", "quantity")
    assert "two-readings" in item.figures["value"].flags
    assert item.figures["value"].alternatives == (9,)


def test_a_slip_keeps_its_words() -> None:
    (item,) = items("to twelve, sorry, fourteen atmospheres", "quantity")
    assert item.figures["value"].words == (1, 5)


@pytest.mark.parametrize(
    ("text", "read"),
    [
        pytest.param("two centimetres ... a little more , two and a half", ["2.5 cm"], id="a little more"),
        pytest.param("ten , or a touch less , nine centimetres", ["9 cm"], id="a touch less"),
        pytest.param("two centimetres , a bit less , three", ["2 cm", "3"], id="not less"),
        pytest.param("ten mils , a bit more , twelve mils", ["10 mL", "12 mL"], id="what is given goes on"),
    ],
)
def test_a_size_told_more_exactly(text: str, read: list[str]) -> None:
    tokens = tokenise(text.split())
    assert [line_of(figure) for figure in corrected(tokens, read_figures(tokens, UNITS), {})] == read
