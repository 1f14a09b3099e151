"""Where a store lies -> its database: opened, of today's form, and written so that what returned is on the disk.

**SQLite.** One file, WAL, ``synchronous=FULL``. One thread of a process writes: it takes what waits, runs it in one
transaction, a savepoint each, and commits once. So fifty people wait for one write to the disk, not for fifty, and
nobody waits for a lock. **PostgreSQL.** A transaction a write; the server gathers commits itself.

Whatever the database complains of becomes a StoreError with its cure. None of them leaves anything half-written.
"""

import os
import queue
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from alembic.util import CommandError
from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import (
    ArgumentError,
    DBAPIError,
    IntegrityError,
    InterfaceError,
    NoSuchModuleError,
    OperationalError,
)
from sqlalchemy.exc import TimeoutError as NoConnectionFree

from extractor.desk import migrations
from extractor.desk.rows import RefusedError
from extractor.errors import StoreError

T = TypeVar("T")
Act = Callable[[Connection], T]

FILE = "desk.sqlite"
#: Steps of people that one transaction takes at most, and how long a write waits for another process, in seconds.
_TOGETHER, _BUSY_S = 100, 20
#: How soon what was busy is tried again.
_AGAIN_S = 0.01
#: Connections to PostgreSQL at once, and how long to wait for it to answer, in seconds.
_CONNECTIONS, _ANSWERS_S = 40, 5
#: Any number, the same in every process: who migrates holds the advisory lock of this name.
_MIGRATING = 6_025_330


def utc_now() -> datetime:
    """The time, with its zone."""
    return datetime.now(UTC)


class Database:
    """An open database. ``read`` and ``write`` may be called from any thread."""

    def __init__(self, where: str | Path, *, clock: Callable[[], datetime] = utc_now) -> None:
        """A folder for SQLite (made where missing), or the URL of a database. Brings its tables up to date.

        StoreError where it can't be opened, is of a newer version, or can't be written.
        """
        self.clock = clock
        self._writer: _Writer | None = None
        if isinstance(where, Path):
            self.name = str(where / FILE)
            _make_folder(where)
            url = URL.create("sqlite", database=self.name)
        else:
            url = _url(where)
            self.name = url.render_as_string(hide_password=True)
        try:
            if url.get_backend_name() == "sqlite":
                self._engine = _sqlite(url, "BEGIN")
                self._migrate(_sqlite(url, "BEGIN IMMEDIATE"))
                if url.database:
                    with suppress(OSError):
                        Path(url.database).chmod(0o600)
                self._writer = _Writer(_sqlite(url, "BEGIN IMMEDIATE"), self._said)
            else:
                self._engine = _postgresql(url)
                self._migrate(self._engine)
        except BaseException:
            if hasattr(self, "_engine"):
                self._engine.dispose()
            raise

    def now(self) -> str:
        """The time as the store writes it: ISO 8601 in UTC, to the microsecond."""
        return stamp(self.clock())

    @contextmanager
    def read(self, *, steady: bool = False) -> Iterator[Connection]:
        """A connection to read with; ``steady``: it sees one moment, whatever is written meanwhile."""
        with self._said(), self._engine.connect() as connection:
            if steady and not self._writer:  # SQLite's always do
                connection.execution_options(isolation_level="REPEATABLE READ")
            yield connection

    def write(self, act: Act[T]) -> T:
        """Runs ``act`` in a transaction; when this returns, it is on the disk. What it raises undoes it.

        ``act`` touches nothing but the connection: it may be run again where others in the same transaction fail.
        """
        if self._writer:
            return self._writer.write(act)
        with self._said(), self._engine.connect() as connection:
            transaction = connection.begin()
            try:
                result = act(connection)
            except BaseException:
                with suppress(DBAPIError):
                    transaction.rollback()
                raise
            try:
                transaction.commit()
            except (OperationalError, InterfaceError) as error:
                raise StoreError(
                    f"{self.name}: the connection was lost while the last step was being kept ({_brief(error)}); "
                    "when it is back, look whether the step is there before you do it again"
                ) from error
            return result

    def copy_database(self, goal: Path) -> None:
        """SQLite as it is at this moment -> a new file, while others go on. RefusedError on PostgreSQL."""
        if not self._writer:
            raise RefusedError(f"{self.name}: is backed up with pg_dump; then copy the folder with its files")
        with self._said(), closing(self._engine.raw_connection()) as connection, closing(sqlite3.connect(goal)) as copy:
            connection.driver_connection.backup(copy)  # type: ignore[union-attr]

    def close(self) -> None:
        """Ends the writing thread, after what waits is written, and every connection."""
        if self._writer:
            self._writer.close()
        self._engine.dispose()

    def _migrate(self, engine: Engine) -> None:
        """Only one process at a time; a store that is of today's form already is not written."""
        try:
            with self._said(), self._engine.connect() as connection:
                if migrations.version(connection) == migrations.newest():
                    return
            with self._said(), engine.begin() as connection:
                if engine.dialect.name == "postgresql":
                    connection.execute(text("SELECT pg_advisory_xact_lock(:name)"), {"name": _MIGRATING})
                migrations.migrate(connection)
        except CommandError as error:
            raise StoreError(
                f"{self.name}: was made by a newer version of this program; open it with that one, nothing was changed"
            ) from error
        finally:
            if engine is not self._engine:
                engine.dispose()

    @contextmanager
    def _said(self) -> Iterator[None]:
        """What the database complains of -> a StoreError that says it in plain words, with its cure."""
        try:
            yield
        except IntegrityError as error:
            raise RefusedError(
                "somebody did the same in the same moment; look, and do it again where need be"
            ) from error
        except (DBAPIError, NoConnectionFree) as error:
            raise StoreError(f"{self.name}: {_complaint(error)}") from error


def stamp(time: datetime) -> str:
    """A time with its zone -> ISO 8601 in UTC, to the microsecond: as text in order of time."""
    return time.astimezone(UTC).isoformat(timespec="microseconds")


# --- SQLite


@dataclass
class _Step:
    act: Act[Any]
    done: "Future[Any]" = field(default_factory=Future)


class _Writer:
    """One thread with one connection that writes what waits, many steps in one transaction, each by its savepoint."""

    def __init__(self, engine: Engine, said: Callable[[], Any]) -> None:
        self._engine, self._said = engine, said
        self._waiting: queue.SimpleQueue[_Step | None] = queue.SimpleQueue()
        self._closed = False
        self._turn = threading.Lock()  # between the last step and the end
        self._thread = threading.Thread(target=self._work, name="store-writer", daemon=True)
        self._thread.start()

    def write(self, act: Act[T]) -> T:
        if threading.current_thread() is self._thread:
            raise RuntimeError("a write inside a write would wait for itself; hand the connection on")
        step = _Step(act)
        with self._turn:
            if self._closed:
                raise StoreError("the store was closed; open it again")
            self._waiting.put(step)
        result: T = step.done.result()
        return result

    def close(self) -> None:
        with self._turn:
            if not self._closed:
                self._closed = True
                self._waiting.put(None)
        self._thread.join()
        self._engine.dispose()

    def _work(self) -> None:
        while (step := self._waiting.get()) is not None:
            together = [step]
            ended = False
            with suppress(queue.Empty):
                while len(together) < _TOGETHER and not ended:
                    more = self._waiting.get_nowait()
                    if more is None:
                        ended = True
                    else:
                        together.append(more)
            if len(together) == 1:
                self._write_alone(step)
            else:
                self._write_together(together)
            if ended:
                return

    def _write_together(self, steps: list[_Step]) -> None:
        """One commit for all. Where the database itself fails, each alone, so that one takes no other with it."""
        try:
            with self._said(), self._engine.begin() as connection:
                outcomes = [_in_savepoint(step.act, connection) for step in steps]
        except BaseException:
            for step in steps:
                self._write_alone(step)
            return
        for step, (result, fault) in zip(steps, outcomes, strict=True):
            if fault:
                step.done.set_exception(fault)
            else:
                step.done.set_result(result)

    def _write_alone(self, step: _Step) -> None:
        """Without a savepoint: SQLite that found no room gave the transaction up, and going back to one hides why."""
        try:
            with self._said(), self._engine.begin() as connection:
                result = step.act(connection)
        except BaseException as error:
            step.done.set_exception(error)
        else:
            step.done.set_result(result)


def _in_savepoint(act: Act[T], connection: Connection) -> tuple[T | None, BaseException | None]:
    """What a step of several returns or raises; what it raised is undone. A fault of the database is nobody's own."""
    try:
        with connection.begin_nested():
            return act(connection), None
    except DBAPIError:
        raise
    except BaseException as error:
        return None, error


def _sqlite(url: URL, begin: str) -> Engine:
    engine = create_engine(url, connect_args={"timeout": _BUSY_S, "check_same_thread": False}, pool_size=20)

    @event.listens_for(engine, "connect")
    def prepare(connection: Any, _: Any) -> None:
        connection.isolation_level = None  # the driver begins nothing by itself: begin() below does
        log_ahead(connection)
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("PRAGMA fullfsync=ON")  # where an fsync alone stops at the disk's own memory (macOS)
        connection.execute("PRAGMA foreign_keys=ON")

    @event.listens_for(engine, "begin")
    def begin_so(connection: Connection) -> None:
        connection.exec_driver_sql(begin)

    return engine


def log_ahead(connection: sqlite3.Connection) -> None:
    """Turns on the write-ahead log, waiting for others that do so: SQLite itself does not wait for them all, lest two
    that both read and want to write wait for each other.
    """
    until = time.monotonic() + _BUSY_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode=WAL")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorname != "SQLITE_BUSY" or time.monotonic() >= until:
                raise
            time.sleep(_AGAIN_S)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise StoreError(
            f"{folder}: cannot be made ({error.strerror or error}); name another folder with --store"
        ) from error


# --- PostgreSQL


def _postgresql(url: URL) -> Engine:
    try:
        return create_engine(
            url,
            pool_size=_CONNECTIONS,
            max_overflow=10,
            pool_pre_ping=True,
            connect_args={"connect_timeout": _ANSWERS_S, "options": "-c synchronous_commit=on"},
        )
    except ModuleNotFoundError as error:
        raise StoreError(
            "PostgreSQL needs a package that is not installed; pip install 'spoken-procedure-timeline[postgresql]'"
        ) from error


def _url(where: str) -> URL:
    """What somebody wrote -> a URL with the driver we use. Nothing of it is shown but with its password hidden."""
    try:
        url = make_url(where)
        if url.drivername == "postgresql":
            url = url.set(drivername="postgresql+psycopg")
        if url.drivername not in {"postgresql+psycopg", "sqlite"} or (url.drivername == "sqlite" and not url.database):
            raise StoreError(f"{url.drivername}: no database of this kind is known; give a folder, or postgresql://…")
    except (ArgumentError, NoSuchModuleError, ValueError) as error:
        raise StoreError("--store: not a URL; give a folder, or postgresql://NAME@HOST/DATABASE") from error
    return url


# --- complaints

#: Of SQLite by its code, of PostgreSQL by its class of SQLSTATE: what is wrong, and the cure.
_COMPLAINTS = {
    "SQLITE_FULL": "the disk is full, nothing of this step was kept; free some space and do it again",
    "SQLITE_READONLY": "may not be written, nothing of this step was kept; make the folder and its files writable",
    "SQLITE_CANTOPEN": "cannot be opened; see that its folder is there and may be read and written",
    "SQLITE_IOERR": "the disk failed or is full, nothing of this step was kept; see to the disk and do it again",
    "SQLITE_BUSY": "another program holds it; close that one and do it again",
    "SQLITE_NOTADB": "is no store; name another folder with --store",
    "SQLITE_CORRUPT": "is damaged; put the last backup in its place, and keep the damaged file",
    "53": "the database has no room left, nothing of this step was kept; give it more and do it again",
    "25": "may not be written, nothing of this step was kept; ask whoever keeps the database",
    "28": "the database refuses this name or password; see to the URL",
    "3D": "there is no such database; have it made with createdb",
    "42": "the database refuses; its user must own the tables of the store",
}


def _complaint(error: DBAPIError | NoConnectionFree) -> str:
    if isinstance(error, NoConnectionFree):
        return "too many ask at once; try again"
    code = str(getattr(error.orig, "sqlite_errorname", None) or getattr(error.orig, "sqlstate", None) or "")
    for start, complaint in _COMPLAINTS.items():
        if code.startswith(start):
            return f"{complaint} ({_brief(error)})"
    if isinstance(error, OperationalError | InterfaceError):
        return (
            f"the database does not answer ({_brief(error)}); nothing of this step was kept, all before it was. "
            "When it is back, do it again"
        )
    return f"refused by the database ({_brief(error)}); nothing of this step was kept"


def _brief(error: DBAPIError) -> str:
    """The database's own words, the first line: no statement, no values."""
    return str(error.orig).strip().partition(os.linesep)[0].partition("\n")[0]
