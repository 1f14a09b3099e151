"""docs/lexicons.md teaches what is true: every table and key, and the example folder does what the page says."""

import re
import tomllib
from pathlib import Path

import pytest

from extractor.cli import main
from extractor.lexicon import TABLES, Lexicon, folder, load
from extractor.reading.statements import Reader
from extractor.reconciling.timeline import reconcile

from .reconciling.telling import words_of

PAGE = (Path(__file__).parent.parent / "docs" / "lexicons.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
(OURS,) = [block for block in BLOCKS if block.startswith("# Words and limits of our department.")]


@pytest.fixture
def site(tmp_path: Path) -> Path:
    (tmp_path / "our-words").mkdir()
    (tmp_path / "our-words" / "ours.toml").write_text(OURS, encoding="utf-8")
    return tmp_path / "our-words"


@pytest.mark.parametrize("table", TABLES)
def test_the_page_says_in_which_file_a_table_stands(table: str) -> None:
    rows = [row for row in PAGE.splitlines() if row.startswith("|") and f"`[[{table}]]`" in row]
    file = re.findall(r"`(\w+\.toml)`", rows[0])
    assert file
    assert table in tomllib.loads((folder() / file[0]).read_text(encoding="utf-8"))


@pytest.mark.parametrize("block", BLOCKS, ids=lambda block: block.splitlines()[0])
def test_the_examples_load(block: str, tmp_path: Path) -> None:
    (tmp_path / "page.toml").write_text(block, encoding="utf-8")
    load(tmp_path)


def _events(lexicon: Lexicon, lines: str) -> list[object]:
    words = words_of(lines)
    sentences, corrections = Reader(lexicon).read(words)
    return [
        (
            event.kind.value,
            event.status.value,
            event.device,
            {key: value.value for key, value in event.values.items()},
            sorted({flag for value in event.values.values() for flag in value.flags}),
        )
        for event in reconcile(sentences, words, corrections, lexicon)
    ]


#: (what is said, the event it makes with the page's folder, and not without)
SAID = [
    pytest.param(
        "The six by forty banana's across, up to twenty-six atmospheres.",
        ("inflation", "done", "balloon", {"diameter": 6, "length": 40, "pressure": 26}, ["implausible"]),
        id="our balloon, and our pump's limit",
    ),
    pytest.param(
        "I'm humming and hawing about a stent, six by forty.",
        ("stent", "considered", "stent", {"diameter": 6, "length": 40}, []),
        id="our turn of speech",
    ),
    pytest.param(
        "The sheef is out.",
        ("remove", "done", "sheath", {}, []),
        id="our accent",
    ),
]


@pytest.mark.parametrize(("lines", "event"), SAID)
def test_the_example_folder_does_what_the_page_says(site: Path, lines: str, event: object) -> None:
    assert event in _events(load(site), lines)
    assert event not in _events(load(), lines)


def test_the_check_of_the_page_says_it_is_good(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["lexicon", "check", str(site)]) == 0
    assert capsys.readouterr().out.startswith("Good: ")


def test_a_mistake_is_told_as_on_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "ours").mkdir()
    (tmp_path / "ours" / "drugs.toml").write_text(
        '[[drug]]\nname = "tonic"\nspoken = ["tonic"]\nunit = "drops"\n', encoding="utf-8"
    )
    monkeypatch.chdir(tmp_path)
    assert main(["lexicon", "check", "ours"]) == 2
    assert capsys.readouterr().err.strip() in PAGE


def test_the_entry_it_teaches_with_keeps_its_own_examples(tmp_path: Path) -> None:
    (block,) = [block for block in BLOCKS if 'name = "kink"' in block]
    (tmp_path / "page.toml").write_text(block, encoding="utf-8")
    lexicon = load(tmp_path)
    (entry,) = [finding for finding in lexicon.finding if finding.name == "kink"]
    assert [name for name in _found(lexicon, entry.examples) if name == "kink"]
    assert [name for name in _found(lexicon, entry.counter_examples) if name == "kink"] == []


def _found(lexicon: Lexicon, sentences: tuple[str, ...]) -> list[str]:
    read, _ = Reader(lexicon).read(words_of("\n".join(sentences)))
    return [item.name for sentence in read for item in sentence.items]
