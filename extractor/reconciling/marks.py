"""The marks of a transcript, and the words that end a clause or a remark as they do.

A set that is another one's but for a mark or a word is told by it, so that the difference is what one reads.
"""

#: All there are.
MARKS = frozenset(", . ... ! ? ; : -".split())
#: Those that end a sentence.
STOPS = frozenset(". ... ! ? ;".split())
#: Those that ask nothing.
TOLD_MARKS = MARKS - {"?"}
#: What ends a clause: a mark, or what the next one begins with.
CLAUSE_ENDS = MARKS | {"and", "but", "so", "then"}
#: Behind what is told of a device that is out: nothing of where else it is.
OUT_ENDS = MARKS | {"and", "now", "please", "too"}
#: Behind a figure, as ``Item.after`` tells: nothing that it counts or that is told of it.
FIGURE_ENDS = frozenset({"", ",", ".", "...", "!", ";", "-"})
