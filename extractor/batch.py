"""A folder of recordings -> a folder of drafts: each new one, once; one that fails stops nothing.

A file is a case; a folder inside is one case of several notes, in order of their names. Its draft lies under the same
name. A draft is put in place whole or not at all, so what is there is done, and a batch that was stopped goes on where
it ended. With a cluster the workers hear and read, and only this process writes: nothing is lost or written twice,
whoever dies.
"""

import json
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from extractor import draft_folder, pipeline
from extractor.errors import ExtractorError, InputError
from extractor.listening.decode import hash_file
from extractor.model import Timeline
from extractor.site_files import read_site

if TYPE_CHECKING:
    from distributed import Client

#: What a recording's or a transcript's name ends in. A name is enough to leave a file alone, never to trust it.
ENDINGS = frozenset(
    """
    .wav .flac .mp3 .m4a .aac .ogg .oga .opus .wma .amr .aif .aiff .caf .mp4 .mov .mkv .webm .avi .m4v .3gp .mts .wmv
    .vtt .srt
    """.split()
)
REPORT = "batch.json"
#: How long a scheduler may take to answer, s.
CONNECT_S = 10

State = Literal["drafted", "there", "failed"]
Tell = Callable[[int, int], None]


@dataclass(frozen=True)
class Options:
    """What every case of a batch is drafted with; names and paths, so that a worker elsewhere can read them itself."""

    model: str | None = None
    lexicons: Path | None = None
    catalogue: Path | None = None
    site: tuple[Path, ...] = ()


@dataclass(frozen=True)
class Job:
    """One case: its name, and its files in order."""

    name: str
    files: tuple[Path, ...]


@dataclass(frozen=True)
class Outcome:
    """What became of a case. ``why`` it failed, in one sentence."""

    name: str
    state: State
    events: int | None = None
    looks: int | None = None
    why: str | None = None


class SchedulerError(InputError):
    """The cluster's scheduler does not answer, or went away: no fault of any recording's."""


def find_jobs(folder: Path) -> list[Job]:
    """A folder -> its cases in order of name. Hidden files and other kinds of files are left alone. InputError."""
    if not folder.is_dir():
        raise InputError(f"{folder}: no such folder; give a folder of recordings")
    jobs = []
    for path in sorted(folder.iterdir()):
        inside = sorted(path.iterdir()) if path.is_dir() and not path.name.startswith(".") else [path]
        files = tuple(each for each in inside if each.is_file() and _is_recording(each))
        if files:
            jobs.append(Job(path.name, files))
    return jobs


def _is_recording(path: Path) -> bool:
    return path.suffix.lower() in ENDINGS and not path.name.startswith(".")


def run(
    jobs: Sequence[Job], out: Path, options: Options, *, cluster: str | None = None, tell: Tell | None = None
) -> list[Outcome]:
    """Cases, a folder for their drafts -> what became of each, also written to ``batch.json`` there.

    ``cluster`` is the address of a Dask scheduler; the workers must see the recordings under the same paths. ``tell``
    is called with cases done and cases in all. InputError where the site's files cannot be used: then nothing is begun.
    SchedulerError where the cluster is lost: what was drafted until then stays and is in the report.
    """
    read_site(options.catalogue, options.site)
    out.mkdir(parents=True, exist_ok=True)
    found = {job.name: outcome for job in jobs if (outcome := _there(job, out))}
    waiting = [job for job in jobs if job.name not in found]
    drafts = _on_cluster(waiting, options, cluster) if cluster and waiting else _here(waiting, options)
    if tell:
        tell(len(found), len(jobs))
    try:
        for job, draft in drafts:
            found[job.name] = _written(job, draft, out)
            if tell:
                tell(len(found), len(jobs))
    finally:
        outcomes = [found[job.name] for job in jobs if job.name in found]
        _report(out / REPORT, outcomes)
    return outcomes


def _report(path: Path, outcomes: Sequence[Outcome]) -> None:
    """What became of these cases, with what an earlier report tells of others."""
    try:
        earlier = {case["name"]: case for case in json.loads(path.read_text(encoding="utf-8"))["cases"]}
    except (OSError, ValueError, KeyError, TypeError):
        earlier = {}
    cases = earlier | {outcome.name: asdict(outcome) for outcome in outcomes}
    report = {"format": "batch-report/1", "cases": [cases[name] for name in sorted(cases)]}
    draft_folder.replace_file(path, json.dumps(report, indent=1) + "\n")


def _there(job: Job, out: Path) -> Outcome | None:
    """What is said of a case that has a draft already; None where it has none."""
    folder = out / job.name
    if not folder.exists():
        return None
    try:
        timeline = draft_folder.read(folder)
        same = [part.sha256 for part in timeline.recording.parts] == [hash_file(path) for path in job.files]
    except ExtractorError as error:
        return Outcome(job.name, "failed", why=str(error))
    if not same:
        return Outcome(
            job.name, "failed", why=f"{folder}: drafted from other files; move it away to have these drafted"
        )
    return _told(job.name, "there", timeline)


def _told(name: str, state: State, timeline: Timeline) -> Outcome:
    from extractor.handover.wording import looks

    return Outcome(name, state, events=len(timeline.events), looks=looks(timeline))


def _written(job: Job, draft: str | Exception, out: Path) -> Outcome:
    if isinstance(draft, str):
        try:
            timeline = Timeline.model_validate_json(draft)
            draft_folder.write(timeline, out / job.name)
            return _told(job.name, "drafted", timeline)
        except ExtractorError as error:
            draft = error
    # One of ours tells what and the cure; any other is a fault of ours, told by its kind, and stops nothing either.
    told = str(draft) if isinstance(draft, ExtractorError) else f"{job.files[0]}: {type(draft).__name__}: {draft}"
    return Outcome(job.name, "failed", why=" ".join(told.split()))


# --- here, or on a cluster


def draft_one(files: Sequence[Path], options: Options) -> str:
    """One case's files -> its timeline as JSON. What a worker runs: the speech model is loaded once a process."""
    site = read_site(options.catalogue, options.site)
    return pipeline.draft(files, model=options.model, lexicons=options.lexicons, site=site).model_dump_json()


def _here(jobs: Sequence[Job], options: Options) -> Iterator[tuple[Job, str | Exception]]:
    for job in jobs:
        try:
            yield job, draft_one(job.files, options)
        except Exception as error:  # whatever a damaged file brings about, the next one is still drafted
            yield job, error


def _on_cluster(jobs: Sequence[Job], options: Options, address: str) -> Iterator[tuple[Job, str | Exception]]:
    """As they are done. A case whose worker died is given to another, as often as the scheduler allows."""
    from distributed import as_completed

    client = _connect(address)
    far = Options(
        options.model,
        _absolute(options.lexicons),
        _absolute(options.catalogue),
        tuple(path.resolve() for path in options.site),
    )
    try:
        futures = {
            client.submit(draft_one, tuple(path.resolve() for path in job.files), far, pure=False): job for job in jobs
        }
        for future in as_completed(list(futures), loop=client.loop):
            job = futures.pop(future)
            try:
                draft: str | Exception = future.result()
            except Exception as error:  # what went wrong there: the other cases go on
                if client.status != "running" or future.status == "cancelled":
                    raise SchedulerError(f"{address}: the scheduler went away; start it and run this again") from error
                draft = error
            yield job, draft
            future.release()
    finally:
        client.close()


def _absolute(path: Path | None) -> Path | None:
    return path.resolve() if path else None


def _connect(address: str) -> "Client":
    try:
        from distributed import Client
    except ImportError as error:
        raise InputError("--cluster needs the package distributed; pip install distributed") from error
    try:
        return Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        raise SchedulerError(
            f"{address}: no scheduler answers there ({error}); start one with dask scheduler"
        ) from error


# --- as they arrive


def watch(
    folder: Path,
    out: Path,
    options: Options,
    *,
    cluster: str | None = None,
    every_s: float = 5.0,
    done: Callable[[list[Outcome]], None] = lambda _: None,
    warn: Callable[[str], None] = lambda _: None,
    sleep: Callable[[float], None] = time.sleep,
) -> None:
    """Drafts what arrives in a folder, for ever: what is there already, then each new case; ``cluster`` as for ``run``.

    A file that is still growing is left until it has kept its size from one look to the next. What failed is not tried
    again before its files change. ``done`` is called with what is new. A scheduler must answer at the beginning; where
    it is lost later ``warn`` is told so, once, and what waits is tried at every look until one answers.
    """
    if cluster:
        _connect(cluster).close()
    before: dict[str, object] = {}
    tried: dict[str, object] = {}
    lost = False
    while True:
        jobs = {job.name: job for job in find_jobs(folder)}
        now = {name: _looks_like(job) for name, job in jobs.items()}
        settled = [job for name, job in jobs.items() if before.get(name) == now[name] and tried.get(name) != now[name]]
        if settled:
            try:
                done([each for each in run(settled, out, options, cluster=cluster) if each.state != "there"])
                tried |= {job.name: now[job.name] for job in settled}
                lost = False
            except SchedulerError as error:
                if not lost:
                    warn(str(error))
                lost = True
        before = now
        sleep(every_s)


def _looks_like(job: Job) -> object:
    try:
        return tuple((path.name, status.st_size, status.st_mtime_ns) for path in job.files for status in (path.stat(),))
    except OSError:  # gone again
        return None
