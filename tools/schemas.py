"""Write the enums of the vocabulary into the schema files, for editors: `python3 tools/schemas.py`."""

from __future__ import annotations

import json
import sys

from benchlore.vocabulary import with_enums
from bootstrap import ROOT, say

FOLDER = ROOT / "schema"


def main() -> int:
    """Write what differs; the result is the exit code."""
    for file in sorted(FOLDER.glob("*.schema.json")):
        old = file.read_text(encoding="utf-8")
        new = json.dumps(with_enums(json.loads(old)), indent=2, ensure_ascii=False) + "\n"
        if new != old:
            file.write_text(new, encoding="utf-8")
            say(f"{file.relative_to(ROOT)} written")
    return 0


if __name__ == "__main__":
    sys.exit(main())
