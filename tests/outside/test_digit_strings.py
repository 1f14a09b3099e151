"""Digit strings as people really say them: transcripts of human speech, text only.

Sources: CMU AN4 (Census) etc/*.transcription, "free for any purpose" (its LICENSE); pocketsphinx 5.1.1 source archive,
cards.transcription, BSD-style. What a row should read as is worked out from num2words' names, apart from our tables.
"""

import re
from pathlib import Path

import pytest
from num2words import num2words

from extractor.reading.numbers import read_digits, read_numbers
from extractor.reading.tokens import tokenise

HUNDREDS = {f"{num2words(value)} hundred".replace("-", " "): f"{value}00" for value in range(11, 100)}
WHOLE = {re.sub("[-,]", " ", num2words(value)).replace("  ", " "): str(value) for value in range(10_000)}
#: Spoken -> digits, with "and" or without.
NAMES = WHOLE | {name.replace(" and ", " "): digits for name, digits in WHOLE.items()} | HUNDREDS | {"oh": "0"}
LONGEST = 8
LINE = re.compile(r"(?:<s>)?(.*?)(?:</s>)?\s*\((\S+)\)$")


def _transcripts(path: Path) -> list[tuple[str, str]]:
    """Lines "WORDS (id)" -> (id, words in lower case)."""
    found = [LINE.match(line.strip()) for line in path.read_text().splitlines() if line.strip()]
    return [(match[2], match[1].strip().lower()) for match in found if match]


def _names(words: str) -> list[str]:
    """The numbers in a line, the longest name first at each place."""
    left, found = words.split(), []
    while left:
        length = next((n for n in range(min(LONGEST, len(left)), 0, -1) if " ".join(left[:n]) in NAMES), 0)
        found += [NAMES[" ".join(left[:length])]] if length else []
        left = left[length or 1 :]
    return found


def _an4(folder: Path) -> list[tuple[str, str]]:
    etc = folder / "an4" / "etc"
    return _transcripts(etc / "an4_test.transcription") + _transcripts(etc / "an4_train.transcription")


def _distinct(folder: Path) -> list[tuple[str, str, str]]:
    """(id, words, digits) of AN4, each wording once."""
    distinct = {words: name for name, words in reversed(_an4(folder))}
    return [(name, words, "".join(_names(words))) for words, name in distinct.items()]


#: What is not read, and why: (in the words, reason). Each such row must fail.
OUT_OF_SCOPE_DIGITS = ("thousand nine thirty", "hundreds left unsaid after thousands: 58000 and then 939")
OUT_OF_SCOPE_VALUES = ("half", "house numbers with a half")


def _rows(folder: Path, out_of_scope: tuple[str, str]) -> list[object]:
    part, reason = out_of_scope
    mark = pytest.mark.xfail(reason=f"out of scope: {reason}", strict=True)
    rows = [row for row in _distinct(folder) if row[2]]
    return [
        pytest.param((words, digits), id=f"{name} {words}", marks=[mark] if part in words else [])
        for name, words, digits in rows
    ]


def digits_rows(folder: Path) -> list[object]:
    return _rows(folder, OUT_OF_SCOPE_DIGITS)


def values_rows(folder: Path) -> list[object]:
    return _rows(folder, OUT_OF_SCOPE_VALUES)


def letters_rows(folder: Path) -> list[object]:
    return [pytest.param(row[1], id=f"{row[0]} {row[1]}") for row in _distinct(folder) if not row[2]]


def cards_rows(folder: Path) -> list[object]:
    rows = _transcripts(folder / "pocketsphinx" / "cards" / "cards.transcription")
    return [pytest.param(words, id=f"{name} {words}") for name, words in rows]


def test_digits(digits_row: tuple[str, str]) -> None:
    words, digits = digits_row
    assert read_digits(tokenise(words.split())) == digits


def test_no_number_is_read_from_spelled_letters(letters_row: str) -> None:
    assert read_numbers(tokenise(letters_row.split())) == []


def test_no_digit_is_lost_or_made(values_row: tuple[str, str]) -> None:
    """The values read_numbers makes of a string hold its digits and no others, zeros apart."""
    words, digits = values_row
    values = [number.value for number in read_numbers(tokenise(words.split()))]
    written = "".join(f"{value:.3f}" if value < 1 else f"{value:.1f}" for value in values)
    assert sorted(re.sub(r"[.0]", "", written)) == sorted(digits.replace("0", ""))


def test_cards(cards_row: str) -> None:
    values = [float(name) for name in _names(cards_row)]
    readings = [
        number.alternatives[-1] if number.form == "digits" else (number.value,)
        for number in read_numbers(tokenise(cards_row.split()))
    ]
    assert [value for reading in readings for value in reading] == values
