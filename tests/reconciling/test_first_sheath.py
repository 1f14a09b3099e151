"""The first sheath told by its gauge alone after the way in, and numbers that are none."""

import pytest

from .telling import tell, told

SIX = "insert done sheath | gauge 6 [Ch]"


@pytest.mark.parametrize(
    ("lines", "events"),
    [
        pytest.param("Radial. In. Six.", [SIX], id="a word each"),
        pytest.param("Groin, quick. In. Wee six.", [SIX], id="a small one"),
        pytest.param("Right groin. Puncture good. Six, fifty-five.", [f"{SIX}, length 55 cm"], id="with its length"),
        pytest.param("Radial. In. Six.\nSheath out.", [SIX, SIX.replace("insert", "remove")], id="and out"),
        pytest.param("Radial. In. Sixteen.", [], id="no first sheath is so wide"),
        pytest.param("Radial. In? Six?", [], id="asked"),
        pytest.param("Radial is small today. Six.", [], id="nothing gained"),
        pytest.param("Radial. In. Heparin. Six.", [], id="a drug between"),
        pytest.param("Right groin. I'm in. Seven.", [SIX.replace("6", "7")], id="the operator is in"),
        pytest.param("Left arm board in. Done. Eleven.", [], id="something else on that arm"),
        pytest.param("Blood pressure cuff on the left arm. Done. Twelve.", [], id="a cuff"),
        pytest.param("The next patient is a radial. Yes. Six.", [], id="another patient"),
        pytest.param("Neck okay? Yes. Six.", [], id="a question to the patient"),
        pytest.param("Right groin punctured. Pain is four. Now six.", [], id="a score between"),
        pytest.param("Wrist. Yes. Eleven.", [], id="only agreed to"),
        pytest.param("Right arm. Done. Five more minutes.", [], id="a time"),
        pytest.param("Right jugular. In. Five to ten.", [], id="what the clock says"),
    ],
)
def test_a_number_after_the_way_in(lines: str, events: list[str]) -> None:
    assert [line for line in told(lines) if "sheath" in line] == events


def test_not_where_a_sheath_is_in() -> None:
    assert told("Six French sheath in.\nLeft groin. In. Six.").count(SIX) == 1


@pytest.mark.parametrize(
    ("line", "events"),
    [
        pytest.param("Five cobra, please.", ["insert planned catheter | gauge 5 [Ch]"], id="a catheter by its gauge"),
        pytest.param("Five cobras, please.", ["insert planned catheter"], id="a count"),
    ],
)
def test_a_number_before_a_name(line: str, events: list[str]) -> None:
    assert told(line) == events


@pytest.mark.parametrize(
    ("lines", "sheath"),
    [
        pytest.param("Right groin, needle in.\nSix by eleven to begin. It is in.", "6 11", id="no balloon"),
        pytest.param("Needle in.\nWire through.\nSix by forty-five over it.\nIt is in.", "6 45", id="over the wire"),
        pytest.param("Needle in.\nSix by eighty please.", "", id="balloons are so long"),
        pytest.param("Six by eleven please.", "", id="no way in"),
        pytest.param("Needle in.\nSix French sheath in.\nSix by eleven please.", "6 -", id="there is one"),
    ],
)
def test_a_size_after_the_needle_that_no_balloon_has(lines: str, sheath: str) -> None:
    sizes = [
        " ".join(f"{event.values[key].value:g}" if key in event.values else "-" for key in ("gauge", "length"))
        for event in tell(lines)
        if event.device == "sheath"
    ]
    assert [*dict.fromkeys(sizes)] == ([sheath] if sheath else [])
