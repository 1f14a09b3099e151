"""A database of any age -> one with the tables of today (Alembic). ``versions`` holds one file a step, from 0001 on.

A new step: a file there, named for its number, with ``upgrade`` and ``downgrade``; never a change to an old one. The
tests compare what the steps make with ``tables``, and open a store that the first version made.
"""

from pathlib import Path
from typing import Any

from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from extractor.desk.tables import metadata

_HERE = Path(__file__).parent


def newest() -> str:
    """The number of the last step."""
    return _script().get_current_head() or ""


def version(connection: Connection) -> str | None:
    """The step a database stands at, None where it has none of our tables."""
    return MigrationContext.configure(connection).get_current_revision()


def migrate(connection: Connection, goal: str = "head") -> None:
    """Takes the steps between where a database stands and ``goal``, up or down ("base": no tables), in the
    transaction that is open. alembic.util.CommandError where it stands at a step that is not known here.
    """
    script = _script()
    stands = version(connection)
    numbers = [step.revision for step in script.walk_revisions()][::-1]
    aim = numbers[-1] if goal == "head" else goal
    down = aim == "base" or (stands in numbers and numbers.index(aim) < numbers.index(stands))

    def steps(at: Any, _: Any) -> Any:
        return script._downgrade_revs(aim, at) if down else script._upgrade_revs(aim, at)

    with EnvironmentContext(Config(), script, fn=steps, destination_rev=aim) as environment:
        environment.configure(connection=connection, target_metadata=metadata)
        environment.run_migrations()


def _script() -> ScriptDirectory:
    return ScriptDirectory(str(_HERE))
