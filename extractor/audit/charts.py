"""Many cases as pictures, for an audit: how well pressures agree, how many of each verdict. SVG, for paper."""

from collections import Counter
from collections.abc import Mapping, Sequence

from extractor.audit.agreement import Agreement
from extractor.audit.paper import (
    BLUE,
    GREY,
    LETTERS,
    ORANGE,
    PALE,
    PURPLE,
    SMALL,
    VERMILION,
    bytes_of,
    sheet,
    whole_numbers,
)
from extractor.handover.wording import plain

#: Inches.
_WIDTH = 7.2
#: Verdict -> how its bar looks: told apart by filling as well as by colour.
_BARS = {
    "agrees": (BLUE, ""), "differs": (VERMILION, "////"), "not-logged": (ORANGE, "...."),
    "not-spoken": (PURPLE, "xxxx"), "not-compared": (PALE, ""),
}  # fmt: skip


def draw_agreement(
    spoken: Sequence[float], logged: Sequence[float], differs: Sequence[bool], agreement: Agreement | None
) -> bytes:
    """Pairs of pressures, atm -> SVG: difference over mean, with the limits of agreement and their intervals.

    Pairs that fall together are one larger mark.
    """
    pairs = Counter(
        (round((said + log) / 2, 2), round(log - said, 2), differ)
        for said, log, differ in zip(spoken, logged, differs, strict=True)
    )
    with sheet(_WIDTH, 3.4) as drawn:
        axes = drawn.add_axes((0.09, 0.14, 0.72, 0.82))
        axes.spines[["top", "right"]].set_visible(False)
        for wanted, colour, marker in ((False, BLUE, "o"), (True, VERMILION, "D")):
            marks = [
                (mean, difference, count) for (mean, difference, differ), count in pairs.items() if differ is wanted
            ]
            if marks:
                means, differences, counts = zip(*sorted(marks), strict=True)
                sizes = [12 * count**0.5 for count in counts]
                axes.scatter(means, differences, sizes, color=colour, marker=marker, alpha=0.55, lw=0)
        lines = [] if agreement is None else [
            (agreement.upper, agreement.upper_95, "upper limit"), (agreement.mean, agreement.mean_95, "mean"),
            (agreement.lower, agreement.lower_95, "lower limit"),
        ]  # fmt: skip
        for value, interval, name in lines:
            axes.axhspan(*interval, color=GREY, alpha=0.12, lw=0)
            axes.axhline(value, color="black", lw=0.9, ls="-" if name == "mean" else "--")
            axes.annotate(
                f"{name}\n{value:+.2f} atm", (1, value), (5, 0), xycoords=("axes fraction", "data"),
                textcoords="offset points", va="center", fontsize=LETTERS,
            )  # fmt: skip
        axes.axhline(0, color=GREY, lw=0.5)
        axes.set_xlabel("Mean of spoken and logged, atm")
        axes.set_ylabel("Logged less spoken, atm")
        return bytes_of(drawn)


def draw_counts(counts: Mapping[str, Mapping[str, int]], verdicts: Sequence[str]) -> bytes:
    """Name -> how many of each verdict -> SVG: one bar a name, those that do not agree first."""
    height = 0.75 + 0.2 * len(counts)
    with sheet(_WIDTH, height) as drawn:
        axes = drawn.add_axes((0.24, 0.4 / height, 0.7, 0.2 * len(counts) / height))
        axes.spines[["top", "right"]].set_visible(False)
        names = [plain(name)[:34] for name in counts]
        from_here = [0] * len(counts)
        for verdict in verdicts:
            numbers = [each.get(verdict, 0) for each in counts.values()]
            if any(numbers):
                colour, filling = _BARS[verdict]
                axes.barh(
                    range(len(counts)), numbers, left=from_here, color=colour, hatch=filling, edgecolor="white",
                    height=0.7, label=verdict,
                )  # fmt: skip
                from_here = [before + number for before, number in zip(from_here, numbers, strict=True)]
        axes.set_yticks(range(len(counts)), names)
        axes.set_ylim(len(counts) - 0.4, -0.6)
        axes.xaxis.set_major_locator(whole_numbers())
        axes.legend(
            loc="lower right", bbox_to_anchor=(1, 1.0), ncols=len(verdicts), frameon=False, fontsize=SMALL,
            handletextpad=0.4, columnspacing=1.2,
        )  # fmt: skip
        return bytes_of(drawn)
