"""The parts of the audit of essays: what a sentence says, what its claims hold, and where the two part."""
