"""The checks beyond the schema, a family of rules a module."""
