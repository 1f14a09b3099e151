"""Coils, plugs and what is poured, told as in by where they lie or how the flow stands; coils through a microcatheter
with no noun; how many of a size.
"""

import pytest

from .telling import told

MICRO = "Microcatheter two point four is in.\n"
IN = "insert done microcatheter | gauge 2.4 [Ch]"
ONE = "embolise done coil | count 1 {count}, diameter 4 mm, length 8 cm"


@pytest.mark.parametrize(
    "said",
    [
        "Four by eight coil. It's home.",
        "A coil, four by eight. Sitting where I wanted.",
        "Coil, four by eight, and it sits nicely.",
        "Last coil, four by eight. Landed.",
        "Coil of four by eight, out.",
        "One more coil, four by eight, finished.",
        "Coil, four by eight. Dropped it right there.",
    ],
)
def test_a_coil_that_lies_where_it_should(said: str) -> None:
    assert told(said) == [ONE]


@pytest.mark.parametrize(
    "said",
    [
        "Coil, four by eight, please. Lunch is done.",
        "Coil, four by eight. Is it home?",
        "Coil, four by eight. When it sits we look.",
        "Coil, four by eight. The nurse sits over there with her tea and the morning paper.",
        "Coil, four by eight. Not stable yet.",
        "Coil, four by eight. Heparin is given.",
    ],
)
def test_a_coil_that_is_not_in_yet(said: str) -> None:
    assert not any(line.startswith("embolise done") for line in told(said))


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("Three mils of foam until it stood.", "embolise done foam | volume 3 mL"),
        ("Five hundred micron, four mils, and it stagnates.", "embolise done particles | diameter 0.5 mm, volume 4 mL"),
        ("Gelatin slurry, two mils. Flow has stopped.", "embolise done gelatin | volume 2 mL"),
    ],
)
def test_poured_until_it_stood(said: str, line: str) -> None:
    assert told(said) == [line]


@pytest.mark.parametrize("said", ["Three mils of foam. If it stops we wait."])
def test_poured_later(said: str) -> None:
    assert not any(line.startswith("embolise done") for line in told(said))


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("Behind it: four by eight. Landed.", ONE),
        ("Beyond the hole, four by eight.", "embolise planned coil | diameter 4 mm, length 8 cm"),
        ("Up to six with a four by twenty.", "inflation done balloon | diameter 4 mm, length 20 mm, pressure 6 atm"),
    ],
)
def test_a_size_alone_through_a_microcatheter(said: str, line: str) -> None:
    assert told(MICRO + said) == [IN, line]


def test_a_size_alone_where_a_vessel_is_narrow() -> None:
    lines = told("Seventy percent stenosis in the vein.\n" + MICRO + "Six by forty, please.")
    assert lines[-1] == "inflation planned balloon | diameter 6 mm, length 40 mm"


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("Coils, four by eight, two. Both landed.", 2),
        ("Coils, four by eight, three pieces. They sit.", 3),
        ("Coils: four by eight, three of these, all home.", 3),
        ("A four by eight coil, three. It sits.", 1),  # its place in a row
    ],
)
def test_how_many_of_a_size(said: str, count: int) -> None:
    assert told(said) == [f"embolise done coil | count {count} {{count}}, diameter 4 mm, length 8 cm"]


@pytest.mark.parametrize(
    "said",
    [
        "Stent eight by sixty, out and covering, lovely.",
        "Stent, eight by sixty. Landing... it's out there.",
        "Covered stent eight by sixty. It sits.",
        "Stent eight by sixty, self-expanding, away nicely.",
        "Stent eight by sixty, all of it out.",
    ],
)
def test_a_stent_that_lies_where_it_should(said: str) -> None:
    assert told(said) == ["stent done stent | diameter 8 mm, length 60 mm"]


@pytest.mark.parametrize(
    "said",
    [
        "Stent eight by sixty. Open that one.",
        "Stent eight by sixty, I open it, sterile.",
        "Stent eight by sixty. Not out yet.",
        "Stent eight by sixty. Sister is out for lunch.",
        "Stent eight by sixty. Is it out?",
        "Stent eight by sixty, please. If it sits, good.",
    ],
)
def test_a_stent_that_is_not_in_yet(said: str) -> None:
    assert told(said) == ["stent planned stent | diameter 8 mm, length 60 mm"]


def test_a_stent_by_its_curls() -> None:
    line = "stent done stent | gauge 8 [Ch], length 24 cm"
    assert told("Double-J, eight French, twenty-four centimetre. Both curls are formed.") == [line]
    assert told("Eight French stent, twenty-four long, top end curled, bottom end curled.") == [line]
