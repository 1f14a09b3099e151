"""What every request must pass before any route sees it, and what every answer carries.

* The name in ``Host`` is one of ours: a page elsewhere whose name was made to point here (DNS rebinding) is refused.
* What changes something, and all of the API, is asked for by our own pages or by no page at all: ``Sec-Fetch-Site`` and
  ``Origin`` tell (W3C Fetch Metadata; the Fetch standard). A browser sends them, a script that knows the key need not.
* A body has a limit, told or not. Uploads have their own, which their route keeps.
* Answers load nothing from elsewhere and no script or style that stands in a page (Content Security Policy Level 3),
  are never stored, and never shown inside another site.

Who asks, and what they may, is told by ``api.needs``; this is only the door.
"""

import ipaddress
import json
import re
import secrets
import socket
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from http import HTTPStatus
from urllib.parse import urlsplit

from fastapi import HTTPException
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from extractor.desk.drafting import Options

MEGABYTE = 1_000_000
LOOPBACK = ("127.0.0.1", "localhost", "::1")
#: Requests that change nothing.
_READS = {"GET", "HEAD", "OPTIONS"}
#: Paths whose bodies are streamed by their route, which keeps the limit of uploads.
_UPLOADS = re.compile(r"/api/cases/[^/]+/files/[^/]+")
_HOST = re.compile(r"(\[[0-9a-fA-F:.]+\]|[^:\[\]/@]+)(:\d{1,5})?")

CSP = "; ".join(
    (
        "default-src 'self'", "img-src 'self' data:", "media-src 'self' blob:", "object-src 'none'", "base-uri 'none'",
        "form-action 'self'", "frame-ancestors 'self'",
    )
)  # fmt: skip
#: Of a record, which is one page with its style in it: nothing runs or loads there, and it is a page of no site.
RECORD_CSP = "default-src 'none'; style-src 'unsafe-inline'; sandbox; frame-ancestors 'self'"
_HEADERS = {
    "Content-Security-Policy": CSP,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "SAMEORIGIN",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "Cache-Control": "no-store",
}


class OneTimeKey:
    """A key that opens the desk once: whoever reads the terminal may come in, whoever finds the address later not.

    ``told`` is called with the next one when one was used: for another browser, or when a session has run out.
    """

    def __init__(self, told: Callable[[str], None] = lambda _: None) -> None:
        self.key = secrets.token_urlsafe(32)
        self.told = told
        self._lock = threading.Lock()

    def use(self, given: str) -> bool:
        """Whether it is the key and was not used before; a wrong one leaves it as it is."""
        with self._lock:
            if not secrets.compare_digest(self.key.encode(), given.encode(errors="replace")):
                return False
            self.key = secrets.token_urlsafe(32)
        self.told(self.key)
        return True


@dataclass(frozen=True)
class Settings:
    """How a desk is served. ``names``: further names it is reached by. Sizes in bytes, times in seconds."""

    host: str = "127.0.0.1"
    port: int = 8765
    names: tuple[str, ...] = ()
    largest_body: int = MEGABYTE
    largest_upload: int = 8_000 * MEGABYTE
    options: Options = field(default_factory=Options)
    one_time_key: OneTimeKey = field(default_factory=OneTimeKey)

    @property
    def is_local(self) -> bool:
        """Whether only this machine reaches it: then whoever has its one-time key is its user."""
        return self.host in LOOPBACK

    @property
    def cookie(self) -> str:
        """Cookies know no port: two desks of one machine must not take each other's."""
        return f"desk-{self.port}"

    def at(self, port: int) -> "Settings":
        """The same at another port."""
        return replace(self, port=port)

    @property
    def address(self) -> str:
        return f"http://{f'[{self.host}]' if ':' in self.host else self.host}:{self.port}"


def error_body(code: str, message: str, cure: str | None = None) -> dict[str, object]:
    """What every error's JSON is."""
    return {"error": {"code": code, "message": message} | ({"cure": cure} if cure else {})}


class Guard:
    """ASGI middleware around the whole application."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self._app, self._settings = app, settings
        names = {settings.host, *settings.names, *LOOPBACK}
        if not settings.is_local:
            names |= {socket.gethostname(), socket.getfqdn()}
        self._names = {name.lower().rstrip(".") for name in names}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return  # there are no web sockets here
        headers = Headers(scope=scope)
        refusal = self._refusal(scope, headers)
        if refusal is not None:
            await self._refuse(send, *refusal)
            return
        is_upload = scope["method"] == "PUT" and _UPLOADS.fullmatch(scope["path"])
        await self._app(scope, receive if is_upload else self._bounded(receive), self._dressed(send))

    def _refusal(self, scope: Scope, headers: Headers) -> tuple[HTTPStatus, str, str] | None:
        """Why a request is not let in: status, code and sentence. None where it is."""
        if len(headers.getlist("host")) != 1 or not self._is_ours(headers["host"]):
            return HTTPStatus.MISDIRECTED_REQUEST, "host", "This desk is not known by that name; use its own address."
        is_read, is_api = scope["method"] in _READS, scope["path"].startswith("/api")
        if (is_api or not is_read) and headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return HTTPStatus.FORBIDDEN, "cross-site", "Another site asked for this; only the desk's own pages may."
        origin = headers.get("origin")
        if origin is not None and (is_api or not is_read):
            asked = urlsplit(origin)
            if (asked.scheme, asked.netloc.lower()) != (scope["scheme"], headers["host"].lower()):
                return HTTPStatus.FORBIDDEN, "cross-site", "Another site asked for this; only the desk's own pages may."
        if not (is_read and headers.get("content-length") is None):
            told = headers.get("content-length", "0")
            if not told.isascii() or not told.isdigit():
                return HTTPStatus.BAD_REQUEST, "length", "The length of what was sent is no number."
            is_upload = _UPLOADS.fullmatch(scope["path"])
            if int(told) > (self._settings.largest_upload if is_upload else self._settings.largest_body):
                return HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "too-large", "What was sent is larger than the limit."
        return None

    def _is_ours(self, host: str) -> bool:
        match = _HOST.fullmatch(host)
        if match is None:
            return False
        name = match[1].strip("[]").lower().rstrip(".")
        # A bare number address cannot be made to point elsewhere; on loopback only its own are right.
        return name in self._names or (not self._settings.is_local and _is_number(name))

    def _bounded(self, receive: Receive) -> Receive:
        """The same body, refused where it goes beyond the limit without having told."""
        taken = 0

        async def bounded() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > self._settings.largest_body:
                raise HTTPException(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "What was sent is larger than the limit.")
            return message

        return bounded

    @staticmethod
    def _dressed(send: Send) -> Send:
        """Answers with the headers above, where their route has not set one of its own."""

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        return dressed

    async def _refuse(self, send: Send, status: HTTPStatus, code: str, message: str) -> None:
        content = json.dumps(error_body(code, message)).encode()
        headers = [(b"content-type", b"application/json"), (b"content-length", str(len(content)).encode())]
        dressed = self._dressed(send)
        await dressed({"type": "http.response.start", "status": int(status), "headers": headers})
        await dressed({"type": "http.response.body", "body": content})


def _is_number(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True
