"""Tables in and the daybook out: take-in by a mapping, and export in open formats."""
