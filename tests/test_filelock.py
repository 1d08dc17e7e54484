"""A lock between processes dies with its holder, whatever it died of."""

from __future__ import annotations

import subprocess
import sys

from benchlore.filelock import FileLock

HOLDER = """
import sys, time
from pathlib import Path
from benchlore.filelock import FileLock
with FileLock(Path(sys.argv[1])):
    print("held", flush=True)
    time.sleep(600)
"""


def test_a_killed_holder_frees_the_lock(tmp_path):
    lock = tmp_path / "folder" / "lock"
    with subprocess.Popen([sys.executable, "-c", HOLDER, str(lock)], stdout=subprocess.PIPE) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline().strip() == b"held"
        with FileLock(lock, waiting=holder.kill):
            pass
        assert holder.wait() != 0


def test_nobody_waits_for_a_free_lock(tmp_path):
    waited = []
    for _ in range(2):
        with FileLock(tmp_path / "lock", waiting=lambda: waited.append(1)):
            pass
    assert waited == []
