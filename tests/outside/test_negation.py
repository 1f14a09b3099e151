"""The status a cue gives, against rules and sentences of two published readers of clinical text.

Sources: medspaCy's English context rules (category, literal, direction) and negspaCy's test sentences, both MIT. Their
things become findings of the trade; each rule becomes a short phrase with the finding on the side its direction speaks
to. A row we read otherwise carries its reason and must fail, so it shows when it comes into scope.
"""

import ast
import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pytest

from extractor.lexicon import load
from extractor.model import Status, Word
from extractor.reading.statements import Reader

STATUS = {
    "NEGATED_EXISTENCE": Status.NEGATED,
    "POSSIBLE_EXISTENCE": Status.CONSIDERED,
    "HYPOTHETICAL": Status.CONSIDERED,
    "HISTORICAL": Status.PAST,
    "FAMILY": Status.QUOTED,
}
#: A cue of ours that speaks for the whole clause, for the rules that only end another's reach.
OPENING = {"NEGATED_EXISTENCE": "it does not show", "HYPOTHETICAL": "if there is", "HISTORICAL": "history of"}
#: What negspaCy's sentences name -> findings.
TRADE = {
    "Steve Jobs": "thrombus", "Apple": "collaterals", "December 31, 2020": "thrombus", "January 1, 2021": "collaterals",
    "USA": "dissection", "Germany": "stenosis", "Italy": "occlusion", "Canada": "recoil", "Brazil": "spasm",
    "Barack Obama": "thrombus",
}  # fmt: skip

OUT_OF_SCOPE: dict[str, str] = {}

Row = tuple[str, str, Status, bool]


def _row(sentence: str, name: str, status: Status, has: bool, key: str) -> object:
    reason = OUT_OF_SCOPE.get(key)
    marks = [pytest.mark.xfail(reason=reason, strict=True)] if reason else []
    return pytest.param((sentence, name, status, has), id=f"{key}: {name}", marks=marks)


def rule_rows(folder: Path) -> list[object]:
    """Each rule -> a phrase, its finding, the status, and whether the finding has it."""
    rules = json.loads((folder / "medspacy" / "context_rules.json").read_text(encoding="utf-8"))["context_rules"]
    rows = []
    for rule in rules:
        literal, category, direction = rule["literal"], rule["category"], rule["direction"]
        sentence = {
            "FORWARD": f"{literal} dissection",
            "BACKWARD": f"dissection {literal}".replace(" :", ":"),
            "TERMINATE": f"{OPENING.get(category)} spasm {literal} dissection",
        }[direction]
        rows.append(_row(sentence, "dissection", STATUS[category], direction != "TERMINATE", f"{category} {literal}"))
    return rows


def sentence_rows(folder: Path) -> list[object]:
    """Each thing named in a sentence -> the sentence in our terms, the thing, and whether it is negated."""
    tree = ast.parse((folder / "negspacy" / "test_negation.py").read_text(encoding="utf-8"))
    (table,) = [node for node in tree.body if isinstance(node, ast.FunctionDef) and node.name == "build_docs"]
    calls = [node for node in ast.walk(table) if isinstance(node, ast.Call) and ast.unparse(node.func) == "docs.append"]
    rows = []
    for number, (sentence, things) in enumerate(ast.literal_eval(call.args[0]) for call in calls):
        for theirs, ours in TRADE.items():
            sentence = sentence.replace(theirs, ours)
        rows += [
            _row(sentence, TRADE[thing], Status.NEGATED, negated, f"sentence {number} {thing}")
            for thing, negated in things
            if number != 1 or thing != "USA"
        ]
    return rows


@cache
def reader() -> Reader:
    return Reader(load())


def statuses(sentence: str) -> Mapping[str, Status | None]:
    words = [Word(text=text, start_ms=i * 300, end_ms=i * 300 + 250) for i, text in enumerate(sentence.split())]
    sentences, _ = reader().read(words)
    return {item.name: item.status for read in sentences for item in read.items if item.kind == "finding"}


def test_rules(rule_row: Row) -> None:
    sentence, name, status, has = rule_row
    assert (statuses(sentence)[name] is status) is has


def test_sentences(sentence_row: Row) -> None:
    sentence, name, status, has = sentence_row
    assert (statuses(sentence)[name] is status) is has
