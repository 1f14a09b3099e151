"""What is said later of what was told before: a figure put right, an event taken back.

"I had that at sixteen and it was only six", "the contrast should read ninety", "strike that, it was never given". The
event is changed where it stands, and marked: somebody changed the record by word of mouth, so a person looks.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.questions import asked_from
from extractor.reconciling.story import KEPT_SIZES, NO, NOT_DONE, Draft, Hearing, Story
from extractor.reconciling.thousands import in_thousands

#: How many sentences long a speaker goes on putting right after saying so ("two things I told you wrong").
_AMENDING = 3
#: How many events back a wrong figure is looked for, where it is named or dictated, and at the table: set by hand.
_MOST_BACK, _BACK = 400, 12
#: How many sentences after "I said eight" or "no, wait" the right figure may come.
_FILLING = 2
#: In a sentence that puts right these have found their place.
_SETTLED = {"quantity", "pair", "device", "drug", "finding"}
#: Before a figure that is to stand from now on.
_WRITING = {"write", "put", "note", "record", "it", "really", "is", "was", "actually", "given", "truly", "correct"}
#: "For the sheet": what follows was told before.
_SHEETS = frozenset("sheet record records chart log report notes file form paperwork".split())
#: What is only looked at, and may be looked at again.
_LOOKED_AT = {Kind.MEASURE, Kind.FINDING}
#: Words that call in question what was just seen or measured.
_DOUBTING = frozenset(
    """
    wrong oblique misread mistaken foreshortened better wait hang sorry
    """.split()
)
#: Words of what is written down of the case.
_OF_RECORD = frozenset(
    "record report file notes log amend mistake misread error sticker computer written write".split()
)
#: Words that set what was against what was said.
_IN_FACT = frozenset(
    """
    fact reality really actually truth instead mistake mistakenly misread stuck
    """.split()
)
_WAS = frozenset("was were gave had went got wasn't weren't".split())
#: With one of these more is told than a figure put right.
_ONE_MORE = frozenset("more another further again extra next also".split())
#: Before a figure that is no better one: an angle, a rule, a bound.
_ASIDE = {"under", "over", "above", "below", "than", "of"}
#: With one of these a figure is of something that goes on.
_ELSEWHERE = {
    "inflate",
    "act",
    "gradient",
    "pressure",
    "hold",
    "go",
    "deploy",
    "by hand",
    "by pump",
    "press",
    "contrast",
    "screening",
    "kerma",
    "dap",
}
#: Of several alike, which one is meant, counted from the first or, below nought, from the last.
_ORDINALS = {"first": 0, "initial": 0, "second": 1, "third": 2, "fourth": 3, "fifth": 4, "last": -1, "final": -1}
#: How many sentences back "it was not given" reaches.
_REFUSING = 2
#: The kind of event a device of a role makes.
_MADE_BY = {"inflation": Kind.INFLATION, "stent": Kind.STENT, "embolise": Kind.EMBOLISE}
#: One more than was told of.
_NEXT_ONES = _ONE_MORE - {"also", "again"} | {"second", "third", "fourth"}
#: What can be taken back: what was done. What is seen or measured is ruled out by its own words.
_TAKEN_BACK = {
    Kind.ACCESS, Kind.INSERT, Kind.REMOVE, Kind.INFLATION, Kind.STENT, Kind.EMBOLISE, Kind.RUN, Kind.DRUG, Kind.CLOSURE,
}  # fmt: skip
#: With one of these what was told is not to be changed.
_STANDS = frozenset("leave alone stands stays keep right".split())
#: Of what was told wrongly, how many: "both of them", "the last three".
_HOW_MANY = {"both": 2, "two": 2, "three": 3, "four": 4, "all": 9}
#: With one of these a lone figure is a size, or a time.
_SIZING = frozenset("diameter size wide width long length second seconds minute minutes hold held".split())
#: What an action word names: the kind of event, and the value where it is one of several.
_NAMED_BY = {
    "contrast": (Kind.TOTAL, "contrast_volume"),
    "screening": (Kind.TOTAL, "fluoro_time"),
    "kerma": (Kind.TOTAL, "air_kerma"),
    "dap": (Kind.TOTAL, "dap"),
    "run": (Kind.RUN, ""),
    "inflate": (Kind.INFLATION, ""),
    "deploy": (Kind.STENT, ""),
    "puncture": (Kind.ACCESS, ""),
    "press": (Kind.CLOSURE, ""),
}
#: What a balloon's pressure is read from, and a time it went up; what goes up on one.
_GAUGES = {"gauge", "manometer", "dial", "inflator"}
_TELLS_WHICH = {"the", "my", "our", "that", "this", "your", "his", "her", "last", "first", "second"}
_ON_GAUGES = {Kind.INFLATION, Kind.STENT}
#: A device named after one of these is not what a figure is of.
_PLACES = {"before", "after", "inside", "within", "through", "into"}
#: After a bare figure: what it is, not what it counts.
_NO_COUNT = {"is", "was", "yes", "as", "this"}


class Amendments(Hearing):
    """Hears, before every kind, sentences that put an earlier figure right; none of their figures make new events."""

    def __init__(self) -> None:
        self.recalled = ("", -9)  # the drug whose doses are told again for the paper, and in which breath
        self.until = -1  # the number of the last sentence that may put right without saying so again
        self.open: tuple[Draft, str, int] | None = None  # a value said to be wrong, and the sentence that said so
        self.doubted = -9  # number of the last sentence that called the last figure in question and told no other
        self.gauged: tuple[Draft, int] | None = None  # whose pressure was put right, and in which sentence

    def begin(self, story: Story, sentence: Sentence) -> None:
        if self._recalls(story, sentence):
            for item in sentence.items:
                item.used = item.used or item.kind in {"drug", "quantity"}
            return
        if _orders_next(sentence):
            return
        amending = any(item.kind == "phrase" and item.name in {"amendment", "misstated"} for item in sentence.items)
        if amending and story.dictated:
            self.until = story.number + _AMENDING
        wrongs = list(_wrong(sentence))
        settled = self._contrasted(story, sentence, wrongs)
        if not settled and story.number <= self.until:
            settled = self._contrasted(story, sentence, [item for item in sentence.items if item.kind == "quantity"])
        if not settled and sentence.texts & _IN_FACT and sentence.texts & _WAS:
            settled = self._contrasted(story, sentence, [item for item in sentence.items if item.kind == "quantity"])
        faulty = any(item.kind == "phrase" and item.name == "amendment" for item in sentence.items)
        if not settled and faulty:
            settled = self._contrasted(story, sentence, [item for item in sentence.items if item.kind == "quantity"])
        settled = (
            settled
            or self._of_gauge(story, sentence)
            or self._resized(story, sentence)
            or (amending and self._named(story, sentence, wrongs))
            or (faulty and self._last_one(story, sentence))
            or self._filled(story, sentence)
            or self._named_again(story, sentence)
        )
        if not settled and wrongs and (amending or wrongs[0].before in _STRIKING):
            settled = self._left_open(story, sentence, wrongs[0])
        if not settled and (faulty or sentence.texts & _OF_RECORD):
            _question(story, sentence)
        if settled or self._told_again(story, sentence):
            story.topic = ""
            for item in sentence.items:
                item.used = item.used or item.kind in _SETTLED or bool(item.meanings & _NAMED_BY.keys())

    def _recalls(self, story: Story, sentence: Sentence) -> bool:
        """ "For the sheet, fentanyl fifty, and fifty again? … She only gave twenty-five, the second time.": doses are
        only told again; one that differs puts right the dose it is of, or leaves it in doubt.
        """
        named = [item.name for item in sentence.items if item.kind == "drug"]
        if named and any(said == "for" and of in _SHEETS for said, _, of in _threes(sentence.tokens)):
            self.recalled = (named[0], sentence.breath)
        drug, breath = self.recalled
        if breath != sentence.breath:
            self.recalled = ("", -9)
            return False
        given = [draft for draft in story.lately() if draft.drug == drug and "dose" in draft.values]
        given = [draft for draft in given if draft.status is Status.DONE and draft.breath < sentence.breath]
        other = {*named} - {drug} or any(item.kind in {"device", "finding", "pair"} for item in sentence.items)
        if not given or other or sentence.texts & _ONE_MORE - {"again"}:
            self.recalled = ("", -9)
            return False
        counted = [given[at] for word, at in _ORDINALS.items() if word in sentence.texts and -1 <= at < len(given)]
        for figure in (
            figure for item in sentence.items if item.kind in {"drug", "quantity"} for figure in _said(item)
        ):
            if any(_same(draft.values["dose"], figure) for draft in given) and not counted:
                continue
            draft = (counted or given)[-1]
            if not _rivals(draft.values["dose"], figure):
                continue
            if counted and not sentence.question:
                _put_right(story, draft, "dose", figure)
            else:
                others = (*draft.values["dose"].alternatives, figure.value)
                draft.values["dose"] = draft.values["dose"].flagged("conflict", alternatives=others)
        return True

    def _contrasted(self, story: Story, sentence: Sentence, wrongs: list[Item]) -> bool:
        """Two figures, one of them told before and the other not: "I had that at sixteen and it was six"."""
        for wrong in wrongs:
            for right in _nearest(sentence, wrong):
                found = self._told(story, sentence, wrong.figures[_figure_of(wrong)], right)
                if found is not None:
                    _put_right(story, *found, right)
                    if found[0].kind in _ON_GAUGES and found[1] == "pressure":
                        self.gauged = (found[0], story.number)
                    return True
        return False

    def _of_gauge(self, story: Story, sentence: Sentence) -> bool:
        """ "That second time the gauge was at eighteen. Write eighteen.": the pressure of what is down by now, as its
        gauge had it; said once more, it stands.
        """
        figures = [item.figures["value"] for item in sentence.items if item.kind == "quantity" and not _counts(item)]
        if not figures or sentence.question:
            return False
        going = any(item.kind == "action" and item.meanings & {"inflate", "deflate", "hold"} for item in sentence.items)
        if going or len({figure.value for figure in figures}) != 1:
            return False
        right = figures[-1]
        if self.gauged is not None and story.number - self.gauged[1] <= _FILLING:
            alone = all(item.kind in {"quantity", "mark"} for item in sentence.items)
            if alone or sentence.texts & (_OF_RECORD | _WAS):
                return _same(self.gauged[0].values["pressure"], right)
        if not (_names_gauge(sentence) and sentence.texts & _WAS):
            return False
        done = [
            draft
            for draft in story.lately()[-_BACK:]
            if draft.status is Status.DONE and draft.breath < sentence.breath and "pressure" in draft.values
        ]
        done = [draft for draft in done if draft.kind in _ON_GAUGES and _fits(sentence, draft)]
        last = done[-1] if done else None
        meant = _counted_to(story, sentence, (last, "pressure"), [right]) or last if last is not None else None
        if meant is None or not (_same(meant.values["pressure"], right) or _rivals(meant.values["pressure"], right)):
            return False
        if not _same(meant.values["pressure"], right):
            _put_right(story, meant, "pressure", right)
        self.gauged = (meant, story.number)
        return True

    def _left_open(self, story: Story, sentence: Sentence, wrong: Item) -> bool:
        """ "The lidocaine, I said eight.", "strike twelve": what it was follows; the value is in doubt until then."""
        said = wrong.figures[_figure_of(wrong)]
        others = [figure for item in sentence.items for figure in _said(item) if figure.words != said.words]
        again = any(figure.value == said.value for figure in others)
        found = None if again else self._told(story, sentence, said, None)  # "twelve, I said twelve"
        if found is None or found[0].status is not Status.DONE:
            return False
        if found[0].breath == sentence.breath and wrong.before not in _STRIKING:
            return False
        draft, key = found
        draft.values[key] = draft.values[key].flagged("conflict")
        self.open = (draft, key, story.number)
        return True

    def _filled(self, story: Story, sentence: Sentence) -> bool:
        """ "Ten I have given, so please write ten.": the figure for the value said to be wrong right before."""
        if self.open is None or story.number - self.open[2] > _FILLING:
            self.open = None
            return False
        draft, key, _ = self.open
        old = draft.values[key]
        figures = [item for item in sentence.items if item.kind == "quantity" and _rivals(old, item.figures["value"])]
        if not figures:
            return False
        written = [item for item in figures if item.before in _WRITING]
        _put_right(story, draft, key, (written or figures)[-1].figures["value"])
        self.open = None
        return True

    def _told(
        self, story: Story, sentence: Sentence, wrong: Quantity, right: Quantity | None
    ) -> tuple[Draft, str] | None:
        """The event that has the wrong figure: of those that what is named here fits, the one counted to ("the second
        stent"), else the latest. What was done goes before what was only asked for; the others it may be are marked.
        """
        points = bool(_ORDINALS.keys() & sentence.texts) or any(item.kind == "finding" for item in sentence.items)
        points = points or (right is None and wrong.unit is not None)
        far = _MOST_BACK if story.dictated or points or _names_any(sentence) else _BACK
        rights = [right] if right is not None else []
        sizes = {id(f): key for item in sentence.items if item.kind == "device" for key, f in item.figures.items()}
        found: list[tuple[Draft, str]] = []
        behind = story.following if story.following is not None and story.following.breath == sentence.breath else None
        on_gauge = _names_gauge(sentence) or (behind is not None and _names_gauge(behind))
        spelled = bool(sentence.texts & _SIZING)  # else a lone figure that can be a pressure is one: sizes come in twos
        for draft in reversed(story.lately()[-far:]):
            if draft.status not in {Status.DONE, Status.PLANNED} or not _fits(sentence, draft, rights):
                continue
            if on_gauge and draft.kind not in _ON_GAUGES:
                continue
            for key, value in sorted(draft.values.items(), key=lambda told: told[0] != "pressure" or spelled):
                same = in_thousands(wrong, value).value == value.value and wrong.unit in {None, value.unit}
                if same and (right is None or (_rivals(value, right, 10) and sizes.get(id(right), key) == key)):
                    found.append((draft, key))
                    break
        done = [(draft, key) for draft, key in found if draft.status is Status.DONE] or found
        if not done:
            return None
        counted = _counted_to(story, sentence, done[0], rights)
        for draft, key in done:
            if draft is counted:
                return draft, key
        first, at = done[0]
        for draft, key in done[1:]:
            alike = (draft.kind is first.kind and key == at) or (right is None and not _names_any(sentence))
            if alike and not _apart(sentence, draft, first):
                draft.values[key] = draft.values[key].flagged("conflict")
        return first, at

    def _named(self, story: Story, sentence: Sentence, wrongs: Sequence[Item]) -> bool:
        """One figure for what is named: "contrast should read one hundred and twenty-four"."""
        said = next(at for at, item in enumerate(sentence.items) if item.name in {"amendment", "misstated"})
        faulty = any(item.name == "amendment" for item in sentence.items)
        for item in _figured(sentence.items[said:]) or (_figured(sentence.items[:said]) if faulty else []):
            if item in wrongs or (item.kind == "quantity" and not _names_any(sentence)):
                continue
            key = _key_named(sentence, item) if item.kind == "quantity" else ""
            for draft in reversed(story.lately()):
                if draft.status not in {Status.DONE, Status.PLANNED} or not _fits(sentence, draft, _said(item)):
                    continue
                if key and key not in draft.values:
                    continue
                if item.kind == "pair" and draft.kind is not Kind.RUN:
                    continue
                if changed := list(_changes(sentence, draft, item)):
                    for key, new in changed:
                        _put_right(story, draft, key, new)
                    return True
                break
        return False

    def _last_one(self, story: Story, sentence: Sentence) -> bool:
        """ "I misspoke, that one was ten, write ten": one figure and nothing named: what was done last that it can be
        a value of. Where it has that value already nothing is put right.
        """
        figures = [
            item
            for item in sentence.items
            if item.kind == "quantity" and not _counts(item) and item.before not in _ASIDE
        ]
        stands = sentence.texts & _STANDS
        if stands or _names_any(sentence) or len({item.figures["value"].value for item in figures}) != 1:
            return False
        right = figures[-1]
        for draft in reversed(story.lately()[-_BACK:]):
            if draft.status is not Status.DONE or draft.breath == sentence.breath or not _fits(sentence, draft):
                continue
            if any(_same(value, right.figures["value"]) for value in draft.values.values()):
                return False
            for key, new in _changes(sentence, draft, right):
                if key in KEPT_SIZES and right.figures["value"].unit is None and not sentence.texts & _SIZING:
                    continue
                _put_right(story, draft, key, new)
                return True
        return False

    def _resized(self, story: Story, sentence: Sentence) -> bool:
        """ "The last two coils I called seven by twenty, but on the box it is seven by fifteen, both of them"."""
        for wrong, right in _sizes_contrasted(sentence):
            said = {key: figure for key, figure in wrong.items() if figure.value != right[key].value}
            alike = [
                draft
                for draft in reversed(story.lately())
                if draft.status in {Status.DONE, Status.PLANNED}
                and wrong.keys() <= draft.values.keys()
                and all(_same(draft.values[key], figure) for key, figure in wrong.items())
            ]
            done = [draft for draft in alike if draft.status is Status.DONE]
            many = next((many for word, many in _HOW_MANY.items() if word in sentence.texts), 1)
            chosen = (done or alike)[:many]
            for draft in alike:
                for key in said:
                    if draft in chosen:
                        _put_right(story, draft, key, right[key])
                    elif draft.kind is chosen[0].kind and draft.status is Status.DONE:
                        draft.values[key] = draft.values[key].flagged("conflict")
            if chosen:
                return True
        return False

    def _named_again(self, story: Story, sentence: Sentence) -> bool:
        """ "No, contrast is one twenty", "the sheath was in fact a seven French": what is named was told otherwise."""
        doubts = _doubts(sentence)
        was = bool(sentence.texts & _WAS)
        if not (doubts or was) or sentence.texts & _ONE_MORE or Status.PLANNED in sentence.cues:
            return False
        for item in _figured(sentence.items):
            if item.status in NOT_DONE or item.kind == "pair":
                continue
            named = doubts and item.kind == "quantity" and _key_named(sentence, item)
            again = item.kind in {"drug", "device"} and item.definite and was and (doubts or item.kind == "drug")
            if not (named or again):
                continue
            kinds = (
                {Kind.TOTAL}
                if named
                else {Kind.DRUG}
                if item.kind == "drug"
                else {_MADE_BY.get(item.role, Kind.INSERT)}
            )
            draft = next(
                (d for d in reversed(story.lately()) if d.kind in kinds and _fits(sentence, d, _said(item))), None
            )
            if draft is None or draft.status is not Status.DONE or draft.breath == sentence.breath:
                continue
            if changed := [
                (key, new) for key, new in _changes(sentence, draft, item) if _rivals(draft.values[key], new)
            ]:
                for key, new in changed:
                    _put_right(story, draft, key, new)
                return True
        return False

    def _told_again(self, story: Story, sentence: Sentence) -> bool:
        """ "No, wait, I measured oblique, it is two comma four.": what was seen or measured last, measured better; the
        figure may follow a sentence or two later.
        """
        last = next(iter(reversed(story.drafts)), None)
        if (
            last is None
            or last.kind not in _LOOKED_AT
            or last.status is not Status.DONE
            or story.number - last.number > _AMENDING
            or sentence.breath - last.breath > 1
        ):
            return False
        figures = [item for item in sentence.items if item.kind == "quantity" and item.status is not Status.NEGATED]
        doubts = _doubts(sentence)
        if any(
            item.kind in {"device", "drug", "finding", "pair", "denied"}
            or (item.kind == "action" and item.meanings & _ELSEWHERE)
            for item in sentence.items
        ):
            self.doubted = -9
            return False
        if doubts and not figures:
            self.doubted = story.number
        if not (doubts or self.doubted >= last.number):
            return False
        fitting = [
            (item.figures["value"], key)
            for item in figures
            for key, value in last.values.items()
            if _rivals(value, item.figures["value"]) and item.before not in _ASIDE
        ]
        if len(fitting) != 1:
            return False
        _put_right(story, last, fitting[0][1], fitting[0][0])
        self.doubted = -9
        return True


class Retractions(Hearing):
    """Hears, after every kind, what takes an event back: "scrap that", "it was never given", "a stent? No."."""

    def __init__(self) -> None:
        self.asked: list[Draft] = []  # what the questions right before this sentence spoke of
        self.before = 0  # how many events there were before this sentence

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.first in NO | {"nay"} and not _sized(sentence):
            for draft in self.asked:
                if draft.status in {Status.PLANNED, Status.CONSIDERED} and draft.kind in _TAKEN_BACK:
                    if _other_dose(sentence, draft):
                        continue
                    _take_back(story, draft, Item("mark", sentence.words, sentence.first))
                    for item in sentence.items:  # "No, no fentanyl": the same event
                        item.used = item.used or (
                            item.status is Status.NEGATED and item.name in {draft.drug, draft.device}
                        )
        self.before = len(story.drafts)

    def end(self, story: Story, sentence: Sentence) -> None:
        if not sentence.question:
            self.asked = []
            return
        asked = asked_from(sentence)
        self.asked += [draft for draft in story.drafts[self.before :] if draft.words[1] > asked]

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind != "phrase":
            return False
        if item.name == "refused":
            return self._refused(story, item)
        if item.name == "retraction":
            return self._retracted(story, item)
        return False

    @staticmethod
    def _refused(story: Story, item: Item) -> bool:
        """ "A stent was on the table. It was not placed.": what was last spoken of, where no verb said it was done."""
        here = story.number
        if not any(draft.number == here for draft in story.drafts[-1:]) and not _pointed(story):
            return False
        for draft in reversed(story.drafts[-4:]):
            if story.number - draft.number > _REFUSING or draft.kind not in _TAKEN_BACK:
                continue
            if draft.status is Status.NEGATED:
                return False
            others_do = (
                draft.status is Status.QUOTED and draft.kind in _MADE_BY.values() and "pressure" not in draft.values
            )
            if draft.status in {Status.PLANNED, Status.CONSIDERED} or others_do or draft.rule.endswith("/told"):
                _take_back(story, draft, item)
                return True
            return False
        return False

    @staticmethod
    def _retracted(story: Story, item: Item) -> bool:
        """ "Sheath's in. Scrap that.": the event last told; with a figure after it, the figure is put right."""
        if any(
            "corrected" in quantity.flags and quantity.words[0] <= item.words[0] < quantity.words[1]
            for other in story.sentence.items
            for quantity in other.figures.values()
        ):
            return False  # put right in one breath: reading saw to it
        last = story.drafts[-1] if story.drafts else None
        if last is not None and last.number == story.number and last.kind in {Kind.FINDING, Kind.MEASURE}:
            last.flags.add("conflict")  # "flush at the origin, no, I take that back, there is a stump"
            if not any(token.isalpha() for token in story.sentence.tokens[item.span[1] :]):
                _take_back(story, last, item)
            return True
        draft = next((draft for draft in reversed(story.drafts[-4:]) if draft.kind in _TAKEN_BACK), None)
        if draft is None or story.number - draft.number > 1 or draft.status is not Status.DONE:
            return False
        figures = _figured(list(story.ahead()))
        figured = next((other for other in figures if not other.used), None)
        if figures and figured is None:
            return True  # put right already: "scratch that, it was fourteen, not sixteen"
        if figured is None:
            draft.flags.add("conflict")
            _take_back(story, draft, item)
            return True
        if figured.kind == "device" and figured.name not in {"", draft.device}:
            return False
        if _orders_next(story.sentence):
            return False
        changed = list(_changes(story.sentence, draft, figured))
        for key, new in changed:
            _put_right(story, draft, key, new)
        figured.used = bool(changed)
        return bool(changed)


def _question(story: Story, sentence: Sentence) -> None:
    """ "For the file, heparin was four thousand": a figure said of what is written down, and no place was found for it.
    What it may be meant to put right is marked, unless it says just that.
    """
    for item in _figured(sentence.items):
        if item.kind == "pair" or item.status in NOT_DONE or not (item.kind != "quantity" or _names_any(sentence)):
            continue
        for draft in reversed(story.lately()[-_BACK:]):
            if (
                draft.status is not Status.DONE
                or draft.breath == sentence.breath
                or not _fits(sentence, draft, _said(item))
            ):
                continue
            if item.kind != "quantity" or not any(
                _same(value, item.figures["value"]) for value in draft.values.values()
            ):
                for key, new in _changes(sentence, draft, item):
                    if _rivals(draft.values[key], new):
                        draft.values[key] = draft.values[key].flagged("conflict", alternatives=(new.value,))
            break


#: After a figure: it is no dose.
_COUNTS_ELSE = {"kilos", "kilo", "years", "minutes", "times", "percent"}


def _other_dose(sentence: Sentence, draft: Draft) -> bool:
    """ "Five thousand? No, three is enough.": another dose, and the drug is given all the same."""
    dose = draft.values.get("dose")
    if dose is None:
        return False
    figures = [item for item in sentence.items if item.kind == "quantity" and item.after not in _COUNTS_ELSE]
    alike = (in_thousands(item.figures["value"], dose) for item in figures)
    return any(other.unit in {None, dose.unit} and dose.value / 4 <= other.value <= dose.value * 4 for other in alike)


def _pointed(story: Story) -> bool:
    """Whether the clause heard now speaks of what stood before it: "it was not placed", or nothing but "not placed"."""
    clause = story.clause()
    return len(clause) == 1 or any(item.kind == "pronoun" and item.name not in {"i", "we", "you"} for item in clause)


def _orders_next(sentence: Sentence) -> bool:
    """ "Second one, same again… no, I tell a lie, I want a two by four": the next one is put right, none before it."""
    sized = any(item.kind == "device" and item.figures for item in sentence.items)
    return sized and Status.PLANNED in sentence.cues and bool(sentence.texts & _NEXT_ONES)


def _threes(tokens: Sequence[str]) -> Iterator[tuple[str, str, str]]:
    return zip(tokens, tokens[1:], tokens[2:], strict=False)


def _named(item: Item) -> list[tuple[Kind, str]]:
    """What an action word names: kinds of event, with the value."""
    if not item.meanings:
        return []
    return [_NAMED_BY[meaning] for meaning in sorted(item.meanings & _NAMED_BY.keys())]


def _figured(items: Sequence[Item]) -> list[Item]:
    return [item for item in items if item.kind in {"quantity", "pair", "device", "drug"} and item.figures]


def _counts(item: Item) -> bool:
    """Whether a figure counts something: "three months"."""
    bare = item.kind == "quantity" and item.figures["value"].unit is None
    return bare and item.after.isalpha() and item.after.endswith("s") and item.after not in _NO_COUNT


def _doubts(sentence: Sentence) -> bool:
    """Whether a sentence calls in question what was said before it."""
    return (
        sentence.first in NO
        or any(item.corrects for item in sentence.items)
        or bool(sentence.texts & _DOUBTING or sentence.texts & _IN_FACT)
    )


def _said(item: Item) -> list[Quantity]:
    return list(item.figures.values())


def _figure_of(item: Item) -> str:
    return next(iter(item.figures))


def _rivals(old: Quantity, new: Quantity, times: float = 3) -> bool:
    """Whether a figure can stand for another: no other unit, another number, of like size."""
    value = in_thousands(new, old).value
    return new.unit in {None, old.unit} and value != old.value and 1 / times <= value / (old.value or 1) <= times


def _nearest(sentence: Sentence, wrong: Item) -> Iterator[Quantity]:
    """The figures that may stand for a wrong one: of like size; the one to be written down, then the next said after
    it, then the last before.
    """
    old = wrong.figures[_figure_of(wrong)]
    figures = [
        (item.before in _WRITING, figure)
        for item in sentence.items
        if item is not wrong and item.kind != "denied" and not _counts(item)
        for figure in item.figures.values()
    ]
    alike = [(w, f) for w, f in figures if _rivals(old, f, 10) or _rivals(f, old, 10)]
    yield from (figure for written, figure in alike if written and figure.words > old.words)
    yield from sorted((f for _, f in alike if f.words > old.words), key=lambda figure: figure.words)
    yield from sorted((f for _, f in alike if f.words < old.words), key=lambda figure: figure.words, reverse=True)


def _counted_to(story: Story, sentence: Sentence, like: tuple[Draft, str], rights: Sequence[Quantity]) -> Draft | None:
    """ "the first inflation", "the second stent": the event counted to, of the kind and with the value given."""
    said = _ORDINALS.keys() & sentence.texts
    if "second" in said and any(
        figure.unit in {"s", "/s", "mL/s"} for item in sentence.items for figure in item.figures.values()
    ):
        said = said - {"second"}
    if len(said) != 1:
        return None
    kind, key = like[0].kind, like[1]
    told = [d for d in story.lately() if d.kind is kind and key in d.values and d.status is Status.DONE]
    place = _ORDINALS[next(iter(said))]
    for alike in (told, [draft for draft in told if _fits(sentence, draft, rights)]):
        if -len(alike) <= place < len(alike) and _fits(sentence, alike[place], rights):
            return alike[place]
    return None


def _apart(sentence: Sentence, other: Draft, meant: Draft) -> bool:
    """Whether the place a sentence names tells two events apart."""
    places = {item.name for item in sentence.items if item.kind == "place"}
    return meant.place in places and other.place not in places


def _key_named(sentence: Sentence, item: Item) -> str:
    """Which value is named for a figure: the last named before it, else the first after it."""
    at = sentence.items.index(item)
    for other in (*reversed(sentence.items[:at]), *sentence.items[at:]):
        for _, key in _named(other):
            return key
    return ""


def _wrong(sentence: Sentence) -> Iterator[Item]:
    """The figures said to be wrong: "not five", "I said eight", "I called the lidocaine eight"."""
    misstated, asked_for = False, Status.PLANNED in sentence.cues and not sentence.texts & _WAS
    for before, item in pairwise([Item("mark", (0, 0), ""), *sentence.items]):
        if item.kind == "phrase":
            misstated = item.name == "misstated"
        elif item.kind == "denied" or (item.kind == "quantity" and _said_no(item) and not asked_for):
            yield item
        elif misstated and (
            item.kind == "quantity" or (item.kind == "drug" and item.figures) or "bare" in item.figures
        ):
            yield item
            misstated = False
        elif item.kind == "mark" and before.kind != "phrase":
            misstated = False


def _sizes_contrasted(sentence: Sentence) -> Iterator[tuple[dict[str, Quantity], dict[str, Quantity]]]:
    """Two sizes in one sentence, the first said to be wrong: "I called it five by forty, it was six by forty", "six by
    forty, not five by forty" -> the wrong one and the right one.
    """
    sized = [item for item in sentence.items if item.kind == "device" and {"diameter", "length"} <= item.figures.keys()]
    if len(sized) != 2 or Status.PLANNED in sentence.cues:
        return
    first, second = ({key: item.figures[key] for key in ("diameter", "length")} for item in sized)
    if all(first[key].value == second[key].value for key in first):
        return
    if any(item.name in {"misstated", "amendment"} for item in sentence.items):
        yield first, second
    elif sized[1].status is Status.NEGATED and sized[1].cue in _DENYING and sentence.texts & (_WAS | {"is", "'s"}):
        yield second, first


def _same(value: Quantity, said: Quantity) -> bool:
    """Whether a figure says what a value is already."""
    return in_thousands(said, value).value == value.value and said.unit in {None, value.unit}


def _said_no(item: Item) -> bool:
    if item.before in _STRIKING or (item.before == "not" and item.status is None):
        return True  # "strike twelve, the chart has ten", "ten mils altogether and not eight"
    near = item.before in {"not", "never", "of", "than", "by", "at", "to"}
    return near and item.status is Status.NEGATED and item.cue in _DENYING


#: Right before a figure: it was told, and is the wrong one.
_STRIKING = {"strike", "scratch", "scrap", "delete"}
#: … or only in a clause of what was not.
_DENYING = {"not", "never", "instead of", "rather than", "in place of"}


def _sized(sentence: Sentence) -> bool:
    """Whether a sentence gives another size: "five by sixty? No, five by eighty." is a plan put right."""
    return any(item.kind == "device" and item.figures and item.status is not Status.NEGATED for item in sentence.items)


def _names_any(sentence: Sentence) -> bool:
    return any(
        (item.kind in {"device", "drug"} and item.name != "needle") or item.meanings & _NAMED_BY.keys()
        for item in sentence.items
    )


def _names_gauge(sentence: Sentence) -> bool:
    """Whether a sentence speaks of what a balloon's pressure is read from, or of one time that it went up: "my gauge",
    "that popliteal go".
    """
    tokens = ("", "", *sentence.tokens, "")
    for at, token in enumerate(tokens):
        told = bool(_TELLS_WHICH & {*tokens[max(0, at - 2) : at]})
        if token in _GAUGES and (token != "gauge" or told or at == 2):
            return True
        if token == "go" and told and tokens[at + 1] in _WAS | {"at", "should", ","}:
            return True
    return False


def _fits(sentence: Sentence, draft: Draft, rights: Sequence[Quantity] = ()) -> bool:
    """Whether what a sentence names can be this event: the same device with its sizes, but for those put right, the
    same drug or finding, the kind, the side.
    """
    for item in sentence.items:
        if item.kind == "device" and item.where in _PLACES and _names_kind(sentence, draft.kind):
            continue  # "the dilatation after the stent": where it was, not what
        if item.name == "needle" and not item.figures:
            continue  # of a gauge, mostly
        if item.kind == "finding" and draft.kind is Kind.FINDING and draft.finding != item.name:
            return False
        if item.kind == "device" and any(
            key in draft.values and figure.value != draft.values[key].value and figure not in rights
            for key, figure in item.figures.items()
            if key in {"diameter", "length", "gauge", "wire_diameter"}
        ):
            return False
        if item.kind == "drug" and draft.drug != item.name:
            return False
        if item.kind == "side" and draft.kind is not Kind.TOTAL and draft.side not in {None, item.name}:
            return False
        if item.kind == "device" and item.role in {"inflation", "stent", "embolise"} and draft.kind != item.role:
            return False
        if item.kind == "device" and item.role == "insert" and draft.device != item.name:
            return False
        if (named := _named(item)) and draft.kind not in {kind for kind, _ in named}:
            return False
    return True


def _names_kind(sentence: Sentence, told: Kind) -> bool:
    return any(told is kind for item in sentence.items for kind, _ in _named(item))


def _changes(sentence: Sentence, draft: Draft, item: Item) -> Iterator[tuple[str, Quantity]]:
    """The values of an event that what is said here puts right."""
    if item.kind == "pair":
        keys = ("volume", "rate") if item.name == "at" else ("rate", "volume")
        pairs = list(zip(keys, item.figures.values(), strict=True))
    elif item.kind == "quantity":
        new = item.figures["value"]
        said = _key_named(sentence, item)
        pairs = [
            (key, new)
            for key, value in draft.values.items()
            if new.unit in {None, value.unit} and _rivals(value, new, 10) and said in {"", key}
        ]
        if new.value % 0.5 and new.unit is None:  # gauges are read to the half at most: common practice, no source
            pairs = [pair for pair in pairs if pair[0] != "pressure"]
        pressures = [pair for pair in pairs if pair[0] == "pressure"]
        if len(pairs) > 1 and pressures and not sentence.texts & _SIZING:
            pairs = pressures  # sizes are said two at a time
        pairs = pairs if len(pairs) == 1 else []
    else:
        pairs = list(item.figures.items())
    for key, new in pairs:
        old = draft.values.get(key)
        if old is not None and old.value != new.value:
            yield key, new


def _put_right(story: Story, draft: Draft, key: str, new: Quantity) -> None:
    """The value where it was told and, of a size, whatever was done with it."""
    old = draft.values[key]
    new = in_thousands(new, old)
    new = new.flagged("corrected", "conflict", unit=new.unit or old.unit, alternatives=(*new.alternatives, old.value))
    draft.values[key] = new
    done = [other.values for other in story.lately() if other.status is Status.DONE]
    holders = [*done, *(thing.values for thing in story.things)]
    for values in holders if key in KEPT_SIZES else ():
        if key in values and (values[key].words, values[key].value) == (old.words, old.value):
            values[key] = new


def _take_back(story: Story, draft: Draft, item: Item) -> None:
    """An event that did not happen after all; its device is not in use."""
    story.rule_out(draft, item, "taken-back")
    for thing in reversed(story.things):
        if thing.asked is draft or (thing.values and thing.values == draft.values):
            thing.where, thing.asked = "refused", None
            return
