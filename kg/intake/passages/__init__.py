"""Passages copied from books: what claims they hold, each with the words it rests on, for the researcher to accept."""
