"""``extractor desk`` as somebody starts it: where it answers, how it ends, and how it refuses."""

import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from extractor.cli import main
from extractor.desk.app import DEMO
from extractor.desk.store import open_store

ROOT = Path(__file__).parents[2]


@contextmanager
def started(folder: Path, *more: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A desk as a process of its own, and the address it printed."""
    command = [sys.executable, "-m", "extractor", "desk", "--store", str(folder), "--port", "0", "--no-browser", *more]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=environment)
    assert process.stdout is not None
    try:
        said = process.stdout.readline()
        found = re.fullmatch(r"The desk is open: (http://127\.0\.0\.1:\d+/enter\?key=\S+)\n", said)
        assert found, said
        yield process, found[1]
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def test_it_opens_has_a_first_case_and_closes(tmp_path: Path) -> None:
    with started(tmp_path / "desk") as (process, address):
        with httpx.Client() as browser:
            assert browser.get(address).headers["Location"] == "/"
            base = address.partition("/enter")[0]
            assert [case["title"] for case in browser.get(f"{base}/api/cases").json()] == [DEMO]
            assert browser.get(f"{base}/").status_code == 200
        process.send_signal(signal.SIGINT)
        rest, _ = process.communicate(timeout=60)
    assert process.returncode == 0
    assert rest.splitlines()[-1] == "The desk is closed."
    assert "For another browser: http://127.0.0.1:" in rest
    assert "Traceback" not in rest
    with open_store(tmp_path / "desk") as store:
        (case,) = store.cases()
        store.remove_case(case.id, "somebody", "seen")
    with started(tmp_path / "desk") as (_, address), httpx.Client() as browser:
        browser.get(address)
        assert browser.get(f"{address.partition('/enter')[0]}/api/cases").json() == [], "it does not come back"


def test_a_port_that_is_taken_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert main(["desk", "--store", str(tmp_path / "desk"), "--port", str(port), "--no-browser"]) == 2
    said = capsys.readouterr().err
    assert said.startswith(f"extractor: --port {port}: cannot be used (")
    assert said.endswith("name another port\n")


REFUSED = [
    pytest.param(["--host", "192.0.2.1"], "--host 192.0.2.1: no address of this machine", id="host-of-another"),
    pytest.param(["--host", "no.such.host.invalid"], "no address of this machine", id="host-of-nobody"),
    pytest.param(["--lexicons", "nowhere"], "nowhere", id="no-lexicons"),
    pytest.param(["--catalogue", "nowhere.csv"], "nowhere.csv", id="no-catalogue"),
]


@pytest.mark.parametrize(("arguments", "why"), REFUSED)
def test_what_cannot_be_used_is_told_at_once(
    arguments: list[str], why: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["desk", "--store", str(tmp_path / "desk"), "--port", "0", "--no-browser", *arguments]) == 2
    said = capsys.readouterr()
    assert why in said.err
    assert said.out == ""
