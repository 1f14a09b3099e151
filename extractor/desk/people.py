"""Who may do what, and who is who: names, roles, passwords, sessions. Of a password and a token only a hash is kept.

Passwords are hashed with Argon2id (RFC 9106, by argon2-cffi at its recommended cost). A name nobody has costs what a
wrong password costs. After a few failures, counted by name and by address before the password is looked at, each
further one makes the next wait longer.
"""

import hashlib
import secrets
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from math import ceil
from typing import Any, Literal, get_args

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error
from sqlalchemy import Connection, Row, delete, func, insert, select, update
from sqlalchemy.dialects import postgresql, sqlite

from extractor.desk.access_log import AccessLog, note
from extractor.desk.cases import one_line
from extractor.desk.database import stamp
from extractor.desk.rows import MissingError, RefusedError
from extractor.desk.tables import attempts, people, sessions
from extractor.errors import StoreError

Role = Literal["operator", "educator", "auditor", "keeper"]
Right = Literal["read", "edit", "sign", "export", "teach", "audit", "people", "lexicon"]
ROLES: tuple[Role, ...] = get_args(Role)

#: A role -> what who has it may do. Reading a case is everybody's.
RIGHTS: dict[Role, frozenset[Right]] = {
    "operator": frozenset({"read", "edit", "sign", "export"}),
    "educator": frozenset({"read", "teach"}),
    "auditor": frozenset({"read", "export", "audit"}),
    "keeper": frozenset({"read", "people", "lexicon"}),
}

#: A password's letters, at least and at most; how long a session holds: a working day.
SHORTEST, LONGEST, SESSION = 10, 200, timedelta(hours=12)

#: Failures without a wait, by name and by address (behind which a whole department may sit); the longest wait; after
#: how long without one they are forgotten.
FREE = {"name": 5, "address": 20}
LONGEST_WAIT, FORGOTTEN = timedelta(minutes=15), timedelta(hours=1)


@dataclass(frozen=True)
class Person:
    """Somebody the store knows."""

    name: str
    roles: tuple[Role, ...]
    disabled: bool
    has_password: bool
    added_at: str

    @property
    def rights(self) -> frozenset[Right]:
        """All that any of the roles may do; nothing for who is disabled."""
        return frozenset() if self.disabled else frozenset().union(*(RIGHTS[role] for role in self.roles))


class SignInError(StoreError):
    """The name or the password is wrong: which of them is not told."""


class ThrottledError(SignInError):
    """Too many failures: the next sign-in is looked at after ``wait_s`` seconds."""

    def __init__(self, wait_s: int) -> None:
        self.wait_s = wait_s
        super().__init__(f"too many sign-ins failed; try again in {wait_s} s")


class People(AccessLog):
    """The part of a store that knows people."""

    def people(self) -> list[Person]:
        """Everybody, in order of their names, the disabled too."""
        with self.read() as connection:
            return [_person(row) for row in connection.execute(select(people).order_by(people.c.key))]

    def person(self, name: str) -> Person:
        """One of them. MissingError where nobody has the name."""
        with self.read() as connection:
            return _person(_found(connection, name))

    def add_person(self, name: str, roles: Iterable[str], password: str | None = None, by: str = "") -> Person:
        """Somebody new. RefusedError where the name is taken (however written), no name, or the password is too short.

        Without a password nobody signs in under the name but at the machine itself.
        """
        name, told = one_line(name, "name", 60), _roles(roles)
        hashed = None if password is None else hash_of(password)
        row = {"key": key_of(name), "name": name, "roles": told, "password": hashed, "disabled": False}

        def act(connection: Connection) -> Person:
            at = self.now()
            if connection.execute(select(people.c.key).where(people.c.key == row["key"])).first():
                raise RefusedError(f"{name}: there is somebody of this name already")
            connection.execute(insert(people).values(**row, added_at=at))
            note(connection, at, by or name, f"added {name}: {told}")
            return _person(_found(connection, name))

        return self.write(act)

    def set_password(self, name: str, password: str, by: str = "") -> None:
        """Another password; whoever is signed in under the name is signed out."""
        hashed = hash_of(password)
        self.write(lambda connection: self._change(connection, name, by, "set the password of", password=hashed))

    def set_roles(self, name: str, roles: Iterable[str], by: str = "") -> None:
        """Other roles, from the next click on. RefusedError where nobody would be left who may look after people."""
        told = _roles(roles)

        self.write(
            lambda connection: self._change(
                connection, name, by, f"gave the roles {told} to", sign_out=False, roles=told
            )
        )

    def disable(self, name: str, by: str = "", *, disabled: bool = True) -> None:
        """Signs somebody out for good, or lets them in again; what they did stays under their name.

        RefusedError where nobody would be left who may look after people.
        """
        done = "disabled" if disabled else "let in again"
        self.write(lambda connection: self._change(connection, name, by, done, disabled=disabled))

    # --- signing in

    def sign_in(self, name: str, password: str, address: str = "") -> str:
        """A name and its password -> a token for ``session``. ``address``: where it comes from, "" for nowhere known.

        SignInError where one of them is wrong, ThrottledError before it is even looked at.
        """
        now = self.clock()
        counted = [(f"name:{key_of(name)}"[:200], "name")] + ([(f"address:{address}", "address")] if address else [])

        def count(connection: Connection) -> Row[Any] | None:
            """Counted as failed beforehand, so that many at once are not all looked at."""
            connection.execute(delete(attempts).where(attempts.c.last_at < stamp(now - FORGOTTEN)))
            held = [_attempts(connection, whose) for whose, _ in counted]
            if waits := [row.refused_until for row in held if row.refused_until > stamp(now)]:
                raise ThrottledError(ceil((datetime.fromisoformat(max(waits)) - now).total_seconds()))
            for (whose, by_what), row in zip(counted, held, strict=True):
                failed = row.failed + 1
                told = {"failed": failed, "last_at": stamp(now), "refused_until": stamp(now + _wait(failed, by_what))}
                connection.execute(update(attempts).where(attempts.c.whose == whose).values(**told))
            return connection.execute(select(people).where(people.c.key == key_of(name))).one_or_none()

        row = self.write(count)
        right = _fits(password, row.password if row else None)
        if not (row and right) or row.disabled:
            self.note_access(_shown_name(name), f"sign-in failed{f' from {address}' if address else ''}")
            raise SignInError("the name or the password is wrong")
        renewed = hash_of(password) if _hasher().check_needs_rehash(row.password) else row.password

        def begin(connection: Connection) -> str:
            connection.execute(delete(attempts).where(attempts.c.whose == counted[0][0]))
            taken_back = {"failed": attempts.c.failed - 1, "refused_until": stamp(now)}
            connection.execute(update(attempts).where(attempts.c.whose == f"address:{address}").values(**taken_back))
            connection.execute(update(people).where(people.c.key == row.key).values(password=renewed))
            return self._begin(connection, row, address)

        return self.write(begin)

    def open_session(self, name: str, address: str = "") -> str:
        """A token for somebody who is known by other means: who sits at the machine itself."""

        def act(connection: Connection) -> str:
            row = _found(connection, name)
            if row.disabled:
                raise SignInError(f"{row.name} is disabled")
            return self._begin(connection, row, address)

        return self.write(act)

    def session(self, token: str) -> Person | None:
        """Who holds a token, with the roles of now; None where it is none, has run out, or they are disabled."""
        holds = select(people).join(sessions, sessions.c.person == people.c.key)
        holds = holds.where(sessions.c.token_sha256 == _hash_token(token), sessions.c.ends_at > self.now())
        with self.read() as connection:
            row = connection.execute(holds.where(people.c.disabled.is_(False))).one_or_none()
        return _person(row) if row else None

    def sign_out(self, token: str) -> None:
        """The token holds no more; nothing happens where it is none."""
        mine = sessions.c.token_sha256 == _hash_token(token)

        def act(connection: Connection) -> None:
            name = connection.execute(
                select(people.c.name).join(sessions, sessions.c.person == people.c.key).where(mine)
            ).scalar()
            if name is not None:
                connection.execute(delete(sessions).where(mine))
                note(connection, self.now(), name, "signed out")

        self.write(act)

    def _begin(self, connection: Connection, row: Row[Any], address: str) -> str:
        token, now = secrets.token_urlsafe(32), self.clock()
        connection.execute(delete(sessions).where(sessions.c.ends_at < stamp(now)))
        held = {"token_sha256": _hash_token(token), "person": row.key, "begun_at": stamp(now)}
        connection.execute(insert(sessions).values(**held, ends_at=stamp(now + SESSION)))
        note(connection, stamp(now), row.name, f"signed in{f' from {address}' if address else ''}")
        return token

    def _change(
        self, connection: Connection, name: str, by: str, done: str, sign_out: bool = True, **values: Any
    ) -> None:
        row, keepers = _found(connection, name), _keepers(connection)
        connection.execute(update(people).where(people.c.key == row.key).values(**values))
        if keepers and not _keepers(connection):
            raise RefusedError("nobody would be left who may look after people; make somebody else keeper first")
        if sign_out:
            connection.execute(delete(sessions).where(sessions.c.person == row.key))
        note(connection, self.now(), by or row.name, f"{done} {row.name}")


def key_of(name: str) -> str:
    """A name -> as it is compared: "A. Operator" is "a. operator"."""
    letters = " ".join(unicodedata.normalize("NFKC", name).casefold().split())
    return "".join(letter for letter in letters if letter.isprintable())


def hash_of(password: str) -> str:
    """A password -> what is kept of it. RefusedError where it is too short or too long."""
    if not SHORTEST <= len(password) <= LONGEST:
        raise RefusedError(f"a password has {SHORTEST} to {LONGEST} letters; a few words make a good one")
    return _hasher().hash(unicodedata.normalize("NFKC", password))


@cache
def _hasher() -> PasswordHasher:
    return PasswordHasher()


@cache
def _nobodys() -> str:
    """The hash of a password nobody knows: what a name that is not there is compared with."""
    return _hasher().hash(secrets.token_hex())


def _fits(password: str, hashed: str | None) -> bool:
    """Whether a password is the one; it takes as long where there is none to compare with."""
    try:
        _hasher().verify(hashed or _nobodys(), unicodedata.normalize("NFKC", password[: LONGEST + 1]))
    except Argon2Error:
        return False
    return hashed is not None


def _hash_token(token: str) -> str:
    return hashlib.sha256(token.encode(errors="surrogatepass")).hexdigest()


def _wait(failed: int, by_what: str) -> timedelta:
    """How long the next sign-in is refused after so many failures: none at first, then 2 s, 4 s, 8 s … 15 min."""
    beyond = failed - FREE[by_what]
    return min(timedelta(seconds=2 ** min(beyond, 30)), LONGEST_WAIT) if beyond > 0 else timedelta(0)


def _attempts(connection: Connection, whose: str) -> Row[Any]:
    """The count of a name or an address, held until the transaction ends; a new one where there is none yet."""
    new = {"sqlite": sqlite, "postgresql": postgresql}[connection.dialect.name].insert(attempts)
    none = {"whose": whose, "failed": 0, "last_at": "9999", "refused_until": ""}
    connection.execute(new.values(none).on_conflict_do_nothing())
    return connection.execute(select(attempts).where(attempts.c.whose == whose).with_for_update()).one()


def _shown_name(name: str) -> str:
    """A name that somebody tried, for the log. A password typed into the wrong field is cut, no more can be done."""
    return "".join(letter for letter in name[:60] if letter.isprintable()) or "nobody"


def _roles(roles: Iterable[str]) -> str:
    told = [role for role in ROLES if role in set(roles)]
    if strange := [role for role in roles if role not in ROLES]:
        raise RefusedError(f"{strange[0]}: is no role; there are {', '.join(ROLES)}")
    if not told:
        raise RefusedError(f"somebody has at least one role: {', '.join(ROLES)}")
    return " ".join(told)


def _found(connection: Connection, name: str) -> Row[Any]:
    row = connection.execute(select(people).where(people.c.key == key_of(name))).one_or_none()
    if row is None:
        raise MissingError(f"{name}: there is nobody of this name")
    return row


def _keepers(connection: Connection) -> int:
    found = select(func.count()).where(people.c.disabled.is_(False), people.c.roles.contains("keeper"))
    return connection.execute(found).scalar_one()


def _person(row: Row[Any]) -> Person:
    return Person(row.name, tuple(row.roles.split()), row.disabled, row.password is not None, row.added_at)
