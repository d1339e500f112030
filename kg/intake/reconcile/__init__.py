"""One maker, many names: which records are one thing, which follow one another, and the entries that say so."""
