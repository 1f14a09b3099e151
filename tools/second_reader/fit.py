"""Fits the second reader's weights to examples, with PyTorch (the extra `tuning`).

    python tools/second_reader/fit.py EXAMPLES.json.gz WEIGHTS.npz [--check PREFIX...]

Needs nothing of the extractor, so that it runs on any machine. ``--check`` keeps examples whose names begin so aside
and prints what of them is told right. The network is described in extractor/reconciling/second_reader.py.
"""

import argparse
import gzip
import json
import math
import random
import time
import zlib
from collections import Counter
from pathlib import Path

import numpy as np
import torch
from torch import nn
from torch.nn import functional

WIDE, LAYERS, HEADS, REACH = 64, 3, 4, 64
PIECES, PIECE_VECTORS = 12, 4096
STATUSES = ("done", "planned", "considered", "quoted", "negated", "past")
FEATURES = ("word", "thing", "status", "unit", "form", "after", "placed", "again")
#: Where a token of an example has them: word, sentence, thing, status, unit, form, after, placed, again, size, events.
AT = {"word": 0, "thing": 2, "status": 3, "unit": 4, "form": 5, "after": 6, "placed": 7, "again": 8}
SIZES = 24
MOST_EVENTS = 8
#: A name seen fewer times has no vector of its own; a place or event seen fewer times is not answered.
FEWEST = {"word": 3, "thing": 3, "after": 3, "status": 2, "unit": 2, "form": 2, "placed": 2, "again": 2}
FEWEST_ANSWERS = 5
#: Tokens learnt from at a time; how many such stretches make a step.
WINDOW, STRETCHES = 192, 32
RATE, DECAY, DROP, SMOOTH = 2e-3, 0.02, 0.15, 0.03
#: How often a word, or what the lexicons know of it, is hidden; what the rules made of a scene, or of one figure.
HIDE_WORD, HIDE_NAME, HIDE_RULES, HIDE_PLACED = 0.12, 0.06, 0.3, 0.05
#: How much of what rules were written by is shown with what they made of it all the same.
SHOW_KNOWN = 0.3
STATUS_SHARE, EVENT_SHARE = 0.7, 0.5


def pieces(word):
    """As the second reader takes them."""
    marked = f"^{word}$"
    found = [marked[at : at + long] for long in (3, 4) for at in range(len(marked) - long + 1)]
    return [zlib.crc32(piece.encode()) % (PIECE_VECTORS - 1) + 1 for piece in found][:PIECES]


class Names:
    """The names that have rows in the network's tables, and the answers."""

    def __init__(self, examples):
        counts = {feature: Counter() for feature in FEATURES}
        places, events = Counter(), Counter()
        for example in examples:
            for token in example["tokens"]:
                for feature in FEATURES:
                    counts[feature][token[AT[feature]]] += 1
            places.update(belongs[0] for belongs in example["figures"].values() if belongs)
            events.update(tuple(event) for told in example["events"].values() for event in told)
        self.rows = {
            feature: {
                name: row
                for row, name in enumerate(
                    (name for name, times in counts[feature].most_common() if name and times >= FEWEST[feature]), 2
                )
            }
            for feature in FEATURES
        }
        self.places = ["", *sorted(place for place, times in places.items() if times >= FEWEST_ANSWERS)]
        self.events = sorted(event for event, times in events.items() if times >= FEWEST_ANSWERS)
        self.rows["events"] = {" ".join(event): row for row, event in enumerate(self.events, 1)}

    def row(self, feature, name):
        return self.rows[feature].get(name, 1) if name else 0


def arrays(example, names):
    """An example -> its tokens as rows, its answers as numbers (-1: none is asked)."""
    tokens = example["tokens"]
    count = len(tokens)
    made = {
        feature: np.array([names.row(feature, token[AT[feature]]) for token in tokens], np.int64)
        for feature in FEATURES
    }
    made["size"] = np.array([token[9] for token in tokens], np.int64)
    made["pieces"] = np.zeros((count, PIECES), np.int64)
    made["events"] = np.zeros((count, MOST_EVENTS), np.int64)
    for at, token in enumerate(tokens):
        if not token[0].startswith("<"):
            found = pieces(token[0])
            made["pieces"][at, : len(found)] = found
        told = [names.rows["events"][event] for event in token[10] if event in names.rows["events"]]
        made["events"][at, : len(told)] = told
    places = {place: number for number, place in enumerate(names.places)}
    made["what"], made["state"], made["line"] = (np.full(count, -1) for _ in range(3))
    for at, belongs in example["figures"].items():
        made["what"][int(at)] = places.get(belongs[0], -1) if belongs else 0
        if belongs:
            made["state"][int(at)] = STATUSES.index(belongs[1])
    for at, line in example["lines"].items():
        made["line"][int(at)] = line
    numbers = {event: number for number, event in enumerate(names.events)}
    told = {
        int(line): [numbers[tuple(event)] for event in events if tuple(event) in numbers]
        for line, events in example["events"].items()
    }
    return made, told


class Network(nn.Module):
    def __init__(self, names):
        super().__init__()
        self.e = nn.ModuleDict(
            {feature: nn.Embedding(len(names.rows[feature]) + 2, WIDE, padding_idx=0) for feature in FEATURES}
        )
        self.size = nn.Embedding(SIZES, WIDE, padding_idx=0)
        self.pieces = nn.Embedding(PIECE_VECTORS, WIDE, padding_idx=0)
        self.re = nn.Embedding(len(names.events) + 1, WIDE, padding_idx=0)
        for table in (*self.e.values(), self.size, self.pieces, self.re):
            nn.init.normal_(table.weight, std=0.1)
            table.weight.data[0] = 0
        self.n0, self.drop = nn.LayerNorm(WIDE), nn.Dropout(DROP)
        self.layers = nn.ModuleList(
            nn.ModuleDict({
                "n1": nn.LayerNorm(WIDE), "conv": nn.Conv1d(WIDE, WIDE, 3, padding=1),
                "n2": nn.LayerNorm(WIDE), "qkv": nn.Linear(WIDE, 3 * WIDE), "o": nn.Linear(WIDE, WIDE),
                "n3": nn.LayerNorm(WIDE), "f1": nn.Linear(WIDE, 2 * WIDE), "f2": nn.Linear(2 * WIDE, WIDE),
            })
            for _ in range(LAYERS)
        )  # fmt: skip
        self.bias = nn.Parameter(torch.zeros(LAYERS, HEADS, 2 * REACH + 1))
        self.out, self.st = nn.Linear(WIDE, len(names.places)), nn.Linear(WIDE, len(STATUSES))
        self.ev = nn.Linear(WIDE, len(names.events))
        nn.init.constant_(self.ev.bias, -5.0)

    def forward(self, batch):
        state = self.size(batch["size"]) + self.pieces(batch["pieces"]).mean(2) * 2
        seeing = (~batch["blind"])[:, None]
        for feature, table in self.e.items():
            rows = batch[feature]
            if feature in {"placed", "again"}:
                rows = rows * (seeing & self._kept(rows, HIDE_PLACED))
            elif feature == "word":
                rows = torch.where(self._kept(rows, HIDE_WORD) | (rows == 0), rows, 1)
            elif feature in {"thing", "status", "after"}:
                rows = rows * self._kept(rows, HIDE_NAME)
            state = state + table(rows)
        state = state + self.re(batch["events"]).sum(2) * seeing[..., None]
        state = self.drop(self.n0(state))
        count = state.shape[1]
        place = torch.arange(count)
        apart = place[None] - place[:, None]
        beyond = torch.where(apart.abs() > REACH, -1e4, 0.0)
        past = torch.where(batch["past"], -1e4, 0.0)[:, None, None]
        for number, layer in enumerate(self.layers):
            inner = layer["n1"](state) * (~batch["past"])[..., None]
            state = state + self.drop(functional.relu(layer["conv"](inner.transpose(1, 2)).transpose(1, 2)))
            query, key, value = (
                part.view(*part.shape[:2], HEADS, -1).transpose(1, 2)
                for part in layer["qkv"](layer["n2"](state)).chunk(3, -1)
            )
            mask = self.bias[number][:, apart.clamp(-REACH, REACH) + REACH][None] + beyond + past
            drop = 0.1 if self.training else 0.0
            seen = functional.scaled_dot_product_attention(query, key, value, attn_mask=mask, dropout_p=drop)
            state = state + self.drop(layer["o"](seen.transpose(1, 2).reshape(state.shape)))
            state = state + self.drop(layer["f2"](functional.relu(layer["f1"](layer["n3"](state)))))
        return self.out(state), self.st(state), self.ev(state)

    def _kept(self, rows, share):
        return torch.rand(rows.shape) >= share if self.training else torch.ones(rows.shape, dtype=torch.bool)


def stretches(made):
    """An example's arrays -> stretches of it (start, past) from a start by chance."""
    count = len(made["word"])
    if count <= WINDOW:
        return [(0, count)]
    first = -random.randrange(WINDOW)
    cut = [(max(0, at), min(count, at + WINDOW)) for at in range(first, count, WINDOW)]
    return [(start, past) for start, past in cut if past - start > 20]


def batch_of(chosen, events):
    """Stretches (arrays, told, start, past, blind) -> one batch. ``line`` numbers the lines that stand in it whole."""
    count = max(past - start for _, _, start, past, _ in chosen)
    batch = {}
    for name in (*FEATURES, "size", "pieces", "events", "what", "state"):
        rows = [made[name][start:past] for made, _, start, past, _ in chosen]
        fill = -1 if name in {"what", "state"} else 0
        batch[name] = torch.from_numpy(np.stack([
            np.pad(each, [(0, count - len(each))] + [(0, 0)] * (each.ndim - 1), constant_values=fill) for each in rows
        ]))  # fmt: skip
    long = torch.tensor([past - start for _, _, start, past, _ in chosen])
    batch["past"] = torch.arange(count)[None] >= long[:, None]
    batch["blind"] = torch.tensor([blind for *_, blind in chosen])
    numbers, truth = np.full((len(chosen), count), -1), []
    for row, (made, told, start, past, _) in enumerate(chosen):
        inside = [line for line in made["line"][start:past].tolist() if line >= 0]
        whole = set(inside) - {line for line in made["line"][:start].tolist() if line >= 0}
        if past < len(made["line"]) and inside:
            whole.discard(inside[-1])
        at = {}
        for place in range(start, past):
            line = int(made["line"][place])
            if line in whole:
                if line not in at:
                    at[line] = len(truth)
                    truth.append(told.get(line, []))
                numbers[row, place - start] = at[line]
    batch["line"] = torch.from_numpy(numbers)
    batch["told"] = torch.zeros(max(1, len(truth)), events)
    for row, told in enumerate(truth):
        batch["told"][row, told] = 1
    return batch


def loss_of(network, batch):
    what, state, events = network(batch)
    loss = torch.zeros(())
    if (asked := batch["what"] >= 0).any():
        loss = loss + functional.cross_entropy(what[asked], batch["what"][asked], label_smoothing=SMOOTH)
    if (asked := batch["state"] >= 0).any():
        right = functional.cross_entropy(state[asked], batch["state"][asked], label_smoothing=SMOOTH)
        loss = loss + STATUS_SHARE * right
    if (asked := batch["line"] >= 0).any():
        # A script tells of lines, the network of sentences: a line tells what any of its sentences tells.
        none = functional.logsigmoid(-events[asked]).clamp(min=-15)
        none = torch.zeros_like(batch["told"]).index_add(0, batch["line"][asked], none)
        some = torch.log1p(-torch.exp(none.clamp(max=-1e-6)))
        told = batch["told"]
        loss = loss - EVENT_SHARE * (told * some + (1 - told) * none).sum(1).mean()
    return loss


def fit(examples, names, epochs, say):
    network = Network(names)
    made = [(*arrays(example, names), example["blind"]) for example in examples]
    steps = torch.optim.AdamW(network.parameters(), lr=RATE, weight_decay=DECAY, betas=(0.9, 0.98))
    done, all_steps, began = 0, None, time.monotonic()
    for epoch in range(epochs):
        chosen = [
            (rows, told, start, past, random.random() >= SHOW_KNOWN if blind else random.random() < HIDE_RULES)
            for rows, told, blind in made
            for start, past in stretches(rows)
        ]
        chosen.sort(key=lambda each: each[3] - each[2] + 40 * random.random())  # of like length together
        batches = [chosen[at : at + STRETCHES] for at in range(0, len(chosen), STRETCHES)]
        random.shuffle(batches)
        all_steps = all_steps or epochs * len(batches)
        network.train()
        losses = []
        for each in batches:
            warm, cool = min(1, (done + 1) / 200), max(0.02, (1 + math.cos(math.pi * min(1, done / all_steps))) / 2)
            for group in steps.param_groups:
                group["lr"] = RATE * warm * cool
            loss = loss_of(network, batch_of(each, len(names.events)))
            steps.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(network.parameters(), 1.0)
            steps.step()
            done += 1
            losses.append(loss.item())
        say(network, f"{epoch + 1} of {epochs}: loss {sum(losses) / len(losses):.3f}, {time.monotonic() - began:.0f} s")
    return network


def told_right(network, examples, names):
    """Of examples kept aside: figures, those told right, and those by the rules; of what is told, what is right."""
    network.eval()
    counts = Counter()
    for example in examples:
        made, told = arrays(example, names)
        with torch.no_grad():
            batch = batch_of([(made, told, 0, len(made["word"]), False)], len(names.events))
            what, state, events = (each[0] for each in network(batch))
        for at, belongs in example["figures"].items():
            place, status = names.places[what[int(at)].argmax()], STATUSES[state[int(at)].argmax()]
            truth = tuple(belongs) if belongs else ("", "")
            by_rules = example["tokens"][int(at)][7]
            rules = ("", "") if by_rules in {"used", "loose"} else tuple(by_rules.rsplit(" ", 1))
            counts["figures"] += 1
            counts["right"] += truth == ((place, status) if place else ("", ""))
            counts["place right"] += truth[0] == place
            counts["rules right"] += truth == rules
            if not rules[0]:
                counts["unplaced told"] += bool(place)
                counts["unplaced right"] += truth == (place, status)
                counts["unplaced belong"] += bool(truth[0])
        by_line, rules_line = {}, {}
        for at, line in example["lines"].items():
            by_line.setdefault(line, set()).update((events[int(at)] > 0).nonzero()[:, 0].tolist())
            rules_line.setdefault(line, set()).update(
                names.rows["events"][event] - 1
                for event in example["tokens"][int(at)][10]
                if event in names.rows["events"]
            )
        for line, found in by_line.items():
            truth = set(told.get(line, []))
            counts["events"] += len(truth)
            counts["events told"] += len(found)
            counts["events right"] += len(found & truth)
            counts["new told"] += len(found - rules_line[line])
            counts["new right"] += len((found - rules_line[line]) & truth)
    return dict(counts)


def write(network, names, path):
    """The weights as 16-bit numbers, the pieces of known words added to them beforehand."""
    arrays_ = {name: tensor.detach().numpy() for name, tensor in network.state_dict().items()}
    found = arrays_.pop("pieces.weight")
    found[0] = 0
    for word, row in names.rows["word"].items():
        if not word.startswith("<"):
            arrays_["e.word.weight"][row] += found[pieces(word)].sum(0) * 2 / PIECES
    renamed = {name.removesuffix(".weight") if name.startswith(("e.", "size", "re.")) else name: array
               for name, array in arrays_.items()}  # fmt: skip
    renamed["pieces"] = found
    text = json.dumps({"rows": names.rows, "places": names.places, "events": names.events})
    np.savez_compressed(path, names=np.array(text), **{n: a.astype(np.float16) for n, a in renamed.items()})


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("examples", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--check", nargs="*", default=[])
    parser.add_argument("--epochs", type=int, default=13)
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    random.seed(given.seed)
    np.random.seed(given.seed)
    torch.manual_seed(given.seed)
    with gzip.open(given.examples, "rt", encoding="utf-8") as file:
        every = json.load(file)
    aside = [each for each in every if given.check and each["name"].startswith(tuple(given.check))]
    rest = [each for each in every if not (given.check and each["name"].startswith(tuple(given.check)))]
    names = Names(rest)

    def say(network, line):
        print(line, flush=True)
        if aside and line.split()[0] in {str(given.epochs), str(given.epochs // 2)}:
            print(told_right(network, aside, names), flush=True)

    write(fit(rest, names, given.epochs, say), names, given.out)


if __name__ == "__main__":
    main()
