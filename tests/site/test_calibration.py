"""How good the plans are: simulated jobs against what the plans and the posterior say."""

from __future__ import annotations

import re
from functools import partial

import pytest

from benchlore.cache import remembered
from benchlore.diagnosis.simulate import Decile, Minutes
from benchlore.site import calibration as played
from benchlore.site import paths
from benchlore.site.calibration import JOBS, agree, calibration
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
    one, other = calibration(known, 300, 7), calibration(known, 300, 7)
    assert one == other
    assert calibration(known, 300, 8) != one


def test_what_is_kept_is_what_was_played(small, tmp_path, monkeypatch):
    monkeypatch.setattr(played, "remembered", partial(remembered, folder=tmp_path))
    known = plans(small)["wren-5"]
    first = calibration(known, 300, 7)
    monkeypatch.setattr(played, "_play", None)  # it must not be played again
    assert calibration(known, 300, 7) == first


def test_jobs_by_symptom_add_up(small, uncached):
    found = calibration(plans(small)["wren-5"], 500)
    parts = found.by_symptom.values()
    assert sum(one.jobs for one in parts) == found.total.jobs == 500
    assert sum(one.jobs * one.realised for one in parts) == pytest.approx(500 * found.total.realised)
    assert 0 <= found.escalated < 1


def test_the_plans_keep_their_promises(each_book):
    """Realised minutes and shares agree with the stated ones within the simulation's error."""
    for known in plans(each_book).values():
        found = calibration(known)
        assert found.total.jobs == JOBS
        assert agree(found.total)
        assert [one.low for one in found.deciles] == [i / 10 for i in range(10)]
        for one in found.deciles:
            error = (one.stated * (1 - one.stated) / one.count) ** 0.5 if one.count else 1.0
            assert abs(one.stated - one.true) < 4 * error, f"stated {one.stated:.3f}, true {one.true:.3f}"


def test_minutes_beyond_chance_do_not_agree():
    assert agree(Minutes(100, 40.0, 41.4, 0.5))
    assert not agree(Minutes(100, 40.0, 41.6, 0.5))


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
        found = calibration(known)
        assert f"{found.total.realised:.1f}\u00a0min</b> a job" in html
        for symptom, minutes in found.by_symptom.items():
            assert book.symptoms[symptom].title in html
            assert f"{minutes.realised:.1f}\u00a0min" in html
    assert html.count('<svg class="reliability"') == len(plans(book))
