"""How a book begins: its first files, and the common records that travel with the package."""
