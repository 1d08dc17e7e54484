"""Work that is spread over processes comes back whole, and what goes wrong in one of them is heard."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from benchlore.workers import spread

PROGRAM = """
import json, os, sys, threading, time
from benchlore import workers

def work(name):
    time.sleep(0.2)
    if name == sys.argv[2]:
        os._exit(9) if sys.argv[3] == "killed" else int("no number")
    return os.getpid()

if sys.argv[1] == "threads":
    threading.Thread(target=time.sleep, args=(30,), daemon=True).start()
try:
    found = dict(workers.spread(work, ["a", "b", "c", "d"]))
except (workers.WorkerError, ValueError) as error:
    print(type(error).__name__)
else:
    print(json.dumps([sorted(found), os.getpid() in found.values()]))
"""


def run(*arguments: str) -> str:
    result = subprocess.run([sys.executable, "-c", PROGRAM, *arguments], capture_output=True, text=True)
    assert result.returncode == 0, result.stderr
    return result.stdout.strip()


def test_every_name_is_worked_on():
    assert json.loads(run("alone", "-", "-"))[0] == ["a", "b", "c", "d"]


@pytest.mark.skipif(sys.platform != "linux" or (os.cpu_count() or 1) < 2, reason="works in one process here")
def test_processors_are_used_but_not_by_a_process_with_threads():
    assert json.loads(run("alone", "-", "-"))[1] is False
    assert json.loads(run("threads", "-", "-"))[1] is True


@pytest.mark.skipif(sys.platform != "linux" or (os.cpu_count() or 1) < 2, reason="works in one process here")
def test_what_follows_spread_work_is_spread_too():
    """The threads of a pool outlive it by some milliseconds, and are no reason to work in one process."""
    program = f"""
from benchlore import workers
for _ in range(20):
    list(workers.spread(len, ["a", "b"]))
    assert workers.processes() == {len(os.sched_getaffinity(0))}
"""
    subprocess.run([sys.executable, "-c", program], check=True)


@pytest.mark.skipif(sys.platform != "linux" or (os.cpu_count() or 1) < 2, reason="works in one process here")
def test_a_killed_process_is_said():
    assert run("alone", "b", "killed") == "WorkerError"


def test_what_work_raises_is_raised():
    assert run("alone", "b", "raises") == "ValueError"


def test_one_name_needs_no_process():
    assert list(spread(lambda name: (name, os.getpid()), ["a"])) == [("a", ("a", os.getpid()))]


@pytest.mark.skipif(sys.platform != "linux", reason="optional: processes are forked on Linux alone")
@pytest.mark.parametrize("first", ["site.build", "diagnosis.simulate", "diagnosis.optimum"])
def test_a_build_starts_no_thread_before_it_forks(first):
    """A library that a build loads may bring threads of its own; all work would be done in one process."""
    program = f"import benchlore.{first}; from benchlore import workers; print(workers.processes())"
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert int(run.stdout) == len(os.sched_getaffinity(0))
