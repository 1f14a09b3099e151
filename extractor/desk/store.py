"""Where the desk keeps everything: cases, files, timelines with their revisions, signatures, people, the log.

By default one folder: ``desk.sqlite``, ``media/`` with recordings and logs, ``keys/`` with people's keys. Copied while
nothing is open, it is a whole backup. With a PostgreSQL URL the tables lie there and the folder holds the rest.

What a write returned from is on the disk, whatever comes after. Nothing is deleted: it is hidden, with who and when.
"""

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
from extractor.desk.suggestions import Suggestions
from extractor.errors import StoreError
from extractor.listening.speech_models import data_folder


class Store(Jobs, People, Suggestions, Checking):
    """A store that is open. Its methods may be called from any thread."""

    def __init__(self, where: str | Path, folder: Path, *, clock: Callable[[], datetime] = utc_now) -> None:
        """The database (a folder, or a URL), and the folder of media and keys; ``open_store`` chooses both."""
        super().__init__(where, clock=clock)
        self.folder = folder
        self.media = Media(folder / "media")
        self.media.sweep()
        self.keys = Keys(folder / "keys")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


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
