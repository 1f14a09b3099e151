"""The library that a graphics processor wants: cuBLAS of CUDA 12, which CTranslate2 asks the system for by name.

The package ``nvidia-cublas-cu12`` (our extra ``graphics``) brings it, but lays it where no loader looks. Whoever loads
it first from there spares the user a search path of his own: CTranslate2 then finds it in the process.
"""

import ctypes
from importlib.util import find_spec
from pathlib import Path

#: In the order in which one wants the other.
_LIBRARIES = ("libcublasLt.so.12", "libcublas.so.12")


def load_library() -> bool:
    """cuBLAS into this process, from the package that brings it; False where there is none.

    Raises OSError where the package's own file cannot be loaded.
    """
    try:
        package = find_spec("nvidia.cublas")
    except ModuleNotFoundError:  # not even "nvidia"
        return False
    for place in (package and package.submodule_search_locations) or ():
        libraries = [Path(place, "lib", name) for name in _LIBRARIES]
        if all(library.is_file() for library in libraries):
            for library in libraries:
                ctypes.CDLL(str(library), ctypes.RTLD_GLOBAL)
            return True
    return False
