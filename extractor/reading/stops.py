"""Full stops that end no thought: a recogniser writes one, or a comma, or nothing, wherever the speaker paused.

"Thirteen. Sorry. Eleven." was said as "thirteen... sorry, eleven": what puts a figure right at once is read together
with it, as if it stood in one sentence.
"""

from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import replace

from extractor.model import Word
from extractor.reading.quantities import Figure, corrected
from extractor.reading.tokens import PUNCTUATION, Token, is_number

Span = tuple[int, int, int]  # first token, end, number of its breath
Steering = Mapping[int, tuple[str, int]]  # token -> name of a steering phrase, its end

#: Who puts a slip right does it at once, no longer a silence between, ms; what comes later is an amendment. Set by
#: hand, no source.
_AT_ONCE_MS = 650
#: No sentence is longer that only says that something was wrong ("Sorry, my eyes."), in tokens.
_LONGEST_EXCUSE = 8
#: What is read on each side of a stop, in tokens.
_READ = 20
_STOPS = {".", "!", "?"}
_LARGE = {"hundred", "thousand"}
_SUBJECTS = {"i", "you", "we", "they", "he", "she"}


def without_stops_in_figures(tokens: Sequence[Token], numbers: Container[str]) -> list[Token]:
    """Tokens -> the same without the marks that stand in the midst of one figure: "five, by forty", "one hundred, and
    sixty-eight." ``numbers`` are the words of numbers. Linear.
    """

    def goes_on(index: int) -> bool:
        """Whether the figure before a mark goes on behind it."""
        if not all(is_number(tokens, each, numbers) for each in (index - 1, index + 2)):
            return False
        after = tokens[index + 1].text
        if after == "by":
            return True
        past = index + 3
        while is_number(tokens, past, numbers):
            past += 1
        ends = past == len(tokens) or tokens[past].text in PUNCTUATION  # "… one hundred, and fifty of fentanyl"
        return after == "and" and tokens[index - 1].text in _LARGE and tokens[index].text == "," and ends

    return [token for index, token in enumerate(tokens) if token.text not in {",", "."} or not goes_on(index)]


def joined(
    tokens: Sequence[Token],
    spans: Sequence[Span],
    words: Sequence[Word],
    steering: Steering,
    read: Callable[[Sequence[Token]], list[Figure]],
) -> tuple[list[Token], list[Span]]:
    """Sentences -> the same, those made one of which the later puts a figure of the earlier right. Linear."""
    out, kept, at = list(tokens), list(spans[:1]), 1
    while at < len(spans):
        first, _, breath = kept[-1]
        many = _putting_right(out, spans, at, first, words, steering, read)
        if many:
            for _, end, _ in (kept[-1], *spans[at : at + many - 1]):
                out[end - 1] = _softened(out[end - 1])
            kept[-1] = (first, spans[at + many - 1][1], breath)
        else:
            kept.append(spans[at])
        at += many or 1
    return out, kept


def _softened(token: Token) -> Token:
    return replace(token, text="...") if token.text in _STOPS else token


def _putting_right(
    tokens: Sequence[Token],
    spans: Sequence[Span],
    at: int,
    first: int,
    words: Sequence[Word],
    steering: Steering,
    read: Callable[[Sequence[Token]], list[Figure]],
) -> int:
    """How many sentences from one on put right a figure that stands right before them: none, it, or it and the next
    where it only says that something was wrong.
    """
    begin, end, _ = spans[at]
    if tokens[begin - 1].text == "?" or not _at_once(tokens, words, begin):
        return 0  # "Ten? No.": an answer
    near = range(max(first, begin - _LONGEST_EXCUSE), min(end, begin + _LONGEST_EXCUSE))
    if not any(steering.get(index, ("", 0))[0] == "correction" for index in near):
        return 0
    many = 1
    if end - begin <= _LONGEST_EXCUSE and at + 1 < len(spans) and _at_once(tokens, words, end):
        many = 1 if read(tokens[begin:end]) else 2
    start, past = max(first, begin - _READ), min(spans[at + many - 1][1], begin + _READ)
    window = [_softened(token) for token in tokens[start:past]]
    figures = read(window)
    steered = ((index, steering[index]) for index in range(start, past) if index in steering)
    spoken = {index - start: (name, last - start) for index, (name, last) in steered}
    fixed = any(
        part.words[0] < tokens[begin].word < part.words[1] and not _told_on(window, figure.last)
        for figure in corrected(window, figures, spoken)
        for part in figure.parts
    )
    return many if fixed else 0


def _told_on(tokens: Sequence[Token], index: int) -> bool:
    """ "hang on, this is a ten French you've given me": somebody is told something, nothing is put right."""
    for token in tokens[index:]:
        if token.text in PUNCTUATION:
            return False
        if token.text in _SUBJECTS:
            return True
    return False


def _at_once(tokens: Sequence[Token], words: Sequence[Word], begin: int) -> bool:
    """Whether what begins at a token follows at once on what was said before it."""
    return words[tokens[begin].word].start_ms - words[tokens[begin - 1].past - 1].end_ms <= _AT_ONCE_MS
