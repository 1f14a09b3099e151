"""Whether a store is whole: every revision taken in again from the draft on, every hash and signature looked at.

What is hashed stands twice, plain and packed. Where the plain text was altered the packed one tells which field and
what it was; where both were, or a row is gone, the case and the revision are named.
"""

import json
import zlib
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, select

from extractor import signing
from extractor.desk import trail
from extractor.desk.database import Database
from extractor.desk.media import Media
from extractor.desk.revisions import chained, counts, difference_of, sha256
from extractor.desk.rows import Whole
from extractor.desk.tables import cases, files, revisions, signatures, snapshots
from extractor.errors import ExtractorError, StoreError
from extractor.model import Revision, Timeline

_IN_ORDER = [(files, files.c.position), *((each, each.c.number) for each in (revisions, snapshots, signatures))]


class Checking(Database):
    """The part of a store that looks whether it is whole."""

    media: Media

    def verify(self) -> Whole:
        """Everything, the hidden too -> how much there is. StoreError names the first fault: case, revision, field."""
        found = {"revisions": 0, "files": 0, "signatures": 0}
        with self.read() as connection:
            numbers = connection.execute(select(cases.c.id).order_by(cases.c.id)).scalars().all()
        for number in numbers:
            # One moment of the case: people go on working meanwhile.
            with self.read(steady=True) as connection:
                case = connection.execute(select(cases).where(cases.c.id == number)).one()
                held, trailing, whole, signed = (
                    connection.execute(select(table).where(table.c.case_id == number).order_by(order)).all()
                    for table, order in _IN_ORDER
                )
            for file in held:
                if fault := self.media.fault(file.sha256, file.size):
                    raise StoreError(f"case {number}: file {file.name} {fault}")
            if case.head_sha256 or trailing or whole or signed:
                _verify_trail(case, trailing, whole, signed)
            found["files"] += len(held)
            found["revisions"] += len(trailing)
            found["signatures"] += len(signed)
        return Whole(cases=len(numbers), **found)


def _verify_trail(
    case: Row[Any], trailing: Sequence[Row[Any]], whole: Sequence[Row[Any]], signed: Sequence[Row[Any]]
) -> None:
    """A case's row, its revisions, whole states and signed timelines -> nothing; StoreError names the first fault."""
    name = f"case {case.id}"
    kept = {row.number: row for row in whole}
    if 0 not in kept:
        raise StoreError(f"{name}: its draft is gone")
    text = _whole_text(kept[0], kept[0].sha256, lambda text: sha256(text), f"{name}, draft")
    timeline, chain = Timeline.model_validate_json(text), kept[0].sha256
    for number in range(case.head + 1):
        where = f"{name}, revision {number}"
        if number:
            if [row.number for row in trailing[number - 1 : number]] != [number]:
                raise StoreError(f"{where}: is gone")
            row, before = trailing[number - 1], chain
            text = _whole_text(row, row.sha256, lambda text, before=before: chained(before, text), where)
            revision = Revision.model_validate_json(text)
            try:
                timeline = trail.put(timeline, revision)
            except ExtractorError as error:
                raise StoreError(f"{where}: does not fit what stands before it: {error}") from error
            chain = row.sha256
        if number in kept and number:
            _verify_whole(kept[number], timeline, where)
        for row in signed:
            if row.head == number:
                _verify_signed(row, timeline, f"{name}, signature {row.number}")
    _verify_end(case, trailing, whole, signed, timeline, chain)
    places = [(row.text, f"{name}, signature {row.number}") for row in signed]
    try:
        signing.verify_chain([(signing.read(text, where), where) for text, where in places])
    except ExtractorError as error:
        raise StoreError(str(error)) from error


def _verify_end(
    case: Row[Any],
    trailing: Sequence[Row[Any]],
    whole: Sequence[Row[Any]],
    signed: Sequence[Row[Any]],
    timeline: Timeline,
    chain: str,
) -> None:
    """That the row of the case tells of the same end, and nothing lies beyond it."""
    name = f"case {case.id}"
    beyond = [row.number for row in (*trailing, *whole) if row.number > case.head]
    if beyond or case.head_sha256 != chain:
        raise StoreError(f"{name}, head: its row tells of revision {case.head}, which is not where its trail ends")
    if [row.number for row in signed] != list(range(1, len(signed) + 1)) or any(row.head > case.head for row in signed):
        raise StoreError(f"{name}: a signature is gone")
    if signed and case.state not in ("signed", "amending"):
        raise StoreError(f"{name}, state: it is signed and its row says {case.state}")
    if case.state in ("signed", "amending") and not signed:
        raise StoreError(f"{name}, signature 1: is gone")
    if case.state == "signed" and signed[-1].head != case.head:
        raise StoreError(f"{name}: was changed after it was signed, by revision {signed[-1].head + 1}")
    for field, value in counts(timeline).items():
        if getattr(case, field) != value:
            raise StoreError(f"{name}, {field}: its row says {getattr(case, field)}, its timeline {value}")


def _whole_text(row: Row[Any], hashed: str, of: Any, where: str) -> str:
    """A text that stands twice -> the text. StoreError where it is not what its hash was made of."""
    text: str = row.text
    try:
        copy = zlib.decompress(row.copy).decode()
    except (zlib.error, UnicodeDecodeError):
        copy = None
    if of(text) == hashed:
        if copy != text:
            raise StoreError(f"{where}: its packed copy is altered; all else is whole")
        return text
    if copy is not None and of(copy) == hashed:
        raise StoreError(f"{where}: altered: {_first_difference(copy, text)}")
    altered = "altered, or what stands before it"
    if copy is not None and copy != text:
        altered += f": {_first_difference(copy, text)}"
    raise StoreError(f"{where}: {altered}")


def _first_difference(kept: str, now: str) -> str:
    try:
        return next(signing.differences(json.loads(kept), json.loads(now), when="when it was kept"), "its white space")
    except ValueError:
        return "it is no JSON any more"


def _verify_whole(row: Row[Any], timeline: Timeline, where: str) -> None:
    text = _whole_text(row, row.sha256, sha256, f"{where}, its whole state")
    replayed, kept = timeline.model_copy(update={"revisions": ()}), Timeline.model_validate_json(text)
    if kept != replayed:
        difference = _first_difference(replayed.model_dump_json(), kept.model_dump_json())
        raise StoreError(f"{where}: its whole state is not what its trail makes: {difference}")


def _verify_signed(row: Row[Any], timeline: Timeline, where: str) -> None:
    try:
        signed = signing.read(row.text, where)
    except ExtractorError as error:
        raise StoreError(str(error)) from error
    if sha256(row.text) != row.sha256:
        raise StoreError(f"{where}: its SHA-256 in the store is altered, or its white space")
    if difference := difference_of(signed, timeline):
        raise StoreError(f"{where}: is not what stands at revision {row.head}: {difference}")
