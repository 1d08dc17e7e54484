"""Whole sessions of every exercise in both browsers, from disk: nothing that was done is lost."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.browser.both import BROWSERS, hands_of

FAMILY = "siskin-12"
SYMPTOM = "pen-not-charging"


@pytest.fixture(params=BROWSERS)
def trainee(request: pytest.FixtureRequest, file_url: Any) -> Any:
    """Somebody at the study page for the first time, once in each browser."""
    found = hands_of(request)
    found.goto(file_url(f"study/{FAMILY}.html"))
    found.wait("document.getElementById('begin-path') !== null")
    return found


def text(trainee: Any, selector: str) -> str:
    return str(trainee.evaluate("s => document.querySelector(s)?.innerText ?? ''", selector))


def facts(trainee: Any) -> str:
    return text(trainee, ".bar-facts")


def choose(trainee: Any, **fields: str | list[str]) -> None:
    """Choose radios and ticks by name and value, and selects by id, as a hand would."""
    trainee.evaluate(
        """fields => {
            for (const [name, values] of Object.entries(fields)) for (const value of [values].flat()) {
                const select = document.querySelector("select#" + name);
                if (select) {
                    select.value = value;
                    select.dispatchEvent(new Event("change", {bubbles: true}));
                    continue;
                }
                const all = [...document.querySelectorAll(`input[name="${name}"]`)];
                const field = all.find(one => one.value === value);
                if (!field) throw new Error(`${name} does not offer ${value}: ${all.map(one => one.value)}`);
                field.click();
            }
        }""",
        fields,
    )


# The right answer of the card that is asked, as the fields of its form.
RIGHT = """() => {
    const {benchBook: book, benchFamilies, studyFamily: deck, study} = benchlore;
    const family = benchFamilies[deck.family], named = new URLSearchParams(location.hash.slice(1));
    const one = benchlore.cases.caseOf(book, family, "", deck.meter);
    const at = Number(document.querySelector(".bar-facts").innerText.match(/card (\\d+)/)[1]) - 1;
    const card = deck.cards.find(card => card.id === named.get("cards").split(" ")[at]);
    const asked = study.questions.ask({book, family, deck, one}, card, named.get("seed"));
    const need = family.measurements[card.measure], more = deck.measures[card.measure];
    if (card.kind === "reads") return {range: asked.ranges.find(range => range.right).text};
    if (card.kind === "means") return {
        ...(asked.outcomes.length ? {outcome: asked.doubt ? "undecided" : card.outcome} : {}),
        ...Object.fromEntries(asked.faults.map((fault, n) => ["fault-" + n, fault.bearing]))};
    return {state: need.state, mode: need.mode, unplugged: need.unplugged, guards: need.links.hazards,
        ...(more.leads ? {leads: more.leads} : {}), ...(need.inject ? {ceiling: more.ceilings[0].text} : {})};
}"""


def card_session(trainee: Any, exercise: str) -> None:
    """One right answer, one "I don't know", a reload in the middle, and on to the end."""
    trainee.click(f"#begin-{exercise}")
    first = facts(trainee)
    assert "card 1 of 8" in first
    seed = first.rsplit(" ", 1)[1]
    choose(trainee, **trainee.evaluate(RIGHT), sure="sure")
    trainee.click("#send")
    assert text(trainee, "#question") == "Right"
    trainee.click("#next")
    trainee.click("#unknown")
    assert text(trainee, "#question") == "This is the answer"
    assert text(trainee, ".to-record a")
    trainee.reload()
    trainee.wait("document.getElementById('unknown') !== null")
    assert "card 3 of 8" in facts(trainee)
    assert facts(trainee).endswith(f"seed {seed}")
    trainee.evaluate(
        """() => { for (let n = 0; n < 6; n += 1) {
            document.getElementById("unknown").click(); document.getElementById("next").click(); } }"""
    )
    assert text(trainee, "#question") == "Session closed: 1 of 8 right"
    trainee.click("#home")


def measured(trainee: Any, measure: str) -> None:
    """Set the bench up rightly, guard against every hazard, and measure."""
    choose(trainee, measure=measure)
    need = trainee.evaluate("m => benchlore.benchFamilies['siskin-12'].measurements[m]", measure)
    offered = trainee.evaluate("() => [...document.querySelectorAll('[name=guards]')].map(one => one.value)")
    guards = [hazard for hazard in need["links"]["hazards"] if hazard in offered]
    choose(trainee, state=need["state"], unplugged=need["unplugged"], guards=guards)
    trainee.click("#send")


def job_session(trainee: Any) -> None:
    """Measure, reload, name the hidden fault, fix and confirm it; the debrief stands beside the plan."""
    trainee.click("#begin-job")
    named = trainee.evaluate("() => Object.fromEntries(new URLSearchParams(location.hash.slice(1)))")
    hidden = trainee.evaluate(
        """named => {
            const {benchBook: book, benchFamilies, studyFamily: deck, study} = benchlore;
            const family = benchFamilies[deck.family], symptom = named.cards.slice(4);
            const job = study.job.begin(book, family, deck.meter, symptom, named.seed);
            const fault = family.faults[job.one.faults[job.hidden]];
            return fault ? {id: fault.id, action: fault.fix.words.action, hazards: fault.links.hazards,
                proof: Object.keys(fault.fix.confirm)[0]} : null;
        }""",
        named,
    )
    measured(trainee, "main-rail-adapter")
    assert text(trainee, ".meter-shows").startswith("The meter shows")
    before = text(trainee, ".job-desk")
    trainee.reload()
    trainee.wait("document.getElementById('send') !== null")
    assert text(trainee, "#minutes") in before
    assert "Done so far: 1" in text(trainee, "#entries-title").replace("\u00a0", " ")
    if hidden is None:  # the seed hides a fault that is not in the book
        trainee.click("#do-escalate")
        trainee.click("#send")
    else:
        trainee.click("#do-fix")
        offered = trainee.evaluate("() => [...document.querySelectorAll('[name=guards]')].map(o => o.value)")
        guards = [hazard for hazard in hidden["hazards"] if hazard in offered]
        choose(trainee, fault=hidden["id"], action=hidden["action"], guards=guards)
        choose(trainee, **{"fix-state": "nothing-connected"})
        trainee.click("#send")
        choose(trainee, proof=hidden["proof"])
        trainee.click("#send")
        trainee.click("#proved")
    trainee.wait("document.querySelector('.debrief') !== null")
    debrief = text(trainee, ".debrief")
    assert "Your path" in debrief
    assert "The plan’s path on this same board" in debrief
    assert "No safety step was missed." in debrief
    trainee.reload()
    trainee.wait("document.querySelector('.debrief') !== null")
    assert text(trainee, ".debrief") == debrief
    trainee.click("#home")


def without_turns(record: dict[str, Any]) -> dict[str, Any]:
    """A file without what counts the changes."""
    families = {name: {**one, "turn": 0} for name, one in record["families"].items()}
    return {**record, "families": families}


def test_sessions_reload_save_wipe_and_load(trainee, tmp_path):
    for exercise in ("reads", "means", "setup"):
        card_session(trainee, exercise)
    job_session(trainee)
    trainee.evaluate(
        """() => { const name = document.getElementById("trainee");
            name.value = "Ada"; name.dispatchEvent(new Event("change")); }"""
    )
    trainee.click("#begin-path")  # a session stays open in the file
    trainee.click("#unknown")
    trainee.evaluate("() => benchlore.study.page.settled()")
    counts = trainee.evaluate("() => benchlore.store.get('study/progress/siskin-12')")
    assert (
        len(counts["cards"]) == 25
    )  # eight of each exercise with cards, one job; the path begins with a wrong one
    trainee.click("#leave")
    whole = trainee.saved()
    record = json.loads(whole)
    assert record["trainee"] == "Ada"
    assert len(record["families"][FAMILY]["jobs"]) == 1

    # A damaged file is refused with a reason, and everything stays.
    broken = tmp_path / "broken.json"
    broken.write_text(whole[: len(whole) // 2], encoding="utf-8")
    trainee.load(broken)
    trainee.wait("document.querySelector('[role=alert]') !== null")
    assert "refused; your progress stays as it was" in text(trainee, "[role=alert]")
    assert "cut short" in text(trainee, "[role=alert]")
    assert without_turns(json.loads(trainee.saved())) == without_turns(record)

    # Wiping asks first, and wipes.
    trainee.click("#wipe")
    assert "Wipe the progress" in text(trainee, "#wipe-question")
    trainee.click("#wipe-no")
    assert without_turns(json.loads(trainee.saved())) == without_turns(record)
    trainee.click("#wipe")
    trainee.click("#wipe-yes")
    trainee.wait(
        "document.querySelector('.message') !== null && document.getElementById('wipe-yes') === null"
    )
    trainee.reload()
    trainee.wait("document.getElementById('begin-path') !== null")
    assert json.loads(trainee.saved())["families"] == {
        FAMILY: {"turn": 0, "cards": {}, "jobs": [], "session": None}
    }

    # The file brings everything back, also after the page is opened anew.
    good = tmp_path / "progress.json"
    good.write_text(whole, encoding="utf-8")
    trainee.load(good)
    trainee.wait("document.getElementById('trainee')?.value === 'Ada'")
    trainee.reload()
    trainee.wait("document.getElementById('trainee')?.value === 'Ada'")
    assert without_turns(json.loads(trainee.saved())) == without_turns(record)

    # Over other progress it asks, and keeps what is here unless told to replace it.
    other = json.loads(whole)
    other["trainee"], other["families"][FAMILY]["cards"] = "Bo", {}
    good.write_text(json.dumps(other), encoding="utf-8")
    trainee.load(good)
    trainee.wait("document.getElementById('load-no') !== null")
    trainee.click("#load-no")
    assert without_turns(json.loads(trainee.saved())) == without_turns(record)
    trainee.load(good)
    trainee.wait("document.getElementById('load-yes') !== null")
    trainee.click("#load-yes")
    trainee.wait("document.getElementById('trainee')?.value === 'Bo'")
    assert without_turns(json.loads(trainee.saved())) == without_turns(other)
