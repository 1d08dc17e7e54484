"""`benchlore diff`: what a change to the book means, for whoever reviews it."""

from __future__ import annotations

import argparse
import sys

from benchlore.book import load_book
from benchlore.commands.bases import base_book
from benchlore.commands.options import UsageError, add_root, root_folder
from benchlore.difference import differences
from benchlore.difference.forms import FORMS


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Declare the command."""
    parser = subparsers.add_parser(
        "diff",
        help="what a change to the book means",
        description="Compare the book with an earlier state of it, and say what the change means: hazards "
        "that are not warned of any more first, then faults, links, ranges, rankings, plans, pairs that "
        "nothing tells apart, new waivers, and edits outside the contributor's family.",
    )
    parser.add_argument(
        "base",
        metavar="BASE",
        nargs="?",
        default="HEAD",
        help="the earlier state: a git revision, or a folder that holds faults/ (default: HEAD)",
    )
    parser.add_argument("--format", choices=tuple(FORMS), default="text", help="form (default: text)")
    parser.add_argument("--family", metavar="F", help="the contributor's (default: the one with most edits)")
    add_root(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Compare, print, and return 0: a difference is no error."""
    root = root_folder(args)
    new = load_book(root, kept=True)
    old = base_book(root, args.base)
    if args.family and args.family not in {*old.book.families, *new.book.families}:
        raise UsageError(f"'{args.family}' is a family of neither book")
    for loaded, which in ((old, "earlier"), (new, "present")):
        unread = {finding.file for finding in loaded.findings if finding.severity == "error"}
        if unread:
            print(f"benchlore: not read of the {which} book: {', '.join(sorted(unread))}", file=sys.stderr)
    sys.stdout.write(FORMS[args.format](differences(old, new, args.family)))
    return 0
