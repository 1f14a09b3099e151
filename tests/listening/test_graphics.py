"""The library of a graphics processor: found where its package lays it, none where there is no package."""

import ctypes
from importlib.machinery import ModuleSpec

import numpy as np
import pytest
from ctranslate2 import StorageView

from extractor.listening import graphics
from extractor.listening.recogniser import _read


@pytest.fixture
def loaded(monkeypatch):
    """Names of the libraries that are loaded, in order."""
    names: list[str] = []
    monkeypatch.setattr(ctypes, "CDLL", lambda name, mode: names.append(name.rpartition("/")[2]))
    return names


def _package(monkeypatch, folder):
    spec = ModuleSpec("nvidia.cublas", None, is_package=True)
    spec.submodule_search_locations = [str(folder)]
    monkeypatch.setattr(graphics, "find_spec", lambda name: spec)


def test_no_package_is_no_library(monkeypatch, loaded):
    def absent(name):
        raise ModuleNotFoundError("No module named 'nvidia'")

    monkeypatch.setattr(graphics, "find_spec", absent)
    assert not graphics.load_library()
    monkeypatch.setattr(graphics, "find_spec", lambda name: None)
    assert not graphics.load_library()
    assert loaded == []


def test_a_package_of_another_cuda_is_no_library(monkeypatch, tmp_path, loaded):
    (tmp_path / "lib").mkdir()
    (tmp_path / "lib" / "libcublas.so.13").touch()
    _package(monkeypatch, tmp_path)
    assert not graphics.load_library()
    assert loaded == []


def test_what_the_other_wants_is_loaded_first(monkeypatch, tmp_path, loaded):
    (tmp_path / "lib").mkdir()
    for name in ("libcublas.so.12", "libcublasLt.so.12"):
        (tmp_path / "lib" / name).touch()
    _package(monkeypatch, tmp_path)
    assert graphics.load_library()
    assert loaded == ["libcublasLt.so.12", "libcublas.so.12"]


def test_odds_are_read_whatever_they_were_made_in():
    """A graphics processor works in 16 bits, in a memory of its own: NumPy alone saw a thing there, and no numbers."""
    odds = _read(StorageView.from_array(np.array([1.5, -2.0], np.float16)))
    assert odds.dtype == np.float32
    assert odds.tolist() == [1.5, -2.0]
