"""What people changed by hand, and what an amendment takes the place of, in everything that is handed on."""

import csv
import io
import json
from typing import Any

import pytest

from extractor import signing
from extractor.desk import edits
from extractor.handover import safety
from extractor.handover.export import Wishes, export
from extractor.handover.record import Section, make_record
from extractor.handover.summary import write_summary
from extractor.model import SignedTimeline, Timeline
from tests.handover.conftest import KEY, WHEN, sign
from tests.handover.test_record import TABLES

LATER = "2026-11-27T08:00:00+00:00"
EDITS: list[tuple[dict[str, Any], str]] = [
    ({"do": "look", "points": ["gap-1"]}, ""),
    ({"do": "set", "event": "e0003", "field": "values.pressure.value", "value": 12}, ""),
    ({"do": "delete", "event": "e0005"}, "only talked of"),
]


@pytest.fixture
def revised(small_timeline: Timeline) -> Timeline:
    timeline = small_timeline
    for raw, why in EDITS:
        edit = edits.EDIT.validate_python(raw)
        timeline = edits.put(timeline, edits.revision(timeline, edit, at=WHEN, by="B. Colleague", why=why))
    return timeline


@pytest.fixture
def amended(small: SignedTimeline, revised: Timeline) -> SignedTimeline:
    left_open = {point: "not to be made out" for point in revised.open_points if point not in revised.looked_at}
    told: dict[str, Any] = {"amends": small, "reason": "the dial was read wrongly", "left_open": left_open}
    return signing.sign(revised, KEY, name="B. Colleague", signed_at=LATER, **told)


def changes(timeline: Timeline) -> Section:
    (section,) = [each for each in make_record(timeline).sections if each.title == "Changed by hand"]
    return section


def test_the_record_lists_what_was_changed_and_not_what_was_only_looked_at(revised: Timeline) -> None:
    table = changes(revised).table
    assert table is not None
    assert table.heads == ("No.", "When", "Who", "What", "Why")
    assert table.rows == (
        ("2", WHEN, "B. Colleague", "e0003 pressure 14 atm → 12 atm", ""),
        ("3", WHEN, "B. Colleague", "deleted e0005: Stent deployment", "only talked of"),
    )


def test_where_nothing_was_changed_it_says_so(small: SignedTimeline) -> None:
    assert changes(small).lines == ("Nothing: all stands as it was drafted.",)
    assert changes(small).table is None


def test_an_amendment_says_of_what_and_why(amended: SignedTimeline, small: SignedTimeline) -> None:
    assert changes(amended).lines == (
        "This is an amendment: the dial was read wrongly",
        f"In place of what was signed by A. Operator, {WHEN}, SHA-256 {small.signature.sha256}",
    )
    assert safety(amended).startswith(
        f"Signed by B. Colleague, {LATER}, an amendment of what was signed {WHEN}: the dial was read wrongly. "
    )
    assert safety(amended) in " ".join(write_summary(amended).split())


def test_who_amends_is_not_told_to_have_done_it(amended: SignedTimeline) -> None:
    assert dict(make_record(amended).facts)["Operator"] == "A. Operator (who signed)"


def test_a_value_set_by_hand_is_told_with_what_it_is_not(revised: Timeline) -> None:
    (steps,) = [each for each in make_record(revised).sections if each.title == "Steps in order"]
    assert steps.table is not None
    (row,) = [row for row in steps.table.rows if row[1] == "e0003"]
    assert "12 atm was set by hand, not 14 atm or 40 atm." in row
    assert not any("was heard" in cell for cell in row)


@pytest.mark.parametrize("form", ["record-html", "record-docx", "record-pdf"])
def test_every_form_of_the_record_lists_them(form: str, amended: SignedTimeline) -> None:
    content = export(amended, form, Wishes())[""]
    rows = TABLES[form](content)["Changed by hand"][1:]
    assert [row[0] for row in rows] == ["2", "3"]
    assert rows[0][1:4] == [WHEN, "B. Colleague", "e0003 pressure 14 atm → 12 atm"]
    assert rows[1][4] == "only talked of"
    assert export(amended, form, Wishes())[""] == content


def test_the_record_as_text_lists_them(amended: SignedTimeline) -> None:
    text = " ".join(export(amended, "record-text", Wishes())[""].decode().split())
    assert f"2 {WHEN} B. Colleague; e0003 pressure 14 atm → 12 atm" in text
    assert "This is an amendment: the dial was read wrongly" in text


def test_people_and_reasons_keep_their_spelling(revised: Timeline, small_timeline: Timeline) -> None:
    edit = edits.Delete(event="e0002")
    step = edits.revision(small_timeline, edit, at=WHEN, by="A. Centre", why="no haemostasis")
    record = make_record(edits.put(small_timeline, step), template=_american())
    rows = [s.table.rows for s in record.sections if s.title == "Changed by hand" and s.table]
    assert rows == [(("1", WHEN, "A. Centre", "deleted e0002: Heparin", "no haemostasis"),)]


def _american() -> Any:
    from extractor.handover.particulars import Template

    return Template(spelling="american")


def test_tables_have_a_row_for_each(amended: SignedTimeline, small: SignedTimeline) -> None:
    rows = list(csv.DictReader(io.StringIO(export(amended, "events-csv", Wishes())[""].decode("utf-8-sig"))))
    told = [(row["event"], row["note"]) for row in rows if row["row"] == "change"]
    assert told == [
        ("e0003", f"{WHEN}, B. Colleague: e0003 pressure 14 atm → 12 atm"),
        ("e0005", f"{WHEN}, B. Colleague: deleted e0005: Stent deployment (only talked of)"),
    ]
    assert {row["amends"] for row in rows} == {small.signature.sha256}


def test_the_provenance_tells_them(amended: SignedTimeline, small: SignedTimeline) -> None:
    bundle = json.loads(export(amended, "fhir", Wishes())[""])
    (made,) = [e["resource"] for e in bundle["entry"] if e["resource"]["resourceType"] == "Provenance"]
    assert [each["text"] for each in made["reason"]] == [amended.signature.meaning, "the dial was read wrongly"]
    earlier = made["entity"][1]
    assert (earlier["role"], earlier["what"]["identifier"]["value"]) == ("revision", small.signature.sha256)
    changed = [each["valueString"] for each in made["extension"] if each["url"].endswith(":changed")]
    assert changed[0] == f"{WHEN}, B. Colleague: e0003 pressure 14 atm → 12 atm"


def test_a_point_the_trail_looked_at_is_no_longer_waiting(revised: Timeline) -> None:
    (section,) = [each for each in make_record(revised).sections if each.title == "Marks and what became of them"]
    assert section.table is not None
    outcomes = {row[0]: row[-1] for row in section.table.rows}
    assert (outcomes["gap-1"], outcomes["words-22"]) == ("looked at", "not looked at yet")


def test_a_caution_that_was_withdrawn_stays_told_in_the_record_alone(small_timeline: Timeline) -> None:
    withdrawn = small_timeline.checks[0].model_copy(update={"severity": "withdrawn"})
    signed = sign(small_timeline.model_copy(update={"checks": (withdrawn,)}))
    text = " ".join(export(signed, "record-text", Wishes())[""].decode().split())
    assert f"check-1 {withdrawn.message} no longer so" in text
    assert withdrawn.message not in write_summary(signed)
    assert withdrawn.message not in export(signed, "events-csv", Wishes())[""].decode()
