"""What people type finds its page, in the search box and at the intake, by the page's own scripts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tests.search.queries import queries, scored
from tests.search.scripts import run, searched, taken_in

LIST = queries(Path(__file__).parents[1] / "queries.yaml")


def test_what_people_type_finds_its_page(book):
    score = scored(book, LIST)
    assert score.first >= 0.95 * score.asked, str(score)
    assert score.among == score.asked, str(score)


def test_words_of_other_languages_disturb_none_of_the_books_own(book):
    """What a book of one language finds in place, it finds there with three more."""
    alone = replace(
        book, symptoms={id_: replace(symptom, said_in={}) for id_, symptom in book.symptoms.items()}
    )
    asked = [(query["typed"], query.get("board", "")) for query in LIST]
    found = 0
    for query, (typed, _), before, after in zip(
        LIST, asked, searched(alone, asked), searched(book, asked), strict=True
    ):
        wanted = query.get("first") or query["among"]
        if wanted in before["paths"][:1]:
            found += 1
            assert after["paths"][:1] == before["paths"][:1], typed
    assert 80 < found < len(LIST)


def test_what_is_said_in_another_language_says_which_it_is(book):
    program = """return given.map((text) => {
        const [{ language, detail }] = engine.answer(text).results;
        return [language, detail];
    });"""
    found = run(book, program, ["laedt nicht mehr", "no enciende", "won't charge"])
    assert found[0] == ["de", "Akku lädt nicht mehr"]
    assert found[1][0] == "es"
    assert found[2][0] == ""


def test_the_trades_words_find_what_the_records_call_otherwise(book):
    found = searched(
        book, [(typed, "siskin-12") for typed in ("kbc", "sda", "ipa", "reball", "blown inlet fuse")]
    )
    assert [answer["paths"][0] for answer in found] == [
        "siskin-12/parts/U30.html",
        "siskin-12/nets/PACK_DATA.html",
        "techniques/thermal-search.html",
        "techniques/many-ball-replacement.html",
        "siskin-12/inlet-fuse-open.html",
    ]


def test_what_tells_nothing_is_left_out(book):
    """Phrases of `words.yaml` without a meaning, and how something happens; alone, they are looked up."""
    program = "return given.map((text) => engine.otherwise(text));"
    assert run(book, program, ["laptop dead as a doornail", "laptop"]) == [["dead"], []]
    asked = [("wont charge", "siskin-12"), ("laptop randomly wont charge", "siskin-12")]
    for answers in (searched(book, asked), taken_in(book, asked)):
        plain, wordy = answers
        assert wordy["known"]
        assert wordy["paths"][0] == plain["paths"][0]


def test_a_word_that_the_book_has_is_no_typo(book):
    """`code` is one letter from CORE, and `code 0.02` asks for no reading of it."""
    program = """return given.map((text) => [engine.knows(text),
        readings.find(`${text} 0.02`, { family: "siskin-12" }).map(({ path }) => path)]);"""
    (code, found), (corf, meant) = run(book, program, ["code", "corf"])
    assert code
    assert not any("/CORE" in path for path in found)
    assert not corf
    assert any("/CORE" in path for path in meant)


def test_a_number_among_words_of_another_thing_is_no_reading(book):
    asked = [("clock is back to 2001 every boot", "siskin-12"), ("pack data line reads 0.007", "siskin-12")]
    clock, data = searched(book, asked)
    assert not any("#measure" in path for path in clock["paths"][:1])
    assert data["paths"][0].startswith("siskin-12/nets/PACK_DATA.html")


def test_a_rail_is_found_by_its_voltage(book):
    asked = [
        ("3.3v rail 0.9", "siskin-12"),
        ("3,3V 0,9V", "siskin-12"),
        ("3v3 missing", "siskin-12"),
        ("3.3v rail", "siskin-12"),
    ]
    for (typed, _), answer in zip(asked, searched(book, asked), strict=True):
        assert answer["paths"][0].startswith("siskin-12/nets/LOGIC_3V3.html"), typed


def test_words_of_danger_stand_first_in_the_search_and_at_the_intake(book):
    asked = [("swollen battery", "siskin-12"), ("it smells burnt now", "siskin-12"), ("got wet", "siskin-12")]
    for answers in (searched(book, asked), taken_in(book, asked)):
        assert [answer["paths"][0] for answer in answers] == ["hazards/lithium-pack.html"] * 3
    (mains,) = searched(book, [("mains lead broken", "")])
    assert mains["paths"][0] == "hazards/mains-adapter.html"
    (rail,) = searched(book, [("main", "siskin-12")])
    assert rail["paths"][0] == "siskin-12/nets/MAIN.html"


def test_what_the_book_does_not_know_is_said(book):
    unknown = ("camera dead", "hinge cracked", "vram", "fingerprint reader broken", "printer jams")
    for answers in (
        searched(book, [(typed, "siskin-12") for typed in unknown]),
        taken_in(book, [(typed, "siskin-12") for typed in unknown]),
    ):
        assert not any(answer["known"] for answer in answers)


def test_a_board_is_not_said_to_do_what_none_of_its_faults_does(book):
    """Touch is another board's symptom: with the filter on, it is not in the book, as at the intake."""
    asked = [("touch does not react", "siskin-12")]
    for answers in (searched(book, asked), taken_in(book, asked)):
        assert "symptoms/touch-dead.html" not in answers[0]["paths"]
    (everywhere,) = searched(book, [("touch does not react", "")])
    assert everywhere["paths"][0] == "symptoms/touch-dead.html"


def test_what_a_board_lacks_does_not_fail_on_it(book):
    """That something is dead is a symptom of the board; that its touch panel is, another board's."""
    program = """const options = { kind: "symptom", keys: ["no-power"] };
    return given.map((text) => engine.answer(text, options).known);"""
    assert run(book, program, ["completely dead", "touch dead"]) == [True, False]


def test_a_net_is_called_by_its_words_in_any_order(book):
    """Beside CORE another core rail: `core gfx` names that alone."""
    program = """
    const core = benchlore.searchReadings.measurements.find((row) => row[1] === "core-ohms");
    const more = [core[0], "gfx-core-ohms", "GFX_CORE", "C99", ...core.slice(4)];
    const all = { ...benchlore.searchReadings, measurements: [core, more] };
    const two = benchlore.searchReading.open(all, engine);
    return given.map((text) => two.find(text, { family: "siskin-12" }).map(({ path }) => path));"""
    for found in run(book, program, ["gfx core 15 ohm", "core gfx 15 ohm", "core rail of gfx 15 ohm"]):
        assert found
        assert all("/GFX_CORE.html#" in path for path in found), found


def test_a_name_of_several_words_is_meant_as_a_whole(book):
    """`inlet fuse` is F1 and no longer the net INLET; a hyphen of the name may be typed, or not."""
    named = {"inlet fuse tray": "F1", "main-rail capacitor tray": "C55", "mainrail capacitor tray": "C55"}
    found = searched(book, [(typed, "siskin-12") for typed in named])
    for (typed, part), answer in zip(named.items(), found, strict=True):
        assert answer["paths"][0] == f"siskin-12/parts/{part}.html", typed
    (net,) = searched(book, [("inlet tray", "siskin-12")])
    assert net["paths"][0] == "siskin-12/nets/INLET.html"


def test_the_faults_of_a_part_stand_before_the_net_that_its_name_holds(book):
    """`adapter inlet` is J1: its cracked joint comes before the nets ADAPTER and INLET."""
    asked = {"adapter inlet": ("J1", "inlet-jack-cracked"), "inlet fuse holder": ("F1", "inlet-fuse-open")}
    found = searched(book, [(typed, "siskin-12") for typed in asked])
    for (typed, (part, fault)), answer in zip(asked.items(), found, strict=True):
        wanted = [f"siskin-12/parts/{part}.html", f"siskin-12/{fault}.html"]
        assert answer["paths"][:2] == wanted, typed


def test_search_and_intake_order_the_symptoms_of_a_board_alike(book):
    shown = run(
        book, "return benchlore.benchBook.families.find(({ id }) => id === 'siskin-12').symptoms;", None
    )
    known = {f"symptoms/{id_}.html" for id_ in shown}
    asked = [
        (query["typed"], "siskin-12") for query in LIST if query.get("first", "").startswith("symptoms/")
    ]
    for (typed, _), box, intake in zip(asked, searched(book, asked), taken_in(book, asked), strict=True):
        symptoms = [path for path in box["paths"] if path in known]
        offered = [path for path in intake["paths"] if path in known]
        assert not symptoms or symptoms[0] == offered[0], typed
