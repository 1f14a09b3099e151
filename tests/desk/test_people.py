"""People, roles, passwords, sessions, the brake on guessing, keys, and the log of it all."""

import io
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from extractor import signing
from extractor.cli import main
from extractor.desk import people
from extractor.desk.access_log import as_csv
from extractor.desk.people import RIGHTS, ROLES, SignInError, ThrottledError
from extractor.desk.rows import LogRow, MissingError, RefusedError
from extractor.desk.store import Store, open_store
from extractor.desk.tables import attempts
from extractor.desk.tables import people as people_table
from extractor.desk.tables import sessions as session_table
from extractor.errors import InputError

ANNA, BEN = "A. Operator", "B. Keeper"
RIGHT, WRONG = "seven small balloons", "seven small baboons"


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.time = datetime(2026, 11, 26, 9, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.time

    def pass_by(self, **time: float) -> None:
        self.time += timedelta(**time)


@pytest.fixture(autouse=True)
def cheap_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """At its recommended cost a hash takes a good part of a second; only one test looks at that."""
    from argon2 import PasswordHasher

    hasher = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr(people, "_hasher", lambda: hasher)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(tmp_path: Path, clock: Clock, request: pytest.FixtureRequest) -> Iterator[Store]:
    where = (
        request.getfixturevalue("postgresql").new_database() if getattr(request, "param", "") == "postgresql" else None
    )
    with open_store(where or tmp_path / "desk", media=tmp_path / "desk", clock=clock) as opened:
        opened.add_person(ANNA, ["operator"], RIGHT)
        opened.add_person(BEN, ["keeper"], RIGHT, by=BEN)
        yield opened


def refused(store: Store, name: str = ANNA, password: str = WRONG, address: str = "10.0.0.1") -> float:
    """Signs in in vain -> the seconds to wait, 0 where it was looked at."""
    with pytest.raises(SignInError) as caught:
        store.sign_in(name, password, address)
    return caught.value.wait_s if isinstance(caught.value, ThrottledError) else 0


# --- roles


def test_what_each_role_may_do() -> None:
    assert {role: " ".join(sorted(RIGHTS[role])) for role in ROLES} == {
        "operator": "edit export read sign",
        "educator": "read teach",
        "auditor": "audit export read",
        "keeper": "lexicon people read",
    }


def test_rights_are_those_of_all_roles_and_none_when_disabled(store: Store) -> None:
    store.set_roles(ANNA, ["auditor", "operator"], BEN)
    assert store.person("a.  operator").roles == ("operator", "auditor")
    assert store.person(ANNA).rights == RIGHTS["operator"] | RIGHTS["auditor"]
    store.disable(ANNA, BEN)
    assert store.person(ANNA).rights == frozenset()
    store.disable(ANNA, BEN, disabled=False)
    assert "sign" in store.person(ANNA).rights


@pytest.mark.parametrize(
    ("name", "roles", "password", "said"),
    [
        ("a. OPERATOR", ["operator"], RIGHT, "somebody of this name"),
        ("\uff21. Operator", ["operator"], RIGHT, "somebody of this name"),  # a wide A: looks and compares like ours
        ("", ["operator"], RIGHT, "one line"),
        ("C\nD", ["operator"], RIGHT, "one line"),
        ("C" * 61, ["operator"], RIGHT, "at most 60"),
        ("C", [], RIGHT, "at least one role"),
        ("C", ["chief"], RIGHT, "chief: is no role"),
        ("C", ["operator"], "ninechars", "10 to 200"),
        ("C", ["operator"], "x" * 201, "10 to 200"),
    ],
)
def test_who_is_not_added(store: Store, name: str, roles: list[str], password: str, said: str) -> None:
    with pytest.raises(RefusedError, match=said):
        store.add_person(name, roles, password)
    assert [person.name for person in store.people()] == [ANNA, BEN]


def test_somebody_is_left_who_looks_after_people(store: Store) -> None:
    for act in (lambda: store.disable(BEN, BEN), lambda: store.set_roles(BEN, ["auditor"], BEN)):
        with pytest.raises(RefusedError, match="nobody would be left"):
            act()
    store.set_roles(ANNA, ["operator", "keeper"], BEN)
    store.disable(BEN, ANNA)


def test_nobody_is_changed_who_is_not_there(store: Store) -> None:
    with pytest.raises(MissingError, match="nobody of this name"):
        store.set_password("C. Nobody", RIGHT)


# --- passwords and sessions


def test_a_password_opens_a_session_until_its_end(store: Store, clock: Clock) -> None:
    token = store.sign_in("a. operator", RIGHT, "10.0.0.1")
    held = store.session(token)
    assert held
    assert held.name == ANNA
    clock.pass_by(hours=11, minutes=59)
    assert store.session(token)
    clock.pass_by(minutes=1)
    assert store.session(token) is None
    assert store.session("") is None
    assert store.session("\ud800") is None


@pytest.mark.parametrize("end", ["out", "password", "disabled"])
def test_a_session_ends_with_sign_out_a_new_password_and_being_disabled(store: Store, end: str) -> None:
    token, other = store.sign_in(ANNA, RIGHT), store.sign_in(BEN, RIGHT)
    {
        "out": lambda: store.sign_out(token),
        "password": lambda: store.set_password(ANNA, "eight small balloons"),
        "disabled": lambda: store.disable(ANNA, BEN),
    }[end]()
    assert store.session(token) is None
    assert store.session(other)
    store.sign_out(token)


def test_roles_change_at_once(store: Store) -> None:
    token = store.sign_in(ANNA, RIGHT)
    store.set_roles(ANNA, ["educator"], BEN)
    held = store.session(token)
    assert held
    assert held.roles == ("educator",)


def test_neither_passwords_nor_tokens_stand_anywhere(store: Store, tmp_path: Path) -> None:
    token = store.sign_in(ANNA, RIGHT)
    refused(store, password=WRONG)
    store.close()
    content = b"".join(path.read_bytes() for path in (tmp_path / "desk").rglob("*") if path.is_file())
    assert b"argon2id" in content
    assert [secret for secret in (token, RIGHT, WRONG) if secret.encode() in content] == []


def test_a_letter_written_two_ways_is_one(store: Store) -> None:
    store.set_password(ANNA, "cafe\u0301 de la gare")
    assert store.sign_in(ANNA, "caf\u00e9 de la gare")


@pytest.mark.parametrize(
    ("name", "password"),
    [
        (ANNA, WRONG),
        ("C. Nobody", RIGHT),
        (ANNA, ""),
        ("", ""),
        ("a\0b", RIGHT),
        ("\ud800", RIGHT),
        (ANNA, "x" * 10_000),
    ],
)
@pytest.mark.parametrize("store", ["sqlite", "postgresql"], indirect=True)
def test_what_is_wrong_is_not_told(store: Store, name: str, password: str) -> None:
    with pytest.raises(SignInError, match=r"^the name or the password is wrong$"):
        store.sign_in(name, password)


def test_a_name_that_is_not_there_costs_a_hash_like_any_other(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Counted, not timed: every sign-in compares once, with a hash of the same cost."""
    compared: list[str] = []
    hasher = people._hasher()

    class Counting:
        def verify(self, hashed: str, password: str) -> bool:
            compared.append(hashed.rpartition("$")[0].rpartition("$")[0])
            return hasher.verify(hashed, password)

        check_needs_rehash, hash = hasher.check_needs_rehash, hasher.hash

    people._nobodys.cache_clear()
    monkeypatch.setattr(people, "_hasher", Counting)
    store.add_person("D. Door", ["educator"])  # no password: known at the machine alone
    store.disable("D. Door")
    for name in (ANNA, "C. Nobody", "D. Door"):
        refused(store, name)
    people._nobodys.cache_clear()
    assert len(compared) == 3
    assert len(set(compared)) == 1


def test_the_recommended_cost_is_what_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    assert people.hash_of(RIGHT).startswith("$argon2id$v=19$m=65536,t=3,p=4$")


def test_a_hash_of_less_cost_is_renewed_at_the_next_sign_in(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    from argon2 import PasswordHasher

    stronger = PasswordHasher(time_cost=2, memory_cost=16, parallelism=1)
    monkeypatch.setattr(people, "_hasher", lambda: stronger)
    store.sign_in(ANNA, RIGHT)
    with store.read() as connection:
        held = connection.execute(people_table.select().where(people_table.c.name == ANNA)).one().password
    assert "m=16,t=2" in held
    assert store.sign_in(ANNA, RIGHT)


# --- the brake


def test_failures_by_name_make_the_next_wait_grow(store: Store, clock: Clock) -> None:
    waits = []
    for n in range(12):
        assert refused(store, address=f"10.0.0.{n}") == 0  # from everywhere: the name is what counts
        waits.append(refused(store, password=RIGHT) if n >= 5 else 0)  # the right one is not looked at either
        clock.pass_by(seconds=waits[-1])
    assert waits == [0, 0, 0, 0, 0, 2, 4, 8, 16, 32, 64, 128]


def test_the_longest_wait_and_forgetting(store: Store, clock: Clock) -> None:
    wait = 0.0
    for _ in range(18):
        refused(store, address="")
        wait = refused(store, address="") if _ >= 5 else 0
        clock.pass_by(seconds=wait)
    assert wait == 15 * 60
    clock.pass_by(hours=1, seconds=1)
    assert refused(store) == 0
    assert refused(store) == 0
    assert store.sign_in(ANNA, RIGHT)


def test_the_right_password_takes_the_count_of_its_name_back(store: Store) -> None:
    for _ in range(3):
        for _ in range(4):
            assert refused(store, address="") == 0
        store.sign_in(ANNA, RIGHT)


def test_failures_by_address_count_over_all_names(store: Store, clock: Clock) -> None:
    for n in range(20):
        assert refused(store, name=f"N{n}") == 0
    assert refused(store, name="N20") == 0
    assert refused(store, name=BEN, password=RIGHT) == 2
    assert store.sign_in(BEN, RIGHT, "10.0.0.2")


def test_a_sign_in_of_ones_own_does_not_reset_the_address(store: Store) -> None:
    """Else whoever has one account could guess others' without end."""
    for n in range(21):
        assert refused(store, name=f"N{n}") == 0
        if n < 20:
            store.sign_in(BEN, RIGHT, "10.0.0.1")
    assert refused(store, name=BEN, password=RIGHT) == 2


@pytest.mark.parametrize("store", ["sqlite", "postgresql"], indirect=True)
def test_many_at_once_are_not_all_looked_at(store: Store) -> None:
    looked_at: list[bool] = []

    def guess() -> None:
        try:
            store.sign_in(ANNA, WRONG)
        except ThrottledError:
            looked_at.append(False)
        except SignInError:
            looked_at.append(True)

    threads = [threading.Thread(target=guess) for _ in range(30)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (looked_at.count(True), looked_at.count(False)) == (6, 24)


def test_the_brake_holds_after_a_restart(store: Store, tmp_path: Path, clock: Clock) -> None:
    for _ in range(6):
        refused(store, address="")
    store.close()
    with open_store(tmp_path / "desk", clock=clock) as again:
        assert refused(again, address="") == 2


def test_what_ran_out_is_swept(store: Store, clock: Clock) -> None:
    store.sign_in(ANNA, RIGHT, "10.0.0.1")
    for n in range(5):
        refused(store, name=f"N{n}")
    clock.pass_by(hours=13)
    store.sign_in(ANNA, RIGHT)
    with store.read() as connection:
        assert len(connection.execute(attempts.select()).all()) == 0
        assert len(connection.execute(session_table.select()).all()) == 1


# --- the log


def test_who_saw_and_did_what_is_told_in_order(store: Store, clock: Clock) -> None:
    clock.pass_by(minutes=1)
    since = store.now()
    token = store.sign_in(ANNA, RIGHT, "10.0.0.1")
    case = store.new_case("A case", ANNA)
    store.note_access(ANNA, "opened the case", case)
    refused(store, name="Mallory\x1b[2J")
    clock.pass_by(minutes=1)
    until = store.now()
    store.sign_out(token)
    told = [(row.who, row.what, row.case) for row in store.access_log(since, until)]
    assert told == [
        (ANNA, "signed in from 10.0.0.1", None),
        (ANNA, "made the case", case),
        (ANNA, "opened the case", case),
        ("Mallory[2J", "sign-in failed from 10.0.0.1", None),
    ]
    assert store.access_log("2026-11-26T10:01:00+01:00", "2026-11-26T09:02") == store.access_log(since, until)
    assert store.access_log("2026-11-27") == []
    with pytest.raises(RefusedError, match="is no date"):
        store.access_log("yesterday\0")
    assert [row.what for row in store.access_log(until)] == ["signed out"]
    assert [row.what for row in store.access_log()][:2] == [f"added {ANNA}: operator", f"added {BEN}: keeper"]


def test_no_cell_of_the_log_is_a_formula() -> None:
    row = LogRow("2026-11-26T09:00:00+00:00", "=1+1", "made the case", 3, "@SUM(A1)")
    assert as_csv([row]) == "at,who,what,case,why\n2026-11-26T09:00:00+00:00,'=1+1,made the case,3,'@SUM(A1)\n"


# --- keys


def test_a_key_is_made_once_and_a_new_one_leaves_the_old(store: Store) -> None:
    assert not store.keys.has(ANNA)
    with pytest.raises(InputError, match="no key yet"):
        store.keys.private(ANNA)
    first = store.keys.make(ANNA)
    assert signing.fingerprint(store.keys.public("a. operator")) == first
    second = store.keys.make(ANNA, "a passphrase")
    assert signing.fingerprint(store.keys.private(ANNA, "a passphrase").public_key()) == second != first
    with pytest.raises(InputError, match="passphrase"):
        store.keys.private(ANNA)
    files = sorted(store.keys.folder.iterdir())
    assert len(files) == 4
    assert [oct(path.stat().st_mode & 0o777) for path in files if path.suffix == ".pem"] == ["0o600"] * 2


@pytest.mark.parametrize("name", ["../../x", "a/b", "Ö. Ärztin", "日本", "x" * 60, "A-2", "con"])
def test_any_name_has_a_key_inside_the_folder(store: Store, name: str) -> None:
    made = store.keys.make(name)
    assert signing.fingerprint(store.keys.private(name).public_key()) == made
    assert [path.parent for path in store.folder.rglob("*.pem")] == [store.keys.folder]


def test_two_like_names_have_two_keys(store: Store) -> None:
    assert store.keys.make("A B") != store.keys.make("A-B")
    assert store.keys.public("A B").public_bytes_raw() != store.keys.public("A-B").public_bytes_raw()


# --- at the shell


def shell(monkeypatch: pytest.MonkeyPatch, folder: Path, *words: str, typed: str = "") -> int:
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    return main(["people", *words, "--store", str(folder)])


def test_people_are_looked_after_at_the_shell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    desk = tmp_path / "desk"
    assert shell(monkeypatch, desk, "add", ANNA, "--role", "operator", "--role", "keeper", typed=f"{RIGHT}\n") == 0
    assert shell(monkeypatch, desk, "add", BEN, "--role", "auditor", typed=f"{RIGHT}\n") == 0
    assert shell(monkeypatch, desk, "role", BEN, "--role", "educator") == 0
    assert shell(monkeypatch, desk, "password", BEN, typed="eight small balloons") == 0
    assert shell(monkeypatch, desk, "disable", BEN) == 0
    capsys.readouterr()
    assert shell(monkeypatch, desk, "list") == 0
    assert [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()] == [
        f"{ANNA} operator, keeper",
        f"{BEN} educator (disabled)",
    ]
    assert shell(monkeypatch, desk, "disable", BEN, "--undo") == 0
    with open_store(desk) as store:
        assert store.session(store.sign_in(BEN, "eight small balloons"))
    assert main(["store", "log", str(desk), "--out", str(tmp_path / "log.csv")]) == 0
    told = (tmp_path / "log.csv").read_text().splitlines()
    assert "at the shell" in told[1]
    assert not [line for line in told if RIGHT in line]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("add", ANNA, "--role", "chief"), "chief: is no role"),
        (("add", ANNA, "--role", "operator"), "10 to 200 letters"),
        (("disable", ANNA), "holds no store"),
    ],
)
def test_what_the_shell_refuses(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    said: str,
) -> None:
    assert shell(monkeypatch, tmp_path / "desk", *words, typed="short\n") == 2
    assert said in capsys.readouterr().err
