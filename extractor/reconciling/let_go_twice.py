"""A stent let go and then called by its sizes: "And unsheathing. Slow. It's out, sixteen by ninety." is one stent.

What lets it go is told without a size, which is carried from where it was asked for; what names it right after that
tells no second one, unless words say that it is another.
"""

from collections.abc import Sequence

from extractor.model import Kind, Sentence, Status
from extractor.reconciling.story import Draft

#: Sizes that say which one it is.
_SIZES = ("diameter", "length", "gauge")
#: So many sentences on it is still called so. Set by hand, no source.
_STILL = 2
#: One more, or one of several, …
_ANOTHER = frozenset(
    "another second third fourth other also too again likewise both two three more next same as last first".split()
)
#: … and behind what let it go, one that lies elsewhere.
_ELSEWHERE = frozenset(
    """
    then below above beneath beyond onto overlap overlaps overlapping overlapped distally proximally extend extends
    extending extended left right side contralateral opposite
    """.split()
)


def tell_once(drafts: Sequence[Draft], sentences: Sequence[Sentence]) -> list[Draft]:
    """Events in order -> the same, a stent let go made one with what names it by its sizes right after that."""
    kept: list[Draft] = []
    for draft in drafts:
        let_go = next((other for other in reversed(kept) if other.kind is Kind.STENT), None)
        if let_go is not None and _named_again(let_go, draft) and not _another(let_go, draft, sentences):
            let_go.values = {**draft.values, **{k: v for k, v in let_go.values.items() if k not in _own(draft)}}
            let_go.reach(draft.words)
            continue
        kept.append(draft)
    return kept


def _own(draft: Draft) -> set[str]:
    """The sizes that were said where it is told."""
    return {key for key in _SIZES if key in draft.values and "carried-over" not in draft.values[key].flags}


def _named_again(let_go: Draft, draft: Draft) -> bool:
    """Whether both are done, the first with no size of its own, the second with the very same sizes."""
    if draft.kind is not Kind.STENT or {let_go.status, draft.status} != {Status.DONE}:
        return False
    own = _own(draft)
    known = {key for key in _SIZES if key in let_go.values}
    near = 0 <= draft.number - let_go.number <= _STILL and draft.words[1] > let_go.words[0]
    if not near or not known or _own(let_go) or not own or "count" in draft.values:
        return False
    return all(let_go.values[key].value == draft.values[key].value for key in own & known) and bool(own & known)


def _another(let_go: Draft, draft: Draft, sentences: Sequence[Sentence]) -> bool:
    """Whether words from one to the other say that it is one more."""
    told = sentences[let_go.number - 1 : draft.number]
    more = any(sentence.texts & _ELSEWHERE for sentence in told[1:])
    return more or any(sentence.texts & _ANOTHER or sentence.question for sentence in told)
