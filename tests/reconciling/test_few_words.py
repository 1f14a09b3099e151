"""Speakers of few words: embolics and devices told with the least that tells them."""

import pytest

from .telling import told

POURED = [
    pytest.param(
        "Particles, five hundred. Two mils in. Three. Stop. Three in all.",
        ["embolise done particles | diameter 0.5 mm, volume 3 mL"],
        id="a volume that is in, counted on",
    ),
    pytest.param(
        "Five hundreds. One mil. Two. Three. Stasis.",
        ["embolise done particles | diameter 0.5 mm, volume 3 mL"],
        id="particles by their hundreds",
    ),
    pytest.param("Glue, one to three. Point four. In.", ["embolise done glue | volume 0.4 mL"], id="glue"),
    pytest.param("Foam. Two mils. Slowly. In.", ["embolise done foam | volume 2 mL"], id="foam"),
    pytest.param(
        "Particles, five hundred micron, two mils, please.",
        ["embolise planned particles | diameter 0.5 mm, volume 2 mL"],
        id="only made ready",
    ),
]
COILS = [
    pytest.param(
        "Coil, four by eight. In. Detach. Same again. In. Detach.",
        ["embolise done coil | count 1 {count}, diameter 4 mm, length 8 cm"] * 2,
        id="the same again",
    ),
    pytest.param(
        "Coils, three by six, three of them. One. Two. Three. All in.",
        ["embolise done coil | count 3 {count}, diameter 3 mm, length 6 cm"],
        id="all in",
    ),
    pytest.param(
        "Coil, four by eight. In. Detach.",
        ["embolise done coil | count 1 {count}, diameter 4 mm, length 8 cm"],
        id="in and detached is one",
    ),
]


@pytest.mark.parametrize(("line", "events"), [*POURED, *COILS])
def test_embolics_in_few_words(line: str, events: list[str]) -> None:
    assert told("Micro is in.\n" + line)[1:] == events


ASKED_FOR = [
    pytest.param("Time for a microcatheter, two point seven.", "microcatheter | gauge 2.7 [Ch]", id="time for"),
    pytest.param("Wait for the pigtail, five French.", "catheter | gauge 5 [Ch]", id="wait for"),
]


@pytest.mark.parametrize(("line", "device"), ASKED_FOR)
def test_devices_asked_for(line: str, device: str) -> None:
    assert told(line) == ["insert planned " + device]


ONE_MORE = [
    pytest.param(
        "Left groin, got it. Seven again. Another seven.\nThat's in.",
        ["insert planned sheath | gauge 7 [Ch]", "insert done sheath | gauge 7 [Ch]"],
        id="seven again",
    ),
    pytest.param("Left side. Another seven, in.", ["insert done sheath | gauge 7 [Ch]"], id="another seven"),
    pytest.param("Another nine, in.", [], id="a number that is no sheath's here"),
    pytest.param(
        "Heparin, seven. Another seven.",
        ["drug planned heparin | dose 7000 [iU]", "drug planned heparin | dose 7000 [iU]"],
        id="of a drug",
    ),
]


@pytest.mark.parametrize(("lines", "events"), ONE_MORE)
def test_one_more_by_its_gauge(lines: str, events: list[str]) -> None:
    found = told("Seven French sheath is in.\n" + lines)[1:]
    assert [event for event in found if not event.startswith("access")] == events


def test_the_size_of_what_is_only_thought_of() -> None:
    assert told("I might put a stent in there, a seven millimetre one. Let's look first.\nNo stent then.") == [
        "stent considered stent | diameter 7 mm",
        "stent negated stent | diameter 7 mm",
    ]


WIRES = [
    pytest.param("Oh three five, hydrophilic, a hundred and fifty, please.", 0.035, 150, id="hydrophilic"),
    pytest.param("Oh one eight, stiff, three hundred, please.", 0.018, 300, id="stiff"),
]


@pytest.mark.parametrize(("line", "thick", "long"), WIRES)
def test_a_wire_called_by_its_thickness_and_kind(line: str, thick: float, long: int) -> None:
    assert told(line) == [f"insert planned wire | length {long} cm, wire_diameter {thick} [in_i]"]
