"""Everything that can go wrong with what a person gives us, as one small tree.

    ExtractorError            one clear sentence: what, where, and the cure
    ├── InputError            a recording, transcript or pressure log that cannot be used
    │   └── EditError         a change of a timeline that makes no sense there
    ├── LexiconError          a lexicon file that cannot be used (names file, table and key)
    ├── ModelError            a speech model that cannot be found, joined or trusted
    ├── OutputError           a place that cannot be written
    ├── SignatureError        a signature that cannot be made, or does not hold
    └── StoreError            a store of the desk that cannot be opened, read or written, or is not whole

The command line turns any of them into one line on stderr and exit status 2. Mistakes of ours are
ordinary Python exceptions: they are not dressed up as the user's.
"""


class ExtractorError(Exception):
    """What went wrong, said for the person who can put it right."""


class InputError(ExtractorError):
    """A recording, transcript or pressure log that cannot be used."""


class EditError(InputError):
    """A change of a timeline that makes no sense there."""


class LexiconError(ExtractorError):
    """A lexicon file that cannot be used."""


class ModelError(ExtractorError):
    """A speech model that cannot be found, joined or trusted."""


class OutputError(ExtractorError):
    """A place that cannot be written."""


class SignatureError(ExtractorError):
    """A signature that cannot be made, or does not hold."""


class StoreError(ExtractorError):
    """A store of the desk that cannot be opened, read or written, or is not whole."""
