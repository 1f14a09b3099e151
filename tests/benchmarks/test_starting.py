"""What making the lexicons ready costs, in a process of its own: it is paid before every draft, however short."""

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.benchmark

#: What must hold: processor seconds, and megabytes of memory altogether.
MOST_S, MOST_MB = 3, 300
SCRIPT = """
import resource, time
from extractor.lexicon import load
from extractor.reading.statements import Reader
begin = time.process_time()
Reader(load())
print(time.process_time() - begin, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere memory is told in other units, or not at all")
def test_the_lexicons_are_ready_in_a_moment(pytestconfig: pytest.Config) -> None:
    root: Path = pytestconfig.rootpath
    done = subprocess.run([sys.executable, "-c", SCRIPT], cwd=root, check=True, capture_output=True, text=True)
    took_s, memory_mb = map(float, done.stdout.split())
    print(f"\nLexicons ready in {took_s:.1f} s of processor time, {memory_mb:.0f} MB")
    assert took_s <= MOST_S
    assert memory_mb <= MOST_MB
