"""Shares without their unit, of a vessel, of what is tight and of what is left; figures that are other things."""

import pytest

from .telling import tells

SHEATH = "Six French sheath is in.\n"
IN = "insert done sheath | gauge 6 [Ch]"


def _stenosis(*shares: int) -> list[str]:
    return [f"finding done stenosis | stenosis {share} %" for share in shares]


SHARES = [
    pytest.param("The obtuse marginal is seventy, LAD eighty.", _stenosis(70, 80), id="two vessels"),
    pytest.param("External iliac, sixty-five.", _stenosis(65), id="behind a comma"),
    pytest.param("The celiac has eighty-five.", _stenosis(85), id="has"),
    pytest.param("Eighty at the venous anastomosis.", _stenosis(80), id="before the vessel"),
    pytest.param("Peroneal. Ninety, short.", _stenosis(90), id="two short sentences"),
    pytest.param("The cephalic arch is tight, I'd call it ninety.", _stenosis(90), id="tight"),
    pytest.param("Pinched by the ligament to about sixty.", _stenosis(60), id="pinched"),
    pytest.param("Narrow on both sides: right sixty, left forty.", _stenosis(60, 40), id="sides of what is narrow"),
    pytest.param("Right common is occluded, left is tight, seventy.",
                 ["finding done occlusion", *_stenosis(70)], id="no share of what lets nothing pass"),
    pytest.param("Residual twenty.", _stenosis(20), id="residual"),
    pytest.param("Ten residual, lovely.", _stenosis(10), id="residual behind"),
    pytest.param("Twelve at five, run.\nThirty left.", ["run done | rate 5 mL/s, volume 12 mL", *_stenosis(30)],
                 id="left, after a picture"),
    pytest.param("Thirty left.", [], id="left of what"),
    pytest.param("Pressure in the iliac, ninety.", ["measure done | pressure 90 mm[Hg]"], id="a pressure"),
    pytest.param("Patient is eighty, the SMA one.", [], id="an age"),
    pytest.param("Left anterior oblique thirty.", [], id="an angle"),
    pytest.param("We go to the left, ninety.", [], id="a side alone"),
    pytest.param("Fentanyl fifty. It's in the vein, fifty.", ["drug done fentanyl | dose 50 ug"], id="a drug"),
    pytest.param("It is tight in here, thirty people in the room.", [], id="a room"),
]  # fmt: skip
test_a_bare_share = tells(SHARES, before=SHEATH, first=[IN])
