"""The timelines of a store: each a draft and a chain of revisions, signed now and then. Two never overwrite each other.

A revision is a row: its text, packed once more, and a SHA-256 over the one before and the text. The draft and every
fiftieth state are kept whole beside them. A revision is kept only where the case stands as it was made on, its row held
meanwhile; what somebody did on an older state is taken in where it touches nothing of what came since, else it is a
Conflict.
"""

import hashlib
import threading
import zlib
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from extractor import signing
from extractor.desk import edits, trail
from extractor.desk.access_log import note
from extractor.desk.cases import LARGEST, Cases, one_line, shown, told_of
from extractor.desk.rows import Conflict, CorrectedTerm, RefusedError, Revised
from extractor.desk.tables import cases, revisions, signatures, snapshots
from extractor.lexicon import Limits
from extractor.model import Revision, SignedTimeline, Timeline
from extractor.site_files import Site

#: A whole state is kept every so many revisions; so many cases stay in memory.
SNAPSHOT_EVERY, _IN_MEMORY = 50, 64
#: Locks that the cases share.
_TURNS = 256

#: The states in which a timeline is changed.
OPEN = frozenset({"draft", "amending"})


@dataclass(frozen=True)
class _Head:
    """The newest state of a case, and the hash at the end of its chain."""

    number: int
    sha256: str
    timeline: Timeline


class Revisions(Cases):
    """The part of a store that keeps timelines."""

    def __init__(self, *where: Any, **more: Any) -> None:
        super().__init__(*where, **more)
        #: What the desk drafts with: a site's rules and devices, what is plausible by its lexicons. None: as shipped.
        self.site: Site | None = None
        self.limits: Limits | None = None
        self._heads: OrderedDict[int, _Head] = OrderedDict()
        self._remembering = threading.Lock()
        #: Who changes a case waits for whoever of this process does, instead of thinking in vain.
        self._turns = [threading.Lock() for _ in range(_TURNS)]

    def timeline(self, case: int) -> tuple[int, Timeline]:
        """The newest state of a case, and the number of its last revision (0: as it was drafted).

        RefusedError where it is not drafted yet.
        """
        with self.read() as connection:
            head = self._head(connection, shown(connection, case))
        self._remember(case, head)
        return head.number, head.timeline

    def revise(self, case: int, base: int, edit: edits.Edit, by: str, at: str | None = None, why: str = "") -> Revised:
        """What a person does to a case that they saw as it was after revision ``base``. Kept when this returns.

        Conflict where somebody changed the same since; EditError where it makes no sense; RefusedError where the case
        is signed or ``base`` is not of it. ``at``: the time, now if not given.
        """
        at = at or self.now()
        by = one_line(by, "name")
        with self._turns[case % len(self._turns)]:
            while True:
                with self.read() as connection:
                    row = shown(connection, case)
                    require_open(row)
                    head = self._head(connection, row)
                if not 0 <= base <= head.number:
                    raise RefusedError(f"case {case} has no revision {base}; reload the page")
                since = head.timeline.revisions[base:]
                if since:
                    mine, theirs = edits.proposed(head.timeline, base, edit, self.limits)
                    if theirs:
                        raise Conflict(theirs, mine, head.number)
                told: dict[str, Any] = {"limits": self.limits, "site": self.site}
                revision = edits.revision(head.timeline, edit, at=at, by=by, why=why, **told)
                timeline = trail.put(head.timeline, revision)
                new = _Head(revision.number, chained(head.sha256, revision.model_dump_json()), timeline)
                # The thinking is done with nothing held; it is done again where another process was faster.
                if self.write(partial(self._append, case, head, new)):
                    break
        self._remember(case, new)
        return Revised(revision, since, new.number, timeline)

    def revisions(self, case: int, since: int = 0) -> tuple[Revision, ...]:
        """Those after number ``since``, oldest first."""
        rows = select(revisions.c.text).where(revisions.c.case_id == case, revisions.c.number > min(since, LARGEST))
        with self.read() as connection:
            shown(connection, case)
            texts = connection.execute(rows.order_by(revisions.c.number)).scalars()
            return tuple(Revision.model_validate_json(text) for text in texts)

    def sign(
        self, case: int, signed: SignedTimeline, head: int, by: str, beside: Mapping[str, Any] | None = None
    ) -> None:
        """A signed timeline of what stands after revision ``head``. The case is a record from then on.

        ``beside``: the particulars it was signed with. RefusedError where the case or these moved on meanwhile, or what
        was signed is not what stands; SignatureError where its seal does not hold, or it does not name what was signed
        of the case before.
        """
        text = signed.model_dump_json()
        signing.verify(text, f"case {case}")

        def act(connection: Connection) -> None:
            row = shown(connection, case, for_change=True)
            require_open(row)
            now = self._head(connection, row)
            if now.number != head:
                raise RefusedError("somebody changed the case while you were signing; read it again, then sign")
            if beside is not None and beside != next(iter(told_of(connection, case)), {}):
                raise RefusedError("somebody changed the particulars while you were signing; read it again, then sign")
            if difference := difference_of(signed, now.timeline):
                raise RefusedError(f"what was signed is not what stands in the store: {difference}")
            texts = [row.text for row in connection.execute(_signatures(case))]
            number = len(texts) + 1
            earlier = [signing.read(each, f"case {case}") for each in texts]
            signing.verify_chain([(each, f"case {case}") for each in (*earlier, signed)])
            told = {"case_id": case, "number": number, "head": head, "text": text}
            told |= {"sha256": sha256(text), "signed_at": self.now(), "signed_by": by}
            connection.execute(insert(signatures).values(**told))
            self.change_case(connection, case, state="signed", signed_by=signed.signature.name)
            note(connection, self.now(), by, f"signed revision {head}, SHA-256 {signed.signature.sha256}", case)

        self.write(act)

    def signed(self, case: int) -> list[SignedTimeline]:
        """Every signed timeline of a case, the record first, then amendments. SignatureError where one is altered."""
        return [signing.read(text, where) for text, where in self.signed_texts(case)]

    def signed_texts(self, case: int) -> list[tuple[str, str]]:
        """The same as they are kept, whole or not, each with what it is called in a refusal."""
        with self.read() as connection:
            shown(connection, case)
            rows = connection.execute(_signatures(case)).all()
        return [(row.text, f"case {case}, signature {row.number}") for row in rows]

    def open_amendment(self, case: int, by: str, why: str) -> None:
        """A signed case -> one that can be changed and signed again. What was signed stays."""
        why = one_line(why, "reason")

        def act(connection: Connection) -> None:
            if shown(connection, case, for_change=True).state != "signed":
                raise RefusedError("only a signed case is amended")
            self.change_case(connection, case, state="amending")
            note(connection, self.now(), by, "opened an amendment", case, why)

        self.write(act)

    def corrections(self) -> list[CorrectedTerm]:
        """What people read for words, over every case that is not hidden, oldest first."""
        rows = (
            select(revisions.c.case_id, revisions.c.text)
            .join(cases, cases.c.id == revisions.c.case_id)
            .where(cases.c.hidden_at.is_(None), revisions.c.text.contains('"corrections.', autoescape=True))
            .order_by(revisions.c.case_id, revisions.c.number)
        )
        with self.read() as connection:
            found = [(row.case_id, Revision.model_validate_json(row.text)) for row in connection.execute(rows)]
        return [
            CorrectedTerm(case, revision.number, revision.at, revision.by, change)
            for case, revision in found
            for change in revision.changes
            if change.at.startswith("corrections.")
        ]

    def begin(self, connection: Connection, case: int, timeline: Timeline) -> None:
        """In a transaction: a draft becomes the first state of a case."""
        if isinstance(timeline, SignedTimeline) or timeline.revisions:
            raise RefusedError("a case begins with a draft that nobody changed or signed")
        hashed = self._keep_whole(connection, case, 0, timeline)
        self.change_case(connection, case, state="draft", head=0, head_sha256=hashed, error=None, **counts(timeline))

    # --- the newest state

    def _append(self, case: int, head: _Head, new: _Head, connection: Connection) -> bool:
        """The next revision, if the case still stands where it was made; else False, and nothing is changed."""
        row = shown(connection, case, for_change=True)
        require_open(row)
        if (row.head, row.head_sha256) != (head.number, head.sha256):
            return False
        revision, at = new.timeline.revisions[-1], self.now()
        text = revision.model_dump_json()
        kept = {"case_id": case, "number": new.number, "text": text, "copy": packed(text), "sha256": new.sha256}
        connection.execute(insert(revisions).values(**kept))
        if new.number % SNAPSHOT_EVERY == 0:
            self._keep_whole(connection, case, new.number, new.timeline)
        told = {"head": new.number, "head_sha256": new.sha256, "updated_at": at, **counts(new.timeline)}
        connection.execute(update(cases).where(cases.c.id == case).values(**told))
        note(connection, at, revision.by, f"revision {revision.number}: {revision.what}", case, revision.why)
        return True

    def _keep_whole(self, connection: Connection, case: int, number: int, timeline: Timeline) -> str:
        text = timeline.model_copy(update={"revisions": ()}).model_dump_json()
        row = {"case_id": case, "number": number, "text": text, "copy": packed(text), "sha256": sha256(text)}
        connection.execute(insert(snapshots).values(**row))
        return sha256(text)

    def _head(self, connection: Connection, row: Row[Any]) -> _Head:
        """The state that a row of a case tells of: from memory, with what came since; or read from the last whole one.

        The chain is not looked at here, ``verify`` does that; but what does not fit its state is never passed over.
        """
        if not row.head_sha256:
            raise RefusedError("the case is not drafted yet")
        with self._remembering:
            known = self._heads.get(row.id)
        if known and (known.number, known.sha256) == (row.head, row.head_sha256):
            return known
        if known and known.number < row.head and _is_on_the_chain(connection, row.id, known):
            timeline = known.timeline
        else:
            timeline = _last_whole(connection, row.id, row.head)
        number = len(timeline.revisions)
        for revision in _between(connection, row.id, number, row.head):
            timeline = trail.put(timeline, revision)
        return _Head(row.head, row.head_sha256, timeline)

    def _remember(self, case: int, head: _Head) -> None:
        with self._remembering:
            known = self._heads.get(case)
            if known is None or known.number <= head.number:
                self._heads[case] = head
            self._heads.move_to_end(case)
            while len(self._heads) > _IN_MEMORY:
                self._heads.popitem(last=False)


# --- what is hashed, and how


def sha256(text: str) -> str:
    """Of its UTF-8, in hex."""
    return hashlib.sha256(text.encode()).hexdigest()


def chained(before: str, text: str) -> str:
    """The hash of a revision: over the hash before it and its own text."""
    return sha256(f"{before}\n{text}")


def packed(text: str) -> bytes:
    """A text as it stands a second time."""
    return zlib.compress(text.encode(), 1)


def difference_of(signed: SignedTimeline, timeline: Timeline) -> str | None:
    """The first field in which what was signed is not a timeline; None where it is the same."""
    then = signed.model_dump(mode="json", exclude={"signature"}) | {"state": "draft"}
    now = timeline.model_dump(mode="json")
    return None if then == now else next(signing.differences(then, now))


def require_open(row: Row[Any]) -> None:
    """RefusedError where the timeline of a case cannot be changed."""
    if row.state == "signed":
        raise RefusedError(f"the case is signed by {row.signed_by}; open an amendment to change it")
    if row.state not in OPEN:
        raise RefusedError("the case is not drafted yet")


def counts(timeline: Timeline) -> dict[str, int]:
    """What a list shows of a timeline without reading it."""
    looked_at = timeline.looked_at
    waits = sum(point not in looked_at for point in timeline.open_points)
    return {"waits": waits, "events": len(timeline.events)}


def _signatures(case: int) -> Any:
    return select(signatures).where(signatures.c.case_id == case).order_by(signatures.c.number)


def _is_on_the_chain(connection: Connection, case: int, head: _Head) -> bool:
    """Whether what is in memory is what the store has at that number: another store may have been put in its place."""
    found = select(revisions.c.sha256).where(revisions.c.case_id == case, revisions.c.number == head.number)
    return head.number > 0 and connection.execute(found).scalar() == head.sha256


def _last_whole(connection: Connection, case: int, until: int) -> Timeline:
    """The last state that is kept whole, its revisions put to it."""
    found = select(snapshots).where(snapshots.c.case_id == case, snapshots.c.number <= until)
    row = connection.execute(found.order_by(snapshots.c.number.desc()).limit(1)).one()
    timeline = Timeline.model_validate_json(row.text)
    return timeline.model_copy(update={"revisions": tuple(_between(connection, case, 0, row.number))})


def _between(connection: Connection, case: int, after: int, until: int) -> list[Revision]:
    found = select(revisions.c.text).where(
        revisions.c.case_id == case, revisions.c.number > after, revisions.c.number <= until
    )
    texts = connection.execute(found.order_by(revisions.c.number)).scalars()
    return [Revision.model_validate_json(json_text) for json_text in texts]
