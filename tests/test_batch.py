"""A folder of recordings -> a folder of drafts: resumed, nothing lost, nothing twice, one bad file stops nothing."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from extractor import batch, draft_folder
from extractor.batch import Job, Options, SchedulerError, find_jobs, run, watch
from extractor.cli import main
from extractor.errors import InputError

FIXTURES = Path(__file__).parents[1] / "fixtures"
SHORT = FIXTURES / "short-inflation" / "transcript.vtt"


@pytest.fixture
def recordings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Transcripts stand for recordings: two cases, and one of two notes in a folder."""
    folder = tmp_path / "in"
    (folder / "c in two notes").mkdir(parents=True)
    shutil.copy(SHORT, folder / "a.vtt")
    shutil.copy(FIXTURES / "varicocele-coils" / "transcript.vtt", folder / "b.vtt")
    shutil.copy(SHORT, folder / "c in two notes" / "1.vtt")
    shutil.copy(SHORT, folder / "c in two notes" / "2.vtt")
    monkeypatch.chdir(tmp_path)
    return folder


def test_a_file_is_a_case_and_a_folder_is_one_of_several_notes(recordings: Path) -> None:
    (recordings / "notes.txt").write_text("no recording", encoding="utf-8")
    (recordings / ".b.vtt.part").write_text("on its way", encoding="utf-8")
    (recordings / ".hidden").mkdir()
    shutil.copy(SHORT, recordings / ".hidden" / "x.vtt")
    (recordings / "empty").mkdir()
    jobs = [(job.name, [path.name for path in job.files]) for job in find_jobs(recordings)]
    assert jobs == [("a.vtt", ["a.vtt"]), ("b.vtt", ["b.vtt"]), ("c in two notes", ["1.vtt", "2.vtt"])]


def test_each_new_case_is_drafted_once(recordings: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["batch", "in", "--out", "out"]) == 0
    assert "3 drafted, 0 there already, 0 failed" in capsys.readouterr().out
    drafts = {path.name: (path / "timeline.json").read_bytes() for path in Path("out").iterdir() if path.is_dir()}
    assert main(["draft", str(recordings / "b.vtt"), "--out", "alone", "--quiet"]) == 0
    assert drafts["b.vtt"] == Path("alone/timeline.json").read_bytes(), "as it would be alone"
    assert len(draft_folder.read(Path("out/c in two notes")).recording.parts) == 2
    shutil.copy(SHORT, recordings / "d.vtt")
    capsys.readouterr()
    assert main(["batch", "in", "--out", "out"]) == 0
    assert "1 drafted, 3 there already, 0 failed" in capsys.readouterr().out
    assert {name: Path("out", name, "timeline.json").read_bytes() for name in drafts} == drafts


def test_one_bad_file_never_stops_the_rest(recordings: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (recordings / "a-bad.vtt").write_text("WEBVTT\n\nno times\n", encoding="utf-8")
    (recordings / "b-bad.wav").write_bytes(b"RIFF but no sound")
    assert main(["batch", "in", "--out", "out", "--quiet"]) == 1
    said = capsys.readouterr().err.splitlines()
    assert [line.split(": ")[1] for line in said] == ["a-bad.vtt", "b-bad.wav"]
    report = json.loads(Path("out/batch.json").read_text(encoding="utf-8"))
    assert [(case["name"], case["state"]) for case in report["cases"]] == [
        ("a-bad.vtt", "failed"),
        ("a.vtt", "drafted"),
        ("b-bad.wav", "failed"),
        ("b.vtt", "drafted"),
        ("c in two notes", "drafted"),
    ]
    assert sorted(path.name for path in Path("out").iterdir()) == ["a.vtt", "b.vtt", "batch.json", "c in two notes"]
    shutil.copy(SHORT, recordings / "a-bad.vtt")
    (recordings / "b-bad.wav").unlink()
    assert main(["batch", "in", "--out", "out", "--quiet"]) == 0, "what failed is tried again"


def test_a_fault_of_ours_stops_nothing_either(recordings: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    draft = batch.pipeline.draft

    def fails_once(files: tuple[Path, ...], **options: object) -> object:
        if files[0].name == "a.vtt":
            raise ZeroDivisionError("a mistake\nof ours")
        return draft(files, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(batch.pipeline, "draft", fails_once)
    outcomes = run(find_jobs(recordings), Path("out"), Options())
    assert [outcome.state for outcome in outcomes] == ["failed", "drafted", "drafted"]
    assert "ZeroDivisionError: a mistake of ours" in str(outcomes[0].why)


def test_a_batch_that_was_stopped_goes_on_where_it_ended(recordings: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    draft = batch.pipeline.draft
    drafted: list[str] = []

    def stopped_at_the_second(files: tuple[Path, ...], **options: object) -> object:
        if files[0].name == "b.vtt" and len(drafted) == 1:
            drafted.append("stopped")
            raise KeyboardInterrupt
        drafted.append(files[0].name)
        return draft(files, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(batch.pipeline, "draft", stopped_at_the_second)
    assert main(["batch", "in", "--out", "out"]) == 1
    assert sorted(path.name for path in Path("out").iterdir()) == ["a.vtt", "batch.json"]
    assert main(["batch", "in", "--out", "out"]) == 0
    assert drafted == ["a.vtt", "stopped", "b.vtt", "1.vtt"]


def test_a_draft_of_other_files_is_left_and_told(recordings: Path) -> None:
    run(find_jobs(recordings), Path("out"), Options())
    before = Path("out/a.vtt/timeline.json").read_bytes()
    shutil.copy(FIXTURES / "varicocele-coils" / "transcript.vtt", recordings / "a.vtt")
    outcome = run(find_jobs(recordings), Path("out"), Options())[0]
    assert outcome.state == "failed"
    assert "drafted from other files" in str(outcome.why)
    assert Path("out/a.vtt/timeline.json").read_bytes() == before


REFUSED = [
    pytest.param(["batch", "nowhere", "--out", "out"], "no such folder", id="no folder"),
    pytest.param(["batch", "in", "--out", "out", "--site", "no.toml"], "no.toml", id="no site file"),
    pytest.param(["batch", "in", "--out", "out", "--cluster", "tcp://127.0.0.1:9"], "no scheduler", id="no cluster"),
    pytest.param(["batch", "in", "--out", "out", "--cluster", "nonsense://x"], "no scheduler", id="no address"),
    pytest.param(["batch", "in"], "--out", id="no out"),
]


@pytest.mark.parametrize(("arguments", "named"), REFUSED)
def test_what_cannot_be_begun_is_refused(
    arguments: list[str],
    named: str,
    recordings: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(batch, "CONNECT_S", 1)
    assert main(arguments) == 2
    assert named in capsys.readouterr().err


class StopError(Exception):
    """Ends a watch."""


def test_what_arrives_is_drafted_once_it_has_its_size(recordings: Path) -> None:
    new: list[tuple[int, list[tuple[str, str]]]] = []
    look = 0
    growing = recordings / "d.vtt"
    whole = SHORT.read_text(encoding="utf-8")

    def sleep(_: float) -> None:
        nonlocal look
        look += 1
        if look in (2, 3, 4):  # three pieces, one a look
            growing.write_text(whole[: len(whole) * (look - 1) // 3], encoding="utf-8")
        if look == 8:
            raise StopError

    with pytest.raises(StopError):
        watch(recordings, Path("out"), Options(), sleep=sleep, done=lambda outcomes: new.append(
            (look, [(outcome.name, outcome.state) for outcome in outcomes])))  # fmt: skip
    assert new == [
        (1, [("a.vtt", "drafted"), ("b.vtt", "drafted"), ("c in two notes", "drafted")]),
        (5, [("d.vtt", "drafted")]),
    ]
    report = json.loads(Path("out/batch.json").read_text(encoding="utf-8"))
    assert len(report["cases"]) == 4


def test_what_failed_is_tried_again_when_it_changes(recordings: Path) -> None:
    bad = recordings / "bad.vtt"
    bad.write_text("WEBVTT\n\nno times\n", encoding="utf-8")
    states: list[str] = []
    look = 0

    def sleep(_: float) -> None:
        nonlocal look
        look += 1
        if look == 4:
            shutil.copy(SHORT, bad)
        if look == 8:
            raise StopError

    with pytest.raises(StopError):
        watch(recordings, Path("out"), Options(), sleep=sleep, done=lambda outcomes: states.extend(
            outcome.state for outcome in outcomes if outcome.name == "bad.vtt"))  # fmt: skip
    assert states == ["failed", "drafted"]


# --- a real scheduler, workers as processes of their own


def start(*arguments: str, log: Path) -> subprocess.Popen[bytes]:
    with log.open("wb") as file:
        environment = os.environ | {"PYTHONPATH": ROOT}
        command = [sys.executable, "-m", *arguments]
        return subprocess.Popen(command, stdout=file, stderr=subprocess.STDOUT, env=environment)


ROOT = str(Path(__file__).parents[1])


def wait_for(path: Path, text: str, seconds: float = 60) -> str:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        said = path.read_text(errors="replace") if path.exists() else ""
        if text in said:
            return said
        time.sleep(0.1)
    raise AssertionError(f"{path} never said {text!r}")


class Cluster:
    """A scheduler and workers, each a process of its own, until ``stop``."""

    def __init__(self, place: Path) -> None:
        self.place, self.address = place, ""
        self.scheduler: subprocess.Popen[bytes] | None = None
        self.workers: list[subprocess.Popen[bytes]] = []

    def start(self, workers: int, port: str = "0") -> None:
        file = self.place / "scheduler.json"
        file.unlink(missing_ok=True)
        self.scheduler = start(
            "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", port, "--no-dashboard",
            "--scheduler-file", str(file), log=self.place / "scheduler.log",
        )  # fmt: skip
        wait_for(file, "address")
        self.address = json.loads(file.read_text())["address"]
        for _ in range(workers):
            self.add_worker()

    def add_worker(self) -> None:
        log = self.place / f"worker-{len(self.workers)}.log"
        self.workers.append(
            start("distributed.cli.dask_worker", self.address, "--nthreads", "1", "--no-nanny", "--no-dashboard",
                  "--local-directory", str(self.place), log=log)
        )  # fmt: skip
        wait_for(log, "Registered to")

    def stop(self) -> None:
        for process in (*self.workers, *([self.scheduler] if self.scheduler else [])):
            process.kill()
            process.wait()
        self.scheduler, self.workers = None, []


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[Cluster]:
    """A scheduler with two workers."""
    made = Cluster(tmp_path)
    try:
        made.start(2)
        yield made
    finally:
        made.stop()


@pytest.mark.slow
def test_a_worker_killed_in_the_middle_loses_nothing_and_doubles_nothing(recordings: Path, cluster: Cluster) -> None:
    address, workers = cluster.address, cluster.workers
    long = (FIXTURES / "calf-claudication" / "transcript.vtt").read_bytes()
    for number in range(12):
        (recordings / f"x{number:02}.vtt").write_bytes(long)
    (recordings / "bad.vtt").write_text("WEBVTT\n\nno times\n", encoding="utf-8")
    told: list[tuple[int, int]] = []

    def kill_one(done: int, total: int) -> None:
        told.append((done, total))
        if done == 6:
            workers[0].send_signal(signal.SIGKILL)

    jobs: list[Job] = find_jobs(recordings)
    outcomes = run(jobs, Path("out"), Options(), cluster=address, tell=kill_one)
    assert workers[0].wait(timeout=30) != 0
    states = {outcome.name: outcome.state for outcome in outcomes}
    assert [name for name, state in states.items() if state != "drafted"] == ["bad.vtt"]
    assert "outside any cue" in str(outcomes[[job.name for job in jobs].index("bad.vtt")].why)
    assert told == [(done, len(jobs)) for done in range(len(jobs) + 1)], "each once"
    here = run(find_jobs(recordings), Path("here"), Options())
    assert {outcome.name: outcome.state for outcome in here} == states
    for name in states.keys() - {"bad.vtt"}:
        assert Path("out", name, "timeline.json").read_bytes() == Path("here", name, "timeline.json").read_bytes()


@pytest.mark.slow
def test_a_scheduler_that_goes_away_fails_no_recording(
    recordings: Path, cluster: Cluster, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    long = (FIXTURES / "calf-claudication" / "transcript.vtt").read_bytes()
    for number in range(10):
        (recordings / f"x{number:02}.vtt").write_bytes(long)

    def kill_it(done: int, total: int) -> None:
        if done == 4:
            cluster.stop()

    with pytest.raises(SchedulerError, match="went away"):
        run(find_jobs(recordings), Path("out"), Options(), cluster=cluster.address, tell=kill_it)
    report = json.loads(Path("out/batch.json").read_text(encoding="utf-8"))
    assert {case["state"] for case in report["cases"]} == {"drafted"}
    assert 4 <= len(report["cases"]) < 13
    assert main(["batch", "in", "--out", "out"]) == 0
    assert f"{13 - len(report['cases'])} drafted, {len(report['cases'])} there already" in capsys.readouterr().out


@pytest.mark.slow
def test_what_arrives_is_drafted_on_a_cluster_also_when_its_scheduler_was_away(
    recordings: Path, cluster: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(batch, "CONNECT_S", 2)
    told: list[str] = []
    new: list[str] = []
    look = 0

    def sleep(_: float) -> None:
        nonlocal look
        look += 1
        if look == 3:
            cluster.stop()
            shutil.copy(SHORT, recordings / "d.vtt")
        if look == 6:
            cluster.start(1, port=cluster.address.rpartition(":")[2])
        if look == 9:
            raise StopError

    with pytest.raises(StopError):
        watch(
            recordings, Path("out"), Options(), cluster=cluster.address, sleep=sleep, warn=told.append,
            done=lambda outcomes: new.extend(f"{outcome.name} {outcome.state}" for outcome in outcomes),
        )  # fmt: skip
    assert new == ["a.vtt drafted", "b.vtt drafted", "c in two notes drafted", "d.vtt drafted"]
    assert len(told) == 1
    assert "no scheduler answers" in told[0]


def test_watching_begins_only_where_a_scheduler_answers(
    recordings: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(batch, "CONNECT_S", 1)
    assert main(["watch", "in", "--out", "out", "--cluster", "tcp://127.0.0.1:9"]) == 2
    assert "no scheduler answers" in capsys.readouterr().err


def test_a_folder_that_is_none_is_an_input_error(tmp_path: Path) -> None:
    with pytest.raises(InputError):
        find_jobs(tmp_path / "nothing")
