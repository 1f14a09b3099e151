"""The desk's door: who is let in, what every answer carries, and that no route forgot to ask."""

import logging
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from fastapi.routing import APIRoute
from starlette.testclient import TestClient

from extractor import pipeline
from extractor.desk import pages
from extractor.desk.app import OPEN, make_app, rights, routers
from extractor.desk.people import RIGHTS, ROLES, Role
from extractor.desk.security import Settings
from extractor.model import Timeline

from .serving import ADDRESS, Served, serve

AFAR = Settings(host="0.0.0.0", names=("desk.hospital.example",))
HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"


@pytest.fixture
def served(tmp_path: Path, small_timeline: Timeline) -> Iterator[Served]:
    desk = serve(tmp_path / "store", small_timeline)
    yield desk
    desk.store.close()


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory, fixtures: Path) -> Iterator[Served]:
    """A desk for tests that leave it as it is, or do not mind."""
    timeline = pipeline.draft([fixtures / "short-inflation" / "transcript.vtt"])
    desk = serve(tmp_path_factory.mktemp("shared") / "store", timeline)
    desk.store.job_done(desk.store.new_case("For those who walk through every route", "somebody"), timeline)
    desk.store.add_person("Keeper of all", ROLES)  # so that the last keeper's right is not what refuses
    yield desk
    desk.store.close()


@pytest.fixture
def afar(tmp_path: Path, small_timeline: Timeline) -> Iterator[Served]:
    """A desk that other machines reach."""
    desk = serve(tmp_path / "store", small_timeline, AFAR)
    yield desk
    desk.store.close()


# --- by which name, from which page

HOSTS = [
    pytest.param("127.0.0.1:8765", 200, 200, id="loopback"),
    pytest.param("localhost", 200, 200, id="localhost"),
    pytest.param("[::1]:8765", 200, 200, id="loopback-6"),
    pytest.param("LOCALHOST.:8765", 200, 200, id="written-otherwise"),
    pytest.param("evil.example", 421, 421, id="rebound-name"),
    pytest.param("127.0.0.1.evil.example:8765", 421, 421, id="begins-like-ours"),
    pytest.param("desk.hospital.example", 421, 200, id="a-name-it-was-given"),
    pytest.param("192.0.2.7:8765", 421, 200, id="a-number-address"),
    pytest.param("user@localhost", 421, 421, id="with-a-user"),
    pytest.param("localhost:8765:1", 421, 421, id="no-host"),
    pytest.param("", 421, 421, id="empty"),
]


@pytest.mark.parametrize(("host", "here", "there"), HOSTS)
def test_only_its_own_names_are_answered(shared: Served, host: str, here: int, there: int) -> None:
    afar = replace(shared, settings=AFAR, app=make_app(shared.store, AFAR))
    for desk, status in ((shared, here), (afar, there)):
        assert desk.client().get("/api/cases", headers={"Host": host}).status_code == status


ORIGINS = [
    pytest.param({}, True, id="a-script"),
    pytest.param({"Origin": ADDRESS}, True, id="own-page"),
    pytest.param({"Origin": ADDRESS, "Sec-Fetch-Site": "same-origin"}, True, id="own-page-told-twice"),
    pytest.param({"Sec-Fetch-Site": "none"}, True, id="typed"),
    pytest.param({"Origin": "https://evil.example"}, False, id="other-site"),
    pytest.param({"Origin": "null"}, False, id="sandboxed"),
    pytest.param({"Origin": "http://127.0.0.1:9999", "Sec-Fetch-Site": "same-site"}, False, id="other-port"),
    pytest.param({"Origin": "https://127.0.0.1:8765"}, False, id="other-scheme"),
    pytest.param({"Sec-Fetch-Site": "cross-site"}, False, id="cross-site"),
    pytest.param({"Origin": f"{ADDRESS}.evil.example"}, False, id="begins-like-ours"),
]


@pytest.mark.parametrize(("headers", "let_in"), ORIGINS)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_site_gets_and_changes_nothing(
    served: Served, headers: dict[str, str], let_in: bool, method: str
) -> None:
    answer = served.client().request(method, "/api/cases", headers=headers)
    assert (answer.status_code < 300) == let_in
    assert len(served.store.cases()) == (2 if let_in and method == "POST" else 1)
    if not let_in:
        assert answer.json()["error"]["code"] == "cross-site"


def test_a_page_may_be_linked_to_from_elsewhere(shared: Served) -> None:
    headers = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}
    assert shared.stranger().get("/sign-in", headers=headers).status_code == 200


# --- every route asks

ROUTES = [route for router in routers() for route in router.routes if isinstance(route, APIRoute)]
FILLED = {"case": "2", "name": "somebody", "number": "0", "format": "record-text", "suggestion": "0" * 12}
#: Bodies that are well formed, so that it is the right which decides.
BODIES: dict[str, Any] = {
    "make_case": {"title": "x"},
    "change_case": {},
    "remove_case": {"why": "x"},
    "change_timeline": {"base": 0, "edit": {"do": "look", "points": ["gap-1"]}},
    "set_particulars": {},
    "read_barcode": {"text": "(10)A"},
    "sign_case": {"seen_sha256": "0" * 64, "head": 0, "name": "x"},
    "open_amendment": {"why": "x"},
    "name_me": {"name": ""},
    "decide": {"accept": False},
    "add_person": {"name": "x", "roles": ["auditor"]},
    "change_person": {},
}
each_route = pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.name)


def ask(client: TestClient, route: APIRoute) -> Any:
    path = re.sub(r"\{(\w+)\}", lambda match: FILLED[match[1]], f"/api{route.path}")
    (method,) = route.methods - {"HEAD"}
    return client.request(method, path, json=BODIES.get(route.name))


@each_route
def test_nobody_gets_anything_without_signing_in(shared: Served, route: APIRoute) -> None:
    answer = ask(shared.stranger(), route)
    if route.name in OPEN:
        assert answer.status_code != 401
    else:
        assert answer.status_code == 401
        assert answer.json()["error"]["code"] == "signed-out"


@each_route
@pytest.mark.parametrize("role", ROLES)
def test_a_role_may_what_its_rights_say(shared: Served, route: APIRoute, role: Role) -> None:
    answer = ask(shared.client(f"Some {role}", (role,)), route)
    allowed = rights(route) <= RIGHTS[role]
    assert (answer.status_code not in (401, 403)) == (allowed or route.name in OPEN)
    assert answer.status_code < 500


def test_what_the_description_tells_is_all_there_is(shared: Served) -> None:
    told = shared.client().get("/api/openapi.json").json()["paths"]
    walked = {(f"/api{route.path}", method.lower()) for route in ROUTES for method in route.methods - {"HEAD"}}
    described = {(path, method) for path, methods in told.items() for method in methods}
    assert described - {("/api/openapi.json", "get")} == walked
    assert shared.stranger().get("/api/openapi.json").status_code == 401


PAGES = [route for route in pages.router.routes if isinstance(route, APIRoute) and route.name not in pages.OPEN]


@pytest.mark.parametrize("route", PAGES, ids=lambda route: route.name)
def test_a_page_asks_who_it_is_and_brings_them_back(shared: Served, route: APIRoute) -> None:
    path = route.path.replace("{case}", "1")
    answer = shared.stranger().get(path)
    assert answer.status_code == 303
    assert answer.headers["Location"].startswith("/sign-in?next=/")
    assert shared.client().get(path).status_code == 200


PAGE_RIGHTS = [
    pytest.param("/people", "auditor", 403, id="people-of-an-auditor"),
    pytest.param("/people", "keeper", 200, id="people-of-a-keeper"),
    pytest.param("/log", "operator", 403, id="log-of-an-operator"),
    pytest.param("/log", "auditor", 200, id="log-of-an-auditor"),
    pytest.param("/cases/1/sign", "educator", 403, id="sign-of-an-educator"),
    pytest.param("/cases/1/sign", "operator", 200, id="sign-of-an-operator"),
    pytest.param("/cases/9", "operator", 404, id="no-such-case"),
    pytest.param("/cases/nine", "operator", 404, id="no-number"),
    pytest.param("/nowhere", "operator", 404, id="no-such-page"),
]


@pytest.mark.parametrize(("path", "role", "status"), PAGE_RIGHTS)
def test_pages_ask_for_rights_too(shared: Served, path: str, role: Role, status: int) -> None:
    answer = shared.client(f"Some {role}", (role,)).get(path)
    assert answer.status_code == status
    assert answer.headers["Content-Type"].startswith("text/html")


# --- coming in


def test_the_key_opens_the_desk_once(served: Served) -> None:
    key, told = served.settings.one_time_key.key, list[str]()
    served.settings.one_time_key.told = told.append
    first, second = served.stranger(), served.stranger()
    assert first.get("/enter", params={"key": "wrong"}).status_code == 403
    answer = first.get("/enter", params={"key": key})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    cookie = re.sub(r"expires=[^;]+; ", "", answer.headers["Set-Cookie"])
    assert re.fullmatch(r"desk-8765=[\w-]{43}; HttpOnly; Max-Age=43200; Path=/; SameSite=strict", cookie)
    assert first.get("/api/me").json() | {"rights": 0} == {
        "name": "operator", "roles": list(ROLES), "rights": 0, "local": True, "named": False,
    }  # fmt: skip
    assert second.get("/enter", params={"key": key}).status_code == 403
    assert second.get("/api/me").status_code == 401
    assert told == [served.settings.one_time_key.key], "the next one is told where the desk was started"
    assert key not in told
    assert first.get("/enter", params={"key": key}).status_code == 303, "the browser it opened may go there again"


def test_a_desk_that_others_reach_has_no_key(afar: Served) -> None:
    key = afar.settings.one_time_key.key
    assert afar.stranger().get("/enter", params={"key": key}).status_code == 403


def test_the_local_user_says_their_name_once(served: Served) -> None:
    client = served.stranger()
    client.get("/enter", params={"key": served.settings.one_time_key.key})
    assert client.put("/api/me", json={"name": "A. Operator"}).json()["named"]
    assert client.get("/api/me").json()["name"] == "A. Operator"
    assert served.store.person("operator").disabled
    served.store.add_person("B. Keeper", ROLES, "a long enough password")
    assert client.put("/api/me", json={"name": "B. Keeper"}).status_code == 409, "nobody becomes somebody by saying so"


def test_signing_in_and_out(afar: Served) -> None:
    afar.store.add_person("B. Auditor", ("auditor",), "a long enough password")
    client = afar.stranger()
    wrong = client.post("/api/session", json={"name": "B. Auditor", "password": "another long password"})
    nobody = client.post("/api/session", json={"name": "Nobody", "password": "another long password"})
    assert (wrong.status_code, wrong.json()) == (nobody.status_code, nobody.json()) == (401, wrong.json())
    answer = client.post("/api/session", json={"name": "b. auditor", "password": "a long enough password"})
    assert answer.json()["name"] == "B. Auditor"
    assert client.get("/api/log").status_code == 200
    token = client.cookies[afar.settings.cookie]
    assert client.delete("/api/session").status_code == 204
    again = afar.stranger()
    again.cookies.set(afar.settings.cookie, token, domain="127.0.0.1")
    assert again.get("/api/me").status_code == 401


def test_over_tls_the_cookie_is_sent_over_tls_alone(afar: Served) -> None:
    afar.store.add_person("B. Auditor", ("auditor",), "a long enough password")
    client = TestClient(afar.app, base_url="https://desk.hospital.example")
    answer = client.post("/api/session", json={"name": "B. Auditor", "password": "a long enough password"})
    assert "Secure" in answer.headers["Set-Cookie"]


def test_guessing_is_slowed_down(afar: Served) -> None:
    client = afar.stranger()
    tries = [client.post("/api/session", json={"name": "B", "password": "guess number one"}) for _ in range(7)]
    assert tries[0].status_code == 401
    assert tries[-1].status_code == 429
    assert int(tries[-1].headers["Retry-After"]) >= 1
    assert tries[-1].json()["error"]["code"] == "throttled"


def test_secrets_stand_in_no_log(afar: Served, tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG)
    client = afar.client()
    secrets = ["a long enough password", "another long passphrase"]
    client.post("/api/people", json={"name": "B. Auditor", "roles": ["auditor"], "password": secrets[0]})
    stranger = afar.stranger()
    stranger.post("/api/session", json={"name": "B. Auditor", "password": secrets[0]})
    stranger.post("/api/session", json={"name": "B. Auditor", "password": secrets[1], "extra": 1})
    secrets.append(stranger.cookies[afar.settings.cookie])
    signature = client.get("/api/cases/1/signature").json()["to_sign"]
    left_open = dict.fromkeys(signature.pop("waits"), "seen on paper")
    body = {**signature, "name": "A. Operator", "left_open": left_open, "passphrase": secrets[1]}
    assert client.post("/api/cases/1/signature", json=body).status_code == 201
    afar.store.close()
    kept = [path.read_bytes() for path in (tmp_path / "store").rglob("*") if path.is_file()]
    for secret in secrets:
        assert secret not in caplog.text
        assert not any(secret.encode() in content for content in kept)


# --- what every answer carries

ANSWERS = [
    pytest.param("/", id="page"),
    pytest.param("/cases/1", id="review"),
    pytest.param("/sign-in", id="sign-in"),
    pytest.param("/nowhere", id="no-page"),
    pytest.param("/api/cases", id="api"),
    pytest.param("/api/cases/99", id="refusal"),
    pytest.param("/api/nowhere", id="no-route"),
    pytest.param("/static/desk.css", id="static"),
    pytest.param("/static/../app.py", id="outside-static"),
]


@pytest.mark.parametrize("path", ANSWERS)
def test_every_answer_keeps_the_browser_in(shared: Served, path: str) -> None:
    headers = shared.client().get(path).headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "SAMEORIGIN"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["Cache-Control"] == "no-store"


def test_pages_have_no_script_or_style_in_them(shared: Served) -> None:
    client = shared.client()
    for path in ("/", "/cases/1", "/cases/1/sign", "/people", "/log", "/suggestions", "/sign-in", "/nowhere"):
        page = client.get(path).text
        assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\son\w+=|\sstyle=|javascript:", page, re.IGNORECASE), path
        assert not re.search(r"""(?:src|href)=["'](?:https?:)?//""", page), path


def test_a_record_runs_and_loads_nothing(served: Served) -> None:
    answer = served.client().get("/api/cases/1/record")
    policy = answer.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'")
    assert "sandbox" in policy


def test_hostile_words_are_words(tmp_path: Path, small_timeline: Timeline) -> None:
    words = list(small_timeline.words)
    words[7] = words[7].model_copy(update={"text": HOSTILE})
    event = small_timeline.events[1].model_copy(update={"drug": HOSTILE})
    events = (small_timeline.events[0], event, *small_timeline.events[2:])
    desk = serve(tmp_path / "store", small_timeline.model_copy(update={"words": tuple(words), "events": events}))
    client = desk.client(HOSTILE[:60])
    client.patch("/api/cases/1", json={"title": HOSTILE})
    for path in ("/", "/cases/1", "/cases/1/sign", "/people", "/log", "/api/cases/1/record"):
        assert HOSTILE[:8] not in client.get(path).text, path
    assert client.get("/api/cases/1").json()["title"] == HOSTILE
    for path in ("/api/cases", "/api/cases/1/timeline", "/api/log"):
        assert client.get(path).headers["Content-Type"] == "application/json"
    desk.store.close()


# --- how much

BODIES_TOO_LARGE = [
    pytest.param({"content": b" " * 1_000_001}, id="told"),
    pytest.param({"content": (b" " * 100_000 for _ in range(11))}, id="not-told"),
    pytest.param({"content": b"{}", "headers": {"Content-Length": "9" * 400}}, id="beyond-any-number"),
]


@pytest.mark.parametrize("sent", BODIES_TOO_LARGE)
def test_a_body_has_a_limit(served: Served, sent: dict[str, Any]) -> None:
    headers = {"Content-Type": "application/json", **sent.pop("headers", {})}
    answer = served.client().post("/api/cases", headers=headers, **sent)
    assert answer.status_code == 413
    assert answer.json()["error"]["code"] == "too-large"
    assert len(served.store.cases()) == 1


UNREADABLE = [
    pytest.param(b"{", id="half"),
    pytest.param(b"\xff\xfe", id="no-utf-8"),
    pytest.param(b"[" * 100_000, id="deep"),
    pytest.param(b'{"title": "\\ud800"}', id="half-a-letter"),
    pytest.param(b'{"title": "a\\u0000b"}', id="zero"),
    pytest.param(b'{"title": "' + b"9" * 5000 + b'"}', id="long"),
    pytest.param(b'{"title": ' + b"9" * 5000 + b"}", id="a-huge-number"),
    pytest.param(b'{"titel": "x"}', id="unknown-field"),
    pytest.param(b"null", id="nothing"),
]


@pytest.mark.parametrize("content", UNREADABLE)
def test_what_cannot_be_read_is_refused_in_one_form(shared: Served, content: bytes) -> None:
    answer = shared.client().post("/api/cases", content=content, headers={"Content-Type": "application/json"})
    if content != b"null":
        assert answer.status_code in (400, 422)
        assert set(answer.json()["error"]) >= {"code", "message"}
    assert answer.status_code < 500


def test_json_must_say_that_it_is(shared: Served) -> None:
    """A form of another site can send text, and needs no leave for it; JSON it cannot."""
    answer = shared.client().post("/api/barcode", content=b'{"text": "(10)A"}', headers={"Content-Type": "text/plain"})
    assert answer.status_code == 422


def test_a_fault_of_ours_shows_no_trace(shared: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken() -> None:
        raise RuntimeError("secret inside")

    monkeypatch.setattr(shared.store, "cases", broken)
    answer = shared.client().get("/api/cases")
    assert answer.status_code == 500
    assert "secret" not in answer.text
    assert answer.json()["error"]["code"] == "fault"
