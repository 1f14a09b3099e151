"""The reading room's face: words -> repaired words and sentences of items. Pure, linear, no clock, no disk."""

from collections import deque
from collections.abc import Callable, Mapping, Sequence
from functools import partial

from extractor.lexicon import Cue, Drug, Entry, Lexicon, Unit, each_form
from extractor.model import Correction, Item, Sentence, Status, Word
from extractor.reading.answers import answered
from extractor.reading.apart import lies_apart
from extractor.reading.beside import give_sizes
from extractor.reading.clauses import CueAt, reported, set_status
from extractor.reading.doses import drug_dose
from extractor.reading.in_turn import row_of_gauges, share_doses, share_gauges, share_sizes
from extractor.reading.mentions import device_items
from extractor.reading.numbers import NUMBER_WORDS
from extractor.reading.parted import part_sizes
from extractor.reading.parts import WHERE, before_words
from extractor.reading.quantities import (
    FILLERS,
    Figure,
    asked_unit,
    corrected,
    read_figures,
    says_long_first,
    unit_forms,
    without_paces,
)
from extractor.reading.refusals import Refusals
from extractor.reading.repair import Repairer
from extractor.reading.singly import says_singly
from extractor.reading.stops import joined, without_stops_in_figures
from extractor.reading.terms import Term, TermFinder
from extractor.reading.tokens import (
    PUNCTUATION,
    Token,
    decimal_commas,
    micrograms,
    tokenise,
    without_addresses,
    without_speakers,
)
from extractor.reading.told_sizes import join_sizes
from extractor.reading.ways_in import ways_in
from extractor.reading.wire_rows import give_wire_sizes, is_given, wire_rows, without

#: A silence this long ends a sentence and a breath: common practice in dialogue transcription is 0.3 to 0.7 s; no
#: source.
PAUSE_MS = 500
#: Nobody says so many sentences in one breath: a transcript that shows no pauses has lost them. Without an end, what is
#: kept of a breath would grow with the case. Set by hand, no source.
_LONGEST_BREATH = 100

#: Nor so many words in one sentence: words without any mark or pause are parted here, or what is kept of a sentence
#: would grow with the case too. Set by hand, no source.
_LONGEST_SENTENCE = 300

#: A year speaks of what was before, as far as the sentence goes.
_YEAR = Cue(status=Status.PAST, spoken=("year",), look="both", reach="sentence")
_FIRST_YEAR, _LAST_YEAR = 1990, 2035
_ENDS = {".", "?", "!"}
#: "seventy units a kilo", "four hundred an hour": what a rate is for, and how it is told further on.
_RATES = {
    "kilo": "a kilo", "kilogram": "a kilo", "kilos": "a kilo", "kg": "a kilo", "hour": "an hour", "h": "an hour",
    "minute": "an hour", "mil": "a mil", "ml": "a mil", "millilitre": "a mil", "milliliter": "a mil", "cc": "a mil",
}  # fmt: skip
#: What is told so is the dose: "a hundred and fifty milligrams per session".
_WHOLE = frozenset({"session", "sitting", "procedure", "treatment", "patient", "dose"})
_PER = {"a", "an", "per", "each", "every", "the", "by"}
_OF = {"of", "units", "more", "the", "buffered", "plain", "iv", "intravenous", "a"}
#: A syringe holds no more, mL: common practice, no source.
_MOST_BY_HAND = 60
#: Shares in percent that answer how tight a vessel is: common practice, no source.
_SHARES = (10, 100)
#: Beside a figure they tell which way it measures; between them and the figure may stand what changes nothing.
_LONG = {"length", "long", "longer", "distance", "lesion", "room", "gap"}
#: Before "across": something lies there, and nothing is so wide.
_LIES_BEFORE = frozenset(", . ... is 's it that he she goes went comes came straight right now nicely".split())
_WIDE = {"diameter", "diameters", "reference", "width", "wide", "across", "calibre", "caliber", "lumen"}
_LIGHT = FILLERS | set(
    """
    is was are were be came of at about 's the a , ... i we measure measured measures measuring make comes to out it
    vessel above below proximally distally on centerline centreline ruler with by only just
    """.split()
)
#: No lesion is told to be shorter, mm: common practice, no source.
_SHORTEST_LESION_MM = 8
#: A figure's dimension stands no farther before it, in tokens. Set by hand, no source.
_FAR_NAME = 9
_MARK_WORDS = frozenset(
    """
    and but so then or nor because while which although though however plus
    """.split()
)
_PRONOUNS = frozenset(
    """
    it that they she he both these those them this one ones i we you lot
    """.split()
)
#: What may follow a refusal of something told before.
_AFTER_REFUSAL = (
    PUNCTUATION
    | _PRONOUNS
    | set(
        """
    any anymore now today then here there after though at for in on yet again either please and but because so sir
    doctor one him her us to another more dose
    """.split()
    )
)


#: Written with a capital behind "in" as well.
_NO_TOWNS = {"i", "trendelenburg", "seldinger", "doppler", "english", "german", "french"}
#: The reader made last, and its lexicon.
_kept: deque[tuple[Lexicon, "Reader"]] = deque(maxlen=1)


def reader_of(lexicon: Lexicon) -> "Reader":
    """The reader of a lexicon. The one made last is kept: making one takes as long as reading a case, and a batch or
    the desk reads case after case with lexicons of the same content.
    """
    for known, reader in tuple(_kept):  # a copy: others may be reading beside this
        if known == lexicon:
            return reader
    reader = Reader(lexicon)
    _kept.append((lexicon, reader))
    return reader


class Reader:
    """Words -> sentences, with one lexicon. Made once; pure afterwards."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._repairer = Repairer(lexicon)
        self._terms = TermFinder(lexicon)
        self._refusals = Refusals(lexicon)
        self._units = unit_forms(lexicon)
        self._in_micrograms = {form for drug in lexicon.drug if drug.unit == "ug" for form in each_form(drug.spoken)}

    def read(self, words: Sequence[Word]) -> tuple[list[Sentence], list[Correction]]:
        """Words of a case -> its sentences in order, and the repairs made on the way."""
        texts, corrections = self._repairer.repair(words)
        tokens = without_speakers(tokenise(texts), words, self._terms.words)
        tokens = without_addresses(tokens, words, self._terms.nouns, NUMBER_WORDS)
        tokens = without_stops_in_figures(decimal_commas(tokens, NUMBER_WORDS), NUMBER_WORDS)
        tokens = micrograms(tokens, self._in_micrograms, NUMBER_WORDS)
        spans = _spans(tokens, words)
        terms = self._terms.find(tokens, [(first, last) for first, last, _ in spans])
        sentences: list[Sentence] = []
        singly = says_singly(tokens, self._units)
        slips = _steering([term for term in terms if not _retracts(term)])
        read = partial(read_figures, units=self._units, singly=singly, long_first=says_long_first(tokens))
        tokens, spans = joined(tokens, spans, words, slips, read)
        tokens, spans, answers = answered(tokens, spans, terms, read)
        at, asked = 0, None
        for first, last, breath in spans:
            begin = at
            while at < len(terms) and terms[at].first < last:
                at += 1
            begin_asked, end_asked = answers.get(first, (first, first))
            asks = end_asked - first
            sentence = self._sentence(tokens[first:last], _shifted(terms[begin:at], first), breath, read, asks)
            if sentence:  # a form of two words, repaired, leaves the second empty: it is the sentence's all the same
                past = tokens[last].word if last < len(tokens) else len(words)
                sentence.refusal = self._refusals.opening(sentence.tokens)
                sentence.towns = _towns(tokens[first:last], words, sentence.items)
                sentence.words = (sentence.words[0], max(sentence.words[1], past))
                sentences.append(sentence)
                asked = asked or asked_unit(tokens[begin_asked:end_asked], self._units)
                if asked is not None:
                    _answer_in(sentence, asked, asks)
                asked = asked_unit(tokens[first:last], self._units) if sentence.question else None
        return sentences, corrections

    def _sentence(
        self,
        tokens: Sequence[Token],
        terms: list[Term],
        breath: int,
        read: Callable[[Sequence[Token]], list[Figure]],
        asks: int,
    ) -> Sentence | None:
        """Tokens of a sentence, so many of them a question that the others answer -> what it says."""
        if not any(token.text not in PUNCTUATION for token in tokens):
            return None
        terms = _without_measured_zero(tokens, terms)
        figures = corrected(tokens, read(tokens), _steering(terms))
        held = {index for term in terms if term.last - term.first > 1 for index in range(term.first, term.last)}
        figures = [figure for figure in figures if not held.issuperset(range(figure.first, figure.last))]
        figures = part_sizes(tokens, join_sizes(tokens, figures, terms), terms)
        covered = {index for figure in figures for index in range(figure.first, figure.last)}
        sizes = {figure.first for figure in figures if figure.shape == "size"}  # "maybe six by forty": is it used?
        terms = [
            term
            for term in terms
            if covered.isdisjoint(range(term.first, term.last)) or _outranks(term) or term.first in sizes
        ]
        years = [figure for figure in figures if _is_year(tokens, figure)]
        figures = [figure for figure in figures if figure not in years and not lies_apart(tokens, figure)]
        figures = without_paces(tokens, figures)
        devices, taken = _devices(tokens, terms, figures)
        taken |= give_sizes(tokens, terms, figures, devices, taken)
        items, cues = _ordered(tokens, terms, [figure for figure in figures if figure.first not in taken], devices)
        share_gauges(items)
        row_of_gauges(items)
        share_sizes(items)
        share_doses(tokens, items)
        _dose(tokens, items)
        _by_hand([item for _, item in items])
        cues += [(figure.first, _YEAR, figure.parts[0].heard) for figure in years]
        if asks and reported([token.text for token in tokens[asks:]]):  # "What about heparin? Five thousand given."
            cues = [(at, cue, text) for at, cue, text in cues if at >= asks or cue.status is not Status.CONSIDERED]
        plain = [item for _, item in items]
        for refusal in reversed(set_status(plain, _cue_places(items, cues))):
            if refusal.cue.look == "both" and not _refers_back(tokens, refusal):
                continue
            word = tokens[min(refusal.token, len(tokens) - 1)]
            plain.insert(refusal.index, Item("phrase", (word.word, word.past), refusal.text, name="refused"))
        plain += [
            Item("denied", quantity.words, quantity.heard, figures={"value": quantity})
            for figure in figures
            for quantity in figure.denied
        ]
        return Sentence(
            plain,
            (tokens[0].word, tokens[-1].past),
            breath,
            tokens[-1].text == "?",
            frozenset(cue.status for _, cue, _ in cues if _is_said(cue, plain)),
            frozenset(token.text for token in tokens),
            next(token.text for token in tokens if token.text not in PUNCTUATION),
            tuple(token.text for token in tokens),
        )


def _without_measured_zero(tokens: Sequence[Token], terms: list[Term]) -> list[Term]:
    """The terms without a "zero." that ends a sentence of a gradient, a pressure, a side or a residue, and of nothing
    that could be absent: "gradients, right three, left zero".
    """
    if not terms or terms[-1].last - terms[-1].first != 2 or tokens[terms[-1].first].text != "zero":
        return terms
    said = [(table, getattr(entry, "name", "")) for term in terms[:-1] for table, entry in term.found]
    absent = any(table in {"device", "drug", "finding"} for table, _ in said)
    measured = any(table == "side" or name in {"gradient", "pressure"} for table, name in said)
    measured = measured or tokens[terms[-1].first - 1].text in {"residual", "remaining"}
    return terms[:-1] if measured and not absent else terms


def _devices(tokens: Sequence[Token], terms: Sequence[Term], figures: Sequence[Figure]) -> tuple[list[Item], set[int]]:
    """The devices of a sentence with their sizes, and the first tokens of the figures they took. What can be only the
    sizes of a wire is its own and no other's, however far from it.
    """
    devices, taken = device_items(tokens, terms, figures)
    rows = [row for row in wire_rows(tokens, figures) if not is_given(row, devices)]
    while rows:
        apart, others = device_items(tokens, terms, without(figures, rows))
        given = give_wire_sizes(tokens, terms, rows, apart)
        if all(row.first in given for row in rows):
            return apart, others | given
        rows = [row for row in rows if row.first in given]
    return devices, taken


def _towns(tokens: Sequence[Token], words: Sequence[Word], items: Sequence[Item]) -> tuple[int, ...]:
    """Tokens written with a capital behind "in", at the end of a clause, that no lexicon knows: mostly the name of a
    town. "In Zone two" is none.
    """
    if not any(token.text == "in" for token in tokens):
        return ()
    known = {at for item in items for at in range(*item.span)}
    return tuple(
        at
        for at, token in enumerate(tokens)
        if at and tokens[at - 1].text == "in" and at not in known and _ends_clause(tokens, at + 1)
        and words[token.word].text[:1].isupper() and token.text.isalpha() and token.text not in _NO_TOWNS
    )  # fmt: skip


def _ends_clause(tokens: Sequence[Token], at: int) -> bool:
    return at == len(tokens) or tokens[at].text in PUNCTUATION or tokens[at].text in _MARK_WORDS


def _answer_in(sentence: Sentence, unit: Unit, begin: int) -> None:
    """ "How many minutes? Eleven.": the first thing an answer names is a figure, in the unit that was asked for; the
    answer begins at this token of its sentence.
    """
    said = (item for item in sentence.items if item.span[0] >= begin)
    named = (item for item in said if item.kind not in {"mark", "pronoun", "phrase", "action"})
    answer = next(named, None)
    if answer is not None and answer.kind == "quantity" and answer.figures["value"].unit is None:
        figure = answer.figures["value"]
        if unit.code == "%" and not _SHARES[0] <= figure.value <= _SHARES[1]:
            return  # "how tight is the knot? Two."
        answer.figures["value"] = figure.flagged("unit-assumed", unit=unit.code, value=figure.value * unit.times)


def _refers_back(tokens: Sequence[Token], refusal: CueAt) -> bool:
    """Whether a refusal that names nothing is of a thing told before: "don't need that", but "not the hepatic vein"."""
    past = refusal.token + len(refusal.text.split())
    return past >= len(tokens) or tokens[past].text in _AFTER_REFUSAL


def _is_year(tokens: Sequence[Token], figure: Figure) -> bool:
    """ "twenty nineteen", "in two thousand and four"."""
    quantity = figure.parts[0]
    if figure.shape != "one" or quantity.unit is not None or not _FIRST_YEAR <= quantity.value <= _LAST_YEAR:
        return False
    dated = quantity.value > 2000 and _token_before(tokens, figure.first) in {"in", "from", "since"}
    dated = dated or (
        quantity.value > 2000 and bool(quantity.value % 5)
    )  # nobody gives two thousand and nineteen units
    return quantity.form == "year" or (dated and quantity.form == "cardinal" and not quantity.value % 1)


def _spans(tokens: Sequence[Token], words: Sequence[Word]) -> list[tuple[int, int, int]]:
    """Token ranges of sentences, each with the number of its breath."""
    spans: list[tuple[int, int, int]] = []
    first, breath = 0, 0
    begun = 0  # how many sentences there were when this breath began
    for index, token in enumerate(tokens):
        last = index + 1
        pause = last < len(tokens) and words[tokens[last].word].start_ms - words[token.past - 1].end_ms >= PAUSE_MS
        if (
            token.text in _ENDS
            or pause
            or last == len(tokens)
            or (last - first >= _LONGEST_SENTENCE and _may_part(tokens, last))
        ):
            spans.append((first, last, breath))
            first = last
            pause = pause or len(spans) - begun >= _LONGEST_BREATH
        if pause:
            breath, begun = breath + 1, len(spans)
    return spans


def _may_part(tokens: Sequence[Token], last: int) -> bool:
    """Whether a sentence longer than any is to be parted here: no figure goes on."""
    return NUMBER_WORDS.isdisjoint((tokens[last - 1].text, tokens[last].text))


def _shifted(terms: Sequence[Term], by: int) -> list[Term]:
    return [Term(term.first - by, term.last - by, term.found, term.tables) for term in terms]


def _steering(terms: Sequence[Term]) -> dict[int, tuple[str, int]]:
    return {
        term.first: ("correction" if _name(entry) == "retraction" else _name(entry), term.last)
        for term in terms
        for table, entry in term.found
        if table == "phrase"
    }


def _retracts(term: Term) -> bool:
    return any(table == "phrase" and _name(entry) == "retraction" for table, entry in term.found)


def _outranks(term: Term) -> bool:
    return not term.tables.isdisjoint({"drug", "finding"})


def _ordered(
    tokens: Sequence[Token], terms: Sequence[Term], figures: Sequence[Figure], devices: Sequence[Item]
) -> tuple[list[tuple[int, Item]], list[tuple[int, Cue, str]]]:
    """Everything said, in order of its first token, and the cues with theirs."""
    placed: list[tuple[int, Item]] = []
    cues: list[tuple[int, Cue, str]] = []
    busy: set[int] = set()
    said: set[int] = set()  # tokens of the cues: "so no" ends no clause
    starts = {
        figure.first
        for figure in figures
        if figure.shape != "size" and not (figure.last < len(tokens) and tokens[figure.last].text == "of")
    }
    for device in devices:
        first, last = device.span
        placed.append((first, device))
        busy.update(range(first, last))
    for figure in figures:
        placed.append((figure.first, _figure_item(tokens, figure)))
        busy.update(range(figure.first, figure.last))
    for way in ways_in(tokens):
        if busy.isdisjoint(range(*way.span)):
            placed.append((way.span[0], way))
            busy.update(range(*way.span))
    places = {term.last: term.first for term in terms if not term.tables.isdisjoint({"vessel", "side", "part"})}
    for term in terms:
        items, term_cues = _term_items(tokens, term, places)
        speaking = [(cue, text) for cue, text in term_cues if _speaks(tokens, term, cue)]
        items = [item for item in items if not (speaking and item.corrects)]
        cues += [
            (term.first, cue, text)
            for cue, text in speaking
            if not (cue.status is Status.CONSIDERED and term.last in starts)
        ]
        span = range(term.first, term.last)
        said.update(span if speaking else ())
        if busy.isdisjoint(span) or all(item.kind == "side" for item in items):
            placed += [(term.first, item) for item in items]
        if items:
            busy.update(span)
    for index, token in enumerate(tokens):
        if index in busy or (index in said and token.text in _MARK_WORDS):
            continue
        if token.text in PUNCTUATION or token.text in _MARK_WORDS:
            placed.append((index, Item("mark", (token.word, token.past), token.text, span=(index, index + 1))))
        elif token.text in _PRONOUNS:
            placed.append(
                (index, Item("pronoun", (token.word, token.past), token.text, name=token.text, span=(index, index + 1)))
            )
    placed.sort(key=lambda pair: pair[0])
    return placed, cues


def _figure_item(tokens: Sequence[Token], figure: Figure) -> Item:
    words = (tokens[figure.first].word, tokens[figure.last - 1].past)
    text = " ".join(token.text for token in tokens[figure.first : figure.last])
    span = (figure.first, figure.last)
    before, after = _token_before(tokens, figure.first), _after_figure(tokens, figure.last)
    if figure.shape == "pair":
        return Item(
            "pair", words, text, name=figure.joint, figures={"a": figure.parts[0], "b": figure.parts[1]}, span=span
        )
    return Item(
        "quantity",
        words,
        text,
        figures={"value": figure.parts[0]},
        role=_dimension(tokens, figure),
        span=span,
        before=before,
        after=after,
    )


def _token_before(tokens: Sequence[Token], first: int) -> str:
    return tokens[first - 1].text if first else ""


def _after_figure(tokens: Sequence[Token], last: int) -> str:
    """The word after a figure; "a kilo" or "an hour" where it is the share of a rate."""
    after = tokens[last].text if last < len(tokens) else ""
    share = last + 1 + (after in {"to", "in"})  # "five hundred units to the mil"
    if share < len(tokens) and tokens[share - 1].text in _PER:
        return "" if tokens[share].text in _WHOLE else _RATES.get(tokens[share].text, after)
    return after


def _dimension(tokens: Sequence[Token], figure: Figure) -> str:
    """Whether a figure is said to be how "long" or how "wide" something is: "nine long", "diameter fifteen"."""
    after = [token.text for token in tokens[figure.last : figure.last + 2]]
    for words, dimension in ((_LONG, "long"), (_WIDE, "wide")):
        if after and (after[0] in words or (after[0] in {"in", "of"} and after[-1] in words)):
            return dimension
    for index in range(figure.first - 1, max(-1, figure.first - _FAR_NAME), -1):
        text = tokens[index].text
        if text in _LONG or text in _WIDE:
            beyond = before_words(tokens, index, WHERE)[1]  # "past the lesion at six"
            short = text == "lesion" and not _may_be_long(figure)
            lies = text == "across" and tokens[index + 1].text in {",", "..."}  # "across, fourteen, no waist"
            lies = lies and (index == 0 or tokens[index - 1].text in _LIES_BEFORE)
            return "" if beyond or short or lies else "long" if text in _LONG else "wide"
        if text not in _LIGHT:
            return ""
    return ""


def _may_be_long(figure: Figure) -> bool:
    """Whether a figure beside a lesion can be how long it is; "reference six, lesion two" is how wide."""
    quantity = figure.parts[0]
    return quantity.unit not in {None, "mm"} or quantity.value >= _SHORTEST_LESION_MM


def _begin(places: Mapping[int, int], first: int) -> int:
    """Where a finding's name begins: "the left common femoral clot" begins at "left"."""
    while first in places:
        first = places[first]
    return first


def _term_items(
    tokens: Sequence[Token], term: Term, places: Mapping[int, int]
) -> tuple[list[Item], list[tuple[Cue, str]]]:
    words = (tokens[term.first].word, tokens[term.last - 1].past)
    text = " ".join(token.text for token in tokens[term.first : term.last])
    span = (term.first, term.last)
    meanings: set[str] = set()
    items: list[Item] = []
    cues: list[tuple[Cue, str]] = []
    for table, entry in term.found:
        match table:
            case "cue":
                cues.append((entry, text))  # type: ignore[arg-type]
            case "action":
                meanings.add(_name(entry))
            case "drug" | "finding" | "side" | "part":
                unit, usual = (entry.unit, _usual(entry)) if isinstance(entry, Drug) else ("", None)
                start = _begin(places, term.first) if table == "finding" else term.first
                definite, where = before_words(tokens, start, None if table == "finding" else WHERE)
                items.append(
                    Item(
                        table,
                        words,
                        text,
                        name=_name(entry),
                        unit=unit,
                        usual=usual,
                        span=span,
                        definite=definite,
                        where=where,
                    )
                )
            case "vessel":
                items.append(Item("place", words, text, name=_name(entry), span=span))
            case "phrase" if _name(entry) not in {"denial", "idiom", "turn"}:
                items.append(Item("phrase", words, text, name=_name(entry), span=span))
            case "phrase" if _name(entry) == "turn":
                items.append(Item("mark", words, "but", span=span))
    if meanings:
        before, after = _token_before(tokens, term.first), tokens[term.last].text if term.last < len(tokens) else ""
        items.append(Item("action", words, text, meanings=frozenset(meanings), span=span, before=before, after=after))
    return items, cues


def _usual(drug: Drug) -> tuple[float, float] | None:
    return (drug.low, drug.high) if drug.low is not None and drug.high is not None else None


def _name(entry: Entry) -> str:
    return entry.name  # type: ignore[attr-defined,no-any-return]


def _speaks(tokens: Sequence[Token], term: Term, cue: Cue) -> bool:
    """Whether a cue means what it says here: not before or after the words its entry excludes; one that
    speaks for the next mention stands before no mark, one that speaks for the last stands before nothing else."""
    after = next((t.text for t in tokens[term.last :] if t.text not in FILLERS), "")
    before = tokens[term.first - 1].text if term.first else ""
    ends = after in PUNCTUATION or not after
    if cue.reach == "mention" and cue.look == "ahead" and ends:
        return False
    if (
        cue.reach == "mention"
        and cue.look == "back"
        and (not ends or not before or before in PUNCTUATION or before in _MARK_WORDS)
    ):
        return False
    if cue.only_before and after not in cue.only_before:
        return False
    return after not in cue.not_before and before not in cue.not_after


def _is_said(cue: Cue, items: Sequence[Item]) -> bool:
    """Whether a cue of another time speaks here: "contrast outside" names no drug that was given there."""
    return cue.status is not Status.PAST or not cue.only or any(item.kind in cue.only for item in items)


def _cue_places(items: Sequence[tuple[int, Item]], cues: Sequence[tuple[int, Cue, str]]) -> list[CueAt]:
    places: list[CueAt] = []
    for first, cue, text in cues:
        index = next((i for i, (start, _) in enumerate(items) if start >= first), len(items))
        places.append(CueAt(cue, index, text, first))
    return places


def _dose(tokens: Sequence[Token], items: list[tuple[int, Item]]) -> None:
    """Gives each drug the figure said beside it: "five thousand of heparin", "fentanyl, fifty", "ten mils of one
    percent lidocaine".
    """
    for position, (_, item) in enumerate(items):
        if item.kind != "drug" or "dose" in item.figures or _dosed(items, position):
            continue
        for index in (*_before(tokens, items, position), *_after(items, position), *_farther(items, position)):
            figure = items[index][1]
            if figure.no_dose or figure.after in {"per", "kilo"}:
                continue
            dose = drug_dose(item.unit, figure.figures["value"], item.usual)
            if dose:
                item.figures["dose"] = dose
                item.words = (min(item.words[0], figure.words[0]), max(item.words[1], figure.words[1]))
                figure.used = True
                break


def _dosed(items: Sequence[tuple[int, Item]], position: int) -> bool:
    """Whether the figure right before a drug is its dose already: "the local's in, five mils of lidocaine"."""
    before = items[position - 1][1] if position else None
    return before is not None and before.kind == "quantity" and before.used and before.after == "of"


def _by_hand(items: Sequence[Item]) -> None:
    """Gives a figure said right before "by hand" its unit: "ten by hand"; "ten millimetres by hand" was ten mils."""
    for position, item in enumerate(items):
        if item.kind != "quantity" or item.used:
            continue
        figure = item.figures["value"]
        after = next((other for other in items[position + 1 :] if other.kind not in {"mark", "phrase"}), None)
        if after is not None and figure.unit == "mm" and after.text == "of contrast":
            item.figures["value"] = figure.flagged("unit-guessed", unit="mL")
        if after is None or "by hand" not in after.meanings or figure.form == "leading-zero":
            continue
        if after.text == "hand" and after.after not in PUNCTUATION | {""}:
            continue
        if figure.unit is None and figure.value <= _MOST_BY_HAND:
            item.figures["value"] = figure.in_unit("mL")
        elif figure.unit == "mm":
            item.figures["value"] = figure.flagged("unit-guessed", unit="mL")


def _farther(items: Sequence[tuple[int, Item]], position: int) -> list[int]:
    """A dose with its unit farther on: "GTN by the sheath at that stage, a hundred micrograms"."""
    unit = items[position][1].unit
    for index in range(position + 1, len(items)):
        item = items[index][1]
        if item.kind in {"drug", "pair"} or (item.kind == "mark" and item.text in {"and", "but", "so"}):
            return []
        if item.kind == "quantity" and not item.used:
            found = item.figures["value"].unit
            if found in {"mg", "ug", "g", "[iU]"} or (found == "mL" and unit == "mL"):
                return [index]
    return []


def _before(tokens: Sequence[Token], items: Sequence[tuple[int, Item]], position: int) -> list[int]:
    """The figure right before a drug, over a concentration: "ten mils of one percent lidocaine"."""
    right = items[position][1].span[0]
    for index in range(position - 1, max(-1, position - 4), -1):
        item = items[index][1]
        between = {token.text for token in tokens[item.span[1] : right]}
        if item.kind != "quantity" or item.used or between - FILLERS - _OF:
            return []
        if item.figures["value"].unit != "%":
            return [index]
        right = item.span[0]
    return []


def _after(items: Sequence[tuple[int, Item]], position: int) -> list[int]:
    """The figure after a drug, over a comma, a side, a concentration, a rate: "eighty a kilo, so five thousand"."""
    rated = False
    for index in range(position + 1, min(len(items), position + 7)):
        item = items[index][1]
        if item.kind == "quantity":
            if item.figures["value"].unit == "%" or item.after in _RATES.values():
                rated = rated or item.after in _RATES.values()
                continue
            return [] if item.used else [index]
        if item.kind == "phrase" or (item.kind == "mark" and (item.text in {",", "-", "..."} or rated)):
            continue
        if item.kind in {"side", "place", "part", "pronoun"} or item.meanings == {"again"} or item.text == "give":
            continue
        return []
    return []
