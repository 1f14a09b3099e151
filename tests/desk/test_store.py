"""The store: what it keeps is there when it returns, two people never overwrite each other, nothing is deleted."""

import json
import threading
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import delete, update

from extractor import signing
from extractor.cli import main
from extractor.desk import edits, revisions
from extractor.desk.rows import Conflict, MissingError, RefusedError
from extractor.desk.store import Store, open_store
from extractor.desk.tables import cases as case_table
from extractor.desk.tables import files as file_table
from extractor.desk.tables import revisions as revision_table
from extractor.desk.tables import signatures as signature_table
from extractor.desk.tables import snapshots as snapshot_table
from extractor.errors import EditError, SignatureError, StoreError
from extractor.lexicon import Lexicon, Limit, Limits
from extractor.model import Kind, SignedTimeline, Timeline
from extractor.site_files import Site

ANNA, BEN = "A. Operator", "B. Operator"
PRESSURE = "values.pressure.value"


def to(value: float, field: str = PRESSURE, event: str = "e0003") -> edits.Edit:
    return edits.Set(event=event, field=field, value=value)


def same_store(store: Store, tmp_path: Path) -> Store:
    """The store as another process opens it."""
    return open_store(store.name if "://" in store.name else tmp_path / "desk", media=tmp_path / "desk")


def drafted(store: Store, timeline: Timeline, title: str = "A case") -> int:
    case = store.new_case(title, ANNA)
    store.job_done(case, timeline)
    return case


def pressure(timeline: Timeline) -> float:
    return timeline.events[2].values["pressure"].value


def sign(store: Store, case: int, key_file: Path) -> SignedTimeline:
    head, timeline = store.timeline(case)
    left = {point: "nothing to hear" for point in timeline.open_points if point not in timeline.looked_at}
    key = signing.read_key(key_file)
    told: dict[str, Any] = {"name": ANNA, "signed_at": store.now(), "left_open": left}
    if earlier := store.signed(case):
        told |= {"amends": earlier[-1], "reason": "read the dial again"}
    signed = signing.sign(timeline, key, **told)
    store.sign(case, signed, head, ANNA)
    return signed


@pytest.fixture(scope="module")
def key_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("keys") / "operator.pem"
    signing.make_key(path)
    return path


# --- cases


def test_a_case_and_its_files_are_listed_with_what_is_known_of_them(store: Store, small_timeline: Timeline) -> None:
    first, second = store.new_case("First", ANNA), store.new_case("  Second ", ANNA)
    store.add_file(second, "note-1.wav", BytesIO(b"one"), by=ANNA)
    store.add_file(second, "note-2.wav", [b"t", b"wo"], by=ANNA)
    store.add_file(second, "pump.csv", BytesIO(b"1,2"), kind="log", by=ANNA)
    store.order_files(second, ["note-2.wav", "note-1.wav"], ANNA)
    store.job_done(first, small_timeline)
    newest, oldest = store.cases()
    assert (newest.id, newest.title, newest.state) == (second, "Second", "waiting")
    assert [file.name for file in newest.files_of("recording")] == ["note-2.wav", "note-1.wav"]
    assert [file.path.read_bytes() for file in newest.files_of("recording")] == [b"two", b"one"]
    assert [file.name for file in store.logs(second)] == ["pump.csv"]
    assert (oldest.state, oldest.events, oldest.waits, oldest.head) == ("draft", 6, 4, 0)
    assert store.case(first) == oldest


def test_what_is_taken_away_is_hidden_and_stays(folder_store: Store, small_timeline: Timeline) -> None:
    store = folder_store
    case = drafted(store, small_timeline)
    store.add_file(case, "pump.csv", BytesIO(b"1,2"), kind="log")
    (log,) = store.logs(case)
    store.drop_file(case, "pump.csv", ANNA)
    assert store.logs(case) == ()
    assert log.path.read_bytes() == b"1,2"
    store.remove_case(case, ANNA, "brought twice")
    assert store.cases() == []
    with pytest.raises(MissingError, match=f"case {case}"):
        store.case(case)
    with store.read() as connection:
        row = connection.execute(case_table.select()).one()
        file = connection.execute(file_table.select()).one()
    assert (row.hidden_by, row.hidden_why, file.hidden_by) == (ANNA, "brought twice", ANNA)
    assert store.verify().cases == 1
    assert [line.why for line in store.access_log() if "took the case" in line.what] == ["brought twice"]


@pytest.mark.parametrize("title", ["", "  ", "a\nb", "a\0b", "x" * 301], ids=["none", "blank", "lines", "nul", "long"])
def test_a_title_is_one_line(folder_store: Store, title: str) -> None:
    with pytest.raises(RefusedError, match="title must be one line"):
        folder_store.new_case(title, ANNA)


@pytest.mark.parametrize("name", ["../etc/passwd", "a/b.wav", "a\\b.wav", "..", ".", "", "a\0.wav"])
def test_the_name_of_a_file_is_no_path(folder_store: Store, name: str) -> None:
    case = folder_store.new_case("A case", ANNA)
    with pytest.raises(RefusedError, match="name of a file"):
        folder_store.add_file(case, name, BytesIO(b"x"))
    assert not [path for path in folder_store.folder.rglob("*") if path.parent.name not in ("desk", "keys")]


def test_two_files_of_a_case_have_two_names(folder_store: Store) -> None:
    case = folder_store.new_case("A case", ANNA)
    kept = folder_store.add_file(case, "a.wav", BytesIO(b"one"))
    assert folder_store.add_file(case, "a.wav", BytesIO(b"one")) == kept
    with pytest.raises(RefusedError, match=r"another file of this name"):
        folder_store.add_file(case, "a.wav", BytesIO(b"two"))
    folder_store.drop_file(case, "a.wav", ANNA)
    folder_store.add_file(case, "a.wav", BytesIO(b"two"))
    assert [file.path.read_bytes() for file in folder_store.case(case).files] == [b"two"]


def test_recordings_come_before_the_draft_and_logs_before_the_signature(
    folder_store: Store, small_timeline: Timeline, key_file: Path
) -> None:
    case = drafted(folder_store, small_timeline)
    with pytest.raises(RefusedError, match="drafted already"):
        folder_store.add_file(case, "late.wav", BytesIO(b"x"))
    folder_store.add_file(case, "pump.csv", BytesIO(b"x"), kind="log")
    sign(folder_store, case, key_file)
    with pytest.raises(RefusedError, match="signed"):
        folder_store.add_file(case, "other.csv", BytesIO(b"y"), kind="log")


def test_particulars_are_kept_each_time(folder_store: Store) -> None:
    case = folder_store.new_case("A case", ANNA)
    assert folder_store.particulars(case) == {}
    folder_store.set_particulars(case, {"patient": {"id": "1"}}, ANNA)
    folder_store.set_particulars(case, {"patient": {"id": "2"}}, ANNA)
    assert folder_store.particulars(case) == {"patient": {"id": "2"}}


# --- revisions


def test_a_revision_is_there_for_everybody_when_it_returns(
    store: Store, small_timeline: Timeline, tmp_path: Path
) -> None:
    case = drafted(store, small_timeline)
    revised = store.revise(case, 0, to(16), ANNA, "2026-11-26T09:00:00+00:00", "read back")
    assert (revised.head, revised.since, pressure(revised.timeline)) == (1, (), 16)
    assert (revised.revision.by, revised.revision.why) == (ANNA, "read back")
    with same_store(store, tmp_path) as other:
        assert other.timeline(case) == (1, revised.timeline)
        assert other.revisions(case) == (revised.revision,)
        assert other.revisions(case, 1) == ()
        assert other.case(case).waits == len(small_timeline.open_points) - 1
        # and what the other does is seen here, though this one holds the state in memory
        other.revise(case, 1, to(18), BEN)
    head, timeline = store.timeline(case)
    assert (head, pressure(timeline)) == (2, 18)
    assert [revision.by for revision in timeline.revisions] == [ANNA, BEN]
    assert store.verify().revisions == 2


def test_two_who_change_different_things_both_get_them_in(store: Store, small_timeline: Timeline) -> None:
    case = drafted(store, small_timeline)
    store.revise(case, 0, to(16), ANNA)
    revised = store.revise(case, 0, to(5, "values.diameter.value"), BEN)
    assert [revision.by for revision in revised.since] == [ANNA]
    assert (pressure(revised.timeline), revised.timeline.events[2].values["diameter"].value) == (16, 5)


def test_two_who_change_the_same_are_shown_both_and_nothing_is_lost(store: Store, small_timeline: Timeline) -> None:
    case = drafted(store, small_timeline)
    first = store.revise(case, 0, to(16), ANNA)
    with pytest.raises(Conflict) as caught:
        store.revise(case, 0, to(18), BEN)
    assert caught.value.theirs == (first.revision,)
    assert (caught.value.head, [change.after for change in caught.value.mine][:1]) == (1, [18])
    assert pressure(store.timeline(case)[1]) == 16
    assert pressure(store.revise(case, 1, to(18), BEN).timeline) == 18  # seen, and done again


def test_a_change_of_what_somebody_deleted_is_a_conflict(folder_store: Store, small_timeline: Timeline) -> None:
    case = drafted(folder_store, small_timeline)
    folder_store.revise(case, 0, edits.Delete(event="e0003"), ANNA, why="never went up")
    with pytest.raises(Conflict):
        folder_store.revise(case, 0, to(18), BEN)
    with pytest.raises(EditError):
        folder_store.revise(case, 1, to(18), BEN)


@pytest.mark.parametrize("base", [-1, 1, 7])
def test_a_base_that_is_not_there_is_refused(folder_store: Store, small_timeline: Timeline, base: int) -> None:
    case = drafted(folder_store, small_timeline)
    with pytest.raises(RefusedError, match=f"no revision {base}"):
        folder_store.revise(case, base, to(16), ANNA)


def test_many_at_once_lose_nothing(store: Store, small_timeline: Timeline, tmp_path: Path) -> None:
    """Eight on one value of one case, eight on cases of their own, three changes each: all are kept, in one chain.

    Every other works at another process's store, which knows nothing of the first but by the database.
    """
    shared = drafted(store, small_timeline)
    own = [drafted(store, small_timeline) for _ in range(8)]
    faults: list[BaseException] = []

    def work(store: Store, case: int, by: str) -> None:
        try:
            for value in range(20, 23):
                while True:
                    try:
                        store.revise(case, store.timeline(case)[0], to(value + len(by) / 100), by)
                        break
                    except (Conflict, EditError):
                        continue
        except BaseException as error:
            faults.append(error)

    other = same_store(store, tmp_path)
    people = [(shared, "S" * (n + 1)) for n in range(8)] + [(case, f"P{case}") for case in own]
    threads = [
        threading.Thread(target=work, args=(store if place % 2 else other, *each)) for place, each in enumerate(people)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    other.close()
    assert faults == []
    by = [revision.by for revision in store.timeline(shared)[1].revisions]
    assert {name: by.count(name) for name in by} == {"S" * (n + 1): 3 for n in range(8)}
    assert [store.case(case).head for case in own] == [3] * 8
    assert store.verify().revisions == 48


def test_what_the_desk_drafts_with_counts_for_changes_too(folder_store: Store, small_timeline: Timeline) -> None:
    drafted_with = small_timeline.made_by.model_copy(update={"site": {"site/ours.toml": "ab" * 32}})
    case = drafted(folder_store, small_timeline.model_copy(update={"made_by": drafted_with}))
    strict = Limit(kind=Kind.INFLATION, value="pressure", unit="atm", low=1, high=10)
    folder_store.limits = Limits(Lexicon(limit=(strict,)))
    folder_store.site = Site(files=drafted_with.site)
    revised = folder_store.revise(case, 0, to(16), ANNA)
    assert "implausible" in revised.timeline.events[2].values["pressure"].flags
    assert "checks-not-again" not in [check.code for check in revised.timeline.checks]
    folder_store.site = None
    assert folder_store.revise(case, 1, to(17), ANNA).timeline.checks[-1].code == "checks-not-again"
    folder_store.verify()


def test_states_are_kept_whole_now_and_then(folder_store: Store, small_timeline: Timeline, monkeypatch: Any) -> None:
    monkeypatch.setattr(revisions, "SNAPSHOT_EVERY", 3)
    case = drafted(folder_store, small_timeline)
    for value in range(20, 28):
        folder_store.revise(case, value - 20, to(value), ANNA)
    with folder_store.read() as connection:
        kept = connection.execute(snapshot_table.select().order_by(snapshot_table.c.number)).all()
    assert [row.number for row in kept] == [0, 3, 6]
    folder_store._heads.clear()
    head, timeline = folder_store.timeline(case)
    assert (head, pressure(timeline), len(timeline.revisions)) == (8, 27, 8)
    assert edits.drafted(timeline) == small_timeline
    folder_store.verify()


def test_what_people_read_for_words_is_found_again(folder_store: Store, small_timeline: Timeline) -> None:
    case = drafted(folder_store, small_timeline)
    folder_store.revise(case, 0, edits.ReadAs(words=(0, 1), read="Excess"), ANNA)
    (found,) = folder_store.corrections()
    assert (found.case, found.revision, found.by, found.change.at) == (case, 1, ANNA, "corrections.0")
    folder_store.remove_case(case, ANNA, "no case")
    assert folder_store.corrections() == []


# --- signing


def test_a_signed_case_changes_only_by_an_amendment(store: Store, small_timeline: Timeline, key_file: Path) -> None:
    case = drafted(store, small_timeline)
    store.revise(case, 0, to(16), ANNA)
    record = sign(store, case, key_file)
    assert (store.case(case).state, store.case(case).signed_by) == ("signed", ANNA)
    assert store.signed(case) == [record]
    with pytest.raises(RefusedError, match=r"signed by A\. Operator; open an amendment"):
        store.revise(case, 1, to(18), ANNA)
    store.open_amendment(case, ANNA, "read the dial again")
    store.revise(case, 1, to(18), ANNA)
    head, timeline = store.timeline(case)
    left = dict.fromkeys(timeline.open_points, "nothing to hear")
    alone = signing.sign(timeline, signing.read_key(key_file), name=ANNA, signed_at=store.now(), left_open=left)
    with pytest.raises(SignatureError, match=r"does not follow what A\. Operator signed"):
        store.sign(case, alone, head, ANNA)
    amendment = sign(store, case, key_file)
    assert amendment.signature.earlier == (signing.as_earlier(record),)
    assert store.signed(case) == [record, amendment]
    assert store.verify().signatures == 2


def test_what_was_not_seen_is_not_signed(folder_store: Store, small_timeline: Timeline, key_file: Path) -> None:
    store, key = folder_store, signing.read_key(key_file)
    case = drafted(store, small_timeline)
    left = dict.fromkeys(small_timeline.open_points, "nothing to hear")
    told: dict[str, Any] = {"name": ANNA, "signed_at": store.now(), "left_open": left}
    seen = signing.sign(small_timeline, key, **told)
    other = signing.sign(
        small_timeline.model_copy(update={"checks": small_timeline.checks * 2}),
        key,
        **told | {"left_open": {**left, "check-2": "nothing to hear"}},
    )
    with pytest.raises(RefusedError, match=r"not what stands in the store: checks had 2 entries"):
        store.sign(case, other, 0, ANNA)
    with pytest.raises(SignatureError, match="altered"):
        store.sign(case, seen.model_copy(update={"words": ()}), 0, ANNA)
    store.revise(case, 0, to(16), BEN)
    with pytest.raises(RefusedError, match="while you were signing"):
        store.sign(case, seen, 0, ANNA)
    assert store.signed(case) == []


# --- jobs


def queued(store: Store, title: str = "A case") -> int:
    case = store.new_case(title, ANNA)
    store.add_file(case, "a.wav", BytesIO(title.encode()))
    store.queue_draft(case, ANNA)
    return case


def test_a_draft_is_claimed_once_made_and_told_of(store: Store, small_timeline: Timeline) -> None:
    first, second = queued(store, "First"), queued(store, "Second")
    claimed = [store.claim_job() for _ in range(3)]
    assert [job and job.case.id for job in claimed] == [first, second, None]
    store.job_progress(first, 12.5, 60)
    assert (store.case(first).state, store.case(first).progress) == ("drafting", (12.5, 60))
    store.job_done(first, small_timeline)
    assert (store.case(first).state, store.case(first).progress) == ("draft", None)
    store.job_failed(second, "a.wav: no sound in it")
    assert (store.case(second).state, store.case(second).error) == ("failed", "a.wav: no sound in it")
    store.queue_draft(second, ANNA)
    assert (store.case(second).state, store.case(second).error) == ("queued", None)


def test_a_case_without_recordings_is_not_drafted(folder_store: Store) -> None:
    case = folder_store.new_case("A case", ANNA)
    folder_store.add_file(case, "pump.csv", BytesIO(b"1"), kind="log")
    with pytest.raises(RefusedError, match="no recording yet"):
        folder_store.queue_draft(case, ANNA)


def test_what_a_process_that_is_gone_was_drafting_is_drafted_again(tmp_path: Path, small_timeline: Timeline) -> None:
    with open_store(tmp_path / "desk") as gone:
        case = queued(gone)
        assert gone.claim_job()
    with open_store(tmp_path / "desk") as store:
        job = store.claim_job()
        assert job
        assert job.case.id == case
        with open_store(tmp_path / "desk") as late, pytest.raises(RefusedError, match="another process"):
            late.job_done(case, small_timeline)
        store.job_done(case, small_timeline)


def test_a_claim_of_another_machine_holds_its_time(tmp_path: Path) -> None:
    now = [datetime(2026, 11, 26, 9, tzinfo=UTC)]
    with open_store(tmp_path / "desk", clock=lambda: now[0]) as store:
        case = queued(store)
        store._me = "elsewhere/1/ab"
        assert store.claim_job()
        store._me = "here/1/ab"
        assert store.claim_job() is None
        now[0] += timedelta(minutes=10)
        assert store.claim_job() is None
        now[0] += timedelta(seconds=1)
        job = store.claim_job()
        assert job
        assert job.case.id == case


# --- is it whole


def _text(table: Any, number: int, before: str, after: str) -> Any:
    def alter(connection: Any) -> None:
        text = connection.execute(table.select().where(table.c.number == number)).one().text
        assert before in text
        connection.execute(update(table).where(table.c.number == number).values(text=text.replace(before, after, 1)))

    return alter


def _values(table: Any, where: Any, **values: Any) -> Any:
    return lambda connection: connection.execute(update(table).where(where).values(**values))


def _gone(table: Any, where: Any) -> Any:
    return lambda connection: connection.execute(delete(table).where(where))


REVISION, SNAPSHOT, SIGNATURE = revision_table.c.number, snapshot_table.c.number, signature_table.c.number


@pytest.mark.parametrize(
    ("alter", "said"),
    [
        (_text(revision_table, 2, '"after":18.0', '"after":19.0'), r"revision 2: .*after was 18\.0 when it was kept"),
        (_text(revision_table, 1, ANNA, BEN), r"case 1, revision 1: altered: by was .A. Operator. .* is .B. Operator"),
        (_values(revision_table, REVISION == 1, copy=b"x"), "case 1, revision 1: its packed copy is altered"),
        (_values(revision_table, REVISION == 2, sha256="0" * 64), "case 1, revision 2: altered, or what stands before"),
        (_gone(revision_table, REVISION == 2), "case 1, revision 2: is gone"),
        (_gone(revision_table, REVISION == 3), "case 1, revision 3: is gone"),
        (_text(snapshot_table, 0, '"value":14.0', '"value":41.0'), r"case 1, draft: altered: .*pressure\.value was 14"),
        (_gone(snapshot_table, SNAPSHOT == 0), "case 1: its draft is gone"),
        (_text(snapshot_table, 2, '"value":18.0', '"value":81.0'), r"2, its whole state: altered: .*value was 18"),
        (_text(signature_table, 1, '"value":20.0', '"value":21.0'), r"signature 1: altered: .*pressure\.value was 20"),
        (_gone(signature_table, SIGNATURE == 1), "case 1, signature 1: is gone"),
        (_values(signature_table, SIGNATURE == 1, head=2), "signature 1: is not what stands at revision 2: "),
        (_values(case_table, case_table.c.id == 1, head=2), "case 1.* not where its trail ends"),
        (_values(case_table, case_table.c.id == 1, head_sha256="0" * 64), "case 1, head: .* not where its trail ends"),
        (_values(case_table, case_table.c.id == 1, state="draft"), "state: it is signed and its row says draft"),
        (_values(case_table, case_table.c.id == 1, waits=0), "case 1, waits: its row says 0, its timeline 3"),
    ],
)  # fmt: skip
def test_the_first_fault_is_named(
    folder_store: Store, small_timeline: Timeline, key_file: Path, monkeypatch: Any, alter: Any, said: str
) -> None:
    monkeypatch.setattr(revisions, "SNAPSHOT_EVERY", 2)
    case = drafted(folder_store, small_timeline)
    for number, value in enumerate((16.0, 18.0, 20.0)):
        folder_store.revise(case, number, to(value), ANNA)
    sign(folder_store, case, key_file)
    assert folder_store.verify().revisions == 3
    folder_store.write(alter)
    with pytest.raises(StoreError, match=said):
        folder_store.verify()


def test_a_revision_forged_with_its_hashes_does_not_fit_the_signature(
    folder_store: Store, small_timeline: Timeline, key_file: Path
) -> None:
    """Whoever can write the store can write its hashes; not what somebody signed."""
    case = drafted(folder_store, small_timeline)
    folder_store.revise(case, 0, to(16.0), ANNA)
    sign(folder_store, case, key_file)
    with folder_store.read() as connection:
        row = connection.execute(revision_table.select()).one()
        first = connection.execute(snapshot_table.select()).one().sha256
    text = row.text.replace(f'"by":"{ANNA}"', f'"by":"{BEN}"')
    forged = {"text": text, "copy": revisions.packed(text), "sha256": revisions.chained(first, text)}
    folder_store.write(_values(revision_table, REVISION == 1, **forged))
    folder_store.write(_values(case_table, case_table.c.id == case, head_sha256=forged["sha256"]))
    with pytest.raises(StoreError, match=r"signature 1: is not what stands at revision 1: revisions\[0\]\.by"):
        folder_store.verify()


def test_a_revision_that_does_not_fit_its_state_is_named_with_the_field(
    folder_store: Store, small_timeline: Timeline
) -> None:
    case = drafted(folder_store, small_timeline)
    folder_store.revise(case, 0, to(16.0), ANNA)
    with folder_store.read() as connection:
        row = connection.execute(revision_table.select()).one()
        first = connection.execute(snapshot_table.select()).one().sha256
    raw = json.loads(row.text)
    raw["changes"][0]["before"] = 15.0
    text = json.dumps(raw)
    forged = {"text": text, "copy": revisions.packed(text), "sha256": revisions.chained(first, text)}
    folder_store.write(_values(revision_table, REVISION == 1, **forged))
    with pytest.raises(StoreError, match=r"revision 1: does not fit .*events\.e0003\.values\.pressure"):
        folder_store.verify()


def test_a_file_that_was_altered_is_named(folder_store: Store) -> None:
    case = folder_store.new_case("A case", ANNA)
    file = folder_store.add_file(case, "a.wav", BytesIO(b"sound"))
    assert folder_store.verify().files == 1
    file.path.write_bytes(b"hound")
    with pytest.raises(StoreError, match=rf"case {case}: file a\.wav is altered: its SHA-256"):
        folder_store.verify()
    file.path.write_bytes(b"soun")
    with pytest.raises(StoreError, match=r"a\.wav is 4 bytes long and was 5"):
        folder_store.verify()
    file.path.unlink()
    with pytest.raises(StoreError, match=r"a\.wav cannot be read"):
        folder_store.verify()


def test_check_tells_at_the_shell(tmp_path: Path, small_timeline: Timeline, capsys: pytest.CaptureFixture[str]) -> None:
    with open_store(tmp_path / "desk") as store:
        store.revise(drafted(store, small_timeline), 0, to(16.0), ANNA)
    assert main(["store", "check", str(tmp_path / "desk")]) == 0
    assert "whole. 1 cases, 1 revisions, 0 signatures, 0 files." in capsys.readouterr().out
    with open_store(tmp_path / "desk") as store:
        store.write(_text(revision_table, 1, '"after":16.0', '"after":61.0'))
    assert main(["store", "check", str(tmp_path / "desk")]) == 2
    assert "case 1, revision 1: altered: changes[0].after was 16.0 " in capsys.readouterr().err
    assert main(["store", "check", str(tmp_path / "other")]) == 2
    assert "holds no store" in capsys.readouterr().err
    assert not (tmp_path / "other").exists()


@pytest.mark.parametrize("case", [0, -1, 2, 2**31, 2**70])
def test_a_number_no_case_has(store: Store, small_timeline: Timeline, case: int) -> None:
    drafted(store, small_timeline)
    with pytest.raises(MissingError, match=f"case {case}: there is no such case"):
        store.timeline(case)
    assert store.revisions(1, 2**70) == ()


def test_words_that_no_database_takes_are_kept_as_they_can_be(store: Store) -> None:
    store.note_access("A.\0 Operator", "opened \ud800", why="\x1b[2J")
    assert [(row.who, row.what, row.why) for row in store.access_log()] == [("A.� Operator", "opened �", "�[2J")]


def test_a_write_inside_a_write_is_a_mistake_of_ours(folder_store: Store) -> None:
    with pytest.raises(RuntimeError, match="inside a write"):
        folder_store.write(lambda _: folder_store.new_case("A case", ANNA))
    assert folder_store.cases() == []


def test_every_commit_reaches_the_disk(folder_store: Store) -> None:
    """WAL with ``synchronous`` FULL (2): SQLite's manual on PRAGMA synchronous."""
    asked = ("journal_mode", "synchronous", "foreign_keys")
    told = folder_store.write(
        lambda connection: [connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in asked]
    )
    assert told == ["wal", 2, 1]


def test_a_backup_is_a_store_of_one_moment_while_people_work(
    tmp_path: Path, small_timeline: Timeline, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_store(tmp_path / "desk") as store:
        case = drafted(store, small_timeline)
        store.add_file(case, "pump.csv", BytesIO(b"1,2"), kind="log")
        store.keys.make(ANNA)
        done = threading.Event()

        def work() -> None:
            value = 20.0
            while not done.is_set():
                value = 41 - value
                store.revise(case, store.timeline(case)[0], to(value), ANNA)

        worker = threading.Thread(target=work)
        worker.start()
        try:
            assert main(["store", "backup", str(tmp_path / "desk"), "--out", str(tmp_path / "copy")]) == 0
        finally:
            done.set()
            worker.join()
        with open_store(tmp_path / "copy", make=False) as copy:
            assert copy.verify().files == 1
            head, timeline = copy.timeline(case)
            assert timeline.revisions == store.revisions(case)[:head]
            assert [row.what for row in store.access_log() if "copied" in row.what] == [
                f"copied the store to {tmp_path / 'copy'}"
            ]
            assert copy.keys.public(ANNA).public_bytes_raw() == store.keys.public(ANNA).public_bytes_raw()
    assert main(["store", "backup", str(tmp_path / "desk"), "--out", str(tmp_path / "copy")]) == 2
    assert "already holds files" in capsys.readouterr().err


def test_a_backup_of_what_is_not_whole_is_none(tmp_path: Path) -> None:
    with open_store(tmp_path / "desk") as store:
        case = store.new_case("A case", ANNA)
        store.add_file(case, "a.wav", BytesIO(b"sound")).path.write_bytes(b"hound")
        with pytest.raises(StoreError, match=r"a\.wav is altered"):
            store.back_up(tmp_path / "copy")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["desk"]


def test_a_database_of_a_server_is_backed_up_by_its_own_tools(postgresql: Any, tmp_path: Path) -> None:
    with open_store(postgresql.new_database(), media=tmp_path / "desk") as store:
        store.new_case("A case", ANNA)
        with pytest.raises(RefusedError, match="pg_dump"):
            store.back_up(tmp_path / "copy")
    assert not (tmp_path / "copy").exists()
