"""`python -m benchlore` is the `benchlore` command."""

import sys

from benchlore.cli import main

sys.exit(main())
