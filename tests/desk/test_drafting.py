"""Drafting behind the desk: each case by a process of its own, that may fail or be killed and takes nothing with it."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import psutil
import pytest

from extractor.desk import drafting
from extractor.desk.drafting import DIED, Drafting, Lent, Named, Options, Work, draft, lent, sound_folder
from extractor.desk.rows import CaseRow
from extractor.desk.store import Store, open_store
from extractor.errors import InputError
from extractor.listening.decode import hash_file

TALK = """\
WEBVTT

00:00:01.000 --> 00:00:04.000
Six French sheath in, right common femoral artery.

00:00:05.000 --> 00:00:09.000
Inflating the six by eighty to fourteen atmospheres.
"""


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "store") as opened:
        yield opened


@pytest.fixture
def run(store: Store) -> Iterator[Callable[..., Drafting]]:
    """Starts drafting, and ends it when the test does."""
    running: list[Drafting] = []

    def start(options: Options | None = None) -> Drafting:
        running.append(Drafting(store, options or Options()))
        running[-1].start()
        return running[-1]

    yield start
    for each in running:
        each.stop()


def queued(store: Store, name: str = "talk.vtt", content: bytes = TALK.encode()) -> int:
    case = store.new_case(name, "somebody")
    store.add_file(case, name, [content], by="somebody")
    store.queue_draft(case, "somebody")
    return case


def settled(store: Store, case: int, states: tuple[str, ...] = ("draft", "failed"), within_s: float = 90) -> CaseRow:
    """The case, when it has come to one of these states."""
    ends = time.monotonic() + within_s
    while (row := store.case(case)).state not in states:
        assert time.monotonic() < ends, f"the case is still {row.state}"
        time.sleep(0.05)
    return row


def children() -> list[psutil.Process]:
    """The processes that draft for us."""
    found = psutil.Process().children(recursive=True)
    return [process for process in found if "spawn_main" in " ".join(process.cmdline())]


def test_cases_are_drafted_one_after_another(store: Store, run: Callable[..., Drafting]) -> None:
    cases = [queued(store, "one.vtt"), queued(store, "two.vtt")]
    run()
    rows = [settled(store, case) for case in cases]
    assert [(row.state, row.events > 0) for row in rows] == [("draft", True)] * 2
    _, timeline = store.timeline(cases[1])
    assert [part.name for part in timeline.recording.parts] == ["two.vtt"], "under the name its owner gave it"
    assert rows[0].updated_at < rows[1].updated_at


def test_what_cannot_be_drafted_says_why_and_may_be_tried_again(store: Store, run: Callable[..., Drafting]) -> None:
    case = queued(store, "letter.m4a", b"Dear colleague, thank you.")
    run()
    row = settled(store, case)
    assert row.state == "failed"
    assert row.error is not None
    assert row.error.startswith("letter.m4a: "), "its own name, no folder of ours"
    store.drop_file(case, "letter.m4a", "somebody")
    store.add_file(case, "talk.vtt", [TALK.encode()], by="somebody")
    store.queue_draft(case, "somebody")
    assert settled(store, case, ("draft",)).error is None


def test_a_killed_draft_is_told_and_the_next_one_made(store: Store, run: Callable[..., Drafting]) -> None:
    first, second = queued(store, "one.vtt"), queued(store, "two.vtt")
    run()
    settled(store, first, ("drafting",))
    wait_for(children)
    children()[0].kill()
    row = settled(store, first)
    assert (row.state, row.error) == ("failed", DIED)
    assert settled(store, second).state == "draft"
    store.queue_draft(first, "somebody")
    assert settled(store, first).state == "draft"


def test_stopping_ends_the_draft_and_the_next_start_takes_it_up(store: Store, tmp_path: Path) -> None:
    case = queued(store)
    first = Drafting(store, Options())
    first.start()
    settled(store, case, ("drafting",))
    wait_for(children)
    first.stop()
    assert children() == []
    assert store.case(case).state == "drafting"
    store.close()
    with open_store(tmp_path / "store") as again:
        later = Drafting(again, Options())
        later.start()
        assert settled(again, case).state == "draft"
        later.stop()


def test_a_child_ends_with_the_desk(tmp_path: Path) -> None:
    """Killed outright, the desk cannot end its child: the child sees to it."""
    with open_store(tmp_path / "store") as store:
        case = queued(store)
    script = (
        "import sys, time\n"
        "from extractor.desk.drafting import Drafting, Options\n"
        "from extractor.desk.store import open_store\n"
        "if __name__ == '__main__':\n"
        "    Drafting(open_store(sys.argv[1]), Options()).start()\n"
        "    time.sleep(60)\n"
    )
    (tmp_path / "desk.py").write_text(script)
    root = str(Path(__file__).parents[2])
    desk = subprocess.Popen(
        [sys.executable, str(tmp_path / "desk.py"), str(tmp_path / "store")], env={**os.environ, "PYTHONPATH": root}
    )
    try:
        wait_for(lambda: [p for p in psutil.Process(desk.pid).children() if "spawn_main" in " ".join(p.cmdline())])
        (child,) = (p for p in psutil.Process(desk.pid).children() if "spawn_main" in " ".join(p.cmdline()))
        os.kill(desk.pid, signal.SIGKILL)
        desk.wait()
        psutil.wait_procs([child], timeout=20)
        assert not child.is_running() or child.status() == psutil.STATUS_ZOMBIE
    finally:
        desk.kill()
        desk.wait()
    with open_store(tmp_path / "store") as store:
        assert store.case(case).state == "drafting"
        assert store.claim_job() is not None, "whose drafter is gone is handed out again"


def wait_for(look: Callable[[], list[psutil.Process]]) -> None:
    ends = time.monotonic() + 30
    while not look():
        assert time.monotonic() < ends, "no process came up"
        time.sleep(0.02)


# --- what a child does


def work(tmp_path: Path, *files: Path, logs: tuple[Path, ...] = (), options: Options | None = None) -> Work:
    def named(paths: tuple[Path, ...]) -> tuple[Named, ...]:
        return tuple(Named(path.name, hash_file(path), path) for path in paths)

    return Work(named(files), named(logs), tmp_path / "sounds", options or Options())


def nothing(what: str, done_s: float, total_s: float) -> None:
    """Who hears how far it is."""


def test_logs_are_laid_beside_the_draft(tmp_path: Path, fixtures: Path) -> None:
    case = fixtures / "fistula-high-pressure"
    log = case / "pressure-log.csv"
    plain = draft(work(tmp_path, case / "transcript.vtt"), nothing)
    beside = draft(work(tmp_path, case / "transcript.vtt", logs=(log,)), nothing)
    codes = {check.code for check in beside.checks} - {check.code for check in plain.checks}
    assert codes <= {"log-differs", "not-logged", "not-spoken", "hold-differs", "log-clock-not-found"}
    assert [event.id for event in beside.events] == [event.id for event in plain.events]


def test_a_log_that_cannot_be_read_is_named(tmp_path: Path, fixtures: Path) -> None:
    log = tmp_path / "odd.csv"
    log.write_text("a,b\n1,2\n")
    with pytest.raises(InputError, match=r"^odd\.csv: "):
        draft(work(tmp_path, fixtures / "short-inflation" / "transcript.vtt", logs=(log,)), nothing)


def test_lexicons_of_the_site_and_learned_ones_are_both_used(tmp_path: Path) -> None:
    for folder, name in (("site", "ours.toml"), ("learned", "ours.toml")):
        (tmp_path / folder).mkdir()
        drug = f'[[drug]]\nname = "{folder}drug"\nspoken = ["{folder}drug"]\nunit = "mg"\n'
        (tmp_path / folder / name).write_text(drug)
    talk = tmp_path / "talk.vtt"
    talk.write_text("WEBVTT\n\n00:01.000 --> 00:05.000\nSitedrug five milligrams given. Learneddrug two milligrams.\n")
    options = Options(lexicons=(tmp_path / "site", tmp_path / "missing", tmp_path / "learned"))
    drafted = draft(work(tmp_path, talk, options=options), nothing)
    assert {event.drug for event in drafted.events} == {"sitedrug", "learneddrug"}
    assert {"site/ours.toml", "site/ours-more.toml"} <= drafted.made_by.lexicons.keys()


def test_a_lexicon_that_cannot_be_read_is_named_without_a_folder_of_ours(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "ours.toml").write_text("[[gadget]]\n")
    talk = tmp_path / "talk.vtt"
    talk.write_text(TALK)
    with pytest.raises(drafting.ExtractorError) as refused:
        draft(work(tmp_path, talk, options=Options(lexicons=(tmp_path / "site",))), nothing)
    assert str(refused.value).startswith("ours.toml")
    assert type(refused.value).__name__ == "LexiconError"


NAMES = ["..", ".", "", "a/b", "..\\b", "/etc/passwd", "a\0b"]


@pytest.mark.parametrize("name", NAMES)
def test_a_name_that_is_a_path_is_lent_to_nobody(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="no name of a file"), lent() as lend:
        lend.file(Named(name, "ab", tmp_path))


def test_what_was_lent_is_gone_afterwards(tmp_path: Path) -> None:
    (tmp_path / "bytes").write_text("x")
    with lent() as lend:
        place = lend.file(Named("a b.m4a", "ab", tmp_path / "bytes"))
        assert (place.name, place.read_text()) == ("a b.m4a", "x")
    assert not place.exists()
    assert (tmp_path / "bytes").read_text() == "x"
    assert isinstance(Lent(tmp_path), Lent)


@pytest.mark.sound
def test_a_recording_is_drafted_with_its_sound_beside(
    store: Store, run: Callable[..., Drafting], fixtures: Path
) -> None:
    recording = fixtures / "short-inflation" / "recording.opus"
    case = queued(store, "recording.opus", recording.read_bytes())
    run()
    row = settled(store, case, within_s=200)
    assert row.state == "draft", row.error
    assert sorted(path.suffix for path in sound_folder(store).iterdir()) == [".peaks", ".webm"]
