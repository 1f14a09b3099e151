"""Only signed cases with consent teach, and only lines of which it is known how they were spoken."""

import json
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest

from extractor import signing
from extractor.errors import InputError
from extractor.listening.decode import hash_file
from extractor.tuning.cases import read_cases

CONSENT = """\
training = true
speaker = "operator-1"
agreed_by = "the operator"
agreed_on = 2026-03-02
agreed_to = "Training the department's own recogniser."
"""
RECORDING = Path(__file__).parents[2] / "fixtures" / "short-inflation" / "recording.opus"


def words(text: str, start_ms: int = 500, **probabilities: float) -> list[dict[str, object]]:
    """A word every 300 ms; after a full stop half a second of pause."""
    spoken = []
    for word in text.split():
        bare = word.strip(".,")
        spoken.append(
            {"text": word, "start_ms": start_ms, "end_ms": start_ms + 250, "probability": probabilities.get(bare, 0.9)}
        )
        start_ms += 800 if word.endswith(".") else 300
    return spoken


def timeline(text: str, **more: object) -> dict[str, object]:
    sha256 = hash_file(RECORDING)
    part = {"name": "recording.opus", "sha256": sha256, "offset_ms": 0, "duration_ms": 12_000}
    return {
        "format": "procedure-timeline/1",
        "state": "signed",
        "recording": {"sha256": sha256, "duration_ms": 12_000, "recorded_at": None, "parts": [part]},
        "words": words(text),
        **more,
    }


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A signed case with consent, its recording beside it."""
    folder = tmp_path / "cases" / "one"
    folder.mkdir(parents=True)
    shutil.copy(RECORDING, folder / "recording.opus")
    (folder / "consent.toml").write_text(CONSENT)
    write(folder, "Six French sheath in. Wire is across.")
    return folder


def write(case: Path, text: str, **more: object) -> None:
    put(case, timeline(text, **more))


def put(case: Path, told: dict[str, object]) -> None:
    """Signed with a key of its own, whatever it holds; a draft as it is."""
    key = case.parent / f"{case.name}.key"
    if not key.exists():
        signing.make_key(key)
    if told["state"] == "signed":
        told = signing.seal({**told, "state": "draft"}, {"name": "A. Operator"}, signing.read_key(key))
    (case / "timeline.json").write_text(json.dumps(told))


def taught(case: Path) -> list[list[str]]:
    """The lines of each clip of the one case."""
    (found,), refused = read_cases([case])
    assert refused == ()
    return [[text for _, _, text in clip.lines] for clip in found.clips]


def refusal(case: Path) -> str:
    cases, refused = read_cases([case])
    assert cases == ()
    (line,) = refused
    assert "\n" not in line
    return line


def test_a_signed_case_becomes_sound_with_lines(case):
    ((found,), refused) = read_cases([case])
    assert refused == ()
    assert (found.speaker, found.words, found.words_signed) == ("operator-1", 7, 7)
    (clip,) = found.clips
    assert clip.lines == [(8_000, 26_400, "Six French sheath in."), (35_200, 48_800, "Wire is across.")]
    assert len(clip.samples) == clip.lines[-1][1] + 8000


def test_a_folder_of_cases_is_read_each_case_once(case):
    """The same recording twice could be learned from and judged with."""
    shutil.copytree(case, case.parent / "two")
    cases, refused = read_cases([case.parent, case])
    assert [each.folder.name for each in cases] == ["one"]
    assert [line.endswith(f"the same recording as {case}") for line in refused] == [True]


def test_a_folder_without_a_case_is_refused(tmp_path):
    with pytest.raises(InputError, match=r"holds no timeline\.json"):
        read_cases([tmp_path])


# --- consent

TOMORROW = (date.today() + timedelta(days=1)).isoformat()
NO_CONSENT = {
    "none": (None, "no consent is recorded"),
    "not to training": (CONSENT.replace("true", "false"), "does not agree to training"),
    "not said to what": (CONSENT.replace("agreed_to", "# "), "agreed_to: Field required"),
    "by nobody": (CONSENT.replace("the operator", ""), "agreed_by"),
    "of nobody": (CONSENT.replace("operator-1", ""), "speaker"),
    "no date": (CONSENT.replace("2026-03-02", '"some day"'), "agreed_on"),
    "in the future": (CONSENT.replace("2026-03-02", TOMORROW), "still to come"),
    "with a slip": (CONSENT.replace("training", "trainning"), "training: Field required"),
    "no TOML": ("training: yes", "cannot be read"),
    "a word for a yes": (CONSENT.replace("true", '"please ask"'), "training"),
}


@pytest.mark.parametrize(("consent", "said"), NO_CONSENT.values(), ids=NO_CONSENT)
def test_without_consent_a_case_is_refused(case, consent, said):
    (case / "consent.toml").unlink()
    if consent is not None:
        (case / "consent.toml").write_text(consent)
    assert said in refusal(case)
    assert "refused" in refusal(case)


def test_the_consent_shown_in_the_docs_is_one(case, root):
    page = (root / "docs" / "tuning.md").read_text(encoding="utf-8")
    (case / "consent.toml").write_text(page.partition("```toml\n")[2].partition("```")[0])
    assert read_cases([case])[1] == ()


def test_one_refused_case_leaves_the_others(case):
    other = shutil.copytree(case, case.parent / "two")
    (other / "consent.toml").unlink()
    cases, refused = read_cases([case.parent])
    assert [each.folder.name for each in cases] == ["one"]
    assert len(refused) == 1


def test_a_draft_is_refused(case):
    write(case, "Six French sheath in.", state="draft")
    assert "nobody has signed" in refusal(case)


def test_what_says_signed_and_is_not_is_refused(case):
    (case / "timeline.json").write_text(json.dumps(timeline("Six French sheath in.")))
    assert "carries no signature" in refusal(case)


def test_words_altered_after_signing_are_refused(case):
    path = case / "timeline.json"
    path.write_text(path.read_text().replace('{"text": "French"', '{"text": "Inch"', 1))
    assert 'altered: words[1].text was "French"' in refusal(case)


def test_another_form_is_refused(case):
    write(case, "Six French sheath in.", format="procedure-timeline/9")
    assert "not a timeline of the form procedure-timeline/1" in refusal(case)


def test_what_sign_off_adds_is_no_trouble(case):
    write(case, "Six French sheath in.", signed_by="somebody")
    assert taught(case) == [["Six French sheath in."]]


# --- sound


def test_the_sound_is_known_by_its_hash_whatever_its_name(case, tmp_path):
    elsewhere = tmp_path / "sounds"
    elsewhere.mkdir()
    (case / "recording.opus").rename(elsewhere / "note.opus")
    cases, _ = read_cases([case], [elsewhere])
    assert len(cases) == 1
    assert read_cases([case], [elsewhere / "note.opus"])[0][0].words == 7


def test_another_sound_of_the_same_name_is_not_taken(case):
    with (case / "recording.opus").open("ab") as file:
        file.write(b"more")
    assert "--sound" in refusal(case)


# --- what teaches


LINES = {
    "as it was spoken": ("Six French sheath in. Wire is across.", [["Six French sheath in.", "Wire is across."]]),
    "a figure": ("Sheath in. The 0.018 wire. It is across. Good.", [["Sheath in."], ["It is across.", "Good."]]),
    "a symbol": ("Sheath in. Five mL given.", [["Sheath in."]]),
    "a symbol without a vowel": ("Sheath in. Five mm wide.", [["Sheath in."]]),
    "letters said one by one": ("Sheath in. The SFA and GTN.", [["Sheath in.", "The SFA and GTN."]]),
    "joined words": ("It's a forty-five degree view.", [["It's a forty-five degree view."]]),
}


@pytest.mark.parametrize(("text", "lines"), LINES.values(), ids=LINES)
def test_a_line_teaches_if_it_is_known_how_it_was_spoken(case, text, lines):
    write(case, text)
    assert taught(case) == lines


def test_a_word_hardly_made_out_takes_its_line_with_it(case):
    write(
        case, "Sheath in. Pepper given. Wire across.", words=words("Sheath in. Pepper given. Wire across.", Pepper=0.3)
    )
    assert taught(case) == [["Sheath in."], ["Wire across."]]


@pytest.mark.parametrize(("review", "lines"), [(False, [["Heparin given now."]]), (True, None)], ids=["settled", "not"])
def test_what_was_put_right_teaches_what_was_meant(case, review, lines):
    repair = {"words": [0, 2], "heard": "Pepper and", "read": "Heparin", "why": "signed", "review": review}
    write(case, "", words=words("Pepper and given now.", Pepper=0.1), corrections=[repair])
    assert (taught(case) == lines) if lines else "nothing to learn from" in refusal(case)


def test_a_gap_parts_the_sound(case):
    gap = {"start_ms": 1700, "end_ms": 2000, "why": "no words"}
    write(case, "Six French sheath in. Wire is across.", gaps=[gap])
    (found,), _ = read_cases([case])
    first, second = found.clips
    assert len(first.samples) == (1700 - 0) * 16
    assert second.lines[0][0] == (2200 - 2000) * 16


def test_words_of_a_second_recording_stand_on_its_own_clock(case):
    other = shutil.copy(RECORDING.parent.parent / "varicocele-coils" / "recording.opus", case / "second.opus")
    told = timeline("Sheath in.")
    told["recording"]["parts"].append(
        {"name": "second.opus", "sha256": hash_file(other), "offset_ms": 12_000, "duration_ms": 20_000}
    )
    told["words"] += words("Wire across.", start_ms=13_000)
    put(case, told)
    (found,), _ = read_cases([case])
    assert [[text for _, _, text in clip.lines] for clip in found.clips] == [["Sheath in."], ["Wire across."]]
    assert found.clips[1].lines[0][0] == 500 * 16
