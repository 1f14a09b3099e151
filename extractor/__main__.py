"""``python -m extractor``, the same as the command ``extractor``."""

from extractor.cli import run

if __name__ == "__main__":
    run()
