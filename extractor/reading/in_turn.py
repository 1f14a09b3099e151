"""Figures said of several things in turn: "midazolam and fentanyl, two milligrams and fifty micrograms", "six and seven
French sheaths", "a soft wire and a stiff one, both oh three five". Each thing gets its own.
"""

from collections.abc import Sequence
from dataclasses import replace

from extractor.model import Item, Quantity
from extractor.reading.doses import drug_dose
from extractor.reading.tokens import Token

#: After "of the": which of two a figure is of.
_FIRST = {"one", "former", "first"}
_SECOND = {"other", "latter", "second"}
#: What may stand between drugs that are told in a row, and between their doses.
_LINKS = {"mark", "pronoun", "side", "phrase"}
#: Gauges, Fr: common practice, no source.
_GAUGES = range(3, 35)

Placed = list[tuple[int, Item]]


def share_doses(tokens: Sequence[Token], items: Placed) -> None:
    """Drugs in a row, then as many doses: each drug gets the one in its place, or the one that is said to be its."""
    drugs = _row(items)
    if len(drugs) < 2:
        return
    after = [item for _, item in items[drugs[-1] + 1 :] if item.kind in {"quantity", "drug", "pair"}]
    if any(item.kind != "quantity" for item in after) or len(after) != len(drugs):
        return
    named = [items[index][1] for index in drugs]
    meant = {"one": 0, "other": 1}
    order = [meant.get(_of_which(tokens, figure), place) for place, figure in enumerate(after)]
    if sorted(order) != list(range(len(drugs))):
        return
    pairs = [(named[place], figure) for place, figure in zip(order, after, strict=True)]
    doses = [
        None if figure.no_dose else drug_dose(drug.unit, figure.figures["value"], drug.usual) for drug, figure in pairs
    ]
    for (drug, figure), dose in zip(pairs, doses, strict=True):
        if dose is None or None in doses:
            return
        drug.figures["dose"], figure.used = dose, True


def _row(items: Placed) -> list[int]:
    """The places of the first drugs that follow one another with nothing said between, none with a figure before it."""
    row: list[int] = []
    for index, (_, item) in enumerate(items):
        if item.kind == "drug":
            row.append(index)
        elif row and item.kind not in _LINKS:
            break
        elif item.kind == "quantity":
            return []
    return row


def _of_which(tokens: Sequence[Token], figure: Item) -> str:
    """ "of the one", "of the latter": which of two a figure is said to be of; empty where nothing tells."""
    behind = [token.text for token in tokens[figure.span[1] : figure.span[1] + 3]]
    if behind[:2] != ["of", "the"] or len(behind) < 3:
        return ""
    return "one" if behind[2] in _FIRST else "other" if behind[2] in _SECOND else ""


def share_gauges(items: Placed) -> None:
    """ "six and seven French sheaths": one of each."""
    for index in range(len(items) - 1, 1, -1):
        device, joint, figure = items[index][1], items[index - 1][1], items[index - 2][1]
        gauge = device.figures.get("gauge")
        if device.kind != "device" or gauge is None or joint.text != "and" or figure.kind != "quantity":
            continue
        said = figure.figures["value"]
        near = figure.span[1] == joint.span[0] and joint.span[1] == device.span[0]
        if not near or not device.text.endswith("s") or said.unit is not None or said.value not in _GAUGES:
            continue
        other = replace(
            device,
            words=figure.words,
            text=figure.text,
            span=figure.span,
            figures={**device.figures, "gauge": replace(said, unit=gauge.unit)},
        )
        items[index - 2] = (items[index - 2][0], other)


def row_of_gauges(items: Placed) -> None:
    """ "Two introducers, six and five": one of each, where the row follows the noun."""
    for index in range(len(items) - 2):
        device, joint, figure = items[index][1], items[index + 1][1], items[index + 2][1]
        gauge = device.figures.get("gauge")
        if device.kind != "device" or gauge is None or joint.text != "and" or figure.kind != "quantity":
            continue
        said = figure.figures["value"]
        near = device.span[1] == joint.span[0] and joint.span[1] == figure.span[0] and gauge.words[1] == device.words[1]
        plural = any(text.endswith("s") for text in device.text.replace(",", " ").split()[:-1])
        if near and plural and said.unit in {None, "[Ch]"} and said.value in _GAUGES:
            sizes = {**device.figures, "gauge": replace(said, unit=gauge.unit, flags=gauge.flags)}
            other = replace(device, words=figure.words, text=figure.text, span=figure.span, figures=sizes)
            items[index + 2] = (items[index + 2][0], other)


def share_sizes(items: Placed) -> None:
    """ "a soft wire and a stiff one, both oh three five": what is said of both is each one's."""
    for index, (_, item) in enumerate(items):
        if item.kind != "pronoun" or item.name != "both" or index < 3:
            continue
        following = items[index + 1][1] if index + 1 < len(items) else None
        devices = [other for _, other in items[:index] if other.kind == "device" and other.role == "insert"][-2:]
        if len(devices) != 2 or devices[0].name != devices[1].name:
            continue
        behind = (
            following if following is not None and following.headless and following.span[0] == item.span[1] else None
        )
        shared = dict(behind.figures) if behind is not None else _said_behind(item, devices[1])
        for device in devices:
            device.figures.update({key: value for key, value in shared.items() if key not in device.figures})
        if behind is not None and shared:
            del items[index + 1]
        return


def _said_behind(both: Item, device: Item) -> dict[str, Quantity]:
    """The sizes of a device that were said after "both"."""
    return {key: value for key, value in device.figures.items() if value.words[0] >= both.words[0]}
