"""Coils, plugs, particles: coils are millimetres by centimetres."""

import pytest

from .telling import told

CASES = [
    pytest.param(
        "Coil, six by twenty. It's in, detached.",
        ["embolise done coil | diameter 6 mm, length 20 cm"],
        id="in and detached",
    ),
    pytest.param(
        "Coil, eight by twenty, is in.", ["embolise done coil | diameter 8 mm, length 20 cm"], id="in at once"
    ),
    pytest.param(
        """Eight by thirty coil, please.
        That one is in.""",
        ["embolise planned coil | diameter 8 mm, length 30 cm", "embolise done coil | diameter 8 mm, length 30 cm"],
        id="asked for, then in",
    ),
    pytest.param(
        "The vascular plug, ten millimetre, is deployed.", ["embolise done plug | diameter 10 mm"], id="a plug"
    ),
    pytest.param(
        "We could put another coil, four by six.",
        ["embolise considered coil | diameter 4 mm, length 6 cm"],
        id="could",
    ),
    pytest.param("No coil here.", ["embolise negated coil"], id="ruled out"),
    pytest.param(
        "Coil one, six by twenty, is in. Coil two, five by fifteen, is in.",
        ["embolise done coil | diameter 6 mm, length 20 cm", "embolise done coil | diameter 5 mm, length 15 cm"],
        id="three coils counted",
    ),
    pytest.param(
        "We might use glue.",
        ["embolise considered glue"],
        id="might glue",
    ),
    pytest.param(
        "Twelve millimetre vascular plug, please.",
        ["embolise planned plug | diameter 12 mm"],
        id="plug asked",
    ),
    pytest.param(
        "Coil please, six by twenty, sorry, seven by twenty.",
        ["embolise planned coil | diameter 7 mm, length 20 cm"],
        id="corrected",
    ),
    pytest.param(
        """Six by twenty coil is in, detached.
        Another one, same size, is in, detached.""",
        ["embolise done coil | diameter 6 mm, length 20 cm", "embolise done coil | diameter 6 mm, length 20 cm"],
        id="another the same",
    ),
    pytest.param(
        "No more coils.",
        ["embolise negated coil"],
        id="refused",
    ),
    pytest.param(
        """Five by ten coil, please. It's out in the parent vessel, take it back.
        Recaptured.""",
        ["embolise planned coil | diameter 5 mm, length 10 cm"],
        id="misplaced",
    ),
    pytest.param(
        "A fourteen millimetre vascular plug was placed.",
        ["embolise done plug | diameter 14 mm"],
        id="plug placed, dictated",
    ),
    pytest.param(
        "Three hundred micron particles, please.",
        ["embolise planned particles | diameter 0.3 mm"],
        id="particles asked",
    ),
]


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_embolics(lines: str, events: list[str]) -> None:
    assert told(lines) == events


def test_microns_are_kept_as_millimetres() -> None:
    """Whatever becomes of them: 500 micron are 0.5 mm (a micron is 0.001 mm)."""
    (event,) = [line for line in told("Particles, five hundred micron, please.") if line.startswith("embolise")]
    assert "diameter 0.5 mm" in event
