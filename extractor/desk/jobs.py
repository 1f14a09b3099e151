"""Drafts to be made: queued, claimed by one process at a time, done or failed; taken back when that process is gone.

A claim holds until a time that each progress moves on. A process that ended on this machine loses it at once.
"""

import os
import platform
import secrets
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from sqlalchemy import Connection, Row, or_, select

from extractor.desk.access_log import note
from extractor.desk.cases import shown
from extractor.desk.database import stamp
from extractor.desk.revisions import Revisions
from extractor.desk.rows import CaseRow, RefusedError
from extractor.desk.tables import cases
from extractor.model import Timeline

#: How long a claim holds without a word of progress. Longer than the longest step between two words.
CLAIM = timedelta(minutes=10)

_NOT_CLAIMED = {"claimed_by": None, "claimed_until": None, "done_s": None, "total_s": None}


@dataclass(frozen=True)
class Job:
    """A case to be drafted now, by whoever holds this."""

    case: CaseRow


class Jobs(Revisions):
    """The part of a store that keeps the queue."""

    def __init__(self, *where: Any, **more: Any) -> None:
        self._me = f"{platform.node()}/{os.getpid()}/{secrets.token_hex(4)}"
        super().__init__(*where, **more)

    def queue_draft(self, case: int, by: str) -> None:
        """A case with recordings -> one that waits for its draft; also one whose draft failed.

        RefusedError where it has none, or is drafted.
        """
        if not self.case(case).files_of("recording"):
            raise RefusedError("the case has no recording yet; bring one")

        def act(connection: Connection) -> None:
            state = shown(connection, case, for_change=True).state
            if state in ("queued", "drafting"):
                return
            if state not in ("waiting", "failed"):
                raise RefusedError("the case is drafted already; make a new case to draft its recordings again")
            self.change_case(connection, case, state="queued", error=None, **_NOT_CLAIMED)
            note(connection, self.now(), by, "asked for the draft", case)

        self.write(act)

    def claim_job(self) -> Job | None:
        """The case that waits longest, or whose drafter is gone: now drafted by this store alone. None: none waits."""
        now = self.clock()
        of_here = cases.c.claimed_by.startswith(f"{platform.node()}/", autoescape=True)
        lost = or_(cases.c.claimed_until < stamp(now), of_here)
        waits = or_(cases.c.state == "queued", (cases.c.state == "drafting") & lost)
        found = select(cases).where(waits, cases.c.hidden_at.is_(None)).order_by(cases.c.updated_at, cases.c.id)
        with self.read() as connection:
            if not connection.execute(found.limit(1)).first():
                return None

        def act(connection: Connection) -> int | None:
            rows = connection.execute(found.with_for_update(skip_locked=True)).all()
            for row in rows:
                if row.state == "queued" or row.claimed_until < stamp(now) or self._is_gone(row.claimed_by):
                    claim = {"claimed_by": self._me, "claimed_until": stamp(now + CLAIM)}
                    self.change_case(connection, row.id, state="drafting", done_s=0.0, total_s=0.0, **claim)
                    return int(row.id)
            return None

        case = self.write(act)
        return None if case is None else Job(self.case(case))

    def job_progress(self, case: int, done_s: float, total_s: float) -> None:
        """Seconds of sound drafted, and in all. RefusedError where the claim is lost."""

        def act(connection: Connection) -> None:
            self._require_mine(connection, case)
            until = stamp(self.clock() + CLAIM)
            self.change_case(connection, case, done_s=done_s, total_s=total_s, claimed_until=until)

        self.write(act)

    def job_done(self, case: int, timeline: Timeline, by: str = "extractor") -> None:
        """The draft of a case. RefusedError where another process drafts it, or it is drafted."""

        def act(connection: Connection) -> None:
            row = self._require_mine(connection, case)
            if row.state not in ("waiting", "queued", "drafting", "failed"):
                raise RefusedError("the case is drafted already")
            self.begin(connection, case, timeline)
            self.change_case(connection, case, **_NOT_CLAIMED)
            note(connection, self.now(), by, "drafted the case", case)

        self.write(act)

    def job_failed(self, case: int, why: str) -> None:
        """Why no draft could be made, in words for people; it can be asked for again."""

        def act(connection: Connection) -> None:
            self._require_mine(connection, case)
            self.change_case(connection, case, state="failed", error=why.replace("\0", ""), **_NOT_CLAIMED)
            note(connection, self.now(), "extractor", "could not draft the case", case, why.replace("\0", ""))

        self.write(act)

    def _require_mine(self, connection: Connection, case: int) -> Row[Any]:
        row = shown(connection, case, for_change=True)
        if row.claimed_by not in (None, self._me):
            raise RefusedError(f"case {case} is drafted by another process")
        return row

    def _is_gone(self, claimed_by: str) -> bool:
        """Whether a process of this machine ended. One of another machine is waited for, as long as its claim holds."""
        node, process, _ = claimed_by.rsplit("/", 2)
        if node != platform.node() or os.name != "posix":
            return False
        if int(process) == os.getpid():
            return claimed_by != self._me  # an earlier process had our number, or an earlier store of ours is closed
        try:
            os.kill(int(process), 0)
        except ProcessLookupError:
            return True
        except PermissionError:
            return False
        return False
