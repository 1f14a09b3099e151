"""What is installed: the wheel holds everything, the constraints pin everything."""

import os
import re
import subprocess
import sys
import tomllib
import zipfile
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from extractor import __version__

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    (path,) = folder.glob("*.whl")
    assert path.name == f"spoken_procedure_timeline-{__version__}-py3-none-any.whl"
    return zipfile.ZipFile(path)


def test_the_wheel_holds_the_package_its_words_and_adapters_and_nothing_else(wheel: zipfile.ZipFile) -> None:
    held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    code = {path.relative_to(ROOT).as_posix() for path in (ROOT / "extractor").rglob("*.py")}
    words = {f"extractor/lexicons/{path.name}" for path in (ROOT / "lexicons").iterdir()}
    adapters = {path.relative_to(ROOT).as_posix() for path in (ROOT / "extractor/listening/adapters").iterdir()}
    desk = ROOT / "extractor/desk"
    pages = {
        path.relative_to(ROOT).as_posix()
        for folder in (desk / "templates", desk / "static")
        for path in folder.rglob("*.*")
    }
    assert {path.rpartition(".")[2] for path in pages} == {"html", "js", "css", "svg"}
    assert words
    assert {path.rpartition(".")[2] for path in adapters} == {"npz", "md"}
    assert code | words | adapters | pages | {"extractor/py.typed", "extractor/desk/demo/recording.opus"} <= held
    assert {name.split("/")[0] for name in held} == {"extractor"}


def test_the_wheel_carries_its_licence_and_its_command(wheel: zipfile.ZipFile) -> None:
    inside = {name.split(".dist-info/")[-1]: name for name in wheel.namelist()}
    assert b"Apache License" in wheel.read(inside["licenses/LICENSE"])
    assert "extractor = extractor.cli:run" in wheel.read(inside["entry_points.txt"]).decode()


def test_the_wheel_makes_a_store_and_looks_through_it(wheel: zipfile.ZipFile, tmp_path: Path) -> None:
    """The steps that make its tables are found and run where the wheel lies, not in this checkout."""
    wheel.extractall(tmp_path / "installed")
    script = (
        "import sys, extractor; from extractor.cli import main; from extractor.desk.store import open_store\n"
        "assert extractor.__file__.startswith(sys.path[1])\n"
        "open_store('desk').close(); sys.exit(main(['store', 'check', 'desk']))"
    )
    command = [sys.executable, "-c", script]
    place = {**os.environ, "PYTHONPATH": str(tmp_path / "installed")}
    done = subprocess.run(command, cwd=tmp_path, env=place, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert "whole. 0 cases" in done.stdout


def pins() -> dict[str, str]:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    found = [re.fullmatch(r"([\w.-]+)==([\w.+-]+)", line) for line in lines if line and not line.startswith("#")]
    assert all(found), "every line of constraints.txt is name==version"
    return {canonicalize_name(match[1]): match[2] for match in found if match}


def needed() -> set[str]:
    """Every package that installing the product with its test extra brings on this platform."""
    waiting = [Requirement(line) for line in (*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"])]
    found = {"editables"}  # what an editable install asks for while it builds
    while waiting:
        parent = waiting.pop()
        found.add(canonicalize_name(parent.name))
        for child in map(Requirement, metadata.requires(parent.name) or []):
            extras = ("", *parent.extras)
            wanted = child.marker is None or any(child.marker.evaluate({"extra": extra}) for extra in extras)
            if wanted and canonicalize_name(child.name) not in found:
                waiting.append(child)
    return found


def test_every_package_is_pinned() -> None:
    assert needed() - pins().keys() == set()


def test_what_tuning_needs_is_pinned() -> None:
    """Itself, not what it brings: that differs with the kind of GPU it is built for."""
    extra = [Requirement(line) for line in PROJECT["optional-dependencies"]["tuning"]]
    assert {canonicalize_name(each.name) for each in extra} <= pins().keys()
    assert all(each.specifier.contains(pins()[canonicalize_name(each.name)]) for each in extra)


def test_what_is_tested_is_what_is_pinned() -> None:
    pinned = pins()
    assert {name: metadata.version(name) for name in needed()} == {name: pinned.get(name) for name in needed()}
