"""A share in percent that nobody calls a stenosis, and shares of other things."""

import pytest

from .telling import tells

SHEATH = "Six French sheath is in.\n"
IN = "insert done sheath | gauge 6 [Ch]"


def _stenosis(share: int, status: str = "done") -> str:
    return f"finding {status} stenosis | stenosis {share} %"


SHARES = [
    pytest.param("Mid graft, ninety percent.", [_stenosis(90)], id="at a place"),
    pytest.param("The diagonal is seventy-five percent by eye.", [_stenosis(75)], id="is"),
    pytest.param("Squeezed flat by the rib, eighty percent I'd say.", [_stenosis(80)], id="squeezed"),
    pytest.param("And after that? Fifteen percent. Nice.", [_stenosis(15)], id="an answer"),
    pytest.param("Better, but forty percent stays.", [_stenosis(40)], id="stays"),
    pytest.param("Sixty percent. Sixty percent, yes.", [_stenosis(60)], id="said again"),
    pytest.param("On last month's scan it was eighty-five percent.", [_stenosis(85, "past")], id="as it was"),
    pytest.param("Sats are ninety-five percent.", [], id="oxygen"),
    pytest.param("Oxygen? Ninety-five percent.", [], id="oxygen, asked"),
    pytest.param("How far do we oversize? Twenty percent.", [], id="how much larger, asked"),
    pytest.param("The plug is forty percent larger than the vein.", [], id="how much larger"),
    pytest.param("Seventy percent of them are open at a year.", [], id="people"),
    pytest.param("There's a ninety percent chance he keeps the toe.", [], id="chance"),
    pytest.param("The remnant is thirty-two percent of it.", [], id="a liver"),
    pytest.param("Three percent polidocanol, shaken.", [], id="a solution"),
    pytest.param("The wheel is turning, unsheathing, fifty percent, ninety percent.", [], id="how far a stent is open"),
    pytest.param("My son got eighty percent in maths.", [], id="other talk",
                 marks=pytest.mark.xfail(strict=True, reason="only what is told around it says what it is of")),
]  # fmt: skip
test_a_share_alone = tells(SHARES, before=SHEATH, first=[IN])
