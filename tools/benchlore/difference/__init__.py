"""What a change to the book means at the bench: two books in, a list of `Change`s out.

kinds.py      what can be told, in the order of a report, each kind with its heading
records.py    what the records say otherwise
bench.py      what ranking, plans and the telling apart of faults make of it
forms.py      the list as text, Markdown, HTML or JSON
vanished.py   ids that are gone, as findings of a check
revision.py   the book as a git revision holds it
"""

from benchlore.difference.kinds import Change
from benchlore.difference.whole import differences

__all__ = ["Change", "differences"]
