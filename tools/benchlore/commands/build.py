"""`benchlore build`: check the book, render the site, put it in place."""

from __future__ import annotations

import argparse
import sys
from functools import partial
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
    parser.add_argument("--strict", action="store_true", help="warnings stop the build, as errors do")
    parser.add_argument(
        "--serve",
        action="store_true",
        help="serve the site to this computer, build it anew after each save, and show what is wrong in it",
    )
    parser.add_argument(
        "--port",
        type=_port,
        help="port to serve on (default: 8000, or a free one when that is taken)",
    )
    parser.set_defaults(run=run)


def _port(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) < 65536:
        raise argparse.ArgumentTypeError(f"{text} is not a port; ports are 1 to 65535")
    return int(text)


def run(args: argparse.Namespace) -> int:
    """Check, build, publish, and return the exit code."""
    # Imported here: the generator takes a while to load, and the other commands do not need it.
    from benchlore.live.run import serve
    from benchlore.site.build import build_site
    from benchlore.site.errors import BuildError
    from benchlore.site.publish import PublishError, Staging

    root = root_folder(args)
    target = refuse_sources(root, args.site_dir or root / "site", "the site")
    if args.port is not None and not args.serve:
        raise UsageError("a port is served on; say --serve, too")
    if args.serve:
        return serve(root, target, args.port, args.strict, partial(print, flush=True))
    try:
        with Staging(target, lambda: print("waiting for another build", file=sys.stderr)) as staging:
            with progress("parts of the site made") as tell:
                build_site(root, staging.folder, staging.final, tell, args.strict)
            staging.publish()
    except (BuildError, PublishError, WorkerError) as error:
        print(f"benchlore: {error}", file=sys.stderr)
        return 1
    except OSError as error:
        what = error.filename if isinstance(error.filename, str) else str(target)
        raise UsageError(f"the site cannot be made: {error.strerror or error}: {what}") from error
    print(f"site: {target / 'index.html'}")
    return 0
