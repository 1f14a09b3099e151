"""docs/architecture.md follows one sentence: the values it shows are the ones the program makes."""

import json
import re
from pathlib import Path
from typing import Any

from extractor.reading.tokens import tokenise

from .reconciling.telling import tell, words_of

PAGE = (Path(__file__).parent.parent / "docs" / "architecture.md").read_text(encoding="utf-8")
WALK = PAGE.partition("## One sentence, from sound to event")[2]


def _lines() -> str:
    """What is said there, an ellipsis between the lines."""
    said = re.search(r'Said: \*"(.*?)"\*', WALK, re.DOTALL)
    assert said
    return "\n".join(" ".join(line.split()) for line in said[1].split("…"))


def _shown(example: Any, made: Any) -> Any:
    """Of what was made, the part the page shows."""
    return {key: _shown(example[key], made[key]) for key in example} if isinstance(example, dict) else made


def test_the_word() -> None:
    shown = json.loads(re.findall(r"`(\{\"text\".*?\})`", WALK)[0])
    assert shown in [word.model_dump() for word in words_of(_lines())]


def test_the_tokens_of_the_second_line() -> None:
    shown = re.search(r"\*\*Tokens\*\* of the second line: `(.*?)`", WALK)
    assert shown
    assert shown[1].split() == [token.text for token in tokenise(_lines().splitlines()[1].split())]


def test_the_event() -> None:
    (block,) = re.findall(r"```json\n(.*?)```", WALK, re.DOTALL)
    example = json.loads(block)
    (made,) = [event for event in tell(_lines()) if event.id == example["id"]]
    assert example == _shown(example, json.loads(made.model_dump_json()))
