"""Fifty reviewers at once on fifty cases, now and then on a neighbour's: no update is lost, and how fast is the answer.

A reviewer thinks for half a second between two changes: faster than anybody reviews. ``make benchmark`` has them work
for a minute, on either database, through the store and through HTTP, and once without thinking.
"""

import http.client
import json
import os
import random
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from extractor.desk import edits
from extractor.desk.rows import Conflict
from extractor.desk.security import Settings
from extractor.desk.store import Store
from extractor.errors import EditError
from extractor.model import Timeline

REVIEWERS = 50
#: Seconds between two changes of a reviewer, on average.
THINKS_S = 0.5
#: What must hold on a machine that does nothing else, in seconds.
MEDIAN_S = 0.1

#: Case, base, value -> the number of the revision that is kept; None where somebody was faster.
Change = Callable[[int, int, float], int | None]


@dataclass
class Reviewer:
    """Somebody at work: what they were answered, and when."""

    name: str
    change: Change
    kept: list[tuple[int, int, float]] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    fault: BaseException | None = None

    def work(self, own: int, neighbours: int, until: float, thinks_s: float) -> None:
        """Changes their own case, every tenth time their neighbour's; each value is another than the last."""
        chance = random.Random(self.name)
        heads = {own: 0, neighbours: 0}
        try:
            time.sleep(chance.uniform(0, 2 * thinks_s))
            for count in range(1_000_000):
                if time.monotonic() > until:
                    return
                case = neighbours if count % 10 == 9 else own
                value = float(20 + count % 7 + (0.5 if case == neighbours else 0))
                began = time.perf_counter()
                number = self.change(case, heads[case], value)
                self.seconds.append(time.perf_counter() - began)
                if number is not None:
                    heads[case] = number
                    self.kept.append((case, number, value))
                time.sleep(chance.uniform(0, 2 * thinks_s))
        except BaseException as error:
            self.fault = error


def fifty_at_work(
    store: Store, cases: list[int], changes: Callable[[str], Change], lasts_s: float, thinks_s: float
) -> list[float]:
    """Lets them work -> the seconds they waited, sorted. What was answered to them is there, and nothing else is."""
    until = time.monotonic() + lasts_s
    reviewers = [Reviewer(f"R{number}", changes(f"R{number}")) for number in range(len(cases))]
    threads = [
        threading.Thread(target=each.work, args=(own, neighbours, until, thinks_s))
        for each, own, neighbours in zip(reviewers, cases, [*cases[1:], cases[0]], strict=True)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [each.fault for each in reviewers if each.fault] == []
    answered = {(case, number): (each.name, value) for each in reviewers for case, number, value in each.kept}
    kept = {
        (case, revision.number): (revision.by, revision.changes[0].after)
        for case in cases
        for revision in store.revisions(case)
    }
    assert kept == answered
    assert sum(len(each.kept) for each in reviewers) == len(answered)
    assert store.verify().revisions == len(answered)
    return sorted(second for each in reviewers for second in each.seconds)


def through_store(store: Store) -> Callable[[str], Change]:
    def changes(name: str) -> Change:
        def change(case: int, base: int, value: float) -> int | None:
            edit = edits.Set(event="e0003", field="values.pressure.value", value=value)
            while True:
                try:
                    return store.revise(case, base, edit, name).revision.number
                except Conflict as conflict:
                    base = conflict.head  # seen, and wanted all the same
                except EditError:
                    return None  # the other one set the same

        return change

    return changes


@pytest.fixture
def cases(store: Store, small_timeline: Timeline) -> list[int]:
    """Fifty cases of sixty events."""
    events = tuple(
        event.model_copy(update={"id": f"e{place * 6 + number:04}"})
        for place in range(10)
        for number, event in enumerate(small_timeline.events, 1)
    )
    timeline = small_timeline.model_copy(update={"events": events})
    numbers = []
    for _ in range(REVIEWERS):
        case = store.new_case("A case", "A. Operator")
        store.job_done(case, timeline)
        numbers.append(case)
    return numbers


def test_fifty_reviewers_lose_nothing(store: Store, cases: list[int]) -> None:
    assert len(fifty_at_work(store, cases, through_store(store), 3, THINKS_S)) > REVIEWERS


def kind_of(store: Store) -> str:
    return "PostgreSQL" if "://" in store.name else "SQLite"


def told(what: str, lasts_s: float, seconds: list[float]) -> None:
    half, most = seconds[len(seconds) // 2], seconds[len(seconds) * 95 // 100]
    print(
        f"\n{what}: {len(seconds) / lasts_s:.0f} changes a second, answered in {half * 1000:.0f} ms (median), "
        f"{most * 1000:.0f} ms (95 %), {seconds[-1] * 1000:.0f} ms (the slowest); no update lost"
    )


@pytest.mark.benchmark
@pytest.mark.parametrize(("lasts_s", "thinks_s"), [(60, THINKS_S), (20, 0.0)], ids=["thinking", "breathless"])
def test_how_fast_the_store_answers_fifty(store: Store, cases: list[int], lasts_s: float, thinks_s: float) -> None:
    seconds = fifty_at_work(store, cases, through_store(store), lasts_s, thinks_s)
    told(f"{kind_of(store)}, the store itself, thinking {thinks_s} s", lasts_s, seconds)
    assert not thinks_s or seconds[len(seconds) // 2] < MEDIAN_S


@pytest.mark.benchmark
def test_how_fast_the_desk_answers_fifty(store: Store, cases: list[int], root: Path) -> None:
    """Through HTTP, as browsers do: a desk in a process of its own, a connection and a session each."""
    with desk(store, root) as port, ExitStack() as connections:
        seconds = fifty_at_work(store, cases, through_http(store, port, connections), 60, THINKS_S)
    told(f"{kind_of(store)}, over HTTP, thinking {THINKS_S} s", 60, seconds)
    assert seconds[len(seconds) // 2] < MEDIAN_S


@contextmanager
def desk(store: Store, root: Path) -> Iterator[int]:
    """A desk over the same database, in a process of its own -> its port."""
    where = store.name if "://" in store.name else str(store.folder)
    command = [sys.executable, "-m", "extractor", "desk", "--store", where, "--port", "0", "--no-browser"]
    place = {"PYTHONPATH": str(root), "EXTRACTOR_DATA": str(store.folder.parent), "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(command, env=os.environ | place, stdout=subprocess.PIPE, text=True)
    try:
        assert process.stdout
        said = process.stdout.readline()
        yield int(said.rpartition("/enter")[0].rpartition(":")[2])
    finally:
        process.terminate()
        process.wait(timeout=30)
        process.stdout.close()


def through_http(store: Store, port: int, connections: ExitStack) -> Callable[[str], Change]:
    cookie = Settings().at(port).cookie

    def changes(name: str) -> Change:
        store.add_person(name, ["operator"])
        headers = {"Cookie": f"{cookie}={store.open_session(name)}", "Content-Type": "application/json"}
        connection = connections.enter_context(closing(http.client.HTTPConnection("127.0.0.1", port, timeout=60)))

        def post(case: int, base: int, value: float) -> tuple[int, Any]:
            edit = {"do": "set", "event": "e0003", "field": "values.pressure.value", "value": value}
            body = json.dumps({"base": base, "edit": edit})
            connection.request("POST", f"/api/cases/{case}/revisions", body, headers)
            answer = connection.getresponse()
            return answer.status, json.loads(answer.read())

        def change(case: int, base: int, value: float) -> int | None:
            while True:
                status, answer = post(case, base, value)
                if status == 201:
                    return int(answer["revision"]["number"])
                if status == 422:
                    return None  # the other one set the same
                assert status == 409, answer
                base = answer["head"]

        return change

    return changes
