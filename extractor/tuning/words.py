"""Text -> its words in one form, so that two ways of writing what was said count as one.

A recogniser writes "120 mL", another "a hundred and twenty millilitres": neither heard a word wrong. So figures become
single digits ("one twenty", "120" and "a hundred and twenty" are the same three), units and spelling are brought
together, and hesitation is left out. What is compared this way is words heard, not what they mean.
"""

import re


def _spelling(word: str) -> str:
    """British and American spelling brought together: the same letters on both sides, whatever they look like."""
    if len(word) > 4:
        word = word.replace("ae", "e").replace("oe", "e").replace("our", "or").replace("yse", "yze").replace("ll", "l")
        word = re.sub(r"tre(s?)$", r"ter\1", word)
        word = re.sub(r"is(e|ed|es|ing|ation)$", r"iz\1", word)
    return word


_ONES = {word: str(number) for number, word in enumerate(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen".split())} | {"oh": "0", "o": "0", "nought": "0", "naught": "0"}  # fmt: skip
_TENS = {word: number for number, word in enumerate("twenty thirty forty fifty sixty seventy eighty ninety".split(), 2)}
_WAYS = {
    "mls": "ml", "mil": "ml", "mils": "ml", "milliliter": "ml", "milliliters": "ml", "mill": "ml", "mills": "ml",
    "mm": "millimeter", "mms": "millimeter", "millimeters": "millimeter", "cm": "centimeter", "cms": "centimeter",
    "centimeters": "centimeter", "fr": "french", "atm": "atmosphere", "atms": "atmosphere", "atmos": "atmosphere",
    "atmospheres": "atmosphere", "mg": "milligram", "mgs": "milligram", "milligrams": "milligram", "g": "gram",
    "grams": "gram", "micrograms": "microgram", "mcg": "microgram", "mics": "microgram", "sec": "second",
    "secs": "second", "seconds": "second", "min": "minute", "mins": "minute", "minutes": "minute", "bars": "bar",
    "x": "by", "ok": "okay", "alright": "all right", "oz": "ounce", "ounces": "ounce", "mister": "mr", "units": "unit",
    "inches": "inch", "gy": "gray", "grays": "gray", "grey": "gray", "milligrays": "milligray", "mgy": "milligray",
    "thanks": "thank you", "yeah": "yes",
}  # fmt: skip
_SAME = {_spelling(word): same for word, same in _WAYS.items()}
_FILLERS = {"um", "uh", "er", "erm", "uhm", "mm", "hm", "hmm", "ah", "uhh", "umm"}


def plain(text: str) -> list[str]:
    """Text -> words in one form: small letters, digits one by one, units and spelling alike, no fillers."""
    text = text.lower().replace("’", "'").replace("µg", "mcg").replace("×", " x ").replace("%", " percent ")
    text = re.sub(r"\bpsi\b", "p s i", text)
    text = re.sub(r"(?<=\d),(?=\d{3}\b)", "", text)
    text = re.sub(r"(?<![\d.])0?\.0(\d\d)\b", r" 0 \1 ", text)  # 0.035 is said oh three five
    text = re.sub(r"(?<=\d)\.(?=\d)", " point ", text)
    text = re.sub(r"(?<![\d.])\.(?=\d)", " point ", text)
    text = re.sub(r"(?<=\d)(?=[a-z])|(?<=[a-z])(?=\d)", " ", text)
    words = [word.replace("'", "") for word in re.findall(r"[a-z0-9']+", text)]
    out: list[str] = []
    at = 0
    while at < len(words):
        digits, past = _number(words, at)
        if past > at:
            out += digits
            at = past
            continue
        if words[at] not in _FILLERS or (words[at] == "mm" and out and out[-1].isdigit()):
            out += [_spelling(word) for word in _SAME.get(_spelling(words[at]), words[at]).split()]
        at += 1
    return out


def _number(words: list[str], at: int) -> tuple[list[str], int]:
    """The number that begins at a word, as digits, and where it ends; no digits where there is none."""
    word = words[at]
    if word.isdigit():
        return list(word), at + 1
    value, past = _small(words, at)
    if past == at:
        return [], at
    if past < len(words) and words[past] in ("hundred", "thousand"):
        total = 0
        while past < len(words) and words[past] in ("hundred", "thousand"):
            value *= 100 if words[past] == "hundred" else 1000
            past += 1
            step = past + (words[past : past + 1] == ["and"])
            rest, after = _small(words, step) if step < len(words) else (0, step)
            if after == step:
                break
            if words[after : after + 1] == ["hundred"]:
                total, value, past = total + value, rest, after
                continue
            value, past = value + rest, after
        return list(str(total + value)), past
    return list(str(value)), past


def _small(words: list[str], at: int) -> tuple[int, int]:
    word = words[at]
    if word in _ONES and (word != "o" or (at + 1 < len(words) and words[at + 1] in _ONES)):
        return int(_ONES[word]), at + 1
    if word in _TENS:
        unit = words[at + 1] if at + 1 < len(words) else ""
        if unit in _ONES and 0 < int(_ONES[unit]) < 10:
            return _TENS[word] * 10 + int(_ONES[unit]), at + 2
        return _TENS[word] * 10, at + 1
    if word == "a" and words[at + 1 : at + 2] in (["hundred"], ["thousand"]):
        return 1, at + 1
    return 0, at
