"""Weights of a model that keeps few: each has a price (L1). By scipy."""

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

#: A lighter weight is left out.
LIGHTEST = 0.1


def few_weights(
    names: Sequence[str], loss: Callable[[np.ndarray], tuple[float, np.ndarray]], price: float
) -> dict[str, float]:
    """Names of clues, a function from their weights to the loss and its slope, the price of a weight -> clue -> weight,
    those of none left out. The higher the price, the fewer are kept.
    """
    many = len(names)

    def priced(parts: np.ndarray) -> tuple[float, np.ndarray]:
        """A weight is what speaks for it less what speaks against it, neither below 0: then the price has a slope."""
        value, slope = loss(parts[:many] - parts[many:])
        return value + price * parts.sum(), price + np.r_[slope, -slope]

    bounds = [(0, None)] * (2 * many)
    parts = minimize(
        priced, np.zeros(2 * many), jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": 2000}
    ).x
    weights = zip(names, (parts[:many] - parts[many:]).round(2).tolist(), strict=True)
    return {name: weight for name, weight in weights if abs(weight) >= LIGHTEST}


def write_table(path: Path, table: str, weights: dict[str, float]) -> None:
    """Writes clues and weights, the heaviest first, as the last array of a TOML file; what stands before it stays."""
    head = path.read_text(encoding="utf-8").partition(f"\n{table} = [")[0]
    ordered = sorted(weights.items(), key=lambda each: (-abs(each[1]), each[0]))
    lines = "".join(f'  {{name = "{name}", weight = {weight}}},\n' for name, weight in ordered)
    path.write_text(f"{head}\n{table} = [\n{lines}]\n", encoding="utf-8")
