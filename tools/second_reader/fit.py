"""Fits the second reader to examples, from a general language model, with PyTorch (the extra `tuning`).

    python tools/second_reader/fit.py EXAMPLES.json.gz BASE.npz READER.onnx [--check PREFIX...]

Needs nothing of the extractor, so that it runs on any machine; with a GPU it takes minutes. ``--check`` keeps examples
whose names begin so aside and prints what of them is told right. The network is described in extractor/network.py.
"""

import argparse
import gzip
import json
import math
import random
import time
from collections import Counter
from pathlib import Path

import numpy as np
import torch
from torch import nn
from torch.nn import functional

STATUSES = ("done", "planned", "considered", "quoted", "negated", "past")
#: What is known of a piece beside its spelling, in the order of an example's rows.
FEATURES = ("thing", "status", "unit", "form", "after", "placed", "again")
#: How many intervals sizes lie in, one more for none; how many events a sentence is shown with.
SIZES, MOST_EVENTS = 24, 8
#: A name seen fewer times has no vector of its own; a place or event seen fewer times is not answered.
FEWEST = {"thing": 3, "status": 2, "unit": 2, "form": 2, "after": 3, "placed": 2, "again": 2}
FEWEST_ANSWERS = 5
HEADS, LONGEST = 12, 512
#: Pieces learnt from at a time; how many such stretches make a step.
WINDOW, SHORTEST, STRETCHES = 320, 24, 24
#: What the language model learns by, and what is new here.
RATE, RATE_NEW, DECAY, DROP, SMOOTH, WARM_STEPS = 1e-4, 1e-3, 0.02, 0.15, 0.03, 150
#: How often a piece, or what the lexicons know of it, is hidden; what the rules made of a scene, or of one figure.
HIDE_PIECE, HIDE_NAME, HIDE_RULES, HIDE_PLACED = 0.06, 0.06, 0.4, 0.12
#: How much of what rules were written by is shown with what they made of it all the same.
SHOW_KNOWN = 0.3
STATUS_SHARE, EVENT_SHARE = 0.7, 0.5
#: How often a document is seen with its stops as a recogniser writes them, where it has that form.
AS_HEARD = 0.5
#: How far apart two pieces are is told in so many steps either way, the last for all from so many pieces on.
STEPS, NEAR_STEPS, FARTHEST = 16, 8, 128
#: A table of 32-bit numbers smaller than this stays as it is.
SMALL = 10_000

DEVICE = torch.device("cuda" if torch.cuda.is_available() else "cpu")


class Names:
    """The names that have rows in the network's tables, and the answers."""

    def __init__(self, examples):
        counts = {feature: Counter() for feature in FEATURES}
        places, events = Counter(), Counter()
        for example in examples:
            for row in example["rows"]:
                for feature, name in zip(FEATURES, row, strict=False):
                    counts[feature][name] += 1
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


class Examples:
    """Examples as rows of numbers on the device, one row a piece of a word, one example after another.

    ``line`` numbers the lines at the first pieces of their sentences, ``told`` has what each tells; ``first`` and
    ``past`` are the pieces it lies between. What is asked stands at a token's first piece, elsewhere -1.
    """

    def __init__(self, examples, names):
        self.examples, self.names = examples, names
        places = {place: at for at, place in enumerate(names.places)}
        numbers = {event: at for at, event in enumerate(names.events)}
        columns = {name: [] for name in ("piece", "features", "size", "events", "what", "state", "line")}
        self.starts, first, past, told = [0], [], [], []
        self.heads = []  # of each example, the first pieces of its tokens
        for example in examples:
            at, lines, heads = self.starts[-1], {}, []
            events_of = {int(line): events for line, events in example["events"].items()}
            for number, (pieces, row) in enumerate(zip(example["pieces"], example["rows"], strict=True)):
                belongs = example["figures"].get(str(number), False)
                line = example["lines"].get(str(number))
                heads.append(at)
                if line is not None and line not in lines:
                    if lines:
                        past[-1] = at
                    lines[line] = len(first)
                    first.append(at)
                    past.append(0)
                    told.append([numbers[tuple(each)] for each in events_of[line] if tuple(each) in numbers])
                shown = [names.rows["events"][each] for each in row[8] if each in names.rows["events"]]
                for rank, piece in enumerate(pieces):
                    columns["piece"].append(piece)
                    columns["features"].append([names.row(f, n) for f, n in zip(FEATURES, row, strict=False)])
                    columns["size"].append(row[7])
                    columns["events"].append(
                        shown + [0] * (MOST_EVENTS - len(shown)) if not rank else [0] * MOST_EVENTS
                    )
                    asked = belongs is not False and not rank
                    columns["what"].append((places.get(belongs[0], -1) if belongs else 0) if asked else -1)
                    columns["state"].append(STATUSES.index(belongs[1]) if asked and belongs else -1)
                    columns["line"].append(lines[line] if line is not None and not rank else -1)
                    at += 1
            if lines:
                past[-1] = at
            self.starts.append(at)
            self.heads.append(heads)
        self.columns = {name: torch.tensor(column, device=DEVICE) for name, column in columns.items()}
        self.first, self.past = torch.tensor(first, device=DEVICE), torch.tensor(past, device=DEVICE)
        self.told = torch.zeros(len(told), len(names.events))
        for line, events in enumerate(told):
            self.told[line, events] = 1
        self.told = self.told.to(DEVICE)

    def stretches(self):
        """Stretches (start, past, blind) of all examples, from starts by chance, of each in one of its forms."""
        forms = Counter(example["name"] for example in self.examples)
        as_heard = {name: random.random() < AS_HEARD for name, many in forms.items() if many > 1}
        for example, start, past in zip(self.examples, self.starts, self.starts[1:], strict=False):
            if example["as_heard"] != as_heard.get(example["name"], example["as_heard"]):
                continue
            blind = example["blind"]
            first = start if past - start <= WINDOW else start - random.randrange(WINDOW)
            for at in range(first, past, WINDOW):
                cut = max(start, at), min(past, at + WINDOW)
                if past - start <= WINDOW or cut[1] - cut[0] >= SHORTEST:
                    yield (*cut, random.random() >= SHOW_KNOWN if blind else random.random() < HIDE_RULES)

    def batch(self, stretches):
        """Stretches -> one batch; ``line`` only of those that stand in it whole."""
        starts, pasts, blind = (torch.tensor(each, device=DEVICE) for each in zip(*stretches, strict=True))
        long = int((pasts - starts).max())
        at = starts[:, None] + torch.arange(long, device=DEVICE)
        beyond = at >= pasts[:, None]
        at = at.clamp(max=len(self.columns["piece"]) - 1)
        made = {name: column[at] for name, column in self.columns.items()}
        for name, column in made.items():
            fill = -1 if name in {"what", "state", "line"} else 0
            column.masked_fill_(beyond.reshape(*beyond.shape, *[1] * (column.ndim - 2)), fill)
        line = made["line"].clamp(min=0)
        whole = (self.first[line] >= starts[:, None]) & (self.past[line] <= pasts[:, None])
        made["line"] = torch.where(whole, made["line"], -1)
        made["blind"] = blind
        return made


class Reader(nn.Module):
    """The language model with what is known of each piece added where it begins, and three answers."""

    def __init__(self, base, names, layers):
        super().__init__()
        vocabulary = json.loads(str(base["vocabulary"]))
        weight = {
            name: torch.from_numpy(array.astype(np.float32)) for name, array in base.items() if name != "vocabulary"
        }
        wide = weight["embeddings.word_embeddings.weight"].shape[1]
        self.wide, self.padded, self.unknown = wide, True, vocabulary.index("[UNK]")
        self.piece = nn.Embedding.from_pretrained(weight["embeddings.word_embeddings.weight"], freeze=False)
        self.position = nn.Parameter(weight["embeddings.position_embeddings.weight"][:LONGEST])
        self.normal = self._normal(weight, "embeddings.LayerNorm")
        self.apart = nn.Embedding.from_pretrained(weight["encoder.relative_attention_bias.weight"], freeze=False)
        self.register_buffer("step", _steps(torch.arange(1 - LONGEST, LONGEST)), persistent=False)
        self.layers = nn.ModuleList()
        for layer in range(layers):
            at = f"encoder.layer.{layer}."
            qkv = nn.Linear(wide, 3 * wide)
            for kind in ("weight", "bias"):
                getattr(qkv, kind).data = torch.cat([weight[f"{at}attention.attn.{part}.{kind}"] for part in "qkv"])
            self.layers.append(nn.ModuleDict({
                "qkv": qkv,
                "o": self._linear(weight, f"{at}attention.attn.o"),
                "n1": self._normal(weight, f"{at}attention.LayerNorm"),
                "f1": self._linear(weight, f"{at}intermediate.dense"),
                "f2": self._linear(weight, f"{at}output.dense"),
                "n2": self._normal(weight, f"{at}output.LayerNorm"),
            }))  # fmt: skip
        self.tables = nn.ModuleList(nn.Embedding(len(names.rows[name]) + 2, wide, padding_idx=0) for name in FEATURES)
        self.size = nn.Embedding(SIZES, wide, padding_idx=0)
        self.event = nn.Embedding(len(names.events) + 1, wide, padding_idx=0)
        for table in (*self.tables, self.size, self.event):
            nn.init.normal_(table.weight, std=0.02)
            table.weight.data[0] = 0
        self.out, self.st = nn.Linear(wide, len(names.places)), nn.Linear(wide, len(STATUSES))
        self.ev = nn.Linear(wide, len(names.events))
        nn.init.constant_(self.ev.bias, -5.0)
        self.drop = nn.Dropout(DROP)

    @staticmethod
    def _linear(weight, name):
        made = nn.Linear(*reversed(weight[f"{name}.weight"].shape))
        made.weight.data, made.bias.data = weight[f"{name}.weight"], weight[f"{name}.bias"]
        return made

    @staticmethod
    def _normal(weight, name):
        made = nn.LayerNorm(len(weight[f"{name}.weight"]), eps=1e-5)
        made.weight.data, made.bias.data = weight[f"{name}.weight"], weight[f"{name}.bias"]
        return made

    def known(self):
        """The parameters that come from the language model."""
        new = {id(each) for part in (self.tables, self.size, self.event, self.out, self.st, self.ev)
               for each in part.parameters()}  # fmt: skip
        return [each for each in self.parameters() if id(each) not in new]

    def forward(self, piece, features, size, events):
        """(batch, pieces), (…, features), (batch, pieces), (…, most events) of rows -> three answers at each piece."""
        state = self.piece(piece) + self.position[: piece.shape[1]] + self.size(size) + self.event(events).sum(2)
        for number, table in enumerate(self.tables):
            state = state + table(features[:, :, number])
        state = self.drop(self.normal(state))
        places = torch.arange(piece.shape[1], device=piece.device)
        nearness = self.apart(self.step[places[:, None] - places[None] + LONGEST - 1]).permute(2, 0, 1)[None]
        if self.padded:
            nearness = nearness + torch.where(piece == 0, -1e4, 0.0)[:, None, None]
        if torch.is_autocast_enabled():
            nearness = nearness.bfloat16()
        for layer in self.layers:
            query, key, value = (
                part.reshape(part.shape[0], part.shape[1], HEADS, self.wide // HEADS).transpose(1, 2)
                for part in layer["qkv"](state).chunk(3, -1)
            )
            seen = functional.scaled_dot_product_attention(query, key, value, nearness)
            seen = seen.transpose(1, 2).reshape(state.shape)
            state = layer["n1"](state + self.drop(layer["o"](seen)))
            state = layer["n2"](state + self.drop(layer["f2"](functional.gelu(layer["f1"](state)))))
        return self.out(state), self.st(state), self.ev(state)


def _steps(apart):
    """How far behind another a piece stands -> in which step that is: each of the nearest, then by their logarithm."""
    far = torch.log(apart.abs().clamp(min=1) / NEAR_STEPS) / math.log(FARTHEST / NEAR_STEPS) * (STEPS - NEAR_STEPS)
    step = torch.where(apart.abs() < NEAR_STEPS, apart.abs(), (NEAR_STEPS + far.long()).clamp(max=STEPS - 1))
    return step + STEPS * (apart < 0)


def hidden(batch, unknown):
    """A batch, the piece for those there are not -> the network's inputs, some of it hidden by chance."""

    def kept(like, share):
        return torch.rand(like.shape, device=DEVICE) >= share

    piece, seeing = batch["piece"], ~batch["blind"][:, None]
    piece = torch.where(kept(piece, HIDE_PIECE) | (piece == 0), piece, unknown)
    features = batch["features"].clone()
    for name in ("thing", "status", "after"):
        features[..., FEATURES.index(name)] *= kept(piece, HIDE_NAME)
    for name in ("placed", "again"):
        features[..., FEATURES.index(name)] *= seeing & kept(piece, HIDE_PLACED)
    return piece, features, batch["size"], batch["events"] * seeing[..., None]


def loss_of(answers, batch, told):
    what, state, events = (answer.float() for answer in answers)
    loss = torch.zeros((), device=DEVICE)
    if (asked := batch["what"] >= 0).any():
        loss = loss + functional.cross_entropy(what[asked], batch["what"][asked], label_smoothing=SMOOTH)
    if (asked := batch["state"] >= 0).any():
        right = functional.cross_entropy(state[asked], batch["state"][asked], label_smoothing=SMOOTH)
        loss = loss + STATUS_SHARE * right
    if (asked := batch["line"] >= 0).any():
        # A script tells of lines, the network of sentences: a line tells what any of its sentences tells.
        lines, inverse = batch["line"][asked].unique(return_inverse=True)
        none = functional.logsigmoid(-events[asked]).clamp(min=-15)
        none = torch.zeros(len(lines), none.shape[1], device=DEVICE).index_add(0, inverse, none)
        some = torch.log1p(-torch.exp(none.clamp(max=-1e-6)))
        loss = loss - EVENT_SHARE * (told[lines] * some + (1 - told[lines]) * none).sum(1).mean()
    return loss


def fit(reader, examples, epochs, say):
    """Fits in place; ``say`` is called after each epoch with a line of how far it is."""
    known = reader.known()
    ids = {id(each) for each in known}
    groups = [{"params": known, "rate": RATE},
              {"params": [each for each in reader.parameters() if id(each) not in ids], "rate": RATE_NEW}]  # fmt: skip
    steps = torch.optim.AdamW(groups, lr=RATE, weight_decay=DECAY, betas=(0.9, 0.98))
    done, all_steps, began = 0, None, time.monotonic()
    for epoch in range(epochs):
        chosen = sorted(examples.stretches(), key=lambda each: each[1] - each[0] + 40 * random.random())
        batches = [chosen[at : at + STRETCHES] for at in range(0, len(chosen), STRETCHES)]
        random.shuffle(batches)
        all_steps = all_steps or epochs * len(batches)
        reader.train()
        losses = []
        for each in batches:
            share = max(0.02, (1 + math.cos(math.pi * min(1, done / all_steps))) / 2) * min(1, (done + 1) / WARM_STEPS)
            for group in steps.param_groups:
                group["lr"] = group["rate"] * share
            batch = examples.batch(each)
            with torch.autocast(DEVICE.type, torch.bfloat16):
                answers = reader(*hidden(batch, reader.unknown))
            loss = loss_of(answers, batch, examples.told)
            steps.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(reader.parameters(), 1.0)
            steps.step()
            done += 1
            losses.append(loss.detach())
        say(f"{epoch + 1} of {epochs}: loss {float(sum(losses)) / len(losses):.3f}, {time.monotonic() - began:.0f} s")


def told_right(reader, examples):
    """Of examples kept aside: figures, those told right, those of no rule; of events, what is told and right."""
    reader.eval()
    counts, names = Counter(), examples.names
    for number, example in enumerate(examples.examples):
        start, past = examples.starts[number], examples.starts[number + 1]
        if past == start:
            continue
        answers = [[], [], []]
        for at in range(start, past, WINDOW // 2):  # the middle of each stretch
            cut = max(start, at - WINDOW // 4), min(past, at + WINDOW // 2 + WINDOW // 4)
            batch = examples.batch([(*cut, False)])
            with torch.no_grad():
                given = reader(batch["piece"], batch["features"], batch["size"], batch["events"])
            for kept, answer in zip(answers, given, strict=True):
                kept.append(answer[0, at - cut[0] : min(past, at + WINDOW // 2) - cut[0]].float().cpu())
        what, state, events = (torch.cat(answer) for answer in answers)
        likely, likeliest = what.softmax(-1).max(-1)
        heads = [head - start for head in examples.heads[number]]
        for at, belongs in example["figures"].items():
            head = heads[int(at)]
            told = (names.places[likeliest[head]], STATUSES[state[head].argmax()])
            truth = tuple(belongs) if belongs else ("", "")
            counts["figures"] += 1
            counts["right"] += (truth == told) if told[0] else not truth[0]
            if example["rows"][int(at)][5] in {"used", "loose"}:
                counts["loose that belong"] += bool(truth[0])
                counts["loose told"] += bool(told[0]) and float(likely[head]) > 0.6
                counts["loose right"] += bool(told[0]) and float(likely[head]) > 0.6 and truth == told
        found = {}
        for at, line in example["lines"].items():
            found.setdefault(line, set()).update((events[heads[int(at)]] > 0).nonzero()[:, 0].tolist())
        for line, told in found.items():
            truth = {
                names.events.index(tuple(each)) for each in example["events"][str(line)] if tuple(each) in names.events
            }
            counts["events"] += len(truth)
            counts["events told"] += len(told)
            counts["events right"] += len(told & truth)
    return dict(counts)


def write(reader, names, vocabulary, path):
    """The network as an ONNX file, its products in 8-bit numbers; names in its metadata."""
    import onnx
    from onnxruntime.quantization import QuantType, quantize_dynamic

    reader.eval().cpu()
    reader.padded = False  # stretches are read one by one
    rows = (torch.ones(2, 9, dtype=torch.int64), torch.ones(2, 9, len(FEATURES), dtype=torch.int64),
            torch.ones(2, 9, dtype=torch.int64), torch.ones(2, 9, MOST_EVENTS, dtype=torch.int64))  # fmt: skip
    inputs, outputs = ["piece", "features", "size", "events"], ["what", "status", "told"]
    free = {name: {0: "batch", 1: "pieces"} for name in (*inputs, *outputs)}
    torch.onnx.export(reader, rows, path, input_names=inputs, output_names=outputs, dynamic_axes=free, dynamo=False)
    quantize_dynamic(path, path, weight_type=QuantType.QInt8, reduce_range=True, op_types_to_quantize=["MatMul"],
                     per_channel=True)  # fmt: skip
    model = onnx.load(path)
    for table in list(model.graph.initializer):
        _narrow(model.graph, table)
    told = {"rows": names.rows, "places": names.places, "events": names.events, "vocabulary": vocabulary}
    onnx.helper.set_model_props(model, {"names": json.dumps(told)})
    onnx.save(model, path)


def _narrow(graph, table):
    """A table of 32-bit numbers becomes one of 8 bits with a scale a row, where rows are looked up; else of 16 bits."""
    from onnx import TensorProto, helper, numpy_helper

    array = numpy_helper.to_array(table)
    if array.dtype != np.float32 or array.ndim != 2 or array.size < SMALL:
        return
    name, nodes = table.name, list(graph.node)
    looked_up = [node for node in nodes if node.op_type == "Gather" and node.input[0] == name]
    if not looked_up:
        table.CopyFrom(numpy_helper.from_array(array.astype(np.float16), f"{name}_16"))
        graph.node.insert(0, helper.make_node("Cast", [f"{name}_16"], [name], to=TensorProto.FLOAT))
        return
    scale = np.maximum(np.abs(array).max(1, keepdims=True), 1e-9) / 127
    table.CopyFrom(numpy_helper.from_array(np.round(array / scale).astype(np.int8), f"{name}_8"))
    graph.initializer.append(numpy_helper.from_array(scale.astype(np.float32), f"{name}_scale"))
    for node in looked_up:
        rows, found = node.input[1], node.output[0]
        at = list(graph.node).index(node)
        graph.node.remove(node)
        for step in reversed([
            helper.make_node("Gather", [f"{name}_8", rows], [f"{found}_8"], axis=0),
            helper.make_node("Cast", [f"{found}_8"], [f"{found}_wide"], to=TensorProto.FLOAT),
            helper.make_node("Gather", [f"{name}_scale", rows], [f"{found}_scale"], axis=0),
            helper.make_node("Mul", [f"{found}_wide", f"{found}_scale"], [found]),
        ]):  # fmt: skip
            graph.node.insert(at, step)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("examples", type=Path)
    parser.add_argument("base", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--check", nargs="*", default=[])
    parser.add_argument("--layers", type=int, default=12)
    parser.add_argument("--epochs", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    random.seed(given.seed)
    torch.manual_seed(given.seed)
    with gzip.open(given.examples, "rt", encoding="utf-8") as file:
        every = json.load(file)
    aside = {each["name"] for each in every if given.check and each["name"].startswith(tuple(given.check))}
    rest = [each for each in every if each["name"] not in aside]
    names = Names(rest)
    with np.load(given.base) as base:
        reader = Reader(base, names, given.layers).to(DEVICE)
        vocabulary = json.loads(str(base["vocabulary"]))
    fit(reader, Examples(rest, names), given.epochs, lambda line: print(line, flush=True))
    for prefix in given.check:
        chosen = [each for each in every if each["name"].startswith(prefix) and not each["as_heard"]]
        print(prefix, told_right(reader, Examples(chosen, names)), flush=True)
    write(reader, names, vocabulary, str(given.out))


if __name__ == "__main__":
    main()
