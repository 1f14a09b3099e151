"""Figures said of several things in one sentence: each thing gets its own."""

import pytest

from .telling import tell, told

DOSES = [
    pytest.param(
        "Midazolam and fentanyl were given, two milligrams and fifty micrograms respectively.",
        (2, 50),
        id="respectively",
    ),
    pytest.param("Midazolam and fentanyl, two and fifty, given.", (2, 50), id="in few words"),
    pytest.param(
        "Midazolam and fentanyl were given, two milligrams of the former and fifty micrograms of the latter.",
        (2, 50),
        id="of the former and of the latter",
    ),
    pytest.param(
        "Midazolam and fentanyl were given, fifty micrograms of the latter and two milligrams of the former.",
        (2, 50),
        id="the latter first",
    ),
    pytest.param(
        "Two milligrams of midazolam and fifty micrograms of fentanyl given.", (2, 50), id="each with its own"
    ),
    pytest.param("Midazolam two and fentanyl fifty, given.", (2, 50), id="each before the next"),
]


@pytest.mark.parametrize(("line", "doses"), DOSES)
def test_doses_of_drugs_in_a_row(line: str, doses: tuple[float, float]) -> None:
    events = tell(line)
    assert [event.drug for event in events] == ["midazolam", "fentanyl"]
    assert tuple(event.values["dose"].value for event in events) == doses


def test_one_dose_for_two_drugs_is_not_given_to_both() -> None:
    assert sum("dose" in event.values for event in tell("Midazolam and fentanyl were given, fifty micrograms.")) == 1


TWO = [
    pytest.param(
        "Six and seven French sheaths were placed on the right and left respectively.",
        ["insert done sheath | gauge 6 [Ch]", "insert done sheath | gauge 7 [Ch]"],
        id="two gauges, one noun",
    ),
    pytest.param(
        "A soft wire is in on the right and a stiff one is in on the left, both oh three five.",
        ["insert done wire | wire_diameter 0.035 [in_i]"] * 2,
        id="both of one size",
    ),
    pytest.param(
        "Both groins were accessed and six French sheaths placed.",
        ["access done", "access done", "insert done sheath | gauge 6 [Ch]", "insert done sheath | gauge 6 [Ch]"],
        id="both groins",
    ),
    pytest.param("The femoral artery was punctured, both walls.", ["access done"], id="both walls of one artery"),
    pytest.param(
        "The left was predilated with a five by forty, taken to eight, whereas the right was not predilated at all.",
        ["inflation done balloon | diameter 5 mm, length 40 mm, pressure 8 atm", "inflation negated"],
        id="the other side was not",
    ),
    pytest.param(
        "Predilated with a four by fifteen, first at ten and then on up to fourteen without ever coming down.",
        ["inflation done balloon | diameter 4 mm, length 15 mm, pressure 14 atm"],
        id="topped up without coming down",
    ),
]


@pytest.mark.parametrize(("line", "events"), TWO)
def test_two_things_in_one_sentence(line: str, events: list[str]) -> None:
    assert told("This is the dictation.\n" + line) == events


@pytest.mark.parametrize("last", ["Both of the stiff wires are out.", "Both wires out.", "Both stiff wires are out."])
def test_both_of_them(last: str) -> None:
    events = told(f"Oh three five on the right is up. Oh three five on the left is up.\n{last}")
    assert events[2:] == ["remove done wire | wire_diameter 0.035 [in_i]"] * 2
