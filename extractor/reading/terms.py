"""Tokens -> the lexicon's terms in them, longest first. spaCy's matcher does the looking up; it is imported only
here.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import takewhile

from extractor.lexicon import TABLES, Cue, Entry, Lexicon
from extractor.reading.quantities import FILLERS
from extractor.reading.tokens import Token, form_tokens

#: Tables whose last word also has a plural.
_PLURAL = {"device"}
#: Last words of devices that are said short in every name.
_CLIPPED = {"catheter": ["cath"]}
_READ_ELSEWHERE = {"clue", "limit", "misheard", "sign", "pronunciation", "refusal", "unit"}
_LOOKED_UP = [table for table in TABLES if table not in _READ_ELSEWHERE]


@dataclass(slots=True)
class Term:
    """Entries of the lexicon in ``tokens[first:last]``; several where one form has several meanings ("in", "down")."""

    first: int
    last: int
    found: list[tuple[str, Entry]] = field(default_factory=list)
    tables: frozenset[str] = frozenset()  # where they stand in it


class TermFinder:
    """Looks up every form of every entry. Made once for a lexicon; pure afterwards."""

    def __init__(self, lexicon: Lexicon) -> None:
        from spacy.matcher import PhraseMatcher
        from spacy.tokens import Doc
        from spacy.vocab import Vocab

        self._vocab, self._doc = Vocab(), Doc
        self._matcher = PhraseMatcher(self._vocab)
        self._entries: dict[int, list[tuple[str, Entry]]] = {}
        forms: dict[tuple[str, ...], list[tuple[str, Entry]]] = {}
        for table in _LOOKED_UP:
            for entry in getattr(lexicon, table):
                for form in entry.spoken:
                    for tokens in _forms(form, table in _PLURAL):
                        forms.setdefault(tokens, []).append((table, entry))
        #: Every word that is a form by itself, or ends the name of a device or a drug.
        self.words = frozenset(
            tokens[-1] for tokens, found in forms.items() if len(tokens) == 1 or found[0][0] in _PLURAL
        )
        #: The words that names of devices and drugs end in.
        self.nouns = frozenset(
            tokens[-1]
            for tokens, found in forms.items()
            for table, _ in found
            if table in {"device", "drug"} and tokens[-1].isalpha()
        )
        names: dict[tuple[tuple[str, int], ...], str] = {}  # one for all forms of the same entries: keys cost memory
        for tokens, found in forms.items():
            name = names.setdefault(tuple((table, id(entry)) for table, entry in found), str(len(names)))
            self._matcher.add(name, [Doc(self._vocab, words=list(tokens))])
            self._entries[self._vocab.strings[name]] = found
        self._tables = {key: frozenset(table for table, _ in found) for key, found in self._entries.items()}
        #: Forms that are nothing but cues, nothing but actions, and those that can be an idiom.
        self._cues = {
            key: cues
            for key, found in self._entries.items()
            if len(cues := [entry for _, entry in found if isinstance(entry, Cue)]) == len(found)
        }
        self._actions = {key for key, found in self._entries.items() if all(table == "action" for table, _ in found)}
        self._idioms = {
            key
            for key, found in self._entries.items()
            if any(table == "phrase" and getattr(entry, "name", "") == "idiom" for table, entry in found)
        }

    def find(self, tokens: Sequence[Token], spans: Sequence[tuple[int, int]] = ()) -> list[Term]:
        """Tokens -> terms in order, none overlapping: idioms first, save inside a longer term; then the earliest and
        longest.

        ``spans`` are the token ranges of sentences, in order: no term reaches over the end of one.
        """
        if not tokens:
            return []
        ends = [last for first, last in spans for _ in range(first, last)] or [len(tokens)] * len(tokens)
        matches = self._matcher(self._doc(self._vocab, words=[token.text for token in tokens]))
        matches = [
            match
            for match in matches
            if match[2] <= ends[match[1]] and not (match[0] in self._cues and self._mute(match, tokens, ends))
        ]
        matches.sort(key=lambda match: (match[1], -match[2]))
        matches = [m for at, m in enumerate(matches) if not (m[0] in self._actions and _cuts(tokens, matches, at))]
        idioms = _apart([match for match in _widest(matches) if match[0] in self._idioms])
        held = {index for _, first, last in idioms for index in range(first, last)}
        others = [match for match in matches if held.isdisjoint(range(match[1], match[2]))]
        chosen = sorted([*idioms, *_apart(others)], key=lambda match: match[1])
        return [Term(first, last, self._entries[key], self._tables[key]) for key, first, last in chosen]

    def _mute(self, match: tuple[int, int, int], tokens: Sequence[Token], ends: Sequence[int]) -> bool:
        """Whether these are cues that say nothing here: they stand in nobody's way ("I do not see" before any)."""
        key, first, last = match
        before = tokens[first - 1].text if first and ends[first - 1] == ends[first] else ""
        after = next((token.text for token in tokens[last : ends[first]] if token.text not in FILLERS), "")
        return all(after in cue.not_before or before in cue.not_after for cue in self._cues[key])


def _cuts(tokens: Sequence[Token], matches: Sequence[tuple[int, int, int]], at: int) -> bool:
    """Whether a form that begins with "and" ends inside one that begins after that: "and run" in "and run-off"."""
    _, first, last = matches[at]
    if tokens[first].text != "and":
        return False
    later = takewhile(lambda match: match[1] < last, matches[at + 1 :])
    return any(match[1] > first and match[2] > last for match in later)


def _apart(matches: Sequence[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """Matches sorted by start and length -> those that do not overlap, the first of each clash."""
    kept: list[tuple[int, int, int]] = []
    for match in matches:
        if not kept or match[1] >= kept[-1][2]:
            kept.append(match)
    return kept


def _widest(matches: Sequence[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """Matches sorted by start and length -> those that lie in no longer one."""
    kept: list[tuple[int, int, int]] = []
    for match in matches:
        if not kept or match[2] > kept[-1][2]:
            kept.append(match)
    return kept


def _forms(form: str, plural: bool) -> list[tuple[str, ...]]:
    tokens = form_tokens(form)
    if not plural:
        return [tokens]
    ends = [tokens[-1], *_CLIPPED.get(tokens[-1], [])]
    return [(*tokens[:-1], end + s) for end in ends for s in (("",) if end.endswith("s") else ("", "s"))]
