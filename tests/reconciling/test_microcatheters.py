"""How wide a microcatheter is, wherever and however it is told; and what such a figure is else."""

import pytest

from .telling import told

ASKED, IN, OUT = ("insert planned microcatheter", "insert done microcatheter", "remove done microcatheter")


@pytest.mark.parametrize(
    ("lines", "events"),
    [
        pytest.param("Microcatheter two point seven advanced past the branch.", [f"{IN} | gauge 2.7 [Ch]"], id="verb"),
        pytest.param(
            "I popped a microcatheter in the lingual, two point three.", [f"{IN} | gauge 2.3 [Ch]"], id="place"
        ),
        pytest.param("Microcatheter is at the sac, two point seven.", [f"{IN} | gauge 2.7 [Ch]"], id="where it is"),
        pytest.param("The micro goes in, the two point four.", [f"{IN} | gauge 2.4 [Ch]"], id="called by it"),
        pytest.param(
            "Micro, two-eight, please.\nTwo-eight's seated.\nMicro out.",
            [f"{one} | gauge 2.8 [Ch]" for one in (ASKED, IN, OUT)],
            id="digits",
        ),
        pytest.param("Micro two zero, please.", [f"{ASKED} | gauge 2 [Ch]"], id="a zero"),
        pytest.param(
            "Microcatheter, please.\nTwo point four is now in the uterine.",
            [ASKED, f"{IN} | gauge 2.4 [Ch]"],
            id="by its gauge alone",
        ),
        pytest.param(
            "Support catheter two point six, please.",
            ["insert planned catheter | gauge 2.6 [Ch]"],
            id="a support catheter",
        ),
        pytest.param(
            "Microcatheter is in. The vessel is two point four.", [IN, "measure done | diameter 2.4 mm"], id="a vessel"
        ),
        pytest.param("Flush the micro for me, the two point seven.", [], id="flushed"),
        pytest.param("Microcatheter in the branch, diameter two point four.", [IN], id="a diameter"),
        pytest.param(
            "Microcatheter, please. Balloon two point five by twenty.\nTwo point five is across.",
            [ASKED, "inflation planned balloon | diameter 2.5 mm, length 20 mm"],
            id="a balloon",
        ),
    ],
)
def test_the_gauge_of_a_microcatheter(lines: str, events: list[str]) -> None:
    assert told(lines) == events
