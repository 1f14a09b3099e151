"""Tokens -> the lexicon's terms in them, longest first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import takewhile

from extractor.lexicon import TABLES, Cue, Device, Entry, Lexicon, each_form
from extractor.reading.paths import Line, paths
from extractor.reading.quantities import FILLERS
from extractor.reading.tokens import Token, form_tokens, line_tokens

#: Last words of devices that are said short in every name.
_CLIPPED = {"catheter": ["cath"]}
_READ_ELSEWHERE = {"clue", "limit", "misheard", "sign", "size_clue", "pronunciation", "refusal", "unit"}
_LOOKED_UP = [table for table in TABLES if table not in _READ_ELSEWHERE]

#: Whose whole form stands where: numbers of entries, first token, past the last.
_Match = tuple[tuple[int, ...], int, int]


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
        owners = [(table, entry) for table in _LOOKED_UP for entry in getattr(lexicon, table)]
        places = paths((line, number) for number, owner in enumerate(owners) for line in _lines(owner[1]))
        self._begin = places[-1]
        self._entries = {place.owners: [owners[number] for number in place.owners] for place in places if place.owners}
        self._tables = {key: frozenset(table for table, _ in found) for key, found in self._entries.items()}
        devices = {tokens[-1] for entry in lexicon.device for tokens in _names(entry)}
        drugs = {form_tokens(form)[-1] for entry in lexicon.drug for form in each_form(entry.spoken)}
        #: Every word that is a form by itself, or ends the name of a device.
        self.words = frozenset(devices | {token for token, place in self._begin.onward.items() if place.owners})
        #: The words that names of devices and drugs end in.
        self.nouns = frozenset(token for token in devices | drugs if token.isalpha())
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
        matches = [
            match
            for match in self._matches(tokens, ends)
            if not (match[0] in self._cues and self._mute(match, tokens, ends))
        ]
        matches = [m for at, m in enumerate(matches) if not (m[0] in self._actions and _cuts(tokens, matches, at))]
        idioms = _apart([match for match in _widest(matches) if match[0] in self._idioms])
        held = {index for _, first, last in idioms for index in range(first, last)}
        others = [match for match in matches if held.isdisjoint(range(match[1], match[2]))]
        chosen = sorted([*idioms, *_apart(others)], key=lambda match: match[1])
        return [Term(first, last, self._entries[key], self._tables[key]) for key, first, last in chosen]

    def _matches(self, tokens: Sequence[Token], ends: Sequence[int]) -> Iterator[_Match]:
        """Every form there is, by start, the longest first; none reaches over the end of its sentence."""
        texts = [token.text for token in tokens]
        for first, text in enumerate(texts):
            found: list[_Match] = []
            place, last = self._begin.onward.get(text), first + 1
            while place is not None:
                if place.owners:
                    found.append((place.owners, first, last))
                place = place.onward.get(texts[last]) if last < ends[first] else None
                last += 1
            yield from reversed(found)

    def _mute(self, match: _Match, tokens: Sequence[Token], ends: Sequence[int]) -> bool:
        """Whether these are cues that say nothing here: they stand in nobody's way ("I do not see" before any)."""
        key, first, last = match
        before = tokens[first - 1].text if first and ends[first - 1] == ends[first] else ""
        after = next((token.text for token in tokens[last : ends[first]] if token.text not in FILLERS), "")
        return all(after in cue.not_before or before in cue.not_after for cue in self._cues[key])


def _cuts(tokens: Sequence[Token], matches: Sequence[_Match], at: int) -> bool:
    """Whether a form that begins with "and" ends inside one that begins after that: "and run" in "and run-off"."""
    _, first, last = matches[at]
    if tokens[first].text != "and":
        return False
    later = takewhile(lambda match: match[1] < last, matches[at + 1 :])
    return any(match[1] > first and match[2] > last for match in later)


def _apart(matches: Sequence[_Match]) -> list[_Match]:
    """Matches sorted by start and length -> those that do not overlap, the first of each clash."""
    kept: list[_Match] = []
    for match in matches:
        if not kept or match[1] >= kept[-1][2]:
            kept.append(match)
    return kept


def _widest(matches: Sequence[_Match]) -> list[_Match]:
    """Matches sorted by start and length -> those that lie in no longer one."""
    kept: list[_Match] = []
    for match in matches:
        if not kept or match[2] > kept[-1][2]:
            kept.append(match)
    return kept


def _lines(entry: Entry) -> Iterator[Line]:
    """The forms of an entry as their pieces; those of a device as they are, each with its plural."""
    if isinstance(entry, Device):
        yield from ([[tokens]] for tokens in _names(entry))
    else:
        yield from map(line_tokens, entry.spoken)  # type: ignore[attr-defined]


def _names(device: Device) -> Iterator[tuple[str, ...]]:
    """Every name of a device as tokens, in the plural too, and with its last word said short."""
    for tokens in map(form_tokens, each_form(device.spoken)):
        for end in (tokens[-1], *_CLIPPED.get(tokens[-1], ())):
            yield from ((*tokens[:-1], end + s) for s in (("",) if end.endswith("s") else ("", "s")))
