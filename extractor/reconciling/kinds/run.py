"""Contrast injections: settings, by hand or by pump, and the word that starts them."""

from collections import deque
from dataclasses import replace
from itertools import pairwise, takewhile

from extractor.model import SIDES, Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.embolise import no_contrast
from extractor.reconciling.kinds.finding import SWELLINGS
from extractor.reconciling.kinds.injecting import (
    MOST_PUFF_ML,
    OTHER_PICTURES,
    SOON,
    SPOKEN,
    SUMS,
    agrees,
    as_well,
    before_go,
    by_hand_after,
    called_for,
    commanded,
    fills_by_volume,
    injects,
    of_contrast,
    picture_named,
    pictures_called,
    pours,
    same_as_told,
    then_seen,
    to_look,
    was_performed,
)
from extractor.reconciling.kinds.run_alike import (
    FIRST,
    NEVER_ALONE,
    SAME,
    Reference,
    as_last,
    changed_setting,
    only_alike,
    reference_to_earlier,
    refers,
)
from extractor.reconciling.kinds.run_words import (
    AFTER_VOLUME,
    BARE,
    PICTURES,
    after_at,
    alone,
    as_pictures,
    before_frames,
    called,
    counts_things,
    fixed_already,
    hand_headed,
    headed,
    in_all,
    in_ratio,
    is_picture,
    joined_by_and,
    just_held,
    left_as_it_is,
    put_right,
    told_with_rate,
    with_contrast,
    with_hand,
)
from extractor.reconciling.kinds.settings_pair import TREATING, pair_settings
from extractor.reconciling.kinds.settings_row import called_setting, settings_row
from extractor.reconciling.marks import MARKS
from extractor.reconciling.story import (
    MOST_THINGS,
    NO,
    NOT_DONE,
    Draft,
    Hearing,
    Story,
    carried,
    told_status,
)

#: What may also be said of other things than contrast: a command only where it stands alone, or never.
_TWO_WAYS = {"run", "fire", "go", "running", "cine", "acquire"}
#: Standing alone these start an injection, whatever was spoken of before.
_SHOOTS = {"cine", "acquire", "film", "shoot", "expose"}
#: Before one of these: it is a picture.
_OF_A_PICTURE = frozenset("the a old this that last first previous his her on earlier another".split())
#: After a "go" or "run": somebody or something moves.
_MOVES = {
    "after",
    "around",
    "away",
    "back",
    "to",
    "up",
    "down",
    "in",
    "out",
    "over",
    "on",
    "like",
    "off",
    "home",
    "for",
    "along",
    "deeper",
}
#: These start it where they stand alone.
_STARTS = frozenset(
    """
    now|please|x ray|start|action|let's see it|let us see it|then please|and now|away you go|here we go|okay go
    """.strip().split("|")
)
#: "By hand?": a question of no more different words, its mark among them, asks how much. Set by hand, no source.
_FEW = 4
#: More pictures a second are not taken: common practice, no source.
_MOST_FRAMES = 30
_UNITS = {"volume": "mL", "rate": "mL/s", "frame_rate": "/s"}
#: One injection is hardly larger: what is, is no volume of a run.
_MOST_ML = 100
#: How much may go in less than a second: rate to volume, where a picture is spoken of; common practice, no source.
_FASTEST = 1.5
#: After a volume that stands for an injection, what is seen follows.
_POURED_ENDS = frozenset({"", ",", ".", "...", "!", "again", "slowly", "gently", "there", "here", "now", "by", "only"})
#: A picture of one of these is taken with the pump, where one was taken so.
_WHOLE = frozenset("final completion closing big overview".split())
#: Behind settings: they are refused.
_NEVER = frozenset("nonsense never nope rubbish".split())
#: After "shoot" and a comma: it is a sigh.
_SIGHED = {(",", word) for word in "no nah nope yes yeah i he she they that it we you".split()}
#: What a speaker who thinks better of a volume says of the new one.
_ENOUGH = {"plenty", "enough", "lied", "rather", "only", "suffice", "suffices", "better", "instead", "do"}
#: These tell that it is one more, not the one just spoken of.
_ANEW = frozenset("another again repeat final last completion control check test post new now more fresh".split())
#: Told beside a volume: what a picture shows.
_VISIBLE = frozenset(
    """
    see sees shows showing fills filling opacifies opacified patent open brisk flow outflow lighting lights lit
    intraluminal extraluminal lumen staining static stasis stagnant blush leaking leaks bleeding pruned
    """.split()
)
#: Beside a volume: it is of something else.
_NO_CONTRAST = frozenset(
    """
    flush flushed saline air urine pus bile blood aspirate aspirated drained drain balloon heparinised syringe local
    skin foam glue lipiodol alcohol sac sclerosant
    """.split()
)
#: Before a device: contrast goes in that way.
_THROUGH = {"by", "through", "down", "via"}
#: Beside a volume: it does not go in, or comes out.
_NOT_GOING = frozenset("back out off aspirate draw drew take took comes came not before flush flushing wash".split())


#: "two mils to look": what goes in is contrast.
_LIGHT_HEADS = frozenset("please at to on is set now again with settings then for right left".split())
#: With a volume and these words alone, it goes in at once.
_NOTHING_ELSE = MARKS | {"and", "so", "now", "there", "here", "okay", "then", "another", "just", "again", "yes"}


class Runs(Hearing):
    """Hears settings ("eight at four"), pictures asked for, and "go"."""

    def __init__(self) -> None:
        self.pending: Draft | None = None  # told, not yet injected
        self.gone: Draft | None = None  # injected in this breath
        self.headed = False  # its name is all that was said of that one so far: "Renal run. Twenty at fifteen…"
        self.spoken = False  # a picture is spoken of in this breath
        self.waiting: Draft | None = None  # told in the breath before, with no word that started it
        self.loosened = -9  # number of the sentence of the last such volume
        self.loose: Item | None = (
            None  # a volume of this breath that nobody claimed yet: "three mils down the side arm. Inject."
        )
        self.breath = -1
        self.here: list[Draft] = []  # the runs this sentence tells of
        self.key = ""  # the setting told last in this sentence
        self.asked = ""  # the setting the sentence before asked for: "Frames? Three."
        self.much = False  # and whether in so many words: "How much by hand? Six."
        self.history: deque[Draft] = deque(maxlen=MOST_THINGS)
        self.pictures: dict[Draft, set[str]] = {}  # what each was called
        self.around: dict[Draft, set[str]] = {}  # the words of the breath each was told in
        self.said: set[str] = set()  # the words of this breath
        self.reference: Reference | None = None  # said in this breath: its run is as an earlier one
        self.alike = False  # that run has been told
        self.questioned = -9  # number of the last question
        self.asked_of: Draft | None = None  # and the run that was being told then
        self.fired: Draft | None = None  # the run of this breath that a command started

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.breath != self.breath:
            waited = self.waiting if self.waiting is not None and self._still_waits(story) else None
            shown = self.gone if self.gone is not None and self.gone.rule == "run/shows" else None
            self.waiting = self._settle(story) or waited or (shown if shown is not self.fired else None)
            self.gone, self.fired, self.headed, self.spoken, self.loose = None, None, False, False, None
            self.breath, self.said, self.reference = sentence.breath, set(), None
        self.here, self.key = [], ""
        self.spoken = self.spoken or bool(sentence.texts & SPOKEN and not pours(story))
        self.spoken = self.spoken or (story.topic == "run" and reference_to_earlier(story) is not None)
        self._read_back(story)
        as_pictures(sentence)
        pair_settings(story, self._known_pairs)
        self._start(story)
        self._changed(story)
        if self.spoken or called_for(story.following):
            self._in_row(story)
        self._row(story)

    def _known_pairs(self) -> set[tuple[float, float]]:
        """How fast and how much the injections so far went in."""
        told = (each.values for each in self.history if each.status not in NOT_DONE)
        return {(each["rate"].value, each["volume"].value) for each in told if each.keys() >= {"rate", "volume"}}

    def _still_waits(self, story: Story) -> bool:
        """ "Twelve at six." "Okay." "Ready?" "Go.": whether nothing else was told since settings were."""
        waiting = self.waiting
        soon = waiting is not None and story.sentence.breath - waiting.breath <= SOON
        return soon and story.topic == "run" and self.gone is None and not story.mentions("device", "drug", "finding")

    def _start(self, story: Story) -> None:
        """ "Twelve at six." "Now.": a word that starts nothing else, while settings wait."""
        sentence = story.sentence
        waiting = self.pending or self.waiting
        if waiting is None or sentence.question or not sentence.items:
            return
        if " ".join(token for token in sentence.tokens if token.isalpha()) not in _STARTS:
            return
        waiting.reach(sentence.words)
        self._recall(story, waiting)
        self.gone = self.fired = waiting
        self.pending = self.waiting = None

    def _read_back(self, story: Story) -> None:
        """ "Twelve at six." "Twelve, six. Set.": the settings that wait to be injected, said again."""
        waiting = self.pending or self.waiting
        figures = story.mentions("quantity")
        told = list(waiting.values.values()) if waiting is not None and waiting not in self.here else []
        said = [item.figures["value"] for item in figures]
        if waiting is None or not 2 <= len(said) <= len(told) or any(value.unit for value in said):
            return
        if {value.value for value in said} <= {value.value for value in told} and not story.mentions("device", "drug"):
            waiting.reach(figures[-1].words)
            for item in figures:
                item.used = True

    def _changed(self, story: Story) -> None:
        """ "Rate down to four.", "Volume fifteen this time.", "A bit more, fifteen. Go.": one setting of the run before
        is another now.
        """
        figures = story.mentions("quantity")
        if len(figures) != 1 or story.topic != "run" or not self.history or story.mentions("device", "drug", "finding"):
            return
        item, texts = figures[0], story.sentence.texts
        key = changed_setting(story.sentence.tokens, item)
        if not key and texts & {"more", "less"} and len(texts) <= _FEW + 2 and called_for(story.following):
            key = "volume"
        low, high = BARE
        value = item.figures["value"]
        if key and value.unit in {None, _UNITS[key]} and low <= value.value <= high and item.status is None:
            self._tell(story, item, {key: value.in_unit(_UNITS[key])})
            item.used = self.spoken = True

    def hear(self, story: Story, item: Item) -> bool:
        match item.kind:
            case "pair":
                return self._pair(story, item)
            case "quantity":
                return self._figure(story, item)
            case "action" if item.meanings & {"run", "go", "by hand", "by pump"}:
                return self._act(story, item)
            case "phrase" if item.name == "refused":
                return self._refused(story, item)
        return False

    def end(self, story: Story, sentence: Sentence) -> None:
        pictures = pictures_called(story)
        self.said |= sentence.texts
        if sentence.first in NO:
            self.reference = None  # "Same as before? No, twelve at six."
        if (reference := reference_to_earlier(story)) is not None:
            self.reference, self.alike = reference, False
            self.spoken = self.spoken or reference.of_settings or bool(reference.words & SAME)
        self._as_before(story, pictures)
        each = "each" in sentence.texts and any(
            one == "each" and other not in {"second", "sec"} for one, other in pairwise((*sentence.tokens, "."))
        )
        if self.here and (each or {"both", "planes"} <= sentence.texts):
            self._twice(story, self.here[-1])
        self._other_side(story)
        if not self.here and (made := was_performed(sentence.items)) is not None:
            self._new(story, made, Status.DONE, "run/performed")
        if not self.here and (named := picture_named(story)) is not None:
            self._take(story, named)
            if self.here and self.reference is not None:
                self._as_before(story, pictures)
        told = any(each.values for each in self.here)
        if not told and any(each.values for each in self.history) and only_alike(story):
            self._alike(story)
        if not self.here and (self._shows(story) or self._injected(story)):
            self._seen(story)
        self.pictures |= dict.fromkeys(self.here, pictures)
        self.around |= dict.fromkeys(self.here, self.said)
        label = called(reversed(sentence.items))
        self.asked = label if sentence.question and len(sentence.texts) <= 4 else ""
        asks = {"how", "much"} <= sentence.texts and self._speaks_of_pictures(story)
        by_hand = story.says("by hand") and len(sentence.texts) <= _FEW and not story.mentions("quantity", "pair")
        self.much = sentence.question and (asks or by_hand)
        self.asked = "volume" if self.much else self.asked
        if sentence.question:
            self.questioned = story.number
            self.asked_of = self.pending or self.gone or self.waiting or self._unset(story, self.asked)

    # --- settings ----------------------------------------------------------------------------------

    def _pair(self, story: Story, item: Item) -> bool:
        a, b = item.figures["a"], item.figures["b"]
        volume, rate = (b, a) if item.name == "for" and (b.value > a.value or a.unit in {"/s", "mL/s"}) else (a, b)
        pictures = self._speaks_of_pictures(story)
        self.spoken = self.spoken or story.says("again") or rate.unit in {"/s", "mL/s"}  # "four a second for eight"
        again = story.sentence.tokens[item.span[1] : item.span[1] + 1] == ("again",)
        fast = _FASTEST if pictures else 1.0
        if not (0.3 <= rate.value <= 40 and rate.value <= fast * volume.value) or volume.value > _MOST_ML:
            return False
        known = (rate.value, volume.value) in self._known_pairs()
        if volume.unit not in {None, "mL"} or (story.topic == "drug" and not (pictures or again or known)):
            return False
        values = {"volume": volume.in_unit("mL"), "rate": replace(rate, unit="mL/s")}
        if self.gone is not None and self._reads_back(story, values):
            self.gone.reach(item.words)
            return True
        if item.status is Status.NEGATED or self._turned_down(story, item):  # "Not twelve at five. Six at three."
            more = story.add(Kind.RUN, Status.NEGATED, item, "run/turned-down")
            more.values |= values
        elif self._on_other_side(story, item, values):
            self.gone = self.here[-1]
        elif self._puts_right(story):
            last = self.history[-1]
            last.values |= {key: value.flagged("corrected", "conflict") for key, value in values.items()}
            last.reach(item.words)
        else:
            self._tell(story, item, values)
        return True

    def _turned_down(self, story: Story, item: Item) -> bool:
        """ "The radiographer wants twenty at twenty, no way.": settings refused as soon as they are told, where others
        stand.
        """
        behind = story.sentence.tokens[item.span[1] :]
        refused = behind[:1] == (",",) and ({*behind[1:2]} & _NEVER or behind[1:3] == ("no", "way"))
        return bool(refused) and self._speaks_of_pictures(story)

    def _on_other_side(self, story: Story, item: Item, values: dict[str, Quantity]) -> bool:
        """ "Right, fifteen at six. Left, fifteen at six.": the same settings told once more, of the other side."""
        last = self.pending or self.gone
        sides = [other for other in story.mentions("side") if other.name in SIDES]
        leads = {token for token in story.sentence.tokens[: item.span[0]] if token.isalpha()} - {"the", "on", "and"}
        heads = len(leads) == 1 and leads <= SIDES  # "Left, fifteen at six."
        near = [other for other in sides if other in story.clause() or other.words[0] >= item.words[1] or heads]
        side = near[0].name if near else None
        if last is None or last.breath != story.sentence.breath or side is None:
            return False
        if (last.beside or (last.side if heads else None)) in {None, side}:
            return False
        if any(key not in last.values or last.values[key].value != value.value for key, value in values.items()):
            return False
        self._twice(story, last)
        self.here[-1].side = self.here[-1].beside = side
        self.here[-1].words = item.words
        return True

    def _puts_right(self, story: Story) -> bool:
        """ "Sorry, I mixed them up, it was nine at three": settings that put right those of the run just told."""
        sorry = any(item.corrects for item in story.behind())
        told = self.history and self.pending is None and story.sentence.breath - self.history[-1].breath <= 1
        return bool(sorry and told and "was" in story.sentence.texts and not story.says("run", "go"))

    def _reads_back(self, story: Story, values: dict[str, Quantity]) -> bool:
        """ "Inject, fifteen for thirty. Fifteen for thirty. Shoot.": the settings alone, as they were just told."""
        alone = all(other.kind in {"pair", "mark"} for other in story.sentence.items)
        same = self.gone is not None and self.gone.breath == story.sentence.breath and self.gone not in self.here
        told = self.gone.values if self.gone is not None else {}
        return alone and same and all(key in told and told[key].value == value.value for key, value in values.items())

    def _in_row(self, story: Story) -> None:
        """ "Thirty, fifteen, three.", "Ten and five. Go.": the settings alone, volume, rate and frames."""
        figures = story.mentions("quantity")
        first = story.sentence.items.index(figures[0]) if figures else 0
        heads = [
            item for item in story.sentence.items[:first] if item.kind == "action"
        ]  # "Injector, twelve, four, two."
        alone = all(item.kind in {"quantity", "mark"} or item.text == "at" for item in story.sentence.items[first:])
        alone = alone and all(item.meanings & {"by pump", "run"} for item in heads)
        if heads and figures:  # not "pump the cuff, twelve, four, two"
            between = story.sentence.tokens[heads[-1].span[1] : figures[0].span[0]]
            alone = alone and not any(token.isalpha() and token not in _LIGHT_HEADS for token in between)
        bare = alone and all(item.figures["value"].unit is None and item.status is None for item in figures)
        two = len(figures) == 2 and called_for(story.following) and story.topic not in TREATING | {"drug"}
        if not bare or not (two or len(figures) == 3) or not story.sentence.tokens[0].isalnum():
            return
        said = [item.figures["value"] for item in figures]
        falling = all(one.value >= other.value for one, other in pairwise(said))
        if not falling or said[0].value > _MOST_ML or (len(said) > 2 and said[2].value > _MOST_FRAMES):
            return
        keys = zip(_UNITS.items(), said, strict=False)
        values = {key: value.in_unit(unit) for (key, unit), value in keys}
        self._tell(story, figures[-1], values)
        for item in figures:
            item.used = True

    def _row(self, story: Story) -> None:
        """ "Inject fifteen, flow of seven.": volume and rate in one sentence about contrast."""
        row = settings_row(story)
        texts = story.sentence.texts
        in_all = {"per", "second"} <= texts and bool(texts & {"all", "total", "together"})
        named = in_all or bool(texts & {"rate", "flow", "volume"})
        labelled = named and story.topic not in TREATING | {"drug"}
        flows = {item.figures["value"].unit for item in row.values()} >= {"mL", "/s"}  # "four a second and twelve mils"
        labelled = labelled or (flows and story.topic not in TREATING | {"drug"})
        spoken = labelled or self._speaks_of_pictures(story) or story.says("go") or called_for(story.following)
        if not row or not spoken:
            return
        self.spoken = self.spoken or labelled
        values = {key: replace(item.figures["value"], unit=_UNITS[key]) for key, item in row.items()}
        named_so = {key for key, item in row.items() if called_setting(story.sentence.tokens, item)}
        values = {
            key: value if key in named_so or row[key].figures["value"].unit else value.flagged("unit-assumed")
            for key, value in values.items()
        }
        self._tell(story, row["volume"], values)
        for item in row.values():
            item.used = True

    def _figure(self, story: Story, item: Item) -> bool:
        quantity = item.figures["value"]
        if quantity.unit == "/s":
            return self._per_second(story, item, quantity)
        if quantity.unit == "mL/s":
            self._tell(story, item, {"rate": quantity})
            return True
        if quantity.unit == "s":
            return self._over(story, item, quantity)
        poured = any(other.role == "embolise" for other in story.behind()) and not story.says("contrast", "by hand")
        if quantity.unit == "mL" and quantity.value <= _MOST_ML and not poured:
            if (
                (self._speaks_of_pictures(story) and not (story.mentions("drug") and not story.says("run")))
                or (by_hand_after(story) and not story.mentions("drug"))
                or before_go(story)
                or of_contrast(story, quantity)
                or with_contrast(story, item)
            ):
                self._tell(story, item, {"volume": quantity})
                return True
            other = story.sentence.texts & _NO_CONTRAST - {"drain"} or story.mentions("drug")
            self.loose = None if other else item
            self.loosened = story.number
        elif quantity.unit is None and (key := self._bare(story, item, quantity)):
            self._tell(story, item, {key: quantity.in_unit(_UNITS[key])})
            return True
        elif quantity.unit is None and (keys := before_frames(story, item)):
            for key, figure in keys.items():
                self._tell(story, figure, {key: figure.figures["value"].in_unit(_UNITS[key])})
                figure.used = True
            return True
        return False

    def _bare(self, story: Story, item: Item, quantity: Quantity) -> str:
        """Which setting a number alone is: as it is called or was asked for, a rate after "at", a slip put right, the
        volume of a second place or one said right before the command. Empty where it is none.
        """
        low, high = BARE
        small = 0 < quantity.value < low and hand_headed(story, item)  # "Hand, zero point five."
        if not small and (quantity.form in {"leading-zero", "year"} or not low <= quantity.value <= high):
            return ""
        if counts_things(item):
            return ""
        draft = self.pending or self.gone
        told = draft.values if draft is not None else {}
        if "volume" not in told and (with_contrast(story, item) or hand_headed(story, item)):
            self.spoken = True
            return "volume"
        label = self.asked or called(story.behind()) or left_as_it_is(story, item)
        if item.after == "total" and self._speaks_of_pictures(story) and before_go(story):
            return "volume"  # "only ten total… go"
        if in_all(story, item) and self._speaks_of_pictures(story) and "volume" not in told:
            return "volume"  # "at four, eight in all, three frames"
        asked_of = self.asked_of if self.asked and story.number - self.questioned <= 1 else None
        told = asked_of.values if asked_of is not None and draft is None else told
        spoken = draft is not None or bool(self.asked) or self._speaks_of_pictures(story)
        if item.before in PICTURES and draft is not None and quantity.value <= _MOST_FRAMES and alone(item):
            label = label or "frame_rate"  # "six a second, thirty in all. Pictures three."
        if label and label not in told and spoken:
            self.asked = ""
            return label
        if after_at(story):
            if "rate" in told and draft is not None and draft.breath == story.sentence.breath and put_right(story):
                told["rate"] = told["rate"].flagged("carried-over")  # gives way to this one
                item.figures["value"] = quantity.flagged("corrected")
                return "rate"
            to_come = any(in_all(story, other) for other in story.ahead()) or reference_to_earlier(story) is not None
            alike = story.topic == "run" and reference_to_earlier(story) is not None
            awaited = "volume" in told or alike or (self._speaks_of_pictures(story) and to_come)
            return "rate" if awaited and "rate" not in told else ""
        if just_held(story):
            return "volume" if "rate" in told and "volume" not in told else ""
        if self.key and draft in self.here and put_right(story):
            told[self.key] = told[self.key].flagged("carried-over")  # gives way to this one
            item.figures["value"] = quantity.flagged("corrected")
            return self.key
        if self.here and "volume" in self.here[-1].values and item.after in {"at", "in", "for", "from", "on"}:
            return "volume" if joined_by_and(story) else ""
        before = next((other for other in story.behind() if other.text != ","), None)
        if injects(story, item, before) and "volume" not in told:
            return "volume"
        if before is not None and "run" in before.meanings and ("puff" in before.text or "hand" in before.text):
            return "volume"
        if self._less(story, quantity):
            told["volume"] = told["volume"].flagged("carried-over")  # gives way to this one
            item.figures["value"] = quantity.flagged("corrected")
            return "volume"
        if as_well(story, item, self.history):
            return "volume"
        if same_as_told(item, self.history) and self._speaks_of_pictures(story):
            return "volume"
        alike = story.topic == "run" and story.sentence.first == "again" and reference_to_earlier(story) is not None
        if alike and item.before in {",", "but", "with", "again"} and item.after in AFTER_VOLUME | {"this"}:
            return "volume"  # "Again, but thirty this time."
        if "volume" not in told and (headed(story, item) or self._just_named(story, item)):
            return "volume"
        alone_here = (alone(item) or with_hand(story, item) or item.after == "on") and not (
            draft in self.here and "volume" in told
        )
        if alone_here and self._volume_of(story, item):
            return "volume"
        asked_for = "contrast" in story.sentence.texts or any(
            other.kind == "action" and other.meanings & {"again", "run"} for other in story.behind()
        )
        return "volume" if asked_for and not self.key and before_go(story, straight=True) else ""

    def _just_named(self, story: Story, item: Item) -> bool:
        """ "Hand shot. Four.": a figure alone right after a picture of which nothing else is told."""
        alone = all(other is item or other.kind == "mark" for other in story.sentence.items)
        near = self.gone is not None and not self.gone.values and story.number - self.gone.number == 1
        return alone and near and story.topic == "run" and item.figures["value"].value <= MOST_PUFF_ML

    def _less(self, story: Story, quantity: Quantity) -> bool:
        """ "I lied, five is plenty": another volume, before the one told is injected."""
        draft = self.pending
        if draft is None or "volume" not in draft.values or draft in self.here or draft.breath != story.sentence.breath:
            return False
        return bool(story.sentence.texts & _ENOUGH) and quantity.value <= 3 * draft.values["volume"].value

    def _volume_of(self, story: Story, item: Item) -> bool:
        """ "by hand, ten", "hand run through the micro, three", "we inject twenty, at five"."""
        if "again" in {item.after, item.before} and self._speaks_of_pictures(story):
            volumes = [each.values["volume"].value for each in self.history if "volume" in each.values]
            return item.figures["value"].value in volumes
        by_hand = any("by hand" in other.meanings and other.text != "hand" for other in story.sentence.items)
        if by_hand and item.figures["value"].value <= MOST_PUFF_ML:
            return True
        ahead = [other for other in story.ahead() if other.text != ","][:2]
        at = len(ahead) == 2 and ahead[0].text == "at" and ahead[1].kind == "quantity"
        return at and self._speaks_of_pictures(story)

    def _over(self, story: Story, item: Item, seconds: Quantity) -> bool:
        """ "fifteen mils over two seconds": the rate."""
        before = story.before()
        if before is None or before.text not in {"over", "in"} or seconds.value <= 0:
            return False
        if self.loose is not None and not self.loose.used and self.loose.span[1] == before.span[0]:
            self._tell(story, self.loose, {"volume": self.loose.figures["value"]})
            self.loose.used = self.spoken = True
        draft = self.pending or self.gone
        if draft is None or draft not in self.here:
            return False
        volume = draft.values.get("volume")
        if volume is None or "rate" in draft.values:
            return False
        rate = round(volume.value / seconds.value, 3)
        draft.values["rate"] = replace(seconds, value=rate, unit="mL/s")
        draft.reach(item.words)
        return True

    def _per_second(self, story: Story, item: Item, quantity: Quantity) -> bool:
        self.spoken = self.spoken or quantity.of_pictures
        draft = self.pending or self.gone
        volume = told_with_rate(story, item, self._speaks_of_pictures(story)) if not quantity.of_pictures else None
        if volume is not None and (draft is None or not draft.values.keys() & {"volume", "rate"}):
            value = volume.figures["value"].in_unit("mL")
            self._tell(story, volume, {"volume": value, "rate": replace(quantity, unit="mL/s")})
            volume.used = self.spoken = True
            return True
        if draft is None and not (quantity.of_pictures or self._speaks_of_pictures(story)):
            return False
        before = story.sentence.items[story.index - 1] if story.index else None
        told = draft.values if draft is not None else {}
        close = before is None or before.kind == "quantity" or (before.kind == "mark" and before.text == ",")
        pictures = any(other.figures["value"].of_pictures for other in story.mentions("quantity") if other is not item)
        putting_right = put_right(story) and not fixed_already(story, told.get("rate"))
        fixed = self.key == "rate" and putting_right and not quantity.of_pictures
        if fixed and "rate" in told:
            told["rate"] = told["rate"].flagged("carried-over")  # gives way to this one
        flow = not quantity.of_pictures and (
            fixed or quantity.value == told["rate"].value
            if "rate" in told
            else pictures
            or {"same", "volume"} <= story.sentence.texts
            or ("volume" in told and (after_at(story) or (quantity.value >= 3 and close)))
        )
        key = "rate" if flow else "frame_rate"
        if not flow and len(self.here) > 1 and story.sentence.texts & {"both", "each", "all"}:
            for each in self.here:
                each.values.setdefault(key, quantity)
            return True
        self._tell(story, item, {key: replace(quantity, unit=_UNITS[key])})
        return True

    def _tell(self, story: Story, item: Item, values: dict[str, Quantity]) -> None:
        """Settings said: of the run being told, or of a new one where they cannot be the same."""
        draft = next(
            (each for each in (self.pending, self.gone) if each and self._takes(story, each, item, values)), None
        )
        draft = draft or self._awaited(story, values)
        if draft is None and (other := self._instead(story, values) or self._mended(story, values)) is not None:
            draft, values = other, {key: value.flagged("corrected") for key, value in values.items()}
        if draft is None:
            self._settle(story)
            self.gone = None
            draft = self.pending = self._new(story, item, told_status(item), "run/settings")
        draft.reach(item.words)
        draft.values |= values
        self.key = next(reversed(values))
        if draft not in self.here:
            self.here.append(draft)

    def _awaited(self, story: Story, values: dict[str, Quantity]) -> Draft | None:
        """The run of a breath before that is not injected yet, where these are its settings said again, those that were
        asked for since, or the first it gets: "A run, please." "Rate?" "Six."
        """
        asked = self.asked_of if story.number - self.questioned <= 1 else None
        waiting = self.waiting or asked or self._unset(story)
        if waiting is None or any(item.text not in {"?"} and item.corrects for item in story.sentence.items):
            return None
        if waiting.values and _is_of_other_side(story, waiting):
            return None  # "Left leg, eleven by hand." "Right leg, eleven as well."
        again = all(key in waiting.values and waiting.values[key].value == value.value for key, value in values.items())
        if again and "rate" not in waiting.values and "again" in story.sentence.texts:
            return None  # "Dye, four." "Dye, four again."
        missing = not values.keys() & waiting.values.keys() and (self.asked_of is waiting or not waiting.values)
        denied = story.sentence.first in NO and story.number - self.questioned <= 1
        if not (again or missing or denied):
            return None
        if denied:
            waiting.values |= {key: value.flagged("corrected") for key, value in values.items()}
        self._recall(story, waiting)
        self.pending, self.waiting = waiting, None
        return waiting

    def _unset(self, story: Story, label: str = "") -> Draft | None:
        """The run told last, where none of its settings are known yet, or not the one that is asked for, and nothing
        else was told since.
        """
        last = story.drafts[-1] if story.drafts else None
        if last is None or last.kind is not Kind.RUN or last.status is not Status.DONE:
            return None
        if last.values and (not label or label in last.values):
            return None
        soon = story.sentence.breath - last.breath <= SOON and last in self.history
        return last if soon and story.number - self.questioned <= SOON else None

    def _instead(self, story: Story, values: dict[str, Quantity]) -> Draft | None:
        """ "Ten at five? … Five at three. Inject": the run of this breath, not started yet, whose settings give way."""
        draft = self.pending or (self.gone if self.headed else None)
        if draft is None or story.dictated or draft.breath != story.sentence.breath:
            return None
        since = takewhile(lambda item: item.kind != "pair", story.behind())
        if draft in self.here and any(item.text == "and" for item in since):
            return None  # "five at two, foot, and eight at four, thigh"
        if not {"volume", "rate"} <= values.keys() & draft.values.keys():
            return None
        spots = [item for item in story.sentence.items if item.kind == "side" or (item.kind == "place" and draft.place)]
        if any(spot.name not in {draft.place, draft.side} for spot in spots):
            return None
        for key, value in draft.values.items():
            draft.values[key] = value.flagged("carried-over")
        return draft

    def _mended(self, story: Story, values: dict[str, Quantity]) -> Draft | None:
        """ "six mils, or, no, say eight, by hand": the run of this sentence, where one of its settings is put right."""
        draft = self.pending
        if draft is None or draft not in self.here or not values.keys() <= draft.values.keys() or not put_right(story):
            return None
        draft.values |= {key: draft.values[key].flagged("carried-over") for key in values}  # give way to these
        return draft

    def _takes(self, story: Story, draft: Draft, item: Item, values: dict[str, Quantity]) -> bool:
        """Whether settings can be of this run: it has none of the kind yet, has just the same, or is put right."""
        known = {key: draft.values[key] for key in values if key in draft.values}
        rivals = [key for key, value in known.items() if "carried-over" not in value.flags]
        if not rivals:
            return True
        if (draft is not self.pending and not self.headed) or _is_another(story, draft):
            return False
        return any("corrected" in value.flags for value in item.figures.values()) or all(
            known[key].value == values[key].value for key in rivals
        )

    def _new(self, story: Story, item: Item, status: Status, rule: str) -> Draft:
        draft = story.add(Kind.RUN, status, item, rule)
        self.history.append(draft)
        self.here.append(draft)
        story.topic = "run"
        return draft

    # --- the picture -------------------------------------------------------------------------------

    def _shows(self, story: Story) -> bool:
        """ "Ten mils, we see the branch": whether a volume nobody claimed stands beside what a picture shows."""
        loose, sentence = self.loose, story.sentence
        if loose is None or loose.used or loose.status is not None or sentence.question:
            return False
        if loose not in sentence.items and not self._just_poured(story):
            return False
        other = sentence.texts & (_NO_CONTRAST | SUMS | OTHER_PICTURES) or story.mentions("drug")
        findings = story.mentions("finding")
        if any(item.name in SWELLINGS for item in findings):
            return False  # "a pseudoaneurysm, eight mil"
        seen = sentence.texts & _VISIBLE or any(item.status is not Status.PAST for item in findings)
        fills = fills_by_volume(story) and "contrast" not in sentence.texts
        return bool(seen and not other and not fills) and loose.figures["value"].value <= MOST_PUFF_ML

    def _just_poured(self, story: Story) -> bool:
        """ "One millilitre, slowly. No embolus.": whether a volume was all that the sentence before told."""
        alone = self.loosened == story.number - 1 and not story.mentions("quantity", "device", "drug", "pair")
        alone = alone and self.said.isdisjoint(_NO_CONTRAST | _NOT_GOING)
        return alone and self.loose is not None and self.loose.after in _POURED_ENDS

    def _injected(self, story: Story) -> bool:
        """ "four mils by the sheath, now", "again six mils, now": whether a volume nobody claimed is said to go in."""
        loose, sentence = self.loose, story.sentence
        if loose is None or loose.used or loose.status in NOT_DONE or loose not in sentence.items or sentence.question:
            return False
        if fills_by_volume(story) or sentence.texts & (SUMS - {"now"} | _NOT_GOING):
            return False
        again = story.says("again") and any(agrees(each, "volume", loose.figures["value"]) for each in self.history)
        now = [token for token in sentence.tokens if token.isalpha()][-1] == "now"
        through = any(
            item.kind == "device" and _THROUGH & set(sentence.tokens[max(0, item.span[0] - 3) : item.span[0]])
            for item in sentence.items
        )
        said = {*sentence.tokens[: loose.span[0]], *sentence.tokens[loose.span[1] :]}
        bare = said <= _NOTHING_ELSE and bool(said & {"now", "there", "here"})  # "and eight mils... there"
        bare = bare or (said <= _NOTHING_ELSE and "again" in said and bool(self.history))  # "Two mils again."
        looks = to_look(sentence)
        looks = looks or (
            loose.after == "to" and ("a", "look") in pairwise(sentence.tokens)
        )  # "two mils to have a look"
        return loose.figures["value"].value <= MOST_PUFF_ML and (through or bare or looks or (now and again))

    def _seen(self, story: Story) -> None:
        assert self.loose is not None
        self.gone = self._new(story, self.loose, Status.DONE, "run/shows")
        self.gone.values["volume"] = self.loose.figures["value"]
        self.loose.used = True

    def _take(self, story: Story, item: Item) -> None:
        """A picture only named: the one whose settings were told just before, else one more."""
        waiting = self.waiting if story.topic == "run" and self.reference is None else None
        started = self.pending or self.gone or waiting
        if started is not None:
            started.reach(item.words)
            self._recall(story, started)
            return
        lately = story.recent(Kind.RUN, 2, Status.DONE)
        anew = self.reference is not None or _ANEW & (story.sentence.texts | set(item.text.split()))
        heading = story.sentence.tokens[item.span[1] :][:1] == (":",)  # "… Run." "Completion: a small leak."
        if lately is not None and (not anew or (heading and self.reference is None)):
            return
        self.gone = self._new(story, item, Status.DONE, "run/named")
        self.headed = not self._one_more()
        self._fill(self.gone)

    def _act(self, story: Story, item: Item) -> bool:
        picture = "run" in item.meanings
        if item.status is Status.NEGATED:
            if picture and (item.cue.startswith("no") or is_picture(item)):
                story.add(Kind.RUN, Status.NEGATED, item, "run/ruled-out")
                return True
            called = item.meanings & {"run", "go"} and not item.text.startswith("give")
            if called and item.cue in {"not", "don't", "do not", "never"}:
                self._call_off(story)
        if picture or item.meanings & {"by hand", "by pump"}:
            self.spoken = True
            if item.status in {Status.CONSIDERED, Status.PAST, Status.QUOTED}:
                return False
        if "go" in item.meanings and item.status not in {Status.NEGATED, Status.CONSIDERED, Status.PAST}:
            return self._go(story, item)
        return picture

    def _refused(self, story: Story, item: Item) -> bool:
        """ "the second aortogram I had in mind, and we are not doing it": the picture last named is not taken."""
        named = next((other for other in story.behind() if other.kind in {"device", "drug", "finding", "action"}), None)
        if named is None or not is_picture(named) or named.used or self.here:
            return False
        story.add(Kind.RUN, Status.NEGATED, named, "run/ruled-out")
        return True

    def _call_off(self, story: Story) -> None:
        """ "no, wait, don't run yet": the run told just before stays planned, in doubt."""
        last = story.recent(Kind.RUN, 2, Status.DONE)
        if last is not None and last.breath < story.sentence.breath:
            last.status = Status.PLANNED
            last.flags.add("conflict")
            self.pending = None if self.pending is last else self.pending

    def _go(self, story: Story, item: Item) -> bool:
        moves = item.text in _TWO_WAYS and (item.after in _MOVES or item.before == "let")
        if item.text == "shoot" and story.sentence.tokens[item.span[1] : item.span[1] + 2] in _SIGHED:
            return False  # "Shoot, no."
        self.headed = False
        if self.pending is not None and not moves:
            self.pending.reach(item.words)
            self.gone = self.fired = self.pending
            self.pending = None
            return True
        started = self.gone or (self.waiting if not moves and story.topic == "run" else None)
        if started is not None and not (self._one_more() and (item.text == "go" or commanded(story, item))):
            started.reach(item.words)
            self._recall(story, started)
            self.gone = self.fired = started
            self.waiting = None
            return True
        if (
            not (self.spoken or story.says("settings"))
            or moves
            or (item.text in _TWO_WAYS and not commanded(story, item))
            or item.text in NEVER_ALONE
            or (item.text in _SHOOTS and item.before in _OF_A_PICTURE)
            or (story.topic == "drug" and not (item.text in _SHOOTS and item.before in MARKS | {""}))
            or no_contrast(story, item)
        ):
            return False
        self.gone = self.fired = self._new(story, item, Status.DONE, "run/go")
        self.headed = "run" in item.meanings and not self._one_more()
        self._fill(self.gone)
        return True

    def _recall(self, story: Story, draft: Draft) -> None:
        """ "Twenty-five at fifteen." "Okay, injecting.": what might have been anything is what is injected now."""
        if draft is self.waiting and draft not in self.history:
            story.drafts.append(draft)
            self.history.append(draft)

    def _one_more(self) -> bool:
        """Whether what was said since the last injection is of another: a volume, or that it is as an earlier one."""
        alike = self.reference is not None and not self.alike and self.gone is self.fired
        return alike or (self.loose is not None and not self.loose.used)

    def _fill(self, draft: Draft) -> None:
        """ "Four mils. Cine.": the volume of this breath that nobody claimed is of the injection that follows it."""
        if self.loose is not None and not self.loose.used:
            draft.values["volume"] = self.loose.figures["value"]
            draft.reach(self.loose.words)
            self.loose.used = True

    def _settle(self, story: Story) -> Draft | None:
        """Settings told and never contradicted count as injected: nobody reads settings out for nothing; returned."""
        draft, self.pending = self.pending, None
        if draft is None or draft not in story.lately():
            return None
        told, rate = [draft.values[key] for key in ("volume", "rate") if key in draft.values], draft.values.get("rate")
        guessed = (
            bool(told)
            and draft.rule == "run/settings"
            and all("unit-assumed" in value.flags or (value is rate and len(told) > 1) for value in told)
            and "frame_rate" not in draft.values
            and not self.spoken
        )
        if guessed and ((draft.place and in_ratio(told)) or then_seen(story, draft)):
            draft.flags.add("no-procedure")  # it may be other talk
        elif guessed or not draft.values.keys() & {"volume", "rate"}:
            story.forget(draft)
            if draft in self.history:
                self.history.remove(draft)
            return draft if guessed else None
        return draft

    # --- the same again ----------------------------------------------------------------------------

    def _as_before(self, story: Story, pictures: set[str]) -> None:
        """ "same run again", "with the earlier settings", "same frames": what an earlier run had and this one does not
        say is carried over.
        """
        named = refers(story)
        reference = self.reference or Reference(story.sentence.texts, last=as_last(story.sentence.tokens))
        bare = self.gone is not None and not self.gone.values.keys() & {"volume", "rate"}
        named_only = self.gone if bare else None  # "Run. Same as before?"
        draft = self.here[-1] if self.here else named_only
        if named is None and (self.reference is None or draft is None):
            return
        earlier = [
            each for each in self.history if each.values and each.status not in NOT_DONE and each not in self.here
        ]
        earlier = [each for each in earlier if each is not draft]
        if draft is None:
            assert named is not None
            if (
                not earlier
                or named.status in NOT_DONE
                or not named.meanings & {"run", "by hand", "by pump", "settings"}
            ):
                return
            if {*story.sentence.tokens[max(0, named.span[0] - 3) : named.span[0]]} & {"on", "from", "off"}:
                return  # "on that same run the iliac measured seven": looked at once more
            draft = self._new(story, named, Status.DONE, "run/same-again")
            self.gone = draft
        self.alike = True
        earlier = [each for each in earlier if self.pictures[each] & pictures] or earlier
        models, sure = self._models(story, draft, earlier, reference)
        if not models:
            return
        doubtful = not (reference.of_settings or reference.words & FIRST)
        said = dict(draft.values)
        hand = story.says("by hand")
        factors = reference.factors
        frames_only = reference.frames_only or (
            "frames" in reference.words and not reference.words & {"run", "settings", "picture", "volume", "rate"}
        )
        for key, value in models[-1].values.items():
            if (key == "rate" and hand) or (key in said and "carried-over" not in said[key].flags):
                continue
            if frames_only and key != "frame_rate" and said:
                continue
            draft.values[key] = carried(value)
            if key in factors:
                computed = round(value.value * factors[key], 3)
                draft.values[key] = value.flagged("carried-over", "approximate", value=computed)
            other = any(key in each.values and each.values[key].value != value.value for each in earlier)
            if not sure and (other or (doubtful and key not in earlier[-1].values)):
                draft.values[key] = draft.values[key].flagged("which-run")

    def _alike(self, story: Story) -> None:
        """ "Control with the same values.": one more, with all that the last one had."""
        started = self.gone if self.gone is not None and not self.gone.values else None
        mark = next(iter(story.sentence.items), Item("mark", story.sentence.words, ""))
        if started is None:
            self.gone = self._new(story, mark, Status.DONE, "run/same-again")
        elif started not in self.here:
            self.here.append(started)
            started.reach(mark.words)
        self.reference, self.spoken = self.reference or Reference(story.sentence.texts), True
        self._as_before(story, set())

    def _models(
        self, story: Story, draft: Draft, earlier: list[Draft], reference: Reference
    ) -> tuple[list[Draft], bool]:
        """The earlier runs that can be meant, the likeliest last, and whether the words leave no doubt which: the first
        or the last, by hand or by pump, the one of what is named, or one with the settings said here.
        """
        words = reference.words
        alike = [each for each in earlier if "check" in words & self.around[each]]  # "same check run again"
        earlier = alike or earlier
        by = (
            [each for each in earlier if "frame_rate" in each.values] if reference.frames_only
            else [each for each in earlier if "rate" in each.values] if "pump" in words
            else [each for each in earlier if "rate" not in each.values] if words & {"hand", "puff"}
            else [each for each in earlier if "frame_rate" in each.values] if "frames" in words
            else [each for each in earlier if "rate" in each.values] if reference.of_settings or not draft.values
            else []
        )  # fmt: skip
        pumped = {tuple(each.values[key].value for key in ("rate", "volume") if key in each.values) for each in by}
        whole = by and len(pumped) == 1 and not words & {"hand", "puff"} and self._is_whole(story, reference)
        earlier = by or earlier
        of = [each for each in earlier if reference.of and reference.of <= self.around[each]]
        known = bool(of) or not reference.of
        earlier = of or earlier
        if words & FIRST or {"number", "one"} <= words:
            return earlier[:1], known
        agreeing = [each for each in earlier if all(agrees(each, key, value) for key, value in draft.values.items())]
        there = [each for each in earlier if draft.place and (each.place, each.side) == (draft.place, draft.side)]
        for wanted in (set(agreeing), set(there)):
            earlier = [each for each in earlier if each in wanted] or earlier
        by_hand = "hand" in words and len({value.value for each in earlier for value in each.values.values()}) == 1
        nailed = reference.last or "pump" in words or whole or by_hand or bool(draft.values) or bool(of)
        return earlier, known and nailed

    def _is_whole(self, story: Story, reference: Reference) -> bool:
        """Whether an injection is by the pump by what is said of it: the last of a case, an artery's name with "gram",
        or a catheter for the pump goes up for it.
        """
        if reference.words & _WHOLE or ("last" in reference.words and not reference.last) or pictures_called(story):
            return True
        return bool({"pigtail", "flush"} & self.said) and "out" not in self.said

    def _other_side(self, story: Story) -> None:
        """ "twenty on the left… same on the right", "Same on the right.": one more, of the other side."""
        last = self.here[-1] if self.here else story.recent(Kind.RUN, 1, Status.DONE)
        sides = [item for item in story.mentions("side") if item.name in SIDES]
        if last is None or len(self.here) > 1 or not sides or (not self.here and story.topic != "run"):
            return
        first = sides[0] if self.here else None
        if (first.name if first is not None else last.side) == sides[-1].name or story.mentions("device", "drug"):
            return
        since, said = first.words[1] if first is not None else 0, sides[-1].span[0]
        again = [item for item in story.mentions("action") if "same" in item.text and item.words[0] >= since]
        tokens = story.sentence.tokens
        if any(not {"as", "like"} & {*tokens[item.span[1] : said]} for item in again):  # not "same as on the right"
            last.side = first.name if first is not None else last.side
            self._twice(story, last)
            self.here[-1].side = sides[-1].name
            self.gone, self.alike = self.here[-1], True

    def _twice(self, story: Story, draft: Draft) -> None:
        """ "three for nine on each", "in both planes": one more with the same settings."""
        other = replace(draft, values=dict(draft.values), flags=set(draft.flags))
        story.drafts.append(other)
        self.history.append(other)
        self.here.append(other)

    def _speaks_of_pictures(self, story: Story) -> bool:
        return self.spoken or story.says("run", "by hand", "by pump", "opacify")


def _is_of_other_side(story: Story, draft: Draft) -> bool:
    sides = {item.name for item in story.sentence.items if item.kind == "side" and item.name in SIDES}
    return bool(sides) and draft.side is not None and draft.side not in sides


def _is_another(story: Story, draft: Draft) -> bool:
    """ "Hand injection left, six." after one of the right, "another puff, two": one more with the same settings."""
    anew = bool(story.sentence.texts & {"another", "again"}) or _is_of_other_side(story, draft)
    return draft.number < story.number and anew
