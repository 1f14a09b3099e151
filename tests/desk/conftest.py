"""A store with a drafted case, as a folder and on a private PostgreSQL."""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pytest

from extractor.desk.store import Store, open_store


@dataclass
class Server:
    """A PostgreSQL of our own: its programs, its folder, the user it runs as (None: ours)."""

    programs: Path
    folder: Path
    user: str | None
    made: int = 0

    def run(self, program: str, *arguments: str) -> str:
        become = ["runuser", "-u", self.user, "--"] if self.user else []
        command = [*become, str(self.programs / program), *arguments]
        done = subprocess.run(command, cwd="/", check=True, capture_output=True, text=True, timeout=60)
        return done.stdout

    def start(self) -> None:
        # No port: only a socket in a folder of its own. Its log is a file, since it outlives the one that starts it.
        options = f"-c listen_addresses='' -k {self.folder}"
        self.run("pg_ctl", "-D", f"{self.folder}/data", "-l", f"{self.folder}/log", "-o", options, "-w", "start")

    def stop(self) -> None:
        """As if the machine failed: open connections are cut."""
        self.run("pg_ctl", "-D", f"{self.folder}/data", "-m", "immediate", "-w", "stop")

    def new_database(self) -> str:
        """A fresh database -> its URL."""
        self.made += 1
        name = f"desk{self.made}"
        self.run("createdb", "-h", str(self.folder), "-U", "desk", name)
        return f"postgresql://desk@/{name}?host={self.folder}"


def _programs() -> Path | None:
    """Where Debian puts them, the newest; else where the shell finds them."""
    of_debian = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: float(path.parts[4]))
    found = of_debian[-1] if of_debian else shutil.which("initdb")
    return Path(found).parent if found else None


@pytest.fixture(scope="session")
def postgresql() -> Iterator[Server]:
    """A PostgreSQL of our own, from Debian's package; as root it runs as the user that package makes."""
    programs = _programs()
    if programs is None:
        pytest.skip("PostgreSQL is not installed (Debian: apt-get install postgresql)")
    user = None
    if os.geteuid() == 0:
        user = "postgres"
        try:
            pwd.getpwnam(user)
        except KeyError:
            pytest.skip("PostgreSQL does not run as root, and there is no user postgres")
    # Not in pytest's own folder: that one only its owner may enter.
    folder = Path(tempfile.mkdtemp(prefix="desk-pg-"))
    if user:
        shutil.chown(folder, user, user)
    server = Server(programs, folder, user)
    try:
        server.run(
            "initdb", "-D", f"{folder}/data", "-U", "desk", "--auth=trust", "--no-sync", "--encoding=UTF8", "--locale=C"
        )
        server.start()
        yield server
    finally:
        with suppress(subprocess.CalledProcessError):  # stopped already
            server.stop()
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """An empty store, of either kind."""
    where = None if request.param == "sqlite" else request.getfixturevalue("postgresql").new_database()
    with open_store(where or tmp_path / "desk", media=tmp_path / "desk") as opened:
        yield opened


@pytest.fixture
def folder_store(tmp_path: Path) -> Iterator[Store]:
    """An empty store in a folder, ``desk``."""
    with open_store(tmp_path / "desk") as opened:
        yield opened
