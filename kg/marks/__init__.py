"""Marks: written down as seen, read for what they say, and turned into dates with a published basis."""
