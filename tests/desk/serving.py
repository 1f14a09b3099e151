"""A desk over a store of its own, in this process, and people who use it."""

from dataclasses import dataclass
from pathlib import Path

from fastapi import FastAPI
from starlette.testclient import TestClient

from extractor.desk.app import make_app
from extractor.desk.people import ROLES, Role
from extractor.desk.security import Settings
from extractor.desk.store import Store, open_store
from extractor.model import Timeline

ADDRESS = "http://127.0.0.1:8765"


@dataclass
class Served:
    """A desk, its store, and the case that is drafted in it."""

    app: FastAPI
    store: Store
    settings: Settings
    case: int

    def client(self, name: str = "A. Operator", roles: tuple[Role, ...] = ROLES) -> TestClient:
        """A browser in which somebody is signed in."""
        if name not in [person.name for person in self.store.people()]:
            self.store.add_person(name, roles)
        client = self.stranger()
        client.cookies.set(self.settings.cookie, self.store.open_session(name), domain="127.0.0.1")
        return client

    def stranger(self) -> TestClient:
        """A browser in which nobody is."""
        return TestClient(self.app, base_url=ADDRESS, raise_server_exceptions=False, follow_redirects=False)


def serve(folder: Path, timeline: Timeline, settings: Settings | None = None) -> Served:
    """A desk with a drafted case. Nothing is drafted in it: its lifespan does not run."""
    settings = settings or Settings()
    store = open_store(folder)
    case = store.new_case("A case", "A. Operator")
    store.job_done(case, timeline)
    return Served(make_app(store, settings), store, settings, case)
