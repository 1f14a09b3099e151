"""Talk out of order, cut apart, with words lost: whatever is said, a draft is made of it, and the case is never lost.

What people say is never what rules were written for, so the lines of all invented speakers are jumbled, by a fixed
seed: whole lines, sentences, and words left out as a recogniser leaves them out.
"""

import random
import re
from collections.abc import Callable

import pytest
import yaml

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


Jumble = Callable[[list[str], random.Random], list[str]]


@pytest.mark.parametrize("jumble", [whole, sentences, words_lost])
@pytest.mark.parametrize("times", [80, pytest.param(4000, marks=pytest.mark.slow)])
def test_a_draft_is_made_of_whatever_is_said(jumble: Jumble, times: int) -> None:
    chance = random.Random(times)
    for _ in range(times):
        text = "\n".join(jumble([chance.choice(_SAID) for _ in range(_LINES)], chance))
        try:
            tell(text)
        except Exception as error:
            raise AssertionError(f"no draft of:\n{text}") from error


def test_a_short_sentence_after_a_long_one_is_heard_from_its_own_beginning() -> None:
    long = "Two cc of gelatin, right, left, proximal, distal, femoral, iliac, tibial, in the anterior division.\n"
    assert tell(long + "The balloon goes back.")
