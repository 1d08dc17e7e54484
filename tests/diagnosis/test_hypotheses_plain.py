"""Priors, symptoms and readings of all hypotheses, beside their definitions carried out word by word."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from benchlore.book.model import Book, ComesOf, Measurement, frozen_map
from benchlore.diagnosis.comes_of import FAR, LEFT_OUT, SPREAD, reached, shares_outside
from benchlore.diagnosis.hypotheses import (
    ALIKE,
    NEAR,
    NEARLY,
    NOT_LISTED,
    QUIET,
    TRUST,
    UNNAMED,
    WAY_UNSEEN,
    Hypotheses,
    hypotheses_of,
    priors,
)
from benchlore.diagnosis.likelihood import HEALTHY, NOT_THE_PART
from benchlore.diagnosis.naming import named_in, words_of
from benchlore.diagnosis.suspects import (
    CHECK,
    LOOK_FOR,
    SOUND_OUTSIDE,
    WARMS,
    Member,
    Suspect,
    looks_of,
    outside_of,
    suspects_of,
)
from benchlore.vocabulary import FREQUENCIES
from tests.books import example

FAMILIES = ("siskin-12", "teal-8")
# What four symptoms come of on teal-8: a part, what is plugged in, nets near and far, and shares of its own.
LISTS: Mapping[str, tuple[tuple[str, ...], Mapping[str, float]]] = {
    "touch-dead": (("J86", "P81", "TOUCH_DATA"), {}),
    "one-way-up": (("CC1", "CC2", "J80"), {"cable": 20.0}),
    "no-power": (("SYSTEM", "CELL", "U82", "VBUS_SAFE"), {"adapter": 0.0}),
    "runs-hot": (("C86",), {}),
}


def told(book: Book) -> Book:
    """The book with these lists."""
    family = book.families["teal-8"]
    lists = {
        name: ComesOf(id=name, origin=family.origin, of=of, outside=frozen_map(outside))
        for name, (of, outside) in LISTS.items()
    }
    family = replace(family, symptoms=frozen_map(lists))
    return replace(book, families=frozen_map({**book.families, family.id: family}))


BOOK = told(example())


def made(family: str) -> Hypotheses:
    return hypotheses_of(BOOK, BOOK.families[family])


def base(known: Hypotheses) -> tuple[float, ...]:
    """Of the recorded faults alone, and of something else."""
    return priors([fault.seen for fault in known.faults])


def foretold(known: Hypotheses, place: int) -> dict[tuple[str, str], float]:
    """The shares of all outcomes of which it is known what a hypothesis reads."""
    found = {}
    count = len(known.faults)
    for m, says in known.says.items():
        if place in says:
            outcomes = BOOK.families[known.family].measurements[m].outcomes
            shares: dict[str, float] = dict(zip(outcomes, known.rows[m][place], strict=True))
            if place >= count:
                row = known.suspects[place - count].reads[m]
                assert row is not None
                shares = dict(row)
            whole = sum(shares.values())
            found.update({(m, o): share / whole for o, share in shares.items() if share})
    return found


def nearly(known: Hypotheses, place: int, measure: str, outcome: str) -> float:
    found = {o: share for (m, o), share in foretold(known, place).items() if m == measure}
    return nearby(BOOK.families[known.family].measurements[measure], found, outcome)


def nearby(measurement: Measurement, row: Mapping[str, float], outcome: str) -> float:
    """What is foretold; a little of what is amiss in any other way."""
    if outcome in measurement.normal:
        return row.get(outcome, 0.0)
    wrong = [o for o in measurement.outcomes if o not in measurement.normal]
    even = sum(row.get(o, 0.0) for o in wrong) / len(wrong)
    return (1 - NEARLY) * row.get(outcome, 0.0) + NEARLY * even


@pytest.mark.parametrize("family", FAMILIES)
def test_rows_by_definition(family):
    """A recorded fault as known; a suspect nine parts of ten as foretold, one as what is silent, of what is
    outside half of that healthy; that as the recorded faults, by their priors, of a suspect by how much they
    read like it, of which those that are silent, too, read mostly healthy. Where a look shows a part, the
    fault of another reads as something else. What is outside with several ways reads as these together."""
    known, prior = made(family), base(made(family))
    looks = looks_of(BOOK, BOOK.families[family])
    assert known.looks == frozenset(looks)
    count = len(known.faults)
    weights = [list(prior[:-1])] * count
    for likes in likes_of(known):
        weights.append([p * (like + ALIKE / count) for p, like in zip(prior, likes, strict=False)])
    for m, rows in known.rows.items():
        measurement = BOOK.families[family].measurements[m]
        size = len(measurement.outcomes)
        speak = [h for h in range(count) if h in known.says[m]]
        for o, outcome in enumerate(measurement.outcomes):
            normal = measurement.normal
            well = 1 - (1 - HEALTHY) * NOT_THE_PART
            other, quiet = (
                (1 - w) / size + w * (outcome in normal) / len(normal) if normal else 1 / size
                for w in (well, QUIET)
            )
            for h in range(len(known.names)):
                mine = weights[h]
                told = sum(mine[f] * (rows[f][o] if f in speak else quiet) for f in range(count)) / sum(mine)
                place = h - len(known.faults)
                parts = {known.faults[h].cause.part} if place < 0 else parts_of(known, h)
                silent = other if m in looks and looks[m] not in parts else told
                healthy = (outcome in normal) / len(normal) if normal else silent
                mixed = silent
                if place >= 0 and known.suspects[place].outside:
                    mixed = SOUND_OUTSIDE * healthy + (1 - SOUND_OUTSIDE) * silent
                ways = known.suspects[place].apart if place >= 0 else ()
                if any(m in way for _, way in ways):
                    shown = sum(
                        s
                        * (
                            TRUST * nearby(measurement, way[m], outcome) + (1 - TRUST) * silent
                            if m in way
                            else silent
                        )
                        for s, way in ways
                    )
                    together = SOUND_OUTSIDE * healthy + (1 - SOUND_OUTSIDE) * shown
                    assert rows[h][o] == pytest.approx(together, abs=3e-9)
                elif h not in known.says[m]:
                    assert rows[h][o] == pytest.approx(mixed, abs=2e-9)
                elif place >= 0:
                    share = nearly(known, h, m, outcome)
                    assert rows[h][o] == pytest.approx(TRUST * share + (1 - TRUST) * mixed, abs=3e-9)


@pytest.mark.parametrize("family", FAMILIES)
def test_on_half_of_what_is_outside_the_board_reads_healthy_everywhere(family):
    """Also where nothing is foretold: a board that is whole. The other half reads what is left of the row."""
    known = made(family)
    seen = 0
    for place, suspect in enumerate(known.suspects):
        h = len(known.faults) + place
        mine = [n for n, (of, _) in enumerate(known.split) if of == h]
        if not suspect.outside or not mine:
            continue
        sound, *bare = mine
        shares = [known.split[n][1] for n in mine]
        assert shares[0] == SOUND_OUTSIDE
        assert sum(shares) == pytest.approx(1)
        assert len(bare) == max(len(suspect.apart), 1)
        for m, ways in known.ways.items():
            one, row = BOOK.families[family].measurements[m], known.rows[m][h]
            if one.normal:
                seen += m not in suspect.reads or suspect.reads[m] is None
                healthy = [(o in one.normal) / len(one.normal) for o in one.outcomes]
                assert ways[sound] == pytest.approx(healthy, abs=1e-9)
            together = [
                sum(s * ways[n][o] for s, n in zip(shares, mine, strict=True)) for o in range(len(row))
            ]
            assert together == pytest.approx(row, abs=2e-9)
    assert seen > 0


def parts_of(known: Hypotheses, place: int) -> set[str]:
    return {member.part for member in known.suspects[place - len(known.faults)].members}


def touched(known: Hypotheses, place: int, abnormal: dict[tuple[str, str], float]) -> set[str]:
    """The nets that read abnormally, and those of a fault's part or at which a suspect is."""
    family, count = BOOK.families[known.family], len(known.faults)
    found = {net for m, _ in abnormal for net in family.measurements[m].nets}
    if place < count:
        return found | set(family.parts[known.faults[place].cause.part].nets)
    return found | {member.at for member in known.suspects[place - count].members} - {""}


def outside_with(
    known: Hypotheses, symptom: str, weights: list[float], likely: dict[int, float]
) -> dict[int, float]:
    """Of what is outside the joint weight with a symptom: its kind has the share that the symptom names, of
    all that show it, recorded faults among it.
    """
    count, shows, unknown = len(known.faults), known.shows[symptom], base(known)[-1]
    outside = {count + i: s.outside for i, s in enumerate(known.suspects) if s.outside}
    shares = dict(BOOK.symptoms[symptom].outside)
    if symptom in LISTS and known.family == "teal-8":
        of, own = LISTS[symptom]
        parts = BOOK.families["teal-8"].parts
        listed = {parts[name].kind for name in of if name in parts}
        none = {part.kind for part in parts.values()} - listed
        shares = {**{kind: share for kind, share in shares.items() if kind not in none}, **own}
    named = {k: p / 100 for k, p in shares.items() if k in outside.values()}
    of_kind = dict.fromkeys(named, 0.0)
    inside = 0.0
    for h in range(len(known.names)):
        kind = outside_of(BOOK, known.faults[h]) if h < count else ""
        if kind in named:
            of_kind[kind] += weights[h] * shows[h]
        elif h not in outside:
            inside += weights[h] * shows[h]
    all_jobs = inside / (1 - sum(named.values()) - unknown)
    found = {}
    for h, kind in outside.items():
        mine = named.get(kind, 0.0) * all_jobs
        left = max(mine - of_kind.get(kind, 0.0), mine * unknown)
        found[h] = left * likely[h] / sum(likely[o] for o, k in outside.items() if k == kind)
    return found


def likes_of(known: Hypotheses) -> list[list[float]]:
    """How much each suspect is like each recorded fault: in what they read abnormally, half as much in the
    nets that they touch, and wholly where what is outside has a record."""
    measurements = BOOK.families[known.family].measurements
    normal = {(m, o) for m in known.rows for o in measurements[m].normal}
    count = len(known.faults)
    abnormal = [
        {key: p for key, p in foretold(known, h).items() if key not in normal}
        for h in range(len(known.names))
    ]
    nets = [touched(known, h, abnormal[h]) for h in range(len(known.names))]
    found = []
    for h in range(count, len(known.names)):
        likes = []
        for other in range(count):
            both = sum(
                min(p, abnormal[other][key]) for key, p in abnormal[h].items() if key in abnormal[other]
            )
            either = sum(abnormal[h].values()) + sum(abnormal[other].values()) - both
            outside = known.suspects[h - count].outside
            near = len(nets[h] & nets[other]) / max(len(nets[h] | nets[other]), 1)
            alike = max(both / either if either else 0.0, NEAR * near)
            likes.append(1.0 if outside and known.faults[other].cause.part in parts_of(known, h) else alike)
        found.append(likes)
    return found


def words_at(known: Hypotheses, place: int) -> set[str]:
    """The words of a suspect's parts and of the nets at which it shows, three at most of either."""
    family, suspect = BOOK.families[known.family], known.suspects[place - len(known.faults)]
    nets = {member.at for member in suspect.members} - {""}
    for m, row in suspect.reads.items():
        if (
            m in known.rows
            and row
            and any(share and o not in family.measurements[m].normal for o, share in row.items())
        ):
            nets |= set(family.measurements[m].nets)
    parts = parts_of(known, place)
    texts = [family.parts[part].name for part in parts] if len(parts) <= 3 else []
    texts += [net.replace("_", " ") for net in nets] if len(nets) <= 3 else []
    return set(words_of(" ".join(texts)))


def by_lists(known: Hypotheses, place: int, shown: Mapping[str, float]) -> dict[str, float]:
    """What a suspect shows, by what its family says that symptoms come of: what its likes show of these in
    all, given to those that come of its parts, of their nets, or half of a net that reads amiss; of a chip
    with one line at fault not by the chip's name."""
    family, suspect = BOOK.families[known.family], known.suspects[place - len(known.faults)]
    amiss: dict[str, float] = {}
    for m, measurement in family.measurements.items():
        row = suspect.reads.get(m) or {}
        wrong = sum(p for o, p in row.items() if o not in measurement.normal) / (sum(row.values()) or 1)
        for net in measurement.nets if m in known.rows else ():
            amiss[net] = max(amiss.get(net, 0), wrong)
    reach = {}
    chips = {p.id for p in family.parts.values() if p.kind in ("ic", "bga", "sensor") and len(p.nets) > 1}
    for symptom, one in family.symptoms.items():
        names = [{m.at} if m.at and m.part in chips else {m.part, m.at} for m in suspect.members]
        direct = sum(m.share for m, of in zip(suspect.members, names, strict=True) if of & set(one.of))
        reach[symptom] = max([direct, *(FAR * amiss[net] for net in one.of if net in amiss)])
    told = {s: p for s, p in shown.items() if s in reach}
    mine = {s: reach[s] * (p + SPREAD) for s, p in told.items()}
    found = dict(shown)
    for s, p in told.items():
        own = mine[s] * sum(told.values()) / sum(mine.values()) if any(mine.values()) else 0
        found[s] = (1 - LEFT_OUT) * min(own, reach[s] * FREQUENCIES["always"].share) + LEFT_OUT * p
    return found


def owned(known: Hypotheses, symptom: str) -> list[float]:
    """How often the recorded faults show a symptom."""
    rare = NOT_LISTED / len({symptom for f in known.faults for symptom in f.symptom})
    return [FREQUENCIES[f.symptom[symptom]].share if symptom in f.symptom else rare for f in known.faults]


def by_likes(known: Hypotheses) -> dict[str, dict[int, float]]:
    """What each suspect shows of each symptom, by the faults that read like it and by words."""
    prior, count, whole = base(known), len(known.faults), sum(base(known)[:-1])
    alike, about = likes_of(known), named_in(BOOK, BOOK.families[known.family])
    words = {h: words_at(known, h) for h in range(count, len(known.names))}
    likely: dict[str, dict[int, float]] = {symptom: {} for symptom in known.shows}
    for symptom, found in likely.items():
        own = owned(known, symptom)
        mean = sum(p * s for p, s in zip(prior, own, strict=False)) / whole
        silent = symptom not in BOOK.families[known.family].symptoms
        for h, likes in enumerate(alike, count):
            least = ALIKE * whole / count
            weighed = [p * like for p, like in zip(prior, likes, strict=False)]
            shown = sum(w * s for w, s in zip(weighed, own, strict=True)) + least * mean
            found[h] = shown / (sum(weighed) + least)
            if silent and words[h] & about[symptom]:
                found[h] = max(found[h], FREQUENCIES["sometimes"].share)
    return likely


@pytest.mark.parametrize("family", FAMILIES)
def test_symptoms_and_priors_by_definition(family):
    known, prior = made(family), base(made(family))
    faults, count, whole = known.faults, len(known.faults), sum(base(made(family))[:-1])
    weights = [*prior[:-1], *(0.0 for _ in known.suspects), prior[-1]]
    jobs = sum(fault.seen for fault in faults) + count / 2
    for i, suspect in enumerate(known.suspects):
        weights[count + i] = WAY_UNSEEN * suspect.weight * whole / jobs
    outside = {count + i: s.outside for i, s in enumerate(known.suspects) if s.outside}
    joint: dict[int, dict[str, float]] = {h: {} for h in outside}
    named: dict[int, list[float]] = {h: [] for h in outside}
    likely = by_likes(known)
    for symptom, shows in known.shows.items():
        assert shows[:count] == pytest.approx(owned(known, symptom))
    for h in range(count, len(known.names)):
        for symptom, shown in by_lists(known, h, {s: of[h] for s, of in likely.items()}).items():
            likely[symptom][h] = shown
            if h not in outside:
                assert known.shows[symptom][h] == pytest.approx(shown, abs=1e-8), (symptom, known.names[h])
    for symptom in known.shows:
        for h, weight in outside_with(known, symptom, weights, likely[symptom]).items():
            joint[h][symptom] = max(weight, weights[h] * likely[symptom][h])
            named[h].append(weight)
    for h in outside:
        weights[h] = max(weights[h], max(named[h]) / FREQUENCIES["always"].share, 1e-9)
        for symptom, shows in known.shows.items():
            expected = max(joint[h][symptom] / weights[h], UNNAMED)
            assert shows[h] == pytest.approx(expected, abs=1e-8), (symptom, known.names[h])
    foreseen = sum(weights[:-1])
    assert known.prior[-1] == prior[-1]
    assert known.prior[:-1] == pytest.approx([whole * w / foreseen for w in weights[:-1]], abs=1e-12)
    for shows in known.shows.values():
        with_symptom = [p * s for p, s in zip(known.prior, shows, strict=True)]
        assert with_symptom[-1] / sum(with_symptom) == pytest.approx(prior[-1])


@pytest.mark.parametrize("family", FAMILIES)
def test_a_suspect_is_sought_part_by_part(family):
    """Its minutes: six to see which, then each part by what is left of the share, once; four of five that
    hold a net are seen at once."""
    lone = several = 0
    for one in suspects_of(BOOK, BOOK.families[family]):
        parts = list(dict.fromkeys(m.part for m in one.members))
        names = BOOK.families[family].parts
        if not parts:
            assert one.minutes == LOOK_FOR + CHECK
            continue
        left, spent = 1.0, 0.0
        for place, member in enumerate(one.members):
            if member.part not in {m.part for m in one.members[:place]}:
                spent += left * member.minutes
            left -= member.share
        if len(parts) > 1:
            holds = all(m.mode in ("shorted-to-ground", "leaks") for m in one.members)
            seen = sum(m.share * m.minutes for m in one.members)
            spent = LOOK_FOR + (WARMS * seen + (1 - WARMS) * spent if holds else spent)
        assert one.minutes == pytest.approx(spent)
        if one.outside:
            continue
        if len(parts) == 1:
            assert one.title.startswith(f"{parts[0]}, {names[parts[0]].name}: ")
            lone += 1
        else:
            more = f" and {len(parts) - 4} more" if len(parts) > 4 else ""
            nets = {m.at for m in one.members}
            said = f"one of {', '.join(parts[:4])}{more}"
            assert said in one.title.replace("One of", "one of")
            assert one.title.endswith(said) is (len(nets) == 1 and "" not in nets)
            several += 1
        shares = [m.share for m in one.members]
        assert sum(shares) == pytest.approx(1)
    assert lone > 2
    assert several > 2


def test_a_list_gives_a_symptom_to_what_it_names_and_takes_it_from_the_rest():
    silent = hypotheses_of(example(), example().families["teal-8"])
    known = made("teal-8")
    before, after = silent.shows["touch-dead"], known.shows["touch-dead"]
    normal = {name: m.normal for name, m in BOOK.families["teal-8"].measurements.items()}
    named, rest = [], []
    for h, suspect in enumerate(known.suspects, len(known.faults)):
        amiss = {
            m
            for m, row in suspect.reads.items()
            if row and any(p and o not in normal[m] for o, p in row.items())
        }
        if suspect.outside:
            continue
        if {member.part for member in suspect.members} <= {"J86", "P81"}:
            named.append(h)
        elif not {"TOUCH_DATA"} & {n for m in amiss for n in nets_of(m)}:
            rest.append(h)
    assert named
    assert rest
    assert all(after[h] > before[h] for h in named)
    assert all(after[h] < before[h] for h in rest)


@pytest.mark.parametrize(
    ("member", "of", "nets", "share"),
    [
        (Member("U1", "open", "", 1.0, 9.0), ["U1"], {}, 1.0),
        (Member("U1", "stuck", "LINE", 1.0, 9.0), ["U1"], {"LINE": 1.0}, 0.0),
        (Member("U1", "stuck", "LINE", 1.0, 9.0), ["U1", "LINE"], {}, 1.0),
        (Member("U1", "stuck", "LINE", 1.0, 9.0), ["U1", "FAR"], {"LINE": 1.0, "FAR": 0.8}, 0.4),
        (Member("J1", "open", "LINE", 1.0, 9.0), ["J1"], {}, 1.0),
    ],
)
def test_a_chip_with_one_line_at_fault_is_named_by_that_line(member, of, nets, share):
    suspect = Suspect("f/~one", "one", (member,), "", 1.0, {}, 9.0, False)
    assert reached(of, suspect, nets, {"U1"}) == pytest.approx(share)


def nets_of(measure: str) -> tuple[str, ...]:
    return BOOK.families["teal-8"].measurements[measure].nets


def test_what_no_list_names_has_no_symptom_of_its_kind_but_what_the_family_says():
    family = BOOK.families["teal-8"]
    assert shares_outside(BOOK, family, "touch-dead") == {"accessory": 30.0, "settings": 5.0}
    assert shares_outside(BOOK, family, "one-way-up") == {"cable": 20.0}
    assert shares_outside(BOOK, family, "no-power") == {"pack": 5.0, "adapter": 0.0}
    assert shares_outside(BOOK, family, "drains-overnight") == {"settings": 25.0, "pack": 20.0}
    renamed = replace(family.symptoms["touch-dead"], of=("TOUCH_DATA", "J86"))
    without = replace(family, symptoms=frozen_map({"touch-dead": renamed}))
    assert shares_outside(BOOK, without, "touch-dead") == {"settings": 5.0}, "the family's panel is not named"
