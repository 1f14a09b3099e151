"""Talk out of order, cut apart, with words lost: whatever is said, a draft is made of it, and the case is never lost.

What people say is never what rules were written for, so the lines of all invented speakers are jumbled, by a fixed
seed: whole lines, sentences, words left out as a recogniser leaves them out, and figures that no device measures.
"""

import random
import re
from collections.abc import Callable

import pytest
import yaml

from extractor.reading.numbers import NUMBER_WORDS
from tests.reconciling.telling import tell
from tests.speakers.narrated import READ

_LINES = 12
_SAID = [line["say"] for path in READ for line in yaml.safe_load(path.read_text(encoding="utf-8"))["lines"]]


def whole(lines: list[str], _: random.Random) -> list[str]:
    return lines


def sentences(lines: list[str], chance: random.Random) -> list[str]:
    parts = [part for line in lines for part in re.split(r"(?<=[.?!]) ", line)]
    chance.shuffle(parts)
    return parts


def words_lost(lines: list[str], chance: random.Random) -> list[str]:
    return [" ".join(word for word in line.split() if chance.random() > 0.15) for line in lines]


def figures_odd(lines: list[str], chance: random.Random) -> list[str]:
    """Half of the number words made nought, or anything that no device measures."""
    odd = ["zero", "oh", "one", "point", "ten thousand", "zero by forty", "a", "half", "percent", "by", "of"]
    return [
        " ".join(
            chance.choice(odd) if word.lower().strip(".,?") in NUMBER_WORDS and chance.random() < 0.5 else word
            for word in line.split()
        )
        for line in sentences(lines, chance)
    ]


Jumble = Callable[[list[str], random.Random], list[str]]


@pytest.mark.parametrize("jumble", [whole, sentences, words_lost, figures_odd])
@pytest.mark.parametrize("times", [80, pytest.param(4000, marks=pytest.mark.slow)])
def test_a_draft_is_made_of_whatever_is_said(jumble: Jumble, times: int) -> None:
    chance = random.Random(times)
    for _ in range(times):
        text = "\n".join(jumble([chance.choice(_SAID) for _ in range(_LINES)], chance))
        try:
            tell(text)
        except Exception as error:
            raise AssertionError(f"no draft of:\n{text}") from error


ODD = [
    pytest.param(
        "Two cc of gelatin, right, left, proximal, distal, femoral, iliac, tibial, in the anterior division.\n"
        "The balloon goes back.",
        id="a short sentence after a long one",
    ),
    pytest.param("Both sheaths were removed.\nBoth sheaths were removed.", id="two told out once more"),
    pytest.param("Zero by forty balloon's up, eight. Down.\nThe same in six.", id="one more like nought"),
    pytest.param("Six by forty balloon's up, eight. Down.\nThe same in zero.", id="one more of nought"),
    pytest.param("Six by zero balloon, please. No, forty.", id="a size of nought put right"),
    pytest.param("Six by forty balloon, please. No, zero.", id="a size put right by nought"),
    pytest.param("Balloon zero oh by twenty, please.", id="nought digit by digit"),
    pytest.param(
        "Balloon's up, zero atmospheres. Did I say zero? Make it fourteen.", id="a pressure of nought put right"
    ),
]


@pytest.mark.parametrize("lines", ODD)
def test_odd_things_said_leave_a_draft(lines: str) -> None:
    assert tell(lines)
