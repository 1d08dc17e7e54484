"""The commands, one a module: `add(subparsers)` declares it, `run(args)` does it and returns the code."""
