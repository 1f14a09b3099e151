"""An invented case in the words of one speaker -> the draft of it and its score. Text only: no speech model needed."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import yaml

from extractor.model import Word
from extractor.network import second_reader
from extractor.reconciling.second_reader import SecondReader
from tests.golden.scoring import Tally, read_script, tally
from tests.reconciling.telling import tell_words, words_of

FOLDER = Path(__file__).parent
#: Rules may be written looking at these, and at these never: they are only scored.
READ, KEPT_ASIDE = (tuple(sorted((FOLDER / name).glob("*.yaml"))) for name in ("read", "kept_aside"))


def as_text(path: Path) -> tuple[tuple[Word, ...], list[tuple[float, float]]]:
    """A case's file -> its words, as if read aloud without a slip, and the seconds of each line."""
    return said(yaml.safe_load(path.read_text(encoding="utf-8"))["lines"])


def said(script: Sequence[Mapping[str, Any]]) -> tuple[tuple[Word, ...], list[tuple[float, float]]]:
    """Lines of a script -> their words, and the seconds of each line."""
    lines = [" ".join(line["say"].split()) for line in script]
    words = words_of("\n".join(lines))
    times_s, first = [], 0
    for line in lines:
        past = first + len(line.split())
        times_s.append((words[first].start_ms / 1000, words[past - 1].end_ms / 1000))
        first = past
    return tuple(words), times_s


def tally_of(path: Path) -> Tally:
    """A case's file -> its counts, as the program drafts it."""
    return tally_of_lines(yaml.safe_load(path.read_text(encoding="utf-8"))["lines"], second_reader())


def tally_of_lines(lines: Sequence[Mapping[str, Any]], second: SecondReader | None) -> Tally:
    """Lines of a script -> their counts, by the rules alone or with the second reader."""
    words, times_s = said(lines)
    return tally(read_script({"lines": lines}, times_s), tell_words(words, second))
