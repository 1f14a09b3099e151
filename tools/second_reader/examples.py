"""What the second reader learns from: invented cases and scenes as it sees them, and what their scripts say of each.

    python -m tools.second_reader.examples OUT.json.gz BASE.npz [CASE.yaml...] [--without PREFIX...] [--aside]

Each twice: with its stops as they are written, and as a recogniser may write them (``stops_as_heard``). From
tests/speakers/read, tests/speakers/scenes, the tables of tests/reconciling/phrasings, and CASEs. Cases and tables were
looked at when the rules were written, so what the rules made of them is hidden from the network (``blind``): it is to
learn from scenes how far rules can be trusted. ``--without`` leaves out files whose names begin so; ``--aside`` takes
in the scenes kept aside, their names with ASIDE before them: to be checked with, never learnt from.
"""

import argparse
import gzip
import json
import random
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from extractor.model import Kind, Quantity, Status, Word
from extractor.network import Pieces, spelling
from extractor.reading.statements import reader_of
from extractor.reconciling.second_reader import happening, of_the_trade, people_of, tokens
from extractor.reconciling.timeline import story_of
from tests.golden.scoring import Expected, read_script
from tests.reconciling.telling import shipped, words_of
from tests.reconciling.test_phrasings import TABLES, exchanges, parsed
from tests.speakers.narrated import READ
from tools.second_reader.scenes import FOLDER, scenes
from tools.unplaced import can_be

#: A figure may be said so long before the lines of its event, or after them.
SLACK_MS = 3_000
#: Of the commas in the scripts of 13 recordings a recogniser wrote one in six as a full stop, of the full stops one in
#: ten as a comma (docs/validation.md). How many it leaves out or puts in is set by hand.
COMMA_A_STOP, COMMA_LOST, STOP_A_COMMA, COMMA_MORE = 0.16, 0.1, 0.1, 0.012


def stops_as_heard(text: str, chance: random.Random) -> str:
    """A line with its commas and full stops as a recogniser may write them, capitals behind them with them."""
    words = text.split()
    for at in range(len(words) - 1):
        draw, word, behind = chance.random(), words[at], words[at + 1]
        if word.endswith(","):
            if draw < COMMA_A_STOP:
                words[at], words[at + 1] = f"{word[:-1]}.", behind[:1].upper() + behind[1:]
            elif draw < COMMA_A_STOP + COMMA_LOST:
                words[at] = word[:-1]
        elif word.endswith("."):
            if draw < STOP_A_COMMA:
                is_word = behind[:2].istitle() and not behind.startswith("I'")
                words[at], words[at + 1] = f"{word[:-1]},", behind[:1].lower() + behind[1:] if is_word else behind
        elif word[-1].isalnum() and draw < COMMA_MORE:
            words[at] = f"{word},"
    return " ".join(words)


def example(
    name: str, lines: Sequence[dict[str, Any]], blind: bool, pieces: Pieces, as_heard: bool = False
) -> dict[str, Any]:
    """Lines with their events -> tokens, what each figure is a value of, what each line tells."""
    if as_heard:
        chance = random.Random(name)
        lines = [
            {**line, "say": "\n".join(stops_as_heard(part, chance) for part in line["say"].splitlines())}
            for line in lines
        ]
    texts = ["\n".join(" ".join(part.split()) for part in line["say"].splitlines()) for line in lines]
    words = words_of("\n".join(texts))
    spans, first = [], 0
    for text in texts:
        spans.append((first, first + len(text.split())))
        first = spans[-1][1]
    times_s = [(words[start].start_ms / 1000, words[past - 1].end_ms / 1000) for start, past in spans]
    script = read_script({"lines": lines}, times_s)
    line_of = [number for number, (start, past) in enumerate(spans) for _ in range(start, past)]
    sentences, _ = reader_of(shipped()).read(words)
    drafts = story_of(sentences, words)
    sentences = of_the_trade(sentences)
    seen = tokens(sentences, drafts, people_of(words))
    return {
        "name": name,
        "blind": blind,
        "as_heard": as_heard,
        "pieces": [pieces.spell(spelling(token)) for token in seen],
        "rows": [token[2:11] for token in seen],
        "figures": {at: _belongs(token.figure, words, script) for at, token in enumerate(seen) if token.figure},
        "lines": {at: line_of[sentences[token.sentence].words[0]] for at, token in enumerate(seen) if token.begins},
        "events": {
            number: [
                (happening(Kind(event["kind"]), event.get("device") or event.get("finding")), event["status"])
                for event in line.get("events", ())
                if event["kind"] != "remark"
            ]
            for number, line in enumerate(lines)
        },
    }


def _belongs(figure: Quantity, words: Sequence[Word], script: Sequence[Expected]) -> tuple[str, str] | None:
    """What a figure is a value of, and the status: in the event of its own line rather than one told on."""
    at_ms = words[figure.words[0]].start_ms
    found = [
        (
            not truth.start_ms <= at_ms <= truth.end_ms,
            truth.status != Status.DONE,
            abs(at_ms - truth.start_ms),
            truth,
            key,
        )
        for truth in script
        if truth.start_ms - SLACK_MS <= at_ms <= truth.end_ms + SLACK_MS
        for key, quantity in truth.values.items()
        if _is(figure, key, quantity)
    ]
    if not found:
        return None
    *_, truth, key = min(found, key=lambda each: each[:3])
    return f"{truth.kind} {key}", truth.status


def _is(figure: Quantity, key: str, truth: tuple[float, str]) -> bool:
    """Whether a figure can be a value; French and millimetres, which convert, are told apart."""
    return not (figure.unit and (key == "gauge") != (figure.unit == "[Ch]")) and can_be(figure, key, truth)


def documents(cases: Sequence[Path], aside: bool) -> Iterator[tuple[str, Sequence[dict[str, Any]], bool]]:
    """Names, lines, and whether the rules were written with them at hand."""
    for path in cases:
        yield path.stem, yaml.safe_load(path.read_text(encoding="utf-8"))["lines"], True
    for path in sorted(FOLDER.glob("*.txt")):
        yield from ((scene.name, scene.lines, False) for scene in scenes(path))
    for path in sorted(TABLES.glob("*.txt")):
        for exchange in (each for each in exchanges(path) if each.lines):
            events = [_event(text) for text in exchange.events]
            yield exchange.name, [{"say": "\n".join(exchange.lines), "events": events}], True
    for path in sorted((FOLDER / "aside").glob("*.txt")) if aside else ():
        yield from ((f"ASIDE {scene.name}", scene.lines, False) for scene in scenes(path))


def _event(text: str) -> dict[str, Any]:
    head, what, values = parsed(text)
    kind, status = head.split()
    return {
        "kind": kind,
        "status": status,
        {"drug": "drug", "finding": "finding"}.get(kind, "device"): what or None,
        "values": {key: f"{number:g} {unit}".strip() for key, (number, unit) in values.items()},
    }


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("out", type=Path)
    parser.add_argument("base", type=Path)
    parser.add_argument("cases", nargs="*", type=Path)
    parser.add_argument("--without", nargs="*", default=[])
    parser.add_argument("--aside", action="store_true")
    given = parser.parse_args()
    with np.load(given.base) as base:
        pieces = Pieces(json.loads(str(base["vocabulary"])))
    made = [
        example(name, lines, blind, pieces, as_heard)
        for name, lines, blind in documents([*READ, *given.cases], given.aside)
        for as_heard in (False, True)
        if not name.startswith(tuple(given.without))
    ]
    with gzip.open(given.out, "wt", encoding="utf-8") as out:
        json.dump(made, out)
    figures = [belongs for each in made for belongs in each["figures"].values()]
    print(f"{len(made)} examples, {len(figures)} figures, {sum(each is not None for each in figures)} of them belong")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
