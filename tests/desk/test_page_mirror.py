"""The page takes changes in as the desk does: both end at the same timeline, whatever was done."""

import json
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from extractor.desk.edits import EDIT, Edit, put, revision
from extractor.model import Revision, Timeline

EDITS_JS = Path(__file__).parents[2] / "extractor/desk/static/edits.js"
#: Reads a timeline and revisions, writes what the page makes of them.
_RUN = """
import { put } from "./edits.mjs";
import { readFileSync } from "node:fs";
const { timeline, revisions } = JSON.parse(readFileSync(0, "utf-8"));
const end = revisions.reduce((now, { changes }) => put(now, changes), { ...timeline, looked: {} });
process.stdout.write(JSON.stringify(end));
"""


def done(timeline: Timeline, *edits: dict[str, Any]) -> Timeline:
    for number, edit in enumerate(edits):
        one: Edit = EDIT.validate_python(edit)
        at = f"2026-01-01T08:00:{number:02}+00:00"
        timeline = put(timeline, revision(timeline, one, at=at, by="A. Operator", why="as heard"))
    return timeline


def on_the_page(timeline: Timeline, revisions: Sequence[Revision], folder: Path) -> dict[str, Any]:
    shutil.copy(EDITS_JS, folder / "edits.mjs")
    (folder / "run.mjs").write_text(_RUN, encoding="utf-8")
    given = {
        "timeline": timeline.model_dump(mode="json"),
        "revisions": [each.model_dump(mode="json") for each in revisions],
    }
    ran = subprocess.run(
        ["node", folder / "run.mjs"], input=json.dumps(given), capture_output=True, text=True, check=True
    )
    answer: dict[str, Any] = json.loads(ran.stdout)
    return answer


def _edits(first: str, second: str, key: str) -> dict[str, list[dict[str, Any]]]:
    figure = {"do": "set", "event": first, "field": f"values.{key}.value", "value": 9.0}
    added = {"kind": "drug", "status": "done", "start_ms": 100, "end_ms": 900, "drug": "heparin"}
    return {
        "a figure": [figure],
        "a value taken away": [{"do": "set", "event": first, "field": f"values.{key}", "value": None}],
        "a value added": [
            {"do": "set", "event": first, "field": "values.count", "value": {"value": 2.0, "unit": "{count}"}}
        ],
        "a rival taken": [figure, {"do": "take", "event": first, "key": key, "alternative": 0}],
        "a side": [{"do": "set", "event": first, "field": "site.side", "value": "left"}],
        "a status": [{"do": "set", "event": first, "field": "status", "value": "planned"}],
        "added first": [{"do": "add", "after": None, "event": added}],
        "added behind": [{"do": "add", "after": first, "event": added}],
        "deleted": [{"do": "delete", "event": first}],
        "merged": [{"do": "merge", "events": [first, second]}],
        "split": [{"do": "split", "event": first, "keys": [key]}],
        "moved": [{"do": "move", "event": first, "after": second}],
        "words put right": [{"do": "word", "words": [0, 2], "read": "heparin"}],
        "deleted and undone": [{"do": "delete", "event": first}, {"do": "undo", "revision": 1}],
    }


NAMES = tuple(_edits("", "", ""))


@pytest.mark.skipif(shutil.which("node") is None, reason="node is not here: Debian's package nodejs")
@pytest.mark.parametrize("name", NAMES)
def test_the_page_ends_where_the_desk_ends(small_timeline: Timeline, tmp_path: Path, name: str) -> None:
    first = next(event for event in small_timeline.events if event.values)
    second = next(event for event in small_timeline.events if event.id != first.id)
    edits = _edits(first.id, second.id, next(iter(first.values)))[name]
    desk = done(small_timeline, *edits)
    page = on_the_page(small_timeline, desk.revisions, tmp_path)
    expected = desk.model_dump(mode="json")
    assert [page[what] for what in ("events", "corrections", "checks")] == [
        expected[what] for what in ("events", "corrections", "checks")
    ]
