"""How a wheel and a source archive are made: what lies beside the package in a checkout goes into both.

pyproject.toml names `WithFace`. An editable install reads the checkout itself, so nothing is copied for it.
"""

from __future__ import annotations

from pathlib import Path

from setuptools.command.build_py import build_py

# All that `benchlore.shipped` finds, relative to the checkout.
CARRIED = (
    "mkdocs.yml",
    "schema/*.schema.json",
    "site_overrides/assets/**/*",
    "site_overrides/live/**/*",
    "site_overrides/pages/**/*",
    "site_overrides/theme/**/*",
    "faults/common/**/*.yaml",
)


def carried(root: Path = Path()) -> list[str]:
    """The files that are carried along, relative to `root`, sorted."""
    found = {path for pattern in CARRIED for path in root.glob(pattern) if path.is_file()}
    return sorted(path.relative_to(root).as_posix() for path in found)


class WithFace(build_py):
    """Modules as ever, and what they need beside them."""

    def run(self) -> None:
        """Copy both into the build."""
        super().run()
        if not self.editable_mode:
            for name in carried():
                target = Path(self.build_lib, "benchlore", "_shipped", name)
                self.mkpath(str(target.parent))
                self.copy_file(name, str(target), preserve_mode=False)

    def get_source_files(self) -> list[str]:
        """What a source archive needs to make the same wheel."""
        return [*super().get_source_files(), *carried(), "tools/packing.py"]
