"""Windows, conflicts and verdicts from difference constraints between begins and ends."""
