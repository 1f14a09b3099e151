"""What was in before the case, told by its size, and when it comes out; sizes told apart from their device."""

import pytest

from .telling import told

OUT = "remove done drain | gauge 10 [Ch]"


@pytest.mark.parametrize(
    ("lines", "events"),
    [
        pytest.param("Old one is ten French, half blocked.\nDrain out.", [OUT], id="the old one"),
        pytest.param("The old drain is a ten French.\nThe drain is out.", [OUT], id="the old drain"),
        pytest.param(
            "He came to change his nephrostomy, the old was an eight French.\nThe old catheter was removed.",
            ["remove done nephrostomy | gauge 8 [Ch]"],
            id="by another name",
        ),
        pytest.param(
            "The old drain is a ten French.\nTwelve French drain is in.\nDrain out.",
            ["insert done drain | gauge 12 [Ch]", "remove done drain | gauge 12 [Ch]"],
            id="the new one comes out",
        ),
        pytest.param(
            "The old drain is a ten French.\nTwelve French drain is in.\nThe old drain is out.",
            ["insert done drain | gauge 12 [Ch]", OUT],
            id="the old one comes out",
        ),
        pytest.param("Ten French drain is in.\nDrain out.", ["insert done drain | gauge 10 [Ch]", OUT], id="not old"),
        pytest.param("The old man is ten minutes late.\nDrain out.", ["remove done drain"], id="an old man"),
    ],
)
def test_what_was_in_before(lines: str, events: list[str]) -> None:
    assert told(lines) == events


SHEATH = "sheath | gauge 5 [Ch]"


@pytest.mark.parametrize(
    ("lines", "events"),
    [
        pytest.param(
            "I punctured antegrade, five French.", ["access done", f"insert done {SHEATH}"], id="of the way in"
        ),
        pytest.param(
            "I punctured antegrade, five French please.", ["access done", f"insert planned {SHEATH}"], id="asked for"
        ),
        pytest.param(
            "Five French sheath is up, long one, ninety.", [f"insert done {SHEATH}, length 90 cm"], id="a long one"
        ),
        pytest.param("Five French sheath is up, long one, ten.", [f"insert done {SHEATH}"], id="no length"),
        pytest.param(
            "Four French catheter in. Micro in.\nMicro out, the four French catheter too.",
            [
                "insert done catheter | gauge 4 [Ch]",
                "insert done microcatheter",
                "remove done microcatheter",
                "remove done catheter | gauge 4 [Ch]",
            ],
            id="and this too",
        ),
        pytest.param(
            "Exchange for the stiff one, one eighty long.\nStiff wire's down.\nStiff wire out.",
            ["insert done wire | length 180 cm", "remove done wire | length 180 cm"],
            id="told again by its name",
        ),
    ],
)
def test_sizes_carried(lines: str, events: list[str]) -> None:
    assert told(lines) == events
