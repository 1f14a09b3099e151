"""A desk that answers at an address of its own, and Debian's chromium to go there."""

import base64
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from extractor.desk.app import make_app
from extractor.desk.people import ROLES, Role
from extractor.desk.security import Settings
from extractor.desk.store import Store, open_store

CHROMIUM = Path("/usr/bin/chromium")
#: No sandbox, for tests run as root; no graphics card, and nothing that asks the network.
OPTIONS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync"
).split()
#: However slow a machine is, it is not slower.
PATIENCE_MS = 60_000

expect.set_options(timeout=PATIENCE_MS)


@dataclass
class Desk:
    """A desk in a thread of this process."""

    address: str
    store: Store
    settings: Settings
    faults: list[str] = field(default_factory=list)

    def visit(
        self, browser: Browser, path: str = "/", name: str = "A. Operator", roles: tuple[Role, ...] = ROLES, **how: Any
    ) -> Page:
        """A page of a browser in which somebody is signed in. What its scripts do not catch goes into ``faults``."""
        context = self.context(browser, name, roles, **how)
        page = context.new_page()
        page.on("pageerror", lambda error: self.faults.append(f"{path}: {error}"))
        page.goto(f"{self.address}{path}")
        page.locator("main:not([aria-busy])").wait_for()
        return page

    def context(self, browser: Browser, name: str, roles: tuple[Role, ...] = ROLES, **how: Any) -> BrowserContext:
        if name not in [person.name for person in self.store.people()]:
            self.store.add_person(name, roles)
        context = browser.new_context(**{"viewport": {"width": 1280, "height": 800}, **how})
        context.set_default_timeout(PATIENCE_MS)
        cookie = {"name": self.settings.cookie, "value": self.store.open_session(name), "url": self.address}
        context.add_cookies([cookie])  # type: ignore[list-item]
        return context


@contextmanager
def chromium() -> Iterator[Browser]:
    """Debian's chromium, for as long as it is wanted; without it the test is skipped."""
    if not CHROMIUM.is_file():
        pytest.skip("chromium is not here: Debian's package of that name")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=OPTIONS)
        yield browser
        browser.close()


@contextmanager
def serving(folder: Path) -> Iterator[Desk]:
    """A desk over a new store, its drafting and all, for as long as it is wanted."""
    store = open_store(folder)
    store.new_case("Put away", "A. Operator")  # a store that never had a case would get the demo
    store.remove_case(1, "A. Operator", "none is wanted")
    listening = Settings(port=0)
    config = uvicorn.Config(
        make_app(store, listening), host="127.0.0.1", port=0, access_log=False, log_config=None, ws="none"
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    port = server.servers[0].sockets[0].getsockname()[1]
    try:
        yield Desk(f"http://127.0.0.1:{port}", store, listening)
    finally:
        server.should_exit = True
        thread.join()
        store.close()


def drop(page: Page, path: Path) -> None:
    """A file let fall on a page, as a hand would."""
    content = base64.b64encode(path.read_bytes()).decode()
    page.evaluate(
        """([name, content]) => {
          const bytes = Uint8Array.from(atob(content), letter => letter.charCodeAt(0));
          const data = new DataTransfer();
          data.items.add(new File([bytes], name));
          for (const type of ["dragover", "drop"])
            document.body.dispatchEvent(new DragEvent(type, {dataTransfer: data, bubbles: true, cancelable: true}));
        }""",
        [path.name, content],
    )


def press(page: Page, *keys: str) -> None:
    """Keys, one after another, with nothing touched by a mouse."""
    for key in keys:
        page.keyboard.press(key)


def until(page: Page, expression: str) -> None:
    """Waits until something is true in a page; Playwright's own way would ask for eval, which the desk forbids."""
    deadline = time.monotonic() + PATIENCE_MS / 1000
    while not page.evaluate(expression):
        assert time.monotonic() < deadline, f"never true: {expression}"
        page.wait_for_timeout(30)


def kept(page: Page) -> None:
    """Waits until every change is kept by the desk."""
    expect(page.locator("#sending")).to_have_text("All changes kept.")


def is_wider_than_its_window(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"))
