"""Checks of structure and consistency, in SHACL: of the whole daybook, and of one entry before it is recorded."""
