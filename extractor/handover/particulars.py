"""What the voice does not tell and a site adds."""

from extractor.model import Frozen


class Particulars(Frozen):
    """Nothing yet."""
