"""The page takes changes in as the desk does: both end at the same timeline, whatever was done."""

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from extractor.desk.edits import EDIT, Edit, put, revision
from extractor.model import Alternative, Timeline

STATIC = Path(__file__).parents[2] / "extractor/desk/static"
#: Reads a timeline and revisions, writes what the page makes of them.
_TAKE_IN = """
import { put } from "./edits.mjs";
import { readFileSync } from "node:fs";
const { timeline, revisions } = JSON.parse(readFileSync(0, "utf-8"));
const end = revisions.reduce((now, { changes }) => put(now, changes), { ...timeline, looked: {} });
process.stdout.write(JSON.stringify(end));
"""
#: Reads a timeline, edits and a revision, writes which of the edits the page holds it to be.
_COMPARE = """
import { foresee } from "./edits.mjs";
import { isOf } from "./same_edit.mjs";
import { readFileSync } from "node:fs";
const { timeline, edits, revision } = JSON.parse(readFileSync(0, "utf-8"));
const items = edits.map((edit) => ({ edit, changes: foresee(timeline, edit) }));
process.stdout.write(JSON.stringify(items.map((item) => isOf(item, revision))));
"""
#: Reads a timeline and an edit, writes what the page shows before the desk has answered.
_FORESEE = """
import { foresee, put } from "./edits.mjs";
import { readFileSync } from "node:fs";
const { timeline, edit } = JSON.parse(readFileSync(0, "utf-8"));
process.stdout.write(JSON.stringify(put(timeline, foresee(timeline, edit))));
"""
pytestmark = pytest.mark.skipif(shutil.which("node") is None, reason="node is not here: Debian's package nodejs")


def done(timeline: Timeline, *edits: dict[str, Any]) -> Timeline:
    for number, edit in enumerate(edits):
        one: Edit = EDIT.validate_python(edit)
        at = f"2026-01-01T08:00:{number:02}+00:00"
        timeline = put(timeline, revision(timeline, one, at=at, by="A. Operator", why="as heard"))
    return timeline


def on_the_page(script: str, folder: Path, **given: Any) -> Any:
    for name in ("edits", "same_edit"):
        shutil.copy(STATIC / f"{name}.js", folder / f"{name}.mjs")
    (folder / "run.mjs").write_text(script, encoding="utf-8")
    text = json.dumps(given)
    ran = subprocess.run(["node", folder / "run.mjs"], input=text, capture_output=True, text=True, check=True)
    return json.loads(ran.stdout)


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


@pytest.mark.parametrize("name", NAMES)
def test_the_page_ends_where_the_desk_ends(small_timeline: Timeline, tmp_path: Path, name: str) -> None:
    desk = done(small_timeline, *edits_of(small_timeline)[name])
    given, expected = small_timeline.model_dump(mode="json"), desk.model_dump(mode="json")
    page = on_the_page(_TAKE_IN, tmp_path, timeline=given, revisions=expected["revisions"])
    for what in ("events", "corrections", "checks"):
        assert page[what] == expected[what]


@pytest.mark.parametrize("name", [name for name in NAMES if " and " not in name and name != "a rival taken"])
def test_a_change_whose_answer_was_lost_is_known_again(small_timeline: Timeline, tmp_path: Path, name: str) -> None:
    """And no other one is taken for it, the same field with another figure least of all."""
    made = edits_of(small_timeline)
    (edit,) = made[name]
    others = [each[0] for other, each in made.items() if each[0] != edit and other != "added first"]
    others.append({**edit, "value": 8.0} if name == "a figure" else others[0])
    timeline, last = small_timeline.model_dump(mode="json"), done(small_timeline, edit).revisions[-1]
    found = on_the_page(
        _COMPARE, tmp_path, timeline=timeline, edits=[edit, *others], revision=last.model_dump(mode="json")
    )
    same = [each for each, is_same in zip([edit, *others], found, strict=True) if is_same]
    assert edit in same
    assert [each for each in same if each["do"] != edit["do"] or each.get("value") != edit.get("value")] == []


@pytest.mark.parametrize(
    ("part", "value"), [("value", 40.0), ("value", 12.0), ("unit", "bar")], ids=["a-rival", "another", "unit"]
)
def test_an_alternative_has_its_number_before_the_desk_answers(
    small_timeline: Timeline, tmp_path: Path, part: str, value: float | str
) -> None:
    """Somebody takes one by its number while the change before it is on its way."""
    pressure = small_timeline.events[2].values["pressure"]
    rivals = tuple(Alternative(value=each) for each in (40.0, 15.0, 41.0))
    event = small_timeline.events[2].model_copy(
        update={"values": {"pressure": pressure.model_copy(update={"alternatives": rivals})}}
    )
    timeline = small_timeline.model_copy(update={"events": (event,)})
    edit = {"do": "set", "event": event.id, "field": f"values.pressure.{part}", "value": value}
    page = on_the_page(_FORESEE, tmp_path, timeline=timeline.model_dump(mode="json"), edit=edit)
    desk = done(timeline, edit).events[0].values["pressure"]
    shown = page["events"][0]["values"]["pressure"]["alternatives"]
    assert [(each["value"], each["unit"]) for each in shown] == [(each.value, each.unit) for each in desk.alternatives]


def test_a_comma_behind_a_nought_parts_no_thousands(tmp_path: Path) -> None:
    shutil.copy(STATIC / "figures.js", tmp_path / "figures.mjs")
    script = """
import { readFigure } from "./figures.mjs";
process.stdout.write(JSON.stringify(["0,035", "5,000", "2,5", "0.035"].map(readFigure)));
"""
    assert on_the_page(script, tmp_path) == [None, 5000, 2.5, 0.035]


def edits_of(timeline: Timeline) -> dict[str, list[dict[str, Any]]]:
    first = next(event for event in timeline.events if event.values)
    second = next(event for event in timeline.events if event.id != first.id)
    return _edits(first.id, second.id, next(iter(first.values)))
