"""How many cases a batch drafts in a second on one worker and on two, each a process of its own; words and sound.

The client reads and writes while the workers work, and one case of sound keeps all cores of a machine busy by itself:
where there are no more than two cores, two workers on sound cannot draft more than one does.
"""

import os
import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import psutil
import pytest

from extractor.batch import Options, find_jobs, run
from tests.test_batch import Cluster

pytestmark = pytest.mark.benchmark

FIXTURES = Path(__file__).parents[2] / "fixtures"
#: Cases of each run; what must hold where every worker has cores of its own, and one is left for the client.
WORDS, SOUNDS, LEAST, CORES_FOR_WORDS = 24, 4, 1.7, 3


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[Cluster]:
    made = Cluster(tmp_path)
    try:
        made.start(1)
        yield made
    finally:
        made.stop()


def folder_of(place: Path, file: Path, cases: int) -> Path:
    place.mkdir()
    for number in range(cases):
        shutil.copy(file, place / f"{number:03}{file.suffix}")
    return place


@dataclass(frozen=True)
class Spent:
    """Of one run, a case: seconds by the clock, and of processor time in the workers, and in client and scheduler."""

    clock: float
    workers: float
    others: float


def spent(folder: Path, out: Path, cluster: Cluster) -> Spent:
    jobs = find_jobs(folder)
    assert cluster.scheduler
    workers = [psutil.Process(each.pid) for each in cluster.workers]
    others = [psutil.Process(cluster.scheduler.pid), psutil.Process()]

    def processor(processes: list[psutil.Process]) -> float:
        return sum(times.user + times.system for times in (each.cpu_times() for each in processes))

    before, begin = (processor(workers), processor(others)), time.perf_counter()
    outcomes = run(jobs, out, Options(), cluster=cluster.address)
    clock, after = time.perf_counter() - begin, (processor(workers), processor(others))
    assert {outcome.state for outcome in outcomes} == {"drafted"}
    return Spent(clock / len(jobs), (after[0] - before[0]) / len(jobs), (after[1] - before[1]) / len(jobs))


KINDS = [
    pytest.param("calf-claudication/transcript.vtt", WORDS, id="words"),
    pytest.param("short-inflation/recording.opus", SOUNDS, marks=pytest.mark.sound, id="sound"),
]


@pytest.mark.parametrize(("file", "cases"), KINDS)
def test_two_workers_draft_nearly_twice_as_much(file: str, cases: int, cluster: Cluster, tmp_path: Path) -> None:
    folder = folder_of(tmp_path / "in", FIXTURES / file, cases)
    spent(folder_of(tmp_path / "first", FIXTURES / file, 1), tmp_path / "warm-1", cluster)  # models are loaded once
    one = spent(folder, tmp_path / "one", cluster)
    cluster.add_worker()
    spent(folder_of(tmp_path / "second", FIXTURES / file, 4), tmp_path / "warm-2", cluster)
    two = spent(folder, tmp_path / "two", cluster)
    drafts = [
        [path.read_bytes() for path in sorted((tmp_path / out).glob("*/timeline.json"))] for out in ("one", "two")
    ]
    assert drafts[0] == drafts[1], "the same drafts, whoever makes them"
    cores, busy = len(os.sched_getaffinity(0)), os.getloadavg()[0]
    print(f"\n{cases} cases of {file}, {cores} cores, {busy:.0f} processes that want one:")
    for name, each in (("one worker", one), ("two", two)):
        print(
            f"{name:>11}: {1 / each.clock:.2f} cases/s; a case takes {each.workers:.2f} s of processor time in "
            f"workers, {each.others:.2f} in client and scheduler"
        )
    print(f"{one.clock / two.clock:.2f} times by the clock; work of a case {two.workers / one.workers:.2f} times")
    if cores >= CORES_FOR_WORDS and "vtt" in file and busy < cores:
        assert one.clock / two.clock >= LEAST
