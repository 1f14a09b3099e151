"""The steps from one form of the tables to the next: they make what the program knows, up and down, from the first."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Engine, create_engine, inspect, text

from extractor.desk import migrations
from extractor.desk.database import log_ahead
from extractor.desk.store import open_store
from extractor.desk.tables import metadata
from extractor.errors import StoreError
from extractor.model import Timeline


@pytest.fixture(params=["sqlite", "postgresql"])
def engine(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Engine]:
    if request.param == "sqlite":
        url = f"sqlite:///{tmp_path / 'desk.sqlite'}"
    else:
        url = request.getfixturevalue("postgresql").new_database().replace("postgresql:", "postgresql+psycopg:")
    engine = create_engine(url)
    yield engine
    engine.dispose()


def test_the_steps_make_the_tables_the_program_knows(engine: Engine) -> None:
    with engine.begin() as connection:
        migrations.migrate(connection)
        assert migrations.version(connection) == migrations.newest()
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_up_step_by_step_and_down_again(engine: Engine) -> None:
    steps = [f"{number:04}" for number in range(1, int(migrations.newest()) + 1)]
    tables = []
    for step in steps:
        with engine.begin() as connection:
            migrations.migrate(connection, step)
            assert migrations.version(connection) == step
            tables.append(sorted(inspect(connection).get_table_names()))
    for step, expected in zip(steps[::-1], tables[::-1], strict=True):
        with engine.begin() as connection:
            migrations.migrate(connection, step)
            assert sorted(inspect(connection).get_table_names()) == expected
    with engine.begin() as connection:
        migrations.migrate(connection, "base")
        assert inspect(connection).get_table_names() == ["alembic_version"]
        migrations.migrate(connection)
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_a_store_of_the_first_version_opens_with_all_that_is_in_it(tmp_path: Path, small_timeline: Timeline) -> None:
    """``first.sql`` was written by the first version: a case, drafted, with two revisions."""
    folder = tmp_path / "desk"
    folder.mkdir()
    with sqlite3.connect(folder / "desk.sqlite") as old:
        old.executescript((Path(__file__).parent / "first.sql").read_text(encoding="utf-8"))
    old.close()
    with open_store(folder) as store:
        assert store.verify().revisions == 2
        head, timeline = store.timeline(1)
        assert (head, [revision.by for revision in timeline.revisions]) == (2, ["A. Operator", "B. Operator"])
        assert timeline.events[2].values["pressure"].value == 18
        assert store.sign_in("A. Operator", "correct horse battery")
        with store.read() as connection:
            assert migrations.version(connection) == migrations.newest()


def test_a_store_of_a_newer_version_is_left_alone(tmp_path: Path) -> None:
    with open_store(tmp_path / "desk") as store:
        store.write(lambda connection: connection.execute(text("UPDATE alembic_version SET version_num = '9999'")))
    before = (tmp_path / "desk/desk.sqlite").read_bytes()
    with pytest.raises(StoreError, match="newer version"):
        open_store(tmp_path / "desk")
    assert (tmp_path / "desk/desk.sqlite").read_bytes() == before


def test_many_that_open_a_new_store_at_once_make_it_once(tmp_path: Path) -> None:
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(8) as pool:
        stores = list(pool.map(lambda _: open_store(tmp_path / "desk"), range(8)))
    for store in stores:
        store.new_case("A case", "A. Operator")
    assert len(stores[0].cases()) == 8
    for store in stores:
        store.close()


def test_whoever_opens_a_store_waits_where_sqlite_does_not(tmp_path: Path) -> None:
    """Two at once may both be told "busy" at once, whatever the time they would wait."""
    tries = iter(("SQLITE_BUSY", "SQLITE_BUSY", ""))

    class Busy(sqlite3.Connection):
        def execute(self, sql: str, parameters: Any = (), /) -> sqlite3.Cursor:
            if "journal_mode" in sql and (name := next(tries)):
                error = sqlite3.OperationalError("database is locked")
                error.sqlite_errorname = name
                raise error
            return super().execute(sql, parameters)

    with closing(sqlite3.connect(tmp_path / "desk.sqlite", factory=Busy)) as connection:
        log_ahead(connection)
        assert sqlite3.Connection.execute(connection, "PRAGMA journal_mode").fetchone() == ("wal",)
    assert list(tries) == []
