"""What a typed or chosen answer is worth, asked of the page's own scripts."""

from __future__ import annotations

import math

import pytest

from tests.study.scripts import FAMILY, run

# Healthy 8.35 to 8.45 V; a fault reads 8.10 to 8.25 V, another over 8.56 V.
RANGE = "main-rail-adapter"
MARK = """
const asked = measure => study.questions.ask(context, deck.cards.find(c => c.id === "reads/" + measure), "s");
const right = (measure, from, to) =>
    study.questions.mark(context, asked(measure), {sure: "sure", from, to}).right;
"""
GIVE = """
const page = {context, drafts: given.drafts, act: {draft() {}}, refusals: {}};
const card = deck.cards.find(one => one.id === given.card);
const asked = study.questions.ask(context, card, "s");
const answer = study.exercises[card.kind].answer(page, asked, {typed: true, answers: []});
return answer.refusal ? {key: answer.key, focus: answer.focus, choices: [], ...answer.refusal} : answer;
"""


@pytest.mark.parametrize(
    ("from_", "to", "right"),
    [
        ("8.35", "8.45", True),
        ("8.35 V", "8450 mV", True),
        ("8,35", "8,45", True),
        ("8.31", "8.49", True),  # within half the gap on both sides
        ("8.27", "8.45", False),  # past the middle of 8.20 and 8.35
        ("8.35", "8.52", False),  # past the middle of 8.45 and 8.56
        ("7.95", "8.85", False),  # 5 % off, and across two faults
        ("8.10", "8.25", False),
        ("8.41", "8.45", False),  # past the middle of the range itself
        ("", "8.45", False),
        ("8.35", "", False),
        ("8.35", "OL", False),
    ],
)
def test_a_typed_range_is_right_up_to_half_the_gap(from_, to, right):
    assert run(MARK + "return right(...given);", [RANGE, from_, to]) is right


def test_no_end_counts_past_half_the_gap_to_the_next_outcome():
    """Over all measurements: ends moved outward in small steps."""
    trouble, asked = run(
        MARK
        + """
        const trouble = [];
        let count = 0;
        for (const [id, m] of Object.entries(family.measurements)) {
            const normal = Object.values(m.outcomes).filter(one => one.normal);
            const card = deck.cards.find(one => one.id === "reads/" + id);
            if (!card || m.links.unit === null || normal.length !== 1) continue;
            const {low, high} = normal[0].range;
            const said = value => value === null ? "" : Number(value.toPrecision(9)) + " " + m.links.unit;
            const others = Object.values(m.outcomes).filter(one => one !== normal[0] && one.range)
                .flatMap(one => [one.range.low, one.range.high]).filter(end => end !== null);
            for (const [end, way] of [[low, -1], [high, 1]]) {
                if (end === null) continue;
                const gaps = others.map(other => (other - end) * way).filter(gap => gap >= 0);
                if (!gaps.length) continue;
                const half = Math.min(...gaps) / 2;
                count += 1;
                for (let n = 0; n <= 60; n += 1) {
                    const moved = end + way * (half * n / 20 + Math.abs(end) * n / 6000);
                    const ends = way < 0 ? [said(moved), said(high)] : [said(low), said(moved)];
                    const off = (moved - end) * way;
                    if (right(id, ...ends) && off > half * (1 + 1e-6) + 1e-8 * Math.abs(end))
                        trouble.push([id, ends, half]);
                    if (n === 0 && !right(id, ...ends)) trouble.push([id, ends, "refused"]);
                }
            }
        }
        return [trouble, count];
    """
    )
    assert trouble == []
    assert asked >= 10


@pytest.mark.parametrize(
    ("drafts", "key", "reason", "mend"),
    [
        ({"from": "8.45", "to": "8.35"}, "to", "the range does not rise", "type the smaller value first"),
        (
            {"from": "8.4", "to": "8.4"},
            "to",
            "both ends are the same",
            "type the lower end and the upper end",
        ),
        ({"from": "8.4", "to": "8400 mV"}, "to", "both ends are the same", ""),
        ({"from": "8.35 to 8.45", "to": ""}, "from", "this field takes one end", ""),
        ({"from": "8.35 ohm", "to": "8.45"}, "from", "this is a resistance, in Ω; volts belong here", ""),
        ({"from": "8.35", "to": "a lot"}, "to", "", ""),
        ({"from": "", "to": " "}, "answer", "no range was typed", "type it, or press"),
        ({"from": "8.35 mV", "to": "8.45 V"}, "from", "'8.35 mV' would be healthy with another", "8.350"),
        (
            {"from": "8.35", "to": "8.45 mV"},
            "to",
            "would be healthy with another prefix",
            "once more as it is",
        ),
    ],
)
def test_ends_that_cannot_be_meant_are_asked_back(drafts, key, reason, mend):
    said = run(GIVE, {"card": f"reads/{RANGE}", "drafts": drafts})
    assert said.get("key") == key, said
    assert reason in said["reason"]
    assert mend in said["mend"]
    assert said["focus"] in ("typed-from", "typed-to")


def test_a_range_that_can_be_meant_is_taken():
    assert run(GIVE, {"card": f"reads/{RANGE}", "drafts": {"from": "8.35", "to": "8.45"}}) == {
        "from": "8.35",
        "to": "8.45",
    }


def test_a_slip_of_the_unit_is_asked_once_and_then_counts():
    drafts = {"from": "8.35 mV", "to": "8.45 V"}
    asked = run(GIVE, {"card": f"reads/{RANGE}", "drafts": drafts})
    assert asked["choices"] == ["8.35 mV", "8.350\xa0V"]
    again = run(GIVE, {"card": f"reads/{RANGE}", "drafts": drafts | {"asked-from": "8.35 mV"}})
    assert again == drafts
    assert run(MARK + "return right(...given);", [RANGE, *drafts.values()]) is False
    changed = run(GIVE, {"card": f"reads/{RANGE}", "drafts": {**drafts, "asked-from": "8.4 mV"}})
    assert changed["key"] == "from"


SET_UP = """
const card = deck.cards.find(one => one.id === "setup/main-rail-adapter");
const need = family.measurements[card.measure], more = deck.measures[card.measure];
const choice = guards => ({state: need.state, mode: need.mode, leads: more.leads, unplugged: need.unplugged,
    ceiling: "", guards});
const marked = guards => study.questions.mark(context, study.questions.ask(context, card, "s"),
    {sure: "sure", choice: choice(guards)});
const others = deck.hazards.filter(id => !need.links.hazards.includes(id));
"""


def test_ticking_every_hazard_is_not_right():
    all_, own, one_more, one_less, none = run(
        SET_UP
        + """return [deck.hazards, need.links.hazards, [...need.links.hazards, others[0]],
            need.links.hazards.slice(1), []].map(guards => { const {right, grade, parts} = marked(guards);
            return [right, grade, parts.filter(part => !part.right).map(part => part.name)]; });"""
    )
    assert all_ == [False, 2, ["Hazards"]]
    assert own == [True, 5, []]
    assert one_more == [True, 5, []]  # to be careful costs nothing
    assert one_less == none == [False, 2, ["Hazards"]]


@pytest.mark.parametrize(
    ("card", "drafts", "reason", "focus"),
    [
        ("reads/pack-connector-look", {}, "nothing was picked", "range-0"),
        ("means/main-rail-adapter/default", {}, "no outcome was chosen", "outcome-0"),
        ("means/main-rail-adapter/default", {"outcome": "default"}, "a fault has no answer yet", "fault-0-0"),
        ("setup/main-rail-adapter", {}, "bench state and function are not both chosen", "state-0"),
        ("setup/main-rail-adapter", {"state": "adapter-only"}, "bench state and function", "mode-0"),
    ],
)
def test_what_is_not_chosen_is_asked_for_beside_its_field(card, drafts, reason, focus):
    said = run(GIVE, {"card": card, "drafts": drafts})
    assert reason in said["reason"]
    assert said["mend"].endswith("or press “I don’t know”")
    assert (said["key"], said["focus"]) == ("answer", focus)


def test_only_who_chooses_power_puts_a_barred_board_under_power():
    """What was chosen counts, not what the measurement needs."""
    found = run(
        """
        const job = study.job.begin(book, family, deck.meter, "pack-not-seen", "s");
        const measured = (measure, state) => ({do: "measure", measure, state,
            unplugged: family.measurements[measure].unplugged, guards: deck.hazards});
        // The board's main rail reads shorted.
        const { reading } = study.simulate;
        const shorted = job.one.scales["main-rail-ohms"].bands.findIndex(one => one.outcome === "shorted");
        study.simulate.reading = (one, measure, ...more) => measure === "main-rail-ohms"
            ? {reading: study.simulate.clear(one, measure, shorted, study.random.stream("s")),
                outcome: shorted, blunder: false}
            : reading(one, measure, ...more);
        const begin = measured("main-rail-ohms", "nothing-connected");
        return [["main-rail-adapter", "nothing-connected"], ["main-rail-adapter", "adapter-only"],
            ["core-ohms", "adapter-only"], ["core-ohms", "nothing-connected"]].map(([measure, state]) => {
                const now = study.job.play(job, deck, [begin, measured(measure, state)]);
                return now.entries[1].harms.filter(one => one.what === "power").length;
            });
        """
    )
    assert found == [0, 1, 1, 0]


def test_who_claims_nothing_has_claimed_the_least():
    """An answer sent without a word on how sure one is counts as a guess: grade 3, asked again today."""
    found = run(
        """
        const sent = [];
        // Elements enough to find the form's listener.
        const element = tag => ({tag, kids: [], on: {}, set: {}, append(...kids) { this.kids.push(...kids); },
            setAttribute(name, value) { this.set[name] = value; },
            addEventListener(name, listener) { this.on[name] = listener; }});
        globalThis.Node = function () {};
        Object.defineProperty(globalThis.Node, Symbol.hasInstance, {value: one => Boolean(one && one.kids)});
        globalThis.document = {createElement: element, createElementNS: (_, tag) => element(tag),
            createTextNode: text => text};
        benchlore.site = {revision: () => "", base: () => ""};
        const forms = one =>
            one.kids ? [...(one.tag === "form" ? [one] : []), ...one.kids.flatMap(forms)] : [];
        const card = "means/main-rail-adapter/default";
        const asked = study.questions.ask(context, deck.cards.find(one => one.id === card), "S33D");
        const faults = Object.fromEntries(asked.faults.map((one, n) => ["fault-" + n, one.bearing]));
        for (const sure of [undefined, "fairly"]) {
            const session = {exercise: "means", seed: "S33D", typed: false, day: 1, cards: [card],
                answers: [], events: []};
            const page = {context, day: 1, trainee: "", refusals: {}, asking: "", messages: [],
                progress: {turn: 0, cards: {}, jobs: [], session},
                drafts: {outcome: "default", ...faults, ...(sure ? {sure} : {})},
                act: {answer: answer => sent.push(answer), refuse: (...why) => sent.push(why)}};
            const form = forms(study.cardView.render(page))[0];
            form.on.submit({type: "submit", currentTarget: form, preventDefault() {}});
        }
        return sent.map(answer => [answer.sure, study.questions.mark(context, asked, answer).grade]);
    """
    )
    assert found == [["guess", 3], ["fairly", 4]]
    assert run("return study.schedule.review(null, 3, 100).again") is True


# The pack's data line, compared with a twin that it does not have.
COMPARED = """
const id = "pack-data-junction";
const outcomes = {low: [null, -12], normal: [-10, 10], high: [12, null]};
const own = family.measurements[id];
const one = {...own, compare: {with: "J5_4", within: 10}, links: {...own.links, unit: "%"},
    outcomes: Object.fromEntries(Object.entries(outcomes).map(([name, [low, high]]) =>
        [name, {...Object.values(own.outcomes)[0], id: name, name, normal: name === "normal",
            range: {low, high, text: "", unit: "%"}, words: {range: name}}]))};
family.measurements[id] = one;
context.one = {...context.one, family,
    scales: {...context.one.scales, [id]: benchlore.likelihood.scaleOf(one, context.one.meter)}};
"""


def test_two_readings_that_are_compared_show_a_share_that_they_can_have():
    """From 100 % below the other up, as often in the lower half of an outcome as above, never over-range."""
    low, high, anywhere = run(
        COMPARED
        + """
        const chance = study.random.stream("s", "compared");
        const draw = make => Array.from({length: 2000}, (_, n) => make(n).value);
        const other = context.one.faults.length;
        return [0, 2].map(index => draw(() => study.simulate.ofOutcome(context.one, id, index, chance)))
            .concat([draw(n => study.simulate.reading(context.one, id, other, "s" + n, 0).reading)]);
        """
    )
    assert all(value is not None and -100 <= value <= 1000 for value in (*low, *high, *anywhere))
    for values, middle in ((low, -56), (high, 506)):
        assert sum(value < middle for value in values) == pytest.approx(1000, abs=4 * math.sqrt(500))


def test_the_range_of_a_comparison_is_picked_where_others_are_typed():
    """No field for a reading takes a share of percent: nobody is asked for what is always refused."""
    asked, given = run(
        COMPARED
        + """
        const card = deck.cards.find(one => one.id === "reads/" + id);
        const asked = study.questions.ask(context, card, "s");
        const page = {context, drafts: {}, act: {draft() {}}, refusals: {}};
        const session = {typed: true, answers: []};
        const missing = study.exercises.reads.answer(page, asked, session);
        page.drafts.range = asked.ranges.find(one => one.right).text;
        const answer = study.exercises.reads.answer(page, asked, session);
        return [missing.refusal.reason,
            study.questions.mark(context, asked, {sure: "sure", ...answer}).right];
        """
    )
    assert (asked, given) == ("nothing was picked", True)


def test_the_scripts_that_grade_are_those_of_the_page():
    kinds = run("return [...new Set(deck.cards.map(card => card.kind))]")
    assert set(run("return Object.keys(study.exercises)")) == set(kinds) - {"job"}
    assert run("return deck.family") == FAMILY
