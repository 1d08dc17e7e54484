"""What a trial of the first edition found wrong on screens, on paper and in the search, measured on the site.

    python tools/benchmarks/screens.py [--site site] [--only WORD]

One row a finding: what it was on `fd17a55`, as the trial wrote it down, and what it is now. Pages are opened
from disk in Chromium, as a double click opens them. Needs the built site of the book in `faults/`; the row of
the searches runs the site's scripts by Node.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tools")]

import browsers  # noqa: E402
from benchmarks import jobs  # noqa: E402
from tests.books import shipped  # noqa: E402
from tests.browser.checks import AXE, SMALL_TEXT, sideways  # noqa: E402
from tests.search.queries import queries, scored  # noqa: E402

PHONE, SCREEN, OLD = (360, 800), (1280, 900), (1366, 768)
FAMILY = "petrel-13"
SYMPTOMS = ("pack-not-seen", "no-power", "adapter-not-accepted", "backlight-dark", "runs-hot")
# One page of each kind, as long as they come.
KINDS = (
    "index.html",
    "look-up.html",
    "learn.html",
    "families.html",
    "faults.html",
    "nets.html",
    "parts.html",
    "petrel-13/index.html",
    "petrel-13/main-rail-capacitor-shorted.html",
    "petrel-13/nets/MAIN.html",
    "petrel-13/symptoms/no-power.html",
    "symptoms/index.html",
    "symptoms/no-power.html",
    "techniques/index.html",
    "techniques/current-limited-injection.html",
    "hazards/index.html",
    "hazards/lithium-pack.html",
    "meters/index.html",
    "states/index.html",
    "calculators.html",
    "calibration.html",
    "coverage.html",
    "contribute/index.html",
    "contribute/fields.html",
    "contribute/rules.html",
    "contribute/write.html",
    "using.html",
    "commands.html",
    "walk.html",
    "petrel-13/walk.html",
    "study/petrel-13.html",
    "bench.html",
)


@dataclass(frozen=True)
class Site:
    """The built site, and a browser for it."""

    root: Path
    browser: Browser

    @contextmanager
    def tab(self, size: tuple[int, int] = OLD) -> Iterator[tuple[Page, list[str]]]:
        """A page with stores of its own, and the errors that it meets."""
        context = self.browser.new_context(
            viewport={"width": size[0], "height": size[1]}, has_touch=size[0] < 600
        )
        errors: list[str] = []
        context.on("weberror", lambda error: errors.append(str(error.error)))
        yield context.new_page(), errors
        context.close()

    def open(self, page: Page, path: str) -> None:
        """Open a page, and wait for what its scripts show first."""
        page.goto("about:blank")
        page.goto(f"{self.root.as_uri()}/{path}")
        if path.partition("#")[0] == "bench.html":
            page.evaluate("benchlore.bench.ready.then(() => true)")

    def pages(self) -> list[Path]:
        """Every page of the site."""
        return sorted(self.root.rglob("*.html"))

    def cards(self) -> list[Path]:
        """The pages of faults."""
        return [page for page in self.pages() if b'class="card card-fault' in page.read_bytes()]


def job(symptom: str, revision: str = "A") -> str:
    """The address of a job on the bench page."""
    chosen = f"&revision={revision}" if revision else ""
    return f"bench.html#v=1&family={FAMILY}{chosen}&symptom={symptom}"


def top(page: Page, selector: str) -> int:
    """The y of the first of some elements, in the window; -1 where there is none."""
    found: int = page.evaluate(
        """selector => {
            const one = [...document.querySelectorAll(selector)].find(one => one.getClientRects().length);
            return one ? Math.round(one.getBoundingClientRect().top) : -1;
        }""",
        selector,
    )
    return found


IN_SIGHT = """selectors => Object.entries(selectors).filter(([, selector]) => {
    const boxes = [...document.querySelectorAll(selector)].map(one => one.getBoundingClientRect());
    return !boxes.some(box => box.height && box.top >= 0 && box.bottom <= innerHeight);
}).map(([name]) => name)"""
FIRST = {
    "title": "#next-title",
    "point, function, state and healthy reading": "#reading-asked",
    "field": "#reading",
    "hazard": "#next > .hazards .hazard, .pinned .hazard-top",
}


def start(site: Site) -> str:
    """What begins a job, on an empty page."""
    found = []
    for size in (SCREEN, PHONE):
        with site.tab(size) as (page, _):
            site.open(page, "bench.html")
            found.append(f"{top(page, '#family-' + FAMILY)}")
    return f"its first question at y = {found[0]} and {found[1]}"


def kept_job(site: Site) -> str:
    """Whether revision and job number are asked though an earlier job is kept."""
    revision = number = 0
    with site.tab() as (page, _):
        site.open(page, job(SYMPTOMS[0]))
        page.fill("#label", "1") if page.locator("#label").count() else None
        page.evaluate("benchlore.bench.settled().then(() => true)")
        for symptom in SYMPTOMS:
            site.open(page, job(symptom, ""))
            present = page.evaluate("benchlore.bench.present()")
            revision += present["revision"] == "" and page.locator(".choice-revision").count() > 1
            number += page.locator("#label").count() == 1 and present["label"] == ""
    return f"revision asked {revision} of {len(SYMPTOMS)}, job number {number} of {len(SYMPTOMS)}"


def first_step(site: Site) -> str:
    """What of the first step is out of sight, before and after the standing hazards were read."""
    said = []
    for size in (PHONE, OLD):
        missing: Counter[str] = Counter()
        for symptom in SYMPTOMS:
            with site.tab(size) as (page, _):
                site.open(page, job(symptom))
                page.click("#standing-seen")
                page.wait_for_timeout(60)
                if page.locator("#reading").count():
                    missing.update(page.evaluate(IN_SIGHT, FIRST))
        said.append(f"{size[0]} px: {dict(missing) or 'all in sight'}")
    return "; ".join(said)


# Each measurement with a reading between two outcomes that lie next to each other.
EDGES = """() => {
    const found = [];
    const low = range => range.low ?? -1;
    for (const [id, one] of Object.entries(benchlore.desk.state.family.measurements)) {
        if (one.links.unit === null || one.compare) continue;
        const ends = Object.values(one.outcomes).map(({ range }) => range).sort((a, b) => low(a) - low(b));
        ends.slice(1).forEach((range, n) => {
            const between = (ends[n].high + range.low) / 2;
            if (ends[n].high > 0 && range.low > 0) found.push([id, between.toPrecision(4)]);
        });
    }
    return found;
}"""


def undecided(site: Site) -> str:
    """What the next field and that of the repeated reading are named."""
    with site.tab() as (page, _):
        site.open(page, job(SYMPTOMS[0]))
        page.click("#standing-seen")
        for measure, text in page.evaluate(EDGES):
            page.evaluate("([id, text]) => benchlore.acts.enter(id, text)", [measure, text])
            if page.locator("#again-reading").count() and page.locator("#reading-asked").count():
                again, asked = page.inner_text("label[for=again-reading]"), page.inner_text("#reading-asked")
                return f"two fields, two names: “{again}”, “{asked.splitlines()[0]}”"
            page.evaluate("benchlore.acts.undo()")
    return "no reading of the board is undecided"


def click_after_typing(site: Site) -> str:
    """Whether the press right after the job number is taken."""
    taken = 0
    for symptom in SYMPTOMS[:2]:
        with site.tab() as (page, _):
            site.open(page, job(symptom, ""))
            page.click("#label")
            page.keyboard.type("2041")
            page.click("#revision-A")
            present = page.evaluate("benchlore.bench.present()")
            taken += (present["label"], present["revision"]) == ("2041", "A")
    return f"taken {taken} of 2"


def fixes(site: Site) -> list[str]:
    """The faults of the board whose proof asks for two readings or more, by id."""
    with site.tab() as (page, _):
        site.open(page, job(SYMPTOMS[0]))
        found: list[str] = page.evaluate(
            """() => { const { family } = benchlore.desk.state;
            return Object.values(family.faults).filter(fault => benchlore.cases.proofMeasures(family, fault)
                .filter(id => family.measurements[id].links.unit !== null && !family.measurements[id].compare)
                .length > 1).map(fault => fault.id); }"""
        )
    return found


def enter_in_proof(site: Site) -> str:
    """Enter in the first field of a proof with two."""
    refused, errors = 0, 0
    tried = fixes(site)[:5]
    for fault in tried:
        with site.tab() as (page, met):
            site.open(page, job(SYMPTOMS[0]))
            page.click("#standing-seen")
            page.evaluate("id => benchlore.acts.choose('fix', id)", fault)
            field = page.locator(".proof-one .reading-field").first
            field.fill("1")
            field.press("Enter")
            refused += page.locator(".proof .refusal:visible, .proof [aria-invalid=true]").count()
            errors += len(met)
    return f"{refused} refusals and {errors} errors in {len(tried)} proofs: Enter goes to the next field"


def what_if(site: Site) -> str:
    """`w` after a number."""
    with site.tab() as (page, _):
        site.open(page, job(SYMPTOMS[1]))
        page.click("#standing-seen")
        page.keyboard.type("8.29")
        page.keyboard.press("w")
        title = page.inner_text("#verdict-title")
        return f"field {page.input_value('#reading')!r}, “{title}”"


def question_mark(site: Site) -> str:
    """`?` on every kind of page."""
    silent = []
    with site.tab() as (page, _):
        for path in KINDS:
            if not (site.root / path).exists():
                continue
            site.open(page, path)
            page.wait_for_timeout(150)
            page.keyboard.press("?")
            page.wait_for_timeout(50)
            if not page.locator("dialog[open]").count():
                silent.append(path)
    return f"lists the keys on {len(KINDS) - len(silent)} of {len(KINDS)} kinds of page" + (
        f", not on {silent}" if silent else ""
    )


def number_pad(site: Site) -> str:
    """Keys for what a phone's number pad lacks."""
    typed = {}
    with site.tab(PHONE) as (page, _):
        site.open(page, job(SYMPTOMS[1]))
        page.click("#standing-seen")
        for name in ("milli", "kilo", "OL, over range", "minus"):
            page.fill("#reading", "470")
            page.get_by_role("button", name=name, exact=True).first.click()
            typed[name] = page.input_value("#reading")
    return ", ".join(typed.values())


def scrolls(site: Site) -> str:
    """What scrolls sideways at any width."""
    wide = []
    views = (*KINDS, job(SYMPTOMS[0]), job("runs-hot"), job("no-power", ""))
    with site.tab() as (page, _):
        for path in views:
            site.open(page, path)
            page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
            for width in range(320, 1921, 20):
                page.set_viewport_size({"width": width, "height": 800})
                if sideways(page):
                    wide.append(f"{path} at {width}")
    return f"{len(views)} pages at 81 widths from 320 to 1920: {wide or 'none'}"


def heights(site: Site) -> str:
    """How tall the tallest page of a kind opens on a phone."""
    kinds = {
        "symptom": (4000, [p for p in site.root.glob("symptoms/*.html") if p.name != "index.html"]),
        "symptom on a board": (8000, [*site.root.glob("*/symptoms/*.html")]),
        "family": (8000, [p for p in site.root.glob("*/index.html") if (p.parent / "nets").is_dir()]),
        "fault": (8000, site.cards()),
    }
    said = []
    with site.tab(PHONE) as (page, _):
        for kind, (_most, pages) in kinds.items():
            largest = sorted(pages, key=lambda one: -one.stat().st_size)[:12]
            found = []
            for one in largest:
                site.open(page, one.relative_to(site.root).as_posix())
                page.locator("#scheme:not(.waits)").wait_for()
                found.append((page.evaluate("document.documentElement.scrollHeight"), one.stem))
            tall = max(found)
            said.append(f"{kind} {tall[0]} ({tall[1]})")
    return ", ".join(said)


def plan_begins(site: Site) -> str:
    """Where the plan of a symptom on a board begins, and whether it is folded."""
    said = []
    for size in (OLD, PHONE):
        with site.tab(size) as (page, _):
            places = []
            for symptom in SYMPTOMS:
                site.open(page, f"{FAMILY}/symptoms/{symptom}.html")
                page.locator("#scheme:not(.waits)").wait_for()
                places.append(top(page, ".plan-row"))
            said.append(f"y = {min(places)} to {max(places)} at {size[0]} px")
    return "its first step, open, at " + "; ".join(said)


def danger_pages(site: Site) -> str:
    """On how many pages a screen shows the red word for what stands in every job."""
    panel = r'class="hazard hazard-danger(?! stands| print-only)[^"]*"'
    loud = re.compile(panel + r'[^>]*aria-label="[^"]*adapter')
    shown = [page for page in site.pages() if loud.search(page.read_text(encoding="utf-8"))]
    others = [page for page in shown if page.parent.name not in ("states", "hazards")]
    sheets = [page for page in others if re.search(r"walk-sheet|handout", page.name)]
    return (
        f"{len(shown)} of {len(site.pages())} pages: bench states, the hazard itself, {len(sheets)} printed "
        f"sheets, {len(others) - len(sheets)} others"
    )


REPEATED = """() => {
    const said = [...document.querySelectorAll('#bench .hazard')]
        .filter(one => one.getClientRects().length)
        .flatMap(one => one.innerText.split(/(?<=[.!])\\s/)).map(one => one.trim())
        .filter(one => one.length > 24 && one.endsWith('.'));
    return said.filter((one, n) => said.indexOf(one) !== n);
}"""


class Twice(jobs.Job):
    """A job that notes what of its hazards a screen says twice."""

    def __init__(self, page: Page, way: jobs.Way) -> None:
        super().__init__(page, jobs.Edition(), way, None)
        self.twice: Counter[str] = Counter()

    def look(self, selector: str) -> int | None:
        """As in a job; sentences that hazards have twice are counted."""
        y = super().look(selector)
        self.twice.update(self.page.evaluate(REPEATED))
        return y


def said_twice(site: Site) -> str:
    """Sentences of hazards that a screen of the twelve jobs has more than once."""
    said = []
    for width, height in jobs.SCREENS:
        twice: Counter[str] = Counter()
        for symptom, fault in jobs.JOBS:
            with site.tab((width, height)) as (page, _):
                one = Twice(page, jobs.Way(symptom, fault, width))
                one.work(site.root)
                twice += one.twice
        said.append(f"{sum(twice.values())} in 12 jobs at {width} px")
    return ", ".join(said)


def fix_step(site: Site) -> str:
    """Where the work begins, how much stands before it, and whether the part has its place."""
    said = []
    with site.tab() as (page, _):
        site.open(page, job(SYMPTOMS[0]))
        faults = page.evaluate("Object.keys(benchlore.desk.state.family.faults)")
    for size in (PHONE, OLD):
        tall, work, panels, placed = 0, 0, 0, 0
        with site.tab(size) as (page, _):
            site.open(page, job(SYMPTOMS[0]))
            page.click("#standing-seen")
            for fault in faults:
                page.evaluate("id => benchlore.acts.choose('fix', id)", fault)
                page.wait_for_timeout(30)
                tall = max(tall, page.evaluate("document.getElementById('next').offsetHeight"))
                work = max(work, top(page, ".step-work ol.do > li > span"))
                panels = max(panels, page.locator("#next > .hazards .hazard").count())
                placed += page.locator("#next .locator, #next .where-words").count() > 0
        said.append(
            f"{size[0]} px: {panels} line before, work at y = {work} or higher, card {tall} px or less, "
            f"a place for {placed} of {len(faults)}"
        )
    return "; ".join(said)


def sheet_hazards(site: Site) -> str:
    """Hazards of a fix that the sheet of an open job prints without."""
    missing = shown = 0
    with site.tab() as (page, _):
        for symptom in SYMPTOMS:
            site.open(page, job(symptom))
            page.wait_for_timeout(400)
            found = page.evaluate(
                """() => {
                const { family, assessment } = benchlore.desk.state;
                const row = assessment.ranking.find(one => one.id && !one.out);
                const ids = family.faults[row.id]?.links.hazards || [];
                const text = document.getElementById('bench-sheet').textContent;
                const { hazards } = benchlore.benchBook;
                return [ids.length, ids.filter(id => !text.includes(hazards[id].title)).length];
            }"""
            )
            shown, missing = shown + found[0], missing + found[1]
    return f"{missing} of {shown} hazards left out in {len(SYMPTOMS)} open jobs"


def leads_said(site: Site) -> str:
    """Readings with leads, polarity or a note that a proof asks for without them."""
    asked = without = 0
    with site.tab() as (page, _):
        for nets in sorted(site.root.glob("*/nets")):
            family = nets.parent.name
            site.open(page, f"bench.html#v=1&family={family}&revision=A&symptom=no-power")
            for fault, wanted in page.evaluate(
                """() => { const { family } = benchlore.desk.state;
                const plain = benchlore.dom.plain;
                return Object.values(family.faults).map(fault => [fault.id,
                    benchlore.cases.proofMeasures(family, fault).flatMap(id =>
                        [family.measurements[id].html.leads, family.measurements[id].html.note]
                            .filter(Boolean).map(plain))]); }"""
            ):
                page.evaluate("id => benchlore.acts.choose('fix', id)", fault)
                text = " ".join((page.text_content(".step-read") or "").split())
                asked += len(wanted)
                without += sum(" ".join(one.split()) not in text for one in wanted)
    return f"{without} of {asked} left out in the proofs of all boards"


SKETCHES = re.compile(r'<svg class="locator".*?</svg>', re.DOTALL)
TREES = re.compile(r'<svg class="power-tree".*?</svg>', re.DOTALL)
DRAWINGS = re.compile(r'<svg class="(?:locator|power-tree|strip|reliability)".*?</svg>', re.DOTALL)
CROSSED = """() => {
    const right = box => box.x + box.width, bottom = box => box.y + box.height;
    const meets = (a, b) => a.x < right(b) && b.x < right(a) && a.y < bottom(b) && b.y < bottom(a);
    const holds = (a, b) => a.x <= b.x && a.y <= b.y && right(a) >= right(b) && bottom(a) >= bottom(b);
    // A box is taller than its letters.
    const core = ({ x, y, width, height }) => ({ x, width, y: y + height * 0.2, height: height * 0.6 });
    const count = { line: 0, outline: 0, edge: 0, label: 0, out: 0, labels: 0 };
    for (const svg of document.querySelectorAll('svg')) {
        const texts = [...svg.querySelectorAll('text:not([transform])')].map(text => core(text.getBBox()));
        const view = svg.viewBox.baseVal;
        for (const [n, box] of texts.entries()) {
            count.labels += 1;
            if (box.x < view.x - 1 || right(box) > right(view) + 1) count.out += 1;
            for (const other of texts.slice(n + 1)) if (meets(box, other)) count.label += 1;
            if (!svg.matches('.locator')) continue;
            for (const rect of svg.querySelectorAll('rect.landmark')) {
                const part = rect.getBBox();
                if (meets(box, part) && !holds(part, box)) count.outline += 1;
            }
            const board = svg.querySelector('rect.board').getBBox();
            for (const y of [board.y, bottom(board)]) if (box.y < y && y < bottom(box)) count.edge += 1;
            for (const path of svg.querySelectorAll('path.distance')) {
                const [left, y, end, x, low, high] = path.getAttribute('d').match(/-?[0-9.]+/g).map(Number);
                const across = { x: Math.min(left, end), y, width: Math.abs(end - left), height: 0.1 };
                const down = { x, y: Math.min(low, high), width: 0.1, height: Math.abs(high - low) };
                if (meets(box, across) || meets(box, down)) count.line += 1;
            }
        }
    }
    return count;
}"""
SPACED = "svg text { letter-spacing: 0.12em !important; word-spacing: 0.16em !important; }"


def drawn(site: Site, kind: re.Pattern[str], spaced: bool) -> tuple[int, Counter[str]]:
    """The distinct drawings of the site, and what crosses what on them."""
    texts = [page.read_text(encoding="utf-8") for page in site.pages()]
    found = sorted({svg for text in texts for svg in kind.findall(text)})
    sheets = [sheet.read_text(encoding="utf-8") for sheet in sorted(site.root.glob("assets/**/*.css"))]
    style = "\n".join([*sheets, SPACED] if spaced else sheets)
    count: Counter[str] = Counter()
    with site.tab() as (page, _):
        for n in range(0, len(found), 400):
            body = "".join(found[n : n + 400])
            page.set_content(f"<!doctype html><style>{style}</style><body>{body}</body>")
            page.evaluate("document.fonts.ready.then(() => true)")
            count.update(page.evaluate(CROSSED))
    return len(found), count


def crossed(site: Site) -> str:
    """Labels of sketches over lines, outlines and edges."""
    number, count = drawn(site, SKETCHES, spaced=False)
    said = f"{count['line']}, {count['outline']}, {count['edge']}"
    return f"{said} of {count['labels']} labels on {number} sketches"


def spacing(site: Site) -> str:
    """Labels that meet or leave their drawing with 0.12 em between letters and 0.16 em between words."""
    number, count = drawn(site, DRAWINGS, spaced=True)
    said = f"{count['label']} meet, {count['out']} leave their drawing"
    return f"{said}, of {count['labels']} on {number} drawings"


def markers(site: Site) -> str:
    """Markers of two rows that read as a decimal."""
    marks = Counter(
        name
        for page in site.cards()
        for name in re.findall(r'class="probe-name"[^>]*>([^<]+)<', page.read_text(encoding="utf-8"))
        if re.search(r"\d\D+\d", name)
    )
    commas = sum(n for name, n in marks.items() if "," in name)
    example = next(iter(sorted(marks)), "none of two")
    return f"{commas} with a comma; {sum(marks.values())} such as “{example}”"


def columns(site: Site) -> str:
    """The heads of the power tree's columns."""
    heads = {
        head
        for page in site.pages()
        for tree in TREES.findall(page.read_text(encoding="utf-8"))
        for head in re.findall(r'class="tree-state"[^>]*>([^<]+)<', tree)
    }
    letters = sorted(head for head in heads if len(head) < 3)
    return f"words, such as “{min(heads)}”; letters: {letters or 'none'}"


def paper(site: Site) -> str:
    """The smallest text on paper, and how many sheets a card takes."""
    small: list[str] = []
    sheets: Counter[int] = Counter()
    context = site.browser.new_context(viewport={"width": 726, "height": 1062}, java_script_enabled=False)
    page = context.new_page()
    page.emulate_media(media="print")
    for card in site.cards()[::8]:
        page.goto(card.as_uri())
        small += page.evaluate(SMALL_TEXT, 10.6)
        pdf = page.pdf(prefer_css_page_size=True)
        sheets[len(re.findall(rb"/Type\s*/Page\b", pdf))] += 1
    context.close()
    least = "no text under 8 pt" if not small else f"{len(small)} texts under 8 pt"
    return f"{least}; " + ", ".join(f"{n} cards on {k}" for k, n in sorted(sheets.items()))


def grey(site: Site) -> str:
    """How the signal words differ on paper in grey."""
    with site.tab() as (page, _):
        site.open(page, "petrel-13/main-rail-capacitor-shorted.html")
        page.emulate_media(media="print")
        said = page.evaluate(
            """() => ['danger', 'warning', 'caution', 'notice'].map(word => {
            const panel = document.querySelector('.hazard-' + word);
            if (!panel) return word + ' not there';
            const signal = getComputedStyle(panel.querySelector('.signal'));
            const sign = panel.querySelector('.sign') ? 'with its sign' : 'without a sign';
            const ground = signal.backgroundColor === 'rgba(0, 0, 0, 0)' ? 'no ground' : 'on a ground';
            return [word, getComputedStyle(panel).borderTopWidth + ' frame', ground, sign].join(' ');
        })"""
        )
    return "; ".join(said)


def searches(_: Site) -> str:
    """The written-down searches of the book's list."""
    book = shipped()
    said = []
    for name in ("queries", "queries_untuned", "queries_fresh", "queries_unseen", "queries_unseen_after"):
        path = ROOT / "tests" / "shipped" / f"{name}.yaml"
        if path.exists():
            score = scored(book, queries(path))
            said.append(f"{name} {score.first}/{score.among} of {score.asked}")
    return ", ".join(said)


def landmarks(site: Site) -> str:
    """Pages whose landmarks repeat, by axe."""
    repeated = []
    with site.tab() as (page, _):
        for path in KINDS:
            site.open(page, path)
            page.evaluate(f"() => {{ {AXE} }}")
            found = page.evaluate(
                "axe.run(document, {runOnly: ['landmark-unique', 'landmark-no-duplicate-main', 'region']})"
                ".then(done => done.violations.map(one => one.id))"
            )
            if found:
                repeated.append(f"{path}: {found}")
    return f"{len(repeated)} of {len(KINDS)} kinds of page" + (f": {repeated}" if repeated else "")


def attributes(site: Site) -> str:
    """Attributes that no element of their kind may have."""
    boxes = re.compile(r'<input(?=[^>]*type="(?:radio|checkbox)")[^>]*autocomplete=')
    lists = re.compile(r"<(?:ul|ol|dl)\b[^>]*aria-label=")
    texts = [page.read_text(encoding="utf-8") for page in site.pages()]
    return (
        f"{sum(len(boxes.findall(text)) for text in texts)} boxes with `autocomplete`, "
        f"{sum(len(lists.findall(text)) for text in texts)} lists with `aria-label` on {len(texts)} pages"
    )


ROWS: tuple[tuple[str, str, Callable[[Site], str]], ...] = (
    (
        "start a job: the way on at 1280 x 900, 360 x 800",
        "y = 1368, 2542, below a form in which all is chosen",
        start,
    ),
    ("start with an earlier job kept", "its revision taken in silence 5 of 5, no job number", kept_job),
    ("first step: out of sight", "360 px: point, state, function; 1366 px: the title", first_step),
    ("after an undecided reading", "the next field unnamed, under the last one", undecided),
    (
        "fix: what stands before the work",
        "up to nine panels, work 650 px below, card 4,500 px, no place",
        fix_step,
    ),
    ("red DANGER about the adapter", "141 of 263 pages, three times in a job", danger_pages),
    ("words of a hazard twice on one screen", "not counted", said_twice),
    ("symptom: where its plan begins", "y = 890, on a phone 1,500 px and folded", plan_begins),
    ("heights on a phone, px", "symptom 9,000, family 13,500, fault 5,900", heights),
    ("sheet of an open job", "a fix by injection and hot air without its hazards", sheet_hazards),
    ("leads and notes in a proof", "left out", leads_said),
    ("press right after the job number", "lost 2 of 2", click_after_typing),
    ("Enter in the first field of a proof", "two errors", enter_in_proof),
    ("`w` after a number", "types `8.29w`", what_if),
    ("`?`", "nothing but on the bench page", question_mark),
    ("a phone's number pad: milli, kilo, OL, minus", "cannot be typed", number_pad),
    ("sideways scroll", "from 620 to 740 px", scrolls),
    ("type on paper", "6.3 to 7.5 pt, 18 % of the sheet empty", paper),
    ("signal words in grey", "DANGER and NOTICE alike", grey),
    ("labels crossed by a distance line, an outline, the board's edge", "26, 17, 13 on 31 pages", crossed),
    ("labels with the spacing of WCAG 1.4.12", "run into another", spacing),
    ("markers of two rows", "`2,5` reads as a decimal", markers),
    ("columns of the power tree", "A, B, C, D, beside revisions A and B", columns),
    ("searches in place / among three", "26/30 of 45", searches),
    ("repeated landmarks", "47 pages", landmarks),
    ("invalid attributes", "1,109, `aria-label` on lists", attributes),
)


def main() -> None:
    """Measure, print the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--site", type=Path, default=ROOT / "site")
    parser.add_argument("--only", default="", help="rows that have this word")
    options = parser.parse_args()
    print("| what | fd17a55 | now |\n| --- | --- | --- |", flush=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browsers.find("chromium"))
        site = Site(options.site.resolve(), browser)
        for what, before, measure in ROWS:
            if options.only in what:
                print(f"| {what} | {before} | {measure(site)} |", flush=True)
        browser.close()


if __name__ == "__main__":
    main()
