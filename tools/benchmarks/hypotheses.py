"""How the diagnosis meets what no record has: healthy boards, unknown faults, recorded faults withheld.

    python tools/benchmarks/hypotheses.py [healthy] [unknown] [withheld] [known] [boards]
        [--jobs 100] [--seed 2026] [--book FOLDER] [--family FAMILY ...] [--each 1]

Each job follows the first of what `rank` proposes, as a person at the bench would, until the board is mended
or the job is escalated.

`healthy`: battery not seen, and everything reads healthy. `unknown`: a fault that is in no record and no
circuit: its readings are healthy nine times in ten, else any other outcome. `withheld`: each recorded fault
is taken out of the book, and its board reads what its record states, else what its circuit foretells, else
healthy. `known`: the same with the record left in, as one that was never met: what there is to be had from
these measurements at these prices by who knows all that the record says.

`--family` plays some families alone, and `--each 6` of the faults of `withheld` and `known` a sixth, by the
seed. These two work in two processes.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchlore.book import load_book  # noqa: E402
from benchlore.book.model import Book, Family, Fault, Measurement, frozen_map  # noqa: E402
from benchlore.cache import aside  # noqa: E402
from benchlore.circuit.foretold import foretold  # noqa: E402
from benchlore.circuit.graph.causes import fault_of  # noqa: E402
from benchlore.circuit.power_tree import feeders  # noqa: E402
from benchlore.diagnosis.boards import Board, Boards  # noqa: E402
from benchlore.diagnosis.case import Case, make_case  # noqa: E402
from benchlore.diagnosis.posterior import evidence  # noqa: E402
from benchlore.diagnosis.rank import Ranking, rank  # noqa: E402
from benchlore.diagnosis.reading import Reading  # noqa: E402
from benchlore.diagnosis.simulate import pick  # noqa: E402
from benchlore.diagnosis.suspects import outside_of  # noqa: E402
from benchlore.vocabulary import FREQUENCIES  # noqa: E402

SEED = 2026
PROCESSES = 2
MOST_STEPS = 80
HEALTHY = 0.9


@dataclass(frozen=True, slots=True)
class Job:
    """What a job came to. `before`: minutes until it was given up; `last`: the ranking at the last step."""

    minutes: float
    before: float
    fixes: tuple[str, ...]
    mended: bool
    last: Ranking


def follow(
    book: Book, case: Case, symptom: str, outcome: Callable[[Measurement], str], mends: Callable[[str], bool]
) -> Job:
    """Do what is proposed first, until a fix mends the board or the job is escalated."""
    taken: list[Reading] = []
    fixes: list[str] = []
    minutes, tried_last = 0.0, False
    measurements = book.families[case.family].measurements
    for _ in range(MOST_STEPS):
        last = rank(book, case, evidence(case, [symptom], taken, fixes, tried_last=tried_last))
        step = last.next[0]
        tried_last = step.kind == "fix"
        if step.kind == "measure":
            seen = outcome(measurements[step.id])
            taken.append(Reading(step.id, seen, outcome=seen))
        elif step.kind == "fix":
            fixes.append(step.id)
        if step.kind == "escalate":
            return Job(minutes + step.minutes, minutes, tuple(fixes), False, last)
        minutes += step.minutes
        if step.kind == "fix" and mends(step.id):
            return Job(minutes, minutes, tuple(fixes), True, last)
    raise RuntimeError("the plan does not end")


def on_board(book: Book, case: Case, fixes: tuple[str, ...]) -> list[str]:
    """The fixes that are work on the board, whether or not what is plugged in has a record."""

    def outside(name: str) -> str:
        return case.suspects[name].outside if name in case.suspects else outside_of(book, book.faults[name])

    return [name for name in fixes if not outside(name)]


def shown(book: Book, family: str) -> list[str]:
    """The symptoms that a family's faults show."""
    return sorted({s for f in book.faults.values() if f.family == family for s in f.symptom})


@dataclass(frozen=True, slots=True)
class Options:
    """What is played. `folder`: of the book; `each`: so many faults of a family are one that is played."""

    folder: Path
    families: tuple[str, ...]
    jobs: int
    seed: int
    each: int


def show_healthy(book: Book, options: Options) -> None:
    """Battery not seen, all healthy."""
    for family in options.families:
        if "pack-not-seen" in shown(book, family):
            case = make_case(book, family)
            job = follow(book, case, "pack-not-seen", lambda m: m.normal[0], lambda _: False)
            print(f"{family}: battery not seen, all healthy:")
            print(
                f"  {len(on_board(book, case, job.fixes))} fixes on the board; tried {', '.join(job.fixes)}"
            )
            print(f"  given up after {job.before:.0f} min, something else {job.last.not_in_book:.0%}")


class Unknown:
    """A board with a fault that nobody foresees. `board`: its seed; the same board reads the same, whatever
    is asked first.
    """

    def __init__(self, board: str) -> None:
        self.board = board

    def __call__(self, measurement: Measurement) -> str:
        """What it reads: the same however often it is measured."""
        chance = random.Random(f"{self.board} {measurement.id}")
        others = [o for o in measurement.outcomes if o not in measurement.normal]
        return measurement.normal[0] if chance.random() < HEALTHY else chance.choice(others)


def show_unknown(book: Book, options: Options) -> None:
    """Faults that are in no record and no circuit."""
    jobs = options.jobs
    for family in options.families:
        case, symptoms = make_case(book, family), shown(book, family)
        boards = [f"{options.seed} {family} {n}" for n in range(jobs)]
        played = [
            follow(book, case, random.Random(board).choice(symptoms), Unknown(board), lambda _: False)
            for board in boards
        ]
        wrong = [len(on_board(book, case, job.fixes)) for job in played]
        trials = [len(job.fixes) - count for job, count in zip(played, wrong, strict=True)]
        said = [job.last.not_in_book > 0.5 for job in played]
        print(f"{family}: {jobs} unknown faults, healthy nine readings in ten:")
        print(
            f"  {statistics.mean(wrong):.2f} wrong fixes on the board, {statistics.mean(trials):.2f} trials"
        )
        minutes = statistics.mean(job.minutes for job in played)
        print(f"  {minutes:.0f} min with the escalation, said to be unknown {statistics.mean(said):.0%}")


@dataclass(frozen=True, slots=True)
class Withheld:
    """The board of a recorded fault, in a book that has not got the record."""

    book: Book
    case: Case
    fault: Fault
    foretold: Mapping[str, Mapping[str, float]]

    def __call__(self, measurement: Measurement) -> str:
        """The likeliest outcome that is stated, else foretold, else healthy."""
        expects = (e.expected_reading for e in self.fault.test_points if e.measure == measurement.id)
        row = next(expects, None) or self.foretold.get(measurement.id) or {measurement.normal[0]: 1.0}
        return max(row, key=lambda outcome: row[outcome])

    def holds(self, name: str) -> bool:
        """True for a hypothesis that names the part."""
        if name in self.case.suspects:
            return any(member.part == self.fault.cause.part for member in self.case.suspects[name].members)
        return self.book.faults[name].cause.part == self.fault.cause.part


@dataclass(frozen=True, slots=True)
class Played:
    """What became of a fault. `kind`: how its part fails; `likeliest`: what stood first at the last step."""

    fault: str
    kind: str
    first: bool
    found: bool
    minutes: float
    likeliest: str


@lru_cache(maxsize=1)
def loaded(folder: Path) -> Book:
    """The book of a folder, read once in each process."""
    return load_book(folder).book


def play_withheld(folder: Path, name: str) -> Played:
    """A recorded fault that the book has not got."""
    book = loaded(folder)
    return _play(
        book, name, replace(book, faults=frozen_map({k: v for k, v in book.faults.items() if k != name}))
    )


def play_known(folder: Path, name: str) -> Played:
    """A recorded fault as one that was never met."""
    book = loaded(folder)
    unmet = replace(book.faults[name], seen=0)
    return _play(book, name, replace(book, faults=frozen_map({**book.faults, name: unmet})))


def _play(book: Book, name: str, less: Book) -> Played:
    fault = book.faults[name]
    family = book.families[fault.family]
    with aside():  # what is kept on disk is that of the whole book
        case = make_case(less, family.id)
    board = Withheld(less, case, fault, foretold(book, family).get(name, {}))
    symptom = max(fault.symptom, key=lambda s: FREQUENCIES[fault.symptom[s]].share)
    job = follow(less, board.case, symptom, board, board.holds)
    likeliest = job.last.faults[0].id
    kind = fault_of(fault)[0][1].mode
    return Played(name, kind, board.holds(likeliest), job.mended, job.minutes, likeliest)


def show_withheld(book: Book, options: Options) -> None:
    """Each recorded fault withheld."""
    _show_each(book, options, play_withheld, "withheld")


def show_known(book: Book, options: Options) -> None:
    """Each recorded fault as one that was never met."""
    _show_each(book, options, play_known, "never met")


def _show_each(book: Book, options: Options, play: Callable[[Path, str], Played], what: str) -> None:
    with ProcessPoolExecutor(PROCESSES) as pool:
        for family in options.families:
            names = [f.id for f in book.faults.values() if f.family == family and fault_of(f)]
            if options.each > 1:
                some = round(len(names) / options.each)
                names = sorted(random.Random(options.seed).sample(names, max(some, 1)))
            played = list(pool.map(partial(play, options.folder), names, chunksize=2))
            _tell(family, played, what, book.shop.escalate.minutes)


def _tell(family: str, played: Sequence[Played], what: str, escalate: float) -> None:
    by_kind: dict[str, list[Played]] = {}
    for one in played:
        by_kind.setdefault(one.kind, []).append(one)
        if not one.found:
            print(f"  not found: {one.fault}; likeliest was {one.likeliest}")
    first, found = (statistics.mean(getattr(one, name) for one in played) for name in ("first", "found"))
    print(f"{family}: {len(played)} faults {what}:")
    print(f"  the part in the first line {first:.0%}, found {found:.0%}")
    for kind, own in sorted(by_kind.items()):
        first, found = (statistics.mean(getattr(one, name) for one in own) for name in ("first", "found"))
        print(f"    {kind:20} {len(own):3}  first {first:4.0%}  found {found:4.0%}")
    minutes = statistics.mean(one.minutes for one in played)
    print(f"  {minutes:.0f} min on the average beside {escalate:.0f} of the escalation", flush=True)


def show_boards(book: Book, options: Options) -> None:
    """Boards drawn for the calibration page, but for those with an unrecorded fault: how many contradict the
    tree of their supply? A rail does so that reads healthy under power while all that feeds it reads below a
    tenth of its lowest healthy voltage in the same set-up.
    """
    jobs = options.jobs
    for family in options.families:
        record, case = book.families[family], make_case(book, family)
        boards = Boards(book, record, case, options.seed)
        pairs = list(_fed(record, case))
        against: Counter[str] = Counter()
        for _ in range(jobs):
            board = Board(boards, pick(boards.chance, boards.prior))
            wrong = [rail for rail, feeds in pairs if _up(case, board, rail) and _down(case, board, feeds)]
            against.update(wrong[:1])
        share = sum(against.values()) / jobs
        print(
            f"{family}: {len(pairs)} pairs, {jobs} boards, {sum(against.values())} contradict ({share:.2%})"
        )
        for rail, count in against.most_common(5):
            print(f"    {rail} {count}")


def _fed(record: Family, case: Case) -> Iterator[tuple[str, list[str]]]:
    """Each voltage of a rail, and those of all that feeds it, in the same set-up."""
    volts = {
        (m.net, m.state, m.unplugged): m.id
        for m in record.measurements.values()
        if m.mode == "dc-volts" and m.to_ground and m.inject is None and m.id in case.scales
    }
    for (net, state, unplugged), measure in volts.items():
        feeds = feeders(record, record.nets[net]) if not record.nets[net].enters else ()
        above = [volts.get((feed, state, unplugged)) for feed in feeds]
        known = [feed for feed in above if feed is not None]
        if known and len(known) == len(above):
            yield measure, known


def _up(case: Case, board: Board, measure: str) -> bool:
    board.read(measure)
    return board.known[measure] in case.scales[measure].normal


def _down(case: Case, board: Board, measures: Sequence[str]) -> bool:
    for measure in measures:
        board.read(measure)
        scale = case.scales[measure]
        healthy = min((scale.bands[o].floor for o in scale.normal), default=0.0)
        if scale.bands[board.known[measure]].ceiling > healthy / 10:
            return False
    return True


def main() -> None:
    """Run the parts named on the command line, or all."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument(
        "parts", nargs="*", metavar="PART", help="healthy, unknown, withheld, known, boards (default: all)"
    )
    parser.add_argument("--jobs", type=int, default=100, help="unknown faults a family")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--book", type=Path, default=ROOT, help="the folder that holds `faults`")
    parser.add_argument("--family", action="append", help="one to be played (default: all)")
    parser.add_argument("--each", type=int, default=1, help="of so many faults one is withheld")
    given = parser.parse_args()
    book = loaded(given.book)
    if strange := set(given.family or ()) - set(book.families):
        parser.error(f"no family {', '.join(sorted(strange))}; there are {', '.join(book.families)}")
    options = Options(given.book, tuple(given.family or book.families), given.jobs, given.seed, given.each)
    parts: dict[str, Callable[[Book, Options], None]] = {
        "healthy": show_healthy,
        "unknown": show_unknown,
        "withheld": show_withheld,
        "known": show_known,
        "boards": show_boards,
    }
    for name in given.parts or parts:
        parts[name](book, options)


if __name__ == "__main__":
    main()
