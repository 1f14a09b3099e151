"""What a case of sixty events costs in each format it is handed on in."""

import time

import pytest

from extractor.handover.export import FORMATS, export
from extractor.model import SignedTimeline, Timeline
from tests.handover.conftest import GIVEN, demo_draft, sign

pytestmark = pytest.mark.benchmark

EVENTS, MOST_S = 60, 2.0
__all__ = ["demo_draft"]  # the fixture


@pytest.fixture(scope="module")
def case(demo_draft: Timeline) -> SignedTimeline:
    more = [
        event.model_copy(update={"id": f"e{number:04}"})
        for number, event in enumerate(demo_draft.events[: EVENTS - len(demo_draft.events)], len(demo_draft.events) + 1)
    ]
    return sign(demo_draft.model_copy(update={"events": (*demo_draft.events, *more)}))


def test_a_case_of_sixty_events_is_handed_on_in_a_moment(case: SignedTimeline) -> None:
    """The first time in a process, libraries and all: as somebody at the desk waits for it."""
    assert len(case.events) == EVENTS
    took = {}
    for form in FORMATS:
        begin = time.process_time()
        export(case, form, GIVEN)
        took[form] = time.process_time() - begin
    print("\n" + "\n".join(f"{form:>15}: {seconds:.2f} s of processor time" for form, seconds in took.items()))
    assert max(took.values()) <= MOST_S
