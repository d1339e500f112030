"""Dates as sources print them, and the windows of days that they allow. No RDF in here."""
