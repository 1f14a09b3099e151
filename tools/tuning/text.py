"""Writes the texts a recogniser is trained on: cases, sentences made from the lexicons, and ordinary talk.

    python tools/tuning/text.py OUT [--cases FOLDER[:LETTERS] …] [--scenes FOLDER] [--open-data FOLDER] [--sentences 4000]

``OUT`` gets ``cases.jsonl`` (the cases given; LETTERS are left out, so that speakers can be kept aside as judges),
``scenes.jsonl`` (scenes as tools/second_reader reads them, the short ones some together), ``made.jsonl`` (sentences of our own making) and ``ordinary.jsonl`` (everyday talk and, where a folder of open data is
given, what people say in consultations and over the radio). One document a line, ``{"id": …, "lines": […]}``, as
``voices.py`` reads them. The same seed gives the same bytes.

What is made covers what invented cases don't: every device, drug, finding and vessel of ``lexicons/``, and numbers of
every form in which they are said. A sentence is put together from parts that are drawn anew each time, so that no two
are alike; what it tells need not make sense as medicine, only as speech.
"""

import argparse
import json
import random
import re
import sys
import tomllib
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

from tools.second_reader.scenes import scenes

LEXICONS = Path(__file__).parents[2] / "lexicons"
LINES, SCENE_LINES = 40, 25

_ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
).split()
_TENS = "zero ten twenty thirty forty fifty sixty seventy eighty ninety".split()


def words(number: int, joint: str = " and ") -> str:
    """A whole number below a million as people say it: ``joint`` between the hundreds and the rest."""
    if number < 20:
        return _ONES[number]
    if number < 100:
        return _TENS[number // 10] + (f"-{_ONES[number % 10]}" if number % 10 else "")
    if number < 1000:
        rest = joint + words(number % 100) if number % 100 else ""
        return f"{_ONES[number // 100]} hundred{rest}"
    rest = number % 1000
    return f"{words(number // 1000)} thousand" + ((joint if rest < 100 else " ") + words(rest, joint) if rest else "")


class Maker:
    """Makes sentences. Everything random comes from one seeded source."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        self.joint = " and "
        entries = {name: tomllib.loads((LEXICONS / f"{name}.toml").read_text("utf-8")) for name in _READ}
        devices = entries["devices"]["device"]
        self.devices = {kind: _spoken(devices, kind) for kind in sorted({each["kind"] for each in devices})}
        self.qualifiers = _spoken(entries["devices"]["qualifier"])
        self.drugs = _spoken(entries["drugs"]["drug"])
        self.findings = _spoken(entries["findings"]["finding"])
        self.vessels = _spoken(entries["anatomy"]["vessel"])

    # --- small parts

    def one(self, *options: str) -> str:
        return self.chance.choice(options)

    def maybe(self, text: str, share: float = 0.5) -> str:
        return text if self.chance.random() < share else ""

    def side(self) -> str:
        return self.one("left", "right")

    def vessel(self) -> str:
        return (
            self.maybe(self.side() + " ", 0.4)
            + self.maybe(self.one("proximal ", "mid ", "distal "), 0.25)
            + (self.chance.choice(self.vessels))
        )

    def device(self, *kinds: str) -> str:
        kind = self.chance.choice(kinds or tuple(self.devices))
        return self.maybe(self.chance.choice(self.qualifiers) + " ", 0.3) + self.chance.choice(self.devices[kind])

    def drug(self) -> str:
        common = ("heparin", "lidocaine", "lignocaine", "midazolam", "fentanyl", "nitroglycerin", "GTN", "protamine")
        return self.chance.choice(common) if self.chance.random() < 0.35 else self.chance.choice(self.drugs)

    def finding(self) -> str:
        return self.chance.choice(self.findings)

    def name(self) -> str:
        return self.one(*_NAMES)

    # --- numbers

    def whole(self, *options: int) -> str:
        return words(self.chance.choice(options), self.joint)

    def between(self, low: int, high: int) -> str:
        return words(self.chance.randint(low, high), self.joint)

    def decimal(self, low: int = 0, high: int = 12) -> str:
        """Two point five, two and a half, point eight, three comma five, four point oh."""
        whole, part = self.chance.randint(low, high), self.chance.randint(0, 9)
        roll = self.chance.random()
        if roll < 0.12 and whole:
            return f"{words(whole)} {self.one('and a half', 'and a half', 'and a quarter')}"
        if roll < 0.22:
            return f"{words(whole)} comma {_ONES[part]}"
        if roll < 0.34 and not whole:
            return f"{self.one('point', 'nought point', 'oh point', 'zero point')} {_ONES[part]}"
        if roll < 0.44:
            return f"{words(whole)} point {_ONES[part]} {_ONES[self.chance.choice((0, 2, 5, 8))]}"
        last = self.one("oh", "zero", "nought") if not part else _ONES[part]
        return f"{words(whole)} point {last}"

    def french(self) -> str:
        figure = self.chance.choice((3, 4, 5, 5, 6, 6, 6, 7, 8, 9, 10, 11, 12, 14, 16, 18, 20, 24))
        return f"{words(figure)} {self.one('French', 'French', 'French', 'French gauge', 'F')}"

    def wire(self) -> str:
        """Oh one eight, point oh three five, thirty-five thousandths, fourteen thou."""
        roll = self.chance.random()
        tail = self.chance.choice(("one four", "one eight", "two five", "three five", "three eight", "one oh"))
        if roll < 0.55:
            return f"{self.one('oh', 'oh', 'oh', 'zero', 'O')} {tail}"
        if roll < 0.75:
            return f"{self.one('point oh', 'zero point zero', 'nought point nought', 'oh point oh')} {tail}"
        if roll < 0.88:
            return self.whole(14, 18, 25, 35, 38) + " " + self.one("thou", "thousandths", "wire size")
        return self.whole(14, 18, 35)

    def size(self) -> str:
        """Seven by forty, three point five by one fifty, six millimetre by eight centimetre."""
        diameter = self.between(2, 14) if self.chance.random() < 0.7 else self.decimal(1, 9)
        length = self.chance.choice(
            (self.whole(15, 18, 20, 22, 30, 38, 40, 57, 60, 80, 100, 120, 150, 200, 220), self.hundreds())
        )
        roll = self.chance.random()
        if roll < 0.65:
            return f"{diameter} {self.one('by', 'by', 'by', 'times', 'x')} {length}"
        if roll < 0.8:
            return f"{diameter} {self.mm()} by {length} {self.mm()}"
        if roll < 0.9:
            return f"{diameter} {self.mm()}"
        return f"{diameter} {self.mm()} by {self.between(2, 25)} {self.one('centimetre', 'centimetres', 'centimeter')}"

    def hundreds(self) -> str:
        """One twenty, one fifty, two hundred."""
        tens = self.chance.choice((20, 40, 50, 60, 80, 30, 10))
        return f"{self.one('one', 'one', 'two')} {words(tens)}"

    def mm(self) -> str:
        return self.one("millimetre", "millimetres", "millimeter", "millimeters", "mil", "mm")

    def pressure(self, bare: bool = False) -> str:
        roll = self.chance.random()
        if bare:
            return self.between(2, 28)
        if roll < 0.5:
            figure = self.between(2, 30)
            return f"{figure} {self.one('atmospheres', 'atmospheres', 'atmosphere', 'atmos', 'atm', 'ATM')}"
        if roll < 0.75:
            return f"{self.one(self.between(2, 30), self.decimal(2, 20))} {self.one('bar', 'bar', 'bars')}"
        if roll < 0.88:
            return f"{self.one(self.between(50, 400), self.hundreds())} {self.one('psi', 'PSI', 'pounds')}"
        if roll < 0.94:
            return f"{self.between(300, 2400)} {self.one('kilopascals', 'kilopascal')}"
        return f"{self.one(self.between(2, 30))} to {self.between(8, 30)} atmospheres"

    def seconds(self) -> str:
        return self.chance.choice(
            (
                f"{self.between(5, 90)} seconds",
                f"{self.whole(10, 15, 20, 30, 40, 45, 60, 90, 120, 180)} {self.one('seconds', 'second', 'sec')}",
                f"{self.one('a', 'one', 'two', 'three', 'four', 'five')} {self.one('minute', 'minutes')}",
                f"{self.one('a minute', 'two minutes', 'three minutes')} {self.one('thirty', 'and a half', 'ten')}",
                f"{self.one('half a minute', 'a minute and a half', 'two and a half minutes', 'ninety seconds')}",
            )
        )

    def percent(self) -> str:
        return f"{self.one(self.between(5, 100), self.whole(30, 50, 60, 70, 75, 80, 90, 95, 99))} percent"

    def dose(self) -> str:
        unit = self.one(
            "milligrams",
            "milligrams",
            "micrograms",
            "mils",
            "mil",
            "mls",
            "millilitres",
            "grams",
            "units",
            "mg",
            "mics",
        )
        if unit == "units":
            figure = self.chance.choice(
                (self.whole(1000, 2000, 2500, 3000, 4000, 5000, 6000, 7000, 7500, 8000, 10000), "five thousand")
            )
            if self.chance.random() < 0.15:
                figure = self.one(
                    "twenty-five hundred", "seventy-five hundred", "thirty-five hundred", "fifteen hundred"
                )
            return f"{figure} {self.one('units', 'units', 'international units', '')}".strip()
        figure = self.chance.choice(
            (
                self.between(1, 30),
                self.decimal(0, 5),
                self.whole(10, 20, 25, 50, 75, 100, 150, 200, 300, 500, 600, 1000),
            )
        )
        if self.chance.random() < 0.1:
            figure = self.one("half a", "a", "one and a half", "a hundred", "a hundred and fifty", "a couple of")
        return f"{figure} {unit}"

    def run(self) -> str:
        """Twenty at ten, eight mils at four a second, two frames a second."""
        volume, rate = self.between(3, 45), self.one(self.between(2, 20), self.decimal(0, 6))
        second = self.one("a second", "per second", "a sec")
        return self.chance.choice(
            (
                f"{volume} at {rate}",
                f"{volume} for {rate}",
                f"{volume} mils at {rate} {self.one('', second, 'mils ' + second)}".strip(),
                f"{volume} at {rate}, {self.whole(1, 2, 3, 4, 6, 7, 15, 30)} frames {second}",
                f"{rate} for {volume}",
                f"{rate} a second for a total of {volume}",
                f"{self.whole(1, 2, 3, 4, 6, 15)} {self.one('frames', 'frames per second', 'f p s', 'per second')}",
            )
        )

    def total(self) -> str:
        minutes, rest = self.between(2, 95), self.between(1, 59)
        return self.chance.choice(
            (
                f"{self.one(self.between(20, 320), self.hundreds())} mils of contrast",
                f"Contrast {self.one(self.between(20, 320), self.hundreds())} {self.one('mils', 'mls', 'millilitres')}",
                f"fluoro time {minutes} minutes {self.maybe(rest + ' seconds', 0.5)}".strip(),
                f"screening time {self.decimal(1, 70)} minutes",
                f"fluoroscopy {minutes} point {self.between(1, 9)} minutes",
                f"air kerma {self.one(self.between(40, 3000), self.hundreds())} {self.one('milligray', 'milligrays')}",
                f"dose area product {self.one(self.decimal(1, 300), self.between(2, 300))} gray centimetres squared",
                f"DAP {self.one(self.decimal(1, 300), self.between(2, 300))} {self.one('gray', 'Gray')} centimetre squared",
                f"reference air kerma {self.decimal(0, 3)} gray",
                f"ACT {self.between(120, 400)}",
                f"skin dose {self.between(100, 3000)} milligray",
            )
        )

    # --- sentences

    def sentence(self) -> str:
        self.joint = self.one(" and ", " and ", " ")
        text = self.chance.choice(_KINDS)(self)
        text = re.sub(r"\(([^()]*)\)", lambda match: self.one(*match[1].split("|")), text)  # as lexicons write choices
        return self.dress(re.sub(r"\s+", " ", text).strip())

    def dress(self, text: str) -> str:
        """Puts a capital and an end to it and, now and then, what people say before, after and in between."""
        chance = self.chance
        if chance.random() < 0.22:
            text = self.one(*_BEFORE) + " " + text
        if chance.random() < 0.16 and text[-1] not in "?":
            text = text.rstrip(".") + ", " + self.one(*_AFTER)
        if chance.random() < 0.07 and ", " in text:
            at = chance.choice([m.start() for m in re.finditer(", ", text)])
            text = text[:at] + self.one("... ", ", uh, ", ", um, ", ", er, ", "... ") + text[at + 2 :]
        text = re.sub(r"\s+", " ", text).replace(" .", ".").replace(" ,", ",").strip()
        text = text[0].upper() + text[1:]
        text = re.sub(r"([.?!] )([a-z])", lambda m: m[1] + m[2].upper(), text)
        return text if text[-1] in ".?!" else text + "."

    def ask(self) -> str:
        thing = self.chance.choice(
            (
                lambda: f"{self.french()} {self.device('insert')}",
                lambda: f"{self.size()} {self.device('inflation')}",
                lambda: f"{self.size()} {self.device('stent')}",
                lambda: f"{self.wire()} {self.device('insert')}",
                lambda: f"{self.between(2, 20)} by {self.between(2, 40)} {self.device('embolise')}",
                lambda: f"{self.french()} {self.between(10, 110)} centimetre {self.device('insert')}",
                lambda: f"{self.device()}, {self.one(self.size(), self.french(), self.wire())}",
                lambda: self.device(),
                lambda: f"{self.size()} on a {self.wire()} platform",
                lambda: f"{self.between(80, 300)} centimetre {self.wire()} wire",
            )
        )()
        article = self.one("a", "the", "another", "that", "one", "a new")
        return self.chance.choice(
            (
                f"can I have {article} {thing}{self.one(' please', ', please', '')}?",
                f"could I get {article} {thing} please?",
                f"may I have {article} {thing}, {self.name()}?",
                f"{thing} please",
                f"{thing}, {self.name()}, please",
                f"give me {article} {thing}",
                f"I'll take {article} {thing}{self.maybe(' next', 0.4)}",
                f"we will need {article} {thing}",
                f"I would like {article} {thing} now",
                f"next, {thing}",
                f"have we got {article} {thing}?",
                f"{self.name()}, open {article} {thing} for me",
                f"get {article} {thing} ready",
                f"{thing} to me, and {self.one('flush it', 'prep it', 'keep it wet', 'have the next one ready')}",
                f"what sizes have we got in {article} {self.device()}?",
                f"let me have {article} {thing}, and a {self.device()} on the side",
            )
        )

    def placed(self) -> str:
        thing = self.one(
            self.device("insert"),
            f"{self.french()} {self.device('insert')}",
            f"{self.wire()} {self.one('wire', 'guidewire', 'hydrophilic wire')}",
            self.device("embolise"),
        )
        where = self.vessel()
        return self.chance.choice(
            (
                f"the {thing} is {self.one('in', 'across', 'up', 'down', 'through', 'at the origin', 'parked')}",
                f"{thing}'s {self.one('in', 'across', 'through', 'down', 'up')} the {where}",
                f"{thing} into the {where}",
                f"that's the {thing} in the {where}",
                f"I've got the {thing} {self.one('in', 'across', 'past', 'into', 'beyond')} the {where}",
                f"{thing} was advanced into the {where} over the {self.wire()} wire",
                f"a {thing} was {self.one('inserted', 'placed', 'introduced', 'positioned')} in the {where}",
                f"{thing} out, {self.device('insert')} in",
                f"exchanged the {thing} for a {self.french()} {self.device('insert')}",
                f"we are {self.one('in', 'through', 'across')}, {self.one('good flashback', 'nice and free', 'it tracks')}",
                f"upsized to {self.french()}",
                f"the {thing} comes out now",
                f"{thing} removed, {self.device('insert')} stays",
                f"wire is {self.one('subintimal', 'true lumen', 'distal', 'in the true lumen')} in the {where}",
                f"snared the {thing} and brought it out at the {self.side()} groin",
            )
        )

    def inflate(self) -> str:
        first, last = self.between(2, 14), self.between(8, 30)
        return self.chance.choice(
            (
                f"going up to {self.pressure()}",
                f"inflate to {self.pressure()}, hold for {self.seconds()}",
                f"up to {first}, {self.one('now', 'and', 'then')} {last}",
                f"{first}, {self.between(4, 16)}, {last} {self.one('atmospheres', 'bar', 'atmos', '')}".strip(),
                f"{self.size()} balloon, {self.pressure()} for {self.seconds()}",
                f"the waist {self.one('goes', 'gave', 'went', 'cracked', 'let go')} at {self.pressure()}",
                f"there's a waist at {self.one(self.pressure(), self.pressure(True))}, keep going",
                f"hold it there for {self.seconds()}",
                f"balloon was inflated to {self.pressure()} for {self.seconds()}",
                f"same again to {self.pressure(True)}",
                f"nominal is {self.between(4, 12)}, rated burst {self.between(12, 30)}",
                f"at {self.pressure()} the chart gives {self.decimal(2, 12)} millimetres",
                f"deflate, {self.one('balloon down', 'balloon is down', 'and pull back', 'negative')}",
                f"let's go again, {self.size()}, {last}, {last}, holding at {last}",
                f"post dilate with the {self.size()}, high pressure, {self.pressure()}",
                f"{last}, sorry, {self.between(8, 30)} atmospheres",
                f"take it to {self.one(self.pressure(), self.pressure(True))} and count {self.seconds()}",
                f"kissing balloons, {self.size()} each, {self.pressure()}, both down together",
                f"burst at {self.pressure()}",
            )
        )

    def deploy(self) -> str:
        return self.chance.choice(
            (
                f"{self.size()} {self.device('stent')} deployed in the {self.vessel()}",
                f"deploying the {self.size()} now, {self.between(6, 18)} atmospheres",
                f"stent is open, {self.one('well apposed', 'good expansion', 'a little short', 'no recoil')}",
                f"{self.device('stent')}, {self.size()}, from the {self.vessel()} to the {self.vessel()}",
                f"second stent overlapping by {self.between(5, 25)} millimetres",
                f"a {self.size()} {self.device('stent')} was placed across the {self.finding()}",
                f"{self.between(2, 9)} coils, {self.between(2, 20)} by {self.between(2, 50)}",
                f"coil number {self.between(1, 14)}, {self.between(2, 20)} by {self.between(4, 60)}, detached",
                f"{self.between(1, 6)} vials of {self.whole(100, 300, 350, 500, 700, 900)} micron particles",
                f"{self.whole(100, 200, 300, 355, 500, 700)} to {self.whole(300, 500, 700, 900)} micron "
                f"{self.device('embolise')}",
                f"{self.decimal(0, 4)} mils of glue, one to {self.between(2, 6)} with oil",
                f"{self.device('embolise')} into the {self.vessel()} until stasis",
                f"plug is {self.between(4, 22)} millimetres, {self.one('released', 'detached', 'in place')}",
                f"{self.one(*self.devices['closure'])} to the {self.side()} groin, "
                f"{self.between(3, 20)} minutes of pressure",
                f"closed with a {self.french()} {self.one(*self.devices['closure'])}",
            )
        )

    def give(self) -> str:
        drug, dose = self.drug(), self.dose()
        return self.chance.choice(
            (
                f"give {dose} of {drug}{self.one(' please', ' now', '')}",
                f"{dose} of {drug} {self.one('given', 'in', 'going in', 'is in', 'slowly', 'intra-arterial')}",
                f"{drug} {dose} {self.one('given', 'IV', 'intravenously', 'is in', 'in', '')}",
                f"{drug}, {dose}, {self.one('at the start', 'through the sheath', 'as a bolus', 'over ten minutes')}",
                f"have they had any {drug}?",
                f"no {drug} today, {self.one('allergy', 'platelets are low', 'the renal function is poor')}",
                f"patient takes {drug} {dose} {self.one('daily', 'twice a day', 'at night')}",
                f"another {dose} of {drug} and check an ACT",
                f"ACT is {self.between(120, 400)}, {self.one('fine', 'low', 'top up', 'repeat in thirty minutes')}",
                f"infuse {drug} at {self.one(self.between(1, 40), self.decimal(0, 4))} {self.one('mils', 'mg', 'units')} "
                f"{self.one('an hour', 'per hour')}",
                f"{self.between(5, 30)} mils of {self.one('one', 'two', 'half')} percent {drug} to the skin",
            )
        )

    def see(self) -> str:
        finding, vessel = self.finding(), self.vessel()
        return self.chance.choice(
            (
                f"there is {self.one('a', 'some', 'a tight', 'a short', 'a long', 'no')} {finding} in the {vessel}",
                f"{self.percent()} {finding} of the {vessel}",
                f"{finding} of the {vessel}, {self.one(self.between(5, 200), self.hundreds())} millimetres long",
                f"no {finding}, no {self.finding()}, {self.one('good flow', 'brisk run off', 'happy with that')}",
                f"I don't see any {finding}",
                f"the {vessel} is {self.one('occluded', 'patent', 'diseased', 'normal', 'heavily calcified', 'small')}",
                f"residual {self.one('stenosis', 'narrowing')} {self.percent()}",
                f"it measures {self.one(self.decimal(2, 14), self.between(2, 40))} {self.mm()}",
                f"gradient across it {self.between(2, 60)} {self.one('millimetres of mercury', 'of mercury', '')}",
                f"is that a {finding} or just {self.one('spasm', 'overlap', 'motion', 'streaming')}?",
                f"neck is {self.between(15, 34)} millimetres, {self.between(5, 45)} long",
                f"{self.one('two', 'three', 'single')} vessel run off via the {vessel} and the {self.vessel()}",
                f"the {vessel} fills {self.one('late', 'well', 'by collaterals', 'retrograde')}",
                f"aneurysm is {self.decimal(2, 9)} by {self.decimal(2, 9)} centimetres",
                f"{self.vessel()} and {vessel} are {self.one('clear', 'fine', 'widely patent', 'both occluded')}",
            )
        )

    def inject(self) -> str:
        return self.chance.choice(
            (
                f"run please, {self.run()}",
                f"{self.run()}, breath hold, {self.one('and inject', 'go', 'run it', 'mask and go')}",
                f"let's do a run, {self.run()}, {self.maybe('delay of ' + self.between(1, 3) + ' seconds', 0.3)}".rstrip(
                    ", "
                ),
                f"set the pump for {self.run()}",
                f"hand injection, {self.between(3, 12)} mils",
                f"angiogram, {self.run()}, {self.side()} anterior oblique {self.between(10, 50)}",
                f"road map on, {self.one('magnify', 'mag up', 'collimate in', 'table down', 'lights down')}",
                f"rate rise {self.decimal(0, 1)}, {self.between(200, 1000)} psi, {self.run()}",
                f"{self.side()} oblique {self.between(10, 45)}, {self.one('cranial', 'caudal')} {self.between(5, 35)}",
            )
        )

    def summarise(self) -> str:
        return self.chance.choice(
            (
                f"{self.total()}, {self.total()}",
                f"{self.total()}, {self.total()}, {self.total()}",
                f"for the record, {self.total()}",
                f"that's {self.total()} in all",
                f"impression: {self.finding()} of the {self.vessel()} treated with a {self.size()} {self.device('stent')}",
                f"puncture of the {self.vessel()} with ultrasound, {self.french()} sheath, at {self.clock()}",
                f"time out done at {self.clock()}, consent signed, {self.side()} side marked",
                f"blood pressure {self.between(90, 190)} over {self.between(40, 100)}, sats {self.between(88, 100)}",
                f"creatinine {self.between(50, 320)}, platelets {self.between(60, 400)}, INR {self.decimal(1, 3)}",
                f"{self.between(18, 96)} year old with {self.finding()}, {self.one('rest pain', 'tissue loss', 'bleeding')}",
            )
        )

    def clock(self) -> str:
        hour, minute = self.between(8, 17), self.whole(5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55)
        return self.one(
            f"{hour} {minute}", f"{hour} {minute}", f"quarter past {hour}", f"half past {hour}", f"{hour} hundred"
        )

    def dictate(self) -> str:
        """Punctuation is said aloud."""
        parts = [self.chance.choice((self.placed, self.see, self.inflate, self.give))() for _ in range(2)]
        parts = [re.sub(r"[.?,]", "", part) for part in parts]
        return f"{parts[0]} {self.one('comma', 'full stop', 'period', 'new line', 'new paragraph')} {parts[1]} " + (
            self.one("full stop", "period", "stop", "next paragraph", "colon")
        )

    def correct(self) -> str:
        first, second = self.chance.choice(
            (
                (self.french(), self.french()),
                (self.size(), self.size()),
                (self.pressure(), self.pressure()),
                (self.side(), self.side()),
                (self.dose(), self.dose()),
                (self.vessel(), self.vessel()),
            )
        )
        return self.chance.choice(
            (
                f"{first}, no, {second}",
                f"{first}, sorry, I mean {second}",
                f"not {first}, {second}",
                f"make that {second} instead of {first}",
                f"scratch that, {second}",
                f"correction, {second}",
                f"did you say {first}? {second}",
                f"that was {second}, I said {first} before",
            )
        )

    def staff(self) -> str:
        return self.chance.choice(
            (
                f"{self.one('Doctor', 'Boss', 'Sir', self.name())}, {self.one(*_STAFF)}",
                f"{self.size()} {self.one('balloon', 'stent')}, expiry is {self.one('fine', 'next year', 'March')}",
                f"reading back, {self.one(self.dose() + ' of ' + self.drug(), self.size(), self.pressure())}",
                f"{self.between(5, 60)} seconds, {self.between(60, 120)}, {self.one('time', 'and down', 'that is time')}",
                f"{self.dose()} {self.drug()} drawn up",
                f"we don't have {self.size()}, only {self.size()}",
                f"pressure is {self.between(80, 200)} systolic",
                f"was that {self.french()} or {self.french()}?",
                f"lot number {' '.join(_ONES[self.chance.randrange(10)] for _ in range(self.chance.randint(3, 8)))}",
                f"reference {' '.join(self.one('oh', *_ONES[:10]) for _ in range(self.chance.randint(3, 6)))}",
            )
        )

    def teach(self) -> str:
        return self.chance.choice(
            (
                f"the trick with a {self.device()} is to {self.one('go slowly', 'keep tension on it', 'never push')}",
                f"if we took it to {self.pressure()} we would get {self.decimal(2, 12)}",
                f"we might need a {self.size()} {self.device('stent')} if there is {self.finding()}",
                f"I would not {self.one('stent', 'balloon', 'cross', 'treat')} the {self.vessel()} in this patient",
                f"a {self.size()} {self.device('stent')} was put in {self.between(2, 14)} {self.one('weeks', 'months')} ago",
                f"remember the {self.vessel()} comes off at the level of {self.one('L', 'T')} {self.between(1, 12)}",
                f"always flush the {self.device('insert')} before {self.one('it goes in', 'you connect it')}",
                f"they stopped {self.drug()} {self.between(2, 10)} days ago",
                f"why a {self.device()} and not a {self.device()}?",
                f"one is the {self.vessel()}, two is the {self.vessel()}, three is the {self.vessel()}",
            )
        )

    def odd_numbers(self) -> str:
        """Figures for their own sake, as an ear has to tell them apart."""
        digits = [self.one("oh", "zero", *_ONES[1:10]) for _ in range(self.chance.randint(3, 7))]
        pair = self.chance.choice(
            ((13, 30), (14, 40), (15, 50), (16, 60), (17, 70), (18, 80), (19, 90), (5, 9), (2, 3))
        )
        return self.chance.choice(
            (
                " ".join(digits),
                f"{words(pair[0])}, not {words(pair[1])}",
                f"{words(pair[1])}, {words(pair[0])}, {words(pair[1])}",
                f"{self.decimal()} {self.one('to', 'by', 'and', 'over')} {self.decimal()}",
                f"{self.between(100, 999)}, {self.between(1000, 9999)}",
                f"number {self.between(1, 99)} of {self.between(2, 99)}",
                f"{self.one('minus', 'plus', 'about', 'roughly', 'just under', 'just over')} {self.decimal()}",
                f"{self.one('a third', 'two thirds', 'half', 'three quarters', 'a quarter')} of {self.between(10, 90)}",
                f"{self.between(1, 12)} o'clock, {self.one('anterior', 'posterior')} wall",
                f"{self.wire()}, {self.wire()}, {self.french()}, {self.size()}",
                f"{self.size()}, {self.size()}, and {self.size()}",
            )
        )

    def everyday(self) -> str:
        """Talk of every day, among it orders with sizes and counts."""
        food = self.one(*_FOOD)
        return self.dress(
            self.chance.choice(
                (
                    f"I'd like {self.one('a', 'one', 'two', 'three')} {self.one('small', 'large', 'medium', '')} {food}",
                    f"could you bring {self.between(2, 24)} {self.one('plates', 'chairs', 'boxes', 'bottles')}?",
                    f"the {self.one('train', 'bus', 'flight', 'film')} leaves at {self.clock()}",
                    f"{self.one('we', 'they', 'she', 'he')} {self.one(*_DID)} {self.one(*_WHEN)}",
                    f"my number is {' '.join(self.one('oh', *_ONES[:10]) for _ in range(7))}",
                    f"it costs {self.between(2, 90)} {self.one('pounds', 'dollars', 'euros')} "
                    f"{self.maybe(self.between(10, 99), 0.5)}",
                    f"{self.one(*_WHERE)} {self.one('is', 'was')} {self.one(*_HOW)} {self.one(*_WHEN)}",
                    f"did {self.name()} say {self.one('when', 'why', 'where')} {self.one(*_WHERE)} {self.one('closes', 'opens')}?",
                    f"{self.one('turn', 'switch')} {self.one('on', 'off')} the {self.one(*_ROOMS)} {self.one('light', 'radio')}",
                    f"{self.between(1, 31)} {self.one(*_MONTHS)} {self.one('nineteen', 'twenty')} {self.between(10, 99)}",
                    f"take {self.between(2, 9)} {self.one('eggs', 'apples', 'cups of flour', 'spoons of sugar')}, and "
                    f"{self.one('stir', 'bake it', 'let it rest')} for {self.between(5, 60)} minutes",
                    f"{self.one('my', 'her', 'his', 'our')} {self.one(*_PEOPLE)} {self.one(*_DID)}, and "
                    f"{self.one('then', 'later')} {self.one('we', 'they')} {self.one(*_DID)}",
                )
            )
        )


def _spoken(entries: Iterable[dict[str, Any]], kind: str | None = None) -> list[str]:
    """Every way of saying the entries, as people write it; short forms that are letters in capitals."""
    forms = [form for each in entries if kind in (None, each.get("kind")) for form in each["spoken"]]
    return list(
        dict.fromkeys(
            form.upper() if form in _LETTERS else form for form in forms if '"' not in form and form not in _MISSPELT
        )
    )


_READ = ("devices", "drugs", "findings", "anatomy")
_LETTERS = set(
    "sfa cia eia cfa sma ima gda lad rca ivc svc gtn txa tpa cto jj ivus picc tips evar tevar iv act ptbd ercp dsa".split()
)
#: Forms the lexicons know for what a recogniser writes; nobody should learn to write them.
_MISSPELT = {"baloon", "aneurism", "aneurisms", "pseudoaneurism", "azygous", "azygous vein", "pick line", "hour glass"}
_NAMES = (
    "Hannah", "Tom", "Grace", "Priya", "Omar", "Sofia", "Liam", "Mei", "Anders", "Fatima", "Joan", "Kofi", "Elena",
    "Rahul", "Siobhan", "Marcus", "Yuki", "Pierre", "Ingrid", "Dele",
)  # fmt: skip
_BEFORE = (
    "okay,", "right,", "so,", "now,", "alright,", "and", "good,", "lovely,", "yeah,", "um,", "uh,", "well,", "then",
    "okay so", "right then,", "perfect,", "yes,", "no,", "look,", "let me see,", "all right team,", "just to be clear,",
    "for the recording,", "at this point", "so here", "and then", "as you can see,", "oops,", "hang on,",
)  # fmt: skip
_AFTER = (
    "please", "thank you", "thanks", "good", "perfect", "there we go", "beautiful", "I think", "if you can", "okay",
    "that's it", "yeah", "as before", "you see", "for now", "nice", "great stuff", "no rush", "when you are ready",
    "and hold", "everyone happy", "lovely", "right there", "just like that", "stop there", "got it",
)  # fmt: skip
_STAFF = (
    "the patient is a bit restless", "do you want the lights down", "the next case is here", "saline is running low",
    "do you want to send the sample", "he says his back hurts", "shall I open another one", "the table is unlocked",
    "she is asking for some water", "the pump is armed", "the contrast is loaded", "I have it here", "it is out of date",
    "the family are outside", "we are ready when you are", "that was the last one on the shelf", "sats are dropping",
)  # fmt: skip
_FOOD = (
    "tea", "lemonade", "bowl of soup", "cheese sandwich", "apple juice", "plate of rice", "slice of cake", "salad",
    "glass of milk", "bread roll", "pot of honey", "bag of oranges",
)  # fmt: skip
_DID = (
    "walked along the river", "painted the fence", "missed the bus", "played cards", "watered the garden",
    "lost the keys again", "cooked dinner for the neighbours", "read the whole book", "went to the market",
    "waited for the rain to stop", "found an old photograph", "fixed the bicycle", "wrote a long letter",
    "sang in the choir", "moved to another town", "counted the sheep twice", "watched the ships come in",
)  # fmt: skip
_WHEN = (
    "on Tuesday", "last summer", "every morning", "before breakfast", "in the evening", "yesterday", "two years ago",
    "on the way home", "after the storm", "at the weekend", "in November", "when I was young", "all afternoon",
)  # fmt: skip
_WHERE = (
    "the library", "the old bridge", "our school", "the harbour", "the bakery", "that little museum", "the garden",
    "the post office", "the swimming pool", "the road to the village", "her house", "the station",
)  # fmt: skip
_HOW = (
    "very quiet", "closed", "full of people", "colder than I expected", "covered in snow", "rather dull", "lovely",
    "further than I thought", "being repaired", "as busy as ever", "noisy",
)  # fmt: skip
_ROOMS = ("kitchen", "bedroom", "hall", "garage", "bathroom", "living room", "study")
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_PEOPLE = ("sister", "brother", "uncle", "neighbour", "teacher", "daughter", "cousin", "grandfather", "friend")

_KINDS: tuple[Callable[[Maker], str], ...] = (
    Maker.ask, Maker.ask, Maker.placed, Maker.placed, Maker.inflate, Maker.inflate, Maker.deploy, Maker.give, Maker.give,
    Maker.see, Maker.see, Maker.inject, Maker.summarise, Maker.dictate, Maker.correct, Maker.staff, Maker.teach,
    Maker.odd_numbers,
)  # fmt: skip


def made(count: int, seed: int) -> list[str]:
    """Lines of the trade: one to three sentences each."""
    maker = Maker(seed)
    return [" ".join(maker.sentence() for _ in range(maker.chance.choice((1, 1, 1, 2, 2, 3)))) for _ in range(count)]


def ordinary(folder: Path | None, count: int, seed: int) -> list[str]:
    """Lines of ordinary talk: half made, half (where there is open data) what people said to each other."""
    maker = Maker(seed + 1)
    lines = [" ".join(maker.everyday() for _ in range(maker.chance.choice((1, 2, 2)))) for _ in range(count // 2)]
    found: list[str] = []
    for path in sorted(folder.glob("primock57/transcripts/*.TextGrid")) if folder else ():
        found += re.findall(r'text = "(.+)"', path.read_text("utf-8"))
    for path in sorted(folder.glob("apollo/*.json")) if folder else ():
        found += [row["message"] for row in json.loads(path.read_text("utf-8"))]
    found = [
        text for text in found if 5 <= len(text.split()) <= 40 and not re.search(r"[<>\[\]()0-9…]|\.\.|[A-Z]{3}", text)
    ]
    return lines + maker.chance.sample(found, min(len(found), count - len(lines)))


def cases(folders: Iterable[str]) -> Iterable[dict[str, Any]]:
    """What is said in each case of FOLDER[:LETTERS]; cases whose name begins with one of LETTERS are left out."""
    import yaml

    for folder in folders:
        name, _, without = folder.partition(":")
        for path in sorted(Path(name).glob("*.yaml")):
            if path.stem[0] not in without:
                lines = yaml.safe_load(path.read_text("utf-8"))["lines"]
                yield {"id": path.stem, "lines": [line["say"] for line in lines]}


def told(folder: Path | None) -> Iterable[dict[str, Any]]:
    """What is said in a folder's scenes, file by file, in documents of some 25 lines. A line with figures is left out:
    it does not tell how they are spoken."""
    lines: list[str] = []
    found = 0
    for path in sorted(folder.glob("*.txt")) if folder else ():
        for scene in scenes(path):
            spoken = (as_said(line["say"]) for line in scene.lines)
            lines += [line for line in spoken if not re.search("[0-9]", line)]
            if len(lines) >= SCENE_LINES:
                yield {"id": f"scenes-{found:04d}", "lines": lines}
                lines, found = [], found + 1
    if lines:
        yield {"id": f"scenes-{found:04d}", "lines": lines}


def as_said(text: str) -> str:
    """Typeset marks -> those a recogniser writes: commas for dashes, three dots for an ellipsis."""
    text = re.sub(r"\s*—\s*", ", ", text.replace("–", " ").replace("…", "..."))
    return " ".join(re.sub(r",\s*([,.?!])", r"\1", text).split())


def documents(name: str, lines: list[str], seed: int) -> Iterable[dict[str, Any]]:
    random.Random(seed).shuffle(lines)
    for at in range(0, len(lines), LINES):
        yield {"id": f"{name}-{at // LINES:03d}", "lines": lines[at : at + LINES]}


def main() -> None:
    parser = argparse.ArgumentParser(description="Writes the texts a recogniser is trained on.")
    parser.add_argument("out", type=Path)
    parser.add_argument("--cases", nargs="*", default=[], metavar="FOLDER[:LETTERS]")
    parser.add_argument("--scenes", type=Path, metavar="FOLDER")
    parser.add_argument("--open-data", type=Path)
    parser.add_argument("--sentences", type=int, default=4000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    arguments.out.mkdir(parents=True, exist_ok=True)
    seed = arguments.seed
    texts = {
        "cases": list(cases(arguments.cases)),
        "scenes": list(told(arguments.scenes)),
        "made": list(documents("made", made(arguments.sentences, seed), seed)),
        "ordinary": list(documents("ordinary", ordinary(arguments.open_data, arguments.sentences // 3, seed), seed)),
    }
    for name, rows in texts.items():
        text = "".join(json.dumps(row, ensure_ascii=False) + "\n" for row in rows)
        (arguments.out / f"{name}.jsonl").write_text(text, "utf-8")
        print(f"{name}: {len(rows)} documents, {sum(len(row['lines']) for row in rows)} lines")


if __name__ == "__main__":
    main()
