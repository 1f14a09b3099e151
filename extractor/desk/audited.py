"""The cases of a store -> what an audit takes: each as it stands now, its logs laid beside it as they lie there.

Nothing is written. A case that is not drafted, and a log that cannot be read, is named and stops nothing.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from extractor.audit.cases import Told
from extractor.audit.crosscheck import CrossCheck, cross_check
from extractor.audit.pressure_log import read_log
from extractor.desk.database import FILE
from extractor.desk.rows import CaseRow, FileRow
from extractor.desk.store import Store, open_store
from extractor.errors import ExtractorError, StoreError
from extractor.model import Timeline


def is_store(where: str) -> bool:
    """Whether this names a store: a database's URL, or a folder that holds one."""
    return "://" in where or (Path(where) / FILE).is_file()


def stored_cases(where: str, media: Path | None = None) -> Iterator[Told]:
    """Every case of a store that is not hidden, the oldest first. StoreError where the store cannot be opened.

    ``media``: the folder of the files, where the database is given by URL.
    """
    with open_store(where, media=media, make=False) as store:
        name = Path(where).name if "://" not in where else where.partition("?")[0].rpartition("/")[2]
        for row in reversed(store.cases()):
            yield _told(store, row, f"{name}/{row.id} {row.title}")


def _told(store: Store, row: CaseRow, name: str) -> Told:
    try:
        timeline = store.signed(row.id)[-1] if row.state == "signed" else store.timeline(row.id)[1]
    except StoreError as error:
        return Told(name, None, faults=(f"{name}: {error}",))
    logs = row.files_of("log")
    with TemporaryDirectory() as place:
        try:
            return Told(name, timeline, _compared(timeline, logs, Path(place)) if logs else None)
        except ExtractorError as error:
            return Told(name, timeline, faults=(f"{name}: {str(error).replace(f'{place}/', '')}",))


def _compared(timeline: Timeline, logs: Sequence[FileRow], place: Path) -> CrossCheck:
    """The logs under the names they came by, in a folder that is there a moment: the store calls them by their hash."""
    for log in logs:
        (place / log.name).symlink_to(log.path)
    return cross_check(timeline, [read_log(place / log.name) for log in logs])
