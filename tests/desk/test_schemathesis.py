"""The API against what nobody thought of: requests made up from its own description, in this process.

Whatever is asked, nothing is a fault of ours (no 5xx), every refusal has the one form, and nobody reads or changes
anything without being signed in.
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, cast

import hypothesis
import pytest
import schemathesis
from hypothesis import HealthCheck, given
from starlette.testclient import TestClient

from extractor import pipeline
from extractor.desk.api.schema import describe
from extractor.desk.app import OPEN, make_app
from extractor.desk.people import ROLES
from extractor.desk.security import Settings
from extractor.desk.store import Store
from extractor.lexicon import Lexicon

from .serving import ADDRESS, Served, serve

#: The description alone: no route is run by the application it is taken from.
SCHEMA = schemathesis.openapi.from_dict(describe(make_app(cast(Store, None), Settings(), Lexicon())))
OPERATIONS = [found.ok() for found in SCHEMA.get_all_operations()]
#: As the description says, and in every way against it.
MODES = schemathesis.GenerationMode.POSITIVE, schemathesis.GenerationMode.NEGATIVE

each_operation = pytest.mark.parametrize(
    "operation", OPERATIONS, ids=[operation.definition.raw["operationId"] for operation in OPERATIONS]
)
each_length = pytest.mark.parametrize(
    "examples", [pytest.param(6, id="shortly"), pytest.param(400, id="for-long", marks=pytest.mark.slow)]
)


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory, fixtures: Path) -> Iterator[Served]:
    timeline = pipeline.draft([fixtures / "short-inflation" / "transcript.vtt"])
    served = serve(tmp_path_factory.mktemp("asked") / "store", timeline)
    served.store.add_person("A. Operator", ROLES)
    yield served
    served.store.close()


def ask(operation: Any, examples: int, check: Callable[[Any], None]) -> None:
    """Requests made up for an operation, each looked at."""
    quiet = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
    for mode in MODES:

        @hypothesis.settings(max_examples=examples, deadline=None, suppress_health_check=quiet)
        @given(case=operation.as_strategy(generation_mode=mode))
        def each(case: Any) -> None:
            check(case)

        try:
            each()
        except hypothesis.errors.Unsatisfiable:  # there is no way against it
            continue


def send(case: Any, client: TestClient) -> Any:
    """A request that was made up, sent as it is."""
    told = case.as_transport_kwargs(base_url=ADDRESS)
    body = (
        {"content": told["data"]} if told.get("data") is not None else {"json": told["json"]} if "json" in told else {}
    )
    headers = {name: value for name, value in told.get("headers", {}).items() if name.lower() != "host"}
    return client.request(told["method"], told["url"], params=told.get("params"), headers=headers, **body)


@each_operation
@each_length
def test_nothing_asked_is_a_fault(operation: Any, examples: int, desk: Served) -> None:
    """By somebody who may do everything."""

    def check(case: Any) -> None:
        desk.store.disable("A. Operator", disabled=False)
        answer = send(case, desk.client())
        assert answer.status_code < 500, answer.text
        if answer.status_code >= 400:
            told = answer.json()["error"]
            assert {"code", "message"} <= told.keys() <= {"code", "message", "cure"}

    ask(operation, examples, check)


@each_operation
@each_length
def test_nobody_reads_or_changes_anything(operation: Any, examples: int, desk: Served) -> None:
    is_open = operation.definition.raw["operationId"] in OPEN

    def check(case: Any) -> None:
        answer = send(case, desk.stranger())
        assert (400 <= answer.status_code < 500) or (is_open and answer.status_code < 400), answer.text

    ask(operation, examples, check)
