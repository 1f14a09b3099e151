"""A process that is made to be killed: it forks one that edits and signs in a store, and says what was acknowledged.

``python killed.py``: each line of its input, ``FOLDER EDITED SIGNED`` (two cases), starts one. It prints ``pid N``,
then a line for what returned from the store, ``revised CASE NUMBER VALUE`` or ``signed CASE COUNT``; at last ``end``.
"""

import itertools
import os
import sys
import threading
from pathlib import Path
from typing import NoReturn

from extractor import signing
from extractor.desk import edits
from extractor.desk.store import Store, open_store


def say(line: str) -> None:
    os.write(1, f"{line}\n".encode())  # one write: a line is whole, or not there


def revise(store: Store, case: int, key: str, value: float) -> None:
    head, _ = store.timeline(case)
    edit = edits.Set(event="e0003", field=f"values.{key}.value", value=value)
    revised = store.revise(case, head, edit, "A. Operator")
    say(f"revised {case} {revised.revision.number} {value}")


def edit_on(store: Store, case: int, key: str) -> None:
    for count in itertools.count(1):
        revise(store, case, key, 100 + count / 8)


def edit_and_sign(store: Store, case: int) -> NoReturn:
    private = store.keys.private("A. Operator")
    while True:
        if store.case(case).state == "signed":
            store.open_amendment(case, "A. Operator", "again")
        revise(store, case, "pressure", 200 + len(store.revisions(case)) / 8)
        head, timeline = store.timeline(case)
        seen = [point for point in timeline.open_points if point in timeline.looked_at]
        left = {point: "nothing to hear" for point in timeline.open_points if point not in seen}
        told = {"name": "A. Operator", "signed_at": store.now(), "looked_at": seen, "left_open": left}
        if earlier := store.signed(case):
            told |= {"amends": earlier[-1], "reason": "again"}
        store.sign(case, signing.sign(timeline, private, **told), head, "A. Operator")
        say(f"signed {case} {len(store.signed(case))}")


def work(folder: str, edited: int, signed: int) -> NoReturn:
    store = open_store(Path(folder))
    others = [threading.Thread(target=edit_on, args=(store, edited, key)) for key in ("diameter", "length")]
    for thread in others:
        thread.start()
    try:
        edit_and_sign(store, signed)
    finally:
        os._exit(1)  # a fault of this script's, which the test must see as an early end


def main() -> None:
    say("ready")
    for line in sys.stdin:
        folder, edited, signed = line.split()
        child = os.fork()
        if not child:
            work(folder, int(edited), int(signed))
        say(f"pid {child}")
        os.waitpid(child, 0)
        say("end")


if __name__ == "__main__":
    main()
