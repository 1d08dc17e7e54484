"""`benchlore build`: check the book, render the site, put it in place."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from benchlore.commands.options import UsageError, add_root, root_folder

# A site in one of these would be read as a part of what it was made from, or lie among the code.
_SOURCES = ("faults", "site_overrides", "schema", "tools", "tests", ".git", ".venv")


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "build",
        help="build the site",
        description="Check the book and render it to an offline site. Exit code 1 when the book has "
        "errors; the last good site then stays in place.",
    )
    add_root(parser)
    parser.add_argument(
        "--site-dir", type=Path, metavar="DIR", help="where the site goes (default: ROOT/site)"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check, build, publish, and return the exit code."""
    # Imported here: the generator takes a while to load, and the other commands do not need it.
    from benchlore.site.build import BuildError, build_site
    from benchlore.site.publish import PublishError, Staging

    root = root_folder(args)
    target = _target(root, args.site_dir or root / "site")
    try:
        with Staging(target, lambda: print("waiting for another build", file=sys.stderr)) as staging:
            build_site(root, staging.folder)
            staging.publish()
    except (BuildError, PublishError) as error:
        print(f"benchlore: {error}", file=sys.stderr)
        return 1
    except OSError as error:
        what = error.filename if isinstance(error.filename, str) else str(target)
        raise UsageError(f"the site cannot be made: {error.strerror or error}: {what}") from error
    print(f"site: {target / 'index.html'}")
    return 0


def _target(root: Path, wanted: Path) -> Path:
    """Where the site goes, every link followed. Raises UsageError for a place that cannot hold a site."""
    try:
        target = wanted.resolve()
    except (OSError, RuntimeError, ValueError) as error:  # a link to itself, a name that no file can have
        reason = getattr(error, "strerror", None) or error
        raise UsageError(f"no site can be at {str(wanted)!r}: {reason}") from error
    for name in _SOURCES:
        if target.is_relative_to((root / name).resolve()):
            raise UsageError(
                f"{target} lies in {name}/, which is what sites are made from; choose another place for it"
            )
    return target
