"""What an audit of a thousand cases costs: time and memory of a process of its own."""

import os
import resource
import subprocess
import sys
import time
from pathlib import Path

import pytest

from extractor import draft_folder, pipeline
from extractor.audit.crosscheck import cross_check
from extractor.audit.pressure_log import read_log

pytestmark = pytest.mark.benchmark

CASES, MOST_S, MOST_BYTES = 1_000, 60, 1_000_000_000
FIXTURE = Path(__file__).parents[2] / "fixtures" / "fistula-high-pressure"


def test_a_thousand_cases_are_audited_in_a_minute(root: Path, tmp_path: Path) -> None:
    timeline = pipeline.draft([FIXTURE / "transcript.vtt"])
    check = cross_check(timeline, [read_log(FIXTURE / "pressure-log.csv")])
    for number in range(CASES):
        sha256 = f"{number:064}"
        recorded = timeline.recording.model_copy(
            update={"sha256": sha256, "recorded_at": f"2026-{1 + number % 12:02}-04T10:00:00+00:00"}
        )
        case = tmp_path / "cases" / f"{number:04}"
        draft_folder.write(timeline.model_copy(update={"recording": recorded}), case)
        (case / "pressures.json").write_text(
            check.model_copy(update={"recording": sha256}).model_dump_json(indent=1), encoding="utf-8"
        )
    size = sum(path.stat().st_size for path in (tmp_path / "cases").rglob("*.json"))
    command = [sys.executable, "-m", "extractor", "audit", str(tmp_path / "cases"), "--out", str(tmp_path / "report")]
    before, begin = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(command, check=True, cwd=root, env=os.environ | {"PYTHONPATH": str(root)}, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    worked = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    most = after.ru_maxrss * 1024  # of all children of this process: an upper bound
    print(
        f"\n{CASES} cases, {size / 1e6:.0f} MB: {worked:.0f} s of processor time, {time.perf_counter() - begin:.0f} s "
        f"by the clock, {most / 1e6:.0f} MB at most"
    )
    assert worked <= MOST_S
    assert most <= MOST_BYTES
