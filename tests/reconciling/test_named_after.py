"""Devices named behind the word of what became of them, one or several."""

import pytest

from .telling import told

IN = "Six French sheath in. Oh one four wire in.\n"


@pytest.mark.parametrize(
    ("text", "out"),
    [
        pytest.param("I take away the sheath and the wire.", ["sheath", "wire"], id="two joined"),
        pytest.param("I take away the wire, and the sheath stays.", ["wire"], id="one stays"),
        pytest.param("I take away the wire and the sheath remains.", ["wire"], id="one remains"),
        pytest.param("I take out the wire, the sheath goes back up.", ["wire"], id="of one another thing is told"),
        pytest.param("I withdraw the wire and, at the end, the sheath.", ["wire", "sheath"], id="with a word between"),
        pytest.param("Everything out, wire and sheath.", ["wire", "sheath"], id="all, then what that is"),
        pytest.param("All is removed: sheath and wire.", ["sheath", "wire"], id="all, after a colon"),
        pytest.param("The sheath was removed together with the wire.", ["sheath", "wire"], id="together with it"),
        pytest.param("The wire was removed, and the sheath, six French, is in.", ["wire"], id="the next is told of"),
        pytest.param("The wire I draw back. It is out.", ["wire"], id="it is what was named last"),
        pytest.param("Out comes the sheath.", ["sheath"], id="out comes"),
        pytest.param("Out with the sheath, out with the wire.", ["sheath", "wire"], id="out with each"),
    ],
)
def test_what_came_out(text: str, out: list[str]) -> None:
    removed = [line.split()[2] for line in told(IN + text) if line.startswith("remove done")]
    assert removed == out
