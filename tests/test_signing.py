"""A signed timeline: what signing asks for, and that whatever is altered afterwards is named."""

import base64
import copy
import hashlib
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor import draft_folder, signing
from extractor.cli import main
from extractor.errors import InputError, OutputError, SignatureError
from extractor.model import Change, Revision, SignedTimeline, Timeline

WHEN = "2026-11-26T09:30:00+00:00"
OPEN = ("e0003.pressure", "words-22", "check-1", "gap-1")
POINTS: dict[str, Any] = {"looked_at": OPEN[:2], "left_open": {"check-1": "it came out later", "gap-1": "a door"}}


@pytest.fixture(scope="module")
def key_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("keys") / "operator.key"
    signing.make_key(path)
    return path


@pytest.fixture
def signed(small_timeline: Timeline, key_file: Path) -> SignedTimeline:
    key = signing.read_key(key_file)
    return signing.sign(small_timeline, key, name="A. Operator", signed_at=WHEN, **POINTS)


@pytest.fixture
def raw(signed: SignedTimeline) -> dict[str, Any]:
    raw: dict[str, Any] = json.loads(signed.model_dump_json())
    return raw


def altered(raw: Any) -> str:
    """What verify says of a timeline that is not as it was signed."""
    with pytest.raises(SignatureError) as caught:
        signing.verify(raw if isinstance(raw, str) else json.dumps(raw), "case")
    assert "\n" not in str(caught.value)
    return str(caught.value)


# --- signing


def test_open_points_have_names(small_timeline: Timeline) -> None:
    assert small_timeline.open_points == OPEN


def test_a_signed_timeline_holds_what_was_seen_and_says_so(signed: SignedTimeline, small_timeline: Timeline) -> None:
    assert signed.state == "signed"
    assert signed.events == small_timeline.events
    assert signed.signature.looked_at == OPEN[:2]
    assert {each.point: each.reason for each in signed.signature.left_open} == POINTS["left_open"]
    signing.verify(signed.model_dump_json(), "case")


def test_the_same_is_signed_to_the_same_bytes(signed: SignedTimeline, small_timeline: Timeline, key_file: Path) -> None:
    again = signing.sign(small_timeline, signing.read_key(key_file), name="A. Operator", signed_at=WHEN, **POINTS)
    assert again.model_dump_json() == signed.model_dump_json()


REFUSED = [
    pytest.param({}, "e0003.pressure, words-22, check-1, gap-1 still open", id="nothing-looked-at"),
    pytest.param({"looked_at": OPEN[:3]}, "not signed: gap-1 still open", id="one-not"),
    pytest.param({"looked_at": (*OPEN, "e0001")}, "e0001: nothing is open there", id="a-point-that-is-none"),
    pytest.param({"looked_at": OPEN, "left_open": {"gap-1": "x"}}, "gap-1: either looked at or left open", id="both"),
    pytest.param({"looked_at": OPEN[:3], "left_open": {"gap-1": " "}}, "the reason for gap-1 must be", id="no-reason"),
    pytest.param({"looked_at": OPEN, "name": ""}, "the name must be", id="no-name"),
    pytest.param({"looked_at": OPEN, "name": "A\nB"}, "the name must be", id="a-name-of-two-lines"),
    pytest.param({"looked_at": OPEN, "meaning": ""}, "the meaning must be", id="no-meaning"),
]


@pytest.mark.parametrize(("said", "why"), REFUSED)
def test_what_is_not_settled_is_not_signed(
    small_timeline: Timeline, key_file: Path, said: dict[str, Any], why: str
) -> None:
    key = signing.read_key(key_file)
    with pytest.raises(SignatureError, match=why.replace("+", r"\+")):
        signing.sign(small_timeline, key, **{"name": "A. Operator", "signed_at": WHEN, **said})


def test_what_is_signed_is_not_signed_again(signed: SignedTimeline, key_file: Path) -> None:
    with pytest.raises(SignatureError, match="already signed by"):
        signing.sign(signed, signing.read_key(key_file), name="B", signed_at=WHEN, looked_at=OPEN)


# --- what was looked at, and changed, by the trail


def revised(timeline: Timeline, at: str, before: Any, after: Any, by: str = "B. Colleague") -> Timeline:
    """The timeline with one revision more in its trail, its events as they were."""
    change = Change(at=at, before=before, after=after)
    number = len(timeline.revisions) + 1
    step = Revision(number=number, at=WHEN, by=by, what="by hand", why="so it was", changes=(change,))
    return timeline.model_copy(update={"revisions": (*timeline.revisions, step)})


@pytest.fixture
def looked(small_timeline: Timeline) -> Timeline:
    return revised(revised(small_timeline, "looked.e0003.pressure", None, True), "looked.words-22", None, True)


def test_what_the_trail_looked_at_needs_no_name(looked: Timeline, key_file: Path) -> None:
    key = signing.read_key(key_file)
    with pytest.raises(SignatureError, match="not signed: check-1, gap-1 still open"):
        signing.sign(looked, key, name="A. Operator", signed_at=WHEN)
    signed = signing.sign(looked, key, name="A. Operator", signed_at=WHEN, left_open=POINTS["left_open"])
    assert signed.signature.looked_at == OPEN[:2]
    assert signed.model_copy(update={"revisions": ()}).events == looked.events


def test_what_the_trail_looked_at_may_be_left_open_after_all(looked: Timeline, key_file: Path) -> None:
    left_open = {"words-22": "heard again: not to be made out", **POINTS["left_open"]}
    signed = signing.sign(looked, signing.read_key(key_file), name="A", signed_at=WHEN, left_open=left_open)
    assert signed.signature.looked_at == ("e0003.pressure",)


def test_what_was_looked_at_and_no_longer_asks_is_no_matter(small_timeline: Timeline, key_file: Path) -> None:
    timeline = revised(small_timeline, "looked.e0001", None, True)
    signing.sign(timeline, signing.read_key(key_file), name="A", signed_at=WHEN, **POINTS)


TAMPERED = [
    pytest.param(("by",), "X", 'revisions[0].by was "B. Colleague" when it was signed and is "X"', id="who"),
    pytest.param(("at",), "2020", f'revisions[0].at was "{WHEN}" when it was signed and is "2020"', id="when"),
    pytest.param(("why",), "", 'revisions[0].why was "so it was" when it was signed and is ""', id="why"),
    pytest.param(("changes", 0, "before"), 15, "revisions[0].changes[0].before was 16.0", id="from"),
    pytest.param(("changes", 0, "at"), "x", "revisions[0].changes[0].at was", id="of-what"),
]


@pytest.mark.parametrize(("path", "value", "said"), TAMPERED)
def test_a_trail_that_was_tampered_with_is_found(
    small_timeline: Timeline, key_file: Path, path: tuple[Any, ...], value: Any, said: str
) -> None:
    timeline = revised(small_timeline, "events.e0003.values.pressure.value", 16.0, 14.0)
    signed = signing.sign(timeline, signing.read_key(key_file), name="A", signed_at=WHEN, **POINTS)
    raw = json.loads(signed.model_dump_json())
    assert said in altered(changed(raw, ("revisions", 0, *path), lambda _: value))
    raw["revisions"] = []
    assert "revisions had 1 entries when it was signed and has 0" in altered(raw)


# --- amendments


def amendment(signed: SignedTimeline, key_file: Path, **other: Any) -> SignedTimeline:
    draft = signed.model_dump(exclude={"signature"}) | {"state": "draft"}
    timeline = revised(Timeline.model_validate(draft), f"looked.{OPEN[len(signed.revisions)]}", None, True)
    told = {"name": "B. Colleague", "signed_at": WHEN, "amends": signed, "reason": "the dial was read wrongly"}
    given = {**told, "left_open": dict.fromkeys(OPEN[len(signed.revisions) + 1 :], "not to be made out"), **other}
    return signing.sign(timeline, signing.read_key(key_file), **given)


def test_an_amendment_names_all_that_was_signed_before(signed: SignedTimeline, key_file: Path) -> None:
    second = amendment(signed, key_file)
    third = amendment(second, key_file, reason="and the time")
    assert (signed.signature.amends, signed.signature.earlier, signed.signature.reason) == (None, (), "")
    assert second.signature.amends == hashlib.sha256(signed.signature.sealed.encode()).hexdigest()
    assert [each.name for each in third.signature.earlier] == ["A. Operator", "B. Colleague"]
    assert [each.reason for each in third.signature.earlier] == ["", "the dial was read wrongly"]
    assert [each.sha256 for each in third.signature.earlier] == [signed.signature.sha256, second.signature.sha256]
    all_three = [(signed, "first"), (second, "second"), (third, "third")]
    assert len(signing.verify_chain(all_three)) == 3


@pytest.mark.parametrize(
    ("order", "said"),
    [
        pytest.param((1, 2), "second: whole, but it does not follow nothing", id="the-record-left-out"),
        pytest.param((0, 2), "third: whole, but it does not follow what A. Operator signed", id="one-left-out"),
        pytest.param((0, 0), "first: whole, but it does not follow what A. Operator signed", id="one-twice"),
        pytest.param((0, 3), "other: whole, but it does not follow what A. Operator signed", id="of-another"),
    ],
)
def test_a_chain_that_is_none_is_told(
    signed: SignedTimeline, small_timeline: Timeline, key_file: Path, order: tuple[int, ...], said: str
) -> None:
    second = amendment(signed, key_file)
    same = signing.sign(small_timeline, signing.read_key(key_file), name="A. Operator", signed_at="later", **POINTS)
    states = [
        (signed, "first"), (second, "second"), (amendment(second, key_file), "third"),
        (amendment(same, key_file), "other"),
    ]  # fmt: skip
    with pytest.raises(SignatureError, match=said):
        signing.verify_chain([states[number] for number in order])


REFUSED_AMENDMENTS = [
    pytest.param({"reason": ""}, "the reason must be one line", id="no-reason"),
    pytest.param({"reason": "a\nb"}, "the reason must be one line", id="a-reason-of-two-lines"),
    pytest.param({"amends": None}, "a reason is for an amendment", id="a-reason-for-nothing"),
]


@pytest.mark.parametrize(("other", "said"), REFUSED_AMENDMENTS)
def test_what_is_no_amendment_is_refused(
    signed: SignedTimeline, key_file: Path, other: dict[str, Any], said: str
) -> None:
    with pytest.raises(SignatureError, match=said):
        amendment(signed, key_file, **other)


OTHERS = [
    pytest.param(lambda draft: {"words": draft.words[1:]}, "its words is another", id="other-words"),
    pytest.param(
        lambda draft: {"recording": draft.recording.model_copy(update={"sha256": "ef" * 32})},
        "its recording is another",
        id="another-recording",
    ),
    pytest.param(lambda draft: {"revisions": ()}, "its trail is another", id="without-its-trail"),
]


@pytest.mark.parametrize(("update", "said"), OTHERS)
def test_an_amendment_goes_on_from_what_it_amends(
    looked: Timeline, key_file: Path, update: Callable[[Timeline], dict[str, Any]], said: str
) -> None:
    key = signing.read_key(key_file)
    signed = signing.sign(looked, key, name="A. Operator", signed_at=WHEN, left_open=POINTS["left_open"])
    told = {"name": "B", "signed_at": WHEN, "amends": signed, "reason": "x"}
    other = looked.model_copy(update=update(looked))
    left_open = {point: "x" for point in other.open_points if point not in other.looked_at}
    with pytest.raises(SignatureError, match=said):
        signing.sign(other, key, **told, left_open=left_open)


def test_what_is_altered_is_not_amended(signed: SignedTimeline, key_file: Path) -> None:
    broken = signed.model_copy(update={"events": signed.events[1:]})
    with pytest.raises(SignatureError, match=r"what is amended: altered: events\[0\]\.id"):
        amendment(broken, key_file)


def test_a_chain_that_was_altered_is_found(signed: SignedTimeline, key_file: Path) -> None:
    raw = json.loads(amendment(signed, key_file).model_dump_json())
    said = altered(changed(raw, ("signature", "earlier", 0, "name"), lambda _: "C"))
    assert 'signature.earlier[0].name was "A. Operator" when it was signed and is "C"' in said


def test_what_was_signed_before_there_were_amendments_is_still_whole(signed: SignedTimeline, key_file: Path) -> None:
    """A file of an earlier version has no such fields; what reads it fills them in, and does not spoil the seal."""
    raw = json.loads(signed.model_dump_json(exclude={"signature": {"earlier", "reason", "sealed", "value"}}))
    by = {name: part for name, part in raw.pop("signature").items() if name not in ("sha256", "public_key")}
    older = signing.seal({**raw, "state": "draft"}, by, signing.read_key(key_file))
    read = signing.read(json.dumps(older), "older")
    assert signing.verify_chain([(read, "older"), (amendment(read, key_file), "newer")])


# --- what was altered


def leaves(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The place of every figure, text and mark in a JSON object."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else None
    if inner is None:
        yield path
    else:
        for step, part in inner:
            yield from leaves(part, (*path, step))


def changed(raw: dict[str, Any], path: tuple[Any, ...], change: Callable[[Any], Any]) -> dict[str, Any]:
    raw = copy.deepcopy(raw)
    place: Any = raw
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = change(place[path[-1]])
    return raw


def another(value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value + 1
    return f"{value}x" if isinstance(value, str) else "x"


def written(path: tuple[Any, ...]) -> str:
    return "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)[1:]


def test_every_field_that_is_altered_is_named(raw: dict[str, Any]) -> None:
    """All of them, one after the other; the value and key are base64, where a further letter is no base64."""
    for path in leaves(raw):
        said = altered(changed(raw, path, another))
        if path == ("signature", "sealed"):
            assert "altered: signature.sealed; all else is what was signed" in said
        elif path[-1] in ("public_key", "value") and path[0] == "signature":
            assert f"altered: signature.{path[-1]} is not as signing writes it" in said
        else:
            assert f"altered: {written(path)} was " in said


def test_a_figure_is_named_with_what_it_was(raw: dict[str, Any]) -> None:
    path = ("events", 2, "values", "pressure", "value")
    said = altered(changed(raw, path, lambda _: 41))
    assert said == "case: altered: events[2].values.pressure.value was 14.0 when it was signed and is 41"


OTHER_CHANGES = [
    pytest.param(lambda raw: raw["events"].pop(), "events had 6 entries when it was signed and has 5", id="last-event"),
    pytest.param(lambda raw: raw["events"].pop(0), 'events[0].id was "e0001"', id="first-event"),
    pytest.param(lambda raw: raw["events"][0].update(note=1), "events[0].note was not there", id="a-field-more"),
    pytest.param(lambda raw: raw["events"][0].pop("kind"), "events[0].kind is missing", id="a-field-less"),
    pytest.param(lambda raw: raw.update(state="draft"), 'state was "signed"', id="called-a-draft"),
    pytest.param(lambda raw: raw["events"].__setitem__(0, []), "events[0] was {", id="another-type"),
    pytest.param(lambda raw: raw["signature"].pop("sealed"), "signature.sealed", id="no-copy"),
    pytest.param(lambda raw: raw["signature"].pop("value"), "signature.value", id="no-value"),
    pytest.param(lambda raw: raw.update(signature=1), "carries no signature", id="no-signature"),
]


@pytest.mark.parametrize(("change", "said"), OTHER_CHANGES)
def test_other_changes_are_named(raw: dict[str, Any], change: Callable[[Any], Any], said: str) -> None:
    change(raw)
    assert said in altered(raw)


def test_a_value_altered_in_both_places_is_found(raw: dict[str, Any]) -> None:
    raw["events"][1]["drug"] = "aspirin"
    raw["signature"]["sealed"] = raw["signature"]["sealed"].replace('"drug":"heparin"', '"drug":"aspirin"')
    assert "the timeline and its sealed copy alike" in altered(raw)


@pytest.mark.parametrize("field", ["value", "public_key"])
def test_another_signature_is_found(raw: dict[str, Any], field: str) -> None:
    content = bytearray(base64.b64decode(raw["signature"][field]))
    content[0] ^= 1
    raw["signature"][field] = base64.b64encode(content).decode()
    assert "altered: signature" in altered(raw)


def test_a_key_that_stands_twice_is_found(raw: dict[str, Any]) -> None:
    """One reader takes the first, another the last."""
    text = json.dumps(raw).replace('"drug": "heparin"', '"drug": "aspirin", "drug": "heparin"')
    assert "drug stands twice" in altered(text)


@pytest.mark.parametrize("figure", ["NaN", "1e999", "Infinity"])
def test_what_is_no_figure_is_found(raw: dict[str, Any], figure: str) -> None:
    altered(json.dumps(raw).replace('"value": 14.0', f'"value": {figure}'))


@given(st.data())
def test_a_byte_altered_anywhere_is_found_or_means_nothing(data: st.DataObject) -> None:
    """Any byte of the file becomes any other: found, or the JSON reads the same."""
    text = SIGNED_TEXT.encode()
    at = data.draw(st.integers(0, len(text) - 1))
    byte = data.draw(st.integers(0, 255).filter(lambda byte: byte != text[at]))
    broken = (text[:at] + bytes([byte]) + text[at + 1 :]).decode(errors="replace")
    try:
        signing.verify(broken, "case")
    except SignatureError:
        return
    assert json.loads(broken) == json.loads(SIGNED_TEXT)


@pytest.fixture(autouse=True, scope="module")
def signed_text(tmp_path_factory: pytest.TempPathFactory) -> None:
    """The signed timeline of the byte test, made once."""
    global SIGNED_TEXT
    seen = {"format": "procedure-timeline/1", "state": "draft", "words": [{"text": "schön", "start_ms": 1}], "x": 0.25}
    path = tmp_path_factory.mktemp("text") / "key"
    signing.make_key(path)
    SIGNED_TEXT = json.dumps(signing.seal(seen, {"name": "A"}, signing.read_key(path)), ensure_ascii=False)


SIGNED_TEXT = ""


# --- keys


def test_a_private_key_is_its_owners(key_file: Path) -> None:
    assert key_file.stat().st_mode & 0o777 == 0o600
    assert b"PRIVATE" not in key_file.with_name("operator.key.pub").read_bytes()


def test_a_passphrase_locks_the_key(tmp_path: Path) -> None:
    path = tmp_path / "locked.key"
    signing.make_key(path, "open sesame")
    signing.read_key(path, "open sesame")
    with pytest.raises(InputError, match="add --passphrase"):
        signing.read_key(path)
    with pytest.raises(InputError, match="wrong passphrase"):
        signing.read_key(path, "open barley")


def test_a_passphrase_that_is_not_needed_is_told(key_file: Path) -> None:
    with pytest.raises(InputError, match="leave --passphrase away"):
        signing.read_key(key_file, "what for")


def test_a_key_is_never_overwritten(key_file: Path) -> None:
    with pytest.raises(OutputError, match="never overwritten"):
        signing.make_key(key_file)


@pytest.mark.parametrize("read", [signing.read_key, signing.read_public_key])
@pytest.mark.parametrize("content", [None, b"", b"no key"], ids=["missing", "empty", "text"])
def test_what_is_no_key_is_refused(tmp_path: Path, read: Callable[[Path], Any], content: bytes | None) -> None:
    path = tmp_path / "key"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError, match="key"):
        read(path)


def test_the_signature_is_one_another_program_checks(raw: dict[str, Any], key_file: Path) -> None:
    """Ed25519 over the sealed text, by the library alone."""
    signature = raw["signature"]
    public = signing.read_public_key(key_file.with_name("operator.key.pub"))
    public.verify(base64.b64decode(signature["value"]), signature["sealed"].encode())


# --- the commands


@pytest.fixture
def case(small_timeline: Timeline, tmp_path: Path) -> Path:
    draft_folder.write(small_timeline, tmp_path / "case")
    return tmp_path / "case"


def sign_arguments(case: Path, key_file: Path) -> list[str]:
    seen = [f"--seen={point}" for point in OPEN[:3]]
    return ["sign", str(case), "--as", "A. Operator", "--key", str(key_file), *seen, "--reason", "gap-1=a door = noise"]


def test_sign_then_verify(case: Path, key_file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(sign_arguments(case, key_file)) == 0
    assert main(["verify", str(case)]) == 0
    assert main(["verify", str(case / "timeline.json"), "--key", f"{key_file}.pub"]) == 0
    said = capsys.readouterr().out
    assert "whole. Signed by A. Operator" in said
    assert "left open: gap-1: a door = noise" in said
    assert "SIGNED TIMELINE" in (case / "summary.txt").read_text()
    assert "Signed by A. Operator" in (case / "transcript.vtt").read_text()
    assert main(["show", str(case)]) == 0
    assert "SIGNED: " in capsys.readouterr().out


def test_an_amendment_from_the_shell(
    case: Path, key_file: Path, tmp_path: Path, small_timeline: Timeline, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(sign_arguments(case, key_file)) == 0
    amended = tmp_path / "amended"
    draft_folder.write(revised(small_timeline, "looked.check-1", None, True), amended)
    more = ["--seen=check-1", "--amends", str(case), "--why", "the dial was read wrongly"]
    assert main([each for each in sign_arguments(amended, key_file) if each != "--seen=check-1"] + more[1:]) == 0
    capsys.readouterr()
    assert main(["verify", str(amended), "--earlier", str(case)]) == 0
    said = capsys.readouterr().out
    assert "  an amendment: the dial was read wrongly\n" in said
    assert "  in place of: A. Operator, 20" in said
    assert "an amendment of what was signed" in (amended / "summary.txt").read_text()
    assert main(["verify", str(case), "--earlier", str(amended)]) == 2
    assert "does not follow" in capsys.readouterr().err


def test_a_draft_altered_behind_its_trail_is_not_signed(
    small_timeline: Timeline, tmp_path: Path, key_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What people changed at the desk, and then somebody in the file."""
    change = Change(at="events.e0003.values.pressure.value", before=16.0, after=14.0)
    step = Revision(number=1, at=WHEN, by="B. Colleague", what="by hand", changes=(change,))
    folder = tmp_path / "desk"
    draft_folder.write(small_timeline.model_copy(update={"revisions": (step,)}), folder)
    path = folder / "timeline.json"
    path.write_text(path.read_text().replace('"value": 14.0', '"value": 15.0', 1))
    assert main(sign_arguments(folder, key_file)) == 2
    said = capsys.readouterr().err
    assert "its trail of changes does not fit" in said
    assert "events.e0003.values.pressure.value is not what this change was made on: it is 15.0" in said
    path.write_text(path.read_text().replace('"value": 15.0', '"value": 14.0', 1))
    assert main(sign_arguments(folder, key_file)) == 0


def test_a_draft_is_not_verified(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["verify", str(case)]) == 2
    assert "a draft, nobody has signed it" in capsys.readouterr().err


def test_a_refused_signature_leaves_the_draft(case: Path, key_file: Path) -> None:
    before = (case / "timeline.json").read_bytes()
    assert main(["sign", str(case), "--as", "A", "--key", str(key_file)]) == 2
    assert (case / "timeline.json").read_bytes() == before


@pytest.mark.parametrize("command", ["verify", "show", "sign"])
def test_an_altered_record_is_not_read(
    case: Path, key_file: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    main(sign_arguments(case, key_file))
    path = case / "timeline.json"
    path.write_text(path.read_text().replace('"value": 14.0', '"value": 15.0', 1))
    more = ["--as", "B", "--key", str(key_file)] if command == "sign" else []
    assert main([command, str(case), *more]) == 2
    assert "altered: events[2].values.pressure.value was 14.0" in capsys.readouterr().err


def test_another_key_is_told(case: Path, key_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(sign_arguments(case, key_file))
    assert main(["key", str(tmp_path / "other.key")]) == 0
    assert main(["verify", str(case), "--key", str(tmp_path / "other.key.pub")]) == 2
    assert "whole, but signed with another key" in capsys.readouterr().err


def test_what_is_signed_is_not_rewritten(case: Path, key_file: Path, small_timeline: Timeline) -> None:
    main(sign_arguments(case, key_file))
    with pytest.raises(OutputError, match="nothing is changed after that"):
        draft_folder.rewrite(small_timeline, case)


def test_only_signing_makes_a_signed_timeline() -> None:
    made = [
        path.name
        for path in (Path(signing.__file__).parent).rglob("*.py")
        if "SignedTimeline(" in path.read_text().replace("class SignedTimeline(", "")
        or "SignedTimeline.model_" in path.read_text()
    ]
    assert made == ["signing.py"]
