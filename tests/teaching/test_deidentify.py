"""What may tell who somebody is: found by kind, and how much of it is found among identifiers nobody here invented."""

import random
from collections import Counter
from functools import cache

import pytest
from faker import Faker

from extractor import lexicon
from extractor.teaching.deidentify import find, known_words, shown


@cache
def known() -> frozenset[str]:
    return known_words(lexicon.load())


def told(text: str) -> str:
    words = text.split()
    return " ".join(word for word in shown(words, find(words, known())) if word)


FOUND = {
    "name with a title": ("Thank you, Dr Quimby, sheath in.", "Thank you, Dr [name], sheath in."),
    "mr without capitals": ("we start with mr quimby now", "we start with mr [name] now"),
    "title alone": ("Thank you doctor, sheath in.", "Thank you doctor, sheath in."),
    "name called": ("Wire please, Anselma.", "Wire please, [name]."),
    "name that begins a sentence": ("Ready? Anselma, pull back.", "Ready? [name], pull back."),
    "two names that begin a sentence": ("Ready? Anselma Quimby is here.", "Ready? [name] is here."),
    "name announced": ("her name is anselma quimby and we start", "her name is [name] and we start"),
    "name of two words": ("We saw Anselma Quimby today.", "We saw [name] today."),
    "name with an apostrophe": ("That is O'Quimby's wire.", "That is [name] wire."),
    "hospital": ("Sent from Quimby General Hospital, this one.", "Sent from [place], this one."),
    "street": ("He lives in 12 Quimby Street.", "He lives in [place]."),
    "postcode": ("He lives in QU1 2IM.", "He lives in [place]."),
    "date in words": ("On the third of March 2021, a stent.", "On [date], a stent."),
    "date in figures": ("Seen 12/03/2021 and 2021-03-12.", "Seen [date] and [date]."),
    "month alone": ("Seen in October.", "Seen in [date]."),
    "may and march": ("We may march on. May I have it?", "We may march on. May I have it?"),
    "year alone": ("Stented in 2019.", "Stented in 2019."),
    "age over 89": ("This ninety two year old man.", "This [age] year old man."),
    "age in figures": ("Aged 94, calf pain.", "Aged [age], calf pain."),
    "age of 89": ("This eighty nine year old man.", "This eighty nine year old man."),
    "ninety percent": ("A ninety percent stenosis.", "A ninety percent stenosis."),
    "spoken number": ("It is four seven one one nine two today.", "It is [number] today."),
    "hospital number": ("The hospital number is A 4 7 1.", "The hospital number is [number]."),
    "long number": ("Case 4711920 please.", "Case [number] please."),
    "number of a balloon": ("Balloon number two please.", "Balloon number two please."),
    "phone": ("Call 07700 900123 please.", "Call [number] please."),
    "address of the net": ("Write to a@example.org please.", "Write to [number] please."),
    "wire size": ("The oh one eight wire, 0-1-8.", "The oh one eight wire, 0-1-8."),
    "dose": ("Heparin 5,000 units, and 10000 of heparin.", "Heparin 5,000 units, and 10000 of heparin."),
    "trade's words with capitals": ("The SFA, GTN given, Doppler, five French, Right common femoral.",) * 2,
    "what is taken out already": ("Mr [name] is from [place].", "Mr [name] is from [place]."),
    "said again": ("Mr Quimby is here. Is quimby well?", "Mr [name] is here. Is [name] well?"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "wanted"), FOUND.values(), ids=FOUND)
def test_what_identifies_is_taken_out_and_nothing_else(text: str, wanted: str) -> None:
    assert told(text) == wanted


def test_once_taken_out_nothing_is_found() -> None:
    for text, _ in FOUND.values():
        words = [word for word in told(text).split() if word]
        assert find(words, known()) == ()


#: How an identifier comes up in talk; {} is where. Ours.
TALK = {
    "title and surname": [
        "Morning, Mr {last}, lie still.",
        "Dr {last} put the sheath in.",
        "Is Professor {last} coming?",
    ],
    "first name": ["Wire please, {first}.", "Ready? {first}, pull the wire back.", "We asked {first} for the stent."],
    "full name": ["The patient is {name}, calf pain.", "We saw {name} in clinic.", "{name} had a stent here."],
    "town": ["She comes from {city}, with calf pain.", "The scan was done in {city}."],
    "street": ["He lives at {street}, alone."],
    "date": ["The stent is from {date}.", "On {date} she had a balloon."],
    "date in figures": ["The scan of {slashed} shows it."],
    "phone": ["Call {phone} when done."],
    "number": ["The hospital number is {number}.", "Case {number}, right leg."],
}


def generated(seed: int) -> list[tuple[str, list[str], str]]:
    """Kind, words of a sentence, and the identifier in it, as an independent generator invents them."""
    fake, chance = Faker("en_GB"), random.Random(seed)
    fake.seed_instance(seed)
    found = []
    for kind, sentences in TALK.items():
        for _ in range(60):
            day = fake.date_of_birth()
            parts = {
                "last": fake.last_name(), "first": fake.first_name(), "city": fake.city(),
                "street": fake.street_address(),
                "date": f"{day.day} {day:%B} {day.year}", "slashed": f"{day:%d/%m/%Y}", "phone": fake.phone_number(),
                "number": str(fake.random_number(digits=7, fix_len=True)),
            }  # fmt: skip
            parts["name"] = f"{parts['first']} {parts['last']}"
            sentence = chance.choice(sentences)
            field = sentence[sentence.index("{") + 1 : sentence.index("}")]
            text = " ".join(parts[field].split())
            found.append((kind, sentence.replace(f"{{{field}}}", text).split(), text))
    return found


def recall(seed: int) -> Counter[str]:
    """Kind -> how many of 60 identifiers leave no word of theirs behind."""
    good: Counter[str] = Counter()
    for kind, words, text in generated(seed):
        left = {word.strip(".,") for word in shown(words, find(words, known()))}
        secret = {word.strip(".,") for word in text.split() if len(word) > 2}
        good[kind] += not (secret & left)
    return good


#: Of 60 of each kind, at least so many: what was measured (docs/exports.md), less two.
LEAST = {
    "title and surname": 58, "first name": 52, "full name": 58, "town": 55, "street": 48, "date": 58,
    "date in figures": 58, "phone": 58, "number": 58,
}  # fmt: skip


@pytest.mark.parametrize("kind", LEAST)
def test_identifiers_that_a_generator_invents_are_found(kind: str) -> None:
    assert recall(7)[kind] >= LEAST[kind]
