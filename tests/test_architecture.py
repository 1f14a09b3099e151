"""The house's rules, read off the source: who imports whom, where heavy libraries stand, who prints, what is pure."""

import ast
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "extractor"
MODULES = sorted(PACKAGE.rglob("*.py"))
TRACKED = [
    ROOT / name
    for name in subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True
    ).stdout.split("\0")
    if name and (ROOT / name).is_file()
]

BASE = {"model", "errors", "lexicon", "units", "sizes", "vitals"}
ROOMS = {"listening", "reading", "reconciling", "handover"}
#: A top-level name of the package -> what of the package it may import, itself apart. A new one needs a row here.
#: "extractor" stands for the package's own version.
ARROWS: dict[str, set[str]] = {
    "__init__": set(),
    "model": set(),
    "errors": set(),
    "lexicon": {"model", "errors", "units"},
    "units": {"model", "errors"},
    "sizes": {"model"},
    "vitals": set(),
    **dict.fromkeys(ROOMS, BASE),
    "table_file": {"errors"},
    "sound_file": {"errors", "listening"},
    "site_files": {"model", "errors", "units", "reconciling", "table_file"},
    "collector": set(),
    "network": {"model", "lexicon", "reconciling"},
    "pipeline": {*BASE, *ROOMS, "collector", "network", "site_files", "extractor"},
    "batch": {"model", "errors", "listening", "handover", "pipeline", "site_files", "draft_folder"},
    "signing": {"model", "errors"},
    "draft_folder": {"model", "errors", "handover", "signing"},
    "audit": {"model", "errors", "units", "handover", "table_file", "draft_folder"},
    "terminal": {"model", "errors", "units", "handover", "audit"},
    "tuning": {"model", "errors", "lexicon", "listening", "signing", "extractor"},
    "teaching": {"model", "errors", "lexicon", "listening", "handover", "sound_file"},
    "desk": {
        *BASE,
        "listening",
        "handover",
        "pipeline",
        "site_files",
        "sound_file",
        "table_file",
        "draft_folder",
        "signing",
        "audit",
        "extractor",
    },
    "cli": {
        "desk",
        "teaching",
        *BASE,
        *ROOMS,
        "pipeline",
        "batch",
        "site_files",
        "draft_folder",
        "signing",
        "audit",
        "tuning",
        "terminal",
        "extractor",
    },
    "__main__": {"cli"},
}
#: Third-party libraries that import fast enough to stand at the top of a module. Every other one stands inside the
#: function that needs it, in one module only; but for arrays, which sound and samples are, and reckoning with them.
LIGHT = {"pydantic", "typer"}
ARRAYS = {"numpy", "scipy"}
#: Libraries of table files: one module reads them, another writes them.
TABLES = {"openpyxl": {"extractor.table_file", "extractor.handover.tables"}}
TABLES["pyarrow"] = TABLES["openpyxl"]
SOUND = {"av": {"extractor.listening.decode", "extractor.sound_file"}}
#: What the desk is built of. It is imported when somebody starts it, and nothing else is; so its libraries may stand at
#: the top of its modules, and in several.
DESK = {"alembic", "anyio", "argon2", "fastapi", "jinja2", "sqlalchemy", "starlette", "uvicorn"}
#: What a room that is pure has no business with. ``io`` and ``datetime`` are looked at by what is called of them.
IMPURE = {"os", "pathlib", "random", "shutil", "subprocess", "sys", "tempfile", "time", "urllib"}
PURE_ROOMS = {"reading", "reconciling", "handover"}

each_module = pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())


@dataclass(frozen=True)
class Import:
    name: str  # in full, relative ones resolved
    in_function: bool
    for_types: bool

    @property
    def top(self) -> str:
        return self.name.split(".")[0]


@cache
def imports(path: Path) -> tuple[Import, ...]:
    """Everything a file imports."""
    here = path.relative_to(ROOT).with_suffix("").parts[:-1]

    def walk(node: ast.AST, in_function: bool, for_types: bool) -> Iterator[Import]:
        in_function |= isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        for_types |= isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            start = here[: len(here) - node.level + 1] if node.level else ()
            base = ".".join([*start, *([node.module] if node.module else [])])
            names = [f"{base}.{alias.name}" for alias in node.names]
        yield from (Import(name, in_function, for_types) for name in names)
        for child in ast.iter_child_nodes(node):
            yield from walk(child, in_function, for_types)

    return tuple(walk(ast.parse(path.read_text(encoding="utf-8")), False, False))


def top_name(path: Path) -> str:
    """The room or top-level module a file belongs to."""
    return path.relative_to(PACKAGE).with_suffix("").parts[0]


def full_name(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def third_party(path: Path) -> set[Import]:
    return {each for each in imports(path) if each.top not in sys.stdlib_module_names and each.top != "extractor"}


@each_module
def test_imports_follow_the_arrows(path: Path) -> None:
    me, known = top_name(path), set(map(top_name, MODULES))
    assert me in ARROWS, f"{me} is new: give it a row in ARROWS, and a place in docs/architecture.md"
    of_ours = [each.name.split(".") for each in imports(path) if each.top == "extractor"]
    used = {parts[1] if len(parts) > 1 and parts[1] in known else "extractor" for parts in of_ours}
    assert used - {me} <= ARROWS[me]


def test_modules_do_not_import_one_another_in_a_circle() -> None:
    names = {full_name(path) for path in MODULES}
    graph = {}
    for path in MODULES:
        used = {each.name for each in imports(path) if not each.for_types}
        used |= {name.rpartition(".")[0] for name in used}
        graph[full_name(path)] = (used & names) - {full_name(path), "extractor"}
    while free := [name for name, used in graph.items() if not used & graph.keys()]:
        for name in free:
            del graph[name]
    assert not graph, f"a circle among {sorted(graph)}"


@each_module
def test_heavy_libraries_stand_inside_functions(path: Path) -> None:
    at_top = {each.top for each in third_party(path) if not each.in_function and not each.for_types}
    allowed = LIGHT | DESK if top_name(path) == "desk" else LIGHT
    assert at_top <= allowed, "import it inside the function that needs it"


def test_each_heavy_library_has_one_home() -> None:
    homes: dict[str, set[str]] = {}
    for path in MODULES:
        for each in third_party(path):
            if each.top not in LIGHT | ARRAYS | DESK and not each.for_types:
                homes.setdefault(each.top, set()).add(full_name(path))
    assert {library: found for library, found in homes.items() if len(found) > 1} == TABLES | SOUND


@each_module
def test_only_the_desk_serves_pages_and_keeps_a_store(path: Path) -> None:
    assert top_name(path) == "desk" or not {each.top for each in third_party(path)} & DESK


@each_module
def test_only_the_command_line_prints(path: Path) -> None:
    if top_name(path) == "cli":
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    calls = [ast.unparse(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)]
    said = [call for call in calls if call in {"print", "typer.echo", "sys.exit"} or call.startswith("sys.std")]
    assert said == []


@each_module
def test_reading_reconciling_and_handover_are_pure(path: Path) -> None:
    if top_name(path) in PURE_ROOMS:
        assert {each.top for each in imports(path) if not each.for_types} & IMPURE == set()
        calls = [
            node.func for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.Call)
        ]
        called = {ast.unparse(call) for call in calls}
        assert {call.rpartition(".")[2] for call in called} & {"open", "now", "today", "utcnow", "localtime"} == set()


def test_the_whole_job_fits_a_page() -> None:
    assert len((PACKAGE / "pipeline.py").read_text(encoding="utf-8").splitlines()) < 150


@each_module
def test_modules_are_one_thing(path: Path) -> None:
    assert path.stem not in {"utils", "util", "helpers", "common", "misc"}
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), "say in one line what goes in and comes out"


@cache
def private_names() -> list[str]:
    """What must stand in no file: the hosts that this machine's package clients ask, and its own folders."""
    asked = subprocess.run(
        [sys.executable, "-m", "pip", "config", "list"], capture_output=True, text=True, check=False
    ).stdout
    asked += "".join(value for key, value in os.environ.items() if re.search(r"INDEX_URL|REGISTRY|FIND_LINKS", key))
    sources = [Path("/etc/apt/sources.list"), *Path("/etc/apt/sources.list.d").glob("*")]
    asked += "".join(path.read_text(errors="replace") for path in sources if path.is_file())
    npmrc = Path.home() / ".npmrc"
    asked += npmrc.read_text() if npmrc.is_file() else ""
    hosts = {host.rpartition("@")[2] for host in re.findall(r"https?://([^/:\s'\"]+)", asked)}
    folders = {f"{folder}/" for folder in (ROOT.parent, Path.home()) if folder != Path("/")}
    return sorted(hosts | folders)


@pytest.mark.parametrize("path", TRACKED, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_file_names_this_machine(path: Path) -> None:
    content = path.read_bytes()
    assert [name for name in private_names() if name.encode() in content] == []


PAGES = [path for path in TRACKED if path.suffix == ".md"]


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_links_in_documents_lead_somewhere(page: Path) -> None:
    targets = re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8"))
    assert [each for each in targets if "://" not in each and not (page.parent / each).exists()] == []
