"""How the diagnosis meets what no record has: healthy boards, unknown faults, recorded faults withheld.

    python tools/benchmarks/hypotheses.py [healthy] [unknown] [withheld] [known] [boards]
        [--jobs 100] [--seed 2026] [--book FOLDER]

Each job follows the first of what `rank` proposes, as a person at the bench would, until the board is mended
or the job is escalated.

`healthy`: battery not seen, and everything reads healthy. `unknown`: a fault that is in no record and no
circuit: its readings are healthy nine times in ten, else any other outcome. `withheld`: each recorded fault
is taken out of the book, and its board reads what its record states, else what its circuit foretells, else
healthy. `known`: the same with the record left in, as one that was never met: what there is to be had from
these measurements at these prices by who knows all that the record says.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from benchlore.book import load_book  # noqa: E402
from benchlore.book.model import Book, Family, Fault, Measurement, frozen_map  # noqa: E402
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
    minutes = 0.0
    measurements = book.families[case.family].measurements
    for _ in range(MOST_STEPS):
        last = rank(book, case, evidence(case, [symptom], taken, fixes))
        step = last.next[0]
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


def show_healthy(book: Book, *_: int) -> None:
    """Battery not seen, all healthy."""
    for family in book.families:
        if "pack-not-seen" in shown(book, family):
            case = make_case(book, family)
            job = follow(book, case, "pack-not-seen", lambda m: m.normal[0], lambda _: False)
            print(f"{family}: battery not seen, all healthy:")
            print(
                f"  {len(on_board(book, case, job.fixes))} fixes on the board; tried {', '.join(job.fixes)}"
            )
            print(f"  given up after {job.before:.0f} min, something else {job.last.not_in_book:.0%}")


class Unknown:
    """A board with a fault that nobody foresees."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.board: dict[str, str] = {}

    def __call__(self, measurement: Measurement) -> str:
        """What it reads: the same however often it is measured."""
        if measurement.id not in self.board:
            others = [o for o in measurement.outcomes if o not in measurement.normal]
            healthy = self.chance.random() < HEALTHY
            self.board[measurement.id] = measurement.normal[0] if healthy else self.chance.choice(others)
        return self.board[measurement.id]


def show_unknown(book: Book, jobs: int, seed: int) -> None:
    """Faults that are in no record and no circuit."""
    for family in book.families:
        case, chance = make_case(book, family), random.Random(seed)
        symptoms = shown(book, family)
        played = [
            follow(book, case, chance.choice(symptoms), Unknown(chance), lambda _: False) for _ in range(jobs)
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


def show_withheld(book: Book, *_: int) -> None:
    """Each recorded fault withheld."""
    _show_each(book, lambda fault: {k: v for k, v in book.faults.items() if k != fault.id}, "withheld")


def show_known(book: Book, *_: int) -> None:
    """Each recorded fault as one that was never met."""
    _show_each(book, lambda fault: {**book.faults, fault.id: replace(fault, seen=0)}, "never met")


def _show_each(book: Book, without: Callable[[Fault], Mapping[str, Fault]], what: str) -> None:
    for family, record in book.families.items():
        predicted = foretold(book, record)
        minutes, first, found = [], [], []
        by_kind: dict[str, list[tuple[bool, bool]]] = {}
        for fault in book.faults.values():
            if fault.family != family or not fault_of(fault):
                continue
            less = replace(book, faults=frozen_map(without(fault)))
            board = Withheld(less, make_case(less, family), fault, predicted.get(fault.id, {}))
            symptom = max(fault.symptom, key=lambda s: FREQUENCIES[fault.symptom[s]].share)
            job = follow(less, board.case, symptom, board, board.holds)
            first.append(board.holds(job.last.faults[0].id))
            found.append(job.mended)
            minutes.append(job.minutes)
            by_kind.setdefault(fault_of(fault)[0][1].mode, []).append((first[-1], found[-1]))
            if not job.mended:
                print(f"  not found: {fault.id}; likeliest was {job.last.faults[0].id}")
        print(f"{family}: {len(found)} faults {what}:")
        print(
            f"  the part in the first line {statistics.mean(first):.0%}, found {statistics.mean(found):.0%}"
        )
        for kind, own in sorted(by_kind.items()):
            shares = (statistics.mean(one[i] for one in own) for i in (0, 1))
            print(f"    {kind:20} {len(own):3}  first {next(shares):4.0%}  found {next(shares):4.0%}")
        escalate = book.shop.escalate.minutes
        print(f"  {statistics.mean(minutes):.0f} min on the average beside {escalate:.0f} of the escalation")


def show_boards(book: Book, jobs: int, seed: int) -> None:
    """Boards drawn for the calibration page, but for those with an unrecorded fault: how many contradict the
    tree of their supply? A rail does so that reads healthy under power while all that feeds it reads below a
    tenth of its lowest healthy voltage in the same set-up.
    """
    for family, record in book.families.items():
        case = make_case(book, family)
        boards = Boards(book, record, case, seed)
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
    options = parser.parse_args()
    book = load_book(options.book).book
    parts: dict[str, Callable[[Book, int, int], None]] = {
        "healthy": show_healthy,
        "unknown": show_unknown,
        "withheld": show_withheld,
        "known": show_known,
        "boards": show_boards,
    }
    for name in options.parts or parts:
        parts[name](book, options.jobs, options.seed)


if __name__ == "__main__":
    main()
