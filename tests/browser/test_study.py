"""The study page's logic in the browser, held to published rules and to Python's arithmetic."""

from __future__ import annotations

import datetime
import json
import math
import random
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from statistics import NormalDist
from typing import Any

import jsonschema
import pytest
from playwright.sync_api import Browser, Page

from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.meter import standard_uncertainty
from benchlore.diagnosis.minutes import parts_minutes, proof_minutes
from benchlore.diagnosis.plan import plan
from benchlore.diagnosis.posterior import Evidence, posterior
from tests.books import example
from tests.parts import Library
from tests.study.oracle import Item, philox, sm2, uniforms

ROOT = Path(__file__).resolve().parents[2]
BOOK = example()
stats = Library("scipy.stats")
SCHEMA = json.loads((ROOT / "schema/progress.schema.json").read_text(encoding="utf-8"))
EPOCH = datetime.date(1970, 1, 1)
FAMILY = "siskin-12"


@pytest.fixture(scope="module")
def study(chromium: Browser, file_url) -> Iterator[Page]:
    """A study page that nothing is done on: its parts are asked as functions."""
    context = chromium.new_context()
    page = context.new_page()
    page.goto(file_url(f"study/{FAMILY}.html"))
    page.wait_for_selector("#begin-path")
    page.evaluate("() => { window.study = benchlore.study; }")
    yield page
    context.close()


def test_philox_gives_its_authors_known_answers(study):
    # kat_vectors of the Random123 distribution by the authors of the paper, from memory.
    answers: list[tuple[Any, Any, list[int]]] = [
        ([0] * 4, [0] * 2, [0x6627E8D5, 0xE169C58D, 0xBC57AC4C, 0x9B00DBD8]),
        ([0xFFFFFFFF] * 4, [0xFFFFFFFF] * 2, [0x408F276D, 0x41C83B0E, 0xA20BC7C6, 0x6D5451FD]),
        (
            [0x243F6A88, 0x85A308D3, 0x13198A2E, 0x03707344],
            [0xA4093822, 0x299F31D0],
            [0xD16CFE09, 0x94FDCCEB, 0x5001E420, 0x24126EA1],
        ),
    ]
    for counter, key, wanted in answers:
        assert study.evaluate("([c, k]) => study.random.philox(c, k)", [counter, key]) == wanted
        assert list(philox(tuple(counter), tuple(key))) == wanted


def test_a_seed_gives_the_same_numbers_everywhere(study):
    found = study.evaluate(
        """seeds => seeds.map(seed => {
            const chance = study.random.stream(seed, "reading", "C55", 2);
            return Array.from({length: 40}, () => chance.uniform());
        })""",
        ["7K3QF2", "Ω", ""],
    )
    assert found == [uniforms(seed, "reading/C55/2", 40) for seed in ("7K3QF2", "Ω", "")]
    assert len({number for row in found for number in row}) == 120


def test_normal_numbers_and_shuffles(study):
    draws = study.evaluate(
        """() => { const chance = study.random.stream("n", "normal");
            return Array.from({length: 4000}, () => chance.normal()); }"""
    )
    assert stats.kstest(draws, "norm").pvalue > 0.01
    orders = study.evaluate(
        """() => { const chance = study.random.stream("s", "order");
            return Array.from({length: 6000}, () => chance.shuffled(["a", "b", "c"]).join("")); }"""
    )
    assert stats.chisquare(list(Counter(orders).values())).pvalue > 0.01
    assert len(set(orders)) == 6


def test_a_thousand_reviews_follow_sm2(study):
    chance = random.Random(1990)
    histories: list[list[list[int]]] = []
    wanted: list[list[dict[str, Any]]] = []
    for trainee in range(40):
        weights = (1, 1, 2, 4, 6, 8) if trainee % 4 else (0, 0, 1, 20, 4, 1)
        item, day, asked, states = Item(), EPOCH + datetime.timedelta(days=20000), [], []
        for _ in range(25):
            quality = chance.choices(range(6), weights=weights)[0]
            asked.append([quality, (day - EPOCH).days])
            item = sm2(item, quality, day)
            assert item.next is not None
            states.append(
                {
                    "reps": item.repetition,
                    "ease": int(item.factor * 100),
                    "interval": item.interval,
                    "due": (item.next - EPOCH).days,
                    "again": item.drill,
                }
            )
            stays = item.drill and chance.random() < 0.7
            day = (
                day
                if stays
                else max(day, item.next) + datetime.timedelta(days=chance.choice((0, 0, 0, 1, 9)))
            )
        histories.append(asked)
        wanted.append(states)
    found = study.evaluate(
        """histories => histories.map(history => {
            let state = null;
            return history.map(([grade, day]) => {
                state = study.schedule.review(state, grade, day);
                const {reps, ease, interval, due, again} = state;
                return {reps, ease, interval, due, again};
            });
        })""",
        histories,
    )
    assert sum(len(states) for states in found) == 1000
    assert found == wanted
    reached = {state["interval"] for states in found for state in states}
    assert {1, 6} < reached
    assert max(reached) > 30
    assert min(state["ease"] for states in found for state in states) == 130


def test_days_are_calendar_days(study):
    dates = ["1970-01-01", "2024-02-29", "2026-03-29", "2026-10-25", "2100-03-01"]  # leap days, clock changes
    days = study.evaluate("dates => dates.map(study.schedule.dayOf)", dates)
    assert days == [(datetime.date.fromisoformat(date) - EPOCH).days for date in dates]
    assert study.evaluate("days => days.map(study.schedule.dateOf)", days) == dates


def test_cards_come_back_when_due_then_new_ones_along_the_path(study):
    found = study.evaluate(
        """() => {
            const cards = ["a", "b", "c", "d", "e"].map(id => ({id, kind: "reads", subject: ""}));
            const state = due => Object.assign(study.schedule.review(null, 5, due - 1), {});
            const known = {d: state(100), b: state(98), c: state(120)};
            const wrong = {a: study.schedule.review(null, 1, 100)};
            const all = Object.fromEntries(cards.map(card => [card.id, state(200)]));
            return [
                study.deck.next(cards, known, 100, 3), study.deck.next(cards, known, 100, 8),
                study.deck.next(cards, wrong, 100, 1), study.deck.next(cards, all, 100, 2),
                study.deck.counts(cards, {...known, ...wrong}, 100),
            ];
        }"""
    )
    assert found[:4] == [["b", "d", "a"], ["b", "d", "a", "e"], ["a"], ["a", "b"]]
    assert found[4] == {"all": 5, "known": 0, "shaky": 4, "unseen": 1, "due": 3}


def test_right_answers_before_their_day_move_no_date(study):
    found = study.evaluate(
        """() => {
            const {answered, empty} = study.progress;
            const first = answered(empty(), "x", 5, 100);
            const early = answered(first, "x", 5, 100);
            const wrong = answered(first, "x", 1, 100);
            return [first, early, wrong].map(p => p.cards.x);
        }"""
    )
    first, early, wrong = found
    assert early == {**first, "asked": 2}
    assert (wrong["again"], wrong["due"], wrong["wrong"]) == (True, 101, 1)


def test_a_seed_names_the_cards_that_it_does_not_draw(study):
    found = study.evaluate(
        """() => {
            const deck = benchlore.studyFamily, trouble = [], lengths = [];
            for (const exercise of Object.keys(benchlore.vocabulary.exercises)) {
                const ids = study.deck.cardsOf(deck, exercise).map(card => card.id);
                for (const cards of [ids.slice(0, 8), ids.slice(-8).reverse(), [ids[0]], ids.slice(3, 9)]) {
                    const shown = study.seed.shown(deck, {exercise, seed: "G6P2T7", cards});
                    lengths.push(shown.length);
                    for (const typed of [shown, shown.toLowerCase(), " " + shown.replace(/-/g, " "),
                            shown.replace(/-/g, "")]) {
                        const back = study.seed.read(deck, "reads", typed);
                        const same = back.exercise === exercise && back.cards.join() === cards.join();
                        if (!same || back.seed !== "G6P2T7") trouble.push([typed, back]);
                    }
                    for (let n = 8; n < shown.length; n += 1) if (shown[n] !== "-") {
                        const slip = shown.slice(0, n) + (shown[n] === "A" ? "B" : "A") + shown.slice(n + 1);
                        if (!study.seed.read(deck, exercise, slip).reason) trouble.push(slip);
                    }
                }
                // A seed that draws its cards stands alone.
                const drawn = study.seed.read(deck, exercise, "class 5");
                if (study.seed.shown(deck, drawn) !== "CLASS5") trouble.push(exercise);
            }
            return [trouble, Math.max(...lengths), study.seed.read(deck, "reads", " - ").reason];
        }"""
    )
    assert found[0] == []
    assert found[1] <= 30
    assert found[2] == "no seed was typed"


def jobs(study: Page, symptom: str, count: int) -> list[list[Any]]:
    """Revision, hidden fault and, for two measurements, the outcome that the reading is taken for."""
    found: list[list[Any]] = study.evaluate(
        """([symptom, measures, count]) => {
            const {benchBook: book, benchFamilies, studyFamily: deck} = benchlore;
            const family = benchFamilies[deck.family];
            return Array.from({length: count}, (_, n) => {
                const job = study.job.begin(book, family, deck.meter, symptom, "job" + n);
                const classes = measures.map(measure => {
                    const {reading} = study.simulate.reading(job.one, measure, job.hidden, job.seed, 0);
                    return benchlore.likelihood.classOf(job.one.scales[measure], reading);
                });
                return [job.revision, job.hidden, ...classes];
            });
        }""",
        [symptom, list(MEASURES), count],
    )
    return found


MEASURES = ("main-rail-adapter", "pack-data-junction")


def pooled(observed: list[float], expected: list[float]) -> tuple[float, int]:
    """Chi-square and its degrees of freedom, cells below five joined to one (Cochran's rule)."""
    cells = [(o, e) for o, e in zip(observed, expected, strict=True) if e >= 5]
    small = [(o, e) for o, e in zip(observed, expected, strict=True) if e < 5]
    if small and sum(e for _, e in small) >= 5:
        cells.append((sum(o for o, _ in small), sum(e for _, e in small)))
    return sum((o - e) ** 2 / e for o, e in cells), len(cells) - 1


def test_hidden_faults_follow_the_priors_and_readings_their_outcomes(study):
    symptom = "pack-not-seen"
    played = jobs(study, symptom, 5000)
    revisions = Counter(job[0] for job in played)
    assert set(revisions) == set(BOOK.families[FAMILY].revisions)
    assert stats.chisquare(list(revisions.values())).pvalue > 0.001
    faults = readings = 0.0
    faults_df = readings_df = 0
    for revision, count in revisions.items():
        case = make_case(BOOK, FAMILY, revision)
        prior = posterior(case, Evidence((symptom,)))
        mine = [job for job in played if job[0] == revision]
        hidden = Counter(job[1] for job in mine)
        chi, df = pooled([hidden[h] for h in range(len(prior))], [p * count for p in prior])
        faults, faults_df = faults + chi, faults_df + df
        for place, measure in enumerate(MEASURES, 2):
            table = case.bench.tables[case.bench.measures.index(measure)]
            for h, n in hidden.items():
                seen = Counter(job[place] for job in mine if job[1] == h)
                ways = [(c, case.columns.shares[c]) for c in case.columns.at(h)]
                due = [n * math.fsum(share * row[c] for c, share in ways) for row in table]
                chi, df = pooled([seen[o] for o in range(len(table))], due)
                if df > 0:
                    readings, readings_df = readings + chi, readings_df + df
    assert faults_df > 15
    assert stats.chi2.sf(faults, faults_df) > 0.001
    assert readings_df >= 18
    assert stats.chi2.sf(readings, readings_df) > 0.001


@pytest.mark.parametrize(
    ("measure", "outcome"), [("main-rail-adapter", "default"), ("adapter-current", "normal")]
)
def test_readings_of_an_outcome_have_the_meters_error(study, measure, outcome):
    # Uniform over the outcome, plus a normal error of u = accuracy limit / sqrt(3) (JCGM 100:2008 4.3.7),
    # rounded to what the meter shows. Expected shares by adding up over true values.
    scale = make_case(BOOK, FAMILY).scales[measure]
    index = [band.outcome for band in scale.bands].index(outcome)
    band = scale.bands[index]
    values = study.evaluate(
        """([measure, index]) => {
            const {benchBook, benchFamilies, studyFamily: deck} = benchlore;
            const one = benchlore.cases.caseOf(benchBook, benchFamilies[deck.family], "", deck.meter);
            const chance = study.random.stream("error", measure);
            return Array.from({length: 4000},
                () => study.simulate.ofOutcome(one, measure, index, chance).value);
        }""",
        [measure, index],
    )
    step = next(r.resolution.middle for r in scale.ranges if r.up_to.middle >= band.ceiling)
    truths = [band.floor + (band.ceiling - band.floor) * (n + 0.5) / 200 for n in range(200)]
    errors = [standard_uncertainty(scale.ranges, truth) for truth in truths]
    seen = Counter(round(value / step) for value in values)
    places = range(min(seen), max(seen) + 1)
    normals = [NormalDist(truth, error) for truth, error in zip(truths, errors, strict=True)]
    below = [sum(one.cdf((k - 0.5) * step) for one in normals) for k in (*places, places.stop)]
    expected = [len(values) * (upper - lower) / len(truths) for lower, upper in pairwise(below)]
    chi, df = pooled([seen[k] for k in places], expected)
    assert df >= 10
    assert stats.chi2.sf(chi, df) > 0.001
    assert min(values) < band.floor
    assert max(values) > band.ceiling


def test_the_same_board_reads_the_same_outcome_however_often_it_is_measured(study):
    found = study.evaluate(
        """() => {
            const {benchBook, benchFamilies, studyFamily: deck} = benchlore;
            const one = benchlore.cases.caseOf(benchBook, benchFamilies[deck.family], "A", deck.meter);
            const hidden = one.faults.indexOf("siskin-12/pen-bay-holds-pack-data-low");
            const taken = Array.from({length: 300},
                (_, n) => study.simulate.reading(one, "pack-data-junction", hidden, "board", n));
            return [new Set(taken.map(t => t.outcome)).size, new Set(taken.map(t => t.reading.value)).size,
                taken.filter(t => t.blunder).length];
        }"""
    )
    assert found[0] == 1
    assert found[1] > 5  # the meter's error differs
    assert 0 < found[2] < 20  # two in a hundred mean nothing


USUAL, TURNED = "black on ground, red on the point", "red on ground, black on the point"
AMMETER = "ammeter in line with the adapter, on its 10\u00a0A input"
SHORTED = [["person", "leads"], ["board", "leads"]]
SETUP = """([measure, choice]) => study.setup.harms(benchlore.benchBook, benchlore.benchFamilies["siskin-12"],
    benchlore.studyFamily, measure, choice).map(harm => [harm.who, harm.what])"""


@pytest.mark.parametrize(
    ("measure", "choice", "wanted"),
    [
        ("main-rail-adapter", {"state": "nothing-connected"}, [["board", "state"]]),
        ("main-rail-adapter", {"state": "adapter-and-pack"}, [["person", "state"], ["reading", "state"]]),
        ("main-rail-adapter", {"state": "adapter-only"}, []),
        ("main-rail-adapter", {"mode": "amps"}, [["person", "function"], ["board", "function"]]),
        ("main-rail-adapter", {"mode": "ohms"}, [["board", "function"]]),
        ("main-rail-adapter", {"mode": "ac-ripple"}, [["reading", "function"]]),
        ("pack-data-junction", {"state": "pack-only"}, [["person", "state"], ["board", "state"]]),
        ("pack-data-junction", {"state": "adapter-only"}, [["board", "state"]]),
        ("pack-data-junction", {"leads": "black on ground, red on the point"}, [["reading", "leads"]]),
        ("main-rail-adapter", {"leads": TURNED}, [["reading", "leads"]]),
        ("main-rail-adapter", {"leads": ""}, [["reading", "leads"]]),
        # An ammeter is nearly a short: its low input resistance is in every meter's data (common practice).
        ("main-rail-adapter", {"leads": AMMETER}, SHORTED),
        ("main-rail-adapter", {"leads": AMMETER, "mode": "dc-volts"}, SHORTED),
        (
            "main-rail-adapter",
            {"leads": AMMETER, "mode": "amps"},
            [["person", "function"], ["board", "function"], ["reading", "leads"]],
        ),
        (
            "main-rail-adapter",
            {"leads": AMMETER, "state": "nothing-connected"},
            [["board", "state"], ["reading", "leads"]],
        ),
        ("main-rail-ohms", {"leads": AMMETER}, [["reading", "leads"]]),
        (
            "main-rail-ohms",
            {"leads": AMMETER, "state": "adapter-only"},
            [["person", "leads"], ["board", "state"], ["board", "leads"]],
        ),
        ("adapter-current", {"leads": USUAL}, SHORTED),
        ("adapter-current", {"leads": TURNED, "mode": "amps"}, SHORTED),
        (
            "adapter-current",
            {"leads": USUAL, "mode": "dc-volts"},
            [["reading", "function"], ["reading", "leads"]],
        ),
        (
            "adapter-current",
            {"leads": USUAL, "state": "nothing-connected"},
            [["board", "state"], ["reading", "leads"]],
        ),
        ("pack-data-junction-pen-bay-unplugged", {"unplugged": []}, [["reading", "parts"]]),
        # E7 sits on STANDBY, PACK_DATA and PACK_CLK, K1 on POWER_KEY: elsewhere they may be out.
        ("pack-data-volts", {"unplugged": ["E7"]}, [["reading", "parts"]]),
        ("pack-data-volts", {"unplugged": ["K1"]}, []),
        ("main-rail-adapter", {"unplugged": ["E7"]}, [["reading", "parts"]]),
        ("core-volts", {"unplugged": ["E7"]}, []),
        ("logic-3v3-ohms", {"unplugged": ["E7", "K1"]}, []),
        ("pack-data-junction-pen-bay-unplugged", {"unplugged": ["E7", "K1"]}, []),
        # The line's own voltage is too much: its clamps would feed the chips on it.
        ("pack-data-heat", {"ceiling": "3.05\u00a0V"}, [["board", "ceiling"]]),
        ("pack-data-heat", {"ceiling": "0.5\u00a0V"}, []),
        ("pack-data-heat", {"state": "pack-only"}, [["person", "state"], ["board", "state"]]),
        ("main-rail-adapter", {"guards": ["probe-slip", "static"]}, [["person", "hazard"]]),
        ("main-rail-adapter", {"guards": ["mains-adapter", "probe-slip"]}, [["board", "hazard"]]),
    ],
)
def test_a_wrong_set_up_says_whom_it_hurts(study, measure, choice, wanted):
    assert study.evaluate(SETUP, [measure, choice]) == wanted


def test_a_part_out_too_many_says_why_it_matters(study):
    # E7 sits on the data line; on the main rail the book asks what comes once E7 is off the bus.
    said = study.evaluate(
        """measures => { const {benchBook, benchFamilies, studyFamily: deck} = benchlore;
            return measures.map(one => study.setup.harms(benchBook, benchFamilies[deck.family], deck, one,
                {unplugged: ["E7"]})[0].text); }""",
        ["pack-data-volts", "main-rail-adapter"],
    )
    assert "the net is another one than the record" in said[0]
    assert "another measurement of this point" in said[1]


def test_a_part_left_out_costs_its_minutes_and_no_more(study):
    """One who leaves the pen bay out of a measurement that it has nothing to do with gets the reading."""
    found = study.evaluate(
        """() => {
            const { benchBook: book, studyFamily: deck } = benchlore;
            const family = benchlore.benchFamilies[deck.family];
            const job = study.job.begin(book, family, deck.meter, "pack-not-seen", "s");
            const measure = (id, unplugged) => ({do: "measure", measure: id, unplugged,
                state: family.measurements[id].state, guards: deck.hazards});
            const played = study.job.play(job, deck, [measure("main-rail-pen-bay-unplugged", ["E7"]),
                measure("core-volts", ["E7"]), {do: "escalate"}]);
            const found = study.debrief.debrief(job, deck, played);
            return [played.entries.map(entry => [entry.kind, entry.minutes]),
                found.steps.map(step => step.lost >= 0)];
        }"""
    )
    minutes = [
        BOOK.families[FAMILY].measurements[m].minutes for m in ("main-rail-pen-bay-unplugged", "core-volts")
    ]
    first = BOOK.states["adapter-only"].minutes + BOOK.shop.unplug_minutes + minutes[0]
    assert found[0] == [["measure", first], ["measure", minutes[1]], ["escalate", BOOK.shop.escalate.minutes]]
    assert all(found[1])


def test_the_minutes_of_a_fix_are_told_by_what_they_are_made_of(study):
    found = study.evaluate(
        """() => { const family = benchlore.benchFamilies[benchlore.studyFamily.family];
            return Object.values(family.faults).map(fault =>
                [fault.id, study.debrief.sharesOf(benchlore.benchBook, family, fault)]); }"""
    )
    assert found
    for fault, shares in found:
        record = BOOK.faults[fault]
        assert shares["work"] == record.fix.minutes
        assert shares["parts"] == pytest.approx(parts_minutes(BOOK, record))
        assert shares["proof"] == pytest.approx(proof_minutes(BOOK, record))


def test_only_probes_turned_about_get_the_wrong_sign(study):
    said = study.evaluate(
        """leads => { const {benchBook, benchFamilies, studyFamily: deck} = benchlore;
            return leads.map(one => study.setup.harms(benchBook, benchFamilies[deck.family], deck,
                "main-rail-adapter", {leads: one})[0].text.startsWith("The sign is wrong")); }""",
        [TURNED, AMMETER, ""],
    )
    assert said == [True, False, False]


def test_power_after_a_reading_that_says_stop_is_a_missed_safety_step(study):
    """The data line stands at a higher rail; whoever measures on with power in has missed a step."""
    steps = study.evaluate(
        """() => {
            const { benchBook: book, studyFamily: deck } = benchlore;
            const family = benchlore.benchFamilies["siskin-12"];
            const { one } = study.job.begin(book, family, deck.meter, "pack-not-seen", "s");
            const { low } = Object.values(family.measurements["pack-data-volts"].outcomes)
                .find(outcome => outcome.stop).range;
            const seen = {measure: "pack-data-volts", seen: one, reading: {value: low + 5, outcome: null}};
            const locks = benchlore.interlock.standing([seen]);
            const harms = (measure, locks) =>
                study.setup.repowered(family.measurements[measure].state, locks).map(h => [h.who, h.what]);
            return [locks.map(lock => lock.measure), harms("main-rail-adapter", locks),
                harms("pack-data-junction", locks),
                harms("main-rail-adapter", []).length];
        }"""
    )
    assert steps == [["pack-data-volts"], [["board", "power"]], [], 0]


FIXED = """([seed, states, guarded]) => {
    const { benchBook: book, studyFamily: deck } = benchlore;
    const family = benchlore.benchFamilies[deck.family];
    const job = Array.from({length: 99}, (_, n) => seed + n)
        .map(each => study.job.begin(book, family, deck.meter, "pack-not-seen", each))
        .find(each => family.faults[each.one.faults[each.hidden]]);
    const fault = family.faults[job.one.faults[job.hidden]];
    const measure = {do: "measure", measure: "main-rail-adapter", state: "adapter-only", unplugged: [],
        guards: deck.hazards};
    const fix = state => ({do: "fix", fault: fault.id, action: fault.fix.words.action,
        guards: guarded ? deck.hazards : [], ...(state ? {state} : {})});
    return states.map(state => {
        const {entries} = study.job.play(job, deck, [measure, fix(state)]);
        const harms = entries[1].harms.filter(harm => harm.what === "power");
        const whole = study.job.play(job, deck, [measure, fix(state),
            {do: "confirm", measure: Object.keys(fault.fix.confirm)[0]}, {do: "judge", proved: true}]);
        return {minutes: entries[1].minutes, who: harms.map(harm => harm.who),
            text: harms.map(harm => harm.text).join(""), missed: study.job.missedSteps(entries),
            end: whole.end, grade: study.job.gradeOf(job, whole, 1000)};
    });
}"""


def test_a_fix_on_a_live_bench_is_a_missed_safety_step(study):
    # De-energise before work: common practice, no source.
    bare, live, pack, stays = study.evaluate(
        FIXED, ["s", ["nothing-connected", "adapter-only", "adapter-and-pack", ""], True]
    )
    assert (bare["who"], bare["missed"], bare["end"], bare["grade"]) == ([], 0, "mended", 5)
    for one in (live, pack, stays):
        assert (one["who"], one["missed"], one["grade"]) == (["person"], 1, 3)
        assert one["minutes"] == bare["minutes"]  # the fix's own minutes, as the plan charges them
    assert "the adapter in" in live["text"]
    assert "the adapter and the pack in" in pack["text"]
    assert "can catch fire" in pack["text"]
    assert stays["text"] == live["text"]


def test_a_look_that_means_nothing_is_misread_and_slips_from_no_probe(study):
    # The share of readings that mean nothing holds for looks, too: `a(name) = 1/K` of the diagnosis.
    said = study.evaluate(
        """() => {
            const { benchBook: book, studyFamily: deck } = benchlore;
            const family = benchlore.benchFamilies[deck.family];
            const job = study.job.begin(book, family, deck.meter, "pack-not-seen", "s");
            return Object.keys(deck.measures).map(measure => [
                family.measurements[measure].links.unit === null,
                study.debriefView.blundered(job, {measure, blunder: true}, 2)]);
        }"""
    )
    assert {seen for seen, _ in said} == {True, False}
    for seen, text in said:
        assert ("probe" in text) != seen
        assert ("misread" in text) == seen
        assert "step 2" in text


def test_every_right_set_up_is_right_and_every_card_has_a_right_answer(study):
    wrong = study.evaluate((ROOT / "tests/study/cards.js").read_text(encoding="utf-8"))
    assert wrong == []


def test_a_fault_is_weighed_by_all_that_is_known_of_its_reading(study):
    said = study.evaluate(
        """() => {
            const {benchBook: book, benchFamilies, studyFamily: deck} = benchlore;
            const family = benchFamilies[deck.family];
            const one = benchlore.cases.caseOf(book, family, "", deck.meter);
            const context = {book, family, deck, one};
            const found = {};
            for (let n = 0; n < 60; n += 1) for (const name of ["absent", "normal"]) {
                const card = deck.cards.find(one => one.id === "means/pack-data-volts/" + name);
                if (!card) continue;
                const asked = study.questions.ask(context, card, "s" + n);
                const {parts} = study.questions.mark(context, asked, {sure: "sure"});
                asked.faults.forEach((one, at) => {
                    const part = parts[parts.length - asked.faults.length + at];
                    found[card.outcome + " " + one.fault] = [part.truth, part.why];
                });
            }
            return found;
        }"""
    )
    assert len(said) > 5
    for key, (truth, why) in said.items():
        outcome, fault = key.split(" ")
        record = BOOK.faults[fault]
        known = record.reads["pack-data-volts"]
        p = known.get(outcome, 0)
        assert truth == ("fits" if p >= 0.5 else "ruled out"), key
        stated = any(e.measure == "pack-data-volts" for e in record.test_points)
        assert why.startswith("Its record expects: " if stated else "The circuit predicts: "), key
        for name, share in known.items():
            assert (name.replace("-", " ") in why) == (share > 0), key


def test_marks_become_grades(study):
    grade = """answer => {
        const {benchBook: book, benchFamilies, studyFamily: deck} = benchlore;
        const family = benchFamilies[deck.family];
        const context = {book, family, deck, one: benchlore.cases.caseOf(book, family, "", deck.meter)};
        const card = deck.cards.find(card => card.id === "setup/main-rail-adapter");
        return study.questions.mark(context, study.questions.ask(context, card, "s"), answer).grade;
    }"""
    right = {
        "state": "adapter-only",
        "mode": "dc-volts",
        "leads": "black on ground, red on the point",
        "unplugged": [],
        "guards": ["mains-adapter", "probe-slip", "static", "burn"],
    }
    nothing = {"leads": "x", "unplugged": ["E7"], "guards": []}
    grades = [
        study.evaluate(grade, answer)
        for answer in (
            {"sure": "sure", "choice": right},
            {"sure": "fairly", "choice": right},
            {"sure": "guess", "choice": right},
            {"sure": "sure", "choice": {**right, "state": "pack-only"}},
            {"sure": "sure", "choice": nothing},
            {"sure": "guess", "unknown": True},
        )
    ]
    assert grades == [5, 4, 3, 2, 1, 0]


def played_record(study: Page) -> dict[str, Any]:
    """A progress file of some answers, jobs and an open session."""
    text = study.evaluate((ROOT / "tests/study/record.js").read_text(encoding="utf-8"))
    record: dict[str, Any] = json.loads(text)
    return record


def parsed(study: Page, text: str) -> Any:
    """What a file's text is taken for: its families, or the reason why it is refused."""
    return study.evaluate(
        "text => { try { return study.progress.parse(text).families; } catch (e) { return e.message; } }",
        text,
    )


def test_a_progress_file_follows_its_schema_and_comes_back_whole(study):
    record = played_record(study)
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.validate(record, SCHEMA)
    assert parsed(study, json.dumps(record)) == record["families"]


def damaged(record: dict[str, Any], *path: Any, value: Any) -> str:
    copy = json.loads(json.dumps(record))
    place = copy
    for step in path[:-1]:
        place = place[step]
    if value is None:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return json.dumps(copy)


def test_damaged_and_foreign_files_are_refused_with_a_reason(study):
    record = played_record(study)
    one, session = ("families", FAMILY), ("families", FAMILY, "session")
    card = (*one, "cards", "reads/main-rail-adapter")
    cases: list[tuple[str, str]] = [
        ("", "empty"),
        ("{", "not JSON, or it is cut short"),
        (json.dumps(record)[:-40], "not JSON, or it is cut short"),
        ("[]", "not an object"),
        ('{"format": "benchlore-job"}', "not a study progress file"),
        (damaged(record, "version", value=2), "form 2"),
        (damaged(record, "trainee", value=7), "trainee"),
        (damaged(record, "trainee", value="x" * 300), "longer than 200"),
        (damaged(record, *one, "cards", value=[]), "cards' is not an object"),
        (damaged(record, *one, "cards", "__proto__", value={}), "must not be '__proto__'"),
        (damaged(record, "families", "__proto__", value={}), "must not be '__proto__'"),
        (damaged(record, *card, "ease", value=12), "is 12, less than 130"),
        (damaged(record, *card, "ease", value=None), "ease' is missing"),
        (damaged(record, *card, "due", value=1.5), "is not a whole number"),
        (damaged(record, *card, "due", value=-1), "is -1, less than 0"),
        (damaged(record, *card, "again", value="yes"), "not true or false"),
        (
            damaged(record, *one, "jobs", 0, "end", value="lost"),
            "is 'lost', not 'mended' or 'escalated' or 'came-back'",
        ),
        (damaged(record, *session, "exercise", value="quiz"), "is 'quiz', not 'path' or"),
        (damaged(record, *session, "cards", value=[]), "has fewer than 1 entries"),
        (damaged(record, *session, "events", 0, "do", value="smash"), "unknown kind 'smash'"),
        (damaged(record, *session, "events", 0, "unplugged", value="E7"), "not a list"),
        (
            damaged(record, *session, "answers", 0, "sure", value="very"),
            "is 'very', not 'sure' or 'fairly' or 'guess'",
        ),
    ]
    for text, reason in cases:
        said = parsed(study, text)
        assert isinstance(said, str), text[:200]
        assert reason in said
        if reason.startswith(
            (
                "outside",
                "ends",
                "unknown",
                "not a list",
                "is 'very', not 'sure' or 'fairly' or 'guess'",
                "ease",
            )
        ):
            assert not jsonschema.Draft202012Validator(SCHEMA).is_valid(json.loads(text))


def test_two_windows_become_one_record(study):
    found = study.evaluate(
        """() => {
            const {answered, merged, empty} = study.progress;
            const base = answered(empty(), "a", 5, 100);
            const mine = answered(base, "b", 5, 101), other = answered(base, "a", 1, 101);
            const both = merged(mine, other);
            return [Object.keys(both.cards).sort(), both.cards.a, other.cards.a];
        }"""
    )
    assert found[0] == ["a", "b"]
    assert found[1] == found[2]


def test_the_debriefs_average_is_that_of_the_plan_on_the_symptoms_page(study):
    """The numbers come with the data: the page computes no plan of its own."""
    found = study.evaluate(
        """symptom => {
            const one = benchlore.studyFamily.symptoms.find(one => one.id === symptom);
            return [one.expected, one.guess];
        }""",
        "pen-not-charging",
    )
    made = plan(make_case(BOOK, FAMILY), "pen-not-charging")
    assert found == pytest.approx([made.expected, made.guess.expected], rel=1e-9)


def test_a_slip_of_the_unit_offers_what_was_meant_as_a_button(chromium: Browser, file_url):
    """A choice fills its field, and the answer that follows is right."""
    context = chromium.new_context()
    page = context.new_page()
    card = "exercise=reads&seed=S33D&cards=reads%2Fmain-rail-adapter&typed=1"
    page.goto(file_url(f"study/{FAMILY}.html") + "#" + card)
    page.fill("#typed-from", "8.35 mV")
    page.fill("#typed-to", "8.45")
    page.click("#send")
    assert "would be healthy with another prefix" in page.inner_text("#from-refusal")
    assert page.get_attribute("#typed-from", "aria-invalid") == "true"
    page.click("#from-refusal-2")
    assert page.input_value("#typed-from") == "8.350\u00a0V"
    page.click("#send")
    page.wait_for_selector("#next")
    assert page.inner_text("#question").strip() == "Right"
    assert page.evaluate("benchlore.study.page.settled().then(() => true)")
    context.close()
