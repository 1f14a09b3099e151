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

#: What is read otherwise than the source says, and why: reason -> rules and sentences.
OTHERWISE = {
    "out of scope: why a picture is taken; we say considered, or nothing, until it is taken": [
        "adequate to rule out", "to exclude", "checked for", "evaluate for", "test for",
    ],
    "out of scope: what a patient says, wants, is given or should come back for; no picture": [
        "decline", "deny", "sentence 1, December 31, 2020", "as needed", "come back for", "return", "prophylaxis",
        "adequate to rule the patient out",
        "can rule the patient out", "ruled the patient out",
        "rule the patient out", "family", "comes in with", "presentation",
    ],
    "out of scope: written, not spoken": ["r/o", "ro", "h/o", "history", "past history"],
    "out of scope: a cause; one thing behind another is seldom told here": [
        "as a cause for", "cause for", "origin for", "other possibilities of", "secondary", "source for",
        "trigger event for",
    ],
    "out of scope: a doubt, no absence; we say considered": ["unlikely"],
    "out of scope: 'free rupture', 'free extravasation' are seen; 'free of' is read": ["free"],
    "out of scope: says how large or how clear it is, not that it is absent": ["not significant", "non diagnostic"],
    "out of scope: negates nothing by itself": ["any other", "as well as any"],
    "out of scope: 'known' is of before this case, and that weighs more": ["not known to have"],
    "out of scope: liking is no status; a figure of speech of the source": ["sentence 0, Steve Jobs"],
}  # fmt: skip
REASONS = {key: reason for reason, keys in OTHERWISE.items() for key in keys}

Row = tuple[str, str, Status, bool]


def _row(label: str, row: Row, key: str) -> object:
    reason = REASONS.get(key)
    marks = [pytest.mark.xfail(reason=reason, strict=True)] if reason else []
    return pytest.param(row, id=label, marks=marks)


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
        row = (sentence, "dissection", STATUS[category], direction != "TERMINATE")
        rows.append(_row(f"{category} {literal}", row, literal))
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
        for thing, negated in things:
            row = (sentence, TRADE[thing], Status.NEGATED, negated)
            label = f"sentence {number}, {thing}"
            rows.append(_row(label, row, label))
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
