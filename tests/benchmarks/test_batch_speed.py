"""How many cases a batch drafts in a second on one worker and on two, each a process of its own; words and sound.

The client reads and writes while the workers work, and one case of sound keeps all cores of a machine busy by itself:
where there are no more than two cores, two workers on sound cannot draft more than one does.
"""

import os
import shutil
import time
from collections.abc import Iterator
from pathlib import Path

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


def seconds(folder: Path, out: Path, cluster: Cluster) -> float:
    jobs = find_jobs(folder)
    begin = time.perf_counter()
    outcomes = run(jobs, out, Options(), cluster=cluster.address)
    took = time.perf_counter() - begin
    assert {outcome.state for outcome in outcomes} == {"drafted"}
    return took


KINDS = [
    pytest.param("calf-claudication/transcript.vtt", WORDS, id="words"),
    pytest.param("short-inflation/recording.opus", SOUNDS, marks=pytest.mark.sound, id="sound"),
]


@pytest.mark.parametrize(("file", "cases"), KINDS)
def test_two_workers_draft_nearly_twice_as_much(file: str, cases: int, cluster: Cluster, tmp_path: Path) -> None:
    folder = folder_of(tmp_path / "in", FIXTURES / file, cases)
    seconds(folder_of(tmp_path / "first", FIXTURES / file, 1), tmp_path / "warm-1", cluster)  # models are loaded once
    one = seconds(folder, tmp_path / "one", cluster)
    cluster.add_worker()
    seconds(folder_of(tmp_path / "second", FIXTURES / file, 4), tmp_path / "warm-2", cluster)
    two = seconds(folder, tmp_path / "two", cluster)
    cores = len(os.sched_getaffinity(0))
    print(
        f"\n{cases} cases of {file}, {cores} cores: {cases / one:.2f} cases/s on one worker, {cases / two:.2f} on two: "
        f"{one / two:.2f} times"
    )
    if cores >= CORES_FOR_WORDS and "vtt" in file:
        assert one / two >= LEAST
