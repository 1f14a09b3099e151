"""The page's files: nothing from outside, nothing that turns text into markup, and every file they name is there."""

import re
from pathlib import Path

import pytest

from extractor.handover.export import FORMATS
from extractor.handover.record import STAYING

DESK = Path(__file__).parents[2] / "extractor/desk"
STATIC = DESK / "static"
SCRIPTS = sorted(STATIC.rglob("*.js"))
TEMPLATES = sorted((DESK / "templates").glob("*.html"))
FILES = [*SCRIPTS, *TEMPLATES, *STATIC.glob("*.css"), *STATIC.glob("*.svg")]

#: What would run text as markup or as a program.
UNSAFE = r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|DOMParser|\beval\(|new Function|setHTML"


def named(path: Path) -> str:
    return path.relative_to(DESK).as_posix()


@pytest.mark.parametrize("path", FILES, ids=named)
def test_nothing_is_loaded_from_outside(path: Path) -> None:
    text = path.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
    assert not re.search(r"https?://|(src|href|url\(|from)\s*=?\s*[\"'(]?//", text)


@pytest.mark.parametrize("path", SCRIPTS, ids=named)
def test_text_stays_text(path: Path) -> None:
    assert not re.search(UNSAFE, path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", TEMPLATES, ids=named)
def test_no_script_or_style_stands_in_a_page(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]*\ssrc=)|\|\s*safe", text)


@pytest.mark.parametrize("path", SCRIPTS, ids=named)
def test_every_module_that_is_imported_is_there_and_exports_what_is_asked_for(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for names, source in re.findall(r"import\s+(?:{([^}]*)}\s+from\s+)?\"(\.[^\"]+)\"", text):
        module = (path.parent / source).resolve()
        exported = re.findall(r"export (?:async )?(?:function|const|class) (\w+)", module.read_text(encoding="utf-8"))
        assert {name.strip() for name in names.split(",") if name.strip()} <= set(exported), source


@pytest.mark.parametrize("path", TEMPLATES, ids=named)
def test_every_file_a_page_names_is_there(path: Path) -> None:
    names = re.findall(r"\"/static/([^\"]+)\"", path.read_text(encoding="utf-8"))
    assert [name for name in names if not (STATIC / name).is_file()] == []


@pytest.mark.parametrize("path", SCRIPTS, ids=named)
def test_a_module_stays_small_and_says_what_it_is_for(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 300
    assert lines[0].startswith("// ")


def test_every_format_has_its_link_on_a_signed_case() -> None:
    text = (STATIC / "signed.js").read_text(encoding="utf-8").partition("FORMATS = {")[2].partition("};")[0]
    assert set(re.findall(r"^\s+\"?([\w-]+)\"?: \"", text, re.MULTILINE)) == set(FORMATS)


def keys_table() -> str:
    """The keys of the review, as docs/desk.md shows them."""
    source = re.sub(r"\s+", " ", (STATIC / "review_keys.js").read_text(encoding="utf-8"))
    rows = ["| key | does |", "|---|---|"]
    for binding in source.split("return [", 1)[1].split("bind(")[1:]:
        keys, does = re.findall(r'"([^"]+)"', binding)[:2]
        shown = re.search(r'\), "([^"]+)",? \),? *\]?', binding)
        names = (shown[1] if shown else keys).split(" ")
        rows.append(f"| {' '.join(f'`{name}`' for name in names)} | {does} |")
    return "\n".join(rows) + "\n"


def test_the_keys_in_the_docs_are_those_of_the_page() -> None:
    page = (DESK.parents[1] / "docs/desk.md").read_text(encoding="utf-8")
    table = page.partition("<!-- keys -->\n")[2].partition("<!-- end of keys -->")[0]
    assert table == keys_table()


def test_what_stays_in_the_body_is_the_same_on_the_page_and_in_the_record() -> None:
    text = (STATIC / "implants.js").read_text(encoding="utf-8").partition("STAYING = [")[2].partition("]")[0]
    assert set(re.findall(r'"(\w+)"', text)) == STAYING
