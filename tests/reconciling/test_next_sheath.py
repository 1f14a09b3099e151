"""A gauge and a length told as one size where a sheath has just left, or waits; and balloons told so."""

import pytest

from .telling import told

IN = "Six French sheath is in. "
SIX = "insert done sheath | gauge 6 [Ch]"
OUT = "remove done sheath | gauge 6 [Ch]"


@pytest.mark.parametrize(
    ("said", "events"),
    [
        pytest.param(
            "Six out, eight by forty-five in.", [OUT, "insert done sheath | gauge 8 [Ch], length 45 cm"], id="exchanged"
        ),
        pytest.param(
            "Sheath off. Seven by fifty-five up and over, in.",
            [OUT, "insert done sheath | gauge 7 [Ch], length 55 cm"],
            id="next sentence",
        ),
        pytest.param(
            "A ten French sheath, please. Ten by twenty-five. Going in.",
            ["insert done sheath | gauge 10 [Ch], length 25 cm"],
            id="asked for",
        ),
        pytest.param(
            "Wire out, six by forty in.",
            ["remove done wire", "inflation planned balloon | diameter 6 mm, length 40 mm"],
            id="no sheath",
        ),
        pytest.param(
            "Sheath out. Eight by forty, next.",
            [OUT, "inflation planned balloon | diameter 8 mm, length 40 mm"],
            id="long as balloons",
        ),
        pytest.param(
            "Sheath out, five by forty-five in.",
            [OUT, "inflation planned balloon | diameter 5 mm, length 45 mm"],
            id="narrower",
        ),
        pytest.param(
            "Sheath out, a balloon of seven by forty-five in.",
            [OUT, "inflation planned balloon | diameter 7 mm, length 45 mm"],
            id="balloon",
        ),
    ],
)
def test_next_sheath(said: str, events: list[str]) -> None:
    assert told(IN + said) == [SIX, *events]
