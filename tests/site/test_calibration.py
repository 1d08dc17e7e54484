"""How good the plans are: simulated jobs against what the plans and the posterior say."""

from __future__ import annotations

import re
from functools import partial

import pytest

from benchlore.cache import remembered
from benchlore.diagnosis.simulate import Decile, jobs, minutes_of, reliability
from benchlore.site import calibration as played
from benchlore.site import paths
from benchlore.site.calibration import calibration
from benchlore.site.drawings.reliability import drawing, in_words
from benchlore.site.pages import calibration as page
from benchlore.site.plans import plans
from benchlore.site.render import environment, render
from tests.site.conftest import TEMPLATES

pytestmark = pytest.mark.slow


@pytest.fixture
def uncached(monkeypatch):
    monkeypatch.setattr(played, "remembered", lambda name, key, make, form: make())


def test_the_same_seed_plays_the_same_jobs(small, uncached):
    known = plans(small)["wren-5"]
    one, other = calibration(small, known, 300, 7), calibration(small, known, 300, 7)
    assert one == other
    assert calibration(small, known, 300, 8) != one


def test_what_is_kept_is_what_was_played(small, tmp_path, monkeypatch):
    monkeypatch.setattr(played, "remembered", partial(remembered, folder=tmp_path))
    known = plans(small)["wren-5"]
    first = calibration(small, known, 300, 7)
    monkeypatch.setattr(played, "_play", None)  # it must not be played again
    assert calibration(small, known, 300, 7) == first


def test_jobs_by_symptom_add_up(small, uncached):
    found = calibration(small, plans(small)["wren-5"], 500)
    parts = found.by_symptom.values()
    assert sum(one.jobs for one in parts) == found.total.jobs == 500
    assert sum(one.jobs * one.realised for one in parts) == pytest.approx(500 * found.total.realised)
    assert 0 <= found.escalated < 1


def test_where_the_book_is_weak_comes_from_the_jobs(book):
    for family, known in plans(book).items():
        found = calibration(book, known, 3000)
        assert found.weak
        wrong = [round(one.jobs * one.wrong) for one in found.weak]
        assert wrong == sorted(wrong, reverse=True)
        for one in found.weak:
            assert one.id in known.case.faults
            assert one.taken_for != one.id
            assert 0 < one.wrong <= 1
        # What nobody foresees is never mended, and costs at least its escalation.
        assert found.unrecorded == pytest.approx(0.05, abs=0.02), family
        assert found.escalated > found.unrecorded
        assert found.lost > 0


def test_on_its_own_boards_the_model_keeps_its_promises(each_book):
    """Boards drawn as the model has it: minutes and shares agree within the simulation's error."""
    made = plans(each_book)
    for known in made.values():
        trees = {symptom: plan.tree for symptom, plan in known.plans.items()}
        own = tuple(jobs(known.case, trees, 12_000 // len(made), 1))
        minutes = minutes_of(own, trees)
        assert abs(minutes.realised - minutes.expected) <= 4 * minutes.error
        for one in reliability(known.case, own):
            # One job gives several statements, which hang together.
            error = (4 * one.stated * (1 - one.stated) / one.count) ** 0.5
            assert abs(one.stated - one.true) < 4 * error, f"stated {one.stated:.3f}, true {one.true:.3f}"


def test_the_plot_marks_what_is_off_and_says_it_in_words():
    deciles = (Decile(0.1, 50, 0.15, 0.16), Decile(0.8, 50, 0.85, 0.70))
    drawn = drawing("Reliability", deciles)
    assert len(re.findall(r'<circle class="mark-normal"', drawn)) == 1
    assert len(re.findall(r'<polygon class="mark-fault"', drawn)) == 1
    assert "stated 85.0\u00a0%, true 70.0\u00a0%" in in_words(deciles)
    assert in_words(deciles) in drawn


def test_the_page_shows_every_family_and_symptom(book):
    (made,) = page.pages(book)
    assert made.path == paths.CALIBRATION
    env = environment(TEMPLATES, book)
    html = render(env, made).replace("&nbsp;", "\u00a0")
    for family, known in plans(book).items():
        assert f'id="on-{family}"' in html
        found = calibration(book, known)
        assert f"{found.total.realised:.1f}\u00a0min</b> a job" in html
        for symptom, minutes in found.by_symptom.items():
            assert book.symptoms[symptom].title in html
            assert f"{minutes.realised:.1f}\u00a0min" in html
        assert f"{100 * found.wrong:.1f}</b> fixes on the board in a hundred jobs" in html
    assert html.count('<svg class="reliability"') == len(plans(book))
