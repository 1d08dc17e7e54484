"""How right the plans are on boards that do not follow their model, over many draws of such boards.

    python tools/benchmarks/off_model.py [--draws 134] [--jobs 150] [--seed 1] [--family NAME ...]
        [--symptoms N] [--first REVISION]

Each draw puts each prior off by a factor of up to three (`diagnosis/boards.py`), and plays its jobs by the
book's plans: minutes and wrong fixes on the board of a hundred jobs, and the deciles of what was stated.
`--first fd17a55` plays the same boards by plans of that revision's arithmetic, too, from the recorded faults
alone, as it had them (`first_edition.py`; needs the repository's history). `--symptoms`: so many of a
family, evenly spaced in order of id, since plans of that revision take long.
"""

from __future__ import annotations

import argparse
import io
import json
import math
import os
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchlore.book import load_book  # noqa: E402
from benchlore.book.links import book_of, faults_of_family  # noqa: E402
from benchlore.book.model import Book  # noqa: E402
from benchlore.circuit.foretold import in_full  # noqa: E402
from benchlore.diagnosis.boards import Boards, Job  # noqa: E402
from benchlore.diagnosis.likelihood import class_table, meaningless_classes  # noqa: E402
from benchlore.diagnosis.minutes import setup_of  # noqa: E402
from benchlore.diagnosis.plan import Branch, Node  # noqa: E402
from benchlore.diagnosis.simulate import Decile, reliability  # noqa: E402
from benchlore.site.plans import FamilyPlans, plans_of  # noqa: E402

NEVER = 1e-12  # share of a board that no draw meets


def played(boards: Boards, trees: Mapping[str, Node], draws: int, jobs: int, seed: int) -> Iterator[Job]:
    """So many jobs of each draw. The same seed gives the same priors and hides the same faults, whatever the
    plans are.
    """
    for draw in range(draws):
        boards.chance.seed(f"{seed} {draw}")
        boards.put_off()
        for job in range(jobs):
            boards.chance.seed(f"{seed} {draw} {job}")
            yield next(boards.jobs(trees, 1))


def figures(jobs: Sequence[Job]) -> str:
    """Minutes, their standard error, wrong fixes and escalations."""
    count = len(jobs)
    mean = math.fsum(job.minutes for job in jobs) / count
    error = math.sqrt(math.fsum((job.minutes - mean) ** 2 for job in jobs) / (count - 1) / count)
    wrong = sum(len(job.fixes) for job in jobs) / count
    escalated = sum(not job.mended for job in jobs) / count
    return (
        f"{mean:.1f} min (standard error {error:.1f}), {100 * wrong:.1f} wrong fixes a hundred jobs, "
        f"{escalated:.0%} escalated"
    )


def deciles(found: Sequence[Decile]) -> str:
    """Each decile's points off, and the largest."""
    off = {one.low: 100 * (one.true - one.stated) for one in found}
    each = ", ".join(f"{low * 100:.0f}s {apart:+.1f}" for low, apart in off.items())
    return f"deciles off, in points: {each}; most {max(map(abs, off.values())):.1f}"


def asked(known: FamilyPlans, book: Book, symptoms: Sequence[str]) -> dict[str, Any]:
    """What an earlier revision needs to grow plans of the recorded faults."""
    case, family, bench = known.case, known.family, known.case.bench
    faults = sorted(faults_of_family(book, family.id), key=lambda fault: fault.id)
    return {
        "symptoms": symptoms,
        "escalate": bench.escalate,
        "change": bench.change,
        "faults": [
            {
                "id": fault.id,
                "seen": fault.seen,
                "symptoms": dict(fault.symptom),
                "minutes": bench.fix_minutes[n],
                "setup": 0,
                "reads": {one.measure: dict(one.expected_reading) for one in fault.test_points},
            }
            for n, fault in enumerate(faults)
        ],
        "measures": [
            {
                "id": m,
                "outcomes": outcomes,
                "confusion": (confusion := class_table(case.scales[m])),
                "chance": meaningless_classes(case.scales[m], confusion),
                "minutes": bench.measure_minutes[n],
                "setup": case.setups.index(setup_of(family, m)),
                "live": n in bench.live,
                "stops": [o for o, name in enumerate(outcomes) if family.measurements[m].outcomes[name].stop],
            }
            for n, (m, outcomes) in enumerate(zip(bench.measures, bench.outcomes, strict=True))
        ],
    }


def first_plans(tools: Path, what: dict[str, Any]) -> dict[str, Node]:
    """Plans by the arithmetic in `tools`."""
    ran = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("first_edition.py"))],
        check=False,
        input=json.dumps(what),
        env={**os.environ, "PYTHONPATH": str(tools)},
        capture_output=True,
        text=True,
    )
    if ran.returncode:
        raise RuntimeError(ran.stderr)
    return {symptom: _node(plain) for symptom, plain in json.loads(ran.stdout).items()}


def _node(plain: Sequence[Any]) -> Node:
    kind, name, minutes, expected, branches, failed = plain
    after = tuple(Branch(outcome, NEVER, _node(then)) for outcome, then in branches)
    return Node(kind, name, NEVER, minutes, expected, 0.0, after, None if failed is None else _node(failed))


def unpacked(revision: str, folder: Path) -> Path:
    """The `tools/` of a revision."""
    command = ["git", "-C", str(ROOT), "archive", revision, "tools/benchlore"]
    packed = subprocess.run(command, capture_output=True, check=True).stdout
    with tarfile.open(fileobj=io.BytesIO(packed)) as archive:
        archive.extractall(folder, filter="data")
    return folder / "tools"


def report(family: str, options: argparse.Namespace) -> str:
    """What one family's plans come to."""
    whole = in_full(load_book(ROOT).book)
    book = book_of(whole, family)
    known = plans_of(book, book.families[family])
    if known is None:
        return f"{family}: no faults"
    names = sorted(known.plans)
    if options.symptoms:
        names = names[:: max(1, len(names) // options.symptoms)][: options.symptoms]
    trees = {symptom: known.plans[symptom].tree for symptom in names}
    boards = Boards(book, known.family, known.case, options.seed)
    own = tuple(played(boards, trees, options.draws, options.jobs, options.seed))
    lines = [f"{family}: {len(own)} jobs of {options.draws} draws, {len(names)} symptoms"]
    lines += [f"  {figures(own)}", f"  {deciles(reliability(known.case, own))}"]
    if options.first:
        with tempfile.TemporaryDirectory() as folder:
            first = first_plans(unpacked(options.first, Path(folder)), asked(known, book, names))
        theirs = tuple(played(boards, first, options.draws, options.jobs, options.seed))
        lines.append(f"  by {options.first}: {figures(theirs)}")
        lines.append(
            f"  {math.fsum(j.minutes for j in own) / math.fsum(j.minutes for j in theirs):.2f} x its minutes"
        )
    return "\n".join(lines)


def main() -> None:
    """Play, print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--draws", type=int, default=134)
    parser.add_argument("--jobs", type=int, default=150, help="of each draw")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--family", nargs="*", help="default: all")
    parser.add_argument("--symptoms", type=int, help="so many of a family; default: all")
    parser.add_argument("--first", metavar="REVISION", help="beside the plans of that revision's arithmetic")
    parser.add_argument("--processes", type=int, default=2)
    options = parser.parse_args()
    families = options.family or sorted(load_book(ROOT).book.families)
    with ProcessPoolExecutor(options.processes) as pool:
        for text in pool.map(report, families, [options] * len(families)):
            print(text, flush=True)


if __name__ == "__main__":
    main()
