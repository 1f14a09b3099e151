"""docs/timeline.md holds every field, kind, status, value key, unit and flag there is, and its examples are true."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from pydantic import BaseModel

from extractor import draft_folder, model
from extractor.model import FLAGS, UNITS, VALUE_KEYS, Kind, SignedTimeline, Status, Timeline

PAGE = Path(__file__).parent.parent / "docs" / "timeline.md"
FLAG_TABLE = re.compile(r"(<!-- flags: [^\n]*-->\n\n).*?(<!-- /flags -->)", re.DOTALL)

#: What a timeline is made of.
TYPES = [
    model.Timeline, model.Recording, model.Part, model.MadeBy, model.SpeechModel, model.Word, model.Correction,
    model.Event, model.Site, model.Value, model.Alternative, model.Check, model.Gap,
    model.SignedTimeline, model.Signature, model.LeftOpen, model.Earlier, model.Revision, model.Change,
]  # fmt: skip
NAMES = [
    *(pytest.param(name, id=f"{kind.__name__}.{name}") for kind in TYPES for name in kind.model_fields),
    *(pytest.param(each.value, id=f"kind {each}") for each in Kind),
    *(pytest.param(each.value, id=f"status {each}") for each in Status),
    *(pytest.param(key, id=f"value key {key}") for key in VALUE_KEYS),
    *(pytest.param(code, id=f"unit {code}") for code in UNITS),
]


@pytest.fixture(scope="module")
def page() -> str:
    return PAGE.read_text(encoding="utf-8")


def blocks(page: str, language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", page, re.DOTALL)


@pytest.mark.parametrize("name", NAMES)
def test_everything_is_named(page: str, name: str) -> None:
    text = re.sub(r"```.*?```", "", page, flags=re.DOTALL)
    assert f"`{name}`" in text


def test_every_type_is_looked_at() -> None:
    """A type added to the timeline must be added above."""

    def inside(kind: type[BaseModel]) -> set[type[BaseModel]]:
        named = " ".join(str(each.annotation) for each in kind.model_fields.values())
        parts = {
            part
            for part in vars(model).values()
            if isinstance(part, type) and issubclass(part, BaseModel) and re.search(rf"\b{part.__name__}\b", named)
        }
        return {kind}.union(*(inside(part) for part in parts - {kind}))

    assert inside(SignedTimeline) | {Timeline} == set(TYPES)


def test_the_table_of_flags_is_complete(page: str, golden: Callable[[Path, str], None]) -> None:
    rows = "".join(f"| `{flag}` | {sentence} |\n" for flag, sentence in FLAGS.items())
    table = f"| flag | what a person reads |\n|---|---|\n{rows}\n"
    golden(PAGE, FLAG_TABLE.sub(lambda match: match[1] + table + match[2], page))


def test_the_example_is_a_timeline(page: str) -> None:
    (example,) = blocks(page, "json")
    timeline = Timeline.model_validate_json(example)
    assert json.loads(timeline.model_dump_json()) == json.loads(example), "a field is missing in the example"


@pytest.mark.parametrize(("review", "printed"), [(True, ""), (False, "2400 14.0 atm\n")], ids=["marked", "not marked"])
def test_the_program_prints_what_nobody_has_to_look_at(
    page: str,
    small_timeline: Timeline,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    review: bool,
    printed: str,
) -> None:
    inflation = next(event for event in small_timeline.events if event.kind is Kind.INFLATION)
    pressure = inflation.values["pressure"].model_copy(update={"review": review})
    inflation = inflation.model_copy(update={"values": {"pressure": pressure}})
    draft_folder.write(small_timeline.model_copy(update={"events": (inflation,)}), tmp_path / "case")
    monkeypatch.chdir(tmp_path)
    (program,) = blocks(page, "python")
    exec(compile(program, PAGE.name, "exec"), {})
    assert capsys.readouterr().out == printed
