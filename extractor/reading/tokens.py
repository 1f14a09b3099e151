"""Words as a recogniser or a typist wrote them -> small, plain tokens every other reader can rely on.

One word may be several tokens ("5x80" is "5", "x", "80") and, rarely, one token is several words: a recogniser that
times "0.018" as the two words "0" and ".018" still gives the one token "0.018". Work per distinct word is done once.
"""

import re
import unicodedata
from collections.abc import Container, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from extractor.lexicon import pieces
from extractor.model import Word


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of speech in lower case: a word, a written number, a clitic ('s) or a punctuation mark.

    ``word`` and ``past`` are the half-open range of transcript words it comes from. ``joined``: a hyphen ties it to
    the token before ("five-zero"). ``glued``: nothing at all stands between them ("65mm", "L5").
    """

    text: str
    word: int
    past: int
    joined: bool = False
    glued: bool = False


#: Marks that end a breath: no number is ever read across one.
PUNCTUATION = frozenset({",", ".", "?", "!", "...", ";", ":", "-", "(", ")", '"'})

#: Contractions that mean more whole than split.
WHOLE = frozenset({"what's", "let's", "o'clock"})

_SIGNS = str.maketrans({
    "’": "'", "‘": "'", "ʼ": "'", "“": '"', "”": '"', "„": '"',
    "‐": "-", "‑": "-", "‒": "-", "–": "-", "—": "--", "―": "--", "−": "-",
    "×": "x", "μ": "µ",  # and NFKC has made ² a 2, … three dots and every blank a plain one
})  # fmt: skip
_VULGAR = {
    "½": ".5", "¼": ".25", "¾": ".75", "⅛": ".125", "⅓": ".333333333333333", "⅔": ".666666666666667",
    "⅙": ".166666666666667",
}  # fmt: skip
_PIECE = re.compile(
    r"(?P<ordinal>\d+(?:st|nd|rd|th)(?![^\W_]))"
    r"|(?P<thousands>\d{1,3}(?:,\d{3})+(?!\d)(?:\.\d+)?)"
    r"|(?P<comma>(?<![\d,.])\d{1,3},\d{1,2}(?![\d,]|\.\d))"  # "2,5", as continental speakers write 2.5
    r"|(?P<number>\d+\.\d+|(?<!\d)\.\d+|\d+)"
    r"|(?P<word>[^\W\d_]*m2(?!\d)|[^\W\d_]+(?:'[^\W\d_]+)*)"
    r"|(?P<clitic>'[^\W\d_]+)"
    r"|(?P<hyphen>-+)"
    r"|(?P<mark>\.{2,}|[^\w\s]|_)"
)
#: Shortened words whose dot ends no sentence.
_SHORT = {
    "a.m.": "am", "p.m.": "pm", "e.g.": "eg", "i.e.": "ie", "i.v.": "iv", "dr.": "dr", "mr.": "mr", "mrs.": "mrs",
    "ms.": "ms", "prof.": "prof", "vs.": "vs", "approx.": "approx",
}  # fmt: skip
#: Two words said as one.
_MERGED = {
    "gonna": ("going", "to"), "wanna": ("want", "to"), "gimme": ("give", "me"), "lemme": ("let", "me"),
    "gotta": ("got", "to"), "shoulda": ("should", "have"), "coulda": ("could", "have"), "woulda": ("would", "have"),
}  # fmt: skip
#: "four-teen", as it is said to tell it from forty, and how the number is spelt.
_STRESSED = re.compile(r"\b(thir|four|for|fif|six|seven|eight|eigh|nine)-(teen|ty)\b")
_SPELT = {"eight": "eigh"}
_CLITIC = re.compile(r"^(.+)('(?:s|ll|re|ve|d|m))$")
_TAIL_OF_NUMBER = re.compile(r"(\.\d+|,\d{3}(?:,\d{3})*(?:\.\d+)?|,\d{1,2}(?!,))(?!\d)")

#: (text, joined, glued) of each token of one word, and whether the word ends in a hyphen.
_Pieces = tuple[tuple[tuple[str, bool, bool], ...], bool]


def tokenise(texts: Sequence[str]) -> list[Token]:
    """The words of a transcript, in order -> its tokens. Linear in the length of the text; loses no word but blanks."""
    tokens: list[Token] = []
    hyphen = False  # the word before ended in a hyphen
    for index, text in enumerate(texts):
        if tokens and text and text.lstrip()[:1] in ".," and (grown := _grow(tokens[-1], text.strip(), index)):
            number, text = grown
            tokens[-1] = number
            if not text:
                continue
        pieces, trailing = _split(text)
        for position, (piece, joined, glued) in enumerate(pieces):
            tokens.append(Token(piece, index, index + 1, joined or (hyphen and position == 0), glued))
        hyphen = trailing
    if tokens and tokens[0].joined:
        tokens[0] = Token(tokens[0].text, tokens[0].word, tokens[0].past)
    return tokens


@lru_cache(maxsize=1 << 16)
def form_tokens(form: str) -> tuple[str, ...]:
    """A form of a lexicon, or a piece of one -> the texts of its tokens. Kept: several rooms of reading ask for all."""
    return tuple(token.text for token in tokenise(form.split()))


def line_tokens(line: str) -> list[list[tuple[str, ...]]]:
    """A line of a lexicon -> its pieces in order, each the ways it may be said as tokens: () where it is left out."""
    return [[form_tokens(way) for way in ways] for ways in pieces(line)]


def without_addresses(
    tokens: Sequence[Token], words: Sequence[Word], nouns: Container[str], numbers: Container[str]
) -> list[Token]:
    """Tokens -> the same without the name of somebody spoken to that parts a device or drug from its figure: "a filter,
    Omar, five millimetres". ``nouns`` are the words their names end in, ``numbers`` the words of numbers. Linear.
    """
    out: list[Token] = []
    for index, token in enumerate(tokens):
        name = index - 1 if token.text == "," else index  # the comma behind a name goes with it
        if 1 < name < len(tokens) - 2 and tokens[name - 1].text == "," == tokens[name + 1].text:
            figure = tokens[name + 2].text in numbers or tokens[name + 2].text.isdecimal()
            called = words[tokens[name].word].text.strip(" ,").istitle() and tokens[name].text not in numbers
            if figure and called and tokens[name - 2].text in nouns:
                continue
        out.append(token)
    return out


#: Who says something in a room, as a transcript writes it before a colon.
_ROLES = frozenset(
    """
    nurse sister tech technician radiographer fellow registrar trainee consultant boss professor prof doctor surgeon
    scrub anaesthesia anesthesia anaesthetist anesthesiologist assistant resident student operator rep
    """.split()
)
_ENDS_TURN = frozenset({".", "?", "!", "...", '"', ";"})


def without_speakers(tokens: Sequence[Token], words: Sequence[Word], known: Container[str]) -> list[Token]:
    """Tokens -> the same without who a transcript says is speaking: "Nurse: two oh two.", "Omar: five French." where
    the name stands with a capital within a sentence too. ``known`` are words of the lexicon, which head lists. Linear.
    """
    if not any(token.text == ":" for token in tokens):
        return list(tokens)
    named = {
        word.text.strip(" .,;:?!").lower()
        for before, word in pairwise(words)
        if word.text.strip(" .,;:?!").istitle() and before.text[-1:] not in {".", "?", "!", ":", "…", '"', "”"}
    }
    out: list[Token] = []
    for index, token in enumerate(tokens):
        if token.text == ":" and out and 0 < index < len(tokens) - 1 and (len(out) < 2 or out[-2].text in _ENDS_TURN):
            label = out[-1].text
            written = words[out[-1].word].text.strip(" ,:")
            if label not in known and (
                label in _ROLES or (label in named and (written.istitle() or written.isupper()))
            ):
                out.pop()
                continue
        out.append(token)
    return out


#: Spoken punctuation that only a dictating speaker says.
_DICTATED = ({"full", "stop"}, {"new", "paragraph"}, {"new", "line"}, {"next", "paragraph"}, {"open", "bracket"})


def is_number(tokens: Sequence[Token], index: int, numbers: Container[str]) -> bool:
    """Whether a number stands there, in words or figures. ``numbers`` are the words of numbers."""
    return 0 <= index < len(tokens) and (tokens[index].text in numbers or tokens[index].text.isdecimal())


def decimal_commas(tokens: Sequence[Token], numbers: Container[str]) -> list[Token]:
    """Tokens -> the same, with "comma" between two numbers as "point" where the speaker dictates no punctuation:
    "two comma two five" is 2.25. ``numbers`` are the words of numbers. Linear.
    """

    if not any(token.text == "comma" for token in tokens):
        return list(tokens)

    out = list(tokens)
    for index, token in enumerate(tokens):
        if token.text == "comma":
            before, after = (is_number(tokens, each, numbers) for each in (index - 1, index + 1))
            if not before and not after:
                return list(tokens)
            if before and after:
                out[index] = replace(token, text="point")
        elif index and {tokens[index - 1].text, token.text} in _DICTATED:
            return list(tokens)
    return out


#: Behind "micro": no dose, but what is small.
_MICRO_THINGS = frozenset(
    """
    catheter catheters wire wires sheath sheaths puncture system set needle needles coil coils balloon balloons access
    kit snare introducer particles spheres in out up down please over guidewire
    """.split()
)


def micrograms(tokens: Sequence[Token], drugs: Container[str], numbers: Container[str]) -> list[Token]:
    """Tokens -> the same, with "micro" behind a drug and its dose as "micrograms": "nitro two hundred micro".
    ``drugs`` are those counted in it, ``numbers`` the words of numbers. Linear.
    """
    out = list(tokens)
    for index, token in enumerate(tokens):
        behind = tokens[index + 1].text if index + 1 < len(tokens) else ""
        if token.text != "micro" or behind in _MICRO_THINGS:
            continue
        at = index
        while at and (tokens[at - 1].text in numbers or tokens[at - 1].text.isdecimal()):
            at -= 1
        named = at - 2 if at > 1 and tokens[at - 1].text == "," else at - 1
        if named >= 0 and at < index and tokens[named].text in drugs:
            out[index] = replace(token, text="micrograms")
    return out


def _grow(token: Token, text: str, index: int) -> tuple[Token, str] | None:
    """A number cut in two words by the recogniser ("0" ".018", "5" ",000") -> the whole number and what is left."""
    tail = _TAIL_OF_NUMBER.match(text)
    if not tail or not token.text.isdecimal() or token.past != index:
        return None
    if text[0] == "," and len(token.text) > 3:
        return None
    whole = token.text + _plain_digits(tail.group())
    return Token(whole, token.word, index + 1, token.joined, token.glued), text[tail.end() :]


def _plain_digits(text: str) -> str:
    """ "5,000" -> "5000", "2,5" -> "2.5": a comma stands between thousands, or where a point would."""
    whole, comma, rest = text.rpartition(",")
    return text.replace(",", "") if (whole != "0" and len(rest.split(".")[0]) == 3) or not comma else f"{whole}.{rest}"


@lru_cache(maxsize=65536)
def _split(word: str) -> _Pieces:
    """One word -> its pieces; remembered, since speech repeats itself."""
    for sign, decimals in _VULGAR.items():
        word = word.replace(sign, decimals)
    if not word.isascii():
        word = unicodedata.normalize("NFKC", word).translate(_SIGNS)
    word = word.lower()
    word = _STRESSED.sub(lambda said: _SPELT.get(said[1], said[1]) + said[2], word)
    if word.endswith("in'") and len(word) > 4:
        word = word[:-1] + "g"  # goin' up
    bare = word.rstrip(",;:?!")
    word = _SHORT.get(bare, bare) + word[len(bare) :]
    pieces: list[tuple[str, bool, bool]] = []
    hyphen = False
    end = 0
    matches = list(_PIECE.finditer(word))
    for position, match in enumerate(matches):
        kind, text = match.lastgroup, match.group()
        if kind == "hyphen":
            last = position == len(matches) - 1
            if len(matches) == 1 or len(text) > 1:
                pieces.append(("-", False, False))  # a dash: a breath, not a hyphen
                hyphen = False
            elif last and pieces and pieces[-1][0] in PUNCTUATION:
                pieces.append(("-", False, False))
                hyphen = False
            else:
                hyphen = True
            continue
        glued = bool(pieces) and not hyphen and match.start() == end and kind not in ("mark", "clitic")
        glued = glued and pieces[-1][0] not in PUNCTUATION
        if kind in ("thousands", "comma", "number"):
            text = _plain_digits(text)
            text = "0" + text if text.startswith(".") else text
            pieces.append((text, hyphen, glued))
        elif kind == "word" and text not in WHOLE and (clitic := _CLITIC.match(text)):
            pieces.append((clitic[1], hyphen, glued))
            pieces.append((clitic[2], False, True))
        elif kind == "word" and text in _MERGED:
            pieces += [(part, hyphen and not at, False) for at, part in enumerate(_MERGED[text])]
        elif text == '"' != word and (word[0] == text or not pieces or not pieces[-1][0][-1].isdigit()):
            continue  # who is quoted says it like everybody else; behind digits it stands for inches
        else:
            text = "..." if text.startswith("..") else text
            pieces.append((text, hyphen, glued))
        hyphen = False
        end = match.end()
    return tuple(pieces), hyphen
