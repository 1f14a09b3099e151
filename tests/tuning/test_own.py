"""A site's own model: parted by speakers, judged before and after, refused where it is worse, and undone."""

import hashlib
import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from extractor.cli import main
from extractor.errors import InputError
from extractor.listening import packaged_models, recogniser, speech_models
from extractor.listening.adapter import Adapter, Card, read_adapter
from extractor.listening.weights import Weights, pieces
from extractor.tuning import judging, own
from extractor.tuning.cases import Case
from extractor.tuning.judging import WordErrors
from extractor.tuning.own import find_faults, part
from extractor.tuning.train import Clip

LAYER = "encoder/layer_0/ffn/linear_0"
BESIDE = ("config.json", "tokenizer.json", "vocabulary.json")


def sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def numbers(seed: int, *shape: int) -> np.ndarray:
    return (np.random.default_rng(seed).standard_normal(shape) * 0.1).astype(np.float16)


@pytest.fixture(autouse=True)
def packaged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A base of one layer and a trade's model made from it, in place of the real ones; a cache and data of our own."""
    monkeypatch.setenv("EXTRACTOR_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("EXTRACTOR_DATA", str(tmp_path / "data"))
    package = tmp_path / "site" / "invented_base"
    package.mkdir(parents=True)
    content = b"".join(pieces(Weights(6, "WhisperSpec", 3, {f"{LAYER}/weight": numbers(1, 6, 4)}, ())))
    for name, data in {"__init__.py": b"", "model.bin": content, **dict.fromkeys(BESIDE, b"{}")}.items():
        (package / name).write_bytes(data)
    monkeypatch.syspath_prepend(tmp_path / "site")
    base = packaged_models.Packaged(
        "base",
        sha256(content),
        len(content),
        (("invented_base", "model.bin"),),
        tuple(("invented_base", name, sha256(b"{}")) for name in BESIDE),
    )
    monkeypatch.setattr(packaged_models, "PACKAGED", {"base": base})
    about = {"trained_on": "the trade", "command": "none", "licence": "none", "strength": 0.5, "rank": 2}
    card = Card.model_validate({"name": "trade", "base_sha256": base.sha256, **about})
    speech_models.write_tuned(Adapter(card, {LAYER: (numbers(2, 2, 4), numbers(3, 6, 2))}), tmp_path / "trade")
    trade = speech_models._tuned("trade", tmp_path / "trade")
    monkeypatch.setattr(packaged_models, "PACKAGED", {"trade": trade, "base": base})


def clip(words: int, seconds: int = 300) -> Clip:
    return Clip(np.zeros(seconds * 16_000, np.float32), [(0, seconds * 16_000, " ".join(["word"] * words))])


def case(name: str, speaker: str, words: int) -> Case:
    return Case(Path(name), sha256(name.encode()), speaker, (clip(words),), words, words)


# --- parting

TWO = [case("1", "ann", 700), case("2", "ann", 100), case("3", "ben", 250), case("4", "ann", 50)]
THREE = [*TWO, case("5", "eve", 230), case("6", "eve", 900)]
ONE = [case(str(i), "ann", 150) for i in range(6)]
PARTED = {
    "the speaker nearest to a fifth": (TWO, (), {"3"}, "1 of 2 speakers"),
    "one of three": (THREE, (), {"3"}, "1 of 3 speakers"),
    "those that are named": (THREE, ("eve",), {"5", "6"}, "1 of 3 speakers"),
    "two that are named": (THREE, ("eve", "ben"), {"3", "5", "6"}, "2 of 3 speakers"),
    "of one speaker the last cases": (ONE, (), {"4", "5"}, "nothing is known of other voices"),
}


@pytest.mark.parametrize(("cases", "judges", "aside", "how"), PARTED.values(), ids=PARTED)
def test_whole_speakers_are_kept_aside(cases, judges, aside, how):
    parted = part(cases, judges)
    assert {each.folder.name for each in parted.aside} == aside
    assert {each.folder.name for each in parted.learning} == {each.folder.name for each in cases} - aside
    assert how in parted.how


UNPARTED = {
    "nobody of that name": (THREE, ("tom",), "there are ann, ben, eve"),
    "nobody left": (TWO, ("ann", "ben"), "no case is left to learn from"),
    "one case": (ONE[:1], (), "no case is left to learn from"),
    "too little aside": (
        [case("1", "ann", 900), case("2", "ben", 20)],
        ("ben",),
        "20 words are kept aside, 200 are needed",
    ),
}


@pytest.mark.parametrize(("cases", "judges", "said"), UNPARTED.values(), ids=UNPARTED)
def test_what_cannot_be_judged_is_not_tuned(cases, judges, said):
    with pytest.raises(InputError, match=said):
        part(cases, judges)


# --- the judgement

FAULTS = {
    "better, nothing forgotten": ((50, 40), (20, 20), ()),
    "better, a little forgotten": ((50, 40), (20, 28), ()),
    "better, too much forgotten": ((50, 40), (20, 29), ("worse on ordinary speech by 2.2 points",)),
    "no better": ((50, 50), (20, 10), ("no better on the cases kept aside: 12.5 % of 400 words before",)),
    "worse in both": ((50, 60), (20, 40), ("no better", "worse on ordinary")),
}


@pytest.mark.parametrize(("aside", "ordinary", "faults"), FAULTS.values(), ids=FAULTS)
def test_what_is_worse_may_not_be_installed(aside, ordinary, faults):
    found = find_faults(*(tuple(WordErrors(n, 400) for n in pair) for pair in (aside, ordinary)))
    assert len(found) == len(faults)
    assert all(said.startswith(wanted) for said, wanted in zip(found, faults, strict=True))


# --- the whole way, with a stand-in for training and for hearing


@pytest.fixture
def site(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    """``errors`` are given in turn: cases before, ordinary before, cases after, ordinary after. ``trained``: how."""
    stand_in = SimpleNamespace(errors=[50, 20, 40, 20], trained={}, refused=("folder nine: refused",), judged=[])

    def train(clips, base, **how):
        stand_in.trained = {"clips": clips, "base": base, **how}
        how["progress"](how["steps"], 0.1, 2.0)
        return {LAYER: (numbers(7, 3, 4), numbers(8, 6, 3))}

    def judge(clips, model, bias, progress):
        stand_in.judged.append((sum(len(each.lines[0][2].split()) for each in clips), model.sha256))
        return WordErrors(stand_in.errors[len(stand_in.judged) - 1], 400)

    monkeypatch.setattr(own, "_require_torch", lambda: None)
    monkeypatch.setattr(own, "read_cases", lambda folders, sounds: (tuple(TWO), stand_in.refused))
    monkeypatch.setattr(own, "train", train)
    monkeypatch.setattr(judging, "judge", judge)
    monkeypatch.setattr(judging, "read_ordinary", lambda folder: tuple(clip(n, 20) for n in (101, 102, 103, 104)))
    return stand_in


def run(tmp_path: Path, *more: str) -> int:
    return main(["model", "tune", str(tmp_path), "--ordinary", str(tmp_path), *more])


def test_what_is_better_is_installed_and_becomes_the_default(site, tmp_path, capsys):
    trade = speech_models.resolve("trade")
    assert run(tmp_path) == 0
    model = speech_models.resolve()
    assert model.name == "own"
    assert speech_models.verify("own") == model
    said = capsys.readouterr().out.splitlines()
    assert said == [
        "folder nine: refused",
        "Judged with 1 of 2 speakers kept aside, 1 of 4 cases.",
        "Word errors, cases kept aside: 12.5 % of 400 words with trade, 10.0 % of 400 words with this.",
        "Word errors, ordinary speech: 5.0 % of 400 words with trade, 5.0 % of 400 words with this.",
        "Installed as own, the default from now on; extractor model untune takes it away again.",
    ]
    assert [words for words, _ in site.judged] == [250, 102 + 104, 250, 102 + 104]
    assert [sha for _, sha in site.judged] == [trade.sha256] * 2 + [model.sha256] * 2
    assert site.trained["base"] == trade.folder
    assert [len(each.lines[0][2].split()) for each in site.trained["clips"]] == [700, 100, 50]
    assert [len(each.lines[0][2].split()) for each in site.trained["keep"]] == [101, 103]


def test_its_card_tells_what_it_was_tuned_on_and_names_nobody(site, tmp_path, capsys, monkeypatch):
    ready = SimpleNamespace(pace=lambda: 0.07, processor="cpu", fault="")
    monkeypatch.setattr(recogniser, "load", lambda model: ready)  # its weights are a stand-in
    run(tmp_path)
    capsys.readouterr()
    assert main(["model", "list"]) == 0
    said = capsys.readouterr().out
    assert said.splitlines()[0].split()[:2] == ["own", "present"]
    assert "trained on 3 signed cases of 1 speakers" in said
    assert "word errors, cases kept aside: 12.5 % of 400 words with trade, 10.0 %" in said
    assert "limit: Judged with 1 of 2 speakers" in said
    assert "ann" not in said.replace(str(tmp_path), "")
    assert main(["model", "verify", "own"]) == 0
    said = capsys.readouterr().out
    told = ("own: whole", "of base, SHA-256", "adapter.npz, SHA-", "0.070 s of work for a second of talk, on the CPU")
    assert all(part in said for part in told)


def test_it_holds_what_the_trades_model_had_learned(site, tmp_path):
    run(tmp_path)
    a, b = read_adapter(tmp_path / "data" / "own" / "adapter.npz").layers[LAYER]
    assert (len(a), b.shape[1]) == (2 + 3, 2 + 3)


@pytest.mark.parametrize(
    ("errors", "said"),
    [([50, 20, 50, 20], "no better on the cases kept aside"), ([50, 20, 10, 40], "worse on ordinary speech by 5.0")],
    ids=["no better", "forgetful"],
)
def test_what_is_worse_is_not_installed(site, tmp_path, capsys, errors, said):
    site.errors = errors
    assert run(tmp_path, "--out", str(tmp_path / "kept")) == 2
    assert f"extractor: not installed: {said}" in capsys.readouterr().err
    assert speech_models.resolve().name == "trade"
    assert speech_models.uninstall() is None
    assert read_adapter(tmp_path / "kept" / "adapter.npz").card.figures
    assert not list((tmp_path / "cache").glob("own-*"))


def test_a_worse_one_leaves_an_earlier_one_in_place(site, tmp_path):
    run(tmp_path)
    earlier = speech_models.resolve()
    site.judged, site.errors = [], [50, 20, 50, 20]
    assert run(tmp_path) == 2
    assert speech_models.verify() == earlier


def test_it_starts_from_the_shipped_model_even_where_there_is_one_of_its_own(site, tmp_path):
    run(tmp_path)
    site.judged = []
    run(tmp_path)
    assert site.trained["base"] == speech_models.resolve("trade").folder


def test_it_can_be_undone(site, tmp_path, capsys):
    run(tmp_path)
    assert main(["model", "untune"]) == 0
    kept = Path(capsys.readouterr().out.splitlines()[-1].removeprefix("Taken away. Its files stay in ").rstrip("."))
    assert speech_models.resolve().name == "trade"
    assert speech_models.verify(kept).name == str(kept)
    assert main(["model", "untune"]) == 2
    assert "no model of your own" in capsys.readouterr().err


def test_it_says_nothing_when_asked_to(site, tmp_path, capsys):
    assert run(tmp_path, "--quiet") == 0
    assert capsys.readouterr() == ("", "")


def test_without_a_case_that_agrees_nothing_is_done(site, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(own, "read_cases", lambda folders, sounds: ((), ("one: refused, no consent is recorded",)))
    assert run(tmp_path) == 2
    assert "no case can be used: one: refused, no consent is recorded" in capsys.readouterr().err
    assert not site.trained


def test_too_little_ordinary_speech_is_refused(site, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(judging, "read_ordinary", lambda folder: (clip(500), clip(30)))
    assert run(tmp_path) == 2
    assert "half of it judges, which is 30 words, and 200 are needed" in capsys.readouterr().err


def test_ordinary_speech_must_come_in_pieces_to_be_learned_with(site, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(judging, "read_ordinary", lambda folder: (clip(300, 29), clip(300, 29)))
    assert run(tmp_path) == 2
    assert "cut them to less than 28 s" in capsys.readouterr().err


def test_a_folder_for_the_adapter_must_be_new(site, tmp_path, capsys):
    assert run(tmp_path, "--out", str(tmp_path)) == 2
    assert "name a new folder with --out" in capsys.readouterr().err
    assert not site.trained


def test_without_pytorch_it_says_what_to_install(tmp_path, monkeypatch, capsys):
    monkeypatch.setitem(sys.modules, "torch", None)
    monkeypatch.setattr(own, "find_spec", lambda name: None)
    assert run(tmp_path) == 2
    assert "pip install 'spoken-procedure-timeline[tuning]'" in capsys.readouterr().err


def test_ordinary_speech_must_be_given(site, tmp_path, capsys):
    assert main(["model", "tune", str(tmp_path)]) == 2
    assert "name a folder of ordinary speech with --ordinary" in capsys.readouterr().err
    assert not site.trained
