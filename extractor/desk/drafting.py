"""Cases that wait -> drafts, one after another, each by a process of its own.

Listening takes a minute and all the memory it can get: in a process of its own it stops no page, and one that is killed
takes nothing with it. What fails is told by the case and may be tried again. When the desk itself is killed its child
ends too, and the store hands the case out again.
"""

import logging
import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, NamedTuple

from extractor.errors import ExtractorError, InputError
from extractor.model import Timeline

if TYPE_CHECKING:
    from extractor.desk.jobs import Job
    from extractor.desk.store import Store

log = logging.getLogger(__name__)

#: How often to look whether another process has put a case into the queue, or the child died.
_LOOK_S = 1.0
#: How often a child tells how far it is.
_TELL_S = 1.0
#: A child that was asked to end gets so long.
_END_S = 5.0

DIED = "the draft was stopped in the middle, perhaps for want of memory; start it again"
OUR_FAULT = "a fault of the program ({kind}); start it again, and if it comes again tell its makers"


@dataclass(frozen=True)
class Options:
    """How cases are drafted. ``lexicons``: folders of lexicon files that are used where they are there."""

    model: str | None = None
    lexicons: tuple[Path, ...] = ()
    catalogue: Path | None = None
    site: tuple[Path, ...] = ()


class Named(NamedTuple):
    """A file by the name its owner gave it, and where its bytes lie under their hash."""

    name: str
    sha256: str
    path: Path


@dataclass(frozen=True)
class Work:
    """One case to draft: recordings (or transcripts) in order, pressure logs, and where its sound is to be kept."""

    recordings: tuple[Named, ...]
    logs: tuple[Named, ...]
    sounds: Path
    options: Options


def draft(work: Work, tell: "Tell") -> Timeline:
    """A case's files -> its draft, what logs say otherwise marked, its sound made. Raises an ExtractorError."""
    from extractor import pipeline
    from extractor.audit.crosscheck import cross_check, flag_timeline
    from extractor.audit.pressure_log import read_log
    from extractor.desk import sound
    from extractor.site_files import read_site

    with lent() as lend:
        timeline = pipeline.draft(
            [lend.file(each) for each in work.recordings],
            model=work.options.model,
            lexicons=lend.lexicons(work.options.lexicons),
            site=read_site(work.options.catalogue, work.options.site),
            progress=tell,
        )
        if work.logs:
            logs = [read_log(lend.file(each)) for each in work.logs]
            timeline = flag_timeline(timeline, cross_check(timeline, logs))
    try:
        sound.make(timeline, {each.sha256: each.path for each in work.recordings}, work.sounds)
    except ExtractorError as error:  # the draft stands without it; it is made when somebody wants to listen
        log.warning("no sound yet: %s", error)
    return timeline


@contextmanager
def lent() -> Iterator["Lent"]:
    """The store's files under their own names, while it is open; what goes wrong tells these, not where they lay."""
    with TemporaryDirectory(prefix="desk-") as folder:
        lend = Lent(Path(folder))
        try:
            yield lend
        except ExtractorError as error:
            raise type(error)(lend.told(str(error))) from error


class Lent:
    """Gives a file its own name, in a folder that goes again: what a file is called counts for reading it."""

    def __init__(self, folder: Path) -> None:
        self._folder, self._places = folder, list[Path]()

    def file(self, named: Named) -> Path:
        """InputError where the name is none of a file."""
        if named.name in ("", ".", "..") or set("/\\\0") & set(named.name):
            raise InputError(f"{named.name!r}: no name of a file; add the file again under another")
        place = self._folder / str(len(self._places))
        place.mkdir()
        self._places.append(place)
        (place / named.name).symlink_to(named.path.resolve())
        return place / named.name

    def lexicons(self, folders: Sequence[Path]) -> Path | None:
        """Several folders of lexicon files as one; None where they hold none. A later file adds to an earlier."""
        files = [path for folder in folders for path in sorted(folder.glob("*.toml"))]
        if not files:
            return None
        place = self._folder / "lexicons"
        place.mkdir()
        for path in files:
            free = place / path.name
            while free.is_symlink():
                free = free.with_name(f"{free.stem}-more.toml")
            free.symlink_to(path.resolve())
        self._places.append(place)
        return place

    def told(self, message: str) -> str:
        """A message without the folders it was lent in."""
        for place in self._places:
            message = message.replace(f"{place}{os.sep}", "").replace(str(place), "lexicons")
        return message


# --- the child


Message = tuple[str, object]


class Tell:
    """Sends through a pipe how many seconds of sound are done, at most once a second."""

    def __init__(self, pipe: "Connection[Message, object]") -> None:
        self._pipe, self._next_s = pipe, 0.0

    def __call__(self, what: str, done_s: float, total_s: float) -> None:
        if time.monotonic() >= self._next_s:
            self._pipe.send(("progress", (done_s, total_s)))
            self._next_s = time.monotonic() + _TELL_S


def _child(work: Work, pipe: "Connection[Message, object]") -> None:
    """What the process of one draft runs: its progress, then what came of it, through the pipe."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches every process of a terminal: the desk ends this one
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=_end_with_the_desk, daemon=True).start()
    try:
        os.nice(5)  # whoever reviews a case meanwhile comes first
        pipe.send(("done", draft(work, Tell(pipe)).model_dump_json()))
    except ExtractorError as error:
        pipe.send(("failed", " ".join(str(error).split())))
    except MemoryError:
        pipe.send(("failed", DIED))
    except Exception as error:
        log.exception("a draft failed")
        pipe.send(("failed", OUR_FAULT.format(kind=type(error).__name__)))


def _end_with_the_desk() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
    os._exit(1)


# --- the desk's side


def sound_folder(store: "Store") -> Path:
    """Where a store keeps the sound of its cases."""
    return store.folder / "sounds"


class Drafting:
    """Drafts the store's waiting cases for as long as it runs, each in a process of its own, ``at_once`` at a time."""

    def __init__(self, store: "Store", options: Options, at_once: int = 1) -> None:
        self._store, self._options = store, options
        self._stopping, self._woken = threading.Event(), threading.Event()
        self._threads = [threading.Thread(target=self._run, name=f"drafting-{n}") for n in range(at_once)]

    def start(self) -> None:
        for thread in self._threads:
            thread.start()

    def wake(self) -> None:
        """A case was put into the queue."""
        self._woken.set()

    def stop(self) -> None:
        """Ends what is being drafted; it waits in the queue for the next start."""
        self._stopping.set()
        self._woken.set()
        for thread in self._threads:
            if thread.is_alive():
                thread.join()

    def _run(self) -> None:
        while not self._stopping.is_set():
            self._woken.clear()
            try:
                job = self._store.claim_job()
                if job is not None:
                    self._draft(job)
                    continue
            except ExtractorError as error:  # the store is out of reach: the next look may find it again
                log.warning("drafting waits: %s", error)
            self._woken.wait(_LOOK_S)

    def _draft(self, job: "Job") -> None:
        case = job.case
        work = Work(
            recordings=tuple(Named(file.name, file.sha256, file.path) for file in case.files_of("recording")),
            logs=tuple(Named(file.name, file.sha256, file.path) for file in case.files_of("log")),
            sounds=sound_folder(self._store),
            options=self._options,
        )
        outcome, result = self._outcome(case.id, work)
        if outcome == "done":
            self._store.job_done(case.id, Timeline.model_validate_json(str(result)))
        elif outcome == "failed":
            self._store.job_failed(case.id, str(result))

    def _outcome(self, case: int, work: Work) -> Message:
        """What came of a case's process: done and the draft, failed and why, or stopped: then the store, whose claim
        ends with this process, hands the case out again.
        """
        spawn = multiprocessing.get_context("spawn")
        ours, theirs = spawn.Pipe(duplex=False)
        process = spawn.Process(target=_child, args=(work, theirs), daemon=True)
        process.start()
        theirs.close()
        try:
            while not self._stopping.is_set():
                if not ours.poll(_LOOK_S):
                    continue
                message, content = ours.recv()
                if message != "progress":
                    return message, content
                self._store.job_progress(case, *content)
            return "stopped", None
        except (EOFError, OSError):
            return ("stopped", None) if self._stopping.is_set() else ("failed", DIED)
        finally:
            ours.close()
            process.terminate()
            process.join(_END_S)
            if process.is_alive():
                process.kill()
                process.join()
            process.close()
