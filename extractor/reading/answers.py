"""A figure that answers a question, read as if it had been said beside what the question names.

"How much glue? Half a mil." says what "glue, half a mil" says, whoever asks and whoever answers. What a question
without a name asks ("How long? Three centimetres.") is of what was named right before it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from extractor.lexicon import Device, Entry
from extractor.reading.quantities import FILLERS, Figure
from extractor.reading.stops import Span
from extractor.reading.terms import Term
from extractor.reading.tokens import PUNCTUATION, Token
from extractor.units import VALUE_UNITS

#: A question that asks for one figure, and what is named before it, are no longer, in tokens. Set by hand, no source.
_LONGEST = 12
#: A question of no more tokens asks for a figure with no word that says so: "Residual stenosis?"
_SHORT = 5
_ASKS = {"how", "what", "what's", "which", "percent", "size", "dose", "volume", "length", "any"}
#: What names nothing in a question: it is of what was named before it.
_HOW = {"much", "long", "big", "large", "wide", "tight", "size", "dose", "volume", "length", "percent", "many", "bad"}
#: What may stand before the figure of an answer.
_LEAD = (
    FILLERS
    | PUNCTUATION
    | set(
        """
    it 's is was i we get got make say call put that that's about some roughly yes down to now at a of with only
    """.split()
    )
)
_DOSES = {None, *VALUE_UNITS["dose"]}
#: A question with one of these asks for a share in percent.
_SHARE = {"tight", "narrow", "bad", "severe", "percent"}
#: An answer with one of these only thinks of it: "Glue? Half a mil would do.", "Five thousand was the plan."
_THOUGHT = {"would", "could", "might", "maybe", "perhaps", "plan", "planned", "meant", "supposed", "ordered"}
#: Said of contrast, where a question asks how much.
_INJECTED = {"inject", "injected", "injecting"}


@dataclass(slots=True)
class _Named:
    """What a sentence names: the units in which a figure can be of it, None among them where none need be said; whether
    that is all, and whether a size or a pair ("eight at four") can be of it.
    """

    units: frozenset[str | None] = frozenset()
    shapes: frozenset[str] = frozenset()
    other: bool = False


def answered(
    tokens: Sequence[Token],
    spans: Sequence[Span],
    terms: Sequence[Term],
    read: Callable[[Sequence[Token]], list[Figure]],
) -> tuple[list[Token], list[Span], dict[int, tuple[int, int]]]:
    """Sentences -> the same, a question for a figure made one with its answer; for the first token of each of these,
    the tokens of its question. Linear.
    """
    out: list[Token] = list(tokens)
    kept: list[Span] = []
    asked: dict[int, tuple[int, int]] = {}
    by_first = {term.first: term for term in terms}
    for span in spans:
        many = _asked_before(out, kept, span, by_first, read) if kept else 0
        if many:
            first = kept[-many][0]
            asked[first] = kept[-1][:2]
            for _, end, _ in kept[-many:]:
                out[end - 1] = replace(out[end - 1], text=",")
            del kept[-many:]
            kept.append((first, *span[1:]))
        else:
            kept.append(span)
    return out, kept, asked


def _asked_before(
    tokens: Sequence[Token],
    kept: Sequence[Span],
    span: Span,
    terms: dict[int, Term],
    read: Callable[[Sequence[Token]], list[Figure]],
) -> int:
    """How many sentences before this one ask for its first figure: none, a question, or with what it is of two."""
    _, last, breath = span
    begin, end, asked_in = kept[-1]
    question = [token.text for token in tokens[begin : end - 1]]
    if tokens[end - 1].text != "?" or len(question) > _LONGEST or breath - asked_in > 1 or tokens[last - 1].text == "?":
        return 0
    if not (_ASKS & {*question} or len(question) <= _SHORT):
        return 0
    if (figure := _first_figure(tokens, span, terms, read)) is None or read(tokens[begin:end]):
        return 0
    named = _named(tokens, terms, begin, end)
    if _SHARE & {*question} and "%" in named.units:
        named.units |= {None}  # "how tight is that stenosis? Eighty."
    if named.units or named.shapes or named.other:
        return int(_fits(named, figure))
    if not _HOW & {*question} or len(kept) < 2:
        return 0
    start, past, told_in = kept[-2]
    if past - start > _LONGEST or breath - told_in > 2 or read(tokens[start:past]):
        return 0
    return 2 * _fits(_named(tokens, terms, start, past), figure)


def _first_figure(
    tokens: Sequence[Token], span: Span, terms: dict[int, Term], read: Callable[[Sequence[Token]], list[Figure]]
) -> Figure | None:
    """The figure an answer begins with; None where it begins otherwise, or tells of a thing of its own."""
    first, last, _ = span
    past = min(last, first + _LONGEST)
    if _THOUGHT & {token.text for token in tokens[first:past]}:
        return None
    figure = next(iter(read(tokens[first:past])), None)
    if figure is None or any(token.text not in _LEAD for token in tokens[first : first + figure.first]):
        return None
    own = (table for at in range(first, past) if at in terms for table in terms[at].tables)
    return None if {"device", "drug", "finding"} & {*own} else figure


def _fits(named: _Named, figure: Figure) -> bool:
    if named.other:
        return False
    return figure.shape in named.shapes or (figure.shape == "one" and figure.parts[0].unit in named.units)


def _named(tokens: Sequence[Token], terms: dict[int, Term], first: int, last: int) -> _Named:
    units: set[str | None] = set()
    shapes: set[str] = set()
    other = False
    for at in range(first, last):
        for table, entry in terms[at].found if at in terms else ():
            of, shape = _figures_of(table, entry, tokens[at].text)
            units |= of
            shapes |= shape
            other = other or (table == "device" and not of)
    return _Named(frozenset(units), frozenset(shapes), other)


def _figures_of(table: str, entry: Entry, said: str) -> tuple[set[str | None], set[str]]:
    """The units, and the shapes, of the figures that can be said of what is named."""
    if isinstance(entry, Device):
        return ({None, "mL", "mm", "cm"}, {"size"}) if entry.kind == "embolise" else (set(), set())
    match table, getattr(entry, "name", ""):
        case "drug", _:
            return _DOSES, set()
        case "finding", _:
            return {"%", "mm", "cm"}, set()
        case "vessel", _:
            return set(), {"pair"}
        case "action", "gradient":
            return {None, "mm[Hg]"}, set()
        case "action", "press" | "close" | "haemostasis":
            return {"min", "s"}, set()
        case "action", "run" | "by hand":
            return {None, "mL"}, {"pair"}
        case "action", "go" if said in _INJECTED:
            return {None, "mL"}, {"pair"}
    return set(), set()
