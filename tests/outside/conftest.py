"""Checks against data nobody here wrote. It is no part of the project: EXTRACTOR_OPEN_DATA names the folder it lies in.

A test that takes ``measure_row`` runs once for each row of its module's ``measure_rows(folder)``. A row that is out of
scope is not left out: its ``pytest.param`` carries a strict xfail with the reason, so it is run, and counted, and shows
when it comes into scope.
"""

import os
from pathlib import Path

import pytest

FOLDER = os.environ.get("EXTRACTOR_OPEN_DATA")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Feeds every ``…_row`` argument from the function ``…_rows`` of its module."""
    for name in metafunc.fixturenames:
        rows = getattr(metafunc.module, f"{name}s", None) if name.endswith("_row") else None
        if rows and FOLDER:
            metafunc.parametrize(name, rows(Path(FOLDER)))
        elif rows:
            unset = pytest.mark.skip(
                reason="EXTRACTOR_OPEN_DATA is not set: checks against published data are left out"
            )
            metafunc.parametrize(name, [pytest.param(None, marks=unset)])
