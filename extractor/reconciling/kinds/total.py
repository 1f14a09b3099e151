"""The sums at the end: contrast, x-ray time, air kerma, dose-area product."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, takewhile

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import Draft, Hearing, Story

#: Label -> the value it names, and the units a figure beside it may have.
_LABELS = {
    "contrast": ("contrast_volume", {"mL"}),
    "screening": ("fluoro_time", {"min", "s"}),
    "kerma": ("air_kerma", {"mGy"}),
    "dap": ("dap", {"Gy.cm2"}),
    "dose": ("dap", set[str]()),  # its unit tells which of the two it is
}
_UNITS = {"contrast_volume": "mL", "fluoro_time": "min", "air_kerma": "mGy", "dap": "Gy.cm2"}
_BY_UNIT = {"mGy": "air_kerma", "Gy.cm2": "dap"}
#: Without a label these are sums only beside another one.
_BY_UNIT_LOOSE = {"min": "fluoro_time", "mL": "contrast_volume"}
#: A sum while the case goes on is no total.
_RUNNING = {"far", "till", "until"}
#: As much is given in radiotherapy, never in one procedure, mGy: common practice, no source.
_MOST_MGY = 20_000
#: A contrast volume that is a sum, told with nothing else, mL: less may as well be an injection. Set by hand.
_LEAST_ALONE = 20
#: Sums told farther apart than this, in breaths, are told of two cases or stages.
_FAR = 12
#: "And the time?" asks for that of x-rays so many breaths after another sum. Set by hand, no source.
_SOON = 2
#: All there is beside a figure said once more.
_PLAIN = {"quantity", "mark", "phrase", "pronoun"}
_OF_A_PERSON = {"he", "she", "patient", "his", "her"}
#: So many times as much, or as little, is the same sum said otherwise. Set by hand, no source.
_LIKE = 1.6
#: After a bare figure that stands for the one before it; any other word is what it counts.
_GOES_ON = {"and", "with", "not", "for", "in", "i", "it", "that", "doctor", "sir", "madam", "please", "then", "now"}


@dataclass(slots=True)
class _Part:
    """A figure of a sum: which value it is, whether what names it leaves no doubt that this is a sum, and the slips
    it put right.
    """

    item: Item
    key: str
    quantity: Quantity
    sure: bool
    slips: tuple[Item, ...] = ()


class Totals(Hearing):
    """Hears sentences that sum up; takes their figures before any other kind does."""

    def __init__(self) -> None:
        self.draft: Draft | None = None
        self.breath = self.open = -9  # the breath heard now, and the last one that sums up
        self.label: tuple[str, int] | None = None  # a sum asked for, and the number of the sentence
        self.waiting: list[_Part] = []  # of this breath: may be sums, if more of them follow
        self.questioned = -9  # the last sentence that asks whether one that waits is right
        self.told = False  # whether this breath told something else
        self.last: tuple[str, int] = ("", -9)  # the sum told last, and the number of its sentence
        self.otherwise: Quantity | None = None  # the last one that was told otherwise right behind

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.breath != self.breath:
            self.breath, self.waiting, self.told = sentence.breath, [], False
        _join_thousands(sentence)
        labels = {meaning for item in sentence.items if item.kind == "action" for meaning in item.meanings}
        asked = self.label[0] if self.label and self.label[1] == story.number - 1 else ""
        self.label = None
        if sentence.texts & _RUNNING:
            return
        if "totals" in labels or "total" in sentence.texts or _heads(sentence):
            self.open = sentence.breath
        if self._said_otherwise(story, sentence):
            return
        parts = _parts(sentence.items, asked, sentence.tokens, bool(self.waiting) or self.open == sentence.breath)
        if self.waiting and self.questioned == story.number - 1 and not labels & _LABELS.keys():
            self._answered(sentence)
        if not parts:
            self._ask(story, sentence)
            headed = "totals" in labels or _heads(sentence)
            self.told = self.told or not (sentence.question or _LABELS.keys() & labels or headed)
            return
        if self._is_time_alone(story, sentence, parts):
            self.waiting += parts
            if self.open == sentence.breath and self.draft is not None and "fluoro_time" not in self.draft.values:
                self._take(story, self.waiting.pop())
            return
        if self.open == sentence.breath and _volume_alone(sentence, parts):
            self.waiting += parts  # a sum where others follow
            return
        if not (asked or self._sums_up(story, sentence, parts)):
            self.waiting += [part for part in parts if part.key == "contrast_volume" and "contrast" in labels]
            self.questioned = story.number if sentence.question else self.questioned
            self.told = self.told or "contrast" not in labels
            return
        self.open = sentence.breath
        told = {part.key for part in parts}
        for part in (*(one for one in self.waiting if one.key not in told or one.key != "fluoro_time"), *parts):
            if not part.item.used:
                self._take(story, part)
        self.waiting = []
        if len(parts) >= 2:
            for item in sentence.items:
                item.used = item.used or item.kind == "quantity"  # a slip or an echo, no pressure

    def _said_otherwise(self, story: Story, sentence: Sentence) -> bool:
        """ "Kerma four ninety. / Four nineteen, the display.": the last sum, told by another or more exactly."""
        key, number = self.last
        figures = [item for item in sentence.items if item.kind == "quantity"]
        plain = all(item.kind in _PLAIN or item.text == "on" for item in sentence.items)
        if self.draft is None or story.number - number != 1 or not figures:
            return False
        known, figure = self.draft.values[key], figures[0].figures["value"]
        if figures[0] is sentence.items[0] and figure.value == known.value and figure.unit in {None, known.unit}:
            figures[0].used = True  # "Ten point two, and the dose one point four gray"
        if not plain or sentence.texts & _OF_A_PERSON:
            return False
        like = known.value / _LIKE <= figure.value <= known.value * _LIKE
        if figure.unit not in {None, *_LABEL_UNITS[key]} or not like:
            return False
        if figure.value == known.value:
            if known is self.otherwise and not sentence.question:  # said twice: that one it is
                kept = tuple(flag for flag in known.flags if flag != "conflict")
                self.draft.values[key] = replace(known, flags=kept)
            return False
        if sentence.question:
            self.draft.values[key] = known.flagged("conflict", alternatives=(*known.alternatives, figure.value))
        else:
            flags = {"conflict", "corrected"} - {*known.flags}
            new = figure.flagged(*flags, unit=figure.unit or known.unit, alternatives=(known.value,))
            self.draft.values[key] = self.otherwise = new
            self.draft.reach(figures[0].words)
        figures[0].used = True
        self.last = (key, story.number)
        return True

    def _is_time_alone(self, story: Story, sentence: Sentence, parts: list[_Part]) -> bool:
        """ "Eighteen point two minutes.": a time that no word names, first in a breath or beside sums, is of x-rays
        where a sum is told in that breath.
        """
        alone = len(parts) == 1 and parts[0].key == "fluoro_time" and not parts[0].sure
        alone = alone and all(item.kind in {"quantity", "mark", "phrase"} for item in sentence.items)
        calm = not self.told and not any(thing.where == "up" for thing in story.things)
        return alone and not sentence.question and (calm or self.open == sentence.breath)

    def _answered(self, sentence: Sentence) -> None:
        """ "Contrast, was it forty-five? Fifty-four.": the figure that answers, where it is another one."""
        last, figures = self.waiting[-1], [item for item in sentence.items if item.kind == "quantity"]
        told = [item for item in figures if item.figures["value"].unit in {None, last.quantity.unit, "mL"}]
        if not told or len(told) < len(figures):
            return
        right = told[-1].figures["value"]
        if right.value == last.quantity.value or _echoes(last.quantity, right):
            return
        others = (*right.alternatives, last.quantity.value)
        self.waiting[-1] = _Part(
            told[-1],
            last.key,
            right.flagged("corrected", "conflict", alternatives=others),
            last.sure,
            (*last.slips, last.item, *told[:-1]),
        )

    def _ask(self, story: Story, sentence: Sentence) -> None:
        """ "Contrast? Ninety-five." The figure is in the next sentence."""
        short = len(sentence.texts) <= 6 and not any(item.kind == "quantity" for item in sentence.items)
        if not short:
            return
        label = next((name for item in reversed(sentence.items) if (name := _named(item))), "")
        if not label and {"time", "minutes"} & sentence.texts and self.draft is not None:
            label = "screening" if sentence.breath - self.draft.breath <= _SOON else ""
        command = len({text for text in sentence.texts if text.isalpha()}) == 1 and self.open < 0
        if not sentence.question and (command or any(thing.where == "up" for thing in story.things)):
            return  # "Fluoro. / Twelve.": x-rays please, and the figure is of a balloon
        if label and (sentence.question or self.open == sentence.breath or label not in {"contrast", "dose"}):
            self.label = (label, story.number)

    def _sums_up(self, story: Story, sentence: Sentence, parts: list[_Part]) -> bool:
        timed = "time" in sentence.texts and {"contrast_volume", "fluoro_time"} <= {part.key for part in parts}
        if timed or any(part.sure for part in parts):
            return True
        contrast = next((part for part in parts if part.key == "contrast_volume" and _of(sentence.items)), None)
        if contrast is None:
            return False
        known = self.draft is not None and "contrast_volume" in self.draft.values
        if self.open == sentence.breath or (known and _amends(sentence)):
            return True
        soon = self.draft is not None and sentence.breath - self.draft.breath <= _SOON and "used" in sentence.texts
        followed = _sums_only(story.following) and not sentence.texts & _NO_SUM
        enough = contrast.quantity.value >= _LEAST_ALONE or followed
        alone = len(parts) == 1 and (soon or followed or len(sentence.texts) <= 6) and enough
        return alone and not story.says("by hand", "go")

    def _take(self, story: Story, part: _Part) -> None:
        key, quantity = part.key, part.quantity.in_unit(_UNITS[part.key])
        for item in (part.item, *part.slips):
            item.used = True
        last = self.draft
        amended = last is not None and key in last.values and _amends(story.sentence)
        if (
            last is None
            or story.sentence.breath - last.breath > _FAR
            or (key in last.values and last.breath != story.sentence.breath and not story.summary)
        ) and not amended:
            if last is not None and key in last.values and last.values[key].value == quantity.value:
                return
            told = part.item.status in {Status.PAST, Status.QUOTED} and not (
                (story.says("totals") and not story.sentence.texts & _ANOTHER_CASE)
                or part.item.cue.split()[-1:] == ["protocol"]
            )
            status = part.item.status if told and part.item.status is not None else Status.DONE
            if last is not None and key in last.values and status is last.status is Status.DONE:
                last.values[key] = last.values[key].flagged("conflict")  # a case has one sum: which of the two is it?
                quantity = quantity.flagged("conflict")
            last = self.draft = story.add(Kind.TOTAL, status, part.item, "total/summed-up")
        assert last is not None
        known = last.values.get(key)
        if known is not None and known.value != quantity.value:
            if _echoes(known, quantity):
                return
            quantity = quantity.flagged("conflict", *(["corrected"] if amended else []))
        last.values[key], self.last = quantity, (key, story.number)
        if not amended:
            last.reach(part.item.words)


#: With one of these a volume of contrast is no sum, and what is told is of another case.
_NO_SUM = frozenset("more another extra further allergy allergic reaction year years ago label bottle hand".split())
#: So many words say only what is read out next.
_THE, _SHORT_HEAD = frozenset("the our my and so then now okay".split()), 5
_ANOTHER_CASE = frozenset("yesterday yesterday's last previous earlier week weeks month months ago other".split())


def _heads(sentence: Sentence) -> bool:
    """ "The figures, Ana.": what follows are the sums, where a sentence says no more."""
    words = [token for token in sentence.tokens if token.isalpha() and token not in _THE]
    return words[:1] in (["figures"], ["totals"], ["sums"], ["numbers"]) and len(words) <= _SHORT_HEAD


def _volume_alone(sentence: Sentence, parts: list[_Part]) -> bool:
    """ "One hundred and fifteen millilitres.": a volume that no word names, with nothing else in its sentence."""
    alone = len(parts) == 1 and parts[0].key == "contrast_volume" and not parts[0].sure
    plain = all(item.kind in {"quantity", "mark", "phrase"} for item in sentence.items)
    return alone and plain and not sentence.question and parts[0].quantity.value >= _LEAST_ALONE


def _sums_only(sentence: Sentence | None) -> bool:
    """ "Contrast nine mils." "Screening, six point nine minutes.": whether a sentence names another sum and its figure,
    and tells of nothing else.
    """
    if sentence is None or sentence.question:
        return False
    said = [item for item in sentence.items if item.kind not in {"mark", "phrase"}]
    named = any(_named(item) in {"screening", "kerma", "dap"} for item in said)
    named = named or any(item.kind == "quantity" and item.figures["value"].unit in _BY_UNIT for item in said)
    figures = any(item.kind == "quantity" for item in said)
    return named and figures and all(item.kind in {"quantity", "action"} for item in said)


def _join_thousands(sentence: Sentence) -> None:
    """ "kerma one thousand two ninety": a thousand and the hundreds right behind it are one figure of a dose."""
    items = sentence.items
    dosed = any(_named(item) in {"kerma", "dap", "dose"} for item in items)
    for one, other in pairwise(list(items)):
        if one.kind != "quantity" or other.kind != "quantity" or one.span[1] != other.span[0]:
            continue
        thousands, hundreds = one.figures["value"], other.figures["value"]
        whole = thousands.unit is None and thousands.value >= 1000 and not thousands.value % 1000
        if whole and 100 < hundreds.value < 1000 and (hundreds.unit == "mGy" or (dosed and hundreds.unit is None)):
            heard = f"{thousands.heard} {hundreds.heard}"
            one.figures["value"] = replace(hundreds, value=thousands.value + hundreds.value, heard=heard)
            one.words, one.span = (one.words[0], other.words[1]), (one.span[0], other.span[1])
            one.text, one.after = f"{one.text} {other.text}", other.after
            items.remove(other)


def _headed_by(items: list[Item], figure: Item, tokens: Sequence[str]) -> str:
    """ "Time, twelve point two.", "Area ninety-two.", "Product thirty-eight.": the sum a word names where others were
    told right before.
    """
    said = {token for token in tokens[: figure.span[0]] if token.isalpha()} - {"the", "and", "is", "was", "dose"}
    counts = any(other.kind not in {"mark", "quantity", "action"} for other in items)
    heads = {"time": "screening", "area": "dap", "product": "dap"}
    clock = figure.after in {"past", "to", "o'clock"}
    return heads.get(next(iter(said), ""), "") if len(said) == 1 and not counts and not clock else ""


def _parts(items: list[Item], asked: str, tokens: Sequence[str] = (), among_sums: bool = False) -> list[_Part]:
    """Each figure with the sum it is: by its unit, by the label before it, by the one after it, or as the slip of the
    figure before it put right. ``asked``: the label of the sentence before.
    """
    parts: list[_Part] = []
    if not any(item.kind == "quantity" for item in items):
        return parts
    label = asked
    spent: Item | None = None  # the label after a figure, which names no other one
    for position, item in enumerate(items):
        if item is spent:
            continue
        if (name := _named(item)) and not (name == "dose" and any(other.kind == "drug" for other in items)):
            label = name
        elif item.kind in {"device", "drug", "finding", "pair"} or _interrupts(item):
            label = ""
        if item.kind != "quantity" or item.used or item.status is Status.NEGATED:
            continue
        quantity = item.figures["value"]
        if not label and item.before == "time" and any(_named(other) in {"kerma", "dap"} for other in items):
            label = "screening"  # "kerma three fifty, time twelve point two"
        if not label and (parts or among_sums) and "product" in {item.before, *tokens[item.span[1] : item.span[1] + 2]}:
            label = "dap"  # "kerma five hundred thirty, product one hundred one", "forty of product"
        if not label and among_sums and position < 2:
            label = _headed_by(items, item, tokens)
        if label == "dap" and quantity.unit == "mGy" and quantity.value >= 1000:  # "dose area forty-four gray"
            quantity = quantity.flagged("unit-guessed", unit="Gy.cm2", value=quantity.value / 1000)
            item.figures["value"] = quantity
        key, sure, spent = _key(item, label, items[position + 1 :])
        told = {part.key: part for part in parts}
        if not key and _between_sums(quantity, told, items[position + 1 :]):
            key, quantity = "fluoro_time", quantity.flagged("unit-guessed", unit="min")
        if parts and (key in told or not key) and (flags := _puts_right(items[:position], item, parts[-1])):
            last = told.get(key, parts[-1])
            if quantity.unit in {None, *_LABEL_UNITS[last.key]} and not _echoes(last.quantity, quantity):
                new = quantity.flagged(*flags - {"pause"}, unit=quantity.unit or last.quantity.unit)
                parts[parts.index(last)] = _Part(item, last.key, new, last.sure, (*last.slips, last.item))
        elif key and key not in told and not (key == "air_kerma" and quantity.value > _MOST_MGY):
            if label == "dose" and quantity.unit is None:
                quantity = quantity.flagged("unit-guessed", unit="Gy.cm2")
            parts.append(_Part(item, key, quantity, sure))
        elif not key and parts and _trails(parts[-1], item):
            parts[-1] = replace(parts[-1], quantity=_minutes_and(parts[-1].quantity, quantity.value))
        label = "" if key else label
    return parts


def _trails(time: _Part, item: Item) -> bool:
    """ "fourteen minutes two": whether a bare figure stands right behind a time in minutes and names nothing."""
    counts = item.after.isalpha() and item.after.endswith("s") and item.after != "is"
    bare = item.figures["value"].unit is None and item.span[0] == time.item.span[1]
    return bare and time.key == "fluoro_time" and time.quantity.unit in {None, "min"} and not counts


def _minutes_and(time: Quantity, more: float) -> Quantity:
    """The time with what a loose figure behind it may add: seconds, or a tenth of a minute."""
    others = [time.value + more / 60] if more < 60 else []
    others += [time.value + more / 10] if more < 10 else []
    others = [round(other, 6) for other in others]
    return time.flagged("two-readings", alternatives=(*time.alternatives, *others))


_LABEL_UNITS: dict[str, set[str | None]] = {key: {*units} for key, units in _LABELS.values()}


def _between_sums(quantity: Quantity, told: dict[str, _Part], following: list[Item]) -> bool:
    """ "Contrast ninety, ten point two, three hundred milligray.": a bare decimal between those two is the time."""
    rest = next((item.figures["value"].unit for item in following if item.kind == "quantity"), None)
    decimal = quantity.unit is None and quantity.form == "decimal"
    return decimal and rest == "mGy" and "contrast_volume" in told and "fluoro_time" not in told


def _key(item: Item, label: str, following: list[Item]) -> tuple[str, bool, Item | None]:
    """Which value a figure is (empty: none), whether that is sure, and the label after it that told so."""
    quantity = item.figures["value"]
    if quantity.unit in _BY_UNIT:
        return _BY_UNIT[quantity.unit], True, None
    if label and (quantity.unit is None or quantity.unit in _LABELS[label][1]):
        return _LABELS[label][0], label != "contrast", None
    said = [item for item in following if item.kind != "mark"]
    tied = bool(said) and (said[0].text == "on" or said[0].text.startswith("of "))  # "eight on the fluoro"
    said = [item for item in said if "raise" not in item.meanings][:2]
    after = _named(said[0]) if said else ""
    own = len(said) > 1 and said[1].kind == "quantity" and not tied  # the label has a figure of its own
    if own and (_said_behind(following, said[1]) or _right_behind(item, following)):
        own = False  # "twelve minutes screening and eighty of contrast"
    if (
        after
        and not (own and _may_be(after, said[1]))
        and (quantity.unit is None or quantity.unit in _LABELS[after][1])
    ):
        return _LABELS[after][0], after != "contrast", said[0]
    return _BY_UNIT_LOOSE.get(quantity.unit or "", ""), False, None


def _right_behind(figure: Item, following: list[Item]) -> bool:
    """ "Forty contrast, ten point two": the label hangs on the figure, and a mark parts it from the next."""
    hangs = bool(following) and following[0].span[0] == figure.span[1]
    return hangs and len(following) > 1 and following[1].kind == "mark" and following[1].text in {",", "...", ";"}


def _said_behind(following: list[Item], figure: Item) -> bool:
    """Whether a figure has its own label right behind it."""
    behind = next((other for at, other in enumerate(following[1:]) if following[at] is figure), None)
    return behind is not None and bool(_named(behind)) and behind.text.startswith("of ")


#: Before "dose": a drug's.
_DOSES = frozenset("second third further another extra additional repeat loading starting single same".split())


def _named(item: Item) -> str:
    """The sum an item is the label of; "a second dose of two thousand" is a drug's."""
    if item.text == "dose" and item.before in _DOSES:
        return ""
    return next((name for name in _LABELS if name in item.meanings), "") if item.kind == "action" else ""


def _of(items: list[Item]) -> bool:
    return any(_named(item) == "contrast" for item in items)


def _may_be(label: str, figure: Item) -> bool:
    """Whether a figure can be the sum a label names; not in "eighty contrast, twelve minutes"."""
    return figure.figures["value"].unit in {None, *_LABELS[label][1]}


def _interrupts(item: Item) -> bool:
    """Whether something is done: a figure after it is no longer the label's."""
    return item.kind == "action" and bool(item.meanings & {"inflate", "go", "hold", "placed", "by hand", "by pump"})


def _puts_right(before: list[Item], figure: Item, last: _Part) -> set[str]:
    """How a figure puts the sum before it right: "corrected" by a word, after a "pause", or as their "total"; empty
    where it does not. Where that one was put right itself, a comma is enough: "514… 40, 540".
    """
    if figure.figures["value"].unit is None and figure.after.isalpha() and figure.after not in _GOES_ON:
        return set()  # "without the five from the ward"
    how: set[str] = {"pause"} if before and before[-1].text == "total" else set()
    trailing = bool(last.slips)
    since = list(takewhile(lambda item: item is not last.item, reversed(before)))
    if [item.text for item in since] == ["?"]:
        return {"corrected", "conflict"}  # "contrast, thirty-four? Thirty-six."
    for item in reversed(before):
        if item is last.item:
            return how
        if item.corrects:
            how.add("corrected")
        elif item.kind == "mark":
            if item.text in {"or", "?"}:
                return set()
            if item.text in {"...", "-"} or (trailing and item.text == "," and item.span[1] == figure.span[0]):
                how.add("pause")
    return set()


def _amends(sentence: Sentence) -> bool:
    """ "correction, contrast was eighty-eight", "contrast should read ninety": a sum told earlier is put right."""
    return any(other.corrects or (other.kind == "phrase" and other.name == "amendment") for other in sentence.items)


def _echoes(known: Quantity, quantity: Quantity) -> bool:
    """ "one hundred and twenty-six … twenty-six": the end of the same figure again."""
    tail = known.value % (100 if quantity.value >= 10 else 10)
    return quantity.unit in {None, known.unit} and quantity.value < known.value and tail == quantity.value
