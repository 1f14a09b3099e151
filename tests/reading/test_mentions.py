"""Terms and figures -> items: a device with its sizes, a drug with its dose; what stands beside it is not of it."""

import pytest

from .small import items

#: (sentence, the devices: name and sizes)
DEVICES = [
    pytest.param("six by eighty balloon", ["balloon: diameter 6, length 80"], id="size before the name"),
    pytest.param("a balloon, six by eighty", ["balloon: diameter 6, length 80"], id="size after the name"),
    pytest.param("the six by eighty", [": diameter 6, length 80"], id="a size nobody named"),
    pytest.param("six french sheath", ["sheath: gauge 6 [Ch]"], id="gauge"),
    pytest.param(
        "seven french, forty-five centimetre sheath", ["sheath: gauge 7 [Ch], length 45 cm"], id="gauge and length"
    ),
    pytest.param("oh three five wire", ["wire: wire_diameter 0.035 [in_i]"], id="a wire's size is in inches"),
    pytest.param(
        "the stiff oh three five, two-sixty",
        ["wire: length 260 cm, wire_diameter 0.035 [in_i]"],
        id="a quality that means a wire, a bare length",
    ),
    pytest.param("seven hundred micron particles", ["particles: diameter 0.7 mm"], id="micron"),
    pytest.param(
        "a six french sheath and an oh one eight wire",
        ["sheath: gauge 6 [Ch]", "wire: wire_diameter 0.018 [in_i]"],
        id="two devices, each with its own size",
    ),
    pytest.param("pigtail, five french", ["catheter: gauge 5 [Ch]"], id="known by its nickname"),
    pytest.param("balloon to twelve atmospheres", ["balloon: "], id="a pressure is no size"),
    pytest.param("sheath for two minutes", ["sheath: "], id="a time is no size"),
    pytest.param(
        "six by forty stent, six by sixty stent",
        ["stent: diameter 6, length 40", "stent: diameter 6, length 60"],
        id="two of a kind",
    ),
]


#: Lengths that tell how far a thing lies or moves.
DEVICES += [
    pytest.param(f"balloon, {said}", [f"balloon: {sizes}"], id=said)
    for said, sizes in (
        ("one centimetre deeper", ""),
        ("half a centimetre back", ""),
        ("two millimetres above the spasm", ""),
        ("pull back half a centimetre", ""),
        ("pulled by a centimetre and up", ""),
        ("with an overlap of five millimetres", ""),
        ("three millimetres of overlap", ""),
        ("one centimetre in the left", ""),
        ("one centimetre distal to it", ""),
        ("eight millimetres, please", "diameter 8 mm"),
        ("four centimetres in length", "length 4 cm"),
        ("four centimetres long", "length 4 cm"),
        ("four centimetres in the common femoral", "length 4 cm"),
        ("of four centimetres above it", "length 4 cm"),
    )
]
DEVICES += [
    pytest.param("sheath, forty-five centimetre over the wire", ["sheath: length 45 cm", "wire: "], id="too far"),
    pytest.param("eighteen wire", ["wire: wire_diameter 0.018 [in_i]"], id="thousandths before the name"),
    pytest.param("wire of thirty-five", ["wire: wire_diameter 0.035 [in_i]"], id="thousandths after the name"),
    pytest.param("ten wires", ["wire: "], id="a count of wires"),
    pytest.param("seven sheath", ["sheath: gauge 7 [Ch]"], id="a gauge right before the name"),
    pytest.param("two sheaths", ["sheath: "], id="a count of sheaths"),
    pytest.param("sheath of nine", ["sheath: gauge 9 [Ch]"], id="a gauge after of"),
    pytest.param("sheath, seven by forty-five", ["sheath: gauge 7 [Ch], length 45 cm"], id="French by centimetres"),
    pytest.param("stent, seven by twenty-four", ["stent: diameter 7, length 24"], id="a stent is in millimetres"),
    pytest.param(
        "stiff wire, oh thirty-five, of two hundred sixty",
        ["wire: length 260 cm, wire_diameter 0.035 [in_i]"],
        id="a length after of",
    ),
    pytest.param("the wire is in, oh fourteen atmospheres", ["wire: "], id="oh as a sigh"),
    pytest.param("pigtail, french five", ["catheter: gauge 5 [Ch]"], id="the unit first"),
    pytest.param("pigtail of one hundred ten", ["catheter: length 110 cm"], id="a bare length after of"),
]


@pytest.mark.parametrize(("sentence", "devices"), DEVICES)
def test_devices(sentence: str, devices: list[str]) -> None:
    found = []
    for item in items(sentence, "device"):
        sizes = [
            f"{key} " + " ".join(filter(None, (f"{each.value:g}", each.unit)))
            for key, each in sorted(item.figures.items())
        ]
        found.append(f"{item.name}: {', '.join(sizes)}")
    assert found == devices


#: (sentence, [(drug, dose or None, unit)])
DRUGS = [
    pytest.param("five thousand of heparin", [("heparin", 5000, "[iU]")], id="before it, without a unit"),
    pytest.param("heparin, five thousand units", [("heparin", 5000, "[iU]")], id="after it, with its unit"),
    pytest.param("fentanyl fifty", [("fentanyl", 50, "ug")], id="in the unit it has"),
    pytest.param("ten mils of one percent lidocaine", [("lidocaine", 10, "mL")], id="over a concentration"),
    pytest.param("more heparin", [("heparin", None, None)], id="no dose said"),
    pytest.param(
        "fentanyl fifty and heparin five thousand",
        [("fentanyl", 50, "ug"), ("heparin", 5000, "[iU]")],
        id="each its own",
    ),
    pytest.param("heparin in ten minutes", [("heparin", None, None)], id="a time is no dose"),
]


@pytest.mark.parametrize(("sentence", "drugs"), DRUGS)
def test_drugs(sentence: str, drugs: list[tuple[str, float | None, str | None]]) -> None:
    found = []
    for item in items(sentence, "drug"):
        dose = item.figures.get("dose")
        found.append((item.name, dose and dose.value, dose and dose.unit))
    assert found == drugs


def test_a_dose_without_unit_says_so() -> None:
    (item,) = items("fentanyl fifty", "drug")
    assert "unit-assumed" in item.figures["dose"].flags


#: (sentence, the first device: known already?, where something else goes)
BESIDE = [
    pytest.param("a six french sheath", False, "", id="a new one"),
    pytest.param("the six french sheath", True, "", id="a known one"),
    pytest.param("that sheath", True, "", id="that one"),
    pytest.param("over the wire", True, "over", id="where something goes"),
    pytest.param("through a sheath", False, "through", id="through one"),
]


@pytest.mark.parametrize(("sentence", "definite", "where"), BESIDE)
def test_what_stands_before_a_device(sentence: str, definite: bool, where: str) -> None:
    item = items(sentence, "device")[0]
    assert (item.definite, item.where) == (definite, where)
