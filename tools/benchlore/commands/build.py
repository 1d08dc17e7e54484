"""`benchlore build`: check the book, render the site, put it in place."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from benchlore.commands.options import UsageError, add_root, refuse_sources, root_folder
from benchlore.progress import progress
from benchlore.workers import WorkerError


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
    from benchlore.site.build import build_site
    from benchlore.site.errors import BuildError
    from benchlore.site.publish import PublishError, Staging

    root = root_folder(args)
    target = refuse_sources(root, args.site_dir or root / "site", "the site")
    try:
        with Staging(target, lambda: print("waiting for another build", file=sys.stderr)) as staging:
            with progress("parts of the site made") as tell:
                build_site(root, staging.folder, staging.final, tell)
            staging.publish()
    except (BuildError, PublishError, WorkerError) as error:
        print(f"benchlore: {error}", file=sys.stderr)
        return 1
    except OSError as error:
        what = error.filename if isinstance(error.filename, str) else str(target)
        raise UsageError(f"the site cannot be made: {error.strerror or error}: {what}") from error
    print(f"site: {target / 'index.html'}")
    return 0
