"""A device is where the operator is with it, or where it was put; and what tells of no such thing."""

import pytest

from .telling import told

SHEATH, COBRA = "insert done sheath | gauge 6 [Ch]", "insert done catheter | gauge 5 [Ch]"
ASKED = "insert planned sheath | gauge 6 [Ch]"


@pytest.mark.parametrize(
    ("line", "events"),
    [
        pytest.param("We are in the hepatic vein with the sheath of six French.", [SHEATH], id="we are in"),
        pytest.param("I'm at the origin with a cobra five French.", [COBRA], id="I'm at"),
        pytest.param("I've got into the mesenteric with a five French cobra.", [COBRA], id="got into"),
        pytest.param("I have crossed over with a sheath of six French.", [SHEATH], id="crossed over"),
        pytest.param("I am with the six French sheath in the iliac.", [SHEATH], id="where it is behind"),
        pytest.param("We are in the aorta with the wire.", [], id="of the way in only"),
        pytest.param("I'd like to be in with a six French sheath.", [ASKED], id="wished for"),
        pytest.param(
            "If I were in with a six French sheath.", ["insert considered sheath | gauge 6 [Ch]"], id="thought of"
        ),
        pytest.param("I am happy with the six French sheath.", [ASKED], id="pleased"),
        pytest.param("We are in agreement with the six French sheath.", [ASKED], id="agreed"),
        pytest.param("I'm up the wall with the six French sheath.", [ASKED], id="a manner of speaking"),
        pytest.param("We went into the mesenteric with the sheath of six French.", [SHEATH], id="a vessel by its name"),
        pytest.param("Six French sheath is put in the bin.", [ASKED], id="put in the bin"),
        pytest.param("We are over budget with the catheters.", [], id="several, of the stock"),
        pytest.param("I'm in the room with the micro rep.", [], id="somebody"),
        pytest.param("I've been in theatre with a cobra before.", [], id="another time"),
        pytest.param("Six French sheath is put, smooth.", [SHEATH], id="is put"),
        pytest.param("Sheath six French I put.", [SHEATH], id="I put"),
        pytest.param("Six French sheath is put on the table.", [ASKED], id="put on the table"),
        pytest.param("Sheath, six, done.", [SHEATH], id="done"),
        pytest.param("Six French sheath, there.", [SHEATH], id="there"),
        pytest.param("Six French sheath, please. There.", [SHEATH], id="there, in a sentence of its own"),
        pytest.param("Put a six French sheath there.", [ASKED], id="an order"),
        pytest.param("Six French sheath is what we need, done.", [ASKED], id="something else is done"),
    ],
)
def test_where_it_is(line: str, events: list[str]) -> None:
    assert told(line) == events
