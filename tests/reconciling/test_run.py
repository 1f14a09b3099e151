"""Injections of contrast: volume at rate, frames, by hand, the same again."""

import pytest

from .telling import told

CASES = [
    pytest.param(
        "First run, eight mils at four, three frames a second... and run.",
        ["run done | frame_rate 3 /s, rate 4 mL/s, volume 8 mL"],
        id="volume at rate, with frames",
    ),
    pytest.param(
        """Run please, ten mils at five.
        Go.""",
        ["run done | rate 5 mL/s, volume 10 mL"],
        id="set up, then go",
    ),
    pytest.param("Check run, five mils by hand... and go.", ["run done | volume 5 mL"], id="by hand has no rate"),
    pytest.param(
        """Run, ten mils at five, three frames a second... go.
        Another run, same again... and go.""",
        [
            "run done | frame_rate 3 /s, rate 5 mL/s, volume 10 mL",
            "run done | frame_rate 3 /s, rate 5 mL/s, volume 10 mL",
        ],
        id="the same again",
    ),
    pytest.param(
        "Cone beam spin, forty mils at four... and go.", ["run done | rate 4 mL/s, volume 40 mL"], id="a spin"
    ),
    pytest.param(
        "Hand injection, five mils... go.",
        ["run done | volume 5 mL"],
        id="hand puff",
    ),
    pytest.param(
        "No more runs.",
        ["run negated"],
        id="no more",
    ),
    pytest.param(
        "Run please, ten, sorry, twelve mils at six... go.",
        ["run done | rate 6 mL/s, volume 12 mL"],
        id="corrected volume",
    ),
    pytest.param(
        "Aortogram, fifteen a second for thirty... and go.",
        ["run done | rate 15 mL/s, volume 30 mL"],
        id="rate for total",
    ),
    pytest.param(
        "Venogram, ten mils by hand, and go.",
        ["run done | volume 10 mL"],
        id="venogram",
    ),
    pytest.param(
        "Run at two frames a second... go.",
        ["run done | frame_rate 2 /s"],
        id="frames alone",
    ),
    pytest.param(
        """Run, ten mils at five... go.
        Check run by hand, and go.""",
        ["run done | rate 5 mL/s, volume 10 mL", "run done"],
        id="by hand after the pump",
    ),
    pytest.param(
        "Cone beam CT spin, thirty mils at three... go.",
        ["run done | rate 3 mL/s, volume 30 mL"],
        id="called spin",
    ),
    pytest.param(
        "Run, six mils at three, four frames a second... go.",
        ["run done | frame_rate 4 /s, rate 3 mL/s, volume 6 mL"],
        id="pictures and volume",
    ),
    pytest.param(
        """Run, ten mils at five.
        No, wait, don't run yet.""",
        ["run planned | rate 5 mL/s, volume 10 mL"],
        id="called off",
    ),
    pytest.param(
        "For an aortogram we usually use twenty mils at fifteen.",
        ["run quoted | rate 15 mL/s, volume 20 mL"],
        id="what is usual",
    ),
]


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_runs(lines: str, events: list[str]) -> None:
    assert told(lines) == events
