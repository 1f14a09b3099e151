"""Python's search for circular references, paused for as long as a case is read."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_paused() -> Iterator[None]:
    """No search for circular references within; afterwards the collector is as it was before.

    The sentences of a case stay alive until its last event is told, and the collector would walk over all of them again
    and again: a fifth of the time of a long case. It would find nothing: nothing the two rooms make refers back to
    itself, and all of it goes when the last reference does. ``tests/test_pipeline.py`` holds that.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
