"""What could be at fault on one board, whatever the meter: how likely, what it shows, what it reads.

The hypotheses are the recorded faults in order of id, the suspects, and, last, something else.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import fsum

from benchlore.book.model import Book, Family, Fault, Measurement, frozen_map
from benchlore.book.same import Same
from benchlore.circuit.foretold import Row, foretold, foretold_apart
from benchlore.diagnosis.comes_of import amiss, reaches, shares_outside
from benchlore.diagnosis.comes_of import shown as shown_by_family
from benchlore.diagnosis.likelihood import HEALTHY, NOT_THE_PART
from benchlore.diagnosis.mends import mends_of, minutes_of
from benchlore.diagnosis.minutes import fix_minutes, is_hot
from benchlore.diagnosis.naming import LOCAL, named_in, told_apart, words_of
from benchlore.diagnosis.suspects import AMISS, SOUND_OUTSIDE, Suspect, looks_of, outside_of, suspects_of
from benchlore.vocabulary import FREQUENCIES

NOT_LISTED = 0.005  # a fault shows a symptom that its record leaves out, any of them, in one job of 200
UNNAMED = 0.0005  # what is outside with a symptom that does not name it
# Whatever a book counts, a job in fifteen has a fault that nobody wrote down. Common practice, no source.
LEAST_UNKNOWN = 0.065
MOST_UNKNOWN = 0.30
# Jobs that a way of failing counts for: so many for each mode of each part, which the modes of a part share
# by the published table. A recorded fault that was never seen counts for half a job (Jeffreys); with as much
# the parts of the board came to less than what nobody foresees. Common practice, no source.
WAY_UNSEEN = 0.75
TRUST = (
    0.9  # of what the circuit foretells of a suspect, what comes true; a record names its cause and its mode
)
NEARLY = 0.1  # of what is foretold amiss, what is so in any other way. Common practice, no source
SURE = 0.9  # of its readings a net that a fault disturbs for certain reads amiss. Common practice, no source
ALIKE = 0.25  # weight, in average faults, of the symptoms of all when a suspect's are taken from its likes
NEAR = 0.5  # how much two are alike that touch the same nets and have no reading in common
QUIET = 0.9  # of what neither record nor circuit tells, what reads healthy. Common practice, no source
STRAY = 0.05  # weight of an outcome that a record states and a way of its failing does not foretell
FITTED = 200  # rounds of proportional fitting, at most
DIGITS = 9  # to which shares are rounded, so that they can go out as text


@dataclass(frozen=True, slots=True)
class Hypotheses:
    """What could be at fault in one family and revision (None: any).

    `names`: of the recorded faults, then of the suspects. `prior`: of each and, last, of something else;
    `shows[s]`: P(symptom s | hypothesis). `rows[m][h][o]`: P(outcome | hypothesis). `says[m]`: those of
    which it is stated or foretold what m reads. `split`: hypothesis and share of each way of failing, of the
    hypotheses with several, which readings are independent given; `ways[m][w][o]`: P(outcome | way), whose
    mixture by their shares is the hypothesis' row. `looks`: the measurements that show a part itself.
    `mends`: what each fix mends beside its own hypothesis, as `mends.mends_of` has it.
    """

    family: str
    revision: str | None
    faults: tuple[Fault, ...]
    suspects: tuple[Suspect, ...]
    prior: tuple[float, ...]
    shows: Mapping[str, tuple[float, ...]]
    rows: Mapping[str, tuple[tuple[float, ...], ...]]
    says: Mapping[str, frozenset[int]]
    minutes: tuple[float, ...]
    hot: tuple[bool, ...]
    split: tuple[tuple[int, float], ...]
    ways: Mapping[str, tuple[tuple[float, ...], ...]]
    looks: frozenset[str]
    mends: Mapping[int, tuple[int, ...]]

    @property
    def names(self) -> tuple[str, ...]:
        """Ids of all but something else."""
        return (*(fault.id for fault in self.faults), *(suspect.id for suspect in self.suspects))


def hypotheses_of(
    book: Book, family: Family, revision: str | None = None, *, suspects: bool = True
) -> Hypotheses:
    """The hypotheses of a family's board; without `suspects` their share is that of something else."""
    return _made(Same(book), Same(family), revision, suspects)


@lru_cache(maxsize=32)
def _made(of_book: Same[Book], of_family: Same[Family], revision: str | None, suspects: bool) -> Hypotheses:
    book, family = of_book.record, of_family.record
    faults = tuple(
        id_
        for id_, fault in sorted(book.faults.items())
        if fault.family == family.id
        and (revision is None or not fault.revisions or revision in fault.revisions)
    )
    measures = tuple(m for m in sorted(family.measurements) if reachable(family, m, revision))
    return replace(_with(of_book, of_family, faults, measures, suspects), revision=revision)


@lru_cache(maxsize=32)
def _with(
    of_book: Same[Book], of_family: Same[Family], ids: tuple[str, ...], read: tuple[str, ...], suspects: bool
) -> Hypotheses:
    """Those with some recorded faults and measurements: most revisions of a family have the same."""
    book, family = of_book.record, of_family.record
    faults = tuple(book.faults[id_] for id_ in ids)
    suspected = suspects_of(book, family) if suspects else ()
    predicted = foretold(book, family)
    measures = {m: family.measurements[m] for m in read}
    base = priors([fault.seen for fault in faults])
    known = {
        m: [_stated_row(fault, one) or _row(one, predicted.get(fault.id, {}).get(m)) for fault in faults]
        for m, one in measures.items()
    }
    said = {
        m: [*known[m], *(_row(one, suspect.reads.get(m)) for suspect in suspected)]
        for m, one in measures.items()
    }
    outside = [bool(suspect.outside) for suspect in suspected]
    everyone: tuple[Fault | Suspect, ...] = (*faults, *suspected)
    looks = looks_of(book, family) if suspects else {}
    parts = [_parts_of(one) for one in everyone]
    abnormal = [_abnormal(measures, said, h) for h in range(len(faults) + len(suspected))]
    nets = [
        _touched(family, one, {n for m, _ in found for n in measures[m].nets})
        for one, found in zip(everyone, abnormal, strict=True)
    ]
    likes = [
        [
            1.0 if _is_of(suspect, fault) else max(_alike(one, other), NEAR * _common(here, there))
            for fault, other, there in zip(faults, abnormal, nets, strict=False)
        ]
        for suspect, one, here in zip(suspected, abnormal[len(faults) :], nets[len(faults) :], strict=True)
    ]
    alike = [base[:-1]] * len(faults) + [_weights_alike(base, like) for like in likes]
    unknown = {
        m: _silent(one, said[m][: len(faults)], alike, [m in looks and looks[m] not in of for of in parts])
        for m, one in measures.items()
    }
    nets_amiss = [amiss(measures, found) for found in abnormal[len(faults) :]]
    told = told_apart(family, measures.values(), _of_settings(book, faults))
    for m, of_outcome in told.items():
        if m not in looks:
            for h, (suspect, own) in enumerate(zip(suspected, nets_amiss, strict=True), len(faults)):
                unknown[m][h] = _told(measures[m], unknown[m][h], of_outcome, _called(family, suspect, own))
    rows = {m: _rows(one, said[m], outside, unknown[m]) for m, one in measures.items()}
    names = [
        _words(family, suspect, {n for m, _ in found for n in measures[m].nets})
        for suspect, found in zip(suspected, abnormal[len(faults) :], strict=True)
    ]
    about = named_in(book, family)
    named = {s: [bool(words & about[s]) for words in names] for s in book.symptoms}
    reach = reaches(family, suspected, nets_amiss)
    prior, shows = _weighed(book, family, faults, suspected, base, likes, named, reach)
    apart = foretold_apart(book, family)
    failing: list[list[_Way]] = [_ways(measures, apart.get(f.id, ()), h, rows) for h, f in enumerate(faults)]
    failing += [_ways_outside(measures, s, h, rows, unknown) for h, s in enumerate(suspected, len(faults))]
    for h, of_one in enumerate(failing[len(faults) :], len(faults)):
        if of_one:
            for m in measures:
                rows[m][h] = _together(of_one, m)
    split, ways = _split(measures, failing)
    return Hypotheses(
        family.id,
        None,
        faults,
        suspected,
        prior,
        frozen_map(shows),
        frozen_map({m: tuple(found) for m, found in rows.items()}),
        frozen_map({m: _there(found) for m, found in said.items()}),
        minutes_of(
            everyone,
            [*(fix_minutes(book, fault) for fault in faults), *(suspect.minutes for suspect in suspected)],
        ),
        (*(is_hot(book, fault) for fault in faults), *(suspect.hot for suspect in suspected)),
        split,
        frozen_map(ways),
        frozenset(looks),
        mends_of(everyone),
    )


def reachable(family: Family, measure: str, revision: str | None) -> bool:
    """False when the test point does not exist on the revision."""
    points = (family.test_points.get(name) for name in family.measurements[measure].points)
    return revision is None or all(point is None or point.is_on(revision) for point in points)


def priors(seen: Iterable[int]) -> tuple[float, ...]:
    """Prior probabilities of faults seen so many times and, last, of "not in the book".

    A fault: proportional to seen + 1/2 (Jeffreys' prior of a multinomial). Not in the book: the Good-Turing
    estimate of what was never seen, faults seen once / jobs (Good 1953), held between 6.5 % and 30 %; 30 %
    without any job."""
    counts = list(seen)
    jobs = sum(int(count) for count in counts)
    once = sum(1 for count in counts if count == 1)
    unknown = min(max(once / jobs, LEAST_UNKNOWN), MOST_UNKNOWN) if jobs else MOST_UNKNOWN
    if not counts:
        return (1.0,)
    whole = jobs + len(counts) / 2
    return (*((1 - unknown) * (count + 0.5) / whole for count in counts), unknown)


def _there(rows: Sequence[object]) -> frozenset[int]:
    return frozenset(i for i, row in enumerate(rows) if row is not None)


def _stated_row(fault: Fault, measurement: Measurement) -> tuple[float, ...] | None:
    for expectation in fault.test_points:
        if expectation.measure == measurement.id:
            return _row(measurement, expectation.expected_reading)
    return None


def _row(measurement: Measurement, shares: Row | None) -> tuple[float, ...] | None:
    """Shares by outcome as a row that sums to one; None where there are none."""
    row = [shares.get(outcome, 0.0) for outcome in measurement.outcomes] if shares else []
    total = fsum(row)
    return tuple(round(p / total, DIGITS) for p in row) if total > 0 else None


def _parts_of(one: Fault | Suspect) -> frozenset[str]:
    """The parts that may be at fault with it."""
    return frozenset([one.cause.part] if isinstance(one, Fault) else [member.part for member in one.members])


def _weights_alike(base: tuple[float, ...], like: Sequence[float]) -> tuple[float, ...]:
    """The weight of each recorded fault where a suspect takes after those that read like it, and a little
    after all."""
    known = fsum(base[:-1])
    least = ALIKE * known / len(like) if like else 0.0
    return tuple([p * x + least * p / known for p, x in zip(base, like, strict=False)])


def _silent(
    measurement: Measurement,
    recorded: Sequence[tuple[float, ...] | None],
    alike: Sequence[tuple[float, ...]],
    strange: Sequence[bool],
) -> list[tuple[float, ...]]:
    """What each hypothesis reads of which nothing is told: the mixture of the recorded faults, by how much it
    is `alike`, of which those that say nothing either read mostly healthy. `strange`: the measurement is a
    look that shows a part itself, and the hypothesis is of another part: it reads as something else does."""
    size, normal = len(measurement.outcomes), measurement.normal

    def mostly(healthy: float) -> tuple[float, ...]:
        return tuple(
            (healthy / len(normal) if o in normal else 0.0) + (1 - healthy) / size if normal else 1 / size
            for o in measurement.outcomes
        )

    quiet = mostly(QUIET)
    other = tuple(round(p, DIGITS) for p in mostly(1 - (1 - HEALTHY) * NOT_THE_PART))
    told = [(f, row) for f, row in enumerate(recorded) if row is not None]
    made: dict[tuple[float, ...], tuple[float, ...]] = {}
    found = []
    for weights, apart in zip(alike, strange, strict=True):
        if apart:
            found.append(other)
            continue
        if weights not in made:
            whole = fsum(weights)
            spoken = [(weights[f] / whole, row) for f, row in told] if whole > 0 else []
            rest = 1 - fsum(p for p, _ in spoken)
            made[weights] = tuple(
                round(fsum([p * row[o] for p, row in spoken]) + rest * quiet[o], DIGITS) for o in range(size)
            )
        found.append(made[weights])
    return found


def _rows(
    measurement: Measurement,
    said: Sequence[tuple[float, ...] | None],
    outside: Sequence[bool],
    unknown: Sequence[tuple[float, ...]],
) -> list[tuple[float, ...]]:
    """P(outcome | hypothesis): of a recorded fault as stated, else as foretold; of a suspect mostly as
    foretold; else what is `unknown` of each reads, or, of what is `outside`, half of it and half a board
    that is whole."""
    recorded = len(said) - len(outside)
    found = [row or unknown[h] for h, row in enumerate(said[:recorded])]
    for h, one in enumerate(outside, recorded):
        healthy = _healthy(measurement) or unknown[h]
        half = tuple(
            SOUND_OUTSIDE * q + (1 - SOUND_OUTSIDE) * p for q, p in zip(healthy, unknown[h], strict=True)
        )
        found.append(_trusted(measurement, said[h], half if one else unknown[h]))
    return found


def _told(
    measurement: Measurement,
    row: tuple[float, ...],
    of_outcome: Mapping[str, frozenset[str]],
    words: frozenset[str],
) -> tuple[float, ...]:
    """What a suspect with some `words` for its name reads where outcomes bear names (`of_outcome`): by AMISS
    those that name it, in even shares."""
    named = [outcome for outcome, own in of_outcome.items() if own & words]
    if not named:
        return row
    return tuple(
        round((1 - AMISS) * p + (AMISS / len(named) if o in named else 0.0), DIGITS)
        for o, p in zip(measurement.outcomes, row, strict=True)
    )


def _of_settings(book: Book, faults: Iterable[Fault]) -> set[tuple[str, str]]:
    """The measurements and outcomes that are read with settings."""
    return {
        (expectation.measure, outcome)
        for fault in faults
        if outside_of(book, fault) == "settings"
        for expectation in fault.test_points
        for outcome, share in expectation.expected_reading.items()
        if share > 0
    }


def _healthy(measurement: Measurement) -> tuple[float, ...]:
    """The row of a board that is whole; empty where no outcome is healthy."""
    normal = measurement.normal
    return tuple(1 / len(normal) if o in normal else 0.0 for o in measurement.outcomes) if normal else ()


def _trusted(
    measurement: Measurement, row: tuple[float, ...] | None, other: tuple[float, ...]
) -> tuple[float, ...]:
    """What is foretold of a suspect, as far as it is trusted; `other`: what it reads where that is wrong.

    What is not healthy is now and then so in another way than the circuit says: a short that is not dead, a
    joint that still conducts."""
    if row is None:
        return tuple(round(q, DIGITS) for q in other)
    wrong = [o not in measurement.normal for o in measurement.outcomes]
    amiss = fsum([p for p, one in zip(row, wrong, strict=True) if one])
    nearly = [amiss / wrong.count(True) if one else p for p, one in zip(row, wrong, strict=True)]
    return tuple(
        round(TRUST * ((1 - NEARLY) * p + NEARLY * n) + (1 - TRUST) * q, DIGITS)
        for p, n, q in zip(row, nearly, other, strict=True)
    )


_Way = tuple[float, Mapping[str, tuple[float, ...]]]  # its share, and a row for each measurement


def _split(
    measures: Mapping[str, Measurement], known: Sequence[Sequence[_Way]]
) -> tuple[tuple[tuple[int, float], ...], dict[str, tuple[tuple[float, ...], ...]]]:
    """The ways of failing of the hypotheses, by index, that have several which read differently."""
    several = [
        (h, way) for h, ways in enumerate(known) if any(way[1] != ways[0][1] for way in ways) for way in ways
    ]
    rows = {m: tuple(way[1][m] for _, way in several) for m in measures}
    return tuple((h, share) for h, (share, _) in several), rows


def _ways(
    measures: Mapping[str, Measurement],
    apart: Sequence[tuple[float, Mapping[str, Row]]],
    fault: int,
    rows: Mapping[str, Sequence[tuple[float, ...]]],
) -> list[_Way]:
    """The ways of failing of a recorded fault: together they read as its record says."""
    shares = [share for share, _ in apart]
    found: list[dict[str, tuple[float, ...]]] = [{} for _ in apart]
    for m, measurement in measures.items():
        told = [_row(measurement, by.get(m)) for _, by in apart]
        for way, row in zip(found, _fitted(rows[m][fault], shares, told), strict=True):
            way[m] = row
    return list(zip(shares, found, strict=True))


def _fitted(
    whole: tuple[float, ...], shares: Sequence[float], told: Sequence[tuple[float, ...] | None]
) -> Sequence[tuple[float, ...]]:
    """P(outcome | way): nearest to what is foretold of each way, among those whose mixture is `whole`.

    Iterative proportional fitting (Deming and Stephan 1940), which gives the joint distribution of outcome
    and way that has both margins and the least information beside the foretold one (Ireland and Kullback
    1968; both from memory)."""
    known = [row for row in told if row is not None]
    if len(known) < len(told) or all(row == known[0] for row in known):
        return [whole] * len(shares)
    joint = [[s * (p + STRAY) for p in row] for s, row in zip(shares, known, strict=True)]
    for _ in range(FITTED):
        sums = [fsum(way[o] for way in joint) for o in range(len(whole))]
        joint = [
            [p * w / s if s > 0 else 0.0 for p, w, s in zip(way, whole, sums, strict=True)] for way in joint
        ]
        off = [fsum(way) for way in joint]
        joint = [[p * share / s for p in way] for way, share, s in zip(joint, shares, off, strict=True)]
        if all(abs(share - s) < 1e-12 for share, s in zip(shares, off, strict=True)):
            break
    return [tuple(round(p / share, DIGITS) for p in way) for way, share in zip(joint, shares, strict=True)]


def _ways_outside(
    measures: Mapping[str, Measurement],
    suspect: Suspect,
    place: int,
    rows: Mapping[str, Sequence[tuple[float, ...]]],
    unknown: Mapping[str, Sequence[tuple[float, ...]]],
) -> list[_Way]:
    """What is outside fails so that the board's own points show nothing of it, or in one of the ways in which
    they do. `unknown`: what it reads where nothing is foretold."""
    if not suspect.outside:
        return []
    apart = suspect.apart or ((1.0, {}),)
    sound: dict[str, tuple[float, ...]] = {}
    shown: list[dict[str, tuple[float, ...]]] = [{} for _ in apart]
    for m, measurement in measures.items():
        whole = rows[m][place]
        healthy = _healthy(measurement) or whole
        sound[m] = tuple(round(q, DIGITS) for q in healthy)
        bare = tuple(
            round(max(w - SOUND_OUTSIDE * q, 0.0) / (1 - SOUND_OUTSIDE), DIGITS)
            for w, q in zip(whole, healthy, strict=True)
        )
        told = [_row(measurement, reads.get(m)) for _, reads in apart]
        for way, row in zip(shown, told, strict=True):
            way[m] = bare if not any(told) else _trusted(measurement, row, unknown[m][place])
    ways = [((1 - SOUND_OUTSIDE) * share, way) for (share, _), way in zip(apart, shown, strict=True)]
    return [(SOUND_OUTSIDE, sound), *ways]


def _together(ways: Sequence[_Way], measure: str) -> tuple[float, ...]:
    """What the ways of failing of a hypothesis read, by their shares."""
    size = len(ways[0][1][measure])
    return tuple(round(fsum([s * way[measure][o] for s, way in ways]), DIGITS) for o in range(size))


def _abnormal(
    measures: Mapping[str, Measurement],
    said: Mapping[str, Sequence[tuple[float, ...] | None]],
    hypothesis: int,
) -> dict[tuple[str, int], float]:
    """The abnormal outcomes that are stated or foretold of a hypothesis, with their shares."""
    return {
        (m, o): share
        for m, measurement in measures.items()
        for o, (outcome, share) in enumerate(
            zip(measurement.outcomes, said[m][hypothesis] or (), strict=False)
        )
        if share > 0 and outcome not in measurement.normal
    }


def _alike(one: Mapping[tuple[str, int], float], other: Mapping[tuple[str, int], float]) -> float:
    """What two read abnormally in common, of all that either reads abnormally (Jaccard, 1901, weighted)."""
    common = fsum([min(share, other[key]) for key, share in one.items() if key in other])
    either = fsum(one.values()) + fsum(other.values()) - common
    return common / either if either > 0 else 0.0


def _touched(family: Family, one: Fault | Suspect, abnormal: set[str]) -> set[str]:
    """The nets that something at fault touches: those that read abnormally with it, and of a fault those that
    its part meets, of a suspect those at which it is."""
    if isinstance(one, Fault):
        part = family.parts.get(one.cause.part)
        return abnormal | set(part.nets if part else ())
    return abnormal | {member.at for member in one.members if member.at}


def _words(family: Family, suspect: Suspect, abnormal: set[str]) -> frozenset[str]:
    """The words by which a suspect is named: those of its parts, where they are few, and of the nets at which
    it shows, where these are few."""
    return _words_of(family, suspect, abnormal | {member.at for member in suspect.members if member.at})


def _called(family: Family, suspect: Suspect, amiss: Mapping[str, float]) -> frozenset[str]:
    """The words by which the device calls a suspect: those of its parts, and of the nets that surely read
    amiss."""
    return _words_of(family, suspect, {net for net, share in amiss.items() if share > SURE})


def _words_of(family: Family, suspect: Suspect, nets: Collection[str]) -> frozenset[str]:
    parts = {member.part for member in suspect.members}
    texts = [family.parts[part].name for part in sorted(parts)] if len(parts) <= LOCAL else []
    texts += [net.replace("_", " ") for net in sorted(nets)] if len(nets) <= LOCAL else []
    return words_of(" ".join(texts))


def _common(one: set[str], other: set[str]) -> float:
    """The nets that two have in common, of all that either has (Jaccard, 1901)."""
    return len(one & other) / len(one | other) if one and other else 0.0


def _is_of(suspect: Suspect, fault: Fault) -> bool:
    """True where a record has what is outside, the same part, at fault."""
    return bool(suspect.outside) and any(member.part == fault.cause.part for member in suspect.members)


def not_listed(faults: Collection[Fault]) -> float:
    """P(symptom | fault) of each symptom that a record leaves out. Those of a family share the one chance:
    were it each's own, faults that have nothing to do with a rare symptom would be a tenth of its jobs.
    """
    symptoms = {symptom for fault in faults for symptom in fault.symptom}
    return NOT_LISTED / max(len(symptoms), 1)


def _weighed(
    book: Book,
    family: Family,
    faults: tuple[Fault, ...],
    suspects: tuple[Suspect, ...],
    base: tuple[float, ...],
    likes: Sequence[Sequence[float]],
    named: Mapping[str, Sequence[bool]],
    reach: Sequence[Mapping[str, float]],
) -> tuple[tuple[float, ...], dict[str, tuple[float, ...]]]:
    """The priors, and P(symptom | hypothesis) for each symptom of the book.

    A suspect on the board shows what the faults that read like it show, and of the symptoms of which the
    family says what they come of those that come of it (`reach`). What is outside shows what the
    symptoms say: of the jobs with a symptom its kind has the share that symptom or family names, its recorded
    faults among it; its prior is the least with which that can be. Something else has its share of the jobs
    with each symptom, whatever is outside.
    """
    known, unknown = fsum(base[:-1]), base[-1] if faults else MOST_UNKNOWN
    jobs = sum(fault.seen for fault in faults) + len(faults) / 2
    board = [WAY_UNSEEN * suspect.weight * (known / jobs if faults else 1.0) for suspect in suspects]
    weights = [*base[:-1], *board]
    shows: dict[str, list[float]] = {}
    rare = not_listed(faults)
    for symptom in sorted(book.symptoms):
        own = [
            FREQUENCIES[fault.symptom[symptom]].share if symptom in fault.symptom else rare
            for fault in faults
        ]
        mean = fsum(p * s for p, s in zip(base, own, strict=False)) / known if known > 0 else rare
        least = ALIKE * known / len(faults) if faults else 1.0
        theirs = []
        for like, about in zip(likes, named[symptom], strict=True):
            alike = [p * x for p, x in zip(base, like, strict=False)]
            shown = fsum(a * s for a, s in zip(alike, own, strict=True)) + least * mean
            share = shown / (fsum(alike) + least)
            guessed = about and symptom not in family.symptoms
            theirs.append(max(share, FREQUENCIES["sometimes"].share) if guessed else share)
        shows[symptom] = [*own, *theirs, mean]
    for h, of_one in enumerate(reach, len(faults)):
        for s, share in shown_by_family({s: shows[s][h] for s in shows if s in of_one}, of_one).items():
            shows[s][h] = share
    for row in shows.values():
        row[len(faults) : -1] = [round(share, DIGITS) for share in row[len(faults) : -1]]
    outside = [len(faults) + i for i, suspect in enumerate(suspects) if suspect.outside]
    kinds = [outside_of(book, fault) for fault in faults] + [suspect.outside for suspect in suspects]
    wanted = {
        s: _of_outside(kinds, len(faults), weights, shows[s], shares_outside(book, family, s), unknown)
        for s in shows
    }
    for h in outside:
        unnamed, most = weights[h], max((joint[h] for joint in wanted.values()), default=0.0)
        weights[h] = max(unnamed, most / FREQUENCIES["always"].share, 1e-9)
        for s, joint in wanted.items():
            share = max(joint[h], unnamed * shows[s][h]) / weights[h]
            shows[s][h] = round(max(share, UNNAMED), DIGITS)
    foreseen = fsum(weights)
    if foreseen <= 0:
        return (*(0.0 for _ in weights), 1.0), {s: tuple(row) for s, row in shows.items()}
    for row in shows.values():
        row[-1] = fsum(w * s for w, s in zip(weights, row[:-1], strict=True)) / foreseen
    prior = (*((1 - unknown) * w / foreseen for w in weights), unknown)
    return prior, {s: tuple(row) for s, row in shows.items()}


def _of_outside(
    kinds: Sequence[str],
    recorded: int,
    weights: Sequence[float],
    shown: Sequence[float],
    named: Mapping[str, float],
    unknown: float,
) -> dict[int, float]:
    """Of each suspect outside the board its joint weight with a symptom.

    `kinds`: of each fault and suspect, empty on the board; `named`: of each kind the percent of the jobs with
    the symptom. What the recorded faults of a kind leave of its share is that of its suspects, and at least
    so much of it as the book leaves unknown of a board's; among them by how often each shows the symptom."""
    joint = [w * s for w, s in zip(weights, shown[:-1], strict=True)]
    places = {h: kind for h, kind in enumerate(kinds) if kind and h >= recorded}
    shares = {kind: share / 100 for kind, share in named.items() if kind in places.values()}
    told = {kind: fsum(joint[h] for h in range(recorded) if kinds[h] == kind) for kind in shares}
    others = fsum(j for h, j in enumerate(joint) if h not in places) - fsum(told.values())
    whole = others / (1 - min(fsum(shares.values()) + unknown, 0.95))
    left = {kind: max(share * whole - told[kind], share * whole * unknown) for kind, share in shares.items()}
    found = {}
    for h, kind in places.items():
        alike = fsum(shown[other] for other, of in places.items() if of == kind)
        found[h] = left.get(kind, 0.0) * (shown[h] / alike if alike > 0 else 0.0)
    return found
