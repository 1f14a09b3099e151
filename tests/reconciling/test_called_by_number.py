"""Sizes in a name, before it or behind it, with no word of what they are: "a fifteen snare", "the six short sheath",
"peel-away's in, five and a half", "wire's gone down to the bowel, oh three five"; and numbers that are none.
"""

import pytest

from .telling import told


@pytest.mark.parametrize(
    ("text", "event"),
    [
        ("A fifteen snare is up to the tip.", "insert done snare | diameter 15 mm"),
        ("The seven short sheath is in.", "insert done sheath | gauge 7 [Ch]"),
        ("The peel-away's in, six and a half.", "insert done sheath | gauge 6.5 [Ch]"),
        ("Sixteen and a half peel-away gone in.", "insert done sheath | gauge 16.5 [Ch]"),
        ("Support catheter of two point six is through.", "insert done catheter | gauge 2.6 [Ch]"),
        ("Two point zero micro, down.", "insert done microcatheter | gauge 2 [Ch]"),
        (
            "Wire's gone down to the bowel, oh three five, nicely coiled.",
            "insert done wire | wire_diameter 0.035 [in_i]",
        ),
    ],
)
def test_it_is_the_size_of_it(text: str, event: str) -> None:
    assert event in told(text)


@pytest.mark.parametrize(
    "text",
    [
        "Four sheaths are in.",
        "The wire's out, oh one four please.",
        "The wire won't cross the lesion, oh one four.",
        "The sheath is in, five and a half minutes now.",
        "The support catheter is in, two and a half hours gone.",
    ],
)
def test_it_is_none_of_what_is_there(text: str) -> None:
    assert not any(
        line.startswith(("insert done", "remove done")) and " | " in line and line.split(" | ")[1]
        for line in told(text)
    )
