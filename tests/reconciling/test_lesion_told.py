"""Lesions nobody names, told by their share and how long they are, or by nothing passing."""

import pytest

from .telling import tells, told

SHEATH = "Six French sheath is in.\n"
IN = "insert done sheath | gauge 6 [Ch]"

LESIONS = [
    pytest.param("Seventy percent, two centimetres long.", ["finding done stenosis | length 2 cm, stenosis 70 %"],
                 id="a share and a length"),
    pytest.param("The artery has a lesion of ninety percent, twenty-eight millimetres in length.",
                 ["finding done stenosis | length 28 mm, stenosis 90 %"], id="in length"),
    pytest.param("Saturation is ninety percent.\nThe artery is two centimetres long.", ["measure done | length 2 cm"],
                 id="not in two sentences"),
    pytest.param("The SMA is tight, call it ninety, fifteen millimetres long.",
                 ["finding done stenosis | length 15 mm, stenosis 90 %"], id="a bare share of what is tight"),
    pytest.param("The SFA's shut tight as a tick, fifteen centimetres of it.",
                 ["finding done occlusion | length 15 cm"], id="shut"),
    pytest.param("There is a closure of the superficial femoral, I estimate eleven centimetres.",
                 ["finding done occlusion | length 11 cm"], id="a closure of a vessel"),
    pytest.param("The common duct's blocked, three centimetres of it.", ["finding done occlusion | length 3 cm"],
                 id="a duct"),
    pytest.param("On the scan last month the popliteal was closed over eighteen centimetres.",
                 ["finding past occlusion | length 18 cm"], id="as it was"),
    pytest.param("The door is shut and the artery is five millimetres.", ["measure done | diameter 5 mm"],
                 id="a door"),
    pytest.param("Is the popliteal blocked, three centimetres?", [], id="only asked"),
    pytest.param("The artery forceps are closed, ten centimetres.", ["measure done | length 10 cm"],
                 id="an instrument"),
    pytest.param("The incision is two centimetres long, ninety percent closed.", ["measure done | length 2 cm"],
                 id="a wound"),
]  # fmt: skip
test_a_lesion_nobody_names = tells(LESIONS, before=SHEATH, first=[IN])


def test_a_closed_puncture_is_no_occlusion() -> None:
    assert not any("occlusion" in event for event in told("Femoral puncture closed, three centimetres of stitch."))
