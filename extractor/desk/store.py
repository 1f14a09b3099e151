"""Where the desk keeps everything: cases, files, timelines with their revisions, signatures, people, the log.

By default one folder: ``desk.sqlite``, ``media/`` with recordings and logs, ``keys/`` with people's keys. Copied while
nothing is open, it is a whole backup. With a PostgreSQL URL the tables lie there and the folder holds the rest.

What a write returned from is on the disk, whatever comes after. Nothing is deleted: it is hidden, with who and when.
"""

import os
import shutil
import sqlite3
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from extractor.desk.checking import Checking
from extractor.desk.database import FILE, utc_now
from extractor.desk.jobs import Jobs
from extractor.desk.keys import Keys
from extractor.desk.media import Media
from extractor.desk.people import People
from extractor.desk.rows import Whole
from extractor.desk.suggestions import Suggestions
from extractor.draft_folder import require_free
from extractor.errors import OutputError, StoreError
from extractor.listening.kept_files import data_folder


class Store(Jobs, People, Suggestions, Checking):
    """A store that is open. Its methods may be called from any thread."""

    def __init__(self, where: str | Path, folder: Path, *, clock: Callable[[], datetime] = utc_now) -> None:
        """The database (a folder, or a URL), and the folder of media and keys; ``open_store`` chooses both."""
        super().__init__(where, clock=clock)
        self.folder = folder
        self.media = Media(folder / "media")
        self.media.sweep()
        self.keys = Keys(folder / "keys")

    def back_up(self, goal: Path) -> Whole:
        """All of a store in a folder, as it is now -> a new folder that is such a store, looked through.

        People may go on meanwhile: the database is copied first, and what it tells of does not change after.
        OutputError where something is there already or the disk takes no more, StoreError where the copy is not whole.
        """
        require_free(goal)
        part = goal.with_name(f".{goal.name}.{os.getpid()}.part")
        try:
            part.mkdir(parents=True, mode=0o700)
            self.copy_database(part / FILE)
            for folder in self.folder.iterdir():
                if folder.is_dir():
                    shutil.copytree(folder, part / folder.name, ignore=shutil.ignore_patterns(".part-*"))
            with open_store(part, make=False) as copy:
                whole = copy.verify()
            if goal.exists():
                goal.rmdir()  # empty, or require_free had said so
            part.rename(goal)
        except (OSError, sqlite3.Error) as error:
            raise OutputError(f"{goal}: cannot be written ({_reason(error)}); name another folder") from error
        finally:
            shutil.rmtree(part, ignore_errors=True)
        return whole

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _reason(error: Exception) -> str:
    """What a copy failed of, without the names of all that was not copied."""
    first = error.args[0][0][-1] if isinstance(error, shutil.Error) else getattr(error, "strerror", None) or error
    return str(first).partition(":")[0]


def open_store(
    where: str | Path | None = None,
    *,
    media: Path | None = None,
    make: bool = True,
    clock: Callable[[], datetime] = utc_now,
) -> Store:
    """A folder (None: in the user's data folder), or a database's URL -> the store, its tables up to date.

    ``media``: the folder for files and keys, where the database is given by URL. ``make``: a folder that holds no store
    gets one. StoreError where it cannot be opened.
    """
    default = data_folder() / "desk"
    if where is None or "://" not in str(where):
        folder = Path(where or default).expanduser().absolute()
        if not make and not (folder / FILE).is_file():
            raise StoreError(f"{folder}: holds no store; name the folder that extractor desk works in")
        return Store(folder, media or folder, clock=clock)
    return Store(str(where), (media or default).expanduser().absolute(), clock=clock)
