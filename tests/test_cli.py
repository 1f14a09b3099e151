"""The command line: what it says, what it costs, and how it refuses."""

import json
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import typer.main

from extractor import __version__, draft_folder, pipeline
from extractor.cli import app, main
from extractor.model import Timeline

ROOT = Path(__file__).parent.parent
TRANSCRIPT = """\
WEBVTT

00:00:01.000 --> 00:00:04.000
Six French sheath in, right common femoral artery.

00:00:05.000 --> 00:00:09.000
Inflating the six by eighty to fourteen atmospheres.

00:00:10.000 --> 00:00:12.000
No dissection.
"""


def command_paths() -> Iterator[tuple[str, ...]]:
    def walk(command: object, path: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        yield path
        for name, child in getattr(command, "commands", {}).items():
            yield from walk(child, (*path, name))

    return walk(typer.main.get_command(app), ())


COMMANDS = list(command_paths())
each_command = pytest.mark.parametrize("command", COMMANDS, ids=lambda path: " ".join(("extractor", *path)))


@pytest.fixture
def spoken(tmp_path: Path) -> Path:
    """A transcript that can be drafted without a speech model."""
    path = tmp_path / "case.vtt"
    path.write_text(TRANSCRIPT, encoding="utf-8")
    return path


@pytest.fixture
def drafted(small_timeline: Timeline, tmp_path: Path) -> Path:
    draft_folder.write(small_timeline, tmp_path / "drafted")
    return tmp_path / "drafted"


@pytest.fixture(autouse=True)
def plain_output(monkeypatch: pytest.MonkeyPatch) -> None:
    """No terminal, whatever the one says that the tests were started from."""
    for name in ("COLUMNS", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)


# --- help


@each_command
def test_every_command_has_help(command: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*command, "--help"]) == 0
    said = capsys.readouterr().out
    is_group = command in {other[:-1] for other in COMMANDS if other}
    assert "Example: extractor" in said or (is_group and command)
    assert "..." not in said.split("Commands:")[-1] or not is_group, "its first sentence is too long for the list"


@each_command
def test_every_command_stands_in_the_docs(command: tuple[str, ...]) -> None:
    assert f"\n## {' '.join(('extractor', *command))}\n" in (ROOT / "docs" / "cli.md").read_text(encoding="utf-8")


def test_the_docs_are_the_commands_own_help() -> None:
    script = [sys.executable, "tools/cli_reference.py", "-"]
    written = subprocess.run(script, cwd=ROOT, env=_environment(), capture_output=True, text=True, check=True).stdout
    assert (ROOT / "docs" / "cli.md").read_text(encoding="utf-8") == written, "run `make docs`"


def test_no_arguments_shows_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    assert "Usage: extractor" in capsys.readouterr().out


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"extractor {__version__}\n"


HEAVY = (
    "av", "cryptography", "ctranslate2", "faster_whisper", "numpy", "openpyxl", "pyarrow", "pydantic", "rapidfuzz",
    "rich", "scipy", "spacy",
)  # fmt: skip


def test_help_imports_nothing_heavy() -> None:
    script = f"import sys; from extractor.cli import main; main(['--help']); print(*({HEAVY!r} & sys.modules.keys()))"
    script = script.replace(f"{HEAVY!r} &", f"set({HEAVY!r}) &")
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, env=_environment(), capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == ""


def test_help_answers_within_half_a_second() -> None:
    """The quickest of five, so that a neighbour's work on this machine does not count."""

    def seconds() -> float:
        began = time.perf_counter()
        command = [sys.executable, "-m", "extractor", "--help"]
        subprocess.run(command, cwd=ROOT, env=_environment(), capture_output=True, check=True)
        return time.perf_counter() - began

    assert min(seconds() for _ in range(5)) < 0.5


def _environment() -> dict[str, str]:
    import os

    return {**os.environ, "PYTHONPATH": str(ROOT)}


# --- drafting


def test_a_transcript_becomes_a_draft(spoken: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out"
    assert main(["draft", str(spoken), "--out", str(out)]) == 0
    assert sorted(path.name for path in out.iterdir()) == ["summary.txt", "timeline.json", "transcript.vtt"]
    raw = json.loads((out / "timeline.json").read_text(encoding="utf-8"))
    assert raw["format"] == "procedure-timeline/1"
    assert raw["state"] == "draft"
    assert raw["events"]
    assert draft_folder.read(out).made_by.extractor == __version__
    said = capsys.readouterr()
    assert f"extractor show {out}" in said.out
    assert said.err == ""


def test_quiet_says_nothing(spoken: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draft", str(spoken), "--out", str(tmp_path / "out"), "--quiet"]) == 0
    assert capsys.readouterr() == ("", "")


def test_long_work_shows_its_stages_in_a_terminal(
    spoken: Path,
    small_timeline: Timeline,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def slow(*arguments: object, progress: Callable[[str, float, float], None] | None, **named: object) -> Timeline:
        assert progress is not None
        for seconds in (1.0, 10.0):
            progress("Listening", seconds, 10.0)
        return small_timeline

    monkeypatch.setattr(pipeline, "draft", slow)
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert main(["draft", str(spoken), "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr()
    assert "Listening" in said.err
    assert "Listening" not in said.out


def test_ctrl_c_leaves_nothing(
    spoken: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*arguments: object, **named: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(pipeline, "draft", interrupt)
    assert main(["draft", str(spoken), "--out", str(tmp_path / "out")]) == 130
    assert capsys.readouterr().err == "extractor: stopped, nothing was written\n"
    assert not (tmp_path / "out").exists()


# --- showing


def test_show_is_a_table_readable_without_colour(drafted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show", str(drafted)]) == 0
    said = capsys.readouterr().out
    assert max(map(len, said.splitlines())) <= 100
    assert "\x1b" not in said
    rows = {line.split()[1]: line for line in said.splitlines() if " e0" in line}
    assert list(rows) == ["e0001", "e0002", "e0003", "e0004", "e0006"]
    assert "(6 × 80 mm)" in rows["e0003"]
    assert "14 atm or 40 atm?" in rows["e0003"]
    assert "14 atm?" in said
    assert "No words until" in said
    assert "Not shown: 1 considered" in said
    assert "A draft until signed" in said


def test_show_all_leaves_nothing_out(drafted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show", str(drafted), "--all"]) == 0
    said = capsys.readouterr().out
    assert "e0005" in said
    assert "Not shown" not in said


def test_what_was_only_talked_of_is_shown_where_it_needs_a_look(
    small_timeline: Timeline, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    events = tuple(event.model_copy(update={"review": True}) for event in small_timeline.events)
    draft_folder.write(small_timeline.model_copy(update={"events": events}), tmp_path / "case")
    assert main(["show", str(tmp_path / "case")]) == 0
    assert "e0005" in capsys.readouterr().out


def test_talk_is_never_read_as_markup_or_control_codes(
    small_timeline: Timeline, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    event = small_timeline.events[1].model_copy(update={"drug": "[red]\x1b[2Jheparin[/red]"})
    draft_folder.write(small_timeline.model_copy(update={"events": (event,)}), tmp_path / "case")
    assert main(["show", str(tmp_path / "case")]) == 0
    said = capsys.readouterr().out
    assert "[red]" in said
    assert "\x1b" not in said


def test_explain_tells_words_rule_and_values(drafted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", str(drafted), "e0003"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "[Now the six by eighty, going up to fourteen atmospheres.]" in said
    assert "rule inflation/by-hand" in said
    assert "fourteen atmospheres 0:05 0.70 Or 40 atm (8 times less likely)." in said


def test_explain_tells_repairs(drafted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", str(drafted), "e0002"]) == 0
    assert "heard “Pepper and”, read heparin (sounds-alike, audio cost 1.4)" in capsys.readouterr().out


def test_shipped_lexicons_are_good(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["lexicon", "check"]) == 0
    assert capsys.readouterr().out.startswith("Good: ")


# --- refusing: one line on standard error with the file's name and the cure, status 2, nothing left behind


def missing(tmp_path: Path) -> Path:
    return tmp_path / "missing.wav"


def empty(tmp_path: Path) -> Path:
    (tmp_path / "empty.wav").touch()
    return tmp_path / "empty.wav"


def a_folder(tmp_path: Path) -> Path:
    (tmp_path / "folder.wav").mkdir()
    return tmp_path / "folder.wav"


def not_audio(tmp_path: Path) -> Path:
    (tmp_path / "letter.txt").write_text("Dear colleague,\n\nthank you for your letter.\n")
    return tmp_path / "letter.txt"


def noise_in_a_file(tmp_path: Path) -> Path:
    (tmp_path / "noise.wav").write_bytes(bytes(i * 7919 % 251 for i in range(4096)))
    return tmp_path / "noise.wav"


def truncated(tmp_path: Path) -> Path:
    whole = (ROOT / "fixtures" / "calf-claudication" / "recording.opus").read_bytes()
    (tmp_path / "cut.opus").write_bytes(whole[:30])
    return tmp_path / "cut.opus"


def zero_length(tmp_path: Path) -> Path:
    import wave

    with wave.open(str(tmp_path / "silent.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
    return tmp_path / "silent.wav"


def locked_archive(tmp_path: Path) -> Path:
    """A zip whose one file is marked as encrypted, in its local and its central header."""
    path = tmp_path / "locked.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("case.wav", b"RIFF")
    content = bytearray(path.read_bytes())
    content[6] |= 1
    content[content.index(b"PK\x01\x02") + 8] |= 1
    path.write_bytes(content)
    return path


def unreadable(tmp_path: Path) -> Path:
    """Root may read everything but a link that goes in a circle."""
    (tmp_path / "circle.wav").symlink_to(tmp_path / "circle.wav")
    return tmp_path / "circle.wav"


def transcript_without_words(tmp_path: Path) -> Path:
    (tmp_path / "bare.vtt").write_text("WEBVTT\n")
    return tmp_path / "bare.vtt"


def broken_json(tmp_path: Path) -> Path:
    (tmp_path / "words.json").write_text('{"words": [')
    return tmp_path / "words.json"


UNUSABLE_INPUTS = [
    pytest.param(make, id=make.__name__.replace("_", "-"))
    for make in (
        missing,
        empty,
        a_folder,
        not_audio,
        noise_in_a_file,
        truncated,
        zero_length,
        locked_archive,
        unreadable,
        transcript_without_words,
        broken_json,
    )
]


def refusal(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """Runs a command that must be refused -> its one line."""
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("extractor: ")
    assert said.err.count("\n") == 1
    assert said.err.endswith("\n")
    return said.err


@pytest.mark.parametrize("make", UNUSABLE_INPUTS)
def test_unusable_input_is_refused(
    make: Callable[[Path], Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = make(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    line = refusal(["draft", str(path), "--out", str(tmp_path / "out")], capsys)
    assert str(path) in line
    assert ";" in line, "after the cause the cure"
    assert sorted(tmp_path.rglob("*")) == before


LEXICONS = [
    pytest.param(None, "no such folder", id="no-folder"),
    pytest.param({}, ".toml", id="empty-folder"),
    pytest.param({"devices.toml": "[[device"}, "devices.toml", id="not-toml"),
    pytest.param({"devices.toml": "[[gadget]]\nname = 'x'"}, "gadget", id="unknown-table"),
    pytest.param({"drugs.toml": "[[drug]]\nname = 'x'\nspoken = ['x']"}, "unit", id="missing-key"),
    pytest.param(
        {"drugs.toml": "[[drug]]\nname = 'x'\nspoken = ['x']\nunit = 'mg'\ncolour = 1"}, "colour", id="unknown-key"
    ),
]


@pytest.mark.parametrize("command", ["draft", "check"])
@pytest.mark.parametrize(("files", "named"), LEXICONS)
def test_wrong_lexicons_are_refused(
    files: dict[str, str] | None,
    named: str,
    command: str,
    spoken: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    folder = tmp_path / "ours"
    if files is not None:
        folder.mkdir()
        for name, text in files.items():
            (folder / name).write_text(text)
    arguments = {
        "draft": ["draft", str(spoken), "--out", str(tmp_path / "out"), "--lexicons", str(folder)],
        "check": ["lexicon", "check", str(folder)],
    }
    line = refusal(arguments[command], capsys)
    assert str(folder) in line
    assert named in line
    assert not (tmp_path / "out").exists()


def test_a_used_folder_is_refused_before_the_work(
    spoken: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*arguments: object, **named: object) -> None:
        raise AssertionError("the case was heard before the folder was looked at")

    monkeypatch.setattr(pipeline, "draft", never)
    line = refusal(["draft", str(spoken), "--out", str(tmp_path)], capsys)
    assert f"{tmp_path}: already holds files" in line


def test_an_unwritable_folder_is_refused(spoken: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "out" in refusal(["draft", str(spoken), "--out", str(spoken / "out")], capsys)


ARGUMENTS = [
    pytest.param(["draft"], "INPUT", id="no-input"),
    pytest.param(["draft", "case.wav"], "--out", id="no-out"),
    pytest.param(["draft", "case.wav", "--out", "x", "--bogus"], "--bogus", id="unknown-option"),
    pytest.param(["sing"], "sing", id="unknown-command"),
    pytest.param(["show", "nowhere"], "nowhere", id="no-draft"),
]


@pytest.mark.parametrize(("arguments", "named"), ARGUMENTS)
def test_unusable_arguments_are_refused(
    arguments: list[str],
    named: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert named in refusal(arguments, capsys)
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_event_is_refused_with_those_there_are(drafted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "it has e0001 to e0006" in refusal(["explain", str(drafted), "e0099"], capsys)


def test_an_odd_file_name_keeps_to_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    refusal(["draft", str(tmp_path / "a\nb\x1b[31m.wav"), "--out", str(tmp_path / "out")], capsys)
