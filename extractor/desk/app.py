"""A store and settings -> the desk as an application, and served: its API, its pages, its door, drafting behind it."""

import errno
import logging
import socket
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import uvicorn
from anyio import to_thread
from fastapi import APIRouter, FastAPI
from fastapi.routing import APIRoute
from starlette.staticfiles import StaticFiles

from extractor import __version__
from extractor.desk import failures, pages
from extractor.desk.api import cases, learning, people, review, signoff
from extractor.desk.api.asking import FAILURES, Desk, Needs
from extractor.desk.api.schema import description_of
from extractor.desk.drafting import Drafting
from extractor.desk.security import Guard, Settings
from extractor.desk.store import Store
from extractor.errors import ExtractorError, InputError
from extractor.lexicon import Lexicon, load

log = logging.getLogger(__name__)

#: Routes of the API that anybody may ask: to sign in.
OPEN = {"sign_in"}
#: Open connections get so long to end when the desk is stopped, in seconds.
_END_S = 3
DEMO = "A first case: one balloon, one inflation"


def make_app(store: Store, settings: Settings, lexicon: Lexicon | None = None) -> FastAPI:
    """The application over an open store. ``lexicon``: its names, for choosing; the shipped one if not given.

    While it runs (its lifespan) cases that wait are drafted.
    """
    at = Desk(store, settings, Drafting(store, settings.options), lexicon or load())

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        await to_thread.run_sync(_first_case, store)
        at.drafting.start()
        try:
            yield
        finally:
            await to_thread.run_sync(at.drafting.stop)

    app = FastAPI(
        title="The desk",
        version=__version__,
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        lifespan=lifespan,
        responses=FAILURES,
        generate_unique_id_function=lambda route: route.name,
    )
    app.state.desk = at
    for router in (*routers(), description_of(app)):
        _require_rights(router)
        app.include_router(router, prefix="/api")
    app.include_router(pages.router)
    app.mount("/static", StaticFiles(directory=pages.STATIC, check_dir=False), name="static")
    failures.add_to(app)
    app.add_middleware(Guard, settings=settings)
    return app


def routers() -> tuple[APIRouter, ...]:
    """The routes of the API, a router a subject."""
    return cases.router, review.router, signoff.router, learning.router, people.router


def rights(route: APIRoute) -> set[str]:
    """The rights that a route asks for."""
    return {each.call.right for each in route.dependant.dependencies if isinstance(each.call, Needs)}


def _require_rights(router: APIRouter) -> None:
    """No route of the API goes out without a right: one that was forgotten stops the desk, not the day it is found."""
    for route in router.routes:
        assert isinstance(route, APIRoute), "the API is made of routes that say what they need"
        assert rights(route) or route.name in OPEN, f"{route.path} asks for no right"


def _first_case(store: Store) -> None:
    """A store in which there never was a case gets one to try, an invented one."""
    try:
        if store.cases() or any(row.case for row in store.access_log()):
            return
        recording = _demo()
        case = store.new_case(DEMO, "extractor")
        with recording.open("rb") as file:
            store.add_file(case, "commentary.opus", file, by="extractor")
        store.queue_draft(case, "extractor")
    except (ExtractorError, OSError) as error:  # the desk is of use without it
        log.warning("no first case: %s", error)


def _demo() -> Path:
    """The invented recording: inside the installed package, or in a checkout."""
    inside = Path(__file__).parent / "demo" / "recording.opus"
    return inside if inside.is_file() else Path(__file__).parents[2] / "fixtures" / "short-inflation" / "recording.opus"


# --- served


def serve(
    store: Store, settings: Settings, lexicon: Lexicon, ready: Callable[[str], None], again: Callable[[str], None]
) -> None:
    """Answers until it is stopped (Ctrl-C). ``ready`` is told the address to open, once it answers there; ``again``
    the next one, when that was used.

    InputError where the port is taken or the host is none of this machine.
    """
    listening = _listen(settings)
    settings = settings.at(listening.getsockname()[1])
    app = make_app(store, settings, lexicon)
    config = uvicorn.Config(
        app, access_log=False, log_config=None, ws="none", server_header=False, timeout_graceful_shutdown=_END_S
    )
    settings.one_time_key.told = lambda key: again(f"{settings.address}/enter?key={key}")
    with listening:
        ready(f"{settings.address}/enter?key={settings.one_time_key.key}" if settings.is_local else settings.address)
        with suppress(KeyboardInterrupt):  # uvicorn ends in good order, then tells again what ended it
            uvicorn.Server(config).run(sockets=[listening])


def _listen(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    listening = socket.socket(family)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((settings.host, settings.port))
        listening.listen(128)
    except OSError as error:
        listening.close()
        if isinstance(error, socket.gaierror) or error.errno == errno.EADDRNOTAVAIL:
            raise InputError(f"--host {settings.host}: no address of this machine; leave it away") from error
        raise InputError(
            f"--port {settings.port}: cannot be used ({error.strerror or error}), perhaps a desk is open there; "
            "go to that one, or name another port"
        ) from error
    return listening
