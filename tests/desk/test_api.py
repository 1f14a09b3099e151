"""The API, subject by subject: what it answers, and how it refuses."""

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import quote

import anyio
import pytest
from sqlalchemy import update
from starlette.requests import ClientDisconnect
from starlette.testclient import TestClient

from extractor import pipeline, signing
from extractor.desk.api.review import KIND_KEYS
from extractor.desk.api.signoff import KINDS
from extractor.desk.security import Settings
from extractor.desk.tables import signatures
from extractor.handover.export import FORMATS
from extractor.model import SignedTimeline, Timeline
from tools.api_reference import TABLE, table

from .serving import Served, serve

OPEN_POINTS = {"e0003.pressure", "words-22", "check-1", "gap-1"}


@pytest.fixture
def served(tmp_path: Path, small_timeline: Timeline) -> Iterator[Served]:
    desk = serve(tmp_path / "store", small_timeline, Settings(largest_upload=5_000))
    yield desk
    desk.store.close()


@pytest.fixture
def client(served: Served) -> TestClient:
    return served.client()


def fault(answer: Any) -> dict[str, str]:
    """What a refusal says."""
    told: dict[str, str] = answer.json()["error"]
    assert set(told) <= {"code", "message", "cure"}
    return told


# --- cases and files


def test_a_case_comes_goes_and_is_ordered(client: TestClient) -> None:
    assert client.post("/api/cases", json={"title": "Two notes"}).json() == {"id": 2}
    for name in ("b.m4a", "a.m4a"):
        answer = client.put(f"/api/cases/2/files/{name}", content=name.encode())
        assert (answer.status_code, answer.json()["size"]) == (201, 5)
    assert client.put("/api/cases/2/files/pump.csv", content=b"t,p", headers={"X-Kind": "log"}).status_code == 201
    changed = client.patch("/api/cases/2", json={"title": "Three files", "order": ["a.m4a", "b.m4a"]}).json()
    assert changed["title"] == "Three files"
    assert [(file["name"], file["kind"]) for file in changed["files"]] == [
        ("pump.csv", "log"), ("a.m4a", "recording"), ("b.m4a", "recording"),
    ]  # fmt: skip
    assert client.delete("/api/cases/2/files/b.m4a").status_code == 204
    assert client.request("DELETE", "/api/cases/2", json={"why": "only tried"}).status_code == 204
    assert [case["id"] for case in client.get("/api/cases").json()] == [1]
    assert fault(client.get("/api/cases/2"))["code"] == "missing"


def test_a_case_needs_a_recording_to_be_drafted_and_says_so(client: TestClient) -> None:
    client.post("/api/cases")
    refusal = fault(client.post("/api/cases/2/draft"))
    assert (refusal["code"], refusal["cure"]) == ("refused", "bring one")
    client.put("/api/cases/2/files/a.m4a", content=b"sound")
    answer = client.post("/api/cases/2/draft")
    assert (answer.status_code, answer.json()["state"]) == (202, "queued")


NAMES = [
    pytest.param("..%2F..%2Fetc%2Fpasswd", id="out-of-the-folder"),
    pytest.param("%2Fetc%2Fpasswd", id="absolute"),
    pytest.param("%2e%2e", id="dots"),
    pytest.param("..%5C..%5Cwin.ini", id="backslashes"),
    pytest.param("a%00.wav", id="zero"),
    pytest.param("a%0A.wav", id="line"),
    pytest.param("%FF.wav", id="no-utf-8"),
    pytest.param("x" * 300, id="long"),
    pytest.param("C%3A%5Ca.wav", id="drive"),
]


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_no_path(served: Served, client: TestClient, tmp_path: Path, name: str) -> None:
    client.post("/api/cases")
    before = sorted(tmp_path.rglob("*"))
    answer = client.put(f"/api/cases/2/files/{name}", content=b"sound")
    if answer.status_code == 201:  # told in other letters, an ordinary name
        assert "/" not in answer.json()["name"]
    else:
        assert 400 <= answer.status_code < 500
        assert sorted(tmp_path.rglob("*")) == before


ODD_NAMES = [
    "Grüße 日本.m4a",
    "<img src=x>.wav",
    "'; DROP TABLE cases;--.wav",
    "=HYPERLINK(1).wav",
    "-rf.wav",
    "a b.wav",
]


@pytest.mark.parametrize("name", ODD_NAMES)
def test_an_odd_name_is_only_a_name(client: TestClient, name: str) -> None:
    client.post("/api/cases")
    assert client.put(f"/api/cases/2/files/{quote(name, safe='')}", content=b"sound").json()["name"] == name
    assert [file["name"] for file in client.get("/api/cases/2").json()["files"]] == [name]


TOO_LARGE = [
    pytest.param(lambda: b"x" * 5_001, id="told"),
    pytest.param(lambda: (b"x" * 1_000 for _ in range(6)), id="not-told"),
]


@pytest.mark.parametrize("content", TOO_LARGE)
def test_a_file_that_is_too_large_leaves_nothing(client: TestClient, tmp_path: Path, content: Any) -> None:
    client.post("/api/cases")
    answer = client.put("/api/cases/2/files/a.m4a", content=content())
    assert (answer.status_code, fault(answer)["code"]) == (413, "too-large")
    assert client.put("/api/cases/2/files/b.m4a", content=b"x" * 5_000).status_code == 201
    assert [file["name"] for file in client.get("/api/cases/2").json()["files"]] == ["b.m4a"]
    assert len([path for path in (tmp_path / "store" / "media").rglob("*") if path.is_file()]) == 1


# --- review


def test_a_timeline_comes_with_its_words(client: TestClient) -> None:
    told = client.get("/api/cases/1/timeline").json()
    assert (told["head"], told["state"], told["has_sound"], told["films"]) == (0, "draft", True, [])
    assert set(told["waits"]) == OPEN_POINTS
    inflation = told["texts"]["e0003"]
    assert inflation["name"] == "Balloon inflation"
    assert inflation["site"] == "right superficial femoral artery, mid"
    assert {"key": "pressure", "text": "14 atm?", "review": True} in inflation["values"]
    assert inflation["doubts"] == ["14 atm or 40 atm?"]


def take(base: int, **more: Any) -> dict[str, Any]:
    return {"base": base, "edit": {"do": "take", "event": "e0003", "key": "pressure", "alternative": 0}, **more}


def test_a_change_is_a_revision(client: TestClient) -> None:
    answer = client.post("/api/cases/1/revisions", json=take(0))
    assert answer.status_code == 201
    told = answer.json()
    assert (told["head"], told["since"], told["revision"]["by"]) == (1, [], "A. Operator")
    assert told["revision"]["what"] == "e0003 pressure 14 atm → 40 atm"
    assert set(told["texts"]) == {"e0003"}
    assert [each["number"] for each in client.get("/api/cases/1/revisions").json()] == [1]
    assert client.get("/api/cases/1/revisions", params={"since": 1}).json() == []


def test_two_who_change_the_same_both_see_it(served: Served) -> None:
    one, other = served.client("A. Operator"), served.client("B. Operator")
    one.post("/api/cases/1/revisions", json=take(0))
    edit = {"do": "set", "event": "e0003", "field": "values.pressure.value", "value": 12}
    answer = other.post("/api/cases/1/revisions", json={"base": 0, "edit": edit})
    told = answer.json()
    assert (answer.status_code, told["error"]["code"], told["head"]) == (409, "conflict", 1)
    assert [each["by"] for each in told["theirs"]] == ["A. Operator"]
    assert told["mine"][0]["after"] == 12
    elsewhere = {"do": "set", "event": "e0001", "field": "site.side", "value": "left"}
    merged = other.post("/api/cases/1/revisions", json={"base": 0, "edit": elsewhere}).json()
    assert [each["number"] for each in merged["since"]] == [1]
    assert set(merged["texts"]) == {"e0001", "e0003"}


REFUSED_EDITS = [
    pytest.param({"do": "set", "event": "e0099", "field": "kind", "value": "run"}, 422, id="no-such-event"),
    pytest.param({"do": "delete", "event": "e0003"}, 422, id="no-reason"),
    pytest.param({"do": "set", "event": "e0003", "field": "__class__", "value": "x"}, 422, id="no-such-field"),
    pytest.param({"do": "explode"}, 422, id="no-such-edit"),
    pytest.param({"do": "undo", "revision": 1}, 422, id="nothing-to-undo"),
    pytest.param(
        {"do": "set", "event": "e0003", "field": "values.pressure.value", "value": "NaN"}, 422, id="no-figure"
    ),
]


@pytest.mark.parametrize(("edit", "status"), REFUSED_EDITS)
def test_a_change_that_makes_no_sense_is_refused(client: TestClient, edit: dict[str, Any], status: int) -> None:
    answer = client.post("/api/cases/1/revisions", json={"base": 0, "edit": edit})
    assert answer.status_code == status, answer.text
    assert fault(answer)["message"]
    assert client.get("/api/cases/1").json()["head"] == 0


def test_a_case_that_is_not_drafted_has_no_timeline(client: TestClient) -> None:
    client.post("/api/cases")
    for path in ("timeline", "record", "sound", "peaks", "export/record-text"):
        answer = client.get(f"/api/cases/2/{path}")
        assert answer.status_code in (404, 409), path
        assert fault(answer)["message"]


def test_the_vocabulary_is_that_of_the_documents(client: TestClient, root: Path) -> None:
    told = client.get("/api/vocabulary").json()
    assert told["units"]["[Ch]"] == "Fr"
    assert told["values"]["pressure"]["units"][0] == "atm"
    assert "heparin" in told["drugs"]
    rows = [
        line.split("|") for line in (root / "docs" / "timeline.md").read_text().splitlines() if line.startswith("| `")
    ]
    documented = {row[1].strip(" `"): row[3] for row in rows if len(row) == 5}
    before: tuple[str, ...] = ()
    for kind, keys in KIND_KEYS.items():
        text = documented[kind]
        assert keys == (before if "as above" in text else tuple(text.replace("`", "").split()))
        before = keys


# --- sign-off


def sign(client: TestClient, **changes: Any) -> Any:
    told = client.get("/api/cases/1/signature").json()["to_sign"]
    body = {"head": told["head"], "seen_sha256": told["seen_sha256"], "name": "A. Operator"}
    body["left_open"] = dict.fromkeys(told["waits"], "settled on paper")
    return client.post("/api/cases/1/signature", json=body | changes)


def test_what_was_seen_is_what_is_signed(served: Served, client: TestClient) -> None:
    client.post("/api/cases/1/revisions", json={"base": 0, "edit": {"do": "look", "points": ["check-1"]}})
    record = client.get("/api/cases/1/record", params={"head": 1})
    assert "DRAFT" in record.text
    seen = {"head": int(record.headers["X-Head"]), "seen_sha256": record.headers["X-Seen-SHA256"]}
    made = sign(client, **seen)
    assert made.status_code == 201, made.text
    (signed,) = served.store.signed(1)
    assert signing.verify(signed.model_dump_json(), "case") == made.json()["fingerprint"]
    assert made.json()["sha256"] == seen["seen_sha256"] == signed.signature.sha256
    assert signed.signature.looked_at == ("check-1",)
    assert {each.point for each in signed.signature.left_open} == OPEN_POINTS - {"check-1"}
    assert [revision.number for revision in signed.revisions] == [1], "the trail is signed with it"
    told = client.get("/api/cases/1/signature").json()
    assert (told["state"], told["to_sign"], told["signatures"][0]["fault"]) == ("signed", None, None)
    assert "DRAFT" not in client.get("/api/cases/1/record").text
    assert fault(client.post("/api/cases/1/revisions", json=take(1)))["code"] == "refused"


REFUSED_SIGNATURES = [
    pytest.param({"left_open": {}}, 422, "still open; look at each", id="points-without-a-reason"),
    pytest.param({"left_open": dict.fromkeys([*OPEN_POINTS, "gap-9"], "x")}, 422, "gap-9", id="a-point-there-is-not"),
    pytest.param({"left_open": dict.fromkeys(OPEN_POINTS, " ")}, 422, "one line of text", id="an-empty-reason"),
    pytest.param({"name": "B. Somebody"}, 422, "signed in as A. Operator", id="another-name"),
    pytest.param({"meaning": ""}, 422, "meaning", id="no-meaning"),
    pytest.param({"seen_sha256": "0" * 64}, 409, "read it again", id="not-what-was-seen"),
    pytest.param({"head": 7}, 409, "read it again", id="the-head-moved"),
]


@pytest.mark.parametrize(("changes", "status", "why"), REFUSED_SIGNATURES)
def test_a_signature_is_refused(served: Served, client: TestClient, changes: Any, status: int, why: str) -> None:
    answer = sign(client, **changes)
    assert answer.status_code == status
    told = fault(answer)
    assert why.partition(";")[0] in f"{told['message']}; {told.get('cure')}"
    assert served.store.signed(1) == []


def test_somebody_else_changed_it_while_it_was_read(served: Served, client: TestClient) -> None:
    told = client.get("/api/cases/1/signature").json()["to_sign"]
    served.client("B. Operator").post("/api/cases/1/revisions", json=take(0))
    assert sign(client, **{name: told[name] for name in ("head", "seen_sha256")}).status_code == 409
    assert client.get("/api/cases/1/record", params={"head": 0}).status_code == 409


def test_a_key_with_a_passphrase_is_asked_for_it(client: TestClient) -> None:
    assert sign(client, passphrase="right and long enough").status_code == 201
    client.post("/api/cases/1/amendment", json={"why": "tried again"})
    client.post("/api/cases/1/revisions", json=take(0))
    for passphrase in (None, "wrong"):
        refused = sign(client, passphrase=passphrase)
        assert refused.status_code == 422
        assert "passphrase" in refused.text
    assert sign(client, passphrase="right and long enough").status_code == 201


def test_an_amendment_names_what_it_amends(served: Served, client: TestClient) -> None:
    first = sign(client).json()["sha256"]
    assert client.put("/api/cases/1/particulars", json={"procedure": "x"}).status_code == 409
    opened = client.post("/api/cases/1/amendment", json={"why": "the side was wrong"})
    assert (opened.status_code, opened.json()["state"]) == (201, "amending")
    edit = {"do": "set", "event": "e0001", "field": "site.side", "value": "left"}
    client.post("/api/cases/1/revisions", json={"base": 0, "edit": edit})
    assert "right groin" in client.get("/api/cases/1/export/record-text").text, "the record stands until it is amended"
    assert "left groin" in client.get("/api/cases/1/export/record-text", params={"draft": "true"}).text
    assert sign(client).status_code == 201
    before, after = (timeline.signature for timeline in served.store.signed(1))
    assert before.sha256 == first
    assert (after.earlier[0].sha256, after.reason) == (first, "the side was wrong")
    told = client.get("/api/cases/1/signature").json()["signatures"]
    assert [(each["fault"], each["reason"]) for each in told] == [(None, ""), (None, "the side was wrong")]
    assert told[1]["amends"] == after.amends


def test_a_signature_says_which_particulars_were_shown(served: Served, client: TestClient) -> None:
    told = {"patient": {"family_name": "Invented"}, "started_at": "2026-11-26T08:00:00+00:00"}
    assert client.put("/api/cases/1/particulars", json=told).status_code == 200
    assert client.get("/api/cases/1/particulars").json()["patient"]["family_name"] == "Invented"
    assert "Invented" in client.get("/api/cases/1/record").text
    sign(client)
    kept = served.store.particulars(1)
    assert hashlib.sha256(signing.canonical(kept)).hexdigest() in served.store.signed(1)[0].signature.meaning


def test_what_was_signed_leaves_with_the_particulars_it_was_signed_with(client: TestClient) -> None:
    client.put("/api/cases/1/particulars", json={"patient": {"family_name": "Invented"}})
    assert sign(client).status_code == 201
    client.post("/api/cases/1/amendment", json={"why": "another patient"})
    client.put("/api/cases/1/particulars", json={"patient": {"family_name": "Otherwise"}})
    record = client.get("/api/cases/1/export/record-text").text
    assert ("Invented" in record, "Otherwise" in record) == (True, False)
    draft = client.get("/api/cases/1/export/record-text", params={"draft": "true"}).text
    assert ("Invented" in draft, "Otherwise" in draft) == (False, True)


def test_particulars_that_were_not_shown_are_not_signed(client: TestClient) -> None:
    shown = client.get("/api/cases/1/particulars").json()
    client.put("/api/cases/1/particulars", json={"patient": {"family_name": "Otherwise"}})
    refusal = sign(client, particulars=shown)
    assert (refusal.status_code, "particulars" in fault(refusal)["message"]) == (409, True)
    assert sign(client, particulars=client.get("/api/cases/1/particulars").json()).status_code == 201


def put_as_signed(served: Served, text: str) -> None:
    """Another text stands where the store keeps what was signed."""
    served.store.write(lambda connection: connection.execute(update(signatures).values(text=text)))


def test_what_was_altered_in_the_store_is_told(served: Served, client: TestClient) -> None:
    sign(client)
    (signed,) = served.store.signed(1)
    events = (signed.events[0].model_copy(update={"start_ms": 1}), *signed.events[1:])
    put_as_signed(served, signed.model_copy(update={"events": events}).model_dump_json())
    (told,) = client.get("/api/cases/1/signature").json()["signatures"]
    assert ("events[0].start_ms" in told["fault"], told["fingerprint"]) == (True, None)
    for path in ("record", "export/events-csv"):
        assert fault(client.get(f"/api/cases/1/{path}"))["code"] == "signature"
    put_as_signed(served, "no timeline")
    assert fault(client.get("/api/cases/1/signature"))["code"] == "signature"


def test_what_an_earlier_version_signed_is_whole(served: Served, client: TestClient) -> None:
    """It has no fields that came later; what reads it fills them in, and that is no alteration."""
    sign(client)
    (signed,) = served.store.signed(1)
    raw = json.loads(signed.model_dump_json(exclude={"signature": {"earlier", "reason", "sealed", "value"}}))
    by = {name: part for name, part in raw.pop("signature").items() if name not in ("sha256", "public_key")}
    key = served.store.keys.private("A. Operator", None)
    put_as_signed(served, json.dumps(signing.seal({**raw, "state": "draft"}, by, key)))
    assert client.get("/api/cases/1/signature").json()["signatures"][0]["fault"] is None
    for path in ("record", "export/events-csv"):
        assert client.get(f"/api/cases/1/{path}").status_code == 200


@pytest.mark.parametrize("form", FORMATS)
def test_a_signed_case_leaves_in_every_form_and_a_draft_in_none_unasked(client: TestClient, form: str) -> None:
    assert set(KINDS) == set(FORMATS)
    assert fault(client.get(f"/api/cases/1/export/{form}"))["cure"].startswith("sign it")
    asked = client.get(f"/api/cases/1/export/{form}", params={"draft": "true"})
    if asked.status_code == 200:
        assert asked.headers["Content-Disposition"].startswith('attachment; filename="case-1.')
        if form == "chapters":
            assert len(zipfile.ZipFile(io.BytesIO(asked.content)).namelist()) == 2
    else:
        assert (form, asked.status_code) == ("dicom", 422), asked.text


def test_an_unknown_form_is_refused_with_those_there_are(client: TestClient) -> None:
    assert "record-pdf" in fault(client.get("/api/cases/1/export/paper"))["cure"]


BARCODES = [
    pytest.param("(01)09506000134352(17)200101(10)AB", {"expired": True, "lot": "AB"}, id="expired"),
    pytest.param("(01)09506000134352(17)491231(10)AB", {"expired": False, "device": "09506000134352"}, id="good"),
    pytest.param("(01)09506000134352", {"expired": None, "lot": None}, id="no-date"),
]


@pytest.mark.parametrize(("text", "wanted"), BARCODES)
def test_barcodes(client: TestClient, text: str, wanted: dict[str, Any]) -> None:
    told = client.post("/api/barcode", json={"text": text}).json()
    assert {name: told[name] for name in wanted} == wanted


def test_no_barcode(client: TestClient) -> None:
    assert fault(client.post("/api/barcode", json={"text": "hello"}))["cure"] == "scan the label again"


def test_logs_are_laid_beside_the_case(tmp_path: Path, fixtures: Path) -> None:
    case = fixtures / "fistula-high-pressure"
    desk = serve(tmp_path / "store", pipeline.draft([case / "transcript.vtt"]))
    client = desk.client()
    assert client.get("/api/cases/1/crosscheck").json() is None
    log = (case / "pressure-log.csv").read_bytes()
    assert client.put("/api/cases/1/files/pump.csv", content=log, headers={"X-Kind": "log"}).status_code == 201
    told = client.get("/api/cases/1/crosscheck").json()
    assert told["logs"][0]["found"]
    assert {pair["verdict"] for pair in told["pairs"]} <= {"agrees", "differs"}
    assert len(told["pairs"]) > 2
    client.delete("/api/cases/1/files/pump.csv")
    client.put("/api/cases/1/files/odd.csv", content=b"a,b\n1,2\n", headers={"X-Kind": "log"})
    refusal = fault(client.get("/api/cases/1/crosscheck"))
    assert refusal["message"].startswith("odd.csv: "), "by its own name, no folder of ours"
    desk.store.close()


# --- people and the log


def test_people_are_added_and_changed(served: Served) -> None:
    keeper = served.client("K. Keeper", ("keeper",))
    new = {"name": "B. Auditor", "roles": ["auditor"], "password": "a long enough password"}
    assert keeper.post("/api/people", json=new).json()["has_password"]
    assert fault(keeper.post("/api/people", json=new))["code"] == "refused"
    assert fault(keeper.post("/api/people", json={**new, "name": "C", "password": "short"}))["code"] == "refused"
    changed = keeper.patch("/api/people/B.%20Auditor", json={"roles": ["educator"], "disabled": True}).json()
    assert (changed["roles"], changed["disabled"]) == (["educator"], True)
    assert "keeper first" in keeper.patch("/api/people/K.%20Keeper", json={"disabled": True}).text
    assert keeper.patch("/api/people/Nobody", json={}).status_code == 404
    assert "a long enough password" not in json.dumps(keeper.get("/api/people").json())


def test_the_log_tells_who_did_what(served: Served, client: TestClient) -> None:
    client.get("/api/cases/1/timeline")
    client.post("/api/cases/1/revisions", json=take(0))
    client.get("/api/cases/1/export/events-csv", params={"draft": "true"})
    lines = client.get("/api/log").json()
    done = [(line["who"], line["what"], line["case"]) for line in lines]
    for what in ("read the timeline", "revision 1: e0003 pressure 14 atm → 40 atm", "exported events-csv as a draft"):
        assert ("A. Operator", what, 1) in done
    table = list(csv.reader(io.StringIO(client.get("/api/log", headers={"Accept": "text/csv"}).text)))
    assert table[0] == ["at", "who", "what", "case", "why"]
    assert len(table) == len(lines) + 1
    assert client.get("/api/log", params={"form": "csv"}).headers["Content-Type"].startswith("text/csv")
    assert client.get("/api/log", params={"until": lines[0]["at"]}).json() == []
    assert client.get("/api/log", params={"since": "9999-12-31T23:59:59-14:00"}).status_code == 422


# --- refusing


def test_a_store_that_is_out_of_reach_is_told_as_that(served: Served, client: TestClient) -> None:
    client.get("/api/cases")
    served.store.close()
    answer = client.post("/api/cases")
    assert (answer.status_code, fault(answer)["code"]) == (503, "store")
    assert fault(answer)["cure"]


def test_every_route_describes_itself(client: TestClient) -> None:
    told = client.get("/api/openapi.json").json()
    operations = [operation for methods in told["paths"].values() for operation in methods.values()]
    names = [operation["operationId"] for operation in operations]
    assert len(set(names)) == len(names)
    assert all(name.replace("_", "").isalpha() and "__" not in name for name in names)
    for operation in operations:
        assert operation["summary"]
        assert {"401", "403", "422", "503"} <= operation["responses"].keys()
        failed = operation["responses"]["401"]["content"]["application/json"]["schema"]
        assert failed == {"$ref": "#/components/schemas/Failure"}


def test_every_route_stands_in_the_docs(root: Path) -> None:
    written = TABLE.search((root / "docs" / "desk.md").read_text())
    assert written is not None
    assert written[0] == table(), "run `make docs`"


def test_a_signed_timeline_comes_whole(client: TestClient) -> None:
    sign(client)
    told = client.get("/api/cases/1/timeline").json()
    assert told["state"] == "signed"
    assert isinstance(Timeline.model_validate(told["timeline"]), Timeline | SignedTimeline)


def test_an_upload_that_breaks_off_leaves_nothing(served: Served, tmp_path: Path) -> None:
    """The sender goes away in the middle: no file, no half of one."""
    client = served.client()
    client.post("/api/cases")
    coming = [
        {"type": "http.request", "body": b"x" * 1_000, "more_body": True},
        {"type": "http.disconnect"},
    ]
    cookie = f"{served.settings.cookie}={client.cookies[served.settings.cookie]}"
    scope = {
        "type": "http", "http_version": "1.1", "method": "PUT", "scheme": "http", "query_string": b"",
        "path": "/api/cases/2/files/a.m4a", "raw_path": b"/api/cases/2/files/a.m4a", "root_path": "",
        "headers": [(b"host", b"127.0.0.1:8765"), (b"cookie", cookie.encode())], "client": ("127.0.0.1", 1),
    }  # fmt: skip

    async def receive() -> Any:
        return coming.pop(0)

    async def send(_: Any) -> None:
        pass

    async def put() -> None:
        with suppress(ClientDisconnect):
            await served.app(scope, receive, send)

    anyio.run(put)
    assert client.get("/api/cases/2").json()["files"] == []
    assert [path for path in (tmp_path / "store" / "media").rglob("*") if path.is_file()] == []


def test_a_line_is_read_as_it_would_be_said_and_nothing_is_changed(client: TestClient) -> None:
    line = {"text": "six by eighty balloon to fourteen", "start_ms": 1000, "end_ms": 2000}
    answer = client.post("/api/cases/1/reading", json=line).json()
    (event,) = answer["events"]
    assert (event["kind"], event["status"], event["start_ms"], event["end_ms"]) == ("inflation", "done", 1000, 2000)
    assert event["values"]["pressure"] == {"value": 14, "unit": "atm"}
    assert answer["texts"][0]["name"] == "Balloon inflation"
    assert client.get("/api/cases/1/timeline").json()["head"] == 0


def test_a_line_that_ends_before_it_begins_is_refused(client: TestClient) -> None:
    line = {"text": "balloon up", "start_ms": 2000, "end_ms": 1000}
    assert client.post("/api/cases/1/reading", json=line).status_code == 422
