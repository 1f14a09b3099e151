"""What invented speakers really said, told as text: nothing of it may be repaired, for nothing was misheard."""

from pathlib import Path

import pytest
import yaml

from extractor.lexicon import load
from extractor.reading.repair import Repairer
from tests.speakers.narrated import KEPT_ASIDE, READ

from .small import words_of

REPAIRER = Repairer(load())


def repairs(path: Path) -> list[tuple[str, str]]:
    """What is repaired in a case as it was said."""
    lines = yaml.safe_load(path.read_text(encoding="utf-8"))["lines"]
    _, corrections = REPAIRER.repair(words_of(" ".join(line["say"] for line in lines)))
    return [(each.heard, each.read) for each in corrections]


@pytest.mark.parametrize("path", READ, ids=lambda path: path.stem)
def test_nothing_is_repaired_that_was_heard_right(path: Path) -> None:
    assert repairs(path) == []


def test_nor_in_what_speakers_kept_aside_say() -> None:
    repaired = sum(len(repairs(path)) for path in KEPT_ASIDE)  # a figure alone: nobody looks at these cases
    assert repaired == 0
